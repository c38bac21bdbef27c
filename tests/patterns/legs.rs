//! Separate legs: apart, in one line, side by side, crossing, one line flown both ways, one shorter than a spacing.

use crate::*;
use overflown::plan::{self, LegKind};
use overflown::preflight::{Questions, preflight};
use overflown::simulate::Fault;
use overflown::tasking;
use std::path::Path;

const LABELS: [&str; 8] = ["R1", "R2", "R3", "R4", "R5", "there", "back", "short"];

const LEGS: &str = r#"kind = "legs"
spacing = "0.5 NM"
labels = ["R1", "R2", "R3", "R4", "R5", "there", "back", "short"]
lines = [
    [[46.4000, 11.2000], [46.4500, 11.2000]],
    [[46.4700, 11.2000], [46.5000, 11.2000]],
    [[46.5000, 11.2150], [46.4300, 11.2150]],
    [[46.4200, 11.3000], [46.4200, 11.2600]],
    [[46.4000, 11.2800], [46.4400, 11.2800]],
    [[46.4600, 11.3200], [46.5000, 11.3300]],
    [[46.5000, 11.3300], [46.4600, 11.3200]],
    [[46.4000, 11.3400], [46.3948, 11.3400]],
]"#;

fn legs() -> String {
    text(LEGS, WEST)
}

fn flown_in_order(without: &[&str]) -> Vec<(String, bool)> {
    LABELS
        .into_iter()
        .filter(|label| !without.contains(label))
        .map(|label| (label.to_owned(), false))
        .collect()
}

#[test]
fn clean_legs_are_clean() {
    for seed in SEEDS {
        let flown = fly(&legs(), vec![], seed);
        let found = findings(&flown.debrief);
        let clean = Findings {
            passes: flown_in_order(&[]),
            // A way from one to the next may run straight on inside the hull, or leave it.
            additional: found.additional,
            other_phases: found.other_phases.clone(),
            ..Findings::default()
        };
        assert_eq!(found, clean, "seed {seed}");
    }
}

#[test]
fn a_leg_left_out_is_not_flown() {
    for seed in SEEDS {
        let flown = fly(&legs(), vec![Fault::SkipLeg(4)], seed);
        let found = findings(&flown.debrief);
        // Where one is left out, the next is flown from the end that is nearer.
        let labels = |passes: &[(String, bool)]| -> Vec<String> {
            passes.iter().map(|(leg, _)| leg.clone()).collect()
        };
        let expected = labels(&flown_in_order(&["R4"]));
        assert_eq!(labels(&found.passes), expected, "seed {seed}");
        assert_eq!(found.not_flown, ["R4"], "seed {seed}");
        assert!(
            found.holes.iter().all(|(leg, _)| leg == "R4"),
            "seed {seed}"
        );
        assert!(!found.holes.is_empty());
    }
}

/// Labels, cross-legs between legs that do not join, heights; and by default numbers.
#[test]
fn legs_lie_where_they_are_tasked() {
    let path = Path::new("tasking.toml");
    let plan = |text: &str| {
        let tasking = tasking::parse(text, path).unwrap();
        plan::lay_out(&tasking, path).unwrap()
    };
    let heights = "\"5000 ft\", \"none\", ".repeat(4);
    let with_heights = LEGS.replace("spacing", &format!("altitudes = [{heights}]\nspacing"));
    let laid = plan(&text(&with_heights, WEST));
    let labels: Vec<&str> = laid.legs.iter().map(|leg| leg.label.as_str()).collect();
    // The way back begins where the way there ends.
    let expected = [
        "R1",
        "R1-R2",
        "R2",
        "R2-R3",
        "R3",
        "R3-R4",
        "R4",
        "R4-R5",
        "R5",
        "R5-there",
        "there",
        "back",
        "back-short",
        "short",
    ];
    assert_eq!(labels, expected);
    for (i, (_, leg)) in laid.search_legs().enumerate() {
        let ft = leg.altitude.map(|altitude| altitude.ft().round());
        assert_eq!(ft, (i % 2 == 0).then_some(5000.0), "{}", leg.label);
    }
    // A way is flown at the height of the leg it leads to.
    let way = |label: &str| laid.legs.iter().find(|leg| leg.label == label).unwrap();
    assert_eq!(way("R1-R2").kind, LegKind::Cross);
    assert!(way("R1-R2").altitude.is_none() && way("R2-R3").altitude.is_some());
    assert!(!laid.area_given && laid.notes[0].contains("hull"));
    let numbered = plan(&legs().replace("labels = [\"R1\"", "# [\"R1\""));
    assert_eq!(numbered.legs[2].label, "2");
    // Neither the area nor turns from neighbour to neighbour say how long separate legs take, parallel or not.
    let apart = text(
        "kind = \"legs\"\nspacing = \"0.5 NM\"\nlines = [[[46.4, 11.2], [46.5, 11.2]], [[46.5, 11.4], [46.4, 11.4]]]",
        WEST,
    );
    let tasking = tasking::parse(&apart, path).unwrap();
    let worked_out = preflight(&tasking, path, &plan(&apart), &Questions::default());
    assert!(worked_out.axis.parallel && worked_out.effort.turns.is_none());
    assert!(worked_out.effort.area_time_s.is_none() && worked_out.expected.note.is_some());
    // The hull of one leg is its strip.
    let one = plan(&text(
        "kind = \"legs\"\nspacing = \"0.5 NM\"\nlines = [[[46.4, 11.2], [46.5, 11.2]]]",
        WEST,
    ));
    assert!(one.notes.is_empty() && one.legs.len() == 1);
}

#[test]
fn legs_that_cannot_be_are_refused() {
    // The first line of the pattern is line 4.
    for (from, to, line, problem, hint) in [
        (
            "lines = [\n",
            "points = [\n",
            7,
            "does not belong to a pattern of this kind",
            "`points`",
        ),
        (
            LEGS.split_once("lines").unwrap().1,
            " = []",
            7,
            "must hold at least one line",
            "`lines`",
        ),
        (
            LEGS.split_once("lines").unwrap().1,
            " = 5",
            7,
            "cannot be \"5\"",
            "each of two places",
        ),
        (
            "[[46.4700, 11.2000], [46.5000, 11.2000]]",
            "[46.4700, 11.2000]",
            9,
            "cannot be \"[46.4700, 11.2000]\"",
            "each of two places",
        ),
        (
            "[[46.4700, 11.2000], [46.5000, 11.2000]]",
            "[[46.4700, 11.2000], [46.5000, 11.2000], [46.5, 11.3]]",
            9,
            "line 2 of `lines` in [pattern] has 3 place(s)",
            "one that bends is several",
        ),
        (
            "[[46.4700, 11.2000], [46.5000, 11.2000]]",
            "[[46.4700, 11.2000], [46.4700, 11.2000]]",
            9,
            "line 2 of `lines` in [pattern] begins and ends at the same place",
            "leave it out",
        ),
        (
            "[46.3948, 11.3400]",
            "[46.3970, 11.3400]",
            15,
            "line 8 of `lines` in [pattern] is 0.18 NM long, less than half of the `spacing` of 0.50 NM",
            "a `spacing` of at most \"0.36 NM\"",
        ),
        (
            "[46.3948, 11.3400]",
            "[41.0, 11.34]",
            15,
            "line 8 of `lines` in [pattern] is 324 NM long",
            "at most 200 NM",
        ),
        (
            "[46.3948, 11.3400]",
            "[96.3948, 11.3400]",
            15,
            "not a place on the earth",
            "latitude",
        ),
        (
            "\"R2\"",
            "\"R1\"",
            6,
            "label \"R1\" of `labels` in [pattern] is given twice",
            "\"R1\"",
        ),
        (
            "\"R2\"",
            "\" \"",
            6,
            "must be of 1 to 12 characters",
            "short label",
        ),
        (
            "\"R2\"",
            "\"the second of all\"",
            6,
            "must be of 1 to 12 characters",
            "short label",
        ),
        (
            "\"R2\"",
            "\"R\\n2\"",
            6,
            "`labels` in [pattern] holds the character U+000A",
            "without control characters",
        ),
        (
            "\"R2\"",
            "2",
            6,
            "`labels` in [pattern] cannot be \"2\"",
            "a text in quotes",
        ),
        (
            "\"R2\", ",
            "",
            6,
            "has 7 item(s) for 8 line(s)",
            "one for every line",
        ),
        (
            "labels = ",
            "altitudes = ",
            6,
            "`altitudes` in [pattern]: \"R1\" does not begin",
            "\"none\"",
        ),
        (
            "spacing = \"0.5 NM\"\n",
            "",
            3,
            "missing key `spacing`",
            "spacing = ",
        ),
        (
            "spacing = ",
            "turn = \"left\"\nspacing = ",
            5,
            "does not belong to a pattern of this kind",
            "`turn`",
        ),
    ] {
        assert!(LEGS.contains(from), "{from}");
        let text = text(&LEGS.replacen(from, to, 1), WEST);
        let error = tasking::parse(&text, Path::new("tasking.toml")).unwrap_err();
        let told = format!("{error}; {}", error.hint);
        assert_eq!(error.line, Some(line), "{from} -> {to}: {told}");
        assert!(error.problem.contains(problem), "{told}");
        assert!(error.hint.contains(hint), "{told}");
    }
}
