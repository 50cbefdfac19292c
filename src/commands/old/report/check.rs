//! The answer to "is this picture good enough to judge by?": yes or no, the one thing to mend first, then the rest.

use serde::de::DeserializeOwned;
use serde_json::{Value, json};

use super::json::{SCHEMA, rounded};
use super::{Report, words};
use crate::error::Error;
use crate::fingerprint::Provenance;
use crate::frame::panel::Step;
use crate::frame::placement::Sighting;
use crate::normalize::{LAMP_MOVED, LOOKS_LIKE_MM, LampMoved};
use crate::quality::{FlagFacts, FlagSet};

/// A photo that was looked at, with the names it goes by.
pub struct Checked<'a> {
    /// What it is called to people.
    pub title: String,
    /// What it is called in JSON.
    pub photo: String,
    /// What was seen.
    pub seen: Looked<'a>,
}

/// What was seen of a photo.
#[derive(Clone, Copy)]
pub enum Looked<'a> {
    /// Enough to judge it by.
    Judged(&'a Provenance),
    /// Where the panel lies; its size is not known, so that much could not be judged.
    Sighted(&'a Sighting, &'a FlagSet),
    /// Nothing in it can be judged.
    Refused(&'a Error),
}

impl Checked<'_> {
    /// What is weak about the photo, where anything could be judged.
    fn flags(&self) -> Option<&FlagSet> {
        match self.seen {
            Looked::Judged(seen) => Some(&seen.flags),
            Looked::Sighted(_, flags) => Some(flags),
            Looked::Refused(_) => None,
        }
    }

    /// Whether it can be judged by; `None` where nothing forbids it and nobody can say.
    #[must_use]
    pub fn fit(&self) -> Option<bool> {
        match self.seen {
            Looked::Judged(seen) => Some(!seen.flags.blocks()),
            Looked::Sighted(_, flags) => flags.blocks().then_some(false),
            Looked::Refused(_) => Some(false),
        }
    }

    /// The answer, what to mend, what was found.
    #[must_use]
    pub fn answer(&self) -> Vec<String> {
        match self.seen {
            Looked::Judged(seen) => {
                let mut said = vec![words::fit(&seen.flags).to_owned()];
                said.extend(to_mend(&seen.flags));
                said.extend(looks_like(seen).map(|[w, h]| words::looks_like(w, h)));
                said.extend(lamp_moved(seen).map(words::lamp_moved));
                said.extend(words::found(&Sighting::from(&seen.placement)));
                said
            }
            Looked::Sighted(seen, flags) => {
                let [not_judged, give_size] = words::UNMEASURED;
                let fit = if flags.blocks() {
                    words::NOT_FIT
                } else {
                    not_judged
                };
                let mut said = vec![fit.to_owned()];
                said.extend(to_mend(flags));
                said.extend(words::found(seen));
                said.push(give_size.to_owned());
                said
            }
            Looked::Refused(why) => vec![
                words::NOT_FIT.to_owned(),
                format!("First: {why}. {}", why.hint()),
            ],
        }
    }
}

impl Report for Checked<'_> {
    fn words(&self) -> Vec<String> {
        let said = self.answer();
        let set_in = said.iter().map(|line| format!("  {line}"));
        std::iter::once(self.title.clone()).chain(set_in).collect()
    }

    /// `fit`, `fix_first` and every flag with its words.
    fn json(&self) -> Value {
        let first = match self.seen {
            Looked::Refused(why) => Some(
                json!({"key": null, "meaning": why.to_string(), "remedy": why.hint(), "blocks": true}),
            ),
            Looked::Judged(_) | Looked::Sighted(..) => {
                self.flags().and_then(|f| f.to_mend().next()).map(flag)
            }
        };
        let flags: Option<Vec<Value>> = self.flags().map(|f| f.facts().map(flag).collect());
        let mut object = json!({
            "schema": SCHEMA,
            "photo": self.photo,
            "fit": self.fit(),
            "fix_first": first,
            "flags": flags.unwrap_or_default(),
        });
        match self.seen {
            Looked::Judged(seen) => {
                object["placement"] = json!(seen.placement);
                if let Some(size) = looks_like(seen) {
                    object[LOOKS_LIKE_MM] = json!(size);
                }
                if let Some(lamp) = lamp_moved(seen) {
                    object[LAMP_MOVED] = json!(lamp);
                }
                object["px_per_mm"] = json!(rounded(seen.px_per_mm, 4));
                object["blur_mm"] = json!(rounded(seen.blur_mm, 4));
            }
            Looked::Sighted(seen, _) => object["placement"] = json!(seen),
            Looked::Refused(_) => {}
        }
        object
    }

    fn list(&self) -> &'static str {
        "flags"
    }

    fn on_every_line(&self) -> &'static [(&'static str, &'static str)] {
        &[("photo", "photo"), ("fit", "fit")]
    }
}

/// What to mend, the first thing first.
fn to_mend(flags: &FlagSet) -> impl Iterator<Item = String> {
    let begins = std::iter::once("First: ").chain(std::iter::repeat("Then: "));
    (begins.zip(flags.to_mend())).map(|(begin, f)| format!("{begin}{} {}", f.meaning, f.remedy))
}

/// The size the panel looks like, width and height in mm, where that is not the one that was said.
fn looks_like(seen: &Provenance) -> Option<[f64; 2]> {
    noted(seen, LOOKS_LIKE_MM)
}

/// Which lamp is no longer as it was, where patches tell.
fn lamp_moved(seen: &Provenance) -> Option<LampMoved> {
    noted(seen, LAMP_MOVED)
}

/// What a step of the reading noted under a name.
fn noted<T: DeserializeOwned>(seen: &Provenance, name: &str) -> Option<T> {
    let said = |step: &Step| serde_json::from_value(step.with.get(name)?.clone()).ok();
    seen.steps.iter().find_map(said)
}

fn flag(f: &FlagFacts) -> Value {
    json!({"key": f.key, "meaning": f.meaning, "remedy": f.remedy, "blocks": f.blocks})
}
