//! Several sorties as one search.
//!
//! ```text
//! debriefs ─sortie→ what each looked at ─combine→ POD cell by cell, POC and POS sortie by sortie
//! sub-areas ─ground→ cells and how likely the object is where ─┘        └─strips→ who flew over what
//! ```

pub mod combine;
mod error;
pub mod ground;
mod remarks;
pub mod sortie;
pub mod strips;
mod whole;

pub use crate::coverage::PodBand;
pub use combine::Step;
pub use error::SearchError;
pub use ground::{Ground, GroundError, Part};
pub use sortie::Sortie;
pub use strips::{FlownBy, SearchStrip};
pub use whole::*;
