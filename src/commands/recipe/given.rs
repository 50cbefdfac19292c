//! A recipe as it is given: in options, in a small text file, or as answers.

use std::fs::File;
use std::io::{ErrorKind, IsTerminal, Read};
use std::path::Path;

use super::super::context::Context;
use super::{Args, ask, parts};
use crate::archive::Recipe;
use crate::error::{Error, Result};
use crate::words::list;

/// Largest file, bytes: a hundred times an honest one.
const MOST: u64 = 1 << 20;

/// What is to be written down, its date still to come; nothing where it is only to be shown.
pub(super) fn given(
    args: &Args,
    before: Option<&Recipe>,
    context: &mut Context,
) -> Result<Option<Recipe>> {
    if let Some(path) = &args.file {
        return read(path).map(Some);
    }
    let texts = [&args.technique, &args.backing, &args.change];
    if !args.steps.is_empty() || texts.iter().any(|text| text.is_some()) {
        return typed(args, before, context).map(Some);
    }
    let shown = args.show || args.out.json || args.out.csv.is_some() || args.out.wants_page();
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
fn typed(args: &Args, before: Option<&Recipe>, context: &mut Context) -> Result<Recipe> {
    let mut recipe = before.cloned().unwrap_or_default();
    for (given, place) in [
        (&args.technique, &mut recipe.technique),
        (&args.backing, &mut recipe.backing),
        (&args.change, &mut recipe.change),
    ] {
        if let Some(text) = given {
            *place = Recipe::tidy(text);
        }
    }
    if !args.steps.is_empty() {
        let step = |(i, text): (usize, &String)| {
            text.parse().map_err(|why| Error::RecipeUnread {
                place: format!("--step {}", i + 1),
                why,
            })
        };
        let steps = args.steps.iter().enumerate().map(step);
        recipe.steps = steps.collect::<Result<_>>()?;
    }
    let anew = [
        args.technique.is_some(),
        !args.steps.is_empty(),
        args.backing.is_some(),
        args.change.is_some(),
    ];
    let parts = parts(&recipe).into_iter().zip(anew);
    let as_before = parts.filter(|((_, said), anew)| *said && !anew);
    let as_before: Vec<&str> = as_before.map(|((part, _), _)| part).collect();
    if !as_before.is_empty() {
        context.note(&format!("As before: {}.", list(&as_before)));
    }
    Ok(recipe)
}

fn read(path: &Path) -> Result<Recipe> {
    let unfit = |found: String| Error::RecipeFile {
        path: path.to_owned(),
        found,
    };
    let mut bytes = Vec::new();
    File::open(path)
        .and_then(|file| file.take(MOST + 1).read_to_end(&mut bytes))
        .map_err(|source| match source.kind() {
            ErrorKind::NotFound => unfit("no such file".to_owned()),
            ErrorKind::IsADirectory => unfit("a folder".to_owned()),
            _ => unfit(source.to_string()),
        })?;
    if bytes.len() as u64 > MOST {
        return Err(unfit("more than that".to_owned()));
    }
    let text = String::from_utf8(bytes).map_err(|_| unfit("no text in UTF-8".to_owned()))?;
    Recipe::from_text(&text).map_err(|unread| Error::RecipeUnread {
        place: format!("{}, line {}", path.display(), unread.line),
        why: unread.why,
    })
}
