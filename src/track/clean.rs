//! [`Reading`] → [`Track`]: fixes in strictly rising time, without impossible ones, split at gaps.
//!
//! ```text
//! segments ─order→ rising times ─speed→ possible steps ─gaps→ stretches
//! ```
//!
//! Every step keeps the largest consistent set of fixes rather than comparing each with the one
//! before: a single bad fix, even the first one, must not cost the good ones after it.

mod gaps;
mod order;
mod speed;
#[cfg(test)]
mod tests;

use super::{Entry, Finding, Fix, Ledger, Reading, Track};
use crate::input::{InputError, InputFile};
use crate::units::Speed;
use std::path::Path;

/// Ground speed beyond which a step between fixes is taken for an error of the receiver, knots.
/// Chosen: search is flown at 60 to 250 kt, transits of most search aircraft below 350 kt.
pub const DEFAULT_SPEED_LIMIT_KT: f64 = 350.0;

/// Above this share of fixes out of order the log is refused. Chosen: a receiver that sets its clock
/// puts a few fixes out of order; two recordings in one file put up to half.
const MOST_OUT_OF_ORDER: f64 = 0.25;

/// How a reading is cleaned.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct CleanSettings {
    /// The longest step that still counts as recorded, seconds, positive; if not given, four times
    /// the median interval, at least 10 s.
    pub gap_limit_s: Option<f64>,
    /// Steps faster than this over the ground are errors.
    pub speed_limit: Speed,
    /// Refuse the log if any point has to be dropped.
    pub strict: bool,
}

impl Default for CleanSettings {
    fn default() -> Self {
        Self {
            gap_limit_s: None,
            speed_limit: Speed::from_kt(DEFAULT_SPEED_LIMIT_KT),
            strict: false,
        }
    }
}

/// A fix and the segment of the file it came from.
#[derive(Clone, Copy, Debug)]
struct Sample {
    fix: Fix,
    segment: u32,
    /// The track jumps to this fix: no step leads here from the one before.
    after_jump: bool,
}

/// Cleans a reading.
///
/// # Errors
/// If no point has a time; if times run backwards or more than a quarter of the fixes are out of
/// order; if more than half of all points had to be dropped (fixes with the time of the one before
/// are not counted here: receivers that record faster than their clock counts write many, and
/// nothing is lost with them); if fewer than two fixes are left; and, with
/// [`strict`](CleanSettings::strict), if any point had to be dropped.
pub fn clean(reading: Reading, settings: &CleanSettings) -> Result<Track, InputError> {
    let Reading {
        sources,
        name,
        tracks,
        segments,
        height_kind,
        mut ledger,
        taken,
    } = reading;
    let refuse = Refusal { files: &sources };
    let usable: usize = segments.iter().map(Vec::len).sum();
    let points = usable + ledger.dropped();
    refuse.if_no_times(usable, &ledger)?;

    let samples = order::in_time(segments, &mut ledger)
        .map_err(|disorder| refuse.disorder(&disorder, usable))?;
    let samples = speed::within_limit(samples, settings.speed_limit, &mut ledger);

    if settings.strict {
        refuse.if_any_dropped(&ledger)?;
    }
    refuse.if_mostly_dropped(points, &ledger, settings)?;
    if samples.len() < 2 {
        return Err(refuse.too_few(samples.first()));
    }
    let gaps::Stretches {
        stretches,
        median_interval_s,
        gap_limit_s,
    } = gaps::split(&samples, settings.gap_limit_s);
    let fixes = samples.into_iter().map(|sample| sample.fix).collect();
    Ok(Track {
        sources,
        name,
        tracks,
        fixes,
        stretches,
        median_interval_s,
        gap_limit_s,
        height_kind,
        ledger,
        taken,
    })
}

/// Builds the errors that refuse a log.
struct Refusal<'a> {
    files: &'a [InputFile],
}

impl Refusal<'_> {
    /// An error about a file and line, or about the first file.
    fn error(&self, place: Option<(u16, u32)>, problem: String, hint: &str) -> InputError {
        let file = self
            .files
            .get(usize::from(place.map_or(0, |(file, _)| file)));
        let name = file.map_or("", |file| file.name.as_str());
        InputError::new(Path::new(name), place.map(|(_, line)| line), problem, hint)
    }

    fn if_no_times(&self, usable: usize, ledger: &Ledger) -> Result<(), InputError> {
        let timeless = ledger
            .entries
            .iter()
            .filter(|e| e.finding == Finding::NoTime)
            .count();
        if usable > 0 || timeless == 0 || timeless < ledger.dropped() {
            return Ok(());
        }
        Err(self.error(
            None,
            format!("none of the {timeless} track points has a time"),
            "a recorded track has a time at every point; a drawn line or a planned route has none",
        ))
    }

    fn disorder(&self, disorder: &order::Disorder, usable: usize) -> InputError {
        match *disorder {
            order::Disorder::Backwards { place } => self.error(
                Some(place),
                "times run backwards through the log".to_owned(),
                "export the log with the oldest point first",
            ),
            order::Disorder::Mixed {
                out_of_order,
                place,
            } => self.error(
                Some(place),
                format!(
                    "{out_of_order} of {usable} fixes are out of order in time, the first here"
                ),
                "one recording in the order flown is accepted; if the file holds two recordings of \
                 the same time, keep one of them",
            ),
        }
    }

    fn if_any_dropped(&self, ledger: &Ledger) -> Result<(), InputError> {
        let mut dropped = ledger
            .entries
            .iter()
            .filter(|entry| entry.finding.drops_the_fix());
        let Some(first) = dropped.next() else {
            return Ok(());
        };
        let more = dropped.count();
        let others = if more == 0 {
            String::new()
        } else {
            format!(" ({more} more after it)")
        };
        Err(self.error(
            Some((first.file, first.line)),
            format!("a point cannot be used, {}{others}", describe(first)),
            "mend the log, or leave out --strict to go on without such points",
        ))
    }

    fn if_mostly_dropped(
        &self,
        points: usize,
        ledger: &Ledger,
        settings: &CleanSettings,
    ) -> Result<(), InputError> {
        let mut counts = ledger.counts();
        counts.retain(|finding, _| finding.drops_the_fix() && *finding != Finding::DuplicateTime);
        let dropped: usize = counts.values().sum();
        let Some((&worst, _)) = counts.iter().max_by_key(|(_, count)| **count) else {
            return Ok(());
        };
        let Some(first) = ledger.entries.iter().find(|entry| entry.finding == worst) else {
            return Ok(());
        };
        if dropped * 2 <= points {
            return Ok(());
        }
        let hint = match worst {
            Finding::ImpossibleSpeed => format!(
                "the limit is {:.0} kt; give another one with --speed-limit",
                settings.speed_limit.kt()
            ),
            Finding::NoTime | Finding::BadTime => {
                "times like 2026-05-01T15:04:05Z are accepted".to_owned()
            }
            Finding::Unpaired => "a log needs as many times as positions".to_owned(),
            Finding::DamagedLine => {
                "export the log again, or copy it again from the recorder".to_owned()
            }
            _ => "latitudes within 90 and longitudes within 180 decimal degrees are accepted"
                .to_owned(),
        };
        Err(self.error(
            Some((first.file, first.line)),
            format!(
                "{dropped} of {points} points cannot be used, most of them for this reason: {}",
                describe(first)
            ),
            &hint,
        ))
    }

    fn too_few(&self, only: Option<&Sample>) -> InputError {
        let hint = "a track needs two fixes with different times at least";
        match only {
            Some(sample) => self.error(
                Some((sample.fix.file, sample.fix.line)),
                "the log holds one usable fix".to_owned(),
                hint,
            ),
            None => self.error(None, "the log holds no usable fix".to_owned(), hint),
        }
    }
}

/// The finding without what was done, and the raw value: `time not readable (noon)`.
fn describe(entry: &Entry) -> String {
    let what = entry
        .finding
        .describe()
        .split(": ")
        .next()
        .unwrap_or_default();
    if entry.raw.is_empty() {
        what.to_owned()
    } else {
        format!("{what} ({})", entry.raw)
    }
}
