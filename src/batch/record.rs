//! What is done, and by what: a line of JSON for each sortie, added when its folder is in place.
//!
//! A run that is broken off leaves the lines of what it did; the last may be cut short and is passed over then. In the end
//! all lines stand in the order of the sorties, so that the file does not tell which thread was faster.

use super::place::{Place, RECORD};
use super::row::Row;
use crate::input::InputFile;
use crate::report::{OutputError, folder};
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;
use std::fs::{File, OpenOptions};
use std::io::{self, BufRead, BufReader, ErrorKind, Write};
use std::path::{Path, PathBuf};

/// First line of the record; the number rises when lines change.
const HEAD: &str = "{\"schema\":\"overflown-batch/1\"}";

/// A sortie that is done.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Done {
    /// Name of the sortie, and so of its folder.
    pub sortie: String,
    /// SHA-256 over the version of the program and all that was asked for that changes the result.
    pub asked_sha256: String,
    /// The files it rests on.
    pub inputs: Vec<InputFile>,
    /// The files in its folder, each with its size in bytes.
    pub files: Vec<(String, u64)>,
    /// Its row of the summary.
    pub row: Row,
}

/// Of any line: the sortie it is about.
#[derive(Deserialize)]
struct About {
    sortie: String,
}

/// What earlier runs did: lines by sortie. Kept as text, about two kilobytes each.
#[derive(Debug, Default)]
pub(super) struct Known(BTreeMap<String, String>);

/// The record, open to be added to, with the lines of this run.
#[derive(Debug)]
pub(super) struct Record<'a> {
    place: &'a Place,
    path: PathBuf,
    added: BTreeMap<String, String>,
    file: File,
}

/// Opens the record of a folder; where there is none, an empty one is made.
pub(super) fn open(place: &Place) -> Result<(Known, Record<'_>), OutputError> {
    let path = place.file(RECORD);
    let fault = |cause| folder::cannot_write(&path, cause);
    let lines = match File::open(&path) {
        Err(error) if error.kind() == ErrorKind::NotFound => BTreeMap::new(),
        Err(error) => return Err(fault(error)),
        Ok(file) => read(BufReader::new(file))
            .map_err(fault)?
            .ok_or_else(|| foreign(&path))?,
    };
    // Without a line cut short, to which the next would be added.
    place.replace(RECORD, text(lines.values()).as_bytes())?;
    let file = OpenOptions::new().append(true).open(&path).map_err(fault)?;
    let added = BTreeMap::new();
    let record = Record {
        place,
        path,
        added,
        file,
    };
    Ok((Known(lines), record))
}

impl Known {
    /// What is said of a sortie.
    pub fn of(&self, sortie: &str) -> Option<Done> {
        parse(self.0.get(sortie)?)
    }
}

impl Record<'_> {
    /// What this run did of a sortie.
    pub fn of(&self, sortie: &str) -> Option<Done> {
        parse(self.added.get(sortie)?)
    }

    /// Adds a sortie that is done.
    pub fn add(&mut self, done: &Done) -> Result<(), OutputError> {
        let fault = |cause| folder::cannot_write(&self.path, cause);
        let line = serde_json::to_string(done).map_err(|error| fault(error.into()))?;
        let whole = line.clone() + "\n";
        let written = self.file.write_all(whole.as_bytes());
        self.added.insert(done.sortie.clone(), line);
        written.map_err(fault)
    }

    /// Puts the lines in order: those of these sorties first, then those of others by name.
    pub fn put_in_order<'a>(
        &self,
        known: &Known,
        sorties: impl Iterator<Item = &'a str>,
    ) -> Result<(), OutputError> {
        let mut others: BTreeMap<&String, &String> = known.0.iter().collect();
        others.extend(&self.added);
        let mut lines: Vec<&String> = Vec::with_capacity(others.len());
        for sortie in sorties {
            lines.extend(others.remove(&sortie.to_owned()));
        }
        lines.extend(others.into_values());
        self.place
            .replace(RECORD, text(lines).as_bytes())
            .map(|_| ())
    }
}

fn parse(line: &str) -> Option<Done> {
    serde_json::from_str(line).ok()
}

fn text<'a>(lines: impl IntoIterator<Item = &'a String>) -> String {
    let mut text = HEAD.to_owned() + "\n";
    for line in lines {
        text.push_str(line);
        text.push('\n');
    }
    text
}

/// The lines by sortie, those that are none left out; `None` if it is no record of this form. A later line goes before an
/// earlier one of the same sortie.
fn read(mut reader: impl BufRead) -> io::Result<Option<BTreeMap<String, String>>> {
    let mut line = Vec::new();
    reader.read_until(b'\n', &mut line)?;
    if line.trim_ascii_end() != HEAD.as_bytes() {
        return Ok(None);
    }
    let mut lines = BTreeMap::new();
    loop {
        line.clear();
        if reader.read_until(b'\n', &mut line)? == 0 {
            return Ok(Some(lines));
        }
        let text = std::str::from_utf8(line.trim_ascii_end()).unwrap_or_default();
        if let Ok(About { sortie }) = serde_json::from_str(text) {
            lines.insert(sortie, text.to_owned());
        }
    }
}

fn foreign(path: &Path) -> OutputError {
    OutputError {
        path: path.to_owned(),
        problem: "already there, and no record of a batch that this version reads".into(),
        hint: "move that file away to begin anew, or choose another folder with --out".into(),
        cause: None,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn done(sortie: &str) -> Done {
        Done {
            sortie: sortie.to_owned(),
            asked_sha256: "a".to_owned(),
            inputs: Vec::new(),
            files: vec![("report.txt".to_owned(), 7)],
            row: Row(Vec::new()),
        }
    }

    #[test]
    fn a_line_cut_short_is_passed_over() {
        let folder = tempfile::tempdir().unwrap();
        let place = Place::take(folder.path()).unwrap();
        let (_, mut record) = open(&place).unwrap();
        record.add(&done("B")).unwrap();
        record.add(&done("A")).unwrap();
        let path = folder.path().join(RECORD);
        let whole = std::fs::read(&path).unwrap();
        std::fs::write(&path, &whole[..whole.len() - 9]).unwrap();
        let (known, mut record) = open(&place).unwrap();
        assert_eq!(known.of("B"), Some(done("B")));
        assert_eq!(known.of("A"), None);
        record.add(&done("A")).unwrap();
        let (known, record) = open(&place).unwrap();
        assert_eq!(known.of("A"), Some(done("A")));
        record.put_in_order(&known, ["B", "A"].into_iter()).unwrap();
        assert_eq!(std::fs::read(&path).unwrap(), whole);
    }

    #[test]
    fn what_is_no_record_is_left_alone() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join(RECORD);
        for text in ["", "{\"schema\":\"overflown-batch/2\"}\n", "mine"] {
            std::fs::write(&path, text).unwrap();
            let place = Place::take(folder.path()).unwrap();
            let error = open(&place).unwrap_err();
            assert!(error.problem.contains("no record"), "{error}");
            assert_eq!(std::fs::read_to_string(&path).unwrap(), text);
        }
    }
}
