//! A crossed study: every panel in every session, several times. How much of the scatter is the panels', how much the rig's.
//!
//! y = m + panel + session + panel·session + error, all of them random, with n repeats in each of p × o cells. Where the
//! interaction is taken for none, its squares and those of the repeats are pooled. Of mean squares MS the variances are
//! repeatability MS_r, interaction (MS_i − MS_r)/n, session (MS_s − MS_i)/(pn) and panel (MS_p − MS_i)/(on), the pooled
//! mean square standing for both MS_r and MS_i (Montgomery & Runger 1993, Quality Engineering 6, 289–305; Burdick, Borror &
//! Montgomery 2005, "Design and analysis of gauge R&R studies", ch. 3). The figures are first centred on their mean.

use statrs::distribution::{ContinuousCDF, FisherSnedecor};

use super::spread::Spread;

/// The interaction is taken for none where chance alone makes one as large more often than this.
const POOLED_OVER: f64 = 0.25;
/// No chance is left beyond this F, and one much larger overflows.
const LARGEST_F: f64 = 1e100;

/// A sum of squares over its degrees of freedom.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct MeanSquare {
    /// The mean square, in the squared unit of the figures; at least 0.
    pub square: f64,
    /// Degrees of freedom, at least 1.
    pub dof: usize,
}

impl MeanSquare {
    fn new(squares: f64, dof: usize) -> Self {
        MeanSquare {
            square: squares / dof as f64,
            dof,
        }
    }

    fn pooled(a: Self, b: Self) -> Self {
        let squares = a.square * a.dof as f64 + b.square * b.dof as f64;
        MeanSquare::new(squares, a.dof + b.dof)
    }
}

/// What scatters between panels, sessions and repeats. Variances are in the squared unit of the figures, and at least 0.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Crossed {
    /// Mean square between panels.
    pub panel: MeanSquare,
    /// Mean square between sessions.
    pub session: MeanSquare,
    /// Mean square of their interaction: panels that differ more in one session than in another.
    pub interaction: MeanSquare,
    /// Mean square between the repeats of a cell.
    pub repeat: MeanSquare,
    /// F of the interaction over the repeats; `None` where all repeats are equal.
    pub interaction_f: Option<f64>,
    /// Chance of so large an F with no interaction, 0 to 1; `None` where all repeats are equal.
    pub interaction_p: Option<f64>,
    /// The repeats pooled with the interaction, where p is over 0.25.
    pub pooled: Option<MeanSquare>,
    /// Variance of repeats, pooled where they are.
    pub repeatability: f64,
    /// Variance between sessions, interaction included.
    pub reproducibility: f64,
    /// Variance between panels.
    pub between_panels: f64,
}

impl Crossed {
    /// Of figures by panel, session and repeat; `None` of fewer than two of any, where some cells hold more than others, or
    /// where the squares overflow.
    #[must_use]
    pub fn new(cells: &[Vec<Vec<f64>>]) -> Option<Self> {
        let first = cells.first()?;
        let [p, o, n] = [cells.len(), first.len(), first.first()?.len()];
        let whole = |panel: &Vec<Vec<f64>>| panel.len() == o && panel.iter().all(|c| c.len() == n);
        if p.min(o).min(n) < 2 || !cells.iter().all(whole) {
            return None;
        }
        let middle = Spread::of(&cells.concat().concat())?.mean;
        let centred =
            |cell: &Vec<f64>| Spread::of(&cell.iter().map(|v| v - middle).collect::<Vec<_>>());
        let spreads = cells
            .iter()
            .map(|panel| panel.iter().map(centred).collect())
            .collect::<Option<Vec<Vec<Spread>>>>()?;

        let of_panel = |i: usize| spreads[i].iter().map(|s| s.mean).sum::<f64>() / o as f64;
        let of_session = |j: usize| spreads.iter().map(|s| s[j].mean).sum::<f64>() / p as f64;
        let panels: Vec<f64> = (0..p).map(of_panel).collect();
        let sessions: Vec<f64> = (0..o).map(of_session).collect();
        let apart = |i: usize, j: usize| (spreads[i][j].mean - panels[i] - sessions[j]).powi(2);
        let apart: f64 = (0..p * o).map(|at| apart(at / o, at % o)).sum();
        let within: f64 = spreads.iter().flatten().map(|s| s.squares).sum();

        let squares = [
            Spread::of(&panels)?.squares * (o * n) as f64,
            Spread::of(&sessions)?.squares * (p * n) as f64,
            apart * n as f64,
            within,
        ];
        let dofs = [p - 1, o - 1, (p - 1) * (o - 1), p * o * (n - 1)];
        let finite = squares.iter().all(|s| s.is_finite());
        finite.then(|| Crossed::from_squares(squares, dofs, [p, o, n]))
    }

    /// Of the sums of squares of panels, sessions, interaction and repeats.
    fn from_squares(squares: [f64; 4], dofs: [usize; 4], [p, o, n]: [usize; 3]) -> Self {
        let [panel, session, interaction, repeat] =
            [0, 1, 2, 3].map(|i| MeanSquare::new(squares[i], dofs[i]));
        let f = (repeat.square > 0.0).then(|| interaction.square / repeat.square);
        let chance = f.and_then(|f| {
            let d = FisherSnedecor::new(interaction.dof as f64, repeat.dof as f64).ok()?;
            Some(d.sf(f.min(LARGEST_F)))
        });
        let pooled = chance
            .filter(|chance| *chance > POOLED_OVER)
            .map(|_| MeanSquare::pooled(interaction, repeat));
        let [error, within] = [interaction, repeat].map(|own| pooled.unwrap_or(own).square);
        let variance = |of: f64, less: f64, figures: usize| ((of - less) / figures as f64).max(0.0);
        Crossed {
            panel,
            session,
            interaction,
            repeat,
            interaction_f: f,
            interaction_p: chance,
            pooled,
            repeatability: within,
            reproducibility: variance(session.square, error, p * n) + variance(error, within, n),
            between_panels: variance(panel.square, error, o * n),
        }
    }

    /// Variance of one reading of a panel in any session: repeatability and reproducibility.
    #[must_use]
    pub fn rig(&self) -> f64 {
        self.repeatability + self.reproducibility
    }

    /// The rig's share of the standard deviation of one reading of any panel, 0 to 1; `None` where nothing scatters.
    #[must_use]
    pub fn rig_share(&self) -> Option<f64> {
        let all = self.rig() + self.between_panels;
        (all > 0.0).then(|| (self.rig() / all).sqrt())
    }

    /// How many kinds of panel the rig tells apart, √2 of the panels' standard deviation over its own, which whole kinds
    /// round down; `None` where the rig does not scatter.
    #[must_use]
    pub fn kinds(&self) -> Option<f64> {
        (self.rig() > 0.0).then(|| (2.0 * self.between_panels / self.rig()).sqrt())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Two panels in two sessions, each cell its mean and a repeat as far below as above.
    fn study(means: [[f64; 2]; 2], apart: f64) -> Vec<Vec<Vec<f64>>> {
        let cell = |mean: &f64| vec![mean - apart, mean + apart];
        means.map(|p| p.iter().map(cell).collect()).to_vec()
    }

    #[track_caller]
    fn same(found: f64, worked: f64) {
        assert!((found - worked).abs() < 1e-12, "{found}, {worked}");
    }

    #[test]
    fn a_study_with_an_interaction_worked_by_hand() {
        // Panel means 1, 13, sessions 4, 10, middle 7: squares 4(36 + 36), 4(9 + 9), 2 × 4 × 2², 8 × 0.5².
        let found = Crossed::new(&study([[0.0, 2.0], [8.0, 18.0]], 0.5)).unwrap();
        let squares = [found.panel, found.session, found.interaction, found.repeat];
        assert_eq!(squares.map(|s| s.dof), [1, 1, 1, 4]);
        for (found, worked) in squares.iter().zip([288.0, 72.0, 32.0, 0.5]) {
            same(found.square, worked);
        }
        same(found.interaction_f.unwrap(), 64.0);
        assert!(found.interaction_p.unwrap() < 0.01 && found.pooled.is_none());
        same(found.repeatability, 0.5);
        same(found.reproducibility, 40.0 / 4.0 + 31.5 / 2.0);
        same(found.between_panels, 256.0 / 4.0);
    }

    #[test]
    fn no_interaction_is_pooled_with_the_repeats() {
        // Squares 4(25 + 25), 4(1 + 1), 0 and 8 × 1² on 1, 1, 1 and 4; pooled 8/5.
        let found = Crossed::new(&study([[0.0, 2.0], [10.0, 12.0]], 1.0)).unwrap();
        same(found.interaction_p.unwrap(), 1.0);
        let pooled = found.pooled.unwrap();
        assert_eq!(pooled.dof, 5);
        same(pooled.square, 1.6);
        same(found.repeatability, 1.6);
        same(found.reproducibility, (8.0 - 1.6) / 4.0);
        same(found.between_panels, (200.0 - 1.6) / 4.0);
        same(found.rig_share().unwrap(), (3.2_f64 / 52.8).sqrt());
        same(found.kinds().unwrap(), (2.0 * 49.6_f64 / 3.2).sqrt());
    }

    #[test]
    fn large_figures_keep_their_small_differences() {
        let near = Crossed::new(&study([[0.0, 2.0], [8.0, 18.0]], 0.5)).unwrap();
        let far = Crossed::new(&study([[1e9, 1e9 + 2.0], [1e9 + 8.0, 1e9 + 18.0]], 0.5)).unwrap();
        same(far.between_panels, near.between_panels);
        same(far.repeat.square, near.repeat.square);
    }

    #[test]
    fn panels_and_sessions_that_differ_less_than_repeats_have_no_variance() {
        let found = Crossed::new(&study([[0.0, 0.1], [0.1, 0.0]], 5.0)).unwrap();
        assert_eq!((found.reproducibility, found.between_panels), (0.0, 0.0));
        assert_eq!(found.rig_share(), Some(1.0));
    }

    #[test]
    fn equal_repeats_leave_no_f_and_equal_figures_nothing() {
        let found = Crossed::new(&study([[0.0, 2.0], [8.0, 18.0]], 0.0)).unwrap();
        assert_eq!((found.interaction_f, found.interaction_p), (None, None));
        same(found.reproducibility, 40.0 / 4.0 + 32.0 / 2.0);
        let found = Crossed::new(&study([[0.1; 2]; 2], 0.0)).unwrap();
        assert_eq!((found.rig_share(), found.kinds()), (None, None));
    }

    #[test]
    fn too_few_uneven_and_overflowing_cells_are_refused() {
        let whole = study([[0.0, 2.0], [8.0, 18.0]], 0.5);
        assert_eq!(Crossed::new(&[]), None);
        assert_eq!(Crossed::new(&whole[..1]), None);
        let each = |change: fn(&mut Vec<Vec<f64>>)| {
            let mut cells = whole.clone();
            cells.iter_mut().for_each(change);
            Crossed::new(&cells)
        };
        assert_eq!(each(Vec::clear), None);
        assert_eq!(each(|panel| panel.truncate(1)), None);
        assert_eq!(
            each(|panel| panel.iter_mut().for_each(|c| c.truncate(1))),
            None
        );
        assert_eq!(each(|panel| panel[1].truncate(1)), None);
        assert_eq!(Crossed::new(&study([[0.0, 1e200], [0.0, 0.0]], 1.0)), None);
    }
}
