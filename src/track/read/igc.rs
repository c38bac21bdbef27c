//! Flight recorder logs: the records of the IGC, a letter and columns of fixed width.
//!
//! International Gliding Commission, *Technical Specification for IGC-approved GNSS Flight Recorders*,
//! second edition, 2020 (AL 6), appendix A; known from second-hand copies. Only what says where the
//! aircraft was is read: fixes (B), the date, the datum and what the heights are (H), the table of
//! columns added to the fixes (I). Records of all other letters are stepped over.

mod extensions;
mod heights;

use super::ReadSettings;
use super::clock::{self, TimeOfDay};
use super::lines::Lines;
use super::source::Source;
use super::values::{self, Zone, bounded, place};
use crate::geodesy::Position;
use crate::input::InputError;
use crate::track::{Finding, Fix, Ledger, LocalTime, Reading};
use chrono::{DateTime, NaiveDate, Utc};
use extensions::Extensions;
use heights::{Heights, Recorded};
use std::path::Path;

/// Reads a log of IGC records from `source`.
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
        log.record(path, &lines)?;
    }
    let source = lines.finish()?;
    log.end_segment();
    if log.fix_records == 0 {
        let problem = format!(
            "the file holds {} records, but none of a fix (B)",
            log.other_records
        );
        return Err(InputError::new(path, None, problem, ACCEPTED));
    }
    let Log {
        segments,
        mut ledger,
        heights,
        ..
    } = log;
    let (kind, choice) = heights.settle();
    let segments = segments
        .into_iter()
        .map(|segment| {
            let fix = |(fix, recorded): (Fix, Recorded)| Fix {
                height: heights::height(recorded, choice, &fix, &mut ledger).into(),
                ..fix
            };
            segment.into_iter().map(fix).collect()
        })
        .collect();
    // Heights are entered last, since all fixes must be known to choose among them.
    ledger.entries.sort_by_key(|entry| entry.line);
    Ok(Reading::of(source, None, segments, kind, ledger))
}

/// What is needed, for hints.
const ACCEPTED: &str = "a log needs a date record such as HFDTE010526 or HFDTEDATE:010526,01, and fix \
                        records (B) after it";

#[derive(Default)]
struct Log {
    local: Option<LocalTime>,
    date: Option<NaiveDate>,
    /// Time of the last fix record since the date record.
    last: Option<DateTime<Utc>>,
    /// That of the last fix record, to tell positions that are only repeated.
    last_position: Option<Position>,
    extensions: Extensions,
    heights: Heights,
    segments: Vec<Vec<(Fix, Recorded)>>,
    segment: Vec<(Fix, Recorded)>,
    ledger: Ledger,
    fix_records: usize,
    other_records: usize,
}

impl Log {
    fn record(&mut self, path: &Path, lines: &Lines<'_>) -> Result<(), InputError> {
        let (line, text) = (lines.number(), lines.text());
        match text.map(|text| (text, text.as_bytes())) {
            Some((_, [])) => {}
            Some((text, [b'B', ..])) => {
                self.fix_records += 1;
                let Some(date) = self.date else {
                    return Err(InputError::new(
                        path,
                        Some(line),
                        "a fix record (B) stands here, but no date record (HFDTE) before it",
                        ACCEPTED,
                    ));
                };
                match self.fix(text, line, date) {
                    Ok(fix) => self.segment.push(fix),
                    Err(finding) => self.ledger.add(line, finding, bounded(text)),
                }
            }
            Some((text, [b'H', ..])) => {
                self.other_records += 1;
                self.header(path, text, line)?;
            }
            Some((text, [b'I', ..])) => {
                self.other_records += 1;
                match Extensions::parse(text) {
                    Some(extensions) => self.extensions = extensions,
                    None => self.ledger.add(line, Finding::DamagedLine, bounded(text)),
                }
            }
            // G is often many lines; letters without a meaning yet are spare.
            Some((_, [b'A'..=b'Z', ..])) => self.other_records += 1,
            _ => self.ledger.add(line, Finding::DamagedLine, lines.raw()),
        }
        Ok(())
    }

    /// `H`, the source (F recorder, O observer, P pilot), a code of three letters, a long name up to a
    /// colon (older: none), the value.
    fn header(&mut self, path: &Path, text: &str, line: u32) -> Result<(), InputError> {
        let Some((code, rest)) = text.get(2..5).zip(text.get(5..)) else {
            return Ok(());
        };
        let value = rest.rsplit(':').next().unwrap_or_default().trim();
        match code {
            "DTE" => {
                let digits = value.split(',').next().unwrap_or_default().trim();
                let digits = digits.strip_prefix("DATE").unwrap_or(digits).trim();
                match clock::date(digits) {
                    // The fixes after it count from this day, however far the ones before had come.
                    Some(date) => (self.date, self.last) = (Some(date), None),
                    None if self.date.is_none() => {
                        return Err(InputError::new(
                            path,
                            Some(line),
                            format!("the date record cannot be read ({})", bounded(text)),
                            ACCEPTED,
                        ));
                    }
                    None => self.ledger.add(line, Finding::DamagedLine, bounded(text)),
                }
            }
            // Datum number 100 is WGS 84.
            "DTM"
                if !value.is_empty()
                    && !rest.starts_with("100")
                    && !rest.to_ascii_uppercase().contains("WGS") =>
            {
                return Err(InputError::new(
                    path,
                    Some(line),
                    format!("the positions are on another datum ({})", bounded(text)),
                    "positions on WGS 84 are accepted; export the log with this datum",
                ));
            }
            "ALG" => self.heights.gnss_datum(value),
            "ALP" => self.heights.pressure_datum(value),
            _ => {}
        }
        Ok(())
    }

    /// `B hhmmss ddmmmmmN dddmmmmmE V PPPPP GGGGG` and what the I record adds.
    fn fix(&mut self, text: &str, line: u32, date: NaiveDate) -> Result<(Fix, Recorded), Finding> {
        let field = |from: usize, to: usize| text.get(from..to).ok_or(Finding::Unreadable);
        let extension = |code| self.extensions.of(code, text);
        let time = clock::time_of_day(field(1, 7)?, extension(extensions::SECONDS))
            .ok_or(Finding::BadTime)?;
        let lat = angle(
            field(7, 14)?,
            extension(extensions::LATITUDE),
            field(14, 15)?,
            "NS",
        )?;
        let lon = angle(
            field(15, 23)?,
            extension(extensions::LONGITUDE),
            field(23, 24)?,
            "EW",
        )?;
        let three_d = match field(24, 25)? {
            "A" => true,
            "V" => false,
            _ => return Err(Finding::Unreadable),
        };
        let (pressure, gnss) = (field(25, 30)?, field(30, 35)?);
        let time = self.moment(time, date);
        let position = place(lat, lon)?;
        let repeated = self.last_position.replace(position) == Some(position);
        if !three_d && repeated {
            // V stands for a fix in two dimensions, and for none at all: then the last position is
            // written again. Chosen: one that does not move is taken for none.
            self.end_segment();
            return Err(Finding::NoFix);
        }
        let (time, finding) = values::moment(time, Zone::Utc, self.local);
        if let Some(finding) = finding {
            self.ledger.add(line, finding, bounded(text));
        }
        let fix = Fix {
            time,
            position,
            height: None.into(),
            line,
            file: 0,
        };
        Ok((fix, self.heights.recorded(pressure, gnss, three_d)))
    }

    fn moment(&mut self, time: TimeOfDay, date: NaiveDate) -> DateTime<Utc> {
        let moment = match self.last {
            None => clock::on(date, time),
            Some(last) => clock::nearest(time, last),
        };
        *self.last.insert(moment)
    }

    fn end_segment(&mut self) {
        if !self.segment.is_empty() {
            self.segments.push(std::mem::take(&mut self.segment));
        }
    }
}

/// Degrees, minutes and thousandths of a minute without a point between, more decimals of the minute,
/// and the hemisphere, the second of `hemispheres` being the negative one.
fn angle(digits: &str, more: &str, hemisphere: &str, hemispheres: &str) -> Result<f64, Finding> {
    let all_digits = |text: &str| text.bytes().all(|byte| byte.is_ascii_digit());
    if !all_digits(digits) || !all_digits(more) {
        return Err(Finding::Unreadable);
    }
    let (degrees, minutes) = digits.split_at(digits.len() - 5);
    let minutes = format!("{}.{}{more}", &minutes[..2], &minutes[2..]);
    let number = |text: &str| text.parse::<f64>().map_err(|_| Finding::Unreadable);
    let (degrees, minutes) = (number(degrees)?, number(&minutes)?);
    if minutes >= 60.0 {
        return Err(Finding::OutOfRange);
    }
    let angle = degrees + minutes / 60.0;
    match hemispheres.find(hemisphere) {
        Some(0) => Ok(angle),
        Some(_) => Ok(-angle),
        None => Err(Finding::Unreadable),
    }
}

#[cfg(test)]
mod tests;
