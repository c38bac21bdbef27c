//! The elements of a KML file: OGC KML 2.3 (12-007r2), and the same `Track` as the extension of
//! KML 2.2 (07-147r2) which it came from, whatever their namespace prefix.
//!
//! Of the tree only the containers, `Placemark / name`, `MultiTrack` and `Track / (altitudeMode, when,
//! coord)` are read; everything else is stepped over with all it holds. The n-th `when` belongs to the
//! n-th `coord` (12-007r2, `Track`: as many of the one as of the other).
//!
//! A `LineString` is no log, even where its `Placemark` has a `TimeSpan`: when the aircraft was where on
//! it is not recorded, and to spread the span evenly would make up ground speeds, turns and gaps.

use super::begun::Begun;
use super::source::Source;
use super::values::{Zone, bounded, height, moment, number, place, xsd_time};
use super::xml::{self, Elements, Fault, Lines};
use super::{ROLE, ReadSettings, file_name, unreadable};
use crate::geodesy::Position;
use crate::input::InputError;
use crate::track::{Finding, Fix, HeightKind, Ledger, LocalTime, LogTrack, Reading};
use chrono::{DateTime, Utc};
use quick_xml::events::BytesStart;
use std::path::Path;

/// Reads a KML file from `source`.
pub(super) fn read(
    path: &Path,
    source: Source,
    settings: ReadSettings,
) -> Result<Reading, InputError> {
    let mut log = Log {
        local: settings.local,
        ..Log::default()
    };
    let (result, source) = xml::read(source, &mut log);
    if let Err(fault) = result {
        let good = log.segments.iter().map(Vec::len).sum::<usize>() + log.track.pairs();
        let (line, what) = xml::settle(path, fault, good, settings)?;
        log.end_track(true);
        log.end_placemark();
        log.ledger.add(line, Finding::Truncated, what);
    }
    let source = source
        .finish(ROLE, file_name(path))
        .map_err(|cause| unreadable(path, &cause))?;
    if log.points == 0 {
        return Err(log.no_points(path));
    }
    // 12-007r2: altitudes in mode absolute are above the vertical datum, the EGM96 geoid, which stands
    // for mean sea level. In the other modes they are not read.
    let height_kind = HeightKind::MeanSeaLevel;
    Ok(Reading::of_tracks(
        source,
        log.tracks,
        log.segments,
        height_kind,
        log.ledger,
    ))
}

/// An element that was entered.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Open {
    Container,
    Placemark,
    Name,
    Geometries,
    MultiTrack,
    MultiTrackMode,
    Track,
    TrackMode,
    When,
    Coord,
}

#[derive(Default)]
struct Log {
    /// The elements entered, the root not among them.
    open: Vec<Open>,
    /// Text of the element being read.
    text: String,
    local: Option<LocalTime>,
    /// Name of the placemark open.
    placemark: Option<String>,
    tracks: Vec<LogTrack>,
    /// The track of the placemark open: all its `Track`s together.
    begun: Option<Begun>,
    /// `altitudeMode` of the `MultiTrack`, for those of its tracks that have none.
    mode: Option<String>,
    track: Pairs,
    segments: Vec<Vec<Fix>>,
    ledger: Ledger,
    /// Positions found in tracks, good or bad.
    points: usize,
    lines: usize,
    spans: usize,
    places: usize,
}

impl Elements for Log {
    const ROOT: &'static str = "kml";

    fn root(&mut self, _prefix: &str) {}

    fn open(&mut self, element: &BytesStart, lines: &mut Lines) -> Result<bool, Fault> {
        use Open::{
            Container, Coord, Geometries, MultiTrack, MultiTrackMode, Name, Placemark, Track,
            TrackMode, When,
        };
        let name = element.name();
        let full: &str = name.as_ref();
        let local = full.rsplit(':').next().unwrap_or(full);
        let entered = match (self.open.last(), local) {
            (None | Some(Container), "Document" | "Folder") => Container,
            (None | Some(Container), "Placemark") => {
                self.end_placemark();
                Placemark
            }
            (Some(Placemark), "name") if self.placemark.is_none() => Name,
            (Some(Placemark | Geometries), "MultiGeometry") => Geometries,
            (Some(Placemark | Geometries), "MultiTrack") => {
                self.mode = None;
                MultiTrack
            }
            (Some(MultiTrack), "altitudeMode") => MultiTrackMode,
            (Some(Placemark | Geometries | MultiTrack), "Track") => {
                self.begin_track(lines.marked_line(), self.open.last() == Some(&MultiTrack));
                Track
            }
            (Some(Track), "altitudeMode") => TrackMode,
            (Some(Track), "when") => When,
            (Some(Track), "coord") => Coord,
            (Some(Placemark | Geometries), _) => {
                self.lines += usize::from(local == "LineString");
                self.spans += usize::from(local == "TimeSpan");
                self.places += usize::from(local == "Point");
                return Ok(false);
            }
            _ => return Ok(false),
        };
        if matches!(entered, When | Coord) {
            self.track.line = lines.marked_line();
        }
        self.text.clear();
        self.open.push(entered);
        Ok(true)
    }

    fn close(&mut self) {
        match self.open.pop() {
            Some(Open::Name) => self.placemark = Some(bounded(&self.text)),
            Some(Open::MultiTrackMode) => self.mode = Some(self.text.trim().to_owned()),
            Some(Open::TrackMode) => self.track.mode = Some(self.text.trim().to_owned()),
            Some(Open::When) => self.track.add_time(&self.text),
            Some(Open::Coord) => {
                self.points += 1;
                self.track.add_place(&self.text);
            }
            Some(Open::Track) => self.end_track(false),
            Some(Open::Placemark) => self.end_placemark(),
            _ => {}
        }
    }

    fn text(&mut self) -> Option<&mut String> {
        use Open::{Coord, MultiTrackMode, Name, TrackMode, When};
        matches!(
            self.open.last()?,
            Name | MultiTrackMode | TrackMode | When | Coord
        )
        .then_some(&mut self.text)
    }

    fn held(&self) -> (usize, usize, &Ledger) {
        let points = self.points.max(self.track.times.len());
        (points, self.tracks.len(), &self.ledger)
    }
}

impl Log {
    fn begin_track(&mut self, line: u32, of_several: bool) {
        if self.begun.is_none() {
            self.begun = Some(Begun::at(line, &self.segments, &self.ledger));
        }
        self.track = Pairs {
            begin: line,
            mode: self.mode.clone().filter(|_| of_several),
            ..Pairs::default()
        };
    }

    /// The name of a placemark may stand after its track.
    fn end_placemark(&mut self) {
        let name = self.placemark.take();
        if let Some(begun) = self.begun.take() {
            let track = begun.named(name).end(&self.segments, &self.ledger);
            self.tracks.push(track);
        }
    }

    fn end_track(&mut self, broken_off: bool) {
        let track = std::mem::take(&mut self.track);
        let segment = track.finish(broken_off, self.local, &mut self.ledger);
        if !segment.is_empty() {
            self.segments.push(segment);
        }
    }

    fn no_points(&self, path: &Path) -> InputError {
        let (problem, hint) = match (self.lines, self.spans, self.places) {
            (0, _, 0) => ("the file holds no track point", NEEDED),
            (0, _, _) => ("the file holds places, but no track point", NEEDED),
            (_, 0, _) => ("the file holds drawn lines, not a recorded track", NEEDED),
            _ => (
                "the file holds lines with one span of time each, not a time for every position",
                "when the aircraft was where on them is not recorded; a log needs <Track> with as \
                 many <when> as <coord>",
            ),
        };
        InputError::new(path, None, problem, hint)
    }
}

/// What a KML log needs.
const NEEDED: &str = "a log needs <Track> with as many <when> as <coord>";

/// What a `<coord>` gives, or why it gives none, with the raw value.
type Place = Result<(Position, Option<Altitude>), (Finding, String)>;

/// Metres if it is a number, and the raw value.
type Altitude = (Option<f64>, String);

/// What a `<when>` gives, and the raw value.
struct When {
    line: u32,
    time: Result<(DateTime<Utc>, Zone), Finding>,
    raw: String,
}

struct Coord {
    line: u32,
    place: Place,
    /// How many `<when>` stand before it.
    times_before: usize,
}

/// The times and places of one `Track`.
#[derive(Default)]
struct Pairs {
    /// Line of the `Track`.
    begin: u32,
    /// Line of the element being read.
    line: u32,
    mode: Option<String>,
    times: Vec<When>,
    places: Vec<Coord>,
}

impl Pairs {
    fn pairs(&self) -> usize {
        self.times.len().min(self.places.len())
    }

    fn add_time(&mut self, text: &str) {
        let line = self.line;
        self.times.push(When {
            line,
            time: xsd_time(text),
            raw: bounded(text),
        });
    }

    fn add_place(&mut self, text: &str) {
        self.places.push(Coord {
            line: self.line,
            place: coordinates(text).map_err(|finding| (finding, bounded(text))),
            times_before: self.times.len(),
        });
    }

    /// The fixes. Of a track that was broken off, those at its beginning are paired.
    fn finish(self, broken_off: bool, local: Option<LocalTime>, ledger: &mut Ledger) -> Vec<Fix> {
        let heights = self.heights_count(ledger);
        let Self { times, places, .. } = self;
        let mut fixes = Vec::with_capacity(places.len());
        let mut both = |time: When, coord: Coord, ledger: &mut Ledger| {
            fixes.extend(fix(time, coord, (heights, local), ledger));
        };
        if times.len() == places.len() || broken_off {
            for (time, coord) in times.into_iter().zip(places) {
                both(time, coord, ledger);
            }
        } else if times.is_empty() {
            for coord in places {
                ledger.add(coord.line, Finding::NoTime, "");
            }
        } else if in_turn(&places, times.len()) {
            // One of a pair is missing here and there: what stands right behind its time has that time.
            let mut times = times.into_iter().enumerate().peekable();
            for coord in places {
                let mut own = None;
                while let Some((_, time)) = times.next_if(|(i, _)| *i < coord.times_before) {
                    if let Some(alone) = own.replace(time) {
                        unpaired_time(&alone, ledger);
                    }
                }
                match own {
                    Some(time) => both(time, coord, ledger),
                    None => ledger.add(coord.line, Finding::Unpaired, "a position without a time"),
                }
            }
            for (_, time) in times {
                unpaired_time(&time, ledger);
            }
        } else {
            let raw = format!("{} times for {} positions", times.len(), places.len());
            for coord in places {
                ledger.add(coord.line, Finding::Unpaired, raw.as_str());
            }
        }
        fixes
    }

    /// Whether the altitudes are heights. If they are not and something was recorded in them, the
    /// ledger says so once for the track.
    fn heights_count(&self, ledger: &mut Ledger) -> bool {
        let mode = self.mode.as_deref();
        if mode == Some("absolute") {
            return true;
        }
        let recorded = |coord: &Coord| matches!(&coord.place, Ok((_, Some((metres, _)))) if *metres != Some(0.0));
        if self.places.iter().any(recorded) {
            // 12-007r2: clampToGround is the default, and means that altitudes are not looked at.
            let raw = mode.map_or_else(
                || "no altitudeMode, which means clampToGround".to_owned(),
                |mode| format!("altitudeMode {mode}"),
            );
            ledger.add(self.begin, Finding::BadHeight, bounded(&raw));
        }
        false
    }
}

fn unpaired_time(time: &When, ledger: &mut Ledger) {
    ledger.add(time.line, Finding::Unpaired, "a time without a position");
}

/// Whether times and positions stand in turn, rather than all times, or some of them, first. Chosen: more
/// than three quarters of them do; of times and positions in twos it would be half.
fn in_turn(places: &[Coord], times: usize) -> bool {
    let mut direct = 0;
    let mut before = 0;
    for coord in places {
        direct += usize::from(coord.times_before > before);
        before = coord.times_before;
    }
    4 * direct > 3 * times.max(places.len())
}

fn fix(
    time: When,
    coord: Coord,
    (heights, local): (bool, Option<LocalTime>),
    ledger: &mut Ledger,
) -> Option<Fix> {
    let line = coord.line;
    let (position, altitude) = coord
        .place
        .map_err(|(finding, raw)| ledger.add(line, finding, raw))
        .ok()?;
    let (at, finding) = match time.time {
        Err(finding) => {
            ledger.add(time.line, finding, time.raw);
            return None;
        }
        Ok((at, zone)) => moment(at, zone, local),
    };
    if let Some(finding) = finding {
        ledger.add(time.line, finding, time.raw);
    }
    let height = altitude
        .filter(|_| heights)
        .and_then(|(metres, raw)| height(metres, &raw, line, ledger));
    Some(Fix {
        time: at,
        position,
        height,
        line,
        file: 0,
    })
}

/// `longitude latitude altitude`, separated by spaces; the altitude may be missing. That it is 0 then is
/// for drawing: nothing was recorded.
fn coordinates(text: &str) -> Result<(Position, Option<Altitude>), Finding> {
    let mut parts = text.split_ascii_whitespace();
    let (lon, lat) = parts.next().zip(parts.next()).ok_or(Finding::Unreadable)?;
    let altitude = parts.next().map(|raw| (number(raw), raw.to_owned()));
    if parts.next().is_some() {
        return Err(Finding::Unreadable);
    }
    let (lon, lat) = number(lon).zip(number(lat)).ok_or(Finding::Unreadable)?;
    Ok((place(lat, lon)?, altitude))
}
