//! `export`: finishes as plain files.

use std::path::{Path, PathBuf};

use serde_json::json;

use super::args::OutArgs;
use super::context::Context;
use super::exit::Exit;
use crate::document::card::{Leaving, card};
use crate::document::line::{cells, csv, line};
use crate::document::{Answer, Document, Lines};
use crate::error::{Error, Result};
use crate::studio::export::{Exported, Leaves, Request, export};

/// Write finishes as plain files
#[derive(Debug, clap::Args)]
pub(super) struct Args {
    /// The folder to write; it must be new or empty
    folder: PathBuf,

    /// The finishes to take, their limit pieces with them [default: all]
    #[arg(value_name = "NAME")]
    names: Vec<String>,

    /// Take the photos along that were kept
    #[arg(long)]
    with_photo: bool,

    /// Write what was done as JSON
    #[arg(long)]
    json: bool,
}

/// One line a finish.
const LINES: &str = "all.ndjson";

/// One row a finish.
const TABLE: &str = "all.csv";

pub(super) fn run(args: &Args, context: &mut Context) -> Result<Exit> {
    let request = Request {
        folder: args.folder.clone(),
        names: args.names.clone(),
        with_photo: args.with_photo,
    };
    let done = export(&request, tell, sum_up, &mut context.studio()?)?;
    for (sample, piece) in &done.without_piece {
        context.note(&format!(
            "`{sample}` was signed with `{piece}`, which stayed behind: it comes back in only where that one is kept."
        ));
    }
    let out = OutArgs::json(args.json);
    context.answer(answer(&args.folder, &done), &out)?;
    Ok(Exit::Done)
}

/// The card of a finish; its line and its cells.
fn tell(leaves: &Leaves) -> (String, (String, Vec<String>)) {
    let finish = &leaves.files.finish;
    let leaving = Leaving {
        name: &finish.name,
        kept_at: &finish.kept_at,
        photo_name: &finish.photo_name,
        notes: &finish.notes,
        approval: leaves.approval.as_ref(),
        recipes: &leaves.recipes,
        decisions: &leaves.decisions,
        fingerprint: leaves.fingerprint.as_ref(),
        readings: finish.readings.len(),
        folder: &leaves.folder,
    };
    let told = (line(&leaving).to_string(), cells(&leaving));
    (card(&leaving), told)
}

/// All finishes in lines, and in a table.
fn sum_up(told: Vec<(String, Vec<String>)>) -> Result<Vec<(String, Vec<u8>)>> {
    let (lines, cells): (Vec<String>, Vec<_>) = told.into_iter().unzip();
    let lines = lines.iter().map(|line| format!("{line}\n"));
    let table = csv(cells.into_iter()).map_err(|source| Error::Io {
        path: TABLE.into(),
        action: "written",
        source,
    })?;
    Ok(vec![
        (LINES.to_owned(), lines.collect::<String>().into_bytes()),
        (TABLE.to_owned(), table),
    ])
}

fn answer(folder: &Path, done: &Exported) -> Answer {
    let shown = folder.display();
    let finishes = match done.finishes.len() {
        1 => "1 finish".to_owned(),
        n => format!("{n} finishes"),
    };
    let mut said = format!("{finishes} written to {shown}.");
    if done.photos_stay > 0 {
        let stay = done.photos_stay;
        said.push_str(&format!(
            " {stay} of their photos are kept too and stayed behind; --with-photo takes them along."
        ));
    }
    let mut document = Document::new("export", shown.to_string());
    document.say([said]);
    document.say(match done.in_bin.len() {
        0 => None,
        1 => Some("The one in the bin went along.".to_owned()),
        n => Some(format!("The {n} in the bin went along.")),
    });
    Answer {
        document,
        json: json!({
            "folder": folder.to_string_lossy(),
            "finishes": done.finishes,
            "in_bin": done.in_bin,
            "damaged": done.damaged,
            "damaged_besides": done.damaged_besides,
            "photos_left_behind": done.photos_stay,
        }),
        lines: Lines::default(),
    }
}
