//! A re-fly as a tasking of its own, laid out: what a crew is briefed with, flies, and is debriefed against.
//!
//! ```text
//! Refly, how the ground was looked at ─text→ refly.toml ─tasking::parse→ Tasking ─plan::lay_out→ Plan
//! ```
//!
//! The text is read back by the same reader as any tasking: what is laid out here is what another run gets
//! from the file. It asks for no POD of its own: alone each leg is held to what one pass can give, and what
//! the holes are held to is known to the plans that they are holes of.

mod text;

use super::Refly;
use crate::coverage::Looks;
use crate::geodesy::Position;
use crate::input::InputError;
use crate::plan::arithmetic::{LegRow, leg_table};
use crate::plan::survey::{AreaCorner, area_corners};
use crate::plan::{self, Plan};
use crate::preflight::{Preflight, Questions, preflight};
use crate::tasking::{self, Tasking};
use crate::units::Length;
use chrono::NaiveDate;
use std::path::Path;

/// Name of the file.
pub const FILE: &str = "refly.toml";

/// What a re-fly is tasked with beside its legs.
#[derive(Clone, Copy, Debug)]
pub struct Task<'a> {
    /// The sortie or the search that it mends.
    pub of: &'a str,
    /// Day of the last sortie.
    pub date: NaiveDate,
    /// Corners of the ground, where it is one piece.
    pub area: Option<&'a [Position]>,
    /// How the ground is looked at.
    pub looks: &'a Looks,
    /// Height to hold on legs without one of their own.
    pub altitude: Option<Length>,
    /// Where the aircraft comes from and returns to.
    pub base: Option<Position>,
    /// What is searched for.
    pub search_object: Option<&'a str>,
}

/// A re-fly tasked and laid out.
#[derive(Clone, Debug)]
pub struct Tasked {
    /// The tasking file.
    pub text: String,
    /// The tasking it holds.
    pub tasking: Tasking,
    /// The tasking laid out.
    pub plan: Plan,
    /// Its leg table.
    pub rows: Vec<LegRow>,
    /// The corners of its area.
    pub corners: Vec<AreaCorner>,
    /// The arithmetic beside it.
    pub preflight: Preflight,
}

impl Tasked {
    /// The re-fly tasked; `None` where there is nothing to fly again.
    ///
    /// # Errors
    /// When what is asked of the re-fly cannot be tasked, such as a ground speed at which nothing counts as
    /// looking, or legs too near to a pole.
    pub fn of(refly: &Refly, task: &Task<'_>) -> Result<Option<Self>, InputError> {
        if refly.legs.is_empty() {
            return Ok(None);
        }
        let path = Path::new(FILE);
        let text = text::text(refly, task);
        let tasking = tasking::parse(&text, path)?;
        let plan = plan::lay_out(&tasking, path)?;
        Ok(Some(Self {
            text,
            rows: leg_table(&plan, tasking.flight.ground_speed),
            corners: area_corners(&plan),
            preflight: preflight(&tasking, path, &plan, &Questions::default()),
            tasking,
            plan,
        }))
    }

    /// As [`of`](Self::of), with a remark for the reader in place of an error.
    #[must_use]
    pub fn or_remark(refly: &Refly, task: &Task<'_>) -> (Option<Self>, Option<String>) {
        match Self::of(refly, task) {
            Ok(tasked) => (tasked, None),
            Err(error) => {
                let remark = format!(
                    "The re-fly cannot be written as a tasking: {}; {}.",
                    error.problem, error.hint
                );
                (None, Some(remark))
            }
        }
    }
}
