//! Bombs, masses and depths.

use crate::memory::taken_by;
use crate::turn;
use flate2::Compression;
use flate2::write::GzEncoder;
use overflown::geodesy::Position;
use overflown::input::InputError;
use overflown::plan::{Area, area_file, line_file};
use overflown::search::{Ground, GroundError, Part};
use overflown::tasking::parse_search;
use overflown::track::read::{Columns, ReadSettings, read, read_table};
use overflown::units::Length;
use std::io::{BufWriter, Cursor, Write};
use std::path::{Path, PathBuf};
use tempfile::TempDir;
use zip::write::{SimpleFileOptions, ZipWriter};

const MIB: usize = 1 << 20;

/// A log on disk, so that its own size is not counted.
struct Log {
    _folder: TempDir,
    path: PathBuf,
}

fn log(write: impl FnOnce(&mut dyn Write)) -> Log {
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
fn refused(log: &Log) -> (usize, InputError) {
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
fn refused_within(log: &Log, most_mib: usize, problem: &str) {
    let (taken, error) = refused(log);
    assert!(error.to_string().contains(problem), "{error}");
    assert!(taken <= most_mib * MIB, "{} MiB for: {error}", taken / MIB);
}

const TRACK: &str = "<gpx><trk><trkseg>";

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

fn gzip(bytes: usize, level: Compression) -> Vec<u8> {
    let mut packer = GzEncoder::new(Vec::new(), level);
    packer.write_all(b"<gpx>").unwrap();
    let block = vec![b' '; MIB];
    for _ in 0..bytes / MIB {
        packer.write_all(&block).unwrap();
    }
    packer.finish().unwrap()
}

#[test]
fn gzip_bombs_are_refused() {
    let _turn = turn();
    // One byte in 64 MiB, a thousandth of that packed; and the same packed again.
    let bomb = gzip(64 * MIB, Compression::best());
    refused_within(
        &log(|file| file.write_all(&bomb).unwrap()),
        2,
        "unpacks to more than 200 times",
    );
    let mut twice = GzEncoder::new(Vec::new(), Compression::best());
    twice.write_all(&bomb).unwrap();
    let twice = twice.finish().unwrap();
    refused_within(
        &log(|file| file.write_all(&twice).unwrap()),
        2,
        "compressed twice",
    );
    // Thousands of members that hold nothing, then the bomb.
    let empty = GzEncoder::new(Vec::new(), Compression::best())
        .finish()
        .unwrap();
    let members = [empty.repeat(2000), bomb].concat();
    refused_within(
        &log(|file| file.write_all(&members).unwrap()),
        2,
        "unpacks to more than 200 times",
    );
    // A header with a name that never ends (RFC 1952, 2.3: flag 3).
    let mut endless = vec![0x1F, 0x8B, 8, 8, 0, 0, 0, 0, 0, 255];
    endless.extend(vec![b'a'; 8 * MIB]);
    refused_within(
        &log(|file| file.write_all(&endless).unwrap()),
        2,
        "breaks off or is damaged",
    );
}

fn archive(entries: &[(&str, &[u8])]) -> Vec<u8> {
    let mut writer = ZipWriter::new(Cursor::new(Vec::new()));
    for (name, content) in entries {
        writer
            .start_file(*name, SimpleFileOptions::default())
            .unwrap();
        writer.write_all(content).unwrap();
    }
    writer.finish().unwrap().into_inner()
}

#[test]
fn zip_bombs_are_refused() {
    let _turn = turn();
    let spaces = vec![b' '; 64 * MIB];
    let bomb = archive(&[("doc.kml", &spaces)]);
    // It is unpacked up to 200 times its size, 13 MiB, into memory that doubles as it grows.
    let archived = |bytes: &[u8]| log(|file| file.write_all(bytes).unwrap());
    refused_within(&archived(&bomb), 32, "unpacks to more than 200 times");
    // The directory says one byte, and the header beside the content as well: what comes out counts.
    let size = u32::try_from(spaces.len()).unwrap().to_le_bytes();
    let mut lying = bomb.clone();
    while let Some(at) = lying.windows(4).position(|four| four == size) {
        lying[at..at + 4].copy_from_slice(&1_u32.to_le_bytes());
    }
    let (taken, error) = refused(&archived(&lying));
    assert!(taken <= 32 * MIB, "{taken} bytes for {error}");
    // An archive in an archive is no KML.
    refused_within(&archived(&archive(&[("doc.kml", &bomb)])), 4, "is no KML");
    // Many files, of which none matters.
    let mut names: Vec<String> = (0..10_001).map(|i| i.to_string()).collect();
    names.push("doc.kml".to_owned());
    let entries: Vec<(&str, &[u8])> = names.iter().map(|name| (name.as_str(), &b""[..])).collect();
    refused_within(&archived(&archive(&entries)), 4, "more than 10000 files");
    // The same without its end record's count being true.
    let mut lying = archive(&entries);
    let end = lying.len() - 22;
    lying[end + 8..end + 12].copy_from_slice(&[1, 0, 1, 0]);
    refused_within(&archived(&lying), 4, "more than 10000 files");
    // Names that lead out of the folder are only shown.
    let name = "../../etc/evil\u{1b}[2J\u{202e}.kml";
    let (_, error) = refused(&archived(&archive(&[(name, b"<kml/>")])));
    let said = error.to_string();
    assert!(!said.contains(['\u{1b}', '\u{202e}']), "{said:?}");
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

#[test]
fn areas_lines_and_sub_areas_have_a_most() {
    let _turn = turn();
    let corner = |i: usize| {
        let angle = i as f64 / 6000.0 * std::f64::consts::TAU;
        format!("{},{} ", 12.5 + 0.5 * angle.cos(), 47.0 + 0.5 * angle.sin())
    };
    let ring: String = (0..6000).chain([0]).map(corner).collect();
    let kml = format!(
        "<kml><Polygon><outerBoundaryIs><LinearRing><coordinates>{ring}</coordinates></LinearRing></outerBoundaryIs>\
         </Polygon></kml>"
    );
    let corners = area_file::read_bytes(Path::new("area"), kml.as_bytes()).unwrap();
    let error = Area::new(&corners).unwrap_err();
    assert!(
        error.to_string().contains("at most 5000 corners, 6000"),
        "{error}"
    );
    let line = format!("<kml><LineString><coordinates>{ring}</coordinates></LineString></kml>");
    let error = line_file::read_bytes(Path::new("line"), line.as_bytes(), None).unwrap_err();
    assert!(error.problem.contains("has 6001 points"), "{error}");
    // Many lines are not all named.
    let lines =
        "<rte><name>North</name><rtept lat=\"1\" lon=\"1\"/><rtept lat=\"2\" lon=\"1\"/></rte>"
            .repeat(5000);
    let gpx = format!("<gpx version=\"1.1\" creator=\"t\">{lines}</gpx>");
    let error = line_file::read_bytes(Path::new("line"), gpx.as_bytes(), None).unwrap_err();
    assert!(error.problem.len() < 300, "{}", error.problem.len());

    let at = |lat: f64, lon: f64| Position::new(lat, lon).unwrap();
    let part = |i: i32| Part {
        name: i.to_string(),
        corners: vec![at(47.0, 12.0), at(47.1, 12.0), at(47.1, 12.1)],
        poc: None,
    };
    let parts: Vec<Part> = (0..70_000).map(part).collect();
    let error = Ground::new(&parts, Length::from_nm(1.0), Length::from_nm(1.0)).unwrap_err();
    assert_eq!(error, GroundError::TooManyParts(70_000));
    let text: String = (0..1001)
        .map(|i| format!("[[sub_areas]]\nname = \"{i}\"\ngars = \"381NB13\"\n"))
        .collect();
    let error = parse_search(&format!("search = \"x\"\n{text}"), Path::new("s.toml")).unwrap_err();
    assert!(error.problem.contains("1000"), "{error}");
}

/// Numbers and times at the ends of what can be written.
#[test]
fn extreme_numbers_and_times_are_no_points() {
    let _turn = turn();
    for value in [
        "1e999",
        "-1e999",
        "NaN",
        "inf",
        "1e308",
        "-0",
        "0x10",
        "١٢",
        "",
        "1_0",
        "4294967296",
        "1e-400",
    ] {
        let text = format!(
            "{TRACK}<trkpt lat=\"{value}\" lon=\"12\"><ele>{value}</ele><time>2026-05-01T15:04:05Z</time></trkpt>"
        );
        let result = overflown::track::read::read_bytes(
            Path::new("log"),
            text.as_bytes(),
            ReadSettings {
                salvage: true,
                ..ReadSettings::default()
            },
            None,
        );
        let reading = result.unwrap();
        for fix in reading.segments.iter().flatten() {
            assert!(["-0", "1e-400"].contains(&value), "{value}: {fix:?}");
            assert_eq!(fix.position.lat(), 0.0);
        }
    }
    for time in [
        "+262142-12-31T23:59:60",
        "+262143-01-01T00:00:00",
        "-262143-01-01T00:00:00",
        "10000-01-01T00:00:00",
        "2026-02-30T00:00:00Z",
        "2026-05-01T24:00:00Z",
        "2026-05-01T15:04:61Z",
        "99999999999999",
    ] {
        let text = format!("{TRACK}<trkpt lat=\"1\" lon=\"12\"><time>{time}</time></trkpt>");
        let result = overflown::track::read::read_bytes(
            Path::new("log"),
            text.as_bytes(),
            ReadSettings {
                salvage: true,
                ..ReadSettings::default()
            },
            None,
        );
        assert!(result.unwrap().segments.is_empty(), "{time}");
    }
    for time in [
        "0000-01-01T00:00:00+23:59",
        "9999-12-31T23:59:60-23:59",
        "0000-01-01T00:00:00",
    ] {
        let point = |time: &str| format!("<trkpt lat=\"1\" lon=\"12\"><time>{time}</time></trkpt>");
        let text = format!("{TRACK}{}{}", point(time), point("2026-05-01T15:04:05Z"));
        crate::feeds::feed("gpx", text.as_bytes());
    }
}
