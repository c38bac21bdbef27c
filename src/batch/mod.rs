//! Many sorties debriefed one beside the other, on all cores.
//!
//! ```text
//! manifest or folder ─orders→ Orders, of different names ─engine→ each: seen before? ─debrief→ files ─place→ its folder, whole
//!                                                              └──→ record: what is done, by what ─summary→ tables of all
//! ```
//!
//! Each thread works on one sortie at a time and lets go of it when its folder is written, so that memory grows with the
//! threads and with the largest sortie, and with the number of sorties only by a line of the record each. What is written does
//! not depend on the number of threads or on how often a run was broken off: `record` says what is done and by what, and all
//! tables are made from it in the order asked for. How a sortie is debriefed is the caller's. This stage reads no clock.

mod engine;
mod failure;
mod folder;
mod manifest;
mod names;
mod orders;
mod place;
mod progress;
pub mod record;
pub mod row;
mod seen;
mod sortie;
mod summary;

pub use engine::{BatchError, Outcome, run};
pub use failure::Failure;
pub use manifest::COLUMNS;
pub use orders::{Order, Orders};
pub use place::{FAILED, RECORD, SUMMARY_CSV, SUMMARY_PARQUET};
pub use progress::Progress;
pub use sortie::{Debriefing, How};
