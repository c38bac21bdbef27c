//! A height that may not be there, in eight bytes instead of sixteen: a log has millions of them.

use crate::units::Length;
use std::fmt;

/// Height as recorded, or that there is none.
#[derive(Clone, Copy)]
pub struct RecordedHeight {
    /// Not a number where there is none.
    m: f64,
}

impl RecordedHeight {
    /// No height.
    pub const NONE: Self = Self { m: f64::NAN };

    /// The height, if there is one.
    #[must_use]
    pub fn get(self) -> Option<Length> {
        (!self.m.is_nan()).then(|| Length::from_m(self.m))
    }
}

impl From<Option<Length>> for RecordedHeight {
    fn from(height: Option<Length>) -> Self {
        height.map_or(Self::NONE, |height| Self { m: height.m() })
    }
}

impl PartialEq for RecordedHeight {
    fn eq(&self, other: &Self) -> bool {
        self.get() == other.get()
    }
}

impl fmt::Debug for RecordedHeight {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        self.get().fmt(f)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_height_comes_back_as_it_went_in() {
        for height in [None, Some(-12.5), Some(0.0), Some(8848.86)] {
            let height = height.map(Length::from_m);
            assert_eq!(RecordedHeight::from(height).get(), height);
        }
        assert_eq!(RecordedHeight::NONE, None.into());
        assert_ne!(RecordedHeight::NONE, Some(Length::from_m(0.0)).into());
        assert_eq!(size_of::<RecordedHeight>(), 8);
        assert_eq!(size_of::<crate::track::Fix>(), 48);
    }
}
