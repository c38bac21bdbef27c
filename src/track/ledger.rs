//! The import ledger: every point that was dropped or repaired, with its place in the file and why.

use super::Fix;
use serde::Serialize;
use std::collections::BTreeMap;

/// What was found wrong with a point, and so what was done with it.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Finding {
    /// A line that is no record or sentence of the format, or whose check sum is wrong: dropped.
    DamagedLine,
    /// The receiver says that it had no fix: not used, nothing is lost with it.
    NoFix,
    /// No latitude or longitude, or not a number: dropped.
    Unreadable,
    /// Latitude beyond 90° or longitude beyond 180°: dropped.
    OutOfRange,
    /// Exactly 0° N 0° E, which receivers write when they have no position: dropped.
    NullIsland,
    /// A latitude or a longitude of exactly 0°, out of reach from the fixes around it: dropped.
    ZeroCoordinate,
    /// No time: dropped, since neither speed nor order can be told.
    NoTime,
    /// A time that cannot be read: dropped.
    BadTime,
    /// A time that belongs to no position, a position that belongs to no time, or so many more of the
    /// one than of the other that it cannot be told which belong together: dropped.
    Unpaired,
    /// A time without a zone: taken as UTC, kept.
    NoZone,
    /// A time without a zone, or with one that is said to be wrong: taken as the local time that was
    /// given, kept.
    LocalTime,
    /// A line with one span of time: the times of its positions were made up, spread along it by distance, since that
    /// was asked for. One entry for the line.
    SpreadTimes,
    /// A height that cannot be read, or that no aircraft can have: the fix is kept without it.
    BadHeight,
    /// The same time as the fix before it: dropped.
    DuplicateTime,
    /// A time out of order with those around it: dropped.
    TimeReversed,
    /// The position of the fix before it once more, while the aircraft flew on: dropped.
    FrozenPosition,
    /// Reaching or leaving it would have taken an impossible speed: dropped.
    ImpossibleSpeed,
    /// Flying by it would have taken an impossible acceleration: dropped.
    ImpossibleTurn,
    /// A height that only an impossible climb or descent leads to: the fix is kept without it.
    ImpossibleHeight,
    /// From here on heights are on another level, out of reach at any possible climb, and stay there:
    /// kept.
    HeightJump,
    /// From here on the track goes on somewhere else, out of reach at any possible speed, and stays
    /// there: kept, with a gap between.
    PositionJump,
    /// A track segment stands in the file after a later one: kept, in order of time.
    OutOfOrder,
    /// The file breaks off or is ill-formed: what came before is kept.
    Truncated,
    /// A track of the file that was not chosen: all its points are left out.
    NotChosen,
    /// The same fix stands in another track or file as well: left out here.
    Repeated,
    /// Fixes before or after the window of time that was asked for: left out.
    OutsideWindow,
}

/// What was done about a finding.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Action {
    /// The point was left out of the track.
    Dropped,
    /// The point was kept, but not as it stands.
    Repaired,
    /// Nothing: it is only said.
    Noted,
}

impl Finding {
    const fn action(self) -> Action {
        match self {
            Self::DamagedLine
            | Self::Unreadable
            | Self::OutOfRange
            | Self::NullIsland
            | Self::ZeroCoordinate
            | Self::NoTime
            | Self::BadTime
            | Self::Unpaired
            | Self::DuplicateTime
            | Self::TimeReversed
            | Self::FrozenPosition
            | Self::ImpossibleSpeed
            | Self::ImpossibleTurn => Action::Dropped,
            Self::NoZone
            | Self::SpreadTimes
            | Self::BadHeight
            | Self::ImpossibleHeight
            | Self::OutOfOrder
            | Self::Truncated => Action::Repaired,
            Self::NoFix
            | Self::LocalTime
            | Self::PositionJump
            | Self::HeightJump
            | Self::NotChosen
            | Self::Repeated
            | Self::OutsideWindow => Action::Noted,
        }
    }

    /// Whether the point itself was left out of the track though it was asked for.
    #[must_use]
    pub const fn drops_the_fix(self) -> bool {
        matches!(self.action(), Action::Dropped)
    }

    /// Whether a log is refused for it where nothing may be dropped or repaired.
    #[must_use]
    pub const fn refused_if_strict(self) -> bool {
        matches!(self.action(), Action::Dropped | Action::Repaired)
    }

    /// A few words for tables.
    #[must_use]
    pub const fn describe(self) -> &'static str {
        match self {
            Self::DamagedLine => "line damaged: dropped",
            Self::NoFix => "receiver without a fix: not used",
            Self::Unreadable => "no readable position: dropped",
            Self::OutOfRange => "position out of range: dropped",
            Self::NullIsland => "exactly 0°N 0°E: dropped",
            Self::ZeroCoordinate => "latitude or longitude exactly 0°, out of reach: dropped",
            Self::NoTime => "no time: dropped",
            Self::BadTime => "time not readable: dropped",
            Self::Unpaired => "times and positions do not pair up: dropped",
            Self::NoZone => "time without zone: taken as UTC",
            Self::LocalTime => "time taken as local: turned into UTC",
            Self::SpreadTimes => "line without recorded times: made up along it at one speed",
            Self::BadHeight => "height not usable: kept without it",
            Self::DuplicateTime => "same time as the fix before: dropped",
            Self::TimeReversed => "time out of order: dropped",
            Self::FrozenPosition => "position repeated in flight: dropped",
            Self::ImpossibleSpeed => "impossible speed: dropped",
            Self::ImpossibleTurn => "beside the track, impossible turn: dropped",
            Self::ImpossibleHeight => "impossible climb or descent: kept without height",
            Self::HeightJump => "heights go on at another level: kept",
            Self::PositionJump => "track goes on elsewhere: kept, gap between",
            Self::OutOfOrder => "segment out of order: put in order of time",
            Self::Truncated => "file broken from here on: read up to there",
            Self::NotChosen => "track not chosen: left out",
            Self::Repeated => "same fix in another track or file: left out here",
            Self::OutsideWindow => "outside the window of time: left out",
        }
    }
}

/// One line of the ledger.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Entry {
    /// Which of the files of the log, from 0.
    pub file: u16,
    /// Line of that file, from 1.
    pub line: u32,
    /// What was found.
    pub finding: Finding,
    /// All that the file has of the point, as it stands there or as it was read, or the line; each value is cut
    /// to what can be quoted ([`bounded`](crate::characters::bounded)). Of a fix that cleaning found: time,
    /// latitude and longitude in degrees, height in metres, and what is wrong with it.
    pub raw: String,
}

/// All entries in the order they were made: first those of reading, then those of cleaning.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
#[serde(transparent)]
pub struct Ledger {
    /// The entries.
    pub entries: Vec<Entry>,
}

impl Ledger {
    /// Adds an entry about a line of the one file that is being read.
    pub fn add(&mut self, line: u32, finding: Finding, raw: impl Into<String>) {
        self.push((0, line), finding, raw.into());
    }

    /// Adds an entry about a fix, at its place in its file.
    pub fn add_at(&mut self, fix: &Fix, finding: Finding, raw: impl Into<String>) {
        self.push((fix.file, fix.line), finding, raw.into());
    }

    fn push(&mut self, (file, line): (u16, u32), finding: Finding, raw: String) {
        self.entries.push(Entry {
            file,
            line,
            finding,
            raw,
        });
    }

    /// How many entries of each kind.
    #[must_use]
    pub fn counts(&self) -> BTreeMap<Finding, usize> {
        let mut counts = BTreeMap::new();
        for entry in &self.entries {
            *counts.entry(entry.finding).or_insert(0) += 1;
        }
        counts
    }

    /// The first `most` entries of each finding, or all; and how many others there are.
    #[must_use]
    pub fn first_of_each(&self, most: Option<usize>) -> (Vec<&Entry>, usize) {
        let mut seen: BTreeMap<Finding, usize> = BTreeMap::new();
        let shown: Vec<_> = self
            .entries
            .iter()
            .filter(|entry| {
                let count = seen.entry(entry.finding).or_insert(0);
                *count += 1;
                most.is_none_or(|most| *count <= most)
            })
            .collect();
        let left_out = self.entries.len() - shown.len();
        (shown, left_out)
    }

    /// How many fixes were dropped.
    #[must_use]
    pub fn dropped(&self) -> usize {
        self.entries
            .iter()
            .filter(|e| e.finding.drops_the_fix())
            .count()
    }
}
