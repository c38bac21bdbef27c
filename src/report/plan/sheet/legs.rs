//! The leg table.

use crate::plan::LegKind;
use crate::plan::arithmetic::LegRow;
use crate::report::format::{duration, ft_figure, kt, nm_figure, or_none, three_digits};
use crate::report::plan::PlanReport;
use maud::{Markup, display, html};

/// The table; its head is repeated on every page it runs over.
pub(super) fn legs(report: &PlanReport<'_>) -> Markup {
    // One height for all legs stands among the key figures.
    let heights = report.has_heights();
    let mut columns = vec![
        "Leg", "From", "To", "° T", "° M", "NM", "Time", "Sum NM", "Sum time",
    ];
    if heights {
        columns.push("Height, ft");
    }
    html! {
        table.legs {
            thead {
                // The sortie stands on every page, lest pages be mixed up.
                tr { th scope="colgroup" colspan=(columns.len()) {
                    (report.tasking.sortie) ", " (display(report.tasking.date))
                    ": courses true (° T) and magnetic (° M) at the start of the leg; times at "
                    (kt(report.tasking.flight.ground_speed, 0)) " over the ground, turns not counted"
                } }
                tr { @for column in &columns { th scope="col" { (column) } } }
            }
            tbody { @for row in report.rows { (leg(row, heights.then_some(report))) } }
        }
    }
}

fn leg(row: &LegRow, heights: Option<&PlanReport<'_>>) -> Markup {
    let class = (row.kind == LegKind::Cross).then_some("cross");
    html! {
        tr class=[class] {
            th scope="row" { (row.label) }
            td { (display(row.start)) }
            td { (display(row.end)) }
            td.course { (three_digits(row.course.deg())) }
            td.course { (or_none(row.course_magnetic_deg, three_digits)) }
            td { (nm_figure(row.length, 2)) }
            td { (duration(row.duration_s)) }
            td { (nm_figure(row.cumulative, 2)) }
            td { (duration(row.cumulative_s)) }
            @if let Some(report) = heights {
                td { (or_none(report.height(row), ft_figure)) }
            }
        }
    }
}
