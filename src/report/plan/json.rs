//! `plan.json`, and what `plan --json` prints: the plan in SI units, documented in
//! `docs/plan.md`.

use super::PlanReport;
use crate::geodesy::GarsCell;
use serde_json::json;

/// The plan as JSON.
///
/// # Errors
/// Only if serialisation itself fails, which for this value it does not.
pub fn plan_json(report: &PlanReport<'_>) -> Result<String, serde_json::Error> {
    let PlanReport {
        tasking,
        plan,
        rows,
        corners,
        preflight,
    } = *report;
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
        "area_centre": plan.frame.origin(),
        "area_centre_gars": GarsCell::at(plan.frame.origin()).to_string(),
        "corners_to_survey": corners,
        "declination": plan.declination,
        "legs": rows,
        "notes": plan.notes,
        "preflight": preflight,
    });
    Ok(format!("{}\n", serde_json::to_string_pretty(&value)?))
}
