//! Lateral-range laws, and what a perfect sweep gives under each.
//!
//! B. O. Koopman, *Search and Screening*, OEG Report 56, 1946 (reissued by Pergamon, 1980); J. N.
//! Eagle, "Lateral Range Curves and Sweepwidth", course notes OA3602, Naval Postgraduate School,
//! 2012, after A. R. Washburn, *Search and Detection*.
//!
//! Detection is a stream of independent glimpses: exposures F add, and POD = 1 - exp(-ΣF).

use super::InverseCube;
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

/// As [`perfect_sweep_pod`], looking from one side only: legs are flown to and fro, so that two
/// neighbouring legs look at the strip between them from both sides and at the next not at all.
///
/// Exponential: 1 - exp(-C/2), half the effort. Definite range, by hand: the strips looked at are seen
/// up to C = 1, those between from C = 2 to 3. Inverse cube: [`InverseCube::one_sided_sweep_pod`].
#[must_use]
pub fn sweep_pod_seen_from(
    law: Law,
    inverse_cube: &InverseCube,
    spacing: Length,
    scanners: Scanners,
) -> f64 {
    let coverage_factor = inverse_cube.sweep_width().m() / spacing.m();
    match (scanners, law) {
        (Scanners::Both, _) => perfect_sweep_pod(law, inverse_cube, spacing),
        (_, Law::Exponential) => pod(coverage_factor / 2.0),
        (_, Law::DefiniteRange) => {
            (coverage_factor.min(1.0) + (coverage_factor - 2.0).clamp(0.0, 1.0)) / 2.0
        }
        // Left and right are mirror images.
        (_, Law::InverseCube) => inverse_cube.one_sided_sweep_pod(spacing),
    }
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
        let pod = |law, c| sweep_pod_seen_from(law, &plain(c), SPACING, Scanners::Right);
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
        let both = sweep_pod_seen_from(Law::InverseCube, &plain(1.0), SPACING, Scanners::Both);
        let perfect = perfect_sweep_pod(Law::InverseCube, &plain(1.0), SPACING);
        assert_abs_diff_eq!(both, perfect);
    }
}
