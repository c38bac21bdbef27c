//! The fixes that suffice for drawing, against all of them.

use crate::samples::{names, sample};
use overflown::geodesy::geodesic;

/// At the time of every fix left out, the straight line between its neighbours drawn is no farther than stated.
#[test]
fn what_is_drawn_keeps_its_bounds() {
    for name in names() {
        let flown = sample(&name).flown;
        let (fixes, drawn) = (&flown.fixes, &flown.drawn);
        assert_eq!((drawn[0], drawn[drawn.len() - 1]), (0, fixes.len() - 1));
        assert!(
            drawn.len() < fixes.len() / 2,
            "{name}: {} of {}",
            drawn.len(),
            fixes.len()
        );
        for pair in drawn.windows(2) {
            let (a, b) = (&fixes[pair[0]], &fixes[pair[1]]);
            if b.after_hole {
                assert_eq!(pair[0] + 1, pair[1]);
                continue;
            }
            let way = geodesic::between(a.position, b.position);
            for fix in &fixes[pair[0] + 1..pair[1]] {
                assert_eq!(fix.phase, a.phase);
                let share =
                    (fix.time - a.time).as_seconds_f64() / (b.time - a.time).as_seconds_f64();
                let along = overflown::units::Length::from_m(way.distance.m() * share);
                let line = geodesic::destination(a.position, way.course_at_start, along);
                let off = geodesic::between(line, fix.position).distance;
                // The plane in which it is thinned stretches far from its middle.
                assert!(off.m() <= 1.02 * flown.bounds.place.m(), "{name}: {off:?}");
                if let (Some(h), Some(ha), Some(hb)) = (fix.height(), a.height(), b.height()) {
                    let line = ha.m() + (hb.m() - ha.m()) * share;
                    assert!(
                        (h.m() - line).abs() <= 1.001 * flown.bounds.height.m(),
                        "{name}"
                    );
                }
            }
        }
    }
}

/// Of every pass the fixes carry the cross-track error that its figures were made from.
#[test]
fn fixes_carry_what_the_legs_report() {
    for name in names() {
        let debrief = sample(&name);
        for pass in &debrief.passes {
            let fixes = debrief.flown.fixes.iter().filter(|fix| {
                (pass.entered..=pass.left).contains(&fix.time)
                    && debrief.flown.leg(fix) == Some(&pass.leg)
            });
            let largest = fixes
                .filter_map(|fix| Some((fix.time, fix.xte()?)))
                .find(|(time, _)| *time == pass.tracking.max_time);
            let (_, xte) = largest.unwrap_or_else(|| panic!("{name}: leg {}", pass.leg));
            assert!(
                (xte.m() - pass.tracking.max.m()).abs() < 0.01,
                "{name}: leg {}",
                pass.leg
            );
        }
    }
}
