//! `sheet`: corner marks to print, cut out and lay around a panel; with `--for` the page that a client signs.

use std::path::{Path, PathBuf};

use serde_json::json;

use super::args::SheetArgs;
use super::context::Context;
use super::exit::Exit;
use super::signing;
use super::whole_file::write_whole;
use crate::error::{Error, Result};
use crate::report::sheet::{Page, Paper, pdf, sheet, svg};
use crate::words;

pub(super) fn run(args: &SheetArgs, context: &mut Context) -> Result<Exit> {
    match &args.sample {
        Some(name) => signing::run(name, &args.signing, args.json, context),
        None => marks(args, context),
    }
}

fn marks(args: &SheetArgs, context: &mut Context) -> Result<Exit> {
    let paper = args.paper.into();
    let page = sheet(paper, args.mark);
    let to = files(&args.to, paper);
    let made: Vec<(&Path, Vec<u8>)> = to
        .iter()
        .map(|file| Ok((file.as_path(), content(file, &page)?)))
        .collect::<Result<_>>()?;
    // Nothing is written where anything is in the way.
    let there: Vec<bool> = made
        .iter()
        .map(|(file, content)| already(file, content))
        .collect::<Result<_>>()?;
    for ((file, content), there) in made.iter().zip(there) {
        if !there {
            write_whole(file, content)?;
        }
    }
    let names: Vec<_> = to.iter().map(|f| f.to_string_lossy()).collect();
    let said = if args.json {
        let mark_mm = args.mark.frame_mm();
        json!({"files": names, "paper": paper.name(), "mark_mm": mark_mm}).to_string()
    } else {
        let names: Vec<&str> = names.iter().map(AsRef::as_ref).collect();
        words::marks::written(&names)
    };
    context.say(&said)?;
    Ok(Exit::Done)
}

/// The files asked for; a PDF and an SVG here where none were.
fn files(asked: &[PathBuf], paper: Paper) -> Vec<PathBuf> {
    if !asked.is_empty() {
        return asked.to_vec();
    }
    let here = |kind: &str| PathBuf::from(format!("paneprint-marks-{}.{kind}", paper.name()));
    vec![here("pdf"), here("svg")]
}

/// The page in the kind its name ends in.
fn content(file: &Path, page: &Page) -> Result<Vec<u8>> {
    let ending = file.extension().map(|e| e.to_ascii_lowercase());
    match ending.as_ref().and_then(|e| e.to_str()) {
        Some("pdf") => Ok(pdf(page)),
        Some("svg") => Ok(svg(page).into_bytes()),
        _ => Err(Error::FileKind {
            path: file.to_owned(),
            expected: ".pdf or .svg",
        }),
    }
}

/// This very file is there; another of its name is refused.
fn already(file: &Path, content: &[u8]) -> Result<bool> {
    let exists = || Error::FileThere {
        path: file.to_owned(),
    };
    match std::fs::read(file) {
        Ok(there) if there == content => Ok(true),
        Err(error) if error.kind() == std::io::ErrorKind::NotFound => Ok(false),
        Ok(_) | Err(_) => Err(exists()),
    }
}
