//! The table of statistics: what each is, in what steps it is kept, and how much of it nobody sees.

use crate::ops::steer::DIRECTIONS;

/// Scales of structure in the silver: waves of about 1.1, 2.2, 4.4 and 9 mm.
pub(super) const LEVELS: usize = 4;

/// Scales of structure in the colour: waves of about 4.4 and 9 mm.
pub(super) const COLOUR_LEVELS: usize = 2;

/// Pairs of scales, the finer first.
pub(super) const PAIRS: [(usize, usize); 6] = [(0, 1), (0, 2), (0, 3), (1, 2), (1, 3), (2, 3)];

/// How statistics that stand side by side are drawn together.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Drawn {
    /// Each stays by itself.
    Alone,
    /// The four directions.
    Directions,
    /// The four directions, each along and across.
    DirectionsBothWays,
}

impl Drawn {
    /// How many go in.
    pub(super) const fn size(self) -> usize {
        match self {
            Drawn::Alone => 1,
            Drawn::Directions => DIRECTIONS,
            Drawn::DirectionsBothWays => 2 * DIRECTIONS,
        }
    }

    /// How many come out.
    pub(super) const fn left(self) -> usize {
        match self {
            Drawn::Alone => 1,
            Drawn::Directions => 3,
            Drawn::DirectionsBothWays => 4,
        }
    }
}

/// One kind of statistics, and how many of it there are.
#[derive(Debug, Clone, Copy)]
pub(super) struct Kind {
    /// How many stand side by side.
    pub(super) count: usize,
    /// The scale of the `i`-th of them, on which and on coarser ones it leans.
    pub(super) level: fn(usize) -> usize,
    /// The middle of the values that are kept.
    pub(super) middle: f32,
    /// What one step of the kept values is.
    pub(super) step: f32,
    /// Standard deviation of what nobody sees: two places that differ by no more are taken to be as like as the same place.
    pub(super) unseen: f32,
    /// How far places of one panel usually differ, with that: root mean square over 40 painted finishes.
    pub(super) usual: f32,
    /// How many of them stand or fall together: more of the same, which figures of their own tell, or another photo's sharpness
    /// moves all of them; 1 where each is for itself.
    pub(super) together: usize,
    /// It tells of colour.
    pub(super) colour: bool,
    /// How they are drawn together for a quick search.
    pub(super) drawn: Drawn,
}

/// Most kinds: of the silver, each for itself, on all scales.
const KIND: Kind = Kind {
    count: 1,
    level: |_| LEVELS,
    middle: 0.0,
    step: 0.03,
    unseen: 0.2,
    usual: 0.3,
    together: 1,
    colour: false,
    drawn: Drawn::Alone,
};

/// Every kind, in the order kept.
pub(super) const KINDS: [Kind; 12] = [
    // Mean silver level.
    Kind {
        middle: 0.5,
        step: 0.004,
        unseen: 0.03,
        usual: 0.07,
        ..KIND
    },
    // Shares of clear, of dark and of bare silver.
    Kind {
        count: 3,
        level: |_| 0,
        middle: 0.5,
        step: 0.004,
        unseen: 0.06,
        usual: 0.14,
        ..KIND
    },
    // Logarithm of the spread, scale by scale.
    Kind {
        count: LEVELS,
        level: |i| i,
        middle: -3.0,
        usual: 0.5,
        together: LEVELS,
        ..KIND
    },
    // Skewness, scale by scale, drawn in by asinh.
    Kind {
        count: LEVELS,
        level: |i| i,
        unseen: 0.15,
        usual: 0.5,
        together: LEVELS,
        ..KIND
    },
    // Logarithm of the mean amplitude, scale by scale and direction by direction.
    Kind {
        count: LEVELS * DIRECTIONS,
        level: |i| i / DIRECTIONS,
        middle: -3.5,
        drawn: Drawn::Directions,
        together: DIRECTIONS,
        ..KIND
    },
    // How sparse the structure is, scale by scale: logarithm of the mean square over the square of the mean.
    Kind {
        count: LEVELS,
        level: |i| i,
        middle: 2.0,
        together: LEVELS,
        ..KIND
    },
    // Whether it is dark on light or light on dark, scale by scale: skewness of the second derivatives, drawn in by asinh.
    Kind {
        count: LEVELS,
        level: |i| i,
        unseen: 0.15,
        usual: 0.4,
        together: LEVELS,
        ..KIND
    },
    // How the amplitudes of one scale vary on a coarser one, along their own direction and across it: logarithm over the mean.
    Kind {
        count: PAIRS.len() * DIRECTIONS * 2,
        level: |i| PAIRS[i / (DIRECTIONS * 2)].0,
        middle: -1.5,
        unseen: 0.15,
        usual: 0.17,
        drawn: Drawn::DirectionsBothWays,
        together: DIRECTIONS * 2,
        ..KIND
    },
    // Mean a* and b* of the remaining silver.
    Kind {
        count: 2,
        step: 0.4,
        unseen: 1.0,
        usual: 1.5,
        colour: true,
        ..KIND
    },
    // Logarithm of the spread of a* and of b*.
    Kind {
        count: 2,
        middle: 1.0,
        unseen: 0.3,
        usual: 0.5,
        colour: true,
        ..KIND
    },
    // Logarithm of the amplitude of a* and of b*, scale by scale.
    Kind {
        count: 2 * COLOUR_LEVELS,
        middle: 1.0,
        unseen: 0.3,
        usual: 0.5,
        colour: true,
        ..KIND
    },
    // Correlation of a* and of b* with the silver level, scale by scale.
    Kind {
        count: 2 * COLOUR_LEVELS,
        step: 0.01,
        unseen: 0.2,
        colour: true,
        ..KIND
    },
];

/// Statistics of a place.
pub const COUNT: usize = {
    let (mut sum, mut i) = (0, 0);
    while i < KINDS.len() {
        sum += KINDS[i].count;
        i += 1;
    }
    sum
};

/// Whatever statistics of a kind stand or fall together have one number.
pub(super) fn group(statistic: usize) -> Option<usize> {
    let (mut first, mut before) = (0, 0);
    for kind in &KINDS {
        if statistic < first + kind.count {
            return (kind.together > 1).then(|| before + (statistic - first) / kind.together);
        }
        (first, before) = (first + kind.count, before + kind.count / kind.together);
    }
    None
}

/// Each statistic by its kind, and which of the kind it is.
pub(super) fn each() -> impl Iterator<Item = (&'static Kind, usize)> {
    KINDS
        .iter()
        .flat_map(|kind| (0..kind.count).map(move |i| (kind, i)))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_a_full_panel_keeps_stays_under_four_kilobytes_as_text() {
        assert_eq!(each().count(), COUNT);
        let bytes = super::super::place::MOST * COUNT;
        assert!(bytes.div_ceil(3) * 4 + 64 < 4096, "{bytes}");
    }

    #[test]
    fn what_nobody_sees_is_more_than_a_step() {
        assert!(KINDS.iter().all(|k| k.step < k.unseen));
    }
}
