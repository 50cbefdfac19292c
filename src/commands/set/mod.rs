//! `set`: which panels are odd, which to remake, and how to hang them.

mod shown;
mod words;

use std::path::PathBuf;

use serde_json::{Map, Value, json};

use super::args::{OutArgs, ReadArgs};
use super::context::Context;
use super::exit::Exit;
use super::own_file::PNG;
use super::photos::spare;
use crate::compare::Lean;
use crate::compare::set::{Drift, Variance};
use crate::compare::wall::arrange::Grid;
use crate::document::json::{SCHEMA, figure, rounded};
use crate::document::{Answer, Block, Document, Lines};
use crate::draw::picture;
use crate::error::Result;
use crate::silver;
use crate::studio::panel::PanelSource;
use crate::studio::reading::How;
use crate::studio::set::{HungSet, Request, hang_together, sources};
use crate::units::Metres;

/// Say which panels of a set are odd, which to remake, and how to hang them
#[derive(Debug, Clone, Default, clap::Args)]
pub(super) struct Args {
    /// The panels in the order of making: names of kept finishes, photos, or folders of photos
    /// [default: the panels of the job]
    #[arg(value_name = "NAME|PHOTO")]
    pub(super) panels: Vec<String>,

    /// The approved sample that all must be within as well [default: that of the job]
    #[arg(long, value_name = "NAME")]
    pub(super) to: Option<String>,

    /// How they will hang, panels across and down, such as 4x3 [default: that of the job, or one row]
    #[arg(long, value_name = "ACROSSxDOWN", value_parser = grid)]
    wall: Option<Grid>,

    /// From how far the wall is looked at [default: that of the job, or 1.8m]
    #[arg(long, value_name = "DISTANCE")]
    viewed_from: Option<Metres>,

    /// Leave every panel the way up it is
    #[arg(long)]
    no_turning: bool,

    #[command(flatten)]
    read: ReadArgs,

    #[command(flatten)]
    pub(super) out: OutArgs,

    /// Write a picture of the wall as it is to hang [without a name: one of its own]
    #[arg(long, value_name = "FILE.png")]
    pub(super) picture: Option<Option<PathBuf>>,
}

/// Reads panels across and down.
pub(super) fn grid(text: &str) -> std::result::Result<Grid, String> {
    let side = |text: &str| text.trim().parse().ok().filter(|n| (1..=100).contains(n));
    let read = || {
        let (across, down) = text.trim().split_once(['x', 'X', '×'])?;
        Some(Grid {
            rows: side(down)?,
            cols: side(across)?,
        })
    };
    read().ok_or_else(|| format!("`{text}` is no wall; write panels across and down like 4x3"))
}

pub(super) fn run(args: &Args, context: &mut Context) -> Result<Exit> {
    let holds = context.holds()?;
    let mut studio = context.studio()?;
    let panels = holds.panels(&args.panels)?;
    let picture = args.picture.as_ref().and_then(Option::as_deref);
    if let Some(file) = picture {
        let sources = sources(&panels, &studio.archive()?)?;
        spare(
            [file].into_iter(),
            sources.iter().filter_map(PanelSource::photo),
        )?;
    }
    let request = Request {
        panels,
        to: args.to.clone().or_else(|| holds.sample(None).ok()),
        wall: args.wall,
        wall_of_job: holds.wall(),
        viewed_from: holds.viewed_from(args.viewed_from),
        may_turn: !args.no_turning,
        long_side_px: picture::HUNG_PX,
        how: holds.how(How::from(&args.read)),
    };
    let found = hang_together(&request, &mut studio)?;
    if args.picture.is_some() {
        let what = format!("{} wall", found.names().join(" "));
        let drawn = wall_picture(&found, &what)?;
        context.write_beside(picture, (&what, PNG), &drawn, args.out.replace_file)?;
    }
    context.answer(answer(&found, args.out.wants_page())?, &args.out)?;
    Ok(found.set.verdict.into())
}

/// The picture of the wall as a file that says of which panels it is.
fn wall_picture(found: &HungSet, question: &str) -> Result<Vec<u8>> {
    let drawn = picture::wall(&shown::hangings(found), &found.wall);
    Ok(silver::drawing(&silver::png(&drawn)?, question))
}

/// The answer, what is odd, what to do, what drifts, how it hangs; cautions beside what can lead to harm.
fn answer(found: &HungSet, on_page: bool) -> Result<Answer> {
    let verdict = found.set.verdict;
    let mut document = Document::new("set and wall sheet", found.names().join(", "))
        .decided(verdict, Lean::Neither)
        .headed(words::headline(found));
    let (said, works) = words::answer(found);
    document.say(said);
    document.remark(words::besides(found));
    document.caution(&works);
    if on_page {
        document.push(Block::Pictures(shown::wall(found)?));
        document.on_page(shown::pictures(found));
    }
    document.push(shown::places(found));
    Ok(Answer {
        json: json(found, &document),
        document,
        lines: Lines {
            list: "panels",
            ..Lines::default()
        },
    })
}

fn json(found: &HungSet, document: &Document) -> Value {
    let (set, wall, names) = (&found.set, &found.wall, found.names());
    let name = |panel: usize| names[panel];
    let remakes = || set.remakes.iter();
    let drift =
        |d: &Drift| json!({"measure": d.metric.key, "more": d.more, "by": figure(d.metric, d.by)});
    let drifts = set.drift.as_ref();
    let hanging = wall.hung.iter().enumerate().map(|(place, hung)| {
        json!({
            "name": name(hung.panel),
            "turned": hung.turned,
            "row": place / wall.grid.cols,
            "column": place % wall.grid.cols,
        })
    });
    let joints = wall.joints.iter().map(|met| {
        json!({
            "between": found.meeting(met),
            "below": met.below,
            "step": rounded(met.step, 3),
            "look": met.look,
        })
    });
    json!({
        "schema": SCHEMA,
        "verdict": set.verdict,
        "sample": found.sample,
        "headline": document.headline(),
        "words": document.sentences(),
        "cautions": document.cautions(),
        "only_starting_allowances": set.only_start,
        "unsure_pairs": set.unsure_pairs,
        "pairs": set.pairs,
        "panels": (0..names.len()).map(|i| panel(found, i)).collect::<Vec<_>>(),
        "remake": remakes().map(|r| name(r.panel)).collect::<Vec<_>>(),
        "left_out": found.left_out,
        "look_at": set.settle.iter().map(|i| name(*i)).collect::<Vec<_>>(),
        "perhaps_turned": remakes().filter(|r| r.turned).map(|r| name(r.panel)).collect::<Vec<_>>(),
        "can_go_further":
            remakes().filter(|r| r.can_go_further()).map(|r| name(r.panel)).collect::<Vec<_>>(),
        "drift": drifts.map(|all| all.iter().map(drift).collect::<Vec<_>>()),
        "variance": set.variance.iter().map(variance).collect::<Map<_, _>>(),
        "viewed_from_m": rounded(found.viewed_from.0, 3),
        "across": wall.grid.cols,
        "down": wall.grid.rows,
        "hanging": hanging.collect::<Vec<_>>(),
        "joints": joints.collect::<Vec<_>>(),
        "best_possible": wall.exact,
    })
}

fn panel(found: &HungSet, panel: usize) -> Value {
    let (set, hung) = (&found.set, &found.wall.hung);
    let odd = set.odd[panel].iter();
    let odd = odd.map(|o| json!({"measure": o.metric.key, "z": rounded(o.z, 2)}));
    let place = hung.iter().position(|hung| hung.panel == panel);
    json!({
        "name": found.members[panel].name,
        "odd": !set.odd[panel].is_empty(),
        "why": words::why(found, panel),
        "odd_in": odd.collect::<Vec<_>>(),
        "remake": set.remakes.iter().any(|r| r.panel == panel),
        "place": place.map(|place| place + 1),
        "turned": place.map(|place| hung[place].turned),
    })
}

fn variance(v: &Variance) -> (String, Value) {
    let found = json!({
        "between_sd": figure(v.metric, v.between_sd),
        "within_sd": figure(v.metric, v.within_sd),
        "between_share": rounded(v.between_share, 4),
    });
    (v.metric.key.to_owned(), found)
}
