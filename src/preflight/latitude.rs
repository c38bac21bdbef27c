//! The same area in degrees at other latitudes.

use super::figures::Extents;
use super::relaid::{Relaid, Relay};
use crate::geodesy::{Position, graticule};
use crate::plan::axes::extent;
use crate::tasking::{AreaShape, PatternTask, SweepTask};
use crate::units::Length;
use serde::Serialize;

/// Latitudes listed, on the side of the equator on which the area lies.
const LATITUDES_DEG: [f64; 6] = [0.0, 15.0, 30.0, 45.0, 60.0, 75.0];

/// How the search changes with latitude.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Latitudes {
    /// The area at its own latitude and at others, from the equator on.
    pub rows: Vec<LatitudeRow>,
    /// Why there are none.
    pub note: Option<String>,
}

/// The area at a latitude, its shape in degrees kept.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct LatitudeRow {
    /// Latitude halfway between its southernmost and its northernmost corner, degrees.
    pub latitude_deg: f64,
    /// Whether this is its own.
    pub own: bool,
    /// Length of a minute of latitude there.
    #[serde(rename = "minute_of_latitude_m")]
    pub minute_of_latitude: Length,
    /// Length of a minute of longitude there, along the parallel.
    #[serde(rename = "minute_of_longitude_m")]
    pub minute_of_longitude: Length,
    /// What the area measures there; `None` if it cannot be laid out.
    pub extents: Option<Extents>,
    /// The tasking laid out over it.
    #[serde(flatten)]
    pub laid: Relaid,
}

/// An area in degrees, to be moved along its meridians.
enum Outline {
    Box {
        south: f64,
        west: f64,
        north: f64,
        east: f64,
    },
    Corners(Vec<Position>),
}

impl Outline {
    fn of(shape: &AreaShape, corners: &[Position]) -> Option<Self> {
        match shape {
            AreaShape::Corners(_) | AreaShape::File(_) => Some(Self::Corners(corners.to_vec())),
            AreaShape::Box {
                south,
                west,
                north,
                east,
            } => Some(Self::Box {
                south: *south,
                west: *west,
                north: *north,
                east: *east,
            }),
            AreaShape::Gars(cell) => {
                let (south, west, north, east) = cell.bounds();
                Some(Self::Box {
                    south,
                    west,
                    north,
                    east,
                })
            }
            AreaShape::Cell { corner, side_min } => {
                let side = side_min / 60.0;
                Some(Self::Box {
                    south: corner.lat(),
                    west: corner.lon(),
                    north: corner.lat() + side,
                    east: corner.lon() + side,
                })
            }
            AreaShape::Circle { .. } | AreaShape::Corridor { .. } => None,
        }
    }

    /// Its southernmost and northernmost latitude.
    fn reach(&self) -> (f64, f64) {
        match self {
            Self::Box { south, north, .. } => (*south, *north),
            Self::Corners(corners) => extent(corners.iter().map(|corner| corner.lat())),
        }
    }

    /// Moved north by `degrees`; `None` beyond a pole.
    fn moved(&self, degrees: f64) -> Option<AreaShape> {
        match self {
            Self::Box {
                south,
                west,
                north,
                east,
            } => {
                let (south, north) = (south + degrees, north + degrees);
                (south >= -90.0 && north <= 90.0).then_some(AreaShape::Box {
                    south,
                    west: *west,
                    north,
                    east: *east,
                })
            }
            Self::Corners(corners) => corners
                .iter()
                .map(|corner| Position::new(corner.lat() + degrees, corner.lon()))
                .collect::<Option<Vec<_>>>()
                .map(AreaShape::Corners),
        }
    }
}

/// The area of the tasking at other latitudes.
pub(super) fn latitudes(relay: &Relay<'_>) -> Latitudes {
    let none = |note: &str| Latitudes {
        rows: Vec::new(),
        note: Some(note.to_owned()),
    };
    let Some(area) = &relay.tasking.area else {
        return none("no area is tasked: lengths in miles are the same at every latitude");
    };
    let (PatternTask::ParallelSweep(task) | PatternTask::CreepingLine(task)) =
        &relay.tasking.pattern
    else {
        return none("the legs of this pattern do not follow from the area");
    };
    let Some(outline) = Outline::of(&area.shape, relay.plan.area.corners()) else {
        return none("the area is tasked in miles: its size is the same at every latitude");
    };
    let (south, north) = outline.reach();
    let own_deg = f64::midpoint(south, north);
    let side = if own_deg < 0.0 { -1.0 } else { 1.0 };
    let mut latitudes: Vec<f64> = LATITUDES_DEG
        .iter()
        .map(|deg| side * deg)
        .filter(|deg| *deg != own_deg)
        .chain([own_deg])
        .collect();
    latitudes.sort_by(|a, b| a.abs().total_cmp(&b.abs()));
    let rows = latitudes
        .into_iter()
        .map(|latitude_deg| row(relay, task, &outline, own_deg, latitude_deg))
        .collect();
    Latitudes { rows, note: None }
}

fn row(
    relay: &Relay<'_>,
    task: &SweepTask,
    outline: &Outline,
    own_deg: f64,
    latitude_deg: f64,
) -> LatitudeRow {
    let plan = outline
        .moved(latitude_deg - own_deg)
        .ok_or_else(|| "the area would reach over the pole".to_owned())
        .and_then(|shape| relay.sweep_over(task, shape, task.spacing));
    let extents = plan.as_ref().ok().map(|plan| Extents::of(plan, relay.axis));
    LatitudeRow {
        latitude_deg,
        own: latitude_deg == own_deg,
        minute_of_latitude: graticule::minute_of_latitude(latitude_deg),
        minute_of_longitude: graticule::minute_of_longitude(latitude_deg),
        extents,
        laid: match plan {
            Ok(plan) => relay.figures(plan),
            Err(problem) => Relaid::refused(problem),
        },
    }
}
