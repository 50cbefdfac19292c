//! Choose the sample, then photograph: the two pages before an answer.

use axum::extract::{Query, State};
use maud::{Markup, html};

use super::frame::{Framed, framed};
use super::states::row;
use super::{Page, aside};
use crate::archive::{Job, Listed};
use crate::commands::bench::chosen::{Chosen, STAGES, encoded};
use crate::commands::bench::desk::{Desk, Heard, Shared};
use crate::commands::bench::phones;
use crate::commands::bench::queue::Photo;
use crate::error::Result;
use crate::studio::job;
use crate::words::day;

/// Samples that are offered as pictures; others are found in the archive.
const MOST_OFFERED: usize = 24;

/// Photos that are named on the page to photograph.
const MOST_NAMED: usize = 5;

/// Earlier choices that are offered again.
const MOST_BEFORE: usize = 4;

/// What there is to choose from.
struct Offered {
    /// Approved samples, the newest first; all that is kept where nothing is approved.
    finishes: Vec<Listed>,
    approved: bool,
    rigs: Vec<String>,
    /// Jobs that are open, the current one first.
    jobs: Vec<Job>,
}

fn offered(desk: &Desk) -> Result<Offered> {
    let mut heard = Heard::default();
    let mut studio = desk.studio(&mut heard);
    let (mut jobs, current) = job::all(&mut studio)?;
    jobs.retain(Job::is_open);
    // Of the others the last begun stands first.
    jobs.reverse();
    jobs.sort_by_key(|job| Some(&job.name) != current.as_ref());
    let archive = studio.archive()?;
    let (approved, others): (Vec<_>, Vec<_>) =
        (archive.listed()?.into_iter().rev()).partition(|finish| finish.approved_at.is_some());
    let any = !approved.is_empty();
    let mut finishes = if any { approved } else { others };
    finishes.truncate(MOST_OFFERED);
    Ok(Offered {
        finishes,
        approved: any,
        rigs: archive.rig_names()?,
        jobs,
    })
}

/// What is to be photographed, and beside which sample.
pub(in crate::commands::bench) async fn choose(
    State(desk): State<Shared>,
    Query(chosen): Query<Chosen>,
) -> Page {
    let at = desk.clone();
    let offered = aside(move || offered(&at)).await?;
    let mut before: Vec<Chosen> = Vec::new();
    for photo in desk.queue.all() {
        let of_job = !photo.chosen.job.is_empty();
        if before.len() < MOST_BEFORE && !of_job && !before.contains(&photo.chosen) {
            before.push(photo.chosen);
        }
    }
    let inside = html! {
        main {
            h1 { "What should it look like?" }
            @if !offered.jobs.is_empty() {
                ul.rows aria-label="Jobs" {
                    @for job in &offered.jobs {
                        @let of_job = Chosen::of_job(job);
                        li { a.button href=(of_job.at("/photograph")) { "Photograph for " (of_job.says()) } }
                    }
                }
            }
            @if !before.is_empty() {
                ul.rows aria-label="Go on with" {
                    @for chosen in &before { li { a.button href=(chosen.at("/photograph")) { "Go on " (chosen.says()) } } }
                }
            }
            form action="/photograph" method="get" {
                (samples(&offered, &chosen))
                (details(&offered.rigs, &chosen))
                p.act { button.main type="submit" { "Go on to the camera" } }
            }
            @if let Some(link) = &desk.for_phones {
                section.phones {
                    h2 { "A phone at the tub" }
                    p { "Photograph this code with the phone, in the same network as this computer." }
                    (phones::drawn(link))
                }
            }
        }
    };
    let page = Framed {
        title: "Photograph",
        ..Framed::default()
    };
    Ok(framed(&page, &inside))
}

fn samples(offered: &Offered, chosen: &Chosen) -> Markup {
    let first = offered
        .finishes
        .first()
        .map_or("", |finish| finish.name.as_str());
    let is_offered = offered
        .finishes
        .iter()
        .any(|finish| finish.name == chosen.sample);
    let on = if chosen.sample.is_empty() {
        first
    } else {
        &chosen.sample
    };
    html! {
        fieldset {
            legend { @if offered.approved { "The approved sample" } @else { "A kept finish" } }
            @if !offered.approved && !offered.finishes.is_empty() {
                p { "No sample is approved yet; any kept finish will do." }
            }
            @if offered.finishes.is_empty() {
                p { "Nothing is kept yet. Photograph the sample first, keep it, and approve it: then panels are held against it." }
            }
            div.choices {
                @for finish in &offered.finishes { (choice(&finish.name, Some(finish), on)) }
                @if !is_offered && !chosen.sample.is_empty() { (choice(&chosen.sample, None, on)) }
                label.choice {
                    input type="radio" name="sample" value="" checked[on.is_empty()];
                    span { "None: only read the panel" }
                }
            }
        }
    }
}

fn choice(name: &str, listed: Option<&Listed>, on: &str) -> Markup {
    html! {
        label.choice {
            input type="radio" name="sample" value=(name) checked[name == on];
            img src={ "/small?name=" (encoded(name)) } alt="" loading="lazy";
            span {
                (name)
                @if let Some(at) = listed.and_then(|finish| finish.approved_at.as_deref()) {
                    span.soft { "approved " (day(at)) }
                }
            }
        }
    }
}

fn details(rigs: &[String], chosen: &Chosen) -> Markup {
    html! {
        fieldset.details {
            legend { "The panel" }
            div.sides {
                label { "Width, mm" input name="width" inputmode="decimal" autocomplete="off" maxlength="12" value=(chosen.width); }
                label { "Height, mm" input name="height" inputmode="decimal" autocomplete="off" maxlength="12" value=(chosen.height); }
            }
            label {
                "How far the work has gone"
                select name="stage" {
                    @for (key, says) in STAGES { option value=(key) selected[chosen.stage == key] { (says) } }
                }
            }
            @if !rigs.is_empty() {
                label {
                    "The rig it is photographed in"
                    select name="rig" {
                        option value="" { "none" }
                        @for rig in rigs {
                            option value=(rig) selected[if chosen.rig.is_empty() { rigs.len() == 1 } else { *rig == chosen.rig }] { (rig) }
                        }
                    }
                }
            }
        }
    }
}

/// The camera, one tap away.
pub(in crate::commands::bench) async fn photograph(
    State(desk): State<Shared>,
    Query(chosen): Query<Chosen>,
) -> Page {
    if let Err(says) = chosen.size() {
        let next = "Go back, and type both sides, or none.";
        return Err(super::Refused::new(
            axum::http::StatusCode::UNPROCESSABLE_ENTITY,
            says,
            next,
        ));
    }
    let photos = desk.queue.all();
    let own: Vec<&Photo> = photos
        .iter()
        .filter(|photo| photo.chosen == chosen)
        .take(MOST_NAMED)
        .collect();
    let inside = html! {
        main {
            h1 { "Photograph the panel" }
            p { (chosen.says()) " " a href=(chosen.at("/")) { "Change" } }
            (camera(&chosen, "Photograph"))
            @if !own.is_empty() {
                section {
                    h2 { "Photos before" }
                    ul.rows { @for photo in own { (row(photo)) } }
                }
            }
        }
    };
    let page = Framed {
        title: "Photograph",
        live: Some("all".to_owned()),
        ..Framed::default()
    };
    Ok(framed(&page, &inside))
}

/// The form that opens the phone's camera and sends what it takes.
pub(super) fn camera(chosen: &Chosen, says: &str) -> Markup {
    html! {
        form.camera action="/photos" method="post" enctype="multipart/form-data" {
            @for (name, value) in chosen.fields() { input type="hidden" name=(name) value=(value); }
            label.main {
                (says)
                input type="file" name="photo" accept="image/jpeg" capture="environment" required;
            }
            p.act.plain-send { button type="submit" { "Send the photo" } }
            div.progress role="status" aria-live="polite" {}
        }
        form.camera action="/photos" method="post" enctype="multipart/form-data" {
            @for (name, value) in chosen.fields() { input type="hidden" name=(name) value=(value); }
            label.second {
                "Send photos already taken"
                input type="file" name="photo" accept="image/jpeg,image/png,image/tiff,image/webp" multiple required;
            }
            p.act.plain-send { button type="submit" { "Send these photos" } }
            div.progress role="status" aria-live="polite" {}
        }
    }
}
