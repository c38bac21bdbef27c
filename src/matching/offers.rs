//! What each moment costs on each planned leg near it.
//!
//! A fix costs a leg something per second for being away from it, flying another course, running past its ends and,
//! where the leg has one of its own, another height. That depends on nothing but the fix, so that moments are weighed on all cores;
//! the [`sequence`](super::sequence) then goes through what was found.

use super::leg_index::LegIndex;
use crate::geodesy::LegInPlane;
use crate::plan::Plan;
use crate::track::Track;
use crate::track::motion::Motion;
use crate::units::{Length, wrap_180};
use rayon::prelude::*;
use std::ops::Range;

/// Weight per second. Chosen: deviations within about ten seconds are one event, not many.
const PER_SECOND: f64 = 0.1;
/// Standard deviation of cross-track error, in spacings; at twice this, 0.4 spacings, a straight
/// run is as well explained by being off the plan. Chosen: legs flown in between lie at 0.5.
const CROSS_SD_SPACINGS: f64 = 0.2;
/// Standard deviation of the course about the leg's, degrees. Chosen.
const COURSE_SD_DEG: f64 = 15.0;
/// Standard deviation of running past the ends, in spacings. Chosen.
const OVERRUN_SD_SPACINGS: f64 = 0.4;
/// Standard deviation of height about that of a leg which has one of its own. Chosen: 200 ft, the usual
/// tolerance; legs of neighbouring bands, usually 500 ft apart, are told apart by it.
const HEIGHT_SD: Length = Length::from_ft(200.0);
/// Most that height can count against a leg. Chosen: less than being off the plan, so that a leg flown
/// at a wrong height is still that leg.
const WORST_HEIGHT: f64 = 1.5;
/// Cost of being off the plan, that is two standard deviations of one of the above. Chosen.
const OFF_PLAN: f64 = 2.0;
/// Most that a fix can count against a leg, so that a short lapse does not end it. Chosen.
const WORST: f64 = 12.0;
/// Legs farther than this from a fix are not considered, in spacings. Chosen: beyond it
/// being off the plan is cheaper whatever the course.
const GATE_SPACINGS: f64 = 0.8;
/// Courses farther than this from the leg's are not considered, degrees.
const COURSE_GATE_DEG: f64 = 75.0;

/// Steps weighed in one task. Chosen: some minutes of flight, in which the tree of legs is asked some twenty times.
const STEPS_A_TASK: usize = 512;

/// A fix that is weighed, and the fixes up to the next one, for which it stands.
#[derive(Clone, Debug)]
pub(super) struct Step {
    pub fixes: Range<usize>,
    pub begins_stretch: bool,
    /// Time it stands for, seconds; never reaches into a gap.
    pub duration_s: f64,
}

/// A planned leg in one of its two directions.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Direction {
    /// Index of the leg in the plan.
    pub leg: u32,
    /// From its planned end to its start.
    pub reversed: bool,
}

/// A leg near a step, in the direction that fits the course better.
#[derive(Clone, Copy, Debug)]
pub(super) struct Offer {
    pub on: Direction,
    /// What the step costs on it.
    pub cost: f64,
}

/// What steps that follow each other cost.
#[derive(Debug, Default)]
pub(super) struct Offers {
    offers: Vec<Offer>,
    /// Of each step: what it costs off the plan, and where its offers end.
    steps: Vec<(f64, usize)>,
}

impl Offers {
    /// Of each step in turn what it costs off the plan, and the legs near it.
    pub fn of_steps(&self) -> impl Iterator<Item = (f64, &[Offer])> {
        let starts = std::iter::once(0).chain(self.steps.iter().map(|(_, end)| *end));
        self.steps
            .iter()
            .zip(starts)
            .map(|((off_plan, end), start)| (*off_plan, &self.offers[start..*end]))
    }
}

/// Weighs steps against the legs of a plan.
#[derive(Debug)]
pub(super) struct Weighing<'a> {
    track: &'a Track,
    motion: &'a Motion,
    plan: &'a Plan,
    frames: &'a [LegInPlane],
    index: LegIndex,
}

impl<'a> Weighing<'a> {
    pub fn new(
        track: &'a Track,
        motion: &'a Motion,
        plan: &'a Plan,
        frames: &'a [LegInPlane],
    ) -> Self {
        Self {
            track,
            motion,
            plan,
            frames,
            index: LegIndex::new(plan),
        }
    }

    /// What the steps cost, part after part.
    pub fn of(&self, steps: &[Step]) -> Vec<Offers> {
        steps
            .par_chunks(STEPS_A_TASK)
            .map(|steps| self.of_part(steps))
            .collect()
    }

    fn of_part(&self, steps: &[Step]) -> Offers {
        let mut near_legs = self.index.within(GATE_SPACINGS * self.plan.spacing.m());
        let mut found = Offers::default();
        for step in steps {
            let fix = step.fixes.start;
            let weight = PER_SECOND * step.duration_s;
            if self.motion.is_flying(fix) {
                let near = near_legs.at(self.motion.xy[fix]);
                let offers = near
                    .iter()
                    .filter_map(|near| self.offer(*near, fix, weight));
                found.offers.extend(offers);
            }
            found.steps.push((weight * OFF_PLAN, found.offers.len()));
        }
        found
    }

    /// The leg and its cost, in the direction that fits the course better, if the course fits at all.
    fn offer(&self, leg: usize, fix: usize, weight: f64) -> Option<Offer> {
        let frame = &self.frames[leg];
        let at = frame.locate(self.motion.xy[fix]);
        let off_deg = wrap_180(self.motion.course_deg[fix] - frame.course_at(at.along_m).deg());
        let reversed = off_deg.abs() > 90.0;
        let off_deg = if reversed {
            wrap_180(off_deg + 180.0)
        } else {
            off_deg
        };
        if off_deg.abs() > COURSE_GATE_DEG {
            return None;
        }
        let spacing_m = self.plan.spacing.m();
        let overrun_m = (-at.along_m).max(at.along_m - frame.length().m()).max(0.0);
        let half_square = |x: f64| 0.5 * x * x;
        let cost = half_square(at.cross_m / (CROSS_SD_SPACINGS * spacing_m))
            + half_square(off_deg / COURSE_SD_DEG)
            + half_square(overrun_m / (OVERRUN_SD_SPACINGS * spacing_m));
        let altitude = self.plan.legs[leg].altitude;
        let height_cost = altitude.map_or(0.0, |altitude| {
            height_cost(altitude, self.track.fixes[fix].height.get())
        });
        let cost = (cost + height_cost).min(WORST);
        Some(Offer {
            on: Direction {
                // A plan of so many legs as do not fit does not fit into memory either.
                leg: leg as u32,
                reversed,
            },
            cost: weight * cost,
        })
    }
}

/// What height counts against a leg that has one of its own: nothing, if it was not recorded.
fn height_cost(altitude: Length, height: Option<Length>) -> f64 {
    height.map_or(0.0, |height| {
        let off = (height.m() - altitude.m()) / HEIGHT_SD.m();
        (0.5 * off * off).min(WORST_HEIGHT)
    })
}
