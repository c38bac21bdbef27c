//! `plan.txt`, and what `plan` prints: the leg table.

use super::PlanReport;
use crate::cautions;
use crate::characters::visible;
use crate::geodesy::GarsCell;
use crate::report::format::{
    declination, duration, ft_figure, kt, nm, nm_figure, or_none, three_digits,
};
use crate::report::table::{Align::Left, Align::Right, table};
use crate::report::wrap::hanging;

/// The leg table with what a crew needs beside it.
#[must_use]
pub fn leg_table(report: &PlanReport<'_>) -> String {
    let PlanReport {
        tasking,
        plan,
        rows,
        ..
    } = *report;
    let mut text = format!(
        "Plan of {}, {}: {}, spacing {}\n",
        visible(&tasking.sortie),
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
    // A column of heights only where legs have heights of their own.
    let heights = rows.iter().any(|row| row.altitude.is_some());
    let cells: Vec<Vec<String>> = rows
        .iter()
        .map(|row| {
            let height = heights.then(|| or_none(row.altitude, ft_figure));
            let cells = vec![
                row.label.clone(),
                row.start.to_string(),
                row.end.to_string(),
                three_digits(row.course.deg()),
                or_none(row.course_magnetic_deg, three_digits),
                nm_figure(row.length, 2),
                nm_figure(row.cumulative, 2),
                duration(row.cumulative_s),
            ];
            cells.into_iter().chain(height).collect()
        })
        .collect();
    let columns = [
        ("leg", Right),
        ("start", Left),
        ("end", Left),
        ("° T", Right),
        ("° M", Right),
        ("NM", Right),
        ("sum NM", Right),
        ("time", Right),
        ("ft", Right),
    ];
    let shown = columns.len() - usize::from(!heights);
    text.push_str(&table(&columns[..shown], &cells));
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
