//! One sortie, from its files to its folder.

use super::failure::Fault;
use super::orders::Order;
use super::place::Place;
use super::record::{Done, Known};
use super::row::Row;
use super::seen::{Stamps, Tiles, changed, rests_on};
use crate::debrief::Debrief;
use crate::input::{InputError, sha256_hex};
use crate::report::also::Also;
use crate::report::drawing::Paper;
use crate::report::{self, OutputError};
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::path::Path;

/// How a sortie is debriefed.
pub type Debriefing<'a> = dyn Fn(&Order) -> Result<Debrief, InputError> + Sync + 'a;

/// What is asked of every sortie.
#[derive(Clone, Copy, Debug)]
pub struct How<'a> {
    /// Folder of the result folders.
    pub out: &'a Path,
    /// Sorties worked on at once, at least 1.
    pub threads: usize,
    /// All that changes the result of a debrief beside its files and what is here, as a text.
    pub options: &'a str,
    /// The terrain below the flights.
    pub terrain: Option<&'a Path>,
    /// Files to write as well.
    pub also: &'a [Also],
    /// How pictures are drawn.
    pub paper: Paper,
    /// Whether what is done already is done again.
    pub again: bool,
}

/// What became of a sortie.
pub(super) enum End {
    /// It was done already.
    Kept,
    /// It is done now.
    Debriefed(Box<Done>),
    /// It could not be done.
    Failed(Fault),
}

/// All that the work on a sortie needs.
pub(super) struct Work<'a> {
    pub how: &'a How<'a>,
    pub place: &'a Place,
    pub tiles: &'a Tiles,
    pub known: &'a Known,
    pub debriefing: &'a Debriefing<'a>,
}

impl Work<'_> {
    /// Works on a sortie.
    pub fn on(&self, order: &Order) -> End {
        // Nothing of it is used again after a panic: what it had is dropped with it, and its folder is written last.
        let end = catch_unwind(AssertUnwindSafe(|| self.end(order)));
        match end {
            Ok(Ok(end)) => end,
            Ok(Err(fault)) => End::Failed(fault),
            Err(payload) => End::Failed(Fault::panicked(order, payload.as_ref())),
        }
    }

    fn end(&self, order: &Order) -> Result<End, Fault> {
        let stamps = Stamps::of(order)?;
        let asked_sha256 = self.asked(order);
        if self.is_done(order, &asked_sha256) {
            return Ok(End::Kept);
        }
        let debrief = (self.debriefing)(order)?;
        // The tasking that the names were taken from was another one.
        if order.name.as_ref() != Some(&debrief.sortie) {
            let files = order.tasking.iter().chain(&order.logs);
            return Err(
                changed(files.into_iter().next().map_or(Path::new(""), |file| file)).into(),
            );
        }
        let files = report::all_files(&debrief, self.how.also, self.how.paper)
            .map_err(|error| Fault::of_the_program(order, &error.to_string()))?;
        stamps.hold(order)?;
        let sometimes = report::sometimes();
        let (work, out) = (&self.place.work, &self.place.out);
        report::folder::write_by_way_of(work, out, &debrief.sortie, &files, &sometimes)?;
        Ok(End::Debriefed(Box::new(Done {
            asked_sha256,
            files: files
                .iter()
                .map(|file| (file.name.to_owned(), file.bytes.len() as u64))
                .collect(),
            row: Row::of(&debrief),
            sortie: debrief.sortie,
            inputs: debrief.inputs,
        })))
    }

    fn is_done(&self, order: &Order, asked_sha256: &str) -> bool {
        let before = order.name.as_deref().and_then(|name| self.known.of(name));
        before.is_some_and(|done| {
            !self.how.again
                && done.asked_sha256 == asked_sha256
                && self.is_there(&done)
                && rests_on(&done, order, self.tiles)
        })
    }

    /// All that changes the result beside the content of files. What cannot be told apart here would be kept wrongly.
    fn asked(&self, order: &Order) -> String {
        let How {
            options,
            also,
            paper,
            ..
        } = self.how;
        let wanted: Vec<Also> = Also::ALL.into_iter().filter(|a| also.contains(a)).collect();
        let tiles = self.tiles.listed();
        let names = (order.tasking.is_some(), &order.sortie, &order.pilot);
        let version = env!("CARGO_PKG_VERSION");
        let text = format!("{version}\n{options}\n{wanted:?}\n{paper:?}\n{names:?}\n{tiles:?}");
        sha256_hex(text.as_bytes())
    }

    /// Whether the files in the folder of a sortie are there, each of the size it was written with.
    fn is_there(&self, done: &Done) -> bool {
        let folder = self.place.out.join(&done.sortie);
        done.files.iter().all(|(name, bytes)| {
            let about = std::fs::metadata(folder.join(name));
            about.is_ok_and(|about| about.is_file() && about.len() == *bytes)
        })
    }
}

/// That threads cannot be had.
pub(super) fn no_threads(how: &How<'_>, cause: std::io::Error) -> OutputError {
    OutputError {
        path: how.out.to_owned(),
        problem: format!("{} threads cannot be started", how.threads),
        hint: "give fewer with --threads".into(),
        cause: Some(cause),
    }
}
