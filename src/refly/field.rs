//! What is still to be found on the ground, cell by cell, and what a pass over it would find.
//!
//! Each cell holds the probability that the object is there and has escaped all looks so far, w·e^(-F).
//! A pass that leaves the exposure f on the cell finds the share 1 - e^(-f) of it: the gain in probability
//! of success (POS) is the sum over the cells (B. O. Koopman, *Search and Screening*, 1946, on the
//! addition of independent looks).

use crate::coverage::look::Look;
use crate::coverage::raster::Grid;
use geo::Coord;
use std::sync::Arc;

/// A straight pass in the local plane, metres.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Pass {
    /// Where it begins.
    pub start: Coord<f64>,
    /// Where it ends.
    pub end: Coord<f64>,
}

impl Pass {
    /// Its length, metres.
    #[must_use]
    pub fn length_m(&self) -> f64 {
        (self.end.x - self.start.x).hypot(self.end.y - self.start.y)
    }

    /// The same ground, flown the other way.
    #[must_use]
    pub const fn reversed(&self) -> Self {
        Self {
            start: self.end,
            end: self.start,
        }
    }

    /// Unit vector along it.
    pub(super) fn along(&self) -> Coord<f64> {
        let length_m = self.length_m().max(f64::MIN_POSITIVE);
        Coord {
            x: (self.end.x - self.start.x) / length_m,
            y: (self.end.y - self.start.y) / length_m,
        }
    }
}

/// Probability left on each cell of a grid.
#[derive(Clone, Debug)]
pub struct Field {
    grid: Grid,
    /// Probability that the object is in the cell; never changes.
    prior: Arc<[f32]>,
    /// The same, and that it has not been found so far.
    left: Vec<f32>,
}

/// What a pass finds, cell by cell.
#[derive(Clone, Debug, Default)]
pub(super) struct Effect {
    cells: Vec<u32>,
    /// Share of what is left on the cell that it finds.
    found: Vec<f32>,
}

impl Field {
    /// The field on a grid made `coarser` times as coarse: `prior` is the probability that the object is
    /// in the cell, `pod` that it would have been found there by now; cells outside the area hold no prior.
    #[must_use]
    pub fn new(grid: &Grid, prior: &[f32], pod: &[f32], coarser: usize) -> Self {
        let coarser = coarser.max(1);
        let coarse = Grid {
            origin: grid.origin,
            cell_m: grid.cell_m * coarser as f64,
            columns: grid.columns.div_ceil(coarser),
            rows: grid.rows.div_ceil(coarser),
        };
        let mut left = vec![0.0f32; coarse.columns * coarse.rows];
        let mut likely = left.clone();
        for row in 0..grid.rows {
            for column in 0..grid.columns {
                let cell = row * grid.columns + column;
                if prior[cell] > 0.0 {
                    let into = (row / coarser) * coarse.columns + column / coarser;
                    likely[into] += prior[cell];
                    left[into] += prior[cell] * (1.0 - pod[cell]);
                }
            }
        }
        Self {
            grid: coarse,
            prior: likely.into(),
            left,
        }
    }

    /// The grid it lies on.
    #[must_use]
    pub const fn grid(&self) -> &Grid {
        &self.grid
    }

    /// Probability left on all cells together.
    #[must_use]
    pub fn total(&self) -> f64 {
        self.left.iter().map(|p| f64::from(*p)).sum()
    }

    /// Probability of detection over some cells together; 1 where nothing can be found.
    pub(super) fn pod(&self, cells: &[u32]) -> f64 {
        let of =
            |values: &[f32]| -> f64 { cells.iter().map(|c| f64::from(values[*c as usize])).sum() };
        let prior = of(&self.prior);
        if prior > 0.0 {
            1.0 - of(&self.left) / prior
        } else {
            1.0
        }
    }

    /// Probability that the object is on any of the cells.
    pub(super) fn total_prior(&self) -> f64 {
        self.prior.iter().map(|p| f64::from(*p)).sum()
    }

    /// Probability of detection over all cells together, weighted by how likely the object is there.
    #[must_use]
    pub fn total_pod(&self) -> f64 {
        let prior = self.total_prior();
        if prior > 0.0 {
            1.0 - self.total() / prior
        } else {
            1.0
        }
    }

    /// What a pass would find, where anything is left.
    pub(super) fn effect(&self, pass: &Pass, look: &Look) -> Effect {
        let (length_m, along, reach_m) = (pass.length_m(), pass.along(), look.reach_m());
        let mut effect = Effect::default();
        let low = pass.start.y.min(pass.end.y) - reach_m;
        let high = pass.start.y.max(pass.end.y) + reach_m;
        let west = pass.start.x.min(pass.end.x) - reach_m;
        let east = pass.start.x.max(pass.end.x) + reach_m;
        for row in self.grid.rows_between(low, high) {
            for column in self.grid.columns_between(west, east) {
                let cell = row * self.grid.columns + column;
                if self.left[cell] <= 0.0 {
                    continue;
                }
                let at = self.grid.centre(column, row);
                let (dx, dy) = (at.x - pass.start.x, at.y - pass.start.y);
                let along_m = dx * along.x + dy * along.y;
                let cross_m = dx * along.y - dy * along.x;
                if cross_m.abs() > reach_m || along_m < -reach_m || along_m > length_m + reach_m {
                    continue;
                }
                let found = look.found(along_m, cross_m, length_m);
                if found > 0.0 {
                    effect.cells.push(cell as u32);
                    effect.found.push(found as f32);
                }
            }
        }
        effect
    }

    /// Gain in probability of success.
    pub(super) fn gain(&self, effect: &Effect) -> f64 {
        effect
            .cells
            .iter()
            .zip(&effect.found)
            .map(|(cell, found)| f64::from(self.left[*cell as usize] * found))
            .sum()
    }

    /// Takes what the pass finds away, and says how much that is.
    pub(super) fn take(&mut self, effect: &Effect) -> f64 {
        let mut taken = 0.0;
        for (cell, found) in effect.cells.iter().zip(&effect.found) {
            let left = &mut self.left[*cell as usize];
            taken += f64::from(*left * found);
            *left *= 1.0 - found;
        }
        taken
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::detection::{InverseCube, Law, View};
    use crate::units::Length;
    use approx::assert_relative_eq;

    fn look(law: Law) -> Look {
        Look {
            law,
            inverse_cube: InverseCube::new(Length::from_m(900.0), None),
            spacing_m: 1000.0,
            view: View::WHOLE,
        }
    }

    fn even(columns: usize, rows: usize, cell_m: f64) -> Field {
        let grid = Grid {
            origin: Coord { x: 0.0, y: 0.0 },
            cell_m,
            columns,
            rows,
        };
        let cells = columns * rows;
        let prior = vec![1.0 / cells as f32; cells];
        Field::new(&grid, &prior, &vec![0.0; cells], 1)
    }

    /// By definition of the sweep width, a long pass over ground that is evenly likely finds the share
    /// W / width of it (less the far tail that is neglected: 2/(4π · 4.46) = 3.6 % of W).
    #[test]
    fn a_pass_finds_its_sweep_width() {
        let field = even(200, 400, 100.0);
        let pass = Pass {
            start: Coord {
                x: 10_000.0,
                y: -50_000.0,
            },
            end: Coord {
                x: 10_000.0,
                y: 90_000.0,
            },
        };
        for (law, share) in [(Law::InverseCube, 1.0 - 0.036), (Law::DefiniteRange, 1.0)] {
            let found = field.gain(&field.effect(&pass, &look(law)));
            assert_relative_eq!(found, share * 900.0 / 20_000.0, max_relative = 0.12);
        }
        // The exponential law finds 1 - exp(-W/S) of the strip one spacing wide.
        let found = field.gain(&field.effect(&pass, &look(Law::Exponential)));
        let strip = -(-0.9f64).exp_m1() * 1000.0 / 20_000.0;
        assert_relative_eq!(found, strip, max_relative = 1e-6);
    }

    /// Two equal looks leave (1 - p)² of what was there, in whichever order the sums are taken.
    #[test]
    fn looks_are_independent() {
        let mut field = even(50, 50, 100.0);
        let pass = Pass {
            start: Coord { x: 2_500.0, y: 0.0 },
            end: Coord {
                x: 2_500.0,
                y: 5_000.0,
            },
        };
        let effect = field.effect(&pass, &look(Law::InverseCube));
        let before: Vec<f32> = field.left.clone();
        field.take(&effect);
        field.take(&effect);
        for (cell, found) in effect.cells.iter().zip(&effect.found) {
            let expected = before[*cell as usize] * (1.0 - found) * (1.0 - found);
            assert_relative_eq!(field.left[*cell as usize], expected, max_relative = 1e-5);
        }
    }

    /// Cells put together hold what their parts held.
    #[test]
    fn coarser_cells_hold_the_same() {
        let grid = Grid {
            origin: Coord { x: 0.0, y: 0.0 },
            cell_m: 50.0,
            columns: 31,
            rows: 17,
        };
        let prior: Vec<f32> = (0..31 * 17).map(|i| (i % 7) as f32).collect();
        let pod: Vec<f32> = (0..31 * 17).map(|i| (i % 5) as f32 / 5.0).collect();
        let fine = Field::new(&grid, &prior, &pod, 1);
        let coarse = Field::new(&grid, &prior, &pod, 4);
        assert_relative_eq!(fine.total(), coarse.total(), max_relative = 1e-6);
        assert_eq!(coarse.grid().columns, 8);
    }
}
