//! The tasking file of an inferred plan: every value with its interval beside it, to be corrected by hand.

use super::value::{Estimate, Inferred, Layout};
use crate::plan::PatternKind;
use crate::tasking::Side;
use crate::tasking::write::{comment, length, place, quoted, speed};
use crate::units::{Length, Speed};

/// Most characters of a log's name that a sortie is called after.
const LONGEST_NAME: usize = 60;
/// Lengths are written to this step where their interval is wider than ten of it, metres; else to a tenth.
const STEP_M: f64 = 1.0;

/// Number and spacing of legs of different length are called unsure where the lines scatter by more than this about even
/// spacing, or their ends by more than this, in spacings. Chosen: so they did in recorded flights where the layout was
/// doubtful by eye.
const UNSURE_SCATTER: f64 = 0.15;
const UNSURE_ENDS: f64 = 3.0;

/// What the log cannot tell.
#[derive(Clone, Copy, Debug, Default)]
pub struct Given<'a> {
    /// Name of the log.
    pub log: &'a str,
    /// Name of the sortie; after the log where none is given.
    pub sortie: Option<&'a str>,
    /// Sweep width, where somebody knows it; the spacing is assumed for it otherwise.
    pub sweep_width: Option<Length>,
}

/// The file.
#[must_use]
pub fn text(inferred: &Inferred, given: Given<'_>) -> String {
    let mut lines = vec![
        format!(
            "# Worked out by overflown {} from the log {}, not from an assignment: the pattern that the flight",
            env!("CARGO_PKG_VERSION"),
            comment(given.log)
        ),
        "# itself fits best. It cannot show that the wrong area was flown, or that a first or last leg was".to_owned(),
        "# missed. Correct what is known better; once it agrees with what was assigned, take `inferred` out."
            .to_owned(),
        "# Behind ± stands how far a value may be off, to either side, with a chance of 95 %, if the flight was".to_owned(),
        "# flown as planned but for chance.".to_owned(),
    ];
    lines.extend(
        inferred
            .remarks()
            .iter()
            .map(|remark| format!("# {remark}")),
    );
    lines.push(format!(
        "sortie = {}",
        quoted(
            &given
                .sortie
                .map_or_else(|| sortie(given.log), str::to_owned)
        )
    ));
    lines.push(format!(
        "date = {}  # of the first fix on a leg, UTC",
        inferred.handled.date
    ));
    lines.push("inferred = true".to_owned());
    if let Layout::Outline(corners) = &inferred.layout {
        lines.extend([
            String::new(),
            "# The legs differ in length: this is the outline they fill, half a spacing past them on all sides."
                .to_owned(),
            "[area]".to_owned(),
            "corners = [".to_owned(),
        ]);
        lines.extend(corners.iter().map(|at| format!("    {},", place(*at))));
        lines.push("]".to_owned());
    }
    lines.extend([String::new(), "[pattern]".to_owned()]);
    lines.extend(pattern(inferred));
    lines.extend([String::new(), "[flight]".to_owned()]);
    lines.extend(flight(inferred));
    lines.extend([String::new(), "[detection]".to_owned()]);
    lines.extend(detection(inferred, given.sweep_width));
    lines.push(String::new());
    lines.join("\n")
}

/// The name of a sortie that has no other: that of its log, without what a folder cannot be called.
#[must_use]
pub fn sortie(log: &str) -> String {
    let stem = log.rsplit_once('.').map_or(log, |(stem, _)| stem);
    let name: String = stem
        .chars()
        .map(|c| {
            if c.is_control() || "/\\:*?\"<>|".contains(c) {
                ' '
            } else {
                c
            }
        })
        .take(LONGEST_NAME)
        .collect();
    let name = name.trim().trim_start_matches('.').trim();
    if name.is_empty() {
        "inferred".to_owned()
    } else {
        format!("{name} inferred")
    }
}

fn pattern(inferred: &Inferred) -> Vec<String> {
    let kind = match inferred.pattern {
        PatternKind::CreepingLine => "creeping line",
        PatternKind::ExpandingSquare => "expanding square",
        PatternKind::Sector => "sector",
        PatternKind::TrackLineReturn => "track line return",
        PatternKind::TrackLineNonReturn => "track line non-return",
        _ => "parallel sweep",
    };
    let turn = match inferred.turn {
        Side::Left => "left",
        Side::Right => "right",
    };
    let course = inferred.first_course_deg;
    let course = format!(
        "first_course = \"{:.2} T\"  # ± {:.2}°",
        // 359.996 is not to become 360.00.
        (course.value * 100.0).round() / 100.0 % 360.0,
        course.within
    );
    let mut lines = vec![format!("kind = \"{kind}\"")];
    let size = |key: &str| estimate(key, inferred.size);
    let start = |key: &str| {
        let (along, across) = (inferred.start_along_within, inferred.start_across_within);
        let within = if along == across {
            format!("within {}", about(along))
        } else {
            format!(
                "± {} along the first leg, ± {} across it",
                about(along),
                about(across)
            )
        };
        format!("{key} = {}  # {within}", place(inferred.start))
    };
    match &inferred.layout {
        Layout::EvenLegs => {
            lines.extend([start("start"), course, format!("turn = \"{turn}\"")]);
            lines.push(size("spacing"));
            lines.extend(inferred.leg_length.map(|length| {
                let scatter = inferred.leg_length_scatter.unwrap_or_default();
                format!(
                    "{}; single legs differ by {} (SD)",
                    estimate("leg_length", length),
                    about(scatter)
                )
            }));
            lines.push(format!("legs = {}", inferred.legs));
        }
        Layout::Outline(_) => {
            lines.extend([start("start"), course, format!("turn = \"{turn}\"")]);
            lines.push(size("spacing"));
            lines.push(format!("legs = {}", inferred.legs));
        }
        Layout::Square { closed } => {
            lines.extend([start("datum"), course, format!("turn = \"{turn}\"")]);
            let spacing = size("spacing");
            lines.push(spacing);
            lines.push(if *closed {
                let sides = inferred.legs.div_ceil(2);
                let side = Length::from_m(rounded(inferred.size).m() * f64::from(sides) * 0.999);
                let side = Length::from_m(side.m().round());
                format!(
                    "size = {}  # {} legs, the last a spacing short",
                    length(side),
                    inferred.legs
                )
            } else {
                format!("legs = {}", inferred.legs)
            });
        }
        Layout::Sector {
            sectors,
            second_pass,
        } => {
            lines.extend([start("datum"), course, format!("turn = \"{turn}\"")]);
            lines.push(size("radius"));
            lines.push(format!("sectors = {sectors}"));
            lines.extend(second_pass.then(|| "second_pass = true".to_owned()));
        }
        Layout::TrackLine([from, to]) => {
            let (along, across) = (inferred.start_along_within, inferred.start_across_within);
            lines.push(format!(
                "line = [{}, {}]  # ends ± {} along it, ± {} across it",
                place(*from),
                place(*to),
                about(along),
                about(across)
            ));
            lines.push(format!("turn = \"{turn}\""));
            lines.push(size("spacing"));
            lines.push(format!("passes = {}", inferred.legs));
        }
    }
    lines
}

fn flight(inferred: &Inferred) -> Vec<String> {
    let (slowest, fastest) = inferred.handled.ground_speeds;
    let kt = |speed: Speed| format!("{:.0}", speed.kt());
    let ground_speed = Speed::from_kt((inferred.handled.ground_speed.kt() * 10.0).round() / 10.0);
    let mut lines = vec![format!(
        "ground_speed = {}  # as flown; single legs {} to {} kt",
        speed(ground_speed),
        kt(slowest),
        kt(fastest)
    )];
    if let (Some(altitude), Some((low, high))) =
        (inferred.handled.altitude, inferred.handled.altitudes)
    {
        lines.push(format!(
            "altitude = {}  # as flown; nine of ten fixes on the legs {:.0} to {:.0} ft",
            length(Length::from_ft(altitude.ft().round())),
            low.ft(),
            high.ft()
        ));
    }
    lines
}

fn detection(inferred: &Inferred, sweep_width: Option<Length>) -> Vec<String> {
    match sweep_width {
        Some(width) => vec![format!("sweep_width = {}  # as given", length(width))],
        None => vec![
            format!("# {ASSUMED_WIDTH}"),
            "# Put in the one that holds for the object and the conditions, and take the second line out.".to_owned(),
            format!("sweep_width = {}", length(inferred.plan_spacing())),
            "sweep_width_assumed = true".to_owned(),
        ],
    }
}

/// What is said of a sweep width that nobody stated.
const ASSUMED_WIDTH: &str = "No log can tell the sweep width. The spacing is assumed for it, that is a coverage factor of 1.";

/// A length with its interval.
fn estimate(key: &str, estimate: Estimate<Length>) -> String {
    format!(
        "{key} = {}  # {}, ± {}",
        length(rounded(estimate)),
        about(estimate.value),
        about(estimate.within)
    )
}

/// To no more digits than its interval deserves.
fn rounded(estimate: Estimate<Length>) -> Length {
    let step_m = if estimate.within.m() > 10.0 * STEP_M {
        STEP_M
    } else {
        STEP_M / 10.0
    };
    Length::from_m(((estimate.value.m() / step_m).round() * step_m * 10.0).round() / 10.0)
}

/// A length for people: miles where it is long, metres where it is short.
fn about(length: Length) -> String {
    if length.m() >= 1852.0 {
        format!("{:.2} NM", length.nm())
    } else if length.m() >= 20.0 {
        format!("{:.0} m", length.m())
    } else {
        format!("{:.1} m", length.m())
    }
}

impl Inferred {
    /// Spacing that the plan of the pattern will have.
    fn plan_spacing(&self) -> Length {
        let spacing = match self.layout {
            Layout::Sector {
                sectors,
                second_pass,
            } => {
                let spokes = f64::from(sectors) * if second_pass { 2.0 } else { 1.0 };
                self.size.value.m() * (std::f64::consts::PI / spokes).sin()
            }
            _ => rounded(self.size).m(),
        };
        Length::from_m((spacing * 10.0).round() / 10.0)
    }

    /// What a reader must know of this plan in particular, sentence by sentence.
    #[must_use]
    pub fn remarks(&self) -> Vec<String> {
        let mut remarks = Vec::new();
        if !self.not_flown.is_empty() {
            let legs: Vec<String> = self.not_flown.iter().map(u32::to_string).collect();
            remarks.push(match legs.as_slice() {
                [leg] => format!(
                    "No straight run lies on leg {leg}: it is in the plan because the others leave room for it."
                ),
                legs => format!(
                    "No straight run lies on legs {}: they are in the plan because the others leave room for them.",
                    legs.join(", ")
                ),
            });
        }
        if !self.in_order {
            remarks.push(
                "The legs were not flown one after the other: they are numbered from the edge flown first, \
                 whatever the order was."
                    .to_owned(),
            );
        }
        if self.pattern == PatternKind::TrackLineReturn && self.legs == 2 {
            remarks.push(
                "Two passes make a track line with return as well as a parallel sweep of two legs; the former \
                 is taken."
                    .to_owned(),
            );
        }
        if let Layout::Outline(_) = self.layout {
            let (length, scatter) = (
                self.leg_length
                    .map_or(Length::default(), |length| length.value),
                self.leg_length_scatter.unwrap_or_default(),
            );
            remarks.push(format!(
                "The legs differ in length (median {}, SD of their ends {}): the area is the outline they fill.",
                about(length),
                about(scatter)
            ));
            let spacing = self.size.value;
            if self.scatter.m() > UNSURE_SCATTER * spacing.m()
                || scatter.m() > UNSURE_ENDS * spacing.m()
            {
                remarks.push(format!(
                    "Number and spacing of the legs are not sure: the lines lie {} (SD) off even spacing of {}, and \
                     their ends differ by {}. Lay the plan over the track before it is used.",
                    about(self.scatter),
                    about(spacing),
                    about(scatter)
                ));
            }
        }
        if !self.others.is_empty() {
            remarks.push(format!(
                "The flight holds other patterns, which are left out: {}.",
                self.others.join("; ")
            ));
        }
        remarks
    }
}
