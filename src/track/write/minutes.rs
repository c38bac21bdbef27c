//! Angles as degrees and minutes of arc.

/// Degrees, minutes and decimals of the minute, with the hemisphere.
pub(super) struct Minutes {
    pub(super) degrees: u64,
    pub(super) minutes: u64,
    /// The minute's decimals as one number, in units of 10 to the power of minus `decimals`.
    pub(super) fraction: u64,
    pub(super) negative: bool,
}

impl Minutes {
    /// The angle rounded to that many decimals of a minute, of which there are no more than seven.
    pub(super) fn of(degrees: f64, decimals: u32) -> Self {
        let units = 10_u64.pow(decimals);
        // At most 180 · 60 · 10⁷ units: exact as an f64, and a cast within range.
        let all = (degrees.abs() * 60.0 * units as f64).round() as u64;
        Self {
            degrees: all / (60 * units),
            minutes: all / units % 60,
            fraction: all % units,
            negative: degrees < 0.0,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::Minutes;

    /// By hand.
    #[test]
    fn minutes_carry_over() {
        let parts = |degrees, decimals| {
            let m = Minutes::of(degrees, decimals);
            (m.degrees, m.minutes, m.fraction, m.negative)
        };
        assert_eq!(parts(47.5, 3), (47, 30, 0, false));
        assert_eq!(parts(-12.257_5, 3), (12, 15, 450, true));
        assert_eq!(parts(59.999_999_999, 3), (60, 0, 0, false));
        assert_eq!(parts(180.0, 7), (180, 0, 0, false));
    }
}
