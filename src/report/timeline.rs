//! The flight along the clock: a lane for each phase, so that no colour is needed to read it.

use super::drawing::hatch::{Slant, hatched};
use super::drawing::{Anchor, Pen, Scene, Shape, Words, rectangle, xy};
use super::format::{clock, duration, utc};
use super::map::phase_pen;
use super::palette::Ink;
use crate::debrief::Debrief;
use crate::matching::{Phase, PhaseSpan};
use crate::track::seconds_between;
use chrono::{DateTime, TimeDelta, Utc};

const WIDTH_PX: f64 = 1_100.0;
const LEFT_PX: f64 = 112.0;
const RIGHT_PX: f64 = 96.0;
const LANE_PX: f64 = 20.0;
const TOP_PX: f64 = 22.0;
/// Steps of the clock, seconds; the first that leaves room for its labels is taken, or, of a log with a time that is
/// far off, a number of days that does.
const STEPS_S: [i64; 11] = [
    60, 120, 300, 600, 900, 1_800, 3_600, 7_200, 14_400, 28_800, 43_200,
];
const DAY_S: i64 = 86_400;
/// Room a label of the clock takes, pixels.
const LABEL_PX: f64 = 64.0;

/// The phases over time.
#[must_use]
pub fn timeline(debrief: &Debrief) -> Scene {
    let (from, to) = (debrief.log.first, debrief.log.last);
    let px_per_s = (WIDTH_PX - LEFT_PX - RIGHT_PX) / seconds_between(from, to).max(1.0);
    let place = |time: DateTime<Utc>| LEFT_PX + seconds_between(from, time) * px_per_s;
    let lanes = debrief.phase_totals.len() as f64;
    let foot = TOP_PX + lanes * LANE_PX;
    let mut scene = Scene {
        width: WIDTH_PX as u32,
        height: (foot + 26.0) as u32,
        shapes: Vec::new(),
    };
    window(&mut scene, debrief, &place, foot);
    ticks(&mut scene, from, to, px_per_s, foot);
    for (lane, total) in debrief.phase_totals.iter().enumerate() {
        let top = TOP_PX + lane as f64 * LANE_PX;
        let middle = top + LANE_PX / 2.0;
        let name = Words::new(xy(LEFT_PX - 8.0, middle), 12.0, total.phase.name());
        scene.words(name.anchored(Anchor::End));
        let length = Words::new(xy(WIDTH_PX, middle), 12.0, duration(total.duration_s));
        scene.words(length.anchored(Anchor::End).inked(Ink::Faint));
        scene.line(
            vec![
                xy(LEFT_PX, top + LANE_PX),
                xy(WIDTH_PX - RIGHT_PX, top + LANE_PX),
            ],
            Pen::solid(Ink::Grid, 1.0),
        );
        for span in debrief
            .phases
            .iter()
            .filter(|span| span.phase == total.phase)
        {
            scene.add(bar(span, place(span.from), place(span.to), top));
        }
    }
    scene
}

fn bar(span: &PhaseSpan, left: f64, right: f64, top: f64) -> Shape {
    let leg = span
        .leg
        .as_ref()
        .map_or_else(String::new, |leg| format!(" {leg}"));
    let name = format!(
        "{}{leg}: {} to {}, {}",
        span.phase.name(),
        clock(span.from),
        utc(span.to),
        duration(span.duration_s)
    );
    // A moment still shows.
    let ring = rectangle(xy(left, top + 4.0), (right - left).max(1.5), LANE_PX - 8.0);
    let ink = phase_pen(span.phase).ink;
    let shape = if span.phase == Phase::NotRecorded {
        Shape::Lines {
            lines: hatched(&ring, Slant::Falling, 4.0),
            pen: Pen::solid(ink, 1.2),
        }
    } else {
        Shape::Area {
            ring,
            ink,
            opacity: 1.0,
        }
    };
    Shape::Named {
        name,
        shapes: vec![shape],
    }
}

fn window(scene: &mut Scene, debrief: &Debrief, place: &dyn Fn(DateTime<Utc>) -> f64, foot: f64) {
    let (left, right) = (place(debrief.area_time.from), place(debrief.area_time.to));
    let ring = rectangle(xy(left, TOP_PX), right - left, foot - TOP_PX);
    scene.add(Shape::Area {
        ring,
        ink: Ink::Tolerance,
        opacity: 0.35,
    });
    let text = format!("on task {}", duration(debrief.area_time.window_s));
    let words = Words::new(xy(f64::midpoint(left, right), 10.0), 12.0, text);
    scene.words(words.anchored(Anchor::Middle).inked(Ink::Faint));
}

fn ticks(scene: &mut Scene, from: DateTime<Utc>, to: DateTime<Utc>, px_per_s: f64, foot: f64) {
    let roomy = |step: &i64| *step as f64 * px_per_s >= LABEL_PX;
    let days = std::iter::successors(Some(DAY_S), |step| step.checked_mul(2));
    let mut steps = STEPS_S.into_iter().chain(days);
    let Some(step) = steps.find(roomy) else {
        return;
    };
    let form = if step < DAY_S { "%H:%M" } else { "%Y-%m-%d" };
    let mut time = from + TimeDelta::seconds(step - from.timestamp().rem_euclid(step));
    while time <= to {
        let x = LEFT_PX + seconds_between(from, time) * px_per_s;
        scene.line(
            vec![xy(x, TOP_PX), xy(x, foot + 4.0)],
            Pen::solid(Ink::Grid, 1.0),
        );
        let words = Words::new(xy(x, foot + 14.0), 11.0, time.format(form).to_string());
        scene.words(words.anchored(Anchor::Middle).inked(Ink::Faint));
        time += TimeDelta::seconds(step);
    }
    let words = Words::new(xy(WIDTH_PX, foot + 14.0), 11.0, "UTC").anchored(Anchor::End);
    scene.words(words.inked(Ink::Faint));
}
