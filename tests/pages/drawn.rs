//! The fixes that suffice for drawing, against all of them.

use crate::samples::{folder, names, sample};
use overflown::debrief::{Debrief, debrief_keeping};
use overflown::geodesy::geodesic;
use overflown::input::InputFile;
use overflown::measure::Kept;
use overflown::report::ReportError;
use overflown::report::also::{self, Also};
use overflown::report::drawing::Paper;
use overflown::simulate::{Settings, simulate};
use overflown::track::clean::{CleanSettings, clean};
use overflown::track::read::ROLE;
use overflown::track::{HeightKind, Ledger, Reading};
use overflown::{plan, tasking};
use std::collections::BTreeMap;

/// At the time of every fix left out, the straight line between its neighbours drawn is no farther than stated.
#[test]
fn what_is_drawn_keeps_its_bounds() {
    for name in names() {
        let flown = sample(&name).flown;
        let (fixes, drawn) = (&flown.fixes, &flown.drawn);
        assert_eq!((drawn[0], drawn[drawn.len() - 1]), (0, fixes.len() - 1));
        assert!(
            drawn.len() < fixes.len() / 2,
            "{name}: {} of {}",
            drawn.len(),
            fixes.len()
        );
        for pair in drawn.windows(2) {
            let (a, b) = (&fixes[pair[0]], &fixes[pair[1]]);
            if b.after_hole {
                assert_eq!(pair[0] + 1, pair[1]);
                continue;
            }
            let way = geodesic::between(a.position, b.position);
            for fix in &fixes[pair[0] + 1..pair[1]] {
                assert_eq!(fix.phase, a.phase);
                let share =
                    (fix.time - a.time).as_seconds_f64() / (b.time - a.time).as_seconds_f64();
                let along = overflown::units::Length::from_m(way.distance.m() * share);
                let line = geodesic::destination(a.position, way.course_at_start, along);
                let off = geodesic::between(line, fix.position).distance;
                // The plane in which it is thinned stretches far from its middle.
                assert!(off.m() <= 1.02 * flown.bounds.place.m(), "{name}: {off:?}");
                if let (Some(h), Some(ha), Some(hb)) = (fix.height(), a.height(), b.height()) {
                    let line = ha.m() + (hb.m() - ha.m()) * share;
                    assert!(
                        (h.m() - line).abs() <= 1.001 * flown.bounds.height.m(),
                        "{name}"
                    );
                }
            }
        }
    }
}

/// Of every pass the fixes carry the cross-track error that its figures were made from.
#[test]
fn fixes_carry_what_the_legs_report() {
    for name in names() {
        let debrief = sample(&name);
        for pass in &debrief.passes {
            let fixes = debrief.flown.fixes.iter().filter(|fix| {
                (pass.entered..=pass.left).contains(&fix.time)
                    && debrief.flown.leg(fix) == Some(&pass.leg)
            });
            let largest = fixes
                .filter_map(|fix| Some((fix.time, fix.xte()?)))
                .find(|(time, _)| *time == pass.tracking.max_time);
            let (_, xte) = largest.unwrap_or_else(|| panic!("{name}: leg {}", pass.leg));
            assert!(
                (xte.m() - pass.tracking.max.m()).abs() < 0.01,
                "{name}: leg {}",
                pass.leg
            );
        }
    }
}

/// Lowest and highest height and speed over each of 256 parts of the log.
fn extremes(debrief: &Debrief) -> BTreeMap<usize, [f64; 4]> {
    let lasts_s = (debrief.log.last - debrief.log.first).as_seconds_f64();
    let mut parts = BTreeMap::new();
    for fix in &debrief.flown.fixes {
        let after_s = (fix.time - debrief.log.first).as_seconds_f64();
        let part = (256.0 * after_s / lasts_s) as usize;
        let [low, high, slow, fast] = parts.entry(part).or_insert([f64::NAN; 4]);
        let height = fix.height().map_or(f64::NAN, |height| height.m());
        let speed = fix.ground_speed().mps();
        // Of a number and none the number is taken.
        (*low, *high) = (low.min(height), high.max(height));
        (*slow, *fast) = (slow.min(speed), fast.max(speed));
    }
    parts
}

/// With only those fixes kept that are drawn, the same are drawn, none higher, lower, faster or slower is missing, and there is no
/// table that would pass for one of all fixes. Flown as tasked, at ten fixes a second.
#[test]
fn the_fixes_that_are_kept_suffice() {
    let file = folder().join("clean/tasking.toml");
    let tasking = tasking::read(&file).unwrap();
    let plan = plan::lay_out(&tasking, &file).unwrap();
    let settings = Settings {
        rate_hz: 10.0,
        ..Settings::for_tasking(&tasking)
    };
    let fixes = simulate(&plan, &settings, 1).unwrap().fixes;
    let reading = Reading::of(
        InputFile::of(ROLE, &file, b""),
        None,
        vec![fixes],
        HeightKind::MeanSeaLevel,
        Ledger::default(),
    );
    let track = clean(reading, &CleanSettings::default()).unwrap();
    let [every, few] = [Kept::Every, Kept::Drawn]
        .map(|kept| debrief_keeping(kept, &track, &file, &tasking, &plan).unwrap());
    assert!(every.flown.is_whole());
    let (few_kept, all) = (few.flown.fixes.len(), every.flown.fixes.len());
    assert!(4 * few_kept < 3 * all, "{few_kept} of {all}");
    let drawn = |debrief: &Debrief| {
        let flown = &debrief.flown;
        let fixes = flown.drawn.iter().map(|index| &flown.fixes[*index]);
        let told = fixes.map(|fix| format!("{fix:?} {:?}", flown.leg(fix)));
        told.collect::<Vec<_>>()
    };
    assert_eq!(drawn(&every), drawn(&few));
    assert_eq!(extremes(&every), extremes(&few));
    let table = |debrief| also::files(debrief, &[Also::Fixes], Paper::default());
    assert!(table(&every).is_ok());
    assert!(matches!(table(&few), Err(ReportError::NotEvery)));
}
