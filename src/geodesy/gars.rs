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

/// A text that names no cell: what is wrong with it, and the nearest name, if one can be told.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[error("{part}")]
pub struct GarsError {
    /// The part that is wrong.
    pub part: GarsPart,
    /// The nearest name of a cell; `None` where a part is missing.
    pub nearest: Option<String>,
}

/// The part of a name that is wrong.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum GarsPart {
    /// Not digits, then letters, then digits.
    #[error("it is not three digits, two letters and up to two digits")]
    Shape,
    /// Another number of digits before the letters.
    #[error("it begins with {0} digit(s), not with three for the band of longitude")]
    LeadingDigits(usize),
    /// Another number of letters.
    #[error("it has {0} letter(s), not two, for the band of latitude")]
    Letters(usize),
    /// Too many digits after the letters.
    #[error("it ends in {0} digits; a quadrant and a key make two at most")]
    TrailingDigits(usize),
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

/// Digits, letters and digits of a name.
struct Parts<'n> {
    leading: &'n str,
    letters: &'n str,
    trailing: &'n str,
}

impl<'n> Parts<'n> {
    fn of(name: &'n str) -> Option<Self> {
        let not = |f: fn(&char) -> bool| move |c: char| !f(&c);
        let (leading, rest) = name.split_at(name.find(not(char::is_ascii_digit))?);
        let end = rest
            .find(not(char::is_ascii_uppercase))
            .unwrap_or(rest.len());
        let (letters, trailing) = rest.split_at(end);
        trailing
            .bytes()
            .all(|b| b.is_ascii_digit())
            .then_some(Self {
                leading,
                letters,
                trailing,
            })
    }

    /// What is wrong with the numbers of characters, if anything.
    fn miscounted(&self) -> Option<GarsPart> {
        let counts = (self.leading.len(), self.letters.len(), self.trailing.len());
        match counts {
            (3, 2, 0..=2) => None,
            (3, 2, n) => Some(GarsPart::TrailingDigits(n)),
            (3, n, _) => Some(GarsPart::Letters(n)),
            (n, ..) => Some(GarsPart::LeadingDigits(n)),
        }
    }

    /// The name with each part that is wrong replaced by the nearest that is right; `None` where letters
    /// are missing or too many, or the band of longitude has no digit.
    fn nearest(&self) -> Option<String> {
        let band: u32 = self.leading.parse().ok()?;
        let letters = self.letters.as_bytes();
        let [first, second] = letters else {
            return None;
        };
        // I and O are left out of the alphabet; the letter after them is as near as that before.
        let kept = |letter: u8| letter + u8::from(b"IO".contains(&letter));
        let (first, second) = match (kept(*first), kept(*second)) {
            (first, _) if first > b'Q' => (b'Q', b'Z'),
            letters => letters,
        };
        let limits = [('1', '4'), ('1', '9')];
        let digits = self.trailing.chars().zip(limits);
        let trailing: String = digits.map(|(c, (low, high))| c.clamp(low, high)).collect();
        Some(format!(
            "{:03}{}{}{trailing}",
            band.clamp(1, LON_BANDS),
            char::from(first),
            char::from(second)
        ))
    }
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
        let Some(parts) = Parts::of(&name) else {
            let (part, nearest) = (GarsPart::Shape, None);
            return Err(GarsError { part, nearest });
        };
        parts.cell().map_err(|part| GarsError {
            part,
            nearest: parts.nearest(),
        })
    }
}

impl Parts<'_> {
    fn cell(&self) -> Result<GarsCell, GarsPart> {
        if let Some(part) = self.miscounted() {
            return Err(part);
        }
        let digits = self.leading.bytes();
        let band = digits.fold(0, |n, digit| 10 * n + u32::from(digit - b'0'));
        if !(1..=LON_BANDS).contains(&band) {
            return Err(GarsPart::Longitude(self.leading.to_owned()));
        }
        let index = |letter: u8| LETTERS.iter().position(|l| *l == letter).map(|i| i as u32);
        let lat_band = self
            .letters
            .bytes()
            .map(index)
            .try_fold(0, |band, index| Some(24 * band + index?))
            .filter(|band| *band < LAT_BANDS)
            .ok_or_else(|| GarsPart::Latitude(self.letters.to_owned()))?;
        let mut cell = GarsCell {
            south: lat_band * FINE,
            west: (band - 1) * FINE,
            size: Size::Thirty,
        };
        let rest = self.trailing.as_bytes();
        if let Some(quadrant) = rest.first() {
            if !(b'1'..=b'4').contains(quadrant) {
                return Err(GarsPart::Quadrant(char::from(*quadrant)));
            }
            let index = u32::from(quadrant - b'1');
            cell.west += 3 * (index % 2);
            cell.south += 3 * (1 - index / 2);
            cell.size = Size::Fifteen;
        }
        if let Some(key) = rest.get(1) {
            if !(b'1'..=b'9').contains(key) {
                return Err(GarsPart::Key(char::from(*key)));
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
        for (name, error, nearest) in [
            ("", "three digits", None),
            ("381", "three digits", None),
            ("381N", "1 letter(s)", None),
            ("381NHA45", "3 letter(s)", None),
            ("381NH456", "ends in 3 digits", Some("381NH45")),
            ("38NH45", "begins with 2 digit(s)", Some("038NH45")),
            ("38NNH45", "begins with 2 digit(s)", None),
            ("9381NH", "begins with 4 digit(s)", Some("720NH")),
            ("NH45", "begins with 0 digit(s)", None),
            ("381NH4x", "three digits", None),
            ("3é1NH", "three digits", None),
            ("000NH", "band of longitude 000", Some("001NH")),
            ("721NH", "band of longitude 721", Some("720NH")),
            ("381RA", "band of latitude RA", Some("381QZ")),
            ("381NI", "band of latitude NI", Some("381NJ")),
            ("381oh7", "band of latitude OH", Some("381PH4")),
            ("381NH5", "quadrant 5", Some("381NH4")),
            ("381NH40", "last digit 0", Some("381NH41")),
        ] {
            let found = name.parse::<GarsCell>().unwrap_err();
            assert!(found.to_string().contains(error), "{name}: {found}");
            assert_eq!(found.nearest.as_deref(), nearest, "{name}");
            if let Some(nearest) = nearest {
                assert!(nearest.parse::<GarsCell>().is_ok(), "{nearest}");
            }
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
