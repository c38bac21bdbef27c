//! `fixes.csv` against the flight it is written from.

use crate::samples::sample;
use overflown::report::also::fixes_csv;

#[test]
fn every_fix_has_a_row_with_its_figures() {
    let debrief = sample("faults");
    let flown = &debrief.flown;
    let text = String::from_utf8(fixes_csv(flown)).unwrap();
    let mut table = csv::Reader::from_reader(text.as_bytes());
    let header: Vec<String> = table.headers().unwrap().iter().map(str::to_owned).collect();
    let column = |name: &str| header.iter().position(|h| h == name).unwrap();
    let (mut rows, mut on_legs) = (0, 0);
    for (row, fix) in table.records().zip(&flown.fixes) {
        let row = row.unwrap();
        let cell = |name: &str| &row[column(name)];
        let close = |name: &str, value: Option<f64>, half_a_digit: f64| match value {
            None => assert_eq!(cell(name), "", "{name}"),
            Some(value) => {
                let read: f64 = cell(name).parse().unwrap();
                assert!(
                    (read - value).abs() <= half_a_digit,
                    "{name}: {read}, {value}"
                );
            }
        };
        let time: chrono::DateTime<chrono::Utc> = cell("time_utc").parse().unwrap();
        assert_eq!(time, fix.time);
        close("lat_deg", Some(fix.position.lat()), 0.51e-7);
        close("lon_deg", Some(fix.position.lon()), 0.51e-7);
        close("height_ft", fix.height().map(|h| h.ft()), 0.501);
        close("ground_speed_kt", Some(fix.ground_speed().kt()), 0.0501);
        let course = (cell("phase") != "ground").then(|| fix.course().deg());
        close(
            "course_true_deg",
            course.map(|deg| if deg >= 359.95 { 0.0 } else { deg }),
            0.0501,
        );
        assert_eq!(cell("phase"), fix.phase.name());
        assert_eq!(cell("leg"), flown.leg(fix).unwrap_or_default());
        close("along_nm", fix.along().map(|along| along.nm()), 0.501e-4);
        close("xte_m", fix.xte().map(|xte| xte.m()), 0.0501);
        on_legs += usize::from(fix.xte().is_some());
        rows += 1;
    }
    assert_eq!(rows, debrief.log.fixes_kept);
    assert!(on_legs > 1000, "{on_legs}");
    // RFC 4180, section 2: every line ends with CR LF.
    assert_eq!(text.matches("\r\n").count(), rows + 1);
    assert_eq!(text.matches('\n').count(), rows + 1);
}
