//! Simulated flights are what they claim to be: physics, noise, faults and files.

use overflown::geodesy::{Position, geodesic};
use overflown::plan::{self, Plan};
use overflown::simulate::truth::{PassKind, TruePass};
use overflown::simulate::{
    Fault, GRAVITY_MPS2, LegRun, Rehearsal, Settings, SimulateError, Wind, gpx_out, simulate,
};
use overflown::tasking::{self, Side, Tasking};
use overflown::track::{Fix, seconds_between};
use overflown::units::{Bearing, Length, Speed, wrap_180};
use std::path::Path;

fn tasking_text(start: &str, spacing_nm: f64) -> String {
    format!(
        "sortie = \"Kestrel 1\"\ndate = 2026-06-14\n\
         [pattern]\nkind = \"parallel sweep\"\nstart = {start}\nfirst_course = \"020 T\"\n\
         turn = \"right\"\nspacing = \"{spacing_nm} NM\"\nleg_length = \"5 NM\"\nlegs = 6\n\
         [flight]\nground_speed = \"90 kt\"\naltitude = \"2500 ft\"\n\
         [detection]\nsweep_width = \"0.5 NM\"\nlaw = \"exponential\"\n"
    )
}

fn lay_out(start: &str, spacing_nm: f64) -> (Tasking, Plan) {
    let path = Path::new("tasking.toml");
    let tasking = tasking::parse(&tasking_text(start, spacing_nm), path).unwrap();
    let plan = plan::lay_out(&tasking, path).unwrap();
    (tasking, plan)
}

/// Six legs of 5 NM, half a mile apart, and a flight without wind.
fn usual() -> (Plan, Settings) {
    let (tasking, plan) = lay_out("[47.1, 12.5]", 0.5);
    let settings = Settings::for_tasking(&tasking);
    (plan, settings)
}

/// The receiver shows the truth, so that fixes can be measured against it.
fn without_noise(mut settings: Settings) -> Settings {
    settings.noise.slow = Length::default();
    settings.noise.white = Length::default();
    settings.noise.height = Length::default();
    settings
}

fn with_fault(settings: &Settings, fault: Fault) -> Settings {
    Settings {
        faults: vec![fault],
        ..settings.clone()
    }
}

fn windy(from_deg: f64, kt: f64) -> Wind {
    Wind {
        from: Bearing::from_deg(from_deg),
        speed: Speed::from_kt(kt),
    }
}

fn pass<'r>(rehearsal: &'r Rehearsal, leg: &str) -> &'r TruePass {
    rehearsal
        .truth
        .passes
        .iter()
        .find(|pass| pass.leg == leg)
        .unwrap()
}

fn gpx(rehearsal: &Rehearsal) -> Vec<u8> {
    let mut bytes = Vec::new();
    gpx_out::write(&mut bytes, "Kestrel 1", &rehearsal.fixes).unwrap();
    bytes
}

fn flown_m(pass: &TruePass) -> f64 {
    pass.flown.iter().map(|span| span.length().m()).sum()
}

/// Fixes from the first to the last moment.
fn between(
    rehearsal: &Rehearsal,
    from: chrono::DateTime<chrono::Utc>,
    to: chrono::DateTime<chrono::Utc>,
) -> Vec<Fix> {
    rehearsal
        .fixes
        .iter()
        .filter(|fix| fix.time >= from && fix.time <= to)
        .copied()
        .collect()
}

/// Courses over the ground from fix to fix, degrees.
fn courses(fixes: &[Fix]) -> Vec<f64> {
    fixes
        .windows(2)
        .map(|w| {
            let line = geodesic::between(w[0].position, w[1].position);
            line.course_at_start.deg()
        })
        .collect()
}

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
            up.push(a.height.unwrap().m() - b.height.unwrap().m());
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
        assert!((fix.height.unwrap().m() - settings.base_height.m()).abs() < 2.0);
    }
    let leg = pass(&flight, "3");
    for fix in between(&flight, leg.entered.unwrap(), leg.left) {
        assert!((fix.height.unwrap().m() - settings.altitude.m()).abs() < 45.0);
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
}

/// The file read back by the crate `gpx` and line by line.
#[test]
fn gpx_file_holds_the_fixes() {
    let (plan, mut settings) = usual();
    settings.rate_hz = 4.0;
    let flight = simulate(&plan, &settings, 1).unwrap();
    let bytes = gpx(&flight);
    let read = gpx::read(bytes.as_slice()).unwrap();
    assert_eq!(read.version, gpx::GpxVersion::Gpx11);
    let [track] = read.tracks.as_slice() else {
        panic!("{} tracks", read.tracks.len());
    };
    let points = &track.segments[0].points;
    assert_eq!(
        (track.segments.len(), points.len()),
        (1, flight.fixes.len())
    );
    let lines: Vec<&str> = std::str::from_utf8(&bytes).unwrap().lines().collect();
    for (point, fix) in points.iter().zip(&flight.fixes) {
        assert!((point.point().y() - fix.position.lat()).abs() < 1e-9);
        assert!((point.point().x() - fix.position.lon()).abs() < 1e-9);
        assert!((point.elevation.unwrap() - fix.height.unwrap().m()).abs() < 1e-9);
        let time = point.time.unwrap().format().unwrap();
        let time = chrono::DateTime::parse_from_rfc3339(&time).unwrap();
        assert_eq!(time, fix.time);
        let lat = format!("lat=\"{:.7}\"", fix.position.lat());
        assert!(lines[fix.line as usize - 1].contains(&lat));
    }
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

mod command {
    use super::*;
    use assert_cmd::Command;

    fn folder() -> tempfile::TempDir {
        let folder = tempfile::tempdir().unwrap();
        let text = tasking_text("[47.1, 12.5]", 0.5);
        std::fs::write(folder.path().join("tasking.toml"), text).unwrap();
        folder
    }

    fn rehearse(folder: &Path, arguments: &[&str]) -> std::process::Output {
        Command::cargo_bin("overflown")
            .unwrap()
            .current_dir(folder)
            .args(["rehearse", "tasking.toml"])
            .args(arguments)
            .output()
            .unwrap()
    }

    #[test]
    fn writes_the_log_and_the_truth() {
        let folder = folder();
        let all = [
            "--seed",
            "3",
            "--truth",
            "truth.json",
            "--wind",
            "240 T at 12 kt",
            "--rate",
            "0.5",
            "--airspeed",
            "95 kt",
            "--bank",
            "20",
            "--wander",
            "10 m",
            "--skip-leg",
            "6",
            "--cut-leg",
            "5:1NM",
            "--bias",
            "2:100 m left",
            "--extra-after",
            "3",
            "--orbit",
            "1:3NM",
            "--dropout",
            "4:2NM:40s",
            "--excursion",
            "1:2NM:60s",
            "--corner-survey",
            "--start",
            "2026-06-14T09:30:00Z",
        ];
        let output = rehearse(folder.path(), &all);
        assert!(
            output.status.success(),
            "{}",
            String::from_utf8_lossy(&output.stderr)
        );
        let text = String::from_utf8(output.stdout).unwrap();
        for part in [
            "between 3 and 4",
            "leg 6: not flown",
            "silent for 40 s",
            "1 circle",
        ] {
            assert!(text.contains(part), "{text}");
        }
        let log = std::fs::read(folder.path().join("out/Kestrel 1-rehearsal.gpx")).unwrap();
        assert!(String::from_utf8_lossy(&log).contains("<time>2026-06-14T09:30:00Z</time>"));
        let truth = std::fs::read(folder.path().join("truth.json")).unwrap();
        let truth: serde_json::Value = serde_json::from_slice(&truth).unwrap();
        assert_eq!(truth["passes"][1]["bias_m"], -100.0);
        // Again, elsewhere: the same bytes.
        let again = [&all[..], &["--out", "again.gpx"]].concat();
        assert!(rehearse(folder.path(), &again).status.success());
        assert_eq!(std::fs::read(folder.path().join("again.gpx")).unwrap(), log);
    }

    #[test]
    fn refuses_with_a_hint_and_writes_nothing() {
        let folder = folder();
        for (arguments, part) in [
            (["--skip-leg", "9"], "the search legs are 1 to 6"),
            (["--cut-leg", "2:9NM"], "accepted: 0 to 5 NM"),
            (["--rate", "1000"], "to 50 fixes per second"),
            (["--wind", "240 at 12 kt"], "true or magnetic"),
        ] {
            let output = rehearse(folder.path(), &arguments);
            let text = String::from_utf8(output.stderr).unwrap();
            assert_eq!(output.status.code(), Some(2), "{text}");
            assert!(text.contains(part), "{text}");
        }
        // A folder stands where the file should go.
        std::fs::create_dir(folder.path().join("taken.gpx")).unwrap();
        let output = rehearse(folder.path(), &["--out", "taken.gpx"]);
        assert_eq!(output.status.code(), Some(3));
        let names: Vec<_> = std::fs::read_dir(folder.path())
            .unwrap()
            .map(|entry| entry.unwrap().file_name())
            .collect();
        assert_eq!(names.len(), 2, "{names:?}");
    }
}
