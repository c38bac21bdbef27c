//! The cells of a grid in a straight ribbon of any direction.

use super::raster::Grid;
use super::segment::Segment;
use std::ops::{Range, RangeInclusive};

/// A rectangle along a segment, in its own coordinates.
#[derive(Clone, Debug)]
pub(super) struct Ribbon {
    pub segment: Segment,
    /// From and to along the segment, metres from its start.
    pub along_m: RangeInclusive<f64>,
    /// From and to across it, right positive.
    pub cross_m: RangeInclusive<f64>,
}

impl Ribbon {
    /// Calls `f` for every row of the grid in which there are such cells. The columns are found by solving
    /// the two pairs of bounds, so that a slanting ribbon costs no more.
    pub fn for_rows(&self, grid: &Grid, mut f: impl FnMut(Row)) {
        let Self {
            segment,
            along_m,
            cross_m,
        } = self;
        let (first_m, last_m) = (*along_m.start(), *along_m.end());
        let (left_m, right_m) = (*cross_m.start(), *cross_m.end());
        let corners = [
            segment.place(first_m, left_m),
            segment.place(first_m, right_m),
            segment.place(last_m, left_m),
            segment.place(last_m, right_m),
        ];
        let low = corners.iter().map(|c| c.y).fold(f64::INFINITY, f64::min);
        let high = corners
            .iter()
            .map(|c| c.y)
            .fold(f64::NEG_INFINITY, f64::max);
        let (ax, ay) = (segment.along.x, segment.along.y);
        for row in grid.rows_between(low, high) {
            let dy = grid.centre(0, row).y - segment.start.y;
            // along = dx·ax + dy·ay and cross = dx·ay - dy·ax are both linear in dx.
            let by_along = solve(ax, dy * ay, first_m, last_m);
            let by_cross = solve(ay, -dy * ax, left_m, right_m);
            let (from, to) = (by_along.0.max(by_cross.0), by_along.1.min(by_cross.1));
            if from > to {
                continue;
            }
            let columns = grid.columns_between(segment.start.x + from, segment.start.x + to);
            if columns.is_empty() {
                continue;
            }
            let dx = grid.centre(columns.start, row).x - segment.start.x;
            let first = row * grid.columns;
            f(Row {
                cells: first + columns.start..first + columns.end,
                first: (dx * ax + dy * ay, dx * ay - dy * ax),
                each: (grid.cell_m * ax, grid.cell_m * ay),
            });
        }
    }
}

/// Cells of one row of the grid that lie in a ribbon.
#[derive(Clone, Debug)]
pub(super) struct Row {
    pub cells: Range<usize>,
    /// Along and across of the first of them.
    first: (f64, f64),
    /// What each adds.
    each: (f64, f64),
}

impl Row {
    /// Along the segment, of the i-th cell, metres.
    pub fn along_m(&self, i: usize) -> f64 {
        self.first.0 + i as f64 * self.each.0
    }

    /// Across it, right positive.
    pub fn cross_m(&self, i: usize) -> f64 {
        self.first.1 + i as f64 * self.each.1
    }
}

/// The values of x for which low <= k x + c <= high.
fn solve(k: f64, c: f64, low: f64, high: f64) -> (f64, f64) {
    if k.abs() < 1e-12 {
        return if (low..=high).contains(&c) {
            (f64::NEG_INFINITY, f64::INFINITY)
        } else {
            (f64::INFINITY, f64::NEG_INFINITY)
        };
    }
    let (a, b) = ((low - c) / k, (high - c) / k);
    (a.min(b), a.max(b))
}

#[cfg(test)]
mod tests {
    use super::*;
    use geo::Coord;

    /// Against asking every cell of the grid.
    #[test]
    fn it_holds_the_cells_whose_centres_lie_in_it() {
        let grid = Grid {
            origin: Coord { x: -30.0, y: 50.0 },
            cell_m: 7.0,
            columns: 60,
            rows: 50,
        };
        let start = Coord { x: 150.0, y: 200.0 };
        for degrees in [0, 1, 30, 45, 90, 135, 180, 200, 270, 359] {
            let (sin, cos) = f64::from(degrees).to_radians().sin_cos();
            let end = Coord {
                x: start.x + 120.0 * sin,
                y: start.y + 120.0 * cos,
            };
            let segment = Segment::between(start, end).unwrap();
            let ribbon = Ribbon {
                segment,
                along_m: -10.3..=120.2,
                cross_m: -40.1..=15.7,
            };
            let mut got = Vec::new();
            ribbon.for_rows(&grid, |cells| {
                for (i, cell) in cells.cells.clone().enumerate() {
                    let centre = grid.centre(cell % grid.columns, cell / grid.columns);
                    let (along_m, cross_m) = segment.locate(centre);
                    assert!((cells.along_m(i) - along_m).abs() < 1e-9);
                    assert!((cells.cross_m(i) - cross_m).abs() < 1e-9);
                    got.push(cell);
                }
            });
            let mut plain = Vec::new();
            for row in 0..grid.rows {
                for column in 0..grid.columns {
                    let (along_m, cross_m) = segment.locate(grid.centre(column, row));
                    if ribbon.along_m.contains(&along_m) && ribbon.cross_m.contains(&cross_m) {
                        plain.push(row * grid.columns + column);
                    }
                }
            }
            assert_eq!(got, plain, "{degrees} degrees");
            assert!(plain.len() > 100);
        }
    }
}
