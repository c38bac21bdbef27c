//! Keeping the truth of one pass while it is flown.

use super::flight::Flight;
use super::pass::Pass;
use super::truth::{TruePass, TrueSpan};
use crate::geodesy::AlongCross;
use crate::units::{Length, Speed};
use chrono::{DateTime, Utc};

/// Established within this of the line aimed at, besides a quarter of the spacing: 0.25 NM (JP 3-50
/// Vol I, p. 394, correction limit on search legs).
const ESTABLISHED: Length = Length::from_nm(0.25);
/// Established within this of the leg's course, degrees. Chosen: as in the debrief.
const ESTABLISHED_DEG: f64 = 10.0;

/// The record of a pass under way.
#[derive(Debug)]
pub(super) struct PassRecord {
    tolerance_m: f64,
    /// Where the present established stretch began, metres from the flown start.
    open_m: Option<f64>,
    spans: Vec<(f64, f64)>,
    entered: Option<DateTime<Utc>>,
    left: Option<DateTime<Utc>>,
    samples: f64,
    xte_sum: f64,
    xte_square_sum: f64,
    speed_sum: f64,
}

impl PassRecord {
    pub(super) fn new(spacing: Length) -> Self {
        Self {
            tolerance_m: ESTABLISHED.m().min(spacing.m() / 4.0),
            open_m: None,
            spans: Vec::new(),
            entered: None,
            left: None,
            samples: 0.0,
            xte_sum: 0.0,
            xte_square_sum: 0.0,
            speed_sum: 0.0,
        }
    }

    /// Takes note of where the aircraft is after a step on the pass.
    pub(super) fn watch(&mut self, flight: &Flight, pass: &Pass, at: AlongCross) {
        let length_m = pass.line.length_m();
        if at.along_m < 0.0 || self.left.is_some() {
            return;
        }
        if at.along_m > length_m {
            self.suspend(length_m);
            self.left = Some(flight.now());
            return;
        }
        if self.open_m.is_none() && self.is_established(flight, pass, at) {
            self.open_m = Some(at.along_m);
            self.entered.get_or_insert_with(|| flight.now());
        }
        if self.open_m.is_some() {
            self.samples += 1.0;
            self.xte_sum += at.cross_m;
            self.xte_square_sum += at.cross_m * at.cross_m;
            self.speed_sum += flight.aircraft.ground.speed();
        }
    }

    fn is_established(&self, flight: &Flight, pass: &Pass, at: AlongCross) -> bool {
        let course = pass.line.frame.course_at(at.along_m).deg().to_radians();
        let off = super::guidance::wrap_pi(flight.aircraft.ground.course_rad() - course);
        (at.cross_m - pass.aim_m).abs() <= self.tolerance_m
            && off.abs().to_degrees() <= ESTABLISHED_DEG
    }

    /// Ends the present stretch at `along_m` from the flown start: the aircraft is turned away.
    pub(super) fn suspend(&mut self, along_m: f64) {
        if let Some(from_m) = self.open_m.take()
            && along_m > from_m
        {
            self.spans.push((from_m, along_m));
        }
    }

    /// Whether the pass has been left for good, abeam its end.
    pub(super) const fn is_over(&self) -> bool {
        self.left.is_some()
    }

    /// The truth of the pass, which is left now if it has not been left before.
    pub(super) fn close(mut self, flight: &Flight, pass: &Pass, at: AlongCross) -> TruePass {
        self.suspend(at.along_m.min(pass.line.length_m()));
        let mean = |sum: f64| (self.samples > 0.0).then(|| sum / self.samples);
        let xte_mean = mean(self.xte_sum);
        let xte_sd = mean(self.xte_square_sum)
            .zip(xte_mean)
            .map(|(square, mean)| (square - mean * mean).max(0.0).sqrt());
        let mut flown: Vec<TrueSpan> = self
            .spans
            .iter()
            .map(|&(from_m, to_m)| {
                let (a, b) = (pass.planned_along(from_m), pass.planned_along(to_m));
                TrueSpan {
                    from: Length::from_m(a.min(b)),
                    to: Length::from_m(a.max(b)),
                }
            })
            .collect();
        flown.sort_by(|a, b| a.from.m().total_cmp(&b.from.m()));
        TruePass {
            leg: pass.label.clone(),
            kind: pass.kind,
            reversed: pass.reversed,
            start: pass.line.start,
            end: pass.line.end,
            entered: self.entered,
            left: self.left.unwrap_or_else(|| flight.now()),
            flown,
            xte_mean: xte_mean.map(Length::from_m),
            xte_sd: xte_sd.map(Length::from_m),
            ground_speed: mean(self.speed_sum).map(Speed::from_mps),
            bias: Length::from_m(pass.aim_m),
        }
    }
}
