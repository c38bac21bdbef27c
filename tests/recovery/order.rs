//! Legs flown in another order, twice, or beside those planned.

use crate::support::{TASKING, fly};
use crate::{Findings, SEEDS, clean, findings, passes_agree};
use overflown::simulate::{Fault, LegRun};

#[test]
fn interleaved_legs_are_additional() {
    for seed in SEEDS {
        let flown = fly(TASKING, vec![Fault::Interleave], seed);
        let expected = Findings {
            additional: 9,
            ..clean()
        };
        assert_eq!(findings(&flown.debrief), expected, "seed {seed}");
        for leg in &flown.debrief.additional_legs {
            let spacing = leg.spacing_achieved.unwrap().nm();
            assert!(
                (spacing - 0.25).abs() < 0.04,
                "seed {seed} {}: {spacing} NM",
                leg.label
            );
            assert!(
                leg.length.nm() > 6.8,
                "seed {seed} {}: {} NM",
                leg.label,
                leg.length.nm()
            );
        }
    }
}

#[test]
fn an_extra_leg_on_the_way_is_additional() {
    for seed in SEEDS {
        let flown = fly(TASKING, vec![Fault::ExtraAfter(4)], seed);
        let expected = Findings {
            additional: 1,
            ..clean()
        };
        assert_eq!(findings(&flown.debrief), expected, "seed {seed}");
        let leg = &flown.debrief.additional_legs[0];
        assert!(
            ["4", "5"].contains(&leg.nearest_leg.as_deref().unwrap()),
            "seed {seed}"
        );
    }
}

#[test]
fn another_order_and_direction_is_recognised() {
    // Each leg begins near where the one before ended: north, south, north, …
    let order = [
        (3, false),
        (6, false),
        (1, false),
        (8, false),
        (5, false),
        (7, true),
        (4, true),
        (10, false),
    ];
    for seed in SEEDS {
        let runs = order.iter().map(|(leg, reversed)| LegRun {
            leg: *leg,
            reversed: *reversed,
        });
        let flown = fly(TASKING, vec![Fault::Order(runs.collect())], seed);
        let got: Vec<_> = flown
            .debrief
            .passes
            .iter()
            .map(|p| (p.leg.parse().unwrap(), p.reversed))
            .collect();
        assert_eq!(got, order, "seed {seed}");
        let found = findings(&flown.debrief);
        assert_eq!(found.not_flown, ["2", "9"], "seed {seed}");
        assert_eq!(
            (found.additional, found.in_part.len()),
            (0, 0),
            "seed {seed}"
        );
        passes_agree(&flown, seed);
    }
}

#[test]
fn a_leg_flown_twice_has_two_passes() {
    for seed in SEEDS {
        let flown = fly(TASKING, vec![Fault::FlyTwice(6)], seed);
        let expected = Findings {
            passes: 11,
            ..Findings::default()
        };
        assert_eq!(findings(&flown.debrief), expected, "seed {seed}");
        assert_eq!(flown.debrief.legs[5].passes.len(), 2, "seed {seed}");
        passes_agree(&flown, seed);
    }
}
