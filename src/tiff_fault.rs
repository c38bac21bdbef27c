//! What is wrong with a TIFF file, in words, for all that read one.

use crate::input::{InputError, unreadable};
use std::path::Path;
use tiff::TiffError;

/// What would do, by reader.
#[derive(Clone, Copy, Debug)]
pub struct WouldDo {
    /// Where it is packed or laid out in a way that is not read.
    pub read: &'static str,
    /// Where a part of it is too large.
    pub parts: &'static str,
}

/// The error of the TIFF itself.
#[must_use]
pub fn fault(file: &Path, cause: &TiffError, would_do: WouldDo) -> InputError {
    let refused = |problem: String, hint: &str| InputError::new(file, None, problem, hint);
    match cause {
        TiffError::UnsupportedError(what) => refused(
            format!("the TIFF uses what is not read here ({what})"),
            would_do.read,
        ),
        TiffError::LimitsExceeded => refused(
            "a strip or tile of the TIFF, or its header, is too large".to_owned(),
            would_do.parts,
        ),
        TiffError::IoError(io) if io.kind() != std::io::ErrorKind::UnexpectedEof => {
            unreadable(file, io)
        }
        _ => refused(
            format!("the file is no sound TIFF ({cause})"),
            "fetch or export it again",
        ),
    }
}
