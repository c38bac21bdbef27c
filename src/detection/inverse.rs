//! The laws turned round: which coverage factor gives a wanted POD?

use super::law::sweep_pod_seen_from;
use super::{InverseCube, Law, Scanners, View};
use crate::units::Length;

/// Where no closed form exists the coverage factor is found to this share of itself. Chosen: far below
/// anything that can be flown or that W is known to.
const TOLERANCE: f64 = 1e-12;

/// The least coverage factor C = W/S at which an endless parallel sweep flown perfectly gives this
/// POD, averaged over the strip; `pod` from 0 up to but not including 1.
///
/// The inverse of [`sweep_pod_seen_from`]. Exponential: C = -ln(1 - POD). Definite range: C = POD.
/// Inverse cube: C = 2/√π · erf⁻¹(POD) with the height neglected, found by halving the interval until it
/// is 1 part in 10¹² wide; W and height are those of `inverse_cube`.
/// With the share s of W in view ([`View::share`]) the exponential law needs 1/s of the C. Definite range:
/// POD/s up to C = 1; beyond it, where a leg looks into the blind strip of the next or into the ground that is
/// not looked at from there, 1 + POD, or 1 + 2 POD from one side, as long as the spacing is more than the
/// blind strip.
#[must_use]
pub fn coverage_factor_for(law: Law, pod: f64, inverse_cube: &InverseCube, view: View) -> f64 {
    let width = inverse_cube.sweep_width();
    let at = |c: f64| {
        let spacing = Length::from_m(width.m() / c);
        sweep_pod_seen_from(law, inverse_cube, spacing, view)
    };
    match law {
        Law::Exponential => -(-pod).ln_1p() / view.share(width),
        Law::DefiniteRange => {
            let one_by_one = pod / view.share(width);
            let from_next = match view.scanners {
                Scanners::Both => 1.0 + pod,
                Scanners::Left | Scanners::Right => 1.0 + 2.0 * pod,
            };
            // Legs farther apart than W do not look at the same ground.
            if one_by_one <= 1.0 {
                one_by_one
            } else {
                from_next
            }
        }
        Law::InverseCube => by_halving(at, pod),
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
        let views = sides
            .map(View::of)
            .into_iter()
            .chain(sides.map(|scanners| View {
                scanners,
                blind_m: 120.0,
            }));
        for (form, view) in laws
            .iter()
            .flat_map(|form| views.clone().map(move |v| (form, v)))
        {
            for law in Law::ALL {
                for pod in [0.01, 0.2, 0.49, 0.5, 0.6, 0.9, 0.999] {
                    let c = coverage_factor_for(law, pod, form, view);
                    let spacing = Length::from_m(WIDTH.m() / c);
                    let back = sweep_pod_seen_from(law, form, spacing, view);
                    assert_relative_eq!(back, pod, epsilon = 1e-9);
                }
            }
        }
    }

    #[test]
    fn ends_of_the_range() {
        let form = InverseCube::new(WIDTH, None);
        for law in Law::ALL {
            assert!(coverage_factor_for(law, 0.0, &form, View::WHOLE) == 0.0);
            let most = coverage_factor_for(law, 1.0 - f64::EPSILON, &form, View::WHOLE);
            assert!(most.is_finite() && most >= 1.0 - f64::EPSILON, "{most}");
        }
    }
}
