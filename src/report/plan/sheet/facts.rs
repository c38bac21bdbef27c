//! What stands beside the map: key figures, corners and compass.

use crate::geodesy::GarsCell;
use crate::preflight::expected::LawPod;
use crate::preflight::{Expected, LegFigures};
use crate::report::format::{
    counted, declination, duration, figure, ft, kt, nm, or_none, percent, square_nm, three_digits,
};
use crate::report::plan::PlanReport;
use maud::{Markup, display, html};

/// The figures a crew is briefed with.
pub(super) fn key_figures(report: &PlanReport<'_>) -> Markup {
    let (tasking, plan) = (report.tasking, report.plan);
    let (legs, effort, expected) = (
        &report.preflight.legs,
        &report.preflight.effort,
        &report.preflight.expected,
    );
    let search_share = percent(effort.search_share);
    let mut figures = vec![
        ("Legs", leg_counts(legs)),
        ("Track spacing S", nm(plan.spacing, 2)),
        ("Sweep width W", nm(expected.sweep_width, 2)),
        ("Coverage factor", figure(expected.coverage_factor, 2)),
        ("Expected POD", pods(expected)),
        ("Distance", distances(legs)),
        (
            "Time on task",
            format!(
                "{} at {}",
                duration(legs.time_s),
                kt(effort.ground_speed, 0)
            ),
        ),
        (
            "Time on scene",
            format!(
                "{}, {search_share} of it searching",
                duration(legs.on_scene_s)
            ),
        ),
        ("Planned height", height(report)),
    ];
    if let (Some(out), Some(home)) = (effort.transit_out, effort.transit_home) {
        figures.push(("Base to start", nm(out, 1)));
        figures.push(("End to base", nm(home, 1)));
    }
    if let Some(airborne_s) = effort.airborne_s {
        figures.push(("Airborne", duration(airborne_s)));
    }
    if let Some(object) = &tasking.detection.search_object {
        figures.push(("Search object", object.clone()));
    }
    html! {
        dl { @for (name, value) in &figures { div { dt { (name) } dd { (value) } } } }
        @if let Some(note) = &expected.note { p { (note) } }
    }
}

fn leg_counts(legs: &LegFigures) -> String {
    let search = counted(legs.search_legs, "search leg");
    if legs.cross_legs == 0 {
        return search;
    }
    format!("{search}, {}", counted(legs.cross_legs, "cross-leg"))
}

/// The law of the tasking first.
fn pods(expected: &Expected) -> String {
    let own = |pod: &&LawPod| pod.law == expected.law;
    let others = expected.pod.iter().filter(|pod| pod.law != expected.law);
    let written: Vec<String> = expected
        .pod
        .iter()
        .filter(own)
        .chain(others)
        .map(|pod| {
            format!(
                "{}\u{a0}{}",
                percent(pod.pod),
                pod.law.name().replace(' ', "\u{a0}")
            )
        })
        .collect();
    written.join(", ")
}

fn height(report: &PlanReport<'_>) -> String {
    if report.has_heights() {
        return "see the legs".to_owned();
    }
    let tasked = report.tasking.flight.altitude;
    tasked.map_or_else(|| "not tasked".to_owned(), ft)
}

fn distances(legs: &LegFigures) -> String {
    if legs.cross_legs == 0 {
        return nm(legs.total, 1);
    }
    format!("{}, searching {}", nm(legs.total, 1), nm(legs.search, 1))
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
                    th scope="col" { "Corner" }
                    th scope="col" { "Position" }
                    th scope="col" { "GARS" }
                    th scope="col" { "To the next, ° T/° M" }
                } }
                tbody { @for corner in report.corners { tr {
                    th scope="row" { (corner.letter) }
                    td { (display(corner.at)) }
                    td { (corner.gars) }
                    td {
                        (nm(corner.to_next, 2)) " "
                        (three_digits(corner.course_to_next.deg())) "/"
                        (or_none(corner.course_to_next_magnetic_deg, three_digits))
                    }
                } } }
            }
        }
        p {
            "Area: " (outline) ", " (square_nm(report.preflight.extents.area_m2)) ". Middle "
            (display(centre)) ", GARS cell " (display(GarsCell::at(centre))) "."
        }
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
