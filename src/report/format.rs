//! Figures as people read them: the trade's units, written out, and never a figure that claims more
//! than is known.

use crate::coverage::PodBand;
use crate::geodesy::Declination;
use crate::measure::AreaTime;
use crate::terrain::VerticalReference;
use crate::units::{Bearing, Length, Speed};
use chrono::{DateTime, Utc};

/// Stands where there is no figure.
pub const NONE: &str = "–";

/// A distance in nautical miles with this many decimals: `7.00 NM`.
#[must_use]
pub fn nm(length: Length, decimals: usize) -> String {
    format!("{} NM", nm_figure(length, decimals))
}

/// As [`nm`], the figure alone. Never `-0.0`.
#[must_use]
pub fn nm_figure(length: Length, decimals: usize) -> String {
    figure(length.nm(), decimals)
}

/// A height in feet: `1,012 ft`.
#[must_use]
pub fn ft(length: Length) -> String {
    format!("{} ft", ft_figure(length))
}

/// Lowest and highest of several heights: `5,500 to 6,500 ft`, or one of them where they are the same.
#[must_use]
pub fn ft_range((low, high): (Length, Length)) -> String {
    if low == high {
        ft(low)
    } else {
        format!("{} to {}", ft_figure(low), ft(high))
    }
}

/// As [`ft`], the figure alone.
#[must_use]
pub fn ft_figure(length: Length) -> String {
    grouped(length.ft())
}

/// A speed in knots with this many decimals: `91 kt`.
#[must_use]
pub fn kt(speed: Speed, decimals: usize) -> String {
    format!("{} kt", figure(speed.kt(), decimals))
}

/// A band of POD wider than this makes its figure a rough one. Chosen: ten points.
const BROAD_BAND: f64 = 0.1;

/// A share as whole percent: `82 %`. Only 0 and 1 themselves read `0 %` and `100 %`.
#[must_use]
pub fn percent(share: f64) -> String {
    let whole = (share * 100.0).round();
    if whole <= 0.0 && share > 0.0 {
        "<1 %".into()
    } else if whole >= 100.0 && share < 1.0 {
        ">99 %".into()
    } else {
        format!("{} %", figure(share * 100.0, 0))
    }
}

/// A POD with its band in whole percent: `62 % (60 to 65 %)`; `about` before it where the band is more than 10
/// points wide, and no band where both its ends read as the figure itself.
#[must_use]
pub fn pod_with_band(band: &PodBand) -> String {
    let (pod, low, high) = (percent(band.pod), percent(band.low), percent(band.high));
    if low == pod && high == pod {
        return pod;
    }
    let about = if band.high - band.low > BROAD_BAND {
        "about "
    } else {
        ""
    };
    let low = low.strip_suffix(" %").unwrap_or(&low);
    format!("{about}{pod} ({low} to {high})")
}

/// A short distance in whole metres: `231 m`.
#[must_use]
pub fn metres(length: Length) -> String {
    format!("{} m", figure(length.m(), 0))
}

/// A cross-track figure in words: `37 m right`.
#[must_use]
pub fn aside(xte: Length) -> String {
    let size = figure(xte.m().abs(), 0);
    match xte.m() {
        _ if size == "0" => "0 m".to_owned(),
        m if m > 0.0 => format!("{size} m right"),
        _ => format!("{size} m left"),
    }
}

/// A wind component across a leg: `6 kt from the left`. Positive blows from left to right.
#[must_use]
pub fn crosswind(wind: Speed) -> String {
    let size = figure(wind.kt().abs(), 0);
    if size == "0" {
        return "0 kt".into();
    }
    format!(
        "{size} kt from the {}",
        if wind.mps() > 0.0 { "left" } else { "right" }
    )
}

/// A true course: `092° T`.
#[must_use]
pub fn course(course: Bearing) -> String {
    format!("{}° T", three_digits(course.deg()))
}

/// A course in three digits, the reference beside it: `092`.
#[must_use]
pub fn three_digits(deg: f64) -> String {
    // 359.7 rounds to 360, which is 0.
    format!("{:03}", deg.round() as u32 % 360)
}

/// A declination with its uncertainty: `8.4° W ± 0.4°`.
#[must_use]
pub fn declination(declination: &Declination) -> String {
    let side = if declination.declination_deg < 0.0 {
        "W"
    } else {
        "E"
    };
    let size = figure(declination.declination_deg.abs(), 1);
    match declination.uncertainty_deg {
        Some(sd) => format!(
            "{size}° {side} ± {}° (one standard deviation)",
            figure(sd, 1)
        ),
        None => format!("{size}° {side}"),
    }
}

/// A time of day: `09:02:11 UTC`.
#[must_use]
pub fn utc(time: DateTime<Utc>) -> String {
    format!("{} UTC", clock(time))
}

/// As [`utc`], where the unit stands in the heading: `09:02:11`.
#[must_use]
pub fn clock(time: DateTime<Utc>) -> String {
    // Rounded, not cut: half a second later is the next second.
    (time + chrono::TimeDelta::milliseconds(500))
        .format("%H:%M:%S")
        .to_string()
}

/// What ground heights are measured from, after "ground heights are".
#[must_use]
pub fn ground_references(references: &[VerticalReference]) -> String {
    let words: Vec<_> = references
        .iter()
        .map(|reference| reference.describe())
        .collect();
    words.join("; others ")
}

/// From the first fix at flying speed to the last one.
#[must_use]
pub fn flown(from: Option<DateTime<Utc>>, to: Option<DateTime<Utc>>) -> String {
    match from.zip(to) {
        Some((from, to)) => format!(
            "{} to {} UTC, {}",
            clock(from),
            clock(to),
            duration((to - from).as_seconds_f64())
        ),
        None => "nothing was flown".to_owned(),
    }
}

/// A duration: `2:05 min` or `1:02:05 h`.
#[must_use]
pub fn duration(seconds: f64) -> String {
    let all = seconds.max(0.0).round() as u64;
    let (hours, minutes, seconds) = (all / 3600, all / 60 % 60, all % 60);
    if hours > 0 {
        format!("{hours}:{minutes:02}:{seconds:02} h")
    } else {
        format!("{minutes}:{seconds:02} min")
    }
}

/// Times out of the area by kind: `turn (8 times, 7:24 min)`.
#[must_use]
pub fn outside_by_kind(time: &AreaTime) -> Vec<String> {
    let kinds = time.by_kind().into_iter();
    kinds
        .map(|(kind, times, lasted_s)| {
            format!(
                "{} ({}, {})",
                kind.name(),
                counted(times, "time"),
                duration(lasted_s)
            )
        })
        .collect()
}

/// A surface in square nautical miles: `3.50 NM²`.
#[must_use]
pub fn square_nm(area_m2: f64) -> String {
    format!(
        "{} NM²",
        figure(area_m2 / crate::units::METRES_PER_NM.powi(2), 2)
    )
}

/// A time that nobody flies to the second: `about 24 min`, `about 1 h 05 min`.
#[must_use]
pub fn about(seconds: f64) -> String {
    match (seconds.max(0.0) / 60.0).round() as u64 {
        0 => "less than a minute".to_owned(),
        minutes if minutes < 60 => format!("about {minutes} min"),
        minutes => format!("about {} h {:02} min", minutes / 60, minutes % 60),
    }
}

/// A small gain of probability in percent with two figures at most: `12 %`, `1.3 %`, `<0.1 %`.
#[must_use]
pub fn gain(share: f64) -> String {
    match share * 100.0 {
        percent if percent <= 0.0 => "0 %".to_owned(),
        percent if percent < 0.05 => "<0.1 %".to_owned(),
        percent if percent < 9.95 => format!("{} %", figure(percent, 1)),
        percent => format!("{} %", figure(percent, 0)),
    }
}

/// A probability with its band, as [`pod_with_band`].
#[must_use]
pub fn with_band(value: f64, low: f64, high: f64) -> String {
    pod_with_band(&PodBand {
        pod: value,
        low,
        high,
    })
}

/// A day and a time to the minute: `2026-06-14 08:46 UTC`.
#[must_use]
pub fn day_and_minute(time: DateTime<Utc>) -> String {
    (time + chrono::TimeDelta::seconds(30))
        .format("%Y-%m-%d %H:%M UTC")
        .to_string()
}

/// As [`day_and_minute`], the time alone: `08:46`.
#[must_use]
pub fn minute(time: DateTime<Utc>) -> String {
    (time + chrono::TimeDelta::seconds(30))
        .format("%H:%M")
        .to_string()
}

/// Bytes: `1,204,881 bytes`.
#[must_use]
pub fn bytes(count: u64) -> String {
    format!("{} bytes", grouped(count as f64))
}

/// A count with thousands set apart.
#[must_use]
pub fn count(count: usize) -> String {
    grouped(count as f64)
}

/// A count with its noun: `1 strip`, `3 strips`.
#[must_use]
pub fn counted(count: usize, noun: &str) -> String {
    format!(
        "{} {noun}{}",
        grouped(count as f64),
        if count == 1 { "" } else { "s" }
    )
}

/// A number with this many decimals, never `-0`.
#[must_use]
pub fn figure(value: f64, decimals: usize) -> String {
    let text = format!("{value:.decimals$}");
    if text.starts_with('-') && text.chars().all(|c| matches!(c, '-' | '0' | '.')) {
        return text[1..].to_owned();
    }
    text
}

/// Either the figure or the dash that says there is none.
#[must_use]
pub fn or_none<T>(value: Option<T>, write: impl FnOnce(T) -> String) -> String {
    value.map_or_else(|| NONE.to_owned(), write)
}

fn grouped(value: f64) -> String {
    let digits = figure(value, 0);
    let (sign, digits) = digits
        .strip_prefix('-')
        .map_or(("", digits.as_str()), |rest| ("-", rest));
    let mut text = String::from(sign);
    for (index, digit) in digits.chars().enumerate() {
        if index > 0 && (digits.len() - index) % 3 == 0 {
            text.push(',');
        }
        text.push(digit);
    }
    text
}

#[cfg(test)]
mod tests {
    use super::*;
    use chrono::NaiveDate;

    #[test]
    fn a_share_is_rounded_but_never_to_all_or_nothing() {
        assert_eq!(percent(0.823), "82 %");
        assert_eq!(percent(0.9999), ">99 %");
        assert_eq!(percent(0.001), "<1 %");
        assert_eq!([percent(0.0), percent(1.0)], ["0 %", "100 %"]);
        assert_eq!(
            [0.1234, 0.0128, 0.0004, 0.0, 0.0999].map(gain),
            ["12 %", "1.3 %", "<0.1 %", "0 %", "10 %"]
        );
    }

    #[test]
    fn lengths_and_heights_carry_units_and_no_negative_zero() {
        assert_eq!(nm(Length::from_nm(7.0), 2), "7.00 NM");
        assert_eq!(nm(Length::from_m(-0.1), 2), "0.00 NM");
        assert_eq!(ft(Length::from_ft(1012.4)), "1,012 ft");
        assert_eq!(ft(Length::from_ft(-12_345.0)), "-12,345 ft");
        assert_eq!(count(1_234_567), "1,234,567");
        assert_eq!(square_nm(1852.0 * 1852.0 * 3.5), "3.50 NM²");
    }

    #[test]
    fn sides_are_words() {
        assert_eq!(aside(Length::from_m(36.6)), "37 m right");
        assert_eq!(aside(Length::from_m(-36.6)), "37 m left");
        assert_eq!(aside(Length::from_m(-0.01)), "0 m");
        assert_eq!(crosswind(Speed::from_kt(6.1)), "6 kt from the left");
        assert_eq!(crosswind(Speed::from_kt(-0.3)), "0 kt");
    }

    #[test]
    fn times_and_courses_wrap() {
        let day = NaiveDate::from_ymd_opt(2026, 5, 17).unwrap();
        let time = day.and_hms_milli_opt(9, 59, 59, 600).unwrap().and_utc();
        assert_eq!(utc(time), "10:00:00 UTC");
        assert_eq!(duration(59.7), "1:00 min");
        assert_eq!(duration(3725.0), "1:02:05 h");
        assert_eq!(day_and_minute(time), "2026-05-17 10:00 UTC");
        assert_eq!(minute(time), "10:00");
        assert_eq!(
            [20.0, 59.0, 3570.0, 3900.0].map(about),
            [
                "less than a minute",
                "about 1 min",
                "about 1 h 00 min",
                "about 1 h 05 min"
            ]
        );
        assert_eq!(course(Bearing::from_deg(359.7)), "000° T");
        assert_eq!(counted(1, "strip"), "1 strip");
        assert_eq!(counted(0, "strip"), "0 strips");
    }
}
