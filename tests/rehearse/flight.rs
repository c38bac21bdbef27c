//! The flight as such: repeatable, physical, on the legs, and recorded with the errors asked for.

use crate::support::*;
use overflown::geodesy::{Position, geodesic};
use overflown::simulate::truth::PassKind;
use overflown::simulate::{GRAVITY_MPS2, Settings, simulate};
use overflown::track::seconds_between;
use overflown::units::{Length, Speed, wrap_180};

#[test]
fn same_seed_same_bytes() {
    let (plan, mut settings) = usual();
    settings.gust = Speed::from_kt(2.0);
    let first = simulate(&plan, &settings, 7).unwrap();
    let again = simulate(&plan, &settings, 7).unwrap();
    assert_eq!(gpx(&first), gpx(&again));
    assert_eq!(first.truth, again.truth);
    let other = simulate(&plan, &settings, 8).unwrap();
    assert_ne!(gpx(&first), gpx(&other));
}

#[test]
fn recording_does_not_change_the_flight() {
    let (plan, settings) = usual();
    let slow = Settings {
        rate_hz: 0.2,
        ..settings.clone()
    };
    let fast = Settings {
        rate_hz: 10.0,
        ..without_noise(settings)
    };
    let slow = simulate(&plan, &slow, 3).unwrap();
    let fast = simulate(&plan, &fast, 3).unwrap();
    assert_eq!(slow.truth, fast.truth);
    let duration_s = seconds_between(slow.truth.from, slow.truth.to);
    assert_eq!(slow.fixes.len(), (duration_s * 0.2) as usize + 1);
    assert_eq!(fast.fixes.len(), (duration_s * 10.0).round() as usize + 1);
}

#[test]
fn every_leg_is_flown_whole_in_many_conditions() {
    for (spacing_nm, wind, bank_deg, seed) in [
        (0.5, windy(0.0, 0.0), 25.0, 1),
        (0.5, windy(290.0, 20.0), 25.0, 2),
        (0.5, windy(110.0, 30.0), 20.0, 3),
        (0.25, windy(20.0, 25.0), 30.0, 4),
        (0.25, windy(200.0, 15.0), 25.0, 5),
        (2.0, windy(155.0, 20.0), 15.0, 6),
        (1.0, windy(245.0, 45.0), 30.0, 7),
    ] {
        let (tasking, plan) = lay_out("[47.1, 12.5]", spacing_nm);
        let mut settings = Settings::for_tasking(&tasking);
        settings.wind = wind;
        settings.bank_deg = bank_deg;
        let flight = simulate(&plan, &settings, seed).unwrap();
        assert_eq!(flight.truth.passes.len(), 6);
        assert!(flight.truth.skipped.is_empty());
        for pass in &flight.truth.passes {
            assert_eq!((pass.kind, pass.reversed), (PassKind::Planned, false));
            let [span] = pass.flown.as_slice() else {
                panic!("{pass:?}");
            };
            assert!(span.from.nm() < 0.5, "{wind:?} {spacing_nm}: {pass:?}");
            assert!((span.to.nm() - 5.0).abs() < 1e-6, "{pass:?}");
            assert!(pass.xte_mean.unwrap().m().abs() < 60.0, "{pass:?}");
            assert!(pass.xte_sd.unwrap().m() < 50.0, "{pass:?}");
        }
    }
}

/// With an aim that does not wander and a known wind there is nothing left to weave about.
#[test]
fn settles_on_a_leg_without_weaving() {
    for wind in [windy(0.0, 0.0), windy(290.0, 20.0), windy(60.0, 20.0)] {
        let (plan, mut settings) = usual();
        settings.wander = Length::default();
        settings.wind = wind;
        let flight = simulate(&plan, &without_noise(settings), 1).unwrap();
        for leg in plan.legs.iter().filter(|leg| !leg.label.contains('-')) {
            let frame = leg.frame();
            let flown = pass(&flight, &leg.label);
            let off: Vec<f64> = between(&flight, flown.entered.unwrap(), flown.left)
                .iter()
                .map(|fix| frame.locate(fix.position))
                .filter(|at| at.along_m > 926.0)
                .map(|at| at.cross_m)
                .collect();
            let worst = off.iter().fold(0.0, |worst: f64, x| worst.max(x.abs()));
            assert!(worst < 30.0, "leg {}: {worst} m off in {wind:?}", leg.label);
            let last = off.last().unwrap().abs();
            assert!(last < 2.0, "leg {}: {last} m off at its end", leg.label);
        }
    }
}

/// Turn rate g tan φ / V (FAA-H-8083-25, rate of turn; from memory): with 25° at 90 kt no turn over
/// the ground in calm air is faster, and most of each turn is that fast.
#[test]
fn turns_are_those_of_a_banked_aircraft() {
    let (plan, settings) = usual();
    let flight = simulate(&plan, &without_noise(settings), 1).unwrap();
    let limit = (GRAVITY_MPS2 * 25f64.to_radians().tan() / Speed::from_kt(90.0).mps()).to_degrees();
    let airborne = between(&flight, flight.truth.airborne, flight.truth.landed);
    let rates: Vec<f64> = courses(&airborne)
        .windows(2)
        .map(|w| wrap_180(w[1] - w[0]).abs())
        .collect();
    let fastest = rates.iter().fold(0.0, |a: f64, b| a.max(*b));
    assert!(fastest < limit * 1.01, "{fastest} of {limit} °/s");
    let at_limit = rates.iter().filter(|rate| **rate > limit * 0.97).count();
    assert!(at_limit > 5 * 15, "{at_limit} s at the full turn rate");
}

/// Wind triangle: the ground speed on a course with the wind w from `from` is
/// √(V² - (w sin a)²) - w cos a, with a the angle between course and wind.
#[test]
fn wind_triangle_holds_on_every_leg() {
    let (plan, mut settings) = usual();
    settings.wander = Length::default();
    settings.wind = windy(310.0, 25.0);
    let flight = simulate(&plan, &settings, 1).unwrap();
    for pass in &flight.truth.passes {
        let course = geodesic::between(pass.start, pass.end).course_at_start;
        let angle = course.turn_to(settings.wind.from).to_radians();
        let expected = (90f64.powi(2) - (25.0 * angle.sin()).powi(2)).sqrt() - 25.0 * angle.cos();
        let got = pass.ground_speed.unwrap().kt();
        assert!(
            (got - expected).abs() < 0.3,
            "{got} for {expected} kt on {}",
            pass.leg
        );
    }
}

/// The same flight with and without receiver errors differs by those errors.
#[test]
fn receiver_errors_have_the_deviations_asked_for() {
    let (plan, settings) = usual();
    let (mut east, mut north, mut up, mut steps) = (vec![], vec![], vec![], vec![]);
    for seed in 0..8 {
        let noisy = simulate(&plan, &settings, seed).unwrap();
        let clean = simulate(&plan, &without_noise(settings.clone()), seed).unwrap();
        assert_eq!(noisy.truth, clean.truth);
        let before = east.len();
        for (a, b) in noisy.fixes.iter().zip(&clean.fixes) {
            let line = geodesic::between(b.position, a.position);
            let (sin, cos) = line.course_at_start.deg().to_radians().sin_cos();
            east.push(line.distance.m() * sin);
            north.push(line.distance.m() * cos);
            up.push(a.height.get().unwrap().m() - b.height.get().unwrap().m());
        }
        steps.extend(east[before..].windows(2).map(|w| w[1] - w[0]));
    }
    let rms = |x: &[f64]| (x.iter().map(|v| v * v).sum::<f64>() / x.len() as f64).sqrt();
    // About 20,000 s at a correlation time of 60 s: 170 independent samples, 6 % standard error.
    let horizontal = (4.0f64 + 0.25).sqrt();
    for (name, got, expected) in [
        ("east", rms(&east), horizontal),
        ("north", rms(&north), horizontal),
        ("up", rms(&up), 4.0),
    ] {
        assert!(
            (got / expected - 1.0).abs() < 0.18,
            "{name}: {got} for {expected} m"
        );
    }
    // From fix to fix: twice the white variance, and 2σ²(1 - e^(-1/60)) of the slow part.
    let expected = (0.5 + 8.0 * (1.0 - (-1.0f64 / 60.0).exp())).sqrt();
    let got = rms(&steps);
    assert!(
        (got / expected - 1.0).abs() < 0.03,
        "{got} for {expected} m"
    );
}

/// The truth is what the true positions say, measured by the legs' own frames.
#[test]
fn truth_agrees_with_the_true_positions() {
    let (plan, mut settings) = usual();
    settings.rate_hz = 10.0;
    settings.wind = windy(290.0, 15.0);
    let flight = simulate(&plan, &without_noise(settings), 5).unwrap();
    for (_, leg) in plan.search_legs() {
        let flown = pass(&flight, &leg.label);
        let fixes = between(&flight, flown.entered.unwrap(), flown.left);
        let frame = leg.frame();
        let off: Vec<f64> = fixes
            .iter()
            .map(|f| frame.locate(f.position).cross_m)
            .collect();
        let mean = off.iter().sum::<f64>() / off.len() as f64;
        assert!(
            (mean - flown.xte_mean.unwrap().m()).abs() < 0.1,
            "{mean} {flown:?}"
        );
        let ends = (
            frame.locate(fixes[0].position),
            frame.locate(fixes[fixes.len() - 1].position),
        );
        assert!((ends.0.along_m - flown.flown[0].from.m()).abs() < 10.0);
        assert!((ends.1.along_m - flown.flown[0].to.m()).abs() < 10.0);
    }
}

#[test]
fn takes_off_and_lands_at_the_base() {
    let (plan, mut settings) = usual();
    let base = Position::new(47.0, 12.3).unwrap();
    settings.base = Some(base);
    settings.wind = windy(250.0, 15.0);
    let flight = simulate(&plan, &without_noise(settings.clone()), 1).unwrap();
    let (first, last) = (flight.fixes[0], flight.fixes[flight.fixes.len() - 1]);
    assert!(geodesic::distance(first.position, base).m() < 1.0);
    assert!(geodesic::distance(last.position, base).m() < 100.0);
    for fix in [first, last] {
        assert!((fix.height.get().unwrap().m() - settings.base_height.m()).abs() < 2.0);
    }
    let leg = pass(&flight, "3");
    for fix in between(&flight, leg.entered.unwrap(), leg.left) {
        assert!((fix.height.get().unwrap().m() - settings.altitude.m()).abs() < 45.0);
    }
}

#[test]
fn flies_across_the_antimeridian_and_in_the_far_north() {
    for start in ["[10.0, 179.95]", "[80.0, 12.0]", "[-60.0, -179.99]"] {
        let (tasking, plan) = lay_out(start, 0.5);
        let mut settings = Settings::for_tasking(&tasking);
        settings.wind = windy(250.0, 15.0);
        let flight = simulate(&plan, &settings, 1).unwrap();
        assert_eq!(flight.truth.passes.len(), 6);
        for pass in &flight.truth.passes {
            assert!(flown_m(pass) > 4.5 * 1852.0, "{start}: {pass:?}");
            assert!(pass.xte_mean.unwrap().m().abs() < 60.0, "{start}: {pass:?}");
        }
    }
}
