//! What is told of several pilots, as people read it.

use crate::report::format::counted;
use crate::report::review::words::{change, value};
use crate::training::Class;
use crate::training::class::{Common, Member, Standing};
use crate::training::measures::Measure;
use crate::training::review::Change;

/// What marks a value beyond what is good enough.
pub const BEYOND: &str = "*";

/// What the figures of a pilot are.
pub const FIGURES: &str = "The middle of the three latest flights; * is beyond what is good enough. “Better” and “worse” stand where the order of all flights is clearer than \
                           chance makes it in one of twenty pilots who do not change.";

/// Where nobody has the same to practise.
pub const NOTHING: &str = "Nothing is to be practised by more than one of them.";

/// The latest value, marked where it is beyond what is good enough, and what changed.
#[must_use]
pub fn standing(measure: Measure, standing: &Standing) -> String {
    let Some(latest) = standing.latest else {
        return "–".to_owned();
    };
    let mut text = value(measure, latest);
    if standing.beyond == Some(true) {
        text.push(' ');
        text.push_str(BEYOND);
    }
    if matches!(standing.change, Change::Better | Change::Worse) {
        text.push_str(", ");
        text.push_str(change(standing.change));
    }
    text
}

/// What several have to practise, and who.
#[must_use]
pub fn common(class: &Class, common: &Common) -> (String, String) {
    let who: Vec<&str> = common
        .pilots
        .iter()
        .filter_map(|index| Some(class.pilots.get(*index)?.pilot.as_str()))
        .collect();
    let of = format!("{} of {}", who.len(), class.pilots.len());
    (format!("{}: {of}", common.kind.name()), who.join(", "))
}

/// What a pilot has to practise, in few words.
#[must_use]
pub fn practise(member: &Member) -> String {
    let names: Vec<&str> = member
        .practise
        .iter()
        .map(|cause| cause.kind.name())
        .collect();
    if names.is_empty() {
        "nothing stands out".to_owned()
    } else {
        names.join("; ")
    }
}

/// Measures by name.
#[must_use]
pub fn names(measures: &[Measure]) -> String {
    let names: Vec<&str> = measures.iter().map(|measure| measure.name()).collect();
    if names.is_empty() {
        "–".to_owned()
    } else {
        names.join("; ")
    }
}

/// How many pilots with how many flights.
#[must_use]
pub fn size(class: &Class) -> String {
    let flights = class.pilots.iter().map(|member| member.flights).sum();
    format!(
        "{}, {}",
        counted(class.pilots.len(), "pilot"),
        counted(flights, "flight")
    )
}
