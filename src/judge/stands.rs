//! A photo that was turned or mirrored on its way, among others of its session.
//!
//! A person sees the card on another side of the panel than in all the other photos. Where the patches lie is taken in shares of the
//! panel's sides, from its middle, as its corners are named; turned or mirrored about the middle they must lie where those of most
//! other photos lie. Fooled by: patches that were moved between photos, and patches that lie alike on both sides.

use crate::frame::placement::{PatchKind, Placement};
use crate::frame::quad::{Homography, Point, Quad};

/// Patches this far from where another photo has them lie elsewhere; so near, they lie there. In shares of the panel's side.
const ELSEWHERE: f64 = 0.3;
const THERE: f64 = 0.15;

/// So many times nearer than as it stands.
const NEARER: f64 = 0.5;

/// Fewest other photos that can tell.
const FEWEST: usize = 2;

/// What can have happened to a picture: turned by 180° or 90° either way, mirrored left to right or top to bottom.
const TURNS: [fn(Point) -> Point; 5] = [
    |[x, y]| [-x, -y],
    |[x, y]| [y, -x],
    |[x, y]| [-y, x],
    |[x, y]| [-x, y],
    |[x, y]| [x, -y],
];

/// The patches of a photo about its panel.
#[derive(Debug, Clone, Default)]
pub struct About(Vec<(PatchKind, Point)>);

impl From<&Placement> for About {
    fn from(placement: &Placement) -> Self {
        let about_middle = Quad::rectangle(-0.5, -0.5, 1.0, 1.0);
        let to_shares = Homography::between(&placement.corners.0, &about_middle.0);
        let lies = |to_shares: &Homography| {
            let patches = placement
                .patches
                .iter()
                .filter(|p| p.kind != PatchKind::Bare);
            patches
                .map(|p| (p.kind, to_shares.apply(p.corners.centre())))
                .collect()
        };
        About(to_shares.as_ref().map(lies).unwrap_or_default())
    }
}

impl About {
    /// Mean distance of the patches, moved like this, from the nearest of their kind in another photo; `None` where none is of a kind.
    fn off(&self, other: &About, moved: impl Fn(Point) -> Point) -> Option<f64> {
        let nearest = |(kind, place): &(PatchKind, Point)| {
            let [x, y] = moved(*place);
            let like = other.0.iter().filter(|(other, _)| other == kind);
            like.map(|(_, [u, v])| (u - x).hypot(v - y))
                .reduce(f64::min)
        };
        let each: Vec<f64> = self.0.iter().filter_map(nearest).collect();
        (!each.is_empty()).then(|| each.iter().sum::<f64>() / each.len() as f64)
    }

    /// Whether it lies as the other does when turned or mirrored, and not as it stands; `None` where nothing tells.
    fn is_turned(&self, other: &About) -> Option<bool> {
        let as_it_stands = self.off(other, |place| place)?;
        let turned = TURNS.iter().filter_map(|turn| self.off(other, turn));
        let best = turned.fold(f64::MAX, f64::min);
        Some(as_it_stands > ELSEWHERE && best < THERE.min(NEARER * as_it_stands))
    }
}

/// Which photos of a session [stand otherwise](crate::quality::Flag::StandsOtherwise) than most others, in their order.
#[must_use]
pub fn otherwise(photos: &[About]) -> Vec<bool> {
    let among = |(i, photo): (usize, &About)| {
        let others = photos.iter().enumerate().filter(|(j, _)| *j != i);
        let told: Vec<bool> = others
            .filter_map(|(_, other)| photo.is_turned(other))
            .collect();
        let turned = told.iter().filter(|turned| **turned).count();
        told.len() >= FEWEST && 2 * turned > told.len()
    };
    photos.iter().enumerate().map(among).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn photo(card: Point) -> About {
        About(vec![(PatchKind::Grey, card)])
    }

    #[test]
    fn the_one_that_was_turned_or_mirrored_is_told() {
        let right = || photo([0.7, 0.2]);
        for (other, told) in [
            ([-0.7, -0.2], true),
            ([-0.7, 0.2], true),
            ([0.2, -0.7], true),
            ([0.72, 0.15], false),
            // Laid elsewhere, as no turn would.
            ([0.1, 0.9], false),
        ] {
            let found = otherwise(&[right(), right(), photo(other), right()]);
            assert_eq!(found, [false, false, told, false], "{other:?}");
        }
    }

    #[test]
    fn two_photos_or_none_tell_nothing() {
        let (right, left) = (photo([0.7, 0.2]), photo([-0.7, -0.2]));
        assert_eq!(otherwise(&[right.clone(), left.clone()]), [false; 2]);
        assert_eq!(otherwise(&[right, left, About::default()]), [false; 3]);
        assert!(otherwise(&[]).is_empty());
    }

    #[test]
    fn patches_alike_on_both_sides_stand_either_way() {
        let both = || {
            About(vec![
                (PatchKind::Mirror, [0.7, 0.0]),
                (PatchKind::Mirror, [-0.7, 0.0]),
            ])
        };
        assert_eq!(otherwise(&[both(), both(), both()]), [false; 3]);
    }
}
