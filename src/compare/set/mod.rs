//! Panels that hang together: which are odd, which to remake, do they drift, and where does the variety lie.
//!
//! Reading order: `odd` says which stand apart, `remakes` the fewest that must go for the rest to agree, `drift` what
//! changes in the order of making, `variety` how much of the differences lies between panels and how much within them.

mod drift;
mod odd;
mod remakes;
mod variety;

use crate::error::{Error, Result};
use crate::fingerprint::Verdict;

use super::terms::Terms;
use super::verdict::{Lean, Match, Side, compare};

pub use drift::Drift;
pub use odd::Odd;
pub use variety::Variance;

/// Fewest panels among which one can be odd: of two nobody knows which, of three one more would settle it.
pub const FEWEST_FOR_ODD: usize = 3;

/// What was found of a set, panels by their place in the order given.
#[derive(Debug, Clone)]
pub struct Set {
    /// Outside where one is odd or must be remade; unsure where most pairs are too close to call; else within.
    pub verdict: Verdict,
    /// Panel by panel, what is odd about it, the weightiest first; nothing where it goes with the rest.
    pub odd: Vec<Vec<Odd>>,
    /// The panel that is most like all others.
    pub middle: usize,
    /// Each panel beside the middle one, or beside the sample where one is given; `None` of the middle one itself.
    pub beside: Vec<Option<Match>>,
    /// The fewest panels whose remaking makes the set agree.
    pub remakes: Vec<Remake>,
    /// What changes in the order of making.
    pub drift: Vec<Drift>,
    /// Where the variety lies.
    pub variance: Vec<Variance>,
}

/// A panel to remake.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Remake {
    /// Its place in the order given.
    pub panel: usize,
    /// Which way it lies from the middle of the set, or from the sample.
    pub lean: Lean,
    /// It is not backed yet, so a light one can go further.
    pub can_go_further: bool,
}

/// Sets panels against each other, in the order of making, and against a sample where one is given.
///
/// # Errors
/// Fewer than two panels; the same photo twice; panels or a sample that cannot be compared.
pub fn set(panels: &[Side<'_>], sample: Option<(Side<'_>, &Terms<'_>)>) -> Result<Set> {
    if panels.len() < 2 {
        return Err(Error::SetTooSmall {
            found: panels.len(),
        });
    }
    super::study::refuse_twice(panels)?;
    let pairs = Pairs::of(panels)?;
    let middle = pairs.middle();
    let beside = panels
        .iter()
        .enumerate()
        .map(|(i, panel)| match sample {
            Some((sample, terms)) => compare(sample, *panel, terms).map(Some),
            None if i == middle => Ok(None),
            None => compare(panels[middle], *panel, &Terms::default()).map(Some),
        })
        .collect::<Result<Vec<Option<Match>>>>()?;
    let odd = odd::odd(panels);
    let unlike_sample = |i: usize| {
        let outside = beside[i]
            .as_ref()
            .is_some_and(|m| m.verdict == Verdict::Outside);
        sample.is_some() && outside
    };
    let must: Vec<bool> = (0..panels.len())
        .map(|i| unlike_sample(i) || !odd[i].is_empty())
        .collect();
    let weight = |i: usize| odd[i].iter().map(|o| o.z.abs()).fold(0.0, f64::max);
    let weights: Vec<f64> = (0..panels.len()).map(weight).collect();
    let remakes: Vec<Remake> = remakes::fewest(&pairs.unlike, &must, &weights)
        .into_iter()
        .map(|panel| Remake {
            panel,
            lean: beside[panel].as_ref().map_or(Lean::Neither, |m| m.lean),
            can_go_further: panels[panel].fingerprint.provenance.placement.stage
                != Some(crate::frame::placement::Stage::Backed),
        })
        .collect();
    let whole: Vec<Side<'_>> = panels
        .iter()
        .zip(&odd)
        .filter_map(|(panel, odd)| odd.is_empty().then_some(*panel))
        .collect();
    let verdict = if !remakes.is_empty() {
        Verdict::Outside
    } else if pairs.mostly_unsure() {
        Verdict::Unsure
    } else {
        Verdict::Within
    };
    Ok(Set {
        verdict,
        drift: drift::drift(&whole),
        variance: variety::variance(panels),
        middle,
        beside,
        odd,
        remakes,
    })
}

/// Every panel set against every other.
struct Pairs {
    /// The two are outside what may differ, either way round.
    unlike: Vec<Vec<bool>>,
    unsure: usize,
    pairs: usize,
    /// How far each lies from all others, in allowances.
    far: Vec<f64>,
}

impl Pairs {
    fn of(panels: &[Side<'_>]) -> Result<Self> {
        let n = panels.len();
        let mut pairs = Pairs {
            unlike: vec![vec![false; n]; n],
            unsure: 0,
            pairs: n * (n - 1) / 2,
            far: vec![0.0; n],
        };
        for i in 0..n {
            for j in i + 1..n {
                let found = compare(panels[i], panels[j], &Terms::default())?;
                let unlike = found.verdict == Verdict::Outside;
                (pairs.unlike[i][j], pairs.unlike[j][i]) = (unlike, unlike);
                pairs.unsure += usize::from(found.verdict == Verdict::Unsure);
                let weights = found.measures.iter().filter_map(|m| Some(m.found?.weight));
                let far: f64 = weights.map(|w| w.min(MOST_FAR)).sum();
                pairs.far[i] += far;
                pairs.far[j] += far;
            }
        }
        Ok(pairs)
    }

    /// The panel nearest to all others, the first of several.
    fn middle(&self) -> usize {
        let nearest = self
            .far
            .iter()
            .enumerate()
            .min_by(|a, b| a.1.total_cmp(b.1));
        nearest.map_or(0, |(i, _)| i)
    }

    fn mostly_unsure(&self) -> bool {
        2 * self.unsure > self.pairs
    }
}

/// One measure pulls a panel no further from another than this, allowances.
const MOST_FAR: f64 = 5.0;
