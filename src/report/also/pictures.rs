//! Pictures beside the two of every debrief: the same as SVG, the flight along the clock, and the ground before and after the
//! re-fly.

use crate::debrief::Debrief;
use crate::report::charts::{clock, titled, xte_picture};
use crate::report::drawing::svg::svg_file;
use crate::report::drawing::{DrawError, Paper, Scene, bitmap};
use crate::report::heatmap::{LONGEST_PX, framed, heatmap, with_backdrop};
use crate::report::map::before_and_after;
use crate::report::{File, refly_words};

/// Names of the files; the last two only where there is something to fly again.
pub(super) const FILES: [&str; 6] = [
    "heatmap.svg",
    "xte.svg",
    "clock.png",
    "clock.svg",
    "refly-maps.png",
    "refly-maps.svg",
];

pub(super) fn pictures(debrief: &Debrief, paper: Paper) -> Result<Vec<File>, DrawError> {
    let name = format!("{}, {}", debrief.sortie, debrief.date);
    let vector = |file, scene: &Scene, what: &str| {
        let title = format!("{name}: {what}");
        let bytes = svg_file(scene, &title, paper)?.into_bytes();
        Ok::<_, DrawError>(File { name: file, bytes })
    };
    let along = titled(&format!("{name}: along the clock"), clock::all(debrief));
    let mut files = vec![
        vector(FILES[0], &heatmap(debrief), "detection over the area")?,
        vector(FILES[1], &xte_picture(debrief), "XTE along the legs")?,
        File {
            name: FILES[2],
            bytes: bitmap::png(&along, paper)?,
        },
        vector(FILES[3], &along, "along the clock")?,
    ];
    if let Some(maps) = before_and_after(debrief, LONGEST_PX, LONGEST_PX) {
        let title = format!("{name}: before and after the re-fly");
        let facts = with_backdrop(refly_words::cost(&debrief.refly), debrief);
        let maps = framed(&title, &facts, maps);
        files.push(File {
            name: FILES[4],
            bytes: bitmap::png(&maps, paper)?,
        });
        files.push(vector(FILES[5], &maps, "before and after the re-fly")?);
    }
    Ok(files)
}
