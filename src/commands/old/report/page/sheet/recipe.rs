//! The recipe card: how a finish was made beside how it came out.

use image::RgbImage;
use maud::{Markup, html};

use super::super::{Sheet, part, picture, say};
use crate::archive::{Recipe, RecipeStep};
use crate::error::Result;
use crate::report::RecipeCard;
use crate::words::recipe as words;

/// Long side of the picture, pixels.
const LONG_SIDE_PX: usize = 480;

/// The card as a page; `small` is the finish, small.
///
/// # Errors
/// A picture cannot be written out.
pub fn recipe(card: &RecipeCard<'_>, small: &RgbImage) -> Result<String> {
    let name = &card.finish.name;
    let figure = picture::small_figure(small, LONG_SIDE_PX, name, name)?;
    let mut said = vec![card.title()];
    said.extend(card.before());
    let sheet = Sheet {
        kind: say::RECIPE,
        about: name,
        verdict: None,
        words: &said,
        beside: html! {},
        body: html! {
            div.pair {
                (part::part(say::MADE, &made(card.recipe())))
                (part::part(say::LOOKS, &html! {
                    (figure)
                    @for line in card.look() { p { (line) } }
                }))
            }
            (part::beside(say::CAUTIONS, card.cautions()))
        },
    };
    Ok(sheet.html())
}

/// What was written, its steps numbered.
fn made(recipe: Option<&Recipe>) -> Markup {
    let Some(recipe) = recipe else {
        return html! { p { (words::BEGIN) } };
    };
    let facts = |name, says: &str| part::facts(&[(name, says.to_owned())]);
    html! {
        (facts(words::TECHNIQUE, &recipe.technique))
        @if !recipe.steps.is_empty() {
            h3 { (words::STEPS) }
            ol.steps { @for step in &recipe.steps { li { b { (step.step) } (rest(step)) } } }
        }
        (facts(words::BACKING, &recipe.backing))
        (facts(words::CHANGE, &recipe.change))
    }
}

/// What follows a step's word.
fn rest(step: &RecipeStep) -> String {
    let line = step.line();
    line.strip_prefix(&step.step).unwrap_or(&line).to_owned()
}
