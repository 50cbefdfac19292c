//! What the maker said about placement, made whole or refused in words.

use std::path::Path;

use super::within::Frame;
use crate::error::{Error, Result};
use crate::frame::lens::Lens;
use crate::frame::photo::Photo;
use crate::frame::placement::{
    CardStep, GREY_CARD_REFLECTANCE, Patch, Placement, Side, Sighting, Stage,
};
use crate::frame::quad::Quad;
use crate::quality::{Flag, FlagSet};
use crate::units::{Proportions, SizeMm};

/// Corners may differ from the real proportions by this factor: 1.41 is a tilt of 45°, far past judging.
const MOST_DISTORTION: f64 = 1.4;

/// What was said; `None` where nothing was.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Given {
    /// Real size.
    pub size: Option<SizeMm>,
    /// Its proportions, where the size is not known.
    pub proportions: Option<Proportions>,
    /// Corners, as given.
    pub corners: Option<Quad>,
    /// Patches; empty where none were given.
    pub patches: Vec<Patch>,
    /// Reflectance of the grey patches.
    pub patch_reflectance: Option<f64>,
    /// Side that faced the camera.
    pub side: Option<Side>,
    /// How far the work has gone.
    pub stage: Option<Stage>,
    /// The steps of a card of greys, of which a rig learns; empty where none were given.
    pub steps: Vec<CardStep>,
}

impl Given {
    /// What is said here, and elsewhere where nothing is said here.
    #[must_use]
    pub fn or(self, elsewhere: Given) -> Given {
        Given {
            size: self.size.or(elsewhere.size),
            proportions: self.proportions.or(elsewhere.proportions),
            corners: self.corners.or(elsewhere.corners),
            patches: if self.patches.is_empty() {
                elsewhere.patches
            } else {
                self.patches
            },
            patch_reflectance: self.patch_reflectance.or(elsewhere.patch_reflectance),
            side: self.side.or(elsewhere.side),
            stage: self.stage.or(elsewhere.stage),
            steps: if self.steps.is_empty() {
                elsewhere.steps
            } else {
                self.steps
            },
        }
    }

    /// The same in the photo as a straight lens would have taken it.
    #[must_use]
    pub(super) fn straight(mut self, lens: &Lens) -> Given {
        let patches = self.patches.iter_mut().map(|patch| &mut patch.corners);
        let steps = self.steps.iter_mut().map(|step| &mut step.corners);
        for quad in self.corners.iter_mut().chain(patches).chain(steps) {
            *quad = lens.straight_quad(quad);
        }
        self
    }
}

/// Makes what was given whole, or refuses the impossible. The flag says how corners seen from behind were read.
///
/// # Errors
/// Missing size or corners; corners crossed, outside the photo or unlike the size; patches empty, outside the photo or
/// on the panel; a reflectance outside 0.01 to 1.
pub(super) fn place(photo: &Photo, path: &Path, given: Given) -> Result<(Placement, FlagSet)> {
    let size = given.size.ok_or_else(|| missing_size(path))?;
    let (stage, reflectance) = (given.stage, given.patch_reflectance);
    let (seen, flags) = sight(photo, path, given)?;
    like_size(&seen.corners, size, path)?;
    let patch_reflectance = reflectance.unwrap_or(GREY_CARD_REFLECTANCE);
    let own = seen.patches.iter().filter_map(|p| p.reflectance);
    for found in own.chain([patch_reflectance]) {
        if !(0.01..=1.0).contains(&found) {
            return Err(Error::OutOfRange {
                path: path.to_owned(),
                what: "the patch reflectance",
                found,
                expected: "from 0.01 to 1, 0.18 for an ordinary grey card",
            });
        }
    }
    let placement = Placement {
        size,
        corners: seen.corners,
        patches: seen.patches,
        patch_reflectance,
        side: seen.side,
        stage,
        found: None,
    };
    Ok((placement, flags))
}

/// The same of a panel whose size need not be known.
///
/// # Errors
/// As for [`place`], but for what the size says.
pub(super) fn sight(photo: &Photo, path: &Path, given: Given) -> Result<(Sighting, FlagSet)> {
    // Corners that nobody gave are looked for where the size or the proportions are known.
    let asked = given.corners.ok_or_else(|| missing_size(path))?;
    let side = given.side.unwrap_or_default();
    let frame = Frame { photo, path };
    for (corner, name) in
        asked
            .0
            .iter()
            .zip(["top left", "top right", "bottom right", "bottom left"])
    {
        frame.inside(*corner, || format!("the {name} corner"))?;
    }
    let (corners, flags) = as_it_hangs(asked, side, path)?;
    for (i, patch) in given.patches.iter().enumerate() {
        frame.patch(patch, i + 1, &corners)?;
    }
    let seen = Sighting {
        corners,
        patches: given.patches,
        side,
        found: None,
    };
    Ok((seen, flags))
}

fn missing_size(path: &Path) -> Error {
    Error::PlacementMissing {
        path: path.to_owned(),
        missing: "the panel's size",
    }
}

/// Fewest steps that can tell a curve.
const LEAST_STEPS: usize = 4;

/// Passes the steps of a card in a photo, or refuses them in words; `panel` is what they may not lie on.
///
/// # Errors
/// Fewer than four; reflectances outside 0.005 to 1 or not rising; steps too small, outside the photo, on the panel or on
/// each other.
pub fn card(
    photo: &Photo,
    path: &Path,
    steps: Vec<CardStep>,
    panel: Option<&Quad>,
) -> Result<Vec<CardStep>> {
    let unfit = |found: String| Error::StepsUnfit {
        path: path.to_owned(),
        found,
    };
    if steps.len() < LEAST_STEPS {
        return Err(unfit(format!(
            "it has {} steps; expected at least {LEAST_STEPS}",
            steps.len()
        )));
    }
    let frame = Frame { photo, path };
    for (i, step) in steps.iter().enumerate() {
        let what = || format!("step {} ({})", i + 1, step.reflectance);
        if !(0.005..=1.0).contains(&step.reflectance) {
            return Err(unfit(format!("{} is outside 0.005 to 1", what())));
        }
        if i > 0 && step.reflectance <= steps[i - 1].reflectance {
            return Err(unfit(format!("{} is not above the one before", what())));
        }
        frame.piece(&step.corners, panel, what)?;
        if steps[..i].iter().any(|s| s.corners.overlaps(&step.corners)) {
            return Err(unfit(format!("{} lies on another step", what())));
        }
    }
    Ok(steps)
}

/// The corners named as the panel hangs. From behind they run anticlockwise in the photo; given clockwise they were
/// named as seen in the photo, and left and right are exchanged.
fn as_it_hangs(asked: Quad, side: Side, path: &Path) -> Result<(Quad, FlagSet)> {
    let impossible = |found: &str| Error::CornersImpossible {
        path: path.to_owned(),
        found: found.to_owned(),
    };
    if !asked.is_convex() {
        return Err(impossible(
            "their sides cross, or three of them lie on a line",
        ));
    }
    match (side, asked.is_clockwise()) {
        (Side::Front, true) | (Side::Back, false) => Ok((asked, FlagSet::default())),
        (Side::Front, false) => Err(impossible(
            "they run the wrong way round for a panel seen from the front",
        )),
        (Side::Back, true) => {
            let [a, b, c, d] = asked.0;
            let mut flags = FlagSet::default();
            flags.raise(Flag::CornersFromBehind);
            Ok((Quad([b, a, d, c]), flags))
        }
    }
}

fn like_size(corners: &Quad, size: SizeMm, path: &Path) -> Result<()> {
    let found = corners.proportions();
    let expected = size.width / size.height;
    let off = (found / expected).max(expected / found);
    if off > MOST_DISTORTION {
        return Err(Error::CornersUnlikeSize {
            path: path.to_owned(),
            found,
            expected,
        });
    }
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::frame::photo::{Capture, ColourSource, Linearisation, Samples};
    use crate::frame::placement::PatchKind;

    fn photo() -> Photo {
        Photo {
            width: 400,
            height: 300,
            samples: Samples::Eight(vec![128; 400 * 300 * 3]),
            linear: Linearisation {
                tables: std::array::from_fn(|_| vec![0.2; 256]),
                to_rec709: None,
                source: ColourSource::AssumedSrgb,
            },
            capture: Capture::default(),
            digest: String::new(),
        }
    }

    fn given(corners: &str, patches: &[&str]) -> Given {
        Given {
            size: "200x150mm".parse().ok(),
            corners: Some(corners.parse().unwrap()),
            patches: patches.iter().map(|p| p.parse().unwrap()).collect(),
            ..Given::default()
        }
    }

    fn placed(given: Given) -> Result<(Placement, FlagSet)> {
        place(&photo(), Path::new("a.jpg"), given)
    }

    const GOOD: &str = "50,50 250,50 250,200 50,200";

    #[test]
    fn a_good_placement_passes() {
        let (placement, flags) =
            placed(given(GOOD, &["mirror:300,50,40,40", "300,200,40,40"])).unwrap();
        assert_eq!(placement.patches[1].kind, PatchKind::Grey);
        assert_eq!(flags, FlagSet::default());
    }

    #[test]
    fn the_impossible_is_refused_in_words() {
        let back = Given {
            side: Some(Side::Back),
            ..given(GOOD, &[])
        };
        assert!(placed(back).unwrap().1.has(Flag::CornersFromBehind));
        for (wrong, said) in [
            (given("50,50 250,200 250,50 50,200", &[]), "cross"),
            (given("250,50 50,50 50,200 250,200", &[]), "wrong way round"),
            (
                given("50,50 950,50 950,700 50,700", &[]),
                "outside the photo",
            ),
            (given("50,50 150,50 150,250 50,250", &[]), "times as wide"),
            (given(GOOD, &["380,50,40,40"]), "outside the photo"),
            (given(GOOD, &["240,50,40,40"]), "lies on the panel"),
            (given(GOOD, &["300,50,0,40"]), "expected at least"),
            (given(GOOD, &["340,50,-40,40"]), "expected at least"),
            (
                Given {
                    size: None,
                    ..given(GOOD, &[])
                },
                "size is not given",
            ),
            (
                Given {
                    patch_reflectance: Some(18.0),
                    ..given(GOOD, &[])
                },
                "0.18",
            ),
        ] {
            let message = placed(wrong).unwrap_err().to_string();
            assert!(
                message.ends_with(": a.jpg") && message.contains(said),
                "{message}"
            );
            assert!(!message.contains('\n'));
        }
    }

    #[test]
    fn a_card_that_cannot_teach_is_refused_in_words() {
        let passed = |texts: &[&str]| {
            let steps = texts.iter().map(|t| t.parse().unwrap()).collect();
            let panel: Quad = GOOD.parse().unwrap();
            card(&photo(), Path::new("a.jpg"), steps, Some(&panel))
        };
        let good = [
            "0.03:260,50,20,20",
            "0.09:260,80,20,20",
            "0.3:260,110,20,20",
        ];
        assert!(passed(&[good[0], good[1], good[2], "0.9:260,140,20,20"]).is_ok());
        for (last, said) in [
            ("0.2:260,140,20,20", "not above the one before"),
            ("1.9:260,140,20,20", "outside 0.005 to 1"),
            ("0.9:240,140,20,20", "lies on the panel"),
            ("0.9:262,112,20,20", "lies on another step"),
            ("0.9:390,140,20,20", "outside the photo"),
        ] {
            let message = passed(&[good[0], good[1], good[2], last]).unwrap_err();
            assert!(message.to_string().contains(said), "{message}");
        }
        assert!(
            passed(&good)
                .unwrap_err()
                .to_string()
                .contains("at least 4")
        );
    }
}
