//! The planes of maps: Universal Transverse Mercator (UTM), and beyond its latitudes Universal Polar Stereographic
//! (UPS), on WGS 84. Other programs know them by their EPSG code, which a plane of our own has not.
//!
//! Which zone a place belongs to follows NGA.SIG.0012_2.0.0_UTMUPS, *The Universal Grids and the Transverse Mercator
//! and Polar Stereographic Map Projections*, 2014, with its wider zones off Norway and about Svalbard (limits from
//! memory). The projections are those of the crate `proj4rs`; `tests/reference/map_planes.rs` holds them against PROJ.

use super::Position;
use geo::Coord;
use proj4rs::Proj;
use proj4rs::transform::transform;

/// Latitudes between which UTM is used, degrees.
const UTM_LATITUDES: std::ops::Range<f64> = -80.0..84.0;
/// Degrees of longitude of an ordinary zone.
const ZONE_WIDTH_DEG: f64 = 6.0;

/// A place that cannot be brought into the plane of a map, or back.
#[derive(Debug, thiserror::Error)]
#[error("{position} cannot be brought into {plane}: {cause}")]
pub struct MapPlaneError {
    position: String,
    plane: String,
    cause: proj4rs::errors::Error,
}

/// Which plane.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Zone {
    /// UTM: the number of the zone, 1 to 60.
    Utm(u16),
    /// UPS.
    Ups,
}

/// A plane of maps; coordinates are metres, `x` easting and `y` northing.
#[derive(Clone)]
pub struct MapPlane {
    zone: Zone,
    north: bool,
    degrees: Proj,
    metres: Proj,
}

impl MapPlane {
    /// The plane that maps of the ground about `centre` are drawn in.
    ///
    /// # Errors
    /// Only if the projections are not to be had, which is a fault of the program.
    pub fn about(centre: Position) -> Result<Self, MapPlaneError> {
        let (zone, north) = (zone_of(centre), centre.lat() >= 0.0);
        let fault = |cause| MapPlaneError {
            position: centre.to_string(),
            plane: name(zone, north),
            cause,
        };
        let projected = match zone {
            Zone::Utm(number) => {
                let side = if north { "" } else { " +south" };
                format!("+proj=utm +zone={number}{side} +datum=WGS84 +units=m")
            }
            Zone::Ups => {
                let pole = if north { 90 } else { -90 };
                format!(
                    "+proj=stere +lat_0={pole} +lon_0=0 +k=0.994 +x_0=2000000 +y_0=2000000 +datum=WGS84 +units=m"
                )
            }
        };
        Ok(Self {
            zone,
            north,
            degrees: Proj::from_proj_string("+proj=longlat +datum=WGS84").map_err(fault)?,
            metres: Proj::from_proj_string(&projected).map_err(fault)?,
        })
    }

    /// Code of the coordinate reference system in the EPSG dataset: 32601 to 32660 and 32701 to 32760 for the zones
    /// of UTM, 32661 and 32761 for UPS.
    #[must_use]
    pub const fn epsg(&self) -> u16 {
        let hemisphere = if self.north { 32_600 } else { 32_700 };
        hemisphere
            + match self.zone {
                Zone::Utm(number) => number,
                Zone::Ups => 61,
            }
    }

    /// Its name, such as "WGS 84 / UTM zone 32N".
    #[must_use]
    pub fn name(&self) -> String {
        name(self.zone, self.north)
    }

    /// A place in the plane, metres.
    ///
    /// # Errors
    /// When it lies out of reach of the projection, on the other side of the earth.
    pub fn forward(&self, position: Position) -> Result<Coord<f64>, MapPlaneError> {
        let mut at = (position.lon().to_radians(), position.lat().to_radians());
        transform(&self.degrees, &self.metres, &mut at)
            .map_err(|cause| self.fault(position, cause))?;
        Ok(Coord { x: at.0, y: at.1 })
    }

    /// The place at a point of the plane.
    ///
    /// # Errors
    /// When it lies beyond what the projection maps.
    pub fn inverse(&self, xy: Coord<f64>) -> Result<Position, MapPlaneError> {
        let mut at = (xy.x, xy.y);
        transform(&self.metres, &self.degrees, &mut at).map_err(|cause| MapPlaneError {
            position: format!("{:.0} m east, {:.0} m north", xy.x, xy.y),
            plane: self.name(),
            cause,
        })?;
        Ok(Position::from_computed(
            at.1.to_degrees(),
            at.0.to_degrees(),
        ))
    }

    fn fault(&self, position: Position, cause: proj4rs::errors::Error) -> MapPlaneError {
        MapPlaneError {
            position: position.to_string(),
            plane: self.name(),
            cause,
        }
    }
}

impl std::fmt::Debug for MapPlane {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.debug_tuple("MapPlane").field(&self.epsg()).finish()
    }
}

fn name(zone: Zone, north: bool) -> String {
    let (letter, pole) = if north {
        ("N", "North")
    } else {
        ("S", "South")
    };
    match zone {
        Zone::Utm(number) => format!("WGS 84 / UTM zone {number}{letter}"),
        Zone::Ups => format!("WGS 84 / UPS {pole}"),
    }
}

fn zone_of(position: Position) -> Zone {
    let (lat, lon) = (position.lat(), position.lon());
    if !UTM_LATITUDES.contains(&lat) {
        return Zone::Ups;
    }
    Zone::Utm(match (lat, lon) {
        (56.0..64.0, 3.0..12.0) => 32,
        (72.0..84.0, 0.0..9.0) => 31,
        (72.0..84.0, 9.0..21.0) => 33,
        (72.0..84.0, 21.0..33.0) => 35,
        (72.0..84.0, 33.0..42.0) => 37,
        // Longitudes are below 180°, so the last zone is 60.
        _ => ((lon + 180.0) / ZONE_WIDTH_DEG).floor() as u16 + 1,
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn epsg(lat: f64, lon: f64) -> u16 {
        MapPlane::about(Position::new(lat, lon).unwrap())
            .unwrap()
            .epsg()
    }

    /// Limits of the zones: as in the module's doc.
    #[test]
    fn zones_end_where_they_should() {
        for (lat, lon, code) in [
            (0.0, -180.0, 32_601),
            (47.0, 179.999, 32_660),
            (47.0, 11.999, 32_632),
            (47.0, 12.0, 32_633),
            (-0.001, 12.0, 32_733),
            (55.999, 5.0, 32_631),
            (56.0, 3.0, 32_632),
            (63.999, 2.999, 32_631),
            (72.0, 8.999, 32_631),
            (78.0, 9.0, 32_633),
            (78.0, 20.999, 32_633),
            (78.0, 21.0, 32_635),
            (83.999, 41.999, 32_637),
            (83.999, 42.0, 32_638),
            (84.0, 15.0, 32_661),
            (-80.0, 15.0, 32_733),
            (-80.001, 15.0, 32_761),
        ] {
            assert_eq!(epsg(lat, lon), code, "{lat} {lon}");
        }
    }

    #[test]
    fn forward_and_inverse_agree() {
        for (lat, lon) in [
            (47.0, 12.1),
            (-16.9, 179.95),
            (0.0, 3.0),
            (86.0, -120.0),
            (-85.0, 60.0),
        ] {
            let at = Position::new(lat, lon).unwrap();
            let plane = MapPlane::about(at).unwrap();
            for (dlat, dlon) in [(0.0, 0.0), (0.5, 0.7), (-0.4, -0.6)] {
                let at = Position::new(lat + dlat, lon + dlon).unwrap();
                let back = plane.inverse(plane.forward(at).unwrap()).unwrap();
                let apart = super::super::geodesic::distance(at, back).m();
                assert!(apart < 1e-6, "{apart} m at {at:?}");
            }
        }
    }
}
