//! What is flown beside the legs: excursions, orbits, the boundary check.

use crate::support::{TASKING, fly, nm};
use crate::{Findings, SEEDS, clean, findings, passes_agree, resumed_late};
use overflown::matching::Phase;
use overflown::measure::OutsideKind;
use overflown::simulate::Fault;
use overflown::tasking::Side;
use overflown::track::seconds_between;

#[test]
fn an_excursion_is_timed_at_the_edge() {
    for seed in SEEDS {
        let excursion = Fault::Excursion {
            leg: 1,
            along: nm(3.0),
            outside_s: 90.0,
        };
        let flown = fly(TASKING, vec![excursion], seed);
        let mut found = findings(&flown.debrief);
        resumed_late(&flown, &mut found, seed);
        let expected = Findings {
            excursions: 1,
            straying: 1,
            ..clean()
        };
        assert_eq!(found, expected, "seed {seed}");
        let span = flown
            .debrief
            .area_time
            .outside
            .iter()
            .find(|o| o.kind == OutsideKind::Excursion);
        let (span, truth) = (span.unwrap(), &flown.truth.excursions[0]);
        // Two crossings, each within a metre or three of noise at some 40 m/s.
        assert!(
            (span.duration_s - truth.outside_s).abs() < 0.5,
            "seed {seed}: {span:?}"
        );
        assert!(
            seconds_between(truth.out.unwrap(), span.from).abs() < 0.5,
            "seed {seed}"
        );
        assert_eq!(span.after.as_deref(), Some("1"), "seed {seed}");
        assert!((flown.debrief.area_time.excursion_s - span.duration_s).abs() < 1e-6);
    }
}

#[test]
fn an_orbit_is_an_orbit_and_the_leg_goes_on() {
    for seed in SEEDS {
        let side = if seed % 2 == 0 {
            Side::Left
        } else {
            Side::Right
        };
        let orbit = Fault::Orbit {
            leg: 6,
            along: nm(3.0),
            turns: 1 + (seed % 3) as u32,
            side,
        };
        let flown = fly(TASKING, vec![orbit], seed);
        let expected = Findings {
            orbits: 1,
            ..clean()
        };
        assert_eq!(findings(&flown.debrief), expected, "seed {seed}");
        let span = flown
            .debrief
            .phases
            .iter()
            .find(|p| p.phase == Phase::Orbit)
            .unwrap();
        let truth = &flown.truth.orbits[0];
        let from_s = seconds_between(truth.from, span.from);
        let to_s = seconds_between(truth.to, span.to);
        assert!(
            from_s.abs() < 15.0 && to_s.abs() < 15.0,
            "seed {seed}: {from_s} s, {to_s} s"
        );
    }
}

#[test]
fn flying_the_corners_first_is_a_boundary_check() {
    for seed in SEEDS {
        let flown = fly(TASKING, vec![Fault::CornerSurvey], seed);
        let expected = Findings {
            boundary_checks: 1,
            ..clean()
        };
        assert_eq!(findings(&flown.debrief), expected, "seed {seed}");
        let span = flown
            .debrief
            .phases
            .iter()
            .find(|p| p.phase == Phase::BoundaryCheck)
            .unwrap();
        let truth = flown.truth.corner_survey.as_ref().unwrap();
        assert!(
            seconds_between(truth.from, span.from).abs() < 60.0,
            "seed {seed}"
        );
        passes_agree(&flown, seed);
    }
}

/// Leaving leg 1 soon after the corners were flown is an excursion, not part of the boundary check.
#[test]
fn an_excursion_right_after_the_corners_is_one() {
    for seed in SEEDS {
        let excursion = Fault::Excursion {
            leg: 1,
            along: nm(2.0),
            outside_s: 180.0,
        };
        let flown = fly(TASKING, vec![Fault::CornerSurvey, excursion], seed);
        let mut found = findings(&flown.debrief);
        found.in_part.retain(|leg| leg != "1");
        assert_eq!(
            (found.excursions, found.straying, found.boundary_checks),
            (1, 1, 1),
            "seed {seed}"
        );
        assert!(
            found.in_part.is_empty() && found.holes.is_empty(),
            "seed {seed}: {found:?}"
        );
        assert!(flown.debrief.legs[0].flown_share > 0.9, "seed {seed}");
        assert_eq!(flown.debrief.turns.len(), 9, "seed {seed}");
    }
}
