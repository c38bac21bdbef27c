//! Declination against the test values of the World Magnetic Model.

use chrono::{Datelike, NaiveDate, TimeDelta};
use overflown::geodesy::{Declination, Position};
use overflown::plan;
use overflown::tasking;
use overflown::units::Length;
use std::path::Path;

/// A row: decimal year, height above the ellipsoid in km, latitude, longitude (east), declination.
type Row = (f64, f64, f64, f64, f64);

/// *The US/UK World Magnetic Model for 2025-2030: Technical Report*, DOI 10.25923/prbc-s316, Table 6.
const REPORT_TABLE_6: [Row; 12] = [
    (2025.0, 0.0, 80.0, 0.0, 1.28),
    (2025.0, 0.0, 0.0, 120.0, -0.16),
    (2025.0, 0.0, -80.0, 240.0, 68.78),
    (2025.0, 100.0, 80.0, 0.0, 0.85),
    (2025.0, 100.0, 0.0, 120.0, -0.15),
    (2025.0, 100.0, -80.0, 240.0, 68.21),
    (2027.5, 0.0, 80.0, 0.0, 2.59),
    (2027.5, 0.0, 0.0, 120.0, -0.24),
    (2027.5, 0.0, -80.0, 240.0, 68.49),
    (2027.5, 100.0, 80.0, 0.0, 2.16),
    (2027.5, 100.0, 0.0, 120.0, -0.23),
    (2027.5, 100.0, -80.0, 240.0, 67.93),
];

/// From the model developers' file WMM2025_FINAL_TEST_VALUES.txt.
const TEST_VALUES_2025: [Row; 18] = [
    (2025.0, 28.0, 89.0, -121.0, -99.77),
    (2025.0, 48.0, 80.0, -96.0, -29.91),
    (2025.0, 54.0, 82.0, 87.0, 54.89),
    (2025.0, 65.0, 43.0, 93.0, 0.50),
    (2025.0, 51.0, -33.0, 109.0, -5.49),
    (2025.0, 39.0, -59.0, -8.0, -15.75),
    (2025.5, 6.0, -36.0, -137.0, 20.28),
    (2025.5, 44.0, 33.0, -118.0, 11.10),
    (2026.0, 83.0, 86.0, -46.0, -30.61),
    (2026.5, 12.0, 33.0, -145.0, 11.96),
    (2027.0, 61.0, 59.0, -77.0, -16.48),
    (2027.0, 54.0, 54.0, 178.0, 0.63),
    (2027.5, 0.0, -13.0, -59.0, -17.49),
    (2028.0, 75.0, 79.0, 125.0, -18.59),
    (2028.5, 28.0, 54.0, -120.0, 15.43),
    (2028.5, 11.0, 34.0, 0.0, 1.57),
    (2029.0, 19.0, 46.0, -22.0, -5.65),
    (2029.5, 31.0, 13.0, -132.0, 9.04),
];

/// From the test values published with WMM2020.
const TEST_VALUES_2020: [Row; 12] = [
    (2020.0, 0.0, 80.0, 0.0, -1.28),
    (2020.0, 0.0, 0.0, 120.0, 0.16),
    (2020.0, 0.0, -80.0, 240.0, 69.36),
    (2020.0, 100.0, 80.0, 0.0, -1.70),
    (2020.0, 100.0, 0.0, 120.0, 0.16),
    (2020.0, 100.0, -80.0, 240.0, 68.78),
    (2022.5, 0.0, 80.0, 0.0, 0.01),
    (2022.5, 0.0, 0.0, 120.0, -0.06),
    (2022.5, 0.0, -80.0, 240.0, 69.13),
    (2022.5, 100.0, 80.0, 0.0, -0.41),
    (2022.5, 100.0, 0.0, 120.0, -0.05),
    (2022.5, 100.0, -80.0, 240.0, 68.55),
];

/// Half a unit of the last printed digit, and as much again for the model's single precision and
/// for half a day: where the declination changes by 0.5° a year, that is 0.001°.
const TOLERANCE_DEG: f64 = 0.01;

/// The day on which a decimal year falls.
fn day(year: f64) -> NaiveDate {
    let first = NaiveDate::from_ymd_opt(year.floor() as i32, 1, 1).unwrap();
    let days = if first.leap_year() { 366.0 } else { 365.0 };
    first + TimeDelta::days(((year - year.floor()) * days).floor() as i64)
}

fn check(rows: &[Row], source: &str) {
    for (year, height_km, lat, lon, expected) in rows {
        let at = Position::new(*lat, *lon).unwrap();
        let height = Length::from_m(height_km * 1000.0);
        let got = Declination::from_model(at, height, day(*year)).unwrap();
        assert!(
            (got.declination_deg - expected).abs() <= TOLERANCE_DEG,
            "{} for {expected} in {year} at {lat} {lon}, {height_km} km",
            got.declination_deg
        );
        assert_eq!(got.source, source);
        // The error model of the report: never less than its constant part of 0.26°.
        assert!(got.uncertainty_deg.unwrap() >= 0.26);
    }
}

#[test]
fn wmm2025_report() {
    check(&REPORT_TABLE_6, "WMM2025");
}

#[test]
fn wmm2025_test_values() {
    check(&TEST_VALUES_2025, "WMM2025");
}

#[test]
fn wmm2020_test_values() {
    check(&TEST_VALUES_2020, "WMM2020");
}

/// At 89° N 121° W, 28 km, the horizontal intensity is 1504 nT (test values of 2025): a compass is of
/// no use there, and that is said; at 43° N 93° E it is 24,301 nT.
#[test]
fn weak_fields_are_warned_of() {
    let date = day(2025.0);
    let at = |lat, lon, height_km: f64| {
        let at = Position::new(lat, lon).unwrap();
        Declination::from_model(at, Length::from_m(height_km * 1000.0), date).unwrap()
    };
    assert!(at(89.0, -121.0, 28.0).warning.unwrap().contains("blackout"));
    assert_eq!(at(43.0, 93.0, 65.0).warning, None);
}

/// WMM2025 holds to the end of 2029 (report, section 1); the models at hand begin with WMM2020.
#[test]
fn other_years_are_refused() {
    let at = Position::new(47.0, 12.0).unwrap();
    let on = |y, m, d| {
        let date = NaiveDate::from_ymd_opt(y, m, d).unwrap();
        Declination::from_model(at, Length::default(), date)
    };
    assert!(on(2020, 1, 1).is_ok() && on(2024, 12, 31).is_ok() && on(2029, 12, 31).is_ok());
    for (y, m, d) in [(2019, 12, 31), (2030, 1, 1), (1999, 6, 1), (9999, 1, 1)] {
        let error = on(y, m, d).unwrap_err().to_string();
        assert!(error.contains(&y.to_string()), "{error}");
    }
}

/// True = magnetic + declination, east positive: at 33° N 118° W in mid-2025 the declination is
/// 11.10° E, at 59° N 77° W in 2027 16.48° W (rows of the test values above).
#[test]
fn a_magnetic_course_is_flown_true() {
    for (lat, lon, height_km, year, magnetic, course) in [
        (33.0, -118.0, 44.0, 2025.5, 92.0, 103.10),
        (33.0, -118.0, 44.0, 2025.5, 355.0, 6.10),
        (59.0, -77.0, 61.0, 2027.0, 10.0, 353.52),
    ] {
        let text = format!(
            "sortie = \"Dunlin\"\ndate = {}\n[pattern]\nkind = \"parallel sweep\"\n\
             start = [{lat}, {lon}]\nfirst_course = \"{magnetic:03} M\"\nturn = \"left\"\n\
             spacing = \"1 NM\"\nleg_length = \"5 NM\"\nlegs = 2\n[flight]\nground_speed = \"90 kt\"\n\
             altitude = \"{height_km} km\"\n[detection]\nsweep_width = \"1 NM\"\n",
            day(year)
        );
        let path = Path::new("tasking.toml");
        let tasking = tasking::parse(&text, path).unwrap();
        let plan = plan::lay_out(&tasking, path).unwrap();
        let first = &plan.legs[0];
        assert!(
            (first.course.deg() - course).abs() <= TOLERANCE_DEG,
            "{first:?}"
        );
        let back = plan.declination.unwrap().magnetic_from_true(first.course);
        assert!((back - magnetic).abs() < 1e-9, "{back}");
        assert_eq!(tasking.date.year(), year.floor() as i32);
    }
}
