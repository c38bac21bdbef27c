//! What is left of a perfect sweep when every leg was flown a little beside where the log has it.
//!
//! The errors e of the legs are independent, each normal with the standard deviation σ across its leg. A place
//! at y escapes leg i with the probability E[exp(-F(y - iS - e))], and because the errors are independent it
//! escapes all legs with the product of these: the expected POD is a single quadrature over y.

use super::law::pod;
use super::{InverseCube, Law, Scanners, View};
use crate::units::Length;

/// Places over one period of the sweep. Chosen: an edge of what is in view is then placed to 1 part in 2000.
const PLACES: i32 = 1000;
/// Legs to each side whose error is carried; those farther off act over a range to which it is nothing.
const NEAR: i32 = 3;
/// Legs to each side that are summed at all. The rest would add C²/(10 π) at most, to both sides of the
/// ratio alike.
const SUMMED: i32 = 20;
/// Errors at which the mean is taken, over five standard deviations to each side: the trapezoid rule converges
/// faster than any power of this number.
const ERRORS: i32 = 41;

/// Standard deviation of one coordinate, metres, where 95 % of places lie within `error` of the true one: a
/// circular normal distribution has 95 % within σ √(-2 ln 0.05) (Rayleigh).
#[must_use]
pub fn sigma_m(error: Length) -> f64 {
    error.m() / (-2.0 * 0.05f64.ln()).sqrt()
}

/// Share of the POD of a perfect sweep that is left when each leg is displaced by a receiver whose
/// horizontal error is `error` (95 %); at most 1. Random search knows no place, so nothing is lost.
#[must_use]
pub fn kept_share(
    law: Law,
    inverse_cube: &InverseCube,
    spacing: Length,
    view: View,
    error: Length,
) -> f64 {
    let sigma = sigma_m(error);
    if law == Law::Exponential || sigma <= 0.0 {
        return 1.0;
    }
    let sweep = Sweep {
        law,
        inverse_cube,
        spacing_m: spacing.m(),
        view,
    };
    let perfect = sweep.pod(&[(0.0, 1.0)], 0.0);
    if perfect > 0.0 {
        (sweep.pod(&errors(sigma), sigma) / perfect).min(1.0)
    } else {
        1.0
    }
}

/// Errors and their weights.
fn errors(sigma: f64) -> Vec<(f64, f64)> {
    let nodes: Vec<(f64, f64)> = (0..ERRORS)
        .map(|k| 10.0 * f64::from(k) / f64::from(ERRORS - 1) - 5.0)
        .map(|z| (z * sigma, (-z * z / 2.0).exp()))
        .collect();
    let total: f64 = nodes.iter().map(|(_, weight)| weight).sum();
    nodes.into_iter().map(|(e, w)| (e, w / total)).collect()
}

struct Sweep<'a> {
    law: Law,
    inverse_cube: &'a InverseCube,
    spacing_m: f64,
    view: View,
}

impl Sweep<'_> {
    /// Expected POD over one period of the sweep.
    fn pod(&self, errors: &[(f64, f64)], sigma: f64) -> f64 {
        let period_m = match self.view.scanners {
            Scanners::Both => self.spacing_m,
            Scanners::Left | Scanners::Right => 2.0 * self.spacing_m,
        };
        let places = (0..PLACES).map(|k| period_m * (f64::from(k) + 0.5) / f64::from(PLACES));
        places
            .map(|y| 1.0 - self.escape(y, errors, sigma))
            .sum::<f64>()
            / f64::from(PLACES)
    }

    /// Probability to escape all legs at `y_m`.
    fn escape(&self, y_m: f64, errors: &[(f64, f64)], sigma: f64) -> f64 {
        let mut escape = 1.0;
        for leg in -SUMMED..=SUMMED {
            let right_m = y_m - f64::from(leg) * self.spacing_m;
            // Every second leg is flown the other way.
            let cross_m = if leg % 2 == 0 { right_m } else { -right_m };
            let near = leg.abs() <= NEAR;
            escape *= match self.law {
                Law::DefiniteRange => 1.0 - self.within(cross_m, sigma),
                _ if near => errors
                    .iter()
                    .map(|(e, weight)| weight * (1.0 - self.found(cross_m - e)))
                    .sum(),
                _ => 1.0 - self.found(cross_m),
            };
        }
        escape
    }

    fn found(&self, cross_m: f64) -> f64 {
        if self.view.sees(cross_m) {
            pod(self.inverse_cube.pass_exposure(cross_m))
        } else {
            0.0
        }
    }

    /// Probability that a leg displaced by σ passes within half a sweep width and outside its blind strip.
    fn within(&self, cross_m: f64, sigma: f64) -> f64 {
        // How likely the place lies less than `edge` to the right of the leg.
        let below = |edge_m: f64| {
            if sigma > 0.0 {
                libm::erfc((cross_m - edge_m) / (sigma * std::f64::consts::SQRT_2)) / 2.0
            } else {
                f64::from(u8::from(cross_m <= edge_m))
            }
        };
        let (half_m, edge_m) = (
            self.inverse_cube.sweep_width().m() / 2.0,
            self.view.blind_m / 2.0,
        );
        let left = (below(-edge_m) - below(-half_m)).max(0.0);
        let right = (below(half_m) - below(edge_m)).max(0.0);
        match self.view.scanners {
            Scanners::Both => (left + right).min(1.0),
            Scanners::Left => left,
            Scanners::Right => right,
        }
    }
}
