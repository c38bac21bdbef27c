//! The whole job: a track, a tasking and its plan become one value, from which every report is
//! written.

pub mod seal;
mod value;

pub use value::*;

use crate::cautions;
use crate::coverage::look::Look;
use crate::coverage::looking::LookingLine;
use crate::coverage::{Coverage, Covered, Grid, Looks, Strip, cover, strip_lines};
use crate::detection::Scanners;
use crate::input::{InputError, InputFile};
use crate::matching::{Matched, match_track};
use crate::measure::handling::Limits;
use crate::measure::passage::passages;
use crate::measure::phase_time::{leg_label, phase_spans, phase_totals};
use crate::measure::shift::{Circumstances, recognise, with_recognised};
use crate::measure::turns::turns;
use crate::measure::unrecorded::unrecorded;
use crate::measure::{
    AdditionalLeg, AreaTime, Flight, Handling, LegReport, LegState, Pass, PatternShift, Wind,
    additional, leg_report, pass,
};
use crate::plan::{PatternKind, Plan, pattern};
use crate::refly::{self, Refly};
use crate::tasking::Tasking;
use crate::track::Track;
use crate::track::motion::Motion;
use crate::units::Length;
use chrono::{DateTime, Utc};
use geo::{Distance, Euclidean, LineString, Point, SimplifyIdx};
use std::path::Path;

/// Cross-track tolerance where the tasking names none: the smaller of this, "whenever it is off
/// more than one-quarter mile" (JP 3-50 Vol I, 1991, p. 394), and a quarter of the spacing.
const CROSS_TRACK_TOLERANCE: Length = Length::from_nm(0.25);
/// The track for drawing departs from the flown one by at most this share of the spacing.
const DRAWN_WITHIN_SPACINGS: f64 = 0.01;
/// Days by which log and tasking may differ: a flight may run past midnight, and the tasking may
/// give the local date.
const DAYS_APART: i64 = 1;

/// Debriefs a track against a plan. `track_path` is named in errors.
///
/// # Errors
/// When the log is of another day or another place, or follows nothing of the plan, or the area is
/// too large for its spacing.
pub fn debrief(
    track: &Track,
    track_path: &Path,
    tasking: &Tasking,
    plan: &Plan,
) -> Result<Debrief, InputError> {
    same_day(track, track_path, tasking)?;
    let turns_one_way = looked_from_one_side_turning_one_way(tasking, plan);
    if turns_one_way && tasking.detection.target_pod.is_none() {
        return Err(no_target(tasking, plan));
    }
    let grid = Grid::over(&plan.area, plan.spacing, tasking.detection.sweep_width)
        .map_err(|error| too_many_cells(&error, tasking))?;
    let motion = Motion::of(track, &plan.frame);
    let frames = pattern::frames(&plan.legs);
    let flight = Flight {
        track,
        motion: &motion,
        plan,
        frames: &frames,
    };
    let tolerances = tolerances_used(tasking, plan);
    let recognised = recognise(flight, tolerances.cross_track);
    let matched = match_track(track, &motion, plan, &frames);
    let matched = match &recognised {
        Some(recognised) => with_recognised(matched, recognised, flight),
        None => matched,
    };
    let window = matched
        .window()
        .ok_or_else(|| nothing_flown(flight, track_path))?;

    let limits = Limits::new(
        &tasking.flight,
        tolerances.ground_speed,
        tolerances.altitude,
    );
    let wind = Wind::estimate(window.clone(), &motion);
    let (passages, passes) = pass::passes(
        flight,
        passages(track, &motion, plan, &frames, &matched),
        tolerances.cross_track,
        &limits,
        wind.as_ref(),
    );
    let hidden = unrecorded(
        track,
        &motion,
        plan,
        &frames,
        &passages,
        tasking.flight.ground_speed,
    );
    let legs = leg_report::leg_reports(
        flight,
        &passages,
        &hidden,
        tolerances.cross_track,
        (&window, tasking.flight.ground_speed),
    );
    let pattern_shift = recognised.as_ref().map(|recognised| {
        let circumstances = Circumstances {
            pattern: plan.pattern,
            course: tasking.pattern.first_course(),
            turn: tasking.pattern.turn(),
            declination: plan.declination.as_ref(),
            wind: wind.as_ref(),
            legs_missed: legs.iter().any(|leg| leg.state == LegState::NotFlown),
        };
        PatternShift::measure(flight, recognised, &circumstances)
    });
    let additional_legs = additional::additional_legs(flight, &matched, &limits);
    let turns = turns(
        flight,
        &matched,
        &passages,
        &additional_legs,
        tolerances.cross_track,
    );
    let phases = phase_spans(flight, &matched);
    let (from, to) = search_window(track, &window, &passes, &additional_legs);
    let area_time = AreaTime::measure(flight, &matched, &phases, window, (from, to));
    let Covered {
        coverage,
        strips,
        lines,
    } = cover(
        grid,
        plan,
        &tasking.detection,
        &matched,
        &motion,
        &legs,
        area_time.not_recorded_s,
    );
    let looks = looks(tasking, flight, &matched, &legs, &lines);
    let refly = refly(tasking, plan, &legs, &coverage, &strips);
    let additional = matched.additional.iter().cloned();
    let on_legs: Vec<_> = matched
        .runs
        .iter()
        .map(|run| limits.level(run.on_leg.clone(), Some(&plan.legs[run.leg])))
        .chain(additional.map(|fixes| limits.level(fixes, None)))
        .collect();
    Ok(Debrief {
        schema: SCHEMA,
        version: env!("CARGO_PKG_VERSION"),
        sortie: tasking.sortie.clone(),
        date: tasking.date,
        inputs: inputs(track, tasking, plan),
        log: log_summary(track),
        plan: plan_summary(tasking, plan),
        tolerances,
        phase_totals: phase_totals(&phases),
        tracking: pass::tracking_over(passages.iter(), tolerances.cross_track, flight),
        handling: Handling::of(&on_legs, track, &motion, &limits),
        refly,
        track: track_pieces(flight, &matched),
        remarks: [
            remarks(
                plan,
                &passes,
                pattern_shift.as_ref(),
                &coverage,
                &wind,
                turns_one_way,
            ),
            told_apart_by_order(track, plan).into_iter().collect(),
        ]
        .concat(),
        pattern_shift,
        cautions: cautions::DEBRIEF.map(str::to_owned).to_vec(),
        phases,
        passes,
        legs,
        additional_legs,
        turns,
        wind,
        area_time,
        coverage,
        strips,
        looks,
    })
}

/// What this sortie looked at, for the search as a whole.
fn looks(
    tasking: &Tasking,
    flight: Flight<'_>,
    matched: &Matched,
    legs: &[LegReport],
    lines: &[LookingLine],
) -> Looks {
    let Flight { track, plan, .. } = flight;
    let flown = |label: String, fixes: &std::ops::Range<usize>| {
        let time = |fix: usize| track.fixes[fix].time;
        (label, time(fixes.start), time(fixes.end - 1))
    };
    let planned = matched
        .runs
        .iter()
        .map(|run| flown(plan.legs[run.leg].label.clone(), &run.fixes));
    let additional = matched
        .additional
        .iter()
        .enumerate()
        .map(|(i, fixes)| flown(additional::label(i), fixes));
    let unrecorded = legs
        .iter()
        .flat_map(|leg| &leg.unrecorded)
        .map(|span| [span.from_position, span.to_position])
        .collect();
    Looks::of(
        &tasking.detection,
        plan.spacing,
        planned.chain(additional).collect(),
        lines,
        unrecorded,
        &plan.frame,
    )
}

/// The re-fly that mends the holes of this sortie, flown and looked as tasked.
fn refly(
    tasking: &Tasking,
    plan: &Plan,
    legs: &[LegReport],
    coverage: &Coverage,
    strips: &[Strip],
) -> Refly {
    let raster = &coverage.raster;
    let inside = raster
        .values
        .iter()
        .filter(|pod| !pod.is_nan())
        .count()
        .max(1);
    // Nothing says that the object is likelier in one place than in another.
    let even = |pod: &f32| {
        if pod.is_nan() {
            0.0
        } else {
            1.0 / inside as f32
        }
    };
    let prior: Vec<f32> = raster.values.iter().map(even).collect();
    let state = refly::State {
        raster,
        prior: &prior,
        lines: &strip_lines(plan, legs, coverage.target_pod),
        strips,
    };
    let wanted = refly::Wanted {
        look: Look::of(&tasking.detection, plan.spacing),
        ground_speed: tasking.flight.ground_speed,
        base: tasking.flight.base,
        goal: refly::Goal::Stretches,
        budget_s: None,
    };
    Refly::over(&state, &wanted)
}

fn same_day(track: &Track, track_path: &Path, tasking: &Tasking) -> Result<(), InputError> {
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
fn looked_from_one_side_turning_one_way(tasking: &Tasking, plan: &Plan) -> bool {
    let turns_one_way = matches!(
        plan.pattern,
        PatternKind::ExpandingSquare | PatternKind::Sector
    );
    turns_one_way && tasking.detection.scanners != Scanners::Both
}

fn no_target(tasking: &Tasking, plan: &Plan) -> InputError {
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

fn too_many_cells(error: &crate::coverage::TooManyCells, tasking: &Tasking) -> InputError {
    InputError::new(
        Path::new(&tasking.source.name),
        None,
        error.to_string(),
        "give a wider `spacing` or a smaller [area]",
    )
}

/// Says why nothing could be matched: the track stays away from the area, or flies none of the plan.
fn nothing_flown(flight: Flight<'_>, track_path: &Path) -> InputError {
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

fn tolerances_used(tasking: &Tasking, plan: &Plan) -> TolerancesUsed {
    let quarter = Length::from_m(plan.spacing.m() / 4.0);
    let default = if quarter < CROSS_TRACK_TOLERANCE {
        quarter
    } else {
        CROSS_TRACK_TOLERANCE
    };
    TolerancesUsed {
        cross_track: tasking.tolerances.cross_track.unwrap_or(default),
        altitude: tasking.tolerances.altitude,
        ground_speed: tasking.tolerances.ground_speed,
    }
}

/// The search lasts from entering the first leg to leaving the last.
fn search_window(
    track: &Track,
    window: &std::ops::Range<usize>,
    passes: &[Pass],
    additional: &[AdditionalLeg],
) -> (DateTime<Utc>, DateTime<Utc>) {
    let entered = passes
        .iter()
        .map(|p| p.entered)
        .chain(additional.iter().map(|a| a.entered));
    let left = passes
        .iter()
        .map(|p| p.left)
        .chain(additional.iter().map(|a| a.left));
    (
        entered.min().unwrap_or(track.fixes[window.start].time),
        left.max().unwrap_or(track.fixes[window.end - 1].time),
    )
}

fn inputs(track: &Track, tasking: &Tasking, plan: &Plan) -> Vec<InputFile> {
    let mut inputs = vec![track.source.clone(), tasking.source.clone()];
    inputs.extend(plan.inputs.iter().cloned());
    inputs.extend(tasking.detection.sweep_width_table.clone());
    inputs
}

fn log_summary(track: &Track) -> LogSummary {
    LogSummary {
        track_name: track.name.clone(),
        first: track.fixes[0].time,
        last: track.fixes[track.fixes.len() - 1].time,
        points_read: track.points_read(),
        fixes_kept: track.fixes.len(),
        median_interval_s: track.median_interval_s,
        gap_limit_s: track.gap_limit_s,
        gaps: track.gaps(),
        ledger_counts: track.ledger.counts().into_iter().collect(),
        ledger: track.ledger.entries.clone(),
    }
}

fn plan_summary(tasking: &Tasking, plan: &Plan) -> PlanSummary {
    PlanSummary {
        pattern: plan.pattern,
        legs: plan.legs.clone(),
        spacing: plan.spacing,
        area_corners: plan.area.corners().to_vec(),
        area_given: plan.area_given,
        declination: plan.declination.clone(),
        ground_speed: tasking.flight.ground_speed,
        altitude: tasking.flight.altitude,
        search_object: tasking.detection.search_object.clone(),
        notes: plan.notes.clone(),
    }
}

/// The track in pieces of one phase, thinned for drawing; each begins where the one before ended.
fn track_pieces(flight: Flight<'_>, matched: &Matched) -> Vec<TrackPiece> {
    let Flight {
        track,
        motion,
        plan,
        ..
    } = flight;
    let tolerance_m = DRAWN_WITHIN_SPACINGS * plan.spacing.m();
    matched
        .spans
        .iter()
        .enumerate()
        .map(|(i, span)| {
            let joined = matched
                .spans
                .get(i + 1)
                .is_some_and(|n| !track.begins_stretch(n.fixes.start));
            let range = span.fixes.start..span.fixes.end + usize::from(joined);
            let line = LineString::new(motion.xy[range.clone()].to_vec());
            let kept = line.simplify_idx(tolerance_m);
            TrackPiece {
                phase: span.phase,
                leg: leg_label(flight, matched, span),
                line: kept
                    .iter()
                    .map(|k| track.fixes[range.start + k].position)
                    .collect(),
            }
        })
        .collect()
}

/// Says so where legs at different heights could not be told apart by height.
fn told_apart_by_order(track: &Track, plan: &Plan) -> Option<String> {
    let mut altitudes = plan.search_legs().filter_map(|(_, leg)| leg.altitude);
    let first = altitudes.next()?;
    let without = track
        .fixes
        .iter()
        .filter(|fix| fix.height.is_none())
        .count();
    (altitudes.any(|other| other != first) && 2 * without > track.fixes.len()).then(|| {
        "Most of the log has no heights: where legs of different bands lie above each other they were \
         told apart by the order of the plan alone."
            .to_owned()
    })
}

/// What this debrief's reader must know beyond the general cautions.
fn remarks(
    plan: &Plan,
    passes: &[Pass],
    shift: Option<&PatternShift>,
    coverage: &Coverage,
    wind: &Option<Wind>,
    turns_one_way: bool,
) -> Vec<String> {
    let mut remarks = Vec::new();
    if let Some(moved) = shift.filter(|shift| shift.moved) {
        remarks.extend(
            moved
                .slips
                .iter()
                .map(|slip| format!("What may have happened: {}.", slip.words)),
        );
    } else if passes.is_empty() {
        remarks.push(
            "None of the planned legs was flown. Check that log and tasking belong together."
                .into(),
        );
    }
    remarks.extend(plan.notes.clone());
    if turns_one_way {
        remarks.push(
            "The planned POD is that of legs flown to and fro, looked from one side; the legs of this \
             pattern all turn the same side inwards, so it is no measure of what was flown."
                .to_owned(),
        );
    }
    remarks.extend(height_remark(coverage));
    remarks.extend(coverage.sweep_width_basis.marks.iter().cloned());
    if !coverage.target_given {
        remarks.push(format!(
            "The tasking names no target POD; {:.0} % was taken, four fifths of what this pattern \
             gives when flown perfectly.",
            100.0 * coverage.target_pod
        ));
    }
    if wind.is_none() {
        remarks.push("No wind estimate: the courses flown do not pin it down.".to_owned());
    }
    remarks
}

/// Below this width the aircraft's height matters: at 500 ft (0.08 NM) the law without it says POD 1
/// straight below, where with it the same width is spread farther out. Chosen: above it the two differ by
/// less than about a hundredth in the POD of a sweep at C = 1.
const HEIGHT_MATTERS_BELOW: Length = Length::from_nm(1.0);

/// For a small sweep width, which form of the inverse-cube law was used and why.
fn height_remark(coverage: &Coverage) -> Option<String> {
    let width = coverage.sweep_width;
    (width < HEIGHT_MATTERS_BELOW).then(|| match coverage.search_height {
        Some(height) => format!(
            "The inverse-cube law keeps the aircraft's height of {:.0} ft above the surface, which \
             matters with a sweep width of {:.2} NM: its strength is set so that the width stays the \
             same, and detection spreads farther from the track than with the height neglected.",
            height.ft(),
            width.nm()
        ),
        None => format!(
            "The inverse-cube law used here neglects the aircraft's height; with a sweep width of \
             {:.2} NM that is a simplification: close to the track POD comes out too high, far from \
             it too low, at the same sweep width. With `search_height` in the tasking it is kept.",
            width.nm()
        ),
    })
}
