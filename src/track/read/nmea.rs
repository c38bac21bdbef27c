//! NMEA 0183 sentences, as receivers write them.
//!
//! The standard itself is not public; the sentences are known from E. S. Raymond, "NMEA Revealed", and
//! from the manuals of receivers. Read are RMC (position, date), GGA and GNS (position, height above
//! mean sea level) and ZDA (date), of any talker. VTG has neither place nor time, and nothing else is
//! needed. Sentences of one time make one fix; a time without a date takes the date nearest to the
//! dated times beside it.

mod sentence;

use super::ReadSettings;
use super::clock::{self, TimeOfDay};
use super::lines::Lines;
use super::source::Source;
use super::values::{Zone, bounded, height, moment, number};
use crate::geodesy::Position;
use crate::input::InputError;
use crate::track::{Finding, Fix, HeightKind, Ledger, LocalTime, Reading};
use crate::units::Length;
use chrono::{DateTime, NaiveDate, Utc};
use sentence::{Line, Sentence};
use std::path::Path;

/// Reads a log of NMEA 0183 sentences from `source`.
pub(super) fn read(
    path: &Path,
    source: Source,
    settings: ReadSettings,
) -> Result<Reading, InputError> {
    let mut lines = Lines::new(path, source, settings);
    let mut log = Log {
        local: settings.local,
        ..Log::default()
    };
    while lines.next(&mut log.ledger)? {
        log.line(&lines);
    }
    log.end_epoch();
    log.end_segment();
    let source = lines.finish()?;
    if !log.undated.is_empty() {
        return Err(InputError::new(
            path,
            log.undated.first().map(|epoch| epoch.line),
            "the times have no date: no sentence that gives one (RMC or ZDA) can be used",
            "record RMC or ZDA sentences together with the positions",
        ));
    }
    if log.segments.is_empty() {
        return Err(log.no_fix(path));
    }
    let height_kind = HeightKind::MeanSeaLevel;
    Ok(Reading::of(
        source,
        None,
        log.segments,
        height_kind,
        log.ledger,
    ))
}

/// What the sentences of one time say.
#[derive(Clone, Copy)]
struct Epoch {
    time: TimeOfDay,
    date: Option<NaiveDate>,
    /// Where, and the line that says so.
    position: Option<Position>,
    height: Option<Length>,
    /// A sentence says that the receiver has no fix.
    without_fix: bool,
    line: u32,
}

impl Epoch {
    const fn at(time: TimeOfDay, line: u32) -> Self {
        Self {
            time,
            date: None,
            position: None,
            height: None,
            without_fix: false,
            line,
        }
    }
}

#[derive(Default)]
struct Log {
    local: Option<LocalTime>,
    epoch: Option<Epoch>,
    /// Moment of the last epoch that has one.
    last: Option<DateTime<Utc>>,
    /// Epochs before the first date.
    undated: Vec<Epoch>,
    segments: Vec<Vec<Fix>>,
    segment: Vec<Fix>,
    ledger: Ledger,
    /// A sentence with a check sum was read: from there on one without is damaged.
    sums: bool,
    /// Sentences of the types that are read.
    sentences: usize,
    first_damaged: Option<u32>,
}

impl Log {
    fn line(&mut self, lines: &Lines<'_>) {
        let line = lines.number();
        match lines
            .text()
            .map_or(Line::Damaged, |text| Line::parse(text, &mut self.sums))
        {
            Line::Skipped => {}
            Line::Damaged => {
                self.first_damaged.get_or_insert(line);
                self.ledger.add(line, Finding::DamagedLine, lines.raw());
            }
            Line::Read(sentence) => {
                self.sentences += 1;
                if let Err(finding) = self.take(&sentence, line) {
                    self.ledger.add(line, finding, bounded(sentence.text));
                }
            }
        }
    }

    /// Adds what a sentence says to the epoch of its time.
    fn take(&mut self, sentence: &Sentence<'_>, line: u32) -> Result<(), Finding> {
        let text = sentence.time();
        if text.is_empty() {
            // Receivers without a fix often have no time either.
            return Err(match sentence.has_fix() {
                Some(false) => Finding::NoFix,
                _ => Finding::NoTime,
            });
        }
        let (hhmmss, decimals) = text.split_once('.').unwrap_or((text, ""));
        let time = clock::time_of_day(hhmmss, decimals).ok_or(Finding::BadTime)?;
        if self.epoch.is_some_and(|epoch| epoch.time != time) {
            self.end_epoch();
        }
        let mut epoch = self.epoch.unwrap_or(Epoch::at(time, line));
        let result = sentence.date().map(|date| epoch.date = epoch.date.or(date));
        let result = result.and_then(|()| match sentence.has_fix() {
            None => Ok(()),
            Some(false) => {
                if !epoch.without_fix {
                    (epoch.without_fix, epoch.line) = (true, line);
                }
                Ok(())
            }
            Some(true) => sentence.position().map(|position| {
                if epoch.position.is_none() && !epoch.without_fix {
                    (epoch.position, epoch.line) = (Some(position), line);
                }
            }),
        });
        if let Some((metres, unit)) = sentence.height()
            && !metres.is_empty()
            && sentence.has_fix() == Some(true)
        {
            let value = number(metres).filter(|_| unit == "M");
            let height = height(value, || bounded(sentence.text), line, &mut self.ledger);
            epoch.height = epoch.height.or(height);
        }
        self.epoch = Some(epoch);
        result
    }

    fn end_epoch(&mut self) {
        let Some(epoch) = self.epoch.take() else {
            return;
        };
        let moment = match (epoch.date, self.last) {
            (Some(date), _) => clock::on(date, epoch.time),
            (None, Some(last)) => clock::nearest(epoch.time, last),
            (None, None) => {
                self.undated.push(epoch);
                return;
            }
        };
        let mut dated = vec![(epoch, moment)];
        for epoch in std::mem::take(&mut self.undated).into_iter().rev() {
            let after = dated.last().map_or(moment, |(_, moment)| *moment);
            dated.push((epoch, clock::nearest(epoch.time, after)));
        }
        for (epoch, moment) in dated.into_iter().rev() {
            self.add(epoch, moment);
        }
        self.last = Some(moment);
    }

    fn add(&mut self, epoch: Epoch, time: DateTime<Utc>) {
        if epoch.without_fix {
            let time = time.format("%H:%M:%S UTC").to_string();
            self.ledger.add(epoch.line, Finding::NoFix, time);
            self.end_segment();
        } else if let Some(position) = epoch.position {
            let (moment, finding) = moment(time, Zone::Utc, self.local);
            if let Some(finding) = finding {
                let time = time.format("%H:%M:%S%.f").to_string();
                self.ledger.add(epoch.line, finding, time);
            }
            self.segment.push(Fix {
                time: moment,
                position,
                height: epoch.height.into(),
                line: epoch.line,
                file: 0,
            });
        }
    }

    fn end_segment(&mut self) {
        if !self.segment.is_empty() {
            self.segments.push(std::mem::take(&mut self.segment));
        }
    }

    fn no_fix(&self, path: &Path) -> InputError {
        let (line, problem, hint) = match (self.sentences, self.first_damaged) {
            (0, Some(line)) => (
                Some(line),
                "no sentence can be read, from this line on".to_owned(),
                "sentences begin with $ at the beginning of the line, or after a tag block (\\…\\), and \
                 end with a right check sum; export the log again",
            ),
            (0, None) => (
                None,
                "the file holds sentences, but none with a position (RMC, GGA, GNS)".to_owned(),
                "record RMC, and GGA or GNS for heights",
            ),
            (sentences, _) => (
                None,
                format!(
                    "none of the {sentences} sentences with positions or dates gives a measured position"
                ),
                "RMC with status A, or GGA or GNS with a fix, is accepted",
            ),
        };
        InputError::new(path, line, problem, hint)
    }
}

#[cfg(test)]
mod tests;
