//! The approved sample photographed at the start and at the end of a session: by what those two and the kept reading differ, the
//! light, the rig or the hand has moved, and no panel of that session can be blamed for it.

use super::floor::at_floor;
use super::side::Side;
use super::study::refuse_twice;
use super::unlike::refuse_unlike;
use crate::error::Result;
use crate::fingerprint::metric::Metric;

/// The sample as it was kept, and two photos of it.
#[derive(Debug, Clone, Copy)]
pub struct Today<'a> {
    kept: Side<'a>,
    start: Side<'a>,
    end: Side<'a>,
}

impl<'a> Today<'a> {
    /// The sample as kept, at the start and at the end.
    ///
    /// # Errors
    /// They were not made alike, or two of them are one photo.
    pub fn of(kept: Side<'a>, start: Side<'a>, end: Side<'a>) -> Result<Self> {
        refuse_unlike(kept, start)?;
        refuse_unlike(start, end)?;
        refuse_twice(&[kept, start, end])?;
        Ok(Today { kept, start, end })
    }

    /// All three.
    pub(super) fn sides(&self) -> [Side<'a>; 3] {
        [self.kept, self.start, self.end]
    }

    /// Each with each other.
    pub(super) fn pairs(&self) -> [(Side<'a>, Side<'a>); 3] {
        [
            (self.start, self.end),
            (self.kept, self.start),
            (self.kept, self.end),
        ]
    }

    /// How far a measure lies apart at most, on the scale of its rule; without bound where only some of the photos show it.
    pub(super) fn apart(&self, metric: &Metric, floor_mm: f64) -> f64 {
        let read = |side: Side<'_>| at_floor(side.fingerprint, metric, floor_mm);
        let apart = |(a, b): (Side<'_>, Side<'_>)| match (read(a), read(b)) {
            (Ok(a), Ok(b)) => metric.difference(a.value, b.value).abs(),
            (Err(_), Err(_)) => 0.0,
            _ => f64::INFINITY,
        };
        self.pairs().map(apart).into_iter().fold(0.0, f64::max)
    }
}
