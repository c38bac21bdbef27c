//! The sample sorties, debriefed once.

use overflown::debrief::{Debrief, debrief};
use overflown::track::clean::{CleanSettings, clean};
use overflown::track::read::{ReadSettings, read};
use overflown::{plan, tasking};
use std::path::{Path, PathBuf};

/// Folder of the samples.
pub fn folder() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("sample-logs")
}

/// Names of all samples that hold a flight, in order.
pub fn names() -> Vec<String> {
    let mut names: Vec<String> = std::fs::read_dir(folder())
        .unwrap()
        .map(Result::unwrap)
        .filter(|entry| entry.path().join("track.gpx").exists())
        .map(|entry| entry.file_name().into_string().unwrap())
        .collect();
    names.sort();
    assert!(names.len() >= 10, "{names:?}");
    names
}

/// One sample, debriefed.
pub fn sample(name: &str) -> Debrief {
    let at = folder().join(name);
    let (log, tasking_file) = (at.join("track.gpx"), at.join("tasking.toml"));
    let tasking = tasking::read(&tasking_file).unwrap();
    let plan = plan::lay_out(&tasking, &tasking_file).unwrap();
    let reading = read(&log, ReadSettings::default()).unwrap();
    let settings = CleanSettings {
        gap_limit_s: tasking.tolerances.recording_gap_s,
        ..CleanSettings::default()
    };
    let track = clean(reading, &settings).unwrap();
    debrief(&track, &log, &tasking, &plan).unwrap()
}
