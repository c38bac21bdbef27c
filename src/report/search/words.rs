//! What text and page say alike.

use crate::coverage::HoleCause;
use crate::report::format::{
    about, counted, day_and_minute, minute, nm, nm_figure, percent, pod_with_band, with_band,
};
use crate::search::{FlownBy, Search, SearchStrip, SortieSummary};

/// The search in one sentence or two: `4 of 19 strips have holes after 2 sorties: POD over the ground is 65 %
/// (64 to 66 %). A re-fly of about 11 min would raise it to about 71 %.`
#[must_use]
pub fn headline(search: &Search) -> String {
    let all = search.strips.len();
    let strips = match search.strips_to_refly() {
        0 if all == 1 => "The strip has no hole".to_owned(),
        0 => format!("None of {} has a hole", counted(all, "strip")),
        1 => format!("1 of {} has holes", counted(all, "strip")),
        again => format!("{again} of {} have holes", counted(all, "strip")),
    };
    let wanted = search.target_pod.map_or_else(String::new, |target| {
        format!(", {} wanted", percent(target))
    });
    let refly = if search.refly.legs.is_empty() {
        String::new()
    } else {
        format!(
            " A re-fly of {} would raise it to about {}.",
            about(search.refly.outcome.duration_s),
            percent(search.refly.outcome.pod)
        )
    };
    format!(
        "{strips} after {}: POD over the ground is {}{wanted}.{refly}",
        counted(search.sorties.len(), "sortie"),
        pod_with_band(&search.pod)
    )
}

/// What it is: `Three cells: 4 sorties, 2026-06-14 to 2026-06-17`.
#[must_use]
pub fn title(search: &Search) -> String {
    format!(
        "{}: {}, {}",
        search.name,
        counted(search.sorties.len(), "sortie"),
        days(search)
    )
}

/// `2026-06-14`, or `2026-06-14 to 2026-06-17`.
#[must_use]
pub fn days(search: &Search) -> String {
    let day = |sortie: Option<&SortieSummary>| {
        sortie.map_or_else(String::new, |sortie| sortie.date.to_string())
    };
    let (first, last) = (day(search.sorties.first()), day(search.sorties.last()));
    if first == last {
        first
    } else {
        format!("{first} to {last}")
    }
}

/// POS with its band.
#[must_use]
pub fn pos(search: &Search) -> String {
    with_band(search.pos, search.pos_low, search.pos_high)
}

/// `32 % on the ground, 3 % elsewhere`.
#[must_use]
pub fn remains(search: &Search) -> String {
    format!(
        "{} on the ground, {} elsewhere",
        percent(search.poc_left),
        percent(search.poc_elsewhere)
    )
}

/// Which strips the re-fly leaves with holes, where it does: `Left with holes: 4, 7.`
#[must_use]
pub fn strips_left(search: &Search) -> Option<String> {
    let left = search.strips_left();
    (!search.refly.legs.is_empty() && !left.is_empty())
        .then(|| format!("Left with holes: {}.", left.join(", ")))
}

/// `08:24 to 09:20`, both UTC.
#[must_use]
pub fn times(sortie: &SortieSummary) -> String {
    format!("{} to {}", minute(sortie.from), minute(sortie.to))
}

/// POS of all sorties so far with its band.
#[must_use]
pub fn cumulative_pos(sortie: &SortieSummary) -> String {
    let step = &sortie.step;
    with_band(
        step.cumulative_pos,
        step.cumulative_pos_low,
        step.cumulative_pos_high,
    )
}

/// Why a stretch is a hole. In a search it may have been flown over, only not well enough for what is wanted.
#[must_use]
pub const fn cause(cause: HoleCause) -> &'static str {
    match cause {
        HoleCause::Missed => "below target",
        HoleCause::NotRecorded => "not recorded",
    }
}

/// The holes of a strip: `below target 0.00 to 4.23 NM`.
#[must_use]
pub fn holes(strip: &SearchStrip) -> Vec<String> {
    let holes = strip.strip.holes.iter();
    holes
        .map(|hole| {
            format!(
                "{} {} to {}",
                cause(hole.cause),
                nm_figure(hole.span.from, 2),
                nm(hole.span.to, 2)
            )
        })
        .collect()
}

/// A passage over a strip: `Heron 5 on leg 9, 2026-06-16 08:45 UTC, over 76 % of it`.
#[must_use]
pub fn flown_by(by: &FlownBy) -> String {
    format!(
        "{} on leg {}, {}, over {} of it",
        by.sortie,
        by.leg,
        day_and_minute(by.from),
        percent(by.share)
    )
}
