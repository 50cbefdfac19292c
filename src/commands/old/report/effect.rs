//! The effect of a setting: in words, as a table, as JSON.

use comfy_table::Table;
use serde_json::{Value, json};

use super::Report;
use super::cautions::{self, Work};
use super::json::{SCHEMA, figure, rounded};
use super::text::{plain_table, right_align};
use super::words::effect as words;
use crate::compare::effect::{Also, Found};
use crate::stats::effect::Effect;

pub use words::Asked;

/// Places at which the curve is told, and at which the terminal shows it.
const PLACES: usize = 25;
const ROWS: usize = 5;

/// Decimals of a setting.
const SETTING_DECIMALS: i32 = 4;

/// An effect with what was asked about.
pub struct Effected<'a> {
    /// The setting.
    pub asked: Asked<'a>,
    /// What was found.
    pub found: &'a Found,
    /// Panels with the setting that another version of the measures read.
    pub other_version: usize,
}

impl Effected<'_> {
    /// The answer without its cautions.
    #[must_use]
    pub fn answer(&self) -> Vec<String> {
        words::words(&self.asked, self.found, self.other_version)
    }

    /// The cautions beside work by it.
    #[must_use]
    pub fn cautions(&self) -> Vec<&'static str> {
        cautions::of_all(&[Work::GoFurther, Work::Mix])
    }

    /// Settings spread evenly over those that were tried.
    #[must_use]
    pub fn places(effect: &Effect) -> Vec<f64> {
        spread(effect, PLACES)
    }

    /// The curve at a few settings; what could be chance is not told as if it were known.
    fn expected(&self) -> Option<Table> {
        let row = self.found.metric;
        let effect = self.found.effect.as_ref().ok().filter(|e| e.is_real())?;
        let figure = |v: f64| {
            let figure = row.format(v.clamp(row.range.0, row.range.1));
            format!("{figure} {}", row.unit).trim_end().to_owned()
        };
        let mut table = plain_table();
        let [value, from, to] = words::expected(row.title);
        table.set_header([self.asked.setting.to_owned(), value, from, to]);
        for place in spread(effect, ROWS) {
            let at = effect.at(place)?;
            let figures = [at.curve.value, at.panel.low, at.panel.high].map(figure);
            table.add_row(std::iter::once(self.asked.write(place)).chain(figures));
        }
        right_align(&mut table, 0..4);
        Some(table)
    }
}

/// So many settings from the least to the greatest that was tried.
fn spread(effect: &Effect, count: usize) -> Vec<f64> {
    let [least, most] = effect.tried;
    let share = |i: usize| i as f64 / (count - 1) as f64;
    (0..count)
        .map(|i| (least + (most - least) * share(i)).clamp(least, most))
        .collect()
}

impl Report for Effected<'_> {
    fn words(&self) -> Vec<String> {
        let mut said = self.answer();
        said.extend(cautions::below(&self.cautions()));
        said
    }

    fn table(&self) -> Option<Table> {
        let row = self.found.metric;
        let mut table = plain_table();
        table.set_header(["panel", self.asked.setting, row.title]);
        for p in &self.found.points {
            table.add_row([
                p.name.clone(),
                self.asked.write(p.setting),
                row.format(p.measure),
            ]);
        }
        right_align(&mut table, 1..3);
        Some(table)
    }

    /// How each shape fared.
    fn notes(&self) -> Vec<String> {
        let row = self.found.metric;
        let Ok(effect) = &self.found.effect else {
            return Vec::new();
        };
        let trial = |t: &crate::stats::effect::Trial| {
            let fared = match t.miss {
                Ok(miss) => words::misses(&format!("{miss:.*}", row.decimals + 1)),
                Err(why) => words::unseen(why),
            };
            let chosen = t.shape == effect.shape;
            words::fared(t.shape, &fared, chosen)
        };
        effect.trials.iter().map(trial).collect()
    }

    fn json(&self) -> Value {
        let found = self.found;
        let row = found.metric;
        let setting = |v: f64| rounded(v, SETTING_DECIMALS);
        let panels: Vec<Value> = found
            .points
            .iter()
            .map(|p| {
                json!({
                    "panel": p.name,
                    "setting": setting(p.setting),
                    "measure": figure(row, p.measure),
                })
            })
            .collect();
        let near = found.near.map(|(wanted, answer)| {
            let answer = answer.ok();
            json!({
                "wanted": figure(row, wanted),
                "setting": answer.map(|s| setting(s.value)),
                "low": answer.map(|s| setting(s.low)),
                "high": answer.map(|s| setting(s.high)),
                "measure": answer.map(|s| figure(row, s.measure)),
            })
        });
        let effect = found.effect.as_ref().ok();
        let curve: Option<Vec<Value>> = effect.map(|effect| {
            let at = |place: f64| {
                let at = effect.at(place)?;
                Some(json!({
                    "setting": setting(place),
                    "value": figure(row, at.curve.value),
                    "low": figure(row, at.curve.low),
                    "high": figure(row, at.curve.high),
                    "panel_low": figure(row, at.panel.low),
                    "panel_high": figure(row, at.panel.high),
                }))
            };
            Self::places(effect).into_iter().filter_map(at).collect()
        });
        let shapes: Option<Vec<Value>> = effect.map(|effect| {
            let trial = |t: &crate::stats::effect::Trial| {
                json!({"shape": words::shape_key(t.shape), "misses_by": t.miss.ok().map(|m| figure(row, m))})
            };
            effect.trials.iter().map(trial).collect()
        });
        json!({
            "schema": SCHEMA,
            "measure": row.key,
            "setting": self.asked.setting,
            "unit": self.asked.unit,
            "words": self.answer(),
            "cautions": self.cautions(),
            "enough": effect.is_some(),
            "real": effect.map(Effect::is_real),
            "chance": effect.map(|e| rounded(e.chance, 4)),
            "shape": effect.map(|e| words::shape_key(e.shape)),
            "shapes": shapes,
            "tried": effect.map(|e| e.tried.map(setting)),
            "also_changed": found.also.iter().map(Also::key).collect::<Vec<_>>(),
            "said_on_some": found.on_some.iter().map(|some| &some.name).collect::<Vec<_>>(),
            "left_out": found.left_out,
            "same_photo": found.same_photo,
            "other_version": self.other_version,
            "near": near,
            "panels": panels,
            "curve": curve,
        })
    }

    fn list(&self) -> &'static str {
        "panels"
    }

    /// With the names and units of what stands in it, for a line of a spreadsheet stands alone.
    fn csv_line(&self, panel: &Value) -> Value {
        let row = self.found.metric;
        json!({
            "panel": panel["panel"],
            "setting": self.asked.setting,
            "setting_value": panel["setting"],
            "setting_unit": self.asked.unit,
            "measure": row.key,
            "measure_value": panel["measure"],
            "measure_unit": row.unit,
        })
    }

    fn text(&self) -> String {
        let mut text = self.words();
        if let Some(table) = self.expected() {
            text.push(format!("\n{table}\n"));
            text.push(words::EXPECTED_KEY.to_owned());
        }
        text.extend(self.table().map(|table| format!("\n{table}\n")));
        text.extend(self.notes());
        text.join("\n") + "\n"
    }
}
