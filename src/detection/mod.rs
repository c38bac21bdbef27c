//! How likely an object is seen: lateral-range laws and the POD they add up to.

pub mod inverse;
pub mod law;
