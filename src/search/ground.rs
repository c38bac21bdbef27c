//! The ground of a search: its sub-areas, how likely the object is in each, and the cells it is worked in.

use crate::coverage::{Grid, TooManyCells};
use crate::geodesy::{LocalFrame, Position};
use crate::plan::Area;
use crate::plan::area::{AreaError, MAX_RADIUS};
use crate::tasking::MOST_SUB_AREAS;
use crate::units::Length;
use geo::{BoundingRect, Coord, LineString, MultiPoint, Point, Polygon, Rect};

/// A part of the ground, before it is cut into cells.
#[derive(Clone, Debug, PartialEq)]
pub struct Part {
    /// Its name.
    pub name: String,
    /// Its corners, in order round it.
    pub corners: Vec<Position>,
    /// Probability of containment (POC); shared out by size among the parts without one if `None`.
    pub poc: Option<f64>,
}

/// A sub-area of the ground.
#[derive(Clone, Debug)]
pub struct SubArea {
    /// Its name.
    pub name: String,
    /// Its corners, in order round it.
    pub corners: Vec<Position>,
    /// Probability that the object is in it, before the first sortie.
    pub poc: f64,
    /// Its ground, as far as it is not in a sub-area before it, square metres.
    pub area_m2: f64,
}

/// The ground of a search.
#[derive(Clone, Debug)]
pub struct Ground {
    /// The plane it is worked in.
    pub frame: LocalFrame,
    /// Its cells.
    pub grid: Grid,
    /// Its sub-areas.
    pub sub_areas: Vec<SubArea>,
    /// For each cell the sub-area it lies in, if any.
    pub sub_area_of: Vec<Option<u16>>,
    /// Share of the smaller of two sub-areas that lies in both, the largest there is.
    pub overlap: f64,
}

/// Why parts do not make a ground.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum GroundError {
    /// One of them is not an area.
    #[error("sub-area \"{name}\": {error}")]
    Area {
        /// Which.
        name: String,
        /// Why.
        error: AreaError,
    },
    /// There is none.
    #[error("there is no sub-area")]
    NoPart,
    /// There are too many.
    #[error("there are {0} sub-areas; at most {MOST_SUB_AREAS} can be worked")]
    TooManyParts(usize),
    /// They are too far apart for one plane.
    #[error("the ground reaches {:.0} NM from its middle; at most {:.0} NM can be worked", .0.nm(), MAX_RADIUS.nm())]
    TooLarge(Length),
    /// There are too many cells.
    #[error(transparent)]
    TooManyCells(#[from] TooManyCells),
    /// The probabilities add up to more than 1.
    #[error("the probabilities of containment add up to {0:.3}")]
    TooLikely(f64),
    /// A sub-area has no ground of its own.
    #[error("sub-area \"{0}\" lies wholly within those named before it")]
    NoGround(String),
}

impl GroundError {
    /// Name of the sub-area at fault, where it is one.
    #[must_use]
    pub fn sub_area(&self) -> Option<&str> {
        match self {
            Self::Area { name, .. } | Self::NoGround(name) => Some(name),
            Self::NoPart
            | Self::TooManyParts(_)
            | Self::TooLarge(_)
            | Self::TooManyCells(_)
            | Self::TooLikely(_) => None,
        }
    }
}

impl Ground {
    /// The ground made of `parts`, in cells fine enough for `spacing` and `sweep_width`, the smallest of
    /// all sorties. A cell belongs to the first part that it lies in.
    ///
    /// # Errors
    /// See [`GroundError`].
    pub fn new(parts: &[Part], spacing: Length, sweep_width: Length) -> Result<Self, GroundError> {
        if parts.len() > MOST_SUB_AREAS {
            return Err(GroundError::TooManyParts(parts.len()));
        }
        for part in parts {
            Area::new(&part.corners).map_err(|error| GroundError::Area {
                name: part.name.clone(),
                error,
            })?;
        }
        let frame = common_frame(parts)?;
        let rings: Vec<Polygon<f64>> = parts
            .iter()
            .map(|part| {
                let ring: Vec<Coord<f64>> =
                    part.corners.iter().map(|c| frame.forward(*c)).collect();
                Polygon::new(LineString::from(ring), Vec::new())
            })
            .collect();
        let bounds = rings
            .iter()
            .filter_map(BoundingRect::bounding_rect)
            .reduce(|a, b| {
                Rect::new(
                    Coord {
                        x: a.min().x.min(b.min().x),
                        y: a.min().y.min(b.min().y),
                    },
                    Coord {
                        x: a.max().x.max(b.max().x),
                        y: a.max().y.max(b.max().y),
                    },
                )
            })
            .unwrap_or_else(|| Rect::new(Coord { x: 0.0, y: 0.0 }, Coord { x: 0.0, y: 0.0 }));
        let grid = Grid::spanning(bounds, spacing, sweep_width)?;
        let mut sub_area_of = vec![None; grid.columns * grid.rows];
        let mut cells = vec![0u32; parts.len()];
        let mut overlap = 0.0f64;
        for ((i, ring), own) in rings.iter().enumerate().zip(0_u16..) {
            let (mut all, mut shared) = (0u32, 0u32);
            for (cell, inside) in grid.inside_ring(ring.exterior()).into_iter().enumerate() {
                if inside {
                    all += 1;
                    if sub_area_of[cell].is_some() {
                        shared += 1;
                    } else {
                        sub_area_of[cell] = Some(own);
                    }
                }
            }
            cells[i] = all - shared;
            if cells[i] == 0 {
                return Err(GroundError::NoGround(parts[i].name.clone()));
            }
            overlap = overlap.max(f64::from(shared) / f64::from(all));
        }
        Ok(Self {
            sub_areas: sub_areas(parts, &cells, grid.cell_m)?,
            frame,
            grid,
            sub_area_of,
            overlap,
        })
    }

    /// Probability that the object is in each cell, before the first sortie: the POC of a sub-area is
    /// spread evenly over its ground.
    #[must_use]
    pub fn prior(&self) -> Vec<f32> {
        let cell_m2 = self.grid.cell_m * self.grid.cell_m;
        let density: Vec<f64> = self
            .sub_areas
            .iter()
            .map(|sub_area| sub_area.poc * cell_m2 / sub_area.area_m2)
            .collect();
        self.sub_area_of
            .iter()
            .map(|of| of.map_or(0.0, |i| density[usize::from(i)] as f32))
            .collect()
    }
}

/// A plane about the middle of all corners.
fn common_frame(parts: &[Part]) -> Result<LocalFrame, GroundError> {
    let corners = || parts.iter().flat_map(|part| &part.corners);
    let Some(first) = corners().next() else {
        return Err(GroundError::NoPart);
    };
    let rough = LocalFrame::new(*first);
    let points: MultiPoint<f64> = corners().map(|c| Point::from(rough.forward(*c))).collect();
    let middle = points
        .bounding_rect()
        .map_or(*first, |bounds| rough.inverse(bounds.center()));
    let reach_m = corners()
        .map(|c| crate::geodesy::geodesic::distance(middle, *c).m())
        .fold(0.0, f64::max);
    if reach_m > MAX_RADIUS.m() {
        return Err(GroundError::TooLarge(Length::from_m(reach_m)));
    }
    Ok(LocalFrame::new(middle))
}

fn sub_areas(parts: &[Part], cells: &[u32], cell_m: f64) -> Result<Vec<SubArea>, GroundError> {
    let given: f64 = parts.iter().filter_map(|part| part.poc).sum();
    if given > 1.0 + 1e-9 {
        return Err(GroundError::TooLikely(given));
    }
    let free: u32 = parts
        .iter()
        .zip(cells)
        .filter(|(part, _)| part.poc.is_none())
        .map(|(_, cells)| cells)
        .sum();
    Ok(parts
        .iter()
        .zip(cells)
        .map(|(part, cells)| SubArea {
            name: part.name.clone(),
            corners: part.corners.clone(),
            poc: part
                .poc
                .unwrap_or_else(|| (1.0 - given).max(0.0) * f64::from(*cells) / f64::from(free)),
            area_m2: f64::from(*cells) * cell_m * cell_m,
        })
        .collect())
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_relative_eq;

    fn square(name: &str, lat: f64, lon: f64, poc: Option<f64>) -> Part {
        let corner = |dlat: f64, dlon: f64| Position::new(lat + dlat, lon + dlon).unwrap();
        Part {
            name: name.into(),
            corners: vec![
                corner(0.0, 0.0),
                corner(0.1, 0.0),
                corner(0.1, 0.1),
                corner(0.0, 0.1),
            ],
            poc,
        }
    }

    fn ground(parts: &[Part]) -> Result<Ground, GroundError> {
        Ground::new(parts, Length::from_nm(0.5), Length::from_nm(0.5))
    }

    /// What is given stays, the rest is shared out by size; and the cells add up to it.
    #[test]
    fn likelihood_is_shared_out() {
        let parts = [
            square("A", 47.0, 12.0, Some(0.5)),
            square("B", 47.0, 12.1, None),
            square("C", 47.1, 12.0, None),
        ];
        let ground = ground(&parts).unwrap();
        let poc: Vec<f64> = ground.sub_areas.iter().map(|s| s.poc).collect();
        assert_relative_eq!(poc[0], 0.5);
        assert_relative_eq!(poc[1] + poc[2], 0.5, max_relative = 1e-12);
        // The northern one is smaller by cos 47.15° / cos 47.05°.
        assert_relative_eq!(poc[2] / poc[1], 0.998_13, max_relative = 4e-3);
        let total: f64 = ground.prior().iter().map(|p| f64::from(*p)).sum();
        assert_relative_eq!(total, 1.0, max_relative = 1e-4);
    }

    #[test]
    fn overlapping_ground_counts_once() {
        let ground = ground(&[
            square("A", 47.0, 12.0, None),
            square("B", 47.0, 12.05, None),
        ])
        .unwrap();
        assert_relative_eq!(ground.overlap, 0.5, max_relative = 0.02);
        assert_relative_eq!(
            ground.sub_areas[1].area_m2 / ground.sub_areas[0].area_m2,
            0.5,
            max_relative = 0.02
        );
    }

    #[test]
    fn refuses_what_makes_no_ground() {
        let a = square("A", 47.0, 12.0, Some(0.7));
        let error = |parts: &[Part]| ground(parts).unwrap_err();
        let b = square("B", 47.2, 12.0, Some(0.4));
        assert_eq!(error(&[a.clone(), b]), GroundError::TooLikely(0.7 + 0.4));
        let again = Part {
            name: "A again".into(),
            poc: None,
            ..a.clone()
        };
        assert_eq!(
            error(&[a.clone(), again]),
            GroundError::NoGround("A again".into())
        );
        let far = square("far", 52.0, 12.0, None);
        assert!(matches!(error(&[a, far]), GroundError::TooLarge(_)));
    }
}
