//! `class.html`: pilots beside each other on one page, in the hand of the review. No script, no network.

use super::{chart, words};
use crate::report::drawing::DrawError;
use crate::report::html::table::Set::{Figures, Words};
use crate::report::html::table::{cell, table};
use crate::report::html::{STILL, STYLE, document, links_within, picture};
use crate::report::review::page::bear_in_mind;
use crate::report::review::words as review_words;
use crate::training::Class;
use crate::training::class::{Compared, Member};
use maud::{Markup, html};

/// The page.
///
/// # Errors
/// When a picture cannot be drawn.
pub fn class_html(class: &Class) -> Result<String, DrawError> {
    let body = html! {
        a.skip href="#together" { "To what to practise together" }
        header {
            p.kicker { "Training review" }
            h1 { (words::size(class)) }
        }
        (links_within(&[
            ("together", "To practise together"),
            ("pilots", "Pilots"),
            ("progress", "Flight by flight"),
            ("measures", "Figures"),
            ("cautions", "Bear in mind"),
        ]))
        main {
            (together(class))
            (pilots(class))
            (progress(class)?)
            (measures(class))
            (bear_in_mind(&class.remarks))
        }
        footer { p { "overflown " (env!("CARGO_PKG_VERSION")) ", " (super::SCHEMA) } }
    };
    Ok(document(
        "Training review of several pilots",
        STYLE,
        STILL,
        &body,
    ))
}

fn together(class: &Class) -> Markup {
    html! {
        section #together {
            h2 { "To practise together" }
            @if class.common.is_empty() { p { (words::NOTHING) } }
            ul {
                @for common in &class.common {
                    @let (what, who) = words::common(class, common);
                    li { strong { (what) } " – " (who) }
                }
            }
        }
    }
}

fn pilots(class: &Class) -> Markup {
    let row = |member: &Member| {
        let seen = html! {
            @if member.practise.is_empty() { (words::practise(member)) }
            @else {
                ol { @for cause in &member.practise {
                    li { strong { (cause.kind.name()) } ": " (review_words::seen(cause)) }
                } }
            }
        };
        vec![
            cell(&member.pilot),
            cell(member.flights),
            cell(format!(
                "{} to {}",
                member.first.date_naive(),
                member.latest.date_naive()
            )),
            seen,
            cell(words::names(&member.better)),
            cell(words::names(&member.worse)),
        ]
    };
    let rows: Vec<Vec<Markup>> = class.pilots.iter().map(row).collect();
    let columns = [
        ("Pilot", Words),
        ("Flights", Figures),
        ("Days", Figures),
        ("To practise next, and what was seen", Words),
        ("Better", Words),
        ("Worse", Words),
    ];
    html! {
        section #pilots {
            h2 { "Pilots" }
            (table("The pilots", &columns, &rows))
        }
    }
}

fn progress(class: &Class) -> Result<Markup, DrawError> {
    let pictures: Vec<Markup> = (1..)
        .zip(chart::charts(class))
        .map(|(number, scene)| {
            let about =
                "Every measure of every pilot from flight to flight; the table below has the latest values.";
            picture(&scene, &format!("progress-{number}"), "Measures of the pilots from flight to flight", about)
        })
        .collect::<Result<_, _>>()?;
    Ok(html! {
        section #progress {
            h2 { "Flight by flight" }
            figure {
                @for picture in &pictures { (picture) }
                figcaption {
                    "Each pilot's flights from left to right, each measure to one scale. Shaded: good enough, by the tolerances called “" (class.tolerances.name) "”."
                }
            }
        }
    })
}

fn measures(class: &Class) -> Markup {
    let row = |compared: &Compared| {
        let measure = compared.measure;
        let mut row = vec![cell(format!(
            "{}, {}",
            measure.name(),
            review_words::unit(measure)
        ))];
        row.extend(
            compared
                .pilots
                .iter()
                .map(|standing| cell(words::standing(measure, standing))),
        );
        row
    };
    let rows: Vec<Vec<Markup>> = class.measures.iter().map(row).collect();
    let mut columns = vec![("Measure", Words)];
    columns.extend(
        class
            .pilots
            .iter()
            .map(|member| (member.pilot.as_str(), Figures)),
    );
    html! {
        section #measures {
            h2 { "Figures" }
            (table("Measures by pilot", &columns, &rows))
            p.note { (words::FIGURES) }
        }
    }
}
