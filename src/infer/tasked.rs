//! An inferred plan as a tasking, laid out.
//!
//! The text is read back by the same reader as any tasking: what is laid out here is what another run gets from
//! the file.

use super::text::{Given, text};
use super::{Inferred, infer};
use crate::input::InputError;
use crate::plan::{self, Plan};
use crate::tasking::{self, Tasking};
use crate::track::Track;
use crate::track::motion::FLYING_MPS;
use crate::units::Speed;
use std::path::Path;

/// Name of the file.
pub const FILE: &str = "inferred.toml";

/// A plan inferred from a flight, as a tasking and laid out.
#[derive(Clone, Debug)]
pub struct Tasked {
    /// What was inferred.
    pub inferred: Inferred,
    /// The tasking file.
    pub text: String,
    /// The tasking it holds.
    pub tasking: Tasking,
    /// The tasking laid out.
    pub plan: Plan,
}

impl Tasked {
    /// The plan that a flight is likely to have followed. `log` is named in errors.
    ///
    /// # Errors
    /// When no pattern is recognised, or one that no tasking takes: too small, too slow, too near to a pole.
    pub fn of(track: &Track, log: &Path, given: Given<'_>) -> Result<Self, InputError> {
        let refuse = |problem: String, hint: String| InputError::new(log, None, problem, hint);
        let inferred = infer(track).map_err(|none| {
            refuse(
                none.to_string(),
                "give what was assigned with --tasking; a single straight run, a bent track line, a contour \
                 search or a route cannot be told from other flight"
                    .to_owned(),
            )
        })?;
        let slowest = Speed::from_mps(FLYING_MPS);
        let found = format!(
            "a pattern is recognised in it, {} of {} legs,",
            inferred.pattern.name(),
            inferred.legs
        );
        if inferred.handled.ground_speed < slowest {
            return Err(refuse(
                format!(
                    "{found} flown at {:.0} kt; a debrief takes less than {:.0} kt for standing",
                    inferred.handled.ground_speed.kt(),
                    slowest.kt()
                ),
                "give the log of an aircraft".to_owned(),
            ));
        }
        let text = text(&inferred, given);
        let path = Path::new(FILE);
        let laid_out = tasking::parse(&text, path)
            .and_then(|tasking| plan::lay_out(&tasking, path).map(|plan| (tasking, plan)));
        let (tasking, plan) = laid_out.map_err(|error| {
            refuse(
                format!("{found} but no tasking takes it: {}", error.problem),
                "give what was assigned with --tasking".to_owned(),
            )
        })?;
        Ok(Self {
            inferred,
            text,
            tasking,
            plan,
        })
    }
}
