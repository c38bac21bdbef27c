//! The tasking laid out again over other ground or at another spacing.

use super::figures::{Axis, LegFigures};
use crate::plan::{self, Plan};
use crate::tasking::{
    AreaShape, AreaTask, Course, ExpandingSquareTask, Fit, PatternTask, SquareSize, SweepTask,
    Tasking,
};
use crate::units::Length;
use serde::Serialize;
use std::path::Path;

/// Spacings and legs that a tasking may ask for; others are not laid out.
const SPACINGS_M: std::ops::RangeInclusive<f64> = 10.0..=100_000.0;
const MAX_LEGS: f64 = 2000.0;

/// What came of laying the tasking out again.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Relaid {
    /// The figures of the plan; `None` if it cannot be laid out so.
    pub legs: Option<LegFigures>,
    /// Why it cannot be laid out so.
    pub problem: Option<String>,
    /// What the plan says about how it came out.
    pub notes: Vec<String>,
}

impl Relaid {
    pub(super) fn refused(problem: String) -> Self {
        Self {
            legs: None,
            problem: Some(problem),
            notes: Vec::new(),
        }
    }
}

/// A tasking with its plan, to be laid out again.
pub(super) struct Relay<'a> {
    pub(super) tasking: &'a Tasking,
    pub(super) tasking_path: &'a Path,
    pub(super) plan: &'a Plan,
    pub(super) axis: &'a Axis,
}

impl Relay<'_> {
    /// The same ground at another spacing. A sweep gets its start, the number and the length of its
    /// legs from the area, also where the tasking gives them.
    pub(super) fn at_spacing(&self, spacing: Length) -> Relaid {
        if !SPACINGS_M.contains(&spacing.m()) {
            return Relaid::refused(
                "the spacing is outside what can be laid out, 10 m to 100 km".into(),
            );
        }
        let corners = || AreaShape::Corners(self.plan.area.corners().to_vec());
        let laid = match &self.tasking.pattern {
            PatternTask::ParallelSweep(task) | PatternTask::CreepingLine(task) => {
                self.sweep_over(task, corners(), spacing)
            }
            PatternTask::ExpandingSquare(task) => self.square(task, spacing),
            PatternTask::Sector(_) => {
                Err("the spacing of a sector search follows from its radius and its sectors".into())
            }
            // Above all a route, whose legs stay where they are.
            _ => Err("the legs of this pattern do not follow from the area".into()),
        };
        match laid {
            Ok(plan) => self.figures(plan),
            Err(problem) => Relaid::refused(problem),
        }
    }

    /// The figures of a plan laid out again.
    pub(super) fn figures(&self, plan: Plan) -> Relaid {
        Relaid {
            legs: Some(LegFigures::of(&plan, self.tasking.flight.ground_speed)),
            problem: None,
            notes: plan.notes,
        }
    }

    /// A sweep over another area, on the same course as seen from the middle of it.
    pub(super) fn sweep_over(
        &self,
        task: &SweepTask,
        shape: AreaShape,
        spacing: Length,
    ) -> Result<Plan, String> {
        // Without an area the legs are as tasked: what says how to fill one says nothing.
        let given = self.plan.area_given;
        let task = SweepTask {
            start: None,
            first_course: Course::True(self.axis.course),
            // Interleaved, each of the two sets has legs twice as far apart.
            spacing: Length::from_m(spacing.m() * if task.interleave { 2.0 } else { 1.0 }),
            leg_length: None,
            legs: None,
            end_inset: task.end_inset.filter(|_| given),
            fit: if given { task.fit } else { Fit::Nearest },
            turn: task.turn,
            interleave: task.interleave,
        };
        let pattern = match self.tasking.pattern {
            PatternTask::CreepingLine(_) => PatternTask::CreepingLine(task),
            _ => PatternTask::ParallelSweep(task),
        };
        let area = AreaTask {
            line: self.tasking.area.as_ref().map_or(1, |area| area.line),
            shape,
        };
        self.lay_out(Some(area), pattern)
    }

    /// An expanding square over a square of the same size.
    fn square(&self, task: &ExpandingSquareTask, spacing: Length) -> Result<Plan, String> {
        let side = match task.size {
            SquareSize::Side(side) => side,
            SquareSize::Legs(_) => {
                let (legs, s) = (self.plan.total_length().m(), task.spacing.m());
                // Each spacing of way uncovers a square of ground beyond the first one.
                Length::from_m(((legs / s + 1.0) * s * s).sqrt())
            }
        };
        if side.m() <= spacing.m() {
            return Err(format!(
                "the spacing is not less than the side of the square, {:.2} NM",
                side.nm()
            ));
        }
        if 2.0 * side.m() / spacing.m() > MAX_LEGS {
            return Err(format!("more than {MAX_LEGS:.0} legs would be needed"));
        }
        let task = ExpandingSquareTask {
            first_course: Course::True(self.axis.course),
            spacing,
            size: SquareSize::Side(side),
            ..task.clone()
        };
        self.lay_out(
            self.tasking.area.clone(),
            PatternTask::ExpandingSquare(task),
        )
    }

    fn lay_out(&self, area: Option<AreaTask>, pattern: PatternTask) -> Result<Plan, String> {
        let tasking = Tasking {
            area,
            pattern,
            ..self.tasking.clone()
        };
        plan::lay_out(&tasking, self.tasking_path).map_err(|error| error.problem)
    }
}
