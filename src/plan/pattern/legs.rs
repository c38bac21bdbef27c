//! Separate straight legs, such as those of a re-fly. IAMSAR has no code for them.

use super::{Layout, with_cross_legs};
use crate::geodesy::{Declination, Position};
use crate::plan::{LegKind, PatternKind};
use crate::tasking::LegsTask;

/// What a reader must know where the ground is not tasked.
const NO_AREA: &str = "No [area] is tasked with these separate legs: the area is the hull of their strips, with \
                       ground between them that nobody was to look at, so that figures over the area say little; \
                       those strip by strip are not affected.";

/// The legs in the order given, each with its label and its height, and a cross-leg wherever one does not
/// begin where the one before ends. `has_area` says whether the tasking has an area.
pub(super) fn layout(task: &LegsTask, declination: Option<Declination>, has_area: bool) -> Layout {
    let lines: Vec<(Position, Position)> =
        task.legs.iter().map(|leg| (leg.start, leg.end)).collect();
    let mut legs = with_cross_legs(&lines);
    let mut next = 0;
    for leg in &mut legs {
        let own = &task.legs[next];
        // A way to a leg is flown at the height of that leg.
        leg.altitude = own.altitude;
        match leg.kind {
            LegKind::Search => {
                leg.label.clone_from(&own.label);
                next += 1;
            }
            LegKind::Cross => leg.label = format!("{}-{}", task.legs[next - 1].label, own.label),
        }
    }
    // One leg makes a strip, whose hull is no more than it.
    let hull_is_more = task.legs.len() > 1;
    Layout {
        pattern: PatternKind::Legs,
        legs,
        spacing: task.spacing,
        own_area: None,
        notes: (!has_area && hull_is_more)
            .then(|| NO_AREA.to_owned())
            .into_iter()
            .collect(),
        declination,
    }
}
