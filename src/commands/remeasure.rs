//! `remeasure`: read kept finishes again by the present version.

use serde_json::{Map, Value, json};

use super::args::OutArgs;
use super::context::Context;
use super::exit::Exit;
use crate::archive::Source;
use crate::document::json::{SCHEMA, figure, rounded};
use crate::document::{Answer, Block, Document, Figures, Lines, Row};
use crate::error::{Error, Result};
use crate::fingerprint::metric::figures;
use crate::studio::remeasure::{Again, remeasure};
use crate::studio::{Hear, News};
use crate::units::Unmeasured;
use crate::words::keeping;

/// Read kept finishes again by this version, and show what changes
#[derive(Debug, clap::Args)]
pub(super) struct Args {
    /// The kept finishes
    #[arg(value_name = "NAME", required_unless_present = "all")]
    names: Vec<String>,

    /// Every kept finish
    #[arg(long, conflicts_with = "names")]
    all: bool,

    /// Write one JSON object a line a finish
    #[arg(long)]
    json: bool,
}

pub(super) fn run(args: &Args, context: &mut Context) -> Result<Exit> {
    let mut archive = context.studio()?.archive()?;
    let names = if args.all {
        archive.names()?
    } else {
        args.names.clone()
    };
    if names.is_empty() {
        context.note(&keeping::nothing_kept(archive.path()));
    }
    let out = OutArgs::json(args.json);
    let mut worst = Exit::Done;
    for (i, name) in names.iter().enumerate() {
        context.hear(News::Begun(i + 1, names.len(), name));
        let again = remeasure(name, &mut archive, &mut context.studio()?);
        match again.and_then(|again| context.answer(answer(&again), &out)) {
            Ok(()) => {}
            Err(error @ Error::Output { .. }) => return Err(error),
            Err(error) => {
                let end = Exit::from(&error);
                context.complain(&error.of_finish(name));
                worst = worst.max(end);
            }
        }
    }
    Ok(worst)
}

fn answer(again: &Again) -> Answer {
    let mut document = Document::new("reading made again", &again.name);
    document.say(sentences(again));
    document.push(table(again));
    let measures: Map<String, Value> = figures()
        .map(|row| {
            let [before, now, change] = again.figures(row).map(|v| v.map(|v| figure(row, v)));
            let value = json!({"before": before, "now": now, "change": change});
            (row.key.to_owned(), value)
        })
        .collect();
    Answer {
        document,
        json: json!({
            "schema": SCHEMA,
            "name": again.name,
            "source": again.source,
            "version_before": again.version_before(),
            "version": again.now.version,
            "kept": again.kept,
            "speckle_floor_mm": rounded(again.now.measurements.speckle_floor_mm, 4),
            "measures": measures,
        }),
        lines: Lines::default(),
    }
}

fn sentences(again: &Again) -> Vec<String> {
    let Again { name, now, .. } = again;
    let from = match again.source {
        Source::Photo => "photo",
        Source::Map => "silver map",
    };
    let mut said = vec![format!("`{name}`, read again from its {from}.")];
    let before = again.version_before();
    said.extend(before.filter(|b| *b != u64::from(now.version)).map(|before| {
        format!(
            "Before it was measured by version {before} of the measures, now by version {}.",
            now.version
        )
    }));
    if again.source == Source::Map {
        let floor_mm = now.measurements.speckle_floor_mm;
        said.push(if now.measurements.tone_a == Err(Unmeasured::NoColourKept) {
            format!(
                "A map holds no colour, so its tone and patina are not known, and no specks under {floor_mm:.2} mm."
            )
        } else {
            format!(
                "Its colour is that kept beside the map; no specks under {floor_mm:.2} mm are known."
            )
        });
    }
    let became = match (again.kept, again.source) {
        (true, _) => "The new reading holds from now on; the earlier one stays beside it.",
        (false, Source::Photo) => "It reads as before, so nothing was added.",
        (false, Source::Map) => {
            "The reading that is kept was made by this very version and says as much or more, so it holds."
        }
    };
    said.push(became.to_owned());
    said
}

/// Every measure before and now.
fn table(again: &Again) -> Block {
    let rows = figures().map(|row| {
        let shown = |v: Option<f64>| v.map_or_else(|| "-".to_owned(), |v| row.format(v));
        let cells = again.figures(row).map(shown).into_iter();
        Row {
            title: row.title.to_owned(),
            cells: cells.chain([row.unit.to_owned()]).collect(),
            ..Row::default()
        }
    });
    Block::Figures(Figures {
        head: vec!["", "before", "now", "change", ""],
        numbers: 3,
        rows: rows.collect(),
        ..Figures::default()
    })
}
