//! The map of the page, with what moves it.

use super::live;
use super::picture;
use crate::debrief::Debrief;
use crate::report::backdrop_words;
use crate::report::drawing::DrawError;
use crate::report::drawing::svg::svg;
use crate::report::format::{duration, figure, metres};
use crate::report::map::{MapFrame, ground, layers, legend};
use crate::track::seconds_between;
use geo::Rect;
use maud::{Markup, html};

/// Greatest width and height of the map, pixels: it fits a screen.
const MAP_PX: (f64, f64) = (1_100.0, 780.0);
/// Least height of the map, pixels: there is room to come nearer.
const LEAST_PX: f64 = 480.0;
/// How many times as fast as it was flown the flight is replayed.
const SPEEDS: [u32; 5] = [10, 30, 60, 120, 300];
/// The one at first: four hours take four minutes.
const SPEED: u32 = 60;

/// The map of a page.
#[derive(Debug)]
pub(super) struct PageMap<'a> {
    debrief: &'a Debrief,
    frame: MapFrame<'a>,
}

impl<'a> PageMap<'a> {
    pub(super) fn of(debrief: &'a Debrief) -> Self {
        Self {
            debrief,
            frame: MapFrame::new(debrief, MAP_PX.0, MAP_PX.1).with_surroundings(MAP_PX.0, LEAST_PX),
        }
    }

    /// The ground it shows, metres in the plane of the raster.
    pub(super) fn ground(&self) -> Rect<f64> {
        self.frame.ground()
    }

    /// The flight for the script of the page.
    pub(super) fn flight(&self) -> Result<String, DrawError> {
        live::flight(self.debrief, &self.frame)
    }

    pub(super) fn figure(&self) -> Result<Markup, DrawError> {
        let about = "Detection over the search area with the planned legs, the flown track by phase and \
                     the holes; the tables below give the same in figures.";
        let scene = ground(self.debrief, &self.frame);
        let keys = "Map. Plus and minus come nearer and go back, the arrow keys move it, 0 shows all of it.";
        Ok(html! {
            section #map {
                h2 { "Map" }
                figure {
                    (self.switches())
                    div.sheet tabindex="0" role="group" aria-label=(keys) {
                        (svg(&scene, "map-picture", "Map of the search", about)?)
                        div.zoom.moving {
                            button #nearer type="button" aria-label="Nearer" title="Nearer (+)" { "+" }
                            button #farther type="button" aria-label="Farther" title="Farther (-)" { "−" }
                            button #all type="button" title="The whole map (0)" { "Whole" }
                        }
                    }
                    (self.replay())
                    (picture(
                        &legend(self.debrief, &self.frame, MAP_PX.0),
                        "legend",
                        "What the map shows",
                        "Colours of detection, scale, and the lines in use.",
                    )?)
                    figcaption {
                        "Bright ground was seen well, dark ground was left in the dark. Hatched ground is a \
                         hole. Legs are numbered where they begin, in bold where their strip has a hole; numbers \
                         that would cover others are left out. True north is up at the middle of the area."
                        span.moving { " " (self.drawn()) }
                    }
                }
                @if let Some(picture) = &self.debrief.backdrop {
                    p.note #backdrop-note {
                        (backdrop_words::line(&picture.about))
                        span.moving { " While POD lets it through, its colours are not those of the key." }
                    }
                }
            }
        })
    }

    fn switches(&self) -> Markup {
        html! {
            div.switches.moving {
                fieldset #layers {
                    legend { "Shown" }
                    @for layer in layers(self.debrief) {
                        label { input type="checkbox" value=(layer.key) checked[layer.shown]; " " (layer.name) }
                    }
                }
                @if self.debrief.backdrop.is_some() {
                    fieldset #through {
                        legend { "POD" }
                        label { input #see-through type="checkbox"; " lets the backdrop through" }
                    }
                }
                fieldset #colour-by {
                    legend { "Flight by" }
                    @for (value, name) in [("phase", "phase"), ("xte", "XTE"), ("height", "height")] {
                        label {
                            input type="radio" name="colour-by" value=(value) checked[value == "phase"];
                            " " (name)
                        }
                    }
                }
                ul #key aria-label="What the colours of the flight mean" {}
            }
        }
    }

    fn replay(&self) -> Markup {
        let log = &self.debrief.log;
        let lasts_s = seconds_between(log.first, log.last);
        let rest =
            "Point at the flight for time, leg, XTE, speed and height; click a chart to go there.";
        html! {
            div.replay.moving {
                button #play type="button" aria-pressed="false" { "Play" }
                input #clock type="range" min="0" max=(figure(lasts_s.ceil().max(1.0), 0).replace(',', ""))
                    step="1" value="0"
                    aria-label=(format!("Replay, {}", duration(lasts_s)));
                label {
                    select #speed aria-label="Speed of the replay" {
                        @for times in SPEEDS {
                            option value=(times) selected[times == SPEED] { "× " (times) }
                        }
                    }
                }
                button #end-replay type="button" { "Whole flight" }
            }
            output #readout.moving data-rest=(rest) { (rest) }
        }
    }

    /// What the script draws, against what was recorded.
    fn drawn(&self) -> String {
        let flown = &self.debrief.flown;
        format!(
            "The replay and the figures under the pointer come from {} of {} fixes; between them, at any time, \
             the place is off by at most {} and the height by at most {:.0} ft. The growing coverage has coarser \
             cells; at the end it is that of the map. All other figures come from every fix.",
            flown.drawn.len(),
            flown.recorded,
            metres(flown.bounds.place),
            flown.bounds.height.ft(),
        )
    }
}
