//! What a setting of the recipes did to a measure.

use std::collections::{BTreeMap, BTreeSet};

use super::Studio;
use crate::archive::Recipe;
use crate::compare::Side;
use crate::compare::effect::{Asked, Figure, Made, SettingEffect, Told, effect};
use crate::error::{Error, Result};
use crate::fingerprint::metric::Metric;
use crate::names::{folded, near_names};
use crate::stats::next::Step;
use crate::units::SizeMm;

/// How far a next piece goes beyond what was tried, by the unit of the setting: a time can be stopped halfway, what a bath holds
/// cannot, and a few degrees change much. Common practice, no source.
const STEPS: [(&str, Step); 2] = [("s", Step::Times(2.0)), ("°C", Step::By(3.0))];

/// The same of all other units.
const OTHER_STEP: Step = Step::Times(1.25);

/// What is asked.
#[derive(Debug, Clone)]
pub struct Request {
    /// The measure.
    pub measure: &'static Metric,
    /// The setting as it is typed: by the name it goes by in the recipes, or by its step alone where that has one figure only.
    pub setting: String,
    /// What the measure is wanted to be.
    pub near: Option<f64>,
    /// The size of the pieces at hand to try it on; none is as large as the panels so far.
    pub offcut: Option<SizeMm>,
}

/// What was found.
pub struct Effected {
    /// The setting, as the recipes name it.
    pub setting: String,
    /// Its unit; empty where it has none.
    pub unit: String,
    /// What the measure is wanted to be.
    pub wanted: Option<f64>,
    /// What it did.
    pub found: SettingEffect,
    /// Panels with the setting that another version of the measures read, and that so have nothing to compare.
    pub other_version: usize,
}

/// Looks at all kept panels that have recipes.
///
/// # Errors
/// The measure is a direction; no recipe says the setting, or recipes give it in several units.
pub fn ask(request: &Request, studio: &mut Studio<'_>) -> Result<Effected> {
    let archive = studio.archive()?;
    let mut recipes = Vec::new();
    for (name, recipe) in archive.recipes()? {
        recipes.extend(studio.sound(recipe)?.map(|recipe| (name, recipe)));
    }
    let (setting, unit) = setting_typed(&request.setting, &recipes)?;
    let (mut finishes, mut other_version) = (Vec::new(), 0);
    for (name, recipe) in &recipes {
        let settings = settings(recipe);
        match archive.finish_named(name) {
            Err(Error::FingerprintVersion { .. }) => {
                other_version += usize::from(settings.contains_key(&setting));
            }
            other => {
                let finish = studio.sound(other)?;
                finishes.extend(finish.map(|finish| (finish, settings, told(recipe))));
            }
        }
    }
    let made = finishes.iter().map(|(finish, settings, told)| Made {
        side: Side {
            name: &finish.name,
            fingerprint: &finish.fingerprint,
        },
        settings: settings.clone(),
        told: told.clone(),
    });
    let step = STEPS.iter().find(|(of, _)| *of == unit);
    let asked = Asked {
        setting: &setting,
        step: step.map_or(OTHER_STEP, |(_, step)| *step),
        near: request.near,
        offcut: request.offcut,
    };
    let found = effect(request.measure, &asked, &made.collect::<Vec<_>>())?;
    Ok(Effected {
        setting,
        unit,
        wanted: request.near,
        found,
        other_version,
    })
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

/// The setting that was typed, and its unit.
fn setting_typed(typed: &str, recipes: &[(String, Recipe)]) -> Result<(String, String)> {
    let mut known: BTreeMap<String, BTreeSet<String>> = BTreeMap::new();
    for (name, _, unit) in recipes.iter().flat_map(|(_, r)| r.settings()) {
        known.entry(name).or_default().insert(unit);
    }
    let asked = folded(typed);
    let called: Vec<&String> = known.keys().filter(|name| folded(name) == asked).collect();
    let of_step: Vec<&String> = known
        .keys()
        .filter(|name| {
            folded(name)
                .rsplit_once(' ')
                .is_some_and(|(step, _)| step == asked)
        })
        .collect();
    let exact = known
        .keys()
        .find(|name| **name == typed.trim().to_lowercase());
    let found = match (exact, called.as_slice(), of_step.as_slice()) {
        (Some(name), ..) => name.clone(),
        (None, [name], _) | (None, [], [name]) => (*name).clone(),
        _ => {
            let near = if of_step.is_empty() {
                near_names(typed, known.keys().map(String::as_str))
            } else {
                of_step.into_iter().cloned().collect()
            };
            return Err(Error::NoSuchSetting {
                setting: typed.to_owned(),
                near,
                known: known.into_keys().collect(),
            });
        }
    };
    let mut units = known.remove(&found).unwrap_or_default();
    if units.len() > 1 {
        return Err(Error::SettingUnits {
            setting: found,
            units,
        });
    }
    Ok((found, units.pop_first().unwrap_or_default()))
}
