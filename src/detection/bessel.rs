//! Modified Bessel functions of the first kind, scaled: e^-a I₀(a) and e^-a I₁(a), which stay finite
//! where I₀ and I₁ overflow.
//!
//! *NIST Digital Library of Mathematical Functions*, 10.25.2 (power series) and 10.40.1 (expansion
//! for large arguments).

/// From here on the expansion is used. Chosen: its smallest term there is below 1e-25, and below it the
/// power series, all of whose terms are positive, needs fewer than a hundred of them.
const LARGE: f64 = 30.0;

/// e^-a I₀(a) and e^-a I₁(a) for a >= 0, each to within 1e-14 of its size.
#[must_use]
pub(super) fn scaled_i0_i1(a: f64) -> (f64, f64) {
    if a < LARGE {
        (series(0, a), series(1, a))
    } else {
        (expansion(0.0, a), expansion(4.0, a))
    }
}

/// Σ (a²/4)^k / (k! (k + order)!) · (a/2)^order · e^-a.
fn series(order: u32, a: f64) -> f64 {
    let quarter = a * a / 4.0;
    let mut term = if order == 0 { 1.0 } else { a / 2.0 };
    let mut sum = 0.0;
    let mut k = 0.0;
    // The terms fall for good once k exceeds a/2.
    while term > f64::EPSILON * sum / 16.0 || k < a / 2.0 {
        sum += term;
        k += 1.0;
        term *= quarter / (k * (k + f64::from(order)));
        if term == 0.0 {
            break;
        }
    }
    sum * (-a).exp()
}

/// (2πa)^-1/2 · Σ (-1)^k Π (4ν² - (2j-1)²) / (k! (8a)^k), j from 1 to k; `four_nu2` is 4ν².
fn expansion(four_nu2: f64, a: f64) -> f64 {
    let (mut sum, mut term, mut k) = (1.0, 1.0f64, 0.0);
    while term.abs() > f64::EPSILON / 16.0 {
        k += 1.0;
        let odd = 2.0 * k - 1.0;
        term *= -(four_nu2 - odd * odd) / (k * 8.0 * a);
        sum += term;
    }
    sum / (2.0 * std::f64::consts::PI * a).sqrt()
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_relative_eq;

    /// `scipy.special.ive(n, a)` of SciPy 1.x (PyPI):
    /// `for a in [...]: print(a, repr(float(ive(0, a))), repr(float(ive(1, a))))`.
    #[test]
    fn agrees_with_a_reference_library() {
        for (a, i0, i1) in [
            (1e-8, 0.999_999_990_000_000_1, 4.999_999_949_999_996e-9),
            (0.01, 0.990_074_585_149_707_4, 0.004_950_311_047_118_277),
            (0.5, 0.645_035_270_449_150_1, 0.156_420_803_184_871_67),
            (1.0, 0.465_759_607_593_640_4, 0.207_910_415_349_708_42),
            (4.0, 0.207_001_921_223_986_64, 0.178_750_839_502_435_3),
            (10.0, 0.127_833_337_163_428_62, 0.121_262_681_384_455_52),
            (29.9, 0.073_269_219_046_001_9, 0.072_033_374_911_868_79),
            (30.1, 0.073_023_294_131_060_96, 0.071_799_854_351_014_33),
            (100.0, 0.039_944_379_299_096_68, 0.039_744_153_025_130_256),
            (1e4, 0.003_989_472_674_604_731_4, 0.003_989_273_195_983_662),
            (1e8, 3.989_422_809_001_106e-5, 3.989_422_789_053_991_6e-5),
        ] {
            let got = scaled_i0_i1(a);
            assert_relative_eq!(got.0, i0, max_relative = 1e-14);
            assert_relative_eq!(got.1, i1, max_relative = 1e-14);
        }
        assert_eq!(scaled_i0_i1(0.0), (1.0, 0.0));
    }
}
