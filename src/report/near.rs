//! The kept finishes that look most like a panel, for the terminal and as JSON.

use serde_json::{Value, json};

use super::json::{SCHEMA, rounded};
use super::{Report, words};
use crate::archive::{Recipe, RecipeStep};

/// One of them.
pub struct Found {
    /// Its name.
    pub name: String,
    /// How far, in allowances.
    pub distance: f64,
    /// What differs, in words.
    pub differs: String,
    /// It is an approved sample.
    pub approved: bool,
    /// When it was kept.
    pub kept_at: String,
    /// What the maker wrote beside it.
    pub notes: String,
    /// How it was made, where that is written down.
    pub recipe: Option<Recipe>,
}

/// The finishes nearest to a panel.
pub struct Nearest<'a> {
    /// Name of the panel.
    pub panel: &'a str,
    /// The nearest first.
    pub found: &'a [Found],
    /// How many were looked through.
    pub searched: usize,
}

impl Nearest<'_> {
    /// The answer in one sentence.
    #[must_use]
    pub fn answer(&self) -> String {
        let nearest = self.found.first().map(|f| (f.name.as_str(), f.distance));
        words::near::verdict(self.panel, nearest, self.searched)
    }
}

impl Report for Nearest<'_> {
    fn words(&self) -> Vec<String> {
        let mut said = vec![self.answer()];
        for f in self.found {
            let one = words::near::one(&f.name, &f.kept_at, f.approved, f.distance);
            said.push(format!("\n{one}"));
            said.push(format!("  {}", f.differs));
            if !f.notes.is_empty() {
                said.push(format!("  {}", words::keeping::notes(&f.notes)));
            }
            if let Some(recipe) = &f.recipe {
                said.push(format!("  {}", words::recipe::short(recipe)));
            }
        }
        said
    }

    fn list(&self) -> &'static str {
        "near"
    }

    fn on_every_line(&self) -> &'static [(&'static str, &'static str)] {
        &[("panel", "panel")]
    }

    /// With each step of the recipe as its text.
    fn csv_line(&self, member: &Value) -> Value {
        let mut line = member.clone();
        let name = &member["name"];
        let recipe = self
            .found
            .iter()
            .find(|f| *name == f.name)
            .and_then(|f| f.recipe.as_ref());
        if let Some(recipe) = recipe {
            line["recipe"]["steps"] = recipe.steps.iter().map(RecipeStep::line).collect();
        } else if let Some(line) = line.as_object_mut() {
            line.remove("recipe");
        }
        line
    }

    fn json(&self) -> Value {
        let near: Vec<Value> = self
            .found
            .iter()
            .map(|f| {
                json!({
                    "name": f.name,
                    "distance": rounded(f.distance, 4),
                    "how_near": words::near::how_near(f.distance),
                    "words": f.differs,
                    "approved": f.approved,
                    "kept_at": f.kept_at,
                    "notes": f.notes,
                    "recipe": f.recipe,
                })
            })
            .collect();
        json!({
            "schema": SCHEMA,
            "panel": self.panel,
            "words": [self.answer()],
            "searched": self.searched,
            "near": near,
        })
    }
}
