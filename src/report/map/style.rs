//! Pens: every phase and every cause differs in its dashes as well as in its colour.

use crate::coverage::HoleCause;
use crate::matching::Phase;
use crate::report::drawing::Pen;
use crate::report::drawing::hatch::Slant;
use crate::report::palette::Ink;

/// Planned legs: chalk between dark edges.
pub const PLANNED: Pen = Pen::solid(Ink::Chalk, 1.2)
    .dashed(&[7.0, 5.0])
    .cased(Ink::Edge);
/// Legs to re-fly.
pub const REFLY: Pen = Pen::solid(Ink::Missed, 2.6)
    .dashed(&[10.0, 4.0])
    .cased(Ink::Edge);
/// The edge of a strip that is at target.
pub const STRIP_AT_TARGET: Pen = Pen::solid(Ink::Chalk, 1.0).cased(Ink::Edge);
/// The edge of a strip that is to be flown again.
pub const STRIP_TO_REFLY: Pen = Pen::solid(Ink::Missed, 2.0)
    .dashed(&[2.0, 4.0])
    .cased(Ink::Edge);
/// The edge of the area.
pub const AREA: Pen = Pen::solid(Ink::Text, 1.6).cased(Ink::Paper);

/// The pen of a flown phase.
#[must_use]
pub const fn phase_pen(phase: Phase) -> Pen {
    let pen = match phase {
        Phase::Ground => Pen::solid(Ink::Transit, 1.0).dashed(&[1.0, 3.0]),
        Phase::TransitOut => Pen::solid(Ink::Transit, 1.2).dashed(&[12.0, 4.0]),
        Phase::TransitHome => Pen::solid(Ink::Transit, 1.2).dashed(&[12.0, 4.0, 2.0, 4.0]),
        Phase::BoundaryCheck => Pen::solid(Ink::BoundaryCheck, 1.6).dashed(&[6.0, 4.0]),
        Phase::SearchLeg => Pen::solid(Ink::SearchLeg, 1.8),
        Phase::AdditionalLeg => Pen::solid(Ink::AdditionalLeg, 2.0).dashed(&[14.0, 3.0]),
        Phase::Turn => Pen::solid(Ink::Turn, 1.4).dashed(&[2.0, 2.5]),
        Phase::Orbit => Pen::solid(Ink::Orbit, 2.0).dashed(&[4.0, 2.0]),
        Phase::Excursion => Pen::solid(Ink::Excursion, 2.0).dashed(&[9.0, 3.0, 2.0, 3.0]),
        Phase::NotRecorded => Pen::solid(Ink::NotRecorded, 1.2).dashed(&[1.5, 6.0]),
    };
    pen.cased(Ink::Paper)
}

/// How a hole is marked.
#[derive(Clone, Copy, Debug)]
pub struct HoleStyle {
    /// Its outline.
    pub outline: Pen,
    /// Its hatching.
    pub hatching: Pen,
    /// Which way the hatching leans.
    pub slant: Slant,
}

impl HoleStyle {
    /// Missed: orange, rising. Not recorded: chalk, falling, its outline broken.
    #[must_use]
    pub const fn of(cause: HoleCause) -> Self {
        match cause {
            HoleCause::Missed => Self {
                outline: Pen::solid(Ink::Missed, 1.8).cased(Ink::Edge),
                hatching: Pen::solid(Ink::Missed, 1.2),
                slant: Slant::Rising,
            },
            HoleCause::NotRecorded => Self {
                outline: Pen::solid(Ink::Chalk, 1.8)
                    .dashed(&[3.0, 3.0])
                    .cased(Ink::Edge),
                hatching: Pen::solid(Ink::Chalk, 1.0).dashed(&[4.0, 3.0]),
                slant: Slant::Falling,
            },
        }
    }
}
