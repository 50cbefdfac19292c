//! `list`: what is kept.

use serde_json::json;

use super::context::Context;
use super::exit::Exit;
use crate::archive::Listed;
use crate::document::json::figure;
use crate::error::Result;
use crate::fingerprint::VERSION;
use crate::fingerprint::metric::{AGGRESSIVENESS, COVERAGE, Metric};
use crate::words::{self, day, keeping};

/// List what is kept
#[derive(Debug, clap::Args)]
pub(super) struct Args {
    /// Only those with this tag
    #[arg(long, value_name = "TAG")]
    tag: Option<String>,

    /// Write one JSON object a line a finish
    #[arg(long)]
    json: bool,
}

/// What is said where nothing has the tag.
const NONE_TAGGED: &str = "Nothing that is kept has this tag.";

pub(super) fn run(args: &Args, context: &mut Context) -> Result<Exit> {
    let archive = context.studio()?.archive()?;
    let mut finishes = archive.listed()?;
    if finishes.is_empty() {
        if !args.json {
            context.say_in_job(&keeping::nothing_kept(archive.path()))?;
        }
        return Ok(Exit::Done);
    }
    if let Some(tag) = &args.tag {
        finishes.retain(|finish| finish.has_tag(tag));
        if finishes.is_empty() && !args.json {
            context.say(NONE_TAGGED)?;
        }
    }
    if finishes.is_empty() {
        return Ok(Exit::Done);
    }
    // A line a finish is no answer with a headline, and a thousand of them are written at once.
    let line = if args.json { json } else { text };
    let lines: Vec<String> = finishes.iter().map(line).collect();
    let lines = lines.join("\n");
    if args.json {
        context.say(&lines)?;
    } else {
        context.say_in_job(&lines)?;
    }
    Ok(Exit::Done)
}

fn json(finish: &Listed) -> String {
    let rounded = |row: &Metric, value: Option<f64>| value.map(|v| figure(row, v));
    json!({
        "name": finish.name,
        "kept_at": finish.kept_at,
        "approved_at": finish.approved_at,
        "photo": finish.photo_name,
        "version": finish.version,
        "coverage": rounded(&COVERAGE, finish.coverage),
        "aggressiveness": rounded(&AGGRESSIVENESS, finish.aggressiveness),
        "notes": finish.notes,
        "recipe": finish.has_recipe,
        "tags": finish.tags,
    })
    .to_string()
}

fn text(finish: &Listed) -> String {
    let shown =
        |row: &Metric, value: Option<f64>| value.map_or_else(|| "-".to_owned(), |v| row.format(v));
    let approved = finish.approved_at.as_ref().map_or("", |_| ", approved");
    let recipe = if finish.has_recipe {
        ", with its recipe"
    } else {
        ""
    };
    let mut line = format!(
        "{}  (kept {}{approved}{recipe})  silver left {}, aggressiveness {}",
        finish.name,
        day(&finish.kept_at),
        shown(&COVERAGE, finish.coverage),
        shown(&AGGRESSIVENESS, finish.aggressiveness),
    );
    if !finish.tags.is_empty() {
        line += &format!(", tagged {}", finish.tags.join(", "));
    }
    if finish.version != VERSION {
        line += &format!(", by version {} of the measures", finish.version);
    }
    words::line(&line)
}
