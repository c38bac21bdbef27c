//! Two maps of the same ground, to be compared: side by side or one above the other, whichever leaves them larger.

use super::{GAP_PX, LEAST_WIDTH_PX, MapFrame};
use crate::report::drawing::{Scene, Words, xy};
use crate::report::fonts;

/// Room above each map for its words.
const HEAD_PX: f64 = 24.0;
const NAME_PX: f64 = 13.0;

/// Two maps with a legend below them: `frame` is the projection that fits into so many pixels, `ground` draws either map, under
/// its head, and `legend` what both mean.
pub(in crate::report) fn pair<'a>(
    (widest, highest): (f64, f64),
    heads: &[String; 2],
    frame: impl Fn((f64, f64)) -> MapFrame<'a>,
    ground: impl Fn(&MapFrame<'a>, usize) -> Scene,
    legend: impl Fn(&MapFrame<'a>, f64) -> Scene,
) -> Scene {
    let beside = frame(((widest - GAP_PX) / 2.0, highest));
    let above = frame((widest, (highest - GAP_PX) / 2.0 - HEAD_PX));
    let (frame, step) = if beside.px_per_m() >= above.px_per_m() {
        let step = xy(beside.size().x + GAP_PX, 0.0);
        (beside, step)
    } else {
        let step = xy(0.0, above.size().y + GAP_PX + HEAD_PX);
        (above, step)
    };
    let size = frame.size();
    let width = (size.x + step.x).max(LEAST_WIDTH_PX.min(widest));
    let maps = xy(width, size.y + step.y + HEAD_PX);
    let legend = legend(&frame, width);
    let mut scene = Scene {
        width: maps.x as u32,
        height: (maps.y + GAP_PX) as u32 + legend.height,
        shapes: Vec::new(),
    };
    let left = ((width - size.x - step.x) / 2.0).round();
    for (index, words) in heads.iter().enumerate() {
        let at = xy(left, 0.0) + step * index as f64;
        let words = fonts::fitted(words, NAME_PX, true, size.x);
        scene.words(Words {
            bold: true,
            ..Words::new(at + xy(0.0, 10.0), NAME_PX, words)
        });
        scene.place(ground(&frame, index), at + xy(0.0, HEAD_PX));
    }
    scene.place(legend, xy(0.0, maps.y + GAP_PX));
    scene
}
