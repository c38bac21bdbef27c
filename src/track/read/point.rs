//! One `<trkpt>`: its attributes and the text of its elements, turned into a [`Fix`] or a finding.
//!
//! GPX 1.1 (<http://www.topografix.com/GPX/1/1>): `lat` and `lon` are decimal degrees, WGS 84; `ele`
//! is in metres; `time` is UTC, ISO 8601, fractional seconds allowed (type `xsd:dateTime`, so an
//! offset is allowed as well).

use crate::geodesy::Position;
use crate::track::{Finding, Fix, Ledger};
use crate::units::Length;
use chrono::{DateTime, NaiveDateTime, Utc};
use quick_xml::XmlVersion;
use quick_xml::events::BytesStart;
use std::ops::RangeInclusive;

/// Heights that a search aircraft can have, metres. Chosen: below the lowest shore on earth (430 m
/// under the sea) with room for barometric error, and above any aircraft; numbers beyond are marks for
/// "no height", such as -9999 or 65535.
const PLAUSIBLE_HEIGHT_M: RangeInclusive<f64> = -1000.0..=30_000.0;

/// Characters of a raw value kept in the ledger.
const RAW_CHARS: usize = 80;

/// The point being read. Reused from point to point so that its texts are not allocated again.
#[derive(Debug, Default)]
pub(super) struct Point {
    line: u32,
    position: Option<Position>,
    fault: Option<(Finding, String)>,
    height_given: bool,
    height: String,
    time: String,
}

impl Point {
    /// Begins a new point at `line`.
    pub(super) fn begin(&mut self, line: u32, element: &BytesStart) {
        self.line = line;
        self.height_given = false;
        self.height.clear();
        self.time.clear();
        match position(element) {
            Ok(position) => (self.position, self.fault) = (Some(position), None),
            Err(finding) => {
                let raw = bounded(element.attributes_raw());
                (self.position, self.fault) = (None, Some((finding, raw)));
            }
        }
    }

    /// Where the text of its `<ele>` goes. A second one is appended, so that the two together are
    /// unreadable rather than one of them chosen.
    pub(super) fn begin_height(&mut self) -> &mut String {
        self.height_given = true;
        next_text(&mut self.height)
    }

    pub(super) const fn height_text(&mut self) -> &mut String {
        &mut self.height
    }

    /// Where the text of its `<time>` goes; a second one as for the height.
    pub(super) fn begin_time(&mut self) -> &mut String {
        next_text(&mut self.time)
    }

    pub(super) const fn time_text(&mut self) -> &mut String {
        &mut self.time
    }

    /// The finished point: a fix, or an entry in the ledger, or both.
    pub(super) fn finish(&mut self, ledger: &mut Ledger) -> Option<Fix> {
        if let Some((finding, raw)) = self.fault.take() {
            ledger.add(self.line, finding, raw);
            return None;
        }
        let position = self.position.take()?;
        let time = self.time(ledger)?;
        let height = self.height(ledger);
        Some(Fix {
            time,
            position,
            height,
            line: self.line,
        })
    }

    fn time(&self, ledger: &mut Ledger) -> Option<DateTime<Utc>> {
        let text = self.time.trim();
        if text.is_empty() {
            ledger.add(self.line, Finding::NoTime, "");
            return None;
        }
        if let Ok(time) = DateTime::parse_from_rfc3339(text) {
            return Some(without_leap_second(time.to_utc()));
        }
        let Ok(time) = NaiveDateTime::parse_from_str(text, "%Y-%m-%dT%H:%M:%S%.f") else {
            ledger.add(self.line, Finding::BadTime, bounded(text));
            return None;
        };
        ledger.add(self.line, Finding::NoZone, bounded(text));
        Some(without_leap_second(time.and_utc()))
    }

    fn height(&self, ledger: &mut Ledger) -> Option<Length> {
        if !self.height_given {
            return None;
        }
        let height = number(&self.height).filter(|metres| PLAUSIBLE_HEIGHT_M.contains(metres));
        if height.is_none() {
            ledger.add(self.line, Finding::BadHeight, bounded(self.height.trim()));
        }
        height.map(Length::from_m)
    }
}

fn next_text(text: &mut String) -> &mut String {
    if !text.is_empty() {
        text.push('|');
    }
    text
}

/// Position from the attributes. An attribute that is there twice is ill-formed and its value unknown.
fn position(element: &BytesStart) -> Result<Position, Finding> {
    let (mut lat, mut lon) = (None, None);
    for attribute in element.attributes().with_checks(false) {
        let attribute = attribute.map_err(|_| Finding::Unreadable)?;
        let target = match attribute.key.as_ref() {
            "lat" => &mut lat,
            "lon" => &mut lon,
            _ => continue,
        };
        let value = number(&attribute.value).or_else(|| {
            // Character references in a number are legal, if never seen.
            number(&attribute.normalized_value(XmlVersion::Implicit1_0).ok()?)
        });
        if target.replace(value.ok_or(Finding::Unreadable)?).is_some() {
            return Err(Finding::Unreadable);
        }
    }
    let (lat, lon) = lat.zip(lon).ok_or(Finding::Unreadable)?;
    if lat.abs() > 90.0 || lon.abs() > 180.0 {
        return Err(Finding::OutOfRange);
    }
    if lat == 0.0 && lon == 0.0 {
        return Err(Finding::NullIsland);
    }
    Position::new(lat, lon).ok_or(Finding::Unreadable)
}

/// A finite number.
fn number(text: &str) -> Option<f64> {
    text.trim()
        .parse()
        .ok()
        .filter(|value: &f64| value.is_finite())
}

/// A second numbered 60 becomes the first of the next minute, as clocks that know no leap seconds
/// count; else differences of times would come out a second short.
fn without_leap_second(time: DateTime<Utc>) -> DateTime<Utc> {
    const SECOND_NS: u32 = 1_000_000_000;
    match time.timestamp_subsec_nanos().checked_sub(SECOND_NS) {
        None => time,
        Some(nanos) => DateTime::from_timestamp(time.timestamp() + 1, nanos).unwrap_or(time),
    }
}

/// A raw value for the ledger: cut to [`RAW_CHARS`], without control characters.
pub(super) fn bounded(raw: &str) -> String {
    let mut chars = raw.trim().chars();
    let mut text: String = chars
        .by_ref()
        .take(RAW_CHARS)
        .map(|c| if c.is_control() { ' ' } else { c })
        .collect();
    if chars.next().is_some() {
        text.push('…');
    }
    text
}
