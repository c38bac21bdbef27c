//! Flights as strangers record them: any interval between fixes, any noise, holes.

use crate::support;
use overflown::geodesy::{Position, geodesic};
use overflown::plan::Plan;
use overflown::simulate::{Fault, Settings, Wind, simulate};
use overflown::track::{Fix, Track, seconds_between};
use overflown::units::{Bearing, Length, Speed};
use rand::{RngExt, SeedableRng};
use rand_chacha::ChaCha8Rng;
use rand_distr::{Distribution, Normal};

/// How a flight is recorded.
#[derive(Clone, Copy, Debug)]
pub struct Recorded {
    /// Time between fixes, seconds; nothing means any from 1 to 60, changing all the time.
    pub every_s: Option<f64>,
    /// Standard deviation of what every fix is off by, in each coordinate.
    pub noise_m: f64,
}

/// Flies a tasking in a wind that differs from seed to seed.
pub fn fly(text: &str, faults: Vec<Fault>, seed: u64) -> (Plan, Vec<Fix>) {
    let (tasking, plan) = support::tasking(text);
    let settings = Settings {
        faults,
        wind: Wind {
            from: Bearing::from_deg(37.0 * seed as f64),
            speed: Speed::from_kt((seed % 5) as f64 * 4.0),
        },
        ..Settings::for_tasking(&tasking)
    };
    let fixes = simulate(&plan, &settings, seed).unwrap().fixes;
    (plan, fixes)
}

/// The same flight as another recorder would have written it.
pub fn record(fixes: &[Fix], how: Recorded, seed: u64) -> Vec<Fix> {
    let mut rng = ChaCha8Rng::seed_from_u64(seed);
    let noise = Normal::new(0.0, how.noise_m).unwrap();
    let mut next_s = 0.0;
    let mut interval_s = 10.0f64;
    let mut kept = Vec::new();
    for fix in fixes {
        let at_s = seconds_between(fixes[0].time, fix.time);
        if at_s < next_s {
            continue;
        }
        next_s = at_s
            + how.every_s.unwrap_or_else(|| {
                interval_s = (interval_s * rng.random_range(0.5..2.0)).clamp(1.0, 60.0);
                interval_s
            });
        kept.push(Fix {
            position: beside(fix.position, noise.sample(&mut rng), noise.sample(&mut rng)),
            ..*fix
        });
    }
    kept
}

/// A place so far east and north of another.
pub fn beside(at: Position, east_m: f64, north_m: f64) -> Position {
    let towards = Bearing::from_deg(east_m.atan2(north_m).to_degrees());
    geodesic::destination(at, towards, Length::from_m(east_m.hypot(north_m)))
}

/// Cleaned as any log.
pub fn track(fixes: Vec<Fix>) -> Track {
    support::track(fixes)
}
