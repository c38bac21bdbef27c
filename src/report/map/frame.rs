//! From the ground to the picture: the raster's local plane, north up, one scale both ways.

use crate::debrief::Debrief;
use crate::geodesy::{LocalFrame, Position};
use crate::matching::Phase;
use crate::report::drawing::clip::clipped;
use crate::report::drawing::xy;
use crate::units::Length;
use geo::{Coord, Rect};

/// How far beyond plan and area the flown track may widen the picture, as a share of its longer
/// side. Chosen: turns fit, a transit does not shrink the area.
const TRACK_REACH: f64 = 0.15;
/// Room between the outermost thing and the edge of the picture, pixels: a leg number fits in.
const MARGIN_PX: f64 = 26.0;
/// Legs at least this far apart take lines of full width, pixels.
const ROOMY_PX: f64 = 34.0;
/// Least width and height of the map, pixels.
const LEAST_PX: f64 = 150.0;

/// The projection of one map.
#[derive(Debug)]
pub struct MapFrame<'a> {
    plane: &'a LocalFrame,
    /// North-west corner, metres in the plane.
    corner: Coord<f64>,
    px_per_m: f64,
    width: f64,
    height: f64,
    weight: f64,
}

impl<'a> MapFrame<'a> {
    /// The largest map of a debrief that fits into `widest` by `highest` pixels.
    #[must_use]
    pub fn new(debrief: &'a Debrief, widest: f64, highest: f64) -> Self {
        let plane = &debrief.coverage.raster.frame;
        let ground = extent(debrief, plane);
        Self::of(plane, ground, debrief.plan.spacing, (widest, highest))
    }

    /// The largest map of `ground` in `plane` that fits into so many pixels of width and height;
    /// `spacing` is that of the legs on it.
    #[must_use]
    pub fn of(
        plane: &'a LocalFrame,
        ground: Rect<f64>,
        spacing: Length,
        (widest, highest): (f64, f64),
    ) -> Self {
        let (wide_m, high_m) = (ground.width(), ground.height());
        let room = xy(widest - 2.0 * MARGIN_PX, highest - 2.0 * MARGIN_PX);
        let px_per_m = (room.x / wide_m).min(room.y / high_m);
        let width = (wide_m * px_per_m + 2.0 * MARGIN_PX).max(LEAST_PX).round();
        let height = (high_m * px_per_m + 2.0 * MARGIN_PX).max(LEAST_PX).round();
        let centre = ground.center();
        let corner = xy(
            centre.x - width / px_per_m / 2.0,
            centre.y + height / px_per_m / 2.0,
        );
        Self {
            plane,
            corner,
            px_per_m,
            width,
            height,
            weight: (spacing.m() * px_per_m / ROOMY_PX).clamp(0.4, 1.0),
        }
    }

    /// The same ground in a picture of at least so many pixels, with more of what lies about it.
    #[must_use]
    pub fn with_surroundings(self, width: f64, height: f64) -> Self {
        let (width, height) = (self.width.max(width), self.height.max(height));
        let more = xy(width - self.width, height - self.height) / (2.0 * self.px_per_m);
        Self {
            corner: xy(self.corner.x - more.x, self.corner.y + more.y),
            width,
            height,
            ..self
        }
    }

    /// How heavy lines may be, so that they do not fill the ground between legs; 1 in a roomy map.
    #[must_use]
    pub const fn weight(&self) -> f64 {
        self.weight
    }

    /// Its size in pixels.
    #[must_use]
    pub const fn size(&self) -> Coord<f64> {
        xy(self.width, self.height)
    }

    /// Its frame in pixels.
    #[must_use]
    pub fn rect(&self) -> Rect<f64> {
        Rect::new(xy(0.0, 0.0), self.size())
    }

    /// The ground it shows, metres in the plane.
    #[must_use]
    pub fn ground(&self) -> Rect<f64> {
        let size = self.size() / self.px_per_m;
        Rect::new(
            xy(self.corner.x, self.corner.y - size.y),
            xy(self.corner.x + size.x, self.corner.y),
        )
    }

    /// Pixels per metre.
    #[must_use]
    pub const fn px_per_m(&self) -> f64 {
        self.px_per_m
    }

    /// A place on the map.
    #[must_use]
    pub fn place(&self, position: Position) -> Coord<f64> {
        self.plane_point(self.plane.forward(position))
    }

    /// A point of the plane on the map.
    #[must_use]
    pub fn plane_point(&self, point: Coord<f64>) -> Coord<f64> {
        xy(
            (point.x - self.corner.x) * self.px_per_m,
            (self.corner.y - point.y) * self.px_per_m,
        )
    }

    /// What of a line lies on the map.
    #[must_use]
    pub fn visible(&self, positions: &[Position]) -> Vec<Vec<Coord<f64>>> {
        clipped(&self.line(positions), self.rect())
    }

    /// Several places.
    #[must_use]
    pub fn line(&self, positions: &[Position]) -> Vec<Coord<f64>> {
        positions
            .iter()
            .map(|position| self.place(*position))
            .collect()
    }
}

fn extent(debrief: &Debrief, plane: &LocalFrame) -> Rect<f64> {
    let fixed = debrief
        .plan
        .area_corners
        .iter()
        .copied()
        .chain(
            debrief
                .plan
                .legs
                .iter()
                .flat_map(|leg| [leg.start, leg.end]),
        )
        .chain(
            debrief
                .refly
                .legs
                .iter()
                .flat_map(|leg| [leg.start, leg.end]),
        )
        .chain(
            debrief
                .strips
                .iter()
                .flat_map(|strip| &strip.holes)
                .flat_map(|hole| hole.outline.iter().copied()),
        );
    let raster = &debrief.coverage.raster;
    let mut ground = Rect::new(
        raster.grid.origin,
        raster.grid.origin
            + xy(
                raster.grid.columns as f64 * raster.grid.cell_m,
                raster.grid.rows as f64 * raster.grid.cell_m,
            ),
    );
    for position in fixed {
        ground = widened(ground, plane.forward(position));
    }
    let reach = TRACK_REACH * ground.width().max(ground.height());
    let limit = Rect::new(
        ground.min() - xy(reach, reach),
        ground.max() + xy(reach, reach),
    );
    let flown = debrief.track.iter().filter(|piece| {
        !matches!(
            piece.phase,
            Phase::Ground | Phase::TransitOut | Phase::TransitHome
        )
    });
    for position in flown.flat_map(|piece| &piece.line) {
        let point = plane.forward(*position);
        let near = xy(
            point.x.clamp(limit.min().x, limit.max().x),
            point.y.clamp(limit.min().y, limit.max().y),
        );
        ground = widened(ground, near);
    }
    ground
}

/// The least rectangle around another and a point.
pub fn widened(rect: Rect<f64>, point: Coord<f64>) -> Rect<f64> {
    Rect::new(
        xy(rect.min().x.min(point.x), rect.min().y.min(point.y)),
        xy(rect.max().x.max(point.x), rect.max().y.max(point.y)),
    )
}
