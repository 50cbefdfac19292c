//! The demo's sheets, each written by the command that a maker would use.

use std::num::NonZero;
use std::path::{Path, PathBuf};

use super::super::args::{
    CheckArgs, EffectArgs, FindArgs, LadderMakeArgs, LadderPlaceArgs, MatchArgs, MeasureArgs,
    OutArgs, PlaceArgs, PromiseArgs, ReadArgs, RecipeArgs, RigStudyArgs, SetArgs, SigningArgs,
};
use super::super::context::Context;
use super::super::panels::{Session, Sessions};
use super::super::{
    check, effect, find, ladder, match_to, measure, promise, recipe, set, signing, study,
};
use super::scenes::{self, AGAIN, FIRST_TRY, LIGHT_TO_HEAVY, PANEL_SIZE, PANELS};
use super::{RIG, SAMPLE, STEPS, kept_name};
use crate::error::Result;
use crate::fingerprint::metric::AGGRESSIVENESS;
use crate::units::Metres;

/// The ladder of the demo.
const LADDER: &str = "alcove steps";

/// For how long the panels were attacked, from light to heavy, seconds.
const ATTACKED_S: [u32; 3] = [40, 90, 150];

/// How many of the nearest are shown.
const NEAREST: NonZero<usize> = NonZero::new(3).expect("three is some");

/// Writes every sheet; the commands' own answers were told before and are not told again.
pub(super) fn write(photos: &Path, folder: &Path, context: &mut Context) -> Result<Vec<PathBuf>> {
    let mut written = Vec::new();
    context.hushed(|context| {
        let mut to = |name: &str| {
            let file = folder.join(name);
            written.push(file.clone());
            OutArgs {
                page: Some(file),
                ..OutArgs::default()
            }
        };
        let in_rig = || ReadArgs {
            rig: Some(RIG.to_owned()),
            ..ReadArgs::default()
        };
        let photo = |name: &str| photos.join(name);

        let first = CheckArgs {
            photos: vec![photo(FIRST_TRY)],
            rig: Some(RIG.to_owned()),
            out: to("check.html"),
            ..CheckArgs::default()
        };
        check::run(&first, context)?;
        let sample = MeasureArgs {
            photos: vec![photo(scenes::SAMPLE)],
            read: in_rig(),
            out: to("reading.html"),
            picture: None,
        };
        measure::run(&sample, context)?;
        let asked = PromiseArgs {
            name: SAMPLE.to_owned(),
            size: Some(PANEL_SIZE),
            speckles: None,
            out: to("promise.html"),
        };
        promise::run(&asked, context)?;
        for panel in PANELS {
            let page = to(&format!("match-{}.html", kept_name(panel)));
            let args = MatchArgs {
                panel: photo(panel).to_string_lossy().into_owned(),
                to: SAMPLE.to_owned(),
                read: in_rig(),
                out: page,
                ..MatchArgs::default()
            };
            match_to::run(&args, context)?;
        }
        let rungs = LIGHT_TO_HEAVY.iter().zip(STEPS);
        let steps = rungs.map(|(panel, step)| format!("{step}={}", kept_name(PANELS[*panel])));
        let made = LadderMakeArgs {
            name: LADDER.to_owned(),
            steps: steps.collect(),
            json: false,
        };
        ladder::make(&made, context)?;
        let placed = LadderPlaceArgs {
            panel: SAMPLE.to_owned(),
            on: LADDER.to_owned(),
            read: ReadArgs::default(),
            out: to("ladder.html"),
        };
        ladder::stand_on(&placed, context)?;
        let nearest = FindArgs {
            panel: SAMPLE.to_owned(),
            most: NEAREST,
            read: ReadArgs::default(),
            out: to("nearest.html"),
        };
        find::run(&nearest, context)?;
        let wall = SetArgs {
            panels: PANELS.map(kept_name).to_vec(),
            to: Some(SAMPLE.to_owned()),
            out: to("wall.html"),
            ..SetArgs::default()
        };
        set::run(&wall, context)?;
        for (panel, seconds) in LIGHT_TO_HEAVY.iter().zip(ATTACKED_S) {
            let made = RecipeArgs {
                name: kept_name(PANELS[*panel]),
                steps: vec![format!("attack, {seconds} s, 21 C, rocked")],
                ..RecipeArgs::default()
            };
            recipe::run(&made, context)?;
        }
        let card = RecipeArgs {
            name: kept_name(PANELS[0]),
            show: true,
            out: to("recipe.html"),
            ..RecipeArgs::default()
        };
        recipe::run(&card, context)?;
        let followed = EffectArgs {
            measure: AGGRESSIVENESS.key.to_owned(),
            of: "attack seconds".to_owned(),
            near: None,
            out: to("effect.html"),
        };
        effect::run(&followed, context)?;
        let again = [scenes::SAMPLE, AGAIN[0], AGAIN[1]].map(photo);
        let studied = RigStudyArgs {
            name: RIG.to_owned(),
            sessions: Sessions(vec![Session {
                name: String::new(),
                panels: vec![again.to_vec()],
            }]),
            place: PlaceArgs::default(),
            out: to("rig-study.html"),
        };
        study::run(&studied, context)?;
        let signed = SigningArgs {
            page: to("sign-off.html").page,
            job: Some("three panels for an alcove".to_owned()),
            room: Some("sitting room, away from windows".to_owned()),
            panels: Some("3 of 400 x 300 mm, 1 spare".to_owned()),
            level: Some("medium".to_owned()),
            fixed: Some("black backing, streaks rising to the right".to_owned()),
            may_vary: Some("number and place of specks".to_owned()),
            glass: Some("4 mm float, edges ground".to_owned()),
            viewed_from: Some(Metres::default()),
            ..SigningArgs::default()
        };
        signing::run(SAMPLE, &signed, false, context)
    })?;
    Ok(written)
}
