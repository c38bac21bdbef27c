//! What is in a log, as text for a terminal: one row a figure, then the gaps and the ledger as tables.

use crate::track::summary::{LogStatistics, Spread};
use crate::track::{Entry, Finding, Gap};
use crate::units::{Length, Speed};
use chrono::{DateTime, Utc};
use std::collections::BTreeMap;

/// Width of the column of names.
const NAME_WIDTH: usize = 14;

/// The statistics as text. Of each finding the ledger prints at most `entries_each` entries, or all.
#[must_use]
pub fn render(log: &LogStatistics, entries_each: Option<usize>) -> String {
    let mut text = String::new();
    for (name, value) in rows(log) {
        text.push_str(&format!("{name:NAME_WIDTH$}{value}\n"));
    }
    gaps(&mut text, &log.gaps);
    ledger(&mut text, log, entries_each);
    text
}

fn rows(log: &LogStatistics) -> Vec<(&'static str, String)> {
    let file = &log.file;
    let stretches = if log.stretches == 1 {
        "stretch"
    } else {
        "stretches"
    };
    let interval = log
        .interval_s
        .map_or("no two fixes without a gap between".to_owned(), |spread| {
            figures(spread, |s| format!("{s:.2}"), "s")
        });
    let speed = log.ground_speed.map_or("not known".to_owned(), |spread| {
        figures(spread, |speed: Speed| format!("{:.1}", speed.kt()), "kt")
    });
    let height = log
        .height
        .map_or("no heights recorded".to_owned(), |spread| {
            let missing = match log.fixes_without_height {
                0 => String::new(),
                1 => "; 1 fix without".to_owned(),
                count => format!("; {count} fixes without"),
            };
            let range = figures(spread, |height: Length| format!("{:.0}", height.ft()), "ft");
            format!("{range}, as recorded{missing}")
        });
    vec![
        ("Log", format!("{}, {} bytes", file.name, file.bytes)),
        ("SHA-256", file.sha256.clone()),
        (
            "Track name",
            log.track_name.clone().unwrap_or_else(|| "none".to_owned()),
        ),
        ("First fix", utc(log.first)),
        ("Last fix", utc(log.last)),
        ("Duration", duration(log.duration_s)),
        (
            "Recorded",
            format!(
                "{} in {} {stretches}",
                duration(log.recorded_s),
                log.stretches
            ),
        ),
        (
            "Points",
            format!(
                "{} in the file, {} kept, {} dropped",
                log.points_read, log.fixes_kept, log.points_dropped
            ),
        ),
        ("Interval", interval),
        ("Gap limit", format!("{:.1} s", log.gap_limit_s)),
        ("Distance", format!("{:.2} NM", log.distance.nm())),
        ("Ground speed", speed),
        ("Height", height),
        ("South-west", log.bounds.south_west.to_string()),
        ("North-east", log.bounds.north_east.to_string()),
    ]
}

fn figures<T: Copy>(spread: Spread<T>, number: impl Fn(T) -> String, unit: &str) -> String {
    let (median, min, max) = (
        number(spread.median),
        number(spread.min),
        number(spread.max),
    );
    format!("median {median} {unit}, from {min} to {max} {unit}")
}

fn gaps(text: &mut String, gaps: &[Gap]) {
    if gaps.is_empty() {
        text.push_str("\nNo gaps.\n");
        return;
    }
    text.push_str(&format!(
        "\nNot recorded ({}):\n",
        plural(gaps.len(), "gap")
    ));
    for gap in gaps {
        text.push_str(&format!(
            "  {}  {:>16}  {} to {}\n",
            utc(gap.from),
            duration(gap.duration_s),
            gap.from_position,
            gap.to_position
        ));
    }
}

fn ledger(text: &mut String, log: &LogStatistics, entries_each: Option<usize>) {
    if log.ledger.is_empty() {
        text.push_str("\nNothing had to be dropped or repaired.\n");
        return;
    }
    text.push_str("\nDropped or repaired:\n");
    for found in &log.findings {
        text.push_str(&format!("  {:>7} x {}\n", found.count, found.description));
    }
    text.push('\n');
    let mut printed: BTreeMap<Finding, usize> = BTreeMap::new();
    for Entry { line, finding, raw } in &log.ledger {
        let count = printed.entry(*finding).or_insert(0);
        *count += 1;
        if entries_each.is_none_or(|most| *count <= most) {
            text.push_str(&format!(
                "  line {line:>7}  {:<45}  {raw}",
                finding.describe()
            ));
            text.truncate(text.trim_end().len());
            text.push('\n');
        }
    }
    let left_out: usize = printed
        .values()
        .map(|count| count.saturating_sub(entries_each.unwrap_or(*count)))
        .sum();
    if left_out > 0 {
        text.push_str(&format!(
            "  … and {left_out} more; --ledger prints them all\n"
        ));
    }
}

fn plural(count: usize, noun: &str) -> String {
    if count == 1 {
        format!("{count} {noun}")
    } else {
        format!("{count} {noun}s")
    }
}

fn utc(time: DateTime<Utc>) -> String {
    time.format("%Y-%m-%d %H:%M:%S UTC").to_string()
}

/// Hours, minutes and seconds, rounded to the second as a whole.
fn duration(seconds: f64) -> String {
    let whole = seconds.round() as u64;
    let (h, m, s) = (whole / 3600, whole / 60 % 60, whole % 60);
    match (h, m) {
        (0, 0) if seconds < 60.0 => format!("{seconds:.1} s"),
        (0, _) => format!("{m} min {s:02} s"),
        _ => format!("{h} h {m:02} min {s:02} s"),
    }
}
