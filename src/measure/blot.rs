//! Blots: dark areas larger than a speckle.

use ndarray::Axis;

use super::Settings;
use super::dark::Dark;
use super::dark_area::diameter_mm;
use super::line;
use super::quiet::Quiet;
use super::windows::Windows;
use crate::frame::panel::Panel;
use crate::ops::label::{Area, add_runs, label};
use crate::stats::bootstrap::Resamples;
use crate::units::{Measure, Unmeasured};

/// Share of the area in dark areas (s under 0.5) larger than a speckle, lines left aside.
pub(super) fn measure(
    panel: &Panel,
    dark_places: &Dark,
    quiet: &Quiet,
    windows: &Windows,
    resamples: Option<&Resamples>,
    settings: &Settings,
) -> Measure {
    let dark = settings.dark_below as f32;
    let (rows, cols) = panel.silver.dim();
    let darker = quiet.darker(cols, dark);
    let labels = label(rows, |r, runs| {
        let row = panel.silver.row(r);
        for stretch in &darker[r / quiet.cell_px] {
            let row = row.slice_axis(Axis(0), stretch.clone().into());
            let row = row.as_slice().unwrap_or(&[]);
            add_runs(row.iter().map(|s| *s < dark), stretch.start, runs);
        }
    });
    let mut large: Vec<bool> = labels
        .areas
        .iter()
        .map(|a| diameter_mm(a, panel) > settings.speckle_diameter_mm.1)
        .collect();
    // A cloud may be as long and thin; a line is dark against what is around it too.
    let meets = |a: (u32, u32), b: (u32, u32)| a.0 <= b.1 && b.0 <= a.1;
    let is_line = |area: &Area| {
        let mut lines = dark_places
            .lines
            .iter()
            .map(|l| &dark_places.labels.areas[l.area]);
        lines.any(|l| meets(l.rows, area.rows) && meets(l.cols, area.cols))
    };
    for line in line::among(&labels, panel, settings.speckle_diameter_mm.1, settings) {
        large[line.area] &= !is_line(&labels.areas[line.area]);
    }
    let mut blotted = vec![0.0; windows.count()];
    let blots = labels.runs.iter().filter(|r| large[r.area as usize]);
    windows.add_runs(blots, |_| 1.0, &mut blotted);
    resamples
        .and_then(|r| r.ratio(&blotted, &windows.areas_px()))
        .ok_or(Unmeasured::PanelTooSmall)
}

#[cfg(test)]
mod tests {
    use super::super::painted::{Exact, assert_near, exact, sure, with_squares};
    use super::*;

    fn blots(of: &Exact) -> Measure {
        measure(
            &of.panel,
            &of.dark,
            &of.quiet,
            &of.windows,
            of.resamples(),
            &of.settings,
        )
    }

    #[test]
    fn bare_glass_is_one_blot_and_silver_holds_none() {
        assert_eq!(blots(&exact(|_, _| 1.0)), sure(0.0));
        assert_eq!(blots(&exact(|_, _| 0.0)), sure(1.0));
        // Dark is under 0.5.
        assert_eq!(blots(&exact(|_, _| 0.5)), sure(0.0));
        assert_eq!(blots(&exact(|_, _| 0.49)), sure(1.0));
    }

    #[test]
    fn a_blot_is_larger_than_a_speckle() {
        // 53 pixels make an equivalent diameter of 5.98 mm, 54 of 6.09.
        assert_eq!(blots(&with_squares(&[[90, 90, 53]])), sure(0.0));
        assert_near(
            blots(&with_squares(&[[90, 90, 54]])),
            (54.0_f64 / 240.0).powi(2),
        );
        assert_eq!(blots(&with_squares(&[[100, 100, 1]])), sure(0.0));
    }

    #[test]
    fn a_scratch_is_no_blot() {
        // 18 by 180 px are 6.4 mm across by their area.
        let scratch = exact(|r, c| {
            f32::from(u8::from(
                !((100..118).contains(&r) && (30..210).contains(&c)),
            ))
        });
        assert_eq!(scratch.dark.lines.len(), 1);
        assert_eq!(blots(&scratch), sure(0.0));
        let none = measure(
            &scratch.panel,
            &scratch.dark,
            &scratch.quiet,
            &scratch.windows,
            None,
            &scratch.settings,
        );
        assert_eq!(none, Err(Unmeasured::PanelTooSmall));
    }
}
