//! What stands beside the map: key figures, corners and compass.

use crate::geodesy::GarsCell;
use crate::plan::LegKind;
use crate::report::format::{
    count, declination, duration, ft, kt, nm, nm_figure, or_none, square_nm, three_digits,
};
use crate::report::plan::PlanReport;
use maud::{Markup, display, html};

/// The figures a crew is briefed with.
pub(super) fn key_figures(report: &PlanReport<'_>) -> Markup {
    let (tasking, plan) = (report.tasking, report.plan);
    let search = report.rows.iter().filter(|row| row.kind == LegKind::Search);
    let mut figures = vec![
        ("Search legs", count(search.count())),
        ("Track spacing S", nm(plan.spacing, 2)),
        ("Sweep width W", nm(tasking.detection.sweep_width, 2)),
        ("Ground speed", kt(tasking.flight.ground_speed, 0)),
    ];
    if let Some(last) = report.rows.last() {
        figures.push(("Distance", nm(last.cumulative, 1)));
        figures.push(("Time", duration(last.cumulative_s)));
    }
    figures.push(("Planned height", or_none(tasking.flight.altitude, ft)));
    figures.push(("Area", square_nm(plan.area.square_metres())));
    html! { dl { @for (name, value) in &figures { dt { (name) } dd { (value) } } } }
}

/// The corners with the way from each to the next.
pub(super) fn corners(report: &PlanReport<'_>) -> Markup {
    let outline = report.tasking.area.as_ref().map_or_else(
        || "the ground the pattern is made for".to_owned(),
        |area| area.shape.to_string(),
    );
    let centre = report.plan.frame.origin();
    html! {
        @if report.corners.is_empty() {
            p { "The area has no corners." }
        } @else {
            table {
                thead { tr {
                    th scope="col" { "" }
                    th scope="col" { "Position" }
                    th scope="col" { "GARS" }
                    th scope="col" { "To the next" }
                } }
                tbody { @for corner in report.corners { tr {
                    th scope="row" { (corner.letter) }
                    td { (display(corner.at)) }
                    td { (corner.gars) }
                    td {
                        (nm_figure(corner.to_next, 2)) " NM "
                        (three_digits(corner.course_to_next.deg())) "/"
                        (or_none(corner.course_to_next_magnetic_deg, three_digits))
                    }
                } } }
            }
        }
        p { "Area: " (outline) ". Middle " (display(centre)) ", GARS cell " (display(GarsCell::at(centre))) "." }
    }
}

/// The declination the magnetic courses rest on.
pub(super) fn compass(report: &PlanReport<'_>) -> Markup {
    let Some(used) = &report.plan.declination else {
        return html! {
            p { "No declination: the date is outside the magnetic model. Courses are true only." }
        };
    };
    html! {
        p {
            "Declination " (declination(used)) ", " (used.source) " for " (display(used.date))
            " at " (display(used.at)) "."
        }
        @if let Some(warning) = &used.warning { p.warning { (warning) } }
    }
}
