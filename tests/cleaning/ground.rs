//! What is on the ground counts as nothing flown.

use crate::support::{TASKING, nm, tasking, track};
use crate::way::{At, cleaned, every, ledger, normal, rng, sampled};
use chrono::TimeDelta;
use overflown::debrief::debrief;
use overflown::matching::Phase;
use overflown::simulate::{Settings, simulate};
use overflown::track::summary::LogStatistics;
use overflown::track::{Fix, seconds_between};
use std::path::Path;

/// An hour parked: the position wanders with 8 m over a minute, steps aside by 60 m for ten minutes, and has
/// 3 m of noise. Nothing is flown, nothing dropped.
#[test]
fn a_parked_aircraft_flies_nowhere() {
    for step in [0.1, 1.0, 10.0] {
        for seed in 1..=20 {
            let mut rng = rng(seed);
            let keep: f64 = (-step / 60.0_f64).exp();
            let (mut east, mut north) = (0.0, 0.0);
            let fixes: Vec<Fix> = every(step, 3600.0)
                .into_iter()
                .enumerate()
                .map(|(number, second)| {
                    let new = 8.0 * (1.0 - keep * keep).sqrt();
                    east = keep * east + new * normal(&mut rng);
                    north = keep * north + new * normal(&mut rng);
                    let aside = if (1000.0..1600.0).contains(&second) {
                        60.0
                    } else {
                        0.0
                    };
                    let at = At(
                        east + aside + 3.0 * normal(&mut rng),
                        north + 3.0 * normal(&mut rng),
                        400.0,
                    );
                    crate::way::fix(number, second, at)
                })
                .collect();
            let count = fixes.len();
            let track = cleaned(fixes);
            // The step aside and back may cost the fixes around it.
            assert!(
                track.ledger.dropped() <= 4,
                "{step} s, seed {seed}: {:?}",
                ledger(&track)
            );
            assert_eq!(track.points_read(), count);
            assert!(
                track.airborne.is_empty(),
                "{step} s, seed {seed}: {:?}",
                track.airborne
            );
            let log = LogStatistics::of(&track);
            assert_eq!((log.distance.m(), log.flying_from), (0.0, None));
            assert!(log.ground_speed.is_none() && log.ground_s > 3500.0);
        }
    }
}

/// A simulated flight with half an hour of standing put before and after it, wandering: take-off, landing,
/// legs and distances come out as without it.
#[test]
fn standing_before_and_after_changes_nothing() {
    let (tasking, plan) = tasking(TASKING);
    for seed in 1..=5 {
        let flown = simulate(&plan, &Settings::for_tasking(&tasking), seed).unwrap();
        let mut rng = rng(seed);
        let (first, last) = (flown.fixes[0], flown.fixes[flown.fixes.len() - 1]);
        let parked = |at: Fix, before: bool, rng: &mut crate::way::Rng| -> Vec<Fix> {
            let frame = overflown::geodesy::LocalFrame::new(at.position);
            (1..1800_i64)
                .map(|second| {
                    let by = if before { second - 1800 } else { second };
                    let off = geo::Coord {
                        x: 5.0 * normal(rng),
                        y: 5.0 * normal(rng),
                    };
                    Fix {
                        time: at.time + TimeDelta::seconds(by),
                        position: frame.inverse(off),
                        ..at
                    }
                })
                .collect()
        };
        let fixes = [
            parked(first, true, &mut rng),
            flown.fixes.clone(),
            parked(last, false, &mut rng),
        ]
        .concat();
        let (alone, with) = (track(flown.fixes), track(fixes));
        let log = LogStatistics::of(&with);
        // Flying speed of 20 kt is passed on the runway, at 1.5 m/s² 7 s after it begins to roll and 25 s
        // before it flies.
        let from_s = seconds_between(log.flying_from.unwrap(), flown.truth.airborne);
        let to_s = seconds_between(flown.truth.landed, log.flying_to.unwrap());
        assert!(
            (0.0..40.0).contains(&from_s) && (0.0..40.0).contains(&to_s),
            "{from_s} {to_s}"
        );
        let flown_m = LogStatistics::of(&alone).distance.m();
        assert!(
            (log.distance.m() - flown_m).abs() < 30.0,
            "{} {flown_m}",
            log.distance.m()
        );
        let debriefs =
            [&alone, &with].map(|t| debrief(t, Path::new("log.gpx"), &tasking, &plan).unwrap());
        assert_eq!(debriefs[0].passes, debriefs[1].passes);
        assert_eq!(debriefs[0].turns, debriefs[1].turns);
        assert_eq!(debriefs[0].additional_legs, debriefs[1].additional_legs);
        let ground = debriefs[1]
            .phase_totals
            .iter()
            .find(|total| total.phase == Phase::Ground)
            .unwrap();
        assert!(ground.duration_s > 3600.0, "{ground:?}");
        assert_eq!(ground.distance, Some(nm(0.0)));
    }
}

/// Taxiing at 15 kt is no flight, and a hover amid it is.
#[test]
fn taxiing_is_ground_and_a_hover_is_not() {
    // 5 min of taxiing, flight from 300 to 600 s, hover to 900 s, flight to 1200 s, taxi to the end.
    let speed = |t: f64| match t {
        t if t < 300.0 => 7.7,
        t if t < 600.0 => 45.0,
        t if t < 900.0 => 0.0,
        t if t < 1200.0 => 45.0,
        _ => 7.7,
    };
    let way = |t: f64| {
        let north: f64 = (0..(t * 10.0) as u32)
            .map(|i| speed(f64::from(i) / 10.0) / 10.0)
            .sum();
        At(0.0, north, 400.0)
    };
    let track = cleaned(sampled(every(1.0, 1500.0), way, 1.0, &mut rng(4)));
    let log = LogStatistics::of(&track);
    let at = |time: Option<chrono::DateTime<chrono::Utc>>| {
        (time.unwrap() - crate::way::start()).num_seconds()
    };
    let (from, to) = (at(log.flying_from), at(log.flying_to));
    assert!(
        (295..=301).contains(&from) && (1199..=1205).contains(&to),
        "{from} {to}"
    );
    assert!((log.ground_s - 600.0).abs() < 10.0, "{}", log.ground_s);
}
