//! No good fix may be dropped, and no good height: whatever is flown, however it is recorded.

use crate::support::{many_faults, nm};
use crate::way::{At, Rng, cleaned, every, fix, ledger, normal, rng, sampled, steered};
use overflown::plan;
use overflown::simulate::{Fault, ReceiverNoise, Settings, Wind, simulate};
use overflown::tasking::{self, Side};
use overflown::track::Fix;
use overflown::units::{Bearing, Length, Speed};
use std::path::PathBuf;

/// One tasking for every kind of pattern.
const PATTERNS: [&str; 9] = [
    "clean",
    "contour",
    "creeping-line",
    "expanding-square",
    "interleaved-tasked",
    "route",
    "sector",
    "track-line",
    "track-line-return",
];

/// Fixes a second, from one in ten seconds to ten.
const RATES_HZ: [f64; 5] = [1.0, 0.1, 10.0, 0.5, 5.0];

/// Every pattern, flown with twenty seeds: another wind, rate, noise and bank for each, up to a bank of 60°
/// and a noise of 5 m that wanders and 3 m that is new at every fix.
#[test]
fn every_pattern_in_every_weather() {
    let samples = PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("sample-logs");
    let mut fixes = 0;
    for (number, pattern) in (0..).zip(PATTERNS) {
        let path = samples.join(pattern).join("tasking.toml");
        let tasking = tasking::read(&path).unwrap();
        let plan = plan::lay_out(&tasking, &path).unwrap();
        for seed in 1..=20_u64 {
            let share = seed as f64 / 20.0;
            let orbit = Fault::Orbit {
                leg: 2,
                along: nm(0.5),
                turns: 2,
                side: Side::Left,
            };
            let settings = Settings {
                wind: Wind {
                    from: Bearing::from_deg(37.0 * seed as f64),
                    speed: Speed::from_kt(25.0 * share),
                },
                gust: Speed::from_kt(2.0),
                bank_deg: 15.0 + 45.0 * share,
                rate_hz: RATES_HZ[((seed + number) % 5) as usize],
                noise: ReceiverNoise {
                    slow: Length::from_m(5.0 * share),
                    white: Length::from_m(3.0 * share),
                    height: Length::from_m(12.0 * share),
                },
                faults: vec![orbit],
                ..Settings::for_tasking(&tasking)
            };
            let flown = simulate(&plan, &settings, seed).unwrap();
            let count = flown.fixes.len();
            let track = cleaned(flown.fixes);
            assert_eq!(ledger(&track), [], "{pattern}, seed {seed}");
            assert_eq!(track.fixes.len(), count);
            fixes += count;
        }
    }
    assert!(fixes > 1_000_000, "{fixes} fixes were tried");
}

#[test]
fn a_flight_with_all_that_can_happen() {
    let (tasking, plan) = crate::support::tasking(crate::support::TASKING);
    let settings = Settings {
        faults: many_faults(),
        ..Settings::for_tasking(&tasking)
    };
    let flown = simulate(&plan, &settings, 5).unwrap();
    assert_eq!(ledger(&cleaned(flown.fixes)), []);
}

/// A place by time.
type Way = Box<dyn Fn(f64) -> At>;

/// Turns that are hard for aeroplane or helicopter, ten minutes each.
fn manoeuvres() -> Vec<(&'static str, Way)> {
    let until = 600.0;
    // Rate of turn at a bank φ: ω = g tan φ / V, degrees a second.
    let rate =
        |bank_deg: f64, speed: f64| (9.806_65 * bank_deg.to_radians().tan() / speed).to_degrees();
    let in_turns = |t: f64| {
        if ((t / 30.0) as u32).is_multiple_of(2) {
            1.0
        } else {
            -1.0
        }
    };
    vec![
        (
            "7°/s at 120 kt",
            Box::new(steered(until, |_| (61.7, 7.0, 0.0))),
        ),
        (
            "3°/s at 90 kt",
            Box::new(steered(until, |_| (46.3, 3.0, 0.0))),
        ),
        (
            "60° of bank at 200 kt, to and fro at once",
            Box::new(steered(until, move |t| {
                (102.9, in_turns(t) * rate(60.0, 102.9), 0.0)
            })),
        ),
        (
            "60° of bank at 70 kt",
            Box::new(steered(until, move |t| {
                (36.0, in_turns(t) * rate(60.0, 36.0), 0.0)
            })),
        ),
        (
            // A climb into which half the speed goes within 4 s, and a dive out of it.
            "hard pull-ups",
            Box::new(steered(until, |t| {
                let phase = t % 60.0;
                let up = (phase.min(4.0) - (phase - 30.0_f64).clamp(0.0, 4.0)) / 4.0;
                (90.0 - 45.0 * up, 0.0, 55.0 * (up - 0.5))
            })),
        ),
        (
            // 6,000 ft/min is 30.5 m/s.
            "climbs and descents of 6,000 ft/min",
            Box::new(steered(until, |t| {
                let turned: f64 = (30.0 - (t % 120.0 - 60.0).abs()) / 3.0;
                (60.0, 0.0, 30.5 * turned.clamp(-1.0, 1.0))
            })),
        ),
        (
            // From 60 kt to a hover and back, at 3 m/s²; 20 s in the hover.
            "quick stops into a hover",
            Box::new(steered(until, |t| {
                let phase = t % 60.0;
                let stopping: f64 = 30.9 - 3.0 * phase;
                let starting: f64 = 30.9 - 3.0 * (40.3 - phase).max(0.0);
                (stopping.max(starting).clamp(0.0, 30.9), 0.0, 0.0)
            })),
        ),
    ]
}

/// Times of a recorder without a beat: from 1 to 60 s apart.
fn uneven(rng: &mut Rng) -> Vec<f64> {
    let mut at = 0.0;
    let mut seconds = vec![];
    while at < 600.0 {
        seconds.push(at);
        at += (1.0 + 12.0 * normal(rng).abs()).min(60.0).round();
    }
    seconds
}

#[test]
fn hard_manoeuvres_however_recorded() {
    for (name, way) in manoeuvres() {
        for seed in 1..=20 {
            let mut rng = rng(seed);
            let beats = [0.1, 0.2, 1.0, 2.0, 5.0, 10.0, 30.0].map(|step| every(step, 600.0));
            for seconds in beats.into_iter().chain([uneven(&mut rng)]) {
                for noise_m in [0.0, 3.0] {
                    let fixes = sampled(seconds.iter().copied(), &way, noise_m, &mut rng);
                    let (count, step) = (fixes.len(), seconds[1]);
                    let track = cleaned(fixes);
                    assert_eq!(ledger(&track), [], "{name}, {step} s, seed {seed}");
                    assert_eq!(track.fixes.len(), count);
                }
            }
        }
    }
}

/// 10 Hz and a poor receiver: 10 m to each side, new at every fix.
#[test]
fn a_noisy_receiver_is_no_row_of_spikes() {
    let way = steered(600.0, |_| (46.3, 3.0, 0.0));
    for seed in 1..=20 {
        let fixes = sampled(every(0.1, 600.0), &way, 10.0, &mut rng(seed));
        assert_eq!(ledger(&cleaned(fixes)), []);
    }
}

/// A recorder of one fix in 1.5 s that writes whole seconds, cut off: times are up to half a second wrong.
#[test]
fn times_cut_to_whole_seconds() {
    for speed in [46.3, 92.6] {
        let way = steered(600.0, |t| {
            (speed, if t % 100.0 < 60.0 { 0.0 } else { 3.0 }, 0.0)
        });
        for step in [1.5, 1.01, 2.7] {
            let fixes: Vec<Fix> = every(step, 600.0)
                .into_iter()
                .enumerate()
                .map(|(number, second)| fix(number, second.floor(), way(second)))
                .collect();
            assert_eq!(ledger(&cleaned(fixes)), [], "{speed} m/s, {step} s");
        }
    }
}

/// A receiver that holds slow positions still, on the ground and in the hover, at 1 and at 10 Hz; and a
/// recorder that writes 1/1000 of a minute. Take-off, a hover of three minutes amid flight, landing.
#[test]
fn a_stand_is_not_frozen() {
    let speed = |t: f64| {
        let ramp = |from: f64, to: f64| (2.5 * (t - from).min(to - t)).clamp(0.0, 40.0_f64);
        ramp(60.0, 300.0).max(ramp(480.0, 700.0))
    };
    let way = steered(800.0, |t| (speed(t), 0.0, 0.0));
    for step in [0.1, 1.0, 5.0, 10.0, 30.0] {
        for seed in 1..=20 {
            let mut rng = rng(seed);
            let mut held: Option<Fix> = None;
            let mut fixes = sampled(every(step, 800.0), &way, 2.0, &mut rng);
            for at in &mut fixes {
                let second = (at.time - crate::way::start()).as_seconds_f64();
                if speed(second) < 1.0 {
                    at.position = held.get_or_insert(*at).position;
                } else {
                    held = None;
                }
            }
            assert_eq!(ledger(&cleaned(fixes.clone())), [], "{step} s, seed {seed}");
            for at in &mut fixes {
                let coarse = |degrees: f64| (degrees * 60_000.0).round() / 60_000.0;
                let (lat, lon) = (coarse(at.position.lat()), coarse(at.position.lon()));
                at.position = overflown::geodesy::Position::new(lat, lon).unwrap();
            }
            assert_eq!(ledger(&cleaned(fixes)), [], "coarse, {step} s, seed {seed}");
        }
    }
}

/// Across the equator and the meridian of Greenwich a coordinate is truly 0, even for a while.
#[test]
fn the_equator_and_the_meridian_may_be_flown() {
    let fixes: Vec<Fix> = (0..400_u32)
        .map(|number| {
            // 46 m a second eastwards along the equator, through 0° E.
            let lon = (f64::from(number) - 200.0) * 4.16e-4;
            let mut at = fix(number as usize, f64::from(number), At(0.0, 0.0, 500.0));
            at.position = overflown::geodesy::Position::new(0.0, lon).unwrap();
            at
        })
        // Both at once would have been dropped on reading.
        .filter(|at| at.position.lon() != 0.0)
        .collect();
    assert_eq!(ledger(&cleaned(fixes)), []);
}
