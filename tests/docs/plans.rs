//! The files of a plan.

use crate::support::nm;
use crate::{PLAN, collect, names, under};
use overflown::plan::{arithmetic, survey};
use overflown::preflight::starts::NoStart;
use overflown::preflight::{Questions, preflight};
use overflown::report;
use overflown::report::plan::PlanReport;
use serde_json::Value;
use std::collections::BTreeSet;
use std::path::Path;

#[test]
fn every_key_of_a_plan_is_documented() {
    // Corners of every kind: two to begin at, one without room, one that points inwards.
    let text = "sortie = \"Heron 3\"\ndate = 2026-06-14\n[area]\ncorners = [[47.0, 12.0], [47.0, \
                12.3], [47.2, 12.3], [47.05, 12.15], [47.2, 12.0]]\n[pattern]\nkind = \"parallel \
                sweep\"\nfirst_course = \"090 T\"\nturn = \"right\"\nspacing = \"0.5 NM\"\n\
                [flight]\nground_speed = \"90 kt\"\nbase = [46.9, 12.0]\n[detection]\n\
                sweep_width = \"0.5 NM\"\n";
    let (tasking, plan) = crate::support::tasking(text);
    let questions = Questions {
        pod: None,
        time_s: Some(3600.0),
        corner_offset: Some(nm(0.5)),
    };
    let worked_out = preflight(&tasking, Path::new("tasking.toml"), &plan, &questions);
    let rows = arithmetic::leg_table(&plan, tasking.flight.ground_speed);
    let corners = survey::area_corners(&plan);
    let files = report::plan::files(&PlanReport {
        tasking: &tasking,
        plan: &plan,
        rows: &rows,
        corners: &corners,
        preflight: &worked_out,
    })
    .unwrap();
    let text = |name: &str| {
        let file = files.iter().find(|file| file.name == name).unwrap();
        String::from_utf8(file.bytes.clone()).unwrap()
    };
    let value: Value = serde_json::from_str(&text("plan.json")).unwrap();
    for file in &files {
        assert!(names(PLAN, file.name), "{} is not named", file.name);
    }
    for column in text("legs.csv").lines().next().unwrap().split(',') {
        assert!(
            names(under(PLAN, "### `legs.csv`"), column),
            "column {column}"
        );
    }
    let geojson: Value = serde_json::from_str(&text("plan.geojson")).unwrap();
    for feature in geojson["features"].as_array().unwrap() {
        for property in feature["properties"].as_object().unwrap().keys() {
            let section = under(PLAN, "### `plan.geojson`");
            assert!(names(section, property), "property {property}");
        }
    }
    let kml = text("plan.kml");
    for name in kml.split("<Folder>").skip(1) {
        let name = name.split("<name>").nth(1).unwrap();
        let name = name.split("</name>").next().unwrap();
        assert!(names(under(PLAN, "### `plan.kml`"), name), "folder {name}");
    }
    // Nothing is left out of the check for want of an example.
    for path in [
        "/declination",
        "/legs/0",
        "/corners_to_survey/0",
        "/preflight/effort/transit_s",
        "/preflight/effort/turns",
        "/preflight/start_points/corners/0/start/run_in",
        "/preflight/start_points/corners/3/problem",
        "/preflight/expected/mid_strip_pod",
        "/preflight/spacings/0/legs",
        "/preflight/in_time/with_allowance/legs",
        "/preflight/latitudes/rows/0/legs",
    ] {
        assert!(value.pointer(path).is_some_and(|v| !v.is_null()), "{path}");
    }
    let shared = under(PLAN, "### Shared shapes");
    let check = |parent: &str, level: &str, value: &Value| {
        for (key, part) in value.as_object().unwrap() {
            assert!(
                names(under(PLAN, parent), key),
                "{key} is not under {parent}"
            );
            let (mut keys, mut words) = (BTreeSet::new(), BTreeSet::new());
            collect(part, &mut keys, &mut words);
            if keys.is_empty() || key == "preflight" {
                continue;
            }
            let own = under(PLAN, &format!("{level} `{key}`"));
            for name in keys.iter().chain(&words) {
                assert!(
                    names(own, name) || names(shared, name),
                    "{name} of {key} is not documented"
                );
            }
        }
    };
    check("### Top level", "###", &value);
    check("### `preflight`", "####", &value["preflight"]);
    for word in [NoStart::InwardCorner, NoStart::TooNarrow] {
        let word = serde_json::to_value(word).unwrap();
        assert!(names(
            under(PLAN, "#### `start_points`"),
            word.as_str().unwrap()
        ));
    }
    let schema = value["schema"].as_str().unwrap();
    assert!(names(PLAN, schema), "{schema} is not named");
}
