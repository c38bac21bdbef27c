//! Heights that no aircraft can have had: single ones, and short runs on another level. The fix stays, its
//! height goes.
//!
//! First the largest set of heights that can follow each other at a possible rate ([`chain`](super::chain)),
//! then those that take an impossible acceleration ([`bends`](super::bends)). A level that lasts is kept,
//! since nobody can tell which of two is wrong: the chain leads there over a few heights that go, or, where
//! it is out of reach altogether, the ledger says that it does not.

use super::Sample;
use super::bends::{self, Bends, MEDIANS_OF_HEIGHTS};
use super::chain::Steps;
use super::gaps::median_interval_s;
use super::way::Way;
use crate::track::{Finding, Ledger};
use crate::units::Length;

/// Fastest climb or descent, m/s. Chosen: 12,000 ft/min; a climb of 6,000 ft/min is steep for any search
/// aircraft.
const FASTEST_MPS: f64 = 60.0;
/// Height allowed beyond it, metres, or more where heights scatter more throughout. Chosen: receivers know
/// heights about half again as badly as places.
const SCATTER_M: f64 = 50.0;
/// Hardest acceleration up or down, m/s². Chosen: two g, a pull-up to three times the weight.
const HARDEST_MPS2: f64 = 19.6;

/// Takes away impossible heights.
pub(super) fn possible(mut samples: Vec<Sample>, way: &Way, ledger: &mut Ledger) -> Vec<Sample> {
    let mut heights = Heights::of(&samples, way);
    let course = (heights.seconds.as_slice(), heights.places.as_slice());
    let scatter_m = bends::scatter_m(course, HARDEST_MPS2, MEDIANS_OF_HEIGHTS);
    let beyond_m = SCATTER_M.max(scatter_m);
    let steps = heights.steps(beyond_m);
    if !steps.all_possible() {
        let pieces = steps.chains(median_interval_s(&samples));
        let mut keep = vec![false; heights.with.len()];
        let mut last: Option<usize> = None;
        for (&start, piece) in &pieces {
            if let Some(before) = last.filter(|&before| !steps.possible(before, start)) {
                let Sample { fix, .. } = samples[heights.with[start]];
                let level_m = steps.places[before][0];
                let raw = format!("{}: {level_m} m before", fix.recorded());
                ledger.add_at(&fix, Finding::HeightJump, raw);
            }
            for &index in piece {
                keep[index] = true;
            }
            last = piece.last().copied();
        }
        let gone = (0..keep.len()).filter(|index| !keep[*index]);
        take(gone.map(|index| heights.with[index]), &mut samples, ledger);
        heights = Heights::of(&samples, way);
    }
    let steps = heights.steps(beyond_m);
    for level in levels(&steps) {
        let range = (&steps.seconds[level.clone()], &steps.places[level.clone()]);
        let spikes = Bends::new(range, HARDEST_MPS2, 0.0, scatter_m).spikes();
        let gone = spikes
            .into_iter()
            .map(|index| heights.with[level.start + index]);
        take(gone, &mut samples, ledger);
    }
    samples
}

/// The heights there are.
struct Heights {
    /// Which samples have them.
    with: Vec<usize>,
    seconds: Vec<f64>,
    /// In metres.
    places: Vec<[f64; 1]>,
}

impl Heights {
    fn of(samples: &[Sample], way: &Way) -> Self {
        let has = |index: &usize| samples[*index].fix.height.get().is_some();
        let with: Vec<usize> = (0..samples.len()).filter(has).collect();
        let height_m = |index: &usize| [samples[*index].fix.height.get().map_or(0.0, Length::m)];
        Self {
            seconds: with.iter().map(|index| way.seconds[*index]).collect(),
            places: with.iter().map(height_m).collect(),
            with,
        }
    }

    /// What is possible between them.
    fn steps(&self, scatter_m: f64) -> Steps<'_, 1> {
        Steps {
            seconds: &self.seconds,
            places: &self.places,
            limit_mps: FASTEST_MPS,
            scatter_m,
        }
    }
}

/// Ranges between lasting jumps.
fn levels(steps: &Steps<1>) -> Vec<std::ops::Range<usize>> {
    let count = steps.places.len();
    let jumps = (1..count).filter(|index| !steps.possible(index - 1, *index));
    let mut levels = Vec::new();
    let mut start = 0;
    for end in jumps.chain([count]) {
        levels.push(start..end);
        start = end;
    }
    levels
}

fn take(which: impl Iterator<Item = usize>, samples: &mut [Sample], ledger: &mut Ledger) {
    for index in which {
        let fix = &mut samples[index].fix;
        ledger.add_at(fix, Finding::ImpossibleHeight, fix.recorded());
        fix.height = None.into();
    }
}
