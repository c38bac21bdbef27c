//! `overflown convert` as the user sees it.

use assert_cmd::Command;
use std::path::Path;
use tempfile::TempDir;

const LOG: &str = "<gpx version=\"1.1\">
<trk><name>Mist</name><trkseg>
<trkpt lat=\"60\" lon=\"12\"><ele>304.8</ele><time>2026-05-01T15:00:00Z</time></trkpt>
<trkpt lat=\"91\" lon=\"12\"><time>2026-05-01T15:00:01Z</time></trkpt>
<trkpt lat=\"60\" lon=\"12.001\"><ele>304.8</ele><time>2026-05-01T15:00:02.5Z</time></trkpt>
</trkseg></trk>
<trk><name>Rain</name><trkseg>
<trkpt lat=\"60\" lon=\"12\"><time>2026-05-01T15:00:00Z</time></trkpt>
</trkseg></trk></gpx>
";

const ROUTE: &str = "<gpx version=\"1.1\" creator=\"t\"><rte><name>North</name><rtept lat=\"47.0\" lon=\"12.5\">\
                     <ele>5</ele></rtept><rtept lat=\"47.1\" lon=\"12.5\"/></rte></gpx>";

fn folder() -> TempDir {
    let folder = tempfile::tempdir().unwrap();
    for (name, content) in [("log.gpx", LOG), ("route.gpx", ROUTE)] {
        std::fs::write(folder.path().join(name), content).unwrap();
    }
    folder
}

/// Exit code, standard output, standard error.
fn convert(folder: &Path, arguments: &[&str]) -> (i32, String, String) {
    let mut command = Command::new(env!("CARGO_BIN_EXE_overflown"));
    let output = command
        .current_dir(folder)
        .arg("convert")
        .args(arguments)
        .output()
        .unwrap();
    let text = |bytes: Vec<u8>| String::from_utf8(bytes).unwrap();
    (
        output.status.code().unwrap(),
        text(output.stdout),
        text(output.stderr),
    )
}

#[test]
fn a_log_is_converted_and_what_is_lost_is_said() {
    let folder = folder();
    let (code, out, err) = convert(folder.path(), &["log.gpx", "--out", "log.igc"]);
    assert_eq!((code, out.as_str()), (0, ""), "{err}");
    for said in [
        "1 × position out of range: dropped",
        "not kept: IGC cannot tell where the 2 tracks and 2 segments of the log begin",
        "not kept: IGC has no names of the 2 tracks",
        "not kept: 2 heights rounded to the metre",
        "written: log.igc",
    ] {
        assert!(err.contains(said), "{said}: {err}");
    }
    let igc = std::fs::read_to_string(folder.path().join("log.igc")).unwrap();
    assert_eq!(igc.matches("\r\nB").count(), 3);
    // Without losses nothing is said of any.
    let (code, _, err) = convert(
        folder.path(),
        &["log.gpx", "--track", "Rain", "--out", "rain.kml"],
    );
    assert_eq!(code, 0, "{err}");
    assert!(
        !err.contains("not kept") && err.contains("1 × track not chosen: left out"),
        "{err}"
    );
}

#[test]
fn standard_output_and_the_ways_to_say_the_format() {
    let folder = folder();
    let (code, out, _) = convert(
        folder.path(),
        &[
            "log.gpx", "--out", "-", "--to", "csv", "--since", "15:00:01",
        ],
    );
    assert_eq!(code, 0);
    let rows: Vec<&str> = out.lines().collect();
    assert_eq!(rows.len(), 2, "{out}");
    assert_eq!(rows[1], "2026-05-01T15:00:02.500Z,60,12.001,304.8,Mist,1,1");
    for (arguments, problem) in [
        (
            &["log.gpx", "--out", "-"][..],
            "does not say in which format",
        ),
        (
            &["log.gpx", "--out", "log.txt"],
            "does not say in which format",
        ),
        (
            &["log.gpx", "--out", "-", "--to", "shp"],
            "\"shp\" is no format to write",
        ),
        (
            &["route.gpx", "--routes", "--out", "r.igc"],
            "does not say in which format",
        ),
        (
            &["route.gpx", "--routes", "--out", "-", "--to", "nmea"],
            "\"nmea\" is no format to write",
        ),
    ] {
        let (code, out, err) = convert(folder.path(), arguments);
        assert_eq!((code, out.as_str()), (2, ""), "{arguments:?}: {err}");
        assert!(err.contains(problem) && err.contains("--to: gpx"), "{err}");
    }
    // A name may lie about its format.
    let (code, ..) = convert(
        folder.path(),
        &["log.gpx", "--out", "log.txt", "--to", "KML"],
    );
    assert_eq!(code, 0);
    let text = std::fs::read_to_string(folder.path().join("log.txt")).unwrap();
    assert!(text.contains("<kml"));
}

#[test]
fn nothing_is_overwritten_unasked() {
    let folder = folder();
    let (code, _, err) = convert(folder.path(), &["log.gpx", "--out", "log.gpx"]);
    assert_eq!(code, 3);
    assert!(
        err.contains("log.gpx: already there, and is not overwritten")
            && err.contains("--overwrite"),
        "{err}"
    );
    assert_eq!(
        std::fs::read_to_string(folder.path().join("log.gpx")).unwrap(),
        LOG
    );
    let (code, _, err) = convert(
        folder.path(),
        &["log.gpx", "--out", "log.gpx", "--overwrite"],
    );
    assert_eq!(code, 0, "{err}");
    assert_ne!(
        std::fs::read_to_string(folder.path().join("log.gpx")).unwrap(),
        LOG
    );
    let left = std::fs::read_dir(folder.path()).unwrap().count();
    assert_eq!(left, 2, "a temporary file was left behind");
}

#[test]
fn planned_lines_are_converted_when_asked_for() {
    let folder = folder();
    let (code, _, err) = convert(folder.path(), &["route.gpx", "--out", "route.kml"]);
    assert_eq!(code, 3);
    assert!(
        err.contains("a route (a plan), not a recorded track"),
        "{err}"
    );
    assert!(
        err.contains("it holds 1 planned line; add --routes"),
        "{err}"
    );
    assert!(!folder.path().join("route.kml").exists());
    let (code, _, err) = convert(
        folder.path(),
        &["route.gpx", "--out", "route.kml", "--routes"],
    );
    assert_eq!(code, 0, "{err}");
    assert!(err.contains("not kept: heights of 1 places"), "{err}");
    let (code, out, _) = convert(
        folder.path(),
        &["route.kml", "--routes", "--out", "-", "--to", "csv"],
    );
    assert_eq!(code, 0);
    assert!(
        out.ends_with("1,North,47,12.5,\r\n1,North,47.1,12.5,\r\n"),
        "{out}"
    );
    let sound = LOG.replace("lat=\"91\"", "lat=\"60\"");
    std::fs::write(folder.path().join("sound.gpx"), sound).unwrap();
    let (code, _, err) = convert(folder.path(), &["sound.gpx", "--routes", "--out", "x.kml"]);
    assert_eq!(code, 3);
    assert!(
        err.contains("sound.gpx: holds a track but no route"),
        "{err}"
    );
}

#[test]
fn a_log_that_cannot_be_written_leaves_no_file() {
    let folder = folder();
    let late = LOG.replace("2026", "2090");
    std::fs::write(folder.path().join("late.gpx"), late).unwrap();
    let (code, _, err) = convert(folder.path(), &["late.gpx", "--out", "late.igc"]);
    assert_eq!(code, 3);
    assert!(
        err.contains("late.gpx: a fix is of 2090-05-01, and IGC can express"),
        "{err}"
    );
    assert!(!folder.path().join("late.igc").exists());
    let none = LOG.replace("lat=\"60\"", "lat=\"99\"");
    std::fs::write(folder.path().join("none.gpx"), none).unwrap();
    let (code, _, err) = convert(folder.path(), &["none.gpx", "--out", "none.kml"]);
    assert_eq!(code, 3);
    assert!(err.contains("none.gpx: there is no fix to write"), "{err}");
}
