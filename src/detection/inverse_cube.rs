//! The inverse-cube law, with the aircraft's height above the surface kept where it is known.
//!
//! B. O. Koopman, *Search and Screening*, OEG Report 56, 1946; J. N. Eagle, "Lateral Range Curves and
//! Sweepwidth", course notes OA3602, Naval Postgraduate School, 2012, eq. 5.1: at lateral range x an
//! endless straight pass at the height h leaves the exposure F = K / (x² + h²), or K / x² with the
//! height neglected. K follows from the sweep width, which is the area under 1 - e^-F:
//!
//! ```text
//! h = 0:  W = 2 √(π K)
//! h > 0:  W = (π K / h) e^-a [I₀(a) + I₁(a)],   a = K / (2 h²)
//! ```

use super::bessel::scaled_i0_i1;
use super::law::pod;
use super::{Scanners, View};
use crate::units::Length;
use std::f64::consts::PI;

/// Places across half a strip at which POD is averaged. The function is smooth and periodic, so the
/// midpoint rule converges faster than any power of this number.
const PLACES: u32 = 2000;

/// The law for one sweep width and height.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct InverseCube {
    sweep_width: Length,
    /// K, square metres.
    strength_m2: f64,
    /// h, metres; 0 where it is neglected.
    height_m: f64,
}

impl InverseCube {
    /// The law whose lateral range curve has the area `sweep_width` (more than zero) under it; the
    /// height above the surface is neglected where none is given.
    #[must_use]
    pub fn new(sweep_width: Length, search_height: Option<Length>) -> Self {
        let height_m = search_height.map_or(0.0, Length::m).max(0.0);
        let width_m = sweep_width.m();
        let strength_m2 = if height_m > 0.0 {
            2.0 * height_m * height_m * argument_for(width_m / height_m)
        } else {
            width_m * width_m / (4.0 * PI)
        };
        Self {
            sweep_width,
            strength_m2,
            height_m,
        }
    }

    /// Sweep width W.
    #[must_use]
    pub const fn sweep_width(&self) -> Length {
        self.sweep_width
    }

    /// Height h above the surface that is kept; `None` where it is neglected.
    #[must_use]
    pub fn height(&self) -> Option<Length> {
        (self.height_m > 0.0).then(|| Length::from_m(self.height_m))
    }

    /// K, square metres.
    #[must_use]
    pub const fn strength_m2(&self) -> f64 {
        self.strength_m2
    }

    /// Exposure that a straight segment leaves at a point.
    ///
    /// `x_m` is the point's distance from the line of the segment over the ground, `s1_m` and `s2_m`
    /// the coordinates of the segment's ends along that line, measured from the foot of the
    /// perpendicular, `s1_m <= s2_m`:
    ///
    /// ```text
    /// F = K / (2 q²) · [ s / √(q² + s²) ] from s1 to s2,   q² = x² + h²
    /// ```
    ///
    /// With r = √(q² + s²) the bracket is (s2 r1 - s1 r2) / (r1 r2). Where both ends lie on one side of the foot it is
    /// written as q² (s2² - s1²) / (r1 r2 (|s2| r1 + |s1| r2)): so nothing cancels in either, and one division does.
    /// On the segment itself, with the height neglected, it is infinite: POD 1.
    #[must_use]
    #[inline]
    pub fn exposure(&self, x_m: f64, s1_m: f64, s2_m: f64) -> f64 {
        let q2 = x_m * x_m + self.height_m * self.height_m;
        let r1 = (q2 + s1_m * s1_m).sqrt();
        let r2 = (q2 + s2_m * s2_m).sqrt();
        let (first, second) = (s1_m.abs() * r2, s2_m.abs() * r1);
        let beside = s1_m < 0.0 && s2_m > 0.0;
        let (top, bottom) = if beside {
            (first + second, q2)
        } else {
            ((s2_m - s1_m) * (s1_m + s2_m).abs(), first + second)
        };
        self.strength_m2 / 2.0 * top / (r1 * r2 * bottom)
    }

    /// Exposure that an endless straight pass leaves at the lateral range `x_m`, metres:
    /// K / (x² + h²).
    #[must_use]
    pub fn pass_exposure(&self, x_m: f64) -> f64 {
        self.strength_m2 / (x_m * x_m + self.height_m * self.height_m)
    }

    /// Exposure at the distance `y_m` from a line of an endless sweep with lines `spacing` apart:
    ///
    /// ```text
    /// Σ K / ((y - iS)² + h²) = (π K / (h S)) sinh(2πh/S) / (cosh(2πh/S) - cos(2πy/S))
    ///                        = (π K / (h S)) t / (sin²(πy/S) + t² cos²(πy/S)),  t = tanh(πh/S)
    /// ```
    ///
    /// (the sum over 1/(z - i) is π cot πz; half angles keep it from overflowing and cancelling). With
    /// h -> 0 it is K (π/S)² / sin²(πy/S).
    #[must_use]
    pub fn sweep_exposure(&self, y_m: f64, spacing: Length) -> f64 {
        let per_m = PI / spacing.m();
        let (sin, cos) = (per_m * y_m).sin_cos();
        if self.height_m == 0.0 {
            return self.strength_m2 * (per_m / sin).powi(2);
        }
        let t = (per_m * self.height_m).tanh();
        self.strength_m2 * per_m / self.height_m * t / (sin * sin + t * t * cos * cos)
    }

    /// POD averaged over an endless parallel sweep flown perfectly. With the height neglected it is
    /// erf(√π/2 · W/S), Koopman's closed form; with it the sum above is averaged over the strip.
    #[must_use]
    pub fn perfect_sweep_pod(&self, spacing: Length) -> f64 {
        if self.height_m == 0.0 {
            return libm::erf(PI.sqrt() / 2.0 * self.sweep_width.m() / spacing.m());
        }
        let places = (0..PLACES).map(|k| (f64::from(k) + 0.5) / f64::from(2 * PLACES));
        let sum: f64 = places
            .map(|y| pod(self.sweep_exposure(y * spacing.m(), spacing)))
            .sum();
        sum / f64::from(PLACES)
    }

    /// Exposure of a place at the distance `y_m` from a line, between 0 and the spacing, looking from one
    /// side: of legs flown to and fro every second looks its way. `seen` tells a strip looked at by the
    /// lines beside it from one looked at by those a spacing farther off.
    fn one_sided_exposure(&self, y_m: f64, spacing: Length, seen: bool, blind_m: f64) -> f64 {
        let farther_m = if seen { 0.0 } else { spacing.m() };
        let step_m = 2.0 * spacing.m();
        self.lines_beyond(y_m + farther_m, step_m, blind_m / 2.0)
            + self.lines_beyond(spacing.m() - y_m + farther_m, step_m, blind_m / 2.0)
    }

    /// Σ K / ((d + k·step)² + h²) over those k >= 0 for which d + k·step is `least_m` or more: the first terms
    /// one by one, the rest by the formula of Euler and Maclaurin with its first two terms, whose error is below
    /// 1e-8 of the sum.
    fn lines_beyond(&self, d_m: f64, step_m: f64, least_m: f64) -> f64 {
        const SUMMED: u32 = 20;
        let d_m = d_m + step_m * ((least_m - d_m) / step_m).ceil().max(0.0);
        let near: f64 = (0..SUMMED)
            .map(|k| self.pass_exposure(d_m + step_m * f64::from(k)))
            .sum();
        let from_m = d_m + step_m * f64::from(SUMMED);
        let next = self.pass_exposure(from_m);
        let slope = -2.0 * from_m * step_m * next * next / self.strength_m2;
        let integral = if self.height_m == 0.0 {
            self.strength_m2 / (from_m * step_m)
        } else {
            self.strength_m2 / (self.height_m * step_m) * (self.height_m / from_m).atan()
        };
        near + integral + next / 2.0 - slope / 12.0
    }

    /// POD averaged over an endless parallel sweep flown perfectly to and fro, with only part of the ground
    /// in view of each line. From one side two neighbouring legs look at the strip between them from both
    /// sides and at the next not at all; in the blind strip of a line the others are seen from. No closed form
    /// is published.
    #[must_use]
    pub fn sweep_pod_in_view(&self, spacing: Length, view: View) -> f64 {
        let edge_m = view.blind_m / 2.0;
        let seen_at = |y_m: f64| match view.scanners {
            Scanners::Both => pod(self.lines_beyond(y_m, spacing.m(), edge_m)
                + self.lines_beyond(spacing.m() - y_m, spacing.m(), edge_m)),
            // Left and right are mirror images.
            Scanners::Left | Scanners::Right => {
                let strip = |seen| pod(self.one_sided_exposure(y_m, spacing, seen, view.blind_m));
                (strip(true) + strip(false)) / 2.0
            }
        };
        // Each strip is symmetric about its middle; the mean is taken to either side of the edge.
        let half_m = spacing.m() / 2.0;
        let cut_m = edge_m.min(half_m);
        let mean = |from_m: f64, to_m: f64| {
            let places = (0..PLACES).map(|k| (f64::from(k) + 0.5) / f64::from(PLACES));
            let sum: f64 = places
                .map(|share| seen_at(from_m + share * (to_m - from_m)))
                .sum();
            sum / f64::from(PLACES) * (to_m - from_m) / half_m
        };
        let blind = if cut_m > 0.0 { mean(0.0, cut_m) } else { 0.0 };
        blind + mean(cut_m, half_m)
    }
}

/// The a that solves 2π a e^-a [I₀(a) + I₁(a)] = `width_in_heights`.
///
/// The left side g rises with the slope g' = 2π e^-a I₀(a), which falls; so Newton's steps from below
/// stay below, and rise to the root. g <= 2πa and g <= √(8πa) give the start.
fn argument_for(width_in_heights: f64) -> f64 {
    /// More than are ever needed: from the start, at most a factor of 2 off, steps converge
    /// quadratically.
    const STEPS: u32 = 60;
    let w = width_in_heights;
    let mut a = (w / (2.0 * PI)).max(w * w / (8.0 * PI));
    for _ in 0..STEPS {
        let (i0, i1) = scaled_i0_i1(a);
        let step = (w - 2.0 * PI * a * (i0 + i1)) / (2.0 * PI * i0);
        a += step;
        if step <= 1e-15 * a {
            break;
        }
    }
    a
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::{assert_abs_diff_eq, assert_relative_eq};

    fn law(width: f64, height: f64) -> InverseCube {
        InverseCube::new(
            Length::from_m(width),
            (height > 0.0).then(|| Length::from_m(height)),
        )
    }

    /// W from K and h, by mpmath 1.x (PyPI) twice: the Bessel form and the integral of
    /// 1 - exp(-K/(x²+h²)) by `mp.quad`, which agree to 12 digits.
    #[test]
    fn strength_is_found_from_width_and_height() {
        for (strength, height, width) in [
            (0.08, 0.1, 0.969_502_431_36),
            (0.08, 0.3, 0.686_348_702_953),
            (1.0, 1.0, 2.517_848_513_1),
        ] {
            assert_relative_eq!(
                law(width, height).strength_m2(),
                strength,
                max_relative = 1e-10
            );
        }
        // A low height is no height, and a great one needs K = W h / π.
        assert_relative_eq!(
            law(1.0, 1e-4).strength_m2(),
            law(1.0, 0.0).strength_m2(),
            max_relative = 1e-6
        );
        assert_relative_eq!(law(1.0, 1e4).strength_m2(), 1e4 / PI, max_relative = 1e-4);
    }

    /// The width is the area under the curve, whatever the height: by the midpoint rule to 500 W, and
    /// the tail K/x² beyond.
    #[test]
    fn width_is_the_area_under_the_curve() {
        for height in [0.0, 0.01, 0.16, 0.7, 3.0] {
            let law = law(1.0, height);
            let (step, reach) = (1e-3, 500.0);
            let count = (reach / step) as u32;
            let inside: f64 = (0..count)
                .map(|k| 2.0 * step * pod(law.pass_exposure((f64::from(k) + 0.5) * step)))
                .sum();
            let tail = 2.0 * law.strength_m2() / reach;
            assert_abs_diff_eq!(inside + tail, 1.0, epsilon = 1e-5);
        }
    }

    /// The closed form against Simpson's rule over the inverse-cube rate of Koopman's law,
    /// dF/ds = K/2 / (x²+h²+s²)^{3/2}.
    #[test]
    fn closed_form_agrees_with_quadrature() {
        for (w, h, x, s1, s2) in [
            (1.0, 0.0, 0.5, -5.0, 5.0),
            (1.0, 0.0, 0.5, 1.0, 4.0),
            (0.5, 0.0, 0.25, -0.5, 2.0),
            (1.0, 0.0, 2.0, -9.0, -3.0),
            (0.5, 0.2, 0.0, -0.5, 2.0),
            (0.5, 0.2, 0.3, 0.5, 2.0),
        ] {
            let law = law(w, h);
            let n = 20_000;
            let step = (s2 - s1) / f64::from(n);
            let rate = |s: f64| law.strength_m2() / 2.0 / (x * x + h * h + s * s).powf(1.5);
            let inner: f64 = (1..n)
                .map(|i| {
                    let weight = if i % 2 == 1 { 4.0 } else { 2.0 };
                    weight * rate(s1 + step * f64::from(i))
                })
                .sum();
            let sum = (rate(s1) + rate(s2) + inner) * step / 3.0;
            assert_abs_diff_eq!(law.exposure(x, s1, s2), sum, epsilon = 1e-9);
        }
    }

    /// A segment is the sum of its parts, also where the foot is on a joint or the point is beside
    /// the end.
    #[test]
    fn exposures_add() {
        for height in [0.0, 0.2] {
            let law = law(1.0, height);
            let f = |a, b| law.exposure(0.3, a, b);
            assert_abs_diff_eq!(f(-1.0, 1.0), f(-1.0, 0.3) + f(0.3, 1.0), epsilon = 1e-12);
            assert_abs_diff_eq!(f(-1.0, 1.0), f(-1.0, 0.0) + f(0.0, 1.0), epsilon = 1e-12);
        }
        // Beside the end, by hand: F -> W²/(16 π) · |1/s1² - 1/s2²|.
        let plain = law(1.0, 0.0);
        assert_abs_diff_eq!(
            plain.exposure(0.0, 1.0, 2.0),
            0.75 / (16.0 * PI),
            epsilon = 1e-12
        );
        assert_abs_diff_eq!(pod(plain.exposure(0.0, -1.0, 2.0)), 1.0);
    }

    /// W/S, h/S, F at y = 0.3 S, mean POD. Computed with mpmath 1.x (PyPI), K by `mp.findroot` on the
    /// Bessel form: F by summing K/((0.3-i)²+h²) over i from -3000 to 3000 and the tail by its
    /// integral, the mean by `mp.quad`.
    #[test]
    fn lattice_sum_and_its_mean() {
        for (c, height, exposure, mean) in [
            (0.25, 0.1, 0.137_996_092_3, 0.242_256_941_2),
            (0.5, 0.2, 0.455_362_631_9, 0.446_032_435_5),
            (1.0, 0.05, 1.193_760_231, 0.788_026_994),
            (1.0, 0.1646, 1.173_854_464, 0.768_215_660_4),
            (1.0, 0.5, 1.152_906_15, 0.694_387_088_2),
            (2.0, 0.3, 3.370_042_844, 0.971_373_673_2),
        ] {
            let law = law(c, height);
            let spacing = Length::from_m(1.0);
            assert_relative_eq!(
                law.sweep_exposure(0.3, spacing),
                exposure,
                max_relative = 1e-8
            );
            assert_abs_diff_eq!(law.perfect_sweep_pod(spacing), mean, epsilon = 1e-8);
        }
    }

    /// From one side, against the lines summed one by one; and what the lines see from the left and from
    /// the right makes what they see from both.
    #[test]
    fn one_side_and_the_other_make_both() {
        let spacing = Length::from_m(1.0);
        for law in [law(1.0, 0.0), law(1.0, 0.15), law(1.0, 2.0)] {
            for y in [0.1, 0.3, 0.5, 0.9] {
                let (seen, unseen) = (
                    law.one_sided_exposure(y, spacing, true, 0.0),
                    law.one_sided_exposure(y, spacing, false, 0.0),
                );
                let one_by_one: f64 = (0..200_000)
                    .map(|k| 2.0 * f64::from(k))
                    .map(|k| law.pass_exposure(y + k) + law.pass_exposure(1.0 - y + k))
                    .sum();
                assert_abs_diff_eq!(seen, one_by_one, epsilon = 1e-5);
                let both = law.sweep_exposure(y, spacing);
                assert_relative_eq!(seen + unseen, both, max_relative = 1e-7);
            }
        }
    }

    /// From a height that does not matter the mean is Koopman's; from far above the lines the ground
    /// sees all of them alike, F = π K / (h S), which with K = W h / π is random search.
    #[test]
    fn between_the_ideal_and_the_random_sweep() {
        let spacing = Length::from_m(1000.0);
        let ideal = libm::erf(PI.sqrt() / 2.0);
        let low = law(1000.0, 0.05).perfect_sweep_pod(spacing);
        assert_abs_diff_eq!(low, ideal, epsilon = 1e-6);
        let high = law(1000.0, 1e6).perfect_sweep_pod(spacing);
        assert_abs_diff_eq!(high, pod(1.0), epsilon = 1e-3);
    }
}
