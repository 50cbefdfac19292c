//! `approve`: mark a kept finish as the approved sample, with what the studio says of it.

use std::collections::BTreeMap;

use clap::ValueEnum;
use serde_json::json;

use super::args::OutArgs;
use super::context::Context;
use super::exit::Exit;
use crate::archive::Approval;
use crate::document::{Answer, Document, Lines};
use crate::error::{Error, Result};
use crate::fingerprint::Variety;
use crate::fingerprint::metric::allowed_typed;
use crate::studio::approve::{Request, approve};
use crate::studio::signed::Signed;
use crate::words::keeping;

/// Mark a kept finish as the approved sample
#[derive(Debug, clap::Args)]
pub(super) struct Args {
    /// The kept finish
    name: String,

    /// The kept finish that is the lightest signed piece
    #[arg(long, value_name = "NAME")]
    light: Option<String>,

    /// The kept finish that is the darkest signed piece
    #[arg(long, value_name = "NAME")]
    dark: Option<String>,

    /// How far a measure may differ and still be alike, such as "silver left=4 %" or coverage=0.04; for specks a share
    /// of the sample's own, such as "speckles=50 %" (repeatable)
    #[arg(long = "allow", value_name = "MEASURE=FIGURE")]
    allow: Vec<String>,

    /// How much the finish is meant to vary from place to place
    #[arg(long, value_enum, ignore_case = true)]
    variety: Option<Varies>,

    /// Write what holds now as JSON
    #[arg(long)]
    json: bool,
}

/// How much a finish is meant to vary
#[derive(Debug, Clone, Copy, ValueEnum)]
enum Varies {
    /// The same all over
    Uniform,
    /// A little
    Slight,
    /// Plainly
    Moderate,
    /// No two places are alike
    Random,
}

impl From<Varies> for Variety {
    fn from(varies: Varies) -> Variety {
        match varies {
            Varies::Uniform => Variety::Uniform,
            Varies::Slight => Variety::Slight,
            Varies::Moderate => Variety::Moderate,
            Varies::Random => Variety::Random,
        }
    }
}

pub(super) fn run(args: &Args, context: &mut Context) -> Result<Exit> {
    let allowances = args.allow.iter().map(|text| allowance(text));
    let request = Request {
        name: args.name.clone(),
        approval: Approval {
            allowances: allowances.collect::<Result<BTreeMap<_, _>>>()?,
            light: args.light.clone(),
            dark: args.dark.clone(),
            variety: args.variety.map(Into::into),
            ..Approval::default()
        },
    };
    let signed = approve(&request, &context.studio()?)?;
    let out = OutArgs::json(args.json);
    context.answer(answer(&signed), &out)?;
    Ok(Exit::Done)
}

/// Nothing of the studio's own decides yet.
const ONLY_START: &str = "No limits of your own yet: matches use starting allowances until you name signed pieces with --light and --dark, or figures with --allow.";

fn answer(signed: &Signed) -> Answer {
    let name = signed.sample.name.as_str();
    let [light, dark] = signed.limits();
    let mut document = Document::new("approved sample", name);
    document.say([format!("`{name}` is an approved sample.")]);
    document.say(keeping::limits(light, dark));
    document.say(signed.variety().map(|v| keeping::variety(v).to_owned()));
    let only_start = signed.terms().only_start();
    document.say(only_start.then(|| ONLY_START.to_owned()));
    Answer {
        document,
        json: json!({
            "name": name,
            "approved_at": signed.sample.approval.as_ref().map(|a| &a.approved_at),
            "light": light,
            "dark": dark,
            "variety": signed.variety(),
            "allowances": signed.allowances(),
        }),
        lines: Lines::default(),
    }
}

/// Reads `silver left=4 %`.
fn allowance(text: &str) -> Result<(String, f64)> {
    let (measure, figure) = text.split_once('=').ok_or_else(|| Error::NoSuchAllowance {
        given: text.to_owned(),
    })?;
    let row = allowed_typed(measure)?;
    Ok((row.key.to_owned(), row.allowance_typed(figure)?))
}
