//! A recipe by a few questions. Enter leaves a line out, or as it was; the end of the input ends the questions.

use std::io::{BufRead, Read};

use crate::archive::{Recipe, RecipeStep};
use crate::error::{Error, Result};

/// Longest answer that is read, bytes.
const MOST: u64 = 1 << 16;

const TECHNIQUE: &str = "Technique, in your own words";
const FIRST_STEP: &str = "Step 1: your word for it, then what you like with commas between (30 ml, 140 s, 21 C, rocked or still, dried how)";
const BACKING: &str = "What the back was painted or covered with";
const CHANGE: &str = "What you would change next time";

/// Asks for everything, and says each question by `say`.
///
/// # Errors
/// The answers cannot be read.
pub(super) fn ask(
    before: Option<&Recipe>,
    input: &mut dyn BufRead,
    mut say: impl FnMut(&str),
) -> Result<Recipe> {
    let mut recipe = before.cloned().unwrap_or_default();
    let before: Vec<String> = recipe.steps.iter().map(RecipeStep::line).collect();
    say("A few questions about how it was made. Enter leaves a line out, or as it was.");
    one(TECHNIQUE, &mut recipe.technique, input, &mut say)?;
    let steps = steps(&before.join("; "), input, &mut say)?;
    if !steps.is_empty() {
        recipe.steps = steps;
    }
    one(BACKING, &mut recipe.backing, input, &mut say)?;
    one(CHANGE, &mut recipe.change, input, &mut say)?;
    Ok(recipe)
}

/// A line of words.
fn one(
    question: &str,
    place: &mut String,
    input: &mut dyn BufRead,
    say: &mut impl FnMut(&str),
) -> Result<()> {
    say(&as_it_was(question, place));
    let answer = answer(input)?;
    if !answer.is_empty() {
        *place = answer;
    }
    Ok(())
}

/// Steps until one is left empty; one that cannot be read is asked again.
fn steps(
    before: &str,
    input: &mut dyn BufRead,
    say: &mut impl FnMut(&str),
) -> Result<Vec<RecipeStep>> {
    let mut steps = Vec::new();
    loop {
        say(&match steps.len() {
            0 => as_it_was(FIRST_STEP, before),
            n => as_it_was(&format!("Step {} (Enter: no more steps)", n + 1), ""),
        });
        loop {
            let answer = answer(input)?;
            if answer.is_empty() {
                return Ok(steps);
            }
            match answer.parse() {
                Ok(step) => break steps.push(step),
                Err(why) => say(&format!("{why}. Once more:")),
            }
        }
    }
}

/// A question with what stands there already.
fn as_it_was(question: &str, before: &str) -> String {
    if before.is_empty() {
        format!("{question}:")
    } else {
        format!("{question} [{before}]:")
    }
}

/// The next line, or nothing where the input has ended.
fn answer(input: &mut dyn BufRead) -> Result<String> {
    let unread = |source| Error::Io {
        path: "-".into(),
        action: "read",
        source,
    };
    let mut line = Vec::new();
    input
        .take(MOST)
        .read_until(b'\n', &mut line)
        .map_err(unread)?;
    Ok(Recipe::tidy(&String::from_utf8_lossy(&line)))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn asked(before: Option<&Recipe>, answers: &str) -> (Recipe, Vec<String>) {
        let mut said = Vec::new();
        let recipe = ask(before, &mut answers.as_bytes(), |line| {
            said.push(line.to_owned());
        });
        (recipe.unwrap(), said)
    }

    #[test]
    fn a_few_answers_make_a_recipe_and_an_unread_step_is_asked_again() {
        let answers = "poured still\nattack, 140\nattack, 140 s\nrinse\n\n\nless\n";
        let (recipe, said) = asked(None, answers);
        assert_eq!(
            recipe.lines(),
            [
                "technique: poured still",
                "step: attack, 140 s",
                "step: rinse",
                "change: less"
            ]
        );
        assert!(said.iter().any(|line| line.contains("no unit")));
        assert_eq!(said.len(), 8);
    }

    #[test]
    fn enter_and_the_end_of_the_input_leave_all_as_it_was() {
        let (before, _) = asked(None, "poured\nattack, 140 s\n\nblack\nless\n");
        assert_eq!(asked(Some(&before), "\n\n\n\n").0, before);
        assert_eq!(asked(Some(&before), "").0, before);
        assert!(asked(None, "").0.is_empty());
        let (later, said) = asked(Some(&before), "\nattack, 100 s\n\n\n\n");
        assert_eq!(later.technique, "poured");
        assert_eq!(later.steps.len(), 1);
        assert_eq!(later.steps[0].line(), "attack, 100 s");
        assert!(said.iter().any(|line| line.contains("[attack, 140 s]")));
    }
}
