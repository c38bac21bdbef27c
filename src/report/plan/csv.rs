//! `legs.csv`: one row per leg (RFC 4180).

use super::PlanReport;
use crate::plan::arithmetic::LegRow;
use crate::report::csv::text_cell;
use crate::units::Length;
use std::fmt::Write;

const HEADER: &str = "leg,kind,start_lat_deg,start_lon_deg,end_lat_deg,end_lon_deg,course_true_deg,\
course_magnetic_deg,length_nm,duration_s,cumulative_nm,cumulative_s,altitude_ft\r\n";

/// The table. Numbers carry their unit in the column's name; what is not known is empty.
#[must_use]
pub fn legs_csv(report: &PlanReport<'_>) -> String {
    let mut text = HEADER.to_owned();
    for row in report.rows {
        write_row(&mut text, row, report.height(row));
    }
    text
}

fn write_row(text: &mut String, row: &LegRow, height: Option<Length>) {
    let optional = |value: Option<f64>| value.map_or_else(String::new, |v| format!("{v:.1}"));
    // Writing to a String cannot fail.
    let _ = write!(
        text,
        "{},{},{:.7},{:.7},{:.7},{:.7},{:.1},{},{:.3},{:.1},{:.3},{:.1},{}\r\n",
        text_cell(&row.label),
        row.kind.name(),
        row.start.lat(),
        row.start.lon(),
        row.end.lat(),
        row.end.lon(),
        row.course.deg(),
        optional(row.course_magnetic_deg),
        row.length.nm(),
        row.duration_s,
        row.cumulative.nm(),
        row.cumulative_s,
        optional(height.map(Length::ft)),
    );
}
