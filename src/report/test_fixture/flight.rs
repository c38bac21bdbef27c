//! The flight of the fixture: passes, turns, track and phases.

use super::{Builder, UNRECORDED, aside, at, handling, span, tracking};
use crate::debrief::TrackPiece;
use crate::geodesy::{Position, geodesic};
use crate::matching::{Phase, PhaseSpan};
use crate::measure::{AlongSpan, LegReport, LegState, Pass, ProfilePoint, Turn};
use crate::plan::{Leg, LegKind};
use crate::tasking::Side;
use crate::units::{Bearing, Length, Speed};

/// XTE at a share `t` of leg `number`: a swing that differs from leg to leg, and an overshoot of
/// the turn dying out.
fn xte_m(number: usize, t: f64) -> f64 {
    let phase = number as f64 * 1.7;
    20.0 + 70.0 * (7.0 * t + phase).sin() + 30.0 * (23.0 * t + phase).cos()
        - 260.0 * (-t / 0.03).exp()
}

impl Builder {
    pub(super) fn search_legs(&self) -> Vec<Leg> {
        self.legs
            .iter()
            .filter(|leg| leg.kind == LegKind::Search)
            .cloned()
            .collect()
    }

    fn phase(&mut self, phase: Phase, duration_s: f64, leg: Option<&str>) {
        self.phases.push(PhaseSpan {
            phase,
            from: at(self.clock_s),
            to: at(self.clock_s + duration_s),
            duration_s,
            distance: (phase != Phase::NotRecorded).then(|| Length::from_m(duration_s * 46.0)),
            leg: leg.map(Into::into),
        });
        self.clock_s += duration_s;
    }

    pub(super) fn piece(&mut self, phase: Phase, leg: Option<&str>, line: Vec<Position>) {
        self.track.push(TrackPiece {
            phase,
            leg: leg.map(Into::into),
            line,
        });
    }

    pub(super) fn fly(&mut self) {
        let legs = self.search_legs();
        let base = geodesic::destination(
            legs[0].start,
            Bearing::from_deg(310.0),
            Length::from_nm(25.0),
        );
        self.phase(Phase::Ground, 240.0, None);
        self.phase(Phase::TransitOut, 960.0, None);
        self.piece(Phase::TransitOut, None, vec![base, legs[0].start]);
        for (index, leg) in legs.iter().enumerate() {
            let number = index + 1;
            if number == self.shape.not_flown {
                self.not_flown(leg);
                continue;
            }
            self.fly_leg(number, leg);
            if let Some(next) = legs.get(index + 1) {
                self.turn(leg, next);
            }
        }
        self.phase(Phase::TransitHome, 1100.0, None);
        self.piece(
            Phase::TransitHome,
            None,
            vec![legs[legs.len() - 1].end, base],
        );
        self.phase(Phase::Ground, 180.0, None);
    }

    fn not_flown(&mut self, leg: &Leg) {
        self.reports.push(LegReport {
            leg: leg.label.clone(),
            state: LegState::NotFlown,
            flown_share: 0.0,
            unrecorded_share: 0.0,
            missed: vec![span(leg, 0.0, leg.length.m())],
            unrecorded: Vec::new(),
            passes: Vec::new(),
            tracking: None,
        });
    }

    fn fly_leg(&mut self, number: usize, leg: &Leg) {
        let length_m = leg.length.m();
        let reversed = number == self.shape.reversed;
        let spans: Vec<(f64, f64)> = if number == self.shape.unrecorded {
            vec![(0.0, UNRECORDED.0), (UNRECORDED.1, 1.0)]
        } else {
            vec![(0.0, 1.0)]
        };
        let (entered_s, duration_s) = (self.clock_s, length_m / 46.0);
        let mut profile = Vec::new();
        for (from, to) in &spans {
            let points: Vec<ProfilePoint> = (0..=80)
                .map(|i| from + (to - from) * f64::from(i) / 80.0)
                .map(|t| ProfilePoint {
                    along: Length::from_m(length_m * if reversed { 1.0 - t } else { t }),
                    xte: Length::from_m(xte_m(number, t)),
                    after_s: duration_s * t,
                })
                .collect();
            let side = if reversed { -1.0 } else { 1.0 };
            let line = points
                .iter()
                .map(|p| aside(leg, p.along, side * p.xte.m()))
                .collect();
            self.piece(Phase::SearchLeg, Some(&leg.label), line);
            profile.push(points);
        }
        let gap_s = if spans.len() > 1 {
            (UNRECORDED.1 - UNRECORDED.0) * duration_s
        } else {
            0.0
        };
        self.phase(
            Phase::SearchLeg,
            (duration_s - gap_s) / 2.0,
            Some(&leg.label),
        );
        if gap_s > 0.0 {
            self.phase(Phase::NotRecorded, gap_s, None);
        }
        self.phase(
            Phase::SearchLeg,
            (duration_s - gap_s) / 2.0,
            Some(&leg.label),
        );
        let unrecorded: Vec<AlongSpan> = if spans.len() > 1 {
            vec![span(leg, UNRECORDED.0 * length_m, UNRECORDED.1 * length_m)]
        } else {
            Vec::new()
        };
        let unrecorded_share = if spans.len() > 1 {
            UNRECORDED.1 - UNRECORDED.0
        } else {
            0.0
        };
        let measured = tracking(leg, length_m * (1.0 - unrecorded_share), entered_s + 80.0);
        self.passes.push(Pass {
            leg: leg.label.clone(),
            reversed,
            entered: at(entered_s),
            left: at(self.clock_s),
            recorded: spans
                .iter()
                .map(|(a, b)| span(leg, a * length_m, b * length_m))
                .collect(),
            tracking: measured.clone(),
            established_after: (number != 7).then(|| Length::from_nm(0.42)),
            handling: handling(duration_s - gap_s),
            crosswind: Some(Speed::from_kt(if number % 2 == 1 { 6.1 } else { -6.1 })),
            profile,
        });
        self.reports.push(LegReport {
            leg: leg.label.clone(),
            state: if unrecorded.is_empty() {
                LegState::Flown
            } else {
                LegState::NotRecorded
            },
            flown_share: 1.0 - unrecorded_share,
            unrecorded_share,
            missed: Vec::new(),
            unrecorded,
            passes: vec![self.passes.len() - 1],
            tracking: Some(measured),
        });
    }

    fn turn(&mut self, leg: &Leg, next: &Leg) {
        let centre = geodesic::between(leg.end, next.start);
        let middle = geodesic::destination(
            leg.end,
            centre.course_at_start,
            Length::from_m(centre.distance.m() / 2.0),
        );
        let radius = Length::from_m(centre.distance.m() / 2.0);
        let outward = leg.course.turn_to(centre.course_at_start).signum();
        let line: Vec<Position> = (0..=18)
            .map(|i| {
                let back = centre
                    .course_at_start
                    .reversed()
                    .turned(outward * 10.0 * f64::from(i));
                geodesic::destination(middle, back, radius)
            })
            .collect();
        self.piece(Phase::Turn, None, line);
        if leg.label == "4" {
            let rim = geodesic::destination(
                leg.at(Length::from_nm(2.0)),
                leg.course,
                Length::from_m(0.0),
            );
            let circle = (0..=48)
                .map(|i| {
                    geodesic::destination(
                        rim,
                        Bearing::from_deg(15.0 * f64::from(i)),
                        Length::from_m(520.0),
                    )
                })
                .collect();
            self.piece(Phase::Orbit, None, circle);
            self.phase(Phase::Orbit, 143.0, None);
        }
        if leg.label == "7" {
            let away =
                geodesic::destination(leg.end, leg.course.turned(12.0), Length::from_nm(2.1));
            self.piece(Phase::Excursion, None, vec![leg.end, away, next.start]);
            self.phase(Phase::Excursion, 170.0, None);
        }
        let from_s = self.clock_s;
        self.phase(Phase::Turn, 58.0, None);
        self.turns.push(Turn {
            after: leg.label.clone(),
            before: next.label.clone(),
            from: at(from_s),
            to: at(self.clock_s),
            duration_s: 58.0,
            side: if outward > 0.0 {
                Side::Right
            } else {
                Side::Left
            },
            past_end: Some(Length::from_nm(0.27)),
            past_next_leg: Some(Length::from_m(0.0)),
            established_after: (leg.label != "6").then(|| Length::from_nm(0.42)),
        });
    }
}
