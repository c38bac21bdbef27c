//! How the ground is looked at: the law and its figures, for one pass or for many lines.

use super::exposure::inverse_cube;
use super::looking::LookingLine;
use super::raster::Grid;
use super::swath::passes_within;
use crate::detection::law::pod;
use crate::detection::{InverseCube, Law, View};
use crate::tasking::DetectionTask;
use crate::units::Length;

/// Exposures below this are neglected in choosing, and are no looking at a place. Chosen: what lies farther out
/// adds less than 4 % to a pass, and as much to its rival.
pub const LEAST_EXPOSURE: f64 = 0.004;

/// How a pass is looked from.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Look {
    /// Lateral-range law.
    pub law: Law,
    /// The inverse-cube law for the sweep width W, which the other laws use as well.
    pub inverse_cube: InverseCube,
    /// Track spacing S, metres: the width over which the exponential law spreads the effort.
    pub spacing_m: f64,
    /// What is in view beside the track.
    pub view: View,
}

impl Look {
    /// As tasked, at a track spacing.
    #[must_use]
    pub fn of(task: &DetectionTask, spacing: Length) -> Self {
        Self {
            law: task.law,
            inverse_cube: task.inverse_cube(),
            spacing_m: spacing.m(),
            view: task.view,
        }
    }

    /// The same with another sweep width.
    #[must_use]
    pub fn at_width(&self, sweep_width: Length) -> Self {
        Self {
            inverse_cube: InverseCube::new(sweep_width, self.inverse_cube.height()),
            ..*self
        }
    }

    /// Sweep width W, metres.
    #[must_use]
    pub const fn sweep_width_m(&self) -> f64 {
        self.inverse_cube.sweep_width().m()
    }

    /// Lateral range beyond which nothing is counted, metres.
    #[must_use]
    pub fn reach_m(&self) -> f64 {
        match self.law {
            Law::InverseCube => (self.inverse_cube.strength_m2() / LEAST_EXPOSURE).sqrt(),
            Law::Exponential => self.spacing_m / 2.0,
            Law::DefiniteRange => self.sweep_width_m() / 2.0,
        }
    }

    /// Share of what is there that a straight pass of `length_m` finds at a place `along_m` from its
    /// start and `cross_m` right of it.
    #[must_use]
    pub fn found(&self, along_m: f64, cross_m: f64, length_m: f64) -> f64 {
        // Random search knows no lateral range, and so no side and no blind strip.
        if self.law != Law::Exponential && !self.view.sees(cross_m) {
            return 0.0;
        }
        let abeam = (0.0..=length_m).contains(&along_m);
        match self.law {
            Law::InverseCube => {
                pod(self
                    .inverse_cube
                    .exposure(cross_m, -along_m, length_m - along_m))
            }
            Law::Exponential => {
                let within = abeam && cross_m.abs() <= self.spacing_m / 2.0;
                if within { pod(self.effort()) } else { 0.0 }
            }
            Law::DefiniteRange => f64::from(u8::from(
                abeam && cross_m.abs() <= self.sweep_width_m() / 2.0,
            )),
        }
    }

    /// Share found across the strip, one spacing wide, of a long straight pass without neighbours.
    #[must_use]
    pub fn alone(&self) -> f64 {
        // Midpoint rule; the pass reaches as far beyond as anything is counted and more.
        const PLACES: u32 = 2000;
        let half_m = 1000.0 * self.spacing_m.max(self.sweep_width_m());
        let step_m = self.spacing_m / f64::from(PLACES);
        let place = |i: u32| (f64::from(i) + 0.5) * step_m - self.spacing_m / 2.0;
        let found = (0..PLACES).map(|i| self.found(half_m, place(i), 2.0 * half_m));
        found.sum::<f64>() / f64::from(PLACES)
    }

    /// Exposure that the lines leave on every cell, row after row; infinite where the definite-range law
    /// is sure. Exposures of several flights add, whatever the law of each.
    #[must_use]
    pub fn exposure(&self, grid: &Grid, lines: &[LookingLine]) -> Vec<f32> {
        match self.law {
            Law::InverseCube => inverse_cube(grid, lines, &self.inverse_cube, self.view),
            Law::Exponential => {
                let passes = passes_within(grid, lines, self.spacing_m / 2.0, View::WHOLE);
                let effort = self.effort() as f32;
                passes.iter().map(|n| effort * f32::from(*n)).collect()
            }
            Law::DefiniteRange => {
                let passes = passes_within(grid, lines, self.sweep_width_m() / 2.0, self.view);
                let sure = |n: &u16| if *n > 0 { f32::INFINITY } else { 0.0 };
                passes.iter().map(sure).collect()
            }
        }
    }

    /// What an exposure is multiplied by to be that of the same lines under `other`, which differs in the
    /// sweep width alone; `None` where there is no such factor.
    #[must_use]
    pub fn factor_to(&self, other: &Self) -> Option<f64> {
        let ratio = other.sweep_width_m() / self.sweep_width_m();
        match self.law {
            _ if ratio == 1.0 => Some(1.0),
            Law::InverseCube => {
                Some(other.inverse_cube.strength_m2() / self.inverse_cube.strength_m2())
            }
            Law::Exponential => Some(other.effort() / self.effort()),
            Law::DefiniteRange => None,
        }
    }

    /// Share of the sweep width that is in view.
    #[must_use]
    pub fn share(&self) -> f64 {
        self.view.share(self.inverse_cube.sweep_width())
    }

    /// Coverage factor of one passage in the strip about it: random search knows no side, so looking from
    /// one of them is half the effort, and a blind strip takes its width.
    pub(super) fn effort(&self) -> f64 {
        self.share() * self.sweep_width_m() / self.spacing_m
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::detection::Scanners;
    use approx::assert_abs_diff_eq;

    /// 1 - exp(-C²/π) + C erfc(C/√π), by hand; erfc from `libm`. Seen from one side it is half of that; the
    /// definite range finds what lies within W/2, random search what the effort gives.
    #[test]
    fn a_leg_alone_gives_the_closed_form() {
        use std::f64::consts::PI;
        for c in [0.3, 0.7, 1.0, 1.6, 2.5] {
            let look = |law, scanners| Look {
                law,
                inverse_cube: InverseCube::new(Length::from_m(c * 900.0), None),
                spacing_m: 900.0,
                view: View::of(scanners),
            };
            let alone = 1.0 - (-c * c / PI).exp() + c * libm::erfc(c / PI.sqrt());
            let of = |law, scanners| look(law, scanners).alone();
            assert_abs_diff_eq!(of(Law::InverseCube, Scanners::Both), alone, epsilon = 1e-5);
            assert_abs_diff_eq!(
                of(Law::InverseCube, Scanners::Left),
                alone / 2.0,
                epsilon = 1e-3
            );
            assert_abs_diff_eq!(
                of(Law::DefiniteRange, Scanners::Both),
                c.min(1.0),
                epsilon = 1e-3
            );
            assert_abs_diff_eq!(
                of(Law::Exponential, Scanners::Both),
                pod(c),
                epsilon = 1e-12
            );
        }
    }
}
