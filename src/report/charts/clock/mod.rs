//! The flight along the clock: phases, height and ground speed, on one axis so that they can stand one below the
//! other.

mod level;
mod phases;

pub use level::{ground_speed, height};
pub use phases::phases;

use crate::debrief::Debrief;
use crate::report::drawing::{Anchor, Pen, Scene, Shape, Words, rectangle, xy};
use crate::report::format::duration;
use crate::report::palette::Ink;
use crate::track::seconds_between;
use chrono::{DateTime, TimeDelta, Utc};

/// Width of these charts, pixels.
pub const WIDTH_PX: f64 = 1_100.0;
/// Where the clock begins, pixels.
pub const LEFT_PX: f64 = 112.0;
/// Room right of the clock, pixels.
pub const RIGHT_PX: f64 = 96.0;
const TOP_PX: f64 = 22.0;
/// Room below the axis for its labels, pixels.
const FOOT_PX: f64 = 26.0;
/// Steps of the clock, seconds; the first that leaves room for its labels is taken, or, of a log with a time that is
/// far off, a number of days that does.
const STEPS_S: [i64; 11] = [
    60, 120, 300, 600, 900, 1_800, 3_600, 7_200, 14_400, 28_800, 43_200,
];
const DAY_S: i64 = 86_400;
/// Room a label of the clock takes, pixels.
const LABEL_PX: f64 = 64.0;

/// Phases, height and ground speed, one below the other.
#[must_use]
pub fn all(debrief: &Debrief) -> Scene {
    let charts = [
        Some(phases(debrief)),
        height(debrief),
        ground_speed(debrief),
    ];
    let mut scene = Scene {
        width: WIDTH_PX as u32,
        height: 0,
        shapes: Vec::new(),
    };
    for chart in charts.into_iter().flatten() {
        let (top, more) = (f64::from(scene.height), chart.height);
        scene.place(chart, xy(0.0, top));
        scene.height += more;
    }
    scene
}

/// The clock from the first fix to the last.
#[derive(Clone, Copy, Debug)]
struct ClockAxis {
    from: DateTime<Utc>,
    to: DateTime<Utc>,
    px_per_s: f64,
}

impl ClockAxis {
    fn of(debrief: &Debrief) -> Self {
        let (from, to) = (debrief.log.first, debrief.log.last);
        Self {
            from,
            to,
            px_per_s: (WIDTH_PX - LEFT_PX - RIGHT_PX) / seconds_between(from, to).max(1.0),
        }
    }

    /// A chart whose lowest line is at `foot`.
    fn scene(&self, foot: f64) -> Scene {
        Scene {
            width: WIDTH_PX as u32,
            height: (foot + FOOT_PX) as u32,
            shapes: Vec::new(),
        }
    }

    fn place(&self, time: DateTime<Utc>) -> f64 {
        LEFT_PX + seconds_between(self.from, time) * self.px_per_s
    }

    /// The time on task.
    fn window(&self, scene: &mut Scene, debrief: &Debrief, foot: f64) {
        let (left, right) = self.window_px(debrief);
        self.shade_window(scene, debrief, foot);
        let text = format!("on task {}", duration(debrief.area_time.window_s));
        let words = Words::new(xy(f64::midpoint(left, right), 10.0), 12.0, text);
        scene.words(words.anchored(Anchor::Middle).inked(Ink::Faint));
    }

    fn shade_window(&self, scene: &mut Scene, debrief: &Debrief, foot: f64) {
        let (left, right) = self.window_px(debrief);
        scene.add(Shape::Area {
            ring: rectangle(xy(left, TOP_PX), right - left, foot - TOP_PX),
            ink: Ink::Tolerance,
            opacity: 0.35,
        });
    }

    fn window_px(&self, debrief: &Debrief) -> (f64, f64) {
        let time = &debrief.area_time;
        (self.place(time.from), self.place(time.to))
    }

    fn ticks(&self, scene: &mut Scene, foot: f64) {
        let roomy = |step: &i64| *step as f64 * self.px_per_s >= LABEL_PX;
        let days = std::iter::successors(Some(DAY_S), |step| step.checked_mul(2));
        let mut steps = STEPS_S.into_iter().chain(days);
        let Some(step) = steps.find(roomy) else {
            return;
        };
        let form = if step < DAY_S { "%H:%M" } else { "%Y-%m-%d" };
        let mut time =
            self.from + TimeDelta::seconds(step - self.from.timestamp().rem_euclid(step));
        while time <= self.to {
            let x = self.place(time);
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
}
