//! The panel and the patches are found in painted photos as people take them, and what cannot be found is refused.

use std::path::Path;

use paneprint::error::{Error, Kind};
use paneprint::frame::photo::Photo;
use paneprint::frame::placement::{PatchKind, SURE};
use paneprint::frame::quad::Quad;
use paneprint::intake;
use paneprint::placement::{FoundPanel, Sidecar, find};
use paneprint::synth::{
    Beside, Blots, EdgeLoss, Finish, Photographed, Shot, Table, Thing, photograph,
};
use paneprint::units::SizeMm;
use rand::{RngExt, SeedableRng};
use rand_pcg::Pcg64;

use crate::support::aged;

const WIDE: SizeMm = SizeMm {
    width: 300.0,
    height: 200.0,
};
const SQUARE: SizeMm = SizeMm {
    width: 150.0,
    height: 150.0,
};
const TALL: SizeMm = SizeMm {
    width: 160.0,
    height: 240.0,
};

/// How the panel looks.
#[derive(Debug, Clone, Copy, PartialEq)]
enum Look {
    Plain,
    Aged,
    /// Blots, some of them at the rim.
    Blotted,
    /// Bare at the very edge.
    Worn,
    /// Most of the silver gone.
    Heavy,
    /// Everything at once.
    Wrecked,
}

impl Look {
    fn finish(self, seed: u64) -> Finish {
        let aged = aged(seed);
        let blots = Some(Blots {
            per_dm2: 2.0,
            diameter_mm: 16.0,
            floor: 0.0,
        });
        let worn = Some(EdgeLoss {
            depth: 0.9,
            width_mm: 5.0,
        });
        match self {
            Look::Plain => Finish::seeded(seed),
            Look::Aged => aged,
            Look::Blotted => Finish { blots, ..aged },
            Look::Worn => Finish {
                edge_loss: worn,
                ..aged
            },
            Look::Heavy => Finish { veil: 0.6, ..aged },
            Look::Wrecked => Finish {
                veil: 0.3,
                blots,
                edge_loss: worn,
                ..aged
            },
        }
    }
}

/// What lies beside the panel: what, towards which side (1, 0 is right of it), turned how far.
type Laid = (Thing, [f64; 2], f64);

/// Lays a thing beside a panel of this size.
fn laid(size: SizeMm, (what, towards, turn_deg): Laid) -> Beside {
    let short = size.short_side();
    let size_mm = match what {
        Thing::Card { .. } => [0.2 * short, 0.15 * short],
        Thing::Offcut | Thing::BlackGlass => [0.12 * short, 0.17 * short],
        Thing::Pencil => [0.9 * short, 7.0],
        Thing::Paper => [0.3 * short, 0.42 * short],
        Thing::Coin => [24.0, 24.0],
        Thing::Panel => [size.width, size.height],
    };
    let aside = [0, 1].map(|i| {
        let half = [size.width, size.height][i] / 2.0;
        let (sin, cos) = f64::to_radians(turn_deg).sin_cos();
        let own = (size_mm[i] * cos.abs() + size_mm[1 - i] * sin.abs()) / 2.0;
        if towards[i].abs() >= 1.0 {
            towards[i] * (half + own + 0.04 * short)
        } else {
            towards[i] * half
        }
    });
    Beside {
        what,
        centre_mm: aside,
        size_mm,
        turn_deg,
    }
}

const GREY: Thing = Thing::Card { border: None };
const WHITE_EDGED: Thing = Thing::Card { border: Some(0.9) };
const BLACK_EDGED: Thing = Thing::Card { border: Some(0.04) };

/// A photo: name, panel, look, table and its level, turn, tilts, fill, shift of the frame, things beside.
struct Row {
    name: &'static str,
    size: SizeMm,
    look: Look,
    table: Table,
    surround: f64,
    turn: f64,
    tilt: [f64; 2],
    fill: f64,
    offset: [f64; 2],
    beside: &'static [Laid],
}

/// Turn, tilts, fill and shift of the frame.
type Pose = (f64, [f64; 2], f64, [f64; 2]);

#[rustfmt::skip]
const fn row(name: &'static str, size: SizeMm, look: Look, (table, surround): (Table, f64), (turn, tilt, fill, offset): Pose, beside: &'static [Laid]) -> Row {
    Row { name, size, look, table, surround, turn, tilt, fill, offset, beside }
}

impl Row {
    fn seed(&self) -> u64 {
        (self.name.bytes()).fold(7, |s, b| (s * 31 + u64::from(b)) % 10_007)
    }

    fn finish(&self) -> Finish {
        self.look.finish(self.seed())
    }

    fn shot(&self, width: usize, height: usize) -> Shot {
        Shot {
            turn_deg: self.turn,
            tilt_x_deg: self.tilt[0],
            tilt_y_deg: self.tilt[1],
            fill: self.fill,
            offset: self.offset,
            slope: 0.08,
            slope_direction_deg: 30.0,
            vignette: 0.03,
            seed: self.seed(),
            surround: self.surround,
            table: self.table,
            beside: (self.beside.iter()).map(|l| laid(self.size, *l)).collect(),
            ..Shot::default().sized(width, height)
        }
    }

    fn photographed(&self, width: usize, height: usize) -> Photographed {
        photograph(
            &self.finish().paint(self.size, 6.0),
            &self.shot(width, height),
        )
    }
}

use Look::{Aged, Blotted, Heavy, Plain, Worn, Wrecked};
use Table::{Cloth, Concrete, Weave, Wood};

#[rustfmt::skip]
const PHOTOS: &[Row] = &[
    row("plain on cloth", WIDE, Plain, (Cloth, 0.03), (0.0, [0.0, 0.0], 0.75, [0.0, 0.0]), &[(GREY, [0.0, 1.0], 0.0)]),
    row("plain square", SQUARE, Plain, (Cloth, 0.03), (3.0, [2.0, 1.0], 0.8, [0.0, 0.0]), &[(GREY, [1.0, 0.0], 0.0)]),
    row("aged", WIDE, Aged, (Cloth, 0.03), (1.0, [2.0, -3.0], 0.7, [0.0, -0.05]), &[(GREY, [0.3, 1.0], 0.0)]),
    row("aged tall", TALL, Aged, (Cloth, 0.03), (-2.0, [1.0, 3.0], 0.85, [0.0, 0.0]), &[(GREY, [1.0, 0.3], 0.0)]),
    row("card left", TALL, Aged, (Cloth, 0.04), (2.0, [0.0, 0.0], 0.8, [0.05, 0.0]), &[(GREY, [-1.0, 0.2], 0.0)]),
    row("card above", WIDE, Aged, (Cloth, 0.04), (2.0, [4.0, 0.0], 0.68, [0.0, 0.08]), &[(GREY, [-0.4, -1.0], 0.0)]),
    row("card turned", SQUARE, Aged, (Cloth, 0.03), (0.0, [0.0, 0.0], 0.8, [0.0, 0.0]), &[(GREY, [1.0, 0.4], 30.0)]),
    row("card white edged", SQUARE, Aged, (Cloth, 0.03), (-4.0, [3.0, 0.0], 0.75, [0.0, 0.0]), &[(WHITE_EDGED, [-1.0, 0.4], 8.0)]),
    row("card black edged", SQUARE, Aged, (Weave, 0.1), (-4.0, [3.0, 0.0], 0.75, [0.0, 0.0]), &[(BLACK_EDGED, [-1.0, -0.4], -8.0)]),
    row("offcut right", SQUARE, Aged, (Cloth, 0.03), (5.0, [0.0, 5.0], 0.75, [0.0, 0.0]), &[(Thing::Offcut, [1.0, 0.0], 0.0)]),
    row("offcut left and card right", SQUARE, Aged, (Cloth, 0.03), (-5.0, [5.0, 5.0], 0.75, [0.0, 0.0]), &[(Thing::Offcut, [-1.0, 0.3], 12.0), (GREY, [1.0, -0.3], 0.0)]),
    row("two offcuts", TALL, Aged, (Cloth, 0.05), (0.0, [0.0, 0.0], 0.85, [0.0, 0.0]), &[(Thing::Offcut, [-1.0, 0.5], 0.0), (Thing::Offcut, [1.0, -0.5], 0.0)]),
    row("black glass", SQUARE, Aged, (Cloth, 0.2), (2.0, [2.0, 2.0], 0.75, [0.0, 0.0]), &[(Thing::BlackGlass, [1.0, 0.0], 0.0), (GREY, [-1.0, 0.0], 0.0)]),
    row("turned 15", SQUARE, Aged, (Cloth, 0.03), (15.0, [0.0, 0.0], 0.8, [0.0, 0.0]), &[(GREY, [1.0, 0.0], 0.0)]),
    row("turned -15", WIDE, Aged, (Cloth, 0.03), (-15.0, [0.0, 0.0], 0.75, [0.0, 0.0]), &[(GREY, [0.0, 1.0], 0.0)]),
    row("tilted 15", SQUARE, Aged, (Cloth, 0.03), (0.0, [15.0, 0.0], 0.8, [0.0, 0.0]), &[(GREY, [1.0, 0.0], 0.0)]),
    row("tilted -15 aside", SQUARE, Aged, (Cloth, 0.03), (0.0, [0.0, -15.0], 0.75, [0.0, 0.0]), &[(GREY, [-1.0, 0.0], 0.0)]),
    row("turned and tilted", WIDE, Aged, (Cloth, 0.04), (12.0, [12.0, 10.0], 0.65, [0.0, 0.0]), &[(GREY, [0.0, 1.0], 0.0)]),
    row("small in the frame", WIDE, Aged, (Cloth, 0.03), (4.0, [3.0, 3.0], 0.4, [0.1, -0.1]), &[(GREY, [0.0, 1.0], 0.0)]),
    row("small in a corner", SQUARE, Aged, (Wood, 0.08), (-7.0, [3.0, 3.0], 0.42, [-0.2, 0.2]), &[(GREY, [1.0, 0.0], 0.0)]),
    row("fills the frame", SQUARE, Aged, (Cloth, 0.03), (1.0, [1.0, 0.0], 0.94, [0.0, 0.0]), &[(Thing::Offcut, [1.0, 0.0], 0.0)]),
    row("fills it wide", WIDE, Plain, (Cloth, 0.03), (0.0, [0.0, 0.0], 0.95, [0.0, 0.0]), &[]),
    row("coarse weave", WIDE, Aged, (Weave, 0.05), (3.0, [3.0, -3.0], 0.7, [0.0, 0.0]), &[(GREY, [0.0, 1.0], 0.0)]),
    row("mid-grey weave", WIDE, Aged, (Weave, 0.3), (3.0, [3.0, -3.0], 0.7, [0.0, 0.0]), &[(GREY, [0.0, 1.0], 0.0)]),
    row("dark wood", WIDE, Aged, (Wood, 0.06), (-5.0, [0.0, 4.0], 0.7, [0.0, 0.0]), &[(GREY, [0.4, 1.0], 0.0)]),
    row("light wood", SQUARE, Aged, (Wood, 0.3), (-5.0, [0.0, 4.0], 0.75, [0.0, 0.0]), &[(Thing::Offcut, [1.0, 0.4], 0.0)]),
    row("wood along the panel", SQUARE, Plain, (Wood, 0.25), (7.0, [0.0, 0.0], 0.75, [0.0, 0.0]), &[(GREY, [-1.0, 0.4], 0.0)]),
    row("dark concrete", TALL, Aged, (Concrete, 0.07), (6.0, [2.0, 0.0], 0.8, [0.0, 0.0]), &[(GREY, [1.0, 0.2], 0.0)]),
    row("light concrete", SQUARE, Aged, (Concrete, 0.35), (6.0, [2.0, 0.0], 0.75, [0.0, 0.0]), &[(GREY, [1.0, 0.2], 0.0)]),
    row("blots", WIDE, Blotted, (Cloth, 0.03), (2.0, [2.0, 2.0], 0.75, [0.0, 0.0]), &[(GREY, [0.0, 1.0], 0.0)]),
    row("blots on wood", SQUARE, Blotted, (Wood, 0.1), (8.0, [-6.0, 2.0], 0.75, [0.0, 0.0]), &[(GREY, [1.0, 0.0], 0.0)]),
    row("blots on mid-grey", SQUARE, Blotted, (Cloth, 0.3), (-8.0, [6.0, 2.0], 0.75, [0.0, 0.0]), &[(Thing::Offcut, [1.0, 0.0], 0.0)]),
    row("worn edge", WIDE, Worn, (Cloth, 0.02), (2.0, [2.0, 2.0], 0.75, [0.0, 0.0]), &[(GREY, [0.0, 1.0], 0.0)]),
    row("worn on mid-grey", SQUARE, Worn, (Cloth, 0.25), (-3.0, [2.0, -6.0], 0.75, [0.0, 0.0]), &[(GREY, [1.0, 0.0], 0.0)]),
    row("worn on weave", TALL, Worn, (Weave, 0.2), (-3.0, [2.0, -6.0], 0.8, [0.0, 0.0]), &[(Thing::Offcut, [1.0, 0.0], 0.0)]),
    row("heavy", WIDE, Heavy, (Cloth, 0.03), (3.0, [0.0, 3.0], 0.75, [0.0, 0.0]), &[(GREY, [0.0, 1.0], 0.0)]),
    row("heavy square", SQUARE, Heavy, (Wood, 0.06), (9.0, [5.0, 3.0], 0.75, [0.0, 0.0]), &[(GREY, [1.0, 0.0], 0.0)]),
    row("wrecked", WIDE, Wrecked, (Cloth, 0.02), (-6.0, [4.0, -3.0], 0.75, [0.0, 0.0]), &[(GREY, [0.0, 1.0], 0.0)]),
    row("wrecked on concrete", SQUARE, Wrecked, (Concrete, 0.02), (3.0, [0.0, 0.0], 0.75, [0.0, 0.0]), &[(GREY, [1.0, 0.0], 0.0)]),
    row("pencil beside", WIDE, Aged, (Cloth, 0.03), (3.0, [2.0, 2.0], 0.65, [0.0, 0.05]), &[(GREY, [0.0, 1.0], 0.0), (Thing::Pencil, [0.2, -1.0], 4.0)]),
    row("pencil into the frame", SQUARE, Aged, (Wood, 0.1), (3.0, [2.0, 2.0], 0.75, [0.0, 0.0]), &[(GREY, [-1.0, 0.0], 0.0), (Thing::Pencil, [1.0, 0.3], 20.0)]),
    row("paper and coin", SQUARE, Aged, (Cloth, 0.05), (3.0, [2.0, 2.0], 0.6, [0.0, 0.0]), &[(GREY, [-1.0, 0.6], 0.0), (Thing::Paper, [1.0, 0.3], 6.0), (Thing::Coin, [-1.0, -0.5], 0.0)]),
    row("paper alone on wood", SQUARE, Aged, (Wood, 0.15), (-3.0, [2.0, 2.0], 0.6, [0.0, 0.0]), &[(Thing::Paper, [1.0, 0.3], -6.0)]),
    row("four patches", SQUARE, Aged, (Cloth, 0.06), (1.0, [3.0, -2.0], 0.6, [0.0, 0.0]), &[(GREY, [-1.0, 0.0], 0.0), (Thing::Offcut, [1.0, 0.5], 5.0), (WHITE_EDGED, [0.0, 1.0], 0.0), (Thing::Offcut, [0.0, -1.0], 20.0)]),
];

/// A photo drawn by lot. What lies beside the panel lies on sides of its own.
fn drawn(seed: u64) -> Row {
    let mut rng = Pcg64::seed_from_u64(seed);
    let mut between = |from: f64, to: f64| rng.random_range(from..to);
    let pose = (
        between(-14.0, 14.0),
        [between(-13.0, 13.0), between(-13.0, 13.0)],
        between(0.45, 0.72),
        [between(-0.08, 0.08), between(-0.08, 0.08)],
    );
    let mut one = |of: usize| rng.random_range(0..of);
    let size = [WIDE, SQUARE, TALL][one(3)];
    let look = [Plain, Aged, Aged, Blotted, Worn, Heavy, Wrecked][one(7)];
    let (table, [dark, light]) = [
        (Cloth, [0.02, 0.2]),
        (Weave, [0.05, 0.2]),
        (Wood, [0.06, 0.2]),
        (Concrete, [0.05, 0.2]),
    ][one(4)];
    let card = [GREY, GREY, WHITE_EDGED, BLACK_EDGED][one(4)];
    let besides: [&[Thing]; 7] = [
        &[card],
        &[card],
        &[Thing::Offcut],
        &[Thing::Offcut, card],
        &[card, Thing::Pencil],
        &[card, Thing::Coin, Thing::Paper],
        &[Thing::Offcut, card, Thing::Offcut],
    ];
    let things = besides[one(besides.len())];
    let mut between = |from: f64, to: f64| rng.random_range(from..to);
    let surround = between(dark, light);
    let laid: Vec<Laid> = (things.iter().zip([[1.0, 0.0], [-1.0, 0.0], [0.0, 1.0]]))
        .map(|(thing, [x, y])| {
            let along = between(-0.4, 0.4);
            (
                *thing,
                [
                    if x == 0.0 { along } else { x },
                    if y == 0.0 { along } else { y },
                ],
                between(-12.0, 12.0),
            )
        })
        .collect();
    let name = format!("drawn {seed}: {look:?}, {table:?} {surround:.2}, {things:?}");
    row(
        name.leak(),
        size,
        look,
        (table, surround),
        pose,
        laid.leak(),
    )
}

/// Photos drawn by lot that are looked at, and the first: `PANEPRINT_SCENES` and `PANEPRINT_FIRST_SCENE` ask for others.
fn scenes() -> std::ops::Range<u64> {
    let asked =
        |name: &str, usual: u64| std::env::var(name).map_or(usual, |text| text.parse().unwrap());
    let first = asked("PANEPRINT_FIRST_SCENE", 0);
    first..first + asked("PANEPRINT_SCENES", 40)
}

#[test]
#[expect(clippy::print_stdout, reason = "how many are found is read off here")]
fn panels_drawn_by_lot_are_found_or_called_unsure() {
    let (mut within, mut unsure, mut wrong) = (0, 0, Vec::new());
    let scenes = scenes();
    let all = scenes.clone().count();
    for row in scenes.map(drawn) {
        let photo = row.photographed(1600, 1200);
        let proportions = row.size.width / row.size.height;
        match find(&opened(&photo), Path::new(row.name), proportions, &[]) {
            Err(error) => println!("{}: {error}", row.name),
            Ok(found) => {
                let off = worst_px(&found.corners, &photo.placement.corners);
                let sure = found.confidence >= SURE;
                within += usize::from(off < 3.0);
                unsure += usize::from(off < 3.0 && !sure);
                if off > 3.0 && sure {
                    wrong.push((row.name, off));
                }
                if off > 3.0 || !sure {
                    println!("{}: {off:.2} px, sure {:.2}", row.name, found.confidence);
                }
            }
        }
    }
    println!(
        "of {all}: {within} within 3 px, {unsure} of them called unsure, wrong and sure {wrong:?}"
    );
    assert!(20 * within >= 19 * all, "{within} of {all}");
    assert!(wrong.is_empty(), "{wrong:?}");
}

/// The photo as it comes out of its JPEG file.
fn opened(photo: &Photographed) -> Photo {
    let file = photo.jpeg().unwrap();
    intake::from_bytes(file, Path::new("painted.jpg"), &intake::Limits::default()).unwrap()
}

/// Largest distance of a corner from its true place, pixels.
fn worst_px(found: &Quad, truth: &Quad) -> f64 {
    let off = |(a, b): (&[f64; 2], &[f64; 2])| (a[0] - b[0]).hypot(a[1] - b[1]);
    found.0.iter().zip(&truth.0).map(off).fold(0.0, f64::max)
}

/// Why the patches found are not those laid out; nothing where they are. `share` is what the truth leaves of a card's side.
fn wrong_patches(found: &FoundPanel, photo: &Photographed, share: f64) -> Option<String> {
    let truth = &photo.placement.patches;
    if found.patches.len() != truth.len() {
        let kinds: Vec<PatchKind> = found.patches.iter().map(|p| p.kind).collect();
        return Some(format!("{kinds:?} instead of {}", truth.len()));
    }
    for patch in truth {
        let centre = patch.corners.centre();
        let whole =
            Quad((patch.corners.0).map(|p| [0, 1].map(|i| centre[i] + (p[i] - centre[i]) / share)));
        let held = found.patches.iter().any(|f| {
            f.kind == patch.kind
                && f.corners.0.iter().all(|p| whole.contains(*p))
                && f.corners.area() > 0.3 * whole.area()
        });
        if !held {
            return Some(format!("no {:?} at {centre:.0?}", patch.kind));
        }
    }
    None
}

/// Photos that show no panel that could be measured, the start of what must be said, and whether the panel is left out.
#[rustfmt::skip]
const REFUSED: &[(Row, &str, bool)] = &[
    (row("empty cloth", WIDE, Plain, (Cloth, 0.03), (0.0, [0.0, 0.0], 0.75, [0.0, 0.0]), &[]), "no panel", true),
    (row("empty wood", WIDE, Plain, (Wood, 0.2), (0.0, [0.0, 0.0], 0.75, [0.0, 0.0]), &[]), "no panel", true),
    (row("empty concrete", SQUARE, Plain, (Concrete, 0.35), (0.0, [5.0, 0.0], 0.75, [0.0, 0.0]), &[]), "no panel", true),
    (row("empty weave", SQUARE, Plain, (Weave, 0.1), (4.0, [5.0, 0.0], 0.75, [0.0, 0.0]), &[]), "no panel", true),
    (row("cards only", WIDE, Plain, (Cloth, 0.03), (2.0, [0.0, 0.0], 0.7, [0.0, 0.0]), &[(GREY, [0.0, 0.5], 0.0), (WHITE_EDGED, [0.4, 0.1], 12.0), (Thing::Offcut, [-0.5, 0.0], 0.0)]), "no panel", true),
    (row("desk things only", SQUARE, Plain, (Wood, 0.1), (2.0, [0.0, 0.0], 0.7, [0.0, 0.0]), &[(Thing::Pencil, [0.0, 0.5], 9.0), (Thing::Paper, [0.5, -0.2], 12.0), (Thing::Coin, [-0.5, 0.0], 0.0)]), "no panel", true),
    (row("two panels", SQUARE, Aged, (Cloth, 0.03), (0.0, [0.0, 0.0], 0.42, [-0.2, 0.0]), &[(Thing::Panel, [1.0, 0.0], 3.0)]), "more than one panel", false),
    (row("two panels over each other", WIDE, Aged, (Wood, 0.1), (3.0, [2.0, 0.0], 0.42, [0.0, 0.22]), &[(Thing::Panel, [0.0, -1.0], 0.0)]), "more than one panel", false),
    (row("cut at the left", WIDE, Aged, (Cloth, 0.03), (2.0, [2.0, 0.0], 0.7, [-0.25, 0.0]), &[]), "the panel is cut off at the left", false),
    (row("cut at the right", WIDE, Aged, (Cloth, 0.03), (2.0, [2.0, 0.0], 0.7, [0.25, 0.0]), &[]), "the panel is cut off at the right", false),
    (row("cut at the top", WIDE, Aged, (Wood, 0.1), (2.0, [2.0, 0.0], 0.7, [0.0, -0.3]), &[]), "the panel is cut off at the top", false),
    (row("cut at the bottom", SQUARE, Worn, (Cloth, 0.03), (-3.0, [2.0, 0.0], 0.8, [0.0, 0.25]), &[(GREY, [-1.0, 0.0], 0.0)]), "the panel is cut off at the bottom", false),
    (row("cut at a corner", WIDE, Aged, (Cloth, 0.03), (12.0, [0.0, 0.0], 0.8, [0.16, 0.0]), &[]), "the panel is cut off at the right", false),
];

#[test]
fn what_is_no_whole_panel_or_more_than_one_is_refused_in_words() {
    let mut wrong = Vec::new();
    for (row, said, without_panel) in REFUSED {
        let mut shot = row.shot(1600, 1200);
        shot.without_panel = *without_panel;
        let photo = photograph(&row.finish().paint(row.size, 6.0), &shot);
        let found = find(
            &opened(&photo),
            Path::new("a.jpg"),
            row.size.width / row.size.height,
            &[],
        );
        let fits =
            |e: &Error| e.kind() == Kind::PictureNotUsable && e.to_string().starts_with(said);
        if !found.as_ref().is_err_and(fits) {
            wrong.push(format!("{}: {found:?}", row.name));
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

#[test]
#[expect(
    clippy::print_stdout,
    reason = "how far off and how sure is read off here"
)]
fn panels_and_patches_are_found_as_people_photograph_them() {
    let (mut told, mut within, mut unsure, mut wrong) = (Vec::new(), 0, 0, Vec::new());
    for row in PHOTOS {
        let photo = row.photographed(2000, 1500);
        let path = Path::new(row.name);
        let said = match find(&opened(&photo), path, row.size.width / row.size.height, &[]) {
            Err(error) => {
                wrong.push(row.name);
                format!("{error}")
            }
            Ok(found) => {
                let off = worst_px(&found.corners, &photo.placement.corners);
                within += usize::from(off < 3.0);
                let patches = wrong_patches(&found, &photo, 0.8);
                let sure = found.confidence >= SURE;
                if patches.is_some() || sure && off > 3.0 {
                    wrong.push(row.name);
                }
                unsure += usize::from(!sure);
                let patches = patches.unwrap_or_else(|| "patches right".to_owned());
                format!("{off:.2} px, sure {:.2}, {patches}", found.confidence)
            }
        };
        told.push(format!("{}: {said}", row.name));
    }
    let told = told.join("\n");
    println!("{told}");
    assert!(PHOTOS.len() >= 40);
    assert!(
        20 * within >= 19 * PHOTOS.len(),
        "{within} of {}",
        PHOTOS.len()
    );
    assert!(wrong.is_empty(), "{wrong:?}");
    assert_eq!(unsure, 0);
}

#[test]
fn twelve_megapixels_are_found_as_exactly() {
    for name in ["aged", "turned and tilted", "light wood"] {
        let row = PHOTOS.iter().find(|row| row.name == name).unwrap();
        let photo = row.photographed(4000, 3000);
        let opened = opened(&photo);
        let found = find(
            &opened,
            Path::new(name),
            row.size.width / row.size.height,
            &[],
        )
        .unwrap();
        let off = worst_px(&found.corners, &photo.placement.corners);
        assert!(
            off < 3.0 && found.confidence >= SURE,
            "{name}: {off} {found:?}"
        );
        assert_eq!(wrong_patches(&found, &photo, 0.75), None, "{name}");
    }
}

#[test]
fn the_demos_photos_are_found_from_their_size_alone() {
    for entry in std::fs::read_dir("demo-images").unwrap() {
        let path = entry.unwrap().path();
        if path.extension().is_none_or(|e| e != "jpg") {
            continue;
        }
        let truth = Sidecar::beside(&path).unwrap();
        // The first try is only looked for: nobody said where it lies.
        let Some(corners) = truth.corners else {
            continue;
        };
        let photo = intake::read(&path, &intake::Limits::default()).unwrap();
        let size = truth.size.unwrap();
        let found = find(&photo, &path, size.width / size.height, &[]).unwrap();
        let off = worst_px(&found.corners, &corners);
        assert!(
            off < 3.0 && found.confidence >= SURE,
            "{}: {off} {found:?}",
            path.display()
        );
        let kinds: Vec<PatchKind> = found.patches.iter().map(|p| p.kind).collect();
        assert_eq!(kinds, [PatchKind::Grey], "{}", path.display());
    }
}
