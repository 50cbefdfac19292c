//! `list`: what is kept.

use super::args::ListArgs;
use super::context::Context;
use super::exit::Exit;
use crate::archive::Finish;
use crate::error::Result;
use crate::fingerprint::metric::metric;
use crate::report::words::keeping;

pub(super) fn run(args: &ListArgs, context: &mut Context) -> Result<Exit> {
    let finishes = context.archive()?.finishes()?;
    if finishes.is_empty() && !args.json {
        context.say(keeping::NOTHING_KEPT)?;
    }
    for finish in &finishes {
        let line = if args.json {
            serde_json::json!({
                "name": finish.name,
                "kept_at": finish.kept_at,
                "approved_at": finish.approval.as_ref().map(|a| &a.approved_at),
                "photo": finish.photo_name,
                "coverage": of(finish, "coverage"),
                "aggressiveness": of(finish, "aggressiveness"),
                "notes": finish.notes,
            })
            .to_string()
        } else {
            let approved = if finish.approval.is_some() {
                ", approved"
            } else {
                ""
            };
            let shown = |key: &str| {
                let row = metric(key);
                row.zip(of(finish, key))
                    .map_or_else(|| "-".to_owned(), |(row, v)| row.format(v))
            };
            format!(
                "{}  (kept {}{approved})  silver left {}, aggressiveness {}",
                finish.name,
                finish.kept_at,
                shown("coverage"),
                shown("aggressiveness")
            )
        };
        context.say(&line)?;
    }
    Ok(Exit::Done)
}

fn of(finish: &Finish, key: &str) -> Option<f64> {
    let row = metric(key)?;
    (row.of)(&finish.fingerprint.measurements)
        .ok()
        .map(|e| row.round(e.value))
}
