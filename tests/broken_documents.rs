//! Logs as KML, KMZ, GeoJSON and tables: exact values, and whatever is broken in them ends with an error or a
//! ledger entry that names the place; never with a panic.
//!
//! Facts are those of OGC KML 2.3 (12-007r2) and 2.2 (07-147r2), RFC 7946 (GeoJSON), RFC 8259 (JSON),
//! RFC 4180 (comma-separated values); inputs were made by hand.
#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    reason = "a test fails by panicking"
)]

use overflown::input::{InputError, sha256_hex};
use overflown::track::clean::{CleanSettings, clean};
use overflown::track::read::{Columns, ReadSettings, read, read_table};
use overflown::track::{Finding, HeightKind, Reading, Track};
use proptest::prelude::*;
use std::collections::BTreeSet;
use std::io::{Cursor, Write};
use std::path::PathBuf;
use tempfile::TempDir;
use zip::write::{SimpleFileOptions, ZipWriter};

struct Log {
    _folder: TempDir,
    path: PathBuf,
}

fn file(content: impl AsRef<[u8]>) -> Log {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("log");
    std::fs::write(&path, content).unwrap();
    Log {
        _folder: folder,
        path,
    }
}

fn settings(salvage: bool) -> ReadSettings {
    ReadSettings {
        salvage,
        ..ReadSettings::default()
    }
}

fn reading(content: impl AsRef<[u8]>) -> Result<Reading, InputError> {
    read(&file(content).path, settings(false))
}

fn track(content: impl AsRef<[u8]>) -> Result<Track, InputError> {
    clean(reading(content)?, &CleanSettings::default())
}

fn with_columns(content: &str, columns: &str) -> Result<Reading, InputError> {
    let columns: Columns = columns.parse().unwrap();
    read_table(&file(content).path, settings(false), columns)
}

/// Every fix: line, time, latitude, longitude, height in metres.
fn fixes(reading: &Reading) -> Vec<(u32, String, f64, f64, Option<f64>)> {
    let fixes = reading.segments.iter().flatten();
    fixes
        .map(|fix| {
            let time = fix.time.format("%Y-%m-%dT%H:%M:%S%.fZ").to_string();
            let height = fix.height.map(|height| height.m());
            (
                fix.line,
                time,
                fix.position.lat(),
                fix.position.lon(),
                height,
            )
        })
        .collect()
}

fn entries(reading: &Reading) -> Vec<(u32, Finding, &str)> {
    let entries = reading.ledger.entries.iter();
    entries
        .map(|e| (e.line, e.finding, e.raw.as_str()))
        .collect()
}

/// The error as printed but for the folder.
fn said(error: &InputError) -> String {
    let folder = error.file.parent().unwrap().join("");
    let text = error.to_string();
    text.strip_prefix(&*folder.to_string_lossy())
        .unwrap_or(&text)
        .to_owned()
}

fn refused(content: impl AsRef<[u8]>, problem: &str, hint: &str) {
    let content = content.as_ref();
    let shown = String::from_utf8_lossy(&content[..content.len().min(300)]);
    let error = track(content).expect_err(&shown);
    assert_eq!(said(&error), problem, "for {shown}");
    assert!(error.hint.contains(hint), "for {shown}: {}", error.hint);
}

// ---- KML -----------------------------------------------------------------------------------------

/// A document with one `Track`, whose content begins on line 2.
fn kml(track: &str) -> String {
    format!(
        "<kml xmlns=\"http://www.opengis.net/kml/2.2\"><Document><Placemark><name>Mist</name><Track>\n{track}\
         </Track></Placemark></Document></kml>\n"
    )
}

fn when(second: u32) -> String {
    format!("<when>2026-05-01T15:04:{second:02}Z</when>\n")
}

fn coord(second: u32) -> String {
    format!(
        "<coord>{} 47.5 457.2</coord>\n",
        12.0 + f64::from(second) / 1000.0
    )
}

const ABSOLUTE: &str = "<altitudeMode>absolute</altitudeMode>\n";

/// All times first, as the schema of 12-007r2 has it.
fn times_first(seconds: std::ops::Range<u32>) -> String {
    let times: String = seconds.clone().map(when).collect();
    times + &seconds.map(coord).collect::<String>()
}

fn in_turn(seconds: std::ops::Range<u32>) -> String {
    seconds.map(|s| when(s) + &coord(s)).collect()
}

/// 12-007r2, Track: the n-th when and the n-th coord are one; coord is longitude, latitude, altitude with
/// spaces between; altitudes in mode absolute are metres above the EGM96 geoid.
#[test]
fn kml_tracks_are_read_exactly() {
    for points in [times_first(0..3), in_turn(0..3)] {
        let reading = reading(kml(&(ABSOLUTE.to_owned() + &points))).unwrap();
        assert_eq!(reading.name.as_deref(), Some("Mist"));
        assert_eq!(reading.height_kind, HeightKind::MeanSeaLevel);
        assert!(reading.ledger.entries.is_empty());
        let fixes = fixes(&reading);
        assert_eq!(fixes.len(), 3);
        let (_, time, lat, lon, height) = &fixes[2];
        assert_eq!(
            (time.as_str(), *lat, *lon, *height),
            ("2026-05-01T15:04:02Z", 47.5, 12.002, Some(457.2))
        );
    }
    let lines: Vec<u32> = fixes(&reading(kml(&times_first(0..3))).unwrap())
        .iter()
        .map(|fix| fix.0)
        .collect();
    assert_eq!(lines, [5, 6, 7]);
}

/// The extension of KML 2.2 and any prefix; several tracks, each a segment; folders; and nothing that is
/// inside ExtendedData.
#[test]
fn kml_of_both_versions_with_any_prefix() {
    let log = "<?xml version='1.0'?>
<k:kml xmlns:k='http://www.opengis.net/kml/2.2' xmlns:e='urn:extension'><k:Folder><k:Folder>
<k:Placemark><k:name>place</k:name><k:Point><k:coordinates>1,1</k:coordinates></k:Point></k:Placemark>
<k:Placemark><k:name> Mist &amp; rain </k:name><e:MultiTrack><k:altitudeMode>absolute</k:altitudeMode>
<e:Track><k:when>2026-05-01T15:04:05.25Z</k:when><e:coord>12 47 300</e:coord><e:angles>1 2 3</e:angles>
<k:ExtendedData><k:when>2020-01-01T00:00:00Z</k:when><e:coord>1 1 1</e:coord></k:ExtendedData></e:Track>
<e:Track><k:altitudeMode>relativeToGround</k:altitudeMode>
<k:when>2026-05-01T17:04:06+02:00</k:when><e:coord>12 47 10</e:coord></e:Track></e:MultiTrack>
</k:Placemark></k:Folder>
<k:Placemark><k:name>second</k:name><k:MultiGeometry><e:Track><e:altitudeMode>absolute</e:altitudeMode>
<k:when>2026-05-01T15:04:07</k:when><e:coord>12.5 -47.25</e:coord></e:Track></k:MultiGeometry></k:Placemark>
</k:Folder></k:kml>";
    let reading = reading(log).unwrap();
    assert_eq!(reading.name.as_deref(), Some("Mist & rain"));
    assert_eq!(reading.segments.len(), 3);
    let expected = [
        (5, "2026-05-01T15:04:05.250Z", 47.0, 12.0, Some(300.0)),
        (8, "2026-05-01T15:04:06Z", 47.0, 12.0, None),
        // Without a third number no altitude was recorded.
        (11, "2026-05-01T15:04:07Z", -47.25, 12.5, None),
    ]
    .map(|(line, time, lat, lon, height)| (line, time.to_owned(), lat, lon, height));
    assert_eq!(fixes(&reading), expected);
    assert_eq!(
        entries(&reading),
        [
            (7, Finding::BadHeight, "altitudeMode relativeToGround"),
            (11, Finding::NoZone, "2026-05-01T15:04:07"),
        ]
    );
}

/// 12-007r2: without altitudeMode it is clampToGround, and altitudes mean nothing.
#[test]
fn kml_heights_count_in_mode_absolute_alone() {
    for (mode, raw) in [
        ("", Some("no altitudeMode, which means clampToGround")),
        (
            "<altitudeMode>clampToGround</altitudeMode>",
            Some("altitudeMode clampToGround"),
        ),
        (
            "<altitudeMode>relativeToSeaFloor</altitudeMode>",
            Some("altitudeMode relativeToSeaFloor"),
        ),
        ("<altitudeMode> absolute\n</altitudeMode>", None),
    ] {
        let reading = reading(kml(&(mode.to_owned() + &in_turn(0..5)))).unwrap();
        let heights = fixes(&reading).iter().filter(|fix| fix.4.is_some()).count();
        assert_eq!(heights, if raw.is_some() { 0 } else { 5 }, "{mode}");
        let expected: Vec<_> = raw
            .map(|raw| (1, Finding::BadHeight, raw))
            .into_iter()
            .collect();
        assert_eq!(entries(&reading), expected, "{mode}");
    }
}

#[test]
fn a_bad_pair_of_kml_costs_only_itself() {
    use Finding::{BadHeight, BadTime, NoTime, NullIsland, OutOfRange, Unreadable};
    for (bad_time, bad_coord, line, finding, raw) in [
        ("2026-05-01T15:04:02Z", "12 91 1", 7, OutOfRange, "12 91 1"),
        ("2026-05-01T15:04:02Z", "12,47,1", 7, Unreadable, "12,47,1"),
        ("2026-05-01T15:04:02Z", "", 7, Unreadable, ""),
        ("2026-05-01T15:04:02Z", "0 0 0", 7, NullIsland, "0 0 0"),
        (
            "2026-05-01T15:04:02Z",
            "12 47 1 1",
            7,
            Unreadable,
            "12 47 1 1",
        ),
        (
            "2026-05-01T15:04:02Z",
            "12 inf 1",
            7,
            Unreadable,
            "12 inf 1",
        ),
        ("2026-05-01", "12 47 1", 6, BadTime, "2026-05-01"),
        ("", "12 47 1", 6, NoTime, ""),
        (
            "2026-05-01T15:04:02Z",
            "12.002 47.5 high",
            7,
            BadHeight,
            "high",
        ),
        (
            "2026-05-01T15:04:02Z",
            "12.002 47.5 -9999",
            7,
            BadHeight,
            "-9999",
        ),
    ] {
        let pair = format!("<when>{bad_time}</when>\n<coord>{bad_coord}</coord>\n");
        let points = in_turn(0..2) + &pair + &in_turn(3..6);
        let log = kml(&points).replace("<Track>", "<Track><altitudeMode>absolute</altitudeMode>");
        let reading = reading(log).unwrap();
        assert_eq!(
            entries(&reading),
            [(line, finding, raw)],
            "{bad_time} {bad_coord}"
        );
        let kept = if finding == BadHeight { 6 } else { 5 };
        assert_eq!(fixes(&reading).len(), kept, "{bad_time} {bad_coord}");
    }
}

/// Where times and positions stand in turn, a missing one costs its partner alone and shifts nothing.
/// Where all times stand first, nobody can tell which one is missing, and no pair is made up.
#[test]
fn kml_times_and_positions_that_do_not_pair_up() {
    let whole = in_turn(0..10);
    let log = reading(kml(&whole.replace(&coord(4), ""))).unwrap();
    assert_eq!(
        entries(&log)[1..],
        [(10, Finding::Unpaired, "a time without a position")]
    );
    let seconds = |log: &Reading| -> Vec<(String, u32)> {
        let second = |lon: f64| ((lon - 12.0) * 1000.0).round() as u32;
        fixes(log)
            .iter()
            .map(|fix| (fix.1[17..19].to_owned(), second(fix.3)))
            .collect()
    };
    for (time, second) in seconds(&log) {
        assert_eq!(time, format!("{second:02}"));
    }
    assert_eq!(fixes(&log).len(), 9);

    let log = reading(kml(&whole.replace(&when(4), ""))).unwrap();
    assert_eq!(
        entries(&log)[1..],
        [(10, Finding::Unpaired, "a position without a time")]
    );
    assert!(
        seconds(&log)
            .iter()
            .all(|(time, second)| *time == format!("{second:02}"))
    );
    assert_eq!(fixes(&log).len(), 9);

    let first = times_first(0..10);
    refused(
        kml(&first.replace(&coord(4), "")),
        "log, line 12: 9 of 9 points cannot be used, most of them for this reason: times and positions do \
         not pair up (10 times for 9 positions)",
        "as many",
    );
    // In twos it can as little be told.
    let twos: String = (0..5).map(|i| times_first(2 * i..2 * i + 2)).collect();
    let log = reading(kml(&twos.replace(&coord(4), ""))).unwrap();
    assert!(fixes(&log).is_empty());
}

#[test]
fn kml_without_recorded_times_is_refused() {
    let line = "<LineString><coordinates>12,47 12,48</coordinates></LineString>";
    let needed = "<Track> with as many <when> as <coord>";
    let placemark = |inside: &str| format!("<kml><Placemark>{inside}</Placemark></kml>");
    refused("<kml/>", "log: the file holds no track point", needed);
    refused(kml(""), "log: the file holds no track point", needed);
    refused(
        placemark("<Point/>"),
        "log: the file holds places, but no track point",
        needed,
    );
    refused(
        placemark(line),
        "log: the file holds drawn lines, not a recorded track",
        needed,
    );
    let span =
        "<TimeSpan><begin>2026-05-01T15:00:00Z</begin><end>2026-05-01T16:00:00Z</end></TimeSpan>";
    refused(
        placemark(&(span.to_owned() + line)),
        "log: the file holds lines with one span of time each, not a time for every position",
        "where on them is not recorded",
    );
    let coords: String = (0..5).map(coord).collect();
    refused(
        kml(&coords),
        "log: none of the 5 track points has a time",
        "planned route",
    );
}

#[test]
fn broken_kml_is_refused_where_it_breaks() {
    let log = kml(&in_turn(0..10));
    refused(
        &log[..log.find("<coord>12.005").unwrap() + 3],
        "log, line 13: the XML breaks off: tag not closed: `>` not found before end of input; 5 good points \
         stand before",
        "--salvage",
    );
    refused(
        log.replace("</Track>", ""),
        "log, line 22: the XML is ill-formed: expected `</Track>`, but `</Placemark>` was found; 10 good \
         points stand before",
        "--salvage",
    );
    refused(
        format!("<!DOCTYPE kml [<!ENTITY a \"aa\">]>\n{log}"),
        "log, line 1: the file has a document type declaration (<!DOCTYPE …>)",
        "delete the declaration",
    );
    refused(
        log.replacen("15:04:01Z", "&t;", 1),
        "log, line 4: the entity &t; is not declared; 1 good point stands before",
        "--salvage",
    );
    refused(
        "<kml>\n".to_owned() + &"<Folder>".repeat(200_000),
        "log, line 2: the elements are nested more than 100 deep",
        "out of its folders",
    );
    // Deep, but stepped over.
    let deep = format!("<x>{}{}</x>", "<a>".repeat(100_000), "</a>".repeat(100_000));
    assert_eq!(
        fixes(&reading(kml(&(deep + &in_turn(0..4)))).unwrap()).len(),
        4
    );

    let cut = &log[..log.find("<coord>12.005").unwrap()];
    let salvaged = read(&file(cut).path, settings(true)).unwrap();
    assert_eq!(fixes(&salvaged).len(), 5);
    assert_eq!(
        salvaged.ledger.entries.last().unwrap().finding,
        Finding::Truncated
    );
    let log = kml(&times_first(0..10));
    let cut = &log[..log.find("<coord>12.005").unwrap()];
    let salvaged = read(&file(cut).path, settings(true)).unwrap();
    assert_eq!(fixes(&salvaged)[4].1, "2026-05-01T15:04:04Z");
    assert_eq!(fixes(&salvaged).len(), 5);
}

// ---- KMZ -----------------------------------------------------------------------------------------

fn archive(files: &[(&str, &[u8])]) -> Vec<u8> {
    let mut writer = ZipWriter::new(Cursor::new(Vec::new()));
    for (name, content) in files {
        writer
            .start_file(*name, SimpleFileOptions::default())
            .unwrap();
        writer.write_all(content).unwrap();
    }
    writer.finish().unwrap().into_inner()
}

/// 12-007r2 and 07-147r2, KMZ: one KML file, by custom doc.kml, in no folder; others may be there.
#[test]
fn kmz_holds_the_same_track() {
    let log = kml(&in_turn(0..10));
    let expected = fixes(&reading(&log).unwrap());
    let (other, picture) = (kml(&in_turn(20..30)), [0_u8; 50]);
    for files in [
        vec![("doc.kml", log.as_bytes())],
        vec![
            ("files/other.kml", other.as_bytes()),
            ("Flight.KML", log.as_bytes()),
        ],
        vec![
            ("a.png", &picture[..]),
            ("doc.kml", log.as_bytes()),
            ("z.kml", other.as_bytes()),
        ],
        vec![
            ("in/doc.kml", log.as_bytes()),
            ("in/z.kml", other.as_bytes()),
        ],
        vec![("../../../etc/doc.kml", log.as_bytes())],
    ] {
        let packed = archive(&files);
        let reading = reading(&packed).unwrap();
        assert_eq!(fixes(&reading), expected, "{}", files[0].0);
        assert_eq!(reading.source.sha256, sha256_hex(&packed));
        assert_eq!(reading.source.bytes, packed.len() as u64);
        assert_eq!(reading.source.name, "log");
    }
}

#[test]
fn broken_archives_are_refused() {
    let log = kml(&in_turn(0..100));
    let good = archive(&[("doc.kml", log.as_bytes())]);
    let hint = "pack the log again";
    refused(
        archive(&[("a.txt", b"a")]),
        "log: the zip archive holds no .kml file",
        hint,
    );
    refused(
        archive(&[("doc.kml", b"<gpx/>")]),
        "log (doc.kml): the file in the archive is no KML",
        hint,
    );
    let broken = log.replacen("15:04:01Z", "&t;", 1);
    refused(
        archive(&[("doc.kml", broken.as_bytes())]),
        "log (doc.kml), line 4: the entity &t; is not declared; 1 good point stands before",
        "export the log again",
    );
    // A zip bomb: 8 MiB of one letter.
    let bomb = [b"<kml>".as_slice(), &vec![b' '; 8 << 20]].concat();
    refused(
        archive(&[("doc.kml", &bomb)]),
        "log: the compressed file unpacks to more than 200 times its size, as files do that are made to \
         exhaust the reader",
        "if you trust it",
    );
    let many: Vec<String> = (0..10_001).map(|i| format!("{i}.txt")).collect();
    let many: Vec<(&str, &[u8])> = many.iter().map(|name| (name.as_str(), &b""[..])).collect();
    refused(
        archive(&many),
        "log: the zip archive holds more than 10000 files",
        hint,
    );
    for cut in [30, 100, good.len() / 2, good.len() - 1] {
        let error = reading(&good[..cut]).unwrap_err();
        assert!(
            said(&error).starts_with("log: the zip archive cannot be read ("),
            "{error}"
        );
    }
    // Any one bit: read as if nothing had been, or refused, since the content has a check sum.
    let expected = fixes(&reading(&log).unwrap());
    for at in (0..good.len()).step_by(3) {
        let mut damaged = good.clone();
        damaged[at] ^= 1 << (at % 8);
        match reading(&damaged) {
            Ok(reading) => assert_eq!(fixes(&reading), expected, "byte {at}"),
            Err(error) => assert!(said(&error).starts_with("log"), "{error}"),
        }
    }
}

// ---- GeoJSON -------------------------------------------------------------------------------------

fn line_feature(coordinates: &str, times: &str) -> String {
    format!(
        "{{\"type\": \"Feature\",\n\"properties\": {{\"name\": \"Mist\", \"coordTimes\": [{times}]}},\n\
         \"geometry\": {{\"type\": \"LineString\", \"coordinates\": [\n{coordinates}\n]}}}}\n"
    )
}

fn position(second: u32) -> String {
    format!("[{}, 47.5, 457.2]", 12.0 + f64::from(second) / 1000.0)
}

fn time(second: u32) -> String {
    format!("\"2026-05-01T15:04:{second:02}Z\"")
}

fn list(seconds: impl Iterator<Item = u32>, item: impl Fn(u32) -> String) -> String {
    seconds.map(item).collect::<Vec<_>>().join(",\n")
}

fn geojson_line(seconds: std::ops::Range<u32>) -> String {
    line_feature(
        &list(seconds.clone(), position),
        &list(seconds, time).replace('\n', " "),
    )
}

/// RFC 7946, 3.1.1: longitude, latitude, metres above the WGS 84 ellipsoid.
#[test]
fn geojson_lines_are_read_exactly() {
    let line = reading(geojson_line(0..3)).unwrap();
    assert_eq!(line.name.as_deref(), Some("Mist"));
    assert_eq!(line.height_kind, HeightKind::Ellipsoid);
    assert!(line.ledger.entries.is_empty());
    let expected = fixes(&line);
    assert_eq!(
        expected[2],
        (
            6,
            "2026-05-01T15:04:02Z".to_owned(),
            47.5,
            12.002,
            Some(457.2)
        )
    );
    let values = |reading: &Reading| -> Vec<_> {
        fixes(reading)
            .into_iter()
            .map(|(_, t, lat, lon, h)| (t, lat, lon, h))
            .collect()
    };
    let same: Vec<_> = values(&line);
    let text = geojson_line(0..3);
    for (name, other) in [
        (
            "in a collection",
            format!("{{\"features\": [{text}], \"type\": \"FeatureCollection\"}}"),
        ),
        ("times", text.replace("coordTimes", "times")),
        ("time", text.replace("coordTimes", "time")),
        (
            "coordinateProperties",
            text.replace(
                "\"coordTimes\": [",
                "\"coordinateProperties\": {\"times\": [",
            )
            .replace("]},\n\"geometry", "]}},\n\"geometry"),
        ),
        ("with a byte order mark", format!("\u{FEFF}{text}")),
        ("on one line", text.replace('\n', " ")),
        (
            "in parts",
            text.replace("LineString", "MultiLineString")
                .replace("[\n[", "[\n[[")
                .replace("]\n]", "]]\n]")
                .replace("\"coordTimes\": [", "\"coordTimes\": [[")
                .replace("]},\n\"geometry", "]]},\n\"geometry"),
        ),
        (
            "in parts, the times in one",
            text.replace("LineString", "MultiLineString")
                .replace("[\n[", "[\n[[")
                .replace(",\n[12.002", "],[\n[12.002")
                .replace("]\n]", "]]\n]"),
        ),
        (
            "seconds since 1970",
            text.replace(&time(0), "1777647840")
                .replace(&time(1), "1777647841000")
                .replace(&time(2), "\"1777647842\""),
        ),
        (
            "as points",
            format!(
                "{{\"type\": \"FeatureCollection\", \"features\": [{}]}}",
                list(0..3, point_feature)
            ),
        ),
    ] {
        let reading = reading(&other).unwrap_or_else(|error| panic!("{name}: {error}\n{other}"));
        assert_eq!(values(&reading), same, "{name}");
        assert!(reading.ledger.entries.is_empty(), "{name}");
    }
}

fn point_feature(second: u32) -> String {
    format!(
        "{{\"type\": \"Feature\", \"geometry\": {{\"type\": \"Point\", \"coordinates\": {}}}, \
         \"properties\": {{\"time\": {}}}}}",
        position(second),
        time(second)
    )
}

#[test]
fn a_bad_position_of_geojson_costs_only_itself() {
    use Finding::{BadHeight, BadTime, NoTime, NoZone, NullIsland, OutOfRange, Unreadable};
    let good = time(2);
    for (position, time, finding, raw) in [
        (
            "[12, 91]",
            good.as_str(),
            OutOfRange,
            "position 3: [12, 91]",
        ),
        ("[0, 0.0]", &good, NullIsland, "position 3: [0, 0.0]"),
        ("[12]", &good, Unreadable, "position 3: [12]"),
        ("12", &good, Unreadable, "position 3: 12"),
        ("null", &good, Unreadable, "position 3: null"),
        (
            "[\"12\", \"47\"]",
            &good,
            Unreadable,
            "position 3: [\"12\", \"47\"]",
        ),
        ("[[12, 47]]", &good, Unreadable, "position 3: [[12, 47]]"),
        ("[1e999, 47]", &good, Unreadable, "position 3: [1e999, 47]"),
        ("[12, 47]", "null", NoTime, "position 3:"),
        ("[12, 47]", "\"noon\"", BadTime, "position 3: noon"),
        ("[12, 47]", "5", BadTime, "position 3: 5"),
        ("[12, 47]", "{\"a\": 1}", BadTime, "position 3: {\"a\": 1}"),
        (
            "[12, 47]",
            "\"01/02/2026 15:04:02\"",
            BadTime,
            "position 3: 01/02/2026 15:04:02",
        ),
        (
            "[12.002, 47.5]",
            "\"2026-05-01T15:04:02\"",
            NoZone,
            "position 3: 2026-05-01T15:04:02",
        ),
        (
            "[12.002, 47.5, \"x\"]",
            &good,
            BadHeight,
            "position 3: [12.002, 47.5, \"x\"]",
        ),
        (
            "[12.002, 47.5, 65535]",
            &good,
            BadHeight,
            "position 3: [12.002, 47.5, 65535]",
        ),
    ] {
        let log = geojson_line(0..6)
            .replace("[12.002, 47.5, 457.2]", position)
            .replace(&good, time);
        let reading = reading(&log).unwrap();
        assert_eq!(entries(&reading), [(6, finding, raw)], "{log}");
        let kept = if finding.drops_the_fix() { 5 } else { 6 };
        assert_eq!(fixes(&reading).len(), kept, "{log}");
    }
    // Of a feature without a place nothing is expected; a point beside a line is no part of the track.
    let log = format!(
        "{{\"type\": \"FeatureCollection\", \"features\": [{{\"type\": \"Feature\", \"geometry\": null, \
         \"properties\": null}}, {}, {}]}}",
        point_feature(30),
        geojson_line(0..3)
    );
    assert_eq!(fixes(&reading(log).unwrap()).len(), 3);
}

#[test]
fn geojson_that_is_no_log_is_refused() {
    let hint = "with as many times in its property coordTimes as positions";
    refused(
        "[1, 2]",
        "log, line 1: an object should stand here, not [1, 2]",
        "RFC 7946",
    );
    refused(
        "{}",
        "log, line 1: the JSON is no GeoJSON: its object has no type",
        "Feature",
    );
    refused(
        "\n{\"type\": \"Track\"}",
        "log, line 2: the JSON is an object of the type \"Track\"",
        "Feature",
    );
    refused(
        "{\"type\": \"LineString\", \"coordinates\": [[1, 2], [3, 4]]}",
        "log, line 1: the file holds a bare geometry, which has no times",
        hint,
    );
    refused(
        "{\"type\": \"FeatureCollection\"}",
        "log, line 1: the FeatureCollection has no array of features",
        hint,
    );
    refused(
        "{\"type\": \"FeatureCollection\", \"features\": []}",
        "log: the file holds no line and no point",
        hint,
    );
    refused(
        "{\"type\": \"FeatureCollection\", \"features\": [\n{},\n7]}",
        "log, line 3: an object should stand here, not 7",
        "RFC 7946",
    );
    refused(
        geojson_line(0..3).replace("coordTimes", "speeds"),
        "log: the file holds lines without times, as drawn lines and plans are",
        hint,
    );
    refused(
        geojson_line(0..5)
            .replace(&(time(4)), "")
            .replace(", ]}", "]}"),
        "log, line 4: 5 of 5 points cannot be used, most of them for this reason: times and positions do \
         not pair up (4 times for 5 positions)",
        "as many",
    );
    refused(
        format!(
            "{{\"type\": \"FeatureCollection\", \"features\": [\n{}]}}",
            list(0..3, point_feature).replace("\"time\"", "\"speed\"")
        ),
        "log: none of the 3 track points has a time",
        "planned route",
    );
    refused(
        format!(
            "{{\"type\": \"FeatureCollection\", \"features\": [{}]}}",
            point_feature(0)
        ),
        "log, line 1: the log holds one usable fix",
        "two fixes",
    );
}

#[test]
fn broken_json_is_refused_where_it_breaks() {
    let log = geojson_line(0..10);
    let again = "export the log again";
    let cut = log.find("[12.005").unwrap();
    refused(
        &log[..cut + 4],
        "log, line 9: the JSON is ill-formed: EOF while parsing a list",
        again,
    );
    refused(
        log.clone() + "x",
        "log, line 15: the JSON is ill-formed: trailing characters",
        again,
    );
    refused(
        log.replace("12.003", "012.003"),
        "log, line 7: the JSON is ill-formed: invalid number",
        again,
    );
    refused(
        [b"{\"type\":\n\"M\xFCller\"}".as_slice()].concat(),
        "log, line 2: the text is not UTF-8",
        "save it as UTF-8",
    );
    refused(
        log.replace(
            "\"type\": \"Feature\"",
            "\"type\": \"Feature\", \"type\": \"Feature\"",
        ),
        "log, line 1: the object is ill-formed: duplicate field `type`",
        again,
    );
    // Nested as deep as it likes: nothing follows it.
    for (open, close) in [("[", "]"), ("{\"a\":", "}")] {
        let deep = format!("{}1{}", open.repeat(100_000), close.repeat(100_000));
        let log = log.replace("\"name\": \"Mist\"", &format!("\"name\": {deep}"));
        assert_eq!(fixes(&reading(&log).unwrap()).len(), 10);
        let coordinates = log.replace("[12.003, 47.5, 457.2]", &deep);
        assert_eq!(fixes(&reading(&coordinates).unwrap()).len(), 9);
        let unclosed = open.repeat(1_000_000);
        assert!(reading(format!("{{\"type\": {unclosed}")).is_err());
    }
    let error = read(&file(&log[..cut]).path, settings(true)).unwrap_err();
    assert!(
        error.hint.contains("nothing can be salvaged"),
        "{}",
        error.hint
    );
}

// ---- Tables --------------------------------------------------------------------------------------

const TABLE: &str = "time,lat,lon,altitude (ft)\n\
                     2026-05-01T15:04:00Z,47.5,12.000,1500\n\
                     2026-05-01T15:04:01Z,47.5,12.001,1500\n\
                     2026-05-01T15:04:02Z,47.5,12.002,1500\n";

fn values(reading: &Reading) -> Vec<(String, f64, f64, Option<f64>)> {
    fixes(reading)
        .into_iter()
        .map(|(_, time, lat, lon, height)| {
            (time, lat, lon, height.map(|m| (m * 1e6).round() / 1e6))
        })
        .collect()
}

/// 1500 ft = 457.2 m (1 ft = 0.3048 m). RFC 4180, 2: fields may be in quotation marks, with separators, line
/// breaks and doubled quotation marks inside; the last line may have no break.
#[test]
fn tables_are_read_exactly() {
    let log = reading(TABLE).unwrap();
    assert_eq!(log.height_kind, HeightKind::Unknown);
    let expected = values(&log);
    assert_eq!(
        expected[2],
        ("2026-05-01T15:04:02Z".to_owned(), 47.5, 12.002, Some(457.2))
    );
    assert_eq!(fixes(&log)[2].0, 4);
    for (name, other, ledger) in [
        (
            "CR LF, no break at the end",
            TABLE.trim_end().replace('\n', "\r\n"),
            0,
        ),
        ("a byte order mark", format!("\u{FEFF}{TABLE}"), 0),
        ("tabs", TABLE.replace(',', "\t"), 0),
        (
            "semicolons and decimal commas",
            TABLE.replace(',', ";").replace('.', ","),
            0,
        ),
        (
            "tabs and decimal commas",
            TABLE.replace(',', "\t").replace('.', ","),
            0,
        ),
        (
            "quoted",
            TABLE.replace("47.5", "\"47.5\"").replace("lat", "\"lat\""),
            0,
        ),
        (
            "metres",
            TABLE.replace("(ft)", "[m]").replace("1500", "457.2"),
            0,
        ),
        (
            "more columns, in another order",
            "note,Longitude,GPS Alt Ft,Latitude,Timestamp\n\
             \"a, b\",12.000,1500,47.5,2026-05-01T15:04:00Z\n\
             \"he said \"\"up\"\"\",12.001,1500,47.5,2026-05-01 15:04:01Z\n\
             \"two\nlines\",12.002,1500,47.5,20260501T150402Z\n"
                .to_owned(),
            0,
        ),
        (
            "date and time apart",
            TABLE
                .replace("time,", "date,time (UTC),")
                .replace("-01T", "-01,")
                .replace("Z,", ","),
            0,
        ),
        (
            "comments",
            format!("# made by hand, today\n\n{}", TABLE.replace("Z,", "Z,")),
            0,
        ),
        (
            "empty columns behind",
            TABLE.replace("1500\n", "1500,,\n"),
            0,
        ),
        (
            "seconds since 1970",
            TABLE
                .replace("2026-05-01T15:04:0", "177764784")
                .replace("Z,", ","),
            0,
        ),
        ("no zone", TABLE.replace("Z,", ","), 3),
        (
            "no zone, but UTC in the header",
            TABLE.replace("Z,", ",").replace("time", "utc_time"),
            0,
        ),
    ] {
        let reading = reading(&other).unwrap_or_else(|error| panic!("{name}: {error}\n{other}"));
        assert_eq!(values(&reading), expected, "{name}");
        assert_eq!(reading.ledger.entries.len(), ledger, "{name}");
    }
    let msl = TABLE.replace("altitude", "MSL altitude");
    assert_eq!(reading(msl).unwrap().height_kind, HeightKind::MeanSeaLevel);
}

/// Lines are those on which the row begins, whatever came before.
#[test]
fn rows_know_their_lines() {
    let log = "# a\n\nnote,time,lat,lon\n\n\"a\nb\",2026-05-01T15:04:00Z,47.5,12.000\n# c\n\r\n\
               \"c\n\n\",2026-05-01T15:04:01Z,47.5,12.001\nd,2026-05-01T15:04:02Z,47.5,12.002";
    let lines: Vec<u32> = fixes(&reading(log).unwrap())
        .iter()
        .map(|fix| fix.0)
        .collect();
    assert_eq!(lines, [5, 9, 12]);
}

#[test]
fn columns_can_be_given() {
    let expected = values(&reading(TABLE).unwrap());
    let rows = TABLE.split_once('\n').unwrap().1;
    let columns = "time=1,lat=2,lon=3,height=4 ft";
    assert_eq!(values(&with_columns(rows, columns).unwrap()), expected);
    let named = format!("a,b,c,d\n{rows}");
    assert_eq!(values(&with_columns(&named, columns).unwrap()), expected);
    let dates = rows.replace("2026-05-01T", "01/05/2026 ");
    let read = with_columns(&dates, "time=1 dmy,lat=2,lon=3,height=4 ft").unwrap();
    assert_eq!(values(&read), expected);
    let read = with_columns(
        &dates.replace("01/05", "05/01"),
        "time=1 mdy,lat=2,lon=3,height=4 ft",
    )
    .unwrap();
    assert_eq!(values(&read), expected);
    let local = with_columns(&rows.replace("Z,", ","), "time=1,lat=2,lon=3").unwrap();
    assert_eq!(local.ledger.counts()[&Finding::NoZone], 3);
    let utc = with_columns(&rows.replace("Z,", ","), "time=1 utc,lat=2,lon=3").unwrap();
    assert!(utc.ledger.entries.is_empty());

    let error = with_columns(rows, "time=1,lat=2,lon=7").unwrap_err();
    assert_eq!(
        said(&error),
        "log, line 1: column 7 is to be read, but there are 4 in the first row"
    );
    let error = with_columns("<gpx/>", columns).unwrap_err();
    assert_eq!(
        said(&error),
        "log: columns are given, but the file is no table"
    );
}

#[test]
fn a_bad_row_costs_only_itself() {
    use Finding::{BadHeight, BadTime, NoTime, NullIsland, OutOfRange, Unreadable};
    for (row, finding, raw) in [
        ("2026-05-01T15:04:03Z,91,12,1", OutOfRange, "lat 91, lon 12"),
        ("2026-05-01T15:04:03Z,0,0,1", NullIsland, "lat 0, lon 0"),
        ("2026-05-01T15:04:03Z,,,", Unreadable, "lat , lon"),
        (
            "2026-05-01T15:04:03Z,47N,12,1",
            Unreadable,
            "lat 47N, lon 12",
        ),
        (
            "2026-05-01T15:04:03Z,47,12",
            Unreadable,
            "3 fields for 4: 2026-05-01T15:04:03Z|47|12",
        ),
        // Decimal commas between commas: the values would be in the columns of others.
        (
            "2026-05-01T15:04:03Z,47,5,12,1,1",
            Unreadable,
            "6 fields for 4: 2026-05-01T15:04:03Z|47|5|12|1|1",
        ),
        (
            "2026-05-01T15:04:03Z,\"47,5\",12,1",
            Unreadable,
            "lat 47,5, lon 12",
        ),
        (",47,12,1", NoTime, ""),
        ("15:04:03,47,12,1", BadTime, "15:04:03"),
        (
            "2026-13-01T15:04:03Z,47,12,1",
            BadTime,
            "2026-13-01T15:04:03Z",
        ),
        (
            "2026-05-01 3:04:03 PM,47,12,1",
            BadTime,
            "2026-05-01 3:04:03 PM",
        ),
        ("2026-05-01T15:04:03Z,47.5,12.003,high", BadHeight, "high"),
        (
            "2026-05-01T15:04:03Z,47.5,12.003,\"1,500\"",
            BadHeight,
            "1,500",
        ),
        ("time,lat,lon,altitude (ft)", Unreadable, "lat lat, lon lon"),
    ] {
        let reading = reading(format!(
            "{TABLE}{row}\n{}",
            "2026-05-01T15:04:04Z,47.5,12.004,1500\n"
        ));
        let reading = reading.unwrap();
        assert_eq!(entries(&reading), [(5, finding, raw)], "{row}");
        let kept = if finding == BadHeight { 5 } else { 4 };
        assert_eq!(fixes(&reading).len(), kept, "{row}");
    }
    let unknown = reading(TABLE.replace(" (ft)", "")).unwrap();
    assert_eq!(
        entries(&unknown),
        [(
            1,
            BadHeight,
            "altitude: neither m nor ft is given, see --columns"
        )]
    );
    assert!(fixes(&unknown).iter().all(|fix| fix.4.is_none()));
}

#[test]
fn tables_that_cannot_be_understood_are_refused() {
    let columns = "--columns";
    refused(
        TABLE.replace("lat,lon", "breadth,length"),
        "log, line 1: the first line (\"time|breadth|length|altitude (ft)\") names no latitude, no \
         longitude; recognised in it: time in column 1, height in column 4",
        columns,
    );
    refused(
        TABLE.split_once('\n').unwrap().1,
        "log, line 1: the first line (\"2026-05-01T15:04:00Z|47.5|12.000|1500\") names no time, no \
         latitude, no longitude; recognised in it: nothing",
        columns,
    );
    refused(
        TABLE.replace("time,", "local time,"),
        "log, line 1: the first line (\"local time|lat|lon|altitude (ft)\") names no time; recognised in \
         it: latitude in column 2, longitude in column 3, height in column 4",
        columns,
    );
    refused(
        TABLE.replace("altitude (ft)", "timestamp"),
        "log, line 1: columns 1 (\"time\") and 4 (\"timestamp\") may both be the time",
        columns,
    );
    refused(
        TABLE.replace("altitude (ft)", "E/W"),
        "log, line 1: column 4 (\"E/W\") gives hemispheres apart from the degrees, which is not read: \
         degrees need their sign, north and east positive",
        columns,
    );
    for date in ["01/02/2026", "25.02.2026", "1-2-26"] {
        refused(
            TABLE.replace("2026-05-01T", &format!("{date} ")),
            &format!(
                "log, line 2: the date in \"{date} 15:04:00Z\" does not begin with its year, so that day \
                 and month may be mistaken for each other"
            ),
            "dmy",
        );
    }
    refused(
        "time,lat,lon\n\n\n,,\n",
        "log: the table has no row under its header",
        columns,
    );
    refused(
        TABLE.to_owned()
            + "\"2026-05-01T15:04:03Z,47.5,12.003,1500\n2026-05-01T15:04:04Z,47.5,12.004,1\n",
        "log, line 5: a quotation mark that is opened here is never closed; 3 good points stand before",
        "--salvage",
    );
    let open = TABLE.to_owned() + "\"2026-05-01T15:04:03Z,47.5,12.003,1500\n";
    let salvaged = read(&file(open).path, settings(true)).unwrap();
    assert_eq!(fixes(&salvaged).len(), 3);
    assert_eq!(salvaged.ledger.entries[0].line, 5);
}

// ---- Whatever is broken --------------------------------------------------------------------------

/// Good logs of all these formats.
fn good() -> Vec<(&'static str, Vec<u8>)> {
    let points: String = list(0..12, point_feature);
    let table = |separator: &str| -> String {
        let rows: String = (0..12)
            .map(|s| format!("2026-05-01T15:04:{s:02}Z,47.5,12.0{s:02},1500\n"))
            .collect();
        ("time,lat,lon,altitude (ft)\n".to_owned() + &rows).replace(',', separator)
    };
    let track = kml(&(ABSOLUTE.to_owned() + &times_first(0..12)));
    vec![
        ("KML, in turn", kml(&in_turn(0..12)).into_bytes()),
        ("KML, times first", track.clone().into_bytes()),
        ("KMZ", archive(&[("doc.kml", track.as_bytes())])),
        ("GeoJSON, a line", geojson_line(0..12).into_bytes()),
        (
            "GeoJSON, points",
            format!("{{\"type\": \"FeatureCollection\", \"features\": [\n{points}]}}").into_bytes(),
        ),
        ("commas", table(",").into_bytes()),
        ("semicolons", table(";").replace('.', ",").into_bytes()),
        ("tabs", table("\t").into_bytes()),
    ]
}

/// Whatever comes of a file is sound: an error that names file, problem and remedy, or fixes that are places
/// with ledger entries that stand in the file.
fn sound(content: &[u8], lines: Option<u32>) -> Result<(), String> {
    let log = file(content);
    let columns: Columns = "time=1,lat=2,lon=3,height=4 m".parse().unwrap();
    for salvage in [false, true] {
        for result in [
            read(&log.path, settings(salvage)),
            read_table(&log.path, settings(salvage), columns),
        ] {
            let result = result.and_then(|reading| {
                for entry in &reading.ledger.entries {
                    let fits = entry.line >= 1 && lines.is_none_or(|lines| entry.line <= lines);
                    assert!(fits, "{entry:?} of {lines:?} lines");
                    assert!(entry.raw.chars().count() <= 81);
                }
                clean(reading, &CleanSettings::default())
            });
            match result {
                Err(error) => {
                    let text = error.to_string();
                    let named = text.contains("log");
                    if !named || error.problem.is_empty() || error.hint.is_empty() {
                        return Err(format!("{text} ({})", error.hint));
                    }
                    if error.problem.ends_with('.') || error.problem.contains('\n') {
                        return Err(format!("{text} is no sentence"));
                    }
                    if error.line == Some(0) || lines.is_some_and(|most| error.line > Some(most)) {
                        return Err(format!("{text} is not in the file"));
                    }
                }
                Ok(track) => {
                    if !track.fixes.is_sorted_by(|a, b| a.time < b.time) {
                        return Err("times out of order".to_owned());
                    }
                }
            }
        }
    }
    Ok(())
}

fn lines_of(content: &[u8]) -> Option<u32> {
    // Of an archive the lines are those of what is in it.
    let feeds = content.iter().filter(|&&byte| byte == b'\n').count();
    (!content.starts_with(b"PK")).then(|| u32::try_from(feeds).unwrap() + 1)
}

/// Cut off at forty places, and changed in forty ways, each of eight files.
#[test]
fn truncated_and_mutated_logs_are_survived() {
    let mut broken = BTreeSet::new();
    // Linear congruence of Knuth's MMIX (The Art of Computer Programming, 3.3.4, from memory): any would do.
    let mut state = 20_260_501_u64;
    let mut next = |below: usize| {
        state = state
            .wrapping_mul(6_364_136_223_846_793_005)
            .wrapping_add(1_442_695_040_888_963_407);
        usize::try_from(state >> 33).unwrap() % below
    };
    for (name, content) in good() {
        let fine = track(&content).unwrap_or_else(|error| panic!("{name}: {error}"));
        assert_eq!(fine.fixes.len(), 12, "{name}");
        for part in 0..40 {
            broken.insert(content[..content.len() * part / 40].to_vec());
            let mut changed = content.clone();
            for _ in 0..=next(3) {
                let at = next(changed.len());
                let end = (at + next(30)).min(changed.len());
                match next(5) {
                    0 => drop(changed.drain(at..end)),
                    1 => {
                        let piece = changed[at..end].to_vec();
                        drop(changed.splice(at..at, piece));
                    }
                    2 => changed[at] = u8::try_from(next(256)).unwrap(),
                    3 => changed[at] = b"<>&\"',;[]{}\0\n\r\t-.:Z0"[next(21)],
                    _ => drop(changed.splice(at..at, b"\xFF\xFE\x80".iter().copied())),
                }
                if changed.is_empty() {
                    changed.push(b' ');
                }
            }
            broken.insert(changed);
        }
    }
    assert!(broken.len() >= 500, "{} files", broken.len());
    for content in broken {
        let lines = lines_of(&content);
        if let Err(problem) = sound(&content, lines) {
            panic!("{problem}\nof {}", String::from_utf8_lossy(&content));
        }
    }
}

proptest! {
    #[test]
    fn arbitrary_bytes_never_panic(
        bytes in prop::collection::vec(any::<u8>(), 0..300),
        start in prop::sample::select(vec![
            &b"<kml><Placemark><Track>"[..],
            b"{\"type\": \"Feature\", ",
            b"time,lat,lon\n",
            b"PK\x03\x04",
        ]),
    ) {
        let content = [start, &bytes].concat();
        prop_assert_eq!(sound(&content, lines_of(&content)), Ok(()));
    }
}
