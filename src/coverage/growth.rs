//! How the POD over the area grew while it was flown, for a replay: a coarser grid, step by step.

use super::chords::Chords;
use super::exposure::{TILE, add_to_band};
use super::look::Look;
use super::looking::{FlownLine, LookingLine};
use super::pieces::{Piece, pieces};
use super::raster::{Grid, Raster};
use super::swath::passes_within;
use crate::detection::{InverseCube, Law, View};
use crate::track::motion::Motion;
use geo::Coord;
use rayon::prelude::*;
use std::collections::BTreeMap;

/// Most cells of the grid. Chosen: what a replay shows is moving, and it is one of hundreds of pictures.
const MOST_CELLS: usize = 16_000;
/// Most steps. Chosen: four hours are then shown to about a minute.
const MOST_STEPS: usize = 240;
/// Shortest step, seconds. Chosen: nothing is to be seen of less.
const LEAST_STEP_S: f64 = 10.0;
/// Steps of POD that are told apart. Chosen: as many as the page shows; what grows by less is not seen.
pub const SHARES: u8 = 64;
/// In the place of a POD: the cell lies outside the area.
pub const OUTSIDE: u8 = u8::MAX;

/// The POD over the area, step by step; every cell lies on the centre of one of the raster it comes from.
#[derive(Clone, Debug)]
pub struct Growth {
    /// The cells.
    pub grid: Grid,
    /// The end of each step, seconds since the first fix of the log.
    pub ends_s: Vec<f64>,
    /// POD of every cell at the end of each step, row after row, in [`SHARES`]ths, rounded; [`OUTSIDE`] outside the area.
    pub shares: Vec<Vec<u8>>,
}

impl Growth {
    /// The growth of `raster` while these lines were flown, looking as `look` says.
    #[must_use]
    pub fn of(raster: &Raster, look: &Look, flown: &[FlownLine], motion: &Motion) -> Self {
        let coarser = Coarser::than(&raster.grid);
        let grid = coarser.grid;
        let inside: Vec<bool> = (0..grid.rows * grid.columns)
            .map(|cell| {
                let (column, row) = coarser.fine(cell % grid.columns, cell / grid.columns);
                !raster.value(column, row).is_nan()
            })
            .collect();
        let ends_s = steps(flown, motion);
        let steps = pieces(flown, motion, &ends_s);
        let shares = match look.law {
            Law::InverseCube => by_lines(&grid, &steps, &look.inverse_cube, look.view, &inside),
            Law::Exponential => {
                let (half_m, effort) = (look.spacing_m / 2.0, look.effort() as f32);
                by_swaths(&grid, &steps, (half_m, View::WHOLE), effort, &inside)
            }
            Law::DefiniteRange => {
                let half_m = look.sweep_width_m() / 2.0;
                by_swaths(&grid, &steps, (half_m, look.view), f32::INFINITY, &inside)
            }
        };
        Self {
            grid,
            ends_s,
            shares,
        }
    }
}

/// Exposures that make the steps of POD. Exposure only grows, so that the step of a cell is found by going on from the
/// last one.
struct Shown {
    /// The least exposure for each.
    from: [f32; SHARES as usize + 1],
}

impl Shown {
    fn new() -> Self {
        // POD = 1 - exp(-F), rounded to the nearest share.
        let pod = |share: usize| (share as f64 - 0.5) / f64::from(SHARES);
        Self {
            from: std::array::from_fn(|share| match share {
                0 => 0.0,
                _ => -(-pod(share)).ln_1p() as f32,
            }),
        }
    }

    fn grow(&self, shares: &mut [u8], exposure: &[f32]) {
        for (share, exposure) in shares.iter_mut().zip(exposure) {
            while *share < SHARES && *exposure >= self.from[usize::from(*share) + 1] {
                *share += 1;
            }
        }
    }
}

fn at_first(inside: &[bool]) -> Vec<u8> {
    let first = |inside: &bool| if *inside { 0 } else { OUTSIDE };
    inside.iter().map(first).collect()
}

/// Under the inverse-cube law every piece of line adds to every cell.
fn by_lines(
    grid: &Grid,
    steps: &[Vec<Piece>],
    law: &InverseCube,
    view: View,
    inside: &[bool],
) -> Vec<Vec<u8>> {
    let shown = Shown::new();
    let width_m = law.sweep_width().m();
    let chords = |pieces: &Vec<Piece>| {
        let chords = pieces.iter().map(|p| Chords::of(p.line(), width_m, view));
        chords.flatten().collect()
    };
    let steps: Vec<Vec<Chords>> = steps.iter().map(chords).collect();
    // One band of tiles per task, through all steps.
    let bands: Vec<Vec<Vec<u8>>> = inside
        .par_chunks(grid.columns * TILE)
        .enumerate()
        .map(|(band, inside)| {
            let mut exposure = vec![0.0f32; inside.len()];
            let mut shares = at_first(inside);
            let grown = steps.iter().map(|lines| {
                add_to_band(grid, band * TILE, lines, law, view, &mut exposure);
                shown.grow(&mut shares, &exposure);
                shares.clone()
            });
            grown.collect()
        })
        .collect();
    let step = |step: usize| bands.iter().flat_map(|band| &band[step]).copied().collect();
    (0..steps.len()).map(step).collect()
}

/// Under the others a passage counts once at every cell within `half_m` abeam of it.
fn by_swaths(
    grid: &Grid,
    steps: &[Vec<Piece>],
    (half_m, view): (f64, View),
    each: f32,
    inside: &[bool],
) -> Vec<Vec<u8>> {
    let shown = Shown::new();
    let mut exposure = vec![0.0f32; inside.len()];
    let mut shares = at_first(inside);
    // Where each passage was counted.
    let mut counted: BTreeMap<usize, Vec<bool>> = BTreeMap::new();
    let mut grow = |pieces: &Vec<Piece>| {
        for piece in pieces {
            let line = LookingLine {
                passage: piece.passage,
                line: piece.with_bend().to_vec(),
            };
            let passed = passes_within(grid, &[line], half_m, view);
            let counted = counted
                .entry(piece.passage)
                .or_insert_with(|| vec![false; inside.len()]);
            for ((passed, counted), exposure) in passed.iter().zip(counted).zip(&mut exposure) {
                if *passed > 0 && !*counted {
                    *counted = true;
                    *exposure += each;
                }
            }
        }
        shown.grow(&mut shares, &exposure);
        shares.clone()
    };
    steps.iter().map(&mut grow).collect()
}

/// Ends of steps of equal length from the first passage to the last; the last step ends with it.
fn steps(flown: &[FlownLine], motion: &Motion) -> Vec<f64> {
    let times = flown.iter().flat_map(|line| &line.fixes);
    let times = times.map(|fix| motion.time_s[*fix]);
    let (from_s, to_s) = times.fold((f64::INFINITY, f64::NEG_INFINITY), |(from, to), s| {
        (from.min(s), to.max(s))
    });
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
    use super::super::pieces::tests::flown;
    use super::*;
    use crate::detection::Scanners;
    use crate::detection::law::pod;
    use crate::geodesy::{LocalFrame, Position};
    use crate::units::Length;

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

    /// At every step, under every law, against the exposure of the lines flown by then, worked out anew: all but a few
    /// cells on an edge or close to where the POD is rounded up.
    #[test]
    fn every_step_shows_what_was_flown_by_then() {
        let (flown, motion) = flown();
        let fine = Grid {
            origin: Coord { x: 0.0, y: 0.0 },
            cell_m: 60.0,
            columns: 90,
            rows: 110,
        };
        let raster = Raster {
            frame: LocalFrame::new(Position::new(47.0, 12.0).unwrap()),
            values: (0..90 * 110)
                .map(|cell| if cell % 90 < 70 { 0.5 } else { f32::NAN })
                .collect(),
            grid: fine,
        };
        for (law, scanners) in [
            (Law::InverseCube, Scanners::Both),
            (Law::InverseCube, Scanners::Right),
            (Law::Exponential, Scanners::Both),
            (Law::DefiniteRange, Scanners::Left),
        ] {
            let look = Look {
                law,
                inverse_cube: InverseCube::new(Length::from_m(800.0), None),
                spacing_m: 900.0,
                view: View::of(scanners),
            };
            let growth = Growth::of(&raster, &look, &flown, &motion);
            assert_eq!(growth.ends_s.len(), growth.shares.len());
            assert!(growth.ends_s.len() > 60);
            let shown = growth.ends_s.iter().zip(&growth.shares);
            let (mut compared, mut off) = (0, 0);
            for (end_s, shares) in shown.skip(3).step_by(7) {
                let by_then: Vec<LookingLine> = flown
                    .iter()
                    .filter(|line| motion.time_s[line.fixes[0]] < *end_s)
                    .map(|line| until(line, &motion, *end_s))
                    .collect();
                let exposure = look.exposure(&growth.grid, &by_then);
                for (cell, (share, exposure)) in shares.iter().zip(&exposure).enumerate() {
                    if cell % growth.grid.columns >= 70 {
                        assert_eq!(*share, OUTSIDE);
                        continue;
                    }
                    compared += 1;
                    let there = f64::from(SHARES) * pod(f64::from(*exposure));
                    off += usize::from((f64::from(*share) - there).abs() > 0.52);
                }
            }
            assert!(
                compared > 70_000 && off * 500 < compared,
                "{law:?}: {off} of {compared}"
            );
        }
    }

    /// The line as far as it is flown.
    fn until(line: &FlownLine, motion: &Motion, end_s: f64) -> LookingLine {
        let flown = line
            .fixes
            .iter()
            .filter(|fix| motion.time_s[**fix] <= end_s);
        let mut points: Vec<Coord<f64>> = flown.clone().map(|fix| motion.xy[*fix]).collect();
        let last = flown.max().unwrap();
        if line.fixes.contains(&(last + 1)) {
            let (a, b) = (motion.xy[*last], motion.xy[last + 1]);
            let step_s = motion.time_s[last + 1] - motion.time_s[*last];
            points.push(a + (b - a) * ((end_s - motion.time_s[*last]) / step_s));
        }
        LookingLine {
            passage: line.passage,
            line: points,
        }
    }
}
