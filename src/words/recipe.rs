//! What is said of how a finish was made, beside other answers.

use super::day;
use crate::archive::Recipe;

/// Those that were written before.
#[must_use]
pub fn earlier(earlier: &[Recipe]) -> Option<String> {
    let mut days: Vec<&str> = earlier.iter().map(|r| day(&r.written_at)).collect();
    days.dedup();
    let days = super::list(&days);
    match earlier.len() {
        0 => None,
        1 => Some(format!(
            "It was written before, on {days}; that one is kept too."
        )),
        n => Some(format!(
            "It was written {n} times before, on {days}; those are kept too."
        )),
    }
}

/// A recipe in a report of something else: its date, then its lines.
#[must_use]
pub fn written(recipe: &Recipe) -> Vec<String> {
    let mut said = vec![format!(
        "Recipe, written down on {}:",
        day(&recipe.written_at)
    )];
    said.extend(recipe.lines().into_iter().map(|line| format!("  {line}")));
    said
}

/// A recipe in one line.
#[must_use]
pub fn short(recipe: &Recipe) -> String {
    let steps = recipe.steps.iter().map(|step| step.line());
    let technique = Some(recipe.technique.clone()).filter(|t| !t.is_empty());
    let said: Vec<String> = technique.into_iter().chain(steps).collect();
    if said.is_empty() {
        "Recipe: no steps written down.".to_owned()
    } else {
        format!("Recipe: {}", said.join("; "))
    }
}
