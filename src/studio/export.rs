//! Finishes leave the archive as plain files.

use std::collections::{BTreeSet, VecDeque};
use std::path::{Path, PathBuf};

use super::{News, Studio};
use crate::archive::exchange::{
    FINISHES, FinishFiles, HISTORY, JOBS, LADDERS, NewFolder, RIGS, folder_name,
};
use crate::archive::{Approval, Archive, Overruling, Recipe};
use crate::error::Result;
use crate::fingerprint::{Fingerprint, VERSION};

/// A finish in words, in its folder.
const CARD: &str = "card.txt";

/// What is asked.
#[derive(Debug, Clone)]
pub struct Request {
    /// The folder to write, new or empty.
    pub folder: PathBuf,
    /// The finishes to take, their limit pieces with them; all where none is named.
    pub names: Vec<String>,
    /// Take the photos along that were kept.
    pub with_photo: bool,
}

/// A finish that leaves, with what is told of it beside the files that come back in.
pub struct Leaves {
    /// Its own files.
    pub files: FinishFiles,
    /// The reading that holds; `None` where it is of another version.
    pub fingerprint: Option<Fingerprint>,
    /// What was signed.
    pub approval: Option<Approval>,
    /// How it was made, all that was written, the earliest first.
    pub recipes: Vec<Recipe>,
    /// What the maker decided about panels beside it.
    pub decisions: Vec<Overruling>,
    /// Its folder in the export.
    pub folder: String,
}

/// What was done.
#[derive(Default)]
pub struct Exported {
    /// Names of the finishes, in the order in which they were kept.
    pub finishes: Vec<String>,
    /// What those in the bin are called there; they are not summed up with the others.
    pub in_bin: Vec<String>,
    /// Those that stayed behind, for they are damaged.
    pub damaged: Vec<String>,
    /// What is wrong with rigs, ladders and jobs that stayed behind.
    pub damaged_besides: Vec<String>,
    /// Samples that left without a limit piece of theirs, and the piece.
    pub without_piece: Vec<(String, String)>,
    /// Photos that were kept and stayed behind.
    pub photos_stay: usize,
}

/// What is known of a finish once its files are written.
struct Told<T> {
    kept_at: String,
    name: String,
    photo_stays: bool,
    limit_pieces: Vec<String>,
    in_bin: bool,
    told: T,
}

/// Writes the folder. `tell` makes a finish's card, and what is to be told of it beside the others; `sum_up` makes files of that.
///
/// # Errors
/// There is no archive, or no such finish; there is something in the folder's place; the disk is full. What is damaged is heard
/// of, and stays behind.
pub fn export<T>(
    request: &Request,
    tell: impl Fn(&Leaves) -> (String, T),
    sum_up: impl FnOnce(Vec<T>) -> Result<Vec<(String, Vec<u8>)>>,
    studio: &mut Studio<'_>,
) -> Result<Exported> {
    let archive = Archive::open_there(&studio.path)?;
    let folder = NewFolder::begin(&request.folder)?;
    let all_of_it = request.names.is_empty();
    let named = if all_of_it {
        archive.names_and_bin()?
    } else {
        let kept = request.names.iter().map(|name| archive.kept_name(name));
        kept.collect::<Result<_>>()?
    };
    let mut done = Exported::default();
    let mut all = Vec::<Told<T>>::new();
    let (mut waiting, mut seen) = (VecDeque::from(named), BTreeSet::new());
    while let Some(name) = waiting.pop_front() {
        if !seen.insert(name.clone()) {
            continue;
        }
        let written = write(&name, request.with_photo, &tell, &archive, &folder);
        // Of an archive that is damaged in places the rest can leave.
        match studio.sound(written.map_err(|e| e.of_finish(&name)))? {
            Some(one) => {
                // What was signed means nothing without its limit pieces.
                waiting.extend(one.limit_pieces.clone());
                all.push(one);
            }
            None => done.damaged.push(name),
        }
    }
    for one in &all {
        let stayed = one.limit_pieces.iter().filter(|p| done.damaged.contains(p));
        let without = stayed.map(|piece| (one.name.clone(), piece.clone()));
        done.without_piece.extend(without);
    }
    all.sort_by(|a, b| (&a.kept_at, &a.name).cmp(&(&b.kept_at, &b.name)));
    let (all, in_bin): (Vec<_>, Vec<_>) = all.into_iter().partition(|one| !one.in_bin);
    done.in_bin = in_bin.into_iter().map(|one| one.name).collect();
    done.finishes = all.iter().map(|one| one.name.clone()).collect();
    done.photos_stay = all.iter().filter(|one| one.photo_stays).count();
    let mut files = sum_up(all.into_iter().map(|one| one.told).collect())?;
    let names: BTreeSet<String> = done.finishes.iter().cloned().collect();
    let whole = |(file, damaged)| (Some(file), damaged);
    let besides = [
        (RIGS, archive.rigs_file().map(whole)),
        (LADDERS, archive.ladders_file(&names).map(whole)),
        (JOBS, archive.jobs_file(&names)),
        (HISTORY, archive.history_file(!all_of_it).map(whole)),
    ];
    for (file, made) in besides {
        let Some((bytes, damaged)) = studio.sound(made)? else {
            continue;
        };
        done.damaged_besides
            .extend(damaged.iter().map(ToString::to_string));
        for error in &damaged {
            studio.hear.hear(News::Damaged(error));
        }
        files.extend(bytes.map(|bytes| (file.to_owned(), bytes)));
    }
    // An export of rigs alone comes back in too.
    folder.write(Path::new(FINISHES), &[])?;
    folder.write(Path::new(""), &files)?;
    folder.finish()?;
    Ok(done)
}

/// Writes one finish into its folder.
fn write<T>(
    name: &str,
    with_photo: bool,
    tell: &impl Fn(&Leaves) -> (String, T),
    archive: &Archive,
    folder: &NewFolder,
) -> Result<Told<T>> {
    let files = archive.export(name, with_photo)?;
    let reading = files.finish.fingerprint();
    let reading = reading.and_then(|text| serde_json::from_str::<Fingerprint>(text).ok());
    let leaves = Leaves {
        fingerprint: reading.filter(|f| f.version == VERSION),
        approval: archive.approval(name)?,
        recipes: archive
            .recipes_of(name)?
            .into_iter()
            .collect::<Result<_>>()?,
        decisions: archive.overrulings_beside(name)?,
        folder: folder_name(name),
        files,
    };
    let (card, told) = tell(&leaves);
    let FinishFiles {
        finish,
        mut files,
        photo_stays,
    } = leaves.files;
    files.push((CARD.to_owned(), card.into_bytes()));
    folder.write(&Path::new(FINISHES).join(leaves.folder), &files)?;
    Ok(Told {
        limit_pieces: finish.limit_pieces(),
        in_bin: finish.removed.is_some(),
        kept_at: finish.kept_at,
        name: name.to_owned(),
        photo_stays,
        told,
    })
}
