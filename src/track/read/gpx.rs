//! The elements of a GPX file, as a state machine over quick-xml events.
//!
//! Of the tree only `gpx / trk / (name, trkseg / trkpt / (ele, time))` is read; everything else is
//! stepped over with all it holds, so that a `<time>` inside `<extensions>` is not taken for the
//! point's own. Elements count as GPX when they bear the same namespace prefix as the root.

use super::begun::Begun;
use super::point::Point;
use super::source::Source;
use super::xml::{self, Elements, Fault, Lines};
use super::{ROLE, ReadSettings, file_name, unreadable};
use crate::input::InputError;
use crate::track::{Finding, Fix, HeightKind, Ledger, LocalTime, LogTrack, Reading};
use quick_xml::events::BytesStart;
use std::path::Path;

/// Reads a GPX file from `source`.
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
        let good = log.segment.len() + log.segments.iter().map(Vec::len).sum::<usize>();
        let (line, what) = xml::settle(path, fault, good, settings)?;
        log.end_segment();
        log.end_track();
        log.ledger.add(line, Finding::Truncated, what);
    }
    let source = source
        .finish(ROLE, file_name(path))
        .map_err(|cause| unreadable(path, &cause))?;
    if log.points == 0 {
        return Err(log.no_points(path));
    }
    // GPX 1.1, type wptType: elevation in metres; the schema of GPX 1.0 and its users: above mean sea
    // level.
    let height_kind = HeightKind::MeanSeaLevel;
    Ok(Reading::of_tracks(
        source,
        log.tracks,
        log.segments,
        height_kind,
        log.ledger,
    ))
}

/// Where in the tree the reader is.
#[derive(Clone, Copy, Default, PartialEq, Eq)]
enum Place {
    #[default]
    Root,
    Track,
    TrackName,
    Segment,
    Point,
    Height,
    Time,
}

/// What has been read so far.
#[derive(Default)]
struct Log {
    place: Place,
    /// Namespace prefix of the root with its colon, or nothing.
    prefix: String,
    local: Option<LocalTime>,
    tracks: Vec<LogTrack>,
    /// The track being read.
    track: Option<Begun>,
    segments: Vec<Vec<Fix>>,
    segment: Vec<Fix>,
    ledger: Ledger,
    point: Point,
    /// Track points begun, good or bad.
    points: usize,
    routes: usize,
    waypoints: usize,
}

impl Elements for Log {
    const ROOT: &'static str = "gpx";

    fn root(&mut self, prefix: &str) {
        prefix.clone_into(&mut self.prefix);
    }

    fn open(&mut self, element: &BytesStart, lines: &mut Lines) -> Result<bool, Fault> {
        let name = element.name();
        let full_name: &str = name.as_ref();
        let local = full_name
            .strip_prefix(self.prefix.as_str())
            .unwrap_or_default();
        match (self.place, local) {
            (Place::Root, "trk") => {
                self.place = Place::Track;
                let line = lines.marked_line();
                self.track = Some(Begun::at(line, &self.segments, &self.ledger));
            }
            (Place::Track, "trkseg") => self.place = Place::Segment,
            (Place::Track, "name") if self.track.as_ref().is_some_and(Begun::is_nameless) => {
                self.place = Place::TrackName;
            }
            (Place::Segment, "trkpt") => {
                self.place = Place::Point;
                self.points += 1;
                self.point.begin(lines.marked_line(), element);
            }
            (Place::Point, "ele") => {
                self.place = Place::Height;
                self.point.begin_height();
            }
            (Place::Point, "time") => {
                self.place = Place::Time;
                self.point.begin_time();
            }
            (place, local) => {
                self.routes += usize::from(place == Place::Root && local == "rte");
                self.waypoints += usize::from(place == Place::Root && local == "wpt");
                return Ok(false);
            }
        }
        Ok(true)
    }

    fn close(&mut self) -> Result<(), Fault> {
        self.place = match self.place {
            Place::Height | Place::Time => Place::Point,
            Place::Point => {
                let fix = self.point.finish(self.local, &mut self.ledger);
                self.segment.extend(fix);
                Place::Segment
            }
            Place::Segment => {
                self.end_segment();
                Place::Track
            }
            Place::TrackName => Place::Track,
            Place::Track => {
                self.end_track();
                Place::Root
            }
            Place::Root => Place::Root,
        };
        Ok(())
    }

    fn text(&mut self) -> Option<&mut String> {
        match self.place {
            Place::Height => Some(self.point.height_text()),
            Place::Time => Some(self.point.time_text()),
            Place::TrackName => Some(self.track.as_mut()?.name_text()),
            _ => None,
        }
    }

    fn held(&self) -> (usize, usize, &Ledger) {
        (self.points, self.tracks.len(), &self.ledger)
    }
}

impl Log {
    fn end_segment(&mut self) {
        if !self.segment.is_empty() {
            self.segments.push(std::mem::take(&mut self.segment));
        }
    }

    fn end_track(&mut self) {
        let ended = self.track.take();
        self.tracks
            .extend(ended.map(|track| track.end(&self.segments, &self.ledger)));
    }

    fn no_points(&self, path: &Path) -> InputError {
        let problem = match (self.routes, self.waypoints) {
            (0, 0) => "the file holds no track point",
            (0, _) => "the file holds waypoints, but no track point",
            _ => "the file holds a route (a plan), not a recorded track",
        };
        InputError::new(
            path,
            None,
            problem,
            "a log needs <trk> with <trkseg> and <trkpt>",
        )
    }
}
