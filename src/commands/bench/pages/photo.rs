//! One photo: it waits, its corners are asked for, it is not fit, or it is answered.

use axum::extract::{Path, State};
use maud::{Markup, PreEscaped, html};

use super::corners::editor;
use super::frame::{Framed, framed};
use super::home::camera;
use super::states::word;
use super::{Page, Refused};
use crate::commands::bench::chosen::encoded;
use crate::commands::bench::desk::Shared;
use crate::commands::bench::queue::{Answered, Photo, Stand, Unfit};

/// The page of a photo, as it stands.
pub(in crate::commands::bench) async fn photo(
    State(desk): State<Shared>,
    Path(number): Path<u32>,
) -> Page {
    let photo = desk.queue.photo(number).ok_or_else(Refused::no_photo)?;
    let title = format!("{}: {}", photo.name(), word(&photo));
    let mut page = Framed {
        title: &title,
        ..Framed::default()
    };
    let inside = match &photo.stand {
        Stand::Waiting | Stand::Reading => {
            page.live = Some(number.to_string());
            waits(&photo)
        }
        Stand::Unsure(unsure) => {
            let size = photo.size_px.unwrap_or([1, 1]);
            editor(&photo, size, unsure.sighting.as_ref(), &unsure.why)
        }
        Stand::Unfit(unfit) => not_fit(&photo, unfit),
        Stand::Answered(answered) => {
            page.look = Some(&answered.sheet.look);
            answer(&photo, answered)
        }
    };
    Ok(framed(&page, &inside))
}

fn waits(photo: &Photo) -> Markup {
    html! {
        main {
            h1 role="status" {
                @if matches!(photo.stand, Stand::Waiting) { "The photo is here, and waits its turn" } @else { "The photo is being read" }
            }
            p { (photo.chosen.says()) }
            p { "The answer appears here by itself." }
            p { a.button href=(photo.chosen.at("/photograph")) { "Photograph the next one meanwhile" } }
        }
    }
}

fn not_fit(photo: &Photo, unfit: &Unfit) -> Markup {
    let again = format!("/photo/{}/again", photo.number);
    html! {
        main {
            h1 { (unfit.says) }
            p.change { (unfit.next) }
            @if unfit.wants_size {
                form action=(again) method="post" {
                    div.sides {
                        label { "Width, mm" input name="width" inputmode="decimal" autocomplete="off" maxlength="12" required; }
                        label { "Height, mm" input name="height" inputmode="decimal" autocomplete="off" maxlength="12" required; }
                    }
                    p.act { button.main type="submit" { "Read it by this size" } }
                }
            }
            (camera(&photo.chosen, "Photograph it again"))
            @if photo.size_px.is_some() || unfit.may_go_on {
                p { a.button href={ "/photo/" (photo.number) "/corners" } { "Set the corners by hand" } }
            }
            @if unfit.may_go_on {
                form action=(again) method="post" {
                    input type="hidden" name="anyway" value="yes";
                    p.act { button type="submit" { "Go on with it anyway; the reading remembers that" } }
                }
            }
            (away(photo))
        }
    }
}

fn answer(photo: &Photo, answered: &Answered) -> Markup {
    html! {
        (PreEscaped(&answered.sheet.html))
        aside.after aria-label="What now" {
            @match &photo.kept {
                Some(name) => {
                    p role="status" { "Kept as " a href={ "/finish?name=" (encoded(name)) } { "‘" (name) "’" } "." }
                },
                None => (keep(photo)),
            }
            (camera(&photo.chosen, "Photograph the next one"))
            @if answered.verdict.is_some() { (decide(photo)) }
            (away(photo))
        }
    }
}

fn keep(photo: &Photo) -> Markup {
    html! {
        details.keep {
            summary { "Keep this panel in the archive" }
            form action={ "/photo/" (photo.number) "/keep" } method="post" {
                @let numbered = !photo.chosen.job.is_empty();
                label {
                    @if numbered { "Its name; without one it gets its number in the job" } @else { "Its name" }
                    input name="name" required[!numbered] maxlength="200" autocomplete="off";
                }
                label { "Anything worth remembering" textarea name="notes" rows="3" maxlength="4000" {} }
                label.tick { input type="checkbox" name="with_photo" value="yes" checked; " Keep the photo itself too, so that it can be read again" }
                p.act { button.main type="submit" { "Keep it" } }
            }
        }
    }
}

/// The maker's eye has the last word; the reason is what is worth reading in a year.
fn decide(photo: &Photo) -> Markup {
    html! {
        details {
            summary { "Decide otherwise" }
            form action={ "/photo/" (photo.number) "/decide" } method="post" {
                label {
                    "What you decide"
                    select name="verdict" {
                        option value="within" { "it is inside what was signed" }
                        option value="outside" { "it is not" }
                    }
                }
                label { "Why" textarea name="because" rows="2" maxlength="1000" required {} }
                p.act { button type="submit" { "Remember it" } }
            }
        }
    }
}

/// What is kept stays; the photo itself goes.
fn away(photo: &Photo) -> Markup {
    html! {
        details.away {
            summary { "Throw this photo away" }
            form action={ "/photo/" (photo.number) "/away" } method="post" {
                p { "The photo and its answer go from the bench. What is kept in the archive stays." }
                p.act { button type="submit" { "Throw it away" } }
            }
        }
    }
}
