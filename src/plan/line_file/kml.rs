//! Lines from KML (OGC KML 2.3, 12-007r2): `LineString / coordinates`, named after their `Placemark`.

use super::super::area_file::{Fault, broken, ends_with, enter, kml_position, line_of, referenced};
use super::Line;
use quick_xml::Reader;
use quick_xml::events::Event;

const LINE: [&str; 2] = ["LineString", "coordinates"];
const NAME: [&str; 2] = ["Placemark", "name"];

pub(super) fn lines(text: &str) -> Result<Vec<Line>, Fault> {
    let mut reader = Reader::from_str(text);
    // Names of the open elements.
    let mut open: Vec<String> = Vec::new();
    // The placemark open, and its lines: its name may stand after them.
    let mut name: Option<String> = None;
    let mut pending: Vec<(u32, String)> = Vec::new();
    let mut found: Vec<(Option<String>, u32, String)> = Vec::new();
    loop {
        match reader.read_event() {
            Ok(Event::Start(element)) => {
                enter(&mut open, element.name().as_ref(), text, &reader)?;
                if ends_with(&open, &["Placemark"]) {
                    name = None;
                } else if ends_with(&open, &LINE) {
                    pending.push((line_of(text, &reader), String::new()));
                }
            }
            Ok(Event::End(_)) => {
                let closed = open.pop();
                if closed.as_deref() == Some("Placemark") || open.is_empty() {
                    found.extend(pending.drain(..).map(|(line, t)| (name.clone(), line, t)));
                }
            }
            Ok(Event::Text(part)) => keep(&part, &open, &mut pending, &mut name),
            Ok(Event::CData(part)) => keep(&part, &open, &mut pending, &mut name),
            Ok(Event::GeneralRef(reference)) if is_kept(&open) => {
                let part = referenced(text, &reader, &reference)?;
                keep(&part, &open, &mut pending, &mut name);
            }
            Ok(Event::Eof) if open.is_empty() => break,
            Ok(Event::Eof) => {
                return Err(Fault::new(
                    Some(line_of(text, &reader)),
                    "the file ends before its elements are closed",
                    "export the file again",
                ));
            }
            Ok(_) => {}
            Err(error) => return Err(broken(text, &reader, &error)),
        }
    }
    found
        .into_iter()
        .map(|(name, line, tuples)| {
            let places = tuples
                .split_ascii_whitespace()
                .map(|tuple| kml_position(tuple, line))
                .collect::<Result<_, _>>()?;
            // An altitude of 0 is for drawing: it means none.
            let has_height = |tuple: &&str| {
                let height = tuple.split(',').nth(2).and_then(|text| text.parse().ok());
                height.is_some_and(|height: f64| height != 0.0)
            };
            Ok(Line {
                name,
                places,
                heights: tuples.split_ascii_whitespace().filter(has_height).count(),
                ..Line::default()
            })
        })
        .collect()
}

fn is_kept(open: &[String]) -> bool {
    ends_with(open, &LINE) || ends_with(open, &NAME)
}

/// Keeps a piece of text, if it is of a line or of a name.
fn keep(part: &str, open: &[String], pending: &mut [(u32, String)], name: &mut Option<String>) {
    if ends_with(open, &LINE) {
        if let Some((_, tuples)) = pending.last_mut() {
            tuples.push_str(part);
        }
    } else if ends_with(open, &NAME) {
        name.get_or_insert_default().push_str(part);
    }
}
