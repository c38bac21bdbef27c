//! A re-fly as the files of a plan: the tasking to fly and debrief it by, and what the crew takes along.

use super::File;
use super::plan::{PlanFileError, PlanReport, geojson, sheet};
use crate::refly::Refly;
use crate::refly::tasked::{FILE, Tasked};

/// Names of the files, which are there only where there is something to fly again.
pub const NAMES: [&str; 3] = [FILE, "refly.html", "refly.geojson"];

/// What is added to the list of the files written where these are not among them for want of anything to fly.
#[must_use]
pub fn none_of(refly: &Refly) -> &'static str {
    if refly.legs.is_empty() {
        "; nothing to fly again, so no refly.toml, refly.html, refly.geojson"
    } else {
        ""
    }
}

/// The files in which the legs of a re-fly stand, for people.
#[must_use]
pub fn named(tasked: Option<&Tasked>) -> String {
    let names = NAMES.into_iter().filter(|_| tasked.is_some());
    let names: Vec<&str> = names.chain(["refly.gpx"]).collect();
    names.join(", ")
}

/// The files; none where there is nothing to fly again.
///
/// # Errors
/// When one of them cannot be drawn up.
pub fn files(tasked: Option<&Tasked>) -> Result<Vec<File>, PlanFileError> {
    let Some(tasked) = tasked else {
        return Ok(Vec::new());
    };
    let report = PlanReport {
        tasking: &tasked.tasking,
        plan: &tasked.plan,
        rows: &tasked.rows,
        corners: &tasked.corners,
        preflight: &tasked.preflight,
    };
    let bytes = [
        tasked.text.clone().into_bytes(),
        sheet::plan_html(&report)?.into_bytes(),
        geojson::plan_geojson(&report)?,
    ];
    let named = NAMES.into_iter().zip(bytes);
    Ok(named.map(|(name, bytes)| File { name, bytes }).collect())
}
