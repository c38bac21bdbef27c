//! Height and ground speed over the clock, with what was tasked and its tolerance.

use super::super::axes::{tick_step, trimmed};
use super::{ClockAxis, LEFT_PX, RIGHT_PX, TOP_PX, WIDTH_PX};
use crate::debrief::Debrief;
use crate::measure::FlownFix;
use crate::report::drawing::clip::clipped;
use crate::report::drawing::{Anchor, Pen, Scene, Shape, Words, closed, rectangle, xy};
use crate::report::palette::Ink;
use geo::{Coord, Rect};

const PLOT_PX: f64 = 132.0;
const FLOWN: Pen = Pen::solid(Ink::SearchLeg, 1.4);
const TASKED: Pen = Pen::solid(Ink::Faint, 1.0).dashed(&[5.0, 4.0]);

/// What is drawn.
struct Level {
    name: &'static str,
    unit: &'static str,
    /// Lowest and highest that was tasked.
    tasked: Option<(f64, f64)>,
    tolerance: f64,
    value: fn(&FlownFix) -> Option<f64>,
}

/// Height as recorded, feet; `None` where no fix has one.
#[must_use]
pub fn height(debrief: &Debrief) -> Option<Scene> {
    let altitudes = debrief.plan.altitudes();
    let level = Level {
        name: "height",
        unit: "ft",
        tasked: altitudes.map(|(low, high)| (low.ft(), high.ft())),
        tolerance: debrief.tolerances.altitude.ft(),
        value: |fix| fix.height().map(|height| height.ft()),
    };
    chart(debrief, &level)
}

/// Ground speed, knots; `None` without fixes.
#[must_use]
pub fn ground_speed(debrief: &Debrief) -> Option<Scene> {
    let tasked = debrief.plan.ground_speed.kt();
    let level = Level {
        name: "ground speed",
        unit: "kt",
        tasked: Some((tasked, tasked)),
        tolerance: debrief.tolerances.ground_speed.kt(),
        value: |fix| Some(fix.ground_speed().kt()),
    };
    chart(debrief, &level)
}

fn chart(debrief: &Debrief, level: &Level) -> Option<Scene> {
    let fixes = &debrief.flown.fixes;
    let (least, most) = range(fixes, level)?;
    let axis = ClockAxis::of(debrief);
    let foot = TOP_PX + PLOT_PX;
    let mut scene = axis.scene(foot);
    let y = |value: f64| foot - (value - least) / (most - least) * PLOT_PX;
    let frame = Rect::new(xy(LEFT_PX, TOP_PX), xy(WIDTH_PX - RIGHT_PX, foot));
    axis.ticks(&mut scene, foot);
    if let Some((low, high)) = level.tasked {
        tasked(
            &mut scene,
            debrief,
            &axis,
            frame,
            &y,
            (low, high, level.tolerance),
        );
    }
    scale(&mut scene, level, (least, most), &y);
    let lines = lines(fixes, &axis, level, &y);
    scene.add(Shape::Lines {
        lines: lines.iter().flat_map(|line| clipped(line, frame)).collect(),
        pen: FLOWN,
    });
    scene.add(Shape::Lines {
        lines: vec![closed(rectangle(
            frame.min(),
            frame.width(),
            frame.height(),
        ))],
        pen: Pen::solid(Ink::Grid, 1.0),
    });
    Some(scene)
}

/// Lowest and highest shown: all that was flown, and what was tasked.
fn range(fixes: &[FlownFix], level: &Level) -> Option<(f64, f64)> {
    let flown = fixes.iter().filter_map(level.value);
    let (low, high) = flown.fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), value| {
        (low.min(value), high.max(value))
    });
    if low > high {
        return None;
    }
    let (low, high) = level.tasked.map_or((low, high), |(least, most)| {
        (
            low.min(least - level.tolerance),
            high.max(most + level.tolerance),
        )
    });
    let room = 0.05 * (high - low).max(1.0);
    Some((low - room, high + room))
}

/// The band of tolerance while on task, and what was tasked in its middle.
fn tasked(
    scene: &mut Scene,
    debrief: &Debrief,
    axis: &ClockAxis,
    frame: Rect<f64>,
    y: &dyn Fn(f64) -> f64,
    (low, high, tolerance): (f64, f64, f64),
) {
    let (left, right) = axis.window_px(debrief);
    let (top, bottom) = (y(high + tolerance), y(low - tolerance));
    scene.add(Shape::Area {
        ring: rectangle(xy(left, top), right - left, bottom - top),
        ink: Ink::Tolerance,
        opacity: 0.45,
    });
    let mut lines = vec![low];
    if high > low {
        lines.push(high);
    }
    for value in lines {
        let line = [xy(left, y(value)), xy(right, y(value))];
        scene.add(Shape::Lines {
            lines: clipped(&line, frame),
            pen: TASKED,
        });
    }
}

fn scale(scene: &mut Scene, level: &Level, (least, most): (f64, f64), y: &dyn Fn(f64) -> f64) {
    let step = tick_step(most - least, 4.0);
    let mut value = (least / step).ceil() * step;
    while value <= most {
        let at = y(value);
        scene.line(
            vec![xy(LEFT_PX - 4.0, at), xy(LEFT_PX, at)],
            Pen::solid(Ink::Faint, 1.0),
        );
        let words = Words::new(xy(LEFT_PX - 7.0, at), 11.0, trimmed(value));
        scene.words(words.anchored(Anchor::End).inked(Ink::Faint));
        value += step;
    }
    let name = format!("{}, {}", level.name, level.unit);
    scene.words(Words::new(xy(LEFT_PX, 10.0), 12.0, name));
}

/// The lines flown, no finer than the picture: of the fixes that share a column of pixels the lowest and the highest,
/// in the order flown. They break where nothing was recorded.
fn lines(
    fixes: &[FlownFix],
    axis: &ClockAxis,
    level: &Level,
    y: &dyn Fn(f64) -> f64,
) -> Vec<Vec<Coord<f64>>> {
    let mut lines: Vec<Vec<Coord<f64>>> = Vec::new();
    let mut line: Vec<Coord<f64>> = Vec::new();
    let mut column: Vec<Coord<f64>> = Vec::new();
    for fix in fixes {
        let value = (level.value)(fix);
        if fix.after_hole || value.is_none() {
            line.extend(extremes(&mut column));
            lines.push(std::mem::take(&mut line));
        }
        if let Some(value) = value {
            let at = xy(axis.place(fix.time), y(value));
            if column
                .first()
                .is_some_and(|first| at.x.floor() > first.x.floor())
            {
                line.extend(extremes(&mut column));
            }
            column.push(at);
        }
    }
    line.extend(extremes(&mut column));
    lines.push(line);
    lines.retain(|line| line.len() > 1);
    lines
}

/// The lowest and the highest of a column, in their order; leaves it empty.
fn extremes(column: &mut Vec<Coord<f64>>) -> Vec<Coord<f64>> {
    let mut ends: Vec<(usize, Coord<f64>)> = column
        .iter()
        .copied()
        .enumerate()
        .min_by(|a, b| a.1.y.total_cmp(&b.1.y))
        .into_iter()
        .chain(
            column
                .iter()
                .copied()
                .enumerate()
                .max_by(|a, b| a.1.y.total_cmp(&b.1.y)),
        )
        .collect();
    ends.sort_by_key(|(index, _)| *index);
    ends.dedup_by_key(|(index, _)| *index);
    column.clear();
    ends.into_iter().map(|(_, at)| at).collect()
}
