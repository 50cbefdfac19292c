//! Places dark against the silver around them: which of the areas are speckles and which lines.

use super::Settings;
use super::dark_area::dark_areas;
use super::line::{self, Line};
use super::quiet::Quiet;
use super::speckle::{Speckle, speckle};
use super::windows::Windows;
use crate::frame::panel::Panel;
use crate::ops::label::{Area, Labels};

/// What is dark against the silver around it.
pub(super) struct Dark {
    pub(super) labels: Labels,
    pub(super) speckles: Vec<Speckle>,
    /// The dark area of each speckle, by its number.
    pub(super) area_of: Vec<usize>,
    pub(super) lines: Vec<Line>,
}

impl Dark {
    /// The uncut speckles whose sizes and shapes count, with their areas, and the window each lies in.
    pub(super) fn sized<'a>(
        &'a self,
        windows: &'a Windows,
    ) -> impl Iterator<Item = (&'a Speckle, &'a Area, usize)> {
        let pairs = self.speckles.iter().zip(&self.area_of);
        pairs
            .filter(|(s, _)| s.weight > 0.0)
            .map(|(s, area)| (s, &self.labels.areas[*area], windows.at(s.row, s.col)))
    }
}

/// The speckles of a panel from `floor_mm` up, and its lines.
pub(super) fn find(panel: &Panel, quiet: &Quiet, floor_mm: f64, settings: &Settings) -> Dark {
    let labels = dark_areas(panel, quiet, settings);
    let lines = line::among(&labels, panel, floor_mm, settings);
    let mut line_numbers = lines.iter().map(|line| line.area).peekable();
    let (mut speckles, mut area_of) = (Vec::new(), Vec::new());
    for (number, area) in labels.areas.iter().enumerate() {
        if line_numbers.next_if_eq(&number).is_some() {
            continue;
        }
        if let Some(found) = speckle(area, panel, floor_mm, settings) {
            speckles.push(found);
            area_of.push(number);
        }
    }
    Dark {
        labels,
        speckles,
        area_of,
        lines,
    }
}
