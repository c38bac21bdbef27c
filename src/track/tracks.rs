//! Which tracks the files of a log hold, and what was taken of them.

use super::{Fix, Reading, seconds_between};
use chrono::{DateTime, TimeDelta, Utc};
use serde::Serialize;
use std::ops::Range;

/// Names of tracks that stand in the name of the whole before the rest is only counted.
const MOST_NAMES: usize = 3;

/// One track of a file: what a recorder, or who exported it, kept together under one name.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct LogTrack {
    /// Its number among those of all files, from 1.
    pub number: usize,
    /// Which of the files holds it, from 0.
    pub file: u16,
    /// Line of that file on which it begins, from 1.
    pub line: u32,
    /// Its name, if it has one.
    pub name: Option<String>,
    /// Earliest time of a usable fix, UTC.
    pub first: Option<DateTime<Utc>>,
    /// Latest time of a usable fix, UTC.
    pub last: Option<DateTime<Utc>>,
    /// Usable fixes.
    pub fixes: usize,
    /// Points that cannot be used.
    pub unusable: usize,
    /// Whether it is part of what was taken.
    pub taken: bool,
    /// Its segments in the reading.
    #[serde(skip)]
    pub(super) segments: Range<usize>,
    /// Its entries in the ledger of the reading.
    #[serde(skip)]
    pub(super) entries: Range<usize>,
}

impl LogTrack {
    /// A track that has these segments of a reading and these entries of its ledger, as ranges of their
    /// indices, and begins on `line`.
    #[must_use]
    pub fn new(
        name: Option<String>,
        line: u32,
        segments: Range<usize>,
        entries: Range<usize>,
    ) -> Self {
        Self {
            number: 1,
            file: 0,
            line,
            name,
            first: None,
            last: None,
            fixes: 0,
            unusable: 0,
            taken: true,
            segments,
            entries,
        }
    }

    /// Points that it holds, usable or not.
    #[must_use]
    pub const fn points(&self) -> usize {
        self.fixes + self.unusable
    }

    /// Its fixes in the reading it belongs to, as long as nothing was left out there.
    #[must_use]
    pub fn segments_in<'a>(&self, reading: &'a Reading) -> &'a [Vec<Fix>] {
        reading.segments.get(self.segments.clone()).unwrap_or(&[])
    }

    /// For people: `2 "Morning"`, `3 (no name)`.
    #[must_use]
    pub fn title(&self) -> String {
        match &self.name {
            Some(name) => format!("{} \"{name}\"", self.number),
            None => format!("{} (no name)", self.number),
        }
    }
}

/// Times that are local, and how far their zone is from UTC.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
pub struct LocalTime {
    /// Local time minus UTC, seconds: +7200 where the clock shows two hours more than UTC.
    pub offset_s: i32,
    /// Times that say they are UTC are local all the same. Those that name another zone are believed.
    pub despite_utc: bool,
}

impl LocalTime {
    /// The moment at which clocks of this zone show `local`.
    #[must_use]
    pub fn to_utc(self, local: DateTime<Utc>) -> DateTime<Utc> {
        local - TimeDelta::seconds(i64::from(self.offset_s))
    }
}

/// A window of time, UTC; an end that is not given is open. The ends belong to it.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize)]
pub struct Window {
    /// From when.
    pub from: Option<DateTime<Utc>>,
    /// Until when.
    pub to: Option<DateTime<Utc>>,
}

impl Window {
    /// Whether a moment lies inside, or on which side of it.
    pub(super) fn side(&self, time: DateTime<Utc>) -> std::cmp::Ordering {
        use std::cmp::Ordering::{Equal, Greater, Less};
        match (self.from, self.to) {
            (Some(from), _) if time < from => Less,
            (_, Some(to)) if time > to => Greater,
            _ => Equal,
        }
    }
}

/// What was done with the times of a log, and what was left out because it was not asked for.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize)]
pub struct Taken {
    /// Seconds added to every recorded time, because the clock was wrong.
    pub clock_correction_s: f64,
    /// How local times were turned into UTC.
    pub local_time: Option<LocalTime>,
    /// The times of lines with one span of time were made up, spread along them by distance.
    pub spread_times: bool,
    /// The window of time that was asked for.
    pub window: Option<Window>,
    /// Fixes before it.
    pub points_before: usize,
    /// Fixes after it.
    pub points_after: usize,
    /// Fixes that stand in another track or file as well.
    pub points_repeated: usize,
}

impl Taken {
    pub(super) const fn points_left_out(&self) -> usize {
        self.points_before + self.points_after + self.points_repeated
    }
}

impl Reading {
    /// Works out what the tracks hold, leaves out those without any point, numbers them and puts their
    /// names together.
    pub(super) fn describe_tracks(&mut self) {
        for track in &mut self.tracks {
            let fixes = || {
                let segments = self.segments.get(track.segments.clone());
                segments.unwrap_or(&[]).iter().flatten()
            };
            track.fixes = fixes().count();
            track.first = fixes().map(|fix| fix.time).min();
            track.last = fixes().map(|fix| fix.time).max();
            let entries = self.ledger.entries.get(track.entries.clone());
            track.unusable = entries
                .unwrap_or(&[])
                .iter()
                .filter(|entry| entry.finding.drops_the_fix())
                .count();
        }
        self.tracks.retain(|track| track.points() > 0);
        for (number, track) in (1..).zip(&mut self.tracks) {
            track.number = number;
        }
        self.name = self.names();
    }

    /// The names of the tracks taken, each once.
    pub(super) fn names(&self) -> Option<String> {
        let mut names: Vec<&str> = Vec::new();
        let taken = self.tracks.iter().filter(|track| track.taken);
        for name in taken.filter_map(|track| track.name.as_deref()) {
            if !names.contains(&name) {
                names.push(name);
            }
        }
        let more = names.len().saturating_sub(MOST_NAMES);
        names.truncate(MOST_NAMES);
        let mut text = names.join(", ");
        if more > 0 {
            text.push_str(&format!(" and {more} more"));
        }
        (!text.is_empty()).then_some(text)
    }
}

/// Whether two fixes are the same: one moment, and places apart by no more than rounding.
pub(super) fn same_fix(a: &Fix, b: &Fix) -> bool {
    /// Degrees. Chosen: what one export rounds off at six decimals and another does not.
    const ROUNDING_DEG: f64 = 1e-6;
    seconds_between(a.time, b.time) == 0.0
        && (a.position.lat() - b.position.lat()).abs() <= ROUNDING_DEG
        && (a.position.lon() - b.position.lon()).abs() <= ROUNDING_DEG
}
