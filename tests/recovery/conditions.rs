//! Wind, recorders and laws of detection, and everything at once.

use crate::support::{TASKING, fly, fly_with, nm};
use crate::{ALONG_NM, Findings, SEEDS, findings, resumed_late};
use overflown::coverage::HoleCause;
use overflown::simulate::Fault;

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
        let flown = fly(TASKING, crate::support::many_faults(), seed);
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
