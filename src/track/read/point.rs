//! One `<trkpt>`: its attributes and the text of its elements, turned into a [`Fix`] or a finding.
//!
//! GPX 1.1 (<http://www.topografix.com/GPX/1/1>): `lat` and `lon` are decimal degrees, WGS 84; `ele`
//! is in metres; `time` is UTC, ISO 8601, fractional seconds allowed (type `xsd:dateTime`, so an
//! offset is allowed as well).

use super::values::{self, bounded, height, moment, number, place, xsd_time};
use crate::geodesy::Position;
use crate::track::{Finding, Fix, Ledger, LocalTime};
use crate::units::Length;
use chrono::{DateTime, Utc};
use quick_xml::XmlVersion;
use quick_xml::events::BytesStart;

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
    pub(super) fn finish(&mut self, local: Option<LocalTime>, ledger: &mut Ledger) -> Option<Fix> {
        if let Some((finding, mut raw)) = self.fault.take() {
            let [height, time] = self.texts();
            let rest = values::point([("ele", height), ("time", time)]);
            if !raw.is_empty() && !rest.is_empty() {
                raw.push(' ');
            }
            ledger.add(self.line, finding, raw + &rest);
            return None;
        }
        let position = self.position.take()?;
        let time = self.time(position, local, ledger)?;
        let height = self.height(position, ledger);
        Some(Fix {
            time,
            position,
            height: height.into(),
            line: self.line,
            file: 0,
        })
    }

    /// All that was recorded of it, for the ledger.
    fn whole(&self, position: Position) -> String {
        let [height, time] = self.texts();
        values::point([
            ("lat", Some(&position.lat().to_string())),
            ("lon", Some(&position.lon().to_string())),
            ("ele", height),
            ("time", time),
        ])
    }

    /// Its `<ele>` and `<time>`, as far as they are given.
    fn texts(&self) -> [Option<&str>; 2] {
        let (height, time) = (self.height.as_str(), self.time.as_str());
        [
            self.height_given.then_some(height),
            Some(time).filter(|time| !time.is_empty()),
        ]
    }

    fn time(
        &self,
        position: Position,
        local: Option<LocalTime>,
        ledger: &mut Ledger,
    ) -> Option<DateTime<Utc>> {
        match xsd_time(&self.time) {
            Ok((time, zone)) => {
                let (time, finding) = moment(time, zone, local);
                if let Some(finding) = finding {
                    ledger.add(self.line, finding, self.whole(position));
                }
                Some(time)
            }
            Err(finding) => {
                ledger.add(self.line, finding, self.whole(position));
                None
            }
        }
    }

    fn height(&self, position: Position, ledger: &mut Ledger) -> Option<Length> {
        let raw = || self.whole(position);
        self.height_given
            .then(|| height(number(&self.height), raw, self.line, ledger))?
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
    place(lat, lon)
}
