//! A search as files. As everywhere in this stage, every figure is in the
//! [`Search`].

pub mod geojson;
pub mod map;
pub mod page;
pub mod pictures;
pub mod text;
pub mod words;

use super::also::{self, Also};
use super::{File, ReportError, refly_files, refly_words};
use crate::plan::route_file;
use crate::search::Search;

/// Names of the files that are among those of a search only sometimes.
pub const SOMETIMES: [&str; 4] = [
    refly_words::FILES[0],
    refly_words::FILES[1],
    refly_words::FILES[2],
    Also::Rasters.files()[0],
];

/// Every file of a search, and those that are asked for as well.
///
/// # Errors
/// When one of them cannot be drawn up.
pub fn files(search: &Search, also: &[Also]) -> Result<Vec<File>, ReportError> {
    let mut json = serde_json::to_vec_pretty(search)?;
    json.push(b'\n');
    let description = format!(
        "{} over the holes of the search; not for navigation, to be checked by the crew",
        super::format::counted(search.refly.legs.len(), "leg")
    );
    let name = format!("{} re-fly", search.name);
    let mut files = vec![
        File {
            name: "search.txt",
            bytes: text::report(search).into_bytes(),
        },
        File {
            name: "search.html",
            bytes: page::search_html(search)?.into_bytes(),
        },
        File {
            name: "heatmap.png",
            bytes: pictures::heatmap_png(search)?,
        },
        File {
            name: "before-after.png",
            bytes: pictures::before_after_png(search)?,
        },
        File {
            name: "curve.png",
            bytes: pictures::curve_png(search)?,
        },
        File {
            name: "strips.geojson",
            bytes: geojson::strips_geojson(search)?,
        },
        File {
            name: "search.json",
            bytes: json,
        },
        File {
            name: "refly.gpx",
            bytes: route_file::to_gpx(&name, &description, &search.refly.route_points())?,
        },
    ];
    files.extend(refly_files::files(search.refly_tasked.as_ref())?);
    if also.contains(&Also::Rasters) {
        files.push(also::pod_of_search(search)?);
    }
    Ok(files)
}
