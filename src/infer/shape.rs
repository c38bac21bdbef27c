//! The figures about a datum, of the size 1.

use super::runs::size;
use geo::Coord;
use std::f64::consts::TAU;

/// Legs of an expanding square that are looked for at most. Chosen: the thirtieth is fifteen spacings long.
const MOST_SQUARE_LEGS: u32 = 30;
/// Numbers of sectors looked for.
const SECTORS: [u32; 4] = [6, 10, 14, 18];
/// Which figure.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Kind {
    Square,
    Sector { sectors: u32, second_pass: bool },
}

/// A leg of the figure in its own plane: the datum at (0, 0), the first course along y, turns to the right.
#[derive(Clone, Copy, Debug)]
pub(super) struct UnitLeg {
    pub(super) start: Coord<f64>,
    pub(super) along: Coord<f64>,
    pub(super) length: f64,
}

/// A figure of the size 1: spacing of an expanding square, radius of a sector search.
#[derive(Clone, Debug)]
pub(super) struct Shape {
    pub(super) kind: Kind,
    pub(super) left: bool,
    pub(super) legs: Vec<UnitLeg>,
    /// What tolerances are counted in: distance of neighbouring legs, in sizes.
    pub(super) unit: f64,
}

impl Shape {
    fn new(kind: Kind, left: bool, corners: &[Coord<f64>], unit: f64) -> Self {
        let corners: Vec<Coord<f64>> = corners
            .iter()
            .map(|at| {
                if left {
                    Coord { x: -at.x, y: at.y }
                } else {
                    *at
                }
            })
            .collect();
        let legs = corners
            .windows(2)
            .map(|pair| {
                let length = size(pair[1] - pair[0]);
                UnitLeg {
                    start: pair[0],
                    along: (pair[1] - pair[0]) / length,
                    length,
                }
            })
            .collect();
        Self {
            kind,
            left,
            legs,
            unit,
        }
    }

    fn square(left: bool) -> Self {
        let mut corners = vec![Coord { x: 0.0, y: 0.0 }];
        let mut at = corners[0];
        for leg in 0..MOST_SQUARE_LEGS {
            let length = f64::from(leg / 2 + 1);
            at = at
                + match leg % 4 {
                    0 => Coord { x: 0.0, y: length },
                    1 => Coord { x: length, y: 0.0 },
                    2 => Coord { x: 0.0, y: -length },
                    _ => Coord { x: -length, y: 0.0 },
                };
            corners.push(at);
        }
        Self::new(Kind::Square, left, &corners, 1.0)
    }

    fn sector(sectors: u32, second_pass: bool, left: bool) -> Self {
        let rim = |turns: f64| {
            let (sin, cos) = (TAU * turns).sin_cos();
            Coord { x: sin, y: cos }
        };
        let apart = 1.0 / f64::from(sectors);
        let mut corners = vec![Coord { x: 0.0, y: 0.0 }];
        for pass in 0..=u32::from(second_pass) {
            let mut spoke = f64::from(pass) * apart / 2.0;
            for _ in 0..sectors / 2 {
                corners.push(rim(spoke));
                corners.push(rim(spoke + apart));
                spoke += apart + 0.5;
            }
            corners.push(Coord { x: 0.0, y: 0.0 });
        }
        let kind = Kind::Sector {
            sectors,
            second_pass,
        };
        Self::new(kind, left, &corners, (TAU * apart / 2.0).sin())
    }

    pub(super) fn all() -> Vec<Self> {
        [false, true]
            .into_iter()
            .flat_map(|left| {
                let sectors = SECTORS.into_iter().flat_map(move |sectors| {
                    [false, true].map(|second_pass| Self::sector(sectors, second_pass, left))
                });
                std::iter::once(Self::square(left)).chain(sectors)
            })
            .collect()
    }
}
