//! Which stretches of planned legs may have been flown while the log has a hole.
//!
//! *Not recorded* and *missed* must never be mixed: what may have been flown in a hole of the log is
//! neither known to be searched nor known to be missed. A hole that interrupts a leg hides the rest
//! of that leg, the beginning of the leg flown next and the legs between them in the plan, as far as
//! the aircraft could have come in that time. A log that begins or ends in flight near the area is
//! taken as a hole without end on that side.

use super::intervals::{Interval, union};
use super::passage::Passage;
use crate::geodesy::LegInPlane;
use crate::plan::Plan;
use crate::track::Track;
use crate::track::motion::Motion;
use crate::units::Speed;
use geo::{Distance, Euclidean, Point};

/// How much faster than tasked the aircraft may have been in a hole. Chosen: a generous tail wind.
const FASTER: f64 = 1.25;
/// A log that begins or ends in flight within this many spacings of the area may lack legs. Chosen.
const NEAR_SPACINGS: f64 = 2.0;

/// A hole: from the last fix before it to the first fix after it, where there are any.
struct Hole {
    before: Option<usize>,
    after: Option<usize>,
    reach_m: f64,
}

/// For each leg of the plan, the stretches that may have been flown unrecorded, metres from its
/// planned start.
#[must_use]
pub fn unrecorded(
    track: &Track,
    motion: &Motion,
    plan: &Plan,
    frames: &[LegInPlane],
    passages: &[Passage],
    ground_speed: Speed,
) -> Vec<Vec<Interval>> {
    let mut hidden: Vec<Vec<Interval>> = vec![Vec::new(); plan.legs.len()];
    let flown = |leg: usize| passages.iter().any(|p| p.leg == leg);
    for hole in holes(track, motion, plan, ground_speed) {
        let broken = hole.before.and_then(|fix| broken_off(passages, fix));
        let resumed = hole.after.and_then(|fix| taken_up(passages, fix));
        // The same passage on both sides: what lies between.
        if let (Some((p, left_m)), Some((q, back_m))) = (broken, resumed)
            && std::ptr::eq(p, q)
        {
            hidden[p.leg].push((left_m.min(back_m), left_m.max(back_m)));
            continue;
        }
        let length_m = |leg: usize| frames[leg].length().m();
        if let Some((p, left_m)) = broken {
            hidden[p.leg].push(if p.reversed {
                ((left_m - hole.reach_m).max(0.0), left_m)
            } else {
                (left_m, (left_m + hole.reach_m).min(length_m(p.leg)))
            });
        }
        if let Some((p, back_m)) = resumed {
            hidden[p.leg].push(if p.reversed {
                (back_m, (back_m + hole.reach_m).min(length_m(p.leg)))
            } else {
                ((back_m - hole.reach_m).max(0.0), back_m)
            });
        }
        for leg in legs_hidden_between(&hole, plan, passages) {
            if !flown(leg) {
                hidden[leg].push((0.0, length_m(leg)));
            }
        }
    }
    hidden.into_iter().map(union).collect()
}

fn holes(track: &Track, motion: &Motion, plan: &Plan, ground_speed: Speed) -> Vec<Hole> {
    let reach_m = |duration_s: f64| FASTER * ground_speed.mps() * duration_s;
    let mut holes: Vec<Hole> = track
        .gaps()
        .iter()
        .map(|gap| Hole {
            before: Some(gap.before),
            after: Some(gap.before + 1),
            reach_m: reach_m(gap.duration_s),
        })
        .collect();
    let open_end = |fix: usize| {
        let area = plan.area.polygon();
        let away = Euclidean.distance(&Point::from(motion.xy[fix]), area);
        motion.is_flying(fix) && away <= NEAR_SPACINGS * plan.spacing.m()
    };
    let last = track.fixes.len() - 1;
    if open_end(0) {
        holes.push(Hole {
            before: None,
            after: Some(0),
            reach_m: f64::INFINITY,
        });
    }
    if open_end(last) {
        holes.push(Hole {
            before: Some(last),
            after: None,
            reach_m: f64::INFINITY,
        });
    }
    holes
}

/// The passage that breaks off at fix `before`, and where on its leg.
fn broken_off(passages: &[Passage], before: usize) -> Option<(&Passage, f64)> {
    passages.iter().find_map(|passage| {
        let piece = passage.pieces.iter().find(|p| p.run.end == before + 1)?;
        Some((passage, piece.samples.last()?.along_m))
    })
}

/// The passage that is taken up at fix `after`, and where on its leg.
fn taken_up(passages: &[Passage], after: usize) -> Option<(&Passage, f64)> {
    passages.iter().find_map(|passage| {
        let piece = passage.pieces.iter().find(|p| p.run.start == after)?;
        Some((passage, piece.samples.first()?.along_m))
    })
}

/// Search legs that may have been flown in a hole: those between the leg flown last before it and
/// the leg flown next after it, in the plan's order or against it, if there was time enough for
/// them; where the log begins or ends with the hole, those before the first leg flown or after the
/// last, as the flight goes through the plan.
fn legs_hidden_between(hole: &Hole, plan: &Plan, passages: &[Passage]) -> Vec<usize> {
    let before = hole.before.map_or(&passages[..0], |fix| {
        &passages[..passages.partition_point(|p| p.fixes.start <= fix)]
    });
    let after = hole.after.map_or(&passages[..0], |fix| {
        &passages[passages.partition_point(|p| p.fixes.end <= fix)..]
    });
    let between = match (before, after) {
        ([.., last], [next, ..]) => last.leg.min(next.leg) + 1..last.leg.max(next.leg),
        ([.., previous, last], []) if previous.leg > last.leg => 0..last.leg,
        ([.., last], []) => last.leg + 1..plan.legs.len(),
        ([], [next, second, ..]) if second.leg < next.leg => next.leg + 1..plan.legs.len(),
        ([], [next, ..]) => 0..next.leg,
        ([], []) => 0..plan.legs.len(),
    };
    if between.is_empty() {
        return Vec::new();
    }
    let way_m: f64 = plan.legs[between.clone()]
        .iter()
        .map(|leg| leg.length.m())
        .sum();
    if way_m > hole.reach_m {
        return Vec::new();
    }
    plan.search_legs()
        .map(|(index, _)| index)
        .filter(|index| between.contains(index))
        .collect()
}
