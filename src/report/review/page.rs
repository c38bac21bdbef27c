//! `review.html`: the review on one page, in the hand of the debrief's. No network; light or dark as the reader's screen is, and fit for paper. It stands without its script, which flies
//! two legs again.

use super::replay::{self, Replay};
use super::{legs, progress, words};
use crate::cautions;
use crate::report::drawing::{DrawError, Scene};
use crate::report::format::{counted, day_and_minute, nm_figure, or_none};
use crate::report::html::live::policy;
use crate::report::html::table::Set::{Figures, Words};
use crate::report::html::table::{cell, table};
use crate::report::html::{STILL, STYLE, document, links_within, picture};
use crate::training::Review;
use crate::training::review::Measured;
use crate::units::Length;
use maud::{Markup, html};

/// The page.
///
/// # Errors
/// When a picture cannot be drawn.
pub fn review_html(review: &Review) -> Result<String, DrawError> {
    let title = format!("Training review of {}", review.pilot);
    let single = legs::best_and_worst(review);
    let replay = single
        .as_ref()
        .and_then(|(legs, drawn)| Replay::of(review, legs, drawn));
    let body = html! {
        a.skip href="#practise" { "To what to practise" }
        header {
            p.kicker { "Training review · " (words::days(review)) }
            h1 { (review.pilot) }
        }
        (links_within(&[
            ("practise", "To practise"),
            ("progress", "Flight by flight"),
            ("legs", "Legs"),
            ("measures", "Figures"),
            ("flights", "Flights"),
            ("cautions", "Bear in mind"),
        ]))
        main {
            (practise(review))
            (progress_section(review)?)
            (legs_section(review, single.as_ref().map(|(_, drawn)| &drawn.scene), replay.as_ref())?)
            (measures(review))
            (flights(review))
            (bear_in_mind(&review.remarks))
        }
        footer { p { "overflown " (env!("CARGO_PKG_VERSION")) ", " (super::SCHEMA) } }
        @if let Some(replay) = &replay { (replay.script()?) }
    };
    let policy = if replay.is_some() {
        policy(replay::SCRIPT)
    } else {
        STILL.to_owned()
    };
    Ok(document(&title, STYLE, &policy, &body))
}

fn practise(review: &Review) -> Markup {
    let causes = || review.practise.iter().filter_map(|i| review.causes.get(*i));
    let rest = (0..review.causes.len()).filter(|i| !review.practise.contains(i));
    let rest: Vec<String> = rest
        .filter_map(|i| review.causes.get(i))
        .map(words::seen)
        .collect();
    html! {
        section #practise {
            h2 { "To practise next" }
            p.note { "From the " (counted(review.latest, "latest flight")) "." }
            @if review.practise.is_empty() {
                p { (words::NOTHING) }
            }
            ol {
                @for cause in causes() {
                    li {
                        p { strong { (cause.practise) } }
                        p { "Seen: " (words::seen(cause)) }
                        @if let Some(place) = &cause.shown_by {
                            p.note { "Shows best: " (words::place(place)) "." }
                        }
                    }
                }
            }
            @if !rest.is_empty() {
                p { "Seen as well:" }
                ul { @for seen in rest { li { (seen) } } }
            }
        }
    }
}

fn progress_section(review: &Review) -> Result<Markup, DrawError> {
    let about = "Every measure from flight to flight, with what is good enough as a band; the table below gives the same in figures.";
    let scene = progress::chart(review);
    Ok(html! {
        section #progress {
            h2 { "Flight by flight" }
            figure {
                (picture(&scene, "progress", "Measures from flight to flight", about)?)
                figcaption {
                    "Shaded: good enough, by the tolerances called “" (review.tolerances.name) "”. Numbers below are those of the flights. A change is called one only \
                     where the order of the flights is clearer than chance makes it in one of twenty pilots who do not change."
                }
            }
        }
    })
}

fn legs_section(
    review: &Review,
    single: Option<&Scene>,
    replay: Option<&Replay<'_>>,
) -> Result<Markup, DrawError> {
    let by_flight = legs::by_flight(review);
    let by_leg = legs::by_leg(review);
    let beyond = review.legs.len().saturating_sub(legs::LEGS_SHOWN);
    Ok(html! {
        section #legs {
            h2 { "Legs" }
            figure {
                (picture(&by_flight, "by-flight", "XTE along the legs, flight by flight", "All legs of each flight laid on each other in the direction flown.")?)
                figcaption {
                    "XTE in metres along the leg, in the direction flown: left (L) of the leg above the middle, right (R) below, as the ground lies when it is looked \
                     along from left to right. Shaded: the cross-track tolerance of training. What lies farther off than the panel is high is cut."
                }
            }
            @if let Some(scene) = &by_leg {
                figure {
                    (picture(scene, "by-leg", "XTE along the legs, leg by leg", "All flights of each leg of the pattern laid on each other.")?)
                    figcaption {
                        "The flights laid on each other, leg by leg of the pattern: the latest flight strong, earlier ones thin."
                        @if beyond > 0 { " " (counted(beyond, "further leg")) " of the pattern: see review.csv." }
                    }
                }
            }
            @if let Some(scene) = single {
                figure.replayed {
                    (picture(scene, "single-legs", "Best leg and leg farthest off", "XTE along two legs.")?)
                    @if let Some(replay) = replay { (replay.controls()) }
                    figcaption { "Least and largest XTE over 95 % of the way, as a share of the spacing." }
                }
            }
        }
    })
}

fn measures(review: &Review) -> Markup {
    let row = |measured: &Measured| {
        let measure = measured.measure;
        let shown = |value: Option<f64>| or_none(value, |v| words::value(measure, v));
        let mut row = vec![
            cell(format!("{}, {}", measure.name(), words::unit(measure))),
            cell(words::good(measure, measured.most())),
        ];
        row.extend(
            measured
                .values
                .iter()
                .map(|values| cell(shown(values.flight))),
        );
        row.push(cell(words::slope(measure, &measured.trend)));
        row.push(cell(words::change(measured.change)));
        row.push(cell(words::others(measured)));
        row
    };
    let rows: Vec<Vec<Markup>> = review.measures.iter().map(row).collect();
    let numbers: Vec<String> = (1..=review.flights.len()).map(|n| n.to_string()).collect();
    let mut columns = vec![("Measure", Words), ("Good", Figures)];
    columns.extend(numbers.iter().map(|number| (number.as_str(), Figures)));
    columns.extend([
        ("A flight (95 %)", Figures),
        ("So", Words),
        ("Others, middle half", Figures),
    ]);
    html! {
        section #measures {
            h2 { "Figures" }
            (table("Measures by flight", &columns, &rows))
            p.note {
                "A flight: change of what counts, the size of a value or what is missing of a share, from flight to flight, with its interval. Others: the middle half of other \
                 pilots of the logbook, by the middle of their flights, of three pilots or more."
            }
        }
    }
}

fn flights(review: &Review) -> Markup {
    let row = |(number, flight): (usize, &crate::training::review::Reviewed)| {
        vec![
            cell(number),
            cell(&flight.sortie),
            cell(day_and_minute(flight.started)),
            cell(flight.pattern.name()),
            cell(nm_figure(Length::from_m(flight.spacing_m), 2)),
            cell(or_none(flight.wind, words::wind)),
            cell(flight.legs.len()),
        ]
    };
    let rows: Vec<Vec<Markup>> = (1..).zip(&review.flights).map(row).collect();
    let columns = [
        ("No.", Figures),
        ("Flight", Words),
        ("Began", Figures),
        ("Pattern", Words),
        ("S, NM", Figures),
        ("Wind found", Figures),
        ("Legs flown", Figures),
    ];
    html! {
        section #flights {
            h2 { "Flights" }
            (table("The flights, in the order flown", &columns, &rows))
        }
    }
}

/// Remarks and cautions.
pub(in crate::report) fn bear_in_mind(remarks: &[String]) -> Markup {
    html! {
        section #cautions {
            h2 { "Bear in mind" }
            ul {
                @for remark in remarks { li { (remark) } }
                @for caution in cautions::TRAINING { li { (caution) } }
            }
        }
    }
}
