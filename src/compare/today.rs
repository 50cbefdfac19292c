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

#[cfg(test)]
mod tests {
    use super::super::drawn::{even, named};
    use super::*;
    use crate::fingerprint::Fingerprint;
    use crate::fingerprint::metric::{COVERAGE, TONE_B};

    fn photo(level: f32, digest: &str) -> Fingerprint {
        let mut of = even(level);
        digest.clone_into(&mut of.provenance.photo_digest);
        of
    }

    #[test]
    fn it_is_the_furthest_of_three_apart() {
        let [kept, start, end] = [photo(0.8, "k"), photo(0.75, "s"), photo(0.9, "e")];
        let [kept, start, end] = [named("k", &kept), named("s", &start), named("e", &end)];
        let apart = |a, b, c, row| Today::of(a, b, c).unwrap().apart(row, 0.4);
        for order in [[kept, start, end], [start, end, kept], [end, kept, start]] {
            let [a, b, c] = order;
            assert!((apart(a, b, c, &COVERAGE) - 0.15).abs() < 1e-6);
        }
        // None shows a tone, or only some do.
        let [bare, none] = [photo(0.0, "b"), photo(0.1, "n")];
        let [bare, none] = [named("b", &bare), named("n", &none)];
        let darkest = photo(0.2, "d");
        assert!(apart(bare, none, named("d", &darkest), &TONE_B).abs() < 1e-12);
        assert!(apart(bare, none, kept, &TONE_B).is_infinite());
    }

    #[test]
    fn one_photo_twice_or_photos_unlike_are_refused() {
        let [a, b, c] = [photo(0.8, "a"), photo(0.8, "b"), photo(0.8, "c")];
        let mut other = photo(0.8, "o");
        other.settings_digest.push('x');
        let [a, b, c] = [named("a", &a), named("b", &b), named("c", &c)];
        let other = named("o", &other);
        assert!(Today::of(a, b, c).is_ok());
        for [kept, start, end] in [
            [a, a, c],
            [a, b, b],
            [a, b, a],
            [other, b, c],
            [a, other, c],
            [a, b, other],
        ] {
            assert!(Today::of(kept, start, end).is_err());
        }
    }
}
