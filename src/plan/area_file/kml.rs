//! An area as a polygon in KML (OGC KML 2.3, 12-007r2): `Polygon / outerBoundaryIs / LinearRing /
//! coordinates`, wherever in the file and with whatever namespace prefix.

use super::{
    CLOSE, Fault, broken, ends_with, enter, line_of, local, only_one, place, referenced, ring,
};
use crate::geodesy::Position;
use crate::tasking::quantity::shown;
use quick_xml::Reader;
use quick_xml::events::Event;

const OUTLINE: [&str; 4] = ["Polygon", "outerBoundaryIs", "LinearRing", "coordinates"];

pub(super) fn corners(text: &str) -> Result<Vec<Position>, Fault> {
    let mut reader = Reader::from_str(text);
    // Names of the open elements.
    let mut open: Vec<String> = Vec::new();
    let mut found: Vec<(u32, String)> = Vec::new();
    loop {
        match reader.read_event() {
            Ok(Event::Start(element)) => {
                if local(element.name().as_ref()) == "innerBoundaryIs" {
                    return Err(Fault::new(
                        Some(line_of(text, &reader)),
                        "its Polygon has a hole (<innerBoundaryIs>)",
                        "an area with holes is not supported: give its outer edge alone, or cut it up",
                    ));
                }
                enter(&mut open, element.name().as_ref(), text, &reader)?;
                if is_outline(&open) {
                    found.push((line_of(text, &reader), String::new()));
                }
            }
            Ok(Event::End(_)) => {
                open.pop();
            }
            Ok(Event::Text(part)) if is_outline(&open) => append(&mut found, &part),
            Ok(Event::CData(part)) if is_outline(&open) => append(&mut found, &part),
            Ok(Event::GeneralRef(reference)) if is_outline(&open) => {
                append(&mut found, &referenced(text, &reader, &reference)?);
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
    let (line, tuples) = only_one(found, "Polygon with an <outerBoundaryIs>")?;
    let corners = tuples
        .split_ascii_whitespace()
        .map(|tuple| position(tuple, line))
        .collect::<Result<_, _>>()?;
    ring(corners).map_err(|problem| Fault::new(Some(line), problem, CLOSE))
}

fn is_outline(open: &[String]) -> bool {
    ends_with(open, &OUTLINE)
}

fn append(found: &mut [(u32, String)], part: &str) {
    if let Some((_, text)) = found.last_mut() {
        text.push_str(part);
    }
}

/// One tuple of `<coordinates>`, which stands at a line of the file.
pub(in crate::plan) fn position(tuple: &str, line: u32) -> Result<Position, Fault> {
    corner(tuple).map_err(|problem| {
        Fault::new(
            Some(line),
            format!("in <coordinates>: {problem}"),
            "KML gives longitude,latitude or longitude,latitude,height, without spaces inside",
        )
    })
}

fn corner(tuple: &str) -> Result<Position, String> {
    let parts: Vec<f64> = tuple
        .split(',')
        .map(str::parse)
        .collect::<Result<_, _>>()
        .map_err(|_| format!("{} is not a position", shown(tuple)))?;
    match parts[..] {
        [lon, lat] | [lon, lat, _] => place(lon, lat),
        _ => Err(format!("{} is not a position", shown(tuple))),
    }
}

#[cfg(test)]
mod tests {
    use super::corners;

    const AREA: &str = "<?xml version=\"1.0\"?>\n<kml xmlns=\"http://www.opengis.net/kml/2.2\">\n\
        <Document><Placemark><name>North</name><Point><coordinates>1,2</coordinates></Point></Placemark>\n\
        <Placemark><Polygon><extrude>1</extrude><outerBoundaryIs><LinearRing><coordinates>\n\
        12.5,47.0,0 12.7,47.0,0\n12.7,47.1,0 12.5,47.0,0\n\
        </coordinates></LinearRing></outerBoundaryIs></Polygon></Placemark></Document></kml>\n";

    #[test]
    fn reads_the_outer_boundary_with_any_prefix() {
        let prefixed = AREA
            .replace("</", "\u{1}")
            .replace('<', "<k:")
            .replace("<k:?", "<?")
            .replace('\u{1}', "</k:")
            .replace("xmlns=", "xmlns:k=");
        for text in [AREA, &prefixed] {
            let found = corners(text).map_err(|f| f.problem).unwrap();
            let written: Vec<_> = found.iter().map(|c| (c.lat(), c.lon())).collect();
            assert_eq!(written, [(47.0, 12.5), (47.0, 12.7), (47.1, 12.7)]);
        }
    }

    #[test]
    fn says_what_is_wrong_and_where() {
        let polygon =
            &AREA[AREA.find("<Polygon>").unwrap()..AREA.find("</Placemark></Document>").unwrap()];
        for (text, line, problem) in [
            (
                AREA.replace("12.5,47.0,0\n<", "12.5,47.2\n<"),
                Some(4),
                "not closed",
            ),
            (
                AREA.replace("12.7,47.1,0", "12.7, 47.1"),
                Some(4),
                "\"12.7,\" is not a position",
            ),
            (
                AREA.replace("12.7,47.1,0", "12.7,97.1"),
                Some(4),
                "latitude 97.1 is not a place",
            ),
            (
                AREA.replace(
                    "</outerBoundaryIs>",
                    "</outerBoundaryIs>\n<innerBoundaryIs></innerBoundaryIs>",
                ),
                Some(8),
                "has a hole",
            ),
            (
                AREA.replace("outerBoundaryIs", "boundary"),
                None,
                "holds no Polygon",
            ),
            (
                AREA.replace("<Document>", &format!("<Document>{polygon}")),
                None,
                "holds 2 of",
            ),
            (AREA.replace("</Polygon>", ""), Some(7), "ill-formed"),
            (
                AREA.replace("</Document></kml>\n", ""),
                Some(7),
                "before its elements are closed",
            ),
        ] {
            let fault = corners(&text)
                .map(|c| format!("{c:?}"))
                .map_err(|f| (f.line, f.problem));
            let (found_line, found) = fault.unwrap_err();
            assert!(found.contains(problem), "{problem}: {found}");
            assert_eq!(found_line, line, "{found}");
        }
    }
}
