//! What of the earth a map or a raster shows, for people.

use crate::geodesy::Position;
use crate::units::wrap_180;

/// The box of parallels and meridians about some places; it may cross the antimeridian.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Extent {
    south_deg: f64,
    north_deg: f64,
    west_deg: f64,
    width_deg: f64,
}

impl Extent {
    /// The one about `places`, each of which lies within half the earth of the first; `None` without any.
    #[must_use]
    pub fn of(places: impl Iterator<Item = Position>) -> Option<Self> {
        let mut places = places.peekable();
        let first = places.peek()?.lon();
        let (mut west, mut east) = (0.0_f64, 0.0_f64);
        let (mut south, mut north) = (f64::INFINITY, f64::NEG_INFINITY);
        for place in places {
            let off = wrap_180(place.lon() - first);
            (west, east) = (west.min(off), east.max(off));
            (south, north) = (south.min(place.lat()), north.max(place.lat()));
        }
        Some(Self {
            south_deg: south,
            north_deg: north,
            west_deg: first + west,
            width_deg: east - west,
        })
    }
}

impl std::fmt::Display for Extent {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(
            f,
            "latitude {:.3} to {:.3}, longitude {:.3} to {:.3}",
            self.south_deg,
            self.north_deg,
            wrap_180(self.west_deg),
            wrap_180(self.west_deg + self.width_deg),
        )
    }
}
