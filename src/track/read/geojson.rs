//! Tracks in GeoJSON (RFC 7946): a `Feature` with a `LineString` or a `MultiLineString` and the times of its
//! positions among its properties, or a `FeatureCollection` of `Point`s with a time each.
//!
//! RFC 7946 knows no times. Where they stand is common practice, no source: a member `coordTimes`,
//! `coordinateTimes`, `times`, `time`, `timestamps` or `coordinateProperties / times` with as many times as
//! positions (nested as the positions are), or, of a point, a member `time`, `timestamp`, `when`, `datetime`
//! or `date_time`. The third number of a position is its height in metres above the WGS 84 ellipsoid
//! (RFC 7946, 3.1.1).
//!
//! Values are kept as slices of the text until they are looked at, so that each has its line, one bad
//! position costs itself alone, and no nesting is followed deeper than a track needs.

use super::instant::{DateOrder, Instant, instant};
use super::json::{Json, Members};
use super::limits;
use super::source::Source;
use super::values::{bounded, height, place};
use super::{ROLE, ReadSettings, file_name, unreadable};
use crate::input::InputError;
use crate::track::{Finding, Fix, HeightKind, Ledger, Reading};
use chrono::{DateTime, Utc};
use serde_json::value::RawValue;
use std::io::Read;
use std::path::Path;

/// Largest file, bytes: it is held in memory, and its values take several times as much. Chosen: 64 MiB are
/// twelve days of a fix a second in a line, or four days with a feature each.
const MOST_BYTES: u64 = 1 << 26;

/// Properties that hold the times of a line.
const LINE_TIMES: [&str; 5] = [
    "coordTimes",
    "coordinateTimes",
    "times",
    "time",
    "timestamps",
];

/// Properties that hold the time of a point.
const POINT_TIME: [&str; 5] = ["time", "timestamp", "when", "datetime", "date_time"];

const NEEDED: &str = "a log needs a LineString with as many times in its property coordTimes as \
                      positions, or Points with a property time each";

/// Reads a GeoJSON file from `source`.
pub(super) fn read(
    path: &Path,
    mut source: Source,
    settings: ReadSettings,
) -> Result<Reading, InputError> {
    let mut bytes = Vec::new();
    source
        .by_ref()
        .take(MOST_BYTES + 1)
        .read_to_end(&mut bytes)
        .map_err(|cause| unreadable(path, &cause))?;
    if bytes.len() as u64 > MOST_BYTES {
        let problem = format!("the JSON is larger than {} MiB", MOST_BYTES >> 20);
        let hint = "cut the log to the flight";
        return Err(InputError::new(path, None, problem, hint));
    }
    let source = source
        .finish(ROLE, file_name(path))
        .map_err(|cause| unreadable(path, &cause))?;
    let json = Json::of(path, &bytes, settings.salvage)?;
    let mut log = Log {
        json: &json,
        name: None,
        lines: Vec::new(),
        line_ledger: Ledger::default(),
        line_points: 0,
        points: Vec::new(),
        point_ledger: Ledger::default(),
        point_count: 0,
        timeless_lines: 0,
        features: 0,
    };
    log.read(json.whole()?)?;
    log.finish(source)
}

struct Log<'a> {
    json: &'a Json<'a>,
    name: Option<String>,
    /// What lines with times gave, and how many positions they have.
    lines: Vec<Vec<Fix>>,
    line_ledger: Ledger,
    line_points: usize,
    /// What points gave. They are the track only if no line is.
    points: Vec<Fix>,
    point_ledger: Ledger,
    point_count: usize,
    timeless_lines: usize,
    features: usize,
}

impl<'a> Log<'a> {
    fn read(&mut self, whole: &'a RawValue) -> Result<(), InputError> {
        let json = self.json;
        let members = json.members(whole)?;
        match json.text(members.kind).as_deref() {
            Some("FeatureCollection") => {
                let features = members
                    .features
                    .and_then(|features| json.items(features))
                    .ok_or_else(|| {
                        json.error(
                            whole,
                            "the FeatureCollection has no array of features",
                            NEEDED,
                        )
                    })?;
                for feature in features {
                    let members = json.members(feature)?;
                    self.feature(feature, &members)?;
                }
                Ok(())
            }
            Some("Feature") => self.feature(whole, &members),
            Some(
                "Point" | "MultiPoint" | "LineString" | "MultiLineString" | "Polygon"
                | "MultiPolygon" | "GeometryCollection",
            ) => Err(json.error(
                whole,
                "the file holds a bare geometry, which has no times",
                NEEDED,
            )),
            Some(other) => {
                let problem = format!("the JSON is an object of the type \"{}\"", bounded(other));
                Err(json.error(
                    whole,
                    problem,
                    "a Feature or a FeatureCollection is accepted",
                ))
            }
            None => Err(json.error(
                whole,
                "the JSON is no GeoJSON: its object has no type",
                "a Feature or a FeatureCollection is accepted",
            )),
        }
    }

    fn feature(&mut self, feature: &'a RawValue, members: &Members<'a>) -> Result<(), InputError> {
        let json = self.json;
        self.features += 1;
        // RFC 7946, 3.2: a feature without a place has a null geometry.
        let Some(geometry) = members.geometry else {
            return Ok(());
        };
        let geometry = json.members(geometry)?;
        let properties = json.object(members.properties);
        let Some(coordinates) = geometry.coordinates else {
            return Ok(());
        };
        match json.text(geometry.kind).as_deref() {
            Some("Point") => {
                let time = POINT_TIME.iter().find_map(|name| properties.get(*name));
                self.point(feature, coordinates, time.copied());
                self.held(feature, self.point_count, Which::Points)
            }
            Some(kind @ ("LineString" | "MultiLineString")) => {
                let several = kind == "MultiLineString";
                let times = LINE_TIMES
                    .iter()
                    .find_map(|name| json.items(properties.get(*name)?))
                    .or_else(|| {
                        let of_each = json.object(properties.get("coordinateProperties").copied());
                        json.items(of_each.get("times")?)
                    });
                if self.name.is_none() && times.is_some() {
                    let name = properties.get("name").copied();
                    self.name = json.text(name).map(|name| bounded(&name));
                    self.name.take_if(|name| name.is_empty());
                }
                self.line(coordinates, times, several)
            }
            _ => Ok(()),
        }
    }

    fn point(&mut self, feature: &RawValue, coordinates: &RawValue, time: Option<&RawValue>) {
        self.point_count += 1;
        let at = Spot {
            line: self.json.line_of(feature),
            number: self.features,
            what: "feature",
        };
        let fix = self.fix(at, coordinates, time, Which::Points);
        self.points.extend(fix);
    }

    /// Refuses what no log has so much of.
    fn held(&self, at: &RawValue, points: usize, which: Which) -> Result<(), InputError> {
        let ledger = match which {
            Which::Points => &self.point_ledger,
            Which::Lines => &self.line_ledger,
        };
        limits::held(points, ledger)
            .map_err(|excess| self.json.error(at, excess.to_string(), excess.hint()))
    }

    fn line(
        &mut self,
        coordinates: &'a RawValue,
        times: Option<Vec<&'a RawValue>>,
        several: bool,
    ) -> Result<(), InputError> {
        let json = self.json;
        let Some(times) = times else {
            self.timeless_lines += 1;
            return Ok(());
        };
        let parts = if several {
            json.items(coordinates).unwrap_or_default()
        } else {
            vec![coordinates]
        };
        let positions: Vec<Vec<&RawValue>> = parts
            .iter()
            .map(|part| json.items(part).unwrap_or_default())
            .collect();
        let total: usize = positions.iter().map(Vec::len).sum();
        let mut of_parts: Vec<Vec<&RawValue>> = Vec::new();
        if !several {
            of_parts.push(times);
        } else if times.iter().any(|time| json.items(time).is_some()) {
            of_parts.extend(
                times
                    .iter()
                    .map(|part| json.items(part).unwrap_or_default()),
            );
        } else if times.len() == total {
            // All in one array, though the positions are in several.
            let mut rest = times.as_slice();
            for part in &positions {
                let (own, others) = rest.split_at(part.len());
                of_parts.push(own.to_vec());
                rest = others;
            }
        }
        of_parts.resize(positions.len().max(of_parts.len()), Vec::new());
        for (positions, times) in positions.iter().zip(&of_parts) {
            self.part(positions, times)?;
        }
        Ok(())
    }

    /// One run of positions and its times.
    fn part(&mut self, positions: &[&RawValue], times: &[&RawValue]) -> Result<(), InputError> {
        let mut fixes = Vec::with_capacity(positions.len());
        for (index, position) in positions.iter().enumerate() {
            self.line_points += 1;
            self.held(position, self.line_points, Which::Lines)?;
            let at = Spot {
                line: self.json.line_of(position),
                number: index + 1,
                what: "position",
            };
            if positions.len() == times.len() {
                fixes.extend(self.fix(at, position, Some(times[index]), Which::Lines));
            } else {
                let raw = format!("{} times for {} positions", times.len(), positions.len());
                self.line_ledger.add(at.line, Finding::Unpaired, raw);
            }
        }
        if !fixes.is_empty() {
            self.lines.push(fixes);
        }
        Ok(())
    }

    fn fix(
        &mut self,
        at: Spot,
        position: &RawValue,
        time: Option<&RawValue>,
        which: Which,
    ) -> Option<Fix> {
        let json = self.json;
        let ledger = match which {
            Which::Points => &mut self.point_ledger,
            Which::Lines => &mut self.line_ledger,
        };
        let numbers = json.numbers(position);
        let placed = match numbers.as_slice() {
            [Some(lon), Some(lat), ..] => place(*lat, *lon),
            _ => Err(Finding::Unreadable),
        };
        let place = placed
            .map_err(|finding| ledger.add(at.line, finding, at.raw(position.get())))
            .ok()?;
        let time = json.time(at, time, ledger)?;
        let height = match numbers.get(2) {
            // null stands for "no height" with those who write it.
            None => None,
            Some(None) if position.get().contains("null") => None,
            Some(metres) => height(*metres, &at.raw(position.get()), at.line, ledger),
        };
        Some(Fix {
            time,
            position: place,
            height,
            line: at.line,
        })
    }

    fn finish(self, source: crate::input::InputFile) -> Result<Reading, InputError> {
        let (segments, ledger, points) = if self.line_points > 0 {
            (self.lines, self.line_ledger, self.line_points)
        } else {
            let segments = if self.points.is_empty() {
                Vec::new()
            } else {
                vec![self.points]
            };
            (segments, self.point_ledger, self.point_count)
        };
        if points == 0 {
            let problem = if self.timeless_lines > 0 {
                "the file holds lines without times, as drawn lines and plans are"
            } else {
                "the file holds no line and no point"
            };
            return Err(InputError::new(self.json.path(), None, problem, NEEDED));
        }
        Ok(Reading {
            source,
            name: self.name,
            segments,
            height_kind: HeightKind::Ellipsoid,
            ledger,
        })
    }
}

/// Whether points or lines are being read.
#[derive(Clone, Copy)]
enum Which {
    Points,
    Lines,
}

/// Where a position stands. The number is for files that are one long line.
#[derive(Clone, Copy)]
struct Spot {
    line: u32,
    number: usize,
    what: &'static str,
}

impl Spot {
    fn raw(self, value: &str) -> String {
        bounded(&format!("{} {}: {value}", self.what, self.number))
    }
}

impl Json<'_> {
    /// A time as text or as a number; what is none goes into the ledger.
    fn time(
        &self,
        at: Spot,
        value: Option<&RawValue>,
        ledger: &mut Ledger,
    ) -> Option<DateTime<Utc>> {
        let Some(value) = value.filter(|value| value.get() != "null") else {
            ledger.add(at.line, Finding::NoTime, at.raw(""));
            return None;
        };
        let text = self
            .text(Some(value))
            .unwrap_or_else(|| value.get().to_owned());
        match instant(&text, DateOrder::YearFirst) {
            Instant::Zoned(time) => Some(time),
            Instant::Zoneless(time) => {
                ledger.add(at.line, Finding::NoZone, at.raw(&text));
                Some(time)
            }
            Instant::WhichOrder | Instant::Unreadable => {
                ledger.add(at.line, Finding::BadTime, at.raw(&text));
                None
            }
        }
    }
}
