//! `promise`: what a sample can say about a panel of another size.

use std::num::NonZero;

use image::RgbImage;
use serde_json::{Map, Value, json};

use super::args::OutArgs;
use super::context::Context;
use super::exit::Exit;
use crate::compare::promise::{Promise, Stray};
use crate::document::json::{SCHEMA, figure, rounded};
use crate::document::{Answer, Block, Document, Figures, Lines, Row, panel};
use crate::draw::{chart, embedded};
use crate::error::{Error, Result};
use crate::fingerprint::metric::Metric;
use crate::studio::promise::{Promised, Request, ask};
use crate::studio::reading::small_kept;
use crate::units::{SizeMm, Unmeasured};
use crate::words::list;

/// Say what a sample can promise for a panel of another size
#[derive(Debug, clap::Args)]
pub(super) struct Args {
    /// The kept sample [default: that of the job]
    name: Option<String>,

    /// The panel's real width and height, such as 900x600mm [default: that of the job]
    #[arg(long, value_name = "WxHmm")]
    size: Option<SizeMm>,

    /// How many specks there are to be on it: between what numbers may chance leave them
    #[arg(long, value_name = "NUMBER")]
    speckles: Option<NonZero<usize>>,

    #[command(flatten)]
    out: OutArgs,
}

pub(super) fn run(args: &Args, context: &mut Context) -> Result<Exit> {
    let holds = context.holds()?;
    let name = holds.sample(args.name.as_deref())?;
    let job = holds.job.as_ref();
    let size = args.size.or(job.and_then(|job| job.details.size));
    if size.is_none() && args.speckles.is_none() {
        return Err(Error::NothingToPromise);
    }
    let request = Request {
        name: name.clone(),
        size,
        speckles: args.speckles,
    };
    let studio = context.studio()?;
    let found = ask(&request, &studio)?;
    let shown = args.out.wants_page();
    let shown = shown.then(|| small_kept(&name, &studio.archive()?));
    context.answer(answer(&found, shown.transpose()?.as_ref())?, &args.out)?;
    Ok(Exit::Done)
}

/// The answer; `small` is the sample's picture, where it is to be shown.
fn answer(found: &Promised, small: Option<&RgbImage>) -> Result<Answer> {
    let sample = &found.sample.sample;
    let (name, sample_size) = (
        sample.name.as_str(),
        sample.fingerprint.provenance.placement.size,
    );
    let mut document = Document::new("promise sheet", name);
    if let Some((size, promise)) = &found.panel {
        document.say(sentences(name, sample_size, *size, promise));
    }
    document.say(found.speckles.map(|(n, between)| specks(n, between)));
    if let Some(small) = small {
        let caption = format!("{name}, {sample_size}");
        let figure = embedded::small_figure(small, LONG_SIDE_PX, name, &caption)?;
        document.on_page(vec![Block::Drawing(figure)]);
    }
    let promise = found.panel.as_ref().map(|(_, promise)| promise);
    document.blocks.extend(promise.map(figures));
    let size = |s: SizeMm| json!({"width": rounded(s.width, 3), "height": rounded(s.height, 3)});
    let json = json!({
        "schema": SCHEMA,
        "sample": name,
        "sample_size": size(sample_size),
        "size": found.panel.as_ref().map(|(s, _)| size(*s)),
        "words": document.sentences(),
        "measures": promise.map(measures),
        "pinned_by_mm": promise.and_then(|p| p.pinned_by).map(|(mm, _)| rounded(mm, 1)),
        "never_pinned": promise.map(|p| p.never_pinned.iter().map(|m| m.key).collect::<Vec<_>>()),
        "speckles": found.speckles.map(|(count, (low, high))| {
            json!({"count": count, "low": rounded(low, 2), "high": rounded(high, 2)})
        }),
    });
    Ok(Answer {
        document,
        json,
        lines: Lines {
            list: "measures",
            repeated: &[("sample", "sample"), ("size", "size")],
            instead: None,
        },
    })
}

/// Long side of the sample's picture, pixels.
const LONG_SIDE_PX: usize = 360;

/// In the table, beside a measure that chance alone may take past what is allowed.
const MAY_STRAY: &str = "MAY STRAY";

/// How sure the sample makes a panel of the size, and what would make it surer.
fn sentences(name: &str, sample: SizeMm, size: SizeMm, p: &Promise) -> Vec<String> {
    let Some(coverage) = p.strays.iter().find(|s| s.metric.leads) else {
        return vec![format!("`{name}` is too small to promise anything.")];
    };
    let [low, high, value] = [
        coverage.panel.low,
        coverage.panel.high,
        coverage.panel.value,
    ]
    .map(|share| format!("{:.1}", share * 100.0));
    let mut said = vec![format!(
        "By chance alone a panel of {size} made just like `{name}` ({sample}) may have {low} to {high} % of its silver left, 95 times in 100; the sample has {value} %."
    )];
    let loose = p.strays.iter().filter(|s| s.may_stray());
    let loose: Vec<&str> = loose.map(|s| s.metric.title).collect();
    said.push(if loose.is_empty() {
        "In no measure may chance alone take it further than is allowed.".to_owned()
    } else {
        format!(
            "Chance alone may take it further than is allowed in {}.",
            list(&loose)
        )
    });
    said.push(match p.pinned_by {
        Some((side_mm, metric)) if side_mm * side_mm <= sample.width * sample.height => {
            format!("The sample is large enough to stand for the look, {} included.", metric.title)
        }
        // Nobody cuts glass to the millimetre for a sample.
        Some((side_mm, metric)) => format!(
            "A sample of about {0:.0} x {0:.0} mm would stand for the look; {1} is what asks for so much.",
            (side_mm / 10.0).ceil() * 10.0,
            metric.title
        ),
        None => {
            let never: Vec<&str> = p.never_pinned.iter().map(|m| m.title).collect();
            format!(
                "No sample, however large, would settle {}. Allow more, or say with approve --variety that the finish varies.",
                list(&never)
            )
        }
    });
    said
}

/// How a number of specks may come out.
fn specks(count: usize, (low, high): (f64, f64)) -> String {
    format!(
        "Where the finish has {count} specks on average, chance leaves anything from {:.0} to {:.0} of them.",
        low.floor(),
        high.ceil()
    )
}

/// Where chance leaves each measure, against what it may be; then those that nothing is promised of.
fn figures(promise: &Promise) -> Block {
    let stray = |s: &Stray| {
        let row = s.metric;
        let between = |low, high| format!("{} and {}", row.format(low), row.format(high));
        let strays = if s.may_stray() { MAY_STRAY } else { "" };
        let write = |v| row.format(v);
        Row {
            title: row.title.to_owned(),
            cells: vec![
                row.format(s.panel.value),
                between(s.panel.low, s.panel.high),
                between(s.may_be.0, s.may_be.1),
                row.unit.to_owned(),
                strays.to_owned(),
            ],
            figure: panel::figure(row, s.panel.value),
            says: strays.to_lowercase(),
            drawing: Some(chart::allowance(
                row.title,
                s.panel,
                s.may_be,
                s.panel.value,
                write,
            )),
        }
    };
    let left_out = |(row, why): &(&'static Metric, Option<Unmeasured>)| {
        let (none, why) = ("-".to_owned(), why_left_out(*why));
        Row {
            title: row.title.to_owned(),
            cells: vec![none.clone(), why.clone(), none, String::new()],
            figure: String::new(),
            says: why,
            drawing: None,
        }
    };
    let strays = promise.strays.iter().map(stray);
    Block::Figures(Figures {
        heading: "What chance may do to a panel of that size",
        key: "Pale band: what may be. Thick line: where chance alone leaves a panel of that size, 95 times in 100. Diamond: the sample.",
        head: vec!["", "sample", "panel between", "may be between", "", ""],
        numbers: 1,
        rows: strays
            .chain(promise.left_out.iter().map(left_out))
            .collect(),
    })
}

/// Why nothing is promised of a measure.
fn why_left_out(why: Option<Unmeasured>) -> String {
    why.map_or_else(
        || "it decides nothing where the texture agrees".to_owned(),
        |why| why.to_string(),
    )
}

fn measures(promise: &Promise) -> Map<String, Value> {
    let stray = |s: &Stray| {
        let row = s.metric;
        let found = json!({
            "value": figure(row, s.panel.value),
            "low": figure(row, s.panel.low),
            "high": figure(row, s.panel.high),
            "unit": row.unit,
            "may_be_from": figure(row, s.may_be.0),
            "may_be_to": figure(row, s.may_be.1),
            "may_stray": s.may_stray(),
            "pinned_by_mm": s.pinned_by_mm.map(|mm| rounded(mm, 1)),
        });
        (row.key.to_owned(), found)
    };
    let left_out = |(row, why): &(&'static Metric, Option<Unmeasured>)| {
        let why = why_left_out(*why);
        let found = json!({"value": null, "low": null, "high": null, "unit": row.unit, "why": why});
        (row.key.to_owned(), found)
    };
    let strays = promise.strays.iter().map(stray);
    strays
        .chain(promise.left_out.iter().map(left_out))
        .collect()
}
