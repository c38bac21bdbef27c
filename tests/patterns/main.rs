//! Flights of the other patterns with known truth: a clean one is clean, and what was left out is
//! found. Twenty seeds each, with another wind for each seed.
//!
//! The truth beside each check is the simulator's own record of the true positions, before receiver
//! noise.
#![allow(clippy::unwrap_used, reason = "a test fails by panicking")]

mod contour;
mod datum;
mod interleaved;
mod legs;
mod lines;
mod refusals;
#[path = "../support/mod.rs"]
mod support;

use overflown::coverage::HoleCause;
use overflown::debrief::Debrief;
use overflown::matching::Phase;
use overflown::measure::LegState;
use overflown::simulate::truth::PassKind;
use overflown::simulate::{Fault, LegRun};
use overflown::track::seconds_between;
use support::{Flown, fly};

const SEEDS: std::ops::Range<u64> = 1..21;

/// As for parallel sweeps (`recovery/main.rs`), for the shortest leg of 2 NM or 80 s: receiver noise of 2 m with
/// a correlation time of 60 s leaves a standard error of 2 · √(60/80 · 2) m at most; three of these, and a
/// metre for samples cut differently at the ends.
const MEAN_XTE_M: f64 = 3.0 * 2.45 + 1.0;
/// Fixes are a second apart, and where a corner is cut the bank shows a moment after it began.
const LEFT_S: f64 = 2.5;
/// Places along a leg are the same within this: two fixes.
const SAME_PLACE_NM: f64 = 0.05;

const CREEPING_LINE: &str = r#"
kind = "creeping line"
start = [46.4000, 11.2000]
first_course = "015 M"
turn = "left"
spacing = "0.5 NM"
leg_length = "4 NM"
legs = 10
"#;
const EXPANDING_SQUARE: &str = r#"
kind = "expanding square"
datum = [46.4000, 11.2000]
first_course = "250 M"
turn = "right"
spacing = "2 NM"
legs = 8
"#;
/// Beyond the end of leg 5 of the sector search.
const SOUTH_EAST: &str = "[46.20, 11.45]";
const WEST: &str = "[46.40, 10.80]";
/// Beyond the end of leg 7 of the expanding square.
const NORTH_EAST: &str = "[46.50, 11.60]";
const SECTOR: &str = r#"
kind = "sector"
datum = [46.4000, 11.2000]
first_course = "015 M"
turn = "right"
radius = "6 NM"
"#;

fn text(pattern: &str, base: &str) -> String {
    format!(
        "sortie = \"Heron 3\"\ndate = 2026-05-20\n[pattern]\n{pattern}\n[flight]\n\
         ground_speed = \"90 kt\"\naltitude = \"3000 ft\"\nbase = {base}\n\
         [detection]\nsweep_width = \"0.5 NM\"\n"
    )
}

/// Everything that could be reported beside plain legs and turns.
#[derive(Debug, Default, PartialEq)]
struct Findings {
    passes: Vec<(String, bool)>,
    not_flown: Vec<String>,
    in_part: Vec<String>,
    holes: Vec<(String, HoleCause)>,
    additional: usize,
    other_phases: Vec<Phase>,
}

fn findings(debrief: &Debrief) -> Findings {
    let legs = |state: LegState| {
        debrief
            .legs
            .iter()
            .filter(|l| l.state == state)
            .map(|l| l.leg.clone())
            .collect()
    };
    Findings {
        passes: debrief
            .passes
            .iter()
            .map(|p| (p.leg.clone(), p.reversed))
            .collect(),
        not_flown: legs(LegState::NotFlown),
        in_part: legs(LegState::FlownInPart),
        holes: debrief
            .strips
            .iter()
            .flat_map(|s| &s.holes)
            .map(|h| (h.leg.clone(), h.cause))
            .collect(),
        additional: debrief.additional_legs.len(),
        other_phases: debrief
            .phases
            .iter()
            .map(|p| p.phase)
            .filter(|p| {
                [
                    Phase::BoundaryCheck,
                    Phase::Orbit,
                    Phase::Excursion,
                    Phase::NotRecorded,
                ]
                .contains(p)
            })
            .collect(),
    }
}

/// Legs `1` to `count` in order, as planned, but for those left out.
fn in_order(count: u32, without: &[u32]) -> Vec<(String, bool)> {
    (1..=count)
        .filter(|leg| !without.contains(leg))
        .map(|leg| (leg.to_string(), false))
        .collect()
}

/// When each pass was left against the truth; and, where both begin at the same place, its mean
/// XTE. (Swinging through the leg's course in a turn the aircraft is on course for a moment, which is
/// enough for the truth but not for the debrief.) Returns how many means were compared.
fn passes_agree(flown: &Flown, seed: u64) -> usize {
    let truth: Vec<_> = flown
        .truth
        .passes
        .iter()
        .filter(|p| p.kind == PassKind::Planned)
        .collect();
    let passes = &flown.debrief.passes;
    assert_eq!(passes.len(), truth.len(), "seed {seed}");
    let mut compared = 0;
    for (pass, truth) in passes.iter().zip(truth) {
        assert_eq!(pass.leg, truth.leg, "seed {seed}");
        let left_s = seconds_between(truth.left, pass.left).abs();
        assert!(left_s <= LEFT_S, "seed {seed} leg {}: {left_s} s", pass.leg);
        let established_nm = pass.established_after.unwrap().nm();
        if (established_nm - truth.flown[0].from.nm()).abs() < SAME_PLACE_NM {
            let off_m = (pass.tracking.mean.m() - truth.xte_mean.unwrap().m()).abs();
            assert!(
                off_m <= MEAN_XTE_M,
                "seed {seed} leg {}: {off_m} m",
                pass.leg
            );
            compared += 1;
        }
    }
    compared
}

/// These legs and no others are not flown, with a hole in each of their strips and in no other.
fn assert_lacks(
    flown: &Flown,
    passes: &[(String, bool)],
    skipped: &[u32],
    additional: std::ops::RangeInclusive<usize>,
    seed: u64,
) {
    let mut found = findings(&flown.debrief);
    // Legs that cross others come in several holes.
    found.holes.dedup();
    assert!(
        additional.contains(&found.additional),
        "seed {seed}: {found:?}"
    );
    let labels = || skipped.iter().map(u32::to_string);
    let expected = Findings {
        passes: passes.to_vec(),
        not_flown: labels().collect(),
        holes: labels().map(|leg| (leg, HoleCause::Missed)).collect(),
        additional: found.additional,
        ..Findings::default()
    };
    assert_eq!(found, expected, "seed {seed}");
    passes_agree(flown, seed);
}

/// A flight with these faults comes out as expected, whatever the wind.
fn assert_found(
    text: &str,
    faults: &[Fault],
    expected: &Findings,
    seeds: std::ops::Range<u64>,
    agree: bool,
) {
    for seed in seeds {
        let flown = fly(text, faults.to_vec(), seed);
        let mut found = findings(&flown.debrief);
        // Legs that cross others come in several holes.
        found.holes.dedup();
        assert_eq!(&found, expected, "seed {seed}, {faults:?}");
        if agree {
            passes_agree(&flown, seed);
        }
    }
}

/// An order of legs, each with whether it is flown against the plan.
fn order(legs: &[(u32, bool)]) -> (Fault, Vec<(String, bool)>) {
    let runs = legs.iter().map(|&(leg, reversed)| LegRun { leg, reversed });
    let passes = legs
        .iter()
        .map(|(leg, reversed)| (leg.to_string(), *reversed));
    (Fault::Order(runs.collect()), passes.collect())
}
