//! How likely an object is seen.
//!
//! ```text
//! object, visibility, height, weather … ─sweep_width→ sweep width W, with how it came about
//! W, height ─inverse_cube→ exposure of a place to a stretch flown ─law→ POD
//! ```

mod bessel;
pub mod displaced;
pub mod inverse;
pub mod inverse_cube;
pub mod law;
pub mod sweep_width;
pub mod view;

pub use inverse_cube::InverseCube;
pub use law::{Law, Scanners};
pub use sweep_width::SweepWidth;
pub use view::View;
