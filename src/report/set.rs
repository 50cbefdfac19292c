//! A set for the terminal and as JSON: the answer, each panel, what to remake, how to hang.

use serde_json::{Map, Value, json};

use super::json::{SCHEMA, figure, rounded};
use super::text::plain_table;
use super::{cautions, words};
use crate::compare::set::Set;
use crate::compare::wall::{Joint, Wall};
use crate::compare::{Lean, Verdict};

/// What a report of a set is made of.
pub struct Shown<'a> {
    /// Names of the panels, in the order given.
    pub names: Vec<&'a str>,
    /// What was found.
    pub set: &'a Set,
    /// How they hang.
    pub wall: &'a Wall,
    /// From how far the wall is looked at, metres.
    pub viewed_from_m: f64,
}

impl Shown<'_> {
    /// The answer, what is odd, what to remake, what drifts, how it hangs.
    #[must_use]
    pub fn words(&self) -> Vec<String> {
        let mut said = vec![words::set::verdict(self.set, &self.names)];
        for (i, name) in self.names.iter().enumerate() {
            said.extend(words::set::odd(self.set, i).map(|why| format!("  {name}: {why}")));
        }
        if self.set.verdict != Verdict::Unsure {
            let (remakes, work) = words::set::remakes(self.set, &self.names);
            said.extend(remakes);
            let beside = work.map_or(&[][..], cautions::beside);
            said.extend(beside.iter().map(|c| format!("  Caution: {c}")));
        }
        said.push(words::set::drift(self.set));
        said.extend(words::set::variety(self.set));
        let joints: Vec<(String, Joint)> = self
            .wall
            .joints
            .iter()
            .map(|met| (self.between(met.places), met.look))
            .collect();
        if !joints.is_empty() {
            said.push(words::set::joints(&joints, self.viewed_from_m));
            said.push(words::set::order(self.wall.exact).to_owned());
        }
        said
    }

    /// Two panels that meet, by name.
    fn between(&self, places: [usize; 2]) -> String {
        let name = |place: usize| self.names[self.wall.hung[place].panel];
        format!("{} beside {}", name(places[0]), name(places[1]))
    }

    /// For the terminal.
    #[must_use]
    pub fn text(&self) -> String {
        let mut table = plain_table();
        table.set_header(["place", "panel", "", ""]);
        for (place, hung) in self.wall.hung.iter().enumerate() {
            let (row, col) = (place / self.wall.grid.cols, place % self.wall.grid.cols);
            let place = if self.wall.grid.rows == 1 {
                format!("{}", col + 1)
            } else {
                format!("row {}, {}", row + 1, col + 1)
            };
            let turned = if hung.turned {
                "turned upside down"
            } else {
                ""
            };
            let odd = if self.set.odd[hung.panel].is_empty() {
                ""
            } else {
                "ODD"
            };
            table.add_row([
                place,
                self.names[hung.panel].to_owned(),
                turned.to_owned(),
                odd.to_owned(),
            ]);
        }
        self.words().join("\n") + "\n\n" + &table.to_string() + "\n"
    }

    /// As a JSON object.
    #[must_use]
    pub fn json(&self) -> Value {
        let set = self.set;
        let panels: Vec<Value> = self
            .names
            .iter()
            .enumerate()
            .map(|(i, name)| {
                let measures: Vec<Value> = set.odd[i]
                    .iter()
                    .map(|o| json!({"measure": o.key, "z": rounded(o.z, 2)}))
                    .collect();
                json!({
                    "name": name,
                    "odd": !set.odd[i].is_empty(),
                    "why": words::set::odd(set, i),
                    "odd_in": measures,
                })
            })
            .collect();
        let remake: Vec<&str> = set.remakes.iter().map(|r| self.names[r.panel]).collect();
        let further = set
            .remakes
            .iter()
            .filter(|r| r.lean == Lean::Lighter && r.can_go_further);
        let drift: Vec<Value> = set
            .drift
            .iter()
            .map(|d| json!({"measure": d.metric.key, "more": d.more, "by": figure(d.metric, d.by)}))
            .collect();
        let variance: Map<String, Value> = set
            .variance
            .iter()
            .map(|v| {
                let found = json!({
                    "between_sd": figure(v.metric, v.between_sd),
                    "within_sd": figure(v.metric, v.within_sd),
                    "between_share": rounded(v.between_share, 4),
                });
                (v.metric.key.to_owned(), found)
            })
            .collect();
        json!({
            "schema": SCHEMA,
            "verdict": set.verdict,
            "words": self.words(),
            "panels": panels,
            "remake": remake,
            "can_go_further": further.map(|r| self.names[r.panel]).collect::<Vec<_>>(),
            "drift": drift,
            "variance": variance,
            "viewed_from_m": rounded(self.viewed_from_m, 3),
            "across": self.wall.grid.cols,
            "down": self.wall.grid.rows,
            "hanging": self.hanging(),
            "joints": self.joints(),
            "best_possible": self.wall.exact,
        })
    }

    fn hanging(&self) -> Vec<Value> {
        let hung = self.wall.hung.iter().enumerate();
        hung.map(|(place, hung)| {
            json!({
                "name": self.names[hung.panel],
                "turned": hung.turned,
                "row": place / self.wall.grid.cols,
                "column": place % self.wall.grid.cols,
            })
        })
        .collect()
    }

    fn joints(&self) -> Vec<Value> {
        let name = |place: usize| self.names[self.wall.hung[place].panel];
        let joints = self.wall.joints.iter();
        joints
            .map(|met| {
                json!({
                    "between": met.places.map(name),
                    "below": met.below,
                    "step": rounded(met.step, 3),
                    "look": met.look,
                })
            })
            .collect()
    }
}
