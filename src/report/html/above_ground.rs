//! How high above the ground it was flown.

use super::table::Set::{Figures, Words};
use super::table::{cell, facts, table};
use crate::debrief::Debrief;
use crate::measure::above_ground::Clearance;
use crate::report::format::{
    NONE, clock, count, duration, ft, ground_references, or_none, percent,
};
use maud::{Markup, html};

pub(super) fn above_ground(debrief: &Debrief) -> Markup {
    let Some(above) = &debrief.above_ground else {
        return Markup::default();
    };
    let whole = [("Search", &above.search), ("All legs", &above.on_legs)];
    let whole = whole.map(|(name, clearance)| (name.to_owned(), clearance));
    let legs = above
        .legs
        .iter()
        .map(|leg| (format!("Leg {}", leg.leg), &leg.clearance));
    let rows: Vec<Vec<Markup>> = whole
        .into_iter()
        .chain(legs)
        .map(|(name, clearance)| row(&name, clearance.as_ref()))
        .collect();
    let columns = [
        ("", Words),
        ("Mean", Figures),
        ("5 % to 95 % of the time", Figures),
        ("Lowest", Figures),
        ("At, UTC", Figures),
        ("Place", Words),
        ("Below search height", Figures),
        ("Below 500 ft", Figures),
        ("Not known", Figures),
    ];
    html! {
        section #above-ground {
            h2 { "Height above the ground" }
            p { "The recorded height less that of the ground in the terrain tiles." }
            (table("Height above the ground", &columns, &rows))
            (facts(&[
                ("Search height tasked", cell(or_none(above.search_height, ft))),
                ("Heights of the log are", cell(above.height_kind.describe())),
                ("Ground heights are", cell(ground_references(&above.ground_references))),
                (
                    "No ground height",
                    cell(format!(
                        "{} fixes without a tile below, {} above a void",
                        count(above.fixes_without_tile),
                        count(above.fixes_in_void)
                    )),
                ),
            ]))
            p.note { (above.height_kind.above_ground()) }
            p.note { (crate::cautions::TERRAIN) }
        }
    }
}

fn row(name: &str, clearance: Option<&Clearance>) -> Vec<Markup> {
    let Some(c) = clearance else {
        let mut row = vec![cell(name)];
        row.extend((0..7).map(|_| cell(NONE)));
        row.push(cell("all of it"));
        return row;
    };
    vec![
        cell(name),
        cell(ft(c.mean)),
        cell(format!("{} to {}", ft(c.p5), ft(c.p95))),
        cell(ft(c.lowest.height)),
        cell(clock(c.lowest.time)),
        cell(c.lowest.position),
        cell(or_none(c.below_search_height, percent)),
        cell(percent(c.below_500_ft)),
        cell(duration(c.without_s)),
    ]
}
