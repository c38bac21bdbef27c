//! A picture as PNG. Lines and surfaces are drawn by plotters at twice the size and averaged down,
//! which smooths their edges; letters are set by `ab_glyph` at their exact places.

use super::dash::dashed;
use super::png::rgb_png;
use super::{Anchor, DrawError, Levels, Paper, Pen, Scene, Shape, Words};
use crate::backdrop::Picture;
use crate::report::fonts;
use crate::report::palette::{Ink, OUTSIDE, Theme, backdrop_opacity, level_colour};
use ab_glyph::{Font, ScaleFont};
use geo::{Coord, Rect};
use plotters::backend::{BitMapBackend, DrawingBackend};
use plotters::style::{RGBAColor, ShapeStyle};

/// Drawn pixels per pixel of the result, either way.
const FINE: usize = 2;

/// The picture as an RGB PNG of the scene's size, or of the width that the paper has.
///
/// # Errors
/// When painting or encoding fails.
pub fn png(scene: &Scene, paper: Paper) -> Result<Vec<u8>, DrawError> {
    let mut canvas = Canvas::new(scene, paper);
    for shape in &scene.shapes {
        canvas.paint(shape)?;
    }
    let (width, height) = (canvas.width / FINE, canvas.height / FINE);
    let rgb = canvas.averaged();
    // The large picture is not needed while the small one is compressed.
    drop(canvas);
    rgb_png(&rgb, width as u32, height as u32)
}

struct Canvas {
    width: usize,
    height: usize,
    rgb: Vec<u8>,
    /// Drawn pixels per pixel of the scene.
    fine: f64,
    theme: Theme,
    /// The view that is painted: a backdrop reaches beyond it.
    view: Option<Rect<f64>>,
}

impl Canvas {
    fn new(scene: &Scene, paper: Paper) -> Self {
        let scale = paper.scale_of(scene);
        let pixels = |length: u32| (f64::from(length) * scale).round().max(1.0) as usize * FINE;
        let (width, height) = (pixels(scene.width), pixels(scene.height));
        Self {
            width,
            height,
            rgb: Ink::Paper.colour(paper.theme).repeat(width * height),
            fine: FINE as f64 * scale,
            theme: paper.theme,
            view: None,
        }
    }

    fn point(&self, point: Coord<f64>) -> (i32, i32) {
        (
            (point.x * self.fine).round() as i32,
            (point.y * self.fine).round() as i32,
        )
    }

    fn colour(&self, ink: Ink, opacity: f64) -> RGBAColor {
        let [r, g, b] = ink.colour(self.theme);
        RGBAColor(r, g, b, opacity)
    }

    fn paint(&mut self, shape: &Shape) -> Result<(), DrawError> {
        match shape {
            Shape::Lines { lines, pen } => {
                if let Some(casing) = pen.casing_pen() {
                    self.lines(lines, &casing)?;
                }
                self.lines(lines, pen)
            }
            Shape::Area { ring, ink, opacity } => self.area(ring, *ink, *opacity),
            Shape::Words(words) => self.words(words),
            Shape::Levels { at, size, levels } => {
                self.levels(*at, *size, levels);
                Ok(())
            }
            Shape::Layer { shown: false, .. } => Ok(()),
            Shape::Backdrop { at, size, picture } => {
                self.backdrop(*at, *size, picture);
                Ok(())
            }
            // What else lies in a view is clipped where it is laid out.
            Shape::View { at, size, shapes } => {
                let outer = self.view.replace(Rect::new(*at, *at + *size));
                shapes.iter().try_for_each(|shape| self.paint(shape))?;
                self.view = outer;
                Ok(())
            }
            Shape::Named { shapes, .. } | Shape::Layer { shapes, .. } => {
                shapes.iter().try_for_each(|shape| self.paint(shape))
            }
        }
    }

    fn backend(&mut self) -> BitMapBackend<'_> {
        BitMapBackend::with_buffer(&mut self.rgb, (self.width as u32, self.height as u32))
    }

    fn lines(&mut self, lines: &[Vec<Coord<f64>>], pen: &Pen) -> Result<(), DrawError> {
        let width = (pen.width * self.fine).round().max(1.0) as u32;
        let style = ShapeStyle {
            color: self.colour(pen.ink, 1.0),
            filled: false,
            stroke_width: width,
        };
        for part in lines.iter().flat_map(|line| dashed(line, pen.dashes)) {
            let mut points: Vec<(i32, i32)> = part.into_iter().map(|at| self.point(at)).collect();
            points.dedup();
            self.backend().draw_path(points, &style).map_err(painter)?;
        }
        Ok(())
    }

    fn area(&mut self, ring: &[Coord<f64>], ink: Ink, opacity: f64) -> Result<(), DrawError> {
        let points: Vec<(i32, i32)> = ring.iter().map(|at| self.point(*at)).collect();
        if let Some(rectangle) = Upright::of(&points) {
            self.upright(&rectangle, self.colour(ink, opacity));
            return Ok(());
        }
        let style = ShapeStyle {
            color: self.colour(ink, opacity),
            filled: true,
            stroke_width: 0,
        };
        self.backend().fill_polygon(points, &style).map_err(painter)
    }

    /// A rectangle with upright sides, row by row: the pixels that plotters fills column by column, one after the other
    /// in memory.
    fn upright(&mut self, rectangle: &Upright, colour: RGBAColor) {
        let RGBAColor(r, g, b, opacity) = colour;
        let (low, beyond) = (rectangle.low, rectangle.beyond);
        let across = inside(low.0, beyond.0, self.width);
        let share = (256.0 * opacity.clamp(0.0, 1.0)).floor() as u16;
        // Along a row plotters blends eight pixels at once, and rounds them otherwise.
        let at_once = if rectangle.by_rows {
            across.len().saturating_sub(1) / 8 * 8
        } else {
            0
        };
        for y in inside(low.1, beyond.1, self.height) {
            let row = 3 * y * self.width;
            let pixels = &mut self.rgb[row + 3 * across.start..row + 3 * across.end];
            let (eights, rest) = pixels.split_at_mut(3 * at_once);
            for pixel in eights.chunks_exact_mut(3) {
                for (byte, new) in pixel.iter_mut().zip([r, g, b]) {
                    let both = u16::from(*byte) * (256 - share) + u16::from(new) * share;
                    *byte = (both / 256) as u8;
                }
            }
            for pixel in rest.chunks_exact_mut(3) {
                for (byte, new) in pixel.iter_mut().zip([r, g, b]) {
                    *byte = if new > *byte {
                        *byte + (u16::from(new - *byte) * share / 256) as u8
                    } else {
                        *byte - (u16::from(*byte - new) * share / 256) as u8
                    };
                }
            }
        }
    }

    /// Each pixel takes the colour of the pixel of the map its centre lies in, paled.
    fn backdrop(&mut self, at: Coord<f64>, size: Coord<f64>, picture: &Picture) {
        let fine = self.fine;
        let opacity = backdrop_opacity(self.theme) as f32;
        let all = Rect::new(at, at + size);
        let view = self.view.unwrap_or(all);
        let span = |low: f64, high: f64, limit: usize| {
            let first = (low * fine).round().max(0.0) as usize;
            first..((high * fine).round().max(0.0) as usize).min(limit)
        };
        let down = span(
            at.y.max(view.min().y),
            (at.y + size.y).min(view.max().y),
            self.height,
        );
        let across = span(
            at.x.max(view.min().x),
            (at.x + size.x).min(view.max().x),
            self.width,
        );
        let place = |pixel: usize, from: f64, length: f64, pixels: usize| {
            let share = ((pixel as f64 + 0.5) / fine - from) / length;
            ((share * pixels as f64).max(0.0) as usize).min(pixels - 1)
        };
        for y in down {
            let row = place(y, at.y, size.y, picture.rows) * picture.columns;
            for x in across.clone() {
                let index = row + place(x, at.x, size.x, picture.columns);
                if !picture.covered[index] {
                    continue;
                }
                let to = 3 * (y * self.width + x);
                let colour = &picture.rgb[3 * index..3 * index + 3];
                for (byte, part) in self.rgb[to..to + 3].iter_mut().zip(colour) {
                    *byte = mixed(*byte, *part, opacity);
                }
            }
        }
    }

    /// Each pixel takes the level of the cell its centre lies in.
    fn levels(&mut self, at: Coord<f64>, size: Coord<f64>, levels: &Levels) {
        let fine = self.fine;
        let span = |from: f64, length: f64, limit: usize| {
            let first = (from * fine).floor().max(0.0) as usize;
            let last = ((from + length) * fine).ceil().max(0.0) as usize;
            first..last.min(limit)
        };
        let cell = |pixel: usize, from: f64, length: f64, cells: usize| {
            let share = ((pixel as f64 + 0.5) / fine - from) / length;
            (0.0..1.0)
                .contains(&share)
                .then(|| ((share * cells as f64) as usize).min(cells - 1))
        };
        let columns: Vec<(usize, usize)> = span(at.x, size.x, self.width)
            .filter_map(|x| Some((x, cell(x, at.x, size.x, levels.columns)?)))
            .collect();
        for y in span(at.y, size.y, self.height) {
            let Some(row) = cell(y, at.y, size.y, levels.rows) else {
                continue;
            };
            let cells = &levels.levels[row * levels.columns..(row + 1) * levels.columns];
            let pixels = &mut self.rgb[3 * y * self.width..3 * (y + 1) * self.width];
            for &(x, column) in &columns {
                let level = cells[column];
                if level != OUTSIDE {
                    pixels[3 * x..3 * x + 3].copy_from_slice(&level_colour(level));
                }
            }
        }
    }

    fn words(&mut self, words: &Words) -> Result<(), DrawError> {
        if words.glow {
            let reach = 2.0;
            for step in 0..12 {
                let (dy, dx) = (f64::from(step) * 30.0_f64.to_radians()).sin_cos();
                let at = Coord {
                    x: words.at.x + reach * dx,
                    y: words.at.y + reach * dy,
                };
                self.letters(
                    &Words {
                        at,
                        ..words.clone()
                    },
                    Ink::Paper,
                )?;
            }
        }
        self.letters(words, words.ink)
    }

    fn letters(&mut self, words: &Words, ink: Ink) -> Result<(), DrawError> {
        let font = fonts::face(words.bold)
            .ok_or_else(|| DrawError::Painter("the compiled-in font cannot be read".into()))?;
        let size = words.size * self.fine;
        let scaled = font.as_scaled(fonts::scale(font, size));
        let length = fonts::width(&words.text, size, words.bold);
        let mut along = match words.anchor {
            Anchor::Start => 0.0,
            Anchor::Middle => -length / 2.0,
            Anchor::End => -length,
        } as f32;
        // The same drop as the `dy` of the SVG.
        let drop = (0.35 * size) as f32;
        let (x0, y0) = (
            (words.at.x * self.fine) as f32,
            (words.at.y * self.fine) as f32,
        );
        let mut last = None;
        for letter in words.text.chars() {
            let glyph = scaled.glyph_id(letter);
            along += last.map_or(0.0, |last| scaled.kern(last, glyph));
            last = Some(glyph);
            let place = ab_glyph::point(along, drop);
            if let Some(outline) =
                font.outline_glyph(glyph.with_scale_and_position(scaled.scale(), place))
            {
                let corner = outline.px_bounds().min;
                outline.draw(|x, y, cover| {
                    let (dx, dy) = (corner.x + x as f32, corner.y + y as f32);
                    self.blend(
                        (x0 + dx).round() as i64,
                        (y0 + dy).round() as i64,
                        ink,
                        cover,
                    );
                });
            }
            along += scaled.h_advance(glyph);
        }
        Ok(())
    }

    fn blend(&mut self, x: i64, y: i64, ink: Ink, cover: f32) {
        let (Ok(x), Ok(y)) = (usize::try_from(x), usize::try_from(y)) else {
            return;
        };
        if x >= self.width || y >= self.height {
            return;
        }
        let place = 3 * (y * self.width + x);
        for (byte, part) in self.rgb[place..place + 3]
            .iter_mut()
            .zip(ink.colour(self.theme))
        {
            *byte = mixed(*byte, part, cover.min(1.0));
        }
    }

    fn averaged(&self) -> Vec<u8> {
        const { assert!(FINE == 2, "four pixels are averaged") };
        let mut rgb = vec![0; self.rgb.len() / (FINE * FINE)];
        let rows = self.rgb.chunks_exact(2 * 3 * self.width);
        let mut sums = vec![0u16; 3 * self.width];
        for (row, rows) in rgb.chunks_exact_mut(3 * self.width / 2).zip(rows) {
            let (above, below) = rows.split_at(3 * self.width);
            for (sum, (above, below)) in sums.iter_mut().zip(above.iter().zip(below)) {
                *sum = u16::from(*above) + u16::from(*below);
            }
            for (pixel, two) in row.chunks_exact_mut(3).zip(sums.chunks_exact(6)) {
                for channel in 0..3 {
                    pixel[channel] = ((two[channel] + two[channel + 3] + 2) / 4) as u8;
                }
            }
        }
        rgb
    }
}

/// The pixels that plotters fills of a rectangle with upright sides.
struct Upright {
    /// The first, either way.
    low: (i32, i32),
    /// The one past the last.
    beyond: (i32, i32),
    /// Whether it is filled row by row or column by column.
    by_rows: bool,
}

impl Upright {
    /// `None` for another shape.
    fn of(ring: &[(i32, i32)]) -> Option<Self> {
        let [a, b, c, d] = ring.try_into().ok()?;
        let round_one_way = a.1 == b.1 && b.0 == c.0 && c.1 == d.1 && d.0 == a.0;
        let round_the_other = a.0 == b.0 && b.1 == c.1 && c.0 == d.0 && d.1 == a.1;
        let low = (a.0.min(c.0), a.1.min(c.1));
        let high = (a.0.max(c.0), a.1.max(c.1));
        let (width, height) = (high.0 - low.0, high.1 - low.1);
        let by_rows = width <= height;
        // It goes along the longer side and leaves its last row or column out, but not of those a pixel wide.
        let plain = (round_one_way || round_the_other) && width > 1 && height > 1;
        plain.then_some(Self {
            low,
            beyond: if by_rows {
                (high.0 + 1, high.1)
            } else {
                (high.0, high.1 + 1)
            },
            by_rows,
        })
    }
}

/// Those from `low` up to `high` that a canvas has.
fn inside(low: i32, high: i32, size: usize) -> std::ops::Range<usize> {
    let within = |at: i32| usize::try_from(at).unwrap_or(0).min(size);
    within(low)..within(high).max(within(low))
}

/// What shows of a colour under another that covers it by a share.
fn mixed(below: u8, above: u8, cover: f32) -> u8 {
    let (below, above) = (f32::from(below), f32::from(above));
    (below + (above - below) * cover).round() as u8
}

fn painter(error: impl std::fmt::Display) -> DrawError {
    DrawError::Painter(error.to_string())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::report::drawing::{rectangle, xy};
    use rand::{RngExt, SeedableRng};

    /// Rectangles of all sizes, some of them beyond the picture, opaque or not: every pixel as plotters fills them.
    #[test]
    fn rectangles_are_those_of_plotters() {
        let mut random = rand_chacha::ChaCha8Rng::seed_from_u64(5);
        let scene = Scene {
            width: 60,
            height: 40,
            shapes: Vec::new(),
        };
        let mut told = 0;
        for case in 0..400 {
            let mut within = |low: f64, high: f64| random.random_range(low..high);
            let at = xy(within(-20.0, 70.0), within(-20.0, 50.0));
            let ring = rectangle(at, within(0.0, 50.0), within(0.0, 30.0));
            let opacity = [1.0, 0.12, 0.5][case % 3];
            let mut ours = Canvas::new(&scene, Paper::default());
            let mut theirs = Canvas::new(&scene, Paper::default());
            let points: Vec<(i32, i32)> = ring.iter().map(|at| ours.point(*at)).collect();
            told += usize::from(Upright::of(&points).is_some());
            ours.area(&ring, Ink::SearchLeg, opacity).unwrap();
            let style = ShapeStyle {
                color: theirs.colour(Ink::SearchLeg, opacity),
                filled: true,
                stroke_width: 0,
            };
            theirs.backend().fill_polygon(points, &style).unwrap();
            assert!(ours.rgb == theirs.rgb, "{ring:?} {opacity}");
        }
        assert!(told > 300, "{told}");
    }
}
