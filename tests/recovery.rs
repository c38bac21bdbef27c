//! What was put into a simulated flight comes out of its debrief: at the right place, of the right
//! size, and nothing else. Twenty seeds each, with another wind for each seed.
//!
//! The truth beside each check is the simulator's own record of the true positions, before receiver
//! noise.
#![allow(clippy::unwrap_used, reason = "a test fails by panicking")]

mod support;

use overflown::coverage::HoleCause;
use overflown::debrief::Debrief;
use overflown::matching::Phase;
use overflown::measure::{LegState, OutsideKind};
use overflown::simulate::truth::PassKind;
use overflown::simulate::{Fault, LegRun};
use overflown::tasking::Side;
use overflown::track::seconds_between;
use support::{Flown, TASKING, fly, fly_with, nm};

const SEEDS: std::ops::Range<u64> = 1..21;

/// Standard error that the receiver's slow error leaves in the mean over a leg, metres: first-order
/// Gauss-Markov noise of 2 m with a correlation time of 60 s, averaged over the 280 s of a leg, has
/// the standard error 2 · √(2 · 60 / 280) (G. Jenkins and D. Watts, Spectral Analysis, 1968, from
/// memory). Three of these cover 99.7 %; a metre more for samples cut differently at the ends.
const MEAN_XTE_M: f64 = 3.0 * 1.31 + 1.0;
/// Fixes are a second apart: 46 m at 90 kt, and a course is known to about two of them.
const ALONG_NM: f64 = 0.08;

/// Everything that could be reported beside plain legs and turns.
#[derive(Debug, Default, PartialEq)]
struct Findings {
    not_flown: Vec<String>,
    in_part: Vec<String>,
    not_recorded: Vec<String>,
    holes: Vec<(String, HoleCause)>,
    additional: usize,
    orbits: usize,
    excursions: usize,
    straying: usize,
    boundary_checks: usize,
    gaps: usize,
    passes: usize,
    dropped: usize,
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
    let phases = |phase: Phase| debrief.phases.iter().filter(|p| p.phase == phase).count();
    Findings {
        not_flown: legs(LegState::NotFlown),
        in_part: legs(LegState::FlownInPart),
        not_recorded: legs(LegState::NotRecorded),
        holes: debrief
            .strips
            .iter()
            .flat_map(|s| &s.holes)
            .map(|h| (h.leg.clone(), h.cause))
            .collect(),
        additional: debrief.additional_legs.len(),
        orbits: phases(Phase::Orbit),
        excursions: phases(Phase::Excursion),
        straying: debrief
            .area_time
            .outside
            .iter()
            .filter(|o| o.kind == OutsideKind::Excursion)
            .count(),
        boundary_checks: phases(Phase::BoundaryCheck),
        gaps: debrief.log.gaps.len(),
        passes: debrief.passes.len(),
        dropped: debrief.log.points_read - debrief.log.fixes_kept,
    }
}

fn clean() -> Findings {
    Findings {
        passes: 10,
        ..Findings::default()
    }
}

/// In a strong wind the leg is resumed farther on than it was left: what lies between is then
/// missed indeed, if it is long enough to be reported.
fn resumed_late(flown: &Flown, found: &mut Findings, seed: u64) {
    let truth = &flown.truth.excursions[0];
    let (left, resumed) = (truth.along_from.nm(), truth.along_to.nm());
    for missed in &flown.debrief.legs[0].missed {
        assert!(
            (missed.from.nm() - left).abs() < ALONG_NM,
            "seed {seed}: {missed:?}"
        );
        assert!(
            (missed.to.nm() - resumed).abs() < ALONG_NM,
            "seed {seed}: {missed:?}"
        );
    }
    found.in_part.retain(|leg| leg != "1");
}

/// The figures of each pass against the true ones.
fn passes_agree(flown: &Flown, seed: u64) {
    let truth: Vec<_> = flown
        .truth
        .passes
        .iter()
        .filter(|p| p.kind != PassKind::Additional)
        .collect();
    assert_eq!(flown.debrief.passes.len(), truth.len(), "seed {seed}");
    for (pass, truth) in flown.debrief.passes.iter().zip(truth) {
        assert_eq!(
            (&pass.leg, pass.reversed),
            (&truth.leg, truth.reversed),
            "seed {seed}"
        );
        let off_m = pass.tracking.mean.m() - truth.xte_mean.unwrap().m();
        assert!(
            off_m.abs() <= MEAN_XTE_M,
            "seed {seed} leg {}: mean XTE {off_m} m off",
            pass.leg
        );
        let left_s = seconds_between(truth.left, pass.left).abs();
        assert!(
            left_s <= 2.5,
            "seed {seed} leg {}: left {left_s} s off",
            pass.leg
        );
    }
}

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

#[test]
fn wind_and_airspeed_are_found() {
    for seed in SEEDS {
        let flown = fly(TASKING, vec![], seed);
        let wind = flown.debrief.wind.as_ref().unwrap();
        let (speed, from) = (wind.speed.kt(), wind.from.deg().to_radians());
        let (true_speed, true_from) = (
            flown.truth.wind_speed.kt(),
            flown.truth.wind_from.deg().to_radians(),
        );
        let off_kt = (speed * from.sin() - true_speed * true_from.sin())
            .hypot(speed * from.cos() - true_speed * true_from.cos());
        assert!(off_kt < 0.3, "seed {seed}: wind {off_kt} kt off");
        let airspeed_off = (wind.true_airspeed.kt() - flown.truth.airspeed.kt()).abs();
        assert!(
            airspeed_off < 0.5,
            "seed {seed}: airspeed {airspeed_off} kt off"
        );
    }
}

#[test]
fn all_at_once_come_out_together() {
    for seed in SEEDS {
        let flown = fly(TASKING, support::many_faults(), seed);
        let expected = Findings {
            not_flown: vec!["6".into()],
            in_part: vec!["10".into()],
            not_recorded: vec!["4".into()],
            holes: vec![
                ("4".into(), HoleCause::NotRecorded),
                ("6".into(), HoleCause::Missed),
                ("10".into(), HoleCause::Missed),
            ],
            orbits: 1,
            excursions: 1,
            straying: 1,
            boundary_checks: 1,
            gaps: 1,
            passes: 9,
            ..Findings::default()
        };
        let mut found = findings(&flown.debrief);
        resumed_late(&flown, &mut found, seed);
        assert_eq!(found, expected, "seed {seed}");
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

/// Ten fixes a second to one in ten seconds, a good receiver and a poor one: the same findings.
#[test]
fn other_recorders_tell_the_same_story() {
    for seed in SEEDS {
        let rate_hz = [10.0, 2.0, 0.5, 0.2, 0.1][seed as usize % 5];
        let poor = if seed % 2 == 0 { 1.0 } else { 3.0 };
        let faults = vec![
            Fault::SkipLeg(4),
            Fault::CutShort {
                leg: 10,
                by: nm(1.5),
            },
        ];
        let flown = fly_with(TASKING, faults, seed, |settings| {
            let noise = settings.noise;
            overflown::simulate::Settings {
                rate_hz,
                noise: overflown::simulate::ReceiverNoise {
                    slow: nm(noise.slow.nm() * poor),
                    white: nm(noise.white.nm() * poor),
                    ..noise
                },
                ..settings
            }
        });
        let expected = Findings {
            not_flown: vec!["4".into()],
            in_part: vec!["10".into()],
            holes: vec![
                ("4".into(), HoleCause::Missed),
                ("10".into(), HoleCause::Missed),
            ],
            passes: 9,
            ..Findings::default()
        };
        assert_eq!(
            findings(&flown.debrief),
            expected,
            "seed {seed}, {rate_hz} Hz"
        );
        let missed = &flown.debrief.legs[9].missed[0];
        // A fix every ten seconds leaves a quarter of a mile between fixes.
        let slack = ALONG_NM.max(1.2 * 0.025 / rate_hz);
        // Leg 10 is flown against the plan after leg 4 is left out.
        assert!(
            (missed.length().nm() - 1.5).abs() < slack,
            "seed {seed}, {rate_hz} Hz: {missed:?}"
        );
    }
}

/// The tasking with this law, sweep width and side.
fn looking(law: &str, width: &str, scanners: &str) -> String {
    let text = TASKING.replace(
        "sweep_width = \"0.5 NM\"",
        &format!("sweep_width = \"{width}\"\nlaw = \"{law}\"\nscanners = \"{scanners}\""),
    );
    assert!(text.contains(law));
    text
}

/// Whatever the law and the sweep width: a leg left out is a hole, and nothing else is.
#[test]
fn every_law_finds_the_leg_left_out_and_no_other() {
    for law in ["inverse cube", "exponential", "definite range"] {
        for width in ["0.2 NM", "0.4 NM"] {
            let text = looking(law, width, "both");
            let flown = fly(&text, vec![Fault::SkipLeg(7)], 5);
            let holes = findings(&flown.debrief).holes;
            let expected = [("7".to_owned(), HoleCause::Missed)];
            assert_eq!(holes, expected, "{law}, {width}");
        }
    }
}

/// Looking from the right only, about half is seen, and most of that is what can be had of it: the
/// outermost strips have no neighbour that looks back at them.
#[test]
fn one_side_has_its_own_target() {
    for law in ["inverse cube", "exponential", "definite range"] {
        let flown = fly(&looking(law, "0.4 NM", "right"), vec![], 5);
        let at_target = flown.debrief.coverage.share_at_target;
        assert!(at_target > 0.8, "{law}: {at_target}");
        let both = fly(&looking(law, "0.4 NM", "both"), vec![], 5);
        let (one, two) = (flown.debrief.coverage.pod, both.debrief.coverage.pod);
        let share = one.inverse_cube / two.inverse_cube;
        assert!((0.4..0.7).contains(&share), "{law}: {share}");
    }
}
