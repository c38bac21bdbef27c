//! Detection by distance from the datum.
//!
//! A sector search and an expanding square are laid about the most likely place. In a sector search the
//! spokes part as they go out: at a distance r neighbours lie 2 r sin(θ/2) apart, so detection falls
//! outward even when it is flown perfectly. What was flown is therefore set beside what the plan gives at
//! the same distance.

use super::raster::Raster;
use crate::geodesy::Position;
use crate::plan::{PatternKind, Plan};
use crate::units::Length;
use serde::Serialize;

/// Rings from the datum to the farthest end of a leg. Chosen.
const RINGS: usize = 10;

/// Detection by distance from the datum.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct ByDistance {
    /// The datum.
    pub datum: Position,
    /// Rings of equal width from the datum to the farthest end of a leg, the innermost first.
    pub rings: Vec<Ring>,
}

/// The ground between two distances from the datum, as far as it lies in the area.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Ring {
    /// Inner distance.
    #[serde(rename = "from_m")]
    pub from: Length,
    /// Outer distance.
    #[serde(rename = "to_m")]
    pub to: Length,
    /// Cells of the raster in it.
    pub cells: usize,
    /// Their size together.
    pub area_m2: f64,
    /// Mean POD as flown, under the deciding law; `None` where the area has no cell.
    pub mean_pod: Option<f64>,
    /// The same had every search leg been flown just as planned.
    pub planned_pod: Option<f64>,
    /// Share of the cells that are at target.
    pub share_at_target: Option<f64>,
}

#[derive(Clone, Copy, Default)]
struct Sums {
    cells: usize,
    flown: f64,
    planned: f64,
    at_target: usize,
}

impl ByDistance {
    /// Detection by distance, for a pattern about a datum; `planned` gives the POD of every cell as
    /// planned, and is asked only then.
    #[must_use]
    pub fn of(
        plan: &Plan,
        raster: &Raster,
        at_target: &[bool],
        planned: impl FnOnce() -> Vec<f64>,
    ) -> Option<Self> {
        let about_datum = matches!(
            plan.pattern,
            PatternKind::Sector | PatternKind::ExpandingSquare
        );
        let (_, first) = plan.search_legs().next().filter(|_| about_datum)?;
        let datum = plan.frame.forward(first.start);
        let reach_m = plan
            .search_legs()
            .map(|(_, leg)| {
                let v = plan.frame.forward(leg.end) - datum;
                v.x.hypot(v.y)
            })
            .fold(0.0, f64::max);
        let planned = planned();
        let width_m = reach_m / RINGS as f64;
        let mut sums = [Sums::default(); RINGS];
        let grid = &raster.grid;
        for row in 0..grid.rows {
            for column in 0..grid.columns {
                let cell = row * grid.columns + column;
                let pod = f64::from(raster.values[cell]);
                if pod.is_nan() {
                    continue;
                }
                let v = grid.centre(column, row) - datum;
                if let Some(ring) =
                    sums.get_mut(((v.x * v.x + v.y * v.y).sqrt() / width_m) as usize)
                {
                    ring.cells += 1;
                    ring.flown += pod;
                    ring.planned += planned[cell];
                    ring.at_target += usize::from(at_target[cell]);
                }
            }
        }
        let rings = sums
            .iter()
            .enumerate()
            .map(|(i, sum)| {
                let share = |total: f64| (sum.cells > 0).then(|| total / sum.cells as f64);
                Ring {
                    from: Length::from_m(i as f64 * width_m),
                    to: Length::from_m((i + 1) as f64 * width_m),
                    cells: sum.cells,
                    area_m2: sum.cells as f64 * grid.cell_m * grid.cell_m,
                    mean_pod: share(sum.flown),
                    planned_pod: share(sum.planned),
                    share_at_target: share(sum.at_target as f64),
                }
            })
            .collect();
        Some(Self {
            datum: first.start,
            rings,
        })
    }
}
