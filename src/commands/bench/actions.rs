//! What the maker does with a photo: read it again otherwise, keep it, throw it away.

use axum::Form;
use axum::extract::rejection::FormRejection;
use axum::extract::{Path, State};
use axum::http::StatusCode;
use axum::response::Redirect;
use serde::Deserialize;

use super::chosen::encoded;
use super::desk::{Heard, Shared};
use super::pages::corners::CARDS;
use super::pages::{Refused, aside};
use super::queue::{Said, Stand};
use super::work;
use crate::compare::Verdict;
use crate::error::Error;
use crate::frame::placement::{Patch, PatchKind};
use crate::frame::quad::{Point, Quad};
use crate::studio::approve;

/// What is said anew of a photo; what is not said is empty.
#[derive(Debug, Default, Deserialize)]
#[serde(default)]
pub(super) struct Anew {
    width: String,
    height: String,
    anyway: String,
    ax: String,
    ay: String,
    bx: String,
    by: String,
    cx: String,
    cy: String,
    dx: String,
    dy: String,
    card: String,
    px: String,
    py: String,
    qx: String,
    qy: String,
}

impl Anew {
    /// The corners; `None` where none were sent.
    fn corners(&self) -> Result<Option<Quad>, Refused> {
        let figures = [
            &self.ax, &self.ay, &self.bx, &self.by, &self.cx, &self.cy, &self.dx, &self.dy,
        ];
        if figures.iter().all(|figure| figure.is_empty()) {
            return Ok(None);
        }
        let corner = |x, y| Ok::<Point, Refused>([figure(x)?, figure(y)?]);
        Ok(Some(Quad([
            corner(&self.ax, &self.ay)?,
            corner(&self.bx, &self.by)?,
            corner(&self.cx, &self.cy)?,
            corner(&self.dx, &self.dy)?,
        ])))
    }

    /// The card of a kind, between two corners of its own.
    fn patch(&self, kind: PatchKind) -> Result<Patch, Refused> {
        let [x0, y0, x1, y1] = [
            figure(&self.px)?,
            figure(&self.py)?,
            figure(&self.qx)?,
            figure(&self.qy)?,
        ];
        let (x, y) = (x0.min(x1), y0.min(y1));
        Ok(Patch {
            kind,
            corners: Quad::rectangle(x, y, (x1 - x0).abs(), (y1 - y0).abs()),
            reflectance: None,
        })
    }
}

/// A figure as it is typed.
fn figure(text: &str) -> Result<f64, Refused> {
    let figure = text.trim().replace(',', ".").parse::<f64>().ok();
    figure.filter(|v| v.is_finite()).ok_or_else(|| {
        let says = format!(
            "`{}` is no place in a photo.",
            text.chars().take(20).collect::<String>()
        );
        Refused::new(
            StatusCode::UNPROCESSABLE_ENTITY,
            says,
            "Go back, and type a figure.",
        )
    })
}

/// Where a photo can be changed: it is there, and not being read.
fn at_rest(desk: &Shared, number: u32) -> Result<super::queue::Photo, Refused> {
    let photo = desk.queue.photo(number).ok_or_else(Refused::no_photo)?;
    match photo.stand {
        Stand::Waiting | Stand::Reading => Err(Refused::new(
            StatusCode::CONFLICT,
            "The photo is still being read.",
            "Wait for its answer.",
        )),
        _ => Ok(photo),
    }
}

/// Reads a photo again by what is said anew.
pub(super) async fn again(
    State(desk): State<Shared>,
    Path(number): Path<u32>,
    form: Result<Form<Anew>, FormRejection>,
) -> Result<Redirect, Refused> {
    let Form(anew) = form.map_err(|_| unread())?;
    let before = at_rest(&desk, number)?;
    let mut chosen = before.chosen.clone();
    if !anew.width.is_empty() || !anew.height.is_empty() {
        chosen.width.clone_from(&anew.width);
        chosen.height.clone_from(&anew.height);
    }
    let unsized_ = |says| {
        Refused::new(
            StatusCode::UNPROCESSABLE_ENTITY,
            says,
            "Go back, and type both sides.",
        )
    };
    chosen.size().map_err(unsized_)?;
    let corners = anew.corners()?;
    let found = match &before.stand {
        Stand::Answered(answered) => Some(&answered.sighting),
        Stand::Unsure(unsure) => unsure.sighting.as_ref(),
        _ => None,
    };
    let patches = match (corners, CARDS.iter().find(|(key, ..)| *key == anew.card)) {
        (None, _) => before.said.patches.clone(),
        (Some(_), Some((_, _, kind))) => Some(vec![anew.patch(*kind)?]),
        (Some(_), None) if anew.card == "found" => found.map(|seen| seen.patches.clone()),
        (Some(_), None) => None,
    };
    let said = Said {
        corners: corners.or(before.said.corners),
        patches,
        anyway: before.said.anyway || !anew.anyway.is_empty(),
        decided: None,
    };
    desk.queue.change(number, |photo| {
        photo.chosen = chosen;
        photo.said = said;
        photo.stand = Stand::Waiting;
    });
    work::begin(&desk, number);
    Ok(Redirect::to(&format!("/photo/{number}")))
}

/// What the maker decides otherwise than the program.
#[derive(Debug, Default, Deserialize)]
#[serde(default)]
pub(super) struct Decision {
    verdict: String,
    because: String,
}

/// Remembers a decision against the answer, with its reason; the answer then says both.
pub(super) async fn decide(
    State(desk): State<Shared>,
    Path(number): Path<u32>,
    form: Result<Form<Decision>, FormRejection>,
) -> Result<Redirect, Refused> {
    let Form(decision) = form.map_err(|_| unread())?;
    let photo = at_rest(&desk, number)?;
    let verdict = match decision.verdict.as_str() {
        "within" => Verdict::Within,
        "outside" => Verdict::Outside,
        _ => return Err(unread()),
    };
    if !matches!(&photo.stand, Stand::Answered(answered) if answered.verdict.is_some()) {
        let says = "Only an answer beside a sample can be decided otherwise.";
        return Err(Refused::new(
            StatusCode::CONFLICT,
            says,
            "Look at its page.",
        ));
    }
    let because = decision.because.trim().to_owned();
    if because.is_empty() {
        return Err(Refused::of(&Error::NoReason));
    }
    desk.queue.change(number, |photo| {
        photo.said.decided = Some((verdict, because));
        photo.stand = Stand::Waiting;
    });
    work::begin(&desk, number);
    Ok(Redirect::to(&format!("/photo/{number}")))
}

/// Under which name a panel is kept.
#[derive(Debug, Default, Deserialize)]
#[serde(default)]
pub(super) struct ToKeep {
    name: String,
    notes: String,
    with_photo: String,
}

/// Keeps an answered photo.
pub(super) async fn keep(
    State(desk): State<Shared>,
    Path(number): Path<u32>,
    form: Result<Form<ToKeep>, FormRejection>,
) -> Result<Redirect, Refused> {
    let Form(to_keep) = form.map_err(|_| unread())?;
    let photo = at_rest(&desk, number)?;
    if !matches!(photo.stand, Stand::Answered(_)) || photo.kept.is_some() {
        let says = "Only a photo that was answered can be kept, and once.";
        return Err(Refused::new(
            StatusCode::CONFLICT,
            says,
            "Look at its page.",
        ));
    }
    let _turn = desk.queue.turn_beside().await;
    let (at, name) = (desk.clone(), to_keep.name.trim().to_owned());
    let kept = aside(move || {
        work::keep(
            &photo,
            &name,
            to_keep.notes.trim(),
            !to_keep.with_photo.is_empty(),
            &at,
        )
    })
    .await?;
    desk.queue.change(number, |photo| photo.kept = Some(kept));
    Ok(Redirect::to(&format!("/photo/{number}")))
}

/// A kept finish to be approved.
#[derive(Debug, Default, Deserialize)]
#[serde(default)]
pub(super) struct ToApprove {
    name: String,
}

/// Makes a kept finish the approved sample.
pub(super) async fn approve(
    State(desk): State<Shared>,
    form: Result<Form<ToApprove>, FormRejection>,
) -> Result<Redirect, Refused> {
    let Form(ToApprove { name }) = form.map_err(|_| unread())?;
    let at = format!("/finish?name={}", encoded(&name));
    aside(move || {
        let mut heard = Heard::default();
        let request = approve::Request {
            name,
            ..approve::Request::default()
        };
        approve::approve(&request, &desk.studio(&mut heard)).map(|_| ())
    })
    .await?;
    Ok(Redirect::to(&at))
}

/// Throws a photo away.
pub(super) async fn away(
    State(desk): State<Shared>,
    Path(number): Path<u32>,
) -> Result<Redirect, Refused> {
    let photo = at_rest(&desk, number)?;
    desk.queue.throw_away(number);
    Ok(Redirect::to(&photo.chosen.at("/photograph")))
}

fn unread() -> Refused {
    Refused::new(
        StatusCode::BAD_REQUEST,
        "What came could not be read as a form.",
        "Go back, and try again.",
    )
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn corners_and_card_come_as_they_were_typed_and_nonsense_is_refused() {
        let [ax, ay, bx, by] = ["1", "2", "9,5", "2"].map(str::to_owned);
        let [cx, cy, dx, dy] = ["9", "8", "1", "8"].map(str::to_owned);
        let [px, py, qx, qy] = ["30", "20", "10", "60"].map(str::to_owned);
        let anew = Anew {
            ax,
            ay,
            bx,
            by,
            cx,
            cy,
            dx,
            dy,
            px,
            py,
            qx,
            qy,
            ..Anew::default()
        };
        let quad = anew.corners().unwrap().unwrap();
        assert_eq!(quad.0, [[1.0, 2.0], [9.5, 2.0], [9.0, 8.0], [1.0, 8.0]]);
        let patch = anew.patch(PatchKind::Grey).unwrap();
        assert_eq!(patch.corners, Quad::rectangle(10.0, 20.0, 20.0, 40.0));
        assert!(Anew::default().corners().unwrap().is_none());
        for wrong in ["", "x", "NaN", "inf", "1;2"] {
            let anew = Anew {
                ax: wrong.to_owned(),
                ay: "1".to_owned(),
                ..Anew::default()
            };
            assert!(anew.corners().is_err(), "{wrong}");
        }
    }
}
