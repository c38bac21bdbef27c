//! A plan for the terminal and as JSON.

use super::format::{course, declination, duration, kt, nm, or_none};
use super::table::{Align::Left, Align::Right, table};
use crate::cautions;
use crate::geodesy::GarsCell;
use crate::plan::Plan;
use crate::plan::arithmetic::LegRow;
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
                "declination {}, {} for {} at {}",
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
                course(row.course),
                or_none(row.course_magnetic_deg, |deg| {
                    format!("{:03}° M", deg.round() as u32 % 360)
                }),
                nm(row.length, 2),
                nm(row.cumulative, 2),
                duration(row.cumulative_s),
            ]
        })
        .collect();
    text.push_str(&table(
        &[
            ("leg", Right),
            ("start", Left),
            ("end", Left),
            ("true", Right),
            ("magnetic", Right),
            ("length", Right),
            ("sum", Right),
            ("time", Right),
        ],
        &cells,
    ));
    text.push_str(&format!(
        "\ntimes at {} over the ground, turns not counted\n",
        kt(tasking.flight.ground_speed, 0)
    ));
    for note in &plan.notes {
        text.push_str(&format!("note: {note}\n"));
    }
    text.push_str(&format!("{}\n", cautions::SHORT));
    text
}

/// The plan as JSON.
#[must_use]
pub fn json(tasking: &Tasking, plan: &Plan, rows: &[LegRow]) -> String {
    let value = json!({
        "schema": "overflown-plan/1",
        "version": env!("CARGO_PKG_VERSION"),
        "sortie": tasking.sortie,
        "date": tasking.date,
        "pattern": plan.pattern,
        "spacing_m": plan.spacing,
        "ground_speed_mps": tasking.flight.ground_speed,
        "area_corners": plan.area.corners(),
        "area_m2": plan.area.square_metres(),
        "declination": plan.declination,
        "legs": rows,
        "notes": plan.notes,
    });
    format!("{value:#}\n")
}
