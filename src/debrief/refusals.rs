//! Why a log and a tasking cannot be debriefed together.

use crate::detection::Scanners;
use crate::input::InputError;
use crate::measure::Flight;
use crate::plan::{PatternKind, Plan};
use crate::tasking::Tasking;
use crate::track::Track;
use crate::units::Length;
use chrono::{DateTime, Utc};
use geo::{Distance, Euclidean, Point};
use std::path::Path;

/// Days by which log and tasking may differ: a flight may run past midnight, and the tasking may
/// give the local date.
const DAYS_APART: i64 = 1;

/// Refuses a log of another day.
pub(super) fn same_day(
    track: &Track,
    track_path: &Path,
    tasking: &Tasking,
) -> Result<(), InputError> {
    let (first, last) = (track.fixes[0].time, track.fixes[track.fixes.len() - 1].time);
    let days = |at: DateTime<Utc>| (at.date_naive() - tasking.date).num_days();
    if days(first) > DAYS_APART || days(last) < -DAYS_APART {
        return Err(InputError::new(
            track_path,
            None,
            format!(
                "the log is of {}, the tasking \"{}\" of {}",
                first.date_naive(),
                tasking.sortie,
                tasking.date
            ),
            "give the log of that flight, or correct `date` in the tasking",
        ));
    }
    Ok(())
}

/// With scanners on one side, what a perfectly flown pattern gives depends on whether its legs run to
/// and fro; the closed form is that of legs that do.
pub(super) fn looked_from_one_side_turning_one_way(tasking: &Tasking, plan: &Plan) -> bool {
    let turns_one_way = matches!(
        plan.pattern,
        PatternKind::ExpandingSquare | PatternKind::Sector
    );
    turns_one_way && tasking.detection.view.scanners != Scanners::Both
}

pub(super) fn no_target(tasking: &Tasking, plan: &Plan) -> InputError {
    InputError::new(
        Path::new(&tasking.source.name),
        None,
        format!(
            "no target POD can be worked out for this pattern, {}, looked from one side",
            plan.pattern.name()
        ),
        "give `target_pod` in [detection], such as target_pod = 0.4, or `scanners = \"both\"`",
    )
}

pub(super) fn too_many_cells(
    error: &crate::coverage::TooManyCells,
    tasking: &Tasking,
) -> InputError {
    InputError::new(
        Path::new(&tasking.source.name),
        None,
        error.to_string(),
        "give a wider `spacing` or a smaller [area]",
    )
}

/// Says why nothing could be matched: the track stays away from the area, or flies none of the plan.
pub(super) fn nothing_flown(flight: Flight<'_>, track_path: &Path) -> InputError {
    let area = flight.plan.area.polygon();
    let nearest_m = flight
        .motion
        .xy
        .iter()
        .map(|xy| Euclidean.distance(&Point::from(*xy), area))
        .fold(f64::INFINITY, f64::min);
    let (problem, hint) = if nearest_m > 0.0 {
        (
            format!(
                "the track never comes within {:.1} NM of the search area",
                Length::from_m(nearest_m).nm()
            ),
            "check that log and tasking belong together, and the signs of latitude and longitude",
        )
    } else {
        (
            "the track enters the search area but flies none of the planned legs, and no straight \
             run beside them"
                .to_owned(),
            "check that log and tasking belong together, and `first_course`, `turn` and `spacing`",
        )
    };
    InputError::new(track_path, None, problem, hint)
}
