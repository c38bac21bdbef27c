//! Tiles of one degree as raw samples: `N46E011.hgt`.
//!
//! The format of the Shuttle Radar Topography Mission, from its documentation ("SRTM Topography", NASA/USGS,
//! version 2.0 and later; from memory): 3601 rows of 3601 samples one arc-second apart, or 1201 of 1201
//! three arc-seconds apart, from the north-west corner eastwards and then southwards; two bytes each, signed,
//! the higher first; metres above the geoid EGM96; -32768 for a void. The outermost samples lie on the edges
//! of the tile, so neighbours share them. The name tells the south-west corner.

use super::folder::ACCEPTED;
use super::grid::{Shape, Window};
use super::{Content, sample_or_void, unreadable};
use crate::geodesy::Position;
use crate::input::InputError;
use flate2::read::MultiGzDecoder;
use std::io::{self, Read};
use std::path::Path;

/// Samples to a side of a tile of one and of three arc-seconds.
const SIDES: [usize; 2] = [3601, 1201];
/// Bytes of a sample.
const BYTES: usize = 2;

/// South-west corner of a tile, whole degrees.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Corner {
    lat: i16,
    lon: i16,
}

impl Corner {
    /// The ground of the tile, whatever the grid in it.
    pub(super) fn square(self) -> Shape {
        shape(self, 2)
    }
}

/// The corner that the name of a tile tells. More may stand in the name behind a full stop.
pub(super) fn corner(file: &Path) -> Result<Corner, InputError> {
    let name = file
        .file_name()
        .unwrap_or_default()
        .to_string_lossy()
        .to_ascii_uppercase();
    let first = name.split('.').next().unwrap_or_default();
    parse(first).ok_or_else(|| {
        InputError::new(
            file,
            None,
            "the name does not tell the south-west corner of the tile",
            ACCEPTED,
        )
    })
}

fn parse(name: &str) -> Option<Corner> {
    if name.len() != 7 || !name.is_ascii() {
        return None;
    }
    let number = |digits: &str| {
        let all_digits = digits.bytes().all(|byte| byte.is_ascii_digit());
        all_digits.then(|| digits.parse::<i16>().ok())?
    };
    let (lat, lon) = (number(&name[1..3])?, number(&name[4..7])?);
    let lat = match &name[..1] {
        "N" => lat,
        "S" => -lat,
        _ => return None,
    };
    let lon = match &name[3..4] {
        "E" => lon,
        "W" => -lon,
        _ => return None,
    };
    let on_earth = (-90..90).contains(&lat) && (-180..180).contains(&lon);
    on_earth.then_some(Corner { lat, lon })
}

/// Name of the tile that a place lies in.
pub(super) fn name_of(place: Position) -> String {
    let (lat, lon) = (place.lat().floor().min(89.0), place.lon().floor());
    let letter = |value: f64, letters: [char; 2]| letters[usize::from(value < 0.0)];
    format!(
        "{}{:02}{}{:03}",
        letter(lat, ['N', 'S']),
        lat.abs(),
        letter(lon, ['E', 'W']),
        lon.abs()
    )
}

fn shape(Corner { lat, lon }: Corner, side: usize) -> Shape {
    let step = 1.0 / (side - 1) as f64;
    Shape {
        north_deg: f64::from(lat) + 1.0,
        west_deg: f64::from(lon),
        row_deg: step,
        column_deg: step,
        rows: side,
        columns: side,
        margin: 0.0,
    }
}

/// The samples of a tile as bytes.
pub(super) struct Samples {
    side: usize,
    bytes: Vec<u8>,
}

impl Samples {
    /// Reads a tile, unpacking it if it is packed.
    pub(super) fn open(file: &Path, content: Content) -> Result<Self, InputError> {
        let largest = SIDES[0] * SIDES[0] * BYTES;
        let mut bytes = Vec::new();
        // One byte more than the largest tile has tells a wrong one, whatever it unpacks to.
        unpacked(file, content)?
            .take(largest as u64 + 1)
            .read_to_end(&mut bytes)
            .map_err(|cause| match cause.kind() {
                io::ErrorKind::UnexpectedEof
                | io::ErrorKind::InvalidInput
                | io::ErrorKind::InvalidData => damaged(file, &cause.to_string()),
                _ => unreadable(file, &cause),
            })?;
        let side = SIDES
            .into_iter()
            .find(|side| side * side * BYTES == bytes.len());
        let Some(side) = side else {
            let size = if bytes.len() > largest {
                format!("more than {largest}")
            } else {
                bytes.len().to_string()
            };
            return Err(InputError::new(
                file,
                None,
                format!("a tile of {size} bytes is none of 3601 by 3601 or 1201 by 1201 samples"),
                "fetch it again; 25934402 or 2884802 bytes are right, unpacked",
            ));
        };
        Ok(Self { side, bytes })
    }

    pub(super) fn shape(&self, corner: Corner) -> Shape {
        shape(corner, self.side)
    }

    /// Heights in a window, metres; NaN for a void.
    pub(super) fn read(&self, file: &Path, window: &Window) -> Result<Vec<f32>, InputError> {
        let mut values = Vec::with_capacity(window.samples());
        for row in window.rows.clone() {
            let first = (row * self.side + window.columns.start) * BYTES;
            let row = self.bytes.get(first..first + window.columns.len() * BYTES);
            let row = row.ok_or_else(|| damaged(file, "a row is missing"))?;
            let height = |pair: &[u8]| f32::from(i16::from_be_bytes([pair[0], pair[1]]));
            values.extend(row.chunks_exact(BYTES).map(height).map(sample_or_void));
        }
        Ok(values)
    }
}

/// The content of a tile: as it is, or out of gzip or the one tile of a ZIP archive.
fn unpacked(file: &Path, content: Content) -> Result<Box<dyn Read>, InputError> {
    let name = file
        .file_name()
        .unwrap_or_default()
        .to_string_lossy()
        .to_ascii_lowercase();
    if name.ends_with(".gz") {
        return Ok(Box::new(MultiGzDecoder::new(content)));
    }
    if !name.ends_with(".zip") {
        return Ok(content);
    }
    let mut archive =
        zip::ZipArchive::new(content).map_err(|cause| damaged(file, &cause.to_string()))?;
    let inside: Vec<usize> = (0..archive.len())
        .filter(|&index| {
            archive
                .name_for_index(index)
                .and_then(Result::ok)
                .is_some_and(|name| name.to_ascii_lowercase().ends_with(".hgt"))
        })
        .collect();
    let [only] = inside[..] else {
        return Err(InputError::new(
            file,
            None,
            format!("the archive holds {} files that end in .hgt", inside.len()),
            "one tile to an archive is read",
        ));
    };
    let largest = SIDES[0] * SIDES[0] * BYTES;
    let packed = archive
        .by_index(only)
        .map_err(|cause| damaged(file, &cause.to_string()))?;
    let mut bytes = Vec::new();
    packed
        .take(largest as u64 + 1)
        .read_to_end(&mut bytes)
        .map_err(|cause| damaged(file, &cause.to_string()))?;
    Ok(Box::new(io::Cursor::new(bytes)))
}

fn damaged(file: &Path, why: &str) -> InputError {
    InputError::new(
        file,
        None,
        format!("the tile cannot be unpacked or is damaged ({why})"),
        "fetch it again",
    )
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_tell_the_corner() {
        let of = |name: &str| corner(Path::new(name)).ok().map(|c| (c.lat, c.lon));
        assert_eq!(of("dem/N46E011.hgt"), Some((46, 11)));
        assert_eq!(of("s09w072.hgt.gz"), Some((-9, -72)));
        assert_eq!(of("N00E000.hgt"), Some((0, 0)));
        assert_eq!(of("S90W180.hgt"), Some((-90, -180)));
        assert_eq!(of("N46E011.SRTMGL1.hgt.zip"), Some((46, 11)));
        for wrong in [
            "N46E11.hgt",
            "46N011E.hgt",
            "N90E000.hgt",
            "N46E180.hgt",
            "X46E011.hgt",
            "N4+E011.hgt",
        ] {
            assert_eq!(of(wrong), None, "{wrong}");
        }
    }

    #[test]
    fn places_tell_the_name() {
        let of = |lat, lon| name_of(Position::new(lat, lon).unwrap());
        assert_eq!(of(46.5, 11.2), "N46E011");
        assert_eq!(of(-8.1, -71.3), "S09W072");
        assert_eq!(of(0.5, 180.0), "N00W180");
        assert_eq!(of(90.0, 0.0), "N89E000");
    }
}
