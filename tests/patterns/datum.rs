//! Patterns about a datum, and the creeping line.

use crate::support::{self, fly, nm};
use crate::*;
use overflown::debrief::debrief;
use overflown::simulate::{Fault, Settings, simulate};
use overflown::tasking::Side;
use std::path::Path;

#[test]
fn clean_flights_are_clean() {
    for (pattern, legs, base, seeds) in [
        (CREEPING_LINE, 10, WEST, SEEDS),
        (EXPANDING_SQUARE, 8, NORTH_EAST, SEEDS),
        // Along the spoke of leg 5 in and out, and along that of legs 1 and 7, and along none.
        (SECTOR, 7, SOUTH_EAST, SEEDS),
        (SECTOR, 7, "[46.20, 11.11]", SEEDS),
        (SECTOR, 7, "[46.20, 11.18]", SEEDS),
    ] {
        let mut compared = 0;
        for seed in seeds.clone() {
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
        let passes = seeds.count() * legs as usize;
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

/// Orbit, hole in the log, last leg cut short, held beside the legs.
#[test]
fn faults_on_the_way_come_out() {
    for (pattern, legs, base, longest) in [
        (CREEPING_LINE, 10, WEST, 5),
        (EXPANDING_SQUARE, 8, NORTH_EAST, 7),
        (SECTOR, 7, SOUTH_EAST, 5),
    ] {
        let text = text(pattern, base);
        let clean = || Findings {
            passes: in_order(legs, &[]),
            ..Findings::default()
        };
        let orbit = Fault::Orbit {
            leg: longest,
            along: nm(2.0),
            turns: 1,
            side: Side::Right,
        };
        let dropout = Fault::Dropout {
            leg: longest,
            along: nm(1.5),
            duration_s: 45.0,
        };
        let expected = Findings {
            other_phases: vec![Phase::Orbit],
            ..clean()
        };
        assert_found(&text, &[orbit], &expected, SEEDS, false);
        let expected = Findings {
            other_phases: vec![Phase::NotRecorded],
            ..clean()
        };
        // The hole of an expanding square or a sector search may be filled by the legs beside it.
        for seed in SEEDS {
            let mut found = findings(&fly(&text, vec![dropout.clone()], seed).debrief);
            let cause = |(leg, cause): &(String, HoleCause)| {
                *leg == longest.to_string() && *cause == HoleCause::NotRecorded
            };
            assert!(
                found.holes.iter().all(cause),
                "{pattern}, seed {seed}: {found:?}"
            );
            found.holes.clear();
            assert_eq!(found, expected, "{pattern}, seed {seed}");
        }
        let bias = Fault::LateralBias {
            leg: None,
            right: overflown::units::Length::from_m(100.0),
        };
        assert_found(&text, &[bias], &clean(), SEEDS, true);
    }
}

/// Ten and fourteen sectors: up to fifteen legs through one place.
#[test]
fn more_sectors_are_kept_apart() {
    for (sectors, legs) in [(10, 11), (14, 15)] {
        let pattern = SECTOR.replace("6 NM", "10 NM") + &format!("sectors = {sectors}\n");
        for seed in SEEDS {
            let flown = fly(&text(&pattern, SOUTH_EAST), vec![], seed);
            let expected = Findings {
                passes: in_order(legs, &[]),
                ..Findings::default()
            };
            assert_eq!(
                findings(&flown.debrief),
                expected,
                "{sectors} sectors, seed {seed}"
            );
        }
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
            assert_lacks(&flown, &in_order(legs, skipped), skipped, 0..=0, seed);
        }
    }
}

/// The aircraft goes on to a later leg, across the area. Through the middle of the expanding square that
/// way is an additional leg; nearer to the rim of the sector search it is
/// one only where the wind makes it run parallel to a leg.
#[test]
fn legs_left_out_on_the_way_are_not_flown() {
    for (pattern, legs, skipped, additional, base) in [
        (CREEPING_LINE, 10, &[4, 5][..], 0..=0, WEST),
        (EXPANDING_SQUARE, 8, &[4, 5], 1..=1, NORTH_EAST),
        (SECTOR, 7, &[3, 4], 0..=1, SOUTH_EAST),
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
            assert_lacks(&flown, &kept, skipped, additional.clone(), seed);
        }
    }
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
        for seed in SEEDS {
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
