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

#[cfg(test)]
mod tests {
    use super::super::painted::{exact, with_squares};

    #[test]
    fn each_dark_area_is_a_speckle_a_line_or_neither() {
        // A speck of 6 px, a scratch of 4 by 100 px, a blot of 80 px and a pixel.
        let of = exact(|r, c| {
            let speck = (20..26).contains(&r) && (20..26).contains(&c);
            let scratch = (60..64).contains(&r) && (20..120).contains(&c);
            let blot = (120..200).contains(&r) && (120..200).contains(&c);
            f32::from(u8::from(!(speck || scratch || blot || (r, c) == (220, 20))))
        });
        let pixels: Vec<u32> = of.dark.labels.areas.iter().map(|a| a.pixels).collect();
        assert_eq!(pixels, [36, 400, 6400, 1]);
        assert_eq!(of.dark.area_of, [0]);
        assert_eq!(
            of.dark.lines.iter().map(|l| l.area).collect::<Vec<_>>(),
            [1]
        );
        let sized: Vec<(u32, usize)> = of
            .dark
            .sized(&of.windows)
            .map(|(_, area, window)| (area.pixels, window))
            .collect();
        assert_eq!(sized, [(36, 0)]);
    }

    #[test]
    fn a_cut_speck_has_no_size() {
        let of = with_squares(&[[234, 100, 6]]);
        assert_eq!(of.dark.speckles.len(), 1);
        assert_eq!(of.dark.sized(&of.windows).count(), 0);
        assert!(exact(|_, _| 1.0).dark.labels.areas.is_empty());
    }
}
