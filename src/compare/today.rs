//! The approved sample photographed at the start and at the end of a session: what differs between those two is the light, the
//! rig or the hand, and no panel of that session can be blamed for it.

use super::floor::at_floor;
use super::verdict::{Match, Side};
use crate::error::Result;
use crate::fingerprint::Verdict;
use crate::fingerprint::metric::Metric;

use super::unlike::refuse_unlike;

/// Two photos of the sample.
#[derive(Debug, Clone, Copy)]
pub struct Today<'a> {
    start: Side<'a>,
    end: Side<'a>,
}

impl<'a> Today<'a> {
    /// The sample at the start and at the end.
    ///
    /// # Errors
    /// The two were not made alike, or not as the kept sample was.
    pub fn of(sample: Side<'_>, start: Side<'a>, end: Side<'a>) -> Result<Self> {
        refuse_unlike(sample, start)?;
        refuse_unlike(start, end)?;
        Ok(Today { start, end })
    }

    /// How far a measure lies apart between the two, on the scale of its rule.
    pub(super) fn apart(&self, metric: &Metric, floor_mm: f64) -> f64 {
        let read = |side: Side<'_>| at_floor(side.fingerprint, metric, floor_mm);
        match (read(self.start), read(self.end)) {
            (Ok(a), Ok(b)) => metric.difference(a.value, b.value).abs(),
            _ => 0.0,
        }
    }

    /// The answer is open, and would not be if the two photos agreed.
    pub(super) fn decides(&self, found: &Match, floor_mm: f64) -> bool {
        let lost = found.measures.iter().any(|m| {
            let (Some(f), Ok(sample)) = (m.found, m.sample) else {
                return false;
            };
            let metric = m.metric;
            let apart = self.apart(metric, floor_mm);
            let on_scale = |step: f64| metric.difference(sample.value, sample.value + step).abs();
            f.verdict == Verdict::Unsure
                && (apart >= on_scale(f.difference) || apart > on_scale(f.allowance))
                && apart > 0.0
        });
        found.verdict == Verdict::Unsure && lost
    }
}
