//! How high above the ground it was flown.

use super::super::format::{clock, duration, figure, ft, ground_references, or_none, percent};
use super::super::table::{Align::Left, Align::Right, table};
use super::Text;
use crate::debrief::Debrief;
use crate::measure::above_ground::Clearance;

pub(super) fn above_ground(text: &mut Text, debrief: &Debrief) {
    let Some(above) = &debrief.above_ground else {
        return;
    };
    text.heading("Height above the ground (recorded height less that of the terrain tiles)");
    let whole = [("search", &above.search), ("all legs", &above.on_legs)];
    let whole = whole.map(|(name, clearance)| (name.to_owned(), clearance));
    let legs = above
        .legs
        .iter()
        .map(|leg| (format!("leg {}", leg.leg), &leg.clearance));
    let rows: Vec<Vec<String>> = whole
        .into_iter()
        .chain(legs)
        .map(|(name, clearance)| row(name, clearance.as_ref()))
        .collect();
    let columns = [
        ("", Left),
        ("mean", Right),
        ("5 %", Right),
        ("95 %", Right),
        ("lowest", Right),
        ("at", Left),
        ("place", Left),
        ("below task", Right),
        ("below 500", Right),
        ("unknown", Right),
    ];
    text.out.push_str(&table(&columns, &rows));
    let tasked = above
        .search_height
        .map_or_else(|| "not tasked".to_owned(), ft);
    text.note(&format!(
        "heights in ft, times UTC; 5 %, 95 %: not exceeded for that share of the time; below task: below the \
         search height ({tasked}); unknown: without recorded height or ground"
    ));
    text.note(&format!(
        "heights of the log are {}; ground heights are {}; {} fixes without a tile below, {} above a void",
        above.height_kind.describe(),
        ground_references(&above.ground_references),
        above.fixes_without_tile,
        above.fixes_in_void
    ));
}

fn row(name: String, clearance: Option<&Clearance>) -> Vec<String> {
    let Some(c) = clearance else {
        return std::iter::once(name)
            .chain(std::iter::repeat_n(
                or_none(None::<()>, |()| String::new()),
                8,
            ))
            .chain(["all".to_owned()])
            .collect();
    };
    vec![
        name,
        figure(c.mean.ft(), 0),
        figure(c.p5.ft(), 0),
        figure(c.p95.ft(), 0),
        figure(c.lowest.height.ft(), 0),
        clock(c.lowest.time),
        c.lowest.position.to_string(),
        or_none(c.below_search_height, percent),
        percent(c.below_500_ft),
        duration(c.without_s),
    ]
}
