//! The same flight comes out the same wherever it is flown: across the antimeridian, at high
//! latitude, on the equator, in the south.
#![allow(clippy::unwrap_used, reason = "a test fails by panicking")]

mod support;

use overflown::coverage::HoleCause;
use overflown::measure::LegState;
use overflown::report;
use overflown::simulate::Fault;
use support::{Flown, TASKING, fly, nm};

const PLACES: [(f64, f64); 5] = [
    (-16.9, 179.93),
    (51.8, -179.99),
    (78.0, 15.0),
    (-0.03, 30.0),
    (-54.0, -70.0),
];

fn flown_at(lat: f64, lon: f64, seed: u64) -> Flown {
    let text = TASKING
        .replace(
            "start = [46.4000, 11.2000]",
            &format!("start = [{lat}, {lon}]"),
        )
        .replace("base = [46.4600, 10.9800]\n", "")
        .replace("015 M", "015 T");
    assert!(!text.contains("46.4"), "the place has not been replaced");
    fly(
        &text,
        vec![
            Fault::SkipLeg(5),
            Fault::CutShort {
                leg: 8,
                by: nm(2.0),
            },
        ],
        seed,
    )
}

#[test]
fn the_same_holes_everywhere() {
    for (place, (lat, lon)) in PLACES.into_iter().enumerate() {
        let flown = flown_at(lat, lon, place as u64 + 1);
        let holes: Vec<_> = flown
            .debrief
            .strips
            .iter()
            .flat_map(|s| &s.holes)
            .map(|h| (h.leg.as_str(), h.cause))
            .collect();
        // After leg 5 is left out the legs are flown the other way, so that leg 8 lacks its first
        // two miles; leg 9 is joined from where leg 8 was left and lacks its last.
        let missed = HoleCause::Missed;
        assert_eq!(
            holes,
            [("5", missed), ("8", missed), ("9", missed)],
            "at {lat}, {lon}"
        );
        assert_eq!(flown.debrief.legs[4].state, LegState::NotFlown);
        let cut = &flown.debrief.strips[7].holes[0].span;
        assert!(
            (cut.length().nm() - 2.0).abs() < 0.2,
            "at {lat}, {lon}: {cut:?}"
        );
        let area_nm2 = flown.debrief.coverage.area_m2 / 1852.0f64.powi(2);
        // Ten strips of half a mile, seven miles and half a spacing at each end: 5 x 7.5 NM.
        assert!(
            (area_nm2 - 37.5).abs() < 0.05,
            "at {lat}, {lon}: {area_nm2} NM²"
        );
        for file in
            report::files(&flown.debrief, overflown::report::drawing::Paper::default()).unwrap()
        {
            assert!(!file.bytes.is_empty(), "{}", file.name);
        }
    }
}

/// Figures that have nothing to do with the place agree between places, for the same seed.
#[test]
fn crossing_the_antimeridian_changes_nothing() {
    let here = flown_at(-16.9, 120.0, 3);
    let there = flown_at(-16.9, 179.93, 3);
    assert_eq!(here.debrief.passes.len(), there.debrief.passes.len());
    for (a, b) in here.debrief.passes.iter().zip(&there.debrief.passes) {
        assert!(
            (a.tracking.mean.m() - b.tracking.mean.m()).abs() < 0.1,
            "leg {}",
            a.leg
        );
        assert!(
            (a.tracking.max.m() - b.tracking.max.m()).abs() < 0.2,
            "leg {}",
            a.leg
        );
    }
    let (a, b) = (&here.debrief.coverage, &there.debrief.coverage);
    assert!((a.pod.inverse_cube - b.pod.inverse_cube).abs() < 0.002);
    assert!((a.share_at_target - b.share_at_target).abs() < 0.01);
}
