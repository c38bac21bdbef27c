//! A track while it is being read.

use super::values::bounded;
use crate::track::{Fix, Ledger, LogTrack};

/// A track that was begun: where, and how much of the file was read before it.
#[derive(Debug, Default)]
pub(super) struct Begun {
    line: u32,
    name: Option<String>,
    segments: usize,
    entries: usize,
}

impl Begun {
    /// Begins a track on `line`, with these segments and entries of the file before it.
    pub(super) fn at(line: u32, segments: &[Vec<Fix>], ledger: &Ledger) -> Self {
        Self {
            line,
            name: None,
            segments: segments.len(),
            entries: ledger.entries.len(),
        }
    }

    /// The same with this name.
    pub(super) fn named(self, name: Option<String>) -> Self {
        Self { name, ..self }
    }

    pub(super) const fn is_nameless(&self) -> bool {
        self.name.is_none()
    }

    /// Where the text of its name goes.
    pub(super) fn name_text(&mut self) -> &mut String {
        self.name.get_or_insert_default()
    }

    /// The track, now that all of it was read.
    pub(super) fn end(self, segments: &[Vec<Fix>], ledger: &Ledger) -> LogTrack {
        let name = self.name.map(|name| bounded(&name));
        LogTrack::new(
            name.filter(|name| !name.is_empty()),
            self.line,
            self.segments..segments.len(),
            self.entries..ledger.entries.len(),
        )
    }
}
