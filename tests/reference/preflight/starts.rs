//! Start points at the corners.

use super::{METRES_PER_NM, corners, nm, rectangle, sweep, work_out};
use overflown::geodesy::{LegFrame, geodesic};
use overflown::preflight::Questions;
use overflown::preflight::starts::NoStart;
use overflown::tasking::Side;
use overflown::units::Bearing;

/// CSP half a spacing inside from both edges of the corner (JP 3-50 Vol I, 1991, p. 180), whatever
/// their angle, by the cross-track distance from the edges' geodesics. In the acute corners of the first
/// area and of the triangle that lie across the legs there is no room for a leg of one spacing.
#[test]
fn start_points_lie_half_a_spacing_inside() {
    let areas: [(&[(f64, f64)], usize); 3] = [
        (&[(20.0, 6.0), (110.0, 9.0), (200.0, 6.0), (290.0, 9.0)], 2),
        (&[(0.0, 8.0), (120.0, 8.0), (240.0, 8.0)], 2),
        // With a corner that points inwards.
        (
            &[
                (0.0, 9.0),
                (90.0, 9.0),
                (150.0, 9.0),
                (180.0, 3.0),
                (210.0, 9.0),
                (270.0, 9.0),
            ],
            5,
        ),
    ];
    for (spokes, begun) in areas {
        for reversed in [false, true] {
            let mut spokes = spokes.to_vec();
            if reversed {
                spokes.reverse();
            }
            let questions = Questions {
                corner_offset: Some(nm(1.5)),
                ..Questions::default()
            };
            let (plan, worked_out) = work_out(
                &corners(48.0, &spokes),
                &sweep("035 T", "0.5 NM"),
                &questions,
            );
            let ring = plan.area.corners();
            let found = &worked_out.start_points.corners;
            assert_eq!(found.len(), ring.len());
            let starts: Vec<_> = found.iter().filter_map(|c| c.start.as_ref()).collect();
            assert_eq!(starts.len(), begun);
            for (i, corner) in found.iter().enumerate() {
                assert_eq!(corner.corner, ring[i]);
                let Some(start) = &corner.start else {
                    let inwards = corner.inside_angle_deg > 180.0;
                    let problem = match inwards {
                        true => NoStart::InwardCorner,
                        false => NoStart::TooNarrow,
                    };
                    assert_eq!(corner.problem, Some(problem));
                    continue;
                };
                let n = ring.len();
                for (a, b) in [
                    (ring[(i + n - 1) % n], ring[i]),
                    (ring[i], ring[(i + 1) % n]),
                ] {
                    let off_m = LegFrame::new(a, b).locate(start.csp).cross_m.abs();
                    // The edges of an area are straight in its plane: centimetres from the geodesic.
                    assert!((off_m - 463.0).abs() < 0.5, "{off_m} at {i}");
                }
                assert!(plan.area.contains(plan.frame.forward(start.csp)));
                // The first leg runs along the axis, either way, into the area.
                let axis = worked_out.axis.course;
                let apart = axis.turn_to(start.course).abs();
                assert!(apart.min(180.0 - apart) < 0.3, "{apart}");
                assert!(start.first_leg.nm() >= 0.5);
                // The run-in stands on its line, outside the edge and the corner by the offset.
                let run_in = start.run_in.unwrap();
                let leg = LegFrame::new(
                    start.csp,
                    geodesic::destination(start.csp, start.course, start.first_leg),
                );
                let at = leg.locate(run_in.from);
                assert!(at.cross_m.abs() < 0.1, "{at:?}");
                assert!((at.along_m + run_in.length.m()).abs() < 0.1);
                assert!(!plan.area.contains(plan.frame.forward(run_in.from)));
                let corner_m = leg.locate(corner.corner).along_m;
                let edge_nm = |back_nm: f64| {
                    let at = geodesic::destination(start.csp, start.course.reversed(), nm(back_nm));
                    plan.area.contains(plan.frame.forward(at))
                };
                // The edge on that line, by halving; the corner's own place where that is farther.
                let (mut inside, mut outside) = (0.0, run_in.length.nm());
                for _ in 0..50 {
                    let middle = f64::midpoint(inside, outside);
                    if edge_nm(middle) {
                        inside = middle;
                    } else {
                        outside = middle;
                    }
                }
                let farther_m = (-corner_m).max(inside * METRES_PER_NM);
                let beyond_m = run_in.length.m() - farther_m;
                assert!((beyond_m - nm(1.5).m()).abs() < 0.5, "{beyond_m}");
            }
        }
    }
}

/// Of a rectangle, by hand: each corner begins with a leg away from its own end, turning towards the
/// other long side; nothing is left over, and one of the points is the start of the plan.
#[test]
fn start_points_of_a_rectangle() {
    let (plan, worked_out) = work_out(
        &rectangle(0.0),
        &sweep("090 T", "1 NM"),
        &Questions::default(),
    );
    // North-east, south-east, south-west, north-west.
    let expected = [
        (270.0, Side::Left),
        (270.0, Side::Right),
        (90.0, Side::Left),
        (90.0, Side::Right),
    ];
    let found = &worked_out.start_points.corners;
    for (corner, (course_deg, turn)) in found.iter().zip(expected) {
        let start = corner.start.as_ref().unwrap();
        assert!(start.course.turn_to(Bearing::from_deg(course_deg)).abs() < 0.1);
        assert_eq!(start.turn, turn);
        assert!((start.first_leg.nm() - 9.0).abs() < 0.002);
        assert!(start.left_over.m() < 5.0 && start.run_in.is_none());
        assert!((corner.inside_angle_deg - 90.0).abs() < 0.1);
    }
    let tasked = plan.legs[0].start;
    let north_west = found[3].start.as_ref().unwrap().csp;
    assert!(geodesic::distance(tasked, north_west).m() < 5.0);
}
