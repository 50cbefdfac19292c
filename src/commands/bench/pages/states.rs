//! Where a photo stands, in words and as a mark that needs no colour.

use maud::{Markup, html};

use crate::commands::bench::queue::{Photo, Stand};
use crate::compare::Verdict;

/// The word for it.
pub(super) fn word(photo: &Photo) -> &'static str {
    match &photo.stand {
        Stand::Waiting => "waits",
        Stand::Reading => "being read",
        Stand::Unsure(_) => "where is the panel?",
        Stand::Unfit(_) => "not answered",
        Stand::Answered(answered) => match answered.verdict {
            Some(Verdict::Within) => "within",
            Some(Verdict::Outside) => "outside",
            Some(Verdict::Unsure) => "too close to call",
            None => "read",
        },
    }
}

/// What is said of it in a line, beside the word.
pub(super) fn line(photo: &Photo) -> String {
    match &photo.stand {
        Stand::Waiting | Stand::Reading => String::new(),
        Stand::Unsure(unsure) => unsure.why.clone(),
        Stand::Unfit(unfit) => unfit.says.clone(),
        Stand::Answered(answered) => answered.headline.clone(),
    }
}

/// Both, with what was chosen for it, as one target.
pub(super) fn row(photo: &Photo) -> Markup {
    let heavy = matches!(&photo.stand, Stand::Unsure(_) | Stand::Unfit(_))
        || matches!(&photo.stand, Stand::Answered(a) if a.verdict == Some(Verdict::Outside));
    html! {
        li {
            a.row href={ "/photo/" (photo.number) } {
                span.state.heavy[heavy] { (word(photo)) }
                span {
                    b { (photo.name()) }
                    @if let Some(kept) = &photo.kept { ", kept as ‘" (kept) "’" }
                    " " (line(photo))
                    span.soft { (photo.chosen.says()) }
                }
            }
        }
    }
}
