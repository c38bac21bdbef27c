//! `overflown inspect` as the user sees it.

use assert_cmd::Command;
use serde_json::Value;
use std::path::PathBuf;
use tempfile::TempDir;

/// Four points eastwards, one of them out of range, one without a zone, and a hole of 59 s.
const LOG: &str = "<gpx version=\"1.1\"><trk><name>Mist</name><trkseg>
<trkpt lat=\"60\" lon=\"12.000\"><ele>304.8</ele><time>2026-05-01T15:00:00Z</time></trkpt>
<trkpt lat=\"60\" lon=\"12.001\"><ele>304.8</ele><time>2026-05-01T15:00:01</time></trkpt>
<trkpt lat=\"91\" lon=\"12.002\"><time>2026-05-01T15:00:02Z</time></trkpt>
<trkpt lat=\"60\" lon=\"12.060\"><time>2026-05-01T15:01:00Z</time></trkpt>
</trkseg></trk></gpx>
";

fn log(content: &str) -> (TempDir, PathBuf) {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("log.gpx");
    std::fs::write(&path, content).unwrap();
    (folder, path)
}

/// Exit code, standard output, standard error.
fn inspect(path: &PathBuf, arguments: &[&str]) -> (i32, String, String) {
    let mut command = Command::new(env!("CARGO_BIN_EXE_overflown"));
    let output = command
        .arg("inspect")
        .arg(path)
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
fn prints_figures_gaps_and_ledger() {
    let (_folder, path) = log(LOG);
    // With a limit given: the median of 1 s and 59 s would make the default one 120 s.
    let (code, out, err) = inspect(&path, &["--gap-limit", "10"]);
    assert_eq!((code, err.as_str()), (0, ""));
    for row in [
        "Track name    Mist",
        "First fix     2026-05-01 15:00:00 UTC",
        "Duration      1:00 min",
        "Recorded      0:01 min in 2 stretches",
        "Points        4 in the file, 3 kept, 1 dropped",
        "Gap limit     10.0 s",
        // 0.001° of longitude at 60° N: N cos 60° 0.001 π/180 = 55.80 m in 1 s = 108.5 kt, with the
        // radius of the prime vertical N = a / √(1 - e² sin² 60°) = 6394.2 km of WGS 84.
        "Distance      0.03 NM",
        "Ground speed  median 108.5 kt, from 108.5 kt to 108.5 kt",
        "Height        median 1,000 ft, from 1,000 ft to 1,000 ft, as recorded; 1 fix without",
        "Not recorded (1 gap):",
        "2026-05-01 15:00:01 UTC  0:59 min  60°00.000'N 012°00.060'E  60°00.000'N 012°03.600'E",
        "     4  position out of range: dropped",
        "  lat=\"91\" lon=\"12.002\" time=\"2026-05-01T15:00:02Z\"\n",
        "     3  time without zone: taken as UTC",
    ] {
        assert!(out.contains(row), "{row}\nis not in\n{out}");
    }
}

#[test]
fn json_has_the_same_figures_in_si_units() {
    let (_folder, path) = log(LOG);
    let (code, out, _) = inspect(&path, &["--json", "--gap-limit", "10", "--quiet"]);
    let json: Value = serde_json::from_str(&out).unwrap();
    assert_eq!(code, 0);
    assert_eq!(json["schema"], "overflown-log/2");
    assert_eq!(json["duration_s"], 60.0);
    assert_eq!(json["height_m"]["median"], 304.8);
    assert_eq!(json["gaps"][0]["duration_s"], 59.0);
    assert_eq!(json["ledger"][0]["finding"], "no-zone");
    assert_eq!(json["ledger"][1]["line"], 4);
}

#[test]
fn a_long_ledger_is_cut_unless_asked_for() {
    let good = LOG.replace("T15:00:02Z", "T15:00:02");
    let many: String = (3..40)
        .map(|s| {
            let lon = 12.0 + f64::from(s) / 1000.0;
            format!(
                "<trkpt lat=\"60\" lon=\"{lon}\"><time>2026-05-01T15:00:{s:02}</time></trkpt>\n"
            )
        })
        .collect();
    let content = good.replace(
        "<trkpt lat=\"60\" lon=\"12.060\">",
        &(many + "<trkpt lat=\"60\" lon=\"12.060\">"),
    );
    let (_folder, path) = log(&content);
    let (_, short, _) = inspect(&path, &[]);
    assert!(short.contains("    38  time without zone"), "{short}");
    assert!(
        short.contains("… and 28 more; --ledger prints them all"),
        "{short}"
    );
    let (_, long, _) = inspect(&path, &["--ledger"]);
    assert_eq!(
        long.matches("time without zone: taken as UTC  ").count(),
        38,
        "{long}"
    );
}

#[test]
fn refusals_end_with_code_3_and_a_hint() {
    let (_folder, path) = log(LOG);
    let (code, out, err) = inspect(&path, &["--strict"]);
    assert_eq!((code, out.as_str()), (3, ""));
    let place = format!(
        "error: {}, line 3: a point cannot be used as it stands, time without zone",
        path.display()
    );
    assert!(err.starts_with(&place) && err.contains("hint: "), "{err}");

    std::fs::write(&path, &LOG[..LOG.len() - 40]).unwrap();
    let (code, _, err) = inspect(&path, &[]);
    assert!(code == 3 && err.contains("--salvage"), "{err}");
    let (code, out, _) = inspect(&path, &["--salvage"]);
    assert!(
        code == 0 && out.contains("file broken from here on"),
        "{out}"
    );

    let (code, _, err) = inspect(&path, &["--speed-limit", "0"]);
    assert!(code == 2 && err.contains("a number above 0"), "{err}");
}

/// A table whose first line names nothing is refused with what to do, and is read once that is done.
#[test]
fn columns_of_a_table_can_be_given() {
    let (_folder, path) = log("a;b;c;d\n\
                               01.05.2026 15:00:00;60,0;12,000;1000\n\
                               01.05.2026 15:00:01;60,0;12,001;1000\n");
    let (code, _, err) = inspect(&path, &[]);
    assert_eq!(code, 3);
    assert!(
        err.contains("line 1: the first line (\"a|b|c|d\") names no time"),
        "{err}"
    );
    assert!(err.contains("--columns \"time=1"), "{err}");
    let columns = ["--columns", "time=1 utc dmy,lat=2,lon=3,height=4 ft"];
    let (code, out, err) = inspect(&path, &columns);
    assert_eq!((code, err.as_str()), (0, ""));
    for row in [
        "First fix     2026-05-01 15:00:00 UTC",
        "Ground speed  median 108.5 kt",
        "Height        median 1,000 ft",
    ] {
        assert!(out.contains(row), "{row}\nis not in\n{out}");
    }
    let (code, _, err) = inspect(&path, &["--columns", "time=1,lat=2"]);
    assert_eq!(code, 2);
    assert!(err.contains("lon is missing"), "{err}");
}
