//! `sheet`: corner marks to print, cut out and lay around a panel; with `--for` the page that a client signs.

mod signing;

use std::path::{Path, PathBuf};

use clap::ValueEnum;
use serde_json::json;

use super::args::OutArgs;
use super::context::Context;
use super::exit::Exit;
use super::whole_file::write_whole;
use crate::archive::UsualPaper;
use crate::document::{Answer, Document, Lines};
use crate::draw::marks::{Page, Paper, pdf, sheet, svg};
use crate::error::{Error, Result};
use crate::frame::mark::MarkSize;
use crate::studio::holds::Holds;

/// Print corner marks to lay around a panel, or with --for the page that a client signs
#[derive(Debug, Clone, Default, clap::Args)]
pub(super) struct Args {
    /// The kept sample to be signed: writes the page for the client in place of corner marks
    #[arg(long = "for", value_name = "NAME", conflicts_with_all = ["paper", "mark", "to"])]
    sample: Option<String>,

    #[command(flatten)]
    signing: signing::ToSign,

    /// The paper it is printed on [default: the studio's own, or a4]
    #[arg(long, value_enum, ignore_case = true)]
    paper: Option<PaperArg>,

    /// Side of the marks' black frame: 20mm for panels up to 550 mm, 40mm up to 1100 mm, 64mm up to 1800 mm
    /// [default: that for the panels of the job, or 40mm]
    #[arg(long, value_name = "SIZE")]
    mark: Option<MarkSize>,

    /// Where to write it, a .pdf or an .svg file (repeatable) [default: both, in this folder]
    #[arg(long, value_name = "FILE")]
    to: Vec<PathBuf>,

    /// Write what was done as JSON
    #[arg(long)]
    json: bool,
}

/// Paper to print on
#[derive(Debug, Clone, Copy, Default, ValueEnum)]
enum PaperArg {
    /// 210 x 297 mm
    #[default]
    A4,
    /// 8.5 x 11 in
    Letter,
}

impl From<UsualPaper> for PaperArg {
    fn from(paper: UsualPaper) -> PaperArg {
        match paper {
            UsualPaper::A4 => PaperArg::A4,
            UsualPaper::Letter => PaperArg::Letter,
        }
    }
}

impl From<PaperArg> for Paper {
    fn from(paper: PaperArg) -> Paper {
        match paper {
            PaperArg::A4 => Paper::A4,
            PaperArg::Letter => Paper::Letter,
        }
    }
}

pub(super) fn run(args: &Args, context: &mut Context) -> Result<Exit> {
    let answer = match &args.sample {
        Some(name) => signing::write(name, &args.signing, context)?,
        None => marks(args, &context.holds()?)?,
    };
    context.answer(answer, &OutArgs::json(args.json))?;
    Ok(Exit::Done)
}

/// Writes the marks, and answers where.
fn marks(args: &Args, holds: &Holds) -> Result<Answer> {
    let usual = holds.usual.paper.map(PaperArg::from);
    let paper = args.paper.or(usual).unwrap_or_default().into();
    let mark = args.mark.unwrap_or_else(|| mark_for(holds));
    let page = sheet(paper, mark);
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
    let mark_mm = mark.frame_mm();
    let mut document = Document::new("corner marks", paper.name());
    document.say([
        format!("Written: {}", names.join(", ")),
        "Print at 100 %, not \"fit to page\", and measure the ruler: 150 mm.".to_owned(),
        "Cut out the four marks, lay each at its corner of the panel, notch to the glass, dry and flat.".to_owned(),
        "With all four in the photo, --size and --corners can be left out.".to_owned(),
    ]);
    Ok(Answer {
        document,
        json: json!({"files": names, "paper": paper.name(), "mark_mm": mark_mm}),
        lines: Lines::default(),
    })
}

/// The marks for the panels of the job; the usual ones where their size is not known.
fn mark_for(holds: &Holds) -> MarkSize {
    let job = holds.job.as_ref();
    let Some(size) = job.and_then(|job| job.details.size) else {
        return MarkSize::default();
    };
    let long_mm = size.width.max(size.height);
    let serves = MarkSize::ALL.into_iter();
    let mut serves = serves.filter(|mark| mark.serves_mm() >= long_mm);
    serves.next().unwrap_or(MarkSize::ALL[2])
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
