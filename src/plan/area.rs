//! The search area: a simple polygon on the ground.
//!
//! Its edges are straight in the local plane centred on it. For corners at a distance r from the
//! centre they lie up to 0.13 r³/R² from the geodesic (on a sphere of radius R): 3 m at 100 km, 35 m
//! at the largest size allowed.

use super::crossing::{self, Fault};
use crate::geodesy::{LocalFrame, Position, geodesic};
use crate::units::Length;
use geo::{
    Area as _, Centroid, Contains, Coord, Distance, Euclidean, IsConvex, LineString, Point, Polygon,
};

/// Greatest distance from the centre of an area to a corner. Chosen: no crew searches a larger
/// area in one sortie, and the local plane's lengths are then off by 2 parts in 10,000.
pub const MAX_RADIUS: Length = Length::from_nm(120.0);

/// Greatest latitude of an area and of a pattern, degrees. Chosen: beyond it courses change by degrees
/// along a leg, and nobody searches there by course.
pub const MAX_LATITUDE_DEG: f64 = 85.0;

/// Most corners of an area. Chosen: a coast of 120 NM at one corner in fifty metres; every edge is compared with
/// every other.
pub const MOST_CORNERS: usize = 5000;

/// Least turn of the edge at a sharp corner. Chosen: arcs and parallels are drawn in steps far
/// below it, and a crew would not fly out to a flatter corner.
const SHARP_DEG: f64 = 30.0;

/// A search area.
#[derive(Clone, Debug)]
pub struct Area {
    corners: Vec<Position>,
    polygon: Polygon<f64>,
    /// Square of the distance from the plane's origin within which all lies inside, square metres.
    inner_m2: f64,
}

/// Why corners do not make an area.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum AreaError {
    /// Fewer than three different corners.
    #[error("an area needs at least three different corners, {0} given")]
    TooFewCorners(usize),
    /// More corners than can be worked.
    #[error("an area has at most {MOST_CORNERS} corners, {0} given")]
    TooManyCorners(usize),
    /// Two corners, numbered from 1 as given, are the same place.
    #[error("the corners do not go round the area: corners {0} and {1} are the same place")]
    SameCorner(usize, usize),
    /// Two edges cross or touch.
    #[error(
        "the corners do not go round the area: its edges cross or touch, that from corner {} to corner {} \
         and that from corner {} to corner {}", .first.0, .first.1, .second.0, .second.1
    )]
    Crossing {
        /// Corners at the ends of the one edge, numbered from 1 as given.
        first: (usize, usize),
        /// Corners at the ends of the other.
        second: (usize, usize),
        /// The corners in an order in which no edges cross, if exchanging two of them or turning a part
        /// of them round gives one.
        order: Option<Vec<usize>>,
    },
    /// The corners stand in one line.
    #[error("the corners do not go round the area: they stand in one line")]
    NoSize,
    /// Too near to a pole.
    #[error("the area reaches {}; nothing beyond {MAX_LATITUDE_DEG:.0}° can be worked", latitude(*.0))]
    TooFarNorthOrSouth(f64),
    /// Too large.
    #[error("the area reaches {:.0} NM from its centre; at most {:.0} NM can be worked", .0.nm(), MAX_RADIUS.nm())]
    TooLarge(Length),
}

impl Area {
    /// The area with these corners, in order round it either way, and the plane centred on it.
    ///
    /// # Errors
    /// See [`AreaError`].
    pub fn new(corners: &[Position]) -> Result<(Self, LocalFrame), AreaError> {
        let mut corners = corners.to_vec();
        if corners.len() > 1 && corners.first() == corners.last() {
            corners.pop();
        }
        if corners.len() < 3 {
            return Err(AreaError::TooFewCorners(corners.len()));
        }
        if corners.len() > MOST_CORNERS {
            return Err(AreaError::TooManyCorners(corners.len()));
        }
        let farthest = corners.iter().map(|corner| corner.lat());
        let farthest = farthest.max_by(|a, b| a.abs().total_cmp(&b.abs()));
        if let Some(lat) = farthest.filter(|lat| lat.abs() > MAX_LATITUDE_DEG) {
            return Err(AreaError::TooFarNorthOrSouth(lat));
        }
        // First a plane about a corner, then the real one about the centroid found in it.
        let rough = LocalFrame::new(corners[0]);
        for corner in &corners {
            let reach = geodesic::distance(corners[0], *corner);
            if reach.m() > 2.0 * MAX_RADIUS.m() {
                return Err(AreaError::TooLarge(Length::from_m(reach.m() / 2.0)));
            }
        }
        let centre = polygon_in(&rough, &corners)
            .centroid()
            .ok_or(AreaError::NoSize)?;
        let frame = LocalFrame::new(rough.inverse(centre.0));
        let polygon = polygon_in(&frame, &corners);
        if let Some(fault) = crossing::fault(&polygon.exterior().0[..corners.len()]) {
            return Err(match fault {
                Fault::Same(a, b) => AreaError::SameCorner(a, b),
                Fault::NoSize => AreaError::NoSize,
                Fault::Crossing {
                    first,
                    second,
                    order,
                } => AreaError::Crossing {
                    first,
                    second,
                    order,
                },
            });
        }
        let reach = corners
            .iter()
            .map(|c| geodesic::distance(frame.origin(), *c).m())
            .fold(0.0, f64::max);
        if reach > MAX_RADIUS.m() {
            return Err(AreaError::TooLarge(Length::from_m(reach)));
        }
        // The line round it is as near to the origin as its nearest edge.
        let origin = Point::new(0.0, 0.0);
        let inner_m = if polygon.contains(&origin) {
            Euclidean.distance(&origin, polygon.exterior())
        } else {
            0.0
        };
        let area = Self {
            corners,
            polygon,
            inner_m2: inner_m * inner_m,
        };
        Ok((area, frame))
    }

    /// Its corners, not repeating the first.
    #[must_use]
    pub fn corners(&self) -> &[Position] {
        &self.corners
    }

    /// The polygon in the local plane, metres.
    #[must_use]
    pub const fn polygon(&self) -> &Polygon<f64> {
        &self.polygon
    }

    /// The corners at which its edge turns by at least 30°: those at which one would say that it has
    /// a corner. A circle has none.
    #[must_use]
    pub fn sharp_corners(&self) -> Vec<Position> {
        self.sharp_corner_indices()
            .into_iter()
            .map(|i| self.corners[i])
            .collect()
    }

    /// As [`sharp_corners`](Self::sharp_corners), as indices into [`corners`](Self::corners); the
    /// polygon's exterior has its points in the same order.
    #[must_use]
    pub fn sharp_corner_indices(&self) -> Vec<usize> {
        let n = self.corners.len();
        let ring: Vec<Coord<f64>> = self.polygon.exterior().coords().copied().take(n).collect();
        let turn_deg = |i: usize| {
            let (before, here, after) = (ring[(i + n - 1) % n], ring[i], ring[(i + 1) % n]);
            let (a, b) = (here - before, after - here);
            (a.x * b.y - a.y * b.x)
                .atan2(a.x * b.x + a.y * b.y)
                .to_degrees()
                .abs()
        };
        (0..n).filter(|i| turn_deg(*i) >= SHARP_DEG).collect()
    }

    /// Its size in square metres.
    #[must_use]
    pub fn square_metres(&self) -> f64 {
        self.polygon.unsigned_area()
    }

    /// Whether the line between any two points of it stays inside.
    #[must_use]
    pub fn is_convex(&self) -> bool {
        self.polygon.exterior().is_convex()
    }

    /// Whether a point of the local plane lies inside.
    #[must_use]
    pub fn contains(&self, xy: Coord<f64>) -> bool {
        xy.x * xy.x + xy.y * xy.y < self.inner_m2 || self.polygon.contains(&xy)
    }
}

/// A latitude for people: `86.20° N`.
pub(super) fn latitude(deg: f64) -> String {
    format!("{:.2}° {}", deg.abs(), if deg < 0.0 { 'S' } else { 'N' })
}

/// The polygon with these corners in a plane.
pub(super) fn polygon_in(frame: &LocalFrame, corners: &[Position]) -> Polygon<f64> {
    let ring: Vec<Coord<f64>> = corners.iter().map(|c| frame.forward(*c)).collect();
    Polygon::new(LineString::from(ring), Vec::new())
}
