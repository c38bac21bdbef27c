//! What is to be debriefed.

use super::{folder, manifest, names};
use crate::input::InputError;
use std::path::{Path, PathBuf};

/// A sortie to be debriefed.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Order {
    /// Line of the manifest that asks for it; `None` where a folder was searched.
    pub line: Option<u32>,
    /// Its log, in one file or several.
    pub logs: Vec<PathBuf>,
    /// What the crew was assigned; `None` for the pattern that the flight itself fits best.
    pub tasking: Option<PathBuf>,
    /// What the sortie is called, in the place of what its tasking says.
    pub sortie: Option<String>,
    /// Who flew, in the place of what the tasking says.
    pub pilot: Option<String>,
    /// What its result folder will be called; `None` where the tasking cannot be read, which its debrief will tell.
    pub name: Option<String>,
}

/// The sorties of a batch, in the order they are worked on.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Orders {
    /// The manifest or folder.
    pub source: PathBuf,
    /// The sorties.
    pub orders: Vec<Order>,
    /// Logs and taskings in the folder that belong to no pair.
    pub unpaired: Vec<PathBuf>,
}

impl Orders {
    /// Reads a manifest, or searches a folder for pairs of a log and a tasking; what is at `out`, where results are written,
    /// is no input. The rules of both are in `docs/batch.md`.
    ///
    /// # Errors
    /// When the manifest or folder cannot be read or asks for nothing, or two sorties would have one result folder.
    pub fn read(source: &Path, out: &Path) -> Result<Self, InputError> {
        let mut orders = if source.is_dir() {
            folder::search(source, out)?
        } else {
            manifest::read(source)?
        };
        for order in &mut orders.orders {
            names::give(order);
        }
        names::differ(&orders)?;
        Ok(orders)
    }

    /// What a sortie is called in messages: where it was asked for.
    #[must_use]
    pub fn called(&self, order: &Order) -> String {
        match order.line {
            Some(line) => format!("line {line}"),
            None => crate::input::shown_path(order.tasking.as_deref().unwrap_or(&self.source)),
        }
    }
}
