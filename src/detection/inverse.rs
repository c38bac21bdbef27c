//! The laws turned round: which coverage factor gives a wanted POD?

use super::law::sweep_pod_seen_from;
use super::{InverseCube, Law, Scanners};
use crate::units::Length;

/// Where no closed form exists the coverage factor is found to this share of itself. Chosen: far below
/// anything that can be flown or that W is known to.
const TOLERANCE: f64 = 1e-12;

/// The least coverage factor C = W/S at which an endless parallel sweep flown perfectly gives this
/// POD, averaged over the strip; `pod` from 0 up to but not including 1.
///
/// The inverse of [`sweep_pod_seen_from`]. Exponential: C = -ln(1 - POD). Definite range: C = POD.
/// Inverse cube: C = 2/√π · erf⁻¹(POD) with the height neglected, found by halving the interval until it
/// is 1 part in 10¹² wide; W and height are those of `inverse_cube`. With scanners on one side the exponential law needs twice the C, definite
/// range 2 POD up to one half and 1 + 2 POD above.
#[must_use]
pub fn coverage_factor_for(
    law: Law,
    pod: f64,
    inverse_cube: &InverseCube,
    scanners: Scanners,
) -> f64 {
    let at = |c: f64| {
        let spacing = Length::from_m(inverse_cube.sweep_width().m() / c);
        sweep_pod_seen_from(law, inverse_cube, spacing, scanners)
    };
    match (law, scanners) {
        (Law::Exponential, Scanners::Both) => -(-pod).ln_1p(),
        (Law::Exponential, _) => -2.0 * (-pod).ln_1p(),
        (Law::DefiniteRange, Scanners::Both) => pod,
        (Law::DefiniteRange, _) if pod <= 0.5 => 2.0 * pod,
        (Law::DefiniteRange, _) => 1.0 + 2.0 * pod,
        (Law::InverseCube, _) => by_halving(at, pod),
    }
}

/// Where a rising function that is 0 at 0 and comes arbitrarily close to 1 reaches `value`.
fn by_halving(function: impl Fn(f64) -> f64, value: f64) -> f64 {
    if value <= 0.0 {
        return 0.0;
    }
    let (mut low, mut high) = (0.0, 1.0);
    // An f64 short of 1 is reached long before the 60th doubling.
    for _ in 0..60 {
        if function(high) >= value {
            break;
        }
        (low, high) = (high, 2.0 * high);
    }
    while high - low > TOLERANCE * high {
        let middle = low + (high - low) / 2.0;
        if function(middle) < value {
            low = middle;
        } else {
            high = middle;
        }
    }
    high
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_relative_eq;

    const WIDTH: Length = Length::from_m(1000.0);

    /// There and back.
    #[test]
    fn inverts_every_law() {
        let laws = [None, Some(Length::from_ft(500.0))].map(|h| InverseCube::new(WIDTH, h));
        let sides = [Scanners::Both, Scanners::Left];
        for (form, scanners) in laws.iter().flat_map(|form| sides.map(|side| (form, side))) {
            for law in Law::ALL {
                for pod in [0.01, 0.2, 0.49, 0.5, 0.6, 0.9, 0.999] {
                    let c = coverage_factor_for(law, pod, form, scanners);
                    let spacing = Length::from_m(WIDTH.m() / c);
                    let back = sweep_pod_seen_from(law, form, spacing, scanners);
                    assert_relative_eq!(back, pod, epsilon = 1e-9);
                }
            }
        }
    }

    #[test]
    fn ends_of_the_range() {
        let form = InverseCube::new(WIDTH, None);
        for law in Law::ALL {
            assert!(coverage_factor_for(law, 0.0, &form, Scanners::Both) == 0.0);
            let most = coverage_factor_for(law, 1.0 - f64::EPSILON, &form, Scanners::Both);
            assert!(most.is_finite() && most >= 1.0 - f64::EPSILON, "{most}");
        }
    }
}
