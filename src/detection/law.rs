//! Lateral-range laws.
//!
//! B. O. Koopman, *Search and Screening*, OEG Report 56, 1946 (reissued by Pergamon, 1980); J. N.
//! Eagle, "Lateral Range Curves and Sweepwidth", course notes OA3602, Naval Postgraduate School,
//! 2012, after A. R. Washburn, *Search and Detection*.
//!
//! Detection is a stream of independent glimpses: exposures F add, and POD = 1 - exp(-ΣF). Under the
//! inverse-cube law with the height neglected a straight pass without end leaves at lateral range x
//! the exposure F = W² / (4 π x²); a piece of it leaves what [`segment_exposure`] gives.

use crate::tasking::{Law, Scanners};
use std::f64::consts::PI;
use std::sync::LazyLock;

/// Exposure under the inverse-cube law that a straight segment leaves at a point.
///
/// `x_m` is the point's distance from the line of the segment, `s1_m` and `s2_m` the coordinates of
/// the segment's ends along that line, measured from the foot of the perpendicular, `s1_m <= s2_m`:
///
/// ```text
/// F = W² / (8 π x²) · [ s / √(x² + s²) ] from s1 to s2
/// ```
///
/// Written with 1 - |s|/√(x²+s²) = x² / (r (r + |s|)), r = √(x² + s²), which neither cancels nor
/// divides by zero beside the ends. On the segment itself it is infinite: POD 1.
#[must_use]
pub fn segment_exposure(sweep_width_m: f64, x_m: f64, s1_m: f64, s2_m: f64) -> f64 {
    let x2 = x_m * x_m;
    let rest = |s: f64| {
        let r = (x2 + s * s).sqrt();
        1.0 / (r * (r + s.abs()))
    };
    let bracket = if s1_m < 0.0 && s2_m > 0.0 {
        2.0 / x2 - rest(s1_m) - rest(s2_m)
    } else {
        (rest(s1_m) - rest(s2_m)).abs()
    };
    sweep_width_m * sweep_width_m / (8.0 * PI) * bracket
}

/// POD left by an exposure.
#[must_use]
pub fn pod(exposure: f64) -> f64 {
    -(-exposure).exp_m1()
}

/// POD averaged over an endless parallel sweep flown perfectly at coverage factor C = W/S.
///
/// Inverse cube: erf(√π/2 · C). Exponential (random search): 1 - exp(-C). Definite range: min(1, C).
#[must_use]
pub fn perfect_sweep_pod(law: Law, coverage_factor: f64) -> f64 {
    match law {
        Law::InverseCube => libm::erf(PI.sqrt() / 2.0 * coverage_factor),
        Law::Exponential => pod(coverage_factor),
        Law::DefiniteRange => coverage_factor.min(1.0),
    }
}

/// As [`perfect_sweep_pod`], looking from one side only: legs are flown to and fro, so that two
/// neighbouring legs look at the strip between them from both sides and at the next not at all.
///
/// Exponential: 1 - exp(-C/2), half the effort. Definite range, by hand: the strips looked at are seen
/// up to C = 1, those between from C = 2 to 3. Inverse cube: the sum over the legs that see a place,
/// Σ W²/(4π (y - iS)²), is averaged over two strips; no closed form of that is published.
#[must_use]
pub fn sweep_pod_seen_from(law: Law, coverage_factor: f64, scanners: Scanners) -> f64 {
    match (scanners, law) {
        (Scanners::Both, _) => perfect_sweep_pod(law, coverage_factor),
        (_, Law::Exponential) => perfect_sweep_pod(law, coverage_factor / 2.0),
        (_, Law::DefiniteRange) => {
            (coverage_factor.min(1.0) + (coverage_factor - 2.0).clamp(0.0, 1.0)) / 2.0
        }
        // Left and right are mirror images.
        (_, Law::InverseCube) => {
            let strength = coverage_factor * coverage_factor / (4.0 * PI);
            let sums = &*SUMS_FROM_ONE_SIDE;
            sums.iter().map(|sum| pod(strength * sum)).sum::<f64>() / sums.len() as f64
        }
    }
}

/// Σ 1/(y - i)² over the legs that see a place, at places y across two strips of width 1.
static SUMS_FROM_ONE_SIDE: LazyLock<Vec<f64>> = LazyLock::new(|| {
    /// Legs to each side and places across; enough for four digits.
    const LEGS: i32 = 500;
    const PLACES: u32 = 2000;
    let places = (0..PLACES).map(|k| 2.0 * (f64::from(k) + 0.5) / f64::from(PLACES));
    let sum = |y: f64| {
        (-LEGS..=LEGS)
            .map(|leg| (leg, y - f64::from(leg)))
            .filter(|(leg, x)| if leg % 2 == 0 { *x > 0.0 } else { *x < 0.0 })
            .map(|(_, x)| 1.0 / (x * x))
            .sum()
    };
    places.map(sum).collect()
});

/// POD halfway between two legs of an endless parallel sweep flown perfectly, under the inverse-cube
/// law: 1 - exp(-π C²/4), the least there is in the strip. From Σ 1/(y - iS)² = (π/S)² / sin²(πy/S) at
/// y = S/2.
#[must_use]
pub fn mid_strip_pod(coverage_factor: f64) -> f64 {
    pod(PI / 4.0 * coverage_factor * coverage_factor)
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_abs_diff_eq;

    /// The closed form against Simpson's rule over dF = W²/(8π) · x⁻²·d[s/√(x²+s²)], that is
    /// dF/ds = W²/(8π) / (x²+s²)^{3/2}: the inverse-cube rate of Koopman's law.
    #[test]
    fn closed_form_agrees_with_quadrature() {
        for (w, x, s1, s2) in [
            (1.0, 0.5, -5.0, 5.0),
            (1.0, 0.5, 1.0, 4.0),
            (0.5, 0.25, -0.5, 2.0),
            (1.0, 2.0, -9.0, -3.0),
        ] {
            let n = 20_000;
            let h = (s2 - s1) / f64::from(n);
            let rate = |s: f64| w * w / (8.0 * PI) / (x * x + s * s).powf(1.5);
            let inner: f64 = (1..n)
                .map(|i| {
                    let weight = if i % 2 == 1 { 4.0 } else { 2.0 };
                    weight * rate(s1 + h * f64::from(i))
                })
                .sum();
            let sum = (rate(s1) + rate(s2) + inner) * h / 3.0;
            assert_abs_diff_eq!(segment_exposure(w, x, s1, s2), sum, epsilon = 1e-9);
        }
    }

    /// A segment is the sum of its parts, also where the foot is on a joint or the point is beside
    /// the end.
    #[test]
    fn exposures_add() {
        let f = |a, b| segment_exposure(1.0, 0.3, a, b);
        assert_abs_diff_eq!(f(-1.0, 1.0), f(-1.0, 0.3) + f(0.3, 1.0), epsilon = 1e-12);
        assert_abs_diff_eq!(f(-1.0, 1.0), f(-1.0, 0.0) + f(0.0, 1.0), epsilon = 1e-12);
        // Beside the end, by hand: F -> W²/(16 π) · |1/s1² - 1/s2²|.
        let beside = segment_exposure(1.0, 0.0, 1.0, 2.0);
        assert_abs_diff_eq!(beside, 0.75 / (16.0 * PI), epsilon = 1e-12);
        assert_abs_diff_eq!(pod(segment_exposure(1.0, 0.0, -1.0, 2.0)), 1.0);
    }

    /// Definite range from one side, by hand: at C = 1 legs 0 and 1 cover the strip between them,
    /// the next strip is not seen within half a width by either; at C = 0.5 half of that. At C = 2.5 legs
    /// 0 and 3 each reach a quarter into the strip from 1 to 2.
    #[test]
    fn one_side_leaves_every_second_strip() {
        let pod = |law, c| sweep_pod_seen_from(law, c, Scanners::Right);
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
            assert_abs_diff_eq!(pod(Law::InverseCube, c), ideal, epsilon = 5e-4);
        }
        let both = sweep_pod_seen_from(Law::InverseCube, 1.0, Scanners::Both);
        assert_abs_diff_eq!(both, perfect_sweep_pod(Law::InverseCube, 1.0));
    }
}
