//! Tables that scroll in themselves and can be reached by keyboard.

use maud::{Markup, display, html};
use std::fmt::Display;

/// How a column is set.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(in crate::report) enum Set {
    /// Words, which may wrap.
    Words,
    /// Figures, which do not.
    Figures,
}

/// A cell: text is escaped.
pub(in crate::report) fn cell(text: impl Display) -> Markup {
    html! { (display(text)) }
}

/// A cell that leads to a leg on the map, where the page has one.
pub(in crate::report) fn leg_cell(leg: &str, text: impl Display) -> Markup {
    html! { span data-leg=(leg) { (display(text)) } }
}

/// A table; the first cell of each row heads it.
pub(in crate::report) fn table(
    caption: &str,
    columns: &[(&str, Set)],
    rows: &[Vec<Markup>],
) -> Markup {
    let class = |set: Set| (set == Set::Figures).then_some("figures");
    html! {
        div.scroll tabindex="0" role="region" aria-label=(caption) {
            table class=[(rows.len() > 2).then_some("sorts")] {
                caption { (caption) }
                thead { tr { @for (title, set) in columns {
                    th scope="col" class=[class(*set)] { (title) }
                } } }
                tbody { @for row in rows { tr {
                    @for (index, (cell, (_, set))) in row.iter().zip(columns).enumerate() {
                        @if index == 0 { th scope="row" class=[class(*set)] { (cell) } }
                        @else { td class=[class(*set)] { (cell) } }
                    }
                } } }
            }
        }
    }
}

/// Names and what they stand for.
pub(in crate::report) fn facts(facts: &[(&str, Markup)]) -> Markup {
    html! {
        dl.facts { @for (name, fact) in facts { div { dt { (name) } dd { (fact) } } } }
    }
}
