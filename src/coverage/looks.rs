//! What a sortie looked at, remembered so that it can be added to what others looked at: the lines flown
//! while looking, and how.

use super::band::Doubt;
use super::look::Look;
use super::looking::LookingLine;
use crate::detection::{InverseCube, Law, Scanners, View};
use crate::geodesy::{LocalFrame, Position};
use crate::tasking::{DetectionTask, LookLimits};
use crate::units::Length;
use chrono::{DateTime, Utc};
use serde::{Deserialize, Serialize};

/// A place as `[latitude, longitude]`, degrees, to 1e-7 (11 mm).
pub type Point = [f64; 2];

/// What a sortie looked at.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Looks {
    /// The law that decides.
    pub law: Law,
    /// Sweep width W.
    #[serde(rename = "sweep_width_m")]
    pub sweep_width: Length,
    /// The least that W may be; W itself where no spread is known.
    #[serde(rename = "sweep_width_low_m")]
    pub sweep_width_low: Length,
    /// The most that W may be.
    #[serde(rename = "sweep_width_high_m")]
    pub sweep_width_high: Length,
    /// Height above the surface that the inverse-cube law keeps.
    #[serde(rename = "search_height_m")]
    pub search_height: Option<Length>,
    /// Track spacing S.
    #[serde(rename = "spacing_m")]
    pub spacing: Length,
    /// Sides looked from.
    pub scanners: Scanners,
    /// Full width of the blind strip under the aircraft.
    #[serde(rename = "blind_strip_m")]
    pub blind_strip: Length,
    /// Horizontal error of recorded places, 95 %.
    #[serde(rename = "position_error_m")]
    pub position_error: Length,
    /// Heights and speeds within which flight counted as looking; a debrief of an earlier version does not
    /// say.
    #[serde(flatten)]
    pub limits: LookLimits,
    /// Every passage that counts as looking, in the order flown: along planned legs first, then the
    /// additional ones.
    pub passages: Vec<LookedPassage>,
    /// Stretches of planned legs that a hole in the log may hide.
    pub unrecorded: Vec<[Point; 2]>,
}

/// One passage.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct LookedPassage {
    /// Label of the planned or additional leg.
    pub leg: String,
    /// Its beginning.
    pub from: DateTime<Utc>,
    /// Its end.
    pub to: DateTime<Utc>,
    /// Its lines, in the order flown; none departs from the track by more than [`kept_tolerance_m`](super::pod::kept_tolerance_m).
    pub lines: Vec<Vec<Point>>,
}

impl Looks {
    /// What may be otherwise than the figures have it.
    #[must_use]
    pub fn doubt(&self) -> Doubt {
        Doubt {
            look: self.look(),
            width_low: self.sweep_width_low,
            width_high: self.sweep_width_high,
            position_error: self.position_error,
        }
    }

    /// How the ground was looked at.
    #[must_use]
    pub fn look(&self) -> Look {
        Look {
            law: self.law,
            inverse_cube: InverseCube::new(self.sweep_width, self.search_height),
            spacing_m: self.spacing.m(),
            view: View {
                scanners: self.scanners,
                blind_m: self.blind_strip.m(),
            },
        }
    }

    /// What is remembered of a flight: `legs` are the label and the times of every passage, `lines` what
    /// was flown while looking in them.
    #[must_use]
    pub fn of(
        task: &DetectionTask,
        spacing: Length,
        legs: Vec<(String, DateTime<Utc>, DateTime<Utc>)>,
        lines: &[LookingLine],
        unrecorded: Vec<[Position; 2]>,
        frame: &LocalFrame,
    ) -> Self {
        let passages = legs
            .into_iter()
            .enumerate()
            .map(|(passage, (leg, from, to))| LookedPassage {
                leg,
                from,
                to,
                lines: lines
                    .iter()
                    .filter(|line| line.passage == passage)
                    .map(|line| {
                        line.line
                            .iter()
                            .map(|xy| point(frame.inverse(*xy)))
                            .collect()
                    })
                    .collect(),
            })
            .collect();
        Self {
            law: task.law,
            sweep_width: task.sweep_width,
            sweep_width_low: task.sweep_width_basis.low.unwrap_or(task.sweep_width),
            sweep_width_high: task.sweep_width_basis.high.unwrap_or(task.sweep_width),
            search_height: task.search_height,
            spacing,
            scanners: task.view.scanners,
            blind_strip: Length::from_m(task.view.blind_m),
            position_error: task.position_error,
            limits: task.limits,
            passages,
            unrecorded: unrecorded.into_iter().map(|ends| ends.map(point)).collect(),
        }
    }

    /// Whether every place in it is one on the earth.
    #[must_use]
    pub fn has_places_only(&self) -> bool {
        let lines = self.passages.iter().flat_map(|passage| &passage.lines);
        let points = lines.flatten().chain(self.unrecorded.iter().flatten());
        points
            .copied()
            .all(|[lat, lon]| Position::new(lat, lon).is_some())
    }

    /// The lines in another plane; `None` if a place is not one.
    #[must_use]
    pub fn lines_in(&self, frame: &LocalFrame) -> Option<Vec<LookingLine>> {
        self.passages
            .iter()
            .enumerate()
            .flat_map(|(passage, looked)| looked.lines.iter().map(move |line| (passage, line)))
            .map(|(passage, line)| {
                let line = line
                    .iter()
                    .map(|at| in_plane(frame, *at))
                    .collect::<Option<_>>()?;
                Some(LookingLine { passage, line })
            })
            .collect()
    }

    /// The stretches that a hole in the log may hide, as lines of passages of their own.
    #[must_use]
    pub fn unrecorded_in(&self, frame: &LocalFrame) -> Option<Vec<LookingLine>> {
        let first = self.passages.len();
        self.unrecorded
            .iter()
            .enumerate()
            .map(|(i, ends)| {
                let line = ends
                    .iter()
                    .map(|at| in_plane(frame, *at))
                    .collect::<Option<_>>()?;
                Some(LookingLine {
                    passage: first + i,
                    line,
                })
            })
            .collect()
    }
}

fn point(at: Position) -> Point {
    let round = |deg: f64| (deg * 1e7).round() / 1e7;
    [round(at.lat()), round(at.lon())]
}

fn in_plane(frame: &LocalFrame, [lat, lon]: Point) -> Option<geo::Coord<f64>> {
    Position::new(lat, lon).map(|at| frame.forward(at))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_place_beyond_a_pole_is_noticed() {
        let mut looks: Looks = serde_json::from_value(serde_json::json!({
            "law": "inverse-cube", "sweep_width_m": 900.0, "sweep_width_low_m": 900.0,
            "sweep_width_high_m": 900.0, "search_height_m": null, "spacing_m": 900.0,
            "scanners": "both", "blind_strip_m": 0.0, "position_error_m": 8.0, "passages": [],
            "unrecorded": [[[47.0, 12.0], [47.1, 12.0]]],
        }))
        .unwrap();
        assert!(looks.has_places_only());
        looks.unrecorded[0][1] = [91.0, 12.0];
        assert!(!looks.has_places_only());
    }
}
