//! Which files of a folder are tiles.

use super::unreadable;
use crate::input::InputError;
use std::path::{Path, PathBuf};

/// How the names of tiles end, in small letters.
const HGT: [&str; 3] = [".hgt", ".hgt.gz", ".hgt.zip"];
const GEOTIFF: [&str; 2] = [".tif", ".tiff"];

/// What is read as a tile, for hints.
pub(super) const ACCEPTED: &str = "a tile is a file like N46E011.hgt (one or three arc-seconds; also .hgt.gz and \
                                   .hgt.zip), or a GeoTIFF (.tif) in latitude and longitude, WGS 84";

/// The tile at `path`, or the tiles in the folder there, in the order of their names. Other files in it, and
/// other folders, are left alone.
pub(super) fn tiles(path: &Path) -> Result<Vec<PathBuf>, InputError> {
    let about = std::fs::metadata(path).map_err(|cause| unreadable(path, &cause))?;
    if !about.is_dir() {
        return named(path).map(|tile| vec![tile.to_owned()]);
    }
    let entries = std::fs::read_dir(path).map_err(|cause| unreadable(path, &cause))?;
    let mut tiles = Vec::new();
    for entry in entries {
        let file = entry.map_err(|cause| unreadable(path, &cause))?.path();
        if is_tile(&file) && file.is_file() {
            tiles.push(file);
        }
    }
    tiles.sort();
    if tiles.is_empty() {
        let problem = "the folder holds no tile of terrain";
        return Err(InputError::new(path, None, problem, ACCEPTED));
    }
    Ok(tiles)
}

/// A single file, if it is named as a tile is.
pub(super) fn named(file: &Path) -> Result<&Path, InputError> {
    if is_tile(file) {
        return Ok(file);
    }
    let problem = "the name of this file is not that of a tile of terrain";
    Err(InputError::new(file, None, problem, ACCEPTED))
}

fn is_tile(file: &Path) -> bool {
    ends(file, &HGT) || is_geotiff(file)
}

/// Whether a file is named as a GeoTIFF is.
pub(super) fn is_geotiff(file: &Path) -> bool {
    ends(file, &GEOTIFF)
}

fn ends(file: &Path, endings: &[&str]) -> bool {
    let name = file
        .file_name()
        .map(|name| name.to_string_lossy().to_ascii_lowercase());
    name.is_some_and(|name| {
        endings
            .iter()
            .any(|end| name.ends_with(end) && name != *end)
    })
}
