//! `effect`: what a setting of the recipes did to a measure.

mod said;

use serde_json::{Value, json};

use super::args::OutArgs;
use super::context::Context;
use super::exit::Exit;
use crate::compare::effect::{Also, SettingEffect};
use crate::document::json::{SCHEMA, figure, rounded};
use crate::document::{Answer, Block, Document, Figures, Lines, Row, panel};
use crate::draw::chart::{self, Axis};
use crate::error::Result;
use crate::fingerprint::metric::measure_typed;
use crate::stats::effect::{At, Effect, Setting, Trial, Unreached};
use crate::stats::next::Next;
use crate::studio::effect::{Effected, Request, ask};
use crate::units::SizeMm;
use crate::words::cautions::Work;

/// Say what a setting of your recipes did to a measure, from your own kept panels
#[derive(Debug, clap::Args)]
pub(super) struct Args {
    /// The measure as tables call it, such as aggressiveness or "silver left"
    measure: String,

    /// The setting of your recipes, such as "attack seconds"; "attack" where recipes give that step one figure only
    #[arg(long, value_name = "SETTING")]
    of: String,

    /// What you would like the measure to be, such as 20 or "82 %": says which setting comes near it
    #[arg(long, value_name = "FIGURE", allow_hyphen_values = true)]
    near: Option<String>,

    /// The size of the pieces at hand to try it on, such as 100x100mm [default: that of the panels so far]
    #[arg(long, value_name = "WxHmm")]
    offcut: Option<SizeMm>,

    #[command(flatten)]
    out: OutArgs,
}

/// Places at which the curve is told, and at which a table shows it.
const PLACES: usize = 25;
const ROWS: usize = 5;

/// Decimals of a setting.
const SETTING_DECIMALS: i32 = 4;

pub(super) fn run(args: &Args, context: &mut Context) -> Result<Exit> {
    let measure = measure_typed(&args.measure)?;
    let near = args.near.as_ref().map(|text| measure.figure_typed(text));
    let request = Request {
        measure,
        setting: args.of.clone(),
        near: near.transpose()?,
        offcut: args.offcut,
    };
    let effected = ask(&request, &mut context.studio()?)?;
    context.answer(answer(&effected), &args.out)?;
    Ok(Exit::Done)
}

fn answer(effected: &Effected) -> Answer {
    let found = &effected.found;
    let row = found.metric;
    let about = format!("{} / {}", row.title, effected.setting);
    let mut document = Document::new("effect sheet", about).headed(said::headline(effected));
    document.say(said::sentences(effected));
    document.caution(&[Work::GoFurther, Work::Mix]);
    document.on_page(vec![charted(effected)]);
    // What could be chance is not told as if it were known.
    if let Some(effect) = real(found) {
        document.push(expected(effected, effect));
        document.push(Block::InText(vec![said::EXPECTED.to_owned()]));
    }
    document.push(panels(effected));
    if let Ok(effect) = &found.effect {
        let fared = |trial: &Trial| Block::Note(said::fared(trial, effect.shape, row.decimals + 1));
        let trials = effect.trials.iter().map(fared).collect();
        document.push(Block::Part("Curves that were tried", trials));
    }
    let json = json(effected, &document);
    // With the names and units of what stands in it, for a line of a spreadsheet stands alone.
    let line = |panel: &Value| {
        json!({
            "panel": panel["panel"],
            "setting": effected.setting,
            "setting_value": panel["setting"],
            "setting_unit": effected.unit,
            "measure": row.key,
            "measure_value": panel["measure"],
            "measure_unit": row.unit,
        })
    };
    let lines = json["panels"].as_array().into_iter().flatten().map(line);
    Answer {
        lines: Lines {
            instead: Some(lines.collect()),
            ..Lines::default()
        },
        document,
        json,
    }
}

/// The effect, where it is one.
fn real(found: &SettingEffect) -> Option<&Effect> {
    found.effect.as_ref().ok().filter(|effect| effect.is_real())
}

/// The curve at so many settings, spread evenly from the least to the greatest that was tried.
fn curve(effect: &Effect, count: usize) -> Vec<(f64, At)> {
    let [least, most] = effect.tried;
    let share = |i: usize| i as f64 / (count - 1) as f64;
    let places = (0..count).map(|i| (least + (most - least) * share(i)).clamp(least, most));
    places.filter_map(|s| Some((s, effect.at(s)?))).collect()
}

/// The panels, and the curve through them where there is one.
fn charted(effected: &Effected) -> Block {
    let found = &effected.found;
    let row = found.metric;
    let curve = real(found).map_or_else(Vec::new, |effect| curve(effect, PLACES));
    let key = if curve.is_empty() {
        "Each diamond is a kept panel. No curve is drawn, for none is known."
    } else {
        "Each diamond is a kept panel; the line is the curve through them. Darker band: where the mean of many panels would lie; pale band: where one new panel falls, 95 times in 100. Nothing is drawn beyond what was tried."
    };
    let near = found.near.as_ref();
    let wanted = near.and_then(|(wanted, near)| Some((*wanted, near.as_ref().ok()?.value)));
    let up = panel::titled(row);
    let across = Axis {
        name: &effected.setting,
        write: &|v| said::setting(effected, v),
    };
    let upwards = Axis {
        name: &up,
        write: &|v| row.format(v.clamp(row.range.0, row.range.1)),
    };
    let chart = chart::curve(&found.points, &curve, wanted, (across, upwards), key);
    panel::charted(row.title, chart, format!("Upwards: {up}. {key}"))
}

/// The curve at a few settings.
fn expected(effected: &Effected, effect: &Effect) -> Block {
    let row = effected.found.metric;
    let figure = |v: f64| panel::figure(row, v.clamp(row.range.0, row.range.1));
    let at = |(place, at): (f64, At)| {
        let [value, low, high] = [at.curve.value, at.panel.low, at.panel.high].map(figure);
        Row {
            title: said::setting(effected, place),
            says: said::one_panel(&low, &high),
            figure: value.clone(),
            cells: vec![value, low, high],
            drawing: None,
        }
    };
    Block::Figures(Figures {
        heading: "What is to be expected",
        key: said::EXPECTED,
        head: vec!["setting", "expected", "one panel, from", "to"],
        numbers: 3,
        rows: curve(effect, ROWS).into_iter().map(at).collect(),
    })
}

/// The panels that count.
fn panels(effected: &Effected) -> Block {
    let row = effected.found.metric;
    let rows = effected.found.points.iter().map(|p| {
        let [setting, measure] = [said::setting(effected, p.setting), row.format(p.measure)];
        Row {
            title: p.name.clone(),
            figure: setting.clone(),
            says: measure.clone(),
            cells: vec![setting, measure],
            drawing: None,
        }
    });
    Block::Figures(Figures {
        heading: "The panels and their settings",
        key: "",
        head: vec!["panel", "setting", row.title],
        numbers: 2,
        rows: rows.collect(),
    })
}

fn json(effected: &Effected, document: &Document) -> Value {
    let found = &effected.found;
    let row = found.metric;
    let setting = |v: f64| rounded(v, SETTING_DECIMALS);
    let panels = found.points.iter().map(|p| {
        json!({
            "panel": p.name,
            "setting": setting(p.setting),
            "measure": figure(row, p.measure),
        })
    });
    let near = |(wanted, near): &(f64, Result<Setting, Unreached>)| {
        let near = near.as_ref().ok();
        json!({
            "wanted": figure(row, *wanted),
            "setting": near.map(|s| setting(s.value)),
            "low": near.map(|s| setting(s.low)),
            "high": near.map(|s| setting(s.high)),
            "measure": near.map(|s| figure(row, s.measure)),
        })
    };
    let at = |(place, at): (f64, At)| {
        json!({
            "setting": setting(place),
            "value": figure(row, at.curve.value),
            "low": figure(row, at.curve.low),
            "high": figure(row, at.curve.high),
            "panel_low": figure(row, at.panel.low),
            "panel_high": figure(row, at.panel.high),
        })
    };
    let next = |next: &Next| {
        let reach = next.reach.map(|reach| {
            json!({
                "middle": reach.middle.map(setting),
                "low": reach.low.map(setting),
                "high": reach.high.map(setting),
            })
        });
        json!({
            "settings": next.settings.iter().map(|s| setting(said::set(*s))).collect::<Vec<_>>(),
            "enough": next.is_enough(),
            "narrows": rounded(next.gain, 2),
            "closed_in": next.closed_in,
            "reach": reach,
        })
    };
    let trial = |t: &Trial| {
        json!({
            "shape": said::shape_key(t.shape),
            "misses_by": t.miss.ok().map(|miss| figure(row, miss)),
        })
    };
    let effect = found.effect.as_ref().ok();
    json!({
        "schema": SCHEMA,
        "measure": row.key,
        "setting": effected.setting,
        "unit": effected.unit,
        "headline": document.headline(),
        "words": document.sentences(),
        "cautions": document.cautions(),
        "enough": effect.is_some(),
        "real": effect.map(Effect::is_real),
        "chance": effect.map(|e| rounded(e.chance, 4)),
        "shape": effect.map(|e| said::shape_key(e.shape)),
        "shapes": effect.map(|e| e.trials.iter().map(trial).collect::<Vec<_>>()),
        "tried": effect.map(|e| e.tried.map(setting)),
        "also_changed": found.also.iter().map(Also::key).collect::<Vec<_>>(),
        "said_on_some": found.on_some.iter().map(|some| &some.name).collect::<Vec<_>>(),
        "left_out": found.left_out,
        "same_photo": found.same_photo,
        "other_version": effected.other_version,
        "near": found.near.as_ref().map(near),
        "next": found.next.as_ref().map(next),
        "panels": panels.collect::<Vec<_>>(),
        "curve": effect.map(|e| curve(e, PLACES).into_iter().map(at).collect::<Vec<_>>()),
    })
}
