//! Which fixes suffice to draw the flight and to replay it.
//!
//! Ramer, Douglas and Peucker's rule with the place compared at the same time instead of the nearest place of the
//! line, so that what is replayed is where it was when it was there: N. Meratnia and R. A. de By, "Spatiotemporal
//! compression techniques for moving point objects", EDBT 2004, LNCS 2992, 765-782 (from memory).

use super::flight::Flight;
use crate::matching::Matched;
use crate::track::seconds_between;
use crate::units::Length;
use std::ops::Range;

/// Bound on height. Chosen: finer than heights are read.
const HEIGHT: Length = Length::from_ft(15.0);
/// More fixes than this are not drawn: the bounds are doubled until they are fewer. Chosen: four hours at a fix a second
/// stay below it whatever was flown.
const MOST_DRAWN: usize = 16_000;
/// A time without heights that lasts at least as long is drawn as one, seconds. Chosen: one missing now and then is not.
const WITHOUT_HEIGHT_S: f64 = 10.0;

/// How far what is drawn may be from what was recorded, at the same time.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Bounds {
    /// In place.
    pub place: Length,
    /// In height, where it is recorded.
    pub height: Length,
}

/// Indices of the fixes to draw, and how far what is left out is from the lines between them at most. The ends of each phase,
/// of each hole and of each longer time without heights are kept.
#[must_use]
pub fn thinned(flight: Flight<'_>, matched: &Matched, within: Length) -> (Vec<usize>, Bounds) {
    let mut bounds = Bounds {
        place: within,
        height: HEIGHT,
    };
    let pieces = pieces(flight, matched);
    loop {
        let kept = within_bounds(flight, &pieces, &bounds);
        if kept.len() <= MOST_DRAWN.max(2 * pieces.len()) {
            return (kept, bounds);
        }
        bounds.place = Length::from_m(2.0 * bounds.place.m());
        bounds.height = Length::from_m(2.0 * bounds.height.m());
    }
}

/// The flight in pieces whose ends are kept.
fn pieces(flight: Flight<'_>, matched: &Matched) -> Vec<Range<usize>> {
    let fixes = &flight.track.fixes;
    let mut pieces = Vec::new();
    for span in &matched.spans {
        let mut start = span.fixes.start;
        let mut bare = span.fixes.start;
        for i in span.fixes.clone() {
            if fixes[i].height.get().is_some() {
                let lasted = seconds_between(fixes[bare].time, fixes[i].time);
                if bare < i && lasted >= WITHOUT_HEIGHT_S {
                    if start < bare {
                        pieces.push(start..bare);
                    }
                    pieces.push(bare..i);
                    start = i;
                }
                bare = i + 1;
            }
        }
        // Heights may end before the piece does.
        let end = span.fixes.end;
        let without_s = if bare < end {
            seconds_between(fixes[bare].time, fixes[end - 1].time)
        } else {
            0.0
        };
        if start < bare && without_s >= WITHOUT_HEIGHT_S {
            pieces.push(start..bare);
            start = bare;
        }
        pieces.push(start..end);
    }
    pieces
}

fn within_bounds(flight: Flight<'_>, pieces: &[Range<usize>], bounds: &Bounds) -> Vec<usize> {
    let mut keep = vec![false; flight.track.fixes.len()];
    let mut open: Vec<(usize, usize)> = Vec::new();
    for piece in pieces {
        let (first, last) = (piece.start, piece.end - 1);
        keep[first] = true;
        keep[last] = true;
        open.push((first, last));
    }
    while let Some((from, to)) = open.pop() {
        if let Some(worst) = worst(flight, from + 1..to, (from, to), bounds) {
            keep[worst] = true;
            open.push((from, worst));
            open.push((worst, to));
        }
    }
    (0..keep.len()).filter(|i| keep[*i]).collect()
}

/// The fix farthest outside the bounds of the line between two others; `None` if all keep to them.
fn worst(
    flight: Flight<'_>,
    fixes: Range<usize>,
    (from, to): (usize, usize),
    bounds: &Bounds,
) -> Option<usize> {
    let motion = flight.motion;
    let height = |i: usize| flight.track.fixes[i].height.get();
    let (start_s, lasts_s) = (motion.time_s[from], motion.time_s[to] - motion.time_s[from]);
    let (a, b) = (motion.xy[from], motion.xy[to]);
    let rise = height(from).zip(height(to));
    // Squares are compared: of millions of fixes no root is needed.
    let place2_m2 = bounds.place.m().powi(2);
    let mut worst = (1.0, None);
    for i in fixes {
        let share = if lasts_s > 0.0 {
            (motion.time_s[i] - start_s) / lasts_s
        } else {
            0.0
        };
        let at = a + (b - a) * share;
        let off = motion.xy[i] - at;
        let place2 = (off.x * off.x + off.y * off.y) / place2_m2;
        let height = match (rise, height(i)) {
            (Some((a, b)), Some(here)) => {
                let line_m = a.m() + (b.m() - a.m()) * share;
                (here.m() - line_m) / bounds.height.m()
            }
            _ => 0.0,
        };
        let by2 = place2.max(height * height);
        if by2 > worst.0 {
            worst = (by2, Some(i));
        }
    }
    worst.1
}
