//! `job`: what is said again and again of an order, said once.

use clap::Subcommand;
use serde_json::{Value, json};

use super::args::{OutArgs, SideArg, StageArg};
use super::context::Context;
use super::exit::Exit;
use super::set::grid;
use crate::archive::{Approval, Job, LengthUnit};
use crate::compare::wall::arrange::Grid;
use crate::document::json::SCHEMA;
use crate::document::{Answer, Block, Document, Lines};
use crate::error::Result;
use crate::studio::job::{self, Request, Said};
use crate::units::{Metres, SizeMm};
use crate::words::job as say;
use crate::words::keeping::limits;

/// Say once what holds for an order: sample, rig, size, client, wall; every command knows it then
#[derive(Debug, clap::Args)]
pub(super) struct Args {
    /// Alone it shows the current job
    #[command(subcommand)]
    what: Option<What>,

    /// Write it as JSON
    #[arg(long, global = true)]
    json: bool,
}

#[derive(Debug, Subcommand)]
enum What {
    /// Begin a job, which is the current one from then on
    New(NewArgs),
    /// List all jobs
    List,
    /// Show a job
    Show {
        /// Its name
        name: String,
    },
    /// Make a job the current one
    Use {
        /// Its name
        name: String,
    },
    /// Say more of a job, or otherwise; an empty text takes away what was said
    Change(ChangeArgs),
    /// Note kept finishes as panels of the current job
    Add {
        /// Their names
        #[arg(required = true, value_name = "NAME")]
        names: Vec<String>,
    },
    /// Take finishes out of the current job; they stay kept
    TakeOut {
        /// Their names
        #[arg(required = true, value_name = "NAME")]
        names: Vec<String>,
    },
    /// Lay the current job down: no job is current then
    Leave,
    /// Close a job that is done: nothing is kept in it any more
    Close {
        /// Its name [default: the current one]
        name: Option<String>,
    },
    /// Open a closed job again, and make it the current one
    Reopen {
        /// Its name [default: the one closed last]
        name: Option<String>,
    },
}

#[derive(Debug, clap::Args)]
struct NewArgs {
    /// The studio's name for it; its panels are numbered after it
    name: String,

    #[command(flatten)]
    said: SaidArgs,

    /// Real size of the sample, where its photo is named and it is not as large as the panels
    #[arg(long, value_name = "WxHmm")]
    sample_size: Option<SizeMm>,
}

#[derive(Debug, clap::Args)]
struct ChangeArgs {
    /// Which job [default: the current one]
    name: Option<String>,

    /// Another name for it; panels that are kept keep theirs
    #[arg(long, value_name = "NAME")]
    rename: Option<String>,

    #[command(flatten)]
    said: SaidArgs,
}

/// What is said of a job
#[derive(Debug, clap::Args)]
struct SaidArgs {
    /// What its panels are to look like: a kept finish with its limits; for a new job the photo of one, too
    #[arg(long, value_name = "NAME|PHOTO")]
    sample: Option<String>,

    /// The rig its panels are photographed in
    #[arg(long, value_name = "NAME")]
    rig: Option<String>,

    /// The real width and height of its panels, such as 900x600mm
    #[arg(long, value_name = "WxHmm")]
    size: Option<SizeMm>,

    /// How far the work has gone when they are photographed
    #[arg(long, value_enum)]
    stage: Option<StageArg>,

    /// The side that faces the camera then
    #[arg(long, value_enum)]
    side: Option<SideArg>,

    /// For whom
    #[arg(long, value_name = "TEXT")]
    client: Option<String>,

    /// Where they will hang
    #[arg(long, value_name = "TEXT")]
    room: Option<String>,

    /// How they will hang, panels across and down, such as 3x2
    #[arg(long, value_name = "ACROSSxDOWN", value_parser = grid)]
    wall: Option<Grid>,

    /// From how far they will be looked at
    #[arg(long, value_name = "DISTANCE", alias = "viewing")]
    viewed_from: Option<Metres>,

    /// The folder that its sheets go into
    #[arg(long, value_name = "FOLDER")]
    folder: Option<String>,

    /// The folder that your camera's photos come into
    #[arg(long, value_name = "FOLDER")]
    camera_folder: Option<String>,
}

impl From<&SaidArgs> for Said {
    fn from(args: &SaidArgs) -> Said {
        Said {
            sample: args.sample.clone(),
            rig: args.rig.clone(),
            client: args.client.clone(),
            room: args.room.clone(),
            size: args.size,
            stage: args.stage.map(Into::into),
            side: args.side.map(Into::into),
            wall: args.wall,
            viewed_from: args.viewed_from,
            folder: args.folder.clone(),
            camera_folder: args.camera_folder.clone(),
        }
    }
}

pub(super) fn run(args: &Args, context: &mut Context) -> Result<Exit> {
    let mut studio = context.studio()?;
    let studio = &mut studio;
    let mut kept = None;
    let job = match &args.what {
        None => match job::named(None, studio) {
            Err(crate::error::Error::NoJob) => return none(args, context),
            job => job?,
        },
        Some(What::List) => {
            let (jobs, current) = job::all(studio)?;
            return list(&jobs, current.as_deref(), args, context);
        }
        Some(What::New(new)) => {
            let request = Request {
                name: new.name.clone(),
                said: Said::from(&new.said),
                sample_size: new.sample_size,
            };
            let job = job::begin(&request, studio)?;
            kept = job.sample.clone().filter(|_| job.sample != new.said.sample);
            job
        }
        Some(What::Show { name }) => job::named(Some(name), studio)?,
        Some(What::Use { name }) => job::take_up(name, studio)?,
        Some(What::Change(change)) => {
            let renamed = change.rename.as_deref();
            let said = Said::from(&change.said);
            job::change(change.name.as_deref(), &said, renamed, studio)?
        }
        Some(What::Add { names }) => job::add(names, studio)?,
        Some(What::TakeOut { names }) => job::take_out(names, studio)?,
        Some(What::Leave) => {
            job::lay_down(studio)?;
            context.look_again();
            return none(args, context);
        }
        Some(What::Close { name }) => job::close(name.as_deref(), studio)?,
        Some(What::Reopen { name }) => job::reopen(name.as_deref(), studio)?,
    };
    context.look_again();
    let is_current = context.job() == Some(job.name.as_str());
    let unit = context.holds()?.usual.units;
    let signed = job::signed_of(&job, &context.studio()?)?;
    let mut answer = answer(&job, signed.as_ref(), is_current, unit);
    if let Some(sample) = kept {
        answer.document.say([say::sample_kept(&sample)]);
    } else if let (Some(sample), None) = (&job.sample, &signed) {
        answer.document.say([say::not_signed(sample)]);
    }
    if matches!(
        args.what,
        Some(What::New(_) | What::Use { .. } | What::Reopen { .. })
    ) {
        answer.document.say([say::next(&job).to_owned()]);
    }
    context.answer(answer, &OutArgs::json(args.json))?;
    Ok(Exit::Done)
}

/// A job, what is known of it, and its panels.
fn answer(
    job: &Job,
    signed: Option<&Approval>,
    is_current: bool,
    unit: Option<LengthUnit>,
) -> Answer {
    let mut document = Document::new("job", job.name.as_str());
    document.say([say::state(job, is_current)]);
    document.push(Block::Facts(say::facts(job, unit)));
    document.say(signed.and_then(|s| limits(s.light.as_deref(), s.dark.as_deref())));
    Answer {
        document,
        json: {
            let mut json = json(job, is_current);
            json["approved_at"] = signed.map(|s| s.approved_at.as_str()).into();
            json["light"] = signed.and_then(|s| s.light.as_deref()).into();
            json["dark"] = signed.and_then(|s| s.dark.as_deref()).into();
            json
        },
        lines: Lines::default(),
    }
}

fn json(job: &Job, is_current: bool) -> Value {
    let details = &job.details;
    json!({
        "schema": SCHEMA,
        "name": job.name,
        "current": is_current,
        "opened_at": job.opened_at,
        "closed_at": job.closed_at,
        "client": details.client,
        "room": details.room,
        "sample": job.sample,
        "rig": job.rig,
        "size_mm": details.size.map(|size| [size.width, size.height]),
        "stage": details.stage,
        "side": details.side,
        "across": details.wall.map(|wall| wall.across),
        "down": details.wall.map(|wall| wall.down),
        "viewed_from_m": details.viewed_from_m,
        "folder": details.folder,
        "camera_folder": details.camera_folder,
        "panels": job.panels,
    })
}

/// There is no current job, and how one comes about.
fn none(args: &Args, context: &mut Context) -> Result<Exit> {
    let (jobs, _) = job::all(&mut context.studio()?)?;
    let next = if jobs.iter().any(Job::is_open) {
        say::TAKE_UP
    } else {
        say::BEGIN
    };
    let mut document = Document::new("job", "");
    document.say([say::NONE.to_owned(), next.to_owned()]);
    let answer = Answer {
        document,
        json: json!({"schema": SCHEMA, "name": null, "current": false}),
        lines: Lines::default(),
    };
    context.answer(answer, &OutArgs::json(args.json))?;
    Ok(Exit::Done)
}

/// One line a job.
fn list(jobs: &[Job], current: Option<&str>, args: &Args, context: &mut Context) -> Result<Exit> {
    if jobs.is_empty() && !args.json {
        return none(args, context);
    }
    let is_current = |job: &Job| current == Some(job.name.as_str());
    if args.json {
        let lines = jobs
            .iter()
            .map(|job| json(job, is_current(job)).to_string());
        let lines: Vec<String> = lines.collect();
        if !lines.is_empty() {
            context.say(&lines.join("\n"))?;
        }
        return Ok(Exit::Done);
    }
    let line = |job: &Job| {
        let for_whom = [&job.details.client, &job.details.room];
        let for_whom: Vec<&str> = for_whom.into_iter().flatten().map(String::as_str).collect();
        let made = match job.panels.len() {
            1 => "1 panel".to_owned(),
            made => format!("{made} panels"),
        };
        let parts = for_whom.into_iter().chain([made.as_str()]);
        let parts: Vec<&str> = parts.collect();
        crate::words::line(&format!(
            "{}  ({})",
            say::state(job, is_current(job)),
            parts.join(", ")
        ))
    };
    let lines: Vec<String> = jobs.iter().map(line).collect();
    context.say_in_job(&lines.join("\n"))?;
    Ok(Exit::Done)
}
