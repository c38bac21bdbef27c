//! A plan for the terminal and as JSON.

use super::format::{declination, duration, kt, nm, nm_figure, or_none};
use super::table::{Align::Left, Align::Right, table};
use super::wrap::hanging;
use crate::cautions;
use crate::geodesy::GarsCell;
use crate::plan::Plan;
use crate::plan::arithmetic::LegRow;
use crate::preflight::Preflight;
use crate::tasking::Tasking;
use serde_json::json;

/// The leg table with what a crew needs beside it.
#[must_use]
pub fn leg_table(tasking: &Tasking, plan: &Plan, rows: &[LegRow]) -> String {
    let mut text = format!(
        "Plan of {}, {}: {}, spacing {}\n",
        tasking.sortie,
        tasking.date,
        plan.pattern.name(),
        nm(plan.spacing, 2)
    );
    let magnetic = plan.declination.as_ref().map_or_else(
        || "no declination: the date is outside the magnetic model".to_owned(),
        |d| {
            format!(
                "declination {},\n  {} for {} at {}",
                declination(d),
                d.source,
                d.date,
                d.at
            )
        },
    );
    text.push_str(&magnetic);
    if let Some(first) = rows.first() {
        let cell = GarsCell::at(first.start);
        text.push_str(&format!("\nstart {} in GARS cell {cell}", first.start));
    }
    text.push_str("\n\n");
    let cells: Vec<Vec<String>> = rows
        .iter()
        .map(|row| {
            vec![
                row.label.clone(),
                row.start.to_string(),
                row.end.to_string(),
                three_digits(row.course.deg()),
                or_none(row.course_magnetic_deg, three_digits),
                nm_figure(row.length, 2),
                nm_figure(row.cumulative, 2),
                duration(row.cumulative_s),
            ]
        })
        .collect();
    text.push_str(&table(
        &[
            ("leg", Right),
            ("start", Left),
            ("end", Left),
            ("° T", Right),
            ("° M", Right),
            ("NM", Right),
            ("sum NM", Right),
            ("time", Right),
        ],
        &cells,
    ));
    text.push_str(&format!(
        "\ncourses at the start of the leg; times at {} over the ground, turns not counted\n",
        kt(tasking.flight.ground_speed, 0)
    ));
    for note in &plan.notes {
        text.push_str(&hanging("note: ", note));
    }
    text.push_str(&hanging("", cautions::SHORT));
    text
}

fn three_digits(deg: f64) -> String {
    // 359.7 rounds to 360, which is 0.
    format!("{:03}", deg.round() as u32 % 360)
}

/// The plan as JSON, documented in `docs/plan.md`.
#[must_use]
pub fn json(tasking: &Tasking, plan: &Plan, rows: &[LegRow], preflight: &Preflight) -> String {
    let value = json!({
        "schema": "overflown-plan/1",
        "version": env!("CARGO_PKG_VERSION"),
        "sortie": tasking.sortie,
        "date": tasking.date,
        "pattern": plan.pattern,
        "spacing_m": plan.spacing,
        "ground_speed_mps": tasking.flight.ground_speed,
        "area_source": tasking.area.as_ref().map(|area| area.shape.to_string()),
        "area_corners": plan.area.corners(),
        "area_m2": plan.area.square_metres(),
        "declination": plan.declination,
        "legs": rows,
        "notes": plan.notes,
        "preflight": preflight,
    });
    format!("{value:#}\n")
}
