//! One `LineString`: its positions, taken as the text of `coordinates` comes in, since that may be longer than
//! what is kept of other texts.
//!
//! `coordinates` are `longitude,latitude[,altitude]` with white space between them (07-147r2 and 12-007r2,
//! `coordinates`; clauses from memory).

use super::super::values::{bounded, height, number, place};
use super::pairs::altitudes_are_heights;
use crate::track::{Finding, Fix, Ledger};
use crate::units::Length;
use chrono::DateTime;

/// Bytes of one position. Chosen: three numbers of forty digits.
const MOST_POSITION_BYTES: usize = 128;

/// A line as it is read.
#[derive(Debug, Default)]
pub(in crate::track::read) struct Line {
    /// Line of the file on which it begins.
    pub(super) begin: u32,
    pub(super) mode: Option<String>,
    /// Its positions, each another than the one before, not timed yet; heights are altitudes as they stand.
    pub(super) fixes: Vec<Fix>,
    /// Positions that are those before them once more.
    pub(super) repeated: usize,
    /// The first position that is none: its line, what is wrong with it, its text.
    pub(super) fault: Option<(u32, Finding, String)>,
    /// The beginning of a position whose end has not been read, and its line.
    open: (u32, String),
    /// Altitudes that are no numbers.
    bad_altitudes: Vec<(u32, String)>,
    /// Whether there are `coordinates`.
    begun: bool,
}

impl Line {
    pub(super) fn at(begin: u32) -> Self {
        Self {
            begin,
            ..Self::default()
        }
    }

    /// Its `coordinates` begin. Two of them would be two lines in one.
    pub(super) fn begin_coordinates(&mut self, line: u32) {
        if std::mem::replace(&mut self.begun, true) {
            self.spoilt(line, Finding::Unreadable, "a second <coordinates>");
        }
    }

    /// Text of its `coordinates`, which begins on `line`.
    pub(in crate::track::read) fn push(&mut self, text: &str, mut line: u32) {
        for piece in text.split_inclusive(|c: char| c.is_ascii_whitespace()) {
            let position = piece.trim_ascii_end();
            if position.len() == piece.len() {
                // Its end may come in the next text.
                self.push_part(position, line);
            } else {
                if self.open.1.is_empty() {
                    self.position(position, line);
                } else {
                    self.push_part(position, line);
                    self.end_coordinates();
                }
                line = line.saturating_add(u32::from(piece.ends_with('\n')));
            }
        }
    }

    fn push_part(&mut self, part: &str, line: u32) {
        if self.open.1.is_empty() {
            self.open.0 = line;
        }
        if self.open.1.len() + part.len() > MOST_POSITION_BYTES {
            self.spoilt(line, Finding::Unreadable, part);
        } else {
            self.open.1.push_str(part);
        }
    }

    /// No more of the position that was begun is to come.
    pub(super) fn end_coordinates(&mut self) {
        let (line, mut text) = std::mem::take(&mut self.open);
        self.position(&text, line);
        text.clear();
        self.open.1 = text;
    }

    fn position(&mut self, text: &str, line: u32) {
        if text.is_empty() || self.fault.is_some() {
            return;
        }
        let mut parts = text.split(',');
        let degrees = |part: Option<&str>| part.and_then(number).ok_or(Finding::Unreadable);
        let found = degrees(parts.next())
            .and_then(|lon| Ok((lon, degrees(parts.next())?)))
            .and_then(|(lon, lat)| place(lat, lon));
        let altitude = parts.next();
        let position = match found {
            Ok(position) if parts.next().is_none() => position,
            Ok(_) => return self.spoilt(line, Finding::Unreadable, text),
            Err(finding) => return self.spoilt(line, finding, text),
        };
        if self
            .fixes
            .last()
            .is_some_and(|last| last.position == position)
        {
            self.repeated += 1;
            return;
        }
        let metres = altitude.and_then(number);
        if altitude.is_some() && metres.is_none() {
            self.bad_altitudes.push((line, bounded(text)));
        }
        self.fixes.push(Fix {
            time: DateTime::UNIX_EPOCH,
            position,
            height: metres.map(Length::from_m).into(),
            line,
            file: 0,
        });
    }

    fn spoilt(&mut self, line: u32, finding: Finding, text: &str) {
        self.fault
            .get_or_insert_with(|| (line, finding, bounded(text)));
    }

    /// Makes heights of the altitudes that are, and takes the others out.
    pub(super) fn settle_heights(&mut self, ledger: &mut Ledger) {
        let recorded = |fix: &Fix| fix.height.get().is_some_and(|height| height.m() != 0.0);
        let any = || !self.bad_altitudes.is_empty() || self.fixes.iter().any(recorded);
        let mode = self.mode.as_deref();
        if !altitudes_are_heights(mode, any, self.begin, ledger) {
            for fix in &mut self.fixes {
                fix.height = None.into();
            }
            return;
        }
        for (line, raw) in self.bad_altitudes.drain(..) {
            ledger.add(line, Finding::BadHeight, raw);
        }
        for fix in &mut self.fixes {
            if let Some(metres) = fix.height.get().map(Length::m) {
                let (lat, lon) = (fix.position.lat(), fix.position.lon());
                let raw = || format!("{lon},{lat},{metres}");
                fix.height = height(Some(metres), raw, fix.line, ledger).into();
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// However the text is cut, it is the same line.
    #[test]
    fn text_in_pieces_is_the_same_line() {
        let text = "\n 12.5,47,1 12.5,47\t12.25,-47.5\r\n\n12,47.5,-3e2\n";
        let whole = |cuts: &[usize]| {
            let mut line = Line::at(1);
            line.begin_coordinates(3);
            let (mut from, mut number) = (0, 3);
            for &cut in cuts.iter().chain([&text.len()]) {
                line.push(&text[from..cut], number);
                number += text[from..cut].matches('\n').count() as u32;
                from = cut;
            }
            line.end_coordinates();
            assert_eq!((line.repeated, line.fault), (1, None), "{cuts:?}");
            line.fixes
        };
        let fixes = whole(&[]);
        let places: Vec<_> = fixes
            .iter()
            .map(|fix| (fix.line, fix.position.lon(), fix.position.lat()))
            .collect();
        assert_eq!(
            places,
            [(4, 12.5, 47.0), (4, 12.25, -47.5), (6, 12.0, 47.5)]
        );
        assert_eq!(fixes[2].height.get(), Some(Length::from_m(-300.0)));
        for first in 0..text.len() {
            for second in first..text.len() {
                assert_eq!(whole(&[first, second]), fixes, "{first} {second}");
            }
        }
    }

    #[test]
    fn a_position_without_end_is_not_held() {
        let mut line = Line::at(1);
        for _ in 0..1000 {
            line.push(&"1".repeat(1000), 7);
        }
        line.end_coordinates();
        assert!(line.open.1.capacity() <= 2 * MOST_POSITION_BYTES);
        let (at, finding, _) = line.fault.unwrap();
        assert_eq!((at, finding), (7, Finding::Unreadable));
    }
}
