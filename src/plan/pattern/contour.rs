//! Contour search, one aircraft (OS).
//!
//! Round a hill or along a slope, band by band from the highest down, stepping down usually 500 ft
//! (MART II p. 150). What a band follows is drawn by whoever tasks it: no terrain is known here.

use super::{Layout, with_cross_legs};
use crate::geodesy::Declination;
use crate::plan::{LegKind, PatternKind};
use crate::tasking::ContourTask;

/// A contour search: a search leg for each stretch of each band, and a cross-leg from band to band,
/// at the height of the lower one, where it does not begin where the one above ended.
pub(super) fn layout(task: &ContourTask, declination: Option<Declination>) -> Layout {
    let mut search = Vec::new();
    let mut altitudes = Vec::new();
    for band in &task.bands {
        let stretches = band.line.windows(2).map(|pair| (pair[0], pair[1]));
        altitudes.extend(stretches.clone().map(|_| band.altitude));
        search.extend(stretches);
    }
    let mut legs = with_cross_legs(&search);
    let mut altitudes = altitudes.into_iter().peekable();
    for leg in &mut legs {
        leg.altitude = match leg.kind {
            LegKind::Search => altitudes.next(),
            LegKind::Cross => altitudes.peek().copied(),
        };
    }
    Layout {
        pattern: PatternKind::Contour,
        legs,
        spacing: task.spacing,
        own_area: None,
        notes: Vec::new(),
        declination,
    }
}
