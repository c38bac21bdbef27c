//! Bias, drift and wrong spacing in one fit over all legs.
//!
//! Mean XTE of leg i, once it is settled = b + k · (wind across leg i) + e · (spacings from the first leg, on the side it lies), by least squares. The side of a bias goes with the
//! direction flown, that of drift with the wind, and wrong spacing adds up on the ground; on legs flown to and fro they differ from leg to leg. What the
//! flights cannot tell apart leaves the equations singular, and then there is no fit.

use super::Flights;
use crate::statistics::{Matrix, solve, student_99};
use crate::training::flight::{Flight, LegFlown};
use crate::training::measures::{CROSSWIND_MPS, settled_xte_m};
use crate::training::spacing::right_of;

/// Least degrees of freedom. Chosen: with fewer the scatter of the legs is not known.
const FREEDOM: usize = 3;
/// Parallel legs over which spacing can be seen to add up. Chosen.
const FEWEST_PARALLEL: usize = 3;

/// What the mean XTE of legs is made of.
pub(super) struct Fit {
    /// To the right on every leg, metres.
    pub(super) bias: Fitted,
    /// Downwind for each metre a second across, metres; with the mean wind across on the legs that have some.
    pub(super) by_wind: Option<(Fitted, f64)>,
    /// Closer together from leg to leg, metres (XTE towards the first leg).
    pub(super) closer: Option<Fitted>,
    /// Mean XTE of each leg, once settled, less what the fit makes of it, metres: by flight, as far as it is in place, and first pass of a leg.
    rest: Vec<(usize, String, f64)>,
}

/// One value of the fit.
#[derive(Clone, Copy)]
pub(super) struct Fitted {
    pub(super) value: f64,
    /// Half its interval of 99 %.
    pub(super) half: f64,
}

impl Fitted {
    /// Whether it is not zero.
    pub(super) fn is_sure(self) -> bool {
        self.value.abs() > self.half
    }

    pub(super) fn times(self, factor: f64) -> Self {
        Self {
            value: self.value * factor,
            half: self.half * factor.abs(),
        }
    }

    pub(super) fn interval(self) -> (f64, f64) {
        (self.value - self.half, self.value + self.half)
    }
}

impl Fit {
    pub(super) fn of(all: &Flights<'_>) -> Option<Self> {
        let rows: Vec<Row> = all
            .in_place()
            .flat_map(|(index, flight)| rows(all, index, flight))
            .collect();
        let winds = rows.iter().map(|row| row.crosswind_mps.abs());
        let windy: Vec<f64> = winds.filter(|wind| *wind >= CROSSWIND_MPS).collect();
        let mean_wind = windy.iter().sum::<f64>() / windy.len() as f64;
        let with_wind = windy.len() >= 2;
        let with_apart = rows.iter().any(|row| row.apart != 0.0);
        let mut columns: Vec<fn(&Row) -> f64> = vec![|_| 1.0];
        if with_wind {
            columns.push(|row| row.crosswind_mps);
        }
        if with_apart {
            columns.push(|row| row.apart);
        }
        let (values, rest) = least_squares(&rows, &columns)?;
        let mut values = values.into_iter();
        Some(Self {
            bias: values.next()?,
            by_wind: if with_wind {
                values.next().map(|value| (value, mean_wind))
            } else {
                None
            },
            closer: values.next(),
            rest: rows
                .into_iter()
                .zip(rest)
                .map(|(row, rest)| (row.flight, row.label, rest))
                .collect(),
        })
    }

    /// What the fit leaves over of the mean XTE of a leg.
    pub(super) fn rest_m(&self, flight: usize, label: &str) -> Option<f64> {
        let mut rest = self.rest.iter();
        let of_leg = rest.find(|(index, leg, _)| *index == flight && leg == label);
        of_leg.map(|(_, _, rest)| *rest)
    }
}

/// A leg as the fit sees it.
struct Row {
    flight: usize,
    label: String,
    mean_m: f64,
    crosswind_mps: f64,
    /// Spacings between it and the first one, on the right of the direction flown positive; 0 where legs are not all parallel.
    apart: f64,
}

/// The legs of a flight, each with its place among parallel ones.
fn rows(all: &Flights<'_>, index: usize, flight: &Flight) -> Vec<Row> {
    let band_m = all.tolerances.settled_band_m(flight.spacing_m);
    let legs: Vec<&LegFlown> = flight.first_passes().flatten().collect();
    let places: Option<Vec<f64>> = legs
        .iter()
        .map(|leg| {
            let first = legs.first()?;
            let right = right_of(first, leg)?;
            let way = if right.same_way { 1.0 } else { -1.0 };
            Some(way * right.metres / flight.spacing_m)
        })
        .collect();
    let places = places.filter(|places| places.len() >= FEWEST_PARALLEL);
    let row = |(place, leg): (usize, &&LegFlown)| Row {
        flight: index,
        label: leg.label.clone(),
        // A late rejoin, always from the same side, is not to look like a bias.
        mean_m: settled_xte_m(leg, band_m).map_or(leg.mean_m, |(mean, _)| mean),
        crosswind_mps: leg.crosswind_mps.unwrap_or(0.0),
        apart: places.as_ref().map_or(0.0, |places| places[place]),
    };
    legs.iter().enumerate().map(row).collect()
}

/// Least squares: the values with their intervals, and what is left over of each row. `None` where the rows do not settle them.
fn least_squares(rows: &[Row], columns: &[fn(&Row) -> f64]) -> Option<(Vec<Fitted>, Vec<f64>)> {
    let count = columns.len();
    let freedom = rows.len().checked_sub(count).filter(|f| *f >= FREEDOM)?;
    let mut matrix = Matrix::zero(count);
    let mut side = vec![0.0; count];
    for row in rows {
        for (i, a) in columns.iter().enumerate() {
            side[i] += a(row) * row.mean_m;
            for (j, b) in columns.iter().enumerate() {
                matrix.add(i, j, a(row) * b(row));
            }
        }
    }
    let values = solve(matrix.clone(), side)?;
    let fitted = |row: &Row| -> f64 { columns.iter().zip(&values).map(|(c, v)| c(row) * v).sum() };
    let rest: Vec<f64> = rows.iter().map(|row| row.mean_m - fitted(row)).collect();
    let variance = rest.iter().map(|rest| rest * rest).sum::<f64>() / freedom as f64;
    let with_interval = values.iter().enumerate().map(|(i, value)| {
        let mut unit = vec![0.0; count];
        unit[i] = 1.0;
        // Column i of the inverse.
        let inverse = solve(matrix.clone(), unit)?;
        Some(Fitted {
            value: *value,
            half: student_99(freedom) * (variance * inverse[i]).max(0.0).sqrt(),
        })
    });
    Some((with_interval.collect::<Option<_>>()?, rest))
}
