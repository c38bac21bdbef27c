//! A place on the ellipsoid.

use crate::units::wrap_180;
use serde::{Deserialize, Serialize};

/// A WGS 84 position: geodetic latitude and longitude in degrees, north and east positive.
///
/// Latitude is within [-90, 90] and longitude within [-180, 180); both are finite.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[serde(try_from = "Degrees")]
pub struct Position {
    #[serde(rename = "lat_deg")]
    lat: f64,
    #[serde(rename = "lon_deg")]
    lon: f64,
}

/// A position as it is written down, which need not be one.
#[derive(Deserialize)]
struct Degrees {
    #[serde(rename = "lat_deg")]
    lat: f64,
    #[serde(rename = "lon_deg")]
    lon: f64,
}

impl TryFrom<Degrees> for Position {
    type Error = String;

    fn try_from(Degrees { lat, lon }: Degrees) -> Result<Self, String> {
        Self::new(lat, lon)
            .ok_or_else(|| format!("latitude {lat}, longitude {lon} is no place on the earth"))
    }
}

impl Position {
    /// A position from degrees; `None` if either is not finite, the latitude is beyond a pole or
    /// the longitude is beyond ±360°. Longitudes from 180° to 360° are wrapped.
    #[must_use]
    pub fn new(lat_deg: f64, lon_deg: f64) -> Option<Self> {
        // NaN fails both comparisons.
        if lat_deg.abs() <= 90.0 && lon_deg.abs() <= 360.0 {
            Some(Self {
                lat: lat_deg,
                lon: wrap_lon(lon_deg),
            })
        } else {
            None
        }
    }

    /// From values computed by a geodesic routine, which are in range by construction.
    pub(crate) fn from_computed(lat_deg: f64, lon_deg: f64) -> Self {
        Self {
            lat: lat_deg.clamp(-90.0, 90.0),
            lon: wrap_lon(lon_deg),
        }
    }

    /// Latitude in degrees, north positive.
    #[must_use]
    pub const fn lat(self) -> f64 {
        self.lat
    }

    /// Longitude in degrees, east positive, [-180, 180).
    #[must_use]
    pub const fn lon(self) -> f64 {
        self.lon
    }
}

/// Wraps only what needs it: wrapping would cost the last digit of every ordinary longitude.
fn wrap_lon(lon_deg: f64) -> f64 {
    if (-180.0..180.0).contains(&lon_deg) {
        lon_deg
    } else {
        wrap_180(lon_deg)
    }
}

/// Degrees and decimal minutes with hemisphere letters, as crews write them: `47°06.250'N 012°18.500'E`.
impl std::fmt::Display for Position {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        let part = |value: f64, width: usize, letters: [char; 2]| {
            // Rounding the whole in thousandths of a minute avoids 60.000'.
            let thousandths = (value.abs() * 60_000.0).round() as u64;
            let letter = letters[usize::from(value < 0.0 && thousandths > 0)];
            format!(
                "{:0width$}°{:02}.{:03}'{letter}",
                thousandths / 60_000,
                thousandths % 60_000 / 1000,
                thousandths % 1000
            )
        };
        write!(
            f,
            "{} {}",
            part(self.lat, 2, ['N', 'S']),
            part(self.lon, 3, ['E', 'W'])
        )
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn prints_degrees_and_minutes_without_sixty_minutes() {
        let p = Position::new(46.999_999_99, -12.5).unwrap();
        assert_eq!(p.to_string(), "47°00.000'N 012°30.000'W");
    }

    #[test]
    fn refuses_what_is_not_a_place() {
        assert!(Position::new(91.0, 0.0).is_none());
        assert!(Position::new(f64::NAN, 0.0).is_none());
        assert!(Position::new(0.0, f64::INFINITY).is_none());
        assert_eq!(Position::new(0.0, 180.0).unwrap().lon(), -180.0);
        assert_eq!(Position::new(0.0, 190.0).unwrap().lon(), -170.0);
    }
}
