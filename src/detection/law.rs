//! Lateral-range laws, and what a perfect sweep gives under each.
//!
//! B. O. Koopman, *Search and Screening*, OEG Report 56, 1946 (reissued by Pergamon, 1980); J. N.
//! Eagle, "Lateral Range Curves and Sweepwidth", course notes OA3602, Naval Postgraduate School,
//! 2012, after A. R. Washburn, *Search and Detection*.
//!
//! Detection is a stream of independent glimpses: exposures F add, and POD = 1 - exp(-ΣF).

use super::{InverseCube, View};
use crate::units::Length;

/// Lateral-range law.
#[derive(Clone, Copy, Debug, PartialEq, Eq, serde::Serialize, serde::Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Law {
    /// Inverse cube: ideal search conditions.
    InverseCube,
    /// Exponential (random search): normal search conditions.
    Exponential,
    /// Seen within half a sweep width, else not.
    DefiniteRange,
}

impl Law {
    /// All of them.
    pub const ALL: [Self; 3] = [Self::InverseCube, Self::Exponential, Self::DefiniteRange];

    /// Name for people.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::InverseCube => "inverse cube",
            Self::Exponential => "exponential",
            Self::DefiniteRange => "definite range",
        }
    }

    /// What it assumes, in a sentence.
    #[must_use]
    pub const fn assumes(self) -> &'static str {
        match self {
            Self::InverseCube => {
                "Ideal conditions: steady, independent glances, likelier to detect the larger the object \
                 looms, from tracks exactly where the log shows them; the upper of two curves."
            }
            Self::Exponential => {
                "Normal conditions: the effort is spread over the area at random, with overlaps and \
                 gaps, so that no place is searched better than another; the lower of two curves."
            }
            Self::DefiniteRange => {
                "A ceiling, not a forecast: everything within half a sweep width is seen for certain \
                 and nothing beyond it."
            }
        }
    }
}

/// Which sides of the aircraft are looked from.
#[derive(Clone, Copy, Debug, PartialEq, Eq, serde::Serialize, serde::Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Scanners {
    /// Both sides.
    Both,
    /// Left side only.
    Left,
    /// Right side only.
    Right,
}

/// POD left by an exposure.
#[must_use]
pub fn pod(exposure: f64) -> f64 {
    -(-exposure).exp_m1()
}

/// POD averaged over an endless parallel sweep flown perfectly, C = W/S.
///
/// Inverse cube: erf(√π/2 · C), or with the height kept what
/// [`InverseCube::perfect_sweep_pod`] gives. Exponential (random search): 1 - exp(-C). Definite
/// range: min(1, C).
#[must_use]
pub fn perfect_sweep_pod(law: Law, inverse_cube: &InverseCube, spacing: Length) -> f64 {
    let coverage_factor = inverse_cube.sweep_width().m() / spacing.m();
    match law {
        Law::InverseCube => inverse_cube.perfect_sweep_pod(spacing),
        Law::Exponential => pod(coverage_factor),
        Law::DefiniteRange => coverage_factor.min(1.0),
    }
}

/// As [`perfect_sweep_pod`], with only part of the ground in view. Looking from one side legs are flown to and
/// fro, so that two neighbouring legs look at the strip between them from both sides and at the next not
/// at all.
///
/// Exponential: 1 - exp(-C s) with the share s of [`View::share`]. Definite range: the share of the ground
/// under the bands seen. Inverse cube: [`InverseCube::sweep_pod_in_view`].
#[must_use]
pub fn sweep_pod_seen_from(
    law: Law,
    inverse_cube: &InverseCube,
    spacing: Length,
    view: View,
) -> f64 {
    let width = inverse_cube.sweep_width();
    match law {
        _ if view.is_whole() => perfect_sweep_pod(law, inverse_cube, spacing),
        Law::Exponential => pod(width.m() / spacing.m() * view.share(width)),
        Law::DefiniteRange => bands_in_view(width.m(), spacing.m(), view),
        Law::InverseCube => inverse_cube.sweep_pod_in_view(spacing, view),
    }
}

/// Share of the ground that lies between B/2 and W/2 of a line that looks at it.
///
/// Bands to the right of their lines and bands to the left each repeat with one period, S, or 2S where
/// only every second line looks that way; on a circle of that circumference they are two arcs of the length
/// (W - B)/2 whose middles lie apart by (W + B)/2, or by S - (W + B)/2.
fn bands_in_view(width_m: f64, spacing_m: f64, view: View) -> f64 {
    let arc_m = ((width_m - view.blind_m) / 2.0).max(0.0);
    let middle_m = (width_m + view.blind_m) / 2.0;
    let (round_m, apart_m) = match view.scanners {
        Scanners::Both => (spacing_m, middle_m),
        Scanners::Left | Scanners::Right => (2.0 * spacing_m, spacing_m - middle_m),
    };
    if arc_m >= round_m {
        return 1.0;
    }
    let apart_m = apart_m.rem_euclid(round_m);
    let shared_m = (arc_m - apart_m).max(0.0) + (arc_m - (round_m - apart_m)).max(0.0);
    ((2.0 * arc_m - shared_m) / round_m).min(1.0)
}

/// POD halfway between two legs of an endless parallel sweep flown perfectly, under the inverse-cube
/// law, the least there is in the strip. With the height neglected it is 1 - exp(-π C²/4).
#[must_use]
pub fn mid_strip_pod(inverse_cube: &InverseCube, spacing: Length) -> f64 {
    pod(inverse_cube.sweep_exposure(spacing.m() / 2.0, spacing))
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_abs_diff_eq;

    const SPACING: Length = Length::from_m(1000.0);

    fn plain(coverage_factor: f64) -> InverseCube {
        InverseCube::new(Length::from_m(1000.0 * coverage_factor), None)
    }

    /// Definite range from one side, by hand: at C = 1 legs 0 and 1 cover the strip between them,
    /// the next strip is not seen within half a width by either; at C = 0.5 half of that. At C = 2.5 legs
    /// 0 and 3 each reach a quarter into the strip from 1 to 2.
    #[test]
    fn one_side_leaves_every_second_strip() {
        let pod = |law, c| sweep_pod_seen_from(law, &plain(c), SPACING, View::of(Scanners::Right));
        assert_abs_diff_eq!(pod(Law::DefiniteRange, 1.0), 0.5, epsilon = 1e-3);
        assert_abs_diff_eq!(pod(Law::DefiniteRange, 0.5), 0.25, epsilon = 1e-3);
        assert_abs_diff_eq!(pod(Law::DefiniteRange, 2.5), 0.75, epsilon = 1e-12);
        assert_abs_diff_eq!(
            pod(Law::Exponential, 1.0),
            1.0 - (-0.5f64).exp(),
            epsilon = 1e-12
        );
        // Computed with mpmath 1.x (PyPI): Σ 1/(y + 2k)² = ψ₁(y/2)/4, averaged by quadrature.
        for (c, ideal) in [(0.5, 0.241_069), (1.0, 0.435_695), (2.0, 0.669_029)] {
            assert_abs_diff_eq!(pod(Law::InverseCube, c), ideal, epsilon = 2e-6);
        }
        let both = sweep_pod_seen_from(Law::InverseCube, &plain(1.0), SPACING, View::WHOLE);
        let perfect = perfect_sweep_pod(Law::InverseCube, &plain(1.0), SPACING);
        assert_abs_diff_eq!(both, perfect);
    }

    /// With a blind strip, against sums over two hundred lines at four thousand places, the rest of the lines as an integral.
    #[test]
    fn a_blind_strip_is_left_out() {
        for scanners in [Scanners::Both, Scanners::Left, Scanners::Right] {
            for (blind_m, c) in [
                (0.0, 0.8),
                (100.0, 0.5),
                (100.0, 1.0),
                (250.0, 1.3),
                (400.0, 2.2),
            ] {
                let view = View { scanners, blind_m };
                for height in [None, Some(Length::from_m(150.0))] {
                    let law = InverseCube::new(Length::from_m(1000.0 * c), height);
                    for which in [Law::InverseCube, Law::DefiniteRange] {
                        let got = sweep_pod_seen_from(which, &law, SPACING, view);
                        let plain = summed(which, &law, view);
                        assert_abs_diff_eq!(got, plain, epsilon = 6e-4);
                    }
                }
            }
        }
        let view = View {
            scanners: Scanners::Left,
            blind_m: 100.0,
        };
        let random = sweep_pod_seen_from(Law::Exponential, &plain(1.0), SPACING, view);
        assert_abs_diff_eq!(random, 1.0 - (-0.45f64).exp(), epsilon = 1e-12);
    }

    fn summed(law: Law, form: &InverseCube, view: View) -> f64 {
        const PLACES: i32 = 4_000;
        // Of the lines beyond, half look the other way from one side: Σ K/(iS)² from i = 101 on, twice.
        let beyond = 2.0 * form.strength_m2() / (100.5 * SPACING.m() * SPACING.m()) * view.sides();
        let seen = (0..PLACES).map(|k| {
            let y = 2.0 * SPACING.m() * (f64::from(k) + 0.5) / f64::from(PLACES);
            let exposure: f64 = (-100..=102)
                .map(|i: i32| {
                    let to_the_right = y - f64::from(i) * SPACING.m();
                    // Every second line is flown the other way.
                    let cross = if i % 2 == 0 {
                        to_the_right
                    } else {
                        -to_the_right
                    };
                    match law {
                        _ if !view.sees(cross) => 0.0,
                        Law::InverseCube => form.pass_exposure(cross),
                        _ if cross.abs() <= form.sweep_width().m() / 2.0 => f64::INFINITY,
                        _ => 0.0,
                    }
                })
                .sum();
            super::pod(match law {
                Law::InverseCube => exposure + beyond,
                _ => exposure,
            })
        });
        seen.sum::<f64>() / f64::from(PLACES)
    }
}
