//! Files of a debrief that are drawn up only when asked for: what other programs work on with, and more pictures.

mod fixes;
pub mod geotiff;
pub mod layers;
mod pictures;
mod rasters;

pub use fixes::fixes_csv;
pub use rasters::pod_of_search;

use super::drawing::Paper;
use super::{File, ReportError};
use crate::debrief::Debrief;
use crate::detection::Law;
use crate::measure::Kept;

/// A group of such files.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Also {
    /// Area, legs, strips, holes and track as map layers.
    Layers,
    /// POD and exposure as rasters.
    Rasters,
    /// The flight fix by fix as a table.
    Fixes,
    /// Pictures as SVG, and those that are not among the usual ones.
    Pictures,
}

impl Also {
    /// All of them.
    pub const ALL: [Self; 4] = [Self::Layers, Self::Rasters, Self::Fixes, Self::Pictures];
    /// Those that a search of several sorties has.
    pub const OF_SEARCH: [Self; 1] = [Self::Rasters];

    /// Its name.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::Layers => "layers",
            Self::Rasters => "rasters",
            Self::Fixes => "fixes",
            Self::Pictures => "pictures",
        }
    }

    /// Names of its files.
    #[must_use]
    pub const fn files(self) -> &'static [&'static str] {
        match self {
            Self::Layers => &LAYERS,
            Self::Rasters => &RASTERS,
            Self::Fixes => &FIXES,
            Self::Pictures => &pictures::FILES,
        }
    }
}

const LAYERS: [&str; 2] = ["layers.geojson", "layers.kml"];
const RASTERS: [&str; 2] = ["pod.tif", "exposure.tif"];
const FIXES: [&str; 1] = ["fixes.csv"];

/// Names of all such files.
pub fn names() -> impl Iterator<Item = &'static str> {
    Also::ALL.into_iter().flat_map(Also::files).copied()
}

/// Which fixes a debrief has to keep for the files asked for.
#[must_use]
pub fn kept(wanted: &[Also]) -> Kept {
    if wanted.contains(&Also::Fixes) {
        Kept::Every
    } else {
        Kept::Drawn
    }
}

/// The files asked for; pictures on the paper given.
///
/// # Errors
/// When one of them cannot be drawn up.
pub fn files(debrief: &Debrief, wanted: &[Also], paper: Paper) -> Result<Vec<File>, ReportError> {
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
            Also::Fixes if !debrief.flown.is_whole() => return Err(ReportError::NotEvery),
            Also::Fixes => files.push(File {
                name: FIXES[0],
                bytes: fixes_csv(&debrief.flown),
            }),
            Also::Pictures => files.extend(pictures::pictures(debrief, paper)?),
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
