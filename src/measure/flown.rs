//! The flight fix by fix: what a reader needs to follow it along the clock, or to work on with.

use super::extremes::extremes;
use super::flight::Flight;
use super::passage::Passage;
use super::phase_time::leg_label;
use super::thinned::{Bounds, thinned};
use crate::geodesy::Position;
use crate::matching::{Matched, Phase};
use crate::units::{Bearing, Length, Speed};
use chrono::{DateTime, Utc};

/// No leg.
const NO_LEG: u16 = u16::MAX;

/// One fix of the flight, seen from the plan. Small, for there may be millions of them: what is not a place or a
/// time is kept to about seven digits.
#[derive(Clone, Copy, Debug)]
pub struct FlownFix {
    /// When.
    pub time: DateTime<Utc>,
    /// Where.
    pub position: Position,
    /// What was being flown.
    pub phase: Phase,
    /// Whether the log begins here, or goes on after a hole.
    pub after_hole: bool,
    leg: u16,
    height_m: f32,
    ground_speed_mps: f32,
    course_deg: f32,
    along_m: f32,
    xte_m: f32,
}

/// Which fixes are kept of a flight.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Kept {
    /// All of them.
    #[default]
    Every,
    /// Those that suffice for drawing and replaying it, and for height and speed over the clock.
    Drawn,
}

/// The flight fix by fix.
#[derive(Clone, Debug, Default)]
pub struct Flown {
    /// The fixes kept, in order.
    pub fixes: Vec<FlownFix>,
    /// How many the track has.
    pub recorded: usize,
    /// Indices, among those kept, of those that suffice for drawing and replaying it, within `bounds`.
    pub drawn: Vec<usize>,
    /// How far, at the time of any fix left out, the straight line between those drawn is from it at most.
    pub bounds: Bounds,
    legs: Vec<String>,
}

impl FlownFix {
    /// Height as recorded.
    #[must_use]
    pub fn height(&self) -> Option<Length> {
        length(self.height_m)
    }

    /// Speed over the ground.
    #[must_use]
    pub fn ground_speed(&self) -> Speed {
        Speed::from_mps(f64::from(self.ground_speed_mps))
    }

    /// True course over the ground; of no meaning when standing.
    #[must_use]
    pub fn course(&self) -> Bearing {
        Bearing::from_deg(f64::from(self.course_deg))
    }

    /// Distance from the planned start of the leg, on a planned leg between its ends.
    #[must_use]
    pub fn along(&self) -> Option<Length> {
        length(self.along_m)
    }

    /// Cross-track error, right of the leg in the direction flown positive, where `along` is known.
    #[must_use]
    pub fn xte(&self) -> Option<Length> {
        length(self.xte_m)
    }
}

fn length(m: f32) -> Option<Length> {
    (!m.is_nan()).then(|| Length::from_m(f64::from(m)))
}

impl Flown {
    /// Puts together what matching and measuring found of each fix that is to be kept. For drawing the flight is thinned to
    /// within `within` of the place at every moment.
    #[must_use]
    pub fn of(
        flight: Flight<'_>,
        matched: &Matched,
        passages: &[Passage],
        within: Length,
        kept: Kept,
    ) -> Self {
        let Flight { track, motion, .. } = flight;
        let recorded = track.fixes.len();
        let (drawn, bounds) = thinned(flight, matched, within);
        let kept: Vec<usize> = match kept {
            Kept::Every => (0..recorded).collect(),
            Kept::Drawn => {
                let mut kept = extremes(flight);
                kept.extend(&drawn);
                kept.sort_unstable();
                kept.dedup();
                kept
            }
        };
        let mut fixes: Vec<FlownFix> = kept
            .iter()
            .map(|&i| {
                let fix = &track.fixes[i];
                FlownFix {
                    time: fix.time,
                    position: fix.position,
                    phase: Phase::Ground,
                    after_hole: track.begins_stretch(i),
                    leg: NO_LEG,
                    height_m: fix
                        .height
                        .get()
                        .map_or(f32::NAN, |height| height.m() as f32),
                    ground_speed_mps: motion.speed_mps(i) as f32,
                    course_deg: motion.course_deg[i] as f32,
                    along_m: f32::NAN,
                    xte_m: f32::NAN,
                }
            })
            .collect();
        let place = |fix: usize| kept.partition_point(|kept| *kept < fix);
        let mut legs: Vec<String> = Vec::new();
        for span in &matched.spans {
            let leg = leg_label(flight, matched, span).map_or(NO_LEG, |label| {
                let known = legs.iter().position(|leg| *leg == label);
                let index = known.unwrap_or_else(|| {
                    legs.push(label);
                    legs.len() - 1
                });
                u16::try_from(index).unwrap_or(NO_LEG)
            });
            for fix in &mut fixes[place(span.fixes.start)..place(span.fixes.end)] {
                fix.phase = span.phase;
                fix.leg = leg;
            }
        }
        for piece in passages.iter().flat_map(|passage| &passage.pieces) {
            let mut at = piece.samples.first().map_or(0, |first| place(first.fix()));
            for sample in &piece.samples {
                at += kept[at..]
                    .iter()
                    .take_while(|fix| **fix < sample.fix())
                    .count();
                if kept.get(at) == Some(&sample.fix()) {
                    fixes[at].along_m = sample.along_m as f32;
                    fixes[at].xte_m = sample.cross_m as f32;
                }
            }
        }
        Self {
            drawn: drawn.into_iter().map(place).collect(),
            fixes,
            recorded,
            bounds,
            legs,
        }
    }

    /// Whether every fix is here.
    #[must_use]
    pub fn is_whole(&self) -> bool {
        self.fixes.len() == self.recorded
    }

    /// Labels of the legs flown, planned and additional.
    #[must_use]
    pub fn legs(&self) -> &[String] {
        &self.legs
    }

    /// Which of [`legs`](Self::legs) a fix was flown on.
    #[must_use]
    pub fn leg_index(&self, fix: &FlownFix) -> Option<usize> {
        (fix.leg != NO_LEG).then_some(usize::from(fix.leg))
    }

    /// Label of the leg that a fix was flown on.
    #[must_use]
    pub fn leg(&self, fix: &FlownFix) -> Option<&str> {
        self.leg_index(fix)
            .and_then(|index| self.legs.get(index))
            .map(String::as_str)
    }
}
