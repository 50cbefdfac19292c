//! `list`: what is kept.

use super::args::ListArgs;
use super::context::Context;
use super::exit::Exit;
use crate::archive::Listed;
use crate::error::Result;
use crate::fingerprint::metric::metric;
use crate::report::words::keeping;

pub(super) fn run(args: &ListArgs, context: &mut Context) -> Result<Exit> {
    let finishes = context.archive()?.listed()?;
    if finishes.is_empty() {
        if !args.json {
            context.say(keeping::NOTHING_KEPT)?;
        }
        return Ok(Exit::Done);
    }
    let line = if args.json { json } else { text };
    let lines: Vec<String> = finishes.iter().map(line).collect();
    context.say(&lines.join("\n"))?;
    Ok(Exit::Done)
}

fn json(finish: &Listed) -> String {
    let rounded = |key, value: Option<f64>| metric(key).zip(value).map(|(row, v)| row.round(v));
    serde_json::json!({
        "name": finish.name,
        "kept_at": finish.kept_at,
        "approved_at": finish.approved_at,
        "photo": finish.photo_name,
        "version": finish.version,
        "coverage": rounded("coverage", finish.coverage),
        "aggressiveness": rounded("aggressiveness", finish.aggressiveness),
        "notes": finish.notes,
        "recipe": finish.has_recipe,
    })
    .to_string()
}

fn text(finish: &Listed) -> String {
    let shown = |key, value: Option<f64>| {
        let row = metric(key);
        row.zip(value)
            .map_or_else(|| "-".to_owned(), |(row, v)| row.format(v))
    };
    let approved = finish.approved_at.as_ref().map_or("", |_| ", approved");
    let recipe = if finish.has_recipe {
        keeping::WITH_RECIPE
    } else {
        ""
    };
    format!(
        "{}  (kept {}{approved}{recipe})  silver left {}, aggressiveness {}{}",
        finish.name,
        finish.kept_at,
        shown("coverage", finish.coverage),
        shown("aggressiveness", finish.aggressiveness),
        keeping::by_version(finish.version),
    )
}
