//! How the POD over the area grew while it was flown, for a replay: a coarser grid, step by step.

use super::look::Look;
use super::looking::looking_lines;
use super::raster::{Grid, Raster};
use crate::detection::law::pod;
use crate::track::motion::Motion;
use geo::Coord;
use std::ops::Range;

/// Most cells of the grid. Chosen: what a replay shows is moving, and it is one of hundreds of pictures.
const MOST_CELLS: usize = 16_000;
/// Most steps. Chosen: four hours are then shown to about a minute.
const MOST_STEPS: usize = 240;
/// Shortest step, seconds. Chosen: nothing is to be seen of less.
const LEAST_STEP_S: f64 = 10.0;

/// The POD over the area, step by step; every cell lies on the centre of one of the raster it comes from.
#[derive(Clone, Debug)]
pub struct Growth {
    /// The cells.
    pub grid: Grid,
    /// The end of each step, seconds since the first fix of the log.
    pub ends_s: Vec<f64>,
    /// POD of every cell at the end of each step, row after row; NaN outside the area.
    pub pod: Vec<Vec<f32>>,
}

/// A passage as far as it is flown.
struct Passage<'a> {
    ranges: &'a [Range<usize>],
    from_s: f64,
    to_s: f64,
}

impl Growth {
    /// The growth of `raster` while these ranges of fixes were flown, passage by passage, looking as `look` says.
    #[must_use]
    pub fn of(
        raster: &Raster,
        look: &Look,
        ranges: &[Vec<Range<usize>>],
        motion: &Motion,
        tolerance_m: f64,
    ) -> Self {
        let coarser = Coarser::than(&raster.grid);
        let grid = coarser.grid;
        let inside: Vec<bool> = (0..grid.rows * grid.columns)
            .map(|cell| {
                let (column, row) = coarser.fine(cell % grid.columns, cell / grid.columns);
                !raster.value(column, row).is_nan()
            })
            .collect();
        let passages: Vec<Passage<'_>> = ranges
            .iter()
            .filter_map(|ranges| {
                Some(Passage {
                    ranges,
                    from_s: motion.time_s[ranges.first()?.start],
                    to_s: motion.time_s[ranges.last()?.end - 1],
                })
            })
            .collect();
        let ends_s = steps(&passages);
        // Of the passages that ended before this step; each of the others as far as it is flown.
        let mut ended = vec![0.0f32; inside.len()];
        let mut begins_s = f64::NEG_INFINITY;
        let mut grown = Vec::with_capacity(ends_s.len());
        for end_s in &ends_s {
            let mut now = ended.clone();
            let flown = |p: &&Passage<'_>| p.from_s <= *end_s && p.to_s > begins_s;
            for passage in passages.iter().filter(flown) {
                let lines = looking_lines(&[passage.until(*end_s, motion)], motion, tolerance_m);
                let exposure = look.exposure(&grid, &lines);
                add(&mut now, &exposure);
                if passage.to_s <= *end_s {
                    add(&mut ended, &exposure);
                }
            }
            begins_s = *end_s;
            let pods = inside.iter().zip(&now).map(|(inside, exposure)| {
                if *inside {
                    pod(f64::from(*exposure)) as f32
                } else {
                    f32::NAN
                }
            });
            grown.push(pods.collect());
        }
        Self {
            grid,
            ends_s,
            pod: grown,
        }
    }
}

impl Passage<'_> {
    /// Its ranges of fixes until a time.
    fn until(&self, end_s: f64, motion: &Motion) -> Vec<Range<usize>> {
        self.ranges
            .iter()
            .filter_map(|range| {
                let flown = motion.time_s[range.clone()].partition_point(|s| *s <= end_s);
                (flown > 0).then(|| range.start..range.start + flown)
            })
            .collect()
    }
}

fn add(sum: &mut [f32], other: &[f32]) {
    for (sum, other) in sum.iter_mut().zip(other) {
        *sum += other;
    }
}

/// Ends of steps of equal length from the first passage to the last; the last step ends with it.
fn steps(passages: &[Passage<'_>]) -> Vec<f64> {
    let from_s = passages
        .iter()
        .map(|p| p.from_s)
        .fold(f64::INFINITY, f64::min);
    let to_s = passages
        .iter()
        .map(|p| p.to_s)
        .fold(f64::NEG_INFINITY, f64::max);
    if from_s > to_s {
        return Vec::new();
    }
    let wanted = ((to_s - from_s) / LEAST_STEP_S).ceil() as usize;
    let count = wanted.clamp(1, MOST_STEPS);
    (1..count)
        .map(|step| from_s + (to_s - from_s) * step as f64 / count as f64)
        .chain([to_s])
        .collect()
}

/// A grid of few enough cells, each on the centre of one of the finer grid.
struct Coarser {
    grid: Grid,
    stride: usize,
    /// Column and row of the finer grid on which the first cell lies.
    first: (usize, usize),
}

impl Coarser {
    fn than(fine: &Grid) -> Self {
        // The middle of each block stands for it; of less than half a block the last cell.
        let first = |stride: usize, cells: usize| (stride / 2).min(cells - 1);
        let count = |stride, cells| (cells - first(stride, cells)).div_ceil(stride);
        let mut stride = 1;
        while count(stride, fine.columns) * count(stride, fine.rows) > MOST_CELLS {
            stride += 1;
        }
        let first = (first(stride, fine.columns), first(stride, fine.rows));
        let cell_m = fine.cell_m * stride as f64;
        let corner = |origin_m: f64, first: usize| {
            origin_m + fine.cell_m * (first as f64 + 0.5) - cell_m / 2.0
        };
        let grid = Grid {
            origin: Coord {
                x: corner(fine.origin.x, first.0),
                y: corner(fine.origin.y, first.1),
            },
            cell_m,
            columns: count(stride, fine.columns),
            rows: count(stride, fine.rows),
        };
        Self {
            grid,
            stride,
            first,
        }
    }

    /// The cell of the finer grid on which one of these lies.
    fn fine(&self, column: usize, row: usize) -> (usize, usize) {
        (
            self.first.0 + column * self.stride,
            self.first.1 + row * self.stride,
        )
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn grid(columns: usize, rows: usize) -> Grid {
        Grid {
            origin: Coord { x: -300.0, y: 70.0 },
            cell_m: 90.0,
            columns,
            rows,
        }
    }

    #[test]
    fn every_coarse_cell_lies_on_a_fine_one() {
        for (columns, rows) in [(1, 1), (70, 110), (400, 300), (2, 60_000), (3_001, 997)] {
            let fine = grid(columns, rows);
            let coarser = Coarser::than(&fine);
            let grid = coarser.grid;
            assert!(grid.columns * grid.rows <= MOST_CELLS && grid.columns > 0 && grid.rows > 0);
            for (column, row) in [(0, 0), (grid.columns - 1, grid.rows - 1)] {
                let (x, y) = coarser.fine(column, row);
                assert!(x < columns && y < rows);
                let off = grid.centre(column, row) - fine.centre(x, y);
                assert!(off.x.hypot(off.y) < 1e-6, "{columns} x {rows}: {off:?}");
            }
        }
    }
}
