//! A span of time spread along a line by distance: times that were not recorded, made up where that was asked
//! for.
//!
//! With the geodesic distance `s` along the line from its beginning, of `S` in all, a position has the time
//! `begin + (end - begin) s / S`: one ground speed throughout.
//!
//! `TimeSpan`: 12-007r2 and 07-147r2 (clauses from memory). Its `begin` and `end` may be years, months or dates, which say
//! nothing about a flight, and either may be missing, which leaves the span open; such are refused.

use super::super::values::{Zone, bounded, moment, xsd_time};
use super::super::xml::Fault;
use super::line::Line;
use super::refused;
use crate::geodesy::geodesic;
use crate::track::{Finding, Fix, Ledger, LocalTime};
use crate::units::{Length, Speed};
use chrono::{DateTime, SecondsFormat, TimeDelta, Utc};

/// A ground speed above which span and line do not belong together. Chosen: twice what the fastest search
/// aircraft fly in transit.
const MOST_SPEED: Speed = Speed::from_kt(1000.0);

const WHOLE_SPAN: &str = "both ends are needed, as times like 2026-05-01T15:04:05Z";

/// One `TimeSpan`, as it stands.
#[derive(Debug, Default)]
pub(super) struct Span {
    /// Line of the file on which it begins.
    pub(super) line: u32,
    pub(super) begin: Option<End>,
    pub(super) end: Option<End>,
}

/// One end of a span.
#[derive(Debug)]
pub(super) struct End {
    line: u32,
    text: String,
}

impl End {
    /// The end that stands on a line; `before` is one of the same name before it, which leaves it open which
    /// is meant.
    pub(super) fn of(line: u32, text: &str, before: Option<Self>) -> Self {
        let text = match before {
            Some(before) => bounded(&format!("{}|{text}", before.text)),
            None => bounded(text),
        };
        Self { line, text }
    }

    fn time(
        self,
        name: &str,
        local: Option<LocalTime>,
        ledger: &mut Ledger,
    ) -> Result<DateTime<Utc>, Fault> {
        let Self { line, text } = self;
        let (time, zone): (_, Zone) = xsd_time(&text).map_err(|_| {
            let what = if text.is_empty() {
                "is empty".to_owned()
            } else if text.contains('T') {
                format!("is no time ({text})")
            } else {
                format!("is no date with a time of day ({text})")
            };
            refused(
                line,
                format!("the <{name}> of a <TimeSpan> {what}"),
                WHOLE_SPAN,
            )
        })?;
        let (time, finding) = moment(time, zone, local);
        if let Some(finding) = finding {
            ledger.add(line, finding, text);
        }
        Ok(time)
    }
}

impl Span {
    pub(super) fn at(line: u32) -> Self {
        Self {
            line,
            ..Self::default()
        }
    }

    fn times(
        self,
        local: Option<LocalTime>,
        ledger: &mut Ledger,
    ) -> Result<[DateTime<Utc>; 2], Fault> {
        let line = self.line;
        let none = |name: &str| {
            let problem =
                format!("a <TimeSpan> has no <{name}>, so when the line was flown is open");
            refused(line, problem, WHOLE_SPAN)
        };
        let begin = self.begin.ok_or_else(|| none("begin"))?;
        let end = self.end.ok_or_else(|| none("end"))?;
        let begin = begin.time("begin", local, ledger)?;
        let end = end.time("end", local, ledger)?;
        let problem = match end.cmp(&begin) {
            std::cmp::Ordering::Greater => return Ok([begin, end]),
            std::cmp::Ordering::Equal => format!("a <TimeSpan> begins and ends at {}", shown(end)),
            std::cmp::Ordering::Less => format!(
                "a <TimeSpan> ends at {}, before it begins at {}",
                shown(end),
                shown(begin)
            ),
        };
        Err(refused(
            line,
            problem,
            "the end must be later than the beginning; if one of the two has a wrong zone, mend it",
        ))
    }
}

/// The fixes of a line whose placemark has this span. What was made up stands in the ledger, once for the line.
pub(super) fn spread(
    mut line: Line,
    span: Span,
    local: Option<LocalTime>,
    ledger: &mut Ledger,
) -> Result<Vec<Fix>, Fault> {
    if let Some((at, finding, text)) = line.fault {
        let what = finding.describe().split(": ").next().unwrap_or_default();
        let problem = format!(
            "a position of a line whose times are to be spread cannot be used, {what} ({text})"
        );
        return Err(refused(
            at,
            problem,
            "without it the distances along the line are not known: mend it or take it out; positions are \
             longitude,latitude,altitude with spaces between them",
        ));
    }
    if line.fixes.len() < 2 {
        let problem = match (line.fixes.len(), line.repeated) {
            (0, _) => "a line whose times are to be spread has no position",
            (_, 0) => "a line whose times are to be spread has one position alone",
            _ => {
                "a line whose times are to be spread has no length: all its positions are the same"
            }
        };
        return Err(refused(
            line.begin,
            problem.to_owned(),
            "a line from one place to another is needed",
        ));
    }
    let [begin, end] = span.times(local, ledger)?;
    line.settle_heights(ledger);
    let span = end - begin;
    let whole = length(&line.fixes);
    let speed = Speed::from_mps(whole.m() / span.as_seconds_f64());
    if speed > MOST_SPEED {
        let problem = format!(
            "a line {:.1} NM long with a <TimeSpan> from {} to {} would have been flown at more than {:.0} kt",
            whole.nm(),
            shown(begin),
            shown(end),
            MOST_SPEED.kt()
        );
        return Err(refused(
            line.begin,
            problem,
            "give the line the span of time in which it was flown",
        ));
    }
    let repeated = match line.repeated {
        0 => String::new(),
        1 => ", a repeated position taken once".to_owned(),
        count => format!(", {count} repeated positions taken once"),
    };
    let raw = format!(
        "{} positions over {:.1} NM from {} to {}, as if at {:.0} kt throughout{repeated}",
        line.fixes.len(),
        whole.nm(),
        shown(begin),
        shown(end),
        speed.kt()
    );
    ledger.add(line.begin, Finding::SpreadTimes, raw);
    let mut flown_m = 0.0;
    let mut before = line.fixes[0].position;
    for fix in &mut line.fixes {
        flown_m += geodesic::distance(before, fix.position).m();
        before = fix.position;
        fix.time = begin + share(span, flown_m / whole.m());
    }
    Ok(line.fixes)
}

fn length(fixes: &[Fix]) -> Length {
    let steps = fixes.windows(2);
    let steps_m = steps.map(|pair| geodesic::distance(pair[0].position, pair[1].position).m());
    // From nought on, in the order of the line, so that the last share is exactly one.
    Length::from_m(steps_m.fold(0.0, |sum, step| sum + step))
}

/// A share of a time, to the microsecond: a tenth of a millimetre at the speed of an aircraft.
fn share(span: TimeDelta, share: f64) -> TimeDelta {
    let micros = span.num_microseconds().unwrap_or(i64::MAX);
    if share >= 1.0 {
        return span;
    }
    TimeDelta::microseconds((micros as f64 * share).round() as i64)
}

fn shown(time: DateTime<Utc>) -> String {
    time.to_rfc3339_opts(SecondsFormat::AutoSi, true)
}
