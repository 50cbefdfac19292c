//! What is said of how a finish was made, and asked about it.

use super::day;
use crate::archive::Recipe;

/// The first line of a card.
#[must_use]
pub fn title(finish: &str, written_at: Option<&str>) -> String {
    match written_at {
        Some(at) => format!("How `{finish}` was made, written down on {}.", day(at)),
        None => format!("How `{finish}` was made is not written down yet."),
    }
}

/// How to begin.
pub const BEGIN: &str =
    "Write it down: paneprint recipe NAME --step \"YOUR WORD, 140 s\", or with --ask.";

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

/// What of an earlier one was taken over.
#[must_use]
pub fn taken_over(what: &[&str]) -> Option<String> {
    (!what.is_empty()).then(|| format!("As before: {}.", super::list(what)))
}

/// What can be taken over.
pub const PARTS: [&str; 4] = ["technique", "steps", "backing", "change"];

/// What an earlier one said that the one in its place does not say any more.
#[must_use]
pub fn no_longer(before: &Recipe, now: &Recipe) -> Vec<String> {
    let says = |r: &Recipe| {
        [
            !r.technique.is_empty(),
            !r.steps.is_empty(),
            !r.backing.is_empty(),
            !r.change.is_empty(),
        ]
    };
    let (said_before, said_now) = (says(before), says(now));
    let gone: Vec<&str> = (0..PARTS.len())
        .filter(|i| said_before[*i] && !said_now[*i])
        .map(|i| PARTS[i])
        .collect();
    let mut said = Vec::new();
    if !gone.is_empty() {
        said.push(format!("No longer said: {}.", super::list(&gone)));
    }
    let mut still: Vec<_> = now.steps.iter().collect();
    let mut stands = |step| {
        let at = still.iter().position(|s| *s == step);
        at.map(|at| still.swap_remove(at)).is_some()
    };
    let all_stand = before.steps.iter().all(&mut stands);
    if !all_stand && !now.steps.is_empty() {
        let earlier: Vec<String> = before.steps.iter().map(|step| step.line()).collect();
        said.push(format!(
            "In place of the earlier steps: {}.",
            earlier.join("; ")
        ));
    }
    said
}

/// It was written down.
#[must_use]
pub fn kept(finish: &str) -> String {
    format!("Written down beside `{finish}`.")
}

/// It says that already.
pub const UNCHANGED: &str = "Nothing was written: it says that already.";

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

/// When the finish was kept, and as what.
#[must_use]
pub fn kept_on(kept_at: &str, photo: &str, approved_at: Option<&str>) -> String {
    let approved = approved_at.map_or_else(String::new, |at| format!(", approved on {}", day(at)));
    format!("Kept on {} from {photo}{approved}.", day(kept_at))
}

/// How far it is worn.
#[must_use]
pub fn worn(aggressiveness: f64) -> String {
    format!("Aggressiveness {aggressiveness:.1}.")
}

/// Before the questions.
pub const ASKING: &str =
    "A few questions about how it was made. Enter leaves a line out, or as it was.";

/// Questions.
pub const ASK_TECHNIQUE: &str = "Technique, in your own words";
/// For the backing.
pub const ASK_BACKING: &str = "What the back was painted or covered with";
/// For next time.
pub const ASK_CHANGE: &str = "What you would change next time";

/// For a step.
#[must_use]
pub fn ask_step(number: usize) -> String {
    if number == 1 {
        "Step 1: your word for it, then what you like with commas between (30 ml, 140 s, 21 C, rocked or still, dried how)".to_owned()
    } else {
        format!("Step {number} (Enter: no more steps)")
    }
}

/// What stands there already.
#[must_use]
pub fn as_it_was(question: &str, before: &str) -> String {
    if before.is_empty() {
        format!("{question}:")
    } else {
        format!("{question} [{before}]:")
    }
}

/// A step that was typed cannot be read, and is asked again.
#[must_use]
pub fn again(why: &str) -> String {
    format!("{why}. Once more:")
}

/// Names on the page.
pub const TECHNIQUE: &str = "Technique";
/// The backing.
pub const BACKING: &str = "Backing";
/// Next time.
pub const CHANGE: &str = "Next time";
/// A step.
pub const STEPS: &str = "Steps";
