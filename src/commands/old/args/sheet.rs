//! What was typed of sheets to print: corner marks, and the page that a client signs.

use std::path::PathBuf;

use clap::ValueEnum;

use crate::frame::mark::MarkSize;
use crate::report::sheet::Paper;
use crate::units::Metres;

#[derive(Debug, Clone, Default, clap::Args)]
pub(crate) struct SheetArgs {
    /// The kept sample to be signed: writes the page for the client in place of corner marks
    #[arg(long = "for", value_name = "NAME", conflicts_with_all = ["paper", "mark", "to"])]
    pub(crate) sample: Option<String>,

    #[command(flatten)]
    pub(crate) signing: SigningArgs,

    /// The paper it is printed on
    #[arg(long, value_enum, default_value_t)]
    pub(crate) paper: PaperArg,

    /// Side of the marks' black frame: 20mm for panels up to 550 mm, 40mm up to 1100 mm, 64mm up to 1800 mm
    #[arg(long, value_name = "SIZE", default_value_t)]
    pub(crate) mark: MarkSize,

    /// Where to write it, a .pdf or an .svg file (repeatable) [default: both, in this folder]
    #[arg(long, value_name = "FILE")]
    pub(crate) to: Vec<PathBuf>,

    /// Write what was done as JSON
    #[arg(long)]
    pub(crate) json: bool,
}

/// What stands on the page that a client signs; what is not said stays a line to write on
#[derive(Debug, Clone, Default, clap::Args)]
#[group(requires = "sample")]
pub(crate) struct SigningArgs {
    /// Where to write the page [default: paneprint-sign-off-NAME.html in this folder]
    #[arg(long, value_name = "FILE.html")]
    pub(crate) page: Option<PathBuf>,

    /// The job
    #[arg(long, value_name = "TEXT")]
    pub(crate) job: Option<String>,

    /// The client
    #[arg(long, value_name = "TEXT")]
    pub(crate) client: Option<String>,

    /// The room
    #[arg(long, value_name = "TEXT")]
    pub(crate) room: Option<String>,

    /// The studio's own name for the finish [default: the sample's name]
    #[arg(long, value_name = "TEXT")]
    pub(crate) finish: Option<String>,

    /// How heavy the ageing is, such as light, medium or heavy
    #[arg(long, value_name = "TEXT")]
    pub(crate) level: Option<String>,

    /// What is fixed, such as backing colour, tone, edges, direction
    #[arg(long, value_name = "TEXT")]
    pub(crate) fixed: Option<String>,

    /// What may vary
    #[arg(long, value_name = "TEXT")]
    pub(crate) may_vary: Option<String>,

    /// Kind and thickness of the glass
    #[arg(long, value_name = "TEXT")]
    pub(crate) glass: Option<String>,

    /// Safety backing, such as yes or no
    #[arg(long, value_name = "TEXT")]
    pub(crate) safety_backing: Option<String>,

    /// How many panels of which size, and spares
    #[arg(long, value_name = "TEXT")]
    pub(crate) panels: Option<String>,

    /// From how far panels are judged
    #[arg(long, value_name = "DISTANCE")]
    pub(crate) viewed_from: Option<Metres>,

    /// In which light they are judged
    #[arg(long, value_name = "TEXT")]
    pub(crate) lighting: Option<String>,

    /// Who keeps which signed piece
    #[arg(long, value_name = "TEXT")]
    pub(crate) kept_by: Option<String>,
}

/// Paper to print on
#[derive(Debug, Clone, Copy, Default, ValueEnum)]
pub(crate) enum PaperArg {
    /// 210 x 297 mm
    #[default]
    A4,
    /// 8.5 x 11 in
    Letter,
}

impl From<PaperArg> for Paper {
    fn from(paper: PaperArg) -> Paper {
        match paper {
            PaperArg::A4 => Paper::A4,
            PaperArg::Letter => Paper::Letter,
        }
    }
}
