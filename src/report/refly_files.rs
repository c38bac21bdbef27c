//! A re-fly as the files of a plan: the tasking to fly and debrief it by, and what the crew takes along.

use super::File;
use super::plan::{PlanFileError, PlanReport, geojson, sheet};
use super::refly_words::FILES;
use crate::refly::tasked::Tasked;

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
    let named = FILES.into_iter().zip(bytes);
    Ok(named.map(|(name, bytes)| File { name, bytes }).collect())
}
