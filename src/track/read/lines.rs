//! A text log line by line, for formats in which a line is a record.

use super::limits;
use super::source::Source;
use super::unpacked::PackedFault;
use super::values::bounded;
use super::{ROLE, ReadSettings, file_name, unreadable};
use crate::input::{InputError, InputFile};
use crate::track::{Finding, Ledger};
use std::io::{BufRead, BufReader};
use std::path::Path;

/// Bytes of a line that are kept. Chosen: several times the longest line that the formats read here
/// allow; a longer one is no record.
const MOST_BYTES: usize = 1024;

/// Reads lines and knows their numbers. Lines end with LF or CR LF.
pub(super) struct Lines<'a> {
    path: &'a Path,
    source: BufReader<Source>,
    settings: ReadSettings,
    number: u32,
    text: Vec<u8>,
    /// Whether the last line read was too long to be kept whole.
    cut: bool,
    /// Nothing comes after what was read.
    ended: bool,
}

impl<'a> Lines<'a> {
    pub(super) fn new(path: &'a Path, source: Source, settings: ReadSettings) -> Self {
        Self {
            path,
            source: BufReader::new(source),
            settings,
            number: 0,
            text: Vec::with_capacity(MOST_BYTES),
            cut: false,
            ended: false,
        }
    }

    /// Reads the next line; false at the end. More lines or entries than a log has are an error. A compressed file that breaks off ends there when
    /// salvaging, with an entry in the ledger.
    pub(super) fn next(&mut self, ledger: &mut Ledger) -> Result<bool, InputError> {
        self.text.clear();
        self.cut = false;
        if self.ended {
            return Ok(false);
        }
        let mut bytes = 0;
        loop {
            let ahead = match self.source.fill_buf() {
                Ok(ahead) => ahead,
                Err(cause) if cause.kind() == std::io::ErrorKind::Interrupted => continue,
                Err(cause) => {
                    self.settle(&cause, ledger)?;
                    return Ok(false);
                }
            };
            if ahead.is_empty() {
                self.ended = true;
                break;
            }
            let end = memchr::memchr(b'\n', ahead);
            let piece = &ahead[..end.unwrap_or(ahead.len())];
            let room = MOST_BYTES - self.text.len();
            self.text.extend_from_slice(&piece[..piece.len().min(room)]);
            self.cut |= piece.len() > room;
            let read = end.map_or(ahead.len(), |end| end + 1);
            self.source.consume(read);
            bytes += read;
            if end.is_some() {
                break;
            }
        }
        if bytes == 0 {
            return Ok(false);
        }
        self.number = self.number.saturating_add(1);
        limits::lines(self.number, ledger).map_err(|excess| {
            let problem = excess.to_string();
            InputError::new(self.path, Some(self.number), problem, excess.hint())
        })?;
        Ok(true)
    }

    /// An error, or, when salvaging, the end of the log.
    fn settle(&mut self, cause: &std::io::Error, ledger: &mut Ledger) -> Result<(), InputError> {
        self.ended = true;
        let line = self.number.saturating_add(1);
        match PackedFault::behind(cause) {
            Some(fault @ PackedFault::Broken(_)) if self.settings.salvage => {
                ledger.add(line, Finding::Truncated, fault.to_string());
                Ok(())
            }
            Some(fault @ PackedFault::Broken(_)) => Err(InputError::new(
                self.path,
                Some(line),
                fault.to_string(),
                "compress the log again, or read up to there with --salvage",
            )),
            _ => Err(unreadable(self.path, cause)),
        }
    }

    /// Number of the line read last, from 1.
    pub(super) const fn number(&self) -> u32 {
        self.number
    }

    /// The line read last without its end and white space around, if it is text of a sane length.
    pub(super) fn text(&self) -> Option<&str> {
        if self.cut {
            return None;
        }
        let bytes = self.text.as_slice();
        let bytes = match self.number {
            1 => bytes.strip_prefix(b"\xEF\xBB\xBF").unwrap_or(bytes),
            _ => bytes,
        };
        std::str::from_utf8(bytes.trim_ascii()).ok()
    }

    /// The line read last, for the ledger.
    pub(super) fn raw(&self) -> String {
        bounded(&String::from_utf8_lossy(&self.text))
    }

    /// Reads what is left and describes the file.
    pub(super) fn finish(self) -> Result<InputFile, InputError> {
        self.source
            .into_inner()
            .finish(ROLE, file_name(self.path))
            .map_err(|cause| unreadable(self.path, &cause))
    }
}
