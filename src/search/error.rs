//! Why sorties do not make a search, and which file is at fault.

use super::{GroundError, Sortie};
use chrono::NaiveDate;
use std::path::{Path, PathBuf};

/// Why sorties do not make a search.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum SearchError {
    /// There is none.
    #[error("no sortie is given")]
    NoSortie,
    /// The same flight twice.
    #[error(
        "sortie \"{name}\" of {date} is given twice: its track log has the same content as that of {}",
        .other.display()
    )]
    Twice {
        /// The second of them.
        file: PathBuf,
        /// Its name.
        name: String,
        /// Its day.
        date: NaiveDate,
        /// The first.
        other: PathBuf,
    },
    /// Days apart.
    #[error("the sorties span {days} days, from {from} to {to}")]
    DaysApart {
        /// The last of them.
        file: PathBuf,
        /// How many days lie between the first and the last.
        days: i64,
        /// Day of the first.
        from: NaiveDate,
        /// Day of the last.
        to: NaiveDate,
    },
    /// One of them did not look at the ground.
    #[error("sortie \"{name}\" looked at no part of the ground of this search")]
    Elsewhere {
        /// Where it comes from.
        file: PathBuf,
        /// Its name.
        name: String,
    },
    /// The ground cannot be worked.
    #[error(transparent)]
    Ground(#[from] GroundError),
}

impl SearchError {
    pub(super) fn twice(sortie: &Sortie, other: &Sortie) -> Self {
        Self::Twice {
            file: sortie.file.clone(),
            name: sortie.name.clone(),
            date: sortie.date,
            other: other.file.clone(),
        }
    }

    pub(super) fn days_apart(first: &Sortie, last: &Sortie, days: i64) -> Self {
        Self::DaysApart {
            file: last.file.clone(),
            days,
            from: first.date,
            to: last.date,
        }
    }

    pub(super) fn elsewhere(sortie: &Sortie) -> Self {
        Self::Elsewhere {
            file: sortie.file.clone(),
            name: sortie.name.clone(),
        }
    }

    /// The sortie at fault, by the file it comes from; `None` where it is the ground or there is none.
    #[must_use]
    pub fn file(&self) -> Option<&Path> {
        match self {
            Self::Twice { file, .. }
            | Self::DaysApart { file, .. }
            | Self::Elsewhere { file, .. } => Some(file),
            Self::NoSortie | Self::Ground(_) => None,
        }
    }

    /// What would do.
    #[must_use]
    pub const fn hint(&self) -> &'static str {
        match self {
            Self::NoSortie => "name debrief folders, or folders with a track log and a tasking",
            Self::Twice { .. } => "leave one of them out: the same look does not count twice",
            Self::DaysApart { .. } => {
                "take fewer, or say `--any-days` if the object cannot have moved in that time"
            }
            Self::Elsewhere { .. } => {
                "leave it out, or give [[sub_areas]] that hold its area, with a POC above 0"
            }
            Self::Ground(_) => {
                "correct the [[sub_areas]] of the search file, or take fewer sorties"
            }
        }
    }
}
