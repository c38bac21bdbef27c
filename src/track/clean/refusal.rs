//! When a log is refused as a whole, and in which words.

use super::{CleanSettings, Sample, order};
use crate::input::{InputError, InputFile};
use crate::track::{Entry, Finding, Ledger};
use std::path::Path;

/// Builds the errors that refuse a log.
pub(super) struct Refusal<'a> {
    pub(super) files: &'a [InputFile],
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

    pub(super) fn if_no_times(&self, usable: usize, ledger: &Ledger) -> Result<(), InputError> {
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

    pub(super) fn disorder(&self, disorder: &order::Disorder, usable: usize) -> InputError {
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

    pub(super) fn if_not_sound(&self, ledger: &Ledger) -> Result<(), InputError> {
        let mut found = ledger
            .entries
            .iter()
            .filter(|entry| entry.finding.refused_if_strict());
        let Some(first) = found.next() else {
            return Ok(());
        };
        let more = found.count();
        let others = if more == 0 {
            String::new()
        } else {
            format!(" ({more} more after it)")
        };
        let what = if first.finding.drops_the_fix() {
            "a point cannot be used"
        } else {
            "a point cannot be used as it stands"
        };
        Err(self.error(
            Some((first.file, first.line)),
            format!("{what}, {}{others}", describe(first)),
            "mend the log, or leave out --strict to go on with what is left of such points",
        ))
    }

    pub(super) fn if_mostly_dropped(
        &self,
        points: usize,
        ledger: &Ledger,
        settings: &CleanSettings,
    ) -> Result<(), InputError> {
        let mut counts = ledger.counts();
        let nothing_lost = [Finding::DuplicateTime, Finding::FrozenPosition];
        counts.retain(|finding, _| finding.drops_the_fix() && !nothing_lost.contains(finding));
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

    pub(super) fn too_few(&self, only: Option<&Sample>) -> InputError {
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
