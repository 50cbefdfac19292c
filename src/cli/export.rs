//! `export`: finishes as plain files.

use std::collections::{BTreeSet, VecDeque};
use std::path::{Path, PathBuf};

use super::args::ExportArgs;
use super::context::Context;
use super::exit::Exit;
use crate::archive::Archive;
use crate::archive::plain::{FINISHES, LADDERS, NewFolder, RIGS, folder_name};
use crate::error::{Error, Result};
use crate::fingerprint::{Fingerprint, VERSION};
use crate::report::card::{Card, card};
use crate::report::plain::{Row, csv_head, csv_row, line};
use crate::report::words::leaving;

/// One line a finish.
const LINES: &str = "all.ndjson";

/// One row a finish.
const TABLE: &str = "all.csv";

/// What is told of a finish beside its folder.
struct Told {
    kept_at: String,
    name: String,
    line: String,
    row: String,
    photo_stays: bool,
}

pub(super) fn run(args: &ExportArgs, context: &mut Context) -> Result<Exit> {
    let archive = Archive::open_there(&context.archive_path()?)?;
    let folder = NewFolder::begin(&args.folder)?;
    let named = if args.names.is_empty() {
        archive.names()?
    } else {
        args.names.clone()
    };
    let mut told = Vec::new();
    let mut end = Exit::Done;
    let (mut waiting, mut seen) = (VecDeque::from(named), BTreeSet::new());
    while let Some(name) = waiting.pop_front() {
        if !seen.insert(name.clone()) {
            continue;
        }
        match write(&name, args, &archive, &folder) {
            Ok((one, limit_pieces)) => {
                // What was signed means nothing without its limit pieces.
                waiting.extend(limit_pieces);
                told.push(one);
            }
            // Of an archive that is damaged in places the rest can leave.
            Err(error @ (Error::KeptChanged { .. } | Error::ArchiveDamaged { .. })) => {
                seen.remove(&name);
                context.complain(&error);
                end = Exit::CouldNotRun;
            }
            Err(error) => return Err(error),
        }
    }
    told.sort_by(|a, b| (&a.kept_at, &a.name).cmp(&(&b.kept_at, &b.name)));
    let head = std::iter::once(csv_head());
    let all = [
        (LINES, joined(told.iter().map(|t| t.line.clone()))),
        (
            TABLE,
            joined(head.chain(told.iter().map(|t| t.row.clone()))),
        ),
        (RIGS, archive.rigs_file()?),
        (LADDERS, archive.ladders_file(&seen)?),
    ];
    folder.write(
        Path::new(""),
        &all.map(|(name, bytes)| (name.to_owned(), bytes)),
    )?;
    folder.finish()?;
    let photos_stay = told.iter().filter(|t| t.photo_stays).count();
    if args.json {
        let names: Vec<&String> = told.iter().map(|t| &t.name).collect();
        let object = serde_json::json!({
            "folder": args.folder.to_string_lossy(),
            "finishes": names,
            "photos_left_behind": photos_stay,
        });
        context.say(&object.to_string())?;
    } else {
        context.say(&leaving::written(told.len(), &args.folder, photos_stay))?;
    }
    Ok(end)
}

/// Writes one finish into its folder, and says what is told of it elsewhere and the names of its limit pieces.
fn write(
    name: &str,
    args: &ExportArgs,
    archive: &Archive,
    folder: &NewFolder,
) -> Result<(Told, Vec<String>)> {
    let leaf = archive.leaf(name, args.with_photo)?;
    let finish = &leaf.finish;
    let fingerprint = finish
        .fingerprint()
        .and_then(|text| serde_json::from_str::<Fingerprint>(text).ok())
        .filter(|f| f.version == VERSION);
    let approval = archive.approval(name)?;
    let recipes = archive.recipes_of(name)?;
    let own = folder_name(name);
    let row = Row {
        name,
        kept_at: &finish.kept_at,
        approved_at: approval.as_ref().map(|a| a.approved_at.as_str()),
        photo_name: &finish.photo_name,
        notes: &finish.notes,
        recipe: recipes.last(),
        folder: &own,
        fingerprint: fingerprint.as_ref(),
    };
    let text = card(&Card {
        name,
        kept_at: &finish.kept_at,
        photo_name: &finish.photo_name,
        notes: &finish.notes,
        approval: approval.as_ref(),
        recipes: &recipes,
        decisions: &archive.overrulings_beside(name)?,
        fingerprint: fingerprint.as_ref(),
        readings: finish.readings.len(),
    });
    let told = Told {
        kept_at: finish.kept_at.clone(),
        name: name.to_owned(),
        line: line(&row).to_string(),
        row: csv_row(&row),
        photo_stays: leaf.photo_stays,
    };
    let pieces = finish
        .limit_pieces()
        .into_iter()
        .map(str::to_owned)
        .collect();
    let mut files = leaf.files;
    files.push(("card.txt".to_owned(), text.into_bytes()));
    folder.write(&PathBuf::from(FINISHES).join(own), &files)?;
    Ok((told, pieces))
}

/// Lines, each with its end.
fn joined(lines: impl Iterator<Item = String>) -> Vec<u8> {
    lines.flat_map(|line| (line + "\n").into_bytes()).collect()
}
