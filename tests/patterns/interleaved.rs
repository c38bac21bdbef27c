//! A second set of legs midway between those of the first.

use crate::support::nm;
use crate::*;
use overflown::simulate::Fault;

const INTERLEAVED: &str = r#"
kind = "parallel sweep"
start = [46.4000, 11.2000]
first_course = "015 M"
turn = "right"
spacing = "1 NM"
leg_length = "6 NM"
legs = 6
interleave = true
"#;

fn tasking() -> String {
    text(INTERLEAVED, WEST)
}

#[test]
fn a_clean_second_set_is_clean() {
    let expected = Findings {
        passes: in_order(11, &[]),
        ..Findings::default()
    };
    assert_found(&tasking(), &[], &expected, SEEDS, true);
}

/// From one side of the area to the other, legs of both sets in turn.
#[test]
fn both_sets_flown_side_by_side() {
    let (fault, passes) = order(&[
        (1, false),
        (11, true),
        (2, true),
        (10, false),
        (3, false),
        (9, true),
        (4, true),
        (8, false),
        (5, false),
        (7, true),
        (6, true),
    ]);
    let expected = Findings {
        passes,
        ..Findings::default()
    };
    assert_found(&tasking(), &[fault], &expected, SEEDS, true);
}

#[test]
fn a_second_set_with_faults() {
    // A leg of the first set and one of the second, neighbours of none.
    let faults = [Fault::SkipLeg(2), Fault::SkipLeg(8)];
    let mut compared = 0;
    for seed in SEEDS {
        let flown = fly(&tasking(), faults.to_vec(), seed);
        let found = findings(&flown.debrief);
        assert_eq!(found.not_flown, ["2", "8"], "seed {seed}");
        assert_eq!(
            (found.passes.len(), found.additional),
            (9, 0),
            "seed {seed}"
        );
        let holes: Vec<_> = found.holes.iter().map(|(leg, _)| leg.as_str()).collect();
        assert_eq!(holes, ["2", "8"], "seed {seed}");
        compared += passes_agree(&flown, seed);
    }
    assert!(compared > 60, "{compared}");
    // The first set alone: the second is missed.
    let alone: Vec<(u32, bool)> = (1..=6).map(|leg| (leg, false)).collect();
    let (fault, passes) = order(&alone);
    let second = || (7..=11).map(|leg| leg.to_string());
    let expected = Findings {
        passes,
        not_flown: second().collect(),
        holes: second().map(|leg| (leg, HoleCause::Missed)).collect(),
        ..Findings::default()
    };
    assert_found(&tasking(), &[fault], &expected, SEEDS, true);
    let dropout = Fault::Dropout {
        leg: 9,
        along: nm(2.0),
        duration_s: 60.0,
    };
    let expected = Findings {
        passes: in_order(11, &[]),
        holes: vec![("9".into(), HoleCause::NotRecorded)],
        other_phases: vec![Phase::NotRecorded],
        ..Findings::default()
    };
    assert_found(&tasking(), &[dropout], &expected, SEEDS, false);
}
