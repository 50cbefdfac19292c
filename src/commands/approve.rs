//! `approve`: mark a kept finish as the approved sample, with what the studio says of it; and take that back.

use std::collections::BTreeMap;

use clap::ValueEnum;
use serde_json::{Value, json};

use super::args::OutArgs;
use super::context::Context;
use super::exit::Exit;
use crate::archive::{Approval, TakeBack};
use crate::compare::held::Held;
use crate::compare::terms::AllowanceSource;
use crate::document::json::figure;
use crate::document::{Answer, Block, Document, Figures, Lines, Row};
use crate::error::{Error, Result};
use crate::fingerprint::Variety;
use crate::fingerprint::metric::allowed_typed;
use crate::studio::approve::{Approved, Request, approve, withdraw};
use crate::words::keeping;

/// Mark a kept finish as the approved sample, or take that back
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

    /// Who signed it
    #[arg(long, value_name = "NAME")]
    signed_by: Option<String>,

    /// Take the light limit back
    #[arg(long, conflicts_with = "light")]
    no_light: bool,

    /// Take the dark limit back
    #[arg(long, conflicts_with = "dark")]
    no_dark: bool,

    /// Take back how much the finish is meant to vary
    #[arg(long, conflicts_with = "variety")]
    no_variety: bool,

    /// Take your own allowance for a measure back (repeatable)
    #[arg(long, value_name = "MEASURE")]
    disallow: Vec<String>,

    /// Take the approval back, with all that was signed; the finish stays
    #[arg(long, conflicts_with_all = ["light", "dark", "allow", "variety", "signed_by", "no_light", "no_dark", "no_variety", "disallow"])]
    withdraw: bool,

    /// Why the approval is taken back
    #[arg(long, value_name = "REASON", requires = "withdraw", default_value = "")]
    because: String,

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
    let out = OutArgs::json(args.json);
    if args.withdraw {
        let (name, signed) = withdraw(&args.name, &args.because, &context.studio()?)?;
        context.answer(withdrawn(&name, &signed), &out)?;
        return Ok(Exit::Done);
    }
    let allowances = args.allow.iter().map(|text| allowance(text));
    let disallowed = args.disallow.iter().map(|text| measure(text));
    let request = Request {
        name: args.name.clone(),
        approval: Approval {
            allowances: allowances.collect::<Result<BTreeMap<_, _>>>()?,
            light: args.light.clone(),
            dark: args.dark.clone(),
            variety: args.variety.map(Into::into),
            ..Approval::default()
        },
        signed_by: args.signed_by.clone(),
        back: TakeBack {
            light: args.no_light,
            dark: args.no_dark,
            variety: args.no_variety,
            allowances: disallowed.collect::<Result<_>>()?,
        },
    };
    let approved = approve(&request, &context.studio()?)?;
    context.answer(answer(&approved), &out)?;
    Ok(Exit::Done)
}

/// Nothing of the studio's own decides yet.
const ONLY_START: &str = "No limits of your own yet: matches use starting allowances until you name signed pieces with --light and --dark, or figures with --allow.";

fn answer(approved: &Approved) -> Answer {
    let signed = &approved.signed;
    let name = signed.sample.name.as_str();
    let [light, dark] = signed.limits();
    let terms = signed.terms();
    let held = terms.held(&signed.sample.fingerprint);
    let mut document = Document::new("approved sample", name);
    document.say([format!("`{name}` is an approved sample.")]);
    document.say(
        signed
            .sample
            .approval
            .iter()
            .flat_map(keeping::signed)
            .skip(1),
    );
    document.say(terms.only_start().then(|| ONLY_START.to_owned()));
    document.say(keeping::without_photo(&approved.without_photo));
    document.push(figures_held(&held));
    let approval = signed.sample.approval.as_ref();
    Answer {
        document,
        json: json!({
            "name": name,
            "approved_at": approval.map(|a| &a.approved_at),
            "signed": approval.and_then(|a| a.signature.as_ref()),
            "light": light,
            "dark": dark,
            "variety": signed.variety(),
            "allowances": signed.allowances(),
            "holds": held.iter().map(held_json).collect::<Vec<_>>(),
            "without_photo": approved.without_photo,
        }),
        lines: Lines::default(),
    }
}

/// What a panel may read of each measure.
fn figures_held(held: &[Held]) -> Block {
    let row = |held: &Held| {
        let [least, most] = held.may_read();
        let figures = [held.sample.value, least, most].map(|v| held.metric.format(v));
        let said = [held.metric.unit, from(held.allowed.source)].map(str::to_owned);
        Row {
            title: held.metric.title.to_owned(),
            cells: figures.into_iter().chain(said).collect(),
            ..Row::default()
        }
    };
    Block::Figures(Figures {
        head: vec!["", "sample", "from", "to", "", "said by"],
        numbers: 3,
        rows: held.iter().map(row).collect(),
        ..Figures::default()
    })
}

/// Who says how far a measure may go.
fn from(source: AllowanceSource) -> &'static str {
    match source {
        AllowanceSource::Limits => "the signed pieces",
        AllowanceSource::Own => "your own figure",
        AllowanceSource::Start => "a start",
    }
}

fn held_json(held: &Held) -> Value {
    let [least, most] = held.may_read().map(|v| figure(held.metric, v));
    json!({
        "measure": held.metric.key,
        "sample": figure(held.metric, held.sample.value),
        "from": least,
        "to": most,
        "said_by": held.allowed.source,
    })
}

/// What is said where an approval was taken back.
fn withdrawn(name: &str, signed: &Approval) -> Answer {
    let mut document = Document::new("approved sample", name);
    document.say([
        format!("`{name}` is no approved sample any more; the finish stays as it is."),
        "What was signed of it stays in its history.".to_owned(),
    ]);
    Answer {
        document,
        json: json!({"name": name, "approved": false, "was": signed}),
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

/// Reads the name of a measure that may have an allowance of its own.
fn measure(text: &str) -> Result<String> {
    Ok(allowed_typed(text)?.key.to_owned())
}
