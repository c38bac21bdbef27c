//! Places and distances on the WGS 84 ellipsoid.
//!
//! `geodesic` is the reference (geographiclib); `leg_frame` gives along-track and cross-track
//! against one leg to within a centimetre, and `leg_in_plane` the same from the local plane, fast enough for every fix; `local_frame`
//! is that plane, in which rasters and spatial indexes live; `graticule` and `gars` are cells between meridians and
//! parallels; `map_plane` is UTM and UPS, for rasters of other programs; `magnetic` turns magnetic courses into true
//! ones.

pub mod ecef;
pub mod gars;
pub mod geodesic;
pub mod graticule;
pub mod leg_frame;
pub mod leg_in_plane;
pub mod local_frame;
pub mod magnetic;
pub mod map_plane;
pub mod position;

pub use gars::GarsCell;
pub use leg_frame::{AlongCross, LegFrame};
pub use leg_in_plane::LegInPlane;
pub use local_frame::LocalFrame;
pub use magnetic::Declination;
pub use map_plane::{MapPlane, MapPlaneError};
pub use position::Position;
