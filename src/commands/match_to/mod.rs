//! `match`: is a panel inside what was signed?

mod several;
mod shown;

use std::path::{Path, PathBuf};

use clap::ValueEnum;
use serde_json::{Map, Value, json};

use self::several::{panels, summary};
use super::args::{OutArgs, ReadArgs};
use super::context::Context;
use super::exit::Exit;
use super::own_file::PNG;
use super::photos::{COUNTED, counted, of, spare};
use super::watching::{WatchArgs, each_new};
use crate::archive::Overruling;
use crate::compare::tint::Tint;
use crate::compare::{Difference, Match, MeasureMatch, Remark, WholeMatch};
use crate::document::json::{SCHEMA, beyond, figure, rounded};
use crate::document::{Answer, Block, Document, Lines};
use crate::error::{Error, Result};
use crate::fingerprint::Verdict;
use crate::silver::Silver;
use crate::studio::match_to::{Matched, Request, compare};
use crate::studio::panel::PanelSource;
use crate::studio::reading::{How, silver_kept};
use crate::studio::{Hear, News};
use crate::units::Measure;
use crate::words::{self, keeping};

/// Say whether a panel is within, outside or too close to call
#[derive(Debug, Clone, Default, clap::Args)]
pub(super) struct Args {
    /// Photos, folders of photos, or names of kept finishes
    #[arg(
        required_unless_present = "watch",
        conflicts_with = "watch",
        value_name = "PHOTO|NAME"
    )]
    pub(super) panels: Vec<String>,

    /// The approved sample, or any kept finish [default: the sample of the job]
    #[arg(long, value_name = "NAME")]
    pub(super) to: Option<String>,

    #[command(flatten)]
    watch: WatchArgs,

    /// The answer begins with the panel's name, which was not typed.
    #[arg(skip)]
    names_panel: bool,

    /// Two photos of the sample itself, taken at the start and at the end of today's session
    #[arg(long, num_args = 2, value_names = ["START", "END"])]
    sample_today: Vec<PathBuf>,

    /// Decide otherwise than the program; the reason is kept
    #[arg(
        long,
        value_enum,
        ignore_case = true,
        value_name = "VERDICT",
        requires = "because"
    )]
    overrule: Option<Decision>,

    /// Why you decide otherwise
    #[arg(long, value_name = "REASON", requires = "overrule")]
    because: Option<String>,

    #[command(flatten)]
    pub(super) read: ReadArgs,

    #[command(flatten)]
    pub(super) out: OutArgs,

    /// Write the straightened panel with what was counted drawn on it (a photo only)
    #[arg(long, value_name = "FILE.png")]
    picture: Option<Option<PathBuf>>,
}

/// What the maker decides
#[derive(Debug, Clone, Copy, ValueEnum)]
enum Decision {
    /// It is inside what was signed
    Within,
    /// It is not
    Outside,
}

impl From<Decision> for Verdict {
    fn from(decision: Decision) -> Verdict {
        match decision {
            Decision::Within => Verdict::Within,
            Decision::Outside => Verdict::Outside,
        }
    }
}

pub(super) fn run(args: &Args, context: &mut Context) -> Result<Exit> {
    if let Some(folder) = args.watch.folder() {
        return each_new(folder, context, |photo, context| {
            let one = Args {
                panels: vec![photo.to_string_lossy().into_owned()],
                names_panel: true,
                watch: WatchArgs::default(),
                ..args.clone()
            };
            run(&one, context)
        });
    }
    let panels = panels(&args.panels, context)?;
    let names_panel = args.names_panel || panels != args.panels || panels.len() > 1;
    let args = &Args {
        names_panel,
        ..args.clone()
    };
    let mut answers = Vec::new();
    if let [panel] = &panels[..] {
        let (end, answer) = one(args, panel, context)?;
        context.table(&[answer], &args.out)?;
        return Ok(end);
    }
    let picture = args.picture.as_ref().and_then(Option::as_deref);
    if picture.or(args.out.named_page()).is_some() {
        return Err(Error::OnePicture);
    }
    if args.overrule.is_some() {
        return Err(Error::OneDecision);
    }
    // A sample that is not there is said once, and not of every panel.
    let to = context.holds()?.sample(args.to.as_deref())?;
    context.studio()?.archive()?.finish_named(&to)?;
    let mut ends = Vec::new();
    for (i, panel) in panels.iter().enumerate() {
        context.hear(News::Begun(i + 1, panels.len(), panel));
        ends.push(match one(args, panel, context) {
            Ok((end, answer)) => {
                answers.push(answer);
                end
            }
            Err(error @ Error::Output { .. }) => return Err(error),
            Err(error) => {
                context.complain(&error);
                Exit::from(&error)
            }
        });
    }
    context.table(&answers, &args.out)?;
    let summary = summary(&panels, &ends);
    if args.out.json {
        context.note(&summary);
    } else {
        context.say(&summary)?;
    }
    Ok(ends.into_iter().max().unwrap_or(Exit::Done))
}

/// Sets one panel beside the sample, and gives the answer.
fn one(args: &Args, panel: &str, context: &mut Context) -> Result<(Exit, Answer)> {
    let holds = context.holds()?;
    let mut studio = context.studio()?;
    let archive = studio.archive()?;
    let source = PanelSource::named(panel, &archive)?;
    let photo = source.photo().map(Path::to_owned);
    let picture = args.picture.as_ref().and_then(Option::as_deref);
    if args.picture.is_some() {
        let Some(photo) = &photo else {
            return Err(Error::NothingToDraw {
                name: panel.to_owned(),
            });
        };
        // A drawing must not take the place of a photo that is read.
        let today = args.sample_today.iter().map(PathBuf::as_path);
        spare(picture.into_iter(), today.chain([photo.as_path()]))?;
    }
    let decision = args.overrule.map(Verdict::from);
    let request = Request {
        panel: panel.to_owned(),
        to: holds.sample(args.to.as_deref())?,
        sample_today: <[PathBuf; 2]>::try_from(args.sample_today.clone()).ok(),
        decision: decision.zip(args.because.clone()),
        how: holds.how(How::from(&args.read)),
    };
    let found = compare(&request, &mut studio)?;
    context.beside(photo.as_deref());
    if let (Some(reading), Some(photo)) = (found.panel.reading(), &photo)
        && args.picture.is_some()
    {
        let drawn = counted(reading, photo)?;
        let what = of(COUNTED, photo);
        context.write_beside(picture, (&what, PNG), &drawn, args.out.replace_file)?;
    }
    let shown = args.out.wants_page().then(|| {
        let sample = silver_kept(&found.sample.sample, &archive)?;
        Ok::<_, Error>([sample, found.panel.silver(&archive)?])
    });
    let mut answer = answer(&found, shown.transpose()?.as_ref())?;
    if args.names_panel {
        let title = Block::Title(found.panel.name.clone());
        answer.document.blocks.insert(0, title);
    }
    let said = OutArgs {
        csv: None,
        ..args.out.clone()
    };
    context.answers(std::slice::from_mut(&mut answer), &said)?;
    Ok((found.holds().into(), answer))
}

/// The answer; `silver` is that of the sample and of the panel, where they are to be shown.
pub(super) fn answer(matched: &Matched, silver: Option<&[Silver; 2]>) -> Result<Answer> {
    let found = &matched.found;
    let (sample, panel) = (matched.sample.sample.name.as_str(), &matched.panel.name);
    let next = words::next_step(found);
    let mut document = Document::new("match sheet", format!("{panel} / {sample}"))
        .decided(found.verdict, found.lean)
        .headed(next.headline());
    let differ = [words::verdict(found, sample), words::differences(found)];
    let all = [&differ[..], &[next.says.to_owned()]].concat();
    document.say(differ);
    document.say(next.how().map(str::to_owned));
    document.note(decided(matched));
    document.caution(next.work.as_slice());
    document.remark(words::remarks(found));
    document.signs(&matched.panel.fingerprint);
    document.blocks.extend(shown::lead(found));
    if let Some(silver) = silver {
        document.push(Block::Pictures(shown::pictures(matched, silver)?));
        document.on_page(shown::charts(matched, silver)?);
    }
    document.push(shown::figures(matched));
    document.note(matched.beside.map(words::beside));
    document.note([words::speckle_floor(
        found.floor_mm,
        matched.sample.side().fingerprint,
    )]);
    Ok(Answer {
        json: json(matched, &document, &all),
        document,
        lines: Lines {
            list: "measures",
            repeated: &[
                ("panel_name", "panel"),
                ("sample_name", "sample"),
                ("overall", "verdict"),
            ],
            instead: None,
        },
    })
}

/// What the maker decided, in words.
fn decided(matched: &Matched) -> Option<String> {
    let decided = matched.overruled.as_ref()?;
    Some(if matched.just_now {
        keeping::overruled(decided.found, decided.decided, &decided.reason)
    } else {
        keeping::overruled_before(&decided.made_at, decided.decided, &decided.reason)
    })
}

/// The answer for programs; `words` is all that is said of it.
fn json(matched: &Matched, document: &Document, words: &[String]) -> Value {
    let m = &matched.found;
    let (sample, panel) = (matched.sample.side(), matched.panel.side());
    let differences = m.differences();
    let measures = m.measures.iter();
    let measures = measures.map(|m| (m.metric.key.to_owned(), measure(m)));
    let wholes = m.wholes.iter();
    let wholes = wholes.map(|w| (w.whole.key.to_owned(), whole(w)));
    json!({
        "schema": SCHEMA,
        "sample": sample.name,
        "panel": panel.name,
        "verdict": m.verdict,
        "unsure": m.unsure,
        "lean": m.lean,
        "toward": m.toward,
        "perhaps_turned": m.perhaps_turned(),
        "limit_piece": limit_piece(m),
        "differences": differences.named.iter().map(difference).collect::<Vec<_>>(),
        "agree": differences.agree,
        "open": differences.open.iter().map(|row| row.key).collect::<Vec<_>>(),
        "headline": document.headline(),
        "words": words,
        "cautions": document.cautions(),
        "remarks": document.remarks(),
        "anyway": m.has(Remark::NotUsable),
        "only_starting_allowances": m.has(Remark::OnlyStartingAllowances),
        "speckle_floor_mm": rounded(m.floor_mm, 4),
        "tone_difference": m.tone_difference.map(|d| rounded(d, 2)),
        "tints": {
            "sample": Tint::of(&sample.fingerprint.measurements),
            "panel": Tint::of(&panel.fingerprint.measurements),
        },
        "where": m.place,
        "stages_differ": m.has(Remark::StagesDiffer),
        "paint": m.paint.map(|p| json!({
            "may_darken": rounded(p.darken, 4),
            "may_lighten": rounded(p.lighten, 4),
            "decides": p.decides,
        })),
        "sample_beside": matched.beside.map(|alike| json!({"alike": rounded(alike, 3)})),
        "rigs_differ": m.has(Remark::RigsDiffer),
        "cannot_tell_today": m.has(Remark::CannotTellToday),
        "sample_too_small": m.has(Remark::SampleTooSmall),
        "rig_too_rough": m.has(Remark::RigTooRough),
        "measures": measures.collect::<Map<_, _>>(),
        "overruled": matched.overruled.as_ref().map(overruled),
        "wholes": wholes.collect::<Map<_, _>>(),
    })
}

fn measure(m: &MeasureMatch) -> Value {
    let row = m.metric;
    let value = |measure: Measure| measure.ok().map(|e| figure(row, e.value));
    let (sample, panel) = (value(m.sample), value(m.panel));
    match m.found {
        Some(f) => json!({
            "sample": sample,
            "panel": panel,
            "difference": figure(row, f.difference),
            "low": figure(row, f.low),
            "high": figure(row, f.high),
            "allowance": figure(row, f.allowance),
            "allowance_from": m.allowed.source,
            "verdict": f.verdict,
        }),
        None => json!({
            "sample": sample,
            "panel": panel,
            "difference": null,
            "low": null,
            "high": null,
            "allowance": null,
            "verdict": null,
            "why": words::why_not_compared(m),
        }),
    }
}

/// Which limit piece the panel is, where it is one.
fn limit_piece(m: &Match) -> Option<&'static str> {
    if m.has(Remark::SignedLight) {
        Some("light")
    } else {
        m.has(Remark::SignedDark).then_some("dark")
    }
}

fn difference(d: &Difference) -> Value {
    json!({
        "key": d.metric.key,
        "direction": if d.more { "more" } else { "less" },
        "sure": d.sure,
        "how": d.how,
    })
}

fn whole(w: &WholeMatch) -> Value {
    let shown = |v: f64| beyond(w.whole.decimals, v);
    json!({
        "difference": shown(w.difference),
        "low": shown(w.low),
        "high": shown(w.high),
        "allowance": shown(w.allowance),
        "unit": w.whole.unit,
        "verdict": w.verdict,
    })
}

fn overruled(decision: &Overruling) -> Value {
    json!({
        "made_at": decision.made_at,
        "found": decision.found,
        "decided": decision.decided,
        "because": decision.reason,
    })
}
