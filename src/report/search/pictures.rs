//! The pictures of a search as files.

use super::{map, words};
use crate::report::charts::cumulative;
use crate::report::drawing::{DrawError, Paper, bitmap};
use crate::report::heatmap::{LONGEST_PX, framed};
use crate::report::refly_words;
use crate::search::Search;

/// POD of all sorties together, with sub-areas, strips below target and the re-fly, as PNG.
///
/// # Errors
/// When painting or encoding fails.
pub fn heatmap_png(search: &Search) -> Result<Vec<u8>, DrawError> {
    let map = map::cumulative(search, LONGEST_PX, LONGEST_PX);
    let facts = words::headline(search);
    bitmap::png(
        &framed(&words::title(search), &facts, map),
        Paper::default(),
    )
}

/// POD before and after the re-fly in the same colours, as PNG.
///
/// # Errors
/// When painting or encoding fails.
pub fn before_after_png(search: &Search) -> Result<Vec<u8>, DrawError> {
    let maps = map::before_and_after(search, LONGEST_PX, LONGEST_PX);
    let title = format!("{}; before and after the re-fly", words::title(search));
    let facts = if search.refly.legs.is_empty() {
        "There is nothing to fly again.".to_owned()
    } else {
        refly_words::cost(&search.refly)
    };
    bitmap::png(&framed(&title, &facts, maps), Paper::default())
}

/// POD and POS sortie by sortie, as PNG.
///
/// # Errors
/// When painting or encoding fails.
pub fn curve_png(search: &Search) -> Result<Vec<u8>, DrawError> {
    let title = format!("{}; POD by sortie", words::title(search));
    let facts = words::headline(search);
    bitmap::png(
        &framed(&title, &facts, cumulative::chart(search)),
        Paper::default(),
    )
}
