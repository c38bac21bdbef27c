//! What is in a log, as text for a terminal: one row a figure, then the gaps and the ledger as tables.

use super::format::{
    bytes, count, counted, duration, figure, flown, ft, ground_references, kt, nm, or_none,
};
use super::log_words::{file_and_line, left_out, taken};
use super::table::{Align, table};
use super::wrap::{WIDTH, wrap};
use crate::cautions;
use crate::characters::visible;
use crate::track::Gap;
use crate::track::summary::{LogStatistics, Spread};
use chrono::{DateTime, Utc};

/// Width of the column of names.
const NAME_WIDTH: usize = 14;

/// The statistics as text. Of each finding the ledger prints at most `entries_each` entries, or all.
#[must_use]
pub fn render(log: &LogStatistics, entries_each: Option<usize>) -> String {
    let rows: Vec<String> = rows(log)
        .into_iter()
        .map(|(name, value)| format!("{name:NAME_WIDTH$}{}\n", visible(&value)))
        .collect();
    let mut text = format!(
        "{}{}\n{}\n{}",
        rows.concat(),
        tracks(log),
        gaps(&log.gaps),
        ledger(log, entries_each)
    );
    if log.above_ground.is_some() {
        let cautions = [log.height_kind.above_ground(), cautions::TERRAIN];
        for line in cautions.iter().flat_map(|words| wrap(words, WIDTH)) {
            text.push('\n');
            text.push_str(&line);
        }
        text.push('\n');
    }
    text
}

fn rows(log: &LogStatistics) -> Vec<(&'static str, String)> {
    let recorded = duration(log.recorded_s);
    let in_stretches = match log.stretches {
        1 => "in 1 stretch".to_owned(),
        stretches => format!("in {} stretches", count(stretches)),
    };
    let mut rows = Vec::new();
    for file in &log.files {
        rows.push(("Log", format!("{}, {}", file.name, bytes(file.bytes))));
        rows.push(("SHA-256", file.sha256.clone()));
    }
    rows.extend([
        ("Track name", or_none(log.track_name.clone(), |name| name)),
        ("First fix", date_and_time(log.first)),
        ("Last fix", date_and_time(log.last)),
        ("Duration", duration(log.duration_s)),
        ("Recorded", format!("{recorded} {in_stretches}")),
        (
            "Points",
            format!(
                "{} in {}, {} kept, {} dropped{}",
                count(log.points_read),
                if log.files.len() == 1 {
                    "the file"
                } else {
                    "the files"
                },
                count(log.fixes_kept),
                count(log.points_dropped),
                left_out(log.points_left_out)
            ),
        ),
        (
            "Interval",
            or_none(log.interval_s, |s| spread(s, |s| seconds(s, 2))),
        ),
        ("Gap limit", seconds(log.gap_limit_s, 1)),
        (
            "In flight",
            format!(
                "{}; {} on the ground before and after",
                flown(log.flying_from, log.flying_to),
                duration(log.ground_s)
            ),
        ),
        ("Distance", format!("{} flown", nm(log.distance, 2))),
        (
            "Ground speed",
            or_none(log.ground_speed, |s| spread(s, |speed| kt(speed, 1))),
        ),
        ("Height", height(log)),
        (
            "Heights are",
            or_none(log.height.map(|_| log.height_kind), |kind| {
                kind.describe().to_owned()
            }),
        ),
        ("Above ground", above_ground(log)),
        ("South-west", log.bounds.south_west.to_string()),
        ("North-east", log.bounds.north_east.to_string()),
    ]);
    rows.extend(taken(&log.taken).into_iter().map(|text| ("Times", text)));
    rows
}

fn height(log: &LogStatistics) -> String {
    let Some(heights) = log.height else {
        return "no heights recorded".to_owned();
    };
    let missing = match log.fixes_without_height {
        0 => String::new(),
        1 => "; 1 fix without".to_owned(),
        fixes => format!("; {} fixes without", count(fixes)),
    };
    format!("{}, as recorded{missing}", spread(heights, ft))
}

fn above_ground(log: &LogStatistics) -> String {
    let Some(above) = &log.above_ground else {
        return "not known; --terrain gives the ground".to_owned();
    };
    let counts = [
        (above.fixes_without, "in flight without it"),
        (above.fixes_without_tile, "without a tile below"),
        (above.fixes_in_void, "above a void of a tile"),
    ];
    let counts: String = counts
        .into_iter()
        .filter(|(fixes, _)| *fixes > 0)
        .map(|(fixes, what)| {
            let noun = if fixes == 1 { "fix" } else { "fixes" };
            format!("; {} {noun} {what}", count(fixes))
        })
        .collect();
    let figures = above.height.map_or_else(
        || "known at no fix".to_owned(),
        |heights| spread(heights, ft),
    );
    let ground = ground_references(&above.ground_references);
    format!("{figures}, in flight{counts}; ground heights are {ground}")
}

fn spread<T: Copy>(values: Spread<T>, write: impl Fn(T) -> String) -> String {
    let (median, min, max) = (write(values.median), write(values.min), write(values.max));
    format!("median {median}, from {min} to {max}")
}

/// The tracks that the files hold, where there is anything to choose or to join.
fn tracks(log: &LogStatistics) -> String {
    if log.tracks.len() < 2 {
        return "\n".to_owned();
    }
    let columns = [
        ("track", Align::Right),
        ("name", Align::Left),
        ("from", Align::Left),
        ("to", Align::Left),
        ("points", Align::Right),
        ("", Align::Left),
        ("begins on", Align::Left),
    ];
    let rows: Vec<_> = log
        .tracks
        .iter()
        .map(|track| {
            vec![
                track.number.to_string(),
                or_none(track.name.clone(), |name| name),
                or_none(track.first, date_and_time),
                or_none(track.last, date_and_time),
                count(track.points()),
                if track.taken { "taken" } else { "left out" }.to_owned(),
                file_and_line(&log.files, track.file, track.line),
            ]
        })
        .collect();
    format!(
        "\n{}:\n{}\n",
        counted(log.tracks.len(), "track"),
        table(&columns, &rows)
    )
}

fn gaps(gaps: &[Gap]) -> String {
    if gaps.is_empty() {
        return "No gaps.\n".to_owned();
    }
    let columns = [
        ("from", Align::Left),
        ("for", Align::Right),
        ("between", Align::Left),
        ("and", Align::Left),
    ];
    let row = |gap: &Gap| {
        vec![
            date_and_time(gap.from),
            duration(gap.duration_s),
            gap.from_position.to_string(),
            gap.to_position.to_string(),
        ]
    };
    let rows: Vec<_> = gaps.iter().map(row).collect();
    format!(
        "Not recorded ({}):\n{}",
        counted(gaps.len(), "gap"),
        table(&columns, &rows)
    )
}

fn ledger(log: &LogStatistics, entries_each: Option<usize>) -> String {
    if log.ledger.entries.is_empty() {
        return "Nothing had to be dropped or repaired.\n".to_owned();
    }
    let found: Vec<_> = log
        .findings
        .iter()
        .map(|found| vec![count(found.count), found.description.to_owned()])
        .collect();
    let (entries, left_out) = log.ledger.first_of_each(entries_each);
    let lines: Vec<_> = entries
        .iter()
        .map(|entry| {
            vec![
                file_and_line(&log.files, entry.file, entry.line),
                entry.finding.describe().to_owned(),
                entry.raw.clone(),
            ]
        })
        .collect();
    let mut text = format!(
        "Dropped or repaired:\n{}\n{}",
        table(&[("points", Align::Right), ("", Align::Left)], &found),
        table(
            &[
                ("line", Align::Right),
                ("finding", Align::Left),
                ("in the file", Align::Left)
            ],
            &lines
        )
    );
    if left_out > 0 {
        text.push_str(&format!(
            "  … and {} more; --ledger prints them all\n",
            count(left_out)
        ));
    }
    text
}

fn seconds(seconds: f64, decimals: usize) -> String {
    format!("{} s", figure(seconds, decimals))
}

fn date_and_time(time: DateTime<Utc>) -> String {
    time.format("%Y-%m-%d %H:%M:%S UTC").to_string()
}
