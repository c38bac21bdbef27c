//! What errors and ledger say about tracks.

use super::{Part, all_files, file_of};
use crate::input::{InputError, InputFile, shown_path};
use crate::track::LogTrack;
use chrono::{DateTime, Utc};

/// Tracks that an error lists before it only counts the rest. Chosen.
const MOST_LISTED: usize = 20;

/// `2 "Morning", 1234 points, 2026-05-01 08:00:00 to 09:00:00 UTC`.
pub(super) fn track(track: &LogTrack) -> String {
    let points = match track.points() {
        1 => "1 point".to_owned(),
        points => format!("{points} points"),
    };
    let times = match track.first.zip(track.last) {
        Some((first, last)) => span(first, last),
        None => "none of them usable".to_owned(),
    };
    format!("{}, {points}, {times}", track.title())
}

/// The date of the end only where it is another one.
pub(super) fn span(first: DateTime<Utc>, last: DateTime<Utc>) -> String {
    let end = if first.date_naive() == last.date_naive() {
        "%H:%M:%S"
    } else {
        "%Y-%m-%d %H:%M:%S"
    };
    format!(
        "{} to {} UTC",
        first.format("%Y-%m-%d %H:%M:%S"),
        last.format(end)
    )
}

/// What the files hold: `the file holds 2 tracks: …; …`.
pub(super) fn held(parts: &[Part], sources: &[InputFile]) -> String {
    let several = sources.len() > 1;
    let mut list: Vec<String> = parts
        .iter()
        .take(MOST_LISTED)
        .map(|part| {
            let text = track(&part.track);
            if several {
                let file = shown_path(file_of(sources, part.track.file));
                format!("{text} ({file})")
            } else {
                text
            }
        })
        .collect();
    if parts.len() > MOST_LISTED {
        list.push(format!("and {} more", parts.len() - MOST_LISTED));
    }
    let (files, hold) = if several {
        ("the files", "hold")
    } else {
        ("the file", "holds")
    };
    let tracks = match parts.len() {
        1 => "1 track".to_owned(),
        count => format!("{count} tracks"),
    };
    format!("{files} {hold} {tracks}: {}", list.join("; "))
}

/// Times were said to be local, and that changed none.
pub(super) fn no_local_time(sources: &[InputFile]) -> InputError {
    InputError::new(
        &all_files(sources),
        None,
        "every time in the log says that it is UTC, or how far its zone is from UTC, so a zone given beside it \
         changes nothing",
        "leave out --zone; if times that say UTC are local all the same, add --zone-wrong",
    )
}

/// Times were to be spread along lines, and there is none.
pub(super) fn no_line_to_spread(sources: &[InputFile]) -> InputError {
    InputError::new(
        &all_files(sources),
        None,
        "every time in the log is recorded, and no line has a span of time that could be spread along it",
        "leave out --spread-times",
    )
}
