//! Earth-centred, earth-fixed coordinates: positions as vectors, where no antimeridian and no pole
//! gets in the way, and tangent planes on the ellipsoid with geodesic distance and direction.

use super::Position;
use super::geodesic::{ECCENTRICITY_SQUARED, EQUATORIAL_RADIUS_M};

/// A point on the ellipsoid's surface as a vector from the earth's centre, metres.
pub type Ecef = [f64; 3];

/// The surface point at `position` (height zero).
#[must_use]
pub fn from_position(position: Position) -> Ecef {
    let (sin_lat, cos_lat) = position.lat().to_radians().sin_cos();
    let (sin_lon, cos_lon) = position.lon().to_radians().sin_cos();
    let n = EQUATORIAL_RADIUS_M / (1.0 - ECCENTRICITY_SQUARED * sin_lat * sin_lat).sqrt();
    [
        n * cos_lat * cos_lon,
        n * cos_lat * sin_lon,
        n * (1.0 - ECCENTRICITY_SQUARED) * sin_lat,
    ]
}

/// The plane touching the ellipsoid at a point, with its axes east and north.
#[derive(Clone, Debug)]
pub struct TangentPlane {
    origin: Ecef,
    east: Ecef,
    north: Ecef,
    /// Normal curvature along the meridian, 1/m.
    curvature_north: f64,
    /// Normal curvature along the prime vertical, 1/m.
    curvature_east: f64,
}

/// Geodesic polar coordinates in Cartesian dress: distance times (sine, cosine) of the azimuth.
#[derive(Clone, Copy, Debug)]
pub struct EastNorth {
    /// Geodesic distance times the sine of the azimuth, metres.
    pub east_m: f64,
    /// Geodesic distance times the cosine of the azimuth, metres.
    pub north_m: f64,
}

impl TangentPlane {
    /// The tangent plane at `at`.
    #[must_use]
    pub fn new(at: Position) -> Self {
        let (sin_lat, cos_lat) = at.lat().to_radians().sin_cos();
        let (sin_lon, cos_lon) = at.lon().to_radians().sin_cos();
        let w2 = 1.0 - ECCENTRICITY_SQUARED * sin_lat * sin_lat;
        let n = EQUATORIAL_RADIUS_M / w2.sqrt();
        let m = n * (1.0 - ECCENTRICITY_SQUARED) / w2;
        Self {
            origin: from_position(at),
            east: [-sin_lon, cos_lon, 0.0],
            north: [-sin_lat * cos_lon, -sin_lat * sin_lon, cos_lat],
            curvature_north: 1.0 / m,
            curvature_east: 1.0 / n,
        }
    }

    /// Gaussian curvature at the point, 1/m².
    #[must_use]
    pub fn gaussian_curvature(&self) -> f64 {
        self.curvature_north * self.curvature_east
    }

    /// The surface point on the line from the earth's centre to a point of the plane, metres east and north.
    #[must_use]
    pub fn below(&self, east_m: f64, north_m: f64) -> Ecef {
        let [x, y, z] = std::array::from_fn(|i| {
            self.origin[i] + east_m * self.east[i] + north_m * self.north[i]
        });
        // On the surface x² + y² + z² / (1 − e²) = a².
        let a2 = x * x + y * y + z * z / (1.0 - ECCENTRICITY_SQUARED);
        let scale = EQUATORIAL_RADIUS_M / a2.sqrt();
        [x * scale, y * scale, z * scale]
    }

    /// Geodesic distance and direction of a surface point, as east and north components.
    ///
    /// The chord is turned into an arc of the normal section with Euler's curvature in its direction
    /// (series to the fifth order). Against geographiclib the error is under 0.02 mm within 10 km and
    /// under 5 cm within 150 km (test `tangent_plane_against_geographiclib`).
    #[must_use]
    pub fn project(&self, point: Ecef) -> EastNorth {
        let v = [
            point[0] - self.origin[0],
            point[1] - self.origin[1],
            point[2] - self.origin[2],
        ];
        let east = dot(v, self.east);
        let north = dot(v, self.north);
        let flat2 = east * east + north * north;
        if flat2 <= 0.0 {
            return EastNorth {
                east_m: 0.0,
                north_m: 0.0,
            };
        }
        let chord2 = dot(v, v);
        let k = (north * north * self.curvature_north + east * east * self.curvature_east) / flat2;
        let k2c2 = k * k * chord2;
        let arc = chord2.sqrt() * (1.0 + k2c2 / 24.0 + 3.0 * k2c2 * k2c2 / 640.0);
        let scale = arc / flat2.sqrt();
        EastNorth {
            east_m: east * scale,
            north_m: north * scale,
        }
    }
}

fn dot(a: Ecef, b: Ecef) -> f64 {
    a[0] * b[0] + a[1] * b[1] + a[2] * b[2]
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geodesy::geodesic;
    use crate::units::{Bearing, Length};

    /// Reference: geographiclib's direct problem, over latitudes, directions and distances.
    #[test]
    fn tangent_plane_against_geographiclib() {
        for (range_m, bound_m) in [(10_000.0, 2e-5), (150_000.0, 0.05)] {
            let mut worst: f64 = 0.0;
            for lat in [-80.0, -45.0, -1.0, 0.0, 30.0, 60.0, 80.0] {
                let origin = Position::new(lat, 179.5).unwrap();
                let plane = TangentPlane::new(origin);
                for step in 0..36 {
                    let azimuth = f64::from(step) * 10.0 + 3.0;
                    let there = geodesic::destination(
                        origin,
                        Bearing::from_deg(azimuth),
                        Length::from_m(range_m),
                    );
                    let got = plane.project(from_position(there));
                    let (sin, cos) = azimuth.to_radians().sin_cos();
                    worst =
                        worst.max((got.east_m - range_m * sin).hypot(got.north_m - range_m * cos));
                }
            }
            assert!(worst < bound_m, "{worst} m at {range_m} m");
            assert!(worst > 0.0);
        }
    }
}
