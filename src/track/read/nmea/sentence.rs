//! One sentence: its check sum, its type and its fields.

use super::super::clock;
use super::super::values::place;
use crate::geodesy::Position;
use crate::track::Finding;
use chrono::NaiveDate;

/// The sentences that are read.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Type {
    Rmc,
    Gga,
    Gns,
    Zda,
}

/// What a line is.
#[derive(Debug, PartialEq, Eq)]
pub(super) enum Line<'a> {
    /// Nothing of interest: empty, or a sentence of another type.
    Skipped,
    /// No sentence, or its check sum is wrong or missing.
    Damaged,
    Read(Sentence<'a>),
}

/// A sentence of one of the types that are read.
#[derive(Debug, PartialEq, Eq)]
pub(super) struct Sentence<'a> {
    pub(super) kind: Type,
    /// As it stands in the file, without a tag block before it.
    pub(super) text: &'a str,
    fields: Vec<&'a str>,
}

impl<'a> Line<'a> {
    /// What the line is. `sums` tells whether a sentence of the log had a check sum, and is kept:
    /// some programs leave it out, and the standard asked for it in few sentences only, so a log
    /// without any is read; but where one sentence has it, another without is one that was cut.
    pub(super) fn parse(line: &'a str, sums: &mut bool) -> Self {
        let text = without_tag_block(line);
        let Some(body) = text.strip_prefix('$') else {
            // Sentences that begin with ! carry packed data, never a receiver's fix.
            return if text.is_empty() || text.starts_with('!') {
                Self::Skipped
            } else {
                Self::Damaged
            };
        };
        let (body, sum) = match body.split_once('*') {
            Some((body, sum)) => (body, Some(sum)),
            None => (body, None),
        };
        let fields: Vec<&str> = body.split(',').collect();
        let kind = match fields[0].get(2..) {
            Some("RMC") => Type::Rmc,
            Some("GGA") => Type::Gga,
            Some("GNS") => Type::Gns,
            Some("ZDA") => Type::Zda,
            _ if is_address(fields[0]) && fields.len() > 1 => return Self::Skipped,
            _ => return Self::Damaged,
        };
        let sound = match sum {
            Some(sum) => is_sum_of(sum, body),
            None => !*sums,
        };
        *sums |= sum.is_some() && sound;
        if !sound || !is_address(fields[0]) {
            return Self::Damaged;
        }
        Self::Read(Sentence { kind, text, fields })
    }
}

/// The line without `\…\` before the sentence. What a tag block says is not needed.
fn without_tag_block(line: &str) -> &str {
    line.strip_prefix('\\')
        .and_then(|rest| rest.split_once('\\'))
        .map_or(line, |(_, sentence)| sentence.trim_start())
}

/// Talker and type: capital letters and digits.
fn is_address(field: &str) -> bool {
    field.len() >= 3
        && field
            .bytes()
            .all(|byte| byte.is_ascii_uppercase() || byte.is_ascii_digit())
}

/// Two hexadecimal digits: all characters between `$` and `*` by exclusive or.
fn is_sum_of(sum: &str, body: &str) -> bool {
    let is = body.bytes().fold(0, |sum, byte| sum ^ byte);
    sum.len() == 2 && u8::from_str_radix(sum, 16) == Ok(is)
}

impl<'a> Sentence<'a> {
    fn field(&self, number: usize) -> &'a str {
        self.fields.get(number).copied().unwrap_or_default().trim()
    }

    /// `hhmmss.s…`, UTC.
    pub(super) fn time(&self) -> &'a str {
        self.field(1)
    }

    /// Whether the receiver has measured the position; `None` where the sentence has none. A position
    /// that was estimated, put in by hand or simulated is not measured.
    pub(super) fn has_fix(&self) -> Option<bool> {
        const NOT_MEASURED: [&str; 4] = ["N", "E", "M", "S"];
        match self.kind {
            // Status A or V; then, since version 2.3 of the standard, the mode.
            Type::Rmc => Some(self.field(2) == "A" && !NOT_MEASURED.contains(&self.field(12))),
            // 0 none, 6 estimated, 7 by hand, 8 simulated.
            Type::Gga => Some(matches!(self.field(6), "1" | "2" | "3" | "4" | "5" | "9")),
            // One letter for each system of satellites.
            Type::Gns => Some(
                self.field(6)
                    .bytes()
                    .any(|mode| matches!(mode, b'A' | b'D' | b'P' | b'R' | b'F')),
            ),
            Type::Zda => None,
        }
    }

    /// The date, if the sentence has one.
    pub(super) fn date(&self) -> Result<Option<NaiveDate>, Finding> {
        let date = match self.kind {
            Type::Rmc if self.field(9).is_empty() => return Ok(None),
            Type::Rmc => clock::date(self.field(9)),
            Type::Zda if self.field(2).is_empty() && self.field(4).is_empty() => return Ok(None),
            Type::Zda => {
                let number = |field| self.field(field).parse::<u32>().ok();
                number(4)
                    .zip(number(3))
                    .zip(number(2))
                    .and_then(|((year, month), day)| {
                        // Four digits (from memory); a year of two is none.
                        let year = i32::try_from(year)
                            .ok()
                            .filter(|y| (1980..=2200).contains(y))?;
                        NaiveDate::from_ymd_opt(year, month, day)
                    })
            }
            Type::Gga | Type::Gns => return Ok(None),
        };
        date.map(Some).ok_or(Finding::BadTime)
    }

    /// Where.
    pub(super) fn position(&self) -> Result<Position, Finding> {
        let first = if self.kind == Type::Rmc { 3 } else { 2 };
        let lat = angle(self.field(first), self.field(first + 1), ["N", "S"])?;
        let lon = angle(self.field(first + 2), self.field(first + 3), ["E", "W"])?;
        place(lat, lon)
    }

    /// Height above mean sea level and its unit.
    pub(super) fn height(&self) -> Option<(&'a str, &'a str)> {
        match self.kind {
            Type::Gga => Some((self.field(9), self.field(10))),
            // Always metres.
            Type::Gns => Some((self.field(9), "M")),
            Type::Rmc | Type::Zda => None,
        }
    }
}

/// Degrees and two digits of minutes, with decimals of the minute.
fn angle(value: &str, hemisphere: &str, hemispheres: [&str; 2]) -> Result<f64, Finding> {
    let whole = value.split('.').next().unwrap_or_default();
    let is_number = value
        .bytes()
        .all(|byte| byte.is_ascii_digit() || byte == b'.');
    if !is_number || !(3..=5).contains(&whole.len()) {
        return Err(Finding::Unreadable);
    }
    let (degrees, minutes) = value.split_at(whole.len() - 2);
    let number = |text: &str| text.parse::<f64>().map_err(|_| Finding::Unreadable);
    let (degrees, minutes) = (number(degrees)?, number(minutes)?);
    if minutes >= 60.0 {
        return Err(Finding::OutOfRange);
    }
    let angle = degrees + minutes / 60.0;
    match hemispheres.iter().position(|name| *name == hemisphere) {
        Some(0) => Ok(angle),
        Some(_) => Ok(-angle),
        None => Err(Finding::Unreadable),
    }
}
