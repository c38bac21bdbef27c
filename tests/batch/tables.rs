//! The summary against the debriefs it is of, in both forms; and every column is documented.

use crate::field::{Field, name, rows};
use parquet::file::reader::{FileReader, SerializedFileReader};
use parquet::record::Field as Cell;
use serde_json::Value;
use std::collections::BTreeMap;
use std::fs::File;

const DOCUMENT: &str = include_str!("../../docs/batch.md");

fn number(value: &Value, pointer: &str) -> f64 {
    let found = value.pointer(pointer).and_then(Value::as_f64);
    found.unwrap_or_else(|| panic!("no {pointer}"))
}

/// Metres in a nautical mile and in a foot, metres a second in a knot: by definition.
const NM: f64 = 1852.0;
const FT: f64 = 0.3048;
const KT: f64 = 1852.0 / 3600.0;

#[test]
fn the_summary_says_what_the_debriefs_say() {
    let field = Field::with(3);
    assert_eq!(field.batch(&["m.csv"]).code, 0);
    let rows = rows(&field.text("out/summary.csv"));
    assert_eq!(rows.len(), 3);
    for (n, row) in (1..).zip(&rows) {
        let debrief = field.text(&format!("out/{}/debrief.json", name(n)));
        let debrief: Value = serde_json::from_str(&debrief).unwrap();
        let words = [
            ("sortie", "/sortie"),
            ("date", "/date"),
            ("pilot", "/pilot"),
            ("pattern", "/plan/pattern"),
            ("track_logs", "/inputs/0/name"),
            ("tasking", "/inputs/1/name"),
        ];
        for (column, pointer) in words {
            assert_eq!(
                row[column],
                debrief.pointer(pointer).unwrap().as_str().unwrap()
            );
        }
        for (column, pointer) in [
            ("flying_from_utc", "/log/flying_from"),
            ("flying_to_utc", "/log/flying_to"),
            ("search_from_utc", "/area_time/from"),
            ("search_to_utc", "/area_time/to"),
        ] {
            let time = |text: &str| text.parse::<chrono::DateTime<chrono::Utc>>().unwrap();
            let (found, meant) = (time(&row[column]), debrief.pointer(pointer).unwrap());
            let apart = found - time(meant.as_str().unwrap());
            assert!(apart.num_microseconds().unwrap().abs() < 1000, "{column}");
        }
        // Column, place in the debrief, its unit there in units of the column, half of the last digit.
        for (column, pointer, unit, within) in [
            ("search_s", "/area_time/window_s", 1.0, 0.5),
            ("on_legs_s", "/area_time/on_legs_s", 1.0, 0.5),
            ("outside_area_s", "/area_time/outside_s", 1.0, 0.5),
            ("straying_s", "/area_time/excursion_s", 1.0, 0.5),
            ("not_recorded_s", "/area_time/not_recorded_s", 1.0, 0.5),
            ("refly_nm", "/refly/outcome/total_length_m", NM, 0.05),
            ("refly_s", "/refly/outcome/duration_s", 1.0, 0.5),
            ("pod", "/coverage/pod/inverse_cube", 1.0, 5e-5),
            ("pod_low", "/coverage/pod_band/low", 1.0, 5e-5),
            ("pod_high", "/coverage/pod_band/high", 1.0, 5e-5),
            ("pod_inverse_cube", "/coverage/pod/inverse_cube", 1.0, 5e-5),
            ("pod_exponential", "/coverage/pod/exponential", 1.0, 5e-5),
            (
                "pod_definite_range",
                "/coverage/pod/definite_range",
                1.0,
                5e-5,
            ),
            ("target_pod", "/coverage/target_pod", 1.0, 5e-5),
            ("share_at_target", "/coverage/share_at_target", 1.0, 5e-5),
            (
                "coverage_factor_flown",
                "/coverage/flown_coverage_factor",
                1.0,
                5e-4,
            ),
            (
                "coverage_factor_planned",
                "/coverage/planned_coverage_factor",
                1.0,
                5e-4,
            ),
            ("sweep_width_nm", "/coverage/sweep_width_m", NM, 5e-4),
            ("spacing_nm", "/plan/spacing_m", NM, 5e-4),
            ("area_nm2", "/coverage/area_m2", NM * NM, 5e-3),
            (
                "searching_track_nm",
                "/coverage/searching_track_m",
                NM,
                0.05,
            ),
            ("xte_mean_m", "/tracking/xte_mean_m", 1.0, 0.05),
            ("xte_sd_m", "/tracking/xte_sd_m", 1.0, 0.05),
            ("xte_rms_m", "/tracking/xte_rms_m", 1.0, 0.05),
            ("xte_p95_m", "/tracking/xte_p95_m", 1.0, 0.05),
            ("xte_max_m", "/tracking/xte_max_m", 1.0, 0.05),
            ("xte_tolerance_m", "/tolerances/cross_track_m", 1.0, 0.05),
            ("within_tolerance", "/tracking/within_tolerance", 1.0, 5e-5),
            (
                "ground_speed_mean_kt",
                "/handling/ground_speed_mean_mps",
                KT,
                0.05,
            ),
            ("ground_speed_tasked_kt", "/plan/ground_speed_mps", KT, 0.05),
            ("height_mean_ft", "/handling/height_mean_m", FT, 0.5),
            ("fixes", "/log/fixes_kept", 1.0, 0.0),
        ] {
            let meant = number(&debrief, pointer) / unit;
            let found: f64 = row[column].parse().unwrap();
            assert!(
                (found - meant).abs() <= within * 1.000_001,
                "{column}: {found}, {meant}"
            );
        }
        let list = |pointer: &str| {
            debrief
                .pointer(pointer)
                .unwrap()
                .as_array()
                .unwrap()
                .clone()
        };
        let count = |pointer: &str, state: &str| {
            list(pointer)
                .iter()
                .filter(|leg| leg["state"] == state)
                .count()
        };
        let strips = list("/strips");
        let holes: Vec<Value> = strips
            .iter()
            .flat_map(|strip| strip["holes"].as_array().unwrap().clone())
            .collect();
        let with_holes = strips
            .iter()
            .filter(|s| !s["holes"].as_array().unwrap().is_empty());
        let missed = holes.iter().filter(|hole| hole["cause"] == "missed");
        for (column, counted) in [
            ("legs_planned", list("/legs").len()),
            ("legs_flown", count("/legs", "flown")),
            ("legs_flown_in_part", count("/legs", "flown-in-part")),
            ("legs_flown_in_turn", count("/legs", "flown-in-turn")),
            ("legs_not_flown", count("/legs", "not-flown")),
            ("legs_not_recorded", count("/legs", "not-recorded")),
            ("additional_legs", list("/additional_legs").len()),
            ("strips", strips.len()),
            ("strips_to_refly", with_holes.count()),
            ("holes_missed", missed.count()),
            ("refly_legs", list("/refly/legs").len()),
            ("gaps", list("/log/gaps").len()),
            ("remarks", list("/remarks").len()),
        ] {
            assert_eq!(row[column], counted.to_string(), "{column} of {n}");
        }
    }
    // The third leaves out a leg.
    assert_eq!(rows[2]["legs_not_flown"], "1");
    assert_ne!(rows[2]["strips_to_refly"], "0");
}

#[test]
fn parquet_holds_what_the_csv_holds() {
    let field = Field::with(2);
    field.put("log-1.gpx", &crate::field::log(3));
    assert_eq!(field.batch(&["m.csv"]).code, 0);
    let rows = rows(&field.text("out/summary.csv"));
    let file = File::open(field.path("out/summary.parquet")).unwrap();
    let reader = SerializedFileReader::new(file).unwrap();
    let read: Vec<BTreeMap<String, String>> = reader
        .get_row_iter(None)
        .unwrap()
        .map(|row| {
            let cells = row.unwrap().into_columns().into_iter();
            cells.map(|(name, cell)| (name, shown(&cell))).collect()
        })
        .collect();
    assert_eq!(read, rows);
}

/// As the CSV shows it.
fn shown(cell: &Cell) -> String {
    match cell {
        Cell::Null => String::new(),
        Cell::Str(text) => text.clone(),
        Cell::Bool(flag) => flag.to_string(),
        Cell::Long(whole) => whole.to_string(),
        Cell::Double(number) => number.to_string(),
        Cell::Date(days) => {
            let day = chrono::DateTime::from_timestamp(i64::from(*days) * 86_400, 0).unwrap();
            day.date_naive().to_string()
        }
        Cell::TimestampMillis(millis) => {
            let moment = chrono::DateTime::from_timestamp_millis(*millis).unwrap();
            moment.to_rfc3339_opts(chrono::SecondsFormat::Millis, true)
        }
        other => panic!("{other:?}"),
    }
}

#[test]
fn every_column_is_documented() {
    let summary = overflown::batch::row::columns(&[]);
    assert!(summary.len() > 50);
    for column in summary {
        assert!(
            DOCUMENT.contains(&format!("`{}`", column.name)),
            "{}",
            column.name
        );
    }
    for column in overflown::batch::COLUMNS {
        assert!(DOCUMENT.contains(&format!("| `{column}` |")), "{column}");
    }
}
