//! Exposure of every cell of a grid to the lines flown while looking.
//!
//! Under the inverse-cube law every line reaches every cell. The grid is worked in tiles: what passes
//! near a tile is integrated exactly at each cell centre; the rest varies so smoothly over the tile
//! that it is integrated at 3 x 3 places and interpolated by a biquadratic. With lines farther than
//! `FAR_HALF_DIAGONALS` half-diagonals the interpolation errs by less than 1 % of a contribution
//! that is itself below 0.01 (test `tiles_agree_with_the_plain_sum`: 0.0002 of POD). The work is
//! linear in tiles times lines far off plus cells times lines near by.

use super::looking::LookingLine;
use super::raster::Grid;
use crate::detection::{InverseCube, View};
use geo::Coord;
use rayon::prelude::*;

/// Cells along the side of a tile.
const TILE: usize = 16;
/// Lines farther from a tile's centre than this many of its half-diagonals are far.
const FAR_HALF_DIAGONALS: f64 = 4.0;

/// A straight piece of a looking line.
#[derive(Clone, Copy, Debug)]
struct Segment {
    start: Coord<f64>,
    /// Unit vector along it.
    along: Coord<f64>,
    length_m: f64,
}

impl Segment {
    fn between(a: Coord<f64>, b: Coord<f64>) -> Option<Self> {
        let (dx, dy) = (b.x - a.x, b.y - a.y);
        let length_m = dx.hypot(dy);
        (length_m > 0.0).then(|| Self {
            start: a,
            along: Coord {
                x: dx / length_m,
                y: dy / length_m,
            },
            length_m,
        })
    }

    /// Distance along the segment's line to the foot of the perpendicular, and distance from the
    /// line, right positive.
    fn locate(&self, p: Coord<f64>) -> (f64, f64) {
        let (dx, dy) = (p.x - self.start.x, p.y - self.start.y);
        (
            dx * self.along.x + dy * self.along.y,
            dx * self.along.y - dy * self.along.x,
        )
    }

    fn distance_m(&self, p: Coord<f64>) -> f64 {
        let (along, cross) = self.locate(p);
        cross.hypot((-along).max(along - self.length_m).max(0.0))
    }

    fn exposure(&self, p: Coord<f64>, law: &InverseCube) -> f64 {
        let (along, cross) = self.locate(p);
        law.exposure(cross, -along, self.length_m - along)
    }
}

fn segments(lines: &[LookingLine]) -> Vec<Segment> {
    lines
        .iter()
        .flat_map(|looking| looking.line.windows(2))
        .filter_map(|pair| Segment::between(pair[0], pair[1]))
        .collect()
}

/// Inverse-cube exposure at every cell centre, row after row.
#[must_use]
pub fn inverse_cube(grid: &Grid, lines: &[LookingLine], law: &InverseCube, view: View) -> Vec<f32> {
    let segments = segments(lines);
    let whole = view.is_whole();
    let mut exposure = vec![0.0f32; grid.columns * grid.rows];
    // One band of tiles per task: the sums of a cell do not depend on how the bands are shared out.
    exposure
        .par_chunks_mut(grid.columns * TILE)
        .enumerate()
        .for_each(|(band, cells)| {
            let rows = band * TILE..(band * TILE + cells.len() / grid.columns);
            let mut near = Vec::new();
            for first_column in (0..grid.columns).step_by(TILE) {
                let columns = first_column..(first_column + TILE).min(grid.columns);
                let tile = Tile::new(grid, &columns, &rows);
                let far = tile.split(&segments, law, view, &mut near);
                for row in rows.clone() {
                    for column in columns.clone() {
                        let p = grid.centre(column, row);
                        let mut sum = far.at(&tile, p);
                        for segment in &near {
                            if whole || view.sees(segment.locate(p).1) {
                                sum += segment.exposure(p, law);
                            }
                        }
                        cells[(row - rows.start) * grid.columns + column] = sum as f32;
                    }
                }
            }
        });
    exposure
}

/// A block of cells.
struct Tile {
    centre: Coord<f64>,
    /// Half its sides, metres.
    half: Coord<f64>,
}

/// What the far lines leave over a tile: values at 3 x 3 nodes.
struct Far {
    nodes: [[f64; 3]; 3],
}

impl Tile {
    fn new(grid: &Grid, columns: &std::ops::Range<usize>, rows: &std::ops::Range<usize>) -> Self {
        let low = grid.centre(columns.start, rows.start);
        let high = grid.centre(columns.end - 1, rows.end - 1);
        let half = |a: f64, b: f64| ((b - a) / 2.0).max(grid.cell_m / 2.0);
        Self {
            centre: Coord {
                x: (low.x + high.x) / 2.0,
                y: (low.y + high.y) / 2.0,
            },
            half: Coord {
                x: half(low.x, high.x),
                y: half(low.y, high.y),
            },
        }
    }

    fn node(&self, i: usize, j: usize) -> Coord<f64> {
        Coord {
            x: self.centre.x + (i as f64 - 1.0) * self.half.x,
            y: self.centre.y + (j as f64 - 1.0) * self.half.y,
        }
    }

    /// Sums the far segments at the nodes and leaves the others in `near`.
    fn split(
        &self,
        segments: &[Segment],
        law: &InverseCube,
        view: View,
        near: &mut Vec<Segment>,
    ) -> Far {
        near.clear();
        let radius_m = self.half.x.hypot(self.half.y);
        let far_m = FAR_HALF_DIAGONALS * radius_m;
        let mut nodes = [[0.0; 3]; 3];
        for segment in segments {
            let cross = segment.locate(self.centre).1;
            // A tile on an edge of what is in view is seen in part: not smooth, so not interpolated.
            if view.is_cut_within(cross, radius_m) || segment.distance_m(self.centre) <= far_m {
                near.push(*segment);
            } else if view.sees(cross) {
                for (j, row) in nodes.iter_mut().enumerate() {
                    for (i, value) in row.iter_mut().enumerate() {
                        *value += segment.exposure(self.node(i, j), law);
                    }
                }
            }
        }
        Far { nodes }
    }
}

impl Far {
    /// Biquadratic interpolation between the nodes.
    fn at(&self, tile: &Tile, p: Coord<f64>) -> f64 {
        let u = lagrange((p.x - tile.centre.x) / tile.half.x);
        let v = lagrange((p.y - tile.centre.y) / tile.half.y);
        let row = |r: &[f64; 3]| r[0] * u[0] + r[1] * u[1] + r[2] * u[2];
        row(&self.nodes[0]) * v[0] + row(&self.nodes[1]) * v[1] + row(&self.nodes[2]) * v[2]
    }
}

/// Lagrange weights of the nodes -1, 0, 1 at `t`.
fn lagrange(t: f64) -> [f64; 3] {
    [t * (t - 1.0) / 2.0, 1.0 - t * t, t * (t + 1.0) / 2.0]
}

/// How many passages went by each cell within `half_width_m`, abeam, row after row.
#[must_use]
pub fn passes_within(
    grid: &Grid,
    lines: &[LookingLine],
    half_width_m: f64,
    view: View,
) -> Vec<u16> {
    let mut count = vec![0u16; grid.columns * grid.rows];
    // The passage that was counted last at each cell, plus one.
    let mut counted_by = vec![0u32; grid.columns * grid.rows];
    for looking in lines {
        let this = looking.passage as u32 + 1;
        let pieces: Vec<Segment> = looking
            .line
            .windows(2)
            .filter_map(|pair| Segment::between(pair[0], pair[1]))
            .collect();
        for (k, segment) in pieces.iter().enumerate() {
            // Around a joint the swath is round; at the ends of the line it is square.
            let rounded_start = k > 0;
            let rounded_end = k + 1 < pieces.len();
            for_cells_near(grid, segment, half_width_m, |cell, p| {
                let (along, cross) = segment.locate(p);
                let off = (-along).max(along - segment.length_m).max(0.0);
                let abeam =
                    off == 0.0 || (along < 0.0 && rounded_start) || (along > 0.0 && rounded_end);
                if abeam
                    && cross.hypot(off) <= half_width_m
                    && view.sees(cross)
                    && counted_by[cell] != this
                {
                    counted_by[cell] = this;
                    count[cell] = count[cell].saturating_add(1);
                }
            });
        }
    }
    count
}

/// Calls `f(cell, centre)` for cells within `reach_m` of a segment, and some beside. Long segments
/// are taken piece by piece, so that a slanting one does not touch the whole grid.
fn for_cells_near(
    grid: &Grid,
    segment: &Segment,
    reach_m: f64,
    mut f: impl FnMut(usize, Coord<f64>),
) {
    let pieces = (segment.length_m / (4.0 * reach_m).max(8.0 * grid.cell_m))
        .ceil()
        .max(1.0);
    let step = segment.length_m / pieces;
    let point = |d: f64| Coord {
        x: segment.start.x + d * segment.along.x,
        y: segment.start.y + d * segment.along.y,
    };
    // A cell that two pieces share is offered twice; the caller counts passages, not offers.
    for k in 0..pieces as usize {
        let (a, b) = (point(step * k as f64), point(step * (k as f64 + 1.0)));
        let cells = |low: f64, high: f64, origin: f64, count: usize| {
            let index = |v: f64| ((v - origin) / grid.cell_m).floor().max(0.0) as usize;
            index(low - reach_m)..(index(high + reach_m) + 1).min(count)
        };
        let columns = cells(a.x.min(b.x), a.x.max(b.x), grid.origin.x, grid.columns);
        for row in cells(a.y.min(b.y), a.y.max(b.y), grid.origin.y, grid.rows) {
            for column in columns.clone() {
                f(row * grid.columns + column, grid.centre(column, row));
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::detection::Scanners;
    use crate::units::Length;

    fn lines() -> Vec<LookingLine> {
        (0..6)
            .map(|i| LookingLine {
                passage: i,
                line: vec![
                    Coord {
                        x: 500.0 + 900.0 * i as f64,
                        y: 300.0,
                    },
                    Coord {
                        x: 520.0 + 900.0 * i as f64,
                        y: 4_000.0,
                    },
                    Coord {
                        x: 480.0 + 900.0 * i as f64,
                        y: 9_000.0,
                    },
                ],
            })
            .collect()
    }

    fn grid() -> Grid {
        Grid {
            origin: Coord { x: 0.0, y: 0.0 },
            cell_m: 90.0,
            columns: 70,
            rows: 110,
        }
    }

    /// Against the plain sum over every segment at every cell.
    #[test]
    fn tiles_agree_with_the_plain_sum() {
        let (grid, lines) = (grid(), lines());
        let width = Length::from_m(900.0);
        let laws = [None, Some(Length::from_ft(500.0))].map(|h| InverseCube::new(width, h));
        let sides = [Scanners::Both, Scanners::Left, Scanners::Right];
        let views = sides
            .map(View::of)
            .into_iter()
            .chain(sides.map(|scanners| View {
                scanners,
                blind_m: 250.0,
            }));
        for (law, view) in laws
            .iter()
            .flat_map(|law| views.clone().map(move |view| (law, view)))
        {
            let fast = inverse_cube(&grid, &lines, law, view);
            let mut worst: f64 = 0.0;
            for row in 0..grid.rows {
                for column in 0..grid.columns {
                    let p = grid.centre(column, row);
                    let plain: f64 = segments(&lines)
                        .iter()
                        .filter(|s| view.sees(s.locate(p).1))
                        .map(|s| s.exposure(p, law))
                        .sum();
                    let got = f64::from(fast[row * grid.columns + column]);
                    worst = worst.max(((-got).exp() - (-plain).exp()).abs());
                }
            }
            assert!(worst < 2e-4, "{worst}");
        }
    }

    /// Against the distance to the polyline at every cell, ends cut square.
    #[test]
    fn swaths_agree_with_the_plain_count() {
        let (grid, lines) = (grid(), lines());
        let got = passes_within(&grid, &lines, 700.0, View::WHOLE);
        for row in 0..grid.rows {
            for column in 0..grid.columns {
                let p = grid.centre(column, row);
                let plain = lines
                    .iter()
                    .filter(|l| {
                        (p.y > 300.0 && p.y < 9_000.0)
                            && l.line.windows(2).any(|pair| {
                                Segment::between(pair[0], pair[1]).unwrap().distance_m(p) <= 700.0
                            })
                    })
                    .count();
                // The square ends lean with the line by half a cell at most.
                let near_end = (p.y - 300.0).abs() < 50.0 || (p.y - 9_000.0).abs() < 50.0;
                if !near_end {
                    assert_eq!(
                        usize::from(got[row * grid.columns + column]),
                        plain,
                        "{p:?}"
                    );
                }
            }
        }
        assert!(got.contains(&2) && got.contains(&0));
    }
}
