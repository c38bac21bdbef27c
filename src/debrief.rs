//! The whole job: a track, a tasking and its plan become one value, from which every report is
//! written.

pub mod read;
mod refusals;
mod remarks;
pub mod seal;
mod value;

pub use value::*;

use refusals::{
    looked_from_one_side_turning_one_way, no_target, nothing_flown, same_day, too_many_cells,
};
use remarks::{
    above_ground_remarks, inferred_remark, remarks, spread_times_remark, told_apart_by_order,
};

use crate::cautions;
use crate::coverage::look::Look;
use crate::coverage::looking::LookingLine;
use crate::coverage::{self, Coverage, Covered, Grid, Looks, Strip, cover, strip_lines};
use crate::input::{InputError, InputFile};
use crate::matching::{Matched, match_track};
use crate::measure::handling::Limits;
use crate::measure::passage::passages;
use crate::measure::phase_time::{leg_label, phase_spans, phase_totals};
use crate::measure::shift::{Circumstances, recognise, with_recognised};
use crate::measure::turns::turns;
use crate::measure::unrecorded::unrecorded;
use crate::measure::{
    AboveGround, AdditionalLeg, AreaTime, Flight, Flown, Handling, Kept, LegReport, LegState, Pass,
    PatternShift, Wind, additional, leg_report, pass,
};
use crate::plan::{Plan, pattern};
use crate::refly::tasked::{self, Tasked};
use crate::refly::{self, Refly};
use crate::tasking::Tasking;
use crate::track::Track;
use crate::track::motion::Motion;
use crate::units::Length;
use chrono::{DateTime, Utc};
use std::path::Path;

/// Cross-track tolerance where the tasking names none: the smaller of this, "whenever it is off
/// more than one-quarter mile" (JP 3-50 Vol I, 1991, p. 394), and a quarter of the spacing.
const CROSS_TRACK_TOLERANCE: Length = Length::from_nm(0.25);
/// The track for drawing departs from the flown one by at most this share of the spacing.
const DRAWN_WITHIN_SPACINGS: f64 = 0.01;
/// Entries of the ledger kept of each finding. Chosen: a log with thousands of findings is told by their
/// number, `overflown inspect` has them all.
const LEDGER_ENTRIES_EACH: usize = 10;
/// Debriefs a track against a plan. `track_path` is named in errors. Every fix is kept.
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
    debrief_keeping(Kept::Every, track, track_path, tasking, plan)
}

/// As [`debrief`], of the fixes of the flight only those kept that are asked for: of a day at ten a second all take 50 MB.
///
/// # Errors
/// As [`debrief`] has them.
pub fn debrief_keeping(
    kept: Kept,
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
    let grid = Grid::over(&plan.area, plan.spacing, tasking.detection.detail())
        .map_err(|error| too_many_cells(&error, tasking))?;
    let motion = Motion::of(track, &plan.frame);
    let frames = pattern::frames(plan);
    let flight = Flight {
        track,
        motion: &motion,
        plan,
        frames: &frames,
    };
    let tolerances = tolerances_used(tasking, plan);
    let (recognised, matched) = rayon::join(
        || recognise(flight, tolerances.cross_track),
        || match_track(track, &motion, plan, &frames),
    );
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
    let above_ground = AboveGround::measure(
        flight,
        &matched,
        window.clone(),
        tasking.detection.search_height,
    );
    let (wind, passages) = rayon::join(
        // Ground speeds that were made up the same on every course would look like calm air.
        || {
            (!track.taken.spread_times)
                .then(|| Wind::estimate(window.clone(), &motion))
                .flatten()
        },
        || passages(track, &motion, plan, &frames, &matched),
    );
    let (passages, passes) = pass::passes(
        flight,
        passages,
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
    let covered = || {
        cover(
            grid,
            plan,
            &tasking.detection,
            &matched,
            (track, &motion),
            &legs,
            area_time.not_recorded_s,
        )
    };
    // Neither needs the other, and both take their time.
    let (covered, (flown, track_drawn)) = rayon::join(covered, || {
        (
            Flown::of(flight, &matched, &passages, drawn_within(plan), kept),
            track_pieces(flight, &matched),
        )
    });
    let Covered {
        coverage,
        strips,
        lines,
        growth,
    } = covered;
    let looks = looks(tasking, flight, &matched, &legs, &lines);
    let (refly, after_refly) = refly(tasking, plan, &legs, &coverage, &strips);
    let (refly_tasked, not_tasked) = Tasked::or_remark(&refly, &as_tasked(tasking, plan, &looks));
    let additional = matched.additional.iter().cloned();
    let on_legs: Vec<_> = matched
        .runs
        .iter()
        .map(|run| limits.level(run.on_leg.clone(), Some(&plan.legs[run.leg])))
        .chain(additional.map(|fixes| limits.level(fixes, None)))
        .collect();
    let (tracking, handling) = rayon::join(
        || pass::tracking_over(passages.iter(), tolerances.cross_track, flight),
        || Handling::of(&on_legs, track, &motion, &limits),
    );
    Ok(Debrief {
        schema: SCHEMA,
        version: env!("CARGO_PKG_VERSION"),
        sortie: tasking.sortie.clone(),
        date: tasking.date,
        pilot: tasking.pilot.clone(),
        inputs: inputs(track, tasking, plan),
        log: log_summary(track, &motion),
        plan: plan_summary(tasking, plan),
        tolerances,
        phase_totals: phase_totals(&phases),
        tracking,
        handling,
        refly,
        refly_tasked,
        after_refly,
        inference: None,
        inferred_tasking: None,
        track: track_drawn,
        flown,
        growth,
        backdrop: None,
        remarks: [
            spread_times_remark(track).into_iter().collect(),
            inferred_remark(tasking).into_iter().collect(),
            remarks(
                plan,
                &passes,
                pattern_shift.as_ref(),
                &coverage,
                &wind,
                turns_one_way,
                track,
            ),
            told_apart_by_order(track, plan).into_iter().collect(),
            above_ground
                .as_ref()
                .map(above_ground_remarks)
                .unwrap_or_default(),
            not_tasked.into_iter().collect(),
        ]
        .concat(),
        pattern_shift,
        above_ground,
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

/// The re-fly that mends the holes of this sortie, flown and looked as tasked, and what it would leave.
fn refly(
    tasking: &Tasking,
    plan: &Plan,
    legs: &[LegReport],
    coverage: &Coverage,
    strips: &[Strip],
) -> (Refly, Option<AfterRefly>) {
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
    let lines = strip_lines(plan, legs, coverage.target_pod);
    let state = refly::State {
        raster,
        prior: &prior,
        lines: &lines,
        strips,
    };
    let wanted = refly::Wanted {
        look: Look::of(&tasking.detection, plan.spacing),
        ground_speed: tasking.flight.ground_speed,
        base: tasking.flight.base,
        goal: refly::Goal::Stretches,
        budget_s: None,
    };
    let refly = Refly::over(&state, &wanted);
    let after = (!refly.legs.is_empty()).then(|| {
        let raster = refly.raster_after(&state, &wanted.look);
        let left = coverage::strips::strips(&lines, &raster);
        AfterRefly {
            holes: left.into_iter().flat_map(|strip| strip.holes).collect(),
            raster,
        }
    });
    (refly, after)
}

/// What the re-fly is tasked with: the same ground, looked at in the same way.
fn as_tasked<'a>(tasking: &'a Tasking, plan: &'a Plan, looks: &'a Looks) -> tasked::Task<'a> {
    tasked::Task {
        of: &tasking.sortie,
        date: tasking.date,
        area: plan
            .pattern
            .has_ground(plan.area_given)
            .then(|| plan.area.corners()),
        looks,
        altitude: tasking.flight.altitude,
        base: tasking.flight.base,
        search_object: tasking.detection.search_object.as_deref(),
    }
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
    let mut inputs = track.sources.clone();
    inputs.push(tasking.source.clone());
    let tiles = track.ground.iter().flat_map(|ground| &ground.tiles);
    inputs.extend(tiles.cloned());
    inputs.extend(plan.inputs.iter().cloned());
    inputs.extend(tasking.detection.sweep_width_tables.iter().cloned());
    inputs
}

fn log_summary(track: &Track, motion: &Motion) -> LogSummary {
    let (entries, ledger_left_out) = track.ledger.first_of_each(Some(LEDGER_ENTRIES_EACH));
    let mut flown = track.fixes[motion.airborne.clone()].iter();
    let flying_from = flown.next().map(|fix| fix.time);
    LogSummary {
        track_name: track.name.clone(),
        tracks: track.tracks.clone(),
        taken: track.taken,
        first: track.fixes[0].time,
        last: track.fixes[track.fixes.len() - 1].time,
        flying_from,
        flying_to: flown.next_back().map(|fix| fix.time).or(flying_from),
        points_read: track.points_read(),
        points_left_out: track.points_left_out(),
        fixes_kept: track.fixes.len(),
        median_interval_s: track.median_interval_s,
        gap_limit_s: track.gap_limit_s,
        height_kind: track.height_kind,
        gaps: track.gaps(),
        ledger_counts: track.ledger.counts().into_iter().collect(),
        ledger: entries.into_iter().cloned().collect(),
        ledger_left_out,
    }
}

fn plan_summary(tasking: &Tasking, plan: &Plan) -> PlanSummary {
    PlanSummary {
        pattern: plan.pattern,
        inferred: tasking.inferred,
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

fn drawn_within(plan: &Plan) -> Length {
    Length::from_m(DRAWN_WITHIN_SPACINGS * plan.spacing.m())
}

/// The track in pieces of one phase, thinned for drawing; each begins where the one before ended.
fn track_pieces(flight: Flight<'_>, matched: &Matched) -> Vec<TrackPiece> {
    let Flight {
        track,
        motion,
        plan,
        ..
    } = flight;
    let tolerance_m = drawn_within(plan).m();
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
            let kept = motion.thinned(range, tolerance_m);
            TrackPiece {
                phase: span.phase,
                leg: leg_label(flight, matched, span),
                line: kept.iter().map(|fix| track.fixes[*fix].position).collect(),
            }
        })
        .collect()
}
