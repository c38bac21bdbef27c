//! The arguments of `rehearse`, and how they are written.

use crate::simulate::{Fault, LegRun};
use crate::tasking::quantity::{self, QuantityError};
use crate::tasking::{Course, Side};
use crate::units::{Length, Speed};
use chrono::{DateTime, Utc};
use std::path::PathBuf;

/// Simulate the flight of a tasking and write its track log
///
/// The aircraft takes off from the tasking's base (6 NM before the first leg if none is given),
/// flies every leg in coordinated turns and a steady wind, and lands. The same tasking, options and
/// seed give the same log, byte for byte. Distances along a leg are counted from its planned start.
#[derive(Debug, clap::Args)]
pub struct Arguments {
    /// The tasking file (TOML)
    #[arg(value_name = "TASKING")]
    pub(super) tasking: PathBuf,
    /// Number that decides all that is random
    #[arg(long, default_value_t = 1)]
    pub(super) seed: u64,
    /// Track log to write, GPX [default: out/<sortie>-rehearsal.gpx]
    #[arg(long, value_name = "FILE")]
    pub(super) out: Option<PathBuf>,
    /// Also write what really happened, without receiver errors, as JSON
    #[arg(long, value_name = "FILE")]
    pub(super) truth: Option<PathBuf>,
    /// First moment of the log, UTC, such as 2026-06-14T08:00:00Z [default: 08:00 UTC on the
    /// tasking's date]
    #[arg(long, value_name = "TIME", value_parser = time)]
    pub(super) start: Option<DateTime<Utc>>,
    /// Fixes per second, up to 50; 0.2 is one every five seconds [default: 1]
    #[arg(long, value_name = "PER_SECOND")]
    pub(super) rate: Option<f64>,
    /// Steady wind: where it comes from and how strong, such as "240 T at 12 kt" [default: calm]
    #[arg(long, value_parser = wind)]
    pub(super) wind: Option<WindArgument>,
    /// Slow gusts on top of the wind, as a standard deviation, such as "2 kt" [default: none]
    #[arg(long, value_name = "SPEED", value_parser = speed)]
    pub(super) gust: Option<Speed>,
    /// Share of the wind the pilot allows for, 0 to 1; the rest shows as drift until it is noticed
    /// [default: 1]
    #[arg(long, value_name = "SHARE")]
    pub(super) wind_known: Option<f64>,
    /// True airspeed, such as "90 kt" [default: the tasked ground speed]
    #[arg(long, value_name = "SPEED", value_parser = speed)]
    pub(super) airspeed: Option<Speed>,
    /// Steepest bank in turns, degrees [default: 25]
    #[arg(long, value_name = "DEGREES")]
    pub(super) bank: Option<f64>,
    /// How far the pilot's aim wanders beside the leg, as a standard deviation, such as "20 m"
    /// [default: 20 m]
    #[arg(long, value_name = "LENGTH", value_parser = length)]
    pub(super) wander: Option<Length>,
    /// Time in which the pilot learns the drift that was not allowed for, such as "60s"; "never" [default: 60s]
    #[arg(long, value_name = "TIME", value_parser = time_or_never)]
    pub(super) drift_learnt: Option<f64>,
    /// Time in which two thirds of the way back onto a leg are made after a turn, such as "40s" [default: 5s]
    #[arg(long, value_name = "TIME", value_parser = seconds)]
    pub(super) rejoin: Option<f64>,
    /// How far past the end of a leg turns back begin, such as "0.5 NM" [default: 200 m]
    #[arg(long, value_name = "LENGTH", value_parser = length)]
    pub(super) past_end: Option<Length>,
    /// How far short of the line of the next leg turns back roll out, such as "250 m" [default: 15 m]
    #[arg(long, value_name = "LENGTH", value_parser = length)]
    pub(super) short: Option<Length>,
    /// Do not fly this leg (may be repeated)
    #[arg(long, value_name = "LEG")]
    pub(super) skip_leg: Vec<u32>,
    /// Turn off a leg before its end, such as 7:1.2NM (may be repeated)
    #[arg(long, value_name = "LEG:LENGTH", value_parser = cut)]
    pub(super) cut_leg: Vec<Fault>,
    /// Fly beside the legs, right or left in the direction flown: "150 m right" for all,
    /// "3:150 m left" for one (may be repeated)
    #[arg(long, value_name = "[LEG:]LENGTH SIDE", value_parser = bias)]
    pub(super) bias: Vec<Fault>,
    /// After the planned legs, fly a second set midway between them
    #[arg(long)]
    pub(super) interleave: bool,
    /// Directly after this leg, fly one midway between it and the next (may be repeated)
    #[arg(long, value_name = "LEG")]
    pub(super) extra_after: Vec<u32>,
    /// Fly these legs in this order, r for reversed, such as 3,1,2r
    #[arg(long, value_name = "LEGS", value_parser = order)]
    pub(super) order: Option<OrderArgument>,
    /// Fly this leg a second time, back along itself (may be repeated)
    #[arg(long, value_name = "LEG")]
    pub(super) twice: Vec<u32>,
    /// Circle beside a place on a leg, such as 6:3NM, or 6:3NM:2:left for two circles to the left
    /// [circles default: 1, side: right] (may be repeated)
    #[arg(long, value_name = "LEG:ALONG[:CIRCLES[:SIDE]]", value_parser = orbit)]
    pub(super) orbit: Vec<Fault>,
    /// Fly over the corners of the area before the first leg
    #[arg(long)]
    pub(super) corner_survey: bool,
    /// Let the receiver fall silent on a leg, such as 4:2NM:40s (may be repeated)
    #[arg(long, value_name = "LEG:ALONG:TIME", value_parser = dropout)]
    pub(super) dropout: Vec<Fault>,
    /// Leave a leg over the nearer edge of the area, be outside for a time and come back, such as
    /// 1:3NM:90s (may be repeated)
    #[arg(long, value_name = "LEG:ALONG:TIME", value_parser = excursion)]
    pub(super) excursion: Vec<Fault>,
    /// Fly the whole pattern turned about the start of its first leg, such as "4 deg right"
    #[arg(long, value_name = "DEGREES SIDE", value_parser = turned)]
    pub(super) turned: Option<Fault>,
    /// Fly the whole pattern elsewhere, such as "0.4 NM towards 120 T"
    #[arg(long, value_name = "LENGTH towards COURSE", value_parser = shifted)]
    pub(super) shifted: Option<Towards<Length>>,
    /// Make all turns to the other side: the pattern mirrored along its first leg
    #[arg(long)]
    pub(super) mirrored: bool,
    /// Let the pattern be carried along from its first leg on, such as "2 kt towards 120 T"
    #[arg(long, value_name = "SPEED towards COURSE", value_parser = carried)]
    pub(super) carried: Option<Towards<Speed>>,
}

/// How far or how fast, and which way, as written.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Towards<T> {
    pub(super) by: T,
    pub(super) towards: Course,
}

/// A wind as written.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct WindArgument {
    pub(super) from: Course,
    pub(super) speed: Speed,
}

/// An order of legs as written.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct OrderArgument(pub(super) Vec<LegRun>);

fn said(error: QuantityError) -> String {
    format!("{error}; expected {}", error.accepted)
}

fn length(text: &str) -> Result<Length, String> {
    quantity::length(text).map_err(said)
}

fn speed(text: &str) -> Result<Speed, String> {
    quantity::speed(text).map_err(said)
}

fn seconds(text: &str) -> Result<f64, String> {
    quantity::duration_s(text).map_err(said)
}

fn time_or_never(text: &str) -> Result<f64, String> {
    if text == "never" {
        Ok(f64::INFINITY)
    } else {
        seconds(text)
    }
}

fn time(text: &str) -> Result<DateTime<Utc>, String> {
    DateTime::parse_from_rfc3339(text)
        .map(|time| time.to_utc())
        .map_err(|error| format!("{error}; expected a time such as 2026-06-14T08:00:00Z"))
}

fn wind(text: &str) -> Result<WindArgument, String> {
    let (from, strength) = text
        .split_once(" at ")
        .ok_or("expected a direction and a strength, such as \"240 T at 12 kt\"")?;
    Ok(WindArgument {
        from: quantity::course(from).map_err(said)?,
        speed: speed(strength)?,
    })
}

fn leg(text: &str) -> Result<u32, String> {
    text.trim()
        .parse()
        .map_err(|_| format!("{} is not the number of a leg", quantity::shown(text)))
}

fn side(text: &str) -> Result<Side, String> {
    match text.trim() {
        "left" => Ok(Side::Left),
        "right" => Ok(Side::Right),
        _ => Err(format!(
            "{} is neither left nor right",
            quantity::shown(text)
        )),
    }
}

fn cut(text: &str) -> Result<Fault, String> {
    let (number, by) = text
        .split_once(':')
        .ok_or("expected a leg and a length, such as 7:1.2NM")?;
    Ok(Fault::CutShort {
        leg: leg(number)?,
        by: length(by)?,
    })
}

fn bias(text: &str) -> Result<Fault, String> {
    let (number, offset) = match text.split_once(':') {
        Some((number, offset)) => (Some(leg(number)?), offset),
        None => (None, text),
    };
    let (by, towards) = offset
        .trim()
        .rsplit_once(' ')
        .ok_or("expected a length and a side, such as \"150 m right\"")?;
    // The side first: without one, the unit stands in its place.
    let side = side(towards)?;
    Ok(Fault::LateralBias {
        leg: number,
        right: Length::from_m(length(by)?.m() * side.sign()),
    })
}

fn order(text: &str) -> Result<OrderArgument, String> {
    text.split(',')
        .map(|run| {
            let run = run.trim();
            let (number, reversed) = match run.strip_suffix('r') {
                Some(number) => (number, true),
                None => (run, false),
            };
            Ok(LegRun {
                leg: leg(number)?,
                reversed,
            })
        })
        .collect::<Result<_, String>>()
        .map(OrderArgument)
}

fn orbit(text: &str) -> Result<Fault, String> {
    let expected = "expected a leg and a place on it, such as 6:3NM or 6:3NM:2:left";
    let parts: Vec<&str> = text.split(':').collect();
    let (number, along, turns, towards) = match parts.as_slice() {
        [number, along] => (number, along, "1", "right"),
        [number, along, turns] => (number, along, *turns, "right"),
        [number, along, turns, towards] => (number, along, *turns, *towards),
        _ => return Err(expected.into()),
    };
    Ok(Fault::Orbit {
        leg: leg(number)?,
        along: length(along)?,
        turns: turns
            .trim()
            .parse()
            .map_err(|_| format!("{} is not a number of circles", quantity::shown(turns)))?,
        side: side(towards)?,
    })
}

fn leg_along_time(text: &str, example: &str) -> Result<(u32, Length, f64), String> {
    match text.split(':').collect::<Vec<_>>().as_slice() {
        [number, along, time] => Ok((leg(number)?, length(along)?, seconds(time)?)),
        _ => Err(format!(
            "expected a leg, a place on it and a time, such as {example}"
        )),
    }
}

fn dropout(text: &str) -> Result<Fault, String> {
    let (leg, along, duration_s) = leg_along_time(text, "4:2NM:40s")?;
    Ok(Fault::Dropout {
        leg,
        along,
        duration_s,
    })
}

fn excursion(text: &str) -> Result<Fault, String> {
    let (leg, along, outside_s) = leg_along_time(text, "1:3NM:90s")?;
    Ok(Fault::Excursion {
        leg,
        along,
        outside_s,
    })
}

fn turned(text: &str) -> Result<Fault, String> {
    let expected = "expected degrees and a side, such as \"4 deg right\"";
    let (angle, towards) = text.trim().rsplit_once(' ').ok_or(expected)?;
    let side = side(towards)?;
    let degrees = angle
        .trim()
        .trim_end_matches("deg")
        .trim_end_matches('°')
        .trim();
    let degrees: f64 = degrees
        .parse()
        .ok()
        .filter(|degrees: &f64| degrees.is_finite())
        .ok_or_else(|| format!("{} is not an angle; {expected}", quantity::shown(angle)))?;
    Ok(Fault::Turned {
        right_deg: degrees * side.sign(),
    })
}

fn shifted(text: &str) -> Result<Towards<Length>, String> {
    let (by, towards) = text
        .split_once(" towards ")
        .ok_or("expected a length and a course, such as \"0.4 NM towards 120 T\"")?;
    Ok(Towards {
        by: length(by)?,
        towards: quantity::course(towards).map_err(said)?,
    })
}

fn carried(text: &str) -> Result<Towards<Speed>, String> {
    let (by, towards) = text
        .split_once(" towards ")
        .ok_or("expected a speed and a course, such as \"2 kt towards 120 T\"")?;
    Ok(Towards {
        by: speed(by)?,
        towards: quantity::course(towards).map_err(said)?,
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::units::Bearing;

    #[test]
    fn reads_what_the_help_shows() {
        let wind = wind("240 T at 12 kt").unwrap();
        assert_eq!(wind.from, Course::True(Bearing::from_deg(240.0)));
        assert_eq!(wind.speed, Speed::from_kt(12.0));
        let by = Length::from_nm(1.2);
        assert_eq!(cut("7:1.2NM").unwrap(), Fault::CutShort { leg: 7, by });
        let left = Length::from_m(-150.0);
        let expected = Fault::LateralBias {
            leg: Some(3),
            right: left,
        };
        assert_eq!(bias("3:150 m left").unwrap(), expected);
        assert!(matches!(
            bias("150 m right"),
            Ok(Fault::LateralBias { leg: None, .. })
        ));
        let runs = order("3,1, 2r").unwrap().0;
        assert_eq!(runs.iter().map(|r| r.leg).collect::<Vec<_>>(), [3, 1, 2]);
        assert_eq!(
            runs.iter().map(|r| r.reversed).collect::<Vec<_>>(),
            [false, false, true]
        );
        let expected = Fault::Orbit {
            leg: 6,
            along: Length::from_nm(3.0),
            turns: 2,
            side: Side::Left,
        };
        assert_eq!(orbit("6:3NM:2:left").unwrap(), expected);
        assert!(orbit("6:3NM").is_ok());
        assert!(matches!(
            dropout("4:2NM:40s"),
            Ok(Fault::Dropout {
                duration_s: 40.0,
                ..
            })
        ));
        assert!(matches!(
            excursion("1:3NM:90s"),
            Ok(Fault::Excursion {
                outside_s: 90.0,
                ..
            })
        ));
        assert!(time("2026-06-14T08:00:00Z").is_ok());
        assert_eq!(
            turned("4 deg left").unwrap(),
            Fault::Turned { right_deg: -4.0 }
        );
        let shift = shifted("0.4 NM towards 120 T").unwrap();
        assert_eq!(shift.by, Length::from_nm(0.4));
        assert_eq!(shift.towards, Course::True(Bearing::from_deg(120.0)));
        assert_eq!(
            carried("2 kt towards 120 M").unwrap().towards,
            Course::Magnetic(120.0)
        );
    }

    #[test]
    fn says_what_it_expects() {
        for (result, part) in [
            (wind("240 at 12 kt").map(drop), "true or magnetic"),
            (wind("240 T 12 kt").map(drop), "240 T at 12 kt"),
            (cut("7").map(drop), "7:1.2NM"),
            (cut("x:1NM").map(drop), "not the number of a leg"),
            (bias("150 m").map(drop), "neither left nor right"),
            (orbit("6:3NM:two").map(drop), "not a number of circles"),
            (dropout("4:2NM").map(drop), "4:2NM:40s"),
            (order("1,,2").map(drop), "not the number of a leg"),
            (turned("4 deg").map(drop), "neither left nor right"),
            (turned("x deg right").map(drop), "not an angle"),
            (shifted("0.4 NM 120 T").map(drop), "0.4 NM towards 120 T"),
            (carried("2 towards 120 T").map(drop), "kt"),
        ] {
            let message = result.unwrap_err();
            assert!(message.contains(part), "{message}");
        }
    }
}
