//! Random streams: one for each part of a finish, so that changing one part leaves the others where they were.

use rand_pcg::Pcg64;

/// Who draws.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Part {
    Clouds = 1,
    Ridges,
    RidgeDepth,
    Speckles,
    SpeckleShape,
    Blots,
    Noise,
    Dust,
    Drops,
    SpeckleTurn,
    Winding,
    Marks,
    MarkWarp,
    Patina,
}

/// The generator of one part, for one seed and, where the part is drawn in pieces, one piece.
pub(super) fn stream(seed: u64, part: Part, piece: u64) -> Pcg64 {
    let who = mixed(mixed(seed).wrapping_add(part as u64)).wrapping_add(piece);
    let (high, low) = (mixed(who), mixed(who ^ 0x5851_f42d_4c95_7f2d));
    // The state differs, not only the stream: generators that differ by the stream alone run alike.
    Pcg64::new(u128::from(high) << 64 | u128::from(low), u128::from(low))
}

/// The finaliser of SplitMix64 (Steele, Lea & Flood 2014): every input bit moves every output bit.
pub(super) fn mixed(x: u64) -> u64 {
    let x = x.wrapping_add(0x9e37_79b9_7f4a_7c15);
    let x = (x ^ (x >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
    let x = (x ^ (x >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
    x ^ (x >> 31)
}
