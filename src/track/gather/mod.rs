//! What was read of one or several files → the one [`Reading`] that is wanted: the tracks chosen, in UTC, within
//! the window of time, joined in order of time.
//!
//! ```text
//! Readings ─together→ clock ─→ choose (tracks) ─→ window ─→ Reading      select: nothing is joined yet
//!                                      join: repeated fixes, overlap, order → Reading
//! ```
//!
//! A recorder may cut one flight into several tracks or files, and two receivers may have recorded the same
//! flight: the former are joined, the latter never are.

mod choose;
mod join;
mod window;
mod words;

pub use choose::TrackChoice;
pub use window::Edge;

use super::read::YEARS;
use super::{Finding, Fix, HeightKind, LogTrack, Reading, Taken};
use crate::input::{InputError, InputFile};
use chrono::{DateTime, Datelike, TimeDelta, Utc};
use std::path::{Path, PathBuf};

/// What is wanted of the files of a log.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Wanted {
    /// The tracks; none means all of them.
    pub tracks: Vec<TrackChoice>,
    /// What is added to every recorded time, because the clock was wrong.
    pub clock_correction: TimeDelta,
    /// From when, after the correction.
    pub from: Option<Edge>,
    /// Until when.
    pub to: Option<Edge>,
}

/// One track of the readings and what is taken of it.
struct Part {
    track: LogTrack,
    segments: Vec<Vec<Fix>>,
}

impl Part {
    fn fixes(&self) -> impl Iterator<Item = &Fix> {
        self.segments.iter().flatten()
    }
}

/// One log out of what was read of its files: [`select`]ed and joined in order of time.
///
/// # Errors
/// As [`select`] has them; and if two tracks recorded different fixes at the same time, as two receivers do.
pub fn gather(readings: Vec<Reading>, wanted: &Wanted) -> Result<Reading, InputError> {
    join::join(select(readings, wanted)?)
}

/// The tracks that are wanted, in UTC and within the window of time, each by itself. What is left out is
/// counted, and stands in the ledger once for each track and each end of the window.
///
/// # Errors
/// If no track is of that number or name; if the correction takes a time out of the years 0 to 9999; if times are said to be local and every one names its zone; if times
/// are to be spread and there is no line for it; if the window cannot be placed or holds nothing; and if there is no reading at all.
pub fn select(readings: Vec<Reading>, wanted: &Wanted) -> Result<Reading, InputError> {
    let (mut reading, mut parts) = together(readings);
    if reading.taken.local_time.is_some() && !says(&reading, Finding::LocalTime) {
        return Err(words::no_local_time(&reading.sources));
    }
    if reading.taken.spread_times && !says(&reading, Finding::SpreadTimes) {
        return Err(words::no_line_to_spread(&reading.sources));
    }
    correct_clock(&mut reading, &mut parts, wanted.clock_correction)?;
    choose::choose(&mut reading, &mut parts, &wanted.tracks)?;
    reading.taken.spread_times = says(&reading, Finding::SpreadTimes);
    window::trim(&mut reading, &mut parts, [wanted.from, wanted.to])?;
    reading.set(parts);
    Ok(reading)
}

/// All readings as one, and apart from it their tracks.
fn together(readings: Vec<Reading>) -> (Reading, Vec<Part>) {
    let mut all = Reading {
        sources: Vec::new(),
        name: None,
        tracks: Vec::new(),
        segments: Vec::new(),
        height_kind: HeightKind::Unknown,
        ledger: super::Ledger::default(),
        taken: Taken::default(),
    };
    let mut parts = Vec::new();
    let mut kinds: Vec<HeightKind> = Vec::new();
    for reading in readings {
        // More files than that cannot be named on a command line.
        let file = u16::try_from(all.sources.len()).unwrap_or(u16::MAX);
        let before = all.ledger.entries.len();
        let segments: Vec<Vec<Fix>> = reading
            .segments
            .into_iter()
            .map(|fixes| fixes.into_iter().map(|fix| Fix { file, ..fix }).collect())
            .collect();
        if segments
            .iter()
            .flatten()
            .any(|fix| fix.height.get().is_some())
        {
            kinds.push(reading.height_kind);
        }
        all.height_kind = reading.height_kind;
        for track in reading.tracks {
            let own = segments.get(track.segments.clone()).unwrap_or(&[]);
            parts.push(Part {
                segments: own.to_vec(),
                track: LogTrack {
                    number: parts.len() + 1,
                    file,
                    entries: track.entries.start + before..track.entries.end + before,
                    ..track
                },
            });
        }
        let entries = reading.ledger.entries.into_iter();
        all.ledger
            .entries
            .extend(entries.map(|entry| super::Entry { file, ..entry }));
        all.taken.spread_times |= reading.taken.spread_times;
        all.taken.local_time = all.taken.local_time.or(reading.taken.local_time);
        all.sources.extend(reading.sources);
    }
    if let Some(&first) = kinds.first() {
        let alike = kinds.iter().all(|kind| *kind == first);
        all.height_kind = if alike { first } else { HeightKind::Mixed };
    }
    tell_apart(&mut all.sources);
    (all, parts)
}

/// Files of one name in different folders get numbers, as [`select`] gives them: reports name files without
/// folders.
pub fn tell_apart(sources: &mut [InputFile]) {
    let names: Vec<String> = sources.iter().map(|source| source.name.clone()).collect();
    for (number, source) in (1..).zip(sources) {
        if names.iter().filter(|name| **name == source.name).count() > 1 {
            source.name = format!("{} ({number})", source.name);
        }
    }
}

fn says(reading: &Reading, finding: Finding) -> bool {
    let mut entries = reading.ledger.entries.iter();
    entries.any(|entry| entry.finding == finding)
}

fn correct_clock(
    reading: &mut Reading,
    parts: &mut [Part],
    correction: TimeDelta,
) -> Result<(), InputError> {
    reading.taken.clock_correction_s = correction.as_seconds_f64();
    if correction.is_zero() {
        return Ok(());
    }
    let corrected = |time: DateTime<Utc>| {
        let corrected = time.checked_add_signed(correction);
        corrected.filter(|time| YEARS.contains(&time.year()))
    };
    for part in parts {
        for fix in part.segments.iter_mut().flatten() {
            fix.time = corrected(fix.time).ok_or_else(|| {
                let problem = format!(
                    "with the correction of the clock the time {} leaves the years 0 to 9999",
                    fix.time.format("%Y-%m-%d %H:%M:%S")
                );
                InputError::new(
                    file_of(&reading.sources, fix.file),
                    Some(fix.line),
                    problem,
                    "give a smaller correction",
                )
            })?;
        }
        let LogTrack { first, last, .. } = &mut part.track;
        for time in [first, last] {
            *time = time.and_then(corrected);
        }
    }
    Ok(())
}

impl Reading {
    /// Takes over the parts: tracks as they are now, and the segments of those taken.
    fn set(&mut self, parts: Vec<Part>) {
        self.segments.clear();
        self.tracks.clear();
        for Part { track, segments } in parts {
            let from = self.segments.len();
            if track.taken {
                self.segments
                    .extend(segments.into_iter().filter(|fixes| !fixes.is_empty()));
            }
            self.tracks.push(LogTrack {
                segments: from..self.segments.len(),
                ..track
            });
        }
        self.name = self.names();
    }
}

/// The files by name, as errors about all of them have it.
fn all_files(sources: &[InputFile]) -> PathBuf {
    let names: Vec<&str> = sources.iter().map(|file| file.name.as_str()).collect();
    PathBuf::from(names.join(", "))
}

/// The name of a file of the log.
fn file_of(sources: &[InputFile], file: u16) -> &Path {
    let source = sources.get(usize::from(file));
    Path::new(source.map_or("", |source| source.name.as_str()))
}
