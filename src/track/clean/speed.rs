//! The speed gate: fixes that cannot be reached at a possible speed.
//!
//! The largest set of fixes that fit together is kept ([`chain`](super::chain)); where the track goes on
//! somewhere else for long, both parts are, with a jump between.

use super::Sample;
use super::chain::Steps;
use super::gaps::median_interval_s;
use super::way::Way;
use crate::track::{Finding, Ledger};
use crate::units::{Length, Speed};

/// Keeps the samples that fit together at `limit`; the others go into the ledger.
pub(super) fn within_limit(
    samples: Vec<Sample>,
    way: &Way,
    (limit, scatter_m): (Speed, f64),
    ledger: &mut Ledger,
) -> Vec<Sample> {
    let steps = Steps {
        seconds: &way.seconds,
        places: &way.places,
        limit_mps: limit.mps(),
        scatter_m,
    };
    if steps.all_possible() {
        // One chain holds them all.
        return samples;
    }
    let pieces = steps.chains(median_interval_s(&samples));
    let mut kept = Vec::with_capacity(samples.len());
    let mut last: Option<usize> = None;
    for (&start, piece) in &pieces {
        let jump = last.filter(|&last| !steps.possible(last, start));
        for &index in piece {
            report_dropped(&samples, &steps, last, Some(index), ledger);
            let after_jump = jump.is_some() && index == start;
            kept.push(Sample {
                after_jump,
                ..samples[index]
            });
            last = Some(index);
        }
        if let Some(before) = jump {
            let raw = format!(
                "{}: {:.1} NM in {:.0} s",
                samples[start].fix.recorded(),
                Length::from_m(steps.distance_m(before, start)).nm(),
                steps.seconds(before, start)
            );
            ledger.add_at(&samples[start].fix, Finding::PositionJump, raw);
        }
    }
    report_dropped(&samples, &steps, last, None, ledger);
    kept
}

/// Writes the samples between two kept neighbours into the ledger, with the higher of the speeds that
/// lead to and from them.
fn report_dropped(
    samples: &[Sample],
    steps: &Steps<3>,
    before: Option<usize>,
    after: Option<usize>,
    ledger: &mut Ledger,
) {
    let first = before.map_or(0, |before| before + 1);
    let end = after.unwrap_or(samples.len());
    for (index, sample) in (first..end).zip(&samples[first..end]) {
        let to = before.map_or(0.0, |before| steps.speed_mps(before, index));
        let from = after.map_or(0.0, |after| steps.speed_mps(index, after));
        let speed = Speed::from_mps(to.max(from));
        let raw = format!("{}: {:.0} kt", sample.fix.recorded(), speed.kt());
        ledger.add_at(&sample.fix, Finding::ImpossibleSpeed, raw);
    }
}
