//! A set for the terminal and as JSON: the answer, each panel, what to remake, how to hang.

use comfy_table::Table;
use serde_json::{Map, Value, json};

use super::cautions::{self, Work};
use super::json::{SCHEMA, figure, rounded};
use super::text::plain_table;
use super::words::page::{ODD, TURNED};
use super::{Report, words};
use crate::compare::Verdict;
use crate::compare::set::{Drift, Set};
use crate::compare::wall::{Joint, Met, Wall};

/// What a report of a set is made of.
pub struct Shown<'a> {
    /// Names of the panels, in the order given.
    pub names: Vec<&'a str>,
    /// The sample that all were set beside.
    pub sample: Option<&'a str>,
    /// What was found.
    pub set: &'a Set,
    /// How they hang.
    pub wall: &'a Wall,
    /// From how far the wall is looked at, metres.
    pub viewed_from_m: f64,
}

impl Report for Shown<'_> {
    /// The answer, what is odd, what to do, what drifts, how it hangs; cautions beside what can lead to harm.
    fn words(&self) -> Vec<String> {
        let mut said = self.answer();
        said.extend(cautions::below(&self.cautions()));
        said
    }

    fn verdict(&self) -> Option<Verdict> {
        Some(self.set.verdict)
    }

    fn table(&self) -> Option<Table> {
        let mut table = plain_table();
        table.set_header(["place", "panel", "", ""]);
        for (place, hung) in self.wall.hung.iter().enumerate() {
            let (row, col) = (place / self.wall.grid.cols, place % self.wall.grid.cols);
            // The number is that of the picture.
            let place = if self.wall.grid.rows == 1 {
                format!("{}", place + 1)
            } else {
                format!("{} (row {}, {})", place + 1, row + 1, col + 1)
            };
            let turned = if hung.turned { TURNED } else { "" };
            let odd = if self.set.odd[hung.panel].is_empty() {
                ""
            } else {
                ODD
            };
            table.add_row([
                place,
                self.names[hung.panel].to_owned(),
                turned.to_owned(),
                odd.to_owned(),
            ]);
        }
        Some(table)
    }

    fn json(&self) -> Value {
        let set = self.set;
        let panels: Vec<Value> = self
            .names
            .iter()
            .enumerate()
            .map(|(i, name)| {
                let measures: Vec<Value> = set.odd[i]
                    .iter()
                    .map(|o| json!({"measure": o.metric.key, "z": rounded(o.z, 2)}))
                    .collect();
                json!({
                    "name": name,
                    "odd": !set.odd[i].is_empty(),
                    "why": self.why(i),
                    "odd_in": measures,
                    "remake": set.remakes.iter().any(|r| r.panel == i),
                    "place": self.place_of(i).map(|place| place + 1),
                    "turned": self.place_of(i).map(|place| self.wall.hung[place].turned),
                })
            })
            .collect();
        let remake: Vec<&str> = set.remakes.iter().map(|r| self.names[r.panel]).collect();
        let look_at: Vec<&str> = set.settle.iter().map(|i| self.names[*i]).collect();
        let turned = set.remakes.iter().filter(|r| r.turned);
        let further = set.remakes.iter().filter(|r| r.can_go_further());
        let drift = set.drift.as_ref().map(|all| {
            let one = |d: &Drift| json!({"measure": d.metric.key, "more": d.more, "by": figure(d.metric, d.by)});
            all.iter().map(one).collect::<Vec<Value>>()
        });
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
            "sample": self.sample,
            "words": self.answer(),
            "cautions": self.cautions(),
            "only_starting_allowances": set.only_start,
            "unsure_pairs": set.unsure_pairs,
            "pairs": set.pairs,
            "panels": panels,
            "remake": remake,
            "look_at": look_at,
            "perhaps_turned": turned.map(|r| self.names[r.panel]).collect::<Vec<_>>(),
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

    fn list(&self) -> &'static str {
        "panels"
    }
}

impl Shown<'_> {
    /// The answer, what is odd, what to do, what drifts, how it hangs.
    #[must_use]
    pub fn answer(&self) -> Vec<String> {
        let mut said = vec![words::set::verdict(self.set, &self.names, self.sample)];
        for (i, name) in self.names.iter().enumerate() {
            said.extend(self.why(i).map(|why| format!("  {name}: {why}")));
        }
        said.extend(self.remakes().0);
        said.extend(words::set::settle(self.set, &self.names));
        said.extend(words::set::open_pairs(self.set));
        said.push(words::set::drift(self.set).0);
        said.extend(words::set::variety(self.set));
        let joints: Vec<(String, Joint)> = self
            .wall
            .joints
            .iter()
            .map(|met| (self.meeting(met), met.look))
            .collect();
        if !joints.is_empty() {
            said.push(words::set::hung(&self.rows()));
            said.push(words::set::joints(&joints, self.viewed_from_m));
            said.push(words::set::order(self.wall.exact).to_owned());
        }
        if self.set.only_start {
            said.push(words::set::only_start(self.set).to_owned());
        }
        said
    }

    /// The cautions beside what it advises.
    #[must_use]
    pub fn cautions(&self) -> Vec<&'static str> {
        let mut works = self.remakes().1;
        works.extend(words::set::drift(self.set).1);
        works.push(Work::Hang);
        cautions::of_all(&works)
    }

    /// What to do, and the work it may lead to; nothing while it is too close to call.
    fn remakes(&self) -> (Vec<String>, Vec<Work>) {
        if self.set.verdict == Verdict::Unsure {
            return (Vec::new(), Vec::new());
        }
        words::set::remakes(self.set, &self.names)
    }

    /// What is wrong with a panel that is odd or must change.
    #[must_use]
    pub fn why(&self, panel: usize) -> Option<String> {
        words::set::why(self.set, panel, self.sample)
    }

    /// In which place a panel hangs, from 0.
    fn place_of(&self, panel: usize) -> Option<usize> {
        self.wall.hung.iter().position(|hung| hung.panel == panel)
    }

    /// Two panels that meet, by name.
    #[must_use]
    pub fn meeting(&self, met: &Met) -> String {
        let name = |place: usize| self.names[self.wall.hung[place].panel];
        words::set::meeting(name(met.places[0]), name(met.places[1]), met.below)
    }

    /// The names in each row as they hang, and whether each is turned.
    fn rows(&self) -> Vec<Vec<(&str, bool)>> {
        let hung = self.wall.hung.iter();
        let named: Vec<(&str, bool)> = hung.map(|h| (self.names[h.panel], h.turned)).collect();
        named
            .chunks(self.wall.grid.cols.max(1))
            .map(<[_]>::to_vec)
            .collect()
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
