//! Marks laid around panels of known size, photographed, and read back.

use std::path::Path;

use paneprint::draw::marks::Paper;
use paneprint::frame::mark::MarkSize;
use paneprint::frame::photo::Photo;
use paneprint::frame::placement::{FoundBy, PatchKind, Placement};
use paneprint::intake;
use paneprint::placement::marks::{Marked, find};
use paneprint::placement::{Given, place};
use paneprint::quality::Flag;
use paneprint::synth::{Arrangement, Finish, Photographed, Shot, Speckles, photograph};
use paneprint::units::SizeMm;

use super::laid::{Pose, Print, lay};

pub(super) const PATH: &str = "panel.jpg";

/// The size is promised to this share.
const PROMISED: f64 = 0.005;

/// Corners where the panel's edges show, pixels.
const CORNERS_PX: f64 = 3.0;

pub(super) fn decoded(photo: &Photographed) -> Photo {
    let bytes = photo.jpeg().unwrap();
    intake::from_bytes(bytes, Path::new(PATH), &intake::Limits::default()).unwrap()
}

pub(super) fn finish(seed: u64) -> Finish {
    Finish {
        veil: 0.06,
        speckles: Some(Speckles {
            per_cm2: 2.0,
            diameter_median_mm: 1.4,
            spread: 0.3,
            arrangement: Arrangement::Spaced,
            floor: 0.0,
        }),
        ..Finish::seeded(seed)
    }
}

/// A panel, the marks laid round it and how it was photographed.
struct Case {
    size: [f64; 2],
    mark: &'static str,
    tilt: [f64; 2],
    turn: f64,
    slope: f64,
    blur: f64,
    poses: [Pose; 4],
}

fn pose(right: f64, down: f64, turn_deg: f64) -> Pose {
    Pose {
        gap_mm: [right, down],
        turn_deg,
    }
}

impl Case {
    fn size(&self) -> SizeMm {
        let [width, height] = self.size;
        SizeMm { width, height }
    }

    fn shot(&self) -> Shot {
        let mark: MarkSize = self.mark.parse().unwrap();
        // The marks, a little table, and what a tilt makes larger must fit in.
        let beside = 2.0 * 36.0 * mark.module_mm() + 8.0;
        let [w, h] = self.size;
        let fill = (w / (w + beside)).min(h / (h + beside));
        Shot {
            fill: fill * 0.86,
            tilt_x_deg: self.tilt[0],
            tilt_y_deg: self.tilt[1],
            turn_deg: self.turn,
            slope: self.slope,
            slope_direction_deg: 40.0,
            blur_px: self.blur,
            seed: w as u64,
            ..Shot::default()
        }
    }

    fn photograph(&self) -> Photographed {
        // Cells of the painting smaller than a pixel of the photo.
        let px_per_mm = (3600.0 / self.size[0]).clamp(2.0, 10.0);
        let mut photo = photograph(&finish(7).paint(self.size(), px_per_mm), &self.shot());
        let print = Print::new(Paper::A4, self.mark.parse().unwrap());
        lay(&mut photo, &print, self.poses.map(Some));
        photo
    }
}

fn plain(size: [f64; 2], mark: &'static str) -> Case {
    Case {
        size,
        mark,
        tilt: [0.0; 2],
        turn: 0.0,
        slope: 0.0,
        blur: 0.8,
        poses: [Pose::default(); 4],
    }
}

const LAID_OFF: [[f64; 3]; 4] = [
    [1.5, 0.4, 3.0],
    [0.2, 1.2, -2.0],
    [0.9, 0.0, 1.5],
    [0.5, 1.5, -3.0],
];

fn by_hand() -> [Pose; 4] {
    LAID_OFF.map(|[x, y, turn]| pose(x, y, turn))
}

fn cases() -> Vec<Case> {
    vec![
        plain([150.0, 150.0], "40mm"),
        Case {
            tilt: [15.0, 0.0],
            turn: 15.0,
            poses: by_hand(),
            ..plain([150.0, 150.0], "20mm")
        },
        Case {
            tilt: [-12.0, 9.0],
            turn: -15.0,
            slope: 0.2,
            poses: by_hand(),
            ..plain([150.0, 150.0], "40mm")
        },
        Case {
            tilt: [8.0, -15.0],
            turn: 7.0,
            blur: 1.5,
            poses: by_hand(),
            ..plain([300.0, 200.0], "40mm")
        },
        Case {
            tilt: [-15.0, -15.0],
            slope: 0.3,
            poses: by_hand(),
            ..plain([400.0, 300.0], "20mm")
        },
        Case {
            tilt: [5.0, 15.0],
            turn: -10.0,
            slope: 0.2,
            poses: by_hand(),
            ..plain([600.0, 400.0], "40mm")
        },
        Case {
            tilt: [15.0, 5.0],
            turn: 3.0,
            poses: by_hand(),
            ..plain([500.0, 700.0], "64mm")
        },
        Case {
            tilt: [-6.0, 4.0],
            turn: -2.0,
            slope: 0.1,
            blur: 1.2,
            poses: by_hand(),
            ..plain([900.0, 600.0], "40mm")
        },
        Case {
            tilt: [-10.0, 12.0],
            turn: 5.0,
            poses: by_hand(),
            ..plain([1200.0, 800.0], "64mm")
        },
        Case {
            tilt: [3.0, 2.0],
            turn: 1.0,
            slope: 0.1,
            poses: by_hand(),
            ..plain([1200.0, 600.0], "40mm")
        },
    ]
}

fn furthest(a: &Marked, truth: &Placement) -> f64 {
    let off = |(p, q): (&[f64; 2], &[f64; 2])| (p[0] - q[0]).hypot(p[1] - q[1]);
    a.corners
        .0
        .iter()
        .zip(&truth.corners.0)
        .map(off)
        .fold(0.0, f64::max)
}

#[test]
#[expect(
    clippy::print_stdout,
    reason = "the figures promised are read off here"
)]
fn marks_give_the_size_and_the_corners() {
    let mut out = 0;
    println!(
        "  size mm       mark  tilt        turn  px/module  width %  height %  corners px  residual px  sure"
    );
    for case in cases() {
        let photo = case.photograph();
        let size = case.size();
        let mark: MarkSize = case.mark.parse().unwrap();
        let px_per_mm = photo.placement.corners.area().sqrt() / (size.width * size.height).sqrt();
        let label = format!(
            "{:>4} x {:<4}  {}  {:>3} {:>3}  {:>6}  {:>8.1} ",
            size.width,
            size.height,
            case.mark,
            case.tilt[0],
            case.tilt[1],
            case.turn,
            px_per_mm * mark.module_mm()
        );
        match find(&decoded(&photo), Path::new(PATH)) {
            Ok(Some(found)) => {
                let off = [
                    found.size.width / size.width - 1.0,
                    found.size.height / size.height - 1.0,
                ];
                let corners = furthest(&found, &photo.placement);
                let holds = off.iter().all(|v| v.abs() < PROMISED) && corners < CORNERS_PX;
                out += usize::from(!holds);
                println!(
                    "{} {label}  {:>+7.3}  {:>+8.3}  {corners:>10.2}  {:>11.3}  {:.2}",
                    if holds { ' ' } else { '>' },
                    off[0] * 100.0,
                    off[1] * 100.0,
                    found.residual_px,
                    found.confidence
                );
            }
            other => {
                out += 1;
                println!("> {label} {other:?}");
            }
        }
    }
    assert_eq!(out, 0, "{out} photos out of bounds");
}

#[test]
fn a_grey_card_is_found_beside_the_marks_and_their_paper_is_none() {
    let size = SizeMm {
        width: 300.0,
        height: 300.0,
    };
    let shot = Shot {
        fill: 0.6,
        ..Shot::bench(size)
    };
    let mut photo = photograph(&finish(3).paint(size, 8.0), &shot);
    let print = Print::new(Paper::A4, "40mm".parse().unwrap());
    lay(&mut photo, &print, by_hand().map(Some));
    let path = Path::new(PATH);
    let (placement, flags) = place(&decoded(&photo), path, Given::default()).unwrap();
    assert_eq!(placement.found.unwrap().by, FoundBy::Marks);
    assert!(!flags.has(Flag::PlaceUnsure), "{:?}", placement.found);
    let [card] = &placement.patches[..] else {
        panic!("{:?}", placement.patches);
    };
    let truth = photo.placement.patches[0].corners.centre();
    assert_eq!(card.kind, PatchKind::Grey);
    assert!(card.corners.contains(truth));
}
