//! Every `debrief.json` is as `docs/debrief.schema.json` says, and the schema says it of every key.

use crate::flights::at;
use crate::judge::Judge;
use crate::samples::{names, sample};
use crate::support::{self, TASKING};
use overflown::debrief::{Debrief, debrief};
use overflown::infer::{Given, Tasked};
use overflown::input::InputFile;
use overflown::report::json::json;
use overflown::simulate::{Fault, Settings, simulate};
use overflown::terrain::{Ground, VerticalReference};
use overflown::units::Length;
use serde_json::Value;
use std::path::Path;

const SCHEMA: &str = include_str!("../../docs/debrief.schema.json");
/// Those of training reviews; tests/training has what is judged by them.
const REVIEW: &str = include_str!("../../docs/review.schema.json");
const CLASS: &str = include_str!("../../docs/class.schema.json");

#[track_caller]
fn holds(judge: &Judge, debrief: &Debrief, what: &str) -> Value {
    judge.holds(&json(debrief).unwrap(), what)
}

#[test]
fn every_sample_is_as_the_schema_says() {
    let judge = Judge::new(SCHEMA);
    for name in names() {
        holds(&judge, &sample(&name), &name);
    }
}

/// A flight with something of everything, over ground; and one without anything amiss.
#[test]
fn every_flight_is_as_the_schema_says() {
    let judge = Judge::new(SCHEMA);
    holds(&judge, &at(-16.9, 179.93), "across the antimeridian");
    holds(&judge, &at(84.5, 20.0), "near the pole");
    let text = TASKING.replace(
        "sweep_width = \"0.5 NM\"",
        "search_object = \"a red tent\"\nobject = \"vehicle\"\nover = \"land\"\n\
         search_height = \"500 ft\"\nvisibility = \"10 km\"\nterrain = \"mountainous\"\nfatigued = true",
    );
    let (tasking, plan) = support::tasking(&text);
    let settings = Settings {
        faults: [support::many_faults(), vec![Fault::ExtraAfter(7)]].concat(),
        ..Settings::for_tasking(&tasking)
    };
    let mut fixes = simulate(&plan, &settings, 1).unwrap().fixes;
    fixes.insert(100, fixes[99]);
    let mut track = support::track(fixes);
    track.ground = Some(Ground {
        heights: vec![Some(Length::from_m(300.0)); track.fixes.len()],
        tiles: vec![InputFile::of("terrain", Path::new("N46E011.hgt"), b"")],
        references: vec![VerticalReference::Egm96],
        without_tile: 0,
        in_void: 0,
    });
    let eventful = debrief(&track, Path::new("log"), &tasking, &plan).unwrap();
    let value = holds(&judge, &eventful, "with something of everything");
    // What is checked is there.
    for path in [
        "/above_ground/legs/0/clearance/lowest",
        "/coverage/sweep_width_basis/factors/1",
        "/log/gaps/0",
        "/log/ledger/0",
        "/additional_legs/0",
        "/strips/5/holes/0",
        "/refly/legs/0",
        "/looks/unrecorded/0",
        "/wind",
    ] {
        assert!(value.pointer(path).is_some_and(|v| !v.is_null()), "{path}");
    }
}

/// Plans inferred from the flights of samples of several kinds, whose layouts differ.
#[test]
fn an_inferred_debrief_is_as_the_schema_says() {
    let judge = Judge::new(SCHEMA);
    for name in ["clean", "expanding-square", "sector", "track-line"] {
        let log = Path::new(env!("CARGO_MANIFEST_DIR"))
            .join("sample-logs")
            .join(name)
            .join("track.gpx");
        let reading = overflown::track::read::read(&log, Default::default()).unwrap();
        let track = overflown::track::clean::clean(reading, &Default::default()).unwrap();
        let given = Given {
            log: "track.gpx",
            ..Given::default()
        };
        let plan = Tasked::of(&track, &log, given).unwrap();
        let inferred = debrief(&track, &log, &plan.tasking, &plan.plan)
            .unwrap()
            .with_inference(plan);
        let value = holds(&judge, &inferred, name);
        assert!(value.pointer("/inference/layout").is_some(), "{name}");
    }
}

/// A key more, a key less, another kind of value and a time that is none are faults.
#[test]
fn the_schema_is_not_met_by_anything_else() {
    let judge = Judge::new(SCHEMA);
    let good = holds(&judge, &sample("faults"), "faults");
    let spoil = |path: &str, change: &dyn Fn(&mut Value)| {
        let mut bad = good.clone();
        change(bad.pointer_mut(path).unwrap_or_else(|| panic!("{path}")));
        assert!(judge.fault(&bad).is_some(), "{path}");
    };
    for path in [
        "",
        "/log",
        "/plan/legs/0",
        "/passes/0/tracking",
        "/coverage",
        "/coverage/pod_band",
        "/strips/0",
        "/refly/outcome",
        "/track/0/line/0",
        "/looks/passages/0",
    ] {
        spoil(path, &|value| {
            value["new_key"] = Value::from(1);
        });
        spoil(path, &|value| {
            let keys = value.as_object_mut().unwrap();
            let first = keys.keys().next().unwrap().clone();
            keys.remove(&first);
        });
    }
    spoil("/passes/0/entered", &|value| *value = "yesterday".into());
    spoil("/coverage/law", &|value| *value = "another".into());
    spoil("/coverage/sweep_width_m", &|value| *value = Value::Null);
    spoil("/plan/spacing_m", &|value| *value = "0.5 NM".into());
    spoil("/track/0/line/0/lat_deg", &|value| *value = 91.into());
}

/// Every key says what it is, closed objects are closed, and the unit in the name of a key is the one in words.
#[test]
fn every_key_is_described_with_its_unit() {
    let schemas = [SCHEMA, REVIEW, CLASS].map(|text| serde_json::from_str::<Value>(text).unwrap());
    let mut count = 0;
    let mut open: Vec<&Value> = schemas.iter().collect();
    while let Some(value) = open.pop() {
        match value {
            Value::Array(items) => open.extend(items),
            Value::Object(map) => {
                open.extend(map.values());
                let Some(Value::Object(keys)) = map.get("properties") else {
                    continue;
                };
                assert_eq!(map["additionalProperties"], false);
                assert_eq!(map["required"].as_array().unwrap().len(), keys.len());
                for (key, about) in keys {
                    let words = about["description"].as_str().unwrap_or_default();
                    assert!(words.len() > 1, "{key} is not described");
                    let units = [
                        ("_m", "Unit: m."),
                        ("_m2", "Unit: m²."),
                        ("_s", "Unit: s."),
                        ("_mps", "Unit: m/s."),
                        ("_deg", "Unit: degrees"),
                    ];
                    let unit = units.iter().find(|(end, _)| key.ends_with(end));
                    if let Some((_, unit)) = unit.filter(|_| about.get("$ref").is_none()) {
                        let shared = about.pointer("/anyOf/0/$ref").is_some();
                        assert!(shared || words.contains(unit), "{key}: {words}");
                    }
                    count += 1;
                }
            }
            _ => {}
        }
    }
    assert!(count > 400, "{count} keys");
}
