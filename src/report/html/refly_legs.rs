//! The table of the legs to fly again.

use super::table::Set::{Figures, Words};
use super::table::{cell, leg_cell, table};
use crate::coverage::HoleCause;
use crate::refly::Refly;
use crate::report::format::{course, nm};
use maud::Markup;

/// The legs in the order to fly; `cause` has why there is a hole in words.
pub fn refly_legs(caption: &str, refly: &Refly, cause: fn(HoleCause) -> &'static str) -> Markup {
    let rows: Vec<Vec<Markup>> = refly
        .legs
        .iter()
        .map(|leg| {
            vec![
                leg_cell(&leg.label, &leg.label),
                cell(leg.mends.join(", ")),
                cell(cause(leg.cause)),
                cell(leg.start),
                cell(leg.end),
                cell(course(leg.course)),
                cell(nm(leg.length, 2)),
            ]
        })
        .collect();
    table(
        caption,
        &[
            ("Leg", Words),
            ("Strips", Words),
            ("Cause", Words),
            ("From", Figures),
            ("To", Figures),
            ("Course", Figures),
            ("Length", Figures),
        ],
        &rows,
    )
}
