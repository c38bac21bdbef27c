//! The cells of a grid in a straight ribbon of any direction.

use super::raster::Grid;
use super::segment::Segment;
use std::ops::RangeInclusive;

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
    /// Calls `f(cell, along, cross)` for every cell whose centre lies in it, with where that is. Row by row
    /// the columns are found by solving the two pairs of bounds, so that a slanting ribbon costs no more.
    pub fn for_cells(&self, grid: &Grid, mut f: impl FnMut(usize, f64, f64)) {
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
            for column in grid.columns_between(segment.start.x + from, segment.start.x + to) {
                let dx = grid.centre(column, row).x - segment.start.x;
                f(
                    row * grid.columns + column,
                    dx * ax + dy * ay,
                    dx * ay - dy * ax,
                );
            }
        }
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
            ribbon.for_cells(&grid, |cell, along_m, cross_m| {
                assert!((-10.4..120.3).contains(&along_m) && (-40.2..15.8).contains(&cross_m));
                got.push(cell);
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
