//! `studio`: what is usual in the studio, wherever neither a job nor what is typed says otherwise.

use clap::ValueEnum;
use serde_json::json;

use super::args::{OutArgs, SideArg, StageArg};
use super::context::Context;
use super::exit::Exit;
use crate::archive::{LengthUnit, Usual, UsualPaper};
use crate::document::json::SCHEMA;
use crate::document::{Answer, Block, Document, Lines};
use crate::error::Result;
use crate::studio::holds::say_usual;
use crate::words::job as say;

/// Say what is usual in the studio: rig, stage, paper, units; alone it shows what was said
#[derive(Debug, clap::Args)]
pub(super) struct Args {
    /// The rig that photos are taken in; an empty text takes it away
    #[arg(long, value_name = "NAME")]
    rig: Option<String>,

    /// How far the work has gone when panels are photographed
    #[arg(long, value_enum)]
    stage: Option<StageArg>,

    /// The side that faces the camera then
    #[arg(long, value_enum)]
    side: Option<SideArg>,

    /// The paper that sheets are printed on
    #[arg(long, value_enum)]
    paper: Option<PaperArg>,

    /// What sizes are said in
    #[arg(long, value_enum)]
    units: Option<UnitArg>,

    /// The folder that your camera's photos come into; an empty text takes it away
    #[arg(long, value_name = "FOLDER")]
    camera_folder: Option<String>,

    /// Write it as JSON
    #[arg(long)]
    json: bool,
}

/// Paper to print on
#[derive(Debug, Clone, Copy, ValueEnum)]
enum PaperArg {
    /// 210 x 297 mm
    A4,
    /// 8.5 x 11 in
    Letter,
}

/// What sizes are said in
#[derive(Debug, Clone, Copy, ValueEnum)]
enum UnitArg {
    /// Millimetres
    Mm,
    /// Inches
    In,
}

impl From<&Args> for Usual {
    fn from(args: &Args) -> Usual {
        Usual {
            rig: args.rig.clone(),
            stage: args.stage.map(Into::into),
            side: args.side.map(Into::into),
            paper: args.paper.map(|paper| match paper {
                PaperArg::A4 => UsualPaper::A4,
                PaperArg::Letter => UsualPaper::Letter,
            }),
            units: args.units.map(|unit| match unit {
                UnitArg::Mm => LengthUnit::Mm,
                UnitArg::In => LengthUnit::In,
            }),
            camera_folder: args.camera_folder.clone(),
        }
    }
}

pub(super) fn run(args: &Args, context: &mut Context) -> Result<Exit> {
    let said = Usual::from(args);
    let usual = if said == Usual::default() {
        context.studio()?.archive()?.usual()?
    } else {
        say_usual(said, &context.studio()?)?
    };
    context.look_again();
    let mut document = Document::new("what is usual", "");
    let headline = if usual == Usual::default() {
        say::NOTHING_USUAL
    } else {
        say::USUAL
    };
    document.say([headline.to_owned()]);
    document.push(Block::Facts(say::usual(&usual)));
    let answer = Answer {
        document,
        json: json!({
            "schema": SCHEMA,
            "rig": usual.rig,
            "stage": usual.stage,
            "side": usual.side,
            "paper": usual.paper,
            "units": usual.units,
            "camera_folder": usual.camera_folder,
        }),
        lines: Lines::default(),
    };
    context.answer(answer, &OutArgs::json(args.json))?;
    Ok(Exit::Done)
}
