//! What else lies about: cards and offcuts as they really are, and things that are no patches.

use serde::{Deserialize, Serialize};

use super::table::knots;
use crate::frame::placement::{GREY_CARD_REFLECTANCE, PatchKind};
use crate::frame::quad::Point;

/// Something flat beside the panel, in its plane.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Beside {
    /// What it is.
    pub what: Thing,
    /// Its centre right of and below the panel's centre as the camera sees it (untilted, unturned), mm.
    pub centre_mm: Point,
    /// Its width and height before it is turned, mm.
    pub size_mm: [f64; 2],
    /// Its turn against the panel, degrees anticlockwise.
    pub turn_deg: f64,
}

/// What can lie beside a panel.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Thing {
    /// A matt grey card of 18 %; its border, a tenth of the short side, of this reflectance where it has one.
    Card {
        /// 0.9 for white, 0.04 for black.
        border: Option<f64>,
    },
    /// An offcut of plain mirror: a little brighter towards its right, its cut edge dark.
    Offcut,
    /// An offcut of glass painted black behind, its cut edge darker.
    BlackGlass,
    /// A pencil: a bright body between two dark faces.
    Pencil,
    /// White paper.
    Paper,
    /// A coin: a disc with a bright rim.
    Coin,
    /// Another aged panel.
    Panel,
}

/// What a perfectly diffuse white card would read in the light of the panel, against full silver there: the mirror
/// shows the lit board, the card is lit by it. The grey card reads 0.18 times this.
pub const WHITE_OVER_SILVER: f64 = 0.80;

/// Width of a cut glass edge seen from the front, mm.
const GLASS_EDGE_MM: f64 = 0.8;

/// Share of a card's short side that its border takes on each side.
const BORDER: f64 = 0.1;

impl Thing {
    /// The patch it serves as.
    pub(super) fn patch(self) -> Option<PatchKind> {
        match self {
            Thing::Card { .. } => Some(PatchKind::Grey),
            Thing::Offcut => Some(PatchKind::Mirror),
            Thing::BlackGlass => Some(PatchKind::Bare),
            Thing::Pencil | Thing::Paper | Thing::Coin | Thing::Panel => None,
        }
    }
}

impl Beside {
    /// The point of the plane, mm from the thing's centre along its own width and height.
    fn own(&self, [x, y]: Point) -> Point {
        let (x, y) = (x - self.centre_mm[0], y - self.centre_mm[1]);
        let (sin, cos) = self.turn_deg.to_radians().sin_cos();
        [x * cos - y * sin, x * sin + y * cos]
    }

    /// Its four corners in the plane, mm, clockwise as seen, of a share of its width and height.
    pub(super) fn corners(&self, share: f64) -> [Point; 4] {
        let (sin, cos) = self.turn_deg.to_radians().sin_cos();
        [[-1.0, -1.0], [1.0, -1.0], [1.0, 1.0], [-1.0, 1.0]].map(|[u, v]: Point| {
            let (u, v) = (
                u * share * self.size_mm[0] / 2.0,
                v * share * self.size_mm[1] / 2.0,
            );
            [
                self.centre_mm[0] + u * cos + v * sin,
                self.centre_mm[1] - u * sin + v * cos,
            ]
        })
    }

    /// How far inside its outline a point lies, mm; below 0 outside.
    pub(super) fn depth_mm(&self, mm: Point) -> f64 {
        let [u, v] = self.own(mm);
        match self.what {
            Thing::Coin => self.size_mm[0] / 2.0 - u.hypot(v),
            _ => (self.size_mm[0] / 2.0 - u.abs()).min(self.size_mm[1] / 2.0 - v.abs()),
        }
    }

    /// The light it sends, against full silver there.
    pub(super) fn level(&self, mm: Point, bare_ratio: f64) -> f32 {
        let ([u, v], depth) = (self.own(mm), self.depth_mm(mm));
        let [width, height] = self.size_mm;
        let matt = |reflectance: f64| {
            reflectance * WHITE_OVER_SILVER * (1.0 + 0.015 * f64::from(knots(mm, [0.4, 0.4])))
        };
        let level = match self.what {
            Thing::Card { border: Some(edge) } if depth < BORDER * width.min(height) => matt(edge),
            Thing::Card { .. } => matt(GREY_CARD_REFLECTANCE),
            Thing::Offcut if depth < GLASS_EDGE_MM => 0.2,
            Thing::Offcut => 1.0 + 0.03 * u / width,
            Thing::BlackGlass if depth < GLASS_EDGE_MM => 0.02,
            Thing::BlackGlass => bare_ratio,
            Thing::Pencil if v.abs() < height / 6.0 => 0.55,
            Thing::Pencil => 0.12,
            Thing::Paper => matt(0.9),
            Thing::Coin if depth < 0.06 * width => 0.6,
            Thing::Coin => 0.3 + 0.12 * f64::from(knots(mm, [2.0, 2.0])),
            Thing::Panel => {
                let speck = knots(mm, [1.5, 1.5]) > 0.55;
                let cloud = 0.85 + 0.1 * f64::from(knots(mm, [9.0, 9.0]));
                if speck { bare_ratio } else { cloud }
            }
        };
        level as f32
    }
}
