//! Legs from the points of a route.

use crate::geodesy::Position;
use crate::plan::{Leg, LegKind};
use crate::units::Length;

/// A leg counts as cross-leg when it is at most this many spacings long … Chosen.
const CROSS_LEG_SPACINGS: f64 = 1.5;
/// … and the legs before and after it run opposite to each other within this angle. Chosen.
const OPPOSITE_WITHIN_DEG: f64 = 30.0;

/// The legs along a route of at least two different points. A short leg that joins two longer legs
/// of opposite course is a cross-leg; every other leg is a search leg.
pub(super) fn legs(points: &[Position], spacing: Length) -> Vec<Leg> {
    let lines: Vec<Leg> = points
        .windows(2)
        .map(|pair| Leg::new("", LegKind::Search, pair[0], pair[1]))
        .collect();
    let mut number = 0;
    let mut legs = Vec::with_capacity(lines.len());
    for (i, line) in lines.iter().enumerate() {
        let before = i.checked_sub(1).and_then(|b| lines.get(b));
        let is_cross = before.zip(lines.get(i + 1)).is_some_and(|(before, after)| {
            let turned = before.course.turn_to(after.course).abs();
            line.length.m() <= CROSS_LEG_SPACINGS * spacing.m()
                && turned >= 180.0 - OPPOSITE_WITHIN_DEG
                && line.length.m() < before.length.m()
                && line.length.m() < after.length.m()
        });
        let (label, kind) = if is_cross {
            (format!("{number}-{}", number + 1), LegKind::Cross)
        } else {
            number += 1;
            (number.to_string(), LegKind::Search)
        };
        legs.push(Leg {
            label,
            kind,
            ..line.clone()
        });
    }
    legs
}
