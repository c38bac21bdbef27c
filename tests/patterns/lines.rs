//! Track lines.

use crate::support::nm;
use crate::*;
use overflown::simulate::Fault;
use overflown::tasking::Side;

/// Three stretches of 7, 6 and 8 NM, bent 30° to the right and 35° to the left.
const LINE: &str = "line = [[46.3000, 11.0000], [46.4096, 11.0578], [46.4739, 11.1690], \
                    [46.6027, 11.2191]]\nspacing = \"1 NM\"\n";
/// To the side: the way home runs along none of the stretches.
const BASE: &str = "[46.4500, 11.6000]";

fn track_line(kind: &str, rest: &str) -> String {
    text(&format!("kind = \"track line {kind}\"\n{LINE}{rest}"), BASE)
}

#[test]
fn clean_track_lines_are_clean() {
    for (kind, rest, legs, turns, seeds) in [
        ("return", "turn = \"right\"", 6, 5, SEEDS),
        ("return", "turn = \"left\"\npasses = 4", 12, 11, SEEDS),
        ("non-return", "", 3, 2, SEEDS),
        ("non-return", "turn = \"left\"\npasses = 3", 9, 8, SEEDS),
    ] {
        let mut compared = 0;
        for seed in seeds.clone() {
            let flown = fly(&track_line(kind, rest), vec![], seed);
            let expected = Findings {
                passes: in_order(legs, &[]),
                ..Findings::default()
            };
            assert_eq!(
                findings(&flown.debrief),
                expected,
                "{kind} {rest}, seed {seed}"
            );
            assert_eq!(
                flown.debrief.turns.len(),
                turns,
                "{kind} {rest}, seed {seed}"
            );
            compared += passes_agree(&flown, seed);
        }
        let passes = seeds.count() * legs as usize;
        assert!(3 * compared >= passes, "{compared} of {passes}");
    }
}

#[test]
fn a_track_line_flown_from_its_far_end() {
    let text = track_line("return", "turn = \"right\"");
    let (fault, passes) = order(&[
        (4, false),
        (5, false),
        (6, false),
        (1, false),
        (2, false),
        (3, false),
    ]);
    let expected = Findings {
        passes,
        ..Findings::default()
    };
    assert_found(&text, &[fault], &expected, SEEDS, true);
    let (fault, passes) = order(&[(3, true), (2, true), (1, true)]);
    let expected = Findings {
        passes,
        ..Findings::default()
    };
    assert_found(
        &track_line("non-return", ""),
        &[fault],
        &expected,
        SEEDS,
        true,
    );
}

#[test]
fn a_track_line_with_faults() {
    let text = track_line("return", "turn = \"right\"");
    // The last leg is cut short; it runs back along the line.
    let expected = Findings {
        passes: in_order(6, &[]),
        in_part: vec!["6".into()],
        holes: vec![("6".into(), HoleCause::Missed)],
        ..Findings::default()
    };
    let cut = Fault::CutShort {
        leg: 6,
        by: nm(2.0),
    };
    assert_found(&text, &[cut], &expected, SEEDS, true);
    // Home after five legs.
    let expected = Findings {
        passes: in_order(6, &[6]),
        not_flown: vec!["6".into()],
        holes: vec![("6".into(), HoleCause::Missed)],
        ..Findings::default()
    };
    assert_found(&text, &[Fault::SkipLeg(6)], &expected, SEEDS, true);
    let orbit = Fault::Orbit {
        leg: 3,
        along: nm(4.0),
        turns: 1,
        side: Side::Right,
    };
    let expected = Findings {
        passes: in_order(6, &[]),
        other_phases: vec![Phase::Orbit],
        ..Findings::default()
    };
    assert_found(&text, &[orbit], &expected, SEEDS, false);
    let dropout = Fault::Dropout {
        leg: 4,
        along: nm(3.0),
        duration_s: 60.0,
    };
    let expected = Findings {
        passes: in_order(6, &[]),
        holes: vec![("4".into(), HoleCause::NotRecorded)],
        other_phases: vec![Phase::NotRecorded],
        ..Findings::default()
    };
    assert_found(&text, &[dropout], &expected, SEEDS, false);
    let bias = Fault::LateralBias {
        leg: None,
        right: overflown::units::Length::from_m(150.0),
    };
    let expected = Findings {
        passes: in_order(6, &[]),
        ..Findings::default()
    };
    assert_found(&text, &[bias], &expected, SEEDS, true);
}
