//! Sector search, one aircraft (VS).
//!
//! Out from the datum to the rim, across to the next spoke, through the datum to the opposite rim,
//! across again, always turning to the same side, and at last in to the datum: with six sectors nine
//! times the radius in all, turning through 120° at the rim (IAMSAR Manual Vol II ch. 5; JP 3-50 Vol I,
//! 1991, p. 185). The way in along one spoke and out along the opposite one is one leg here, for it is
//! flown straight through the datum. The legs across the rim are as long as the radius and looked along
//! as well, so they are search legs.

use super::Layout;
use super::polar::PolarPlane;
use crate::geodesy::Declination;
use crate::plan::{Leg, LegKind, PatternKind};
use crate::tasking::SectorTask;
use crate::units::{Bearing, Length};
use std::f64::consts::PI;

/// Corners of the polygon that stands for the circle, at least. Chosen: its size is then less than
/// the circle's by 1 part in 700, its edges lie within a thousandth of the radius inside.
const RIM_CORNERS: u32 = 72;

/// A sector search whose first leg runs on true course `course`.
pub(super) fn layout(
    task: &SectorTask,
    course: Bearing,
    declination: Option<Declination>,
) -> Layout {
    let plane = PolarPlane {
        datum: task.datum,
        first_course: course,
        turn: task.turn,
    };
    let rim = |turned_deg: f64| {
        let (sin, cos) = turned_deg.to_radians().sin_cos();
        plane.place((task.radius.m() * sin, task.radius.m() * cos))
    };
    let passes = if task.second_pass { 2 } else { 1 };
    let spokes = task.sectors * passes;
    let apart_deg = 360.0 / f64::from(task.sectors);
    let mut legs = Vec::new();
    for pass in 0..passes {
        let mut spoke_deg = 360.0 / f64::from(spokes) * f64::from(pass);
        let mut at = task.datum;
        let mut fly_to = |place| {
            let label = (legs.len() + 1).to_string();
            legs.push(Leg::new(label, LegKind::Search, at, place));
            at = place;
        };
        for _ in 0..task.sectors / 2 {
            fly_to(rim(spoke_deg));
            fly_to(rim(spoke_deg + apart_deg));
            spoke_deg += apart_deg + 180.0;
        }
        fly_to(task.datum);
    }
    let corners = spokes * RIM_CORNERS.div_ceil(spokes);
    Layout {
        pattern: PatternKind::Sector,
        legs,
        spacing: mid_leg_spacing(task.radius, spokes),
        own_area: Some(
            (0..corners)
                .map(|i| rim(360.0 / f64::from(corners) * f64::from(i)))
                .collect(),
        ),
        notes: Vec::new(),
        declination,
    }
}

/// Distance between neighbouring spokes halfway out, which the average POD is reckoned with (JP 3-50
/// Vol I, 1991, p. 185): half of the chord between their ends.
fn mid_leg_spacing(radius: Length, spokes: u32) -> Length {
    Length::from_m(radius.m() * (PI / f64::from(spokes)).sin())
}
