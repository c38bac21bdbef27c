//! The documents say what the program does: examples work, and every key is named.
#![allow(
    clippy::unwrap_used,
    clippy::panic,
    reason = "a test fails by panicking"
)]

mod support;

use assert_cmd::Command;
use overflown::debrief::{Debrief, debrief};
use overflown::detection::sweep_width::{FactorTable, FactorTables, Surface, WidthTable};
use overflown::geodesy::{LegFrame, LocalFrame, Position, geodesic};
use overflown::input::InputFile;
use overflown::matching::Phase;
use overflown::plan::{self, Plan, arithmetic, survey};
use overflown::preflight::starts::NoStart;
use overflown::preflight::{Questions, preflight};
use overflown::report::{self, also::Also, drawing::Paper, plan::PlanReport};
use overflown::search::{Sortie, Wants, search};
use overflown::simulate::{Fault, Settings, Wind, simulate};
use overflown::tasking;
use overflown::terrain::{Ground, VerticalReference};
use overflown::track::Finding;
use overflown::track::clean::{CleanSettings, clean};
use overflown::units::{Bearing, Length, Speed};
use serde_json::Value;
use std::collections::BTreeSet;
use std::path::Path;
use support::nm;

const TASKING_FILE: &str = include_str!("../docs/tasking-file.md");
const REPORT: &str = include_str!("../docs/report.md");
const SCHEMA: &str = include_str!("../docs/debrief.schema.json");
const SEARCH: &str = include_str!("../docs/search-file.md");
const PLAN: &str = include_str!("../docs/plan.md");
const METHOD: &str = include_str!("../docs/method.md");
const ARCHITECTURE: &str = include_str!("../docs/architecture.md");
const DEVELOPERS: &str = include_str!("../DEVELOPERS.md");
const MANIFEST: &str = include_str!("../Cargo.toml");

/// The fenced blocks of a language.
fn blocks<'t>(text: &'t str, language: &str) -> Vec<&'t str> {
    let fence = format!("```{language}\n");
    text.split(&fence)
        .skip(1)
        .map(|rest| rest.split("```").next().unwrap())
        .collect()
}

/// What stands under a heading, up to the next one of any level.
fn under<'t>(text: &'t str, heading: &str) -> &'t str {
    let start = text
        .find(&format!("\n{heading}\n"))
        .unwrap_or_else(|| panic!("no heading {heading}"));
    let rest = &text[start + heading.len() + 2..];
    rest.find("\n#").map_or(rest, |end| &rest[..end])
}

fn names(text: &str, word: &str) -> bool {
    text.contains(&format!("`{word}`"))
}

/// Lays the examples out in a folder that holds the route and the sweep width table of the document.
fn examples() -> Vec<Plan> {
    let folder = tempfile::tempdir().unwrap();
    let routes = blocks(TASKING_FILE, "xml");
    assert_eq!(routes.len(), 1);
    std::fs::write(folder.path().join("route.gpx"), routes[0]).unwrap();
    let tables = blocks(TASKING_FILE, "toml sweep-width-table");
    assert_eq!(tables.len(), 1);
    std::fs::write(folder.path().join("widths.toml"), tables[0]).unwrap();
    let mut factors = FactorTables::built_in().unwrap();
    for (block, which) in [
        ("weather", FactorTable::Weather),
        ("speed", FactorTable::Speed),
        ("terrain", FactorTable::Terrain),
        ("single-factors", FactorTable::Single),
    ] {
        let tables = blocks(TASKING_FILE, &format!("toml {block}-table"));
        assert_eq!(tables.len(), 1, "{block}");
        factors.replace(which, tables[0], Path::new(block)).unwrap();
    }
    for over in [Surface::Water, Surface::Land] {
        let widths = WidthTable::built_in(over).unwrap();
        factors.have_rows_for(&widths).unwrap();
    }
    let path = folder.path().join("tasking.toml");
    blocks(TASKING_FILE, "toml")
        .into_iter()
        .map(|text| {
            std::fs::write(&path, text).unwrap();
            let tasking = tasking::read(&path).unwrap_or_else(|e| panic!("{e}: {}", e.hint));
            plan::lay_out(&tasking, &path).unwrap_or_else(|e| panic!("{e}: {}", e.hint))
        })
        .collect()
}

#[test]
fn examples_of_taskings_lay_out_as_told() {
    let plans = examples();
    assert_eq!(plans.len(), 14);
    for plan in plans {
        let legs: Vec<f64> = plan.search_legs().map(|(_, l)| l.length.nm()).collect();
        let longest = legs.iter().copied().fold(0.0, f64::max);
        let told = format!(
            "lays out {} search legs of up to {longest:.2} NM, {:.1} NM with the cross-legs",
            legs.len(),
            plan.total_length().nm()
        );
        let one_line = TASKING_FILE.replace('\n', " ");
        assert!(one_line.contains(&told), "the document should say: {told}");
        assert!(plan.notes.is_empty(), "{:?}", plan.notes);
    }
}

#[test]
fn every_key_of_a_tasking_is_documented() {
    for (section, keys) in tasking::known_keys() {
        let heading = match section {
            "" => "## Top level".to_owned(),
            name => format!("## `[{name}]`"),
        };
        let text = under(TASKING_FILE, &heading);
        for key in keys {
            assert!(names(text, key), "{key} is not under {heading}");
        }
    }
}

/// A flight with something of everything that a debrief can report.
fn eventful() -> Debrief {
    let text = support::TASKING.replace(
        "sweep_width = \"0.5 NM\"",
        "search_object = \"a red tent\"\nobject = \"vehicle\"\nover = \"land\"\n\
         search_height = \"500 ft\"\nvisibility = \"10 km\"\nterrain = \"mountainous\"\nfatigued = true",
    );
    assert!(
        text.contains("terrain"),
        "the tasking has another sweep width"
    );
    let (tasking, plan) = support::tasking(&text);
    let settings = Settings {
        faults: [support::many_faults(), vec![Fault::ExtraAfter(7)]].concat(),
        wind: Wind {
            from: Bearing::from_deg(240.0),
            speed: Speed::from_kt(8.0),
        },
        ..Settings::for_tasking(&tasking)
    };
    let mut fixes = simulate(&plan, &settings, 1).unwrap().fixes;
    fixes.insert(100, fixes[99]);
    let mut track = clean(support::reading(fixes), &CleanSettings::default()).unwrap();
    track.ground = Some(Ground {
        heights: vec![Some(Length::from_m(300.0)); track.fixes.len()],
        tiles: vec![InputFile::of("terrain", Path::new("N46E011.hgt"), b"")],
        references: vec![VerticalReference::Egm96],
        without_tile: 0,
        in_void: 0,
    });
    debrief(&track, Path::new("simulated.gpx"), &tasking, &plan).unwrap()
}

/// Keys of all objects in `value`, and the words (not free texts) that stand for a choice.
fn collect(value: &Value, keys: &mut BTreeSet<String>, words: &mut BTreeSet<String>) {
    const CHOICES: [&str; 11] = [
        "role", "pattern", "kind", "phase", "state", "cause", "side", "law", "scanners", "status",
        "turn",
    ];
    match value {
        Value::Object(map) => {
            for (key, value) in map {
                keys.insert(key.clone());
                if let (true, Value::String(word)) = (CHOICES.contains(&key.as_str()), value) {
                    words.insert(word.clone());
                }
                collect(value, keys, words);
            }
        }
        Value::Array(items) => items.iter().for_each(|item| collect(item, keys, words)),
        _ => {}
    }
}

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

#[test]
fn every_key_of_a_plan_is_documented() {
    // Corners of every kind: two to begin at, one without room, one that points inwards.
    let text = "sortie = \"Heron 3\"\ndate = 2026-06-14\n[area]\ncorners = [[47.0, 12.0], [47.0, \
                12.3], [47.2, 12.3], [47.05, 12.15], [47.2, 12.0]]\n[pattern]\nkind = \"parallel \
                sweep\"\nfirst_course = \"090 T\"\nturn = \"right\"\nspacing = \"0.5 NM\"\n\
                [flight]\nground_speed = \"90 kt\"\nbase = [46.9, 12.0]\n[detection]\n\
                sweep_width = \"0.5 NM\"\n";
    let (tasking, plan) = support::tasking(text);
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
        let row = REPORT
            .lines()
            .find(|line| line.starts_with(&format!("| `{}` |", also.name())));
        assert!(also.files().iter().all(|name| names(row.unwrap(), name)));
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
    std::fs::write(folder.path().join("tasking.toml"), support::TASKING).unwrap();
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

#[test]
fn every_dependency_is_explained() {
    let dependencies = MANIFEST
        .split("\n[")
        .filter(|table| {
            table.starts_with("dependencies]") || table.starts_with("dev-dependencies]")
        })
        .flat_map(|table| table.lines().skip(1))
        .filter_map(|line| line.split_once(" = "))
        .map(|(name, _)| name);
    let section = under(DEVELOPERS, "## Dependencies");
    let mut count = 0;
    for name in dependencies {
        assert!(names(section, name), "{name} is not explained");
        count += 1;
    }
    assert!(count > 30, "only {count} dependencies found in Cargo.toml");
}

/// Worst difference, metres, between the cross-track distance in one plane about the area's centre
/// and the one of a frame for the leg, over legs through an area of this size.
fn loss_of_one_plane_m(east: Length, north: Length) -> f64 {
    let centre = Position::new(47.0, 12.0).unwrap();
    let plane = LocalFrame::new(centre);
    let place = |x: f64, y: f64| {
        plane.inverse(geo::Coord {
            x: x * east.m() / 2.0,
            y: y * north.m() / 2.0,
        })
    };
    let mut worst: f64 = 0.0;
    for x in [-1.0, -0.5, 0.0, 0.5, 1.0] {
        let (start, end) = (place(x, -1.0), place(x, 1.0));
        let frame = LegFrame::new(start, end);
        let (a, b) = (plane.forward(start), plane.forward(end));
        let length = (b.x - a.x).hypot(b.y - a.y);
        for share in [0.1, 0.3, 0.5, 0.7, 0.9] {
            let along = Length::from_m(share * frame.length().m());
            let course = geodesic::between(start, end).course_at_start;
            let (foot, course) = geodesic::travel(start, course, along);
            let fix = geodesic::destination(foot, course.turned(90.0), Length::from_m(200.0));
            let p = plane.forward(fix);
            let cross = ((p.x - a.x) * (b.y - a.y) - (p.y - a.y) * (b.x - a.x)) / length;
            worst = worst.max((cross - frame.locate(fix).cross_m).abs());
        }
    }
    worst
}

/// The figures of `docs/architecture.md`.
#[test]
fn one_plane_serves_a_small_area_but_not_a_large_one() {
    let small = loss_of_one_plane_m(nm(5.0), nm(7.5));
    let large = loss_of_one_plane_m(nm(40.0), nm(40.0));
    assert!((0.001..0.003).contains(&small), "{small} m");
    assert!((0.3..0.5).contains(&large), "{large} m");
}

/// All source files, with their paths from the root of the repository.
fn sources() -> Vec<(String, String)> {
    fn walk(folder: &Path, found: &mut Vec<(String, String)>) {
        for entry in std::fs::read_dir(folder).unwrap() {
            let path = entry.unwrap().path();
            if path.is_dir() {
                walk(&path, found);
            } else if path.extension().is_some_and(|e| e == "rs") {
                let name = path.to_string_lossy().replace('\\', "/");
                found.push((name, std::fs::read_to_string(&path).unwrap()));
            }
        }
    }
    let mut found = Vec::new();
    for folder in ["src", "tests"] {
        walk(
            &Path::new(env!("CARGO_MANIFEST_DIR")).join(folder),
            &mut found,
        );
    }
    found
}

/// Words between single back quotes.
fn quoted(text: &str) -> impl Iterator<Item = &str> {
    text.split('`').skip(1).step_by(2)
}

#[test]
fn tests_and_thresholds_named_in_the_method_exist() {
    let sources = sources();
    let outside_blocks: String = METHOD.split("```").step_by(2).collect();
    let (mut tests, mut constants) = (0, 0);
    for word in quoted(&outside_blocks).chain(quoted(ARCHITECTURE)) {
        if let Some((file, test)) = word.split_once("::").filter(|w| w.0.ends_with(".rs")) {
            let here = sources.iter().any(|(path, text)| {
                path.ends_with(&format!("/{file}")) && text.contains(&format!("fn {test}("))
            });
            assert!(here, "there is no {word}");
            tests += 1;
        } else if word.len() > 4 && word.chars().all(|c| c.is_ascii_uppercase() || c == '_') {
            let here = sources
                .iter()
                .any(|(_, text)| text.contains(&format!("const {word}:")));
            assert!(here, "there is no constant {word}");
            constants += 1;
        }
    }
    assert!(
        tests > 30 && constants > 20,
        "{tests} tests, {constants} constants"
    );
}

/// Every key of a search file is in its document, and the example there is read.
#[test]
fn every_key_of_a_search_file_is_documented() {
    for (section, keys) in overflown::tasking::known_search_keys() {
        for key in keys {
            assert!(names(SEARCH, key), "{key} of {section}");
        }
    }
    let example = blocks(SEARCH, "toml");
    assert_eq!(example.len(), 1);
    let path = std::path::Path::new("search.toml");
    let task = overflown::tasking::parse_search(example[0], path).unwrap();
    assert_eq!(task.sub_areas.len(), 2);
}

/// Every key of `search.json` is in its document, of a search with something of everything.
#[test]
fn every_key_of_a_search_is_documented() {
    let debriefs = ["Heron 3", "Heron 4"].map(|name| {
        let mut debrief = eventful();
        debrief.sortie = name.to_owned();
        for input in &mut debrief.inputs {
            input.sha256 = name.to_owned();
        }
        debrief
    });
    let sorties = debriefs.iter().map(|debrief| Sortie::of(debrief).unwrap());
    let wants = Wants {
        name: "North".into(),
        target_pod: Some(0.9),
        base: Position::new(46.46, 10.98),
        ..Wants::default()
    };
    let result = search(sorties.collect(), &wants).unwrap();
    let files = report::search::files(&result, &[]).unwrap();
    let file = files.iter().find(|file| file.name == "search.json");
    let value: Value = serde_json::from_slice(&file.unwrap().bytes).unwrap();
    for path in [
        "/inputs/0",
        "/sorties/1/cumulative/low",
        "/sorties/1/poc/0",
        "/sub_areas/0/corners/0",
        "/target_pod",
        "/strips/0/holes/0/span",
        "/strips/0/tasked/0",
        "/strips/9/flown_by/0",
        "/refly/legs/0",
        "/remarks/0",
        "/cautions/0",
    ] {
        assert!(value.pointer(path).is_some_and(|v| !v.is_null()), "{path}");
    }
    for file in &files {
        assert!(names(SEARCH, file.name), "{} is not named", file.name);
    }
    let shared = under(SEARCH, "### Shared shapes");
    let top = under(SEARCH, "### Top level");
    for (key, part) in value.as_object().unwrap() {
        assert!(names(top, key), "{key} is not under Top level");
        let (mut keys, mut words) = (BTreeSet::new(), BTreeSet::new());
        collect(part, &mut keys, &mut words);
        if keys.is_empty() || key == "pod" {
            continue;
        }
        let own = under(SEARCH, &format!("### `{key}`"));
        for name in keys.iter().chain(&words) {
            assert!(
                names(own, name) || names(shared, name),
                "{name} of {key} is not documented"
            );
        }
    }
    assert!(names(top, overflown::search::SCHEMA));
}

/// Which rule for looks one after the other is used, and which is not, stands in the method and in every search.
#[test]
fn the_rule_of_the_older_chart_is_named() {
    let two_looks: f64 = 1.0 - (1.0 - 0.6) * (1.0 - 0.6);
    assert_eq!(format!("{:.0}", 100.0 * two_looks), "84");
    let method = METHOD.replace('\n', " ");
    assert!(method.contains(
        "The older US inland chart combines 60 % and 60 % to 80 % where this gives 84 %; that rule is not used."
    ));
    let sortie = Sortie::of(&eventful()).unwrap();
    let result = search(vec![sortie], &Wants::default()).unwrap();
    assert!(result.remarks.iter().any(|remark| {
        remark.contains("older inland tables combine 60 % and 60 % to 80 %, where this gives 84 %")
    }));
}
