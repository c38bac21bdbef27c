//! Which planned leg was being flown at each moment.
//!
//! ```text
//! Track × Plan ─leg_index→ candidate legs ─sequence→ runs on legs ─phases→ what each moment was
//! ```

pub mod phases;

pub use phases::{Phase, PhaseSpan};
