//! Shapes as what is drawn of them: at their drawn pixels, lines cut into dashes and given their width, each with the rows
//! it reaches. That is done once, for all bands.

use super::Sheet;
use super::straight::Straight;
use super::upright::Upright;
use crate::backdrop::Picture;
use crate::report::drawing::dash::dashed;
use crate::report::drawing::{Levels, Pen, Scene, Shape, Words};
use crate::report::palette::Ink;
use geo::{Coord, Rect};
use plotters::style::RGBAColor;
use plotters_backend::rasterizer::polygonize;
use std::ops::Range;

/// A drawn pixel, counted from the upper left corner of the whole picture.
pub type Pixel = (i32, i32);

/// Something to draw.
pub struct Mark<'a> {
    /// No row beyond these is touched.
    pub rows: Range<i32>,
    pub figure: Figure<'a>,
}

/// What it is.
pub enum Figure<'a> {
    /// A line as wide as a pixel.
    Line(Vec<Pixel>, RGBAColor),
    /// A wider one from one point to another.
    Straight(Straight, RGBAColor),
    /// Another one, as its outline; when that is no surface, it is drawn as a line.
    Stroke(Vec<Pixel>, RGBAColor),
    /// A surface; nothing when it is none.
    Ring(Vec<Pixel>, RGBAColor),
    Upright(Upright, RGBAColor),
    Words(&'a Words),
    Levels {
        at: Coord<f64>,
        size: Coord<f64>,
        levels: &'a Levels,
    },
    Backdrop {
        at: Coord<f64>,
        size: Coord<f64>,
        /// What is seen of it.
        view: Rect<f64>,
        picture: &'a Picture,
    },
}

/// All marks of a picture, the lowest first.
pub fn of(scene: &Scene, sheet: Sheet) -> Vec<Mark<'_>> {
    let mut marks = Marks {
        sheet,
        view: None,
        all: Vec::new(),
    };
    marks.add_all(&scene.shapes);
    marks.all
}

struct Marks<'a> {
    sheet: Sheet,
    /// The view whose shapes are added: a backdrop reaches beyond it.
    view: Option<Rect<f64>>,
    all: Vec<Mark<'a>>,
}

impl<'a> Marks<'a> {
    fn add_all(&mut self, shapes: &'a [Shape]) {
        for shape in shapes {
            self.add(shape);
        }
    }

    fn add(&mut self, shape: &'a Shape) {
        match shape {
            Shape::Lines { lines, pen } => {
                if let Some(casing) = pen.casing_pen() {
                    self.lines(lines, &casing);
                }
                self.lines(lines, pen);
            }
            Shape::Area { ring, ink, opacity } => self.area(ring, *ink, *opacity),
            Shape::Words(words) => self.words(words),
            Shape::Levels { at, size, levels } => {
                let (at, size) = (*at, *size);
                self.push_between(at.y, at.y + size.y, Figure::Levels { at, size, levels });
            }
            Shape::Layer { shown: false, .. } => {}
            Shape::Backdrop { at, size, picture } => {
                let (at, size) = (*at, *size);
                let view = self.view.unwrap_or(Rect::new(at, at + size));
                let figure = Figure::Backdrop {
                    at,
                    size,
                    view,
                    picture,
                };
                self.push_between(at.y, at.y + size.y, figure);
            }
            // What else lies in a view is clipped where it is laid out.
            Shape::View { at, size, shapes } => {
                let outer = self.view.replace(Rect::new(*at, *at + *size));
                self.add_all(shapes);
                self.view = outer;
            }
            Shape::Named { shapes, .. } | Shape::Layer { shapes, .. } => self.add_all(shapes),
        }
    }

    fn lines(&mut self, lines: &[Vec<Coord<f64>>], pen: &Pen) {
        let width = (pen.width * self.sheet.fine).round().max(1.0) as u32;
        let colour = self.colour(pen.ink, 1.0);
        for part in lines.iter().flat_map(|line| dashed(line, pen.dashes)) {
            let mut points: Vec<Pixel> = part.into_iter().map(|at| self.pixel(at)).collect();
            points.dedup();
            if width == 1 {
                self.push(self.rows_of_line(&points), Figure::Line(points, colour));
            } else {
                let outline = polygonize(&points, width);
                let rows = rows_of(&outline);
                let figure = match Straight::of(&outline) {
                    Some(stroke) => Figure::Straight(stroke, colour),
                    None => Figure::Stroke(outline, colour),
                };
                self.push(rows, figure);
            }
        }
    }

    fn area(&mut self, ring: &[Coord<f64>], ink: Ink, opacity: f64) {
        let corners: Vec<Pixel> = ring.iter().map(|at| self.pixel(*at)).collect();
        let (rows, colour) = (rows_of(&corners), self.colour(ink, opacity));
        let figure = match Upright::of(&corners) {
            Some(rectangle) => Figure::Upright(rectangle, colour),
            None => Figure::Ring(corners, colour),
        };
        self.push(rows, figure);
    }

    fn words(&mut self, words: &'a Words) {
        // Letters of the font rise and hang less than two ems from the middle of the line, their glow included.
        let most = 2.0 * words.size + super::letters::GLOW_REACH;
        self.push_between(words.at.y - most, words.at.y + most, Figure::Words(words));
    }

    fn push(&mut self, rows: Range<i32>, figure: Figure<'a>) {
        self.all.push(Mark { rows, figure });
    }

    /// Between two heights of the scene.
    fn push_between(&mut self, low: f64, high: f64, figure: Figure<'a>) {
        let row = |y: f64| (y * self.sheet.fine).round() as i32;
        self.push(with_margin(row(low), row(high)), figure);
    }

    fn pixel(&self, point: Coord<f64>) -> Pixel {
        (
            (point.x * self.sheet.fine).round() as i32,
            (point.y * self.sheet.fine).round() as i32,
        )
    }

    fn colour(&self, ink: Ink, opacity: f64) -> RGBAColor {
        let [r, g, b] = ink.colour(self.sheet.theme);
        RGBAColor(r, g, b, opacity)
    }

    /// Of a line that leaves the picture, plotters may draw a pixel at the edge of the picture, far from the line.
    fn rows_of_line(&self, points: &[Pixel]) -> Range<i32> {
        let (width, height) = (self.sheet.width as i32, self.sheet.height as i32);
        let within = |&(x, y): &Pixel| (0..width).contains(&x) && (0..height).contains(&y);
        if points.iter().all(within) {
            rows_of(points)
        } else {
            0..height
        }
    }
}

/// The rows of a figure with these corners.
fn rows_of(corners: &[Pixel]) -> Range<i32> {
    let rows = corners.iter().map(|corner| corner.1);
    match (rows.clone().min(), rows.max()) {
        (Some(low), Some(high)) => with_margin(low, high),
        _ => 0..0,
    }
}

/// Edges are smoothed over the rows beside them.
fn with_margin(low: i32, high: i32) -> Range<i32> {
    low.saturating_sub(4)..high.saturating_add(5)
}
