//! `find`: the kept finishes that look most like a panel.

use std::num::NonZero;

use image::RgbImage;
use maud::html;
use serde_json::{Value, json};

use super::args::{OutArgs, ReadArgs};
use super::context::Context;
use super::exit::Exit;
use crate::archive::RecipeStep;
use crate::document::json::{SCHEMA, rounded};
use crate::document::{Answer, Block, Document, Lines};
use crate::draw::embedded;
use crate::error::Result;
use crate::studio::find::{NearFinish, Nearest, Request, find};
use crate::studio::reading::small_kept;
use crate::words::{self, day, keeping, recipe};

/// Find the kept finishes that look most like a panel
#[derive(Debug, clap::Args)]
pub(super) struct Args {
    /// A photo, or the name of a kept finish
    panel: String,

    /// How many to name
    #[arg(long, value_name = "NUMBER", default_value = "5")]
    most: NonZero<usize>,

    #[command(flatten)]
    read: ReadArgs,

    #[command(flatten)]
    out: OutArgs,
}

/// Long side of a picture, pixels.
const LONG_SIDE_PX: usize = 360;

pub(super) fn run(args: &Args, context: &mut Context) -> Result<Exit> {
    let holds = context.holds()?;
    let request = Request {
        panel: holds.panel(&args.panel, &context.studio()?.archive()?)?,
        most: args.most,
        how: holds.how((&args.read).into()),
    };
    let mut studio = context.studio()?;
    let nearest = find(&request, &mut studio)?;
    let mut answer = answer(&nearest);
    if args.out.wants_page() {
        let archive = studio.archive()?;
        let mut pictures = Vec::new();
        for found in &nearest.found {
            let kept = studio.sound(small_kept(&found.finish.name, &archive))?;
            pictures.push(kept.unwrap_or_else(|| RgbImage::new(1, 1)));
        }
        let panel = nearest.panel.silver(&archive)?.small();
        answer
            .document
            .push(Block::Pictures(shown(&nearest, &panel, &pictures)?));
    }
    context.answer(answer, &args.out)?;
    Ok(Exit::Done)
}

fn answer(nearest: &Nearest) -> Answer {
    let panel = nearest.panel.name.as_str();
    let mut document = Document::new("sheet of the nearest", panel);
    document.say([headline(nearest)]);
    let json = json!({
        "schema": SCHEMA,
        "panel": panel,
        "words": document.sentences(),
        "searched": nearest.searched,
        "near": nearest.found.iter().map(one).collect::<Vec<_>>(),
    });
    let each = nearest.found.iter().flat_map(|found| {
        let mut said = vec![format!("\n{}", headed(found))];
        said.extend(told(found).into_iter().map(|line| format!("  {line}")));
        said
    });
    document.push(Block::InText(each.collect()));
    Answer {
        document,
        json,
        lines: Lines {
            list: "near",
            repeated: &[("panel", "panel")],
            instead: Some(nearest.found.iter().map(line).collect()),
        },
    }
}

/// How near, in words: `distance` in allowances of the look as a whole.
fn how_near(distance: f64) -> &'static str {
    match distance {
        d if d <= 1.0 => "as like as two panels of one finish",
        d if d < 2.0 => "near, with little that differs",
        d if d < 5.0 => "of the same kind",
        _ => "another look",
    }
}

/// The answer in one sentence.
fn headline(nearest: &Nearest) -> String {
    let Some(first) = nearest.found.first() else {
        return "No other finish is kept that could be compared with it.".to_owned();
    };
    let of = match nearest.searched {
        1 => "one kept finish".to_owned(),
        searched => format!("{searched} kept finishes"),
    };
    format!(
        "Of {of}, `{}` looks most like `{}`: {}.",
        first.finish.name,
        nearest.panel.name,
        how_near(first.distance)
    )
}

/// Its name, when it was kept, how near it is.
fn headed(found: &NearFinish) -> String {
    let finish = &found.finish;
    let approved = finish.approval.as_ref().map_or("", |_| ", approved");
    format!(
        "{} (kept {}{approved}): {}",
        finish.name,
        day(&finish.kept_at),
        how_near(found.distance)
    )
}

/// What differs, what the maker wrote, how it was made.
fn told(found: &NearFinish) -> Vec<String> {
    let mut told = vec![words::differences(&found.beside)];
    let notes = &found.finish.notes;
    told.extend((!notes.is_empty()).then(|| keeping::notes(notes)));
    told.extend(found.recipe.as_ref().map(recipe::short));
    told
}

fn one(found: &NearFinish) -> Value {
    json!({
        "name": found.finish.name,
        "distance": rounded(found.distance, 4),
        "how_near": how_near(found.distance),
        "words": words::differences(&found.beside),
        "approved": found.finish.approval.is_some(),
        "kept_at": found.finish.kept_at,
        "notes": found.finish.notes,
        "recipe": found.recipe,
    })
}

/// It in a table, with each step of the recipe as its text.
fn line(found: &NearFinish) -> Value {
    let mut line = one(found);
    if let Some(recipe) = &found.recipe {
        line["recipe"]["steps"] = recipe.steps.iter().map(RecipeStep::line).collect();
    } else if let Some(line) = line.as_object_mut() {
        line.remove("recipe");
    }
    line
}

/// The panel, and each of them with its picture.
fn shown(nearest: &Nearest, panel: &RgbImage, pictures: &[RgbImage]) -> Result<Vec<Block>> {
    let name = nearest.panel.name.as_str();
    let sought = embedded::small_figure(panel, LONG_SIDE_PX, name, name)?;
    let mut cards = Vec::new();
    for (found, picture) in nearest.found.iter().zip(pictures) {
        let name = found.finish.name.as_str();
        let figure = embedded::small_figure(picture, LONG_SIDE_PX, name, "")?;
        cards.push(html! {
            li {
                (figure)
                b { (name) }
                p { (how_near(found.distance)) }
                @for line in told(found) { p.soft { (line) } }
            }
        });
    }
    Ok(vec![
        Block::Part(
            "The panel itself",
            vec![Block::Drawing(html! { div.sought { (sought) } })],
        ),
        Block::LongPart(
            "The nearest first",
            vec![Block::Drawing(
                html! { ol.cards { @for card in &cards { (card) } } },
            )],
        ),
    ])
}
