//! What a debrief's reader must know beyond the general cautions.

use crate::cautions;
use crate::coverage::Coverage;
use crate::measure::above_ground::LOW;
use crate::measure::{AboveGround, Pass, PatternShift, Wind};
use crate::plan::{PatternKind, Plan};
use crate::tasking::Tasking;
use crate::track::Track;
use crate::units::Length;

/// What rests on times that were made up.
pub(super) fn spread_times_remark(track: &Track) -> Option<String> {
    track.taken.spread_times.then(|| {
        "The times of this log were not recorded but made up: a span of time was spread along a drawn line by \
         distance, as if it had been flown at one ground speed throughout. When the aircraft was where, every ground speed, rate of \
         turn and acceleration, times on legs, in turns and in the area, and what was held against tasked \
         speeds rest on that and prove nothing. Where it flew is no better than the line was drawn; stops, orbits \
         and gaps in the record may be missing from it."
            .to_owned()
    })
}

/// What cannot be told where the plan comes from the flight itself.
pub(super) fn inferred_remark(tasking: &Tasking) -> Option<String> {
    tasking.inferred.then(|| {
        "Because the plan was inferred from the flight itself: a wrong area, a pattern begun in the wrong place or \
         turned as a whole, and a first or last leg that was missed cannot show; cross-track error is that about \
         the lines which fit the flight best, not about those assigned; speed and height are held against \
         themselves."
            .to_owned()
    })
}

/// Says so where legs at different heights could not be told apart by height.
pub(super) fn told_apart_by_order(track: &Track, plan: &Plan) -> Option<String> {
    let mut altitudes = plan.search_legs().filter_map(|(_, leg)| leg.altitude);
    let first = altitudes.next()?;
    let without = track
        .fixes
        .iter()
        .filter(|fix| fix.height.get().is_none())
        .count();
    (altitudes.any(|other| other != first) && 2 * without > track.fixes.len()).then(|| {
        "Most of the log has no heights: where legs of different bands lie above each other they were \
         told apart by the order of the plan alone."
            .to_owned()
    })
}

/// What this debrief's reader must know beyond the general cautions.
pub(super) fn remarks(
    plan: &Plan,
    passes: &[Pass],
    shift: Option<&PatternShift>,
    coverage: &Coverage,
    wind: &Option<Wind>,
    turns_one_way: bool,
    track: &Track,
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
    if plan.pattern == PatternKind::Legs {
        remarks.push(
            "These are separate legs: the POD over the area counts all its ground, also where no leg was to \
             go, and the planned POD is that of an endless sweep at the same spacing. What they add to \
             other sorties, `overflown refly` tells from all debriefs together."
                .to_owned(),
        );
    }
    if turns_one_way {
        remarks.push(
            "The planned POD is that of legs flown to and fro, looked from one side; the legs of this \
             pattern all turn the same side inwards, so it is no measure of what was flown."
                .to_owned(),
        );
    }
    remarks.extend(looking_remarks(coverage));
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
        let why = if track.taken.spread_times {
            "the ground speeds were made up"
        } else {
            "the courses flown do not pin it down"
        };
        remarks.push(format!("No wind estimate: {why}."));
    }
    remarks
}

/// A mean height above the ground that differs from the search height by more than this share of it …
const DIFFERS_SHARE: f64 = 0.25;
/// … and by this much is worth a word. Chosen: tables of sweep width step by 200 to 500 ft, and terrain
/// heights and receivers are good to some tens of feet.
const DIFFERS_LEAST: Length = Length::from_ft(100.0);

/// What the height above the ground says about looking and flying.
pub(super) fn above_ground_remarks(above: &AboveGround) -> Vec<String> {
    let mut remarks = Vec::new();
    let Some(on_legs) = &above.on_legs else {
        remarks.push(
            "No height above the ground: the legs have no heights in the log, or no ground height below them."
                .to_owned(),
        );
        return remarks;
    };
    if let Some(tasked) = above.search_height {
        let off_m = (on_legs.mean.m() - tasked.m()).abs();
        if off_m > DIFFERS_LEAST.m() && off_m > DIFFERS_SHARE * tasked.m() {
            remarks.push(format!(
                "The legs were flown {:.0} ft above the ground on the mean; the tasking has a search height of \
                 {:.0} ft, and detection was worked out for that.",
                on_legs.mean.ft(),
                tasked.ft()
            ));
        }
    }
    if let Some(search) = above
        .search
        .as_ref()
        .filter(|search| search.below_500_ft > 0.0)
    {
        remarks.push(format!(
            "{:.0} % of the search time with known heights was less than {:.0} ft above the ground by the \
             terrain tiles.",
            (100.0 * search.below_500_ft).max(1.0),
            LOW.ft()
        ));
    }
    remarks.push(above.height_kind.above_ground().to_owned());
    remarks.push(cautions::TERRAIN.to_owned());
    remarks
}

/// What could not be judged of the looking.
fn looking_remarks(coverage: &Coverage) -> Vec<String> {
    let without = coverage.without_height.filter(|share| *share > 0.0);
    let heights = without.map(|share| {
        let part = if share < 1.0 {
            format!("{:.0} % of the flight along legs", (100.0 * share).max(1.0))
        } else {
            "The flight along legs".to_owned()
        };
        format!(
            "{part} has no height in the log: whether it kept to the height band cannot be judged, and it is \
             counted as looking."
        )
    });
    // A strip narrower than its cells falls between their centres, or takes a whole cell.
    let cells_across = coverage.blind_strip.m() / coverage.cell.m();
    let blind = (cells_across > 0.0 && cells_across < LEAST_CELLS_ACROSS).then(|| {
        format!(
            "The blind strip of {:.0} m is finer than the cells of {:.0} m that an area of this size is cut \
             into: the figures know it only roughly.",
            coverage.blind_strip.m(),
            coverage.cell.m()
        )
    });
    heights.into_iter().chain(blind).collect()
}

/// Fewer cells than this across the blind strip do not resolve it. Chosen.
const LEAST_CELLS_ACROSS: f64 = 2.0;

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
