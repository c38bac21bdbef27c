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

use super::begun::Begun;
use super::instant::{DateOrder, Instant, instant};
use super::json::{Json, Members};
use super::limits;
use super::source::Source;
use super::values::{bounded, height, moment, place};
use super::{ROLE, ReadSettings, file_name, unreadable};
use crate::input::InputError;
use crate::track::{Finding, Fix, HeightKind, Ledger, LocalTime, LogTrack, Reading};
use chrono::{DateTime, Utc};
use serde_json::value::RawValue;
use std::collections::HashMap;
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

/// Properties of our own for heights that are not above the ellipsoid, which RFC 7946 has no room for: of a
/// line as many as positions and nested alike, of a point one, in metres; and what they are measured from.
const HEIGHTS: &str = "heights_m";
const HEIGHT: &str = "height_m";
const HEIGHT_KIND: &str = "height_kind";

/// Properties of our own that tell which track and segment a point belongs to.
const POINT_PART: [&str; 3] = ["track_number", "track_name", "segment"];

type Properties<'a> = HashMap<String, &'a RawValue>;

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
        local: settings.local,
        lines: Found::default(),
        points: Found::default(),
        part: None,
        timeless_lines: 0,
        features: 0,
    };
    log.read(json.whole()?)?;
    log.finish(source)
}

struct Log<'a> {
    json: &'a Json<'a>,
    local: Option<LocalTime>,
    /// What lines with times gave.
    lines: Found,
    /// What points gave. They are the track only if no line is.
    points: Found,
    /// What the point read last says of its track and segment.
    part: Option<[String; 3]>,
    timeless_lines: usize,
    features: usize,
}

/// Tracks that were found.
#[derive(Default)]
struct Found {
    tracks: Vec<LogTrack>,
    /// The track being read.
    begun: Option<Begun>,
    segments: Vec<Vec<Fix>>,
    /// The segment being read.
    segment: Vec<Fix>,
    ledger: Ledger,
    /// Positions, good or bad.
    positions: usize,
    /// What the heights are measured from.
    kind: Option<HeightKind>,
}

impl Found {
    fn begin(&mut self, line: u32, name: Option<String>) {
        self.end();
        self.begun = Some(Begun::at(line, &self.segments, &self.ledger).named(name));
    }

    fn end_segment(&mut self) {
        if !self.segment.is_empty() {
            self.segments.push(std::mem::take(&mut self.segment));
        }
    }

    fn end(&mut self) {
        self.end_segment();
        let ended = self.begun.take();
        self.tracks
            .extend(ended.map(|track| track.end(&self.segments, &self.ledger)));
    }

    fn heights_are(&mut self, kind: HeightKind) {
        let all = self.kind.get_or_insert(kind);
        if *all != kind {
            *all = HeightKind::Mixed;
        }
    }
}

/// Refuses what no log has so much of.
fn held(json: &Json<'_>, at: &RawValue, found: &Found) -> Result<(), InputError> {
    limits::held(found.positions, found.tracks.len(), &found.ledger)
        .map_err(|excess| json.error(at, excess.to_string(), excess.hint()))
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
                self.point(feature, coordinates, &properties);
                held(json, feature, &self.points)
            }
            Some(kind @ ("LineString" | "MultiLineString")) => {
                self.line(feature, coordinates, &properties, kind == "MultiLineString")
            }
            _ => Ok(()),
        }
    }

    fn point(&mut self, feature: &RawValue, coordinates: &RawValue, properties: &Properties<'a>) {
        let json = self.json;
        let at = Spot {
            line: json.line_of(feature),
            number: self.features,
            what: "feature",
        };
        let part = POINT_PART.map(|name| {
            let value = properties.get(name).copied();
            let number = value.map(|value| value.get().to_owned());
            json.text(value).or(number).unwrap_or_default()
        });
        let same_track = self
            .part
            .as_ref()
            .is_some_and(|last| last[..2] == part[..2]);
        if !same_track {
            self.points.begin(at.line, Some(part[1].clone()));
        } else if self.part.as_ref() != Some(&part) {
            self.points.end_segment();
        }
        self.part = Some(part);
        let time = POINT_TIME.iter().find_map(|name| properties.get(*name));
        let height = properties.get(HEIGHT).copied();
        self.points
            .heights_are(json.height_kind(properties, height));
        let fix = fix(
            (json, self.local),
            at,
            (coordinates, time.copied(), height),
            &mut self.points,
        );
        self.points.segment.extend(fix);
    }

    fn line(
        &mut self,
        feature: &RawValue,
        coordinates: &'a RawValue,
        properties: &Properties<'a>,
        several: bool,
    ) -> Result<(), InputError> {
        let json = self.json;
        let times = LINE_TIMES
            .iter()
            .find_map(|name| json.items(properties.get(*name)?))
            .or_else(|| {
                let of_each = json.object(properties.get("coordinateProperties").copied());
                json.items(of_each.get("times")?)
            });
        let Some(times) = times else {
            self.timeless_lines += 1;
            return Ok(());
        };
        let name = json.text(properties.get("name").copied());
        self.lines.begin(json.line_of(feature), name);
        let heights = properties.get(HEIGHTS).and_then(|of| json.items(of));
        let given = heights.is_some().then(|| properties.get(HEIGHTS).copied());
        let kind = json.height_kind(properties, given.flatten());
        self.lines.heights_are(kind);
        let parts = if several {
            json.items(coordinates).unwrap_or_default()
        } else {
            vec![coordinates]
        };
        let positions: Vec<Vec<&RawValue>> = parts
            .iter()
            .map(|part| json.items(part).unwrap_or_default())
            .collect();
        let lengths: Vec<usize> = positions.iter().map(Vec::len).collect();
        let times = json.of_parts(times, &lengths, several);
        let heights = heights.map(|of| json.of_parts(of, &lengths, several));
        for (index, positions) in positions.iter().enumerate() {
            let heights = heights.as_ref().map(|of| of[index].as_slice());
            self.part(positions, &times[index], heights)?;
        }
        self.lines.end();
        Ok(())
    }

    /// One run of positions, its times, and its heights if they stand apart.
    fn part(
        &mut self,
        positions: &[&RawValue],
        times: &[&RawValue],
        heights: Option<&[&RawValue]>,
    ) -> Result<(), InputError> {
        for (index, position) in positions.iter().enumerate() {
            held(self.json, position, &self.lines)?;
            let at = Spot {
                line: self.json.line_of(position),
                number: index + 1,
                what: "position",
            };
            if positions.len() == times.len() {
                let height = heights.and_then(|of| of.get(index)).copied();
                let fix = fix(
                    (self.json, self.local),
                    at,
                    (position, Some(times[index]), height),
                    &mut self.lines,
                );
                self.lines.segment.extend(fix);
            } else {
                let raw = format!(
                    "{} times for {} positions: {}",
                    times.len(),
                    positions.len(),
                    bounded(position.get())
                );
                self.lines.positions += 1;
                self.lines.ledger.add(at.line, Finding::Unpaired, raw);
            }
        }
        self.lines.end_segment();
        Ok(())
    }

    fn finish(mut self, source: crate::input::InputFile) -> Result<Reading, InputError> {
        self.points.end();
        let found = if self.lines.positions > 0 {
            self.lines
        } else {
            self.points
        };
        if found.positions == 0 {
            let problem = if self.timeless_lines > 0 {
                "the file holds lines without times, as drawn lines and plans are"
            } else {
                "the file holds no line and no point"
            };
            return Err(InputError::new(self.json.path(), None, problem, NEEDED));
        }
        Ok(Reading::of_tracks(
            source,
            found.tracks,
            found.segments,
            found.kind.unwrap_or(HeightKind::Ellipsoid),
            found.ledger,
        ))
    }
}

/// A fix, from a position, its time, and its height if that stands apart.
fn fix(
    (json, local): (&Json<'_>, Option<LocalTime>),
    at: Spot,
    (position, time, apart): (&RawValue, Option<&RawValue>, Option<&RawValue>),
    found: &mut Found,
) -> Option<Fix> {
    found.positions += 1;
    let ledger = &mut found.ledger;
    let numbers = json.numbers(position);
    let placed = match numbers.as_slice() {
        [Some(lon), Some(lat), ..] => place(*lat, *lon),
        _ => Err(Finding::Unreadable),
    };
    let whole = || at.raw(&[Some(position), time, apart]);
    let place = placed
        .map_err(|finding| ledger.add(at.line, finding, whole()))
        .ok()?;
    let time = json.time(at, (time, &whole), local, ledger)?;
    let height = match (apart, numbers.get(2)) {
        (Some(apart), _) if apart.get() == "null" => None,
        (Some(apart), _) => {
            let metres = serde_json::from_str(apart.get()).ok();
            height(metres, whole, at.line, ledger)
        }
        // null stands for "no height" with those who write it.
        (None, None) => None,
        (None, Some(None)) if position.get().contains("null") => None,
        (None, Some(metres)) => height(*metres, whole, at.line, ledger),
    };
    Some(Fix {
        time,
        position: place,
        height: height.into(),
        line: at.line,
        file: 0,
    })
}

/// Where a position stands. The number is for files that are one long line.
#[derive(Clone, Copy)]
struct Spot {
    line: u32,
    number: usize,
    what: &'static str,
}

impl Spot {
    /// All that was recorded of it, for the ledger: position, time and height as they stand.
    fn raw(self, values: &[Option<&RawValue>]) -> String {
        let mut text = format!("{} {}:", self.what, self.number);
        for value in values.iter().flatten() {
            text.push(' ');
            text.push_str(&bounded(value.get()));
        }
        text
    }
}

impl<'a> Json<'a> {
    /// Values that belong to the positions of a line, sorted by its parts: nested like the positions, or all
    /// in one array. Parts for which there are none come out empty.
    fn of_parts(
        &self,
        values: Vec<&'a RawValue>,
        lengths: &[usize],
        several: bool,
    ) -> Vec<Vec<&'a RawValue>> {
        let mut of_parts: Vec<Vec<&RawValue>> = Vec::new();
        if !several {
            of_parts.push(values);
        } else if values.iter().any(|value| self.items(value).is_some()) {
            let nested = values
                .iter()
                .map(|part| self.items(part).unwrap_or_default());
            of_parts.extend(nested);
        } else if values.len() == lengths.iter().sum::<usize>() {
            // All in one array, though the positions are in several.
            let mut rest = values.as_slice();
            for length in lengths {
                let (own, others) = rest.split_at(*length);
                of_parts.push(own.to_vec());
                rest = others;
            }
        }
        of_parts.resize(lengths.len().max(of_parts.len()), Vec::new());
        of_parts
    }

    /// What the heights of a feature are measured from: where they stand apart from the positions, what
    /// the property says; in the positions, the ellipsoid.
    fn height_kind(&self, properties: &Properties<'a>, apart: Option<&RawValue>) -> HeightKind {
        if apart.is_none() {
            return HeightKind::Ellipsoid;
        }
        let named = self.text(properties.get(HEIGHT_KIND).copied());
        let mut known = HeightKind::ALL.into_iter();
        known
            .find(|kind| named.as_deref() == Some(kind.name()))
            .unwrap_or(HeightKind::Unknown)
    }

    /// A time as text or as a number; what is none goes into the ledger.
    fn time(
        &self,
        at: Spot,
        (value, whole): (Option<&RawValue>, &impl Fn() -> String),
        local: Option<LocalTime>,
        ledger: &mut Ledger,
    ) -> Option<DateTime<Utc>> {
        let Some(value) = value.filter(|value| value.get() != "null") else {
            ledger.add(at.line, Finding::NoTime, whole());
            return None;
        };
        let text = self
            .text(Some(value))
            .unwrap_or_else(|| value.get().to_owned());
        match instant(&text, DateOrder::YearFirst) {
            Instant::At(time, zone) => {
                let (time, finding) = moment(time, zone, local);
                if let Some(finding) = finding {
                    ledger.add(at.line, finding, whole());
                }
                Some(time)
            }
            Instant::WhichOrder | Instant::Unreadable => {
                ledger.add(at.line, Finding::BadTime, whole());
                None
            }
        }
    }
}
