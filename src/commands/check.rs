//! `check`: is this picture good enough to judge by, and what to do about it first?

use std::path::{Path, PathBuf};

use image::RgbImage;
use serde::Serialize;
use serde::de::DeserializeOwned;
use serde_json::{Value, json};

use super::args::{OutArgs, PlaceArgs};
use super::context::Context;
use super::exit::Exit;
use super::hint::hint;
use super::own_file::PNG;
use super::photos::{Photos, of};
use super::watching::{WatchArgs, each_new};
use crate::compare::{Lean, refused_beside};
use crate::document::json::{SCHEMA, rounded};
use crate::document::{Answer, Block, Document, Lines};
use crate::draw::{embedded, picture};
use crate::error::{Error, Result, Unlike};
use crate::fingerprint::{Provenance, Verdict};
use crate::frame::panel::Step;
use crate::frame::placement::{Side, Stage};
use crate::intake;
use crate::normalize::{LAMP_MOVED, LOOKS_LIKE_MM, LampMoved, PhotoSide};
use crate::placement::{Given, sidecar_path};
use crate::quality::{FlagFacts, FlagSet};
use crate::silver;
use crate::studio::check::{Checked, judge, look};
use crate::studio::reading::{How, Reader};
use crate::words::headline::{Headline, ToDo};
use crate::words::{self, captions as say, file_name};

/// Say whether each picture is good enough to judge by, and what to do about it first
#[derive(Debug, Clone, Default, clap::Args)]
pub(super) struct Args {
    /// Photos, or folders of photos
    #[arg(
        required_unless_present = "watch",
        conflicts_with = "watch",
        value_name = "PHOTO"
    )]
    pub(super) photos: Vec<PathBuf>,

    #[command(flatten)]
    watch: WatchArgs,

    #[command(flatten)]
    place: PlaceArgs,

    /// The rig the photos were taken in
    #[arg(long, value_name = "NAME")]
    pub(super) rig: Option<String>,

    /// Write where the panel and the patches lie into PHOTO.place.json, where there is none yet
    #[arg(long)]
    write_place: bool,

    #[command(flatten)]
    pub(super) out: OutArgs,

    /// Write the photo with what was found drawn on it [without a name: one of its own]
    #[arg(long, value_name = "FILE.png")]
    picture: Option<Option<PathBuf>>,
}

pub(super) fn run(args: &Args, context: &mut Context) -> Result<Exit> {
    if let Some(folder) = args.watch.folder() {
        return each_new(folder, context, |photo, context| {
            let one = Args {
                photos: vec![photo.to_owned()],
                watch: WatchArgs::default(),
                ..args.clone()
            };
            run(&one, context)
        });
    }
    let photos = Photos::of(&args.photos, context)?;
    let picture = args.picture.as_ref().and_then(Option::as_deref);
    photos.one_at_a_time(&[picture, args.out.named_page()])?;
    let how = context.how(How {
        given: Given::from(&args.place),
        rig: args.rig.clone(),
        write_place: args.write_place,
        ..How::default()
    })?;
    let reader = Reader::open(&how, &context.studio()?)?;
    let look = |photo: &Path| {
        let seen = look(photo, &reader)?;
        let placed = placed(photo, &seen, args)?;
        let wrote = args.write_place.then(|| wrote(photo, &seen, args));
        Ok((seen, placed, wrote.flatten()))
    };
    let mut looked_at = Vec::new();
    let ends = photos.each(
        context,
        look,
        |photo, (seen, (placed, drawn), wrote), context| {
            if let Some(drawn) = drawn {
                let what = of("as found", photo);
                context.beside(Some(photo));
                context.write_beside(picture, (&what, PNG), &drawn, args.out.replace_file)?;
            }
            let end = match seen.fit() {
                Some(false) => Exit::PictureNotUsable,
                Some(true) | None => Exit::Done,
            };
            looked_at.push((photo.to_owned(), seen, placed, wrote));
            Ok(end)
        },
    )?;
    judge(looked_at.iter_mut().map(|(_, seen, ..)| seen));
    let mut answers = Vec::new();
    for (photo, seen, placed, wrote) in &looked_at {
        let mut answer = answer(photo, seen, placed.as_ref())?;
        if let Some(wrote) = wrote {
            answer.document.say([format!("  {}", told(wrote))]);
            answer.json["wrote"] = json!(wrote);
        }
        answers.push(answer);
    }
    context.answers(&mut answers, &args.out)?;
    photos.sum_up(&ends, args.out.json, context)
}

/// What was written beside a photo, to be read with it from then on.
#[derive(Debug, Serialize)]
struct Wrote {
    file: String,
    size: Option<String>,
    patches: usize,
    side: Side,
    stage: Option<Stage>,
    rig: Option<String>,
}

/// What was written beside a photo; nothing where nothing was seen.
fn wrote(photo: &Path, seen: &Checked, args: &Args) -> Option<Wrote> {
    let sighting = seen.sighting()?;
    let (size, stage, rig) = match seen {
        Checked::Read(fingerprint) => {
            let p = &fingerprint.provenance;
            let size = Some(p.placement.size.to_string());
            (size, p.placement.stage, p.rig.clone())
        }
        _ => (None, Given::from(&args.place).stage, args.rig.clone()),
    };
    Some(Wrote {
        file: file_name(&sidecar_path(photo)),
        size,
        patches: sighting.patches.len(),
        side: sighting.side,
        stage,
        rig,
    })
}

/// The same in words.
fn told(wrote: &Wrote) -> String {
    let patches = match wrote.patches {
        0 => None,
        1 => Some("1 patch".to_owned()),
        n => Some(format!("{n} patches")),
    };
    let parts = [
        wrote.size.as_ref().map(|size| format!("size {size}")),
        Some("corners".to_owned()),
        patches,
        Some(format!("seen from the {}", say::side(wrote.side))),
        wrote
            .stage
            .map(|at| format!("stage {}", say::stage(Some(at)))),
        wrote.rig.as_ref().map(|rig| format!("rig `{rig}`")),
    ];
    let parts: Vec<String> = parts.into_iter().flatten().collect();
    format!(
        "Written to {}: {}. It is read with the photo from now on.",
        wrote.file,
        parts.join(", ")
    )
}

/// What is said of a picture that is fit, and that `match` would refuse.
fn match_refuses(seen: &Checked) -> Option<(&'static str, &'static str)> {
    let Checked::Read(fingerprint) = seen else {
        return None;
    };
    if seen.fit() != Some(true) {
        return None;
    }
    match refused_beside(fingerprint)? {
        Unlike::PaintSeen => Some(("paint_seen", PAINT_SEEN)),
        _ => Some(("own_scale", OWN_SCALE)),
    }
}

/// Nothing in the photo tells full silver.
const OWN_SCALE: &str = "But match would refuse it beside a sample that was read with a rig: here the silver is read only against the panel's own brightest parts. Name the rig with --rig, or lay a mirror offcut beside the panel.";

/// The paint hides the silver.
const PAINT_SEEN: &str = "But match would refuse it: from behind, a backed panel shows its paint and not its silver. Photograph its front.";

/// The photo with what was found drawn on it: where a page is to show it, and as the file that was asked for.
fn placed(photo: &Path, seen: &Checked, args: &Args) -> Result<Placed> {
    let wanted = args.picture.is_some() || args.out.wants_page();
    let Some(sighting) = seen.sighting().filter(|_| wanted) else {
        return Ok((None, None));
    };
    let read = intake::read(photo, &intake::Limits::default())?;
    let placed = picture::placed(&read, &sighting);
    let question = of("as found", photo);
    let drawn = args.picture.as_ref();
    let drawn = drawn.map(|_| Ok::<_, Error>(silver::drawing(&silver::png(&placed)?, &question)));
    Ok((args.out.wants_page().then_some(placed), drawn.transpose()?))
}

/// A drawing for the page, and the file of it.
type Placed = (Option<RgbImage>, Option<Vec<u8>>);

/// The answer; `placed` is the photo with what was found drawn on it, where it is to be shown.
fn answer(photo: &Path, seen: &Checked, placed: Option<&RgbImage>) -> Result<Answer> {
    let name = file_name(photo);
    let mut document = document(&name, seen);
    if let Some(placed) = placed {
        let drawing = Block::Drawing(embedded::photo(placed, &name)?);
        document.push(Block::Pictures(vec![Block::Part(
            "Where the panel and the patches lie",
            vec![drawing],
        )]));
    }
    Ok(Answer {
        document,
        json: json(photo, seen),
        lines: Lines {
            list: "flags",
            repeated: &[("photo", "photo"), ("fit", "fit")],
            instead: None,
        },
    })
}

/// What is said of a photo: set in below its name, for there may be many.
pub(super) fn document(name: &str, seen: &Checked) -> Document {
    let fit = match seen.fit() {
        Some(true) if seen.flags().and_then(|f| f.to_mend().next()).is_none() => Verdict::Within,
        Some(false) => Verdict::Outside,
        Some(true) | None => Verdict::Unsure,
    };
    let mut document = Document::new("picture check sheet", name)
        .decided(fit, Lean::Neither)
        .headed(headline(seen));
    document.push(Block::Title(name.to_owned()));
    let said = sentences(seen).into_iter();
    document.say(said.map(|line| format!("  {line}")));
    document
}

/// The one thing to do.
fn headline(seen: &Checked) -> Headline {
    let first = seen.flags().and_then(|flags| flags.to_mend().next());
    match (seen, seen.fit(), first) {
        (Checked::Refused(why), ..) => Headline::new(ToDo::Look, hint(why)),
        (_, Some(true), None) => Headline::new(ToDo::Leave, "Use it."),
        (_, Some(true), Some(weak)) => {
            let better = words::lowered(weak.remedy);
            Headline::new(ToDo::Leave, format!("Use it, or first do this: {better}"))
        }
        (_, Some(false), Some(weak)) => Headline::new(ToDo::Look, weak.remedy),
        (_, None | Some(false), _) => Headline::new(ToDo::Look, "Say how large the panel is."),
    }
}

/// Of a picture that cannot be judged by.
const NOT_FIT: &str = "Not fit to judge by.";

/// Of a panel whose size is not known, where nothing forbids to judge by its picture.
const NOT_JUDGED: &str = "Not judged: the panel's size is not known.";

/// What to do then.
const GIVE_SIZE: &str = "Give --size as well to have sharpness, light and the silver judged.";

/// The answer, what is weak, what was found.
fn sentences(seen: &Checked) -> Vec<String> {
    let flags = match seen {
        Checked::Refused(why) => {
            return vec![NOT_FIT.to_owned(), format!("First: {why}.")];
        }
        Checked::Read(fingerprint) => &fingerprint.provenance.flags,
        Checked::Sighted(sighted) => &sighted.flags,
    };
    let fit = match (seen.fit(), flags.to_mend().next()) {
        (None, _) => NOT_JUDGED,
        (Some(false), _) => NOT_FIT,
        (Some(true), Some(_)) => "Fit to judge by. It could be better:",
        (Some(true), None) => "Fit to judge by.",
    };
    let mut said = vec![fit.to_owned()];
    said.extend(match_refuses(seen).map(|(_, words)| words.to_owned()));
    said.extend(weak(flags));
    if let Checked::Read(fingerprint) = seen {
        said.extend(looks_like(&fingerprint.provenance).map(|[width, height]| {
            format!("By the rig it looks like {width:.0} x {height:.0} mm.")
        }));
        said.extend(lamp_moved(&fingerprint.provenance).map(of_lamp));
    }
    said.extend(seen.sighting().as_ref().and_then(words::found));
    said.extend(matches!(seen, Checked::Sighted(_)).then(|| GIVE_SIZE.to_owned()));
    said
}

/// What is weak, the first thing first; what to do about that one stands before all else.
fn weak(flags: &FlagSet) -> impl Iterator<Item = String> {
    flags.to_mend().enumerate().map(|(i, f)| match i {
        0 => format!("First: {}", f.meaning),
        _ => format!("Then: {} {}", f.meaning, f.remedy),
    })
}

/// Which lamp is no longer as it was when the rig was made.
fn of_lamp(lamp: LampMoved) -> String {
    let at = |side| match side {
        PhotoSide::Left => "at the left",
        PhotoSide::Right => "at the right",
        PhotoSide::Top => "above",
        PhotoSide::Bottom => "below",
    };
    match lamp {
        LampMoved::DarkerTowards(side) => format!(
            "The board is darker {} than when the rig was made: look at the lamp on that side.",
            at(side)
        ),
        LampMoved::OnCardAt(side) => format!(
            "More light falls on the grey card ({}) than the board shows: the lamp on that side is turned to it.",
            at(side)
        ),
        LampMoved::OffCardAt(side) => format!(
            "Less light falls on the grey card ({}) than the board shows: something shades it, or the lamp on that side has moved.",
            at(side)
        ),
    }
}

/// `fit`, `fix_first` and every flag with its words.
fn json(photo: &Path, seen: &Checked) -> Value {
    let first = match seen {
        Checked::Refused(why) => Some(
            json!({"key": null, "meaning": why.to_string(), "remedy": hint(why), "blocks": true}),
        ),
        Checked::Read(_) | Checked::Sighted(_) => {
            seen.flags().and_then(|f| f.to_mend().next()).map(flag)
        }
    };
    let flags: Option<Vec<Value>> = seen.flags().map(|f| f.facts().map(flag).collect());
    let mut object = json!({
        "schema": SCHEMA,
        "photo": photo.to_string_lossy(),
        "headline": headline(seen).says,
        "fit": seen.fit(),
        "fix_first": first,
        "flags": flags.unwrap_or_default(),
        "match_refuses": match_refuses(seen).map(|(why, _)| why),
    });
    match seen {
        Checked::Read(fingerprint) => {
            let p = &fingerprint.provenance;
            object["placement"] = json!(p.placement);
            if let Some(size) = looks_like(p) {
                object[LOOKS_LIKE_MM] = json!(size);
            }
            if let Some(lamp) = lamp_moved(p) {
                object[LAMP_MOVED] = json!(lamp);
            }
            object["px_per_mm"] = json!(rounded(p.px_per_mm, 4));
            object["blur_mm"] = json!(rounded(p.blur_mm, 4));
        }
        Checked::Sighted(sighted) => object["placement"] = json!(sighted.seen),
        Checked::Refused(_) => {}
    }
    object
}

fn flag(f: &FlagFacts) -> Value {
    json!({"key": f.key, "meaning": f.meaning, "remedy": f.remedy, "blocks": f.blocks})
}

/// The size the panel looks like, width and height in mm, where that is not the one that was said.
fn looks_like(seen: &Provenance) -> Option<[f64; 2]> {
    noted(seen, LOOKS_LIKE_MM)
}

/// Which lamp is no longer as it was, where patches tell.
fn lamp_moved(seen: &Provenance) -> Option<LampMoved> {
    noted(seen, LAMP_MOVED)
}

/// What a step of the reading noted under a name.
fn noted<T: DeserializeOwned>(seen: &Provenance, name: &str) -> Option<T> {
    let said = |step: &Step| serde_json::from_value(step.with.get(name)?.clone()).ok();
    seen.steps.iter().find_map(said)
}
