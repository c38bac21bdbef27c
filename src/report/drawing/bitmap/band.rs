//! One band of the large picture: some of its rows, on which plotters draws what it would draw there on the whole.
//!
//! Nothing is shifted before it is rasterised, since roundings depend on the place: only the pixels, upright lines and
//! level lines that come of it are.

use super::Sheet;
use super::marks::{Figure, Mark, Pixel};
use super::reach::within_reach;
use crate::report::drawing::DrawError;
use plotters::backend::{BitMapBackend, DrawingBackend};
use plotters::style::{RGBAColor, ShapeStyle};
use plotters_backend::{BackendColor, BackendStyle, DrawingErrorKind, rasterizer};
use std::ops::Range;

/// Some rows of the large picture.
pub struct Band<'a> {
    pub sheet: Sheet,
    pub rows: Range<usize>,
    /// The pixels of these rows.
    pub rgb: &'a mut [u8],
}

impl<'a> Band<'a> {
    pub fn new(sheet: Sheet, rows: Range<usize>, rgb: &'a mut [u8]) -> Self {
        Self { sheet, rows, rgb }
    }

    /// Draws what of a mark lies in the band.
    ///
    /// # Errors
    /// When the painter refuses.
    pub fn draw(&mut self, mark: &Mark) -> Result<(), DrawError> {
        if mark.rows.end <= self.rows.start as i32 || mark.rows.start >= self.rows.end as i32 {
            return Ok(());
        }
        match &mark.figure {
            Figure::Line(points, colour) => {
                let points = points.iter().copied();
                painted(self.painter().draw_path(points, &style(*colour, 1)))
            }
            Figure::Straight(stroke, colour) => self.straight(stroke, *colour),
            Figure::Stroke(outline, colour) => {
                let outline = within_reach(outline, &self.rows);
                painted(self.painter().fill_polygon(outline, &style(*colour, 1)))
            }
            Figure::Ring(corners, colour) => {
                let corners = within_reach(corners, &self.rows);
                painted(self.painter().fill_polygon(corners, &style(*colour, 0)))
            }
            Figure::Upright(rectangle, colour) => {
                self.upright(rectangle, *colour);
                Ok(())
            }
            Figure::Words(words) => self.words(words),
            Figure::Levels { at, size, levels } => {
                self.levels(*at, *size, levels);
                Ok(())
            }
            Figure::Backdrop {
                at,
                size,
                view,
                picture,
            } => {
                self.backdrop(*at, *size, *view, picture);
                Ok(())
            }
        }
    }

    /// The pixels of a row of the whole, if the band has it.
    pub fn row(&mut self, y: usize) -> Option<&mut [u8]> {
        let length = 3 * self.sheet.width;
        let from = y.checked_sub(self.rows.start)? * length;
        self.rgb.get_mut(from..from + length)
    }

    pub fn painter(&mut self) -> Painter<'_> {
        let size = |width: usize, height: usize| (width as u32, height as u32);
        let canvas = size(self.sheet.width, self.rows.len());
        Painter {
            canvas: BitMapBackend::with_buffer(self.rgb, canvas),
            whole: size(self.sheet.width, self.sheet.height),
            rows: self.rows.start as i32..self.rows.end as i32,
        }
    }
}

fn style(colour: RGBAColor, stroke_width: u32) -> ShapeStyle {
    ShapeStyle {
        color: colour,
        filled: true,
        stroke_width,
    }
}

/// What plotters refuses.
pub fn painted(result: Result<(), impl std::fmt::Display>) -> Result<(), DrawError> {
    result.map_err(|error| DrawError::Painter(error.to_string()))
}

/// What plotters draws on: as large as the whole, with the pixels of the band. Paths and polygons come down to pixels and
/// lines.
pub struct Painter<'a> {
    canvas: BitMapBackend<'a>,
    whole: (u32, u32),
    rows: Range<i32>,
}

impl Painter<'_> {
    /// Whether all rows from one to the other lie beside the band.
    #[inline]
    fn misses(&self, low: i32, high: i32) -> bool {
        high < self.rows.start || low >= self.rows.end
    }

    /// The same pixel of the canvas, or one beside it.
    fn on_canvas(&self, (x, y): Pixel) -> Pixel {
        (x, y.saturating_sub(self.rows.start))
    }
}

type Drawn<'a> = Result<(), DrawingErrorKind<<BitMapBackend<'a> as DrawingBackend>::ErrorType>>;

impl<'a> DrawingBackend for Painter<'a> {
    type ErrorType = <BitMapBackend<'a> as DrawingBackend>::ErrorType;

    fn get_size(&self) -> (u32, u32) {
        self.whole
    }

    fn ensure_prepared(&mut self) -> Drawn<'a> {
        self.canvas.ensure_prepared()
    }

    fn present(&mut self) -> Drawn<'a> {
        self.canvas.present()
    }

    fn draw_pixel(&mut self, at: Pixel, colour: BackendColor) -> Drawn<'a> {
        if self.misses(at.1, at.1) {
            return Ok(());
        }
        self.canvas.draw_pixel(self.on_canvas(at), colour)
    }

    fn draw_line<S: BackendStyle>(&mut self, from: Pixel, to: Pixel, style: &S) -> Drawn<'a> {
        let straight = from.0 == to.0 || from.1 == to.1;
        if !straight || style.stroke_width() != 1 {
            return rasterizer::draw_line(self, from, to, style);
        }
        if self.misses(from.1.min(to.1), from.1.max(to.1)) {
            return Ok(());
        }
        // The canvas has its own way to fill these, which is the same for every row.
        let (from, to) = (self.on_canvas(from), self.on_canvas(to));
        self.canvas.draw_line(from, to, style)
    }
}
