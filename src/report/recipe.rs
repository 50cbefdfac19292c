//! How a kept finish was made, with how it came out: as a card, as JSON. The card's text can be read back: what is not the
//! recipe itself stands behind a `#`.

use serde_json::{Map, Value, json};

use super::cautions::{Work, beside};
use super::json::{SCHEMA, figure};
use super::{Report, words};
use crate::archive::{Listed, Recipe};
use crate::fingerprint::Fingerprint;
use crate::fingerprint::metric::{AGGRESSIVENESS, COVERAGE};

/// A kept finish with everything that was written of how it was made.
#[derive(Debug, Clone, Copy)]
pub struct RecipeCard<'a> {
    /// The finish.
    pub finish: &'a Listed,
    /// Its reading; `None` where it is of another version.
    pub fingerprint: Option<&'a Fingerprint>,
    /// The recipes, the earliest first: the last one holds.
    pub recipes: &'a [Recipe],
}

impl RecipeCard<'_> {
    /// The recipe that holds, where there is one.
    #[must_use]
    pub fn recipe(&self) -> Option<&Recipe> {
        self.recipes.last()
    }

    /// The first line.
    #[must_use]
    pub fn title(&self) -> String {
        let at = self.recipe().map(|r| r.written_at.as_str());
        words::recipe::title(&self.finish.name, at)
    }

    /// When it was written before.
    #[must_use]
    pub fn before(&self) -> Option<String> {
        let (_, earlier) = self.recipes.split_last()?;
        words::recipe::earlier(earlier)
    }

    /// How the finish came out.
    #[must_use]
    pub fn look(&self) -> Vec<String> {
        let f = self.finish;
        let mut said = vec![words::recipe::kept_on(
            &f.kept_at,
            &f.photo_name,
            f.approved_at.as_deref(),
        )];
        match self.fingerprint {
            Some(fingerprint) => said.extend(words::reading(&fingerprint.measurements)),
            None => said.push(words::leaving::OTHER_VERSION.to_owned()),
        }
        said.extend(f.aggressiveness.map(words::recipe::worn));
        if !f.notes.is_empty() {
            said.extend(words::keeping::notes(&f.notes).lines().map(str::to_owned));
        }
        said
    }

    /// The cautions under it.
    #[must_use]
    pub fn cautions(&self) -> &'static [&'static str] {
        beside(Work::Mix)
    }
}

impl Report for RecipeCard<'_> {
    fn words(&self) -> Vec<String> {
        let mut said = vec![self.title()];
        match self.recipe() {
            Some(recipe) => said.extend(recipe.lines()),
            None => said.push(words::recipe::BEGIN.to_owned()),
        }
        said.extend(self.before());
        said.extend(self.look());
        said
    }

    fn notes(&self) -> Vec<String> {
        self.cautions().iter().map(|c| (*c).to_owned()).collect()
    }

    fn list(&self) -> &'static str {
        "steps"
    }

    fn on_every_line(&self) -> &'static [(&'static str, &'static str)] {
        &[
            ("finish", "finish"),
            ("technique", "technique"),
            ("backing", "backing"),
            ("change", "change"),
        ]
    }

    fn json(&self) -> Value {
        let f = self.finish;
        let recipe = self.recipe();
        let settings: Map<String, Value> = recipe
            .map(Recipe::settings)
            .unwrap_or_default()
            .into_iter()
            .map(|(name, figure, _)| (name, figure.into()))
            .collect();
        let (_, earlier) = self.recipes.split_last().unzip();
        let earlier: Vec<&String> = earlier
            .unwrap_or_default()
            .iter()
            .map(|r| &r.written_at)
            .collect();
        json!({
            "schema": SCHEMA,
            "finish": f.name,
            "written_at": recipe.map(|r| &r.written_at),
            "technique": recipe.map(|r| &r.technique),
            "steps": recipe.map_or(&[][..], |r| &r.steps),
            "backing": recipe.map(|r| &r.backing),
            "change": recipe.map(|r| &r.change),
            "settings": settings,
            "earlier": earlier,
            "kept_at": f.kept_at,
            "approved_at": f.approved_at,
            "coverage": f.coverage.map(|v| figure(&COVERAGE, v)),
            "aggressiveness": f.aggressiveness.map(|v| figure(&AGGRESSIVENESS, v)),
            "notes": f.notes,
            "words": self.look(),
            "cautions": self.cautions(),
        })
    }

    /// A text that can be read back.
    fn text(&self) -> String {
        let aside = |texts: Vec<String>| {
            let lines = |text: String| text.lines().map(|l| format!("# {l}")).collect::<Vec<_>>();
            texts.into_iter().flat_map(lines)
        };
        let mut said: Vec<String> = aside(vec![self.title()]).collect();
        match self.recipe() {
            Some(recipe) => said.extend(recipe.lines()),
            None => said.extend(aside(vec![words::recipe::BEGIN.to_owned()])),
        }
        said.extend(aside(self.before().into_iter().collect()));
        said.extend(aside(self.look()));
        said.extend(aside(self.notes()));
        said.join("\n") + "\n"
    }
}
