//! What the dark places look like one by one, and how they lie.

use super::dark::Dark;
use super::quiet::Quiet;
use super::windows::Windows;
use super::{Settings, crowding, elongation, line, on_ridges, ring, rows, softness, unevenness};
use crate::frame::panel::Panel;
use crate::stats::bootstrap::Resamples;
use crate::units::Measure;

/// What the dark places look like one by one, and how they lie.
pub(super) struct Shapes {
    pub(super) elongation: Measure,
    pub(super) axis: Measure,
    pub(super) softness: Measure,
    pub(super) rings: Measure,
    pub(super) lines: Measure,
    pub(super) unevenness: Measure,
    pub(super) rows: Measure,
    pub(super) on_ridges: Measure,
    /// Length and direction.
    pub(super) crowding: (Measure, Measure),
}

impl Shapes {
    pub(super) fn measure(
        panel: &Panel,
        quiet: &Quiet,
        dark: &Dark,
        windows: &Windows,
        resamples: Option<&Resamples>,
        settings: &Settings,
    ) -> Self {
        let (elongation, axis) = elongation::measure(dark, panel, windows, resamples, settings);
        Shapes {
            elongation,
            axis,
            softness: softness::measure(dark, panel, windows, resamples),
            rings: ring::measure(dark, panel, quiet, windows, resamples),
            lines: line::measure(&dark.lines, &dark.labels, windows, resamples),
            unevenness: unevenness::of_speckles(&dark.speckles, panel),
            rows: rows::measure(&dark.speckles, panel, settings),
            on_ridges: on_ridges::measure(&dark.speckles, quiet, windows, resamples),
            crowding: crowding::measure(&dark.speckles, panel, windows),
        }
    }
}
