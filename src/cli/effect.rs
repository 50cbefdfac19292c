//! `effect`: what a setting of the recipes did to a measure.

use std::collections::{BTreeMap, BTreeSet};

use super::args::EffectArgs;
use super::context::Context;
use super::exit::Exit;
use super::whole_file::write_whole;
use crate::archive::{Archive, Finish, Recipe};
use crate::compare::Side;
use crate::compare::effect::{Made, effect};
use crate::error::{Error, Result};
use crate::fingerprint::metric::{METRICS, metric};
use crate::report::effect::Asked;
use crate::report::{Effected, page};

pub(super) fn run(args: &EffectArgs, context: &mut Context) -> Result<Exit> {
    let row = metric(args.measure.trim()).ok_or_else(|| Error::NoSuchMeasure {
        given: args.measure.clone(),
        known: METRICS.map(|m| m.key).join(", "),
    })?;
    let archive = context.archive()?;
    let mut recipes = Vec::new();
    for (name, recipe) in archive.recipes()? {
        recipes.extend(context.sound(recipe)?.map(|recipe| (name, recipe)));
    }
    let of = args.of.trim().to_lowercase();
    let with: Vec<(Finish, BTreeMap<String, f64>)> = made(&recipes, &archive, context)?;
    let made: Vec<Made<'_>> = with
        .iter()
        .map(|(finish, settings)| Made {
            side: Side {
                name: &finish.name,
                fingerprint: &finish.fingerprint,
            },
            settings: settings.clone(),
        })
        .collect();
    let unit = unit(&of, &recipes)?;
    let found = effect(row, &of, &made, args.near)?;
    let report = Effected {
        asked: Asked {
            setting: &of,
            unit: &unit,
        },
        found: &found,
    };
    if let Some(file) = &args.out.page {
        write_whole(file, page::effect(&report).as_bytes())?;
    }
    context.answer(&report, &args.out)?;
    Ok(Exit::Done)
}

/// Finishes with a recipe, and its settings. One of another version of the measures has nothing to compare.
fn made(
    recipes: &[(String, Recipe)],
    archive: &Archive,
    context: &mut Context,
) -> Result<Vec<(Finish, BTreeMap<String, f64>)>> {
    let mut all = Vec::new();
    for (name, recipe) in recipes {
        let finish = match archive.finish_named(name) {
            Err(Error::FingerprintVersion { .. }) => continue,
            other => context.sound(other)?,
        };
        all.extend(finish.map(|finish| (finish, recipe.settings().into_iter().collect())));
    }
    Ok(all)
}

/// The unit of a setting.
///
/// # Errors
/// Recipes give it in several.
fn unit(setting: &str, recipes: &[(String, Recipe)]) -> Result<String> {
    let all = recipes
        .iter()
        .flat_map(|(_, recipe)| recipe.settings_with_units());
    let units: BTreeSet<String> = all
        .filter(|(name, _, _)| name == setting)
        .map(|(_, _, unit)| unit)
        .collect();
    if units.len() > 1 {
        return Err(Error::SettingUnits {
            setting: setting.to_owned(),
            units,
        });
    }
    Ok(units.into_iter().next().unwrap_or_default())
}
