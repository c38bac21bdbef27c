//! `plan.html`: the plan sheet, one page for the crew to take along. It prints on A4 and Letter in
//! black and white, needs no network and no script, and shows nothing that only colour tells.
//!
//! ```text
//! figures, corners, declination ┐
//! map (legend)                  ├─ side by side on top, the leg table below, notes and cautions last
//! legs                          ┘
//! ```

mod facts;
mod legend;
mod legs;
mod map;

use super::PlanReport;
use crate::cautions;
use crate::report::drawing::{DrawError, Scene, svg::svg, xy};
use crate::report::html::{STILL, document};
use maud::{Markup, display, html};

/// Greatest width and height of the map without its legend, pixels: a little over half of the
/// paper's width, and low enough for the leg table to stand on the same page.
const MAP_PX: (f64, f64) = (430.0, 345.0);
/// Room between map and legend, pixels.
const GAP_PX: f64 = 8.0;

/// The sheet.
///
/// # Errors
/// When the map cannot be drawn.
pub fn plan_html(report: &PlanReport<'_>) -> Result<String, DrawError> {
    let (tasking, plan) = (report.tasking, report.plan);
    let title = format!("Plan of {}, {}", tasking.sortie, tasking.date);
    let body = html! {
        header {
            p.kind { "Plan sheet · " (display(tasking.date)) " · " (plan.pattern.name()) }
            h1 { (tasking.sortie) }
            p.caution { (cautions::PLAN[0]) }
        }
        main {
            div.top {
                section.picture {
                    h2 { "Map" }
                    figure { (picture(report)?) }
                }
                div.beside {
                    section { h2 { "Key figures" } (facts::key_figures(report)) }
                    section { h2 { "Area corners to survey" } (facts::corners(report)) }
                    section { h2 { "Compass" } (facts::compass(report)) }
                }
            }
            section { h2 { "Legs" } (legs::legs(report)) }
            @if !plan.notes.is_empty() {
                section {
                    h2 { "Notes" }
                    ul { @for note in &plan.notes { li { (note) } } }
                }
            }
            section.cautions {
                h2 { "Cautions" }
                ul { @for caution in &cautions::PLAN[1..] { li { (caution) } } }
            }
        }
        footer { p { "overflown " (env!("CARGO_PKG_VERSION")) ", " (title) } }
    };
    Ok(document(&title, include_str!("sheet.css"), STILL, &body))
}

fn picture(report: &PlanReport<'_>) -> Result<Markup, DrawError> {
    let (frame, base) = map::frame(report, MAP_PX);
    let size = frame.size();
    let width = MAP_PX.0 as u32;
    let mut ground = Scene {
        width: size.x as u32,
        height: size.y as u32,
        shapes: Vec::new(),
    };
    map::draw(&mut ground, report, &frame, base);
    let legend = legend::legend(report, &frame, base, width);
    let mut scene = Scene {
        width,
        height: (size.y + GAP_PX) as u32 + legend.height,
        shapes: Vec::new(),
    };
    scene.place(ground, xy(((MAP_PX.0 - size.x) / 2.0).round(), 0.0));
    scene.place(legend, xy(0.0, size.y + GAP_PX));
    let about = "The area with its corners, the legs with their numbers and the way they are flown, \
                 start and end; true north is up at the middle of the area. The tables give the same \
                 in figures.";
    svg(&scene, "map", "Map of the plan", about)
}
