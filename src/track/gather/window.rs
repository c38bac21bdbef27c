//! The window of time that is wanted.

use super::{Part, all_files, words};
use crate::input::InputError;
use crate::track::{Entry, Finding, Fix, Reading, Window};
use chrono::{DateTime, NaiveTime, SecondsFormat, TimeDelta, Utc};
use std::cmp::Ordering;
use std::str::FromStr;

/// Share of the fixes at either end that does not count when the days of a log are told: a receiver without
/// a fix may write a few of 1980. Chosen.
const OUTLIERS: f64 = 0.01;

/// How far before or after a log over midnight a time of day may lie and still be of the day beside it. Chosen:
/// within a quarter of a day there is one such day.
const BESIDE: TimeDelta = TimeDelta::hours(6);

/// One end of a window: a moment, or a time of day of the day of the log.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Edge {
    /// A moment.
    At(DateTime<Utc>),
    /// A time of day, UTC.
    TimeOfDay(NaiveTime),
}

impl FromStr for Edge {
    type Err = String;

    fn from_str(text: &str) -> Result<Self, String> {
        let text = text.trim();
        if let Ok(time) = DateTime::parse_from_rfc3339(text) {
            return Ok(Self::At(time.to_utc()));
        }
        let of_day = text.trim_end_matches(['Z', 'z']);
        ["%H:%M:%S%.f", "%H:%M"]
            .iter()
            .find_map(|form| NaiveTime::parse_from_str(of_day, form).ok())
            .map(Self::TimeOfDay)
            .ok_or_else(|| {
                "a UTC time like 2026-05-01T15:04:05Z is accepted, or a time of day like 15:04 or 15:04:05"
                    .to_owned()
            })
    }
}

/// Leaves out what lies outside of the window, and counts it.
pub(super) fn trim(
    reading: &mut Reading,
    parts: &mut [Part],
    edges: [Option<Edge>; 2],
) -> Result<(), InputError> {
    if edges == [None, None] {
        return Ok(());
    }
    let mut times: Vec<DateTime<Utc>> = parts
        .iter()
        .flat_map(Part::fixes)
        .map(|fix| fix.time)
        .collect();
    times.sort_unstable();
    let (Some(&first), Some(&last)) = (times.first(), times.last()) else {
        // Nothing usable: the error that says so is better made where points are counted.
        return Ok(());
    };
    let refuse = |problem: String, hint: &str| {
        InputError::new(&all_files(&reading.sources), None, problem, hint)
    };
    let [from, to] = edges.map(|edge| edge.map(|edge| moment(edge, &times)));
    let placed = |edge: Option<Result<DateTime<Utc>, String>>| edge.transpose();
    let with_date = "give the date as well, as in 2026-05-01T15:04:05Z";
    let window = Window {
        from: placed(from).map_err(|problem| refuse(problem, with_date))?,
        to: placed(to).map_err(|problem| refuse(problem, with_date))?,
    };
    if window
        .from
        .zip(window.to)
        .is_some_and(|(from, to)| to < from)
    {
        return Err(refuse(
            format!("the window of time ends before it begins: {}", text(window)),
            "give --since the earlier and --until the later time",
        ));
    }
    if times
        .iter()
        .all(|time| window.side(*time) != Ordering::Equal)
    {
        return Err(refuse(
            format!(
                "no fix lies in the window of time, {}; the log is of {}",
                text(window),
                words::span(first, last)
            ),
            "give a window within that span, UTC",
        ));
    }
    let mut outside: [Vec<Fix>; 2] = [Vec::new(), Vec::new()];
    for segment in parts.iter_mut().flat_map(|part| &mut part.segments) {
        segment.retain(|fix| {
            let side = match window.side(fix.time) {
                Ordering::Equal => return true,
                Ordering::Less => 0,
                Ordering::Greater => 1,
            };
            outside[side].push(*fix);
            false
        });
    }
    let edges = [("before", window.from), ("after", window.to)];
    for (fixes, (word, edge)) in outside.iter().zip(edges) {
        if let (Some(first), Some(edge)) = (fixes.first(), edge) {
            reading.ledger.entries.push(Entry {
                file: first.file,
                line: first.line,
                finding: Finding::OutsideWindow,
                raw: format!("{} fixes {word} {}", fixes.len(), shown(edge)),
            });
        }
    }
    reading.taken.window = Some(window);
    reading.taken.points_before = outside[0].len();
    reading.taken.points_after = outside[1].len();
    Ok(())
}

/// The moment that an edge stands for, in a log with these times in order.
fn moment(edge: Edge, times: &[DateTime<Utc>]) -> Result<DateTime<Utc>, String> {
    let time = match edge {
        Edge::At(moment) => return Ok(moment),
        Edge::TimeOfDay(time) => time,
    };
    // A cast within the length of the list.
    let outliers = (times.len() as f64 * OUTLIERS) as usize;
    let (first, last) = (times[outliers], times[times.len() - 1 - outliers]);
    let (day, last_day) = (first.date_naive(), last.date_naive());
    if day == last_day {
        return Ok(day.and_time(time).and_utc());
    }
    // Of the days of the log and those beside it, the one on which that time lies in the log or nearest to it.
    let from = day.pred_opt().unwrap_or(day);
    let days = from
        .iter_days()
        .take_while(|day| day.pred_opt() <= Some(last_day));
    let mut near: Vec<(TimeDelta, DateTime<Utc>)> = days
        .map(|day| day.and_time(time).and_utc())
        .map(|at| ((first - at).max(at - last).max(TimeDelta::zero()), at))
        .filter(|(apart, _)| *apart <= BESIDE)
        // One before the log at most, and two in it: a log of many years has no more to tell.
        .take(4)
        .collect();
    near.sort_unstable();
    match near.as_slice() {
        [(apart, _), (other, _), ..] if apart == other => Err("more than once"),
        [(_, at), ..] => Ok(*at),
        [] => Err("not at all"),
    }
    .map_err(|how| {
        format!(
            "{} comes {how} in the log, which is of {}",
            time.format("%H:%M:%S"),
            words::span(first, last)
        )
    })
}

fn text(window: Window) -> String {
    match (window.from, window.to) {
        (Some(from), Some(to)) => format!("{} to {}", shown(from), shown(to)),
        (Some(from), None) => format!("from {} on", shown(from)),
        (None, Some(to)) => format!("until {}", shown(to)),
        (None, None) => "open at both ends".to_owned(),
    }
}

fn shown(time: DateTime<Utc>) -> String {
    time.to_rfc3339_opts(SecondsFormat::AutoSi, true)
}
