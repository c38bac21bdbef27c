//! The elements of a GPX file, as a state machine over quick-xml events.
//!
//! Of the tree only `gpx / trk / (name, trkseg / trkpt / (ele, time))` is read; everything else is
//! stepped over with all it holds, so that a `<time>` inside `<extensions>` is not taken for the
//! point's own. Elements count as GPX when they bear the same namespace prefix as the root.

use super::begun::Begun;
use super::plain::PlainPoints;
use super::point::Point;
use super::source::Source;
use super::xml::{self, Elements, Fault, Lines};
use super::{ROLE, ReadSettings, file_name, unreadable};
use crate::input::InputError;
use crate::track::{Finding, Fix, HeightKind, Ledger, LocalTime, LogTrack, Reading};
use quick_xml::events::BytesStart;
use std::io::BufRead;
use std::path::Path;

/// Reads a GPX file from `source`.
pub(super) fn read(
    path: &Path,
    source: Source,
    settings: ReadSettings,
) -> Result<Reading, InputError> {
    // Times that are not UTC are findings, each of them.
    let plain = settings.local.is_none().then(PlainPoints::default);
    read_into(path, source, settings, plain)
}

fn read_into(
    path: &Path,
    source: Source,
    settings: ReadSettings,
    plain: Option<PlainPoints>,
) -> Result<Reading, InputError> {
    let mut log = Log {
        local: settings.local,
        plain,
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
    /// Reads points that need no parser, if any shall be read so.
    plain: Option<PlainPoints>,
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

    fn take_plain(&mut self, lines: &mut Lines) -> bool {
        // With a prefix they are called otherwise.
        if self.place != Place::Segment || !self.prefix.is_empty() {
            return false;
        }
        let plain = self.plain.as_mut();
        let Some((fix, length)) = plain.and_then(|plain| plain.read(lines.ahead())) else {
            return false;
        };
        let line = lines.marked_line();
        lines.consume(length);
        self.points += 1;
        self.segment.push(Fix { line, ..fix });
        true
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

#[cfg(test)]
mod tests {
    use super::super::source::Content;
    use super::*;
    use proptest::prelude::*;

    fn read_both_ways(text: &[u8], salvage: bool) -> [String; 2] {
        let settings = ReadSettings {
            salvage,
            ..ReadSettings::default()
        };
        [Some(PlainPoints::default()), None].map(|plain| {
            let content = Content::begin(Box::new(std::io::Cursor::new(text.to_vec()))).unwrap();
            let source = Source::new(content).ok().unwrap();
            format!("{:?}", read_into(Path::new("x"), source, settings, plain))
        })
    }

    /// What stands in points, also where it should not.
    const PIECES: [&str; 40] = [
        "<trkpt lat=\"47.25\" lon=\"12.5\">",
        "<trkpt lon='-12.50001' lat='-0.0' >",
        "<trkpt lat=\"47.25\" lon=\"180\"/>",
        "<trkpt lat=\"0\" lon=\"0\">",
        "</trkpt>",
        "<ele>457.2</ele>",
        "<ele> 457.2 </ele>",
        "<ele>-9999</ele>",
        "<ele>1e3</ele>",
        "<ele/>",
        "<time>2026-05-01T15:04:05Z</time>",
        "<time>2026-05-01T15:04:05.125Z</time>",
        "<time>2026-12-31T23:59:60Z</time>",
        "<time>2026-05-01T15:04:05</time>",
        "<time>2026-05-01 15:04:05Z</time>",
        "<time>2026-02-29T15:04:05Z</time>",
        "<sat>7</sat>",
        "<extensions><a:b>1</a:b></extensions>",
        "<extensions><ele>1</ele></extensions>",
        "<a><b></a></b>",
        "<a>]]></a>",
        "<a b=\"1\">&lt;</a>",
        "&amp;",
        "&no;",
        "<!-- -- -->",
        "<![CDATA[x]]>",
        "text",
        "\n",
        "\u{e9}",
        "</trkseg><trkseg>",
        "</trk><trk><trkseg>",
        "<trkseg>",
        "<",
        ">",
        "\"",
        "0",
        "9",
        ".",
        "Z",
        " ",
    ];

    fn point() -> impl Strategy<Value = String> {
        (0..90_000_000_u32, 0..86_400_u32, 0..4_u8).prop_map(|(place, second, kind)| {
            let (lat, lon) = (f64::from(place) / 1e6, f64::from(place) / -5e5);
            let (h, m, s) = (second / 3600, second / 60 % 60, second % 60);
            let (ele, sat) = (["", "<ele>-3.50</ele>\n"], ["", "<sat>9</sat>"]);
            let (ele, sat) = (ele[usize::from(kind % 2)], sat[usize::from(kind / 2)]);
            format!(
                "<trkpt lat=\"{lat}\" lon=\"{lon:.5}\">\n{ele}<time>2026-05-0{}T{h:02}:{m:02}:{s:02}Z</time>{sat}</trkpt>\n",
                1 + kind
            )
        })
    }

    /// Behind a text the parser expects the markup it has seen there, and cannot do with the text behind a point instead.
    #[test]
    fn a_point_between_texts_is_left_to_the_parser() {
        let text = "<gpx><trk><trkseg>9<trkpt lat=\"47\" lon=\"12\"><time>2026-05-01T15:04:05Z</time></trkpt>9\n\
                    <trkpt lat=\"47\" lon=\"12\"></trkseg></trk></gpx>";
        let [plain, parsed] = read_both_ways(text.as_bytes(), false);
        assert_eq!(plain, parsed);
    }

    proptest! {
        #![proptest_config(ProptestConfig { cases: 2_000, ..ProptestConfig::default() })]
        /// Whether the plain points are read straight from the bytes or by the parser: the same fixes, lines, findings and refusals,
        /// whatever else stands among them and wherever a block ends.
        #[test]
        fn plain_points_are_what_the_parser_reads(
            points in prop::collection::vec(point(), 1..6),
            pieces in prop::collection::vec((0..PIECES.len(), any::<prop::sample::Index>()), 0..5),
            cut in any::<prop::sample::Index>(),
            breaks_off in any::<bool>(),
            beside in 0..400_usize,
            salvage in any::<bool>(),
        ) {
            let mut body = points.concat().into_bytes();
            for (piece, place) in pieces {
                let at = place.index(body.len() + 1);
                body.splice(at..at, PIECES[piece].bytes());
            }
            if breaks_off {
                body.truncate(cut.index(body.len() + 1));
            }
            // The first point ends near that of the reader's block, of 64 KiB.
            let padding = " ".repeat((1 << 16) - 400 + beside);
            let mut text = format!("<gpx><!--{padding}--><trk><trkseg>").into_bytes();
            text.extend(body);
            text.extend(b"</trkseg></trk></gpx>");
            let [plain, parsed] = read_both_ways(&text, salvage);
            prop_assert_eq!(plain, parsed);
        }
    }
}
