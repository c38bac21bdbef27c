//! What is flown: a passage along a line, and what happens on it.

use super::SimulateError;
use super::truth::PassKind;
use crate::geodesy::{LegFrame, Position, geodesic};
use crate::plan::Leg;
use crate::tasking::Side;
use crate::units::{Bearing, Length};

/// A straight line to follow, in the direction flown.
#[derive(Clone, Debug)]
pub(super) struct Line {
    pub(super) start: Position,
    pub(super) end: Position,
    pub(super) frame: LegFrame,
    pub(super) course_at_start: Bearing,
    pub(super) course_at_end: Bearing,
}

impl Line {
    pub(super) fn new(start: Position, end: Position) -> Self {
        let geodesic = geodesic::between(start, end);
        Self {
            start,
            end,
            frame: LegFrame::new(start, end),
            course_at_start: geodesic.course_at_start,
            course_at_end: geodesic.course_at_end,
        }
    }

    pub(super) const fn length_m(&self) -> f64 {
        self.frame.length().m()
    }
}

/// One passage along a leg, planned or additional.
#[derive(Clone, Debug)]
pub(super) struct Pass {
    pub(super) label: String,
    pub(super) kind: PassKind,
    /// Flown against the planned direction.
    pub(super) reversed: bool,
    pub(super) line: Line,
    /// Height to fly it at, where the leg has one of its own.
    pub(super) altitude: Option<Length>,
    /// Where the pilot aims, metres right of the line.
    pub(super) aim_m: f64,
    /// Where the line is left early, metres from its flown start.
    pub(super) leave_m: Option<f64>,
    /// What happens on it, in the order flown.
    pub(super) events: Vec<Event>,
}

/// Something that happens on a pass.
#[derive(Clone, Debug)]
pub(super) struct Event {
    /// Where it begins, metres from the flown start.
    pub(super) along_m: f64,
    pub(super) what: Happening,
}

#[derive(Clone, Debug)]
pub(super) enum Happening {
    Orbit { turns: u32, side: Side },
    Dropout { duration_s: f64 },
    Excursion { outside_s: f64 },
}

impl Pass {
    /// A distance from the flown start as one from the planned start.
    pub(super) fn planned_along(&self, along_m: f64) -> f64 {
        if self.reversed {
            self.line.length_m() - along_m
        } else {
            along_m
        }
    }
}

/// The search legs as they are flown.
pub(super) struct Legs<'p> {
    pub(super) all: Vec<&'p Leg>,
}

impl<'p> Legs<'p> {
    pub(super) fn of(legs: &'p [Leg]) -> Self {
        Self {
            all: legs.iter().collect(),
        }
    }

    /// The index of the leg with this number as its label; else, where legs have labels of their own, of the one at
    /// this place in their order.
    pub(super) fn index(&self, number: u32) -> Result<usize, SimulateError> {
        let label = number.to_string();
        self.all
            .iter()
            .position(|leg| leg.label == label)
            .or_else(|| {
                let place = usize::try_from(number).ok()?.checked_sub(1)?;
                (place < self.all.len()).then_some(place)
            })
            .ok_or_else(|| SimulateError::NoSuchLeg {
                number,
                legs: match self.all.as_slice() {
                    [only] => only.label.clone(),
                    [first, .., last] => format!("{} to {}", first.label, last.label),
                    [] => String::new(),
                },
            })
    }
}
