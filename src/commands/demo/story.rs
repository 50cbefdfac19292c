//! The story: its chapters, and the lines that are typed in each.

use std::path::Path;

use super::scenes::{AGAIN, FIRST_TRY, LIGHT_TO_HEAVY, PANEL_SIZE, PANELS, PLAIN, SAMPLE};

/// What the demo's rig, its sample and its ladder are called.
const RIG: &str = "bench corner";
const SIGNED: &str = "alcove sample";
const LADDER: &str = "alcove steps";

/// The studio's own steps from light to heavy, and for how long the panels were attacked, seconds.
const STEPS: [(&str, u32); 3] = [("little", 40), ("usual", 90), ("much", 150)];

/// A chapter.
pub(super) struct Chapter {
    /// What it is about.
    pub(super) heading: &'static str,
    /// What is typed.
    pub(super) lines: Vec<Line>,
}

/// A line that is typed.
pub(super) struct Line {
    /// Its words, without the program's name.
    pub(super) words: Vec<String>,
    /// Its answer is told.
    pub(super) answered: bool,
}

impl Line {
    /// As it would be typed.
    pub(super) fn shown(&self) -> String {
        let word = |word: &String| {
            if word.contains([' ', ',']) {
                format!("\"{word}\"")
            } else {
                word.clone()
            }
        };
        let words: Vec<String> = self.words.iter().map(word).collect();
        format!("paneprint {}", words.join(" "))
    }
}

/// Makes the lines, of words and of options for what lies in the folders.
struct Typist<'a> {
    photos: &'a Path,
    folder: &'a Path,
}

impl Typist<'_> {
    fn photo(&self, name: &str) -> String {
        self.photos.join(name).to_string_lossy().into_owned()
    }

    /// An option for a file in the folder.
    fn to(&self, option: &str, name: &str) -> [String; 2] {
        let file = self.folder.join(name);
        [option.to_owned(), file.to_string_lossy().into_owned()]
    }

    /// A photo kept as what it shows, with the picture of what was counted.
    fn keep(&self, photo: &str, name: &str) -> Vec<String> {
        let words = ["keep", &self.photo(photo), "--name", name, "--rig", RIG];
        let counted = self.to("--picture", &photo.replace(".jpg", ".counted.png"));
        let words = words.map(str::to_owned).into_iter();
        words.chain(counted).collect()
    }
}

/// A line whose answer is told, of words and what follows them.
fn answered<const N: usize>(words: [&str; N], more: impl IntoIterator<Item = String>) -> Line {
    let words = words.map(str::to_owned).into_iter();
    Line {
        words: words.chain(more).collect(),
        answered: true,
    }
}

/// A line alone.
fn line<const N: usize>(words: [&str; N], more: impl IntoIterator<Item = String>) -> Line {
    Line {
        answered: false,
        ..answered(words, more)
    }
}

/// What the finish of a photo is kept as.
fn kept_name(photo: &str) -> &str {
    photo.trim_end_matches(".jpg")
}

/// The whole story on the photos of a folder; what it writes goes into another.
pub(super) fn chapters(photos: &Path, folder: &Path) -> Vec<Chapter> {
    let typist = Typist { photos, folder };
    let kept = PANELS.map(kept_name);
    let size = format!("{:.0}x{:.0}mm", PANEL_SIZE.width, PANEL_SIZE.height);
    let light_to_heavy = || LIGHT_TO_HEAVY.into_iter().map(|i| kept[i]).zip(STEPS);
    let plain = typist.photo(PLAIN);
    let first = typist.photo(FIRST_TRY);
    let keep_panels = PANELS.map(|photo| Line {
        words: typist.keep(photo, kept_name(photo)),
        answered: false,
    });
    let matched = kept.map(|panel| {
        let page = typist.to("--page", &format!("match-{panel}.html"));
        answered(["match", panel, "--to", SIGNED], page)
    });
    let steps = light_to_heavy().map(|(panel, (step, _))| format!("{step}={panel}"));
    let recipes = light_to_heavy().map(|(panel, (_, seconds))| {
        let step = format!("attack, {seconds} s, 21 C, rocked");
        line(["recipe", panel, "--step"], [step])
    });
    let again = [SAMPLE, AGAIN[0], AGAIN[1]].map(|photo| typist.photo(photo));
    vec![
        Chapter {
            heading: "A plain mirror in the panel's place teaches the program the light of this bench.",
            lines: vec![line(["rig", "make", RIG, "--plain", &plain], [])],
        },
        Chapter {
            heading: "A first photo of the signed sample: is it good enough to judge by? Only its size is given.",
            lines: vec![answered(
                ["check", &first, "--rig", RIG],
                typist.to("--page", "check.html"),
            )],
        },
        Chapter {
            heading: "Taken again, it is measured, kept and approved as a finish that varies slightly.",
            lines: vec![
                Line {
                    words: (typist.keep(SAMPLE, SIGNED).into_iter())
                        .chain(typist.to("--page", "reading.html"))
                        .collect(),
                    answered: true,
                },
                answered(["approve", SIGNED, "--variety", "slight"], []),
            ],
        },
        Chapter {
            heading: "What can a sample of this size promise for the panels?",
            lines: vec![answered(
                ["promise", SIGNED, "--size", &size],
                typist.to("--page", "promise.html"),
            )],
        },
        Chapter {
            heading: "Three panels made after it are matched, before their backs are painted.",
            lines: keep_panels.into_iter().chain(matched).collect(),
        },
        Chapter {
            heading: "The three as the studio's own ladder, and where the sample stands on it.",
            lines: vec![
                line(["ladder", "make", LADDER], steps),
                answered(
                    ["ladder", "place", SIGNED, "--on", LADDER],
                    typist.to("--page", "ladder.html"),
                ),
            ],
        },
        Chapter {
            heading: "The three as a set: which must go, and in which order would they hang?",
            lines: vec![answered(
                ["set", kept[0], kept[1], kept[2], "--to", SIGNED],
                typist
                    .to("--picture", "wall.png")
                    .into_iter()
                    .chain(typist.to("--page", "wall.html")),
            )],
        },
        Chapter {
            heading: "Which finishes look like the sample, how were they made, and what did it do?",
            lines: vec![line(
                ["find", SIGNED, "--most", "3"],
                typist.to("--page", "nearest.html"),
            )]
            .into_iter()
            .chain(recipes)
            .chain([
                line(
                    ["recipe", kept[0], "--show"],
                    typist.to("--page", "recipe.html"),
                ),
                line(
                    ["effect", "aggressiveness", "--of", "attack seconds"],
                    typist.to("--page", "effect.html"),
                ),
            ])
            .collect(),
        },
        Chapter {
            heading: "What this bench repeats, and the page that the client signs.",
            lines: vec![
                line(
                    ["rig", "study", RIG, "--panel"],
                    again
                        .into_iter()
                        .chain(typist.to("--page", "rig-study.html")),
                ),
                line(
                    [
                        "sheet",
                        "--for",
                        SIGNED,
                        "--job",
                        "three panels for an alcove",
                        "--room",
                        "sitting room, away from windows",
                        "--panels",
                        "3 of 400 x 300 mm, 1 spare",
                        "--level",
                        "medium",
                        "--fixed",
                        "black backing, streaks rising to the right",
                        "--may-vary",
                        "number and place of specks",
                        "--glass",
                        "4 mm float, edges ground",
                        "--viewed-from",
                        "2m",
                    ],
                    typist.to("--page", "sign-off.html"),
                ),
            ],
        },
    ]
}
