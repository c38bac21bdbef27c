//! [`Reading`] → [`Track`]: fixes in strictly rising time, without impossible ones, split at gaps.
//!
//! ```text
//! segments ─order→ rising times ─nulled→ no coordinate lost ─frozen→ no repeated positions
//!          ─speed→ possible steps ─spikes→ possible bends ─heights→ possible heights
//!          ─airborne→ flight told from ground ─gaps→ stretches
//! ```
//!
//! Every step keeps the largest consistent set of fixes rather than comparing each with the one
//! before: a single bad fix, even the first one, must not cost the good ones after it. Every fix that
//! goes, and every height, stands in the ledger with all that was recorded of it.

mod airborne;
mod bends;
mod chain;
mod frozen;
mod gaps;
mod heights;
mod nulled;
mod order;
mod refusal;
mod speed;
mod spikes;
#[cfg(test)]
mod tests;
mod way;

use super::{Fix, Reading, Track};
use crate::input::InputError;
use crate::units::Speed;
use refusal::Refusal;
use way::Way;

/// Ground speed beyond which a step between fixes is taken for an error of the receiver, knots.
/// Chosen: search is flown at 60 to 250 kt, transits of most search aircraft below 350 kt.
pub const DEFAULT_SPEED_LIMIT_KT: f64 = 350.0;

/// Above this share of fixes out of order the log is refused. Chosen: a receiver that sets its clock
/// puts a few fixes out of order; two recordings in one file put up to half.
const MOST_OUT_OF_ORDER: f64 = 0.25;

/// Distance allowed beyond what a limit gives, metres. Chosen: the scatter of a receiver, which at ten
/// fixes a second would look like speed.
const SCATTER_M: f64 = 30.0;

/// How a reading is cleaned.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct CleanSettings {
    /// The longest step that still counts as recorded, seconds, positive; if not given, four times
    /// the median interval, at least 10 s.
    pub gap_limit_s: Option<f64>,
    /// Steps faster than this over the ground are errors.
    pub speed_limit: Speed,
    /// Refuse the log if anything in it has to be dropped or repaired
    /// ([`Finding::refused_if_strict`](super::Finding::refused_if_strict)).
    pub strict: bool,
}

impl Default for CleanSettings {
    fn default() -> Self {
        Self {
            gap_limit_s: None,
            speed_limit: Speed::from_kt(DEFAULT_SPEED_LIMIT_KT),
            strict: false,
        }
    }
}

/// A fix and the segment of the file it came from.
#[derive(Clone, Copy, Debug)]
struct Sample {
    fix: Fix,
    segment: u32,
    /// The track jumps to this fix: no step leads here from the one before.
    after_jump: bool,
}

/// Cleans a reading.
///
/// # Errors
/// If no point has a time; if times run backwards or more than a quarter of the fixes are out of
/// order; if more than half of all points had to be dropped (fixes with the time of the one before, and
/// those that repeat its position, are not counted here: recorders that are faster than their clock or
/// their receiver write many, and nothing is lost with them); if fewer than two fixes are left; and, with
/// [`strict`](CleanSettings::strict), if anything had to be dropped or repaired.
pub fn clean(reading: Reading, settings: &CleanSettings) -> Result<Track, InputError> {
    let Reading {
        sources,
        name,
        tracks,
        segments,
        height_kind,
        mut ledger,
        taken,
    } = reading;
    let refuse = Refusal { files: &sources };
    let usable: usize = segments.iter().map(Vec::len).sum();
    let points = usable + ledger.dropped();
    refuse.if_no_times(usable, &ledger)?;

    let samples = order::in_time(segments, &mut ledger)
        .map_err(|disorder| refuse.disorder(&disorder, usable))?;
    let limit = settings.speed_limit;
    let samples = nulled::without(samples, limit, &mut ledger);
    let way = Way::of(&samples);
    let samples = frozen::without_repeats(samples, &way, limit, &mut ledger);
    let way = way.after(&samples);
    let scatter_m = spikes::scatter_m(&way);
    let samples = speed::within_limit(samples, &way, (limit, scatter_m), &mut ledger);
    let way = way.after(&samples);
    let samples = spikes::without(samples, &way, scatter_m, &mut ledger);
    let way = way.after(&samples);
    let samples = heights::possible(samples, &way, &mut ledger);

    if settings.strict {
        refuse.if_not_sound(&ledger)?;
    }
    refuse.if_mostly_dropped(points, &ledger, settings)?;
    if samples.len() < 2 {
        return Err(refuse.too_few(samples.first()));
    }
    let (split, airborne) = rayon::join(
        || gaps::split(&samples, settings.gap_limit_s),
        || airborne::range(&way),
    );
    let gaps::Stretches {
        stretches,
        median_interval_s,
        gap_limit_s,
    } = split;
    drop(way);
    let mut fixes: Vec<Fix> = samples.into_iter().map(|sample| sample.fix).collect();
    // They took the place of the samples, which are larger.
    fixes.shrink_to_fit();
    Ok(Track {
        sources,
        name,
        tracks,
        fixes,
        stretches,
        airborne,
        ground: None,
        median_interval_s,
        gap_limit_s,
        height_kind,
        ledger,
        taken,
    })
}
