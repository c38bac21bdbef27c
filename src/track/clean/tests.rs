//! Cleaning on small logs made by hand: what is expected was worked out by hand.
#![allow(
    clippy::single_range_in_vec_init,
    reason = "a track has a list of ranges, often of one"
)]

use super::*;
use crate::geodesy::{Position, geodesic};
use crate::input::InputFile;
use crate::track::{Finding, HeightKind, Ledger};
use crate::units::{Bearing, Length};
use chrono::{DateTime, TimeDelta};
use proptest::prelude::*;

/// 100 kt.
const MPS: f64 = 51.4;

/// A fix `second` s into the log, so many metres east and north of the start. Its line is its number.
#[derive(Clone, Copy, Debug)]
struct At(f64, f64, f64);

fn fix(line: u32, At(second, east_m, north_m): At) -> Fix {
    let start = Position::new(47.0, 12.0).unwrap();
    let course = Bearing::from_deg(east_m.atan2(north_m).to_degrees());
    let position = geodesic::destination(start, course, Length::from_m(east_m.hypot(north_m)));
    let time = DateTime::from_timestamp(1_777_647_600, 0).unwrap()
        + TimeDelta::milliseconds((second * 1000.0).round() as i64);
    Fix {
        time,
        position,
        height: None.into(),
        line,
        file: 0,
    }
}

fn reading(segments: &[Vec<At>]) -> Reading {
    let mut lines = 1..;
    let segments = segments
        .iter()
        .map(|s| s.iter().map(|&at| fix(lines.next().unwrap(), at)).collect())
        .collect();
    let source = InputFile {
        role: "track".into(),
        name: "log.gpx".into(),
        bytes: 0,
        sha256: String::new(),
    };
    let height_kind = HeightKind::MeanSeaLevel;
    Reading::of(source, None, segments, height_kind, Ledger::default())
}

fn cleaned(segments: &[Vec<At>]) -> Track {
    clean(reading(segments), &CleanSettings::default()).unwrap()
}

fn refused(segments: &[Vec<At>]) -> InputError {
    clean(reading(segments), &CleanSettings::default()).unwrap_err()
}

/// Straight flight to the east, one fix a second.
fn straight(seconds: std::ops::Range<u32>) -> Vec<At> {
    seconds
        .map(f64::from)
        .map(|s| At(s, s * MPS, 0.0))
        .collect()
}

fn found(track: &Track) -> Vec<(u32, Finding)> {
    track
        .ledger
        .entries
        .iter()
        .map(|entry| (entry.line, entry.finding))
        .collect()
}

#[test]
fn a_sound_log_is_left_alone() {
    let track = cleaned(&[straight(0..100)]);
    assert_eq!((track.fixes.len(), track.points_read()), (100, 100));
    assert_eq!(track.stretches, [0..100]);
    assert_eq!((track.median_interval_s, track.gap_limit_s), (1.0, 10.0));
    assert!(track.ledger.entries.is_empty());
}

#[test]
fn only_the_spike_is_dropped_wherever_it_stands() {
    for place in [0, 1, 2, 50, 97, 98, 99] {
        for away in [At(0.0, 0.0, 400.0), At(0.0, 1e6, -1e6)] {
            let mut log = straight(0..100);
            log[place].1 += away.1;
            log[place].2 += away.2;
            let track = cleaned(&[log]);
            let expected = [(place as u32 + 1, Finding::ImpossibleSpeed)];
            assert_eq!(found(&track), expected, "{place} {away:?}");
            assert_eq!((track.fixes.len(), track.points_read()), (99, 100));
        }
    }
}

/// 170 m along the track at 51 m/s: one of the two steps is 221 m, above 180 m/s + 30 m, the other
/// 119 m, possible. The neighbour on the impossible side is good and must stay.
#[test]
fn a_spike_along_the_track_does_not_cost_its_neighbour() {
    for along in [-170.0, 170.0] {
        let mut log = straight(0..100);
        log[50].1 += along;
        assert_eq!(
            found(&cleaned(&[log])),
            [(51, Finding::ImpossibleSpeed)],
            "{along}"
        );
    }
}

#[test]
fn a_short_excursion_of_the_receiver_is_dropped_and_leaves_a_gap() {
    let mut log = straight(0..300);
    for at in &mut log[100..130] {
        at.2 += 50_000.0;
    }
    let track = cleaned(&[log]);
    assert_eq!(track.ledger.counts()[&Finding::ImpossibleSpeed], 30);
    assert_eq!(track.stretches, [0..100, 100..270]);
    assert_eq!(track.gaps()[0].duration_s, 31.0);
}

#[test]
fn a_lasting_jump_keeps_both_sides() {
    let mut log = straight(0..400);
    for at in &mut log[150..] {
        at.2 += 500_000.0;
    }
    let track = cleaned(&[log]);
    assert_eq!(found(&track), [(151, Finding::PositionJump)]);
    assert_eq!((track.fixes.len(), track.points_read()), (400, 400));
    assert_eq!(track.stretches, [0..150, 150..400]);
    assert_eq!(track.gaps()[0].duration_s, 1.0);
}

/// The receiver is somewhere else for longer than a chain reaches back.
#[test]
fn three_lasting_parts_are_kept_in_order() {
    let mut log = straight(0..2000);
    for at in &mut log[600..1200] {
        at.2 += 500_000.0;
    }
    let track = cleaned(&[log]);
    assert_eq!(
        found(&track),
        [(601, Finding::PositionJump), (1201, Finding::PositionJump)]
    );
    assert_eq!(track.stretches, [0..600, 600..1200, 1200..2000]);
}

#[test]
fn turns_and_orbits_are_not_spikes() {
    // 120 kt, 3 degrees a second, ten fixes a second with 2 m of scatter.
    let (speed, rate) = (61.7, 3.0_f64.to_radians());
    let log: Vec<At> = (0..6000)
        .map(|i| {
            let t = f64::from(i) / 10.0;
            let (sin, cos) = (rate * t).sin_cos();
            let scatter = f64::from(i * 7 % 5) - 2.0;
            At(
                t,
                speed / rate * sin + scatter,
                speed / rate * cos - scatter,
            )
        })
        .collect();
    let track = cleaned(&[log]);
    assert_eq!((track.fixes.len(), track.ledger.entries.len()), (6000, 0));
}

#[test]
fn the_antimeridian_is_no_jump() {
    let mut reading = reading(&[straight(0..100)]);
    for fix in &mut reading.segments[0] {
        let lon = fix.position.lon() - 12.0 + 179.98;
        fix.position = Position::new(fix.position.lat(), lon).unwrap();
    }
    let track = clean(reading, &CleanSettings::default()).unwrap();
    assert!(track.fixes[99].position.lon() < -179.0);
    assert_eq!((track.stretches.len(), track.ledger.entries.len()), (1, 0));
}

#[test]
fn a_faster_aircraft_is_named_and_can_be_allowed() {
    let log: Vec<At> = (0..100)
        .map(f64::from)
        .map(|s| At(s, s * 250.0, 0.0))
        .collect();
    let error = refused(std::slice::from_ref(&log));
    assert!(error.to_string().contains("impossible speed"), "{error}");
    assert!(error.to_string().contains(": 486 kt"), "{error}"); // 250 m/s = 485.96 kt
    assert!(
        error.hint.contains("350 kt") && error.hint.contains("--speed-limit"),
        "{error:?}"
    );
    let settings = CleanSettings {
        speed_limit: Speed::from_kt(500.0),
        ..CleanSettings::default()
    };
    assert_eq!(clean(reading(&[log]), &settings).unwrap().fixes.len(), 100);
}

#[test]
fn repeated_and_misplaced_times_are_dropped() {
    let mut log = straight(0..100);
    log[20].0 = 19.0;
    log[60].0 = 33.0;
    log[80].0 = 3600.0;
    let track = cleaned(&[log]);
    let expected = [
        (21, Finding::DuplicateTime),
        (61, Finding::TimeReversed),
        (81, Finding::TimeReversed),
    ];
    assert_eq!(found(&track), expected);
    assert!(track.fixes.is_sorted_by(|a, b| a.time < b.time));
}

/// A receiver that records five times a second but writes whole seconds.
#[test]
fn many_duplicates_are_no_reason_to_refuse() {
    let log = (0..500)
        .map(|i| At(f64::from(i / 5), f64::from(i) * MPS / 5.0, 0.0))
        .collect();
    let track = cleaned(&[log]);
    assert_eq!((track.fixes.len(), track.points_read()), (100, 500));
}

#[test]
fn a_log_that_runs_backwards_is_refused() {
    let mut log = straight(0..100);
    log.reverse();
    let error = refused(&[log]);
    assert_eq!(
        error.to_string(),
        "log.gpx, line 2: times run backwards through the log"
    );
}

#[test]
fn two_recordings_of_one_time_are_refused() {
    let error = refused(&[straight(0..100), straight(0..100)]);
    assert!(error.hint.contains("two recordings"), "{error:?}");
    // A second receiver, half a second later.
    let shifted = straight(0..100)
        .into_iter()
        .map(|at| At(at.0 + 0.5, at.1, at.2))
        .collect();
    let error = refused(&[straight(0..100), shifted]);
    assert!(
        error.to_string().contains("of 200 fixes are out of order"),
        "{error}"
    );
}

#[test]
fn segments_are_put_in_order_of_time() {
    let track = cleaned(&[straight(50..100), straight(0..50)]);
    assert_eq!(found(&track), [(51, Finding::OutOfOrder)]);
    assert_eq!((track.fixes.len(), track.stretches.len()), (100, 1));
    assert_eq!(track.fixes[0].line, 51);
}

/// A new segment within two median intervals is the same record; a later one is a gap, even if
/// shorter than the limit.
#[test]
fn segments_are_joined_only_across_short_steps() {
    assert_eq!(
        cleaned(&[straight(0..50), straight(50..100)]).stretches,
        [0..100]
    );
    assert_eq!(
        cleaned(&[straight(0..50), straight(51..100)]).stretches,
        [0..99]
    );
    assert_eq!(
        cleaned(&[straight(0..50), straight(52..100)]).stretches,
        [0..50, 50..98]
    );
}

#[test]
fn gaps_are_steps_longer_than_the_limit() {
    let holed = |from| {
        let mut log = straight(0..50);
        log.extend(straight(from..100));
        log
    };
    assert_eq!(
        cleaned(&[holed(59)]).stretches.len(),
        1,
        "10 s is the limit itself"
    );
    assert_eq!(cleaned(&[holed(60)]).stretches, [0..50, 50..90]);
    let settings = CleanSettings {
        gap_limit_s: Some(3.0),
        ..CleanSettings::default()
    };
    let track = clean(reading(&[holed(53)]), &settings).unwrap();
    assert_eq!((track.stretches.len(), track.gap_limit_s), (2, 3.0));
    // One fix in 20 s: the limit follows the recorder.
    let slow = (0..30)
        .map(|i| At(f64::from(i) * 20.0, f64::from(i) * 1000.0, 0.0))
        .collect();
    let track = cleaned(&[slow]);
    assert_eq!((track.gap_limit_s, track.stretches.len()), (80.0, 1));
}

#[test]
fn too_little_is_refused() {
    assert_eq!(
        refused(&[straight(0..1)]).to_string(),
        "log.gpx, line 1: the log holds one usable fix"
    );
    let mut timeless = reading(&[]);
    for line in [7, 8, 9] {
        timeless.ledger.add(line, Finding::NoTime, "");
    }
    let error = clean(timeless, &CleanSettings::default()).unwrap_err();
    assert_eq!(
        error.to_string(),
        "log.gpx: none of the 3 track points has a time"
    );
    let mut lost = reading(&[straight(0..3)]);
    for line in [7, 8, 9, 10] {
        lost.ledger.add(line, Finding::OutOfRange, "lat=\"91\"");
    }
    let error = clean(lost, &CleanSettings::default()).unwrap_err();
    assert_eq!(
        error.to_string(),
        "log.gpx, line 7: 4 of 7 points cannot be used, most of them for this reason: position out \
         of range (lat=\"91\")"
    );
}

#[test]
fn strict_refuses_what_drops_or_repairs() {
    let strict = CleanSettings {
        strict: true,
        ..CleanSettings::default()
    };
    let mut log = reading(&[straight(0..10)]);
    log.ledger.add(3, Finding::NoFix, "15:04:05 UTC");
    assert!(clean(log.clone(), &strict).is_ok());
    let mut repaired = log.clone();
    repaired
        .ledger
        .add(3, Finding::NoZone, "2026-05-01T15:04:05");
    assert_eq!(
        clean(repaired, &strict).unwrap_err().to_string(),
        "log.gpx, line 3: a point cannot be used as it stands, time without zone (2026-05-01T15:04:05)"
    );
    log.ledger.add(4, Finding::BadTime, "noon");
    log.ledger.add(5, Finding::BadTime, "one");
    let error = clean(log, &strict).unwrap_err();
    assert_eq!(
        error.to_string(),
        "log.gpx, line 4: a point cannot be used, time not readable (noon) (1 more after it)"
    );
}

/// Fixes anywhere in a 40 km square, one a second, for half a minute.
fn scattered() -> impl Strategy<Value = Vec<At>> {
    prop::collection::vec((-2..2_i32, -2..2_i32, -60.0..60.0), 2..30).prop_map(|places| {
        (0..)
            .zip(places)
            .map(|(s, (x, y, along))| {
                At(
                    f64::from(s),
                    f64::from(x) * 10_000.0 + along,
                    f64::from(y) * 10_000.0,
                )
            })
            .collect()
    })
}

proptest! {
    /// Against the quadratic recurrence over all pairs: no longer chain of possible steps exists.
    /// (In half a minute no second chain lasts long enough to be kept.)
    #[test]
    fn the_longest_possible_chain_is_kept(log in scattered()) {
        let limit = Speed::from_kt(DEFAULT_SPEED_LIMIT_KT);
        let samples: Vec<Sample> = (1..)
            .zip(&log)
            .map(|(line, &at)| Sample { fix: fix(line, at), segment: 0, after_jump: false })
            .collect();
        let possible = |i: usize, j: usize| {
            let distance = geodesic::distance(samples[i].fix.position, samples[j].fix.position);
            distance.m() <= limit.mps() * (j - i) as f64 + 30.0
        };
        let mut longest = vec![1_usize; log.len()];
        for j in 0..log.len() {
            for i in 0..j {
                if possible(i, j) {
                    longest[j] = longest[j].max(longest[i] + 1);
                }
            }
        }
        let mut ledger = Ledger::default();
        let kept = speed::within_limit(samples.clone(), &Way::of(&samples), (limit, SCATTER_M), &mut ledger);
        prop_assert_eq!(kept.len(), longest.into_iter().max().unwrap());
        prop_assert_eq!(kept.len() + ledger.dropped(), log.len());
        for pair in kept.windows(2) {
            prop_assert!(possible(pair[0].fix.line as usize - 1, pair[1].fix.line as usize - 1));
        }
    }
}
