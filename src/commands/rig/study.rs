//! `rig study`: how far readings of one and the same panel lie apart in a rig.

use serde_json::{Map, Value, json};

use super::super::args::{OutArgs, PlaceArgs};
use super::super::context::Context;
use super::super::exit::Exit;
use super::sessions::Sessions;
use super::words::{allowance, finer, in_words, sentences, told_from, unit, why, written};
use crate::compare::Study;
use crate::compare::study::{MeasureScatter, OddOne, Row};
use crate::document::json::{SCHEMA, figure};
use crate::document::{self, Answer, Block, Document, Figures, Lines};
use crate::draw::chart;
use crate::error::Result;
use crate::fingerprint::metric::Rule;
use crate::placement::Given;
use crate::studio::rig::{Request, study_of};
use crate::units::Estimate;
use crate::words::keeping::kept_in;

/// Learn from repeated photos of the same panels how far readings in a rig lie apart
#[derive(Debug, clap::Args)]
pub(in crate::commands) struct Args {
    /// The rig
    pub(in crate::commands) name: String,

    #[command(flatten)]
    pub(in crate::commands) sessions: Sessions,

    #[command(flatten)]
    pub(in crate::commands) place: PlaceArgs,

    #[command(flatten)]
    pub(in crate::commands) out: OutArgs,
}

pub(in crate::commands) fn run(args: &Args, context: &mut Context) -> Result<Exit> {
    let request = Request {
        rig: args.name.clone(),
        sessions: args.sessions.0.clone(),
        given: Given::from(&args.place),
    };
    let found = study_of(&request, &mut context.studio()?)?;
    let mut answer = answer(&args.name, &found);
    let kept = kept_in(&context.archive_path()?);
    answer.document.push(Block::InText(vec![kept]));
    context.answer(answer, &args.out)?;
    Ok(Exit::Done)
}

/// Of counts and sizes the figures are shares: 0.05 is one part in twenty. In JSON they stand on the scale that is named: `log`,
/// natural logarithms, or `linear`.
fn answer(rig: &str, study: &Study) -> Answer {
    let mut document = Document::new("rig study sheet", rig);
    document.say(sentences(rig, study));
    document.push(Block::Figures(Figures {
        heading: "What this rig repeats",
        key: "Pale band: the starting allowance. Thick line: what two readings of one panel may differ by, 95 times in 100.",
        head: vec!["", "same day", "any day", "called real from", ""],
        numbers: 3,
        rows: study.rows.iter().map(row).collect(),
    }));
    let odd =
        |odd: &OddOne| json!({"name": odd.name, "apart": odd.apart, "measure": odd.metric.key});
    let json = json!({
        "schema": SCHEMA,
        "rig": rig,
        "panels": study.panels,
        "sessions": study.sessions,
        "photos": study.photos,
        "more_photos": study.more_photos(),
        "more_sessions": study.more_sessions(),
        "words": document.sentences(),
        "odd": study.odd.iter().map(odd).collect::<Vec<_>>(),
        "measures": study.rows.iter().map(measure).collect::<Map<_, _>>(),
    });
    Answer {
        document,
        json,
        lines: Lines {
            list: "measures",
            repeated: &[("rig", "rig")],
            instead: None,
        },
    }
}

/// What two readings of one measure may differ by, against what is allowed.
fn row(Row { metric, found }: &Row) -> document::Row {
    let none = || "-".to_owned();
    let title = metric.title.to_owned();
    let f = match found {
        Ok(f) => f,
        Err(left_out) => {
            let says = format!("left out: {}", why(left_out));
            return document::Row {
                title,
                cells: vec![none(), none(), none(), says.clone()],
                figure: String::new(),
                says,
                drawing: None,
            };
        }
    };
    let limit = in_words(metric, f.scatter().limit());
    let line = Estimate {
        value: limit,
        low: 0.0,
        high: limit,
    };
    let write = |v| written(metric, v);
    document::Row {
        title,
        cells: vec![
            finer(metric, f.within.sd),
            f.any_day.map_or_else(none, |s| finer(metric, s.sd)),
            told_from(metric, limit),
            unit(metric).to_owned(),
        ],
        figure: format!("{} {}", told_from(metric, limit), unit(metric)),
        says: String::new(),
        drawing: Some(chart::allowance(
            metric.title,
            line,
            (0.0, allowance(metric)),
            0.0,
            write,
        )),
    }
}

fn measure(Row { metric, found }: &Row) -> (String, Value) {
    let (scale, unit) = match metric.rule {
        Rule::Ratio => ("log", unit(metric)),
        Rule::Difference | Rule::Axial | Rule::Circular => ("linear", metric.unit),
    };
    let f = found.as_ref().ok();
    let shown = |of: fn(&MeasureScatter) -> Option<f64>| f.and_then(of).map(|v| figure(metric, v));
    let mut json = json!({
        "sd": shown(|f| Some(f.within.sd)),
        "dof": f.map(|f| f.within.dof),
        "any_day_sd": shown(|f| Some(f.any_day?.sd)),
        "any_day_dof": f.and_then(|f| Some(f.any_day?.dof)),
        "limit": shown(|f| Some(f.scatter().limit())),
        "between_sd": shown(|f| f.between_sd),
        "scale": scale,
        "unit": unit,
    });
    if let Err(left_out) = found {
        json["why"] = why(left_out).into();
    }
    (metric.key.to_owned(), json)
}
