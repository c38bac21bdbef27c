//! One flight in one file and in two comes to the same debrief.

use super::support::Folder;
use serde_json::Value;
use std::path::PathBuf;

/// A sample log whole, and cut into two files, the later half first by name.
fn folder() -> Folder {
    let sample = PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("sample-logs/track-line");
    let text = |name: &str| std::fs::read_to_string(sample.join(name)).unwrap();
    let log = text("track.gpx");
    let lines: Vec<&str> = log.lines().collect();
    let (head, points) = lines.split_at(5);
    let (points, tail) = points.split_at(points.len() - 3);
    let (first, second) = points.split_at(points.len() / 2);
    let file = |points: &[&str]| [head, points, tail].concat().join("\n");
    let tasking = text("tasking.toml");
    Folder::with(&[
        ("whole.gpx", &log),
        ("b.gpx", &file(first)),
        ("a.gpx", &file(second)),
        ("tasking.toml", &tasking),
        ("sortie/late.gpx", &file(second)),
        ("sortie/early.txt", &file(first)),
        ("sortie/notes.md", "Nothing, of, note\n"),
        ("sortie/tasking.toml", &tasking),
    ])
}

fn debrief(folder: &Folder, logs: &[&str]) -> Value {
    let arguments = [&["debrief", "--json", "--tasking", "tasking.toml"], logs].concat();
    let (code, out, err) = folder.run(&arguments);
    assert_eq!(code, 0, "{err}");
    serde_json::from_str(&out).unwrap()
}

#[test]
fn a_flight_in_two_files_is_debriefed_as_in_one() {
    let folder = folder();
    let whole = debrief(&folder, &["whole.gpx"]);
    let cut = debrief(&folder, &["a.gpx", "b.gpx"]);
    let differ = ["inputs", "log", "sha256"];
    for (key, value) in whole.as_object().unwrap() {
        if !differ.contains(&key.as_str()) {
            assert_eq!(*value, cut[key], "{key}");
        }
    }
    for key in ["first", "last", "fixes_kept", "gaps", "points_read"] {
        assert_eq!(whole["log"][key], cut["log"][key], "{key}");
    }
    let inputs = cut["inputs"].as_array().unwrap();
    let named: Vec<_> = inputs
        .iter()
        .map(|i| (i["role"].as_str().unwrap(), i["name"].as_str().unwrap()))
        .collect();
    assert_eq!(
        named[..3],
        [
            ("track", "a.gpx"),
            ("track", "b.gpx"),
            ("tasking", "tasking.toml")
        ]
    );
    assert_eq!(cut["log"]["tracks"].as_array().unwrap().len(), 2);
    // What was done with the times is in every report.
    let arguments = [
        "debrief",
        "a.gpx",
        "b.gpx",
        "--tasking",
        "tasking.toml",
        "--clock-correction",
        "+0.5 s",
    ];
    let (code, out, err) = folder.run(&arguments);
    assert_eq!(code, 0, "{err}");
    assert!(out.contains("+0.5 s added to every recorded time"), "{out}");
    assert!(
        out.contains("track: a.gpx, SHA-256") && out.contains("track: b.gpx, SHA-256"),
        "{out}"
    );
    let sortie = cut["sortie"].as_str().unwrap();
    let page = std::fs::read_to_string(folder.path(&format!("out/{sortie}/report.html"))).unwrap();
    assert!(
        page.contains("Tracks in the log") && page.contains("+0.5 s added to every recorded time")
    );
}

#[test]
fn the_logs_in_a_folder_are_found_by_content_and_joined() {
    let folder = folder();
    let (code, out, err) = folder.run(&["refly", "sortie", "--json"]);
    assert_eq!(code, 0, "{err}");
    let search: Value = serde_json::from_str(&out).unwrap();
    let inputs = search["inputs"].as_array().unwrap();
    let names: Vec<_> = inputs
        .iter()
        .map(|input| input["name"].as_str().unwrap())
        .collect();
    assert_eq!(names, ["early.txt", "late.gpx", "tasking.toml"]);
}

/// Errors about the flight name all of its files.
#[test]
fn a_flight_of_another_day_is_refused_by_the_names_of_its_files() {
    let folder = folder();
    let arguments = [
        "debrief",
        "a.gpx",
        "b.gpx",
        "--tasking",
        "tasking.toml",
        "--clock-correction",
        "+30000 min",
    ];
    let (code, _, err) = folder.run(&arguments);
    assert_eq!(code, 3, "{err}");
    assert!(err.contains("a.gpx, b.gpx: the log is of"), "{err}");
}

/// Two parts of one log are two looks; the same part twice is one.
#[test]
fn parts_of_one_log_are_sorties_of_their_own() {
    let folder = folder();
    for (out, window) in [
        ("first", ["--until", "08:25"]),
        ("second", ["--since", "08:25"]),
        ("most", ["--until", "08:40"]),
    ] {
        let arguments = [
            "debrief",
            "whole.gpx",
            "--tasking",
            "tasking.toml",
            "--out",
            out,
        ];
        let (code, _, err) = folder.run(&[&arguments[..], &window].concat());
        assert_eq!(code, 0, "{err}");
    }
    let sorties = |out: &str| format!("{out}/{}", sortie(&folder, out));
    let (first, second, most) = (sorties("first"), sorties("second"), sorties("most"));
    let (code, _, err) = folder.run(&["refly", &first, &second]);
    assert_eq!(code, 0, "{err}");
    let (code, _, err) = folder.run(&["refly", &first, &most]);
    assert_eq!(code, 3);
    assert!(err.contains("is given twice"), "{err}");
}

/// Name of the one result folder in `out`.
fn sortie(folder: &Folder, out: &str) -> String {
    let mut entries = std::fs::read_dir(folder.path(out)).unwrap();
    entries
        .next()
        .unwrap()
        .unwrap()
        .file_name()
        .into_string()
        .unwrap()
}
