//! Time on task and time out of the area, with the crossings interpolated between fixes.

use super::flight::Flight;
use super::intervals::sum;
use super::passage::between;
use crate::geodesy::Position;
use crate::matching::{Matched, Phase, PhaseSpan};
use crate::plan::Area;
use crate::track::seconds_between;
use crate::units::Length;
use chrono::{DateTime, Utc};
use geo::{Coord, Distance, Euclidean, Line, LineIntersection, Point};
use serde::Serialize;
use std::ops::Range;

/// Why the aircraft was outside.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum OutsideKind {
    /// In a turn between legs: expected, turns may be flown outside.
    Turn,
    /// Circling something.
    Orbit,
    /// On a leg, planned or additional, that runs or drifted outside.
    OnLeg,
    /// Straying: anything else.
    Excursion,
}

impl OutsideKind {
    /// All of them, the most expected first.
    pub const ALL: [Self; 4] = [Self::Turn, Self::OnLeg, Self::Orbit, Self::Excursion];

    /// Name for people.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::Turn => "turn",
            Self::Orbit => "orbit",
            Self::OnLeg => "on a leg",
            Self::Excursion => "excursion",
        }
    }
}

/// One time outside the area within the search window.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct OutsideSpan {
    /// Why.
    pub kind: OutsideKind,
    /// Crossing out.
    pub from: DateTime<Utc>,
    /// Crossing back in, or the end of the window.
    pub to: DateTime<Utc>,
    /// Seconds outside.
    pub duration_s: f64,
    /// Where it was left.
    pub left_at: Position,
    /// Where it was entered again.
    pub entered_at: Position,
    /// Farthest from the area.
    #[serde(rename = "farthest_m")]
    pub farthest: Length,
    /// Label of the planned leg flown last before it.
    pub after: Option<String>,
}

/// The search window and the time outside the area in it.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct AreaTime {
    /// Start of the search: entering the first leg.
    pub from: DateTime<Utc>,
    /// End of the search: leaving the last leg.
    pub to: DateTime<Utc>,
    /// Seconds between them.
    pub window_s: f64,
    /// Seconds of it spent on legs, planned and additional.
    pub on_legs_s: f64,
    /// Seconds of it not recorded.
    pub not_recorded_s: f64,
    /// Seconds of it recorded outside the area, turns included.
    pub outside_s: f64,
    /// Seconds of those that were straying.
    pub excursion_s: f64,
    /// Each time outside.
    pub outside: Vec<OutsideSpan>,
}

impl AreaTime {
    /// How many times outside were of each kind and how long they lasted together, seconds; kinds that did not come are left
    /// out.
    #[must_use]
    pub fn by_kind(&self) -> Vec<(OutsideKind, usize, f64)> {
        OutsideKind::ALL
            .into_iter()
            .filter_map(|kind| {
                let spans = self.outside.iter().filter(|span| span.kind == kind);
                let (times, lasted_s) = spans.fold((0, 0.0), |(times, lasted_s), span| {
                    (times + 1, lasted_s + span.duration_s)
                });
                (times > 0).then_some((kind, times, lasted_s))
            })
            .collect()
    }

    /// Measures the time in the search window: a range of fixes, and the times at which the first
    /// leg was entered and the last one left.
    #[must_use]
    pub fn measure(
        flight: Flight<'_>,
        matched: &Matched,
        phases: &[PhaseSpan],
        window: Range<usize>,
        (from, to): (DateTime<Utc>, DateTime<Utc>),
    ) -> Self {
        let track = flight.track;
        let mut outside = Vec::new();
        for stretch in &track.stretches {
            let part = stretch.start.max(window.start)..stretch.end.min(window.end);
            if part.is_empty() {
                continue;
            }
            outside.extend(outside_spans(flight, matched, part));
        }
        // A time outside that begins with the last leg's end is the way home.
        outside.retain(|span: &OutsideSpan| span.from < to && span.to > from);
        for span in &mut outside {
            span.to = span.to.min(to);
            span.from = span.from.max(from);
            span.duration_s = seconds_between(span.from, span.to);
        }
        let window_s = seconds_between(from, to);
        let gaps = track.gaps();
        let hidden = gaps
            .iter()
            .map(|gap| seconds_between(gap.from.max(from), gap.to.min(to)).max(0.0));
        let not_recorded_s = sum(hidden);
        let seconds = |wanted: Option<OutsideKind>| {
            let spans = outside.iter();
            let chosen = spans.filter(|span| wanted.is_none_or(|kind| span.kind == kind));
            sum(chosen.map(|span| span.duration_s))
        };
        let on_legs = phases
            .iter()
            .filter(|span| matches!(span.phase, Phase::SearchLeg | Phase::AdditionalLeg));
        let on_legs_s = sum(on_legs.map(|span| span.duration_s));
        Self {
            from,
            to,
            window_s,
            on_legs_s,
            not_recorded_s,
            outside_s: seconds(None),
            excursion_s: seconds(Some(OutsideKind::Excursion)),
            outside,
        }
    }
}

/// Times outside the area among fixes of one stretch.
fn outside_spans(flight: Flight<'_>, matched: &Matched, part: Range<usize>) -> Vec<OutsideSpan> {
    let Flight {
        track,
        motion,
        plan,
        ..
    } = flight;
    let area = &plan.area;
    let mut found = Vec::new();
    let mut open: Option<(usize, DateTime<Utc>, Position)> = None;
    for i in part.clone() {
        let inside = area.contains(motion.xy[i]);
        match (&open, inside) {
            (None, false) => {
                let (time, place) = match i.checked_sub(1).filter(|p| part.contains(p)) {
                    Some(previous) => crossing(flight, previous, i),
                    None => (track.fixes[i].time, track.fixes[i].position),
                };
                open = Some((i, time, place));
            }
            (Some((first, from, left_at)), true) => {
                let (to, entered_at) = crossing(flight, i - 1, i);
                found.push(span(
                    flight,
                    matched,
                    *first..i,
                    (*from, *left_at),
                    (to, entered_at),
                ));
                open = None;
            }
            _ => {}
        }
    }
    if let Some((first, from, left_at)) = open {
        let last = track.fixes[part.end - 1];
        found.push(span(
            flight,
            matched,
            first..part.end,
            (from, left_at),
            (last.time, last.position),
        ));
    }
    found
}

fn span(
    flight: Flight<'_>,
    matched: &Matched,
    fixes: Range<usize>,
    (from, left_at): (DateTime<Utc>, Position),
    (to, entered_at): (DateTime<Utc>, Position),
) -> OutsideSpan {
    let Flight { motion, plan, .. } = flight;
    let spans = &matched.spans;
    let first = spans.partition_point(|s| s.fixes.end <= fixes.start);
    let during = || {
        spans[first..]
            .iter()
            .take_while(|s| s.fixes.start < fixes.end)
    };
    let any = |phase: Phase| during().any(|s| s.phase == phase);
    let kind = if any(Phase::Excursion) {
        OutsideKind::Excursion
    } else if any(Phase::Orbit) {
        OutsideKind::Orbit
    } else if any(Phase::Turn) {
        OutsideKind::Turn
    } else {
        OutsideKind::OnLeg
    };
    let farthest_m = farthest_m(&motion.xy[fixes.clone()], &plan.area);
    OutsideSpan {
        kind,
        from,
        to,
        duration_s: seconds_between(from, to),
        left_at,
        entered_at,
        farthest: Length::from_m(farthest_m),
        after: leg_before(matched, flight, fixes.start),
    }
}

/// Greatest distance of the places from the area, metres. No place is farther from it than one near by, by more
/// than lies between the two: of places in a row most need not be measured.
fn farthest_m(places: &[Coord<f64>], area: &Area) -> f64 {
    const IN_A_ROW: usize = 32;
    let from_area_m = |at: Coord<f64>| Euclidean.distance(&Point::from(at), area.polygon());
    let rows: Vec<_> = places
        .chunks(IN_A_ROW)
        .map(|row| (row, row[row.len() / 2]))
        .map(|(row, middle)| (row, middle, from_area_m(middle)))
        .collect();
    let mut farthest_m = rows.iter().map(|(.., m)| *m).fold(0.0, f64::max);
    for (row, middle, middle_m) in rows {
        for place in row {
            let away = *place - middle;
            let room_m = farthest_m - middle_m;
            if away.x * away.x + away.y * away.y > room_m * room_m {
                farthest_m = farthest_m.max(from_area_m(*place));
            }
        }
    }
    farthest_m
}

/// When and where the edge was crossed between two neighbouring fixes, one inside and one outside.
fn crossing(flight: Flight<'_>, a: usize, b: usize) -> (DateTime<Utc>, Position) {
    let Flight {
        track,
        motion,
        plan,
        ..
    } = flight;
    let share = crossing_share(&plan.area, motion.xy[a], motion.xy[b]);
    let (pa, pb) = (motion.xy[a], motion.xy[b]);
    let at = Coord {
        x: pa.x + share * (pb.x - pa.x),
        y: pa.y + share * (pb.y - pa.y),
    };
    (
        between(track.fixes[a].time, track.fixes[b].time, share),
        plan.frame.inverse(at),
    )
}

/// Share of the way from `a` to `b` at which the area's edge is crossed first.
fn crossing_share(area: &Area, a: Coord<f64>, b: Coord<f64>) -> f64 {
    let way = Line::new(a, b);
    let length = Euclidean.distance(a, b);
    area.polygon()
        .exterior()
        .lines()
        .filter_map(
            |edge| match geo::line_intersection::line_intersection(way, edge)? {
                LineIntersection::SinglePoint { intersection, .. } => {
                    Some(Euclidean.distance(a, intersection) / length)
                }
                LineIntersection::Collinear { intersection } => {
                    Some(Euclidean.distance(a, intersection.start) / length)
                }
            },
        )
        .fold(1.0, f64::min)
}

/// Label of the planned leg flown last before a fix.
fn leg_before(matched: &Matched, flight: Flight<'_>, fix: usize) -> Option<String> {
    let run = matched.runs.iter().rfind(|run| run.fixes.start <= fix)?;
    Some(flight.plan.legs[run.leg].label.clone())
}
