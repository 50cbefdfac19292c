//! Unevenness: how far places a quarter of the panel wide differ, in loss of silver and in specks, beyond what chance gives.
//!
//! The panel is cut into 4 × 4 places, each into 4 × 4 parts. *Unevenness* is the standard deviation among the places of
//! their mean loss, √(max(0, MS_b − MS_w)/16) by one-way random effects (Searle, Casella & McCulloch 1992, ch. 3): what the
//! parts of a place differ by, places differ by too, by chance. 0 alike all over; 0.29 g of a loss that grows by g across
//! the panel. *Speckle unevenness* is the same of the specks counted in each part, over their mean number: Poisson's chance,
//! and the chance of clumps smaller than a place, lies within the places. Worn edges count: they make places differ. Clouds
//! wider than a part do as well. The intervals are for variance components (`stats/anova.rs`), for sixteen places say little
//! by being drawn anew; a few blots leave them fewer degrees of freedom.

use super::edge_loss::Edges;
use super::speckle::Speckle;
use crate::frame::panel::Panel;
use crate::stats::anova::OneWay;
use crate::units::{Estimate, Measure, Unmeasured};

/// Places along each side.
const PLACES: usize = 4;

/// Parts along each side of a place.
const PARTS: usize = 4;

/// Parts along each side of the panel.
pub(super) const ACROSS: usize = PLACES * PARTS;

/// Fewer degrees of freedom say nothing at all.
const LEAST_FREEDOM: usize = 3;

/// Fewest specks to speak of: two a place.
const FEWEST_SPECKS: usize = 2 * PLACES * PLACES;

/// Standard deviation of the loss among places, with its interval.
pub(super) fn of_loss(edges: &Edges) -> Measure {
    let silver = edges.means(ACROSS).ok_or(Unmeasured::PanelTooSmall)?;
    among_places(&silver)
}

/// Relative standard deviation of the number of specks among places, with its interval.
pub(super) fn of_speckles(found: &[Speckle], panel: &Panel) -> Measure {
    let (rows, cols) = panel.silver.dim();
    if rows.min(cols) < ACROSS {
        return Err(Unmeasured::PanelTooSmall);
    }
    let mut counts = vec![0.0; ACROSS * ACROSS];
    let along =
        |at: f64, side: usize| ((at / side as f64 * ACROSS as f64) as usize).min(ACROSS - 1);
    let counted: Vec<&Speckle> = found.iter().filter(|s| s.counted).collect();
    if counted.len() < FEWEST_SPECKS {
        return Err(Unmeasured::TooFewSpeckles);
    }
    for s in &counted {
        counts[along(s.row, rows) * ACROSS + along(s.col, cols)] += 1.0;
    }
    let mean = counted.len() as f64 / counts.len() as f64;
    among_places(&counts).map(|e| e.scaled(1.0 / mean))
}

/// Standard deviation among the places of what their parts, row by row, hold.
fn among_places(parts: &[f64]) -> Measure {
    let mut places = vec![Vec::new(); PLACES * PLACES];
    for (i, value) in parts.iter().enumerate() {
        let (row, col) = (i / ACROSS, i % ACROSS);
        places[row / PARTS * PLACES + col / PARTS].push(*value);
    }
    let mut found = OneWay::new(&places).ok_or(Unmeasured::PanelTooSmall)?;
    let mean = |place: &Vec<f64>| place.iter().sum::<f64>() / place.len() as f64;
    let means: Vec<f64> = places.iter().map(mean).collect();
    let within = places.iter().zip(&means);
    let off: Vec<f64> = within
        .flat_map(|(place, mean)| place.iter().map(move |v| v - mean))
        .collect();
    found.between_dof = freedom(&means, found.between_dof);
    found.within_dof = freedom(&off, found.within_dof);
    let variance = found.between_variance().ok_or(Unmeasured::PanelTooSmall)?;
    let (low, high) = found
        .between_limits(0.95)
        .ok_or(Unmeasured::PanelTooSmall)?;
    let root = |v: f64| v.max(0.0).sqrt();
    Ok(Estimate {
        value: root(variance),
        low: root(low.min(variance)),
        high: root(high.max(variance)),
    })
}

/// What is left of the degrees of freedom of a mean square of these figures: a few blots make it scatter as a χ² of fewer
/// would, 2/(κ − 1) times as many for a kurtosis κ over the normal's 3.
fn freedom(figures: &[f64], whole: usize) -> usize {
    let n = figures.len() as f64;
    let middle = figures.iter().sum::<f64>() / n;
    let moment = |power: i32| {
        figures
            .iter()
            .map(|v| (v - middle).powi(power))
            .sum::<f64>()
            / n
    };
    let kurtosis = moment(4) / moment(2).powi(2).max(f64::MIN_POSITIVE);
    let share = 2.0 / (kurtosis.max(3.0) - 1.0);
    ((whole as f64 * share) as usize).max(LEAST_FREEDOM)
}

#[cfg(test)]
mod tests {
    use super::super::{Settings, painted};

    #[test]
    fn a_ramp_of_loss_has_the_closed_form_and_an_even_panel_none() {
        // Loss from 0 to g: places' means lie at odd eighths, parts' at odd 32nds of it. MS_b = 16 · 20/15 · g²/16 and
        // MS_w = 16 · 80/1024/240 · … : (4/3 − 1/192)/16 g² = 0.08301 g².
        let g = 0.4;
        let ramp = painted::panel(160.0, 0.1, |x, _| 1.0 - g * x / 160.0);
        let got = super::super::measure(&ramp, &Settings::default())
            .numbers
            .unevenness
            .unwrap();
        assert!(
            (got.value - g * 0.083_01_f64.sqrt()).abs() < 0.001,
            "{got:?}"
        );
        assert!(got.low < got.value && got.value < got.high);
        let even = painted::panel(80.0, 0.1, |_, _| 0.8);
        let got = super::super::measure(&even, &Settings::default())
            .numbers
            .unevenness
            .unwrap();
        assert!(got.value < 0.001 && got.high < 0.002, "{got:?}");
    }

    #[test]
    fn specks_anywhere_are_even_and_crowded_places_are_not() {
        let specks = |points: Vec<[f64; 2]>| {
            let found: Vec<_> = points
                .into_iter()
                .map(super::super::tests::speckle_at)
                .collect();
            let panel = painted::panel(100.0, 0.1, |_, _| 1.0);
            super::of_speckles(&found, &panel).unwrap()
        };
        // By chance the variance comes out under 0 as often as over it.
        let chance: Vec<f64> = (0..40)
            .map(|seed| specks(painted::scattered(500, 100.0, seed)).value)
            .collect();
        let none = chance.iter().filter(|v| **v < 1e-9).count();
        assert!((8..=34).contains(&none), "{none}");
        assert!(chance.iter().all(|v| *v < 0.25), "{chance:?}");
        // Every point of the left half twice: places have 4/3 and 2/3 of the mean, standard deviation 1/3 · √(16/15).
        let twice: Vec<[f64; 2]> = (0..4)
            .flat_map(|seed| painted::scattered(1000, 100.0, 50 + seed))
            .flat_map(|p| vec![p; if p[0] < 50.0 { 2 } else { 1 }])
            .collect();
        let got = specks(twice);
        assert!((got.value - 0.344).abs() < 0.03, "{got:?}");
        assert!(got.low < 0.344 && got.high > 0.344);
    }

    #[test]
    fn places_alike_have_none_and_a_board_of_places_its_spread() {
        use super::super::painted::{exact, sure};
        use super::*;
        let loss = |silver: fn(usize, usize) -> bool| {
            let of = exact(|r, c| f32::from(u8::from(silver(r, c))));
            of_loss(&Edges::new(&of.panel.silver, &of.panel))
        };
        assert_eq!(loss(|_, _| true), sure(0.0));
        assert_eq!(loss(|_, _| false), sure(0.0));
        // Places of 60 px, bare and full by turns, are even within: MS_b = 16 · 16 · (1/2)²/15, over 16 parts.
        let board = loss(|r, c| (r / 60 + c / 60) % 2 == 0).unwrap();
        assert!(
            (board.value - (4.0_f64 / 15.0).sqrt()).abs() < 1e-9,
            "{board:?}"
        );
        assert!(board.low > 0.0 && board.low < board.value && board.value < board.high);
        // A panel of fewer cells than parts.
        let small = crate::frame::drawn::panel(crate::frame::Plane::ones((15, 40)), 1.0);
        assert_eq!(
            of_loss(&Edges::new(&small.silver, &small)),
            Err(Unmeasured::PanelTooSmall)
        );
    }

    #[test]
    fn specks_one_a_part_are_even_and_in_every_other_place_as_uneven_as_their_mean() {
        use super::super::painted::{exact, sure};
        use super::super::tests::speckle_at;
        use super::*;
        let panel = exact(|_, _| 1.0).panel;
        let specks = |is: fn(usize, usize) -> bool| -> Vec<Speckle> {
            let parts = (0..256)
                .map(|i| (i / 16, i % 16))
                .filter(|(r, c)| is(*r, *c));
            let middle = |i: usize| (i as f64 + 0.5) * 1.5;
            parts
                .map(|(r, c)| speckle_at([middle(c), middle(r)]))
                .collect()
        };
        assert_eq!(of_speckles(&specks(|_, _| true), &panel), sure(0.0));
        let board = of_speckles(&specks(|r, c| (r / 4 + c / 4) % 2 == 0), &panel).unwrap();
        assert!(
            (board.value - 2.0 * (4.0_f64 / 15.0).sqrt()).abs() < 1e-9,
            "{board:?}"
        );
        // Two a place are enough, 31 are too few, and none are.
        let few = specks(|r, c| r % 4 == 0 && c % 2 == 0);
        assert!(of_speckles(&few, &panel).is_ok());
        let too_few = Err(Unmeasured::TooFewSpeckles);
        assert_eq!(
            [of_speckles(&few[1..], &panel), of_speckles(&[], &panel)],
            [too_few; 2]
        );
        let row = crate::frame::drawn::panel(crate::frame::Plane::ones((1, 240)), 10.0);
        assert_eq!(of_speckles(&few, &row), Err(Unmeasured::PanelTooSmall));
    }

    #[test]
    fn figures_of_one_size_keep_their_freedom_and_one_blot_leaves_the_least() {
        use super::*;
        assert_eq!(freedom(&[1.0, -1.0, 1.0, -1.0], 240), 240);
        let mut blot = vec![0.0; 240];
        blot[7] = 1.0;
        assert_eq!(freedom(&blot, 240), LEAST_FREEDOM);
        assert_eq!(freedom(&[0.0; 16], 15), 15);
    }
}
