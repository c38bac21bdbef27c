//! Files of a debrief that are drawn up only when asked for: what other programs work on with.

mod fixes;
pub mod geotiff;
pub mod layers;
mod rasters;

pub use fixes::fixes_csv;
pub use rasters::pod_of_search;

use super::{File, ReportError};
use crate::debrief::Debrief;
use crate::detection::Law;

/// A group of such files.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Also {
    /// Area, legs, strips, holes and track as map layers.
    Layers,
    /// POD and exposure as rasters.
    Rasters,
    /// The flight fix by fix as a table.
    Fixes,
}

impl Also {
    /// All of them.
    pub const ALL: [Self; 3] = [Self::Layers, Self::Rasters, Self::Fixes];
    /// Those that a search of several sorties has.
    pub const OF_SEARCH: [Self; 1] = [Self::Rasters];

    /// Its name.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::Layers => "layers",
            Self::Rasters => "rasters",
            Self::Fixes => "fixes",
        }
    }

    /// Names of its files.
    #[must_use]
    pub const fn files(self) -> &'static [&'static str] {
        match self {
            Self::Layers => &LAYERS,
            Self::Rasters => &RASTERS,
            Self::Fixes => &FIXES,
        }
    }
}

const LAYERS: [&str; 2] = ["layers.geojson", "layers.kml"];
const RASTERS: [&str; 2] = ["pod.tif", "exposure.tif"];
const FIXES: [&str; 1] = ["fixes.csv"];

/// Names of all such files.
pub const FILES: [&str; 5] = [LAYERS[0], LAYERS[1], RASTERS[0], RASTERS[1], FIXES[0]];

/// The files asked for.
///
/// # Errors
/// When one of them cannot be drawn up.
pub fn files(debrief: &Debrief, wanted: &[Also]) -> Result<Vec<File>, ReportError> {
    let mut files = Vec::new();
    for also in Also::ALL {
        if !wanted.contains(&also) {
            continue;
        }
        match also {
            Also::Layers => {
                let layers = layers::of(debrief);
                files.push(File {
                    name: LAYERS[0],
                    bytes: layers::geojson(&layers)?,
                });
                files.push(File {
                    name: LAYERS[1],
                    bytes: layers::kml(debrief, &layers).map_err(ReportError::Kml)?,
                });
            }
            Also::Rasters => files.extend(rasters::rasters(debrief)?),
            Also::Fixes => files.push(File {
                name: FIXES[0],
                bytes: fixes_csv(&debrief.flown),
            }),
        }
    }
    Ok(files)
}

/// What is to be said of a file that was asked for and is not there.
#[must_use]
pub fn left_out(debrief: &Debrief, wanted: &[Also]) -> Option<&'static str> {
    (wanted.contains(&Also::Rasters) && debrief.coverage.law == Law::DefiniteRange).then_some(
        "no exposure.tif: under the definite-range law exposure is nothing or without limit, and pod.tif tells which",
    )
}
