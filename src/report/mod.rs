//! A debrief as files. This stage computes nothing: every figure is in the
//! [`Debrief`](crate::debrief::Debrief).

pub mod also;
pub mod backdrop_words;
pub mod charts;
pub mod class;
pub mod columns;
pub mod csv;
pub mod drawing;
pub mod folder;
pub mod fonts;
pub mod format;
pub mod geojson;
pub mod gpx;
pub mod headline;
pub mod heatmap;
pub mod html;
pub mod inspect_text;
pub mod json;
mod kml;
mod log_words;
pub mod logbook;
mod lonlat;
pub mod map;
pub mod palette;
pub mod plan;
pub mod pod_band;
pub mod preflight_text;
pub mod refly_files;
pub mod refly_words;
pub mod review;
pub mod search;
pub mod sweep_width;
pub mod table;
pub mod text;
pub mod whole;
pub mod wrap;

pub use folder::File;

use crate::debrief::Debrief;
use drawing::Paper;
use geo::Rect;
use rayon::prelude::*;
use std::io;
use std::path::PathBuf;

/// A result that could not be written.
#[derive(Debug, thiserror::Error)]
#[error("{}: {problem}", crate::input::shown_path(.path))]
pub struct OutputError {
    /// The file or folder.
    pub path: PathBuf,
    /// What is wrong, in one sentence without a full stop.
    pub problem: String,
    /// What would do.
    pub hint: String,
    /// What the system said.
    #[source]
    pub cause: Option<io::Error>,
}

/// A report that could not be drawn up.
#[derive(Debug, thiserror::Error)]
pub enum ReportError {
    /// JSON or GeoJSON.
    #[error("the debrief cannot be written as JSON")]
    Json(#[from] serde_json::Error),
    /// GPX.
    #[error("the re-fly cannot be written as GPX")]
    Gpx(#[from] ::gpx::errors::GpxError),
    /// The table of all fixes.
    #[error(
        "the fixes cannot be written one by one: the debrief was told to keep none but those drawn"
    )]
    NotEvery,
    /// KML.
    #[error("the layers cannot be written as KML")]
    Kml(#[source] io::Error),
    /// The plane of a map.
    #[error("the rasters cannot be laid out: {0}")]
    MapPlane(#[from] crate::geodesy::MapPlaneError),
    /// GeoTIFF.
    #[error("the rasters cannot be written as GeoTIFF")]
    GeoTiff(#[from] tiff::TiffError),
    /// The pictures, alone or in the page.
    #[error("the pictures cannot be drawn")]
    Draw(#[from] drawing::DrawError),
    /// The plan of the re-fly.
    #[error("the re-fly cannot be written as a plan: {0}")]
    Refly(#[from] plan::PlanFileError),
}

/// Draws up one file; pictures on the paper given.
type Writer = fn(&Debrief, Paper) -> Result<Vec<u8>, ReportError>;

/// The files of every debrief, and what draws each of them up.
const FILES: [(&str, Writer); 8] = [
    ("report.html", |d, _| Ok(html::report_html(d)?.into_bytes())),
    ("report.txt", |d, _| {
        Ok(text::report(d, text::Style::Plain).into_bytes())
    }),
    ("heatmap.png", |d, paper| {
        Ok(heatmap::heatmap_png(d, paper)?)
    }),
    ("xte.png", |d, paper| Ok(charts::xte_png(d, paper)?)),
    ("debrief.json", |d, _| Ok(json::json(d)?)),
    ("legs.csv", |d, _| Ok(csv::legs_csv(d).into_bytes())),
    ("strips.geojson", |d, _| Ok(geojson::strips_geojson(d)?)),
    ("refly.gpx", |d, _| Ok(gpx::refly_gpx(d)?)),
];

/// The tasking file of an inferred plan, written where no tasking was given.
const INFERRED: &str = crate::infer::tasked::FILE;

/// Names of the files that are among those of a debrief only sometimes.
#[must_use]
pub fn sometimes() -> Vec<&'static str> {
    let refly = refly_words::FILES.into_iter();
    refly.chain([INFERRED]).chain(also::names()).collect()
}

/// Every file of a debrief that is always drawn up, side by side; those of the re-fly only where there is one. Those
/// that are asked for come from [`also::files`].
///
/// # Errors
/// When one of them cannot be drawn up.
pub fn files(debrief: &Debrief, paper: Paper) -> Result<Vec<File>, ReportError> {
    let mut files: Vec<File> = FILES
        .par_iter()
        .map(|(name, write)| {
            let bytes = write(debrief, paper)?;
            Ok::<_, ReportError>(File { name, bytes })
        })
        .collect::<Result<_, _>>()?;
    files.extend(refly_files::files(debrief.refly_tasked.as_ref())?);
    files.extend(debrief.inferred_tasking.as_ref().map(|text| File {
        name: INFERRED,
        bytes: text.clone().into_bytes(),
    }));
    Ok(files)
}

/// Every file of a debrief, with those that are asked for.
///
/// # Errors
/// When one of them cannot be drawn up.
pub fn all_files(
    debrief: &Debrief,
    wanted: &[also::Also],
    paper: Paper,
) -> Result<Vec<File>, ReportError> {
    let mut files = files(debrief, paper)?;
    files.extend(also::files(debrief, wanted, paper)?);
    Ok(files)
}

/// The ground that the map of a debrief shows, metres in the plane of its raster: what a backdrop has to cover.
#[must_use]
pub fn ground_of_map(debrief: &Debrief) -> Rect<f64> {
    html::ground_of_map(debrief)
}

/// What every picture says.
const fn cautions_line() -> &'static str {
    crate::cautions::DEBRIEF[0]
}

#[cfg(test)]
mod test_fixture;
