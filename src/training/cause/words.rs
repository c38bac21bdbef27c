//! Causes in words: what was seen, with the figures it rests on, and what to practise. About flying, never about the person.

use super::Kind;
use crate::measure::shift::SlipKind;
use crate::units::{Length, Speed};

/// Metres as people read them: whole metres, and nautical miles from half of one.
fn metres(m: f64) -> String {
    if m.abs() >= 926.0 {
        format!("{:.1} NM", Length::from_m(m).nm())
    } else {
        format!("{m:.0} m")
    }
}

fn range((low, high): (f64, f64)) -> String {
    format!("{} to {}", metres(low), metres(high))
}

fn side(right_m: f64) -> &'static str {
    if right_m > 0.0 { "right" } else { "left" }
}

pub(super) fn bias(value_m: f64, half_m: f64) -> String {
    format!(
        "Legs were flown {} ± {} {} of the planned line on the mean, in either direction and whatever the wind.",
        metres(value_m.abs()),
        metres(half_m),
        side(value_m)
    )
}

pub(super) const PRACTISE_BIAS: &str = "On the next pattern, centre the deviation before the first leg and compare the line on the map with the \
     ground at three places of every leg; check what the seat and the cockpit do to the line of sight.";

pub(super) fn drift(value_m: f64, half_m: f64, wind_mps: f64) -> String {
    let way = if value_m > 0.0 { "downwind" } else { "upwind" };
    format!(
        "Legs with the wind across lay {} ± {} {way} of the planned line, at {:.0} kt across on the mean; the more wind, the farther.",
        metres(value_m.abs()),
        metres(half_m),
        Speed::from_mps(wind_mps).kt()
    )
}

pub(super) fn practise_drift(under: bool) -> String {
    let more = if under { "more" } else { "less" };
    format!(
        "Work out the heading for each leg from the wind before the turn onto it, fly that heading for a minute, and correct it by what the track shows: {more} \
         into the wind than now."
    )
}

pub(super) fn spacing(share: f64, half: f64, spacing_m: f64) -> String {
    let how = if share > 0.0 { "wider" } else { "closer" };
    format!(
        "From leg to leg the distance was {:.0} % ± {:.0} % {how} than planned ({} for each leg), adding up over the pattern.",
        100.0 * share.abs(),
        100.0 * half,
        metres(share.abs() * spacing_m)
    )
}

pub(super) const PRACTISE_SPACING: &str = "Take every leg from its own end points, not from the leg before; write the spacing on the kneeboard and \
     check it at the beginning of each leg.";

pub(super) fn rejoin(size_m: f64, interval: (f64, f64), most_m: f64) -> String {
    format!(
        "After turns it took {} of leg on the middle ({}) until the line was settled; {} would be good.",
        metres(size_m),
        range(interval),
        metres(most_m)
    )
}

pub(super) const PRACTISE_REJOIN: &str = "Plan the turn onto the leg: name the heading to roll out on before the turn begins, intercept at a firm angle, and \
     be on the line before the first mark of the leg.";

pub(super) fn wander(size_m: f64, interval: (f64, f64), most_m: f64) -> String {
    format!(
        "Once settled, the track weaved about its own mean by {} (standard deviation, {}); {} would be good.",
        metres(size_m),
        range(interval),
        metres(most_m)
    )
}

pub(super) const PRACTISE_WANDER: &str = "Fly a leg by heading alone, with a point on the horizon ahead, and make small corrections that are held for half a \
     minute before the next.";

pub(super) fn late_turns(size_m: f64, interval: (f64, f64)) -> String {
    format!(
        "Turns back reached {} farther beyond the end of the leg than a standard-rate turn begun there ({}).",
        metres(size_m),
        range(interval)
    )
}

pub(super) const PRACTISE_LATE_TURNS: &str =
    "Call the end of the leg half a mile before it, and begin the turn at it.";

pub(super) fn wide_turns(size_m: f64, interval: (f64, f64)) -> String {
    format!(
        "Turns went {} past the line of the next leg on the middle ({}).",
        metres(size_m),
        range(interval)
    )
}

pub(super) const PRACTISE_WIDE_TURNS: &str = "Where the spacing is less than two turn radii, turn outward first; with the wind from behind in the \
     turn, lead more. Work out the width of the turn for the day's wind before take-off.";

pub(super) fn unequal_turns(left_m: f64, right_m: f64) -> String {
    format!(
        "Turns to the left went {} past the next leg on the mean, turns to the right {}.",
        metres(left_m),
        metres(right_m)
    )
}

pub(super) fn practise_unequal(left: bool) -> String {
    let side = if left { "left" } else { "right" };
    format!(
        "Practise turns back to the {side}, at the bank and the lead that turns to the other side are flown with."
    )
}

pub(super) fn keeping(kind: Kind, size: f64, (low, high): (f64, f64)) -> String {
    match kind {
        Kind::Speed => {
            let knots = |mps: f64| Speed::from_mps(mps).kt();
            format!(
                "Ground speed on legs was {:.0} kt off the tasked one (root mean square, {:.0} to {:.0} kt), beyond what the wind along the leg explains.",
                knots(size),
                knots(low),
                knots(high)
            )
        }
        _ => {
            let feet = |m: f64| Length::from_m(m).ft();
            format!(
                "Height on legs was {:.0} ft off the tasked one (root mean square, {:.0} to {:.0} ft).",
                feet(size),
                feet(low),
                feet(high)
            )
        }
    }
}

pub(super) const fn practise_keeping(kind: Kind) -> &'static str {
    match kind {
        Kind::Speed => {
            "Set power for the leg, trim, and check the speed at the beginning, the middle and the end of each leg."
        }
        _ => {
            "Trim for level flight before the first leg and put the altimeter into every scan; agree on who calls deviations."
        }
    }
}

pub(super) fn missed(share: f64, cut: usize, whole: usize, worst: Option<(&str, &str)>) -> String {
    let legs = |count: usize, what: &str| match count {
        0 => None,
        1 => Some(format!("1 leg was {what}")),
        n => Some(format!("{n} legs were {what}")),
    };
    let what = [legs(whole, "not flown"), legs(cut, "flown in part")];
    let what: Vec<String> = what.into_iter().flatten().collect();
    let worst = worst.map_or_else(String::new, |(sortie, leg)| {
        format!("; the most is missing of leg {leg} of {sortie}")
    });
    format!(
        "{:.0} % of the planned leg length was not flown: {}{worst}.",
        100.0 * share,
        what.join(", ")
    )
}

pub(super) const PRACTISE_MISSED: &str = "Tick every leg off as it is entered and as it is left, by both crew members, and fly each to its end before the turn.";

pub(super) const fn practise_slip(kind: SlipKind) -> &'static str {
    match kind {
        SlipKind::FlownAsTrue | SlipKind::FlownAsMagnetic => {
            "Write M or T behind every course, and read the first course back with it before take-off."
        }
        SlipKind::OtherSide => {
            "Say the side of the first turn aloud, and draw the pattern before it is set up."
        }
        SlipKind::Turned | SlipKind::DeclinationTooSmall => {
            "Check the first course against the map once established on the first leg."
        }
        SlipKind::BegunElsewhere => {
            "Read the start point back digit by digit, and check it against the ground before the first leg."
        }
        SlipKind::DriftedWithWind | SlipKind::Drifted => {
            "Fly legs over the ground, from fix to fix; headings and times alone carry the pattern with the wind."
        }
    }
}
