//! Area, raster, strips and re-fly legs of the fixture.

use super::{Builder, UNRECORDED, aside, span};
use crate::coverage::{
    BandParts, Coverage, Grid, Hole, HoleCause, PodBand, PodByLaw, Raster, Strip,
};
use crate::detection::{Law, Scanners, SweepWidth};
use crate::geodesy::{LocalFrame, Position, geodesic};
use crate::measure::{AlongSpan, NotCounted};
use crate::plan::Leg;
use crate::refly::{Outcome, Refly, ReflyLeg};
use crate::units::Length;
use geo::{Contains, Coord, LineString, Polygon};

/// Target of the fixture.
const TARGET: f64 = 0.63;

pub(super) fn cover(built: &Builder) -> (Vec<Position>, Coverage, Vec<Strip>, Refly) {
    let legs = built.search_legs();
    let corners = corners(&legs, built.shape.spacing_nm);
    let raster = raster(built, &corners);
    let strips: Vec<Strip> = legs.iter().map(|leg| strip(built, leg)).collect();
    let refly = refly(&strips, &legs);
    let (length_m, spacing_m) = (legs[0].length.m(), built.shape.spacing_nm * 1852.0);
    let coverage = Coverage {
        sweep_width: Length::from_nm(0.4),
        sweep_width_basis: SweepWidth::given(Length::from_nm(0.4), None),
        search_height: None,
        law: Law::InverseCube,
        scanners: Scanners::Both,
        blind_strip: Length::from_m(0.0),
        planned_coverage_factor: 0.8,
        flown_coverage_factor: 0.71,
        searching_track: Length::from_m(length_m * legs.len() as f64),
        area_m2: (length_m + spacing_m) * spacing_m * legs.len() as f64,
        planned_pod: PodByLaw {
            inverse_cube: 0.684,
            exponential: 0.551,
            definite_range: 0.8,
        },
        pod: PodByLaw {
            inverse_cube: 0.617,
            exponential: 0.508,
            definite_range: 0.71,
        },
        pod_band: PodBand {
            pod: 0.617,
            low: 0.561,
            high: 0.672,
        },
        pod_band_parts: BandParts {
            sweep_width_low: Some(0.563),
            sweep_width_high: Some(0.664),
            position_low: 0.614,
            position_error: Length::from_m(8.0),
            position_error_given: false,
            unrecorded_high: Some(0.625),
        },
        without_height: None,
        target_pod: TARGET,
        target_given: false,
        share_at_target: 0.823,
        by_distance: None,
        not_counted: vec![
            NotCounted {
                reason: "turns".into(),
                duration_s: 464.0,
                distance: Some(Length::from_nm(11.6)),
            },
            NotCounted {
                reason: "not recorded".into(),
                duration_s: 56.0,
                distance: None,
            },
        ],
        cell: Length::from_m(raster.grid.cell_m),
        exposure: raster.values.iter().map(|pod| -(-pod).ln_1p()).collect(),
        raster,
    };
    (corners, coverage, strips, refly)
}

fn corners(legs: &[Leg], spacing_nm: f64) -> Vec<Position> {
    let half = Length::from_nm(spacing_nm / 2.0);
    let back = Length::from_m(-half.m());
    let first = &legs[0];
    let last = &legs[legs.len() - 1];
    let past = |leg: &Leg| Length::from_m(leg.length.m() + half.m());
    // Even legs run the other way: their right is the other side.
    let (near, far, sign) = if legs.len() % 2 == 1 {
        (back, past(last), 1.0)
    } else {
        (past(last), back, -1.0)
    };
    vec![
        aside(first, back, -half.m()),
        aside(first, past(first), -half.m()),
        aside(last, far, sign * half.m()),
        aside(last, near, sign * half.m()),
    ]
}

fn raster(built: &Builder, corners: &[Position]) -> Raster {
    let middle = geodesic::between(corners[0], corners[2]);
    let centre = geodesic::destination(
        corners[0],
        middle.course_at_start,
        Length::from_m(middle.distance.m() / 2.0),
    );
    let frame = LocalFrame::new(centre);
    let ring: Vec<Coord<f64>> = corners.iter().map(|c| frame.forward(*c)).collect();
    let area = Polygon::new(LineString::from(ring.clone()), Vec::new());
    let (west, east) = bounds(ring.iter().map(|c| c.x));
    let (south, north) = bounds(ring.iter().map(|c| c.y));
    let cell_m = built.shape.spacing_nm * 1852.0 / f64::from(built.shape.cells);
    let grid = Grid {
        origin: Coord { x: west, y: south },
        cell_m,
        columns: ((east - west) / cell_m).ceil() as usize,
        rows: ((north - south) / cell_m).ceil() as usize,
    };
    let mut raster = Raster {
        frame,
        grid,
        values: Vec::new(),
    };
    let lines: Vec<Vec<Coord<f64>>> = built
        .track
        .iter()
        .filter(|piece| piece.leg.is_some())
        .map(|piece| {
            piece
                .line
                .iter()
                .map(|p| raster.frame.forward(*p))
                .collect()
        })
        .collect();
    for row in 0..raster.grid.rows {
        for column in 0..raster.grid.columns {
            let here = raster.grid.centre(column, row);
            raster.values.push(if area.contains(&here) {
                pod(here, &lines)
            } else {
                f32::NAN
            });
        }
    }
    raster
}

fn bounds(values: impl Iterator<Item = f64>) -> (f64, f64) {
    values.fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), v| {
        (low.min(v), high.max(v))
    })
}

/// Roughly the inverse cube law for W = 0.4 NM; good enough to look at.
fn pod(here: Coord<f64>, lines: &[Vec<Coord<f64>>]) -> f32 {
    let exposure: f64 = lines
        .iter()
        .filter_map(|line| {
            line.iter()
                .map(|p| (p.x - here.x).powi(2) + (p.y - here.y).powi(2))
                .reduce(f64::min)
        })
        .map(|square| (0.4_f64 * 1852.0).powi(2) / (4.0 * std::f64::consts::PI * square.max(1.0)))
        .sum();
    (1.0 - (-exposure).exp()) as f32
}

fn strip(built: &Builder, leg: &Leg) -> Strip {
    let half_m = built.shape.spacing_nm * 926.0;
    let length_m = leg.length.m();
    let number: usize = leg.label.parse().unwrap();
    let hole = if number == built.shape.not_flown {
        Some((HoleCause::Missed, span(leg, 0.0, length_m)))
    } else if number == built.shape.unrecorded {
        let (from, to) = UNRECORDED;
        Some((
            HoleCause::NotRecorded,
            span(leg, from * length_m, to * length_m),
        ))
    } else {
        None
    };
    let share = hole
        .as_ref()
        .map_or(1.0, |(_, s)| 1.0 - s.length().m() / length_m);
    Strip {
        leg: leg.label.clone(),
        outline: ring(leg, &span(leg, 0.0, length_m), half_m),
        area_m2: 2.0 * half_m * length_m,
        share_at_target: share,
        mean_pod: 0.21 + 0.45 * share,
        lowest_pod: 0.09 + 0.55 * share,
        lowest_at: Length::from_m(0.5 * length_m),
        holes: hole
            .into_iter()
            .map(|(cause, span)| Hole {
                leg: leg.label.clone(),
                cause,
                area_m2: 2.0 * half_m * span.length().m(),
                mean_pod: 0.21,
                outline: ring(leg, &span, half_m),
                span,
            })
            .collect(),
    }
}

fn ring(leg: &Leg, span: &AlongSpan, half_m: f64) -> Vec<Position> {
    [
        (span.from, -half_m),
        (span.to, -half_m),
        (span.to, half_m),
        (span.from, half_m),
    ]
    .map(|(along, side)| aside(leg, along, side))
    .into()
}

fn refly(strips: &[Strip], legs: &[Leg]) -> Refly {
    let again: Vec<ReflyLeg> = strips
        .iter()
        .zip(legs)
        .flat_map(|(strip, leg)| strip.holes.iter().map(move |hole| (hole, leg)))
        .enumerate()
        .map(|(index, (hole, leg))| ReflyLeg {
            label: format!("R{}", index + 1),
            mends: vec![hole.leg.clone()],
            cause: hole.cause,
            start: hole.span.from_position,
            end: hole.span.to_position,
            course: leg.course,
            length: hole.span.length(),
            altitude: None,
        })
        .collect();
    let search_m: f64 = again.iter().map(|leg| leg.length.m()).sum();
    Refly {
        pod_before: 0.58,
        outcome: Outcome {
            passes: again.len(),
            search_length: Length::from_m(search_m),
            total_length: Length::from_m(search_m + 2_000.0),
            duration_s: (search_m + 2_000.0) / 45.0,
            pod: 0.66,
            strips_left: 0,
        },
        goal_met: true,
        legs: again,
        ..Refly::default()
    }
}
