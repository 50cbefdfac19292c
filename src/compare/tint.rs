//! What colour a panel's silver is, as far as the eye tells it from full silver.

use serde::Serialize;

use crate::measure::Measurements;

/// From so far off full silver a tint is seen, a* or b*: 2.3 in CIELAB is just seen side by side (Mahy and others 1994).
const SEEN: f64 = 2.0;

/// The colour of the silver that is left.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
pub struct Tint {
    /// Warm against cold.
    pub warmth: Warmth,
    /// Pink against green.
    pub tinge: Tinge,
}

/// Warm against cold.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Warmth {
    /// Plainly warmer than full silver.
    Warm,
    /// As full silver.
    Neutral,
    /// Plainly colder.
    Cold,
}

/// Pink against green.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Tinge {
    /// Plainly pinker than full silver.
    Pinkish,
    /// As full silver.
    None,
    /// Plainly greener.
    Greenish,
}

impl Tint {
    /// Of a panel; `None` where it shows no tone.
    #[must_use]
    pub fn of(m: &Measurements) -> Option<Self> {
        let (a, b) = (m.tone_a.ok()?.value, m.tone_b.ok()?.value);
        Some(Tint {
            warmth: match b {
                b if b > SEEN => Warmth::Warm,
                b if b < -SEEN => Warmth::Cold,
                _ => Warmth::Neutral,
            },
            tinge: match a {
                a if a > SEEN => Tinge::Pinkish,
                a if a < -SEEN => Tinge::Greenish,
                _ => Tinge::None,
            },
        })
    }
}

#[cfg(test)]
mod tests {
    use super::super::drawn::even;
    use super::*;
    use crate::units::{Estimate, Unmeasured};

    #[test]
    fn two_off_full_silver_is_no_tint_and_more_is() {
        let mut m = even(1.0).measurements;
        let sure = |value| {
            Ok(Estimate {
                value,
                low: value,
                high: value,
            })
        };
        for (a, b, tinge, warmth) in [
            (0.0, 0.0, Tinge::None, Warmth::Neutral),
            (2.0, 2.0, Tinge::None, Warmth::Neutral),
            (-2.0, -2.0, Tinge::None, Warmth::Neutral),
            (2.1, 2.1, Tinge::Pinkish, Warmth::Warm),
            (-2.1, -2.1, Tinge::Greenish, Warmth::Cold),
        ] {
            (m.tone_a, m.tone_b) = (sure(a), sure(b));
            assert_eq!(Tint::of(&m), Some(Tint { warmth, tinge }), "{a} {b}");
        }
        m.tone_a = Err(Unmeasured::NoSilver);
        assert_eq!(Tint::of(&m), None);
        assert_eq!(Tint::of(&even(0.0).measurements), None);
    }
}
