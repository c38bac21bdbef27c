//! Legs: planned, added and to be flown again.

use super::{Feature, Shape, degrees, metres, time};
use crate::debrief::Debrief;
use crate::geodesy::Position;
use crate::measure::{AdditionalLeg, LegReport};
use crate::plan::{Leg, LegKind};
use crate::refly::ReflyLeg;
use crate::report::geojson::round;
use crate::report::lonlat::along_leg;
use crate::report::palette::Ink;
use serde_json::{Value, json};

/// The planned search legs with what became of them.
pub(super) fn planned(debrief: &Debrief) -> Vec<Feature> {
    let search = of_kind(debrief, LegKind::Search);
    search
        .zip(&debrief.legs)
        .map(|(leg, report)| Feature {
            name: format!("Leg {}: {}", leg.label, report.state.name()),
            ink: Ink::Chalk,
            properties: [geometry(leg), figures(report)].concat(),
            shape: Shape::Line(along_leg(leg)),
            flown: None,
        })
        .collect()
}

/// The planned ways from one search leg to the next.
pub(super) fn cross(debrief: &Debrief) -> Vec<Feature> {
    of_kind(debrief, LegKind::Cross)
        .map(|leg| Feature {
            name: format!("Cross-leg {}", leg.label),
            ink: Ink::Chalk,
            properties: geometry(leg),
            shape: Shape::Line(along_leg(leg)),
            flown: None,
        })
        .collect()
}

fn of_kind(debrief: &Debrief, kind: LegKind) -> impl Iterator<Item = &Leg> {
    debrief.plan.legs.iter().filter(move |leg| leg.kind == kind)
}

fn geometry(leg: &Leg) -> Vec<(&'static str, Value)> {
    vec![
        ("leg", json!(leg.label)),
        ("length_m", metres(leg.length.m())),
        ("course_true_deg", degrees(leg.course.deg())),
        (
            "altitude_m",
            json!(leg.altitude.map(|height| metres(height.m()))),
        ),
    ]
}

fn figures(report: &LegReport) -> Vec<(&'static str, Value)> {
    let tracking = report.tracking.as_ref();
    vec![
        ("state", json!(report.state.name())),
        ("flown_share", json!(round(report.flown_share, 1e4))),
        (
            "unrecorded_share",
            json!(round(report.unrecorded_share, 1e4)),
        ),
        ("passes", json!(report.passes.len())),
        ("xte_mean_m", json!(tracking.map(|t| metres(t.mean.m())))),
        ("xte_sd_m", json!(tracking.map(|t| metres(t.sd.m())))),
        ("xte_rms_m", json!(tracking.map(|t| metres(t.rms.m())))),
        ("xte_p95_m", json!(tracking.map(|t| metres(t.p95.m())))),
        ("xte_max_m", json!(tracking.map(|t| metres(t.max.m())))),
        (
            "within_tolerance",
            json!(tracking.map(|t| round(t.within_tolerance, 1e4))),
        ),
    ]
}

/// The straight runs on no planned leg.
pub(super) fn additional(debrief: &Debrief) -> Vec<Feature> {
    let of = |leg: &AdditionalLeg| Feature {
        name: format!("Additional leg {}", leg.label),
        ink: Ink::AdditionalLeg,
        properties: vec![
            ("leg", json!(leg.label)),
            ("entered", time(leg.entered)),
            ("left", time(leg.left)),
            ("length_m", metres(leg.length.m())),
            ("course_true_deg", degrees(leg.course.deg())),
            ("nearest_leg", json!(leg.nearest_leg)),
            (
                "spacing_achieved_m",
                json!(leg.spacing_achieved.map(|spacing| metres(spacing.m()))),
            ),
        ],
        shape: between(leg.start, leg.end),
        flown: Some((leg.entered, leg.left)),
    };
    debrief.additional_legs.iter().map(of).collect()
}

/// The passes over the holes, in the order to fly.
pub(super) fn refly(debrief: &Debrief) -> Vec<Feature> {
    let of = |leg: &ReflyLeg| Feature {
        name: format!("{} over strip {}", leg.label, leg.mends.join(", ")),
        ink: Ink::Missed,
        properties: vec![
            ("leg", json!(leg.label)),
            ("mends", json!(leg.mends.join(", "))),
            ("cause", json!(leg.cause.name())),
            ("length_m", metres(leg.length.m())),
            ("course_true_deg", degrees(leg.course.deg())),
            (
                "altitude_m",
                json!(leg.altitude.map(|height| metres(height.m()))),
            ),
        ],
        shape: between(leg.start, leg.end),
        flown: None,
    };
    debrief.refly.legs.iter().map(of).collect()
}

/// The way from one place straight to another, as a leg is drawn.
fn between(start: Position, end: Position) -> Shape {
    Shape::Line(along_leg(&Leg::new("", LegKind::Search, start, end)))
}
