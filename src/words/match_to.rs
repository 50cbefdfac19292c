//! What is said of a panel beside a sample: the answer, what differs, what can still be done.

use super::cautions::Work;
use super::headline::{Headline, ToDo};
use super::reading::graded;
use crate::compare::paint::Paint;
use crate::compare::{Lean, Match, MeasureMatch, Place, Remark, Unsure, Verdict};
use crate::fingerprint::Fingerprint;
use crate::fingerprint::metric::COVERAGE;
use crate::frame::placement::Stage;

/// Why a measure is not compared: one of the two has no figure, or it is the size of textures that agree.
#[must_use]
pub fn why_not_compared(m: &MeasureMatch) -> String {
    match m.sample.err().or(m.panel.err()) {
        Some(why) => why.to_string(),
        None => "both have as much texture at every scale, so its size adds nothing".to_owned(),
    }
}

/// How full silver was known where the sample lies beside the panel.
#[must_use]
pub fn beside(alike: f64) -> String {
    let sure = graded(
        alike,
        &[(0.8, "beyond doubt"), (0.0, "by most of its marks")],
    );
    format!(
        "The sample was seen beside the panel and recognised {sure} ({alike:.2} of 1); its own silver is the scale."
    )
}

/// From what size up specks were counted on both, and whether the sample's own photo shows finer ones.
#[must_use]
pub fn speckle_floor(floor_mm: f64, sample: &Fingerprint) -> String {
    let own = sample.measurements.speckle_floor_mm;
    let finer = if own < floor_mm {
        format!(
            " The sample's own photo shows them from {own:.2} mm up, so its reading counts more and smaller ones."
        )
    } else {
        String::new()
    };
    format!("Specks are counted from {floor_mm:.2} mm up, the finest that both photos show.{finer}")
}

/// The verdict in one sentence.
#[must_use]
pub fn verdict(m: &Match, sample: &str) -> String {
    if m.has(Remark::CannotTellToday) {
        return format!(
            "Cannot tell today whether it is like `{sample}`: photos of the sample itself differ by too much."
        );
    }
    let place = m.place.map_or("", whereabouts);
    let as_light = m
        .found(&COVERAGE)
        .is_some_and(|f| f.verdict == Verdict::Within);
    match (m.verdict, m.lean) {
        (Verdict::Within, _) if m.has(Remark::SignedLight) => {
            format!("Within: it was signed as the lightest that `{sample}` may be.")
        }
        (Verdict::Within, _) if m.has(Remark::SignedDark) => {
            format!("Within: it was signed as the darkest that `{sample}` may be.")
        }
        (Verdict::Within, _) => format!("Within: like `{sample}`."),
        (Verdict::Outside, Lean::Lighter) => format!("Outside: lighter than `{sample}`{place}."),
        (Verdict::Outside, Lean::Darker) => format!("Outside: darker than `{sample}`{place}."),
        (Verdict::Outside, Lean::Neither) if as_light => {
            format!("Outside: as light as `{sample}`, but not like it.")
        }
        (Verdict::Outside, Lean::Neither) => format!("Outside: not like `{sample}`."),
        (Verdict::Unsure, _) if m.unsure == Some(Unsure::Unproved) => format!(
            "Nothing speaks against it, but pieces this small cannot prove that it is like `{sample}`."
        ),
        (Verdict::Unsure, Lean::Lighter) => {
            format!("Too close to call: perhaps lighter than `{sample}`{place}.")
        }
        (Verdict::Unsure, Lean::Darker) => {
            format!("Too close to call: perhaps darker than `{sample}`{place}.")
        }
        (Verdict::Unsure, Lean::Neither) => {
            format!("Too close to call: something speaks against its being like `{sample}`.")
        }
    }
}

/// Where a difference sits, to go on with after a comma.
fn whereabouts(place: Place) -> &'static str {
    match place {
        Place::Left => ", mostly near the left edge",
        Place::Right => ", mostly near the right edge",
        Place::Top => ", mostly near the top",
        Place::Bottom => ", mostly near the bottom",
        Place::TopLeft => ", mostly in the top left corner",
        Place::TopRight => ", mostly in the top right corner",
        Place::BottomLeft => ", mostly in the bottom left corner",
        Place::BottomRight => ", mostly in the bottom right corner",
        Place::Edges => ", mostly along the edges",
        Place::Middle => ", mostly in the middle",
        Place::AllOver => "",
    }
}

/// What can still be done.
#[derive(Debug, Clone, Copy)]
pub struct Next {
    /// What to do, and the few words for it.
    pub first: (ToDo, &'static str),
    /// How, in a sentence.
    pub says: &'static str,
    /// The work it may lead to.
    pub work: Option<Work>,
}

impl Next {
    /// What to do, to stand first.
    #[must_use]
    pub fn headline(&self) -> Headline {
        Headline::new(self.first.0, self.first.1)
    }

    /// How it is done, where that says more than what to do.
    #[must_use]
    pub fn how(&self) -> Option<&'static str> {
        (self.says != LEAVE_IT).then_some(self.says)
    }
}

const LEAVE_IT: &str = "Leave it as it is.";
const LEAVE: (ToDo, &str) = (ToDo::Leave, LEAVE_IT);
const LOOK: (ToDo, &str) = (ToDo::Look, "Stop and look.");
const FURTHER: (ToDo, &str) = (ToDo::Further, "A little more.");
const STRIP: (ToDo, &str) = (ToDo::Strip, "Strip it, or use it elsewhere.");

/// What to do, and how.
#[must_use]
pub fn next_step(m: &Match) -> Next {
    let next = |first, says, work| Next { first, says, work };
    if m.has(Remark::CannotTellToday) {
        let says =
            "Look at lamps, board and stand, then photograph the sample and the panel again.";
        return next(LOOK, says, None);
    }
    if m.verdict == Verdict::Outside && m.perhaps_turned() {
        return next(LOOK, PERHAPS_TURNED, None);
    }
    match (m.verdict, m.toward, m.stage) {
        (Verdict::Within, ..) => next(LEAVE, LEAVE_IT, None),
        (Verdict::Unsure, ..)
            if m.unsure == Some(Unsure::Unproved) && !m.has(Remark::StagesDiffer) =>
        {
            next(
                (ToDo::Look, "Leave it, and look."),
                "Leave it as it is, and look at both side by side in the same light; a larger sample, or more pieces of it, would tell more.",
                None,
            )
        }
        (Verdict::Unsure, Lean::Darker, stage) if stage != Some(Stage::Backed) => next(
            LOOK,
            "Do no more to it until it is settled, for lost silver does not come back: look at both side by side in the same light; wipe the glass and take the photo again.",
            None,
        ),
        (Verdict::Unsure, ..) if m.has(Remark::RigTooRough) => next(
            LOOK,
            "The rig is too rough to settle it: look at both side by side in the same light; a steadier stand, and a study on more photos, would tell more.",
            None,
        ),
        (Verdict::Unsure, ..) if m.has(Remark::SampleTooSmall) => next(
            LOOK,
            "The sample alone cannot settle it: look at both side by side; a larger sample, or more pieces of it, would tell more.",
            None,
        ),
        (Verdict::Unsure, ..) => next(
            LOOK,
            "Look at both side by side in the same light; wipe the glass and take the photo again.",
            None,
        ),
        (_, Lean::Lighter, _) if !m.work_may_mend() => {
            next(STRIP, NOT_BY_WORK, Some(Work::StripAndSilver))
        }
        (_, Lean::Lighter, Some(Stage::Backed)) => next(
            (ToDo::Strip, "Strip its paint, or use it elsewhere."),
            "It could go further only by stripping the paint off the back, which can scratch the silver.",
            Some(Work::StripPaint),
        ),
        (_, Lean::Lighter, Some(Stage::Wet | Stage::Dry)) => next(
            FURTHER,
            "It can go a little further before the back is painted: stop at about three quarters of the change, rinse, look again.",
            Some(Work::GoFurther),
        ),
        (_, Lean::Lighter, None) => next(
            (
                ToDo::Further,
                "A little more, if its back is not painted yet.",
            ),
            "If its back is not painted yet it can go a little further: stop at about three quarters of the change, rinse, look again. Once painted, only by stripping the paint.",
            Some(Work::StripPaint),
        ),
        (_, Lean::Darker, _) => next(
            STRIP,
            "Lost silver does not come back: strip and re-silver the same glass, or use it elsewhere.",
            Some(Work::StripAndSilver),
        ),
        (_, Lean::Neither, _) => next(STRIP, NOT_BY_WORK, Some(Work::StripAndSilver)),
    }
}

/// Only the streaks point another way.
const PERHAPS_TURNED: &str = "Only the streaks point another way: see first that the photo shows the panel as it hangs, its top at the top. If it does, use the panel elsewhere, or strip and re-silver the same glass.";

/// What is outside has nothing to do with how far the work has gone.
const NOT_BY_WORK: &str = "More or less work will not make it alike: use it elsewhere, or strip and re-silver the same glass.";

/// Nothing of the studio's own decided.
pub const ONLY_A_START: &str = "The allowances are only a start, not the studio's own: set them with approve --light, --dark or --allow.";

/// What else must be said of a match.
#[must_use]
pub fn remarks(m: &Match) -> Vec<String> {
    let remark = |r: &Remark| -> Option<String> {
        let said = match r {
            Remark::OnlyStartingAllowances => ONLY_A_START,
            Remark::NotUsable => {
                "One of the two photos could not be judged by: take it again before you act on this."
            }
            Remark::StagesDiffer => return m.paint.map(|p| paint(&p)),
            Remark::RigsDiffer => {
                "The two were not photographed in the same rig: part of the difference may be the light."
            }
            // The answer itself says these.
            Remark::CannotTellToday
            | Remark::SampleTooSmall
            | Remark::RigTooRough
            | Remark::SignedLight
            | Remark::SignedDark => return None,
        };
        Some(said.to_owned())
    };
    m.remarks.iter().filter_map(remark).collect()
}

/// What paint may still do.
fn paint(p: &Paint) -> String {
    let (darken, lighten) = ((p.darken * 100.0).ceil(), (p.lighten * 100.0).ceil());
    let moves = if p.lighten > 0.005 {
        format!(
            "paint can darken the open one by up to {darken:.0} % of full silver, or lighten it by up to {lighten:.0} %"
        )
    } else {
        format!("paint can darken the open one by up to {darken:.0} % of full silver")
    };
    let then = if p.decides {
        "that is more than is allowed, so nothing can be promised before: paint an offcut of the same work first"
    } else {
        "unless it lies well inside, paint an offcut of the same work first"
    };
    format!("One of the two is backed and the other not: {moves}; {then}.")
}
