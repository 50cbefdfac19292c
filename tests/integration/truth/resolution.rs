//! One panel read at 4, 6 and 10 pixels to the millimetre: the same measures, speckles from the coarsest floor up.

use paneprint::measure::{Measurements, Settings, measure};
use paneprint::synth::Finish;

use super::{clouds, difference, ridges, specks};
use crate::support::{Row, SAMPLE, assert_within, panel_of, share, turn};

#[test]
fn a_panel_reads_alike_at_four_six_and_ten_pixels_to_the_millimetre() {
    let finish = Finish {
        veil: 0.05,
        clouds: clouds(0.12, 12.0),
        ridges: ridges(70.0, 6.0, 0.3, 4.0),
        speckles: specks(2.0, 1.5),
        ..Finish::seeded(141)
    };
    let read = |px_per_mm: f64| -> Measurements {
        let panel = panel_of(&finish.paint(SAMPLE, px_per_mm), 1);
        measure(&panel, &Settings::default()).numbers
    };
    let (fine, others) = (read(10.0), [("6 px/mm", read(6.0)), ("4 px/mm", read(4.0))]);
    let floor_mm = others[1].1.speckle_floor_mm;
    let mut rows = Vec::new();
    for (name, got) in &others {
        let mut row = |key,
                       of: fn(&Measurements) -> paneprint::units::Measure,
                       off: fn(f64, f64) -> f64,
                       bound| {
            let wanted = of(&fine).ok().map(|e| e.value);
            rows.push(Row::new(name, key, of(got), wanted, off, bound));
        };
        // Half of what a reading may be off by: each of two has a share in a difference.
        row("coverage", |m| m.coverage, difference, 0.005);
        row("dark_fraction", |m| m.dark_fraction, difference, 0.003);
        row("veil_fraction", |m| m.veil_fraction, difference, 0.015);
        row("aggressiveness", |m| m.aggressiveness, difference, 0.5);
        row("streak_angle", |m| m.streak_angle, turn, 0.75);
        row("streak_strength", |m| m.streak_strength, difference, 0.03);
        row("streak_spacing", |m| m.streak_spacing, share, 0.04);
        row("cloud_scale", |m| m.cloud_scale, share, 0.075);
        row("tone_b", |m| m.tone_b, difference, 0.5);
        row("edge_loss", |m| m.edge_loss, difference, 0.01);
        let sized = |m: &Measurements| {
            let sizes = &m.speckle_sizes;
            (
                sizes.density_above(floor_mm),
                sizes.quantile_above(floor_mm, 0.5),
            )
        };
        let ((density, median), (fine_density, fine_median)) = (sized(got), sized(&fine));
        assert!(
            (density / fine_density - 1.0).abs() < 0.03,
            "{name}: {density} {fine_density}"
        );
        let ratio = median.unwrap() / fine_median.unwrap();
        assert!((ratio - 1.0).abs() < 0.03, "{name}: {ratio}");
    }
    assert_within(&rows);
}
