//! The parts of the flight that count as looking: on a leg, planned or additional, wings level, at a height
//! and a speed from which the crew was to look.
//!
//! "The upwing lookout can see only sky" from a banked aircraft (JP 3-50 Vol I, 1991, p. 394), so
//! turns count for nothing; nor does any phase but the legs.

use crate::matching::{Matched, Phase};
use crate::measure::NotCounted;
use crate::tasking::LookLimits;
use crate::track::Track;
use crate::track::motion::{BankLimit, LEVEL_BANK_DEG, Motion};
use crate::units::{Length, Speed};
use geo::Coord;
use rayon::prelude::*;
use std::collections::BTreeMap;
use std::ops::Range;

/// A line flown while looking.
#[derive(Clone, Debug)]
pub struct LookingLine {
    /// Which passage it belongs to; lines of one passage count as one look.
    pub passage: usize,
    /// The line in the local plane, metres, in the order flown; at least two points.
    pub line: Vec<Coord<f64>>,
}

/// Why flight along a leg is not counted, in the order asked.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
enum Unfit {
    Banked,
    TooLow,
    TooHigh,
    TooSlow,
    TooFast,
}

/// What decides whether a fix counts.
#[derive(Clone, Copy, Debug)]
pub struct Looking<'a> {
    /// What was flown.
    pub track: &'a Track,
    /// How the aircraft moved.
    pub motion: &'a Motion,
    /// Heights and speeds within which it counts.
    pub limits: LookLimits,
}

impl Looking<'_> {
    /// Why a fix on a leg does not count; a fix without height is not judged by height.
    fn unfit(&self, fix: usize, level: BankLimit) -> Option<Unfit> {
        let LookLimits {
            lowest,
            highest,
            slowest,
            fastest,
        } = self.limits;
        let height = self.track.fixes[fix].height.get();
        let speed_mps = self.motion.speed_mps(fix);
        if self.motion.banks_beyond(fix, level) {
            Some(Unfit::Banked)
        } else if height.zip(lowest).is_some_and(|(at, low)| at < low) {
            Some(Unfit::TooLow)
        } else if height.zip(highest).is_some_and(|(at, high)| at > high) {
            Some(Unfit::TooHigh)
        } else if slowest.is_some_and(|slowest| speed_mps < slowest.mps()) {
            Some(Unfit::TooSlow)
        } else if fastest.is_some_and(|fastest| speed_mps > fastest.mps()) {
            Some(Unfit::TooFast)
        } else {
            None
        }
    }

    /// In words, with the limit.
    fn words(&self, unfit: Unfit) -> String {
        let LookLimits {
            lowest,
            highest,
            slowest,
            fastest,
        } = self.limits;
        let ft = |limit: Option<Length>| limit.unwrap_or_default().ft();
        let kt = |limit: Option<Speed>| limit.unwrap_or_default().kt();
        match unfit {
            Unfit::Banked => format!("banked more than {LEVEL_BANK_DEG:.0}° on a leg"),
            Unfit::TooLow => format!("below the height band ({:.0} ft)", ft(lowest)),
            Unfit::TooHigh => format!("above the height band ({:.0} ft)", ft(highest)),
            Unfit::TooSlow => format!("slower than {:.0} kt", kt(slowest)),
            Unfit::TooFast => format!("faster than {:.0} kt", kt(fastest)),
        }
    }

    /// Ranges of fixes flown while looking, passage by passage: runs along planned legs, with the
    /// straight flight past their ends, and additional legs, wings level and within the limits.
    #[must_use]
    pub fn ranges(&self, matched: &Matched) -> Vec<Vec<Range<usize>>> {
        let planned = matched.runs.iter().map(|run| &run.fixes);
        let passages: Vec<&Range<usize>> = planned.chain(&matched.additional).collect();
        passages
            .into_par_iter()
            .map(|fixes| self.fit_ranges(fixes.clone()))
            .collect()
    }

    /// Ranges of fixes that count.
    fn fit_ranges(&self, fixes: Range<usize>) -> Vec<Range<usize>> {
        let mut ranges: Vec<Range<usize>> = Vec::new();
        let level = BankLimit::of_deg(LEVEL_BANK_DEG);
        for i in fixes.filter(|i| self.unfit(*i, level).is_none()) {
            match ranges.last_mut() {
                Some(range) if range.end == i => range.end = i + 1,
                _ => ranges.push(i..i + 1),
            }
        }
        ranges
    }

    /// Share of the flight along legs, by time, whose height is not recorded; `None` where no height is
    /// asked for.
    #[must_use]
    pub fn without_height(&self, matched: &Matched) -> Option<f64> {
        self.limits.lowest.or(self.limits.highest)?;
        let planned = matched.runs.iter().map(|run| &run.fixes);
        let fixes = planned.chain(&matched.additional).flat_map(Clone::clone);
        let (mut all, mut without) = (0u32, 0u32);
        for fix in fixes {
            all += 1;
            without += u32::from(self.track.fixes[fix].height.get().is_none());
        }
        Some(f64::from(without) / f64::from(all.max(1)))
    }
}

/// A line flown while looking, by the fixes that are kept of it.
#[derive(Clone, Debug)]
pub struct FlownLine {
    /// Which passage it belongs to.
    pub passage: usize,
    /// At least two fixes, in the order flown.
    pub fixes: Vec<usize>,
}

impl FlownLine {
    /// The line in the plane.
    #[must_use]
    pub fn looking(&self, motion: &Motion) -> LookingLine {
        LookingLine {
            passage: self.passage,
            line: self.fixes.iter().map(|fix| motion.xy[*fix]).collect(),
        }
    }

    /// A line with fewer fixes, from which this one departs by no more than `tolerance_m`.
    #[must_use]
    pub fn thinner(&self, motion: &Motion, tolerance_m: f64) -> Self {
        Self {
            passage: self.passage,
            fixes: motion.thinner(&self.fixes, tolerance_m),
        }
    }
}

/// The lines flown in these ranges, thinned so that none departs from the track by more than
/// `tolerance_m`.
#[must_use]
pub fn flown_lines(
    ranges: &[Vec<Range<usize>>],
    motion: &Motion,
    tolerance_m: f64,
) -> Vec<FlownLine> {
    let each = ranges.par_iter().enumerate();
    each.flat_map_iter(|(passage, ranges)| {
        ranges
            .iter()
            .filter_map(move |range| kept(range.clone(), motion, tolerance_m))
            .map(move |fixes| FlownLine { passage, fixes })
    })
    .collect()
}

/// The same as lines in the plane.
#[must_use]
pub fn looking_lines(
    ranges: &[Vec<Range<usize>>],
    motion: &Motion,
    tolerance_m: f64,
) -> Vec<LookingLine> {
    flown_lines(ranges, motion, tolerance_m)
        .iter()
        .map(|flown| flown.looking(motion))
        .collect()
}

/// The fixes kept of a range; `None` where there is no way between the first and the last.
fn kept(range: Range<usize>, motion: &Motion, tolerance_m: f64) -> Option<Vec<usize>> {
    let fixes = motion.thinned(range, tolerance_m);
    let ends = (fixes.first()?, fixes.last()?);
    (fixes.len() >= 2 && motion.xy[*ends.0] != motion.xy[*ends.1]).then_some(fixes)
}

/// Flight in the search window that is not counted, by reason; `not_recorded_s` seconds of it are
/// not recorded.
#[must_use]
pub fn not_counted(
    ranges: &[Vec<Range<usize>>],
    matched: &Matched,
    looking: Looking<'_>,
    not_recorded_s: f64,
) -> Vec<NotCounted> {
    let motion = looking.motion;
    let level = BankLimit::of_deg(LEVEL_BANK_DEG);
    let mut counted = vec![false; motion.time_s.len()];
    for range in ranges.iter().flatten() {
        counted[range.clone()].fill(true);
    }
    let window = matched.window().unwrap_or(0..0);
    // On legs, planned or additional, by what is unfit; elsewhere by phase.
    let mut reasons: BTreeMap<(Phase, Option<Unfit>), (f64, f64)> = BTreeMap::new();
    for span in &matched.spans {
        let on_leg = matches!(span.phase, Phase::SearchLeg | Phase::AdditionalLeg);
        for i in span
            .fixes
            .clone()
            .skip(1)
            .filter(|i| window.contains(i) && !counted[*i])
        {
            let dt = motion.time_s[i] - motion.time_s[i - 1];
            let key = if on_leg {
                // The span of a leg is at most as long as its run: what is left out of it is unfit.
                (
                    Phase::SearchLeg,
                    looking.unfit(i, level).or(Some(Unfit::Banked)),
                )
            } else {
                (span.phase, None)
            };
            let (duration_s, distance_m) = reasons.entry(key).or_default();
            *duration_s += dt;
            *distance_m += dt * motion.speed_mps(i);
        }
    }
    let flown = reasons
        .into_iter()
        .map(|((phase, unfit), (duration_s, distance_m))| NotCounted {
            reason: unfit.map_or_else(|| phase.name().to_owned(), |unfit| looking.words(unfit)),
            duration_s,
            distance: Some(Length::from_m(distance_m)),
        });
    let hidden = (not_recorded_s > 0.0).then(|| NotCounted {
        reason: Phase::NotRecorded.name().to_owned(),
        duration_s: not_recorded_s,
        distance: None,
    });
    flown.chain(hidden).collect()
}
