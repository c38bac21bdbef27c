//! What every report says about where a log comes from: its files, and what was done with its times.

use super::format::{count, counted};
use crate::input::InputFile;
use crate::track::{LocalTime, Taken};

/// `12`; with several files, `12 of second.gpx`.
pub(crate) fn file_and_line(files: &[InputFile], file: u16, line: u32) -> String {
    match files.get(usize::from(file)) {
        Some(source) if files.len() > 1 => format!("{line} of {}", source.name),
        _ => line.to_string(),
    }
}

/// The files of the log among all files that a debrief rests on.
pub(crate) fn logs(inputs: &[InputFile]) -> Vec<InputFile> {
    let logs = inputs.iter().filter(|input| input.role == "track");
    logs.cloned().collect()
}

/// `, 120 left out as asked`, or nothing.
pub(crate) fn left_out(points: usize) -> String {
    match points {
        0 => String::new(),
        points => format!(", {} left out as asked", count(points)),
    }
}

/// What was done with the times of a log, a sentence each; nothing if nothing was.
pub(crate) fn taken(taken: &Taken) -> Vec<String> {
    let mut said = Vec::new();
    if let Some(LocalTime {
        offset_s,
        despite_utc,
    }) = taken.local_time
    {
        let minutes = offset_s.abs() / 60;
        let sign = if offset_s < 0 { '-' } else { '+' };
        let which = if despite_utc {
            "times without a zone, and those that say they are UTC,"
        } else {
            "times without a zone"
        };
        said.push(format!(
            "{which} taken as local, UTC{sign}{:02}:{:02}",
            minutes / 60,
            minutes % 60
        ));
    }
    if taken.clock_correction_s != 0.0 {
        said.push(format!(
            "{:+} s added to every recorded time",
            taken.clock_correction_s
        ));
    }
    if taken.spread_times {
        said.push(
            "made up, not recorded: the span of time of a drawn line spread along it by distance, as if flown at \
             one ground speed"
                .to_owned(),
        );
    }
    if let Some(window) = taken.window {
        let time = |time: chrono::DateTime<chrono::Utc>| {
            time.to_rfc3339_opts(chrono::SecondsFormat::AutoSi, true)
        };
        let from = window.from.map(|from| format!(" from {}", time(from)));
        let to = window.to.map(|to| format!(" to {}", time(to)));
        said.push(format!(
            "only points{}{} taken: {} before and {} after left out",
            from.unwrap_or_default(),
            to.unwrap_or_default(),
            counted(taken.points_before, "point"),
            count(taken.points_after)
        ));
    }
    said
}
