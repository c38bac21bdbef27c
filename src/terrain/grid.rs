//! Samples on a grid of parallels and meridians, and heights between them.
//!
//! Within a cell the height is interpolated bilinearly: along both rows first, then between them. It is
//! exact on a plane; on a surface of curvatures κ₁ and κ₂ along the axes it is off by at most
//! (κ₁ a² + κ₂ b²)/8 in a cell of a by b (the error of linear interpolation, in any textbook of numerical
//! analysis, along one axis and then the other).

use crate::geodesy::Position;
use std::ops::Range;

/// Positions within this of the edge lie on it, steps: a division has rounded them.
const EDGE: f64 = 1e-6;

/// Where samples lie.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Shape {
    /// Latitude of the first row of samples, the northernmost.
    pub(super) north_deg: f64,
    /// Longitude of the first column of samples, the westernmost.
    pub(super) west_deg: f64,
    /// From row to row, southwards; positive.
    pub(super) row_deg: f64,
    /// From column to column, eastwards; positive.
    pub(super) column_deg: f64,
    pub(super) rows: usize,
    pub(super) columns: usize,
    /// How far the samples hold beyond the outermost of them, in steps: half a step where each stands for
    /// a cell about it, none where it stands for its place.
    pub(super) margin: f64,
}

impl Shape {
    /// South and north edge.
    pub(super) fn latitudes_deg(&self) -> (f64, f64) {
        let over = (self.margin + EDGE) * self.row_deg;
        let south = self.north_deg - self.row_deg * (self.rows - 1) as f64;
        (south - over, self.north_deg + over)
    }

    /// West edge, and how far it is to the east one.
    pub(super) fn longitudes_deg(&self) -> (f64, f64) {
        let over = (self.margin + EDGE) * self.column_deg;
        let width = self.column_deg * (self.columns - 1) as f64;
        (self.west_deg - over, width + 2.0 * over)
    }

    /// Row and column of a place, with fractions; `None` if it lies outside.
    fn locate(&self, place: Position) -> Option<(f64, f64)> {
        let within = |at: f64, count: usize| {
            let (first, last) = (-self.margin, (count - 1) as f64 + self.margin);
            ((first - EDGE)..=(last + EDGE))
                .contains(&at)
                .then(|| at.clamp(first, last))
        };
        let row = (self.north_deg - place.lat()) / self.row_deg;
        let row = within(row, self.rows)?;
        let round = 360.0 / self.column_deg;
        let east = (place.lon() - self.west_deg).rem_euclid(360.0) / self.column_deg;
        // A little west of the first column is nearly all the way round to the east.
        let column = within(east, self.columns).or_else(|| within(east - round, self.columns))?;
        Some((row, column))
    }

    /// The row or column before a place, and how far past it the place lies. Beyond the outermost ones
    /// the line through the two next to it is drawn on.
    fn cell(at: f64, count: usize) -> (usize, f64) {
        let first = (at.floor().max(0.0) as usize).min(count - 2);
        (first, at - first as f64)
    }
}

/// The rows and columns of a shape that places lie among.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Window {
    pub(super) rows: Range<usize>,
    pub(super) columns: Range<usize>,
}

impl Window {
    /// The window around those of the places that lie in the shape; `None` if none does.
    pub(super) fn around(shape: &Shape, places: &[Position]) -> Option<Self> {
        let mut window: Option<Self> = None;
        for (row, column) in places.iter().filter_map(|place| shape.locate(*place)) {
            let (row, _) = Shape::cell(row, shape.rows);
            let (column, _) = Shape::cell(column, shape.columns);
            let all = window.get_or_insert(Self {
                rows: row..row + 2,
                columns: column..column + 2,
            });
            all.rows = all.rows.start.min(row)..all.rows.end.max(row + 2);
            all.columns = all.columns.start.min(column)..all.columns.end.max(column + 2);
        }
        window
    }

    pub(super) fn samples(&self) -> usize {
        self.rows.len().saturating_mul(self.columns.len())
    }
}

/// Heights of the samples in a window.
pub(super) struct Grid {
    shape: Shape,
    window: Window,
    /// Row by row from the north; NaN is a void.
    values: Vec<f32>,
}

impl Grid {
    pub(super) const fn new(shape: Shape, window: Window, values: Vec<f32>) -> Self {
        Self {
            shape,
            window,
            values,
        }
    }

    /// Height at a place, metres: `None` outside, `Some(None)` beside a void.
    pub(super) fn height_m(&self, place: Position) -> Option<Option<f64>> {
        let (row, column) = self.shape.locate(place)?;
        let (row, south) = Shape::cell(row, self.shape.rows);
        let (column, east) = Shape::cell(column, self.shape.columns);
        let corners = [
            (row, column, (1.0 - south) * (1.0 - east)),
            (row, column + 1, (1.0 - south) * east),
            (row + 1, column, south * (1.0 - east)),
            (row + 1, column + 1, south * east),
        ];
        let mut sum = 0.0;
        for (row, column, weight) in corners {
            // On a line of the grid the samples off it have no say, be they voids or not.
            if weight != 0.0 {
                sum += weight * f64::from(self.sample(row, column)?);
            }
        }
        Some((!sum.is_nan()).then_some(sum))
    }

    fn sample(&self, row: usize, column: usize) -> Option<f32> {
        let Window { rows, columns } = &self.window;
        if !rows.contains(&row) || !columns.contains(&column) {
            return None;
        }
        let at = (row - rows.start) * columns.len() + column - columns.start;
        self.values.get(at).copied()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn place(lat: f64, lon: f64) -> Position {
        Position::new(lat, lon).unwrap()
    }

    /// Six rows and eleven columns, a degree apart, from 179° E over the antimeridian.
    fn shape(margin: f64) -> Shape {
        Shape {
            north_deg: 2.0,
            west_deg: 175.0,
            row_deg: 1.0,
            column_deg: 1.0,
            rows: 6,
            columns: 11,
            margin,
        }
    }

    #[test]
    fn edges_are_inside_and_what_is_beyond_is_not() {
        let inside = |shape: Shape, lat, lon| shape.locate(place(lat, lon));
        assert_eq!(inside(shape(0.0), 2.0, 175.0), Some((0.0, 0.0)));
        assert_eq!(inside(shape(0.0), -3.0, -175.0), Some((5.0, 10.0)));
        assert_eq!(inside(shape(0.0), -0.5, -180.0), Some((2.5, 5.0)));
        assert_eq!(inside(shape(0.0), 2.01, 175.0), None);
        assert_eq!(inside(shape(0.0), 2.0, 174.99), None);
        assert_eq!(inside(shape(0.0), 2.0, -174.99), None);
        assert_eq!(inside(shape(0.5), 2.5, 174.5), Some((-0.5, -0.5)));
        assert_eq!(inside(shape(0.5), -3.6, 175.0), None);
        let whole = Shape {
            west_deg: -179.5,
            columns: 360,
            ..shape(0.5)
        };
        // All the way round: the western edge is the eastern one.
        assert_eq!(inside(whole, 0.0, 180.0), Some((2.0, 359.5)));
        assert_eq!(inside(whole, 0.0, 179.9), Some((2.0, 359.4)));
    }

    #[test]
    fn windows_hold_what_is_asked_for_and_little_else() {
        let around = |places: &[Position]| Window::around(&shape(0.5), places);
        assert_eq!(around(&[place(50.0, 0.0)]), None);
        let window = around(&[place(0.5, 177.2), place(-0.2, -179.0), place(50.0, 0.0)]).unwrap();
        assert_eq!((window.rows, window.columns), (1..4, 2..8));
        let corner = around(&[place(-3.4, -174.6)]).unwrap();
        assert_eq!((corner.rows, corner.columns), (4..6, 9..11));
    }
}
