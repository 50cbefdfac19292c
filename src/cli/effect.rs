//! `effect`: what a setting of the recipes did to a measure.

use std::collections::{BTreeMap, BTreeSet};

use super::args::EffectArgs;
use super::context::Context;
use super::exit::Exit;
use super::whole_file::write_whole;
use crate::archive::{Archive, Finish, Recipe};
use crate::compare::Side;
use crate::compare::effect::{Figure, Made, Told, effect};
use crate::error::{Error, Result};
use crate::fingerprint::metric::{figures, metric};
use crate::report::effect::Asked;
use crate::report::{Effected, page};

pub(super) fn run(args: &EffectArgs, context: &mut Context) -> Result<Exit> {
    let row = metric(args.measure.trim()).ok_or_else(|| Error::NoSuchMeasure {
        given: args.measure.clone(),
        known: figures().map(|m| m.key).collect::<Vec<_>>().join(", "),
    })?;
    let archive = context.archive()?;
    let mut recipes = Vec::new();
    for (name, recipe) in archive.recipes()? {
        recipes.extend(context.sound(recipe)?.map(|recipe| (name, recipe)));
    }
    let of = args.of.trim().to_lowercase();
    let unit = unit(&of, &recipes)?;
    let (with, other_version) = finishes(&of, &recipes, &archive, context)?;
    let made: Vec<Made<'_>> = with
        .iter()
        .map(|(finish, recipe)| Made {
            side: Side {
                name: &finish.name,
                fingerprint: &finish.fingerprint,
            },
            settings: settings(recipe),
            told: told(recipe),
        })
        .collect();
    let found = effect(row, &of, &made, args.near)?;
    let report = Effected {
        asked: Asked {
            setting: &of,
            unit: &unit,
        },
        found: &found,
        other_version,
    };
    if let Some(file) = &args.out.page {
        write_whole(file, page::effect(&report).as_bytes())?;
    }
    context.answer(&report, &args.out)?;
    Ok(Exit::Done)
}

/// Finishes with their recipes; and how many with the setting were measured by another version, and so have nothing to compare.
fn finishes<'r>(
    setting: &str,
    recipes: &'r [(String, Recipe)],
    archive: &Archive,
    context: &mut Context,
) -> Result<(Vec<(Finish, &'r Recipe)>, usize)> {
    let (mut all, mut other_version) = (Vec::new(), 0);
    for (name, recipe) in recipes {
        match archive.finish_named(name) {
            Err(Error::FingerprintVersion { .. }) => {
                other_version += usize::from(settings(recipe).contains_key(setting));
            }
            other => all.extend(context.sound(other)?.map(|finish| (finish, recipe))),
        }
    }
    Ok((all, other_version))
}

/// The figures of a recipe.
fn settings(recipe: &Recipe) -> BTreeMap<String, Figure> {
    let all = recipe.settings().into_iter();
    all.map(|(name, value, unit)| (name, Figure { value, unit }))
        .collect()
}

/// What of a recipe may change the look and is said in words.
fn told(recipe: &Recipe) -> BTreeMap<Told, String> {
    let mut told = BTreeMap::from([
        (Told::Technique, recipe.technique.clone()),
        (Told::Backing, recipe.backing.clone()),
    ]);
    for (name, step) in recipe.named_steps() {
        let motion = step.motion.map_or("", |motion| motion.word());
        told.insert(Told::Motion(name.clone()), motion.to_owned());
        told.insert(Told::Dried(name), step.dried.clone());
    }
    told.retain(|_, says| !says.is_empty());
    told
}

/// The unit of a setting.
///
/// # Errors
/// No recipe says the setting, or recipes give it in several units.
fn unit(setting: &str, recipes: &[(String, Recipe)]) -> Result<String> {
    let mut known = BTreeSet::new();
    let mut units = BTreeSet::new();
    for (name, _, unit) in recipes.iter().flat_map(|(_, r)| r.settings()) {
        if name == setting {
            units.insert(unit);
        }
        known.insert(name);
    }
    if units.len() > 1 {
        return Err(Error::SettingUnits {
            setting: setting.to_owned(),
            units,
        });
    }
    units
        .into_iter()
        .next()
        .ok_or_else(|| Error::NoSuchSetting {
            setting: setting.to_owned(),
            known,
        })
}
