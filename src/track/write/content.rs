//! What is written: tracks, segments, fixes; and what gets lost on the way.

use super::{WriteSettings, measured_from};
use crate::track::{Fix, HeightKind, Reading};
use crate::units::Length;
use std::borrow::Cow;

/// A log as a writer takes it.
pub(super) struct Content<'a> {
    pub(super) tracks: Vec<OutTrack<'a>>,
    pub(super) kind: HeightKind,
    /// Whether heights are written.
    pub(super) heights: bool,
    /// What the format cannot hold, a sentence each.
    pub(super) lost: Vec<String>,
}

/// One track. It has a fix at least, as has each of its segments.
pub(super) struct OutTrack<'a> {
    pub(super) name: Option<Cow<'a, str>>,
    pub(super) segments: Vec<&'a [Fix]>,
}

impl OutTrack<'_> {
    pub(super) fn fixes(&self) -> impl Iterator<Item = &Fix> {
        self.segments.iter().copied().flatten()
    }
}

impl<'a> Content<'a> {
    pub(super) fn of(reading: &'a Reading) -> Self {
        let tracks = reading
            .tracks
            .iter()
            .filter(|track| track.taken)
            .map(|track| OutTrack {
                name: track.name.as_deref().map(printable),
                segments: track
                    .segments_in(reading)
                    .iter()
                    .map(Vec::as_slice)
                    .filter(|segment| !segment.is_empty())
                    .collect(),
            })
            .filter(|track| !track.segments.is_empty());
        Self {
            tracks: tracks.collect(),
            kind: reading.height_kind,
            heights: true,
            lost: Vec::new(),
        }
    }

    pub(super) fn fixes(&self) -> impl Iterator<Item = &Fix> {
        self.tracks.iter().flat_map(OutTrack::fixes)
    }

    /// Height of a fix, if it has one and heights are written, metres.
    pub(super) fn height_m(&self, fix: &Fix) -> Option<f64> {
        fix.height.get().filter(|_| self.heights).map(Length::m)
    }

    pub(super) fn with_height(&self) -> usize {
        self.fixes()
            .filter(|fix| fix.height.get().is_some())
            .count()
    }

    /// Of a format that has heights above mean sea level and no others: leaves others out, or writes them
    /// all the same.
    pub(super) fn heights_above_mean_sea_level(&mut self, name: &str, settings: WriteSettings) {
        let count = self.with_height();
        if count == 0 || self.kind == HeightKind::MeanSeaLevel {
            return;
        }
        self.heights = settings.heights_as_they_are;
        let are = measured_from(self.kind);
        self.lost.push(if self.heights {
            format!(
                "the {count} heights are {are}, but stand in the file as if they were above mean sea level, as \
                 {name} has them"
            )
        } else {
            format!(
                "the {count} heights are left out: they are {are}, and {name} has heights above mean sea level; \
                 --heights-as-they-are writes them all the same"
            )
        });
    }

    /// Of a format that knows no tracks and segments.
    pub(super) fn one_run_only(&mut self, name: &str) {
        let segments: usize = self.tracks.iter().map(|track| track.segments.len()).sum();
        if segments > 1 {
            self.lost.push(format!(
                "{name} cannot tell where the {} and {} of the log begin",
                counted(self.tracks.len(), "track"),
                counted(segments, "segment")
            ));
        }
        let names = self.tracks.iter().filter(|track| track.name.is_some());
        match names.count() {
            0 => {}
            1 => self.lost.push(format!("{name} has no name of the track")),
            count => self
                .lost
                .push(format!("{name} has no names of the {count} tracks")),
        }
    }
}

pub(super) fn counted(count: usize, noun: &str) -> String {
    let s = if count == 1 { "" } else { "s" };
    format!("{count} {noun}{s}")
}

/// A name without control characters and what XML cannot hold (XML 1.0, 2.2).
fn printable(name: &str) -> Cow<'_, str> {
    let bad = |c: char| c.is_control() || matches!(c, '\u{FFFE}' | '\u{FFFF}');
    if name.contains(bad) {
        Cow::Owned(name.replace(bad, " "))
    } else {
        Cow::Borrowed(name)
    }
}
