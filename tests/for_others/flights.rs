//! Flights where maps are difficult, and those that other programs have read.

use crate::samples::sample;
use crate::support::{self, TASKING};
use overflown::debrief::Debrief;
use overflown::simulate::Fault;

/// A flight begun at this place, with a leg missing and a leg cut short.
pub fn at(lat: f64, lon: f64) -> Debrief {
    let text = TASKING
        .replace(
            "start = [46.4000, 11.2000]",
            &format!("start = [{lat}, {lon}]"),
        )
        .replace("base = [46.4600, 10.9800]\n", "")
        .replace("015 M", "015 T");
    assert!(!text.contains("46.4"), "the place has not been replaced");
    let faults = vec![
        Fault::SkipLeg(5),
        Fault::CutShort {
            leg: 8,
            by: support::nm(2.0),
        },
    ];
    support::fly(&text, faults, 1).debrief
}

/// Flights that other programs have read, by the names of their folders.
pub fn read_by_others() -> Vec<(&'static str, Debrief)> {
    vec![
        ("antimeridian", at(-16.9, 179.93)),
        ("expanding-square", sample("expanding-square")),
        ("faults", sample("faults")),
        ("north-of-utm", at(84.5, 20.0)),
        ("sector", sample("sector")),
    ]
}
