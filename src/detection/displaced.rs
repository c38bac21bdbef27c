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

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_abs_diff_eq;

    /// Numbers that look random, 0 to 1: the multiplicative generator of Park and Miller, "Random number
    /// generators: good ones are hard to find", Communications of the ACM 31 (1988) 1192-1201.
    struct Random(u64);

    impl Random {
        fn next(&mut self) -> f64 {
            self.0 = self.0 * 48_271 % 2_147_483_647;
            self.0 as f64 / 2_147_483_647.0
        }

        /// Normal, by Box and Muller.
        fn normal(&mut self) -> f64 {
            (-2.0 * self.next().ln()).sqrt() * (std::f64::consts::TAU * self.next()).cos()
        }
    }

    /// Against legs displaced by random numbers, each place of the sweep by itself: errors far larger than a
    /// receiver has, so that the loss shows.
    #[test]
    fn agrees_with_displaced_legs() {
        const DRAWS: u32 = 40_000;
        let spacing = Length::from_m(1000.0);
        let error = Length::from_m(500.0);
        for (law, width_m, height, view) in [
            (Law::InverseCube, 1000.0, None, View::WHOLE),
            (
                Law::InverseCube,
                600.0,
                Some(Length::from_m(150.0)),
                View {
                    scanners: Scanners::Both,
                    blind_m: 100.0,
                },
            ),
            (Law::InverseCube, 1000.0, None, View::of(Scanners::Left)),
            (Law::DefiniteRange, 1000.0, None, View::WHOLE),
        ] {
            let form = InverseCube::new(Length::from_m(width_m), height);
            let mut random = Random(17);
            let sum: f64 = (0..DRAWS)
                .map(|_| {
                    let y = 2000.0 * random.next();
                    let legs = -20..=22;
                    let seen: f64 = legs
                        .map(|i: i32| {
                            let right =
                                y - 1000.0 * f64::from(i) - sigma_m(error) * random.normal();
                            let cross = if i % 2 == 0 { right } else { -right };
                            match law {
                                _ if !view.sees(cross) => 0.0,
                                Law::InverseCube => form.pass_exposure(cross),
                                _ if cross.abs() <= width_m / 2.0 => f64::INFINITY,
                                _ => 0.0,
                            }
                        })
                        .sum();
                    pod(seen)
                })
                .sum();
            let drawn = sum / f64::from(DRAWS);
            let sweep = Sweep {
                law,
                inverse_cube: &form,
                spacing_m: 1000.0,
                view,
            };
            let sigma = sigma_m(error);
            let expected = sweep.pod(&errors(sigma), sigma);
            // Three standard errors of a mean of values between 0 and 1, and what farther legs add.
            let bound = 3.0 * 0.5 / f64::from(DRAWS).sqrt() + 0.004;
            assert_abs_diff_eq!(drawn, expected, epsilon = bound);
            let kept = kept_share(law, &form, spacing, view, error);
            let perfect = sweep.pod(&[(0.0, 1.0)], 0.0);
            assert!(
                kept <= 1.0 && (kept * perfect - expected.min(perfect)).abs() < 1e-12,
                "{kept}"
            );
        }
        let form = InverseCube::new(spacing, None);
        let lost = |error_m| {
            let error = Length::from_m(error_m);
            1.0 - kept_share(Law::InverseCube, &form, spacing, View::WHOLE, error)
        };
        assert!(
            lost(0.0) == 0.0 && lost(8.0) < 1e-4 && lost(500.0) > 0.02,
            "{} {}",
            lost(8.0),
            lost(500.0)
        );
    }
}
