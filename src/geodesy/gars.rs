//! Names of cells in the Global Area Reference System (GARS).
//!
//! CJCSI 3900.01C (30 June 2007), on WGS 84. A cell of 30' is named by three digits and two letters:
//! the band of longitude, 001 to 720 eastward from 180°, and the band of latitude, AA to QZ northward
//! from the south pole, in an alphabet without I and O. A digit then names the quadrant of 15'
//! (1 north-west, 2 north-east, 3 south-west, 4 south-east), and another the cell of 5' in it, laid
//! out as the keys of a telephone (1 north-west, 3 north-east, 9 south-east).

use super::{Position, graticule};

/// Letters of the bands of latitude.
const LETTERS: &[u8; 24] = b"ABCDEFGHJKLMNPQRSTUVWXYZ";
/// Cells of 5' in one of 30', along a side.
const FINE: u32 = 6;
const LON_BANDS: u32 = 720;
const LAT_BANDS: u32 = 360;

/// A cell of the grid.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct GarsCell {
    /// South edge, in steps of 5' from the south pole.
    south: u32,
    /// West edge, in steps of 5' eastward from 180°.
    west: u32,
    size: Size,
}

/// Side of a cell.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Size {
    Thirty,
    Fifteen,
    Five,
}

impl Size {
    const fn steps(self) -> u32 {
        match self {
            Self::Thirty => 6,
            Self::Fifteen => 3,
            Self::Five => 1,
        }
    }
}

/// A text that names no cell.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum GarsError {
    /// Wrong number of characters, or of a wrong kind.
    #[error("it is not three digits, two letters and up to two digits")]
    Shape,
    /// The band of longitude.
    #[error("its band of longitude {0} is not from 001 to 720")]
    Longitude(String),
    /// The band of latitude.
    #[error("its band of latitude {0} is not from AA to QZ, without the letters I and O")]
    Latitude(String),
    /// The quadrant.
    #[error("its quadrant {0} is not from 1 to 4")]
    Quadrant(char),
    /// The key.
    #[error("its last digit {0} is not from 1 to 9")]
    Key(char),
}

impl GarsCell {
    /// The cell of 5' in which a place lies. One on an edge belongs to the cell north or east of it,
    /// the north pole to the last band.
    #[must_use]
    pub fn at(position: Position) -> Self {
        // Degrees that mean a multiple of 5' are off by rounding; a billionth of a step is 9 µm.
        let step = |deg: f64| (deg * 12.0 + 1e-9).floor().max(0.0) as u32;
        Self {
            south: step(position.lat() + 90.0).min(LAT_BANDS * FINE - 1),
            west: step(position.lon() + 180.0) % (LON_BANDS * FINE),
            size: Size::Five,
        }
    }

    /// South, west, north and east edge, degrees; the eastern one up to 180.
    #[must_use]
    pub fn bounds(self) -> (f64, f64, f64, f64) {
        let side = self.size.steps();
        let lat = |steps: u32| f64::from(steps) / 12.0 - 90.0;
        let lon = |steps: u32| f64::from(steps) / 12.0 - 180.0;
        (
            lat(self.south),
            lon(self.west),
            lat(self.south + side),
            lon(self.west + side),
        )
    }

    /// Corners, from the south-west one counter-clockwise; see [`graticule::cell_corners`].
    #[must_use]
    pub fn corners(self) -> Vec<Position> {
        let (south, west, north, east) = self.bounds();
        graticule::cell_corners(south, west, north, east)
    }
}

impl std::str::FromStr for GarsCell {
    type Err = GarsError;

    /// Reads a name of 5, 6 or 7 characters; capitals do not matter.
    fn from_str(text: &str) -> Result<Self, GarsError> {
        let name = text.trim().to_ascii_uppercase();
        let (digits, letters, rest) = match name.as_bytes() {
            [a, b, c, d, e, rest @ ..] if rest.len() <= 2 => ([*a, *b, *c], [*d, *e], rest),
            _ => return Err(GarsError::Shape),
        };
        let fits = digits.iter().chain(rest).all(u8::is_ascii_digit)
            && letters.iter().all(u8::is_ascii_uppercase);
        if !fits {
            return Err(GarsError::Shape);
        }
        let band = digits
            .iter()
            .fold(0, |n, digit| 10 * n + u32::from(digit - b'0'));
        if !(1..=LON_BANDS).contains(&band) {
            return Err(GarsError::Longitude(name[..3].to_owned()));
        }
        let wrong_letters = || GarsError::Latitude(name[3..5].to_owned());
        let index = |letter: u8| LETTERS.iter().position(|l| *l == letter).map(|i| i as u32);
        let lat_band = index(letters[0])
            .zip(index(letters[1]))
            .map(|(first, second)| 24 * first + second)
            .filter(|band| *band < LAT_BANDS)
            .ok_or_else(wrong_letters)?;
        let mut cell = Self {
            south: lat_band * FINE,
            west: (band - 1) * FINE,
            size: Size::Thirty,
        };
        if let Some(quadrant) = rest.first() {
            if !(b'1'..=b'4').contains(quadrant) {
                return Err(GarsError::Quadrant(char::from(*quadrant)));
            }
            let index = u32::from(quadrant - b'1');
            cell.west += 3 * (index % 2);
            cell.south += 3 * (1 - index / 2);
            cell.size = Size::Fifteen;
        }
        if let Some(key) = rest.get(1) {
            if !(b'1'..=b'9').contains(key) {
                return Err(GarsError::Key(char::from(*key)));
            }
            let index = u32::from(key - b'1');
            cell.west += index % 3;
            cell.south += 2 - index / 3;
            cell.size = Size::Five;
        }
        Ok(cell)
    }
}

impl std::fmt::Display for GarsCell {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        let letter = |index: u32| char::from(LETTERS[index as usize % LETTERS.len()]);
        let (lat_band, north) = (self.south / FINE, self.south % FINE);
        let (lon_band, east) = (self.west / FINE, self.west % FINE);
        write!(
            f,
            "{:03}{}{}",
            lon_band + 1,
            letter(lat_band / 24),
            letter(lat_band % 24)
        )?;
        if self.size != Size::Thirty {
            write!(f, "{}", 1 + east / 3 + 2 * (1 - north / 3))?;
        }
        if self.size == Size::Five {
            write!(f, "{}", 1 + east % 3 + 3 * (2 - north % 3))?;
        }
        Ok(())
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn south_west_and_north_east(name: &str) -> [f64; 4] {
        let corners = name.parse::<GarsCell>().unwrap().corners();
        let lats = corners.iter().map(|c| c.lat());
        let lons = corners.iter().map(|c| c.lon());
        [
            lats.clone().fold(f64::INFINITY, f64::min),
            lons.clone().fold(f64::INFINITY, f64::min),
            lats.fold(f64::NEG_INFINITY, f64::max),
            lons.fold(f64::NEG_INFINITY, f64::max),
        ]
    }

    /// 57.64911, 10.40744 is 381NH45 in the example program of GeographicLib's class GARS; 001AA and
    /// 006AG are examples of the description of the grid. The rest by hand from the rules above.
    #[test]
    fn names_of_places() {
        for (lat, lon, name) in [
            (57.64911, 10.40744, "381NH45"),
            (0.0, 0.0, "361HN37"),
            (-90.0, -180.0, "001AA37"),
            (38.8895, -77.0353, "206LT26"),
            (-33.8688, 151.2093, "663ES36"),
            (45.0, -90.0, "181MG37"),
            (47.0 + 5.0 / 60.0, 12.0 + 10.0 / 60.0, "385ML36"),
            (90.0, 179.999, "720QZ23"),
        ] {
            let place = Position::new(lat, lon).unwrap();
            assert_eq!(GarsCell::at(place).to_string(), name, "{lat} {lon}");
        }
    }

    /// Bounds by hand from the rules above.
    #[test]
    fn bounds_of_cells() {
        for (name, bounds) in [
            (
                "381NH45",
                [
                    57.0 + 35.0 / 60.0,
                    10.0 + 20.0 / 60.0,
                    57.0 + 40.0 / 60.0,
                    10.0 + 25.0 / 60.0,
                ],
            ),
            ("006AG", [-87.0, -177.5, -86.5, -177.0]),
            ("006ag3", [-87.0, -177.5, -86.75, -177.25]),
            (
                "006AG39",
                [-87.0, -177.0 - 20.0 / 60.0, -87.0 + 5.0 / 60.0, -177.25],
            ),
            ("001AA", [-90.0, -180.0, -89.5, -179.5]),
        ] {
            let found = south_west_and_north_east(name);
            for (found, wanted) in found.iter().zip(bounds) {
                assert!((found - wanted).abs() < 1e-12, "{name}: {found} {wanted}");
            }
        }
    }

    #[test]
    fn says_what_is_wrong() {
        for (name, error) in [
            ("", "three digits"),
            ("381N", "three digits"),
            ("381NH456", "three digits"),
            ("38NNH45", "three digits"),
            ("381NH4x", "three digits"),
            ("3é1NH", "three digits"),
            ("000NH", "band of longitude 000"),
            ("721NH", "band of longitude 721"),
            ("381RA", "band of latitude RA"),
            ("381NI", "band of latitude NI"),
            ("381OH", "band of latitude OH"),
            ("381NH5", "quadrant 5"),
            ("381NH40", "last digit 0"),
        ] {
            let found = name.parse::<GarsCell>().unwrap_err().to_string();
            assert!(found.contains(error), "{name}: {found}");
        }
    }

    proptest! {
        /// A place lies in the cell of its name, and the name is read as it was printed.
        #[test]
        fn places_lie_in_their_cells(lat in -90.0..=90.0, lon in -180.0..180.0) {
            let cell = GarsCell::at(Position::new(lat, lon).unwrap());
            let name = cell.to_string();
            prop_assert_eq!(name.parse::<GarsCell>().unwrap(), cell);
            let (south, west) = (f64::from(cell.south) / 12.0 - 90.0, f64::from(cell.west) / 12.0 - 180.0);
            let slack = 1e-9;
            prop_assert!(south - slack <= lat && lat <= south + 1.0 / 12.0 + slack);
            prop_assert!(west - slack <= lon && lon <= west + 1.0 / 12.0 + slack);
        }
    }
}
