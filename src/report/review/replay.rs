//! Best leg and leg farthest off, flown again on the page: what its script reads, the script, and what starts it.

use super::panels::{Drawn, PANEL_PX};
use crate::characters::harmless;
use crate::report::drawing::DrawError;
use crate::report::format::{duration, figure};
use crate::training::Review;
use crate::training::flight::LegFlown;
use crate::training::review::LegAt;
use maud::{Markup, PreEscaped, html};
use serde::Serialize;

/// The script of the page.
pub const SCRIPT: &str = concat!(
    "(() => {\n'use strict';\n",
    include_str!("../html/live/player.js"),
    include_str!("replay.js"),
    "})();\n"
);

/// How many times as fast as they were flown the legs are replayed.
const SPEEDS: [u32; 4] = [5, 10, 20, 60];
/// The one at first: a leg of ten minutes takes half of one.
const SPEED: u32 = 20;

/// What the script reads.
#[derive(Debug, Serialize)]
struct Told<'a> {
    legs: Vec<Leg<'a>>,
    /// Frame of a panel, pixels.
    width: f64,
    height: f64,
    /// What its axes reach to, metres.
    along: f64,
    aside: f64,
    /// The longest replay, seconds.
    lasts: f64,
}

#[derive(Debug, Serialize)]
struct Leg<'a> {
    name: String,
    /// Milliseconds since 1970.
    entered: i64,
    /// Upper left corner of its panel, pixels.
    corner: [f64; 2],
    /// Points of (metres along, XTE), by recorded stretch, and the seconds since it was entered.
    profile: &'a [Vec<(f64, f64)>],
    seconds: &'a [Vec<f64>],
}

/// The legs as the page can fly them again; `None` where a debrief does not tell when they were where.
#[derive(Debug)]
pub struct Replay<'a>(Told<'a>);

impl<'a> Replay<'a> {
    /// Of legs in the panels they are drawn in.
    #[must_use]
    pub fn of(review: &'a Review, legs: &[LegAt], drawn: &Drawn) -> Option<Self> {
        let leg = |(at, corner): (&LegAt, &geo::Coord<f64>)| {
            let flight = review.flights.get(at.flight)?;
            let leg: &LegFlown = flight.legs.get(at.leg)?;
            (!leg.profile_s.is_empty()).then(|| Leg {
                name: harmless(&format!("leg {} of {}", leg.label, flight.sortie)),
                entered: leg.entered.timestamp_millis(),
                corner: [corner.x, corner.y],
                profile: &leg.profile,
                seconds: &leg.profile_s,
            })
        };
        let legs: Vec<Leg<'_>> = legs
            .iter()
            .zip(&drawn.corners)
            .map(leg)
            .collect::<Option<_>>()?;
        let seconds = legs.iter().flat_map(|leg| leg.seconds.iter().flatten());
        let lasts = seconds.copied().fold(0.0, f64::max);
        (lasts > 0.0).then_some(Self(Told {
            legs,
            width: PANEL_PX.x,
            height: PANEL_PX.y,
            along: drawn.along_m,
            aside: drawn.aside_m,
            lasts,
        }))
    }

    /// What starts and moves it.
    #[must_use]
    pub fn controls(&self) -> Markup {
        let lasts_s = self.0.lasts;
        html! {
            div.replay.moving {
                button #play type="button" aria-pressed="false" { "Play" }
                input #clock type="range" min="0" max=(figure(lasts_s.ceil(), 0).replace(',', ""))
                    step="1" value="0"
                    aria-label=(format!("Replay of the legs, {}", duration(lasts_s)));
                label {
                    select #speed aria-label="Speed of the replay" {
                        @for times in SPEEDS {
                            option value=(times) selected[times == SPEED] { "× " (times) }
                        }
                    }
                }
            }
            @for index in 0..self.0.legs.len() {
                output.moving data-leg=(index) {}
            }
        }
    }

    /// The script and what it reads.
    ///
    /// # Errors
    /// When that cannot be written as JSON.
    pub fn script(&self) -> Result<Markup, DrawError> {
        // No name can end the element it stands in.
        let told = serde_json::to_string(&self.0)?.replace('<', "\\u003c");
        Ok(html! {
            script #replayed type="application/json" { (PreEscaped(told)) }
            script { (PreEscaped(SCRIPT)) }
        })
    }
}
