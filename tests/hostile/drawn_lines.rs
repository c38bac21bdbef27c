//! Drawn lines of megabytes, whose positions are not held as text.

use crate::memory::bounded;
use crate::turn;

/// A line of this piece over and over, flown in so many years.
fn line(piece: &str, years: u32) -> Vec<u8> {
    const BYTES: usize = 2 << 20;
    let positions = piece.repeat(BYTES / piece.len());
    let end = 2000 + years;
    format!(
        "<kml><Placemark><TimeSpan><begin>2000-01-01T00:00:00Z</begin><end>{end}-01-01T00:00:00Z</end></TimeSpan>\
         <LineString><altitudeMode>absolute</altitudeMode><coordinates>{positions}</coordinates></LineString>\
         </Placemark></kml>"
    )
    .into_bytes()
}

#[test]
fn long_lines_take_their_share_of_memory() {
    let _turn = turn();
    for piece in [
        // As many positions as there can be: far apart, near, turning back too soon, jumping.
        "1,1 1,2 ",
        "1,.1 1,.2 ",
        "1,0 1,.01 1,.02 1,.01 ",
        "1,1 1,1.0001 1,1.0002 9,9 ",
        "1,1 ",
        // Without heights that are any, and with heights that leap.
        "1,1,x 1,2,x ",
        "1,1,9e9 1,2,9e9 ",
        "1,1,0 1,2,9999 ",
        // No positions; and one that has no end.
        "1 ",
        "1,1",
        "\n",
    ] {
        for years in [1, 90] {
            bounded("kml", &line(piece, years));
        }
    }
}
