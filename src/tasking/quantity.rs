//! Quantities as people write them: a number and a unit.

use super::Course;
use crate::units::{Bearing, Length, Speed};

/// A text that is not the quantity it should be.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[error("{problem}")]
pub struct QuantityError {
    /// What is wrong.
    pub problem: String,
    /// What would be accepted.
    pub accepted: &'static str,
}

const LENGTHS: &str =
    "a length with its unit, such as \"0.5 NM\", \"1000 ft\", \"150 m\" or \"2 km\"";
const SPEEDS: &str = "a speed with its unit, such as \"90 kt\", \"45 m/s\" or \"160 km/h\"";
const COURSES: &str = "a course with T for true or M for magnetic, such as \"092 T\" or \"092 M\"";
const PERCENT: &str = "a share in percent, such as \"20 %\"";
const DURATIONS: &str = "a time with its unit, such as \"15 s\", \"2 min\" or \"1.5 h\"";

/// A length: `0.5 NM`, `1000 ft`, `150 m`, `2 km`; the space may be left out.
///
/// # Errors
/// When there is no finite number or no known unit.
pub fn length(text: &str) -> Result<Length, QuantityError> {
    let (value, unit) = number_and_unit(text, LENGTHS)?;
    match unit.to_ascii_lowercase().as_str() {
        "nm" => Ok(Length::from_nm(value)),
        "ft" => Ok(Length::from_ft(value)),
        "m" => Ok(Length::from_m(value)),
        "km" => Ok(Length::from_m(value * 1000.0)),
        _ => Err(unknown_unit(text, unit, LENGTHS)),
    }
}

/// A speed: `90 kt`, `45 m/s`, `160 km/h`.
///
/// # Errors
/// When there is no finite number or no known unit.
pub fn speed(text: &str) -> Result<Speed, QuantityError> {
    let (value, unit) = number_and_unit(text, SPEEDS)?;
    match unit.to_ascii_lowercase().as_str() {
        "kt" => Ok(Speed::from_kt(value)),
        "m/s" => Ok(Speed::from_mps(value)),
        "km/h" => Ok(Speed::from_mps(value / 3.6)),
        _ => Err(unknown_unit(text, unit, SPEEDS)),
    }
}

/// A time in seconds: `15 s`, `2 min`, `1.5 h`.
///
/// # Errors
/// When there is no finite number or no known unit.
pub fn duration_s(text: &str) -> Result<f64, QuantityError> {
    let (value, unit) = number_and_unit(text, DURATIONS)?;
    match unit.to_ascii_lowercase().as_str() {
        "s" => Ok(value),
        "min" => Ok(value * 60.0),
        "h" => Ok(value * 3600.0),
        _ => Err(unknown_unit(text, unit, DURATIONS)),
    }
}

/// A share: `20 %` is 0.2.
///
/// # Errors
/// When there is no finite number or no percent sign.
pub fn percent(text: &str) -> Result<f64, QuantityError> {
    match number_and_unit(text, PERCENT)? {
        (value, "%") => Ok(value / 100.0),
        (_, unit) => Err(unknown_unit(text, unit, PERCENT)),
    }
}

/// A course: `092 T`, `092 M`; 0 to 360 degrees.
///
/// # Errors
/// When there is no number from 0 to 360 or no letter T or M.
pub fn course(text: &str) -> Result<Course, QuantityError> {
    let (value, unit) = number_and_unit(text, COURSES)?;
    if !(0.0..=360.0).contains(&value) {
        return Err(QuantityError {
            problem: format!(
                "a course runs from 0 to 360 degrees, {} is outside",
                shown(text)
            ),
            accepted: COURSES,
        });
    }
    match unit.trim_start_matches('°') {
        "T" | "t" => Ok(Course::True(Bearing::from_deg(value))),
        "M" | "m" => Ok(Course::Magnetic(value)),
        "" => Err(QuantityError {
            problem: format!(
                "{} does not say whether it is true or magnetic",
                shown(text)
            ),
            accepted: COURSES,
        }),
        other => Err(unknown_unit(text, other, COURSES)),
    }
}

fn number_and_unit<'t>(
    text: &'t str,
    accepted: &'static str,
) -> Result<(f64, &'t str), QuantityError> {
    let text = text.trim();
    let end = text
        .find(|c: char| !(c.is_ascii_digit() || matches!(c, '.' | '+' | '-')))
        .unwrap_or(text.len());
    let value: f64 = text[..end].parse().map_err(|_| QuantityError {
        problem: format!("{} does not begin with a number", shown(text)),
        accepted,
    })?;
    Ok((value, text[end..].trim()))
}

fn unknown_unit(text: &str, unit: &str, accepted: &'static str) -> QuantityError {
    let problem = if unit.is_empty() {
        format!("{} has no unit", shown(text))
    } else {
        format!("{} has the unknown unit {}", shown(text), shown(unit))
    };
    QuantityError { problem, accepted }
}

/// Quoted, with control characters escaped and the length bounded, fit for a terminal.
pub(crate) fn shown(text: &str) -> String {
    let short: String = text.chars().take(60).collect();
    let dots = if short.len() < text.len() { "…" } else { "" };
    // Between double quotes a single one, the mark of minutes, needs no escape.
    let escaped = short.escape_debug().to_string().replace("\\'", "'");
    format!("\"{escaped}{dots}\"")
}

/// A length as it can be written in a tasking, for a hint: not more than `length`, and within a
/// hundredth of a mile of it, or a metre where it is short.
#[must_use]
pub fn at_most(length: Length) -> String {
    as_written(length, f64::floor)
}

/// As [`at_most`], not less than `length`.
#[must_use]
pub fn at_least(length: Length) -> String {
    as_written(length, f64::ceil)
}

fn as_written(length: Length, round: impl Fn(f64) -> f64) -> String {
    // A sliver of rounding must not cost a whole hundredth.
    let round = |value: f64| {
        let nearest = value.round();
        if (value - nearest).abs() < 1e-6 {
            nearest
        } else {
            round(value)
        }
    };
    if length.nm() >= 0.1 {
        format!("\"{:.2} NM\"", round(length.nm() * 100.0) / 100.0)
    } else {
        format!("\"{:.0} m\"", round(length.m()))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn reads_what_crews_write() {
        assert_eq!(length("0.5 NM").unwrap(), Length::from_nm(0.5));
        assert_eq!(length(" 1000ft ").unwrap(), Length::from_ft(1000.0));
        assert_eq!(speed("90 kt").unwrap(), Speed::from_kt(90.0));
        assert_eq!(speed("36 km/h").unwrap(), Speed::from_mps(10.0));
        assert_eq!(duration_s("2 min").unwrap(), 120.0);
        assert_eq!(percent("20 %").unwrap(), 0.2);
        assert_eq!(percent("0.2").unwrap_err().problem, "\"0.2\" has no unit");
        assert_eq!(duration_s("1.5 h").unwrap(), 5400.0);
        assert_eq!(course("092 M").unwrap(), Course::Magnetic(92.0));
        assert_eq!(
            course("360T").unwrap(),
            Course::True(Bearing::from_deg(0.0))
        );
    }

    #[test]
    fn says_what_is_missing() {
        assert_eq!(length("0.5").unwrap_err().problem, "\"0.5\" has no unit");
        assert_eq!(
            length("0.5 mi").unwrap_err().problem,
            "\"0.5 mi\" has the unknown unit \"mi\""
        );
        assert_eq!(
            length("wide").unwrap_err().problem,
            "\"wide\" does not begin with a number"
        );
        assert!(length("inf NM").is_err() && length("nan m").is_err() && length("").is_err());
        assert!(course("400 T").is_err() && course("90").is_err());
        assert!(length("1e3 m").is_err());
    }
}
