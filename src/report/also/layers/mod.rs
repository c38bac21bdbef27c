//! `layers.geojson` and `layers.kml`: what was planned, what was flown and what is missing, as layers of a map.

mod geojson;
mod kml;
mod legs;
mod track;

pub use geojson::geojson;
pub use kml::kml;

use crate::coverage::{HoleCause, Strip};
use crate::debrief::Debrief;
use crate::geodesy::Position;
use crate::report::geojson::round;
use crate::report::lonlat::{line_parts, ring_parts};
use crate::report::palette::Ink;
use chrono::{DateTime, SecondsFormat, Utc};
use serde_json::{Value, json};

/// Features of a kind.
#[derive(Debug)]
pub struct Layer {
    /// Its name.
    pub name: &'static str,
    /// What each of its features is.
    pub what: &'static str,
    /// The features, in order.
    pub features: Vec<Feature>,
}

/// One thing on the map.
#[derive(Debug)]
pub struct Feature {
    /// Its name.
    pub name: String,
    /// What it is drawn in.
    ink: Ink,
    /// What is known of it.
    pub properties: Vec<(&'static str, Value)>,
    /// Where it is.
    pub shape: Shape,
    /// When it was flown, where it was.
    pub flown: Option<(DateTime<Utc>, DateTime<Utc>)>,
}

impl Feature {
    /// Whether it has a length on the map: an aircraft that only stood has none.
    fn is_drawn(&self) -> bool {
        match &self.shape {
            Shape::Area(corners) => !ring_parts(corners).is_empty(),
            Shape::Line(positions) => !line_parts(positions).is_empty(),
        }
    }
}

/// Where a feature is.
#[derive(Debug)]
pub enum Shape {
    /// A ring of corners, not repeating the first.
    Area(Vec<Position>),
    /// A line.
    Line(Vec<Position>),
}

/// The layers of a debrief; those without features are there as well.
#[must_use]
pub fn of(debrief: &Debrief) -> Vec<Layer> {
    let layer = |name, what, features| Layer {
        name,
        what,
        features,
    };
    let strips = || debrief.strips.iter();
    vec![
        layer("Search area", "search area", vec![search_area(debrief)]),
        layer("Strips", "strip", strips().map(strip).collect()),
        layer("Holes", "hole", strips().flat_map(holes).collect()),
        layer("Planned legs", "planned leg", legs::planned(debrief)),
        layer("Cross-legs", "cross-leg", legs::cross(debrief)),
        layer("Flown track", "flown track", track::flown(debrief)),
        layer("Not recorded", "not recorded", track::not_recorded(debrief)),
        layer(
            "Out of the area",
            "out of the area",
            track::outside(debrief),
        ),
        layer(
            "Additional legs",
            "additional leg",
            legs::additional(debrief),
        ),
        layer("Re-fly legs", "re-fly leg", legs::refly(debrief)),
    ]
}

fn search_area(debrief: &Debrief) -> Feature {
    let coverage = &debrief.coverage;
    Feature {
        name: "Search area".to_owned(),
        ink: Ink::Text,
        properties: vec![
            ("area_m2", json!(coverage.area_m2.round())),
            ("pod", json!(round(coverage.pod_band.pod, 1e4))),
            ("law", json!(coverage.law)),
            ("target_pod", json!(round(coverage.target_pod, 1e4))),
            (
                "share_at_target",
                json!(round(coverage.share_at_target, 1e4)),
            ),
        ],
        shape: Shape::Area(debrief.plan.area_corners.clone()),
        flown: None,
    }
}

fn strip(strip: &Strip) -> Feature {
    Feature {
        name: format!("Strip {}", strip.leg),
        ink: Ink::Tolerance,
        properties: vec![
            ("leg", json!(strip.leg)),
            ("area_m2", json!(strip.area_m2.round())),
            ("share_at_target", json!(round(strip.share_at_target, 1e4))),
            ("mean_pod", json!(round(strip.mean_pod, 1e4))),
            ("lowest_pod", json!(round(strip.lowest_pod, 1e4))),
            ("needs_refly", json!(strip.needs_refly())),
        ],
        shape: Shape::Area(strip.outline.clone()),
        flown: None,
    }
}

fn holes(strip: &Strip) -> impl Iterator<Item = Feature> {
    strip.holes.iter().map(|hole| Feature {
        name: format!("Hole in strip {}: {}", hole.leg, hole.cause.name()),
        ink: match hole.cause {
            HoleCause::Missed => Ink::Missed,
            HoleCause::NotRecorded => Ink::NotRecorded,
        },
        properties: vec![
            ("leg", json!(hole.leg)),
            ("cause", json!(hole.cause.name())),
            ("from_m", metres(hole.span.from.m())),
            ("to_m", metres(hole.span.to.m())),
            ("area_m2", json!(hole.area_m2.round())),
            ("mean_pod", json!(round(hole.mean_pod, 1e4))),
        ],
        shape: Shape::Area(hole.outline.clone()),
        flown: None,
    })
}

/// To a tenth of a metre.
fn metres(m: f64) -> Value {
    json!(round(m, 1e1))
}

/// To a tenth of a degree.
fn degrees(deg: f64) -> Value {
    json!(round(deg, 1e1) % 360.0)
}

/// To a tenth of a second.
fn seconds(s: f64) -> Value {
    json!(round(s, 1e1))
}

fn time(time: DateTime<Utc>) -> Value {
    json!(time.to_rfc3339_opts(SecondsFormat::AutoSi, true))
}
