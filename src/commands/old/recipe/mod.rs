//! `recipe`: how a kept finish was made, written down or shown.

mod ask;
mod file;

use std::io::IsTerminal;

use super::args::RecipeArgs;
use super::context::Context;
use super::exit::Exit;
use super::pictured;
use super::whole_file::write_whole;
use crate::archive::{Archive, Recipe};
use crate::error::{Error, Result};
use crate::words::recipe as words;
use crate::report::{RecipeCard, page};

pub(super) fn run(args: &RecipeArgs, context: &mut Context) -> Result<Exit> {
    let mut archive = context.archive()?;
    let mut recipes = Vec::new();
    for recipe in archive.recipes_of(&args.name)? {
        recipes.extend(context.sound(recipe)?);
    }
    let before = recipes.last();
    if let Some(recipe) = given(args, before, context)? {
        recipes.extend(write(&args.name, recipe, before, &mut archive, context)?);
    }
    show(args, &recipes, &archive, context)?;
    Ok(Exit::Done)
}

/// Writes a recipe down and gives it back, unless it says what is written already. What is said of it stands beside the answer, so that the answer
/// alone can be read back.
fn write(
    finish: &str,
    recipe: Recipe,
    before: Option<&Recipe>,
    archive: &mut Archive,
    context: &mut Context,
) -> Result<Option<Recipe>> {
    if recipe.is_empty() {
        return Err(Error::RecipeEmpty);
    }
    let as_before = |before: &Recipe| {
        let written_at = before.written_at.clone();
        Recipe {
            written_at,
            ..recipe.clone()
        } == *before
    };
    if before.is_some_and(as_before) {
        context.note(words::UNCHANGED);
        return Ok(None);
    }
    let recipe = Recipe {
        written_at: Context::now(),
        ..recipe
    };
    archive.write_recipe(finish, &recipe)?;
    context.note(&words::kept(finish));
    for line in before.map_or_else(Vec::new, |before| words::no_longer(before, &recipe)) {
        context.note(&line);
    }
    Ok(Some(recipe))
}

/// What is to be written down, its date still to come; nothing where it is only to be shown.
fn given(
    args: &RecipeArgs,
    before: Option<&Recipe>,
    context: &mut Context,
) -> Result<Option<Recipe>> {
    if let Some(path) = &args.file {
        return file::read(path).map(Some);
    }
    let texts = [&args.technique, &args.backing, &args.change];
    if !args.steps.is_empty() || texts.iter().any(|text| text.is_some()) {
        return typed(args, before, context).map(Some);
    }
    let shown = args.show || args.out.json || args.out.csv.is_some() || args.out.page.is_some();
    let stdin = std::io::stdin();
    if args.ask || (!shown && stdin.is_terminal()) {
        let said = |line: &str| context.note(line);
        // Enter at every question of a first recipe says nothing, and nothing is written.
        let answered = ask::ask(before, &mut stdin.lock(), said)?;
        return Ok(Some(answered).filter(|recipe| before.is_some() || !recipe.is_empty()));
    }
    Ok(None)
}

/// What was typed as options. What is left out stays as it was; an empty text takes it away.
fn typed(args: &RecipeArgs, before: Option<&Recipe>, context: &mut Context) -> Result<Recipe> {
    let mut recipe = before.cloned().unwrap_or_default();
    let mut taken_over = Vec::new();
    let [technique, steps, backing, change] = words::PARTS;
    for (given, place, what) in [
        (&args.technique, &mut recipe.technique, technique),
        (&args.backing, &mut recipe.backing, backing),
        (&args.change, &mut recipe.change, change),
    ] {
        match given {
            Some(text) => *place = Recipe::tidy(text),
            None if place.is_empty() => {}
            None => taken_over.push(what),
        }
    }
    if !args.steps.is_empty() {
        recipe.steps = Vec::new();
    } else if !recipe.steps.is_empty() {
        taken_over.push(steps);
    }
    for (i, text) in args.steps.iter().enumerate() {
        let step = text.parse().map_err(|why| Error::RecipeUnread {
            place: format!("--step {}", i + 1),
            why,
        })?;
        recipe.steps.push(step);
    }
    if let Some(said) = words::taken_over(&taken_over) {
        context.note(&said);
    }
    Ok(recipe)
}

fn show(
    args: &RecipeArgs,
    recipes: &[Recipe],
    archive: &Archive,
    context: &mut Context,
) -> Result<()> {
    let listed = archive.listed_named(&args.name)?;
    let finish = match archive.finish(&args.name) {
        Err(Error::FingerprintVersion { .. }) => None,
        other => context.sound(other)?.flatten(),
    };
    let card = RecipeCard {
        finish: &listed,
        fingerprint: finish.as_ref().map(|f| &f.fingerprint),
        recipes,
    };
    if let Some(file) = &args.out.page {
        let small = pictured::small_named(&args.name, archive)?;
        write_whole(file, page::recipe(&card, &small)?.as_bytes())?;
    }
    context.answer(&card, &args.out)
}
