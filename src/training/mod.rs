//! How a pilot tracks patterns, flight after flight: what changed, what did not, why, and what to practise next.
//!
//! ```text
//! debrief.json ──flight──► Flight ──measures──► values by leg and by flight
//!                                    │
//!        Flights of a pilot ──trend──► what changed ──┐
//!                           ──cause──► what is behind it ──► review ──► Review
//!   medians of other pilots ──others──► their spread ──┘
//!                                          Reviews of several pilots ──class──► Class
//! ```
//!
//! `tolerance` says what counts as good enough, `statistics` how sure a figure is. Whatever is said of a pilot has its evidence beside it, and what
//! cannot be told is said not to be.

pub mod cause;
pub mod class;
pub mod flight;
pub mod measures;
pub mod others;
mod rank;
mod resample;
pub mod review;
mod spacing;
pub mod tolerance;
pub mod trend;

pub use class::Class;
pub use flight::Flight;
pub use measures::Measure;
pub use review::{Review, review};
pub use tolerance::Tolerances;
