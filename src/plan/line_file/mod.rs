//! Lines to be flown from files of others: a GPX route, a KML or a GeoJSON `LineString`, a table of places,
//! told apart by their content.

mod geojson;
mod gpx;
mod kml;
mod table;

use super::area_file::{Fault, MOST_BYTES, document};
use crate::geodesy::Position;
use crate::input::{InputError, InputFile, whole_named};
use crate::tasking::quantity::shown;
use std::path::Path;

const ACCEPTED: &str = "name a GPX file with a route (<rte>), a KML file with a LineString, a GeoJSON LineString, \
                        or a table with columns lat and lon";

/// Most places of a line. Chosen: the ends of 2,000 legs, the most of any pattern.
const MOST_PLACES: usize = 2001;

/// Lines that are named in a message. Chosen.
const MOST_LISTED: usize = 12;

/// A line of a file.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Line {
    /// Its name, if it has one.
    pub name: Option<String>,
    /// The places along it.
    pub places: Vec<Position>,
    /// Names of the places, as many as there are places; none at all if the format has none.
    pub place_names: Vec<Option<String>>,
    /// How many of the places have a height in the file, which is not kept.
    pub heights: usize,
}

/// All lines of a file as they stand there, those of less than two places among them.
///
/// # Errors
/// When the file cannot be read, is of none of the formats, or holds no line.
pub fn read_all(path: &Path) -> Result<Vec<Line>, InputError> {
    let bytes = bytes(path)?;
    let lines = lines(&bytes).and_then(|lines| match lines.len() {
        0 => Err(Fault::new(None, "holds no line to fly", ACCEPTED)),
        _ => Ok(lines),
    });
    lines.map_err(|fault| InputError::new(path, fault.line, fault.problem, fault.hint))
}

fn bytes(path: &Path) -> Result<Vec<u8>, InputError> {
    whole_named(path, MOST_BYTES).map_err(|error| {
        let problem = format!("the route cannot be read: {error}");
        InputError::new(path, None, problem, ACCEPTED)
    })
}

/// The places along a line of the file, neighbours different and at least two of them, and what is
/// remembered of the file; `name` picks one where the file holds several.
///
/// # Errors
/// When the file cannot be read, is of none of the formats, or holds no line, several without a choice,
/// or one of too few places.
pub fn read(path: &Path, name: Option<&str>) -> Result<(Vec<Position>, InputFile), InputError> {
    let bytes = bytes(path)?;
    let places = read_bytes(path, &bytes, name)?;
    Ok((places, InputFile::of("route", path, &bytes)))
}

/// As [`read`], of a file that is in memory; `path` is what messages call it.
///
/// # Errors
/// As [`read`] has them, except those of the medium.
pub fn read_bytes(
    path: &Path,
    bytes: &[u8],
    name: Option<&str>,
) -> Result<Vec<Position>, InputError> {
    line(bytes, name).map_err(|fault| InputError::new(path, fault.line, fault.problem, fault.hint))
}

fn lines(bytes: &[u8]) -> Result<Vec<Line>, Fault> {
    if table::is_one(bytes) {
        return table::lines(bytes);
    }
    let (format, text) = document(bytes, ACCEPTED)?;
    match format.as_str() {
        "geojson" => geojson::lines(text),
        "kml" => kml::lines(text),
        "gpx" => gpx::lines(text),
        other => Err(Fault::new(
            None,
            format!("an XML file whose root element is <{other}>"),
            ACCEPTED,
        )),
    }
}

fn line(bytes: &[u8], name: Option<&str>) -> Result<Vec<Position>, Fault> {
    let mut places = chosen(lines(bytes)?, name)?.places;
    // A place given twice makes no leg.
    places.dedup();
    if places.len() < 2 {
        return Err(Fault::new(
            None,
            format!("the route has {} different point(s)", places.len()),
            "a route needs at least two",
        ));
    }
    if places.len() > MOST_PLACES {
        return Err(Fault::new(
            None,
            format!("the route has {} points", places.len()),
            format!("at most {MOST_PLACES} can be laid out"),
        ));
    }
    Ok(places)
}

/// Lines of a file by name, so many of them as can be read in a message.
fn listed(names: &[String]) -> String {
    let more = names.len().saturating_sub(MOST_LISTED);
    let named = names[..names.len() - more].join(", ");
    match more {
        0 => named,
        _ => format!("{named} and {more} more"),
    }
}

fn chosen(lines: Vec<Line>, name: Option<&str>) -> Result<Line, Fault> {
    let quoted: Vec<String> = lines
        .iter()
        .map(|line| shown(line.name.as_deref().unwrap_or("(no name)")))
        .collect();
    let count = lines.len();
    let mut fitting: Vec<Line> = match name {
        None => lines,
        Some(name) => lines
            .into_iter()
            .filter(|line| line.name.as_deref().map(str::trim) == Some(name.trim()))
            .collect(),
    };
    match (fitting.len(), name) {
        (1, _) => Ok(fitting.remove(0)),
        (0, Some(name)) if count > 0 => Err(Fault::new(
            None,
            format!("holds no line named {}", shown(name)),
            format!("choose one of {}", listed(&quoted)),
        )),
        (0, _) => Err(Fault::new(None, "holds no line to fly", ACCEPTED)),
        (_, None) => Err(Fault::new(
            None,
            format!("holds {count} lines: {}", listed(&quoted)),
            "choose one with `name` in [pattern], or leave just one in the file",
        )),
        (several, Some(name)) => Err(Fault::new(
            None,
            format!("holds {several} lines named {}", shown(name)),
            "give each its own name, or leave just one in the file",
        )),
    }
}

#[cfg(test)]
mod tests {
    use super::line;

    const GPX: &str = "<gpx version=\"1.1\" creator=\"t\"><rte><name>North</name>\
        <rtept lat=\"47.0\" lon=\"12.5\"/><rtept lat=\"47.1\" lon=\"12.5\"/><rtept lat=\"47.1\" \
        lon=\"12.5\"/><rtept lat=\"47.1\" lon=\"12.7\"/></rte></gpx>";
    const KML: &str = "<k:kml xmlns:k=\"http://www.opengis.net/kml/2.2\"><k:Document><k:name>All</k:name>\
        <k:Placemark><k:name>North</k:name><k:LineString><k:coordinates>12.5,47.0,0 12.5,47.1,0\n\
        12.7,47.1</k:coordinates></k:LineString></k:Placemark></k:Document></k:kml>";
    const GEOJSON: &str = r#"{"type": "Feature", "properties": {"name": "North"}, "geometry":
        {"type": "LineString", "coordinates": [[12.5, 47.0], [12.5, 47.1, 3.0], [12.7, 47.1]]}}"#;
    const PLACES: [(f64, f64); 3] = [(47.0, 12.5), (47.1, 12.5), (47.1, 12.7)];

    fn problem(text: &str, name: Option<&str>) -> String {
        let found = line(text.as_bytes(), name).map(|places| format!("{places:?}"));
        let fault = found.map_err(|fault| format!("{} / {}", fault.problem, fault.hint));
        fault.unwrap_err()
    }

    #[test]
    fn the_same_line_from_every_format() {
        let without_prefix = KML.replace("k:", "").replace("xmlns:k", "xmlns");
        let collection = format!(r#"{{"type": "FeatureCollection", "features": [{GEOJSON}]}}"#);
        for text in [GPX, KML, &without_prefix, GEOJSON, &collection] {
            for name in [None, Some("North")] {
                let places = line(text.as_bytes(), name).map_err(|f| f.problem).unwrap();
                let found: Vec<_> = places.iter().map(|p| (p.lat(), p.lon())).collect();
                assert_eq!(found, PLACES, "{text}");
            }
            let other = problem(text, Some("South"));
            assert!(other.contains("no line named \"South\""), "{other}");
            assert!(other.contains("choose one of \"North\""), "{other}");
        }
    }

    /// After RFC 7946, 3.1.9 (from memory): a line cut at the antimeridian is one again.
    #[test]
    fn a_line_cut_at_the_antimeridian_is_one() {
        let text = r#"{"type": "MultiLineString", "coordinates":
            [[[170.0, 45.0], [180.0, 45.0]], [[-180.0, 45.0], [-170.0, 45.0]]]}"#;
        let places = line(text.as_bytes(), None).map_err(|f| f.problem).unwrap();
        let lons: Vec<f64> = places.iter().map(|p| p.lon()).collect();
        assert_eq!(lons, [170.0, -180.0, -170.0]);
        let apart = problem(&text.replace("-180.0", "-179.0"), None);
        assert!(apart.contains("2 lines that do not join"), "{apart}");
    }

    #[test]
    fn several_need_a_choice() {
        let second = "<rte><name>South</name><rtept lat=\"46.0\" lon=\"12.5\"/>\
            <rtept lat=\"46.1\" lon=\"12.5\"/></rte></gpx>";
        let gpx = GPX.replace("</gpx>", second);
        let mark = &KML[KML.find("<k:Placemark>").unwrap()..KML.find("</k:Document>").unwrap()];
        let kml = KML.replace(
            "</k:Document>",
            &(mark.replace("North", "South") + "</k:Document>"),
        );
        let geojson = format!(
            r#"{{"type": "FeatureCollection", "features": [{GEOJSON}, {}]}}"#,
            GEOJSON.replace("North", "South")
        );
        for text in [&gpx, &kml, &geojson] {
            let said = problem(text, None);
            assert!(
                said.contains("holds 2 lines: \"North\", \"South\""),
                "{said}"
            );
            assert!(said.contains("`name`"), "{said}");
            assert!(line(text.as_bytes(), Some("South")).is_ok(), "{text}");
        }
        let twice = problem(&gpx.replace("South", "North"), Some("North"));
        assert!(twice.contains("holds 2 lines named \"North\""), "{twice}");
    }

    #[test]
    fn says_what_is_wrong() {
        for (text, expected) in [
            ("", "the file is empty"),
            ("legs: 5", "neither GeoJSON, KML nor GPX"),
            ("<html/>", "root element is <html>"),
            (&GPX.replace("</rte>", ""), "not readable GPX"),
            (&KML.replace("</k:LineString>", ""), "ill-formed"),
            (
                &KML.replace("12.5,47.1,0", "12.5;47.1"),
                "\"12.5;47.1\" is not a position",
            ),
            (&KML.replace("LineString", "Point"), "holds no line to fly"),
            (
                &GEOJSON.replace("47.1", "147.1"),
                "position 2 of its LineString",
            ),
            (
                &GEOJSON.replace("LineString", "Polygon"),
                "holds no line to fly",
            ),
            (&GEOJSON.replace("]]}}", "]]"), "not valid JSON"),
            (
                &GEOJSON.replacen('{', r#"{"crs": {},"#, 1),
                "another reference system",
            ),
            (
                &GEOJSON.replace(", [12.5, 47.1, 3.0], [12.7, 47.1]", ""),
                "1 different point(s)",
            ),
        ] {
            let found = problem(text, None);
            assert!(found.contains(expected), "{text}: {found}");
        }
    }
}
