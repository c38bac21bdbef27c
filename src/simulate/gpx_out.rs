//! The log of a simulated flight: GPX 1.1 with one track of one segment, a point a line.

use crate::characters::harmless;
use crate::track::Fix;
use crate::track::write::{Decimals, write_gpx};
use std::io::{self, Write};

pub(super) use crate::track::write::line_of_point;

/// Writes the fixes as a GPX 1.1 track. Positions have seven decimals, heights one; times have
/// milliseconds where they are needed. A hole in the record is only that: points missing from the
/// one segment.
///
/// # Errors
/// Those of the writer.
pub fn write(to: impl Write, name: &str, fixes: &[Fix]) -> io::Result<()> {
    let creator = concat!("overflown ", env!("CARGO_PKG_VERSION"), " rehearse");
    write_gpx(to, creator, &harmless(name), fixes, Decimals::OfReceivers)
}
