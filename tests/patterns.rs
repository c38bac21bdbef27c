//! Flights of the other patterns with known truth: a clean one is clean, and what was left out is
//! found. Ten seeds each, with another wind for each seed.
//!
//! The truth beside each check is the simulator's own record of the true positions, before receiver
//! noise.
#![allow(clippy::unwrap_used, reason = "a test fails by panicking")]

mod support;

use overflown::coverage::HoleCause;
use overflown::debrief::{Debrief, debrief};
use overflown::matching::Phase;
use overflown::measure::LegState;
use overflown::simulate::truth::PassKind;
use overflown::simulate::{Fault, LegRun, Settings, simulate};
use overflown::tasking::Side;
use overflown::track::seconds_between;
use overflown::{plan, tasking};
use std::path::Path;
use support::{Flown, fly};

const SEEDS: std::ops::Range<u64> = 1..11;

/// As for parallel sweeps (`recovery.rs`), for the shortest leg of 2 NM or 80 s: receiver noise of 2 m with
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

#[test]
fn clean_flights_are_clean() {
    for (pattern, legs, base) in [
        (CREEPING_LINE, 10, WEST),
        (EXPANDING_SQUARE, 8, NORTH_EAST),
        // Along the spoke of leg 5 in and out, and along that of legs 1 and 7, and along none.
        (SECTOR, 7, SOUTH_EAST),
        (SECTOR, 7, "[46.20, 11.11]"),
        (SECTOR, 7, "[46.20, 11.18]"),
    ] {
        let mut compared = 0;
        for seed in SEEDS {
            let flown = fly(&text(pattern, base), vec![], seed);
            let expected = Findings {
                passes: in_order(legs, &[]),
                ..Findings::default()
            };
            assert_eq!(findings(&flown.debrief), expected, "{pattern}, seed {seed}");
            assert_eq!(flown.debrief.turns.len(), legs as usize - 1, "seed {seed}");
            // All turns of an expanding square and of a sector search are to one side.
            if pattern != CREEPING_LINE {
                for turn in &flown.debrief.turns {
                    assert_eq!(turn.side, Side::Right, "seed {seed}: {turn:?}");
                }
            }
            compared += passes_agree(&flown, seed);
        }
        let passes = SEEDS.count() * legs as usize;
        assert!(3 * compared >= passes, "{compared} of {passes}");
    }
}

/// Two rounds of a sector search: fourteen legs in and out of one place.
#[test]
fn a_second_pass_is_kept_apart_from_the_first() {
    let pattern = SECTOR.replace("6 NM", "10 NM") + "second_pass = true\n";
    for seed in SEEDS {
        let flown = fly(&text(&pattern, SOUTH_EAST), vec![], seed);
        let expected = Findings {
            passes: in_order(14, &[]),
            ..Findings::default()
        };
        assert_eq!(findings(&flown.debrief), expected, "seed {seed}");
    }
}

/// The aircraft goes home before the last legs.
#[test]
fn a_pattern_broken_off_lacks_its_last_legs() {
    for (pattern, legs, skipped, base) in [
        (EXPANDING_SQUARE, 8, &[8][..], NORTH_EAST),
        (SECTOR, 7, &[6, 7], SOUTH_EAST),
    ] {
        for seed in SEEDS {
            let faults = skipped.iter().map(|leg| Fault::SkipLeg(*leg)).collect();
            let flown = fly(&text(pattern, base), faults, seed);
            assert_lacks(&flown, &in_order(legs, skipped), skipped, 0, seed);
        }
    }
}

/// The aircraft goes on to a later leg, across the area. Through the middle of the expanding square that
/// way is an additional leg; nearer to the rim of the sector search it is not.
#[test]
fn legs_left_out_on_the_way_are_not_flown() {
    for (pattern, legs, skipped, additional, base) in [
        (CREEPING_LINE, 10, &[4, 5][..], 0, WEST),
        (EXPANDING_SQUARE, 8, &[4, 5], 1, NORTH_EAST),
        (SECTOR, 7, &[3, 4], 0, SOUTH_EAST),
    ] {
        for seed in SEEDS {
            let kept = in_order(legs, skipped);
            let order = kept
                .iter()
                .map(|(leg, reversed)| LegRun {
                    leg: leg.parse().unwrap(),
                    reversed: *reversed,
                })
                .collect();
            let flown = fly(&text(pattern, base), vec![Fault::Order(order)], seed);
            assert_lacks(&flown, &kept, skipped, additional, seed);
        }
    }
}

/// These legs and no others are not flown, with a hole in each of their strips and in no other.
fn assert_lacks(
    flown: &Flown,
    passes: &[(String, bool)],
    skipped: &[u32],
    additional: usize,
    seed: u64,
) {
    let mut found = findings(&flown.debrief);
    // Legs that cross others come in several holes.
    found.holes.dedup();
    let labels = || skipped.iter().map(u32::to_string);
    let expected = Findings {
        passes: passes.to_vec(),
        not_flown: labels().collect(),
        holes: labels().map(|leg| (leg, HoleCause::Missed)).collect(),
        additional,
        ..Findings::default()
    };
    assert_eq!(found, expected, "seed {seed}");
    passes_agree(flown, seed);
}

/// What is wrong with a tasking is named with its line and what would be accepted.
#[test]
fn taskings_that_cannot_be_are_refused() {
    for (pattern, from, to, line, problem, hint) in [
        (
            EXPANDING_SQUARE,
            "datum = [46.4000, 11.2000]",
            "",
            3,
            "missing key `datum`",
            "datum = [",
        ),
        (
            EXPANDING_SQUARE,
            "legs = 8",
            "",
            3,
            "missing key `legs`",
            "or give `size`",
        ),
        (
            EXPANDING_SQUARE,
            "legs = 8",
            "legs = 8\nsize = \"8 NM\"",
            11,
            "cannot stand beside `legs`",
            "`size`",
        ),
        (
            EXPANDING_SQUARE,
            "legs = 8",
            "size = \"2 NM\"",
            10,
            "must be more than `spacing`",
            "`size`",
        ),
        (
            EXPANDING_SQUARE,
            "legs = 8",
            "legs = 201",
            10,
            "more than 200 NM",
            "`legs`",
        ),
        (
            EXPANDING_SQUARE,
            "legs = 8",
            "legs = 8\nleg_length = \"2 NM\"",
            11,
            "does not belong to a pattern of this kind",
            "`leg_length`",
        ),
        (
            SECTOR,
            "radius = \"6 NM\"",
            "radius = \"6 NM\"\nspacing = \"3 NM\"",
            10,
            "does not belong to a pattern of this kind",
            "`spacing`",
        ),
        (
            SECTOR,
            "radius = \"6 NM\"",
            "",
            3,
            "missing key `radius`",
            "radius = ",
        ),
        (
            SECTOR,
            "radius = \"6 NM\"",
            "radius = \"101 NM\"",
            9,
            "from 100 m to 100 NM",
            "`radius`",
        ),
        (
            SECTOR,
            "radius = \"6 NM\"",
            "radius = \"6 NM\"\nsectors = 8",
            10,
            "must be 6, 10, 14 or 18",
            "`sectors`",
        ),
        (
            SECTOR,
            "radius = \"6 NM\"",
            "radius = \"6 NM\"\nsecond_pass = 1",
            10,
            "cannot be \"1\"",
            "true or false",
        ),
        (
            CREEPING_LINE,
            "start = [46.4000, 11.2000]",
            "datum = [46.4000, 11.2000]",
            6,
            "does not belong to a pattern of this kind",
            "`datum`",
        ),
        (
            CREEPING_LINE,
            "\"creeping line\"",
            "\"creeping\"",
            5,
            "cannot be \"creeping\"",
            "`creeping line`",
        ),
    ] {
        let text = text(&pattern.replace(from, to), WEST);
        let error = tasking::parse(&text, Path::new("tasking.toml")).unwrap_err();
        assert!(error.to_string().contains(problem), "{to}: {error}");
        assert!(error.hint.contains(hint), "{to}: {}", error.hint);
        assert_eq!(error.line, Some(line), "{to}: {error}");
    }
}

/// A pattern that would reach too far is refused when it is laid out.
#[test]
fn a_square_too_large_to_work_is_refused() {
    let text = text(
        &EXPANDING_SQUARE.replace("legs = 8", "size = \"190 NM\""),
        WEST,
    );
    let path = Path::new("tasking.toml");
    let error = plan::lay_out(&tasking::parse(&text, path).unwrap(), path).unwrap_err();
    assert!(error.to_string().contains("at most 120 NM"), "{error}");
    assert!(error.hint.contains("size of the pattern"), "{}", error.hint);
}

/// The closed form of the planned POD is that of legs flown to and fro: where all legs turn the same
/// side inwards no target is taken from it.
#[test]
fn looked_from_one_side_a_target_must_be_given() {
    for pattern in [EXPANDING_SQUARE, SECTOR] {
        let one_sided = text(pattern, SOUTH_EAST) + "scanners = \"left\"\n";
        let (tasking, plan) = support::tasking(&one_sided);
        let settings = Settings::for_tasking(&tasking);
        let track = support::track(simulate(&plan, &settings, 1).unwrap().fixes);
        let log = Path::new("simulated.gpx");
        let error = debrief(&track, log, &tasking, &plan).unwrap_err();
        assert!(error.problem.contains("no target POD"), "{error}");
        assert!(error.hint.contains("target_pod"), "{}", error.hint);
        let (tasking, plan) = support::tasking(&(one_sided + "target_pod = 0.1\n"));
        let debrief = debrief(&track, log, &tasking, &plan).unwrap();
        assert!(debrief.remarks.iter().any(|r| r.contains("to and fro")));
    }
}

/// At 90 kt a standard-rate turn takes 0.48 NM of radius: of the first legs of such squares hardly anything
/// is flown straight. They were flown for all that, and so were all later ones.
#[test]
fn short_first_legs_are_flown_in_a_turn() {
    use overflown::simulate::Wind;
    use overflown::units::{Bearing, Speed};
    for (spacing, legs, short) in [("0.5 NM", 16, 5), ("1 NM", 12, 3)] {
        let pattern = EXPANDING_SQUARE
            .replace("2 NM", spacing)
            .replace("legs = 8", &format!("legs = {legs}"));
        let (mut in_turn, mut blown_out, mut counted) = (0, 0, 0);
        for seed in SEEDS {
            let windy = |settings: Settings| Settings {
                wind: Wind {
                    from: Bearing::from_deg(37.0 * seed as f64),
                    speed: Speed::from_kt(15.0),
                },
                ..settings
            };
            let debrief =
                support::fly_with(&text(&pattern, NORTH_EAST), vec![], seed, windy).debrief;
            for (i, leg) in debrief.legs.iter().enumerate() {
                let what = format!("{spacing}, seed {seed}: {leg:?}");
                if i < short {
                    blown_out += usize::from(leg.state == LegState::NotFlown);
                    counted += 1;
                    in_turn += usize::from(leg.state == LegState::FlownInTurn);
                } else {
                    // Turns that take up more than half a spacing at an end show as such.
                    let states = [LegState::Flown, LegState::FlownInPart];
                    assert!(states.contains(&leg.state), "{what}");
                    assert!(leg.flown_share > 0.4, "{what}");
                }
            }
            let passes: Vec<u32> = debrief
                .passes
                .iter()
                .map(|p| p.leg.parse().unwrap())
                .collect();
            assert!(
                passes.windows(2).all(|pair| pair[0] < pair[1]),
                "{passes:?}"
            );
            assert!(debrief.passes.iter().all(|pass| !pass.reversed));
            assert_eq!(debrief.additional_legs.len(), 0, "{spacing}, seed {seed}");
        }
        assert!(in_turn > 0, "{spacing}");
        // Whom the wind carries out of the strip in the turn did not fly the leg; that is seldom.
        assert!(
            10 * blown_out <= counted,
            "{spacing}: {blown_out} of {counted}"
        );
        // One that was left out is not flown all the same.
        let flown = fly(
            &text(&pattern, NORTH_EAST),
            vec![Fault::SkipLeg(1), Fault::SkipLeg(2)],
            2,
        );
        assert_eq!(flown.debrief.legs[0].state, LegState::NotFlown);
    }
}

/// More spokes cross at the datum, and their legs lie nearer to each other; a second pass between them.
#[test]
fn narrow_sectors_are_kept_apart() {
    for (sectors, second_pass) in [
        (10, false),
        (14, false),
        (18, false),
        (10, true),
        (14, true),
    ] {
        let legs = (sectors + 1) * if second_pass { 2 } else { 1 };
        let pattern = SECTOR.replace("6 NM", "12 NM")
            + &format!("sectors = {sectors}\nsecond_pass = {second_pass}\n");
        for seed in SEEDS.take(4) {
            let flown = fly(&text(&pattern, SOUTH_EAST), vec![], seed);
            let expected = Findings {
                passes: in_order(legs, &[]),
                ..Findings::default()
            };
            // The turns at the rim are sharper, and take longer to settle.
            let found = Findings {
                in_part: Vec::new(),
                holes: Vec::new(),
                ..findings(&flown.debrief)
            };
            assert_eq!(found, expected, "{pattern}, seed {seed}");
            let least = flown
                .debrief
                .legs
                .iter()
                .map(|leg| leg.flown_share)
                .fold(1.0, f64::min);
            assert!(least > 0.6, "{pattern}, seed {seed}: {least}");
        }
    }
}
