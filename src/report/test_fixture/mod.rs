//! A debrief made by hand for the tests of the reports: ten legs of 7 NM half a mile apart, one not
//! flown, one with a hole in the log, one reversed, an additional leg, an orbit and an excursion.
//! Its figures are plausible, not computed; reports must show them as they stand.

use crate::coverage::{Growth, Looks};
use crate::debrief::{Debrief, LogSummary, PlanSummary, SCHEMA, TolerancesUsed, TrackPiece};
use crate::detection::{Law, Scanners};
use crate::geodesy::{Declination, Position, geodesic};
use crate::input::InputFile;
use crate::matching::{Phase, PhaseSpan};
use crate::measure::phase_time::phase_totals;
use crate::measure::{
    AdditionalLeg, AlongSpan, AreaTime, Flown, Handling, LegReport, OutsideKind, OutsideSpan, Pass,
    Tracking, Turn, Wind,
};
use crate::plan::{Leg, LegKind, PatternKind};
use crate::tasking::LookLimits;
use crate::track::{Entry, Finding, Gap, HeightKind, Taken};
use crate::units::{Bearing, Length, Speed};
use chrono::{DateTime, NaiveDate, TimeDelta, Utc};

mod area;
mod flight;

/// Share of leg 8 that the log does not hold, from and to.
const UNRECORDED: (f64, f64) = (0.43, 0.63);

/// What to build.
pub(crate) struct Shape {
    pub legs: usize,
    pub leg_nm: f64,
    pub spacing_nm: f64,
    /// Leg not flown, from 1; 0 for none.
    pub not_flown: usize,
    /// Leg with a hole in the log, from 1; 0 for none.
    pub unrecorded: usize,
    /// Leg flown the other way, from 1; 0 for none.
    pub reversed: usize,
    pub course_deg: f64,
    /// Raster cells across a strip.
    pub cells: u32,
}

impl Default for Shape {
    fn default() -> Self {
        Self {
            legs: 10,
            leg_nm: 7.0,
            spacing_nm: 0.5,
            not_flown: 5,
            unrecorded: 8,
            reversed: 6,
            course_deg: 92.0,
            cells: 12,
        }
    }
}

/// The usual fixture.
pub(crate) fn debrief() -> Debrief {
    Shape::default().build()
}

fn at(seconds: f64) -> DateTime<Utc> {
    let start = NaiveDate::from_ymd_opt(2026, 5, 17)
        .unwrap()
        .and_hms_opt(9, 2, 11)
        .unwrap();
    start.and_utc() + TimeDelta::milliseconds((seconds * 1000.0) as i64)
}

fn aside(leg: &Leg, along: Length, xte_m: f64) -> Position {
    geodesic::destination(
        leg.at(along),
        leg.course.turned(90.0),
        Length::from_m(xte_m),
    )
}

fn span(leg: &Leg, from_m: f64, to_m: f64) -> AlongSpan {
    let (from, to) = (Length::from_m(from_m), Length::from_m(to_m));
    AlongSpan {
        from,
        to,
        from_position: leg.at(from),
        to_position: leg.at(to),
    }
}

fn handling(duration_s: f64) -> Handling {
    Handling {
        duration_s,
        ground_speed_mean: Speed::from_kt(91.4),
        ground_speed_sd: Speed::from_kt(3.2),
        ground_speed_outside_s: 0.04 * duration_s,
        height_mean: Some(Length::from_ft(1012.0)),
        height_sd: Some(Length::from_ft(38.0)),
        height_min: Some(Length::from_ft(921.0)),
        height_max: Some(Length::from_ft(1134.0)),
        height_outside_s: Some(0.0),
    }
}

fn tracking(leg: &Leg, length_m: f64, seconds: f64) -> Tracking {
    let max_along = Length::from_m(0.3 * leg.length.m());
    Tracking {
        length: Length::from_m(length_m),
        mean: Length::from_m(37.0),
        sd: Length::from_m(64.0),
        rms: Length::from_m(74.0),
        p95: Length::from_m(152.0),
        max: Length::from_m(-211.0),
        max_along,
        max_position: aside(leg, max_along, -211.0),
        max_time: at(seconds),
        within_tolerance: 0.987,
    }
}

struct Builder {
    shape: Shape,
    legs: Vec<Leg>,
    clock_s: f64,
    passes: Vec<Pass>,
    reports: Vec<LegReport>,
    track: Vec<TrackPiece>,
    phases: Vec<PhaseSpan>,
    turns: Vec<Turn>,
}

impl Shape {
    /// The debrief of this shape.
    pub(crate) fn build(self) -> Debrief {
        let legs = plan(&self);
        let mut builder = Builder {
            shape: self,
            legs,
            clock_s: 0.0,
            passes: Vec::new(),
            reports: Vec::new(),
            track: Vec::new(),
            phases: Vec::new(),
            turns: Vec::new(),
        };
        builder.fly();
        builder.debrief()
    }
}

fn plan(shape: &Shape) -> Vec<Leg> {
    let course = Bearing::from_deg(shape.course_deg);
    let (length, spacing) = (
        Length::from_nm(shape.leg_nm),
        Length::from_nm(shape.spacing_nm),
    );
    let mut place = Position::new(43.2, -29.4).unwrap();
    let mut legs = Vec::new();
    for number in 1..=shape.legs {
        let heading = if number % 2 == 1 {
            course
        } else {
            course.reversed()
        };
        let end = geodesic::destination(place, heading, length);
        legs.push(Leg::new(number.to_string(), LegKind::Search, place, end));
        place = geodesic::destination(end, course.turned(90.0), spacing);
        if number < shape.legs {
            legs.push(Leg::new(
                format!("{number}-{}", number + 1),
                LegKind::Cross,
                end,
                place,
            ));
        }
    }
    legs
}

impl Builder {
    fn additional(&mut self) -> Vec<AdditionalLeg> {
        let legs = self.search_legs();
        let (Some(first), true) = (legs.get(8), legs.len() > 9) else {
            return Vec::new();
        };
        let line = vec![
            aside(first, Length::from_nm(1.0), 463.0),
            aside(first, Length::from_nm(5.5), 455.0),
        ];
        let run = geodesic::between(line[0], line[1]);
        self.piece(Phase::AdditionalLeg, Some("A1"), line.clone());
        vec![AdditionalLeg {
            label: "A1".into(),
            entered: at(self.clock_s - 1000.0),
            left: at(self.clock_s - 820.0),
            start: line[0],
            end: line[1],
            length: run.distance,
            course: run.course_at_start,
            nearest_leg: Some("9".into()),
            spacing_achieved: Some(Length::from_nm(0.248)),
            handling: handling(180.0),
        }]
    }

    fn outside(&self) -> Vec<OutsideSpan> {
        let end = self.search_legs()[self.shape.legs.min(7) - 1].end;
        let span = |kind, from_s: f64, to_s: f64, nm| OutsideSpan {
            kind,
            from: at(from_s),
            to: at(to_s),
            duration_s: to_s - from_s,
            left_at: end,
            entered_at: end,
            farthest: Length::from_nm(nm),
            after: Some("7".into()),
        };
        vec![
            span(OutsideKind::Turn, 1700.25, 1741.75, 0.31),
            span(OutsideKind::Excursion, 4100.5, 4261.0, 1.9),
        ]
    }

    fn debrief(mut self) -> Debrief {
        let additional_legs = self.additional();
        let (corners, coverage, strips, refly) = area::cover(&self);
        let (outside, phase_totals) = (self.outside(), phase_totals(&self.phases));
        let legs = self.search_legs();
        let window_s = self.clock_s - 2480.0;
        let ledger = ["091233Z", "<script>alert(1)</script>"].map(|raw| Entry {
            file: 0,
            line: 4711,
            finding: Finding::BadTime,
            raw: raw.into(),
        });
        Debrief {
            schema: SCHEMA,
            version: "0.0.0-test",
            sortie: "Grey Heron 2".into(),
            date: NaiveDate::from_ymd_opt(2026, 5, 17).unwrap(),
            pilot: Some("A. Okafor-Lind".into()),
            inputs: vec![
                InputFile {
                    role: "track".into(),
                    name: "grey-heron-2.gpx".into(),
                    bytes: 1_204_881,
                    sha256: "5d41402abc4b2a76b9719d911017c5925d41402abc4b2a76b9719d911017c592"
                        .into(),
                },
                InputFile {
                    role: "tasking".into(),
                    name: "grey-heron-2.toml".into(),
                    bytes: 912,
                    sha256: "7d793037a0760186574b0282f2f435e77d793037a0760186574b0282f2f435e7"
                        .into(),
                },
            ],
            log: LogSummary {
                track_name: Some("GH2 & <second try>".into()),
                tracks: Vec::new(),
                taken: Taken::default(),
                first: at(0.0),
                last: at(self.clock_s),
                flying_from: Some(at(40.0)),
                flying_to: Some(at(self.clock_s - 40.0)),
                points_read: 7344,
                points_left_out: 0,
                fixes_kept: 7342,
                median_interval_s: 1.0,
                gap_limit_s: 10.0,
                height_kind: HeightKind::MeanSeaLevel,
                gaps: vec![Gap {
                    before: 5000,
                    from: at(5100.0),
                    to: at(5156.0),
                    duration_s: 56.0,
                    from_position: legs[0].start,
                    to_position: legs[0].end,
                }],
                ledger_counts: vec![(Finding::BadTime, 2)],
                ledger: ledger.into(),
                ledger_left_out: 0,
            },
            plan: PlanSummary {
                pattern: PatternKind::ParallelSweep,
                inferred: false,
                spacing: Length::from_nm(self.shape.spacing_nm),
                area_corners: corners,
                area_given: true,
                declination: Some(Declination {
                    declination_deg: -8.37,
                    uncertainty_deg: Some(0.38),
                    date: NaiveDate::from_ymd_opt(2026, 5, 17).unwrap(),
                    at: legs[0].start,
                    source: "WMM2025".into(),
                    warning: None,
                }),
                ground_speed: Speed::from_kt(90.0),
                altitude: Some(Length::from_ft(1000.0)),
                search_object: Some("yellow raft, 4 persons".into()),
                notes: vec!["The last strip reaches 0.02 NM beyond the area.".into()],
                legs: self.legs,
            },
            tolerances: TolerancesUsed {
                cross_track: Length::from_nm(self.shape.spacing_nm / 4.0),
                altitude: Length::from_ft(200.0),
                ground_speed: Speed::from_kt(10.0),
            },
            pattern_shift: None,
            tracking: self.passes.first().map(|pass| pass.tracking.clone()),
            handling: self.passes.first().map(|pass| pass.handling.clone()),
            phases: self.phases,
            phase_totals,
            passes: self.passes,
            legs: self.reports,
            additional_legs,
            turns: self.turns,
            above_ground: None,
            wind: Some(Wind {
                from: Bearing::from_deg(214.0),
                speed: Speed::from_kt(9.3),
                true_airspeed: Speed::from_kt(92.8),
                residual: Speed::from_kt(1.9),
                widest_course_gap_deg: 88.0,
            }),
            area_time: AreaTime {
                from: at(1200.0),
                to: at(1200.0 + window_s),
                window_s,
                on_legs_s: 0.8 * window_s,
                not_recorded_s: 56.0,
                outside_s: 202.0,
                excursion_s: 160.5,
                outside,
            },
            backdrop: None,
            growth: Growth {
                grid: coverage.raster.grid,
                ends_s: Vec::new(),
                shares: Vec::new(),
            },
            coverage,
            strips,
            looks: Looks {
                law: Law::InverseCube,
                sweep_width: Length::from_nm(0.4),
                sweep_width_low: Length::from_nm(0.4),
                sweep_width_high: Length::from_nm(0.4),
                search_height: None,
                spacing: Length::from_nm(self.shape.spacing_nm),
                scanners: Scanners::Both,
                blind_strip: Length::from_m(0.0),
                position_error: Length::from_m(8.0),
                limits: LookLimits::default(),
                passages: Vec::new(),
                unrecorded: Vec::new(),
            },
            refly,
            refly_tasked: None,
            after_refly: None,
            inference: None,
            inferred_tasking: None,
            track: self.track,
            flown: Flown::default(),
            remarks: vec!["1 leg was flown against its planned direction: 6.".into()],
            cautions: crate::cautions::DEBRIEF
                .iter()
                .map(ToString::to_string)
                .collect(),
        }
    }
}

#[test]
fn the_fixture_holds_together() {
    let debrief = debrief();
    assert_eq!(debrief.strips_to_refly(), 2);
    assert_eq!(debrief.legs.len(), 10);
    let raster = &debrief.coverage.raster;
    assert_eq!(raster.values.len(), raster.grid.columns * raster.grid.rows);
    assert!(raster.values.iter().filter(|v| !v.is_nan()).count() > raster.values.len() / 2);
}

/// Keeps a file to look at when the environment names a folder for them: `OVERFLOWN_PICTURES`.
pub(crate) fn keep(name: &str, bytes: &[u8]) {
    if let Some(folder) = std::env::var_os("OVERFLOWN_PICTURES") {
        std::fs::write(std::path::Path::new(&folder).join(name), bytes).unwrap();
    }
}
