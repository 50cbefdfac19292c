//! `remove`: put finishes into the bin, list what is in it, and take it out for good.

use serde_json::{Value, json};

use super::args::OutArgs;
use super::context::Context;
use super::exit::Exit;
use crate::archive::{Done, InBin};
use crate::document::{Answer, Document, Lines};
use crate::error::Result;
use crate::words::{day, keeping, line, list};

/// Put finishes into the bin, from which `restore` brings them back
#[derive(Debug, clap::Args)]
pub(super) struct Args {
    /// The kept finishes; with --for-good what they were called, or are called in the bin
    #[arg(value_name = "NAME", required_unless_present = "bin")]
    names: Vec<String>,

    /// Take these out of the bin and off the disk: they do not come back
    #[arg(long)]
    for_good: bool,

    /// List what is in the bin
    #[arg(long, conflicts_with_all = ["names", "for_good"])]
    bin: bool,

    /// Why they are removed
    #[arg(long, value_name = "REASON", default_value = "", conflicts_with_all = ["bin", "for_good"])]
    because: String,

    /// Write JSON
    #[arg(long)]
    json: bool,
}

pub(super) fn run(args: &Args, context: &mut Context) -> Result<Exit> {
    let out = OutArgs::json(args.json);
    let mut studio = context.studio()?;
    let now = (studio.now)();
    let mut archive = studio.archive()?;
    let answer = if args.bin {
        let gone = studio.sound(archive.other_changes())?;
        let mut gone = gone.unwrap_or_default();
        gone.retain(|change| change.done == Done::Emptied);
        let gone: Vec<String> = gone.iter().map(keeping::change).collect();
        listed(&archive.bin()?, &gone)
    } else if args.for_good {
        gone(&archive.remove_for_good(&args.names, &now)?)
    } else {
        removed(&archive.remove(&args.names, &args.because, &now)?)
    };
    context.answer(answer, &out)?;
    Ok(Exit::Done)
}

/// What is said where the bin is empty.
const EMPTY: &str = "The bin is empty.";

/// How to get back what is in it.
const BACK: &str = "paneprint restore NAME brings one back; paneprint remove --for-good NAME takes it off the disk.";

fn listed(bin: &[InBin], gone: &[String]) -> Answer {
    let mut document = Document::new("bin", "bin");
    document.say(bin.iter().map(|one| line(&told(one))));
    document.say(bin.is_empty().then(|| EMPTY.to_owned()));
    document.note((!bin.is_empty()).then(|| BACK.to_owned()));
    document.note(gone.iter().cloned());
    Answer {
        document,
        json: json!({"bin": bin.iter().map(json).collect::<Vec<_>>(), "gone_for_good": gone}),
        lines: Lines::default(),
    }
}

fn told(one: &InBin) -> String {
    format!(
        "{}  (kept {}, removed {})  in the bin as `{}`",
        one.removed.name,
        day(&one.kept_at),
        day(&one.removed.removed_at),
        one.bears
    )
}

fn json(one: &InBin) -> Value {
    json!({
        "name": one.removed.name,
        "kept_at": one.kept_at,
        "removed_at": one.removed.removed_at,
        "in_bin_as": one.bears,
    })
}

fn removed(bin: &[InBin]) -> Answer {
    let names = quoted(bin.iter().map(|one| one.removed.name.as_str()));
    let is = if bin.len() == 1 { "is" } else { "are" };
    let mut document = Document::new("bin", names.clone());
    document.say([
        format!("{names} {is} in the bin, and nothing has left the disk."),
        match bin {
            [one] => format!(
                "To have it back: paneprint restore \"{}\"",
                one.removed.name
            ),
            _ => "To have one back: paneprint restore NAME".to_owned(),
        },
    ]);
    Answer {
        document,
        json: json!({"removed": bin.iter().map(json).collect::<Vec<_>>()}),
        lines: Lines::default(),
    }
}

fn gone(names: &[String]) -> Answer {
    let quoted = quoted(names.iter().map(String::as_str));
    let mut document = Document::new("bin", quoted.clone());
    document.say([format!(
        "{quoted} left the bin for good. The history says that there was such a finish, and no more."
    )]);
    Answer {
        document,
        json: json!({"gone_for_good": names}),
        lines: Lines::default(),
    }
}

fn quoted<'a>(names: impl Iterator<Item = &'a str>) -> String {
    let quoted: Vec<String> = names.map(|name| format!("`{name}`")).collect();
    list(&quoted.iter().map(String::as_str).collect::<Vec<_>>())
}
