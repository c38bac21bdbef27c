//! A plan as files for the crew and its equipment. This stage computes nothing: every figure is in
//! the plan, its leg table, its corners or the preflight.
//!
//! ```text
//! PlanReport ─► sheet (plan.html), route_file (route.gpx), kml, geojson, csv, json, text → folder
//! ```

pub mod csv;
pub mod geojson;
pub mod json;
pub mod kml;
pub mod sheet;
pub mod text;

use super::{File, drawing};
use crate::plan::arithmetic::LegRow;
use crate::plan::survey::AreaCorner;
use crate::plan::{Plan, route_file};
use crate::preflight::Preflight;
use crate::tasking::Tasking;
use crate::units::Length;

/// What the files of a plan are drawn up from.
#[derive(Clone, Copy, Debug)]
pub struct PlanReport<'a> {
    /// What was tasked.
    pub tasking: &'a Tasking,
    /// The tasking laid out.
    pub plan: &'a Plan,
    /// Its leg table, one row a leg.
    pub rows: &'a [LegRow],
    /// The corners of its area.
    pub corners: &'a [AreaCorner],
    /// The arithmetic beside it.
    pub preflight: &'a Preflight,
}

impl PlanReport<'_> {
    /// Whether legs have heights of their own.
    fn has_heights(&self) -> bool {
        self.rows.iter().any(|row| row.altitude.is_some())
    }

    /// Height planned for a leg: its own, or the tasked one where no leg has its own.
    fn height(&self, row: &LegRow) -> Option<Length> {
        let tasked = self.tasking.flight.altitude;
        row.altitude.or(tasked.filter(|_| !self.has_heights()))
    }
}

/// A file of a plan that could not be drawn up.
#[derive(Debug, thiserror::Error)]
pub enum PlanFileError {
    /// JSON or GeoJSON.
    #[error("the plan cannot be written as JSON")]
    Json(#[from] serde_json::Error),
    /// GPX.
    #[error("the route cannot be written as GPX")]
    Gpx(#[from] ::gpx::errors::GpxError),
    /// KML.
    #[error("the plan cannot be written as KML")]
    Kml(#[from] std::io::Error),
    /// The map of the sheet.
    #[error("the map cannot be drawn")]
    Draw(#[from] drawing::DrawError),
}

/// Draws up one file.
type Writer = fn(&PlanReport<'_>) -> Result<Vec<u8>, PlanFileError>;

/// The files of a plan, and what draws each of them up.
const FILES: [(&str, Writer); 7] = [
    ("plan.html", |r| Ok(sheet::plan_html(r)?.into_bytes())),
    ("route.gpx", route_gpx),
    ("plan.kml", |r| Ok(kml::plan_kml(r)?)),
    ("plan.geojson", |r| Ok(geojson::plan_geojson(r)?)),
    ("legs.csv", |r| Ok(csv::legs_csv(r).into_bytes())),
    ("plan.json", |r| Ok(json::plan_json(r)?.into_bytes())),
    ("plan.txt", |r| Ok(text::leg_table(r).into_bytes())),
];

/// Every file of a plan.
///
/// # Errors
/// When one of them cannot be drawn up.
pub fn files(report: &PlanReport<'_>) -> Result<Vec<File>, PlanFileError> {
    FILES
        .iter()
        .map(|(name, write)| {
            let bytes = write(report)?;
            Ok(File { name, bytes })
        })
        .collect()
}

/// `route.gpx`: the search legs as a GPX 1.1 route.
fn route_gpx(report: &PlanReport<'_>) -> Result<Vec<u8>, PlanFileError> {
    let plan = report.plan;
    let description = format!(
        "{}, spacing {:.2} NM",
        plan.pattern.name(),
        plan.spacing.nm()
    );
    let points = route_file::plan_points(plan);
    Ok(route_file::to_gpx(
        &report.tasking.sortie,
        &description,
        &points,
    )?)
}
