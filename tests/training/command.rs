//! `overflown review`, as it is used: from folders, from a logbook, and with what it refuses.

use crate::judge::Judge;
use crate::pilots::{Habit, TASKING, debriefed};
use assert_cmd::Command;
use overflown::debrief::Debrief;
use overflown::report::json::json;
use std::fs;
use std::path::{Path, PathBuf};
use tempfile::TempDir;

pub fn overflown(folder: &Path, arguments: &[&str]) -> Command {
    let mut command = Command::cargo_bin("overflown").unwrap();
    command.current_dir(folder).args(arguments);
    command
}

/// Writes the debrief of a flight, under a name and a pilot of its own.
pub fn write(folder: &Path, name: &str, pilot: Option<&str>, mut debrief: Debrief) -> PathBuf {
    debrief.sortie = name.to_owned();
    debrief.pilot = pilot.map(str::to_owned);
    for input in &mut debrief.inputs {
        // Every flight has a log of its own.
        input.sha256 = overflown::input::sha256_hex(name.as_bytes());
    }
    let folder = folder.join(name);
    fs::create_dir(&folder).unwrap();
    fs::write(folder.join("debrief.json"), json(&debrief).unwrap()).unwrap();
    folder
}

/// A folder with five flights of a pilot whose bias shrinks, and two of another one.
pub fn course() -> TempDir {
    let folder = tempfile::tempdir().unwrap();
    for i in 0..5 {
        let habit = Habit {
            right_m: 200.0 - 40.0 * i as f64,
            ..Habit::default()
        };
        let name = format!("Wren {}", i + 1);
        write(folder.path(), &name, Some("Ada"), debriefed(&habit, 3, i));
    }
    for i in 5..7 {
        let debrief = debriefed(&Habit::default(), 4, i);
        write(
            folder.path(),
            &format!("Tern {}", i + 1),
            Some("Ben"),
            debrief,
        );
    }
    folder
}

pub fn text(output: &[u8]) -> String {
    String::from_utf8(output.to_vec()).unwrap()
}

/// The error says all of this, and the logbook is byte for byte as before.
#[track_caller]
pub fn refused(folder: &Path, arguments: &[&str], says: &[&str]) {
    let logbook = folder.join("logbook.gpkg");
    let before = fs::read(&logbook).ok();
    let output = overflown(folder, arguments).assert().failure();
    let error = text(&output.get_output().stderr);
    for words in says {
        assert!(error.contains(words), "{arguments:?}: {error}");
    }
    assert_eq!(fs::read(&logbook).ok(), before);
    assert!(!folder.join("out").exists());
}

#[test]
fn a_review_is_written_from_folders_and_from_a_logbook_alike() {
    let course = course();
    let folder = course.path();
    let wrens: Vec<String> = (1..=5).map(|i| format!("Wren {i}")).collect();
    let mut arguments = vec!["review"];
    arguments.extend(wrens.iter().map(String::as_str));
    let output = overflown(folder, &arguments).assert().success();
    let of_folders = text(&output.get_output().stdout);
    assert!(of_folders.contains("Training review: Ada"), "{of_folders}");
    assert!(of_folders.lines().all(|line| line.chars().count() <= 100));
    let result = folder.join("out/Review Ada");
    let judge = Judge::new(include_str!("../../docs/review.schema.json"));
    let written = judge.holds(&fs::read(result.join("review.json")).unwrap(), "review");
    assert_eq!(written["schema"], "overflown-review/1");
    let mut measures = written["measures"].as_array().unwrap().iter();
    let bias = measures.find(|m| m["measure"] == "bias").unwrap();
    let first = bias["values"][0]["flight"].as_f64().unwrap();
    assert!((first - 200.0).abs() < 40.0, "{first}");
    let table = fs::read_to_string(result.join("review.csv")).unwrap();
    let row = table
        .lines()
        .find(|line| line.starts_with("Wren 1,") && line.contains(",bias,m,,"))
        .unwrap();
    let value: f64 = row.rsplit(',').next().unwrap().parse().unwrap();
    assert!((value - first).abs() < 0.001);

    let mut add = vec!["logbook", "add", "Tern 6", "Tern 7"];
    add.extend(wrens.iter().map(String::as_str));
    overflown(folder, &add).assert().success();
    let output = overflown(folder, &["review", "--pilot", "ada"])
        .assert()
        .success();
    let of_logbook = text(&output.get_output().stdout);
    // The same, since of others there are too few to be shown.
    assert_eq!(of_logbook, of_folders);
}

#[test]
fn names_are_left_out() {
    let course = course();
    // In another order than flown.
    let arguments = ["review", "Wren 2", "Wren 1", "--anonymise", "--json"];
    let output = overflown(course.path(), &arguments).assert().success();
    let json = text(&output.get_output().stdout);
    let review: serde_json::Value = serde_json::from_str(&json).unwrap();
    for (at, name) in [(0, "Flight 1"), (1, "Flight 2")] {
        assert_eq!(review["flights"][at]["sortie"], name);
    }
    for name in ["Ada", "Wren"] {
        assert!(!json.contains(name), "{name}");
    }
}

#[test]
fn what_cannot_be_reviewed_is_refused() {
    let course = course();
    let folder = course.path();
    let square = TASKING.replace(
        "[area]\nsouth = 48.5\nwest = 67.0\nnorth = 48.5666667\neast = 67.075\n",
        "",
    );
    let square = square.replace(
        "kind = \"parallel sweep\"",
        "kind = \"expanding square\"\ndatum = [48.5, 67.0]\nlegs = 10",
    );
    assert!(square.contains("legs = 10"));
    let (tasking, plan) = crate::support::tasking(&square);
    let settings = overflown::simulate::Settings::for_tasking(&tasking);
    let fixes = overflown::simulate::simulate(&plan, &settings, 1)
        .unwrap()
        .fixes;
    let track = crate::support::track(fixes);
    let debrief = overflown::debrief::debrief(&track, Path::new("x.gpx"), &tasking, &plan);
    write(folder, "Square", Some("Ada"), debrief.unwrap());
    refused(folder, &["review"], &["--pilot"]);
    refused(folder, &["review", "--pilot", "Ada"], &["logbook.gpkg"]);
    refused(
        folder,
        &["review", "Wren 1", "Square"],
        &["several patterns", "1 of expanding-square", "--pattern"],
    );
    refused(
        folder,
        &["review", "Wren 1", "Tern 6"],
        &["several pilots: Ada, Ben"],
    );
    refused(
        folder,
        &["review", "Wren 1", "Wren 1"],
        &[
            "Wren 1 and Wren 1 are the same flight",
            "2026-06-14 08:00:00 UTC",
        ],
    );
    refused(
        folder,
        &["review", "Wren 1", "--pattern", "spiral"],
        &["parallel-sweep"],
    );
    refused(
        folder,
        &["review", "Wren 1", "--since", "2027-01-01"],
        &["no flight is left"],
    );
    overflown(folder, &["logbook", "add", "Wren 1"])
        .assert()
        .success();
    refused(
        folder,
        &["review", "--pilot", "Adam"],
        &["did you mean Ada?"],
    );
    for (set, says) in [
        (
            "[hight]\nlimit = \"100 ft\"\nsource = \"x\"\n",
            &["set.toml, line 1", "[height]"][..],
        ),
        (
            "name = \"x\"\n\n[height]\nlimit = \"much\"\nsource = \"x\"\n",
            &["set.toml, line 3", "100 ft"],
        ),
        ("[height]\nlimit = \"0 ft\"\nsource = \"x\"\n", &["above 0"]),
        ("[height]\nlimit = \"100 ft\"\n", &["source"]),
        ("[height\n", &["set.toml, line 1"]),
    ] {
        fs::write(folder.join("set.toml"), set).unwrap();
        refused(
            folder,
            &["review", "Wren 1", "--tolerances", "set.toml"],
            says,
        );
    }
    let debrief = folder.join("Wren 1/debrief.json");
    let changed = fs::read_to_string(&debrief)
        .unwrap()
        .replace("\"Ada\"", "\"Eva\"");
    fs::write(&debrief, changed).unwrap();
    refused(
        folder,
        &["review", "Wren 1"],
        &["was changed after it was written"],
    );
}
