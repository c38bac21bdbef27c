use super::support::{Folder, gpx, points};
use overflown::input::{InputFile, sha256_hex};
use overflown::track::clean::clean;
use overflown::track::gather::{Wanted, gather};
use overflown::track::read::{ReadSettings, read};
use serde_json::json;
use std::path::Path;

#[test]
fn tracks_one_after_the_other_are_joined() {
    let whole = gpx(&[("A", points(0, 100, 60.0))]);
    let cut = gpx(&[("A", points(0, 40, 60.0)), ("B", points(40, 60, 60.0))]);
    let folder = Folder::with(&[("whole.gpx", &whole), ("cut.gpx", &cut)]);
    let (whole, cut) = (folder.inspect(&["whole.gpx"]), folder.inspect(&["cut.gpx"]));
    for figure in [
        "fixes_kept",
        "first",
        "last",
        "distance_m",
        "stretches",
        "ledger",
        "gaps",
    ] {
        assert_eq!(whole[figure], cut[figure], "{figure}");
    }
    assert_eq!(cut["track_name"], "A, B");
}

#[test]
fn two_recordings_of_one_time_are_refused() {
    let log = gpx(&[
        ("Left", points(0, 60, 60.0)),
        ("Right", points(20, 60, 60.01)),
    ]);
    let folder = Folder::with(&[("log.gpx", &log)]);
    let problem = "log.gpx, line 64: tracks 1 \"Left\" and 2 \"Right\" were recorded at the same time, from \
                   2026-05-01 00:00:20 UTC for 39 s, with different fixes; the file holds 2 tracks: 1 \"Left\"";
    folder.refused(&["log.gpx"], problem, "--track 1");
    assert_eq!(
        folder.inspect(&["log.gpx", "--track", "Left"])["fixes_kept"],
        60
    );
    // The window of time may leave out the part in which both were recorded.
    let log = folder.inspect(&["log.gpx", "--until", "00:00:15"]);
    assert_eq!(
        (&log["fixes_kept"], &log["points_left_out"]),
        (&json!(16), &json!(104))
    );
}

/// One track is recorded while the other has a hole, and the other way round.
#[test]
fn tracks_fill_each_others_holes() {
    let log = gpx(&[
        ("A", points(0, 40, 60.0) + &points(100, 40, 60.0)),
        ("B", points(40, 60, 60.0) + &points(140, 40, 60.0)),
    ]);
    let whole = gpx(&[("A", points(0, 180, 60.0))]);
    let folder = Folder::with(&[("log.gpx", &log), ("whole.gpx", &whole)]);
    let (log, whole) = (folder.inspect(&["log.gpx"]), folder.inspect(&["whole.gpx"]));
    for figure in [
        "fixes_kept",
        "first",
        "last",
        "distance_m",
        "stretches",
        "gaps",
    ] {
        assert_eq!(log[figure], whole[figure], "{figure}");
    }
}

/// A single time far off makes no overlap.
#[test]
fn a_wrong_time_is_for_the_cleaning() {
    let stray = "<trkpt lat=\"60\" lon=\"12.04\"><time>2026-05-01T00:03:00Z</time></trkpt>\n";
    let log = gpx(&[
        ("A", points(0, 40, 60.0) + stray + &points(40, 20, 60.0)),
        ("B", points(120, 120, 60.0)),
    ]);
    let log = Folder::with(&[("log.gpx", &log)]).inspect(&["log.gpx"]);
    assert_eq!(
        (&log["fixes_kept"], &log["points_dropped"]),
        (&json!(180), &json!(1))
    );
}

#[test]
fn files_are_joined_in_order_of_time() {
    let (first, second) = (
        gpx(&[("A", points(0, 60, 60.0))]),
        gpx(&[("B", points(60, 60, 60.0))]),
    );
    let folder = Folder::with(&[("first.gpx", &first), ("second.gpx", &second)]);
    for files in [["first.gpx", "second.gpx"], ["second.gpx", "first.gpx"]] {
        let log = folder.inspect(&files);
        assert_eq!(
            (&log["fixes_kept"], &log["stretches"]),
            (&json!(120), &json!(1)),
            "{files:?}"
        );
        assert_eq!(log["ledger"], json!([]), "{files:?}");
        let names: Vec<_> = log["files"]
            .as_array()
            .unwrap()
            .iter()
            .map(|f| &f["name"])
            .collect();
        assert_eq!(names, files);
        let hash = sha256_hex(
            if files[0] == "first.gpx" {
                &first
            } else {
                &second
            }
            .as_bytes(),
        );
        assert_eq!(log["files"][0]["sha256"], hash);
        assert_eq!(log["tracks"][1]["file"], 1);
    }
}

#[test]
fn what_two_files_have_in_common_is_there_once() {
    let (first, second) = (
        gpx(&[("A", points(0, 60, 60.0))]),
        gpx(&[("B", points(40, 60, 60.0))]),
    );
    let folder = Folder::with(&[("first.gpx", &first), ("second.gpx", &second)]);
    let log = folder.inspect(&["first.gpx", "second.gpx", "--strict"]);
    assert_eq!(
        (&log["fixes_kept"], &log["points_read"]),
        (&json!(100), &json!(120))
    );
    assert_eq!(log["taken"]["points_repeated"], 20);
    let entry = &log["ledger"][0];
    assert_eq!(
        (&entry["finding"], &entry["file"], &entry["line"]),
        (&json!("repeated"), &json!(1), &json!(3))
    );
    assert_eq!(entry["raw"], "as on line 43 of first.gpx");
    let (_, out, _) = folder.run(&["inspect", "first.gpx", "second.gpx"]);
    assert!(
        out.contains("3 of second.gpx  same fix in another track or file"),
        "{out}"
    );
}

#[test]
fn two_receivers_in_two_files_are_refused() {
    let (left, right) = (
        gpx(&[("A", points(0, 60, 60.0))]),
        gpx(&[("A", points(20, 60, 60.01))]),
    );
    let folder = Folder::with(&[("a/log.gpx", &left), ("b/log.gpx", &right)]);
    let problem = "b/log.gpx, line 2: tracks 1 \"A\" and 2 \"A\" were recorded at the same time";
    folder.refused(&["a/log.gpx", "b/log.gpx"], problem, "leave its file out");
    let problem = "a/log.gpx, b/log.gpx: no track is \"3\"; the files hold 2 tracks: 1 \"A\", 60 points, 2026-05-01 \
                   00:00:00 to 00:00:59 UTC (log.gpx (1)); 2";
    folder.refused(
        &["a/log.gpx", "b/log.gpx", "--track", "3"],
        problem,
        "--track 1",
    );
    folder.refused(
        &["a/log.gpx", "a/log.gpx"],
        "this file is given twice",
        "once",
    );
}

/// Errors of the cleaning name the file that they are about.
#[test]
fn a_fault_is_told_of_its_own_file() {
    let bad = points(60, 10, 60.0)
        + "<trkpt lat=\"91\" lon=\"12\"><time>2026-05-01T00:01:30Z</time></trkpt>\n";
    let folder = Folder::with(&[
        ("first.gpx", &gpx(&[("A", points(0, 60, 60.0))])),
        ("second.gpx", &gpx(&[("B", bad)])),
    ]);
    let problem = "second.gpx, line 13: a point cannot be used";
    folder.refused(
        &["first.gpx", "second.gpx", "--strict"],
        problem,
        "--strict",
    );
}

/// Heights of files that measure them differently are not one kind of height.
#[test]
fn heights_of_different_kinds_are_mixed() {
    let gpx = gpx(&[(
        "A",
        points(0, 60, 60.0).replace("<time>", "<ele>100</ele><time>"),
    )]);
    let igc = "HFDTE010526\r\nB0100006000000N01200000EA0010000120\r\nB0100016000000N01200010EA0010000120\r\n";
    let folder = Folder::with(&[("a.gpx", &gpx), ("b.igc", igc)]);
    assert_eq!(folder.inspect(&["a.gpx"])["height_kind"], "mean-sea-level");
    assert_eq!(folder.inspect(&["a.gpx", "b.igc"])["height_kind"], "mixed");
    let read = |name: &str| read(&folder.path(name), ReadSettings::default()).unwrap();
    let joined = gather(vec![read("a.gpx"), read("b.igc")], &Wanted::default()).unwrap();
    assert_eq!(joined.height_kind.name(), "mixed");
    let track = clean(joined, &Default::default()).unwrap();
    assert_eq!(
        track.sources[1],
        InputFile::of("track", Path::new("b.igc"), igc.as_bytes())
    );
}
