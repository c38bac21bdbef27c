//! Straight strokes, slanted: the outlines of lines from one point to another.

use super::band::{Band, painted};
use super::marks::Pixel;
use crate::report::drawing::DrawError;
use plotters::backend::DrawingBackend;
use plotters::style::RGBAColor;
use plotters_backend::BackendStyle;
use std::ops::Range;

/// A convex outline of four corners. Plotters would go through all of it for every band, though on each row or column of
/// pixels there is nothing but the two edges that it crosses.
pub struct Straight {
    /// Whether it is filled column by column or row by row: along its longer side.
    by_columns: bool,
    /// The rows or columns that it has.
    lines: Range<i32>,
    edges: [Edge; 4],
}

/// An edge, along the way in which the outline is filled.
struct Edge {
    first: i32,
    last: i32,
    /// Where it is across that way, at the first and at the last.
    from: i32,
    to: i32,
}

impl Edge {
    fn between((one, across_one): Pixel, (other, across_other): Pixel) -> Self {
        let (first, from, last, to) = if one <= other {
            (one, across_one, other, across_other)
        } else {
            (other, across_other, one, across_one)
        };
        Self {
            first,
            last,
            from,
            to,
        }
    }

    /// Where it crosses a line.
    fn at(&self, line: i32) -> f64 {
        let (rise, gone) = (
            i64::from(self.to) - i64::from(self.from),
            i64::from(line) - i64::from(self.first),
        );
        f64::from(self.from) + (rise * gone) as f64 / f64::from(self.last - self.first)
    }
}

impl Straight {
    /// `None` for another shape.
    pub fn of(outline: &[Pixel]) -> Option<Self> {
        let corners: [Pixel; 4] = outline.try_into().ok()?;
        let wide = |at: Pixel| (i64::from(at.0), i64::from(at.1));
        let turn = |place: usize| {
            let [a, b, c] = [0, 1, 2].map(|step| wide(corners[(place + step) % 4]));
            ((b.0 - a.0) * (c.1 - b.1) - (b.1 - a.1) * (c.0 - b.0)).signum()
        };
        if turn(0) == 0 || (1..4).any(|place| turn(place) != turn(0)) {
            return None;
        }
        let span = |of: fn(&Pixel) -> i32| {
            let all = corners.iter().map(of);
            Some((all.clone().min()?, all.max()?))
        };
        let (across, down) = (span(|at| at.0)?, span(|at| at.1)?);
        let by_columns = across.1 - across.0 > down.1 - down.0;
        let along = |at: Pixel| if by_columns { at } else { (at.1, at.0) };
        let (low, high) = if by_columns { across } else { down };
        Some(Self {
            by_columns,
            lines: low..high + 1,
            edges: [0, 1, 2, 3]
                .map(|place| Edge::between(along(corners[place]), along(corners[(place + 1) % 4]))),
        })
    }

    /// Between which places a line is filled.
    fn between(&self, line: i32) -> Option<(f64, f64)> {
        // On the last one the edges end, before that one edge is followed by the next.
        let last = line + 1 == self.lines.end;
        let met = |edge: &&Edge| {
            edge.first < edge.last
                && if last {
                    edge.last == line
                } else {
                    (edge.first..edge.last).contains(&line)
                }
        };
        let mut places = self.edges.iter().filter(met).map(|edge| edge.at(line));
        let (one, other) = (places.next()?, places.next()?);
        let (from, to) = (one.min(other), one.max(other));
        // Plotters leaves out a last one that is longer than a pixel.
        (!last || to - from <= 1.0).then_some((from, to))
    }
}

impl Band<'_> {
    /// Fills the pixels that plotters fills of it, those on the edge in part.
    ///
    /// # Errors
    /// When the painter refuses.
    pub fn straight(&mut self, stroke: &Straight, colour: RGBAColor) -> Result<(), DrawError> {
        let (low, beyond) = (stroke.lines.start, stroke.lines.end);
        let lines = if stroke.by_columns {
            low.max(0)..beyond.min(self.sheet.width as i32)
        } else {
            low.max(self.rows.start as i32)..beyond.min(self.rows.end as i32)
        };
        let colour = colour.color();
        let mut painter = self.painter();
        for line in lines {
            let Some((from, to)) = stroke.between(line) else {
                continue;
            };
            let inner = (from.ceil() as i32, to.floor() as i32);
            let (first, last) = (from.floor() as i32, to.ceil() as i32);
            let before = colour.mix(from.ceil() - from);
            if stroke.by_columns {
                painted(painter.draw_line((line, inner.0), (line, inner.1), &colour))?;
                painted(painter.draw_pixel((line, first), before))?;
                painted(painter.draw_pixel((line, last), colour.mix(to - to.floor())))?;
            } else {
                // Of a row plotters smooths the left end alone.
                painted(painter.draw_line((inner.0, line), (inner.1, line), &colour))?;
                painted(painter.draw_pixel((first, line), before))?;
            }
        }
        Ok(())
    }
}
