//! Areas that are wrongly given, in the tasking or in a file.

use crate::refusals::{folder_for_taskings, refused, tasking_refused, with_area};
use crate::support::Folder;

#[test]
fn areas_that_are_wrongly_given() {
    let folder = folder_for_taskings();
    for (area, line, problem, hint) in [
        ("", 4, "[area] gives no area", "`centre` + `radius`"),
        (
            "centre = [47.1, 12.5]\nradius = \"3 NM\"\nsouth = 47.0",
            5,
            "`centre` in [area] belongs to a circle, but `south` already gives a box",
            "one way only",
        ),
        (
            "centre = [47.1, 12.5]\ngars = \"385ML3\"",
            6,
            "belongs to a GARS cell, but `centre` already gives a circle",
            "one way only",
        ),
        (
            "centre = [47.1, 12.5]",
            4,
            "missing key `radius` in [area]",
            "radius = \"5 NM\"",
        ),
        ("radius = \"5 NM\"", 4, "missing key `centre`", "centre = ["),
        (
            "centre = [47.1, 12.5]\nradius = \"500 NM\"",
            6,
            "100 m to 119 NM",
            "`radius`",
        ),
        (
            "centre = [47.1, 12.5]\nradius = \"0 NM\"",
            6,
            "more than zero",
            "`radius`",
        ),
        (
            "line = [[47.1, 12.5], [47.1, 12.5]]\nhalf_width = \"1 NM\"",
            5,
            "two different places",
            "`line`",
        ),
        (
            "line = [\"47 06 N 012 30 E\",\n\"47 06 N 012 30\"]\nhalf_width = \"1 NM\"",
            6,
            "no E or W",
            "`line` in [area] takes a place",
        ),
        ("line = [[47.1, 12.5]]", 5, "two different places", "`line`"),
        (
            "line = [[47.1, 12.5], [47.2, 12.5]]",
            4,
            "missing key `half_width`",
            "half_width = ",
        ),
        (
            "gars = \"381NI\"",
            5,
            "band of latitude NI is not from AA to QZ, without the letters I and O",
            "the nearest name is \"381NJ\"",
        ),
        ("gars = 381", 5, "cannot be", "text in quotes"),
        (
            "cell_corner = [47.1, 12.5]\ncell_size = \"7.5'\"",
            5,
            "does not lie on the graticule of 7.5'",
            "[47.125, 12.500]",
        ),
        (
            "cell_corner = [47.125, 12.5]\ncell_size = \"10'\"",
            6,
            "cannot be \"10'\"",
            "`15'`",
        ),
        (
            "cell_corner = [90, 12]\ncell_size = \"1°\"",
            5,
            "beyond the pole",
            "`cell_corner`",
        ),
    ] {
        tasking_refused(&folder, with_area(area), Some(line), problem, hint);
    }
}

#[test]
fn area_files_that_cannot_be_used() {
    let folder = Folder::flown(&[]);
    folder.put("filed.toml", with_area("file = \"area.json\""));
    let check = |content: Option<&[u8]>, line: Option<usize>, problem: &str, hint: &str| {
        if let Some(content) = content {
            folder.put("area.json", content);
        }
        for arguments in [
            &["debrief", "log.gpx", "--tasking", "filed.toml"][..],
            &["plan", "filed.toml"],
            &["rehearse", "filed.toml"],
        ] {
            let run = folder.run(arguments);
            refused(&folder, &run, "area.json", line, problem, hint);
        }
    };
    check(None, None, "the area cannot be read", "GeoJSON polygon");
    for (content, line, problem, hint) in [
        (&b""[..], None, "the file is empty", "GeoJSON polygon"),
        (
            b"PK\x03\x04",
            None,
            "neither GeoJSON, KML nor GPX",
            "KML polygon",
        ),
        (b"{\n\xff}", Some(2), "not UTF-8", "GeoJSON polygon"),
        (b"<html/>", None, "root element is <html>", "KML polygon"),
        (b"<!-- -->", None, "no XML element", "KML polygon"),
        (
            b"{\"type\": \"Polygon\",\n\"coordinates\": [[[12,47],[13,47]",
            Some(2),
            "not valid JSON",
            "export",
        ),
        (b"<kml>\n<Polygon></kml>", Some(2), "ill-formed", "export"),
        (
            b"{\"type\": \"Polygon\", \"coordinates\": [[[12,47],[13,47],[12,47]]]}",
            None,
            "at least three different corners",
            "in order round it",
        ),
        (
            b"{\"type\": \"Polygon\", \"coordinates\": [[[2,47],[13,47],[12,48],[2,47]]]}",
            None,
            "at most 120 NM",
            "smaller",
        ),
    ] {
        check(Some(content), line, problem, hint);
    }
}
