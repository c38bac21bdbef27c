//! The sample sorties, and flights where maps are difficult.

use crate::support::{self, TASKING};
use overflown::debrief::{Debrief, debrief};
use overflown::simulate::Fault;
use overflown::track::clean::{CleanSettings, clean};
use overflown::track::read::{ReadSettings, read};
use overflown::{plan, tasking};
use std::path::Path;

/// Names of all samples.
pub fn samples() -> Vec<String> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("sample-logs");
    let mut names: Vec<String> = std::fs::read_dir(folder)
        .unwrap()
        .map(Result::unwrap)
        .filter(|entry| entry.path().join("track.gpx").exists())
        .map(|entry| entry.file_name().into_string().unwrap())
        .collect();
    names.sort();
    assert!(names.len() >= 10, "{names:?}");
    names
}

/// One of them, debriefed.
pub fn sample(name: &str) -> Debrief {
    let at = Path::new(env!("CARGO_MANIFEST_DIR"))
        .join("sample-logs")
        .join(name);
    let (log, tasking_file) = (at.join("track.gpx"), at.join("tasking.toml"));
    let tasking = tasking::read(&tasking_file).unwrap();
    let plan = plan::lay_out(&tasking, &tasking_file).unwrap();
    let reading = read(&log, ReadSettings::default()).unwrap();
    let track = clean(reading, &CleanSettings::default()).unwrap();
    debrief(&track, &log, &tasking, &plan).unwrap()
}

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
