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

/// A tasking with this pattern.
pub fn text(pattern: &str) -> String {
    format!(
        "sortie = \"Heron 3\"\ndate = 2026-05-20\n[pattern]\n{pattern}\n[flight]\n\
         ground_speed = \"90 kt\"\naltitude = \"3000 ft\"\nbase = [46.30, 10.95]\n\
         [detection]\nsweep_width = \"0.5 NM\"\n"
    )
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

/// A flight along straight lines between corners (east and north of `at`, metres, turned by `turned` radians), one
/// fix each `step_m`, off by `noise_m` in each coordinate.
pub fn lines(
    at: Position,
    corners: &[(f64, f64)],
    turned: f64,
    step_m: f64,
    noise_m: f64,
    seed: u64,
) -> Vec<Fix> {
    let mut rng = ChaCha8Rng::seed_from_u64(seed);
    let noise = Normal::new(0.0, noise_m).unwrap();
    let start = chrono::DateTime::from_timestamp(1_779_264_000, 0).unwrap();
    let speed_mps = (step_m / 2.0).clamp(4.0, 60.0);
    let (sin, cos) = turned.sin_cos();
    let mut fixes = Vec::new();
    let mut at_s = 0.0;
    for pair in corners.windows(2) {
        let (a, b) = (pair[0], pair[1]);
        let length = (b.0 - a.0).hypot(b.1 - a.1);
        let steps = (length / step_m).ceil().max(1.0) as usize;
        for i in 0..steps {
            let share = i as f64 / steps as f64;
            let (x, y) = (a.0 + share * (b.0 - a.0), a.1 + share * (b.1 - a.1));
            let (x, y) = (x * cos - y * sin, x * sin + y * cos);
            let place = beside(at, x + noise.sample(&mut rng), y + noise.sample(&mut rng));
            fixes.push(Fix {
                time: start + chrono::TimeDelta::milliseconds((at_s * 1000.0) as i64),
                position: place,
                height: None.into(),
                file: 0,
                line: fixes.len() as u32 + 1,
            });
            at_s += length / steps as f64 / speed_mps;
        }
    }
    fixes
}
