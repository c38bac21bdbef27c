//! The elements of a KML file: OGC KML 2.3 (12-007r2), and the same `Track` as the extension of
//! KML 2.2 (07-147r2) which it came from, whatever their namespace prefix.
//!
//! Of the tree only the containers, `Placemark / name`, `MultiTrack` and `Track / (altitudeMode, when,
//! coord)` are read; everything else is stepped over with all it holds. The n-th `when` belongs to the
//! n-th `coord` (12-007r2, `Track`: as many of the one as of the other).
//!
//! A `LineString` is no log, even where its `Placemark` has a `TimeSpan`: when the aircraft was where on
//! it is not recorded, and to spread the span along it makes up ground speeds, turns and gaps. That is done
//! only if it is asked for (`spread`); then the one line of a placemark is read with its span. Which of
//! several lines with one span was flown when is not said, so they are refused.
//!
//! ```text
//! Placemark ─┬─ Track, MultiTrack ─pairs─────────────────────┬→ segments, tracks
//!            └─ LineString ─line─┬─ TimeSpan ─spread─────────┘
//! ```

pub(super) mod line;
mod pairs;
mod spread;

use super::begun::Begun;
use super::source::Source;
use super::values::bounded;
use super::xml::{self, Elements, Fault, Lines};
use super::{ROLE, ReadSettings, file_name, unreadable};
use crate::input::InputError;
use crate::track::{Finding, Fix, HeightKind, Ledger, LocalTime, LogTrack, Reading};
use line::Line;
use pairs::Pairs;
use quick_xml::events::BytesStart;
use spread::{End, Span, spread};
use std::path::Path;

/// Behind the name of a track whose times were spread, so that it is seen wherever the track goes.
const NOT_RECORDED: &str = "times not recorded";

/// Reads a KML file from `source`.
pub(super) fn read(
    path: &Path,
    source: Source,
    settings: ReadSettings,
) -> Result<Reading, InputError> {
    let mut log = Log {
        local: settings.local,
        spread: settings.spread_times,
        ..Log::default()
    };
    let (result, source) = xml::read(source, &mut log);
    if let Err(fault) = result {
        let good = log.segments.iter().map(Vec::len).sum::<usize>() + log.track.pairs();
        let (line, mut what) = xml::settle(path, fault, good, settings)?;
        log.end_track(true);
        if log.break_off_line() {
            what.push_str("; a line with a span of time breaks off with it and is left out");
        }
        log.end_track_of_placemark();
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
    Line,
    LineMode,
    Coordinates,
    Span,
    Begin,
    End,
}

/// What the placemark open holds that is no track.
#[derive(Default)]
struct Beside {
    lines: usize,
    spans: usize,
    /// Line of its `TimeStamp`.
    stamp: Option<u32>,
    /// Its line, the last one of several, if it is read.
    line: Line,
    span: Span,
}

#[derive(Default)]
struct Log {
    /// The elements entered, the root not among them.
    open: Vec<Open>,
    /// Text of the element being read.
    text: String,
    local: Option<LocalTime>,
    /// Whether lines with a span of time are read.
    spread: bool,
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
    beside: Beside,
    /// Placemarks with lines that were not read, without a span of time and with one.
    lines: usize,
    lines_with_span: usize,
    places: usize,
    /// Line of the element being read.
    line: u32,
}

impl Elements for Log {
    const ROOT: &'static str = "kml";

    fn root(&mut self, _prefix: &str) {}

    fn open(&mut self, element: &BytesStart, lines: &mut Lines) -> Result<bool, Fault> {
        use Open::{
            Begin, Container, Coord, Coordinates, End, Geometries, Line, LineMode, MultiTrack,
            MultiTrackMode, Name, Placemark, Span, Track, TrackMode, When,
        };
        let name = element.name();
        let full: &str = name.as_ref();
        let local = full.rsplit(':').next().unwrap_or(full);
        let entered = match (self.open.last(), local) {
            (None | Some(Container), "Document" | "Folder") => Container,
            (None | Some(Container), "Placemark") => {
                self.end_placemark()?;
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
            (Some(Placemark | Geometries), "LineString") => {
                self.beside.lines += 1;
                if !self.spread {
                    return Ok(false);
                }
                self.beside.line = line::Line::at(lines.marked_line());
                Line
            }
            (Some(Line), "altitudeMode") => LineMode,
            (Some(Line), "coordinates") => {
                self.beside.line.begin_coordinates(lines.marked_line());
                Coordinates
            }
            (Some(Placemark), "TimeSpan") => {
                self.beside.spans += 1;
                if !self.spread {
                    return Ok(false);
                }
                self.beside.span = spread::Span::at(lines.marked_line());
                Span
            }
            (Some(Span), "begin") => Begin,
            (Some(Span), "end") => End,
            (Some(Placemark), "TimeStamp") => {
                self.beside.stamp = Some(lines.marked_line());
                return Ok(false);
            }
            (Some(Placemark | Geometries), _) => {
                self.places += usize::from(local == "Point");
                return Ok(false);
            }
            _ => return Ok(false),
        };
        match entered {
            When | Coord => self.track.line = lines.marked_line(),
            Begin | End => self.line = lines.marked_line(),
            _ => {}
        }
        self.text.clear();
        self.open.push(entered);
        Ok(true)
    }

    fn close(&mut self) -> Result<(), Fault> {
        let (line, span) = (&mut self.beside.line, &mut self.beside.span);
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
            Some(Open::LineMode) => line.mode = Some(self.text.trim().to_owned()),
            Some(Open::Coordinates) => line.end_coordinates(),
            Some(Open::Begin) => {
                span.begin = Some(End::of(self.line, &self.text, span.begin.take()));
            }
            Some(Open::End) => {
                span.end = Some(End::of(self.line, &self.text, span.end.take()));
            }
            Some(Open::Placemark) => self.end_placemark()?,
            _ => {}
        }
        Ok(())
    }

    fn text(&mut self) -> Option<&mut String> {
        use Open::{Begin, Coord, End, LineMode, MultiTrackMode, Name, TrackMode, When};
        matches!(
            self.open.last()?,
            Name | MultiTrackMode | TrackMode | When | Coord | LineMode | Begin | End
        )
        .then_some(&mut self.text)
    }

    fn line(&mut self) -> Option<&mut Line> {
        (self.open.last() == Some(&Open::Coordinates)).then_some(&mut self.beside.line)
    }

    fn held(&self) -> (usize, usize, &Ledger) {
        let points = self.points.max(self.track.times()) + self.beside.line.fixes.len();
        (points, self.tracks.len(), &self.ledger)
    }
}

impl Log {
    fn begin_track(&mut self, line: u32, of_several: bool) {
        if self.begun.is_none() {
            self.begun = Some(Begun::at(line, &self.segments, &self.ledger));
        }
        self.track = Pairs::at(line, self.mode.clone().filter(|_| of_several));
    }

    /// The name of a placemark may stand after its track, its span of time after its line. A line beside a
    /// track is a drawing of it.
    fn end_placemark(&mut self) -> Result<(), Fault> {
        let beside = std::mem::take(&mut self.beside);
        if self.begun.is_none() && beside.lines > 0 {
            match (beside.spans, beside.stamp) {
                (0, Some(stamp)) if self.spread => return Err(line_with_stamp(stamp)),
                (0, _) => self.lines += 1,
                (_, None) if self.spread => return self.end_line(beside),
                (_, Some(_)) if self.spread => return Err(several_times(&beside.span)),
                _ => self.lines_with_span += 1,
            }
        }
        self.end_track_of_placemark();
        Ok(())
    }

    /// Reads the line of a placemark that has a span of time and no track.
    fn end_line(&mut self, beside: Beside) -> Result<(), Fault> {
        let Beside {
            lines,
            spans,
            line,
            span,
            ..
        } = beside;
        if spans > 1 {
            return Err(several_times(&span));
        }
        if lines > 1 {
            return Err(several_lines(lines, &line));
        }
        self.points += line.fixes.len();
        let (begin, from) = (line.begin, self.segments.len());
        let entries = self.ledger.entries.len();
        let fixes = spread(line, span, self.local, &mut self.ledger)?;
        self.segments.push(fixes);
        let name = match self.placemark.take() {
            Some(name) if !name.is_empty() => format!("{name}, {NOT_RECORDED}"),
            _ => NOT_RECORDED.to_owned(),
        };
        self.tracks.push(LogTrack::new(
            Some(name),
            begin,
            from..self.segments.len(),
            entries..self.ledger.entries.len(),
        ));
        Ok(())
    }

    /// Whether a line that was to be read had begun.
    fn break_off_line(&mut self) -> bool {
        let beside = std::mem::take(&mut self.beside);
        self.spread && beside.lines > 0 && self.begun.is_none()
    }

    fn end_track_of_placemark(&mut self) {
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
        let (problem, hint) = match (self.lines, self.lines_with_span, self.places) {
            (0, 0, 0) => ("the file holds no track point", NEEDED),
            (0, 0, _) => ("the file holds places, but no track point", NEEDED),
            (_, 0, _) => ("the file holds drawn lines, not a recorded track", NEEDED),
            _ => (
                "the file holds lines with one span of time each, not a time for every position",
                "when the aircraft was where on them is not recorded; a log needs <Track> with as \
                 many <when> as <coord>. --spread-times makes times up, as if each line had been flown at one \
                 ground speed from the beginning of its span to the end: every speed, and whatever goes by time, \
                 would be made up with them",
            ),
        };
        InputError::new(path, None, problem, hint)
    }
}

/// What a KML log needs.
const NEEDED: &str = "a log needs <Track> with as many <when> as <coord>";

fn refused(line: u32, problem: String, hint: &'static str) -> Fault {
    Fault::Refused {
        line,
        problem,
        hint,
    }
}

fn line_with_stamp(line: u32) -> Fault {
    refused(
        line,
        "a line has one moment (<TimeStamp>) instead of a span of time".to_owned(),
        "times can be spread along a line from the <begin> to the <end> of a <TimeSpan> alone",
    )
}

fn several_times(span: &Span) -> Fault {
    refused(
        span.line,
        "a line has several times, and it cannot be told which of them is meant".to_owned(),
        "give its <Placemark> one <TimeSpan> alone",
    )
}

fn several_lines(count: usize, last: &Line) -> Fault {
    refused(
        last.begin,
        format!("{count} lines have one span of time together, the last of them here"),
        "which of them was flown when is not said: give each a <Placemark> with a <TimeSpan> of its own",
    )
}
