//! What the slip may have been, in plain words, never without the figure it rests on.

use super::Recognised;
use super::value::{PatternShift, Slip, SlipKind};
use crate::geodesy::Declination;
use crate::measure::Wind;
use crate::plan::PatternKind;
use crate::tasking::{Course, Side};
use crate::units::{Speed, wrap_180};

/// A course is set and held to this at best, degrees. Chosen: courses are given in whole degrees.
const COURSE_SET_DEG: f64 = 1.0;
/// Drift and wind are the same within this, besides their intervals. Chosen: the wind is estimated over
/// the whole search, and is not the same everywhere in it.
const SAME_WIND: Speed = Speed::from_kt(2.0);

/// What is known beside the track.
#[derive(Clone, Copy, Debug)]
pub struct Circumstances<'a> {
    /// The pattern.
    pub pattern: PatternKind,
    /// First course as tasked, if the pattern has one.
    pub course: Option<Course>,
    /// Side of the turns as tasked, if the pattern has one.
    pub turn: Option<Side>,
    /// Declination at the start.
    pub declination: Option<&'a Declination>,
    /// The wind as estimated.
    pub wind: Option<&'a Wind>,
    /// Whether planned legs were left unflown.
    pub legs_missed: bool,
}

/// Adds what is to be said of a pattern that moved.
pub(super) fn tell(shift: &mut PatternShift, recognised: &Recognised, known: &Circumstances<'_>) {
    if !shift.moved {
        return;
    }
    if shift.mirrored {
        shift.slips.push(other_side(shift, known));
    }
    if recognised.turns {
        shift.slips.push(turned(shift, known));
    }
    if recognised.shifts {
        shift.slips.push(begun_elsewhere(shift, known));
    }
    if shift.drift.is_some() {
        shift.slips.extend(drifted(shift, known));
    }
    shift.summary = Some(summary(shift, recognised, known));
}

fn summary(shift: &PatternShift, recognised: &Recognised, known: &Circumstances<'_>) -> String {
    let mut how = Vec::new();
    if shift.mirrored {
        how.push("turned to the other side".to_owned());
    }
    if recognised.turns {
        how.push(format!("turned by {}", angle(shift)));
    }
    if recognised.shifts {
        how.push(format!("shifted by {}", offset(shift)));
    }
    if let Some(drift) = &shift.drift {
        how.push(format!(
            "drifting at {:.1} kt towards {:03.0}°",
            drift.speed.kt(),
            drift.towards.deg()
        ));
    }
    let but = if known.legs_missed { ", but" } else { "," };
    format!(
        "The pattern was flown{but} {} as a whole: {} of its {} legs are recognised there, with an XTE \
         of {:.0} m (root mean square) about the pattern as it was flown.",
        how.join(", "),
        shift.legs_recognised,
        shift.legs.len(),
        shift.rms.m()
    )
}

fn angle(shift: &PatternShift) -> String {
    format!(
        "{:.1}° ± {:.1}° to the {}",
        shift.turned_deg.abs(),
        shift.turned_interval_deg,
        if shift.turned_deg < 0.0 {
            "left"
        } else {
            "right"
        }
    )
}

fn offset(shift: &PatternShift) -> String {
    let offset = &shift.offset;
    let across = if offset.across_only {
        " (across the legs)"
    } else {
        ""
    };
    format!(
        "{:.2} NM ± {:.2} NM towards {:03.0}°{across}",
        offset.distance.nm(),
        offset.interval.nm(),
        offset.towards.deg()
    )
}

const fn side(side: Side) -> &'static str {
    match side {
        Side::Left => "left",
        Side::Right => "right",
    }
}

fn other_side(shift: &PatternShift, known: &Circumstances<'_>) -> Slip {
    let sides = match known.turn {
        Some(Side::Left) => format!(
            "turned {} instead of {}",
            side(Side::Right),
            side(Side::Left)
        ),
        Some(Side::Right) => format!(
            "turned {} instead of {}",
            side(Side::Left),
            side(Side::Right)
        ),
        None => "turned to the other side".to_owned(),
    };
    Slip {
        slip: SlipKind::OtherSide,
        words: format!(
            "{sides}: {} of {} legs fit the pattern mirrored along its first leg",
            shift.legs_recognised,
            shift.legs.len()
        ),
    }
}

fn turned(shift: &PatternShift, known: &Circumstances<'_>) -> Slip {
    let (Some(course), Some(declination)) = (known.course, known.declination) else {
        return Slip {
            slip: SlipKind::Turned,
            words: format!("turned by {}", angle(shift)),
        };
    };
    let d_deg = declination.declination_deg;
    let (tasked, flown, expected_deg, kind) = match course {
        Course::Magnetic(_) => ("magnetic", "true", -d_deg, SlipKind::FlownAsTrue),
        Course::True(_) => ("true", "magnetic", d_deg, SlipKind::FlownAsMagnetic),
    };
    let model_deg = 2.0 * declination.uncertainty_deg.unwrap_or(0.0);
    let within_deg =
        (shift.turned_interval_deg.powi(2) + model_deg.powi(2) + COURSE_SET_DEG.powi(2)).sqrt();
    let east_or_west = if d_deg < 0.0 { "west" } else { "east" };
    let there = format!("declination {:.1}° {east_or_west}", d_deg.abs());
    if wrap_180(shift.turned_deg - expected_deg).abs() <= within_deg {
        if d_deg.abs() > within_deg {
            return Slip {
                slip: kind,
                words: format!(
                    "the first course, tasked {tasked}, seems to have been flown as {flown}: turned by {}, \
                     {there}",
                    angle(shift)
                ),
            };
        }
        return Slip {
            slip: SlipKind::DeclinationTooSmall,
            words: format!(
                "turned by {}; the {there} is too small to tell whether a {tasked} course was flown as {flown}",
                angle(shift)
            ),
        };
    }
    Slip {
        slip: SlipKind::Turned,
        words: format!(
            "turned by {}; not what a {tasked} course flown as {flown} would give ({there})",
            angle(shift)
        ),
    }
}

fn begun_elsewhere(shift: &PatternShift, known: &Circumstances<'_>) -> Slip {
    let from = match known.pattern {
        PatternKind::Sector | PatternKind::ExpandingSquare => "the datum",
        _ => "the planned start",
    };
    Slip {
        slip: SlipKind::BegunElsewhere,
        words: format!("begun {} from {from}", offset(shift)),
    }
}

fn drifted(shift: &PatternShift, known: &Circumstances<'_>) -> Option<Slip> {
    let drift = shift.drift.as_ref()?;
    let how = format!(
        "at {:.1} kt ± {:.1} kt towards {:03.0}°",
        drift.speed.kt(),
        drift.interval.kt(),
        drift.towards.deg()
    );
    let Some(wind) = known.wind else {
        return Some(Slip {
            slip: SlipKind::Drifted,
            words: format!("drifted {how}; there is no wind estimate to compare with"),
        });
    };
    let vector = |speed: Speed, deg: f64| {
        let (sin, cos) = deg.to_radians().sin_cos();
        (speed.mps() * sin, speed.mps() * cos)
    };
    let to_deg = wind.from.deg() + 180.0;
    let (d, w) = (
        vector(drift.speed, drift.towards.deg()),
        vector(wind.speed, to_deg),
    );
    let apart = (d.0 - w.0).hypot(d.1 - w.1);
    let blew = format!(
        "the wind, as estimated, blew at {:.1} kt towards {:03.0}°",
        wind.speed.kt(),
        to_deg.rem_euclid(360.0)
    );
    Some(
        if apart <= drift.interval.mps() + SAME_WIND.mps() && wind.speed > SAME_WIND {
            Slip {
                slip: SlipKind::DriftedWithWind,
                words: format!("drifted with the wind {how}; {blew}"),
            }
        } else {
            Slip {
                slip: SlipKind::Drifted,
                words: format!("drifted {how}; not with the wind: {blew}"),
            }
        },
    )
}
