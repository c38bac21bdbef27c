//! `pod.tif` and `exposure.tif`: the raster of a debrief, or of a search, on the grid of a map.

use super::geotiff::geotiff;
use super::{File, RASTERS, ReportError};
use crate::coverage::OnMap;
use crate::debrief::Debrief;
use crate::detection::Law;
use crate::search::Search;

/// The rasters of a debrief. Under the definite-range law exposure has no number, and its file is left out.
pub(super) fn rasters(debrief: &Debrief) -> Result<Vec<File>, ReportError> {
    let coverage = &debrief.coverage;
    let on_map = OnMap::of(&coverage.raster)?;
    let law = coverage.law.name();
    let raster = |name, values: &[f32], about: String| {
        let bytes = geotiff(&on_map.grid, &on_map.values(values), &about)?;
        Ok::<_, ReportError>(File { name, bytes })
    };
    let pod = || {
        let about = format!("Probability of detection, 0 to 1, {law} law");
        raster(RASTERS[0], &coverage.raster.values, about)
    };
    let exposure = || {
        let defined = coverage.law != Law::DefiniteRange;
        let about = format!("Exposure, POD = 1 - exp(-exposure), {law} law");
        defined
            .then(|| raster(RASTERS[1], &coverage.exposure, about))
            .transpose()
    };
    let (pod, exposure) = rayon::join(pod, exposure);
    Ok([Some(pod?), exposure?].into_iter().flatten().collect())
}

/// The POD of all sorties of a search together.
///
/// # Errors
/// When the raster cannot be brought into the plane of a map or encoded.
pub fn pod_of_search(search: &Search) -> Result<File, ReportError> {
    let on_map = OnMap::of(&search.raster)?;
    let about = "Probability of detection of all sorties together, 0 to 1";
    Ok(File {
        name: RASTERS[0],
        bytes: geotiff(&on_map.grid, &on_map.values(&search.raster.values), about)?,
    })
}
