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

use crate::frame::placement::Stage;

use super::side::Side;
use super::study::refuse_twice;
use super::terms::Terms;
use super::verdict::{Match, compare};

pub use drift::{Drift, Point, Run};
pub use odd::Odd;
pub use variety::Variance;

/// Fewest panels among which one can be odd: of two nobody knows which, of three one more would settle it.
pub const FEWEST_FOR_ODD: usize = 3;

/// What was found of a set, panels by their place in the order given.
#[derive(Debug, Clone)]
pub struct Set {
    /// Outside where one must change, or where panels without a sample do not agree; unsure where one is unsure beside the sample, or most pairs are too close to
    /// call; else within.
    pub verdict: Verdict,
    /// Panel by panel, what is odd about it, the weightiest first; nothing where it goes with the rest.
    pub odd: Vec<Vec<Odd>>,
    /// Each panel beside the sample where one is given, else beside the panel that is most like all others; that one itself
    /// beside the next.
    pub beside: Vec<Match>,
    /// The panels were set beside a sample.
    pub to_sample: bool,
    /// The panels that must change: outside the sample, or, where there is none, odd beyond doubt.
    pub remakes: Vec<Remake>,
    /// Panels that the rest would agree without, but of which nothing says that it is they that are off: to be looked at
    /// beside the others before anything is done to them.
    pub settle: Vec<usize>,
    /// Pairs of panels that are too close to call.
    pub unsure_pairs: usize,
    /// All pairs.
    pub pairs: usize,
    /// What changes in the order of making; `None` of too few panels to see that.
    pub drift: Option<Vec<Drift>>,
    /// The measures that may drift, in the order of making.
    pub runs: Vec<Run>,
    /// Where the variety lies.
    pub variance: Vec<Variance>,
    /// Nothing but starting allowances decided.
    pub only_start: bool,
}

/// A panel that must change.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Remake {
    /// Its place in the order given.
    pub panel: usize,
    /// It is only too light: more work may mend it, as far as its stage allows.
    pub too_light: bool,
    /// Nothing but the way its streaks run is off: perhaps its photo is turned.
    pub turned: bool,
    /// How far the work on it has gone.
    pub stage: Option<Stage>,
}

impl Remake {
    fn of(panel: usize, side: Side<'_>, beside: &Match) -> Self {
        Remake {
            panel,
            too_light: beside.work_may_mend(),
            turned: beside.verdict == Verdict::Outside && beside.perhaps_turned(),
            stage: side.fingerprint.provenance.placement.stage,
        }
    }

    /// It can be worked further as it is; of a stage that is not said, perhaps.
    #[must_use]
    pub fn can_go_further(&self) -> bool {
        self.too_light && self.stage != Some(Stage::Backed)
    }
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
    refuse_twice(panels)?;
    let among = sample.map_or_else(Terms::default, |(_, terms)| terms.among_panels());
    let pairs = Pairs::of(panels, &among)?;
    let beside = beside(panels, sample, &among, &pairs)?;
    let odd = odd::odd(panels, &among.own);
    let apart: Vec<bool> = odd.iter().map(|odd| !odd.is_empty()).collect();
    let all: Vec<Remake> = (0..panels.len())
        .map(|i| Remake::of(i, panels[i], &beside[i]))
        .collect();
    // Where there is a sample it alone decides; else what stands apart, or is unlike most of the others.
    let must: Vec<bool> = (0..panels.len())
        .map(|i| match sample {
            Some(_) => beside[i].verdict == Verdict::Outside,
            None => apart[i] || pairs.unlike_most(i, &apart),
        })
        .collect();
    // Those change that are not surely like the sample, then those that lie furthest from all others; of two as far the one that can be worked further, for nothing is lost by
    // that.
    let worth: Vec<f64> = (0..panels.len())
        .map(|i| {
            let unlike = sample.is_some() && beside[i].verdict != Verdict::Within;
            let further = all[i].can_go_further();
            pairs.far[i] + f64::from(unlike) * UNLIKE + f64::from(further) * FURTHER
        })
        .collect();
    let (off, settle): (Vec<usize>, Vec<usize>) = remakes::fewest(&pairs.unlike, &must, &worth)
        .into_iter()
        .partition(|i| must[*i]);
    let remakes: Vec<Remake> = off.into_iter().map(|i| all[i]).collect();
    let unsure_beside = sample.is_some() && beside.iter().any(|m| m.verdict == Verdict::Unsure);
    // Without a sample two that are unlike do not agree, whichever of them is off.
    let verdict = if !remakes.is_empty() || (sample.is_none() && !settle.is_empty()) {
        Verdict::Outside
    } else if unsure_beside || !settle.is_empty() || 2 * pairs.unsure > pairs.count {
        Verdict::Unsure
    } else {
        Verdict::Within
    };
    let whole: Vec<Side<'_>> = panels
        .iter()
        .zip(&apart)
        .filter_map(|(panel, apart)| (!apart).then_some(*panel))
        .collect();
    Ok(Set {
        verdict,
        drift: drift::drift(&whole),
        runs: drift::runs(panels, &apart),
        variance: variety::variance(panels),
        to_sample: sample.is_some(),
        only_start: sample.is_none_or(|(_, terms)| terms.only_start()),
        unsure_pairs: pairs.unsure,
        pairs: pairs.count,
        beside,
        odd,
        remakes,
        settle,
    })
}

/// What it counts that a panel is not within the sample: more than any difference between panels.
const UNLIKE: f64 = 1e6;

/// What it counts that a panel can be worked further: less than any difference that is seen, allowances.
const FURTHER: f64 = 1e-6;

/// Each panel beside the sample, or beside the middle of the set.
fn beside(
    panels: &[Side<'_>],
    sample: Option<(Side<'_>, &Terms<'_>)>,
    among: &Terms<'_>,
    pairs: &Pairs,
) -> Result<Vec<Match>> {
    let (middle, next) = pairs.nearest_to_all();
    panels
        .iter()
        .enumerate()
        .map(|(i, panel)| match sample {
            Some((sample, terms)) => compare(sample, *panel, terms),
            None if i == middle => compare(panels[next], *panel, among),
            None => compare(panels[middle], *panel, among),
        })
        .collect()
}

/// Every panel set against every other.
struct Pairs {
    /// The two are outside what may differ, whichever is taken for the sample.
    unlike: Vec<Vec<bool>>,
    unsure: usize,
    count: usize,
    /// How far each lies from all others, in allowances.
    far: Vec<f64>,
}

impl Pairs {
    /// A panel is unlike more than half of the others that do not stand apart themselves, in a set large enough to say so.
    fn unlike_most(&self, panel: usize, apart: &[bool]) -> bool {
        let others = || (0..apart.len()).filter(|j| *j != panel && !apart[*j]);
        let unlike = others().filter(|j| self.unlike[panel][*j]).count();
        apart.len() >= FEWEST_FOR_ODD && 2 * unlike > others().count()
    }

    fn of(panels: &[Side<'_>], terms: &Terms<'_>) -> Result<Self> {
        let n = panels.len();
        let mut pairs = Pairs {
            unlike: vec![vec![false; n]; n],
            unsure: 0,
            count: n * (n - 1) / 2,
            far: vec![0.0; n],
        };
        for i in 0..n {
            for j in i + 1..n {
                // What may differ depends on what the sample has of it, and here neither is the sample.
                let both = [
                    compare(panels[i], panels[j], terms)?,
                    compare(panels[j], panels[i], terms)?,
                ];
                let all = |verdict| both.iter().all(|m| m.verdict == verdict);
                let unlike = all(Verdict::Outside);
                (pairs.unlike[i][j], pairs.unlike[j][i]) = (unlike, unlike);
                pairs.unsure += usize::from(!unlike && !all(Verdict::Within));
                let weights = both
                    .iter()
                    .flat_map(|m| &m.measures)
                    .filter_map(|m| Some(m.found?.weight));
                let far: f64 = weights.map(|w| w.min(MOST_FAR)).sum();
                pairs.far[i] += far;
                pairs.far[j] += far;
            }
        }
        Ok(pairs)
    }

    /// The panel nearest to all others, and the one after it; the first of several.
    fn nearest_to_all(&self) -> (usize, usize) {
        let mut order: Vec<usize> = (0..self.far.len()).collect();
        order.sort_by(|a, b| self.far[*a].total_cmp(&self.far[*b]));
        (order[0], order[1])
    }
}

/// One measure pulls a panel no further from another than this, allowances.
const MOST_FAR: f64 = 5.0;
