//! A debrief as files. This stage computes nothing: every figure is in the
//! [`Debrief`](crate::debrief::Debrief).

pub mod charts;
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
pub mod map;
pub mod palette;
pub mod plan_text;
pub mod table;
pub mod text;
pub mod timeline;

pub use folder::File;

use crate::debrief::Debrief;
use std::io;
use std::path::PathBuf;

/// A result that could not be written.
#[derive(Debug, thiserror::Error)]
#[error("{}: {problem}", .path.display())]
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
    /// The pictures, alone or in the page.
    #[error("the pictures cannot be drawn")]
    Draw(#[from] drawing::DrawError),
}

/// Every file of a debrief.
///
/// # Errors
/// When one of them cannot be drawn up.
pub fn files(debrief: &Debrief) -> Result<Vec<File>, ReportError> {
    Ok(vec![
        File {
            name: "report.html",
            bytes: html::report_html(debrief)?.into_bytes(),
        },
        File {
            name: "heatmap.png",
            bytes: heatmap::heatmap_png(debrief)?,
        },
        File {
            name: "xte.png",
            bytes: charts::xte_png(debrief)?,
        },
        File {
            name: "report.txt",
            bytes: text::report(debrief, text::Style::Plain).into_bytes(),
        },
        File {
            name: "debrief.json",
            bytes: json::json(debrief)?,
        },
        File {
            name: "legs.csv",
            bytes: csv::legs_csv(debrief).into_bytes(),
        },
        File {
            name: "strips.geojson",
            bytes: geojson::strips_geojson(debrief)?,
        },
        File {
            name: "refly.gpx",
            bytes: gpx::refly_gpx(debrief)?,
        },
    ])
}

/// What every picture says.
const fn cautions_line() -> &'static str {
    crate::cautions::DEBRIEF[0]
}

#[cfg(test)]
mod test_fixture;
