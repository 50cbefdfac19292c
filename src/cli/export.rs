//! `export`: finishes as plain files.

use std::collections::{BTreeSet, VecDeque};
use std::path::{Path, PathBuf};

use super::args::ExportArgs;
use super::context::Context;
use super::exit::Exit;
use crate::archive::exchange::{FINISHES, LADDERS, NewFolder, RIGS, folder_name};
use crate::archive::{Archive, Recipe};
use crate::error::{Error, Result};
use crate::fingerprint::{Fingerprint, VERSION};
use crate::report::Kept;
use crate::report::card::{Card, card};
use crate::report::plain::{Row, csv, csv_cells, line};
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
    cells: Vec<String>,
    photo_stays: bool,
    limit_pieces: Vec<String>,
}

pub(super) fn run(args: &ExportArgs, context: &mut Context) -> Result<Exit> {
    let archive = Archive::open_there(&context.archive_path()?)?;
    let folder = NewFolder::begin(&args.folder)?;
    let named = if args.names.is_empty() {
        archive.names()?
    } else {
        args.names.clone()
    };
    let (mut told, mut stayed) = (Vec::<Told>::new(), Vec::new());
    let (mut waiting, mut seen) = (VecDeque::from(named), BTreeSet::new());
    while let Some(name) = waiting.pop_front() {
        if !seen.insert(name.clone()) {
            continue;
        }
        // Of an archive that is damaged in places the rest can leave.
        match context
            .sound(write(&name, args, &archive, &folder).map_err(|e| e.of_finish(&name)))?
        {
            Some(one) => {
                // What was signed means nothing without its limit pieces.
                waiting.extend(one.limit_pieces.clone());
                told.push(one);
            }
            None => stayed.push(name),
        }
    }
    for one in &told {
        for piece in one.limit_pieces.iter().filter(|p| stayed.contains(p)) {
            context.note(&leaving::without_piece(&one.name, piece));
        }
    }
    told.sort_by(|a, b| (&a.kept_at, &a.name).cmp(&(&b.kept_at, &b.name)));
    let names: BTreeSet<String> = told.iter().map(|t| t.name.clone()).collect();
    let mut all = vec![
        (LINES.to_owned(), lines(told.iter().map(|t| &t.line))),
        (TABLE.to_owned(), table(&told)?),
    ];
    let mut besides = Vec::new();
    for (file, made) in [
        (RIGS, archive.rigs_file()),
        (LADDERS, archive.ladders_file(&names)),
    ] {
        let Some((bytes, damaged)) = context.sound(made)? else {
            continue;
        };
        for error in &damaged {
            context.left_out(error);
            besides.push(error.to_string());
        }
        all.push((file.to_owned(), bytes));
    }
    // An export of rigs alone comes back in too.
    folder.write(Path::new(FINISHES), &[])?;
    folder.write(Path::new(""), &all)?;
    folder.finish()?;
    let photos_stay = told.iter().filter(|t| t.photo_stays).count();
    if args.json {
        let object = serde_json::json!({
            "folder": args.folder.to_string_lossy(),
            "finishes": told.iter().map(|t| &t.name).collect::<Vec<_>>(),
            "damaged": stayed,
            "damaged_besides": besides,
            "photos_left_behind": photos_stay,
        });
        context.say(&object.to_string())?;
    } else {
        context.say(&leaving::written(told.len(), &args.folder, photos_stay))?;
    }
    Ok(Exit::Done)
}

/// Writes one finish into its folder, and says what is told of it elsewhere.
fn write(name: &str, args: &ExportArgs, archive: &Archive, folder: &NewFolder) -> Result<Told> {
    let exported = archive.export(name, args.with_photo)?;
    let finish = &exported.finish;
    let fingerprint = finish
        .fingerprint()
        .and_then(|text| serde_json::from_str::<Fingerprint>(text).ok())
        .filter(|f| f.version == VERSION);
    let approval = archive.approval(name)?;
    let recipes: Vec<Recipe> = archive
        .recipes_of(name)?
        .into_iter()
        .collect::<Result<_>>()?;
    let own = folder_name(name);
    let row = Row {
        kept: Kept {
            name,
            kept_at: &finish.kept_at,
            approved_at: approval.as_ref().map(|a| a.approved_at.as_str()),
            notes: &finish.notes,
        },
        photo_name: &finish.photo_name,
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
        cells: csv_cells(&row),
        photo_stays: exported.photo_stays,
        limit_pieces: finish.limit_pieces(),
    };
    let mut files = exported.files;
    files.push(("card.txt".to_owned(), text.into_bytes()));
    folder.write(&PathBuf::from(FINISHES).join(own), &files)?;
    Ok(told)
}

/// Lines, each with its end.
fn lines<'a>(lines: impl Iterator<Item = &'a String>) -> Vec<u8> {
    lines
        .flat_map(|line| format!("{line}\n").into_bytes())
        .collect()
}

fn table(told: &[Told]) -> Result<Vec<u8>> {
    csv(told.iter().map(|t| t.cells.clone())).map_err(|source| Error::Io {
        path: TABLE.into(),
        action: "written",
        source,
    })
}
