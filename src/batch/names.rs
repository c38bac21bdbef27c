//! What the result folders will be called, and that no two have one.

use super::orders::{Order, Orders};
use super::place::OWN;
use crate::infer;
use crate::input::{InputError, file_name, shown_path};
use crate::tasking;
use crate::tasking::quantity::shown;
use std::collections::HashMap;
use std::path::{Path, PathBuf};

/// Gives a sortie its name: that asked for, that of the tasking, or one after the first file of the log.
pub(super) fn give(order: &mut Order) {
    if order.sortie.is_none() && order.tasking.is_none() {
        let first = order.logs.first();
        // Said here, since the files of a log are joined in order of time, whichever was named first.
        order.sortie = first.map(|log| infer::sortie(&file_name(log)));
    }
    order.name = match (&order.sortie, &order.tasking) {
        (Some(name), _) => Some(name.clone()),
        (None, Some(tasking)) => tasking::read(tasking).ok().map(|tasking| tasking.sortie),
        (None, None) => None,
    };
}

/// The log and the tasking of a sortie as the system knows the files.
type Files = (Vec<PathBuf>, Option<PathBuf>);

/// That no sortie is asked for twice, and no two would have one result folder. Names that differ in capitals alone are one
/// folder on some systems.
pub(super) fn differ(orders: &Orders) -> Result<(), InputError> {
    let mut names: HashMap<String, &Order> = HashMap::new();
    let mut files: HashMap<Files, &Order> = HashMap::new();
    for order in &orders.orders {
        if let Some(before) = files.insert(files_of(order), order) {
            let problem = format!(
                "asks for the same log and tasking as {}",
                orders.called(before)
            );
            return Err(refused(orders, order, problem, "ask for every sortie once"));
        }
        let Some(name) = &order.name else { continue };
        let folder = name.to_lowercase();
        if OWN.contains(&folder.as_str()) {
            let problem = format!(
                "the sortie is called {}, as a table of the batch is",
                shown(name)
            );
            return Err(refused(orders, order, problem, RENAME));
        }
        if let Some(before) = names.insert(folder, order) {
            let problem = format!(
                "the sortie is called {}, and so would its result folder be; so is that of {}",
                shown(name),
                orders.called(before)
            );
            return Err(refused(orders, order, problem, RENAME));
        }
    }
    Ok(())
}

const RENAME: &str = "give one of them another name: `sortie` in its tasking, or in a manifest the column sortie; or debrief \
                      them into different folders with --out";

fn files_of(order: &Order) -> Files {
    let known = |path: &PathBuf| path.canonicalize().unwrap_or_else(|_| path.clone());
    let mut logs: Vec<PathBuf> = order.logs.iter().map(known).collect();
    logs.sort();
    (logs, order.tasking.as_ref().map(known))
}

/// An error about the place where a sortie is asked for.
fn refused(orders: &Orders, order: &Order, problem: String, hint: &str) -> InputError {
    let place: &Path = match order.line {
        Some(_) => &orders.source,
        None => order.tasking.as_deref().unwrap_or(&orders.source),
    };
    InputError::new(place, order.line, problem, hint)
}

/// The logs of a sortie, for tables.
pub(super) fn logs(order: &Order) -> String {
    let logs: Vec<String> = order.logs.iter().map(|log| shown_path(log)).collect();
    logs.join(" | ")
}
