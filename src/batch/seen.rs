//! Whether files are what they were.

use super::orders::Order;
use super::record::Done;
use crate::input::{InputError, InputFile, unreadable};
use crate::terrain;
use crate::track::gather::tell_apart;
use crate::track::read::ROLE as TRACK;
use crate::{plan, tasking};
use std::collections::HashMap;
use std::path::{Path, PathBuf};
use std::sync::Mutex;
use std::time::SystemTime;

/// Size and time of change of the files of a sortie.
#[derive(Debug, PartialEq, Eq)]
pub(super) struct Stamps(Vec<(PathBuf, u64, Option<SystemTime>)>);

impl Stamps {
    /// Those of the logs and the tasking.
    ///
    /// # Errors
    /// When one of them is not there, or is no plain file: a pipe could be waited for without end.
    pub fn of(order: &Order) -> Result<Self, InputError> {
        let stamp = |path: &PathBuf| {
            let about = std::fs::metadata(path).map_err(|cause| unreadable(path, &cause))?;
            if !about.is_file() {
                let hint = "name a file";
                return Err(InputError::new(path, None, "it is no plain file", hint));
            }
            Ok((path.clone(), about.len(), about.modified().ok()))
        };
        let files = order.logs.iter().chain(&order.tasking);
        files.map(stamp).collect::<Result<_, _>>().map(Self)
    }

    /// That the files are as they were when these were taken.
    ///
    /// # Errors
    /// When one was changed since.
    pub fn hold(&self, order: &Order) -> Result<(), InputError> {
        let now = Self::of(order)?;
        let mut both = self.0.iter().zip(&now.0);
        match both.find(|(before, after)| before != after) {
            None => Ok(()),
            Some(((path, ..), _)) => Err(changed(path)),
        }
    }
}

/// That a file was changed in the midst of the work on it.
pub(super) fn changed(path: &Path) -> InputError {
    InputError::new(
        path,
        None,
        "it was changed while it was read",
        "wait until nothing writes to it any more, and give the same command again",
    )
}

/// The terrain as it is, by the names of its tiles; each is read once in a run, and only if a sortie rests on it.
#[derive(Debug, Default)]
pub(super) struct Tiles {
    paths: HashMap<String, PathBuf>,
    sizes: Vec<(String, u64)>,
    digests: Mutex<HashMap<String, Option<InputFile>>>,
}

impl Tiles {
    /// The tiles at a place.
    ///
    /// # Errors
    /// When it cannot be read, or has none.
    pub fn at(folder: Option<&Path>) -> Result<Self, InputError> {
        let mut tiles = Self::default();
        let paths = folder.map(terrain::tiles).transpose()?;
        for path in paths.unwrap_or_default() {
            let about = std::fs::metadata(&path).map_err(|cause| unreadable(&path, &cause))?;
            let name = crate::input::file_name(&path);
            tiles.sizes.push((name.clone(), about.len()));
            tiles.paths.insert(name, path);
        }
        Ok(tiles)
    }

    /// Which tiles there are and how large each is: another one may lie below a flight that had none there.
    pub fn listed(&self) -> &[(String, u64)] {
        &self.sizes
    }

    fn is_as(&self, was: &InputFile) -> bool {
        let Ok(mut digests) = self.digests.lock() else {
            return false;
        };
        let now = digests.entry(was.name.clone()).or_insert_with(|| {
            let path = self.paths.get(&was.name)?;
            InputFile::read(&was.role, path).ok()
        });
        now.as_ref() == Some(was)
    }
}

/// Whether what is done rests on the files as they are now.
pub(super) fn rests_on(done: &Done, order: &Order, tiles: &Tiles) -> bool {
    let is_tile = |input: &&InputFile| input.role == terrain::ROLE;
    // The tasking of an inferred plan is none of the files given.
    let is_given = |input: &&InputFile| order.tasking.is_some() || input.role == TRACK;
    let others = |inputs: &[InputFile]| -> Vec<InputFile> {
        let others = inputs.iter().filter(|i| !is_tile(i) && is_given(i));
        let mut others: Vec<InputFile> = others.cloned().collect();
        others.sort_by(|a, b| (&a.role, &a.name).cmp(&(&b.role, &b.name)));
        others
    };
    let mut used = done.inputs.iter().filter(is_tile);
    // What cannot be read now will be told by its debrief.
    inputs(order).is_some_and(|now| others(&now) == others(&done.inputs))
        && used.all(|was| tiles.is_as(was))
}

/// The files of a sortie but for the terrain, as a debrief names them.
fn inputs(order: &Order) -> Option<Vec<InputFile>> {
    let logs = order.logs.iter().map(|log| InputFile::read(TRACK, log));
    let mut inputs = logs.collect::<Result<Vec<_>, _>>().ok()?;
    tell_apart(&mut inputs);
    if let Some(file) = &order.tasking {
        let tasking = tasking::read(file).ok()?;
        let plan = plan::lay_out(&tasking, file).ok()?;
        inputs.extend(plan.inputs);
        inputs.extend(tasking.detection.sweep_width_tables);
        inputs.push(tasking.source);
    }
    Some(inputs)
}
