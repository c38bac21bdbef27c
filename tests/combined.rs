//! What counts as looking, put into simulated flights: it comes out of the debrief, and of the search that takes
//! the debriefs together.
#![allow(clippy::unwrap_used, reason = "a test fails by panicking")]

mod support;

use overflown::coverage::HoleCause;
use overflown::debrief::{Debrief, debrief};
use overflown::geodesy::geodesic;
use overflown::search::{Search, SearchStrip, Sortie, Wants, search};
use overflown::simulate::{Fault, LegRun, Settings, Wind, simulate};
use overflown::track::Fix;
use overflown::units::{Length, Speed};
use std::path::Path;
use support::{TASKING, nm};

/// The tasking with more in [detection].
fn tasked(more: &str) -> String {
    let text = format!("{TASKING}{more}\n");
    assert!(text.contains("[detection]\nsweep_width = \"0.5 NM\"\n"));
    text
}

/// A flight without wandering of the height, whose fixes are changed before they are debriefed.
fn fly(
    text: &str,
    settings: impl Fn(Settings) -> Settings,
    fixes: impl Fn(&mut Vec<Fix>),
) -> Debrief {
    let (tasking, plan) = support::tasking(text);
    let settings = settings(Settings {
        height_wander: nm(0.0),
        ..Settings::for_tasking(&tasking)
    });
    let mut flown = simulate(&plan, &settings, 7).unwrap().fixes;
    fixes(&mut flown);
    let track = support::track(flown);
    let mut result = debrief(&track, Path::new("simulated.gpx"), &tasking, &plan).unwrap();
    // Two flights of a test have different logs.
    for input in &mut result.inputs {
        input.sha256 = format!("{text}{settings:?}");
    }
    result
}

/// Takes debriefs together, each sortie under a name of its own.
fn together(debriefs: &[&Debrief], wants: &Wants) -> Search {
    let sorties = debriefs.iter().enumerate().map(|(i, debrief)| {
        let mut sortie = Sortie::of(debrief).unwrap();
        sortie.name = format!("Sortie {i}");
        sortie
    });
    search(sorties.collect(), wants).unwrap()
}

fn strip<'s>(search: &'s Search, leg: &str) -> &'s SearchStrip {
    search.strips.iter().find(|s| s.strip.leg == leg).unwrap()
}

/// Calls `f` with every fix on a stretch of a leg, and how far along it is; returns how many there are.
fn on_leg(
    fixes: &mut [Fix],
    text: &str,
    leg: usize,
    from_nm: f64,
    to_nm: f64,
    f: impl Fn(&mut Fix, f64),
) -> usize {
    let (_, plan) = support::tasking(text);
    let frame = plan.search_legs().nth(leg - 1).unwrap().1.frame();
    let mut count = 0;
    for fix in fixes {
        let at = frame.locate(fix.position);
        if (from_nm..to_nm).contains(&(at.along_m / 1852.0)) && at.cross_m.abs() < 300.0 {
            f(fix, at.along_m);
            count += 1;
        }
    }
    count
}

/// Seconds not counted for a reason; nothing if it is not among them.
fn not_counted_s(debrief: &Debrief, reason: &str) -> f64 {
    let all = debrief.coverage.not_counted.iter();
    all.filter(|not| not.reason == reason)
        .map(|not| not.duration_s)
        .sum()
}

/// Outside the height band: so many seconds are not counted, for that reason; those stretches are holes of the
/// debrief and of the search, and the re-fly goes over them.
#[test]
fn flight_outside_the_height_band_is_not_looking() {
    let text = tasked("lowest = \"2800 ft\"\nhighest = \"3200 ft\"");
    let count = std::cell::Cell::new((0, 0));
    let changed = |fixes: &mut Vec<Fix>| {
        // Climb and descent of 0.8 ft a metre, 2,200 ft/min at 90 kt.
        let by = |ft: f64, from_nm: f64, to_nm: f64| {
            move |fix: &mut Fix, along_m: f64| {
                let inside_m = (along_m - 1852.0 * from_nm).min(1852.0 * to_nm - along_m);
                let change_ft = ft.signum() * (0.8 * inside_m).min(ft.abs());
                fix.height = fix
                    .height
                    .get()
                    .map(|h| Length::from_ft(h.ft() + change_ft))
                    .into();
            }
        };
        on_leg(fixes, &text, 4, 2.0, 5.0, by(-500.0, 2.0, 5.0));
        on_leg(fixes, &text, 7, 1.0, 3.0, by(500.0, 1.0, 3.0));
        let mut outside = |leg, from_nm, to_nm| {
            let count = std::cell::Cell::new(0);
            on_leg(fixes, &text, leg, from_nm, to_nm, |fix, _| {
                let is_outside = fix
                    .height
                    .get()
                    .is_some_and(|h| !(2_800.0..=3_200.0).contains(&h.ft()));
                count.set(count.get() + usize::from(is_outside));
            });
            count.get()
        };
        let (low, high) = (outside(4, 2.0, 5.0), outside(7, 1.0, 3.0));
        count.set((low, high));
    };
    let flown = fly(&text, |s| s, changed);
    let (low, high) = count.get();
    // Two miles at 90 kt are 80 s, three are 120 s, less 5 s at each end until the band is left.
    assert!(
        (103..=115).contains(&low) && (63..=75).contains(&high),
        "{low} {high}"
    );
    for (reason, fixes) in [
        ("below the height band (2800 ft)", low),
        ("above the height band (3200 ft)", high),
    ] {
        let seconds = not_counted_s(&flown, reason);
        assert!(
            (seconds - fixes as f64).abs() <= 1.5,
            "{reason}: {seconds} s for {fixes}"
        );
    }
    let result = together(&[&flown], &Wants::default());
    for (leg, from, to) in [("4", 2.0, 5.0), ("7", 1.0, 3.0)] {
        let own = flown.strips.iter().find(|s| s.leg == leg).unwrap();
        for holes in [&own.holes, &strip(&result, leg).strip.holes] {
            assert_eq!(holes.len(), 1, "{leg}");
            assert_eq!(holes[0].cause, HoleCause::Missed);
            let span = (holes[0].span.from.nm(), holes[0].span.to.nm());
            assert!(
                (span.0 - from).abs() < 0.2 && (span.1 - to).abs() < 0.2,
                "{leg}: {span:?}"
            );
        }
        assert!(
            result
                .refly
                .legs
                .iter()
                .any(|r| r.mends.iter().any(|m| m == leg)),
            "{leg}"
        );
    }
    assert_eq!(result.strips_to_refly(), 2);
    assert!(result.refly.goal_met && result.refly.outcome.strips_left == 0);
    // The same flight without a band looked all the way.
    let plain = fly(&tasked(""), |s| s, changed);
    assert_eq!(plain.strips_to_refly(), 0);
    assert!(
        plain
            .coverage
            .not_counted
            .iter()
            .all(|not| !not.reason.contains("height band"))
    );
    let (some, all) = (
        result.pod.pod,
        together(&[&plain], &Wants::default()).pod.pod,
    );
    assert!(some < all - 0.02, "{some} {all}");
    // A second sortie that looked all the way closes the holes of the first.
    let both = together(&[&flown, &plain], &Wants::default());
    assert_eq!(both.strips_to_refly(), 0);
    assert!(both.pod.pod > all);
}

/// Into the wind the aircraft is slower over the ground than was asked for, down the wind faster: what is not
/// counted is every second leg.
#[test]
fn flight_outside_the_speed_band_is_not_looking() {
    let (_, plan) = support::tasking(TASKING);
    let into_wind = plan.search_legs().next().unwrap().1.course;
    let wind = |settings| Settings {
        wind: Wind {
            from: into_wind,
            speed: Speed::from_kt(20.0),
        },
        ..settings
    };
    // 70 kt on the odd legs, 110 kt on the even ones: 7 NM take 360 s and 229 s.
    for (limit, reason, odd, leg_s) in [
        ("slowest = \"80 kt\"", "slower than 80 kt", true, 360.0),
        ("fastest = \"100 kt\"", "faster than 100 kt", false, 229.0),
    ] {
        let flown = fly(&tasked(limit), wind, |_| ());
        let seconds = not_counted_s(&flown, reason);
        assert!(
            (seconds / (5.0 * leg_s) - 1.0).abs() < 0.03,
            "{reason}: {seconds} s"
        );
        let result = together(&[&flown], &Wants::default());
        for (i, own) in flown.strips.iter().enumerate() {
            if (i % 2 == 0) != odd {
                continue;
            }
            for holes in [&own.holes, &strip(&result, &own.leg).strip.holes] {
                assert_eq!(holes.len(), 1, "{reason}, leg {}", own.leg);
                let length = holes[0].span.length().nm();
                assert!(length > 6.7, "{reason}, leg {}: {length} NM", own.leg);
            }
        }
        // Half of the lines are left, and the search has no others than the debrief.
        let factor = flown.coverage.flown_coverage_factor;
        assert!((factor - 0.5).abs() < 0.05, "{factor}");
        let (alone, search) = (flown.coverage.pod_band.pod, result.pod.pod);
        assert!((alone - search).abs() < 0.005, "{alone} {search}");
    }
}

/// Weaving with up to 24° of bank: as long as it is more than 15°, nobody looks. Its courses stay within 10° of the
/// leg, so that it is flown along it.
#[test]
fn banked_flight_is_not_looking() {
    const SWING_M: f64 = 16.0;
    const PERIOD_S: f64 = 12.0;
    let weave = |fixes: &mut Vec<Fix>| {
        let (_, plan) = support::tasking(TASKING);
        let course = plan.search_legs().nth(4).unwrap().1.course;
        let first = fixes[0].time;
        on_leg(fixes, TASKING, 5, 1.0, 6.0, |fix, _| {
            let at_s = overflown::track::seconds_between(first, fix.time);
            let off_m = SWING_M * (std::f64::consts::TAU * at_s / PERIOD_S).sin();
            let aside = course.turned(90.0_f64.copysign(off_m));
            fix.position = geodesic::destination(fix.position, aside, Length::from_m(off_m.abs()));
        });
    };
    let flown = fly(TASKING, |s| s, weave);
    let reason = "banked more than 15° on a leg";
    let seconds = not_counted_s(&flown, reason);
    // a = A ω² after the two differences over ±2 s by which velocity and rate of turn are found, each of which
    // leaves sin(2ω)/(2ω): tan⁻¹(a/g) is beyond 15° for 32 % of 200 s. The weave begins and ends with a kink.
    let omega = std::f64::consts::TAU / PERIOD_S;
    let seen = (2.0 * omega).sin() / (2.0 * omega);
    let acceleration = SWING_M * omega * omega * seen * seen;
    let level = 9.806_65 * 15.0_f64.to_radians().tan() / acceleration;
    let share = 1.0 - 2.0 / std::f64::consts::PI * level.asin();
    assert!((0.31..0.33).contains(&share), "{share}");
    assert!(
        (seconds - 200.0 * share).abs() < 20.0,
        "{:?}",
        flown.coverage.not_counted
    );
    let without = fly(TASKING, |s| s, |_| ());
    assert!(not_counted_s(&without, reason) < 5.0);
    // The lines that the search adds are those of the debrief.
    let m = |debrief: &Debrief| debrief.coverage.searching_track.m();
    let lost_m = m(&without) - m(&flown);
    // 46 m/s; where looking breaks off, the way from the last fix that counts to the first that does not is lost as
    // well, at every second or third fix here.
    assert!(
        (0.9..1.6).contains(&(lost_m / (46.3 * seconds))),
        "{lost_m} m in {seconds} s"
    );
    let [some, all] = [&flown, &without].map(|d| together(&[d], &Wants::default()).pod.pod);
    assert!(some < all, "{some} {all}");
}

/// Looking to the right only, to and fro, leaves every second strip between the legs unseen; flown the other way
/// round on a second sortie the two are one sweep looked from both sides.
#[test]
fn one_side_and_the_other_make_a_whole_sweep() {
    let calm = |settings: Settings| Settings {
        wander: nm(0.0),
        ..settings
    };
    let reversed = |settings: Settings| Settings {
        faults: vec![Fault::Order(
            (1..=10)
                .map(|leg| LegRun {
                    leg,
                    reversed: true,
                })
                .collect(),
        )],
        ..calm(settings)
    };
    for law in ["inverse cube", "definite range"] {
        let right = tasked(&format!("law = \"{law}\"\nscanners = \"right\""));
        let [there, back] = [fly(&right, calm, |_| ()), fly(&right, reversed, |_| ())];
        let both = fly(&tasked(&format!("law = \"{law}\"")), calm, |_| ());
        let pod = |debriefs: &[&Debrief]| together(debriefs, &Wants::default()).pod.pod;
        let whole = pod(&[&both]);
        for one in [&there, &back] {
            assert!(
                pod(&[one]) < 0.75 * whole,
                "{law}: {} of {whole}",
                pod(&[one])
            );
        }
        let two = pod(&[&there, &back]);
        assert!((two - whole).abs() < 0.01, "{law}: {two} for {whole}");
        // The same way round twice does not.
        let again = fly(
            &right,
            |s| Settings {
                wander: nm(0.001),
                ..s
            },
            |_| (),
        );
        assert!(pod(&[&there, &again]) < 0.85 * whole, "{law}");
    }
}

/// A leg left out with a blind strip of 200 m: the pass that mends it sees nothing of the 200 m under it.
#[test]
fn the_refly_has_the_blind_strip_too() {
    let text = tasked("blind_strip = \"200 m\"");
    let skipped = |settings| Settings {
        faults: vec![Fault::SkipLeg(5)],
        ..settings
    };
    let flown = fly(&text, skipped, |_| ());
    let result = together(&[&flown], &Wants::default());
    assert_eq!(result.refly.legs.len(), 1, "{:?}", result.refly.legs);
    assert_eq!(result.refly.legs[0].mends, ["5"]);
    assert!(result.refly.goal_met);
    let raster = &result.raster;
    let place = |at| raster.frame.forward(at);
    let leg = &result.refly.legs[0];
    let (a, b) = (place(leg.start), place(leg.end));
    let length = (b.x - a.x).hypot(b.y - a.y);
    let (mut blind, mut beside) = (0, 0);
    for row in 0..raster.grid.rows {
        for column in 0..raster.grid.columns {
            let p = raster.grid.centre(column, row);
            let along = ((p.x - a.x) * (b.x - a.x) + (p.y - a.y) * (b.y - a.y)) / length;
            let cross = ((p.x - a.x) * (b.y - a.y) - (p.y - a.y) * (b.x - a.x)) / length;
            let before = raster.value(column, row);
            if before.is_nan() || !(0.0..length).contains(&along) {
                continue;
            }
            let gained = result.raster_after.value(column, row) - before;
            if cross.abs() < 99.0 {
                blind += 1;
                assert!(gained.abs() < 1e-6, "{gained} at {cross} m");
            } else if (101.0..400.0).contains(&cross.abs()) {
                beside += 1;
                assert!(gained > 0.1, "{gained} at {cross} m");
            }
        }
    }
    assert!(blind > 500 && beside > 1500, "{blind} {beside}");
}

/// The error of position is within the band of a search as it is within that of a debrief; what is carried is said,
/// and so is what is not known.
#[test]
fn the_band_of_a_search_carries_the_error_of_position() {
    let remark = |search: &Search| {
        let of_band = |remark: &&String| remark.starts_with("The band of the POD");
        search.remarks.iter().find(of_band).cloned()
    };
    let flown = fly(&tasked("position_error = \"200 m\""), |s| s, |_| ());
    let result = together(&[&flown], &Wants::default());
    let (own, band) = (flown.coverage.pod_band, result.pod);
    assert!(own.low < own.pod - 0.002 && own.high == own.pod, "{own:?}");
    for (a, b) in [
        (own.low, band.low),
        (own.pod, band.pod),
        (own.high, band.high),
    ] {
        assert!((a - b).abs() < 0.002, "{own:?} {band:?}");
    }
    assert_eq!(
        remark(&result).unwrap(),
        "The band of the POD carries the error of position (GPS); other doubts are not in it. No spread of the \
         sweep width is known for Sortie 0: the band is too narrow."
    );
    // A better receiver: a narrower band, and none where nothing is in doubt.
    let good = fly(&tasked("position_error = \"8 m\""), |s| s, |_| ());
    let good = together(&[&good], &Wants::default());
    assert!(good.pod.low > band.low && good.pod.low < good.pod.pod);
    let sure = fly(&tasked("position_error = \"0 m\""), |s| s, |_| ());
    let sure = together(&[&sure], &Wants::default());
    assert!(
        sure.pod.low == sure.pod.pod && remark(&sure).is_none(),
        "{:?}",
        sure.pod
    );
    // With a spread of W and a hole in the log all three are named.
    let dropout = |settings| Settings {
        faults: vec![Fault::Dropout {
            leg: 4,
            along: nm(2.0),
            duration_s: 40.0,
        }],
        ..settings
    };
    let all = fly(&tasked("sweep_width_spread = \"20 %\""), dropout, |_| ());
    let all = together(&[&all], &Wants::default());
    assert_eq!(
        remark(&all).unwrap(),
        "The band of the POD carries the spread of the sweep widths, the error of position (GPS), the stretches \
         not recorded; other doubts are not in it."
    );
    assert!(all.pod.low < all.pod.pod && all.pod.pod < all.pod.high);
    // Random search knows no place.
    let random = tasked("law = \"exponential\"\nposition_error = \"200 m\"");
    let random = together(&[&fly(&random, |s| s, |_| ())], &Wants::default());
    assert!(random.pod.low == random.pod.pod && remark(&random).is_none());
    // Of two sorties each has its own error: the better the second, the less is in doubt.
    let second = |error: &str| {
        let other = |s| Settings {
            wander: nm(0.001),
            ..s
        };
        let text = tasked(&format!("position_error = \"{error}\""));
        let two = together(&[&flown, &fly(&text, other, |_| ())], &Wants::default());
        two.pod.pod - two.pod.low
    };
    let (poor, better, sure) = (second("200 m"), second("8 m"), second("0 m"));
    assert!(
        poor > better && better > sure && sure > 0.0,
        "{poor} {better} {sure}"
    );
}
