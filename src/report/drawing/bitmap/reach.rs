//! What of a polygon counts in a band.

use super::marks::Pixel;
use std::cmp::Ordering;
use std::ops::Range;

/// The corners of a polygon without those that no row of the band depends on.
///
/// Plotters fills a polygon that is not wider than high row by row, and of its edges only those that meet a row count
/// there, in an order that hangs on nothing but them. So a corner that lies on the same side of the band as both its
/// neighbours can be left out, as long as what remains is filled row by row as well. A polygon wider than high is filled
/// column by column, from all of its edges.
pub fn within_reach(corners: &[Pixel], rows: &Range<usize>) -> Vec<Pixel> {
    if !by_rows(corners) {
        return corners.to_vec();
    }
    let side = |place: usize| {
        let y = corners[place % corners.len()].1;
        (y > rows.end as i32).cmp(&(y < rows.start as i32 - 1))
    };
    let counts = |place: &usize| {
        let here = side(*place);
        let (next, before) = (side(place + 1), side(place + corners.len() - 1));
        here == Ordering::Equal || here != next || here != before
    };
    let places = (0..corners.len()).filter(counts);
    let counting: Vec<Pixel> = places.map(|place| corners[place]).collect();
    if by_rows(&counting) {
        counting
    } else {
        corners.to_vec()
    }
}

/// Whether plotters fills a polygon row by row.
fn by_rows(corners: &[Pixel]) -> bool {
    let (mut low, mut high) = match corners.first() {
        Some(first) => (*first, *first),
        None => return false,
    };
    for (x, y) in corners {
        low = (low.0.min(*x), low.1.min(*y));
        high = (high.0.max(*x), high.1.max(*y));
    }
    let (width, height) = (high.0 - low.0, high.1 - low.1);
    0 < width && width <= height
}
