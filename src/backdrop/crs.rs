//! The plane or the grid of parallels and meridians that a raster lies in, known by its EPSG code.
//!
//! Web Mercator is worked out here by its closed form (EPSG Guidance Note 7-2, method 1024, "Popular Visualisation
//! Pseudo Mercator"); the other projections are those of the crate `proj4rs`, by the definitions of the crate
//! `crs-definitions`. A definition serves only where it says how its datum lies to WGS 84: an ellipsoid of another
//! datum without that would be off by a hundred metres and look right.

use crate::geodesy::Position;
use crate::units::wrap_180;
use geo::Coord;
use proj4rs::Proj;
use proj4rs::transform::transform;
use std::f64::consts::{FRAC_PI_4, PI};

/// Radius of the sphere of Web Mercator, metres (EPSG Guidance Note 7-2, method 1024: semi-major axis of WGS 84).
pub const WEB_MERCATOR_RADIUS_M: f64 = 6_378_137.0;
/// Web Mercator, and codes for the same in older files (from memory).
const WEB_MERCATOR: [u32; 4] = [3857, 3785, 900_913, 102_100];
/// Latitude beyond which Web Mercator is not used, degrees: there its square ends (method 1024 has no such limit).
const MERCATOR_ENDS_DEG: f64 = 85.06;
/// Parts of a definition that turn a place into another one without saying so: axes in another order, grids that are
/// not at hand, and a datum that is known by grids alone.
const NOT_SERVED: [&str; 5] = [
    "+axis=",
    "+nadgrids=",
    "+datum=NAD27",
    "+proj=geocent",
    "+geoidgrids=",
];
/// Ellipsoids whose datums lie within a metre or two of WGS 84 (ETRS89, NAD83 and others; the drift of the plates
/// since they were fixed).
const LIKE_WGS_84: [&str; 4] = [
    "+ellps=GRS80",
    "+ellps=WGS84",
    "+datum=WGS84",
    "+datum=NAD83",
];

/// A coordinate reference system; its coordinates are `x` to the east and `y` to the north.
#[derive(Clone)]
pub struct Crs {
    name: String,
    kind: Kind,
}

#[derive(Clone)]
enum Kind {
    /// Longitude and latitude in degrees, WGS 84.
    Degrees,
    WebMercator,
    Other(Box<Transformed>),
}

#[derive(Clone)]
struct Transformed {
    own: Proj,
    wgs84: Proj,
}

impl Crs {
    /// The one of an EPSG code.
    ///
    /// # Errors
    /// Says what is wrong with it, in a sentence without a full stop.
    pub fn epsg(code: u32) -> Result<Self, String> {
        let name = format!("EPSG:{code}");
        if code == 4326 {
            return Ok(Self {
                name,
                kind: Kind::Degrees,
            });
        }
        if WEB_MERCATOR.contains(&code) {
            return Ok(Self::web_mercator());
        }
        let definition = u16::try_from(code)
            .ok()
            .and_then(crs_definitions::from_code)
            .filter(|definition| !definition.proj4.is_empty())
            .ok_or_else(|| format!("its reference system EPSG:{code} is not known here"))?;
        Self::defined(name, definition.proj4)
    }

    /// Web Mercator, EPSG 3857.
    #[must_use]
    pub fn web_mercator() -> Self {
        Self {
            name: "EPSG:3857".to_owned(),
            kind: Kind::WebMercator,
        }
    }

    /// By a definition in the words of PROJ.
    ///
    /// # Errors
    /// As [`epsg`](Self::epsg) has them.
    pub(super) fn defined(name: String, definition: &str) -> Result<Self, String> {
        let has = |parts: &[&str]| parts.iter().any(|part| definition.contains(part));
        let shift = definition
            .split_whitespace()
            .find_map(|part| part.strip_prefix("+towgs84="));
        let shifted = shift.is_some_and(|values| {
            values
                .split(',')
                .any(|value| value.parse::<f64>().is_ok_and(|value| value != 0.0))
        });
        // Other datums that are called by name have their shift in `proj4rs`.
        let tied = has(&LIKE_WGS_84) || shifted || (has(&["+datum="]) && shift.is_none());
        if has(&NOT_SERVED) || !tied {
            return Err(format!(
                "how its reference system {name} lies to WGS 84 is not known here"
            ));
        }
        let fault = |cause: proj4rs::errors::Error| {
            format!("its reference system {name} is not served here ({cause})")
        };
        let own = Proj::from_proj_string(definition).map_err(fault)?;
        let wgs84 = Proj::from_proj_string("+proj=longlat +datum=WGS84").map_err(fault)?;
        if !own.has_inverse() || !own.has_forward() {
            return Err(format!("its reference system {name} is not served here"));
        }
        Ok(Self {
            name,
            kind: Kind::Other(Box::new(Transformed { own, wgs84 })),
        })
    }

    /// Its name, such as "EPSG:32632".
    #[must_use]
    pub fn name(&self) -> &str {
        &self.name
    }

    /// After how much of `x` the same places come again.
    #[must_use]
    pub fn period(&self) -> Option<f64> {
        match &self.kind {
            Kind::Degrees => Some(360.0),
            Kind::WebMercator => Some(2.0 * PI * WEB_MERCATOR_RADIUS_M),
            Kind::Other(other) => other.own.is_latlong().then_some(360.0),
        }
    }

    /// The coordinates of a place; `None` where it lies out of reach.
    #[must_use]
    pub fn forward(&self, position: Position) -> Option<Coord<f64>> {
        let (lat, lon) = (position.lat(), position.lon());
        let at = match &self.kind {
            Kind::Degrees => Coord { x: lon, y: lat },
            Kind::WebMercator => {
                if lat.abs() > MERCATOR_ENDS_DEG {
                    return None;
                }
                let tangent = (FRAC_PI_4 + lat.to_radians() / 2.0).tan();
                Coord {
                    x: WEB_MERCATOR_RADIUS_M * lon.to_radians(),
                    y: WEB_MERCATOR_RADIUS_M * tangent.ln(),
                }
            }
            Kind::Other(other) => {
                let mut at = (lon.to_radians(), lat.to_radians());
                transform(&other.wgs84, &other.own, &mut at).ok()?;
                let degrees = other.own.is_latlong();
                let unit = |value: f64| if degrees { value.to_degrees() } else { value };
                Coord {
                    x: unit(at.0),
                    y: unit(at.1),
                }
            }
        };
        (at.x.is_finite() && at.y.is_finite()).then_some(at)
    }

    /// The place at coordinates; `None` where there is none.
    #[must_use]
    pub fn inverse(&self, at: Coord<f64>) -> Option<Position> {
        let (lat, lon) = match &self.kind {
            Kind::Degrees => (at.y, at.x),
            Kind::WebMercator => {
                let lat = 2.0 * (at.y / WEB_MERCATOR_RADIUS_M).exp().atan() - 2.0 * FRAC_PI_4;
                let lon = at.x / WEB_MERCATOR_RADIUS_M;
                (lat.to_degrees(), lon.to_degrees())
            }
            Kind::Other(other) => {
                let degrees = other.own.is_latlong();
                let unit = |value: f64| if degrees { value.to_radians() } else { value };
                let mut place = (unit(at.x), unit(at.y));
                transform(&other.own, &other.wgs84, &mut place).ok()?;
                (place.1.to_degrees(), place.0.to_degrees())
            }
        };
        let known = lat.abs() <= 90.0 && lon.is_finite();
        known.then(|| Position::new(lat, wrap_180(lon))).flatten()
    }
}

impl std::fmt::Debug for Crs {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.debug_tuple("Crs").field(&self.name).finish()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// EPSG Guidance Note 7-2, method 1024, worked example (from memory): 24°22'54.433"N, 100°20'00.000"W is
    /// E -11 169 055.58 m, N 2 800 000.00 m.
    #[test]
    fn web_mercator_by_its_worked_example() {
        let crs = Crs::epsg(3857).unwrap();
        let lat = 24.0 + 22.0 / 60.0 + 54.433 / 3600.0;
        let lon = -(100.0 + 20.0 / 60.0);
        let at = crs.forward(Position::new(lat, lon).unwrap()).unwrap();
        assert!((at.x - -11_169_055.58).abs() < 0.01, "{at:?}");
        assert!((at.y - 2_800_000.0).abs() < 0.02, "{at:?}");
        let back = crs.inverse(at).unwrap();
        assert!((back.lat() - lat).abs() < 1e-10 && (back.lon() - lon).abs() < 1e-10);
    }

    #[test]
    fn what_cannot_be_tied_to_wgs_84_is_refused() {
        // NAD27, an ellipsoid alone (Anguilla 1957), no such code.
        for code in [4267, 26_712, 2000, 1, 65_000, 999_999] {
            assert!(Crs::epsg(code).is_err(), "{code}");
        }
    }
}
