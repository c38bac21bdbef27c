//! What the XML formats have in common: one pass over the events of quick-xml, with the line of every
//! element, and what stops it.

use super::ACCEPTED;
use super::counting::{LineReader, line_feeds};
use super::kml::line::Line;
use super::limits::{self, DEEPEST, DEEPEST_BESIDE, MOST_TEXT_BYTES, TooMuch};
use super::source::Source;
use super::unpacked::PackedFault;
use super::values::bounded;
use super::{ReadSettings, unreadable};
use crate::input::InputError;
use crate::track::Ledger;
use quick_xml::Reader;
use quick_xml::encoding::EncodingError;
use quick_xml::errors::Error as XmlError;
use quick_xml::events::{BytesRef, BytesStart, Event};
use std::path::Path;

/// Why reading stopped before the end.
pub(super) enum Fault {
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

/// The elements of one format, as a state machine.
pub(super) trait Elements {
    /// Local name of the root.
    const ROOT: &'static str;

    /// The root begins, with this namespace prefix (with its colon) or none.
    fn root(&mut self, prefix: &str);

    /// An element begins inside one that was entered. Gives whether it is entered as well; else it is
    /// stepped over with all it holds. Its line is that of the mark.
    fn open(&mut self, element: &BytesStart, lines: &mut Lines) -> Result<bool, Fault>;

    /// Takes an element that begins at the mark, with all it holds, straight from the bytes; gives whether it did. Where it
    /// did not it took nothing.
    fn take_plain(&mut self, _lines: &mut Lines) -> bool {
        false
    }

    /// The innermost element entered, which is not the root, ends.
    fn close(&mut self) -> Result<(), Fault>;

    /// Where text right inside the innermost element entered goes, if it is of use.
    fn text(&mut self) -> Option<&mut String>;

    /// The line whose positions text right inside the innermost element entered is. It takes them as they come,
    /// so that they may be longer than what is kept of other texts.
    fn line(&mut self) -> Option<&mut Line> {
        None
    }

    /// How many points were begun, how many tracks were read, and the ledger.
    fn held(&self) -> (usize, usize, &Ledger);
}

pub(super) type Lines = LineReader<Source>;

/// Reads a document to its end, or to what stops it, and gives the source back.
pub(super) fn read(source: Source, elements: &mut impl Elements) -> (Result<(), Fault>, Source) {
    let mut reader = Reader::from_reader(LineReader::new(source));
    reader.config_mut().expand_empty_elements = true;
    let mut document = Document {
        place: Place::Prolog,
        skipping: 0,
        elements,
    };
    let result = document.read_events(&mut reader);
    (result, reader.into_inner().into_source())
}

#[derive(Clone, Copy, PartialEq, Eq)]
enum Place {
    Prolog,
    /// In the root, with so many elements entered inside.
    Inside(u64),
    Epilog,
}

struct Document<'a, E> {
    place: Place,
    /// Open elements of a subtree that is stepped over.
    skipping: u64,
    elements: &'a mut E,
}

impl<E: Elements> Document<'_, E> {
    fn read_events(&mut self, reader: &mut Reader<Lines>) -> Result<(), Fault> {
        let mut buffer = Vec::with_capacity(1024);
        // Behind a text the parser counts on the markup that it has seen there.
        let mut behind_text = false;
        let error = loop {
            buffer.clear();
            let lines = reader.get_mut();
            if (self.skipping > 0 || !self.is_text_wanted())
                && let Err(cause) = lines.skip_white_space()
            {
                lines.set_mark();
                return Err(medium_fault(&cause.into(), lines.marked_line()));
            }
            // The mark is where the next event begins: at its `<`, since text is an event of its own.
            lines.set_mark();
            if self.skipping == 0 && !behind_text && self.elements.take_plain(lines) {
                self.check_held(lines)?;
                continue;
            }
            let event = reader.read_event_into(&mut buffer);
            behind_text = matches!(event, Ok(Event::Text(_)));
            match event {
                Ok(Event::Start(element)) => self.open(&element, reader.get_mut())?,
                Ok(Event::End(_)) => self.close()?,
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

    fn open(&mut self, element: &BytesStart, lines: &mut Lines) -> Result<(), Fault> {
        if matches!(self.place, Place::Inside(depth) if depth >= DEEPEST) {
            return Err(too_much(lines, TooMuch::Deep(DEEPEST)));
        }
        if self.skipping >= DEEPEST_BESIDE {
            return Err(too_much(lines, TooMuch::Deep(DEEPEST_BESIDE)));
        }
        if self.skipping > 0 {
            self.skipping += 1;
            return Ok(());
        }
        self.check_held(lines)?;
        match self.place {
            Place::Prolog => self.open_root(element.name().as_ref(), lines),
            Place::Epilog => Err(broken(lines, "a second root element follows the first")),
            Place::Inside(depth) => {
                if self.elements.open(element, lines)? {
                    self.place = Place::Inside(depth + 1);
                } else {
                    self.skipping = 1;
                }
                Ok(())
            }
        }
    }

    fn check_held(&self, lines: &mut Lines) -> Result<(), Fault> {
        let (points, tracks, ledger) = self.elements.held();
        limits::held(points, tracks, ledger).map_err(|excess| too_much(lines, excess))
    }

    fn open_root(&mut self, name: &str, lines: &mut Lines) -> Result<(), Fault> {
        let (prefix, local) = match name.rfind(':') {
            Some(colon) => name.split_at(colon + 1),
            None => ("", name),
        };
        if local != E::ROOT {
            return Err(Fault::Refused {
                line: lines.marked_line(),
                problem: format!(
                    "the file is XML, but its root element is <{}>",
                    bounded(name)
                ),
                hint: ACCEPTED,
            });
        }
        self.elements.root(prefix);
        self.place = Place::Inside(0);
        Ok(())
    }

    fn close(&mut self) -> Result<(), Fault> {
        if self.skipping > 0 {
            self.skipping -= 1;
            return Ok(());
        }
        self.place = match self.place {
            Place::Inside(depth) if depth > 0 => {
                self.elements.close()?;
                Place::Inside(depth - 1)
            }
            _ => Place::Epilog,
        };
        Ok(())
    }

    fn is_text_wanted(&mut self) -> bool {
        self.elements.text().is_some() || self.elements.line().is_some()
    }

    fn text(&mut self, text: &str, lines: &mut Lines) -> Result<(), Fault> {
        if self.skipping > 0 {
            return Ok(());
        }
        let beside = match self.place {
            Place::Inside(_) => {
                if let Some(line) = self.elements.line() {
                    line.push(text, lines.marked_line());
                } else if let Some(target) = self.elements.text() {
                    if target.len() + text.len() <= MOST_TEXT_BYTES {
                        target.push_str(text);
                    } else if target.len() < MOST_TEXT_BYTES {
                        // A beginning, to be quoted, and a mark, so that it is no value.
                        target.extend(text.chars().take(100));
                        target.push('…');
                    }
                }
                return Ok(());
            }
            Place::Prolog => "before",
            Place::Epilog => "after",
        };
        if text.trim_ascii().is_empty() {
            return Ok(());
        }
        Err(broken(
            lines,
            &format!("text stands {beside} the root element"),
        ))
    }

    /// `&amp;` and its like. Inside what is stepped over, unknown ones do no harm.
    fn reference(&mut self, reference: &BytesRef, lines: &mut Lines) -> Result<(), Fault> {
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

    fn end_of_file(&self, lines: &mut Lines) -> Result<(), Fault> {
        match self.place {
            Place::Epilog => Ok(()),
            Place::Prolog => Err(Fault::Refused {
                line: lines.marked_line(),
                problem: "the file holds no XML element".into(),
                hint: ACCEPTED,
            }),
            Place::Inside(_) => Err(broken(
                lines,
                "the file ends before its elements are closed",
            )),
        }
    }
}

/// An error; or, when salvaging a broken file, the line and what is broken there, for the ledger.
/// `good` is the number of points read before.
pub(super) fn settle(
    path: &Path,
    fault: Fault,
    good: usize,
    settings: ReadSettings,
) -> Result<(u32, String), InputError> {
    match fault {
        Fault::Io(cause) => Err(unreadable(path, &cause)),
        Fault::Refused {
            line,
            problem,
            hint,
        } => Err(InputError::new(path, Some(line), problem, hint)),
        Fault::Broken { line, what } if settings.salvage => Ok((line, what)),
        Fault::Broken { line, what } => Err(broken_off(path, line, &what, good)),
    }
}

/// The error that refuses a file which breaks off after so many good points.
fn broken_off(path: &Path, line: u32, what: &str, good: usize) -> InputError {
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
    InputError::new(path, Some(line), problem, hint)
}

fn too_much(lines: &mut Lines, excess: TooMuch) -> Fault {
    refused(lines.marked_line(), excess)
}

/// A log that has too much of something, which stands at a line.
pub(super) fn refused(line: u32, excess: TooMuch) -> Fault {
    Fault::Refused {
        line,
        problem: excess.to_string(),
        hint: excess.hint(),
    }
}

fn broken(lines: &mut Lines, what: &str) -> Fault {
    Fault::Broken {
        line: lines.marked_line(),
        what: what.to_owned(),
    }
}

/// What is too long is refused. A compressed file that is damaged breaks off there, as one that is not compressed does; all else
/// is the medium's.
pub(super) fn medium_fault(cause: &std::sync::Arc<std::io::Error>, line: u32) -> Fault {
    if let Some(excess) = TooMuch::behind(cause) {
        return refused(line, excess);
    }
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
