//! Legs: flown, left out, cut short, beside their line, and not recorded.

use crate::support::{TASKING, fly, nm};
use crate::{ALONG_NM, Findings, SEEDS, clean, findings, passes_agree};
use overflown::coverage::HoleCause;
use overflown::simulate::Fault;
use overflown::track::seconds_between;

#[test]
fn a_clean_flight_is_clean() {
    for seed in SEEDS {
        let flown = fly(TASKING, vec![], seed);
        assert_eq!(findings(&flown.debrief), clean(), "seed {seed}");
        passes_agree(&flown, seed);
        for pass in &flown.debrief.passes {
            assert!(
                pass.tracking.p95.m() < 100.0,
                "seed {seed} leg {}",
                pass.leg
            );
            assert!(
                pass.established_after.unwrap().nm() < 0.6,
                "seed {seed} leg {}",
                pass.leg
            );
        }
        assert_eq!(flown.debrief.turns.len(), 9, "seed {seed}");
    }
}

#[test]
fn a_bias_comes_out_as_itself() {
    for seed in SEEDS {
        let bias = Fault::LateralBias {
            leg: None,
            right: overflown::units::Length::from_m(150.0),
        };
        let flown = fly(TASKING, vec![bias], seed);
        assert_eq!(findings(&flown.debrief), clean(), "seed {seed}");
        passes_agree(&flown, seed);
        // The pilot's aim wanders with 20 m; over ten legs that averages out to a few metres.
        let mean_m = flown.debrief.tracking.as_ref().unwrap().mean.m();
        assert!((mean_m - 150.0).abs() < 15.0, "seed {seed}: {mean_m} m");
    }
}

#[test]
fn a_skipped_leg_is_not_flown() {
    for seed in SEEDS {
        let flown = fly(TASKING, vec![Fault::SkipLeg(5)], seed);
        let expected = Findings {
            not_flown: vec!["5".into()],
            holes: vec![("5".into(), HoleCause::Missed)],
            passes: 9,
            ..Findings::default()
        };
        assert_eq!(findings(&flown.debrief), expected, "seed {seed}");
        let hole = &flown.debrief.strips[4].holes[0];
        assert!(
            hole.span.from.nm() < 0.1 && hole.span.to.nm() > 6.9,
            "seed {seed}: {hole:?}"
        );
        assert_eq!(flown.debrief.legs[4].flown_share, 0.0, "seed {seed}");
    }
}

#[test]
fn a_leg_cut_short_lacks_just_that() {
    for seed in SEEDS {
        let flown = fly(
            TASKING,
            vec![Fault::CutShort {
                leg: 10,
                by: nm(1.2),
            }],
            seed,
        );
        let expected = Findings {
            in_part: vec!["10".into()],
            holes: vec![("10".into(), HoleCause::Missed)],
            ..clean()
        };
        assert_eq!(findings(&flown.debrief), expected, "seed {seed}");
        let missed = &flown.debrief.legs[9].missed[0];
        let (from, to) = (missed.from.nm(), missed.to.nm());
        assert!(
            (from - 5.8).abs() < ALONG_NM && to > 6.99,
            "seed {seed}: {from}–{to} NM"
        );
        let hole = &flown.debrief.strips[9].holes[0].span;
        assert!(
            (hole.from.nm() - 5.8).abs() < 0.2,
            "seed {seed}: hole from {} NM",
            hole.from.nm()
        );
    }
}

#[test]
fn a_dropout_is_not_recorded_and_not_missed() {
    for seed in SEEDS {
        let dropout = Fault::Dropout {
            leg: 4,
            along: nm(2.0),
            duration_s: 40.0,
        };
        let flown = fly(TASKING, vec![dropout], seed);
        let expected = Findings {
            not_recorded: vec!["4".into()],
            holes: vec![("4".into(), HoleCause::NotRecorded)],
            gaps: 1,
            ..clean()
        };
        assert_eq!(findings(&flown.debrief), expected, "seed {seed}");
        let (gap, truth) = (&flown.debrief.log.gaps[0], &flown.truth.dropouts[0]);
        assert!(
            (gap.duration_s - 40.0).abs() <= 2.0,
            "seed {seed}: {} s",
            gap.duration_s
        );
        assert!(
            seconds_between(truth.from, gap.from).abs() <= 1.5,
            "seed {seed}"
        );
        let hidden = &flown.debrief.legs[3].unrecorded;
        assert_eq!(hidden.len(), 1, "seed {seed}");
        let (a, b) = (truth.along_from.nm(), truth.along_to.unwrap().nm());
        assert!(
            (hidden[0].from.nm() - a.min(b)).abs() < ALONG_NM,
            "seed {seed}: {hidden:?}"
        );
        assert!(
            (hidden[0].to.nm() - a.max(b)).abs() < ALONG_NM,
            "seed {seed}: {hidden:?}"
        );
    }
}
