//! Expanding square, one aircraft (SS).
//!
//! The commence search point is the datum; the first two legs are one spacing long, and every
//! succeeding pair is longer by another spacing, so that legs lie one spacing apart (IAMSAR Manual Vol
//! II ch. 5; JP 3-50 Vol I, 1991, p. 185). All legs are search legs.

use super::Layout;
use super::polar::PolarPlane;
use crate::geodesy::Declination;
use crate::plan::{Leg, LegKind, PatternKind};
use crate::tasking::{ExpandingSquareTask, SquareSize};
use crate::units::{Bearing, Length};

/// A place in spacings: across the first course on the side of the turns, and along it.
type Corner = (f64, f64);

/// Directions of the first four legs, which repeat.
const DIRECTIONS: [Corner; 4] = [(0.0, 1.0), (1.0, 0.0), (0.0, -1.0), (-1.0, 0.0)];

/// An expanding square whose first leg runs on true course `course`.
pub(super) fn layout(
    task: &ExpandingSquareTask,
    course: Bearing,
    declination: Option<Declination>,
) -> Layout {
    let spacing_m = task.spacing.m();
    let plane = PolarPlane {
        datum: task.datum,
        first_course: course,
        turn: task.turn,
    };
    let mut notes = Vec::new();
    let (corners, outline) = match task.size {
        SquareSize::Legs(count) => {
            let corners = corners(count, f64::from(count.div_ceil(2)));
            let outline = outline(&corners, true);
            (corners, outline)
        }
        SquareSize::Side(side) => {
            // A sliver of rounding must not cost two legs.
            let n = (side.m() / spacing_m - 1e-6).ceil().max(2.0);
            if n * spacing_m - side.m() > 0.01 * spacing_m {
                notes.push(format!(
                    "the square filled is {:.2} NM wide, the next whole number of spacings",
                    Length::from_m(n * spacing_m).nm()
                ));
            }
            let corners = corners(2 * n as u32 - 1, n - 1.0);
            let outline = outline(&corners, false);
            (corners, outline)
        }
    };
    let place = |&(x, y): &Corner| plane.place((x * spacing_m, y * spacing_m));
    let legs = corners
        .windows(2)
        .enumerate()
        .map(|(i, ends)| {
            Leg::new(
                (i + 1).to_string(),
                LegKind::Search,
                place(&ends[0]),
                place(&ends[1]),
            )
        })
        .collect();
    Layout {
        pattern: PatternKind::ExpandingSquare,
        legs,
        spacing: task.spacing,
        own_area: Some(outline.iter().map(place).collect()),
        notes,
        declination,
    }
}

/// The datum and the ends of `count` legs of 1, 1, 2, 2, 3, 3, … spacings, the last of `last`.
fn corners(count: u32, last: f64) -> Vec<Corner> {
    let mut at = (0.0, 0.0);
    let mut corners = vec![at];
    for i in 0..count {
        let (dx, dy) = DIRECTIONS[(i % 4) as usize];
        let length = if i + 1 == count {
            last
        } else {
            f64::from(i / 2 + 1)
        };
        at = (at.0 + dx * length, at.1 + dy * length);
        corners.push(at);
    }
    corners
}

/// The ground of the strips: a rectangle half a spacing wider than the legs on every side. A last leg
/// of full length (`full`) runs out of it by one spacing, and its strip with it.
fn outline(corners: &[Corner], full: bool) -> Vec<Corner> {
    let end = corners[corners.len() - 1];
    let ahead = DIRECTIONS[(corners.len() - 2) % 4];
    let inward = (ahead.1, -ahead.0);
    let dot = |a: Corner, b: Corner| a.0 * b.0 + a.1 * b.1;
    let within = if full {
        (end.0 - ahead.0, end.1 - ahead.1)
    } else {
        end
    };
    let rectangle = || corners[..corners.len() - 1].iter().chain([&within]);
    let back = rectangle()
        .map(|c| dot(*c, ahead))
        .fold(f64::INFINITY, f64::min)
        - 0.5;
    let far_side = rectangle()
        .map(|c| dot(*c, inward))
        .fold(f64::NEG_INFINITY, f64::max)
        + 0.5;
    let front = dot(within, ahead) + 0.5;
    let near_side = dot(end, inward) - 0.5;
    let mut ring = vec![(back, near_side)];
    if full {
        ring.extend([(front + 1.0, near_side), (front + 1.0, near_side + 1.0)]);
        // With a single leg the strip is all there is.
        if far_side > near_side + 1.5 {
            ring.push((front, near_side + 1.0));
            ring.push((front, far_side));
        }
    } else {
        ring.extend([(front, near_side), (front, far_side)]);
    }
    ring.push((back, far_side));
    ring.iter()
        .map(|(a, b)| (a * ahead.0 + b * inward.0, a * ahead.1 + b * inward.1))
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn shoelace(ring: &[Corner]) -> f64 {
        let n = ring.len();
        (0..n)
            .map(|i| ring[i].0 * ring[(i + 1) % n].1 - ring[(i + 1) % n].0 * ring[i].1)
            .sum::<f64>()
            .abs()
            / 2.0
    }

    /// Every spacing of way uncovers one square of ground beyond the first: by hand.
    #[test]
    fn ground_is_one_square_more_than_the_way() {
        for count in 1..30u32 {
            let corners = corners(count, f64::from(count.div_ceil(2)));
            let way: f64 = (1..=count).map(|i| f64::from(i.div_ceil(2))).sum();
            let ring = outline(&corners, true);
            assert!(
                (shoelace(&ring) - (way + 1.0)).abs() < 1e-9,
                "{count}: {ring:?}"
            );
        }
        for n in 2..15u32 {
            let side = f64::from(n);
            let ring = outline(&corners(2 * n - 1, side - 1.0), false);
            assert!(
                (shoelace(&ring) - side * side).abs() < 1e-9,
                "{n}: {ring:?}"
            );
        }
    }
}
