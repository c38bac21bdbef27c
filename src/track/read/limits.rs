//! How much of a log is read. What is larger than any log of a flight is refused, so that no file exhausts
//! the memory: nothing here is a limit of the formats.

use crate::track::Ledger;
use std::io::{self, Read};

/// Track points of a log. Chosen: ten a second for almost six days.
const MOST_POINTS: usize = 5_000_000;

/// Tracks of a log. Chosen: one a day for 27 years.
const MOST_TRACKS: usize = 10_000;

/// Lines of a log of records, sentences or rows. Chosen: ten sentences a second for 23 days.
const MOST_LINES: u32 = 20_000_000;

/// Entries of the ledger. Chosen: whoever has more has no log, or one that should be exported again.
const MOST_ENTRIES: usize = 1_000_000;

/// Bytes of one element's beginning, of one text, comment or declaration of an XML file: each is held in
/// memory. Chosen: pictures within descriptions have a few megabytes.
pub(super) const MOST_EVENT_BYTES: u64 = 1 << 24;

/// Bytes that are kept of the text of one element that is read; what is longer is no value. Chosen: a hundred
/// times the longest name.
pub(super) const MOST_TEXT_BYTES: usize = 1 << 16;

/// Bytes of a row of a table, with the comments and empty lines before it. Chosen: a thousand columns of a
/// thousand letters.
const MOST_ROW_BYTES: u64 = 1 << 20;

/// Elements of which something is read that may be open at once. Chosen: folders are nested by hand, a few deep.
pub(super) const DEEPEST: u64 = 100;

/// Elements that may be open at once within one that is stepped over: the parser keeps the name of each. Chosen:
/// some megabytes.
pub(super) const DEEPEST_BESIDE: u64 = 1_000_000;

/// What a log holds too much of.
#[derive(Clone, Copy, Debug, PartialEq, Eq, thiserror::Error)]
pub(super) enum TooMuch {
    #[error("the log has more than {MOST_POINTS} track points")]
    Points,
    #[error("the log has more than {MOST_TRACKS} tracks")]
    Tracks,
    #[error("the log has more than {MOST_LINES} lines")]
    Lines,
    #[error("more than {MOST_ENTRIES} points or lines cannot be used as they are")]
    Entries,
    #[error("an element, a text or a comment is longer than {} MiB", MOST_EVENT_BYTES >> 20)]
    Event,
    #[error("a row is longer than {} MiB, or comments before it are", MOST_ROW_BYTES >> 20)]
    Row,
    #[error("the elements are nested more than {0} deep")]
    Deep(u64),
}

impl TooMuch {
    /// The excess behind an error of reading, if it is one.
    pub(super) fn behind(error: &io::Error) -> Option<Self> {
        error.get_ref()?.downcast_ref().copied()
    }

    /// What would do.
    pub(super) const fn hint(self) -> &'static str {
        match self {
            Self::Points | Self::Tracks | Self::Lines | Self::Entries => {
                "cut the log to the flight"
            }
            Self::Event | Self::Row => "export the log again",
            Self::Deep(_) => "take the track out of its folders",
        }
    }
}

/// Whether so many points, tracks and entries of the ledger may be held.
pub(super) const fn held(points: usize, tracks: usize, ledger: &Ledger) -> Result<(), TooMuch> {
    if tracks > MOST_TRACKS {
        return Err(TooMuch::Tracks);
    }
    if points > MOST_POINTS {
        return Err(TooMuch::Points);
    }
    entries(ledger)
}

/// As [`held`], of a log by lines, of which this is the number of one.
pub(super) const fn lines(line: u32, ledger: &Ledger) -> Result<(), TooMuch> {
    if line > MOST_LINES {
        return Err(TooMuch::Lines);
    }
    entries(ledger)
}

const fn entries(ledger: &Ledger) -> Result<(), TooMuch> {
    if ledger.entries.len() > MOST_ENTRIES {
        return Err(TooMuch::Entries);
    }
    Ok(())
}

/// Hands out no more than a row may have, since its reader holds it whole.
pub(super) struct RowByRow<R> {
    source: R,
    bytes: u64,
}

impl<R> RowByRow<R> {
    pub(super) const fn new(source: R) -> Self {
        Self { source, bytes: 0 }
    }

    /// A new row begins. What its reader has read ahead counts for the row before.
    pub(super) const fn begin(&mut self) {
        self.bytes = 0;
    }

    pub(super) fn into_inner(self) -> R {
        self.source
    }
}

impl<R: Read> Read for RowByRow<R> {
    fn read(&mut self, target: &mut [u8]) -> io::Result<usize> {
        if self.bytes > MOST_ROW_BYTES {
            return Err(io::Error::other(TooMuch::Row));
        }
        let read = self.source.read(target)?;
        self.bytes += read as u64;
        Ok(read)
    }
}
