//! Reference patches beside a panel that was found, told apart.
//!
//! What a flat zone is made of is told by its light against the brightest silver of the half of the panel nearer to it, and
//! beside a card of 18 % by its light against the card:
//!
//! | light | what it is |
//! |---|---|
//! | 0.03 to 0.07 | glass painted black behind |
//! | 0.09 to 0.5 | grey card (18 % reads 0.10 to 0.14 against full silver, less under a board far away, more against veiled) |
//! | 0.58 to 0.82 | neither: white paper, as a rule (0.8 were it to send all light back) |
//! | 0.92 to 1.12 | mirror |
//!
//! Between these, and above, nobody could say, and the certainty falls. Nor is the panel's brightest silver full silver:
//! it may be veiled. But nothing on the panel is darker than bare glass, so its darkest place says how much brighter full
//! silver can be at most; a kind is sure only if it is the same for both.

use super::thumbnail::Thumbnail;
use super::zones::zones;
use crate::frame::photo::Photo;
use crate::frame::placement::{Patch, PatchKind};
use crate::frame::quad::{Point, Quad};
use crate::stats::order::ranked;

/// Least side of a patch in the photo, pixels; smaller ones cannot be placed.
const LEAST_PATCH_PX: f64 = 10.0;

/// Share of a zone's rectangle, side by side, that serves as the patch.
const INNER: f64 = 0.85;

/// Channels this far from the silver's colour are no grey.
const MOST_COLOURED: f32 = 2.5;

/// An 18 % card against full silver, where the board is as bright as it is lit; paper reads five times the card.
const CARD: f64 = 0.145;

/// A card brighter than this against the silver beside it is none of 18 %, however veiled the silver.
const MOST_CARD: f64 = 0.35;

/// Beside a card as bright as that, a zone darker by this factor may be a card of 18 %.
const UNLIKE: f64 = 1.3;

/// Least light of bare glass against full silver, and its usual light.
const LEAST_BARE: f64 = 0.055;
const USUAL_BARE: f64 = 0.063;

/// What is this bright against full silver as the panel's darkest place tells it is a mirror: paper is darker than the least.
const BY_BARE: [f64; 4] = [0.85, 0.93, 1.1, 1.2];

/// Least share of full silver that a panel's brightest places have; and for a panel whose dark places are at least the first figure
/// of its bright ones, the second.
const LEAST_LEFT: f64 = 0.86;
const EVEN: (f64, f64) = (0.6, 0.88);

/// Certainty of a kind that is another where the silver is veiled as far as it may be.
const IF_UNVEILED: f64 = 0.35;

/// From here on a light is more than the panel's brightest silver sends back.
const BRIGHTER_THAN_SILVER: f64 = KINDS[3].1[3];

/// What a light may be: from, surely from, surely to, to.
type Kinds = [(Option<PatchKind>, [f64; 4]); 4];

/// The likeliest kind, and how sure it is, 0 to 1.
type Told = (Option<PatchKind>, f64);

/// Kinds by their light against silver.
const KINDS: Kinds = [
    (Some(PatchKind::Bare), [0.03, 0.04, 0.068, 0.078]),
    (Some(PatchKind::Grey), [0.066, 0.085, 0.5, 0.58]),
    (None, [0.5, 0.58, 0.82, 0.92]),
    (Some(PatchKind::Mirror), [0.82, 0.92, 1.12, 1.2]),
];

/// And against a card of 18 % in the same light, told as against silver: the whitest paper sends 95 % back, 5.3 times as much,
/// and nothing matt more. How much brighter a mirror is hangs on the lamps, for it shows the board and the card what falls on it.
const BESIDE_CARD: Kinds = [
    KINDS[0],
    KINDS[1],
    (None, [0.5, 0.58, 0.74, 0.78]),
    (Some(PatchKind::Mirror), [0.76, 0.79, 1.6, 2.0]),
];

/// Patches and how sure their kinds are, 0 to 1.
pub(super) struct FoundPatches {
    pub(super) patches: Vec<Patch>,
    pub(super) certainty: f64,
}

/// A flat zone.
struct Zone {
    /// Its rectangle in the thumbnail.
    rectangle: Quad,
    /// Its light against the brightest silver near it.
    ratio: f64,
}

/// The patches beside the panel; whatever touches what is `known` is left aside.
pub(super) fn patches(
    photo: &Photo,
    thumbnail: &Thumbnail,
    panel: &Quad,
    known: &[Quad],
) -> FoundPatches {
    let in_thumbnail = |quad: &Quad| Quad(quad.0.map(|p| p.map(|v| v / thumbnail.cell as f64)));
    let panel = &in_thumbnail(panel);
    let known: Vec<Quad> = known.iter().map(in_thumbnail).collect();
    let silver = Silver::new(thumbnail, panel);
    let zones: Vec<Zone> = zones(thumbnail, panel)
        .into_iter()
        .filter(|(rectangle, _)| !known.iter().any(|k| k.overlaps(rectangle)))
        .filter_map(|(rectangle, level)| {
            let centre = rectangle.centre();
            let bright = silver.near(centre)?;
            let grey = like_silver(photo, thumbnail, centre, bright.1);
            let ratio = f64::from(level * level) / bright.0;
            grey.then_some(Zone { rectangle, ratio })
        })
        .collect();
    // Beside a card of 18 % it says what everything else is, and the panel may be veiled.
    let card = (zones.iter().map(|z| z.ratio))
        .filter(|r| {
            let (kind, sure) = silver.told(*r);
            kind == Some(PatchKind::Grey) && sure > IF_UNVEILED
        })
        .reduce(f64::max);
    let told = |ratio: f64| match card {
        Some(card) if card < MOST_CARD => {
            by_both(told(ratio / card * CARD, &BESIDE_CARD), silver.told(ratio))
        }
        Some(card) if ratio < card / UNLIKE => (silver.told(ratio).0, IF_UNVEILED),
        _ => silver.told(ratio),
    };
    let mut found = FoundPatches {
        patches: Vec::new(),
        certainty: 1.0,
    };
    for zone in &zones {
        let (kind, sure) = told(zone.ratio);
        found.certainty = found.certainty.min(sure);
        let side_px = zone
            .rectangle
            .side_lengths()
            .into_iter()
            .fold(f64::MAX, f64::min);
        let large = side_px * INNER * thumbnail.cell as f64 >= LEAST_PATCH_PX;
        if let Some(kind) = kind.filter(|_| large) {
            let centre = zone.rectangle.centre();
            let inner = |p: Point| {
                [0, 1].map(|i| (centre[i] + INNER * (p[i] - centre[i])) * thumbnail.cell as f64)
            };
            found.patches.push(Patch {
                kind,
                corners: Quad(zone.rectangle.0.map(inner)),
                reflectance: None,
            });
        }
    }
    found
}

/// What the card says, and as sure as the surer of the two where the silver says the same: they know nothing of each other.
fn by_both(by_card: Told, by_silver: Told) -> Told {
    let agreed = by_card.0 == by_silver.0;
    let sure = if agreed {
        by_card.1.max(by_silver.1)
    } else {
        by_card.1
    };
    (by_card.0, sure)
}

/// How well a light lies in a span, 0 to 1.
fn lies_within(ratio: f64, [from, surely, to, end]: [f64; 4]) -> f64 {
    ((ratio - from) / (surely - from))
        .min((end - ratio) / (end - to))
        .clamp(0.0, 1.0)
}

/// The likeliest kind of a light, and how sure it is.
fn told(ratio: f64, kinds: &Kinds) -> Told {
    let mut best = (None, 0.0);
    let mut second = 0.0_f64;
    for (kind, span) in kinds {
        let fit = lies_within(ratio, *span);
        if fit > best.1 {
            second = second.max(best.1);
            best = (*kind, fit);
        } else {
            second = second.max(fit);
        }
    }
    match best {
        // Darker than bare glass is no patch at all.
        (None, fit) if fit <= 0.0 && ratio < KINDS[0].1[0] => (None, 1.0),
        // Brighter than all silver: a mirror beside a veiled panel, or paper.
        (None, fit) if fit <= 0.0 => (Some(PatchKind::Mirror), 0.3),
        (kind, fit) => (kind, fit * (1.0 - second)),
    }
}

/// The panel's light, thinned out.
struct Silver {
    /// Where, and how much light.
    places: Vec<(Point, f32)>,
    /// Share of full silver that its brightest places have at least.
    left: f64,
    /// Share that they have if its darkest place is bare glass.
    if_bare: f64,
}

impl Silver {
    fn new(thumbnail: &Thumbnail, panel: &Quad) -> Self {
        let inner = panel.scaled(0.97);
        let mut places = Vec::new();
        let mut lights = Vec::new();
        let (rows, cols) = thumbnail.dim();
        for r in (1..rows).step_by(3) {
            for c in (1..cols).step_by(3) {
                let at = [c as f64 + 0.5, r as f64 + 0.5];
                if inner.contains(at) {
                    lights.push(f64::from(thumbnail.level[[r, c]].powi(2)));
                    places.push((at, thumbnail.calm[[r, c]].powi(2)));
                }
            }
        }
        let mut part = |share: f64| ranked(&mut lights, share, f64::total_cmp);
        let (dark, dim, bright) = (part(0.002), part(0.05), part(0.98));
        let left = match (dark, dim, bright) {
            (Some(dark), Some(dim), Some(bright)) if bright > 0.0 => {
                let even = if dim > EVEN.0 * bright {
                    EVEN.1
                } else {
                    LEAST_LEFT
                };
                (LEAST_BARE * bright / dark.max(1e-6)).clamp(even, 1.0)
            }
            _ => LEAST_LEFT,
        };
        let if_bare = match (dark, bright) {
            (Some(dark), Some(bright)) => USUAL_BARE * bright / dark.max(1e-6),
            _ => 1.0,
        };
        Silver {
            places,
            left,
            if_bare,
        }
    }

    /// The likeliest kind of a light against the brightest silver, and how sure it is.
    fn told(&self, ratio: f64) -> Told {
        let (as_seen, veiled) = (told(ratio, &KINDS), told(self.left * ratio, &KINDS));
        if ratio > BRIGHTER_THAN_SILVER {
            return (
                as_seen.0,
                as_seen.1.max(lies_within(self.if_bare * ratio, BY_BARE)),
            );
        }
        if as_seen.0 == veiled.0 {
            as_seen
        } else {
            (as_seen.0, as_seen.1.min(IF_UNVEILED))
        }
    }

    /// The brightest silver of the half of the panel nearer to a point (98 % of it is darker), and where it is.
    fn near(&self, [x, y]: Point) -> Option<(f64, Point)> {
        let mut by_distance: Vec<(f64, usize)> = (self.places.iter().enumerate())
            .map(|(i, (p, _))| ((p[0] - x).powi(2) + (p[1] - y).powi(2), i))
            .collect();
        let half = by_distance.len() / 2;
        if half < 25 {
            return None;
        }
        by_distance.select_nth_unstable_by(half, |a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)));
        let mut nearer: Vec<usize> = by_distance[..half].iter().map(|(_, i)| *i).collect();
        let at = half - 1 - half / 50;
        let by_light = |a: &usize, b: &usize| {
            self.places[*a]
                .1
                .total_cmp(&self.places[*b].1)
                .then(a.cmp(b))
        };
        let (_, i, _) = nearer.select_nth_unstable_by(at, by_light);
        let (place, light) = self.places[*i];
        (light > 0.0).then_some((f64::from(light), place))
    }
}

/// No channel stands out against the silver's colour.
fn like_silver(photo: &Photo, thumbnail: &Thumbnail, patch: Point, silver: Point) -> bool {
    let light = |p: Point| photo.light_at(p.map(|v| v * thumbnail.cell as f64));
    let (a, b) = (light(patch), light(silver));
    let ratios = [0, 1, 2].map(|i| (a[i] + 0.002) / (b[i] + 0.002));
    let largest = ratios.iter().copied().fold(0.0, f32::max);
    ratios.iter().all(|r| largest / r < MOST_COLOURED)
}
