//! What is in view beside the track: the sides looked from, and the strip under the aircraft that is not.

use super::Scanners;
use crate::units::Length;

/// Cells are at most this share of the blind strip wide. Chosen: its edges then fall within an eighth of it.
const CELLS_ACROSS_BLIND: f64 = 4.0;
/// Cells are at most this share of the sweep width wide (see `Grid::over`).
const CELLS_ACROSS_WIDTH: f64 = 8.0;

/// What is in view beside a straight piece of track, and beside its line before and behind it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct View {
    /// Sides looked from.
    pub scanners: Scanners,
    /// Full width of the strip centred on the track in which nothing is seen, metres; 0 for none.
    pub blind_m: f64,
}

impl View {
    /// Both sides, nothing blind.
    pub const WHOLE: Self = Self::of(Scanners::Both);

    /// These sides, nothing blind.
    #[must_use]
    pub const fn of(scanners: Scanners) -> Self {
        Self {
            scanners,
            blind_m: 0.0,
        }
    }

    /// Whether all places are in view.
    #[must_use]
    pub fn is_whole(&self) -> bool {
        self.scanners == Scanners::Both && self.blind_m <= 0.0
    }

    /// Whether a place at this signed distance from the track, metres, right positive, is in view.
    #[must_use]
    pub fn sees(&self, cross_m: f64) -> bool {
        let edge_m = self.blind_m / 2.0;
        match self.scanners {
            Scanners::Both => cross_m.abs() >= edge_m,
            Scanners::Left => cross_m <= -edge_m,
            Scanners::Right => cross_m >= edge_m,
        }
    }

    /// Whether what is in view changes within `radius_m` of a place at this signed distance.
    #[must_use]
    pub fn is_cut_within(&self, cross_m: f64, radius_m: f64) -> bool {
        let edge_m = self.blind_m / 2.0;
        let near = |edge_m: f64| (cross_m - edge_m).abs() <= radius_m;
        match self.scanners {
            Scanners::Both => edge_m > 0.0 && (near(edge_m) || near(-edge_m)),
            Scanners::Left => near(-edge_m),
            Scanners::Right => near(edge_m),
        }
    }

    /// Share of the sides looked from.
    #[must_use]
    pub const fn sides(&self) -> f64 {
        match self.scanners {
            Scanners::Both => 1.0,
            Scanners::Left | Scanners::Right => 0.5,
        }
    }

    /// Share of the effort of a passage that is left of it: half from one side, and without the blind
    /// strip. In it a lateral range curve has at most the area B, so at least 1 - B/W is left.
    #[must_use]
    pub fn share(&self, sweep_width: Length) -> f64 {
        self.sides() * (1.0 - self.blind_m / sweep_width.m()).max(0.0)
    }

    /// The sweep width or what is to be resolved as finely as one: the smaller of W and twice the blind strip,
    /// of which cells are then a quarter wide.
    #[must_use]
    pub fn detail(&self, sweep_width: Length) -> Length {
        if self.blind_m > 0.0 {
            let blind_m = self.blind_m * CELLS_ACROSS_WIDTH / CELLS_ACROSS_BLIND;
            Length::from_m(sweep_width.m().min(blind_m))
        } else {
            sweep_width
        }
    }
}
