//! The archive as pictures, searched by words and by look, and each finish on a page of its own.

use std::num::NonZero;
use std::path::Path;

use axum::extract::{Query, State};
use maud::{Markup, PreEscaped, html};
use serde::Deserialize;

use super::frame::{Framed, framed};
use super::{Page, aside};
use crate::archive::Listed;
use crate::commands::bench::chosen::{Chosen, encoded};
use crate::commands::bench::desk::{Desk, Heard, Shared};
use crate::commands::bench::sheets::Sheet;
use crate::commands::bench::work;
use crate::document::Block;
use crate::document::page;
use crate::document::reading::{Kept, Named, document};
use crate::error::{Error, Result};
use crate::fingerprint::metric::AGGRESSIVENESS;
use crate::studio::find::{Request, find};
use crate::studio::reading::{How, silver_kept};
use crate::words::{self, day, keeping};

/// Finishes on a page: their pictures are seen at a glance, and the page stays small.
const ON_A_PAGE: usize = 60;

/// Finishes that look like one.
const MOST_ALIKE: NonZero<usize> = NonZero::new(24).expect("more than none");

/// What is looked for.
#[derive(Debug, Default, Deserialize)]
#[serde(default)]
pub(in crate::commands::bench) struct Sought {
    /// Words in the name or the notes.
    words: String,
    /// A kept finish that they should look like.
    like: String,
    /// Only approved samples.
    approved: String,
    /// How many are passed over.
    from: usize,
}

/// A finish as it is shown among others.
struct Shown {
    name: String,
    below: String,
}

/// The pictures.
pub(in crate::commands::bench) async fn archive(
    State(desk): State<Shared>,
    Query(sought): Query<Sought>,
) -> Page {
    let like = sought.like.clone();
    let (shown, all, sought) = aside(move || {
        let shown = if sought.like.is_empty() {
            by_words(&sought, &desk)?
        } else {
            by_look(&sought.like, &desk)?
        };
        Ok((shown.0, shown.1, sought))
    })
    .await?;
    let inside = html! {
        main {
            h1 {
                @if !like.is_empty() { "Most like ‘" (like) "’" }
                @else if all == 0 { "Nothing is kept that fits" }
                @else { "The archive" }
            }
            form.search action="/archive" method="get" role="search" {
                label { "Words in the name or the notes" input type="search" name="words" maxlength="200" value=(sought.words); }
                label.tick { input type="checkbox" name="approved" value="yes" checked[!sought.approved.is_empty()]; " Only approved samples" }
                p.act { button type="submit" { "Look" } }
            }
            ol.cards { @for finish in &shown { (card(finish)) } }
            (further(&sought, shown.len(), all))
        }
    };
    let page = Framed {
        title: "Archive",
        ..Framed::default()
    };
    Ok(framed(&page, &inside))
}

fn card(finish: &Shown) -> Markup {
    html! {
        li {
            a.card href={ "/finish?name=" (encoded(&finish.name)) } {
                img src={ "/small?name=" (encoded(&finish.name)) } alt="" loading="lazy";
                b { (finish.name) }
                span.soft { (finish.below) }
            }
        }
    }
}

/// The way to those before and after.
fn further(sought: &Sought, shown: usize, all: usize) -> Markup {
    let at = |from: usize| {
        let approved = if sought.approved.is_empty() {
            ""
        } else {
            "&approved=yes"
        };
        format!(
            "/archive?from={from}&words={}{approved}",
            encoded(&sought.words)
        )
    };
    let before = sought
        .from
        .checked_sub(1)
        .map(|_| sought.from.saturating_sub(ON_A_PAGE));
    let end = sought.from + shown;
    html! {
        @if sought.like.is_empty() {
            p.act {
                @if let Some(before) = before { a.button href=(at(before)) { "Newer ones" } }
                @if end < all { a.button href=(at(end)) { "Older ones: " (all - end) " more" } }
            }
        }
    }
}

/// Those with all the words, the newest first, and how many there are.
fn by_words(sought: &Sought, desk: &Desk) -> Result<(Vec<Shown>, usize)> {
    let mut heard = Heard::default();
    let archive = desk.studio(&mut heard).archive()?;
    let wanted: Vec<String> = sought
        .words
        .split_whitespace()
        .map(str::to_lowercase)
        .collect();
    let fits = |finish: &Listed| {
        let text = format!("{} {}", finish.name, finish.notes).to_lowercase();
        wanted.iter().all(|word| text.contains(word))
            && (sought.approved.is_empty() || finish.approved_at.is_some())
    };
    let found: Vec<Listed> = archive.listed()?.into_iter().rev().filter(fits).collect();
    let page = found
        .iter()
        .skip(sought.from)
        .take(ON_A_PAGE)
        .map(|finish| {
            let approved = finish.approved_at.as_ref().map_or("", |_| ", approved");
            let figure = finish
                .aggressiveness
                .map(|v| format!(", aggressiveness {}", AGGRESSIVENESS.format(v)));
            Shown {
                name: finish.name.clone(),
                below: format!(
                    "{}{approved}{}",
                    day(&finish.kept_at),
                    figure.unwrap_or_default()
                ),
            }
        });
    Ok((page.collect(), found.len()))
}

/// Those that look most like one, the nearest first.
fn by_look(like: &str, desk: &Desk) -> Result<(Vec<Shown>, usize)> {
    let mut heard = Heard::default();
    let mut studio = desk.studio(&mut heard);
    let archive = studio.archive()?;
    archive.finish_named(like)?;
    // By its name alone: a file of this computer is never meant, even where somebody kept a panel under the name of one.
    if Path::new(like).exists() {
        return Err(Error::NoSuchFinish {
            name: like.to_owned(),
            near: Vec::new(),
            path: archive.path().to_owned(),
        });
    }
    let request = Request {
        panel: like.to_owned(),
        most: MOST_ALIKE,
        how: How::default(),
    };
    let nearest = find(&request, &mut studio)?;
    let shown = nearest.found.iter().map(|found| Shown {
        name: found.finish.name.clone(),
        below: words::differences(&found.beside),
    });
    let shown: Vec<Shown> = shown.collect();
    let all = shown.len();
    Ok((shown, all))
}

/// The name of a finish, in an address.
#[derive(Debug, Deserialize)]
pub(in crate::commands::bench) struct Finish {
    name: String,
}

/// One finish.
pub(in crate::commands::bench) async fn finish(
    State(desk): State<Shared>,
    Query(Finish { name }): Query<Finish>,
) -> Page {
    let named = name.clone();
    let (sheet, approved) = aside(move || sheet(&named, &desk)).await?;
    let beside_it = Chosen {
        sample: name.clone(),
        ..Chosen::default()
    };
    let inside = html! {
        (PreEscaped(&sheet.html))
        aside.after aria-label="What now" {
            p.act {
                a.button href={ "/archive?like=" (encoded(&name)) } { "Finishes that look like this one" }
                a.button href=(beside_it.at("/")) { "Photograph a panel beside it" }
            }
            @if !approved {
                details {
                    summary { "Approve it as the sample" }
                    form action="/finish/approve" method="post" {
                        p { "Panels are then held against it. An approved sample is never overwritten, and never deleted by itself." }
                        input type="hidden" name="name" value=(name);
                        p.act { button.main type="submit" { "Approve it" } }
                    }
                }
            }
        }
    };
    let page = Framed {
        title: &name,
        look: Some(&sheet.look),
        ..Framed::default()
    };
    Ok(framed(&page, &inside))
}

/// The sheet of a finish, and whether it is approved.
fn sheet(name: &str, desk: &Desk) -> Result<(Sheet, bool)> {
    let mut heard = Heard::default();
    let mut studio = desk.studio(&mut heard);
    let archive = studio.archive()?;
    let finish = archive.finish_named(name)?;
    let recipe = studio.sound(archive.recipe(name))?.flatten();
    let kept = Kept {
        name: &finish.name,
        kept_at: &finish.kept_at,
        approved_at: finish.approval.as_ref().map(|a| a.approved_at.as_str()),
        notes: &finish.notes,
    };
    let approved = kept.approved_at.map(|at| format!(", approved {}", day(at)));
    let named = Named {
        title: format!(
            "{name} (kept {}{})",
            day(kept.kept_at),
            approved.unwrap_or_default()
        ),
        photo: finish.photo_name.clone(),
        fingerprint: &finish.fingerprint,
        kept: Some(kept),
        recipe: recipe.as_ref(),
        gone: None,
    };
    let mut shown = document(&named, Some(&silver_kept(&finish, &archive)?))?;
    if !finish.notes.is_empty() {
        shown
            .blocks
            .insert(1, Block::Note(keeping::notes(&finish.notes)));
    }
    shown.remark(heard.0);
    work::fold_figures(&mut shown);
    let sheet = desk.lay(&page::within(&shown).into_string())?;
    Ok((sheet, finish.approval.is_some()))
}

/// The small picture of a finish, as a file.
pub(in crate::commands::bench) async fn small(
    State(desk): State<Shared>,
    Query(Finish { name }): Query<Finish>,
) -> std::result::Result<Vec<u8>, super::Refused> {
    aside(move || {
        let mut heard = Heard::default();
        let archive = desk.studio(&mut heard).archive()?;
        archive.thumbnail(&name)
    })
    .await
}
