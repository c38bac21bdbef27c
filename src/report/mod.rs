//! A debrief as files. This stage computes nothing: every figure is in the
//! [`Debrief`](crate::debrief::Debrief).

pub mod charts;
pub mod drawing;
pub mod fonts;
pub mod format;
pub mod headline;
pub mod heatmap;
pub mod map;
pub mod palette;

use std::io;
use std::path::PathBuf;

/// A result that could not be written.
#[derive(Debug, thiserror::Error)]
#[error("{}: {problem}", .path.display())]
pub struct OutputError {
    /// The file or folder.
    pub path: PathBuf,
    /// What is wrong, in one sentence without a full stop.
    pub problem: String,
    /// What would do.
    pub hint: String,
    /// What the system said.
    #[source]
    pub cause: Option<io::Error>,
}

/// What every picture says.
const fn cautions_line() -> &'static str {
    crate::cautions::DEBRIEF[0]
}

#[cfg(test)]
mod test_fixture;
