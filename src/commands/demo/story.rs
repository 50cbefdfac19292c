//! The story: its chapters, and the lines that are typed in each.

use std::path::{Path, PathBuf};

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

/// What is said of a line.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Said {
    /// It, and its answer in words.
    Answer,
    /// It alone.
    Line,
    /// Nothing: it only makes ready.
    Nothing,
}

/// A line that is typed.
pub(super) struct Line {
    /// Its words, without the program's name.
    pub(super) words: Vec<String>,
    /// What is said of it.
    pub(super) said: Said,
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

    fn in_folder(&self, name: PathBuf) -> String {
        self.folder.join(name).to_string_lossy().into_owned()
    }

    fn page(&self, name: &str) -> [String; 2] {
        [
            "--page".to_owned(),
            self.in_folder(format!("{name}.html").into()),
        ]
    }

    fn picture(&self, name: &str) -> [String; 2] {
        let file = PathBuf::from(name).with_extension("png");
        ["--picture".to_owned(), self.in_folder(file)]
    }

    /// A photo kept as what it shows, with the picture of what was counted.
    fn keep(&self, photo: &str, name: &str) -> Vec<String> {
        let counted = photo.replace(".jpg", ".counted.png");
        let words = ["keep", &self.photo(photo), "--name", name, "--rig", RIG];
        let picture = ["--picture".to_owned(), self.in_folder(counted.into())];
        words
            .map(str::to_owned)
            .into_iter()
            .chain(picture)
            .collect()
    }
}

/// A line of words and what follows them.
fn line<const N: usize>(
    said: Said,
    words: [&str; N],
    more: impl IntoIterator<Item = String>,
) -> Line {
    let words = words.map(str::to_owned).into_iter();
    Line {
        words: words.chain(more).collect(),
        said,
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
        said: Said::Nothing,
    });
    let matched = kept.map(|panel| {
        let page = typist.page(&format!("match-{panel}"));
        line(Said::Answer, ["match", panel, "--to", SIGNED], page)
    });
    let steps = light_to_heavy().map(|(panel, (step, _))| format!("{step}={panel}"));
    let recipes = light_to_heavy().map(|(panel, (_, seconds))| {
        let step = format!("attack, {seconds} s, 21 C, rocked");
        line(Said::Line, ["recipe", panel, "--step"], [step])
    });
    let again = [SAMPLE, AGAIN[0], AGAIN[1]].map(|photo| typist.photo(photo));
    vec![
        Chapter {
            heading: "A plain mirror in the panel's place teaches the program the light of this bench.",
            lines: vec![line(
                Said::Line,
                ["rig", "make", RIG, "--plain", &plain],
                [],
            )],
        },
        Chapter {
            heading: "A first photo of the signed sample: is it good enough to judge by? Only its size is given.",
            lines: vec![line(
                Said::Answer,
                ["check", &first, "--rig", RIG],
                typist.page("check"),
            )],
        },
        Chapter {
            heading: "Taken again, it is measured, kept and approved as a finish that varies slightly.",
            lines: vec![
                Line {
                    words: (typist.keep(SAMPLE, SIGNED).into_iter())
                        .chain(typist.page("reading"))
                        .collect(),
                    said: Said::Answer,
                },
                line(Said::Answer, ["approve", SIGNED, "--variety", "slight"], []),
            ],
        },
        Chapter {
            heading: "What can a sample of this size promise for the panels?",
            lines: vec![line(
                Said::Answer,
                ["promise", SIGNED, "--size", &size],
                typist.page("promise"),
            )],
        },
        Chapter {
            heading: "Three panels made after it are matched, before their backs are painted.",
            lines: keep_panels.into_iter().chain(matched).collect(),
        },
        Chapter {
            heading: "The three as the studio's own ladder, and where the sample stands on it.",
            lines: vec![
                line(Said::Line, ["ladder", "make", LADDER], steps),
                line(
                    Said::Answer,
                    ["ladder", "place", SIGNED, "--on", LADDER],
                    typist.page("ladder"),
                ),
            ],
        },
        Chapter {
            heading: "The three as a set: which must go, and in which order would they hang?",
            lines: vec![line(
                Said::Answer,
                ["set", kept[0], kept[1], kept[2], "--to", SIGNED],
                typist
                    .picture("wall")
                    .into_iter()
                    .chain(typist.page("wall")),
            )],
        },
        Chapter {
            heading: "Which finishes look like the sample, how were they made, and what did it do?",
            lines: vec![line(
                Said::Line,
                ["find", SIGNED, "--most", "3"],
                typist.page("nearest"),
            )]
            .into_iter()
            .chain(recipes)
            .chain([
                line(
                    Said::Line,
                    ["recipe", kept[0], "--show"],
                    typist.page("recipe"),
                ),
                line(
                    Said::Line,
                    ["effect", "aggressiveness", "--of", "attack seconds"],
                    typist.page("effect"),
                ),
            ])
            .collect(),
        },
        Chapter {
            heading: "What this bench repeats, and the page that the client signs.",
            lines: vec![
                line(
                    Said::Line,
                    ["rig", "study", RIG, "--panel"],
                    again.into_iter().chain(typist.page("rig-study")),
                ),
                line(
                    Said::Line,
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
                    typist.page("sign-off"),
                ),
            ],
        },
    ]
}
