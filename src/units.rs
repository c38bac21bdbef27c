//! Quantities with their units in the type, so that nautical miles never meet metres.
//!
//! Inside, everything is SI; the trade's units appear only in constructors, accessors and text.
//! Conversion factors: 1 NM = 1852 m exactly (International Hydrographic Conference, Monaco 1929),
//! 1 ft = 0.3048 m exactly (international yard and pound agreement, 1959), 1 kt = 1 NM/h.

use serde::{Deserialize, Serialize};

/// Metres in one nautical mile, exactly.
pub const METRES_PER_NM: f64 = 1852.0;
/// Metres in one international foot, exactly.
pub const METRES_PER_FT: f64 = 0.3048;
/// Metres per second in one knot, exactly.
pub const MPS_PER_KT: f64 = METRES_PER_NM / 3600.0;

/// A length or a height. Serialised as a number of metres.
#[derive(Clone, Copy, Debug, Default, PartialEq, PartialOrd, Serialize, Deserialize)]
#[serde(transparent)]
pub struct Length(f64);

impl Length {
    /// A length of `m` metres.
    #[must_use]
    pub const fn from_m(m: f64) -> Self {
        Self(m)
    }

    /// A length of `nm` nautical miles.
    #[must_use]
    pub const fn from_nm(nm: f64) -> Self {
        Self(nm * METRES_PER_NM)
    }

    /// A length of `ft` feet.
    #[must_use]
    pub const fn from_ft(ft: f64) -> Self {
        Self(ft * METRES_PER_FT)
    }

    /// In metres.
    #[must_use]
    pub const fn m(self) -> f64 {
        self.0
    }

    /// In nautical miles.
    #[must_use]
    pub const fn nm(self) -> f64 {
        self.0 / METRES_PER_NM
    }

    /// In feet.
    #[must_use]
    pub const fn ft(self) -> f64 {
        self.0 / METRES_PER_FT
    }
}

/// A speed over the ground or through the air. Serialised as metres per second.
#[derive(Clone, Copy, Debug, Default, PartialEq, PartialOrd, Serialize, Deserialize)]
#[serde(transparent)]
pub struct Speed(f64);

impl Speed {
    /// A speed of `mps` metres per second.
    #[must_use]
    pub const fn from_mps(mps: f64) -> Self {
        Self(mps)
    }

    /// A speed of `kt` knots.
    #[must_use]
    pub const fn from_kt(kt: f64) -> Self {
        Self(kt * MPS_PER_KT)
    }

    /// In metres per second.
    #[must_use]
    pub const fn mps(self) -> f64 {
        self.0
    }

    /// In knots.
    #[must_use]
    pub const fn kt(self) -> f64 {
        self.0 / MPS_PER_KT
    }
}

/// A direction over the ground, degrees clockwise from **true** north, in [0, 360).
/// Serialised as a number of degrees.
#[derive(Clone, Copy, Debug, Default, PartialEq, PartialOrd, Serialize, Deserialize)]
#[serde(transparent)]
pub struct Bearing(f64);

impl Bearing {
    /// A bearing of `deg` degrees true; any finite value is wrapped into [0, 360).
    #[must_use]
    pub fn from_deg(deg: f64) -> Self {
        Self(wrap_360(deg))
    }

    /// In degrees, [0, 360).
    #[must_use]
    pub const fn deg(self) -> f64 {
        self.0
    }

    /// The opposite direction.
    #[must_use]
    pub fn reversed(self) -> Self {
        self.turned(180.0)
    }

    /// This bearing turned by `deg` degrees, clockwise positive.
    #[must_use]
    pub fn turned(self, deg: f64) -> Self {
        Self::from_deg(self.0 + deg)
    }

    /// The smallest turn from this bearing to `other`, degrees in [-180, 180), clockwise positive.
    #[must_use]
    pub fn turn_to(self, other: Self) -> f64 {
        wrap_180(other.0 - self.0)
    }
}

/// Wraps an angle in degrees into [0, 360).
#[must_use]
pub fn wrap_360(deg: f64) -> f64 {
    if (0.0..360.0).contains(&deg) {
        return deg;
    }
    // The sum of two bearings or their difference is one turn off at most; the remainder of a division takes ten times as long.
    let wrapped = match deg {
        -360.0..0.0 => deg + 360.0,
        360.0..720.0 => deg - 360.0,
        _ => deg.rem_euclid(360.0),
    };
    // A tiny negative number rounds to 360 itself.
    if wrapped >= 360.0 { 0.0 } else { wrapped }
}

/// Wraps an angle in degrees into [-180, 180).
#[must_use]
pub fn wrap_180(deg: f64) -> f64 {
    if (-180.0..180.0).contains(&deg) {
        return deg;
    }
    wrap_360(deg + 180.0) - 180.0
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_relative_eq;

    #[test]
    fn angles_wrap_at_north_and_south() {
        assert_relative_eq!(wrap_360(-1e-20), 0.0);
        assert_relative_eq!(wrap_360(720.0), 0.0);
        assert_relative_eq!(wrap_180(180.0), -180.0);
        assert_relative_eq!(
            Bearing::from_deg(359.0).turn_to(Bearing::from_deg(1.0)),
            2.0
        );
        assert_relative_eq!(
            Bearing::from_deg(1.0).turn_to(Bearing::from_deg(359.0)),
            -2.0
        );
    }

    /// Against the remainder of a division, over three turns to either side.
    #[test]
    fn any_angle_wraps_as_the_remainder_of_a_division() {
        for i in -10_000..=10_000 {
            let deg = f64::from(i) * 0.108;
            let wrapped = deg.rem_euclid(360.0);
            assert_eq!(wrap_360(deg), wrapped, "{deg}");
            let about_north = (deg + 180.0).rem_euclid(360.0) - 180.0;
            assert_relative_eq!(wrap_180(deg), about_north, epsilon = 1e-12);
        }
    }

    #[test]
    fn units_convert_exactly() {
        assert_relative_eq!(Length::from_nm(1.0).m(), 1852.0);
        assert_relative_eq!(Length::from_ft(1000.0).m(), 304.8);
        assert_relative_eq!(Speed::from_kt(90.0).mps(), 46.3);
    }
}
