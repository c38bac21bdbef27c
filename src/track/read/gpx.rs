//! The elements of a GPX file, as a state machine over quick-xml events.
//!
//! Of the tree only `gpx / trk / (name, trkseg / trkpt / (ele, time))` is read; everything else is
//! stepped over with all it holds, so that a `<time>` inside `<extensions>` is not taken for the
//! point's own. Elements count as GPX when they bear the same namespace prefix as the root.

use super::counting::{LineReader, line_feeds};
use super::point::{Point, bounded};
use super::source::Source;
use super::unpacked::PackedFault;
use super::{ACCEPTED, ROLE, ReadSettings, file_name, unreadable};
use crate::input::InputError;
use crate::track::{Finding, Fix, HeightKind, Ledger, Reading};
use quick_xml::Reader;
use quick_xml::encoding::EncodingError;
use quick_xml::errors::Error as XmlError;
use quick_xml::events::{BytesRef, BytesStart, Event};
use std::path::Path;

/// Reads a GPX file from `source`.
pub(super) fn read(
    path: &Path,
    source: Source,
    settings: ReadSettings,
) -> Result<Reading, InputError> {
    let mut reader = Reader::from_reader(LineReader::new(source));
    reader.config_mut().expand_empty_elements = true;
    let mut log = Log::default();
    if let Err(fault) = log.read_events(&mut reader) {
        log.settle(path, fault, settings)?;
    }
    let source = reader
        .into_inner()
        .into_source()
        .finish(ROLE, file_name(path))
        .map_err(|cause| unreadable(path, &cause))?;
    if log.points == 0 {
        return Err(log.no_points(path));
    }
    let Log {
        name,
        segments,
        ledger,
        ..
    } = log;
    Ok(Reading {
        source,
        name,
        segments,
        // GPX 1.1, type wptType: elevation in metres; the schema of GPX 1.0 and its users: above
        // mean sea level.
        height_kind: HeightKind::MeanSeaLevel,
        ledger,
    })
}

/// Why reading stopped before the end.
enum Fault {
    /// The XML breaks off or is ill-formed at a line: what came before is good.
    Broken { line: u32, what: String },
    /// The file is not to be read at all.
    Refused {
        line: u32,
        problem: String,
        hint: &'static str,
    },
    /// The medium failed.
    Io(std::sync::Arc<std::io::Error>),
}

/// Where in the tree the reader is.
#[derive(Clone, Copy, Default, PartialEq, Eq)]
enum Place {
    #[default]
    Prolog,
    Root,
    Track,
    TrackName,
    Segment,
    Point,
    Height,
    Time,
    Epilog,
}

impl Place {
    const fn holds_text(self) -> bool {
        matches!(self, Self::TrackName | Self::Height | Self::Time)
    }
}

/// What has been read so far.
#[derive(Default)]
struct Log {
    place: Place,
    /// Open elements of a subtree that is stepped over.
    skipping: u64,
    /// Namespace prefix of the root with its colon, or nothing.
    prefix: String,
    name: Option<String>,
    segments: Vec<Vec<Fix>>,
    segment: Vec<Fix>,
    ledger: Ledger,
    point: Point,
    /// Track points begun, good or bad.
    points: usize,
    routes: usize,
    waypoints: usize,
}

impl Log {
    fn read_events(&mut self, reader: &mut Reader<LineReader<Source>>) -> Result<(), Fault> {
        let mut buffer = Vec::with_capacity(1024);
        let error = loop {
            buffer.clear();
            let lines = reader.get_mut();
            if !self.place.holds_text()
                && let Err(cause) = lines.skip_white_space()
            {
                lines.set_mark();
                return Err(medium_fault(&cause.into(), lines.marked_line()));
            }
            // The mark is where the next event begins: at its `<`, since text is an event of its own.
            lines.set_mark();
            match reader.read_event_into(&mut buffer) {
                Ok(Event::Start(element)) => self.open(&element, reader.get_mut())?,
                Ok(Event::End(_)) => self.close(),
                Ok(Event::Text(text)) => self.text(&text, reader.get_mut())?,
                Ok(Event::CData(text)) => self.text(&text, reader.get_mut())?,
                Ok(Event::GeneralRef(reference)) => self.reference(&reference, reader.get_mut())?,
                Ok(Event::DocType(_)) => {
                    return Err(Fault::Refused {
                        line: reader.get_mut().marked_line(),
                        problem: "the file has a document type declaration (<!DOCTYPE …>)".into(),
                        hint: "a track log needs none and it can hide hostile content; export the log again, or delete the declaration",
                    });
                }
                Ok(Event::Eof) => return self.end_of_file(reader.get_mut()),
                // With empty elements expanded no Empty event arrives.
                Ok(Event::Empty(_) | Event::Comment(_) | Event::Decl(_) | Event::PI(_)) => {}
                Err(error) => break error,
            }
        };
        Err(xml_fault(&error, reader.get_mut().marked_line(), &buffer))
    }

    fn open(&mut self, element: &BytesStart, lines: &mut LineReader<Source>) -> Result<(), Fault> {
        if self.skipping > 0 {
            self.skipping += 1;
            return Ok(());
        }
        let name = element.name();
        let full_name: &str = name.as_ref();
        if self.place == Place::Prolog {
            return self.open_root(full_name, lines);
        }
        if self.place == Place::Epilog {
            return Err(broken(lines, "a second root element follows the first"));
        }
        let local = full_name
            .strip_prefix(self.prefix.as_str())
            .unwrap_or_default();
        match (self.place, local) {
            (Place::Root, "trk") => self.place = Place::Track,
            (Place::Track, "trkseg") => self.place = Place::Segment,
            (Place::Track, "name") if self.name.is_none() => {
                self.name = Some(String::new());
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
                self.skipping = 1;
            }
        }
        Ok(())
    }

    fn open_root(&mut self, name: &str, lines: &mut LineReader<Source>) -> Result<(), Fault> {
        let (prefix, local) = match name.rfind(':') {
            Some(colon) => name.split_at(colon + 1),
            None => ("", name),
        };
        if local != "gpx" {
            return Err(Fault::Refused {
                line: lines.marked_line(),
                problem: format!(
                    "the file is XML, but its root element is <{}>",
                    bounded(name)
                ),
                hint: ACCEPTED,
            });
        }
        prefix.clone_into(&mut self.prefix);
        self.place = Place::Root;
        Ok(())
    }

    fn close(&mut self) {
        if self.skipping > 0 {
            self.skipping -= 1;
            return;
        }
        self.place = match self.place {
            Place::Height | Place::Time => Place::Point,
            Place::Point => {
                self.segment.extend(self.point.finish(&mut self.ledger));
                Place::Segment
            }
            Place::Segment => {
                self.end_segment();
                Place::Track
            }
            Place::TrackName => {
                self.name = self
                    .name
                    .take()
                    .map(|name| bounded(&name))
                    .filter(|n| !n.is_empty());
                Place::Track
            }
            Place::Track => Place::Root,
            Place::Root | Place::Prolog | Place::Epilog => Place::Epilog,
        };
    }

    fn end_segment(&mut self) {
        if !self.segment.is_empty() {
            self.segments.push(std::mem::take(&mut self.segment));
        }
    }

    fn text(&mut self, text: &str, lines: &mut LineReader<Source>) -> Result<(), Fault> {
        if self.skipping > 0 {
            return Ok(());
        }
        match self.place {
            Place::Height => self.point.height_text().push_str(text),
            Place::Time => self.point.time_text().push_str(text),
            Place::TrackName => self.name.get_or_insert_default().push_str(text),
            Place::Prolog | Place::Epilog if !text.trim_ascii().is_empty() => {
                let where_ = if self.place == Place::Prolog {
                    "before"
                } else {
                    "after"
                };
                return Err(broken(
                    lines,
                    &format!("text stands {where_} the root element"),
                ));
            }
            _ => {}
        }
        Ok(())
    }

    /// `&amp;` and its like. Inside what is stepped over, unknown ones do no harm.
    fn reference(
        &mut self,
        reference: &BytesRef,
        lines: &mut LineReader<Source>,
    ) -> Result<(), Fault> {
        let name: &str = reference;
        let known = quick_xml::escape::resolve_predefined_entity(name);
        let mut utf8 = [0; 4];
        match (known, reference.resolve_char_ref()) {
            (Some(text), _) => self.text(text, lines),
            (None, Ok(Some(char))) => self.text(char.encode_utf8(&mut utf8), lines),
            _ if self.skipping > 0 => Ok(()),
            _ => {
                let name = bounded(name);
                Err(broken(
                    lines,
                    &format!("the entity &{name}; is not declared"),
                ))
            }
        }
    }

    fn end_of_file(&self, lines: &mut LineReader<Source>) -> Result<(), Fault> {
        match self.place {
            Place::Epilog => Ok(()),
            Place::Prolog => Err(Fault::Refused {
                line: lines.marked_line(),
                problem: "the file holds no XML element".into(),
                hint: ACCEPTED,
            }),
            _ => Err(broken(
                lines,
                "the file ends before its elements are closed",
            )),
        }
    }

    /// An error, or, when salvaging a broken file, an entry in the ledger.
    fn settle(
        &mut self,
        path: &Path,
        fault: Fault,
        settings: ReadSettings,
    ) -> Result<(), InputError> {
        match fault {
            Fault::Io(cause) => Err(unreadable(path, &cause)),
            Fault::Refused {
                line,
                problem,
                hint,
            } => Err(InputError::new(path, Some(line), problem, hint)),
            Fault::Broken { line, what } if settings.salvage => {
                self.end_segment();
                self.ledger.add(line, Finding::Truncated, what);
                Ok(())
            }
            Fault::Broken { line, what } => {
                let good = self.segment.len() + self.segments.iter().map(Vec::len).sum::<usize>();
                let (problem, hint) = if good == 0 {
                    (
                        format!("{what}; no good point stands before"),
                        "export the log again",
                    )
                } else {
                    let points = if good == 1 {
                        "good point stands"
                    } else {
                        "good points stand"
                    };
                    (
                        format!("{what}; {good} {points} before"),
                        "export the log again, or read up to there with --salvage",
                    )
                };
                Err(InputError::new(path, Some(line), problem, hint))
            }
        }
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

fn broken(lines: &mut LineReader<Source>, what: &str) -> Fault {
    Fault::Broken {
        line: lines.marked_line(),
        what: what.to_owned(),
    }
}

/// A compressed file that is damaged breaks off there, as one that is not compressed does; all else
/// is the medium's.
fn medium_fault(cause: &std::sync::Arc<std::io::Error>, line: u32) -> Fault {
    match PackedFault::behind(cause) {
        Some(fault @ PackedFault::Broken(_)) => Fault::Broken {
            line,
            what: fault.to_string(),
        },
        _ => Fault::Io(cause.clone()),
    }
}

/// What quick-xml ran into. `event_line` is where the event began whose text, as far as it was read,
/// is in `buffer`.
fn xml_fault(error: &XmlError, event_line: u32, buffer: &[u8]) -> Fault {
    match error {
        XmlError::Io(cause) => medium_fault(cause, event_line),
        XmlError::Encoding(EncodingError::Utf8(cause)) => {
            let good = buffer.get(..cause.valid_up_to()).unwrap_or(buffer);
            Fault::Broken {
                line: event_line.saturating_add(line_feeds(good)),
                what: "the text is not UTF-8 and no other encoding is declared".into(),
            }
        }
        XmlError::Syntax(cause) => Fault::Broken {
            line: event_line,
            what: format!("the XML breaks off: {cause}"),
        },
        XmlError::IllFormed(cause) => Fault::Broken {
            line: event_line,
            what: format!("the XML is ill-formed: {}", bounded(&cause.to_string())),
        },
        other => Fault::Broken {
            line: event_line,
            what: format!("the XML is ill-formed: {}", bounded(&other.to_string())),
        },
    }
}
