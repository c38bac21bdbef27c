//! What may have been flown while the log has a hole is *not recorded*; what the log shows to have
//! been left out is *missed*.

use crate::support::{TASKING, fly, nm, tasking, track};
use overflown::coverage::HoleCause::{Missed, NotRecorded};
use overflown::debrief::{Debrief, debrief};
use overflown::measure::LegState;
use overflown::simulate::{Fault, Settings, simulate};
use overflown::track::{Fix, seconds_between};
use std::path::Path;

const SEEDS: std::ops::Range<u64> = 1..11;

fn holes(debrief: &Debrief) -> Vec<(String, overflown::coverage::HoleCause)> {
    let holes = debrief.strips.iter().flat_map(|s| &s.holes);
    holes.map(|h| (h.leg.clone(), h.cause)).collect()
}

/// The clean flight with only some of its fixes kept, debriefed.
fn keeping(seed: u64, keep: impl Fn(&Fix, &overflown::simulate::Truth) -> bool) -> Debrief {
    let (tasking, plan) = tasking(TASKING);
    let flight = simulate(&plan, &Settings::for_tasking(&tasking), seed).unwrap();
    let truth = flight.truth;
    let fixes = flight
        .fixes
        .into_iter()
        .filter(|fix| keep(fix, &truth))
        .collect();
    debrief(&track(fixes), Path::new("log.gpx"), &tasking, &plan).unwrap()
}

#[test]
fn a_long_hole_hides_the_legs_in_it() {
    for seed in SEEDS {
        // From 5 NM on leg 4, over the turn, all of leg 5 and into leg 6.
        let dropout = Fault::Dropout {
            leg: 4,
            along: nm(5.0),
            duration_s: 640.0,
        };
        let flown = fly(TASKING, vec![dropout], seed);
        let states: Vec<LegState> = flown.debrief.legs.iter().map(|l| l.state).collect();
        for (leg, state) in states.iter().enumerate() {
            let hidden = (3..=5).contains(&leg);
            let expected = if hidden {
                LegState::NotRecorded
            } else {
                LegState::Flown
            };
            assert_eq!(*state, expected, "seed {seed} leg {}", leg + 1);
        }
        let expected = [("4", NotRecorded), ("5", NotRecorded), ("6", NotRecorded)]
            .map(|(l, c)| (l.into(), c));
        assert_eq!(holes(&flown.debrief), expected, "seed {seed}");
        assert_eq!(flown.debrief.legs[4].unrecorded_share, 1.0, "seed {seed}");
        let first = &flown.debrief.legs[3].unrecorded[0];
        assert!(
            (first.from.nm() - 5.0).abs() < 0.08,
            "seed {seed}: {first:?}"
        );
    }
}

/// Two minutes without record, too short to fly a leg of 4:40 minutes: that leg is missed.
#[test]
fn a_hole_too_short_for_a_leg_does_not_excuse_it() {
    for seed in SEEDS {
        let flown = fly(
            TASKING,
            vec![
                Fault::SkipLeg(5),
                Fault::Dropout {
                    leg: 4,
                    along: nm(5.0),
                    duration_s: 100.0,
                },
            ],
            seed,
        );
        let expected = [("4", NotRecorded), ("5", Missed)].map(|(l, c)| (l.into(), c));
        assert_eq!(holes(&flown.debrief), expected, "seed {seed}");
    }
}

#[test]
fn a_log_that_begins_or_ends_on_a_leg_hides_the_rest() {
    for seed in SEEDS {
        let late = keeping(seed, |fix, truth| {
            // From half way along leg 2 on.
            seconds_between(truth.passes[1].left, fix.time) > -140.0
        });
        let states: Vec<LegState> = late.legs.iter().map(|l| l.state).collect();
        assert_eq!(states[..2], [LegState::NotRecorded; 2], "seed {seed}");
        assert_eq!(states[2..], [LegState::Flown; 8], "seed {seed}");
        assert!((late.legs[1].flown_share - 0.5).abs() < 0.03, "seed {seed}");

        let early = keeping(seed, |fix, truth| {
            seconds_between(truth.passes[7].left, fix.time) < -140.0
        });
        let states: Vec<LegState> = early.legs.iter().map(|l| l.state).collect();
        assert_eq!(states[..7], [LegState::Flown; 7], "seed {seed}");
        assert_eq!(states[7..], [LegState::NotRecorded; 3], "seed {seed}");
    }
}

/// A log that shows the landing leaves nothing open.
#[test]
fn a_complete_log_of_half_a_flight_shows_the_rest_as_missed() {
    let runs = (1..=6).map(|leg| overflown::simulate::LegRun {
        leg,
        reversed: false,
    });
    for seed in SEEDS {
        let flown = fly(TASKING, vec![Fault::Order(runs.clone().collect())], seed);
        let expected = ["7", "8", "9", "10"].map(|leg| (leg.to_owned(), Missed));
        assert_eq!(holes(&flown.debrief), expected, "seed {seed}");
    }
}
