//! The files of one debrief agree with each other and with the standards they follow.

use crate::support::{Folder, TASKING};
use serde_json::Value;

/// A flight with all that a report can tell.
fn eventful() -> Folder {
    let folder = Folder::flown(&[
        "--skip-leg",
        "3",
        "--dropout",
        "2:1NM:60s",
        "--twice",
        "5",
        "--bias",
        "1:120 m left",
        "--cut-leg",
        "4:1.5NM",
        "--wind",
        "240 T at 14 kt",
    ]);
    let run = folder.debrief(&[]);
    assert_eq!(run.code, 0, "{}", run.err);
    folder
}

fn number(value: &Value) -> f64 {
    value
        .as_f64()
        .unwrap_or_else(|| panic!("{value} is no number"))
}

/// A cell must be the number of the JSON in the unit of its column, to the last digit printed;
/// where one is not known, neither is the other.
fn agrees(cell: &str, value: &Value, per_unit: f64, what: &str) {
    if value.is_null() {
        assert_eq!(cell, "", "{what}");
        return;
    }
    let decimals = cell.split_once('.').map_or(0, |(_, after)| after.len());
    let half_a_digit = 0.5 * 10f64.powi(-(decimals as i32)) + 1e-9;
    let (cell, expected) = (cell.parse::<f64>().unwrap(), number(value) / per_unit);
    assert!(
        (cell - expected).abs() <= half_a_digit,
        "{what}: {cell} for {expected}"
    );
}

#[test]
fn the_table_of_legs_equals_the_json() {
    const NM: f64 = 1852.0;
    const KT: f64 = 1852.0 / 3600.0;
    const FT: f64 = 0.3048;
    let folder = eventful();
    let debrief = folder.json("out/Teal 4/debrief.json");
    let table = folder.text("out/Teal 4/legs.csv");
    // RFC 4180, section 2: lines end with CRLF, and all have as many fields.
    let lines: Vec<Vec<&str>> = table
        .strip_suffix("\r\n")
        .unwrap()
        .split("\r\n")
        .map(|line| line.split(',').collect())
        .collect();
    let header = &lines[0];
    assert!(lines.iter().all(|line| line.len() == header.len()));
    let mut rows = lines[1..].iter();
    let mut passes_seen = 0;
    for leg in debrief["legs"].as_array().unwrap() {
        let passes = leg["passes"].as_array().unwrap();
        for i in 0..passes.len().max(1) {
            let row = rows.next().unwrap();
            let cell = |column: &str| row[header.iter().position(|h| *h == column).unwrap()];
            assert_eq!(cell("leg"), leg["leg"].as_str().unwrap());
            assert_eq!(
                cell("state").replace(' ', "-"),
                leg["state"].as_str().unwrap()
            );
            agrees(cell("flown_share"), &leg["flown_share"], 1.0, "flown_share");
            agrees(
                cell("unrecorded_share"),
                &leg["unrecorded_share"],
                1.0,
                "unrecorded_share",
            );
            let Some(index) = passes.get(i) else {
                assert_eq!(cell("pass"), "0");
                assert!(row[5..].iter().all(|cell| cell.is_empty()), "{row:?}");
                continue;
            };
            assert_eq!(cell("pass"), (i + 1).to_string());
            let pass = &debrief["passes"][index.as_u64().unwrap() as usize];
            assert_eq!(
                cell("direction") == "reversed",
                pass["reversed"].as_bool().unwrap()
            );
            for (column, key) in [("entered_utc", "entered"), ("left_utc", "left")] {
                let at = |text: &str| chrono::DateTime::parse_from_rfc3339(text).unwrap();
                let off = at(cell(column)) - at(pass[key].as_str().unwrap());
                assert!(
                    off.abs() <= chrono::TimeDelta::milliseconds(500),
                    "{column}: {off}"
                );
            }
            let (tracking, handling) = (&pass["tracking"], &pass["handling"]);
            for (column, value, per_unit) in [
                ("xte_mean_m", &tracking["xte_mean_m"], 1.0),
                ("xte_sd_m", &tracking["xte_sd_m"], 1.0),
                ("xte_rms_m", &tracking["xte_rms_m"], 1.0),
                ("xte_p95_m", &tracking["xte_p95_m"], 1.0),
                ("xte_max_m", &tracking["xte_max_m"], 1.0),
                ("xte_max_along_nm", &tracking["xte_max_along_m"], NM),
                ("within_tolerance", &tracking["within_tolerance"], 1.0),
                ("established_after_nm", &pass["established_after_m"], NM),
                (
                    "ground_speed_mean_kt",
                    &handling["ground_speed_mean_mps"],
                    KT,
                ),
                ("height_mean_ft", &handling["height_mean_m"], FT),
                ("crosswind_kt", &pass["crosswind_mps"], KT),
            ] {
                agrees(cell(column), value, per_unit, column);
            }
            passes_seen += 1;
        }
    }
    assert!(rows.next().is_none());
    assert_eq!(passes_seen, debrief["passes"].as_array().unwrap().len());
    assert_eq!(passes_seen, 5);
}

fn rings(geometry: &Value) -> Vec<Vec<(f64, f64)>> {
    let parts = geometry["coordinates"].as_array().unwrap();
    let polygons: Vec<&Value> = match geometry["type"].as_str().unwrap() {
        "Polygon" => vec![&geometry["coordinates"]],
        "MultiPolygon" => parts.iter().collect(),
        other => panic!("{other}"),
    };
    polygons
        .into_iter()
        .flat_map(|polygon| polygon.as_array().unwrap())
        .map(|ring| {
            let ring = ring.as_array().unwrap();
            ring.iter()
                .map(|at| (number(&at[0]), number(&at[1])))
                .collect()
        })
        .collect()
}

/// RFC 7946, sections 3.1.1, 3.1.6 and 3.1.9: longitude first, rings of four positions or more that
/// close and run counter-clockwise, none across the antimeridian.
fn sound_geojson(collection: &Value) -> usize {
    assert_eq!(collection["type"], "FeatureCollection");
    let features = collection["features"].as_array().unwrap();
    let mut count = 0;
    for feature in features {
        assert_eq!(feature["type"], "Feature");
        for ring in rings(&feature["geometry"]) {
            count += 1;
            assert!(ring.len() >= 4 && ring.first() == ring.last(), "{ring:?}");
            assert!(
                ring.iter()
                    .all(|(lon, lat)| lon.abs() <= 180.0 && lat.abs() <= 90.0)
            );
            let (west, east) = ring.iter().fold((180.0f64, -180.0f64), |(low, high), at| {
                (low.min(at.0), high.max(at.0))
            });
            assert!(east - west < 90.0, "{ring:?}");
            let doubled: f64 = ring
                .windows(2)
                .map(|pair| pair[0].0 * pair[1].1 - pair[1].0 * pair[0].1)
                .sum();
            assert!(doubled > 0.0, "clockwise: {ring:?}");
        }
    }
    count
}

#[test]
fn strips_are_sound_geojson() {
    let folder = eventful();
    let strips = folder.json("out/Teal 4/strips.geojson");
    let debrief = folder.json("out/Teal 4/debrief.json");
    let holes: usize = debrief["strips"]
        .as_array()
        .unwrap()
        .iter()
        .map(|strip| strip["holes"].as_array().unwrap().len())
        .sum();
    assert!(holes >= 3, "{holes}");
    // The area, five strips, the holes.
    assert_eq!(sound_geojson(&strips), 1 + 5 + holes);
    let first = &rings(&strips["features"][0]["geometry"])[0][0];
    assert!(
        (first.0 - 12.5).abs() < 0.2 && (first.1 - 47.1).abs() < 0.2,
        "{first:?}"
    );

    let tasking = TASKING
        .replace("[47.1, 12.5]", "[-17.0, 179.97]")
        .replace("base = [47.05, 12.4]\n", "");
    folder.put("tasking.toml", tasking);
    folder.rehearse("log.gpx", &["--skip-leg", "3"]);
    assert_eq!(folder.debrief(&[]).code, 0);
    let strips = folder.json("out/Teal 4/strips.geojson");
    let count = sound_geojson(&strips);
    assert!(
        count > strips["features"].as_array().unwrap().len(),
        "nothing was cut"
    );
}

#[test]
fn the_refly_route_is_that_of_the_json() {
    let folder = eventful();
    let text = folder.text("out/Teal 4/refly.gpx");
    let gpx = gpx::read(text.as_bytes()).unwrap();
    assert_eq!(
        (gpx.routes.len(), gpx.tracks.len(), gpx.waypoints.len()),
        (1, 0, 0)
    );
    let points = &gpx.routes[0].points;
    let debrief = folder.json("out/Teal 4/debrief.json");
    let legs = debrief["refly"]["legs"].as_array().unwrap();
    assert!(legs.len() >= 3);
    assert_eq!(points.len(), 2 * legs.len());
    let ends = legs.iter().flat_map(|leg| [&leg["start"], &leg["end"]]);
    for (point, end) in points.iter().zip(ends) {
        // Seven decimals.
        let near = |got: f64, value: &Value| (got - number(value)).abs() <= 5.1e-8;
        assert!(
            near(point.point().y(), &end["lat_deg"]) && near(point.point().x(), &end["lon_deg"])
        );
    }
    for (leg, pair) in legs.iter().zip(points.chunks(2)) {
        let label = leg["label"].as_str().unwrap();
        assert!(
            pair[0]
                .name
                .as_ref()
                .unwrap()
                .starts_with(&format!("{label} start"))
        );
        assert!(
            pair[1]
                .name
                .as_ref()
                .unwrap()
                .starts_with(&format!("{label} end"))
        );
    }
    // Nothing to fly again: still a file that reads, with a route without points.
    folder.rehearse("log.gpx", &[]);
    assert_eq!(folder.debrief(&["--check"]).code, 0);
    let text = folder.text("out/Teal 4/refly.gpx");
    let gpx = gpx::read(text.as_bytes()).unwrap();
    assert!(gpx.routes.iter().all(|route| route.points.is_empty()));
}

/// Long names, many holes, much outside, positions of full width: no line passes 100 columns.
#[test]
fn the_text_report_fits_its_width() {
    let folder = Folder::new();
    let name = "Reconnaissance of the north-eastern valleys and ridges, second aircraft, morning";
    assert_eq!(name.len(), 80);
    let object = "one person in a bright orange jacket, possibly under trees, and a ".repeat(6);
    folder.put(
        "tasking.toml",
        TASKING
            .replace("Teal 4", name)
            .replace("[47.1, 12.5]", "[47.1, -112.5]")
            .replace("base = [47.05, 12.4]\n", "")
            .replace("legs = 5", "legs = 14")
            .replace("leg_length = \"4 NM\"", "leg_length = \"12 NM\"")
            .replace(
                "[detection]",
                &format!("[detection]\nsearch_object = \"{object}\""),
            ),
    );
    let log = format!("{}.gpx", "recorded-by-the-left-hand-receiver-".repeat(5));
    folder.rehearse(
        &log,
        &[
            "--skip-leg",
            "3",
            "--skip-leg",
            "12",
            "--dropout",
            "2:1NM:60s",
            "--dropout",
            "2:6NM:60s",
            "--dropout",
            "13:1NM:150s",
            "--bias",
            "5:1200 m left",
            "--bias",
            "11:1300 m right",
            "--cut-leg",
            "10:8.5NM",
            "--extra-after",
            "6",
            "--extra-after",
            "13",
            "--excursion",
            "14:3NM:180s",
            "--orbit",
            "7:3NM:3:left",
            "--twice",
            "8",
            "--corner-survey",
            "--wind",
            "315 T at 25 kt",
            "--wind-known",
            "0.5",
            "--gust",
            "4 kt",
        ],
    );
    let run = folder.run(&["debrief", &log, "--tasking", "tasking.toml"]);
    assert_eq!(run.code, 0, "{}", run.err);
    let report = folder.text(&format!("out/{name}/report.txt"));
    for part in [
        "excursion",
        "not recorded",
        "Additional legs",
        "Re-fly",
        "SHA-256",
    ] {
        assert!(report.contains(part), "{part} is missing: {report}");
    }
    let wide: Vec<&str> = report
        .lines()
        .filter(|line| line.chars().count() > 100)
        .collect();
    assert!(wide.is_empty(), "{wide:#?}");
}
