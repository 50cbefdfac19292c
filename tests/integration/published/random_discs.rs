//! Panels of discs thrown at random, some over others (the Boolean model), whose coverage and its error have closed forms.
//!
//! The model has one length, the discs' radius: here it is always 1 mm.

use paneprint::frame::Plane;
use paneprint::frame::panel::{Colour, Panel, SilverScale, Tone};
use paneprint::frame::placement::Side;
use paneprint::measure::{Settings, measure};
use paneprint::quality::FlagSet;
use paneprint::units::{Estimate, SizeMm};
use rand::{RngExt, SeedableRng};
use rand_distr::{Distribution, Poisson};
use rand_pcg::Pcg64;
use statrs::distribution::{ContinuousCDF, StudentsT};

use super::{Table, near};

const PX_PER_MM: f64 = 4.0;

/// A square panel with bare discs of 1 mm radius in full silver.
fn panel(discs_a_mm2: f64, side_mm: f64, seed: u64) -> Panel {
    let mut rng = Pcg64::seed_from_u64(seed);
    let side_px = (side_mm * PX_PER_MM).round() as usize;
    let mut silver = Plane::ones((side_px, side_px));
    // Discs reach in from outside.
    let thrown_over = side_mm + 2.0;
    let count = Poisson::new(discs_a_mm2 * thrown_over.powi(2))
        .unwrap()
        .sample(&mut rng);
    for _ in 0..count as usize {
        let [x, y] = [(); 2].map(|()| (rng.random::<f64>() * thrown_over - 1.0) * PX_PER_MM);
        let span = |middle: f64| {
            let end = |at: f64| (at.ceil().max(0.0) as usize).min(side_px);
            end(middle - PX_PER_MM - 0.5)..end(middle + PX_PER_MM + 0.5)
        };
        for (r, c) in span(y).flat_map(|r| span(x).map(move |c| (r, c))) {
            if (c as f64 + 0.5 - x).hypot(r as f64 + 0.5 - y) < PX_PER_MM {
                silver[[r, c]] = 0.0;
            }
        }
    }
    let cells = Plane::ones((side_px.div_ceil(8), side_px.div_ceil(8)));
    Panel {
        tone: Tone {
            cell_px: 8,
            planes: [cells.clone(), cells.clone(), cells.clone()],
            weight: cells,
        },
        colour: Colour::none(),
        silver,
        rim_mm: 0.0,
        size: SizeMm {
            width: side_mm,
            height: side_mm,
        },
        px_per_mm: PX_PER_MM,
        // As sharp as the standard, so that nothing is smoothed.
        blur_mm: Settings::default().standard_blur_mm,
        side: Side::Front,
        stage: None,
        silver_scale: SilverScale::Mirror,
        light_doubt: 0.0,
        flags: FlagSet::default(),
        steps: Vec::new(),
    }
}

/// Coverage of so many panels, and the standard error that its interval comes from: as many of them to either side as
/// Student's t asks for with the windows there are, less one for each kind.
fn coverages(discs_a_mm2: f64, side_mm: f64, panels: u64) -> Vec<(Estimate, f64)> {
    let read = |seed| {
        let panel = panel(discs_a_mm2, side_mm, seed);
        let numbers = measure(&panel, &Settings::default()).numbers;
        let (rows, cols) = numbers.windows;
        let kinds = if rows.min(cols) > 3 { 4 } else { 1 };
        let student = StudentsT::new(0.0, 1.0, (rows * cols - kinds) as f64).unwrap();
        let coverage = numbers.coverage.unwrap();
        let half = (coverage.high - coverage.low) / 2.0;
        (coverage, half / student.inverse_cdf(0.975))
    };
    (0..panels).map(read).collect()
}

fn mean(values: impl Iterator<Item = f64> + Clone) -> f64 {
    values.clone().sum::<f64>() / values.count() as f64
}

/// Chiu, Stoyan, Kendall & Mecke, Stochastic Geometry and its Applications, 3rd ed., chapter 3: the discs cover
/// 1 − exp(−λ π r²).
#[test]
fn random_discs_cover_what_the_model_says() {
    for row in Table::load("boolean_model_discs.csv").rows() {
        let [density, radius, covered] = row.numbers(["lambda", "r", "coverage"]);
        let discs_a_mm2 = density * radius * radius;
        let panels = 24;
        let read = coverages(discs_a_mm2, 40.0, panels);
        let found = mean(read.iter().map(|(c, _)| c.value));
        let spread = mean(read.iter().map(|(c, _)| (c.value - found).powi(2))).sqrt();
        // Four standard errors of the mean of the panels.
        near(
            covered,
            1.0 - found,
            covered,
            4.0 * spread / (panels as f64 - 1.0).sqrt(),
        );
    }
}

/// The same chapter: the variance of the share covered is the mean of C(h) − p² over the window. An interval of coverage
/// must come from that error.
#[test]
fn intervals_of_coverage_are_as_wide_as_the_true_error() {
    for row in Table::load("boolean_coverage_se.csv").rows() {
        let [density, radius, side] = row.numbers(["lambda", "r", "L"]);
        let error = row.number("SE_exact");
        let covered = row.number("coverage_p");
        let side_mm = side / radius;
        // As many square millimetres of every model.
        let panels = (400_000.0 / (side_mm * side_mm)).clamp(8.0, 100.0) as u64;
        let read = coverages(density * radius * radius, side_mm, panels);
        let found = mean(read.iter().map(|(c, _)| c.value));
        near(
            side_mm,
            1.0 - found,
            covered,
            4.0 * error / (panels as f64).sqrt(),
        );
        let read_error = mean(read.iter().map(|(_, error)| *error));
        near(side_mm, read_error / error, 1.0, 0.1);
    }
}
