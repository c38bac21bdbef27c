//! Lateral-range laws.
//!
//! B. O. Koopman, *Search and Screening*, OEG Report 56, 1946 (reissued by Pergamon, 1980); J. N.
//! Eagle, "Lateral Range Curves and Sweepwidth", course notes OA3602, Naval Postgraduate School,
//! 2012, after A. R. Washburn, *Search and Detection*.
//!
//! Detection is a stream of independent glimpses: exposures F add, and POD = 1 - exp(-ΣF). Under the
//! inverse-cube law with the height neglected a straight pass without end leaves at lateral range x
//! the exposure F = W² / (4 π x²); a piece of it leaves what [`segment_exposure`] gives.

use crate::tasking::Law;
use std::f64::consts::PI;

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
}
