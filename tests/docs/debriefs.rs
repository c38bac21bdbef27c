//! The result files of a debrief, and the exit codes.

use crate::{REPORT, SCHEMA, collect, eventful, names, under};
use assert_cmd::Command;
use overflown::matching::Phase;
use overflown::report;
use overflown::report::also::Also;
use overflown::report::drawing::Paper;
use overflown::track::Finding;
use serde_json::Value;
use std::collections::BTreeSet;

#[test]
fn every_key_of_a_debrief_is_documented() {
    let debrief = eventful();
    let value = serde_json::to_value(&debrief).unwrap();
    // Nothing is left out of the check for want of an example.
    for path in [
        "/log/gaps/0",
        "/log/ledger/0",
        "/log/tracks/0",
        "/log/taken",
        "/plan/declination",
        "/additional_legs/0",
        "/turns/0",
        "/legs/5/missed/0",
        "/legs/3/unrecorded/0",
        "/tracking",
        "/handling",
        "/wind",
        "/area_time/outside/0",
        "/above_ground/legs/0/clearance/lowest",
        "/above_ground/search/below_search_height",
        "/coverage/not_counted/0",
        "/coverage/search_height_m",
        "/coverage/sweep_width_basis/factors/1",
        "/coverage/sweep_width_basis/marks/0",
        "/strips/5/holes/0",
        "/refly/legs/0",
        "/track/0",
        "/passes/0/profile/0/0",
    ] {
        assert!(value.pointer(path).is_some_and(|v| !v.is_null()), "{path}");
    }
    let shared = under(REPORT, "### Shared shapes");
    let top = under(REPORT, "### Top level");
    for (key, part) in value.as_object().unwrap() {
        assert!(names(top, key), "{key} is not under Top level");
        let (mut keys, mut words) = (BTreeSet::new(), BTreeSet::new());
        collect(part, &mut keys, &mut words);
        if keys.is_empty() {
            continue;
        }
        let own = under(REPORT, &format!("### `{key}`"));
        for name in keys.iter().chain(&words) {
            assert!(
                names(own, name) || names(shared, name),
                "{name} of {key} is not documented"
            );
        }
    }
    let schema = debrief.schema;
    assert!(names(REPORT, schema), "{schema} is not named");
}

/// Also those words that the flight above does not happen to use.
#[test]
fn every_phase_and_finding_is_documented() {
    let word = |value: Value| value.as_str().unwrap().to_owned();
    for phase in [
        Phase::Ground,
        Phase::TransitOut,
        Phase::BoundaryCheck,
        Phase::SearchLeg,
        Phase::AdditionalLeg,
        Phase::Turn,
        Phase::Orbit,
        Phase::Excursion,
        Phase::TransitHome,
        Phase::NotRecorded,
    ] {
        let phase = word(serde_json::to_value(phase).unwrap());
        assert!(names(under(REPORT, "### `phases`"), &phase), "{phase}");
    }
    for finding in [
        Finding::Unreadable,
        Finding::OutOfRange,
        Finding::NullIsland,
        Finding::ZeroCoordinate,
        Finding::NoTime,
        Finding::BadTime,
        Finding::DamagedLine,
        Finding::NoFix,
        Finding::Unpaired,
        Finding::NoZone,
        Finding::BadHeight,
        Finding::DuplicateTime,
        Finding::TimeReversed,
        Finding::FrozenPosition,
        Finding::ImpossibleSpeed,
        Finding::ImpossibleTurn,
        Finding::ImpossibleHeight,
        Finding::HeightJump,
        Finding::PositionJump,
        Finding::OutOfOrder,
        Finding::Truncated,
        Finding::LocalTime,
        Finding::SpreadTimes,
        Finding::NotChosen,
        Finding::Repeated,
        Finding::OutsideWindow,
    ] {
        let finding = word(serde_json::to_value(finding).unwrap());
        assert!(names(under(REPORT, "### `log`"), &finding), "{finding}");
    }
}

#[test]
fn every_file_column_and_property_is_documented() {
    let debrief = eventful();
    let files = report::files(&debrief, Paper::default()).unwrap();
    let text = |name: &str| {
        let file = files.iter().find(|file| file.name == name).unwrap();
        String::from_utf8(file.bytes.clone()).unwrap()
    };
    for file in &files {
        assert!(names(REPORT, file.name), "{} is not named", file.name);
    }
    let csv = text("legs.csv");
    for column in csv.lines().next().unwrap().split(',') {
        let section = under(REPORT, "## `legs.csv`");
        assert!(names(section, column), "column {column}");
    }
    properties_are_documented(&text("strips.geojson"), "## `strips.geojson`");
}

fn properties_are_documented(geojson: &str, heading: &str) {
    let section = under(REPORT, heading);
    let geojson: Value = serde_json::from_str(geojson).unwrap();
    for feature in geojson["features"].as_array().unwrap() {
        let properties = feature["properties"].as_object().unwrap();
        for property in properties.keys() {
            assert!(names(section, property), "property {property}");
        }
        let what = properties["what"].as_str().unwrap();
        assert!(names(section, what), "what {what}");
    }
}

#[test]
fn every_file_for_other_programs_is_documented() {
    let debrief = eventful();
    let files = report::also::files(&debrief, &Also::ALL, Paper::default()).unwrap();
    let text = |name: &str| {
        let file = files.iter().find(|file| file.name == name).unwrap();
        String::from_utf8(file.bytes.clone()).unwrap()
    };
    let named: Vec<&str> = files.iter().map(|file| file.name).collect();
    assert_eq!(named, report::also::names().collect::<Vec<_>>());
    for also in Also::ALL {
        // Its row, and those below it without a name.
        let own = format!("| `{}` |", also.name());
        let mut lines = REPORT.lines().skip_while(|line| !line.starts_with(&own));
        let further = |line: &&str| line.starts_with("| |");
        let first = lines.next().unwrap_or_else(|| panic!("no row {own}"));
        let rows: String = [first]
            .into_iter()
            .chain(lines.take_while(further))
            .collect();
        assert!(also.files().iter().all(|name| names(&rows, name)), "{own}");
    }
    let fixes = text("fixes.csv");
    for column in fixes.lines().next().unwrap().split(',') {
        let section = under(REPORT, "## `fixes.csv`");
        assert!(names(section, column), "column {column}");
    }
    let layers = "## `layers.geojson` and `layers.kml`";
    properties_are_documented(&text("layers.geojson"), layers);
    let kml = text("layers.kml");
    for folder in kml.split("<Folder>").skip(1) {
        let name = folder.split("<name>").nth(1).unwrap();
        let name = name.split("</name>").next().unwrap();
        assert!(names(under(REPORT, layers), name), "folder {name}");
    }
}

/// The schema and the document name the same keys.
#[test]
fn every_key_of_the_schema_is_documented() {
    let schema: Value = serde_json::from_str(SCHEMA).unwrap();
    let mut open = vec![&schema];
    let mut count = 0;
    while let Some(value) = open.pop() {
        match value {
            Value::Array(items) => open.extend(items),
            Value::Object(map) => {
                open.extend(map.values());
                let keys = map.get("properties").and_then(Value::as_object);
                for key in keys.into_iter().flatten().map(|(key, _)| key) {
                    assert!(names(REPORT, key), "{key} is not documented");
                    count += 1;
                }
                for word in map
                    .get("enum")
                    .and_then(Value::as_array)
                    .into_iter()
                    .flatten()
                {
                    let word = word.as_str().unwrap_or("null");
                    assert!(names(REPORT, word), "{word} is not documented");
                }
            }
            _ => {}
        }
    }
    assert!(count > 250, "{count}");
}

#[test]
fn exit_codes_are_those_documented() {
    let folder = tempfile::tempdir().unwrap();
    std::fs::write(folder.path().join("tasking.toml"), crate::support::TASKING).unwrap();
    let run = |arguments: &[&str]| {
        Command::cargo_bin("overflown")
            .unwrap()
            .current_dir(&folder)
            .args(arguments)
            .assert()
    };
    let debrief = ["debrief", "log.gpx", "--tasking", "tasking.toml"];
    run(&[
        "rehearse",
        "tasking.toml",
        "--out",
        "log.gpx",
        "--skip-leg",
        "5",
    ])
    .code(0);
    run(&debrief).code(0);
    run(&[&debrief[..], &["--check"]].concat()).code(1);
    run(&["rehearse", "tasking.toml", "--out", "log.gpx"]).code(0);
    run(&[&debrief[..], &["--check"]].concat()).code(0);
    run(&["debrief"]).code(2);
    run(&["rehearse", "tasking.toml", "--skip-leg", "99"]).code(2);
    run(&["debrief", "none.gpx", "--tasking", "tasking.toml"]).code(3);
    let section = under(REPORT, "## Exit codes");
    for code in 0..=3 {
        assert!(section.contains(&format!("\n| {code} |")), "code {code}");
    }
}
