//! Why a sortie could not be debriefed.

use super::orders::{Order, Orders};
use crate::input::InputError;
use crate::report::OutputError;
use std::any::Any;
use std::io::ErrorKind;
use std::path::Path;

/// A sortie that could not be debriefed.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[error("{called}{error}")]
pub struct Failure {
    /// Which of the sorties asked for, from 0.
    pub order: usize,
    /// Where a manifest asks for it; empty where a folder was searched.
    called: String,
    /// What is wrong, where, and what would do.
    pub error: InputError,
}

/// What stopped a sortie.
#[derive(Debug)]
pub(super) enum Fault {
    /// An input was refused, or the program failed on it.
    Input(InputError),
    /// The result could not be written.
    Output(OutputError),
}

impl From<InputError> for Fault {
    fn from(error: InputError) -> Self {
        Self::Input(error)
    }
}

impl From<OutputError> for Fault {
    fn from(error: OutputError) -> Self {
        Self::Output(error)
    }
}

impl Fault {
    /// A fault of the program, found on a sortie.
    pub(super) fn of_the_program(order: &Order, problem: &str) -> Self {
        let file = order.logs.first().or(order.tasking.as_ref());
        let hint = "this is a fault of the program; please report it with the log and the tasking";
        let file = file.map_or(Path::new(""), |file| file);
        Self::Input(InputError::new(file, None, problem, hint))
    }

    /// That the program gave up in the midst of a sortie.
    pub(super) fn panicked(order: &Order, payload: &(dyn Any + Send)) -> Self {
        let said = payload
            .downcast_ref::<&str>()
            .copied()
            .or_else(|| payload.downcast_ref::<String>().map(String::as_str))
            .unwrap_or("it did not say why");
        Self::of_the_program(order, &format!("the program failed on it: {said}"))
    }

    /// Whether there is no room left for any other sortie either.
    pub(super) fn is_of_a_full_disk(&self) -> bool {
        let full = [
            ErrorKind::StorageFull,
            ErrorKind::QuotaExceeded,
            ErrorKind::ReadOnlyFilesystem,
        ];
        match self {
            Self::Input(_) => false,
            Self::Output(error) => {
                let cause = error.cause.as_ref();
                cause.is_some_and(|cause| full.contains(&cause.kind()))
            }
        }
    }

    /// As it is told.
    pub(super) fn told(self, orders: &Orders, number: usize) -> Failure {
        let error = match self {
            Self::Input(error) => error,
            Self::Output(error) => {
                let problem = match &error.cause {
                    Some(cause) => format!("{}: {cause}", error.problem),
                    None => error.problem,
                };
                InputError::new(&error.path, None, problem, error.hint)
            }
        };
        let line = orders.orders.get(number).and_then(|order| order.line);
        let source = crate::input::shown_path(&orders.source);
        Failure {
            order: number,
            called: line.map_or_else(String::new, |line| format!("{source}, line {line}: ")),
            error,
        }
    }
}
