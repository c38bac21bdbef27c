//! Several tracks as one: fixes that stand in two of them once, recordings of the same time refused, the rest in
//! order of time.

use super::{Part, file_of, words};
use crate::input::{InputError, shown_path};
use crate::track::tracks::same_fix;
use crate::track::{Finding, Fix, Reading, seconds_between};
use chrono::{DateTime, Utc};
use std::collections::HashMap;

/// The shortest step between fixes that may be a hole in the record, seconds, and how many median steps it
/// must have; as for the gaps of a cleaned track. Chosen.
const SHORTEST_HOLE_S: f64 = 10.0;
/// See [`SHORTEST_HOLE_S`].
const HOLE_STEPS: f64 = 4.0;

/// Joins the tracks taken. One track alone passes as it is.
pub(super) fn join(mut reading: Reading) -> Result<Reading, InputError> {
    let taken = reading.tracks.iter().filter(|track| track.taken).count();
    if taken < 2 {
        return Ok(reading);
    }
    let mut parts: Vec<Part> = reading
        .tracks
        .iter()
        .map(|track| Part {
            track: track.clone(),
            segments: track.segments_in(&reading).to_vec(),
        })
        .collect();
    leave_out_repeated(&mut reading, &mut parts);
    let records: Vec<Record> = parts.iter().map(Record::of).collect();
    refuse_overlap(&reading, &parts, &records)?;
    let starts = Starts::of(&records);
    for index in 0..parts.len() {
        let segments = std::mem::take(&mut parts[index].segments);
        parts[index].segments = segments
            .into_iter()
            .flat_map(|segment| cut(segment, records[index].hole_s, index, &starts))
            .collect();
    }
    reading.set(parts);
    if reading.sources.len() > 1 {
        // In which order files are named means nothing.
        reading
            .segments
            .sort_by_key(|segment| segment[segment.len() / 2].time);
    }
    Ok(reading)
}

/// Of fixes that stand in several tracks the first is kept.
fn leave_out_repeated(reading: &mut Reading, parts: &mut [Part]) {
    let mut seen: HashMap<DateTime<Utc>, Vec<Fix>> = HashMap::new();
    for part in parts.iter_mut() {
        for segment in &mut part.segments {
            segment.retain(|fix| {
                let before = seen.get(&fix.time).into_iter().flatten();
                let Some(same) = before.into_iter().find(|other| same_fix(other, fix)) else {
                    return true;
                };
                let file = shown_path(file_of(&reading.sources, same.file));
                let raw = format!("as on line {} of {file}", same.line);
                reading.ledger.add_at(fix, Finding::Repeated, raw);
                reading.taken.points_repeated += 1;
                false
            });
        }
        for fix in part.fixes() {
            seen.entry(fix.time).or_default().push(*fix);
        }
    }
}

/// When a track was recorded.
struct Record {
    /// Steps longer than this are holes, seconds.
    hole_s: f64,
    /// From when to when it was recorded without a hole, in order of time.
    runs: Vec<(DateTime<Utc>, DateTime<Utc>)>,
}

impl Record {
    fn of(part: &Part) -> Self {
        let mut times: Vec<DateTime<Utc>> = part.fixes().map(|fix| fix.time).collect();
        times.sort_unstable();
        let mut steps_s: Vec<f64> = times
            .windows(2)
            .map(|pair| seconds_between(pair[0], pair[1]))
            .collect();
        steps_s.sort_unstable_by(f64::total_cmp);
        let median_s = steps_s.get(steps_s.len() / 2).copied().unwrap_or(0.0);
        let hole_s = SHORTEST_HOLE_S.max(HOLE_STEPS * median_s);
        let mut runs: Vec<(DateTime<Utc>, DateTime<Utc>)> = Vec::new();
        for time in times {
            match runs.last_mut() {
                Some((_, end)) if seconds_between(*end, time) <= hole_s => *end = time,
                _ => runs.push((time, time)),
            }
        }
        Self { hole_s, runs }
    }

    /// Seconds that both were recorded, and when that began.
    fn together(&self, other: &Self) -> (f64, Option<DateTime<Utc>>) {
        let (mut own, mut theirs) = (self.runs.iter().peekable(), other.runs.iter().peekable());
        let (mut seconds, mut since) = (0.0, None);
        while let (Some(a), Some(b)) = (own.peek(), theirs.peek()) {
            let (from, to) = (a.0.max(b.0), a.1.min(b.1));
            if from < to {
                seconds += seconds_between(from, to);
                since.get_or_insert(from);
            }
            if a.1 < b.1 {
                own.next();
            } else {
                theirs.next();
            }
        }
        (seconds, since)
    }
}

/// Refuses tracks that were recorded at the same time, for longer than the step that would be a hole: clocks
/// that were wrong for a fix or two are for the cleaning.
fn refuse_overlap(reading: &Reading, parts: &[Part], records: &[Record]) -> Result<(), InputError> {
    for (second, b) in records.iter().enumerate() {
        for (first, a) in records[..second].iter().enumerate() {
            let (seconds, since) = a.together(b);
            let Some(since) = since.filter(|_| seconds > a.hole_s.max(b.hole_s)) else {
                continue;
            };
            let (a, b) = (&parts[first].track, &parts[second].track);
            let problem = format!(
                "tracks {} and {} were recorded at the same time, from {} UTC for {seconds:.0} s, with different \
                 fixes; {}",
                a.title(),
                b.title(),
                since.format("%Y-%m-%d %H:%M:%S"),
                words::held(parts, &reading.sources)
            );
            let hint = "choose one of the two recordings, as in --track 1, or leave its file out";
            let file = file_of(&reading.sources, b.file);
            return Err(InputError::new(file, Some(b.line), problem, hint));
        }
    }
    Ok(())
}

/// When recordings began, over all tracks, in order of time.
struct Starts {
    /// Each with the index of its track.
    all: Vec<(DateTime<Utc>, usize)>,
    /// For each the index of the next that is of another track.
    next_other: Vec<usize>,
}

impl Starts {
    fn of(records: &[Record]) -> Self {
        let of_one = |(index, record)| {
            let record: &Record = record;
            record.runs.iter().map(move |run| (run.0, index))
        };
        let mut all: Vec<(DateTime<Utc>, usize)> =
            records.iter().enumerate().flat_map(of_one).collect();
        all.sort_unstable();
        let mut next_other = vec![all.len(); all.len()];
        for at in (1..all.len()).rev() {
            let same = all[at - 1].1 == all[at].1;
            next_other[at - 1] = if same { next_other[at] } else { at };
        }
        Self { all, next_other }
    }

    /// Whether another track than that began between two moments.
    fn of_another_between(&self, track: usize, from: DateTime<Utc>, to: DateTime<Utc>) -> bool {
        let next = self.all.partition_point(|(at, _)| *at <= from);
        let other = match self.all.get(next) {
            Some((_, owner)) if *owner == track => self.next_other[next],
            _ => next,
        };
        self.all.get(other).is_some_and(|(at, _)| *at < to)
    }
}

/// The segment cut at those holes in which another track was recorded.
fn cut(segment: Vec<Fix>, hole_s: f64, track: usize, starts: &Starts) -> Vec<Vec<Fix>> {
    let mut pieces = Vec::new();
    let mut piece: Vec<Fix> = Vec::new();
    for fix in segment {
        let hole = piece.last().is_some_and(|last: &Fix| {
            seconds_between(last.time, fix.time) > hole_s
                && starts.of_another_between(track, last.time, fix.time)
        });
        if hole {
            pieces.push(std::mem::take(&mut piece));
        }
        piece.push(fix);
    }
    pieces.push(piece);
    pieces
}
