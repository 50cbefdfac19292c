//! `ladder`: the studio's own named steps from light to heavy, and where a panel stands between them.

use image::RgbImage;
use maud::{Markup, html};
use serde_json::{Value, json};

use super::args::{OutArgs, ReadArgs};
use super::context::Context;
use super::exit::Exit;
use crate::archive::{Change, Step};
use crate::compare::ladder::met;
use crate::document::json::{SCHEMA, figure, rounded};
use crate::document::{Answer, Block, Document, Lines};
use crate::draw::{chart, embedded};
use crate::error::{Error, Result};
use crate::fingerprint::metric::AGGRESSIVENESS;
use crate::studio::ladder::{self, OnLadder, Request};
use crate::studio::reading::small_kept;
use crate::units::Estimate;
use crate::words::captions as say;
use crate::words::keeping;
use crate::words::ladder::standing;

/// Place a panel on the studio's own ladder of named steps
#[derive(Debug, clap::Args)]
pub(super) struct Args {
    #[command(subcommand)]
    command: Command,
}

#[derive(Debug, clap::Subcommand)]
enum Command {
    Make(MakeArgs),
    Place(Box<StandArgs>),
    Show(ShowArgs),
    Remove(RemoveArgs),
}

/// Name the steps, from light to heavy, each with the kept finish that shows it
#[derive(Debug, clap::Args)]
pub(super) struct MakeArgs {
    /// The name for the ladder
    pub(super) name: String,

    /// Steps from light to heavy: your name for each, and the kept finish that shows it
    #[arg(required = true, value_name = "STEP=FINISH")]
    pub(super) steps: Vec<String>,

    /// Take the place of the ladder of this name; its steps stay in the history
    #[arg(long)]
    pub(super) replace: bool,

    /// Write the ladder as JSON
    #[arg(long)]
    pub(super) json: bool,
}

/// Say between which steps a panel stands
#[derive(Debug, clap::Args)]
pub(super) struct StandArgs {
    /// A photo, or the name of a kept finish
    pub(super) panel: String,

    /// The ladder
    #[arg(long, value_name = "LADDER")]
    pub(super) on: String,

    #[command(flatten)]
    pub(super) read: ReadArgs,

    #[command(flatten)]
    pub(super) out: OutArgs,
}

/// Show a ladder, or name them all
#[derive(Debug, clap::Args)]
struct ShowArgs {
    /// The ladder [default: the names of all]
    name: Option<String>,

    /// Write JSON
    #[arg(long)]
    json: bool,
}

/// Take a ladder apart; its finishes stay, and its steps stay in the history
#[derive(Debug, clap::Args)]
struct RemoveArgs {
    /// The ladder
    name: String,

    /// Write JSON
    #[arg(long)]
    json: bool,
}

pub(super) fn run(args: &Args, context: &mut Context) -> Result<Exit> {
    match &args.command {
        Command::Make(args) => make(args, context),
        Command::Place(args) => place(args, context),
        Command::Show(args) => show(args, context),
        Command::Remove(args) => remove(args, context),
    }
}

pub(super) fn make(args: &MakeArgs, context: &mut Context) -> Result<Exit> {
    let steps = args.steps.iter().map(|text| step(text));
    let steps: Vec<Step> = steps.collect::<Result<_>>()?;
    let mut made = ladder::make(&args.name, &steps, args.replace, &context.studio()?);
    if matches!(made, Err(Error::LadderThere { .. })) && context.asks(REPLACE) {
        made = ladder::make(&args.name, &steps, true, &context.studio()?);
    }
    say_steps(&args.name, &made?, &[], args.json, context)?;
    Ok(Exit::Done)
}

const REPLACE: &str = "There is a ladder of this name. Is the new one to take its place? Its steps stay in the history. [y/N]";

fn remove(args: &RemoveArgs, context: &mut Context) -> Result<Exit> {
    let studio = context.studio()?;
    let mut archive = studio.archive()?;
    let kept = archive.ladder_name(&args.name)?;
    let steps = archive.ladder(&args.name)?;
    let name = archive.remove_ladder(&args.name, &(studio.now)())?;
    let mut document = Document::new(say::LADDER, &name);
    let again = steps.iter().map(|s| format!("\"{}={}\"", s.name, s.finish));
    let again = again.collect::<Vec<_>>().join(" ");
    document.say([
        format!("Ladder `{name}` was taken apart; its finishes stay as they are."),
        format!("To have it again: paneprint ladder make \"{name}\" {again}"),
    ]);
    let answer = Answer {
        json: json!({"ladder": kept, "steps": steps}),
        document,
        lines: Lines::default(),
    };
    context.answer(answer, &OutArgs::json(args.json))?;
    Ok(Exit::Done)
}

/// Reads `medium=alcove sample`; a name alone is both.
fn step(text: &str) -> Result<Step> {
    let (name, finish) = text.split_once('=').unwrap_or((text, text));
    let (name, finish) = (name.trim().to_owned(), finish.trim().to_owned());
    if name.is_empty() || finish.is_empty() {
        return Err(Error::NoStep {
            given: text.to_owned(),
        });
    }
    Ok(Step { name, finish })
}

fn show(args: &ShowArgs, context: &mut Context) -> Result<Exit> {
    let archive = context.studio()?.archive()?;
    let names = match &args.name {
        Some(name) => vec![name.clone()],
        None => archive.ladders()?,
    };
    if names.is_empty() && !args.json {
        context.say_in_job(NONE)?;
    }
    for name in &names {
        let kept = archive.ladder_name(name)?;
        let shown = kept.as_ref().unwrap_or(name);
        let steps = archive.ladder(name)?;
        let changes = context.studio()?.sound(archive.ladder_changes(name))?;
        let changes = changes.unwrap_or_default();
        say_steps(shown, &steps, &changes, args.json, context)?;
    }
    Ok(Exit::Done)
}

const NONE: &str =
    "No ladder is kept yet. Make one: paneprint ladder make NAME LIGHT=FINISH … HEAVY=FINISH";

fn say_steps(
    name: &str,
    steps: &[Step],
    changes: &[(Change, Vec<Step>)],
    json: bool,
    context: &mut Context,
) -> Result<()> {
    let mut document = Document::new(say::LADDER, name);
    let named = names(steps).join(", ");
    document.say([format!("Ladder `{name}`, from light to heavy: {named}.")]);
    document.note(changes.iter().map(|(change, before)| {
        let before = names(before).join(", ");
        format!("{} Its steps were: {before}.", keeping::change(change))
    }));
    let changes: Vec<&Change> = changes.iter().map(|(change, _)| change).collect();
    let answer = Answer {
        json: json!({"ladder": name, "steps": steps, "changes": changes}),
        document,
        lines: Lines::default(),
    };
    let out = OutArgs::json(json);
    context.answer(answer, &out)
}

fn names(steps: &[Step]) -> Vec<&str> {
    steps.iter().map(|step| step.name.as_str()).collect()
}

pub(super) fn place(args: &StandArgs, context: &mut Context) -> Result<Exit> {
    let holds = context.holds()?;
    let request = Request {
        panel: holds.panel(&args.panel, &context.studio()?.archive()?)?,
        on: args.on.clone(),
        how: holds.how((&args.read).into()),
    };
    let studio = context.studio()?;
    let placed = ladder::place(&request, &studio)?;
    let mut answer = answer(&placed);
    if args.out.wants_page() {
        let archive = studio.archive()?;
        let steps = placed.steps.iter();
        let steps = steps.map(|step| small_kept(&step.finish, &archive));
        let steps: Vec<RgbImage> = steps.collect::<Result<_>>()?;
        let panel = placed.panel.silver(&archive)?.small();
        answer
            .document
            .push(Block::Pictures(rungs(&placed, &steps, &panel)?));
    }
    context.answer(answer, &args.out)?;
    Ok(Exit::Done)
}

/// Decimals of a place.
const PLACE_DECIMALS: i32 = 3;

fn answer(placed: &OnLadder) -> Answer {
    let OnLadder {
        panel,
        ladder,
        steps,
        standing: stands,
    } = placed;
    let names = names(steps);
    let mut document = Document::new(say::LADDER, format!("{} / {ladder}", panel.name));
    document.say([standing(stands, &names)]);
    let worn = |v| figure(&AGGRESSIVENESS, v);
    let each = names.iter().zip(&stands.steps);
    let each = each.map(|(name, e)| json!({"step": name, "aggressiveness": estimate(*e, worn)}));
    let json = json!({
        "schema": SCHEMA,
        "panel": panel.name,
        "ladder": ladder,
        "words": document.sentences(),
        "place": estimate(stands.place, |v| rounded(v, PLACE_DECIMALS)),
        "at": met(stands.place.value).and_then(|step| names.get(step - 1)),
        "beyond": stands.beyond,
        "looks_most_like": stands.looks_like.and_then(|step| names.get(step - 1)),
        "aggressiveness": estimate(stands.panel, worn),
        "steps": each.collect::<Vec<_>>(),
    });
    Answer {
        document,
        json,
        lines: Lines {
            list: "steps",
            repeated: &[
                ("panel", "panel"),
                ("ladder", "ladder"),
                ("place", "place"),
                ("beyond", "beyond"),
                ("panel_aggressiveness", "aggressiveness"),
            ],
            instead: None,
        },
    }
}

fn estimate(e: Estimate, rounded: impl Fn(f64) -> f64) -> Value {
    json!({
        "value": rounded(e.value),
        "low": rounded(e.low),
        "high": rounded(e.high),
    })
}

/// Long side of a picture, pixels.
const LONG_SIDE_PX: usize = 200;

/// The steps, and the panel before the first of them that is heavier.
fn rungs(placed: &OnLadder, steps: &[RgbImage], panel: &RgbImage) -> Result<Vec<Block>> {
    let standing = &placed.standing;
    let worn = standing.panel;
    let all = standing.steps.iter().chain([&worn]);
    let top = all.fold(0.0, |top: f64, e| top.max(e.high));
    let each = placed.steps.iter().zip(&standing.steps).zip(steps);
    let each = each.map(|((step, found), small)| rung(&step.name, *found, small, top, false));
    let mut rungs: Vec<Markup> = each.collect::<Result<_>>()?;
    let before = standing.steps.iter().position(|s| s.value > worn.value);
    let here = rung(&placed.panel.name, worn, panel, top, true)?;
    rungs.insert(before.unwrap_or(steps.len()), here);
    let list = html! { ol.rungs { @for rung in &rungs { (rung) } } };
    Ok(vec![Block::LongPart(
        "From light to heavy",
        vec![
            Block::Key(format!(
                "Aggressiveness on one scale for all. The framed line is the panel. {}",
                say::CONTRAST
            )),
            Block::Drawing(list),
        ],
    )])
}

fn rung(name: &str, found: Estimate, small: &RgbImage, top: f64, here: bool) -> Result<Markup> {
    let figure = embedded::small_figure(small, LONG_SIDE_PX, name, "")?;
    let shown = AGGRESSIVENESS.format(found.value);
    Ok(html! {
        li.here[here] {
            (figure)
            div {
                b { (name) } " " (shown)
                (chart::on_scale(name, &AGGRESSIVENESS, found, top))
            }
        }
    })
}
