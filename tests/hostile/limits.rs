//! Bombs, masses and depths.

use crate::memory::taken_by;
use crate::turn;
use overflown::input::InputError;
use overflown::plan::{area_file, line_file};
use overflown::tasking::parse_search;
use overflown::track::read::{Columns, ReadSettings, read, read_table};
use std::io::{BufWriter, Write};
use std::path::{Path, PathBuf};
use tempfile::TempDir;

pub const MIB: usize = 1 << 20;

/// A log on disk, so that its own size is not counted.
pub struct Log {
    _folder: TempDir,
    path: PathBuf,
}

pub fn log(write: impl FnOnce(&mut dyn Write)) -> Log {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("log");
    let mut file = BufWriter::new(std::fs::File::create(&path).unwrap());
    write(&mut file);
    file.flush().unwrap();
    Log {
        _folder: folder,
        path,
    }
}

fn repeated(start: &str, piece: &str, bytes: usize) -> Log {
    log(|file| {
        file.write_all(start.as_bytes()).unwrap();
        let block = piece.repeat(64 * 1024 / piece.len());
        for _ in 0..bytes / block.len() {
            file.write_all(block.as_bytes()).unwrap();
        }
    })
}

/// Reads it, and gives the memory that took and the error.
pub fn refused(log: &Log) -> (usize, InputError) {
    refused_with(log, None)
}

fn refused_with(log: &Log, columns: Option<Columns>) -> (usize, InputError) {
    let settings = ReadSettings::default();
    let (taken, result) = taken_by(|| match columns {
        None => read(&log.path, settings),
        Some(columns) => read_table(&log.path, settings, columns),
    });
    (
        taken,
        result.map(|reading| reading.segments.len()).unwrap_err(),
    )
}

#[track_caller]
pub fn refused_within(log: &Log, most_mib: usize, problem: &str) {
    let (taken, error) = refused(log);
    assert!(error.to_string().contains(problem), "{error}");
    assert!(taken <= most_mib * MIB, "{} MiB for: {error}", taken / MIB);
}

pub const TRACK: &str = "<gpx><trk><trkseg>";

/// A token without an end is not held, whatever it is part of.
#[test]
fn endless_tokens_are_not_held() {
    let _turn = turn();
    for (start, piece) in [
        // Text where none is read, a comment, an attribute, a name, character data, a declaration.
        ("<gpx><extensions>", "a"),
        ("<gpx><!--", "a"),
        ("<gpx><trk a=\"", "a"),
        ("<gpx><", "a"),
        ("<gpx><trk><![CDATA[", "a"),
        ("<?xml ", "a"),
        ("<kml><Document><Style>", "a"),
    ] {
        refused_within(&repeated(start, piece, 40 * MIB), 40, "longer than 16 MiB");
    }
    // In pieces, each an event of its own.
    refused_within(
        &repeated("<gpx><trk><name>", "a&amp;", 4 * MIB),
        1,
        "ends before its elements are closed",
    );
    refused_within(
        &repeated(
            &format!("{TRACK}<trkpt lat=\"1\" lon=\"1\"><time>"),
            "1&#48;",
            4 * MIB,
        ),
        1,
        "ends before its elements are closed",
    );
    // One line of 40 MiB is one damaged line.
    refused_within(
        &repeated("$GPRMC,", "1", 40 * MIB),
        1,
        "no sentence can be read",
    );
    refused_within(&repeated("HFDTE010526\nB", "1", 40 * MIB), 1, "holds");
    for start in [
        "time,lat,lon\n",
        "time,lat,lon\n\"",
        "time,lat,lon\n1,1,1\n#",
    ] {
        refused_within(
            &repeated(start, "a", 40 * MIB),
            8,
            "a row is longer than 1 MiB",
        );
    }
    refused_within(
        &repeated("time,lat,lon\n", ",", 40 * MIB),
        80,
        "a row is longer than 1 MiB",
    );
}

#[test]
fn depths_are_refused() {
    let _turn = turn();
    for start in [
        "<gpx>",
        "<kml>",
        "<gpx><trk><extensions>",
        "<kml><Document>",
    ] {
        refused_within(
            &repeated(start, "<a>", 8 * MIB),
            32,
            "nested more than 1000000 deep",
        );
    }
    refused_within(
        &repeated("<kml>", "<Document>", 8 * MIB),
        1,
        "nested more than 100 deep",
    );
    // JSON is stepped over, not followed down.
    for start in [
        "{\"type\":",
        "{\"type\": \"FeatureCollection\", \"features\": ",
    ] {
        refused_within(&repeated(start, "[", 8 * MIB), 60, "ill-formed");
    }
    for kind in ["Polygon", "LineString"] {
        let text = format!(
            "{{\"type\": \"{kind}\", \"coordinates\": {}",
            "[".repeat(100_000)
        );
        for result in [
            area_file::read_bytes(Path::new("deep"), text.as_bytes()),
            line_file::read_bytes(Path::new("deep"), text.as_bytes(), None),
        ] {
            assert!(result.unwrap_err().problem.contains("recursion limit"));
        }
    }
    let xml = format!("<kml>{}", "<a>".repeat(100_000));
    for result in [
        area_file::read_bytes(Path::new("deep"), xml.as_bytes()),
        line_file::read_bytes(Path::new("deep"), xml.as_bytes(), None),
    ] {
        assert!(result.unwrap_err().problem.contains("more than 100 deep"));
    }
    let toml = format!("search = {}", "[".repeat(100_000));
    let error = parse_search(&toml, Path::new("deep.toml")).unwrap_err();
    assert!(error.problem.contains("not valid TOML"), "{error}");
}

/// Entities that multiply, and those that fetch: no document type is read at all.
#[test]
fn entities_are_not_declared() {
    let _turn = turn();
    let bomb =
        "<!DOCTYPE gpx [<!ENTITY a \"aaaaaaaaaa\"><!ENTITY b \"&a;&a;&a;&a;&a;&a;&a;&a;\">]>";
    let outside = "<!DOCTYPE gpx SYSTEM \"file:///etc/passwd\">";
    let parameter = "<!DOCTYPE gpx [<!ENTITY % x SYSTEM \"http://127.0.0.1/x\"> %x;]>";
    for declaration in [bomb, outside, parameter] {
        for root in ["gpx", "kml"] {
            let text =
                format!("<?xml version=\"1.0\"?>\n{declaration}<{root}><name>&b;</name></{root}>");
            refused_within(
                &log(|file| file.write_all(text.as_bytes()).unwrap()),
                1,
                "<!DOCTYPE",
            );
            for error in [
                area_file::read_bytes(Path::new("area"), text.as_bytes()).unwrap_err(),
                line_file::read_bytes(Path::new("line"), text.as_bytes(), None).unwrap_err(),
            ] {
                assert!(
                    error.to_string().contains(", line 2: has a document type"),
                    "{error}"
                );
            }
        }
    }
    // Not declared at all.
    let text = "<gpx><trk><name>&b;</name></trk></gpx>";
    refused_within(
        &log(|file| file.write_all(text.as_bytes()).unwrap()),
        1,
        "&b; is not declared",
    );
    let text = "<kml><Polygon><outerBoundaryIs><LinearRing><coordinates>1&b;2,3</coordinates></LinearRing>\
                </outerBoundaryIs></Polygon></kml>";
    let error = area_file::read_bytes(Path::new("area"), text.as_bytes()).unwrap_err();
    assert!(error.problem.contains("\"b\" is not declared"), "{error}");
}

/// A reference to a character stands for it, in places and in names.
#[test]
fn references_are_what_they_stand_for() {
    let _turn = turn();
    let text = "<kml><Placemark><name>A &amp; B</name><LineString><coordinates>1&#50;.5,47 12.5,4&#x38;</coordinates>\
                </LineString></Placemark></kml>";
    let places = line_file::read_bytes(Path::new("line"), text.as_bytes(), Some("A & B")).unwrap();
    let found: Vec<(f64, f64)> = places.iter().map(|p| (p.lat(), p.lon())).collect();
    assert_eq!(found, [(47.0, 12.5), (48.0, 12.5)]);
    let text = "<kml><Polygon><outerBoundaryIs><LinearRing><coordinates>1&#50;.5,47 12.7,47 12.7,47.1 12.5,47\
                </coordinates></LinearRing></outerBoundaryIs></Polygon></kml>";
    let corners = area_file::read_bytes(Path::new("area"), text.as_bytes()).unwrap();
    assert_eq!(corners[0].lon(), 12.5);
}

/// Segments, tracks and waypoints in masses cost no more than their share.
#[test]
fn masses_are_read_in_their_share_of_memory() {
    let _turn = turn();
    for (start, piece) in [
        ("<gpx><trk>", "<trkseg/>"),
        ("<gpx>", "<wpt lat=\"1\" lon=\"1\"/>"),
        ("<kml><Document>", "<Placemark/>"),
    ] {
        let (taken, error) = refused(&repeated(start, piece, 16 * MIB));
        assert!(taken <= MIB, "{} KiB for {piece}: {error}", taken >> 10);
    }
    refused_within(
        &repeated("<gpx>", "<trk/>", 16 * MIB),
        4,
        "more than 10000 tracks",
    );
    // An attribute a hundred thousand times.
    let (taken, error) = refused(&repeated(&format!("{TRACK}<trkpt "), "a=\"1\" ", MIB));
    assert!(taken <= 4 * MIB, "{} MiB: {error}", taken / MIB);
    // Points that cannot be used, a million and more of them.
    let bad = repeated("HFDTE010526\n", "x\n", 3 * MIB);
    refused_within(
        &bad,
        256,
        "more than 1000000 points or lines cannot be used",
    );
    let bad = repeated("time,lat,lon\n", "1,1,1\n", 8 * MIB);
    refused_within(
        &bad,
        256,
        "more than 1000000 points or lines cannot be used",
    );
    let bad = repeated(TRACK, "<trkpt/>", 10 * MIB);
    refused_within(
        &bad,
        256,
        "more than 1000000 points or lines cannot be used",
    );
    let start = "{\"type\": \"Feature\", \"properties\": {\"times\": []}, \"geometry\": {\"type\": \"LineString\", \
                 \"coordinates\": [1";
    let bad = log(|file| {
        file.write_all(start.as_bytes()).unwrap();
        file.write_all(",1".repeat(2 * MIB).as_bytes()).unwrap();
        file.write_all(b"]}}").unwrap();
    });
    refused_within(
        &bad,
        512,
        "more than 1000000 points or lines cannot be used",
    );
    let large = repeated("{\"type\": \"", "a", 65 * MIB);
    refused_within(&large, 200, "larger than 64 MiB");
    let many = repeated("<kml><Placemark><Track>", "<when/>", 40 * MIB);
    refused_within(&many, 1024, "more than 5000000 track points");
}
