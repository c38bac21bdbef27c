//! Each fault does what it says, on several seeds and in wind.

use crate::support::*;
use overflown::geodesy::geodesic;
use overflown::simulate::truth::PassKind;
use overflown::simulate::{Fault, LegRun, Settings, SimulateError, simulate};
use overflown::tasking::Side;
use overflown::track::seconds_between;
use overflown::units::{Length, Speed, wrap_180};

#[test]
fn bias_is_flown_and_told() {
    let (plan, settings) = usual();
    let right = Length::from_m(150.0);
    for seed in 1..4 {
        let all = with_fault(&settings, Fault::LateralBias { leg: None, right });
        for pass in simulate(&plan, &all, seed).unwrap().truth.passes {
            assert!(
                (pass.xte_mean.unwrap().m() - 150.0).abs() < 60.0,
                "{pass:?}"
            );
            assert_eq!(pass.bias, right);
        }
        let one = with_fault(
            &settings,
            Fault::LateralBias {
                leg: Some(3),
                right,
            },
        );
        let one = simulate(&plan, &one, seed).unwrap();
        assert!((pass(&one, "3").xte_mean.unwrap().m() - 150.0).abs() < 60.0);
        assert!(pass(&one, "4").xte_mean.unwrap().m().abs() < 60.0);
    }
}

#[test]
fn a_cut_leg_is_left_where_it_is_cut() {
    let (plan, settings) = usual();
    let by = Length::from_nm(1.2);
    for (seed, wind) in [
        (1, windy(0.0, 0.0)),
        (2, windy(200.0, 20.0)),
        (3, windy(290.0, 20.0)),
    ] {
        let mut settings = without_noise(with_fault(&settings, Fault::CutShort { leg: 4, by }));
        settings.wind = wind;
        let flight = simulate(&plan, &settings, seed).unwrap();
        let cut = pass(&flight, "4");
        assert!(
            (cut.flown[0].to.nm() - 3.8).abs() * 1852.0 < 30.0,
            "{cut:?}"
        );
        // Within ten seconds the aircraft is well into a turn, outward first where room is short.
        let later = cut.left + chrono::TimeDelta::seconds(10);
        let courses = courses(&between(&flight, cut.left, later));
        let turned = courses
            .iter()
            .map(|course| wrap_180(course - courses[0]).abs())
            .fold(0.0, f64::max);
        assert!(turned > 10.0, "{turned}°");
        // The next leg begins nearby, not at its planned start.
        let next = pass(&flight, "5");
        assert!((0.2..1.5).contains(&next.flown[0].from.nm()), "{next:?}");
    }
}

#[test]
fn legs_are_skipped_reordered_repeated_and_added() {
    let (plan, settings) = usual();
    let flown = |fault: Fault, seed| -> Vec<(String, PassKind, bool)> {
        let settings = Settings {
            wind: windy(250.0, 15.0),
            ..with_fault(&settings, fault)
        };
        let flight = simulate(&plan, &settings, seed).unwrap();
        for pass in &flight.truth.passes {
            let length = geodesic::distance(pass.start, pass.end).m();
            assert!(flown_m(pass) > length - 900.0, "{pass:?}");
        }
        let passes = flight.truth.passes;
        passes
            .into_iter()
            .map(|p| (p.leg, p.kind, p.reversed))
            .collect()
    };
    let text = |passes: Vec<(String, PassKind, bool)>| {
        let parts: Vec<String> = passes
            .into_iter()
            .map(|(leg, kind, reversed)| {
                let mark = match kind {
                    PassKind::Planned => "",
                    PassKind::Again => "*",
                    PassKind::Additional => "+",
                };
                format!("{leg}{mark}{}", if reversed { "r" } else { "" })
            })
            .collect();
        parts.join(" ")
    };
    let order = [(3, false), (1, false), (2, true), (6, false)]
        .map(|(leg, reversed)| LegRun { leg, reversed });
    for seed in 1..4 {
        assert_eq!(text(flown(Fault::SkipLeg(3), seed)), "1 2 4r 5r 6r");
        assert_eq!(text(flown(Fault::Order(order.to_vec()), seed)), "3 1 2r 6");
        assert_eq!(text(flown(Fault::FlyTwice(2), seed)), "1 2 2*r 3r 4r 5r 6r");
        assert_eq!(
            text(flown(Fault::ExtraAfter(4), seed)),
            "1 2 3 4 between 4 and 5+ 5r 6r"
        );
        assert_eq!(
            text(flown(Fault::Interleave, seed)),
            "1 2 3 4 5 6 between 5 and 6+ between 4 and 5+ between 3 and 4+ between 2 and 3+ \
             between 1 and 2+"
        );
    }
    let skipped = with_fault(&settings, Fault::SkipLeg(3));
    assert_eq!(simulate(&plan, &skipped, 1).unwrap().truth.skipped, ["3"]);
}

/// An additional leg lies half a spacing from both neighbours.
#[test]
fn additional_legs_lie_midway() {
    let (plan, settings) = usual();
    let flight = simulate(&plan, &with_fault(&settings, Fault::Interleave), 1).unwrap();
    let between = pass(&flight, "between 3 and 4");
    for label in ["3", "4"] {
        let leg = plan.legs.iter().find(|leg| leg.label == label).unwrap();
        for place in [between.start, between.end] {
            let off = leg.frame().locate(place).cross_m.abs();
            assert!((off - 463.0).abs() < 1.0, "{off} m from leg {label}");
        }
    }
}

#[test]
fn orbits_are_full_circles_over_the_ground() {
    let (plan, settings) = usual();
    for (seed, side, turns) in [(1, Side::Right, 1), (2, Side::Left, 3)] {
        let fault = Fault::Orbit {
            leg: 2,
            along: Length::from_nm(3.0),
            turns,
            side,
        };
        let mut settings = without_noise(with_fault(&settings, fault));
        settings.wind = windy(290.0, 20.0);
        let flight = simulate(&plan, &settings, seed).unwrap();
        let [orbit] = flight.truth.orbits.as_slice() else {
            panic!("{:?}", flight.truth.orbits);
        };
        let fixes = between(&flight, orbit.from, orbit.to);
        let turned: f64 = courses(&fixes)
            .windows(2)
            .map(|w| wrap_180(w[1] - w[0]))
            .sum();
        let expected = side.sign() * 360.0 * f64::from(turns);
        assert!((turned - expected).abs() < 30.0, "{turned}° of {expected}°");
        for fix in &fixes {
            let out = geodesic::distance(orbit.centre, fix.position).m() / orbit.radius.m();
            assert!((out - 1.0).abs() < 0.1, "{out} of the radius");
        }
        assert!((orbit.along.nm() - 3.0).abs() < 0.01);
        assert!(flown_m(pass(&flight, "2")) > 5.0 * 1852.0 - 900.0);
    }
}

#[test]
fn a_silent_receiver_leaves_a_hole() {
    let (plan, settings) = usual();
    let fault = Fault::Dropout {
        leg: 4,
        along: Length::from_nm(2.0),
        duration_s: 40.0,
    };
    for rate_hz in [0.2, 1.0, 10.0] {
        let mut settings = with_fault(&settings, fault.clone());
        settings.rate_hz = rate_hz;
        let flight = simulate(&plan, &settings, 1).unwrap();
        let [hole] = flight.truth.dropouts.as_slice() else {
            panic!("{:?}", flight.truth.dropouts);
        };
        assert!((hole.along_from.nm() - 2.0).abs() < 0.01);
        // Forty seconds at 90 kt are one mile.
        assert!((hole.along_to.unwrap().nm() - 3.0).abs() < 0.02);
        let longest = flight
            .fixes
            .windows(2)
            .map(|w| seconds_between(w[0].time, w[1].time))
            .fold(0.0, f64::max);
        assert!(
            (40.0..=40.0 + 1.0 / rate_hz).contains(&longest),
            "{longest} s"
        );
        assert!(
            !flight
                .fixes
                .iter()
                .any(|f| f.time > hole.from && f.time <= hole.to)
        );
    }
}

#[test]
fn an_excursion_is_outside_as_long_as_asked() {
    let (plan, settings) = usual();
    for (leg, outside_s, wind) in [
        (1, 90.0, windy(0.0, 0.0)),
        (1, 60.0, windy(290.0, 20.0)),
        (6, 240.0, windy(290.0, 20.0)),
    ] {
        let fault = Fault::Excursion {
            leg,
            along: Length::from_nm(3.0),
            outside_s,
        };
        let mut settings = without_noise(with_fault(&settings, fault));
        settings.wind = wind;
        settings.rate_hz = 10.0;
        let flight = simulate(&plan, &settings, 2).unwrap();
        let [away] = flight.truth.excursions.as_slice() else {
            panic!("{:?}", flight.truth.excursions);
        };
        assert!((away.outside_s - outside_s).abs() < 8.0, "{away:?}");
        let crossings = seconds_between(away.out.unwrap(), away.back.unwrap());
        assert!((crossings - away.outside_s).abs() < 0.2, "{away:?}");
        // The fixes say the same.
        let outside = between(&flight, away.from, away.to)
            .iter()
            .filter(|fix| !plan.area.contains(plan.frame.forward(fix.position)))
            .count();
        assert!((outside as f64 / 10.0 - away.outside_s).abs() < 0.3);
        assert!((away.along_from.nm() - 3.0).abs() < 0.01);
        assert!((away.along_to.nm() - 3.0).abs() < 0.5, "{away:?}");
    }
}

#[test]
fn corners_are_flown_over_before_the_first_leg() {
    let (plan, mut settings) = usual();
    settings.wind = windy(250.0, 15.0);
    settings.faults = vec![Fault::CornerSurvey];
    let flight = simulate(&plan, &settings, 1).unwrap();
    let survey = flight.truth.corner_survey.unwrap();
    assert_eq!(survey.corners.len(), plan.area.corners().len());
    assert!(survey.widest_miss.m() < 100.0, "{survey:?}");
    assert!(survey.to < flight.truth.passes[0].entered.unwrap());
    for corner in &survey.corners {
        let nearest = flight
            .fixes
            .iter()
            .map(|fix| geodesic::distance(fix.position, *corner).m())
            .fold(f64::INFINITY, f64::min);
        assert!(nearest < 120.0, "{nearest} m");
    }
}

#[test]
fn refuses_what_cannot_be_flown_and_says_what_can() {
    let (plan, settings) = usual();
    let along = Length::from_nm(6.0);
    let by = Length::from_nm(5.5);
    let refused =
        |settings: Settings| -> SimulateError { simulate(&plan, &settings, 1).unwrap_err() };
    let fault = |fault| refused(with_fault(&settings, fault));
    for (error, problem, hint) in [
        (fault(Fault::SkipLeg(9)), "no search leg 9", "1 to 6"),
        (fault(Fault::CutShort { leg: 2, by }), "5.5 NM", "0 to 5 NM"),
        (
            fault(Fault::Dropout {
                leg: 2,
                along,
                duration_s: 9.0,
            }),
            "place on leg 2 of 6 NM",
            "0 to 5 NM",
        ),
        (
            fault(Fault::ExtraAfter(6)),
            "no search leg follows leg 6",
            "but the last",
        ),
        (
            fault(Fault::Order(Vec::new())),
            "no search leg is left",
            "at least one",
        ),
        (
            refused(Settings {
                rate_hz: 0.0,
                ..settings.clone()
            }),
            "recording rate of 0",
            "to 50 fixes per second",
        ),
        (
            refused(Settings {
                wind: windy(0.0, 95.0),
                ..settings.clone()
            }),
            "wind speed of 95 kt",
            "0 to 63 kt",
        ),
        (
            refused(Settings {
                airspeed: Speed::from_kt(f64::NAN),
                ..settings.clone()
            }),
            "airspeed of NaN kt",
            "30 to 300 kt",
        ),
    ] {
        let message = error.to_string();
        assert!(message.contains(problem), "{message}");
        assert!(error.hint().contains(hint), "{}", error.hint());
    }
    let mut both = with_fault(&settings, Fault::SkipLeg(2));
    both.faults.push(Fault::CutShort {
        leg: 2,
        by: Length::from_nm(1.0),
    });
    assert_eq!(refused(both), SimulateError::LegNotFlown { number: 2 });

    // All legs four hundred times over are more than two days in the air.
    let all_day = (0..400).map(|_| {
        (1..=6).map(|leg| LegRun {
            leg,
            reversed: false,
        })
    });
    let endless = Fault::Order(all_day.flatten().collect());
    assert_eq!(fault(endless), SimulateError::TooLong { hours: 48.0 });
}

mod any_flight {
    use super::*;
    use proptest::prelude::*;

    proptest! {
        #![proptest_config(ProptestConfig::with_cases(24))]

        /// Whatever the wind, the aircraft and the faults: the flight ends, in the order of time,
        /// and every pass asked for was flown.
        #[test]
        fn ends(
            seed in 0u64..1000,
            spacing_nm in 0.1f64..3.0,
            airspeed_kt in 50f64..200.0,
            wind_share in 0f64..0.65,
            wind_from in 0f64..360.0,
            bank in 12f64..45.0,
            known in 0f64..1.0,
            along_nm in 0f64..5.0,
            leg in 1u32..=6,
        ) {
            let (tasking, plan) = lay_out("[47.1, 12.5]", spacing_nm);
            let mut settings = Settings::for_tasking(&tasking);
            settings.airspeed = Speed::from_kt(airspeed_kt);
            settings.wind = windy(wind_from, airspeed_kt * wind_share);
            settings.bank_deg = bank;
            settings.wind_share = known;
            let along = Length::from_nm(along_nm);
            settings.faults = vec![
                Fault::CornerSurvey,
                Fault::SkipLeg(leg),
                Fault::FlyTwice(leg % 6 + 1),
                Fault::Orbit { leg: leg % 6 + 1, along, turns: 1, side: Side::Left },
                Fault::Excursion { leg: (leg + 1) % 6 + 1, along, outside_s: 60.0 },
                Fault::Interleave,
            ];
            let flight = simulate(&plan, &settings, seed).unwrap();
            prop_assert_eq!(flight.truth.passes.len(), 5 + 1 + 5);
            prop_assert!(flight.fixes.windows(2).all(|w| w[0].time < w[1].time));
            let hours = seconds_between(flight.truth.from, flight.truth.to) / 3600.0;
            prop_assert!(hours < 20.0, "{hours} h");
        }
    }
}
