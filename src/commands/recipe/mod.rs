//! `recipe`: how a kept finish was made, written down or shown.

mod ask;
mod given;

use std::path::PathBuf;

use image::RgbImage;
use maud::html;
use serde_json::{Map, Value, json};

use super::args::OutArgs;
use super::context::Context;
use super::exit::Exit;
use crate::archive::{Recipe, RecipeStep};
use crate::document::card::OTHER_VERSION;
use crate::document::json::{SCHEMA, figure};
use crate::document::{Answer, Block, Document, Lines};
use crate::draw::embedded;
use crate::error::Result;
use crate::fingerprint::metric::{AGGRESSIVENESS, COVERAGE};
use crate::studio::reading::small_kept;
use crate::studio::recipe::{Made, look_up, write_down};
use crate::words::cautions::Work;
use crate::words::{self, day, keeping, list, recipe as words_of};

/// Write down how a kept finish was made, in your own words, or show it
#[derive(Debug, clap::Args)]
pub(super) struct Args {
    /// The kept finish
    name: String,

    /// The technique, in your own words
    #[arg(long, value_name = "TEXT")]
    technique: Option<String>,

    /// A step, your word for it first, the rest in any order: "attack, 140 s, 30 ml, 21 C, rocked, dried with warm air"
    /// (repeatable)
    #[arg(long = "step", value_name = "TEXT")]
    steps: Vec<String>,

    /// What the back was painted or covered with
    #[arg(long, value_name = "TEXT")]
    backing: Option<String>,

    /// What you would change next time
    #[arg(long, value_name = "TEXT")]
    change: Option<String>,

    /// Read all of it from a text, with lines such as `step: attack, 140 s`
    #[arg(long, value_name = "FILE.txt", conflicts_with_all = ["technique", "steps", "backing", "change"])]
    file: Option<PathBuf>,

    /// Ask for it line by line, as is done at a terminal where nothing else is said
    #[arg(long, conflicts_with_all = ["technique", "steps", "backing", "change", "file"])]
    ask: bool,

    /// Show what is written, and ask nothing
    #[arg(long, conflicts_with_all = ["technique", "steps", "backing", "change", "file", "ask"])]
    show: bool,

    #[command(flatten)]
    out: OutArgs,
}

/// Long side of the picture, pixels.
const LONG_SIDE_PX: usize = 480;

/// How to begin.
const BEGIN: &str =
    "Write it down: paneprint recipe NAME --step \"YOUR WORD, 140 s\", or with --ask.";

/// What is said of the writing stands beside the answer, so that the answer alone can be read back.
pub(super) fn run(args: &Args, context: &mut Context) -> Result<Exit> {
    let mut made = look_up(&args.name, &mut context.studio()?)?;
    if let Some(recipe) = given::given(args, made.recipe(), context)? {
        let written = write_down(recipe, &mut made, &context.studio()?)?;
        for line in said_of(&made, written) {
            context.note(&line);
        }
    }
    let shown = args.out.wants_page();
    let small = || small_kept(&args.name, &context.studio()?.archive()?);
    let small = shown.then(small).transpose()?;
    context.answer(answer(&made, small.as_ref())?, &args.out)?;
    Ok(Exit::Done)
}

/// What became of a recipe that was given.
fn said_of(made: &Made, written: bool) -> Vec<String> {
    if !written {
        return vec!["Nothing was written: it says that already.".to_owned()];
    }
    let mut said = vec![format!("Written down beside `{}`.", made.finish.name)];
    if let [.., before, now] = made.recipes.as_slice() {
        said.extend(no_longer(before, now));
    }
    said
}

/// What can be said in a recipe, and whether it is.
fn parts(recipe: &Recipe) -> [(&'static str, bool); 4] {
    [
        ("technique", !recipe.technique.is_empty()),
        ("steps", !recipe.steps.is_empty()),
        ("backing", !recipe.backing.is_empty()),
        ("change", !recipe.change.is_empty()),
    ]
}

/// What an earlier one said that the one in its place does not say any more.
fn no_longer(before: &Recipe, now: &Recipe) -> Vec<String> {
    let both = parts(before).into_iter().zip(parts(now));
    let gone = both.filter(|((_, before), (_, now))| *before && !now);
    let gone: Vec<&str> = gone.map(|((part, _), _)| part).collect();
    let mut said = Vec::new();
    said.extend((!gone.is_empty()).then(|| format!("No longer said: {}.", list(&gone))));
    let mut still: Vec<&RecipeStep> = now.steps.iter().collect();
    let mut stands = |step: &RecipeStep| {
        let at = still.iter().position(|s| *s == step);
        at.map(|at| still.swap_remove(at)).is_some()
    };
    if !before.steps.iter().all(&mut stands) && !now.steps.is_empty() {
        let earlier: Vec<String> = before.steps.iter().map(RecipeStep::line).collect();
        let earlier = earlier.join("; ");
        said.push(format!("In place of the earlier steps: {earlier}."));
    }
    said
}

/// The answer, whose text can be read back; `small` is the finish's picture, where it is to be shown.
fn answer(made: &Made, small: Option<&RgbImage>) -> Result<Answer> {
    let (finish, recipe) = (&made.finish, made.recipe());
    let name = finish.name.as_str();
    let look = look(made);
    let mut document = Document {
        reads_back: true,
        ..Document::new("recipe card", name)
    };
    document.note([match recipe {
        Some(recipe) => {
            let at = day(&recipe.written_at);
            format!("How `{name}` was made, written down on {at}.")
        }
        None => format!("How `{name}` was made is not written down yet."),
    }]);
    let earlier = made.recipes.split_last().map_or(&[][..], |(_, all)| all);
    document.note(words_of::earlier(earlier));
    document.caution(&[Work::Mix]);
    document.push(Block::InText(recipe.map(Recipe::lines).unwrap_or_default()));
    let mut looks = Vec::new();
    if let Some(small) = small {
        let figure = embedded::small_figure(small, LONG_SIDE_PX, name, name)?;
        looks.push(Block::Drawing(figure));
    }
    looks.extend(look.iter().cloned().map(Block::Note));
    document.push(Block::Pair(vec![
        Block::Part("How it was made", recipe.map_or_else(begin, shown)),
        Block::Part("How it came out", looks),
    ]));
    let settings = recipe.map(Recipe::settings).unwrap_or_default();
    let settings = settings.into_iter().map(|(name, v, _)| (name, v.into()));
    let json = json!({
        "schema": SCHEMA,
        "finish": name,
        "written_at": recipe.map(|r| &r.written_at),
        "technique": recipe.map(|r| &r.technique),
        "steps": recipe.map_or(&[][..], |r| &r.steps),
        "backing": recipe.map(|r| &r.backing),
        "change": recipe.map(|r| &r.change),
        "settings": settings.collect::<Map<String, Value>>(),
        "earlier": earlier.iter().map(|r| &r.written_at).collect::<Vec<_>>(),
        "kept_at": finish.kept_at,
        "approved_at": finish.approved_at,
        "coverage": finish.coverage.map(|v| figure(&COVERAGE, v)),
        "aggressiveness": finish.aggressiveness.map(|v| figure(&AGGRESSIVENESS, v)),
        "notes": finish.notes,
        "words": look,
        "cautions": document.cautions(),
    });
    Ok(Answer {
        document,
        json,
        lines: Lines {
            list: "steps",
            repeated: &[
                ("finish", "finish"),
                ("technique", "technique"),
                ("backing", "backing"),
                ("change", "change"),
            ],
            instead: None,
        },
    })
}

/// How the finish came out.
fn look(made: &Made) -> Vec<String> {
    let finish = &made.finish;
    let approved = finish.approved_at.as_ref();
    let approved = approved.map_or_else(String::new, |at| format!(", approved on {}", day(at)));
    let kept = day(&finish.kept_at);
    let mut said = vec![format!(
        "Kept on {kept} from {}{approved}.",
        finish.photo_name
    )];
    match &made.fingerprint {
        Some(fingerprint) => said.extend(words::reading(&fingerprint.measurements)),
        None => said.push(OTHER_VERSION.to_owned()),
    }
    said.extend(
        finish
            .aggressiveness
            .map(|v| format!("Aggressiveness {v:.1}.")),
    );
    if !finish.notes.is_empty() {
        said.extend(keeping::notes(&finish.notes).lines().map(str::to_owned));
    }
    said
}

fn begin() -> Vec<Block> {
    vec![Block::Note(BEGIN.to_owned())]
}

/// What was written, its steps numbered.
fn shown(recipe: &Recipe) -> Vec<Block> {
    let rest = |step: &RecipeStep| {
        let line = step.line();
        line.strip_prefix(&step.step).unwrap_or(&line).to_owned()
    };
    let steps = html! {
        @if !recipe.steps.is_empty() {
            h3 { "Steps" }
            ol.steps { @for step in &recipe.steps { li { b { (step.step) } (rest(step)) } } }
        }
    };
    let facts = |facts: &[(&'static str, &String)]| {
        Block::Facts(
            facts
                .iter()
                .map(|(name, says)| (*name, (*says).clone()))
                .collect(),
        )
    };
    vec![Block::OnPage(vec![
        facts(&[("Technique", &recipe.technique)]),
        Block::Drawing(steps),
        facts(&[("Backing", &recipe.backing), ("Next time", &recipe.change)]),
    ])]
}
