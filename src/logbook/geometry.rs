//! Lines as a GeoPackage holds them (OGC 12-128r19, clause on the BLOB format of geometries): a header with the bounds,
//! then well-known binary, both little endian.

use crate::geodesy::Position;
use crate::units::wrap_180;

/// Longitude and latitude on WGS 84, as EPSG numbers it.
pub(super) const SRS: i32 = 4326;
/// Of the header: little endian, with the bounds of x and y.
const FLAGS: u8 = 0b0000_0011;
/// Byte of the header at which the bounds begin: after the magic, version, flags and reference system.
const BOUNDS_AT: usize = 8;
/// The code of a line in well-known binary.
const LINE: u32 = 2;

/// West, south, east and north of what lies in them, degrees.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Bounds {
    pub west: f64,
    pub south: f64,
    pub east: f64,
    pub north: f64,
}

impl Bounds {
    fn of(places: &[(f64, f64)]) -> Option<Self> {
        let points = places.iter().map(|&(lon, lat)| Self {
            west: lon,
            south: lat,
            east: lon,
            north: lat,
        });
        points.reduce(Self::with)
    }

    /// Those of both.
    pub fn with(self, other: Self) -> Self {
        Self {
            west: self.west.min(other.west),
            south: self.south.min(other.south),
            east: self.east.max(other.east),
            north: self.north.max(other.north),
        }
    }

    /// Those in the header of a line written by [`line`]; `None` if it is none.
    pub fn in_header(blob: &[u8]) -> Option<Self> {
        if !blob.starts_with(&[b'G', b'P', 0, FLAGS]) {
            return None;
        }
        let number = |index: usize| {
            let at = BOUNDS_AT + 8 * index;
            let bytes = blob.get(at..at + 8)?.try_into().ok()?;
            Some(f64::from_le_bytes(bytes)).filter(|number| number.is_finite())
        };
        Some(Self {
            west: number(0)?,
            east: number(1)?,
            south: number(2)?,
            north: number(3)?,
        })
    }
}

/// A line with its bounds; `None` where there are fewer than two places. One that crosses the antimeridian stays in one
/// piece: its longitudes go on past 180°.
pub(super) fn line(positions: &[Position]) -> Option<(Vec<u8>, Bounds)> {
    if positions.len() < 2 {
        return None;
    }
    let places = unbroken(positions);
    let bounds = Bounds::of(&places)?;
    let mut blob = Vec::with_capacity(49 + 16 * places.len());
    blob.extend(b"GP");
    blob.extend([0, FLAGS]);
    blob.extend(SRS.to_le_bytes());
    for number in [bounds.west, bounds.east, bounds.south, bounds.north] {
        blob.extend(number.to_le_bytes());
    }
    blob.push(1);
    blob.extend(LINE.to_le_bytes());
    blob.extend(u32::try_from(places.len()).ok()?.to_le_bytes());
    for (lon, lat) in places {
        blob.extend(lon.to_le_bytes());
        blob.extend(lat.to_le_bytes());
    }
    Some((blob, bounds))
}

/// Longitudes and latitudes without a jump of a whole turn between two of them.
fn unbroken(positions: &[Position]) -> Vec<(f64, f64)> {
    let mut before: Option<f64> = None;
    positions
        .iter()
        .map(|at| {
            let lon = match before {
                // The same digits as in the debrief wherever no antimeridian is crossed.
                Some(lon) if (at.lon() - lon).abs() > 180.0 => lon + wrap_180(at.lon() - lon),
                _ => at.lon(),
            };
            before = Some(lon);
            (lon, at.lat())
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn at(lat: f64, lon: f64) -> Position {
        Position::new(lat, lon).unwrap()
    }

    /// Byte for byte as the two standards lay it out (from memory).
    #[test]
    fn a_line_byte_for_byte() {
        let (blob, _) = line(&[at(47.0, 12.0), at(46.5, 12.25)]).unwrap();
        let mut expected = b"GP\x00\x03\xe6\x10\x00\x00".to_vec();
        for number in [12.0f64, 12.25, 46.5, 47.0] {
            expected.extend(number.to_le_bytes());
        }
        expected.extend(b"\x01\x02\x00\x00\x00\x02\x00\x00\x00");
        for number in [12.0f64, 47.0, 12.25, 46.5] {
            expected.extend(number.to_le_bytes());
        }
        assert_eq!(blob, expected);
        assert_eq!(Bounds::in_header(&blob).unwrap().east, 12.25);
        assert_eq!(Bounds::in_header(&blob[..30]), None);
        assert_eq!(Bounds::in_header(b"GP\x00\x01"), None);
    }

    #[test]
    fn a_line_across_the_antimeridian_goes_on() {
        let (_, bounds) = line(&[at(1.0, 179.5), at(1.0, -179.5), at(2.0, 179.75)]).unwrap();
        assert_eq!((bounds.west, bounds.east), (179.5, 180.5));
        let (_, bounds) = line(&[at(1.0, -179.5), at(1.0, 179.5)]).unwrap();
        assert_eq!((bounds.west, bounds.east), (-180.5, -179.5));
    }

    #[test]
    fn one_place_is_no_line() {
        assert!(line(&[at(1.0, 2.0)]).is_none() && line(&[]).is_none());
    }
}
