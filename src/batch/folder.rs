//! Pairs of a log and a tasking in a folder and the folders in it.

use super::orders::{Order, Orders};
use crate::input::{InputError, unreadable};
use std::collections::BTreeMap;
use std::fs::FileType;
use std::path::{Path, PathBuf};

/// How the names of logs end, in small letters; `.gz` may follow.
const LOGS: [&str; 7] = ["gpx", "igc", "nmea", "kml", "kmz", "geojson", "csv"];
/// How the names of taskings end.
const TASKING: &str = "toml";
/// What a tasking may be called whatever its log is called, and that log where there are several.
const ANY_TASKING: &str = "tasking";
const ANY_LOG: &str = "track";
/// What tells a folder of results, whose re-fly looks like a pair.
const RESULT: &str = "debrief.json";

/// The logs and taskings of one folder, by their names without ending.
#[derive(Default)]
struct Found {
    logs: BTreeMap<String, Vec<PathBuf>>,
    taskings: BTreeMap<String, Vec<PathBuf>>,
}

/// Searches a folder, in the order of names.
pub(super) fn search(root: &Path, out: &Path) -> Result<Orders, InputError> {
    let mut orders = Orders {
        source: root.to_owned(),
        ..Orders::default()
    };
    let out = out.canonicalize().ok();
    walk(root, out.as_deref(), &mut orders)?;
    if orders.orders.is_empty() {
        return Err(InputError::new(
            root,
            None,
            "holds no pair of a track log and its tasking",
            "give both one name but for the ending, such as heron-2.gpx and heron-2.toml, or list them in a manifest \
             (docs/batch.md)",
        ));
    }
    orders.unpaired.sort();
    Ok(orders)
}

fn walk(folder: &Path, out: Option<&Path>, orders: &mut Orders) -> Result<(), InputError> {
    let fault = |cause| unreadable(folder, &cause);
    let mut entries: Vec<(PathBuf, FileType)> = Vec::new();
    for entry in std::fs::read_dir(folder).map_err(fault)? {
        let entry = entry.map_err(fault)?;
        let hidden = entry.file_name().as_encoded_bytes().starts_with(b".");
        if !hidden {
            entries.push((entry.path(), entry.file_type().map_err(fault)?));
        }
    }
    entries.sort_by(|a, b| a.0.cmp(&b.0));
    let mut found = Found::default();
    for (path, kind) in &entries {
        // Links to files are followed, links to folders are not: they may lead round.
        if !kind.is_dir() && path.is_file() {
            found.take(path);
        }
    }
    found.pair(orders);
    for (path, kind) in entries {
        let is_out = || out.is_some_and(|out| path.canonicalize().is_ok_and(|path| path == out));
        if kind.is_dir() && !path.join(RESULT).is_file() && !is_out() {
            walk(&path, out, orders)?;
        }
    }
    Ok(())
}

impl Found {
    fn take(&mut self, path: &Path) {
        let name = path.file_name().unwrap_or_default().to_string_lossy();
        let Some((stem, ending)) = name.rsplit_once('.') else {
            return;
        };
        let (stem, ending) = if ending.eq_ignore_ascii_case("gz") {
            stem.rsplit_once('.').unwrap_or((stem, ending))
        } else {
            (stem, ending)
        };
        let is = |word: &&str| ending.eq_ignore_ascii_case(word);
        let kind = if LOGS.iter().any(|word| is(&word)) {
            &mut self.logs
        } else if is(&TASKING) {
            &mut self.taskings
        } else {
            return;
        };
        let files = kind.entry(stem.to_owned()).or_default();
        files.push(path.to_owned());
    }

    /// Makes orders of the pairs, in the order of the taskings; the rest is without one.
    fn pair(mut self, orders: &mut Orders) {
        let stems: Vec<String> = self.taskings.keys().cloned().collect();
        for stem in stems {
            let Some(log) = self.log_of(&stem) else {
                continue;
            };
            let one = |files: Option<Vec<PathBuf>>| files.and_then(|mut files| files.pop());
            orders.orders.push(Order {
                logs: one(self.logs.remove(&log)).into_iter().collect(),
                tasking: one(self.taskings.remove(&stem)),
                ..Order::default()
            });
        }
        let left = self.logs.into_values().chain(self.taskings.into_values());
        orders.unpaired.extend(left.flatten());
    }

    /// The name of the one log that goes with the tasking of this name.
    fn log_of(&self, stem: &str) -> Option<String> {
        let single = |files: &BTreeMap<String, Vec<PathBuf>>, name: &str| {
            files.get(name).is_some_and(|files| files.len() == 1)
        };
        if !single(&self.taskings, stem) {
            return None;
        }
        if self.logs.contains_key(stem) {
            return single(&self.logs, stem).then(|| stem.to_owned());
        }
        if stem != ANY_TASKING {
            return None;
        }
        if single(&self.logs, ANY_LOG) {
            return Some(ANY_LOG.to_owned());
        }
        let mut logs = self.logs.keys();
        match (logs.next(), logs.next()) {
            (Some(only), None) if single(&self.logs, only) => Some(only.clone()),
            _ => None,
        }
    }
}
