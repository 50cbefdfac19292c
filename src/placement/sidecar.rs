//! The placement file beside a photo, `PHOTO.place.json`: the flags' own words in JSON.
//!
//! ```json
//! {"size": "300x200mm", "corners": [[812, 640], [3190, 655], [3175, 2240], [820, 2231]],
//!  "patches": [{"kind": "grey", "corners": [[3400, 900], [3600, 900], [3600, 1100], [3400, 1100]]}],
//!  "patch_reflectance": 0.18, "side": "front", "stage": "dry", "rig": "corner"}
//! ```
//! Corners may also be the flag's text, and a patch may be its text, such as `"mirror:3400,900,200,200"`. A grey patch may
//! have a `reflectance` of its own. For a rig, `steps` holds a card of greys: `[{"reflectance": 0.03, "corners": …}, …]`,
//! or `["0.03:3400,900,200,200", …]`.

use std::fs::File;
use std::io::{Read, Write};
use std::path::{Path, PathBuf};

use serde::{Deserialize, Serialize};

use super::given::Given;
use crate::error::{Error, Result};
use crate::frame::placement::{CardStep, Patch, Placement, Side, Sighting, Stage};
use crate::frame::quad::Quad;
use crate::units::SizeMm;

/// What some editors write before a text in UTF-8.
const BOM: &[u8] = b"\xef\xbb\xbf";

/// Larger than any honest placement file, bytes.
const MOST_BYTES: u64 = 1 << 20;

/// More patches, or steps of a card, than anybody lays beside a panel: each is looked at in the whole photo.
const MOST_PIECES: usize = 64;

/// Longer than any honest place or size in words, characters.
const MOST_TEXT: usize = 200;

/// A side past any pane's, millimetres: a longer one is said to be this long, for 300 digits tell nobody more.
const PAST_ALL_MM: f64 = 1e9;

/// As much of what is wrong as is passed on, characters.
const MOST_DETAIL: usize = 240;

/// The file's content.
#[derive(Debug, Clone, Default, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Sidecar {
    /// `WIDTHxHEIGHTmm` or `in`.
    #[serde(skip_serializing_if = "Option::is_none")]
    size: Option<SizeText>,
    /// Four corners, pixels.
    #[serde(skip_serializing_if = "Option::is_none")]
    corners: Option<TextOr<Quad>>,
    /// Patches.
    #[serde(default, alias = "patch")]
    patches: Vec<TextOr<Patch>>,
    /// Steps of a card of greys.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    steps: Vec<TextOr<CardStep>>,
    /// Reflectance of the grey patches.
    #[serde(skip_serializing_if = "Option::is_none", alias = "patch-reflectance")]
    patch_reflectance: Option<f64>,
    /// `front` or `back`.
    #[serde(skip_serializing_if = "Option::is_none")]
    side: Option<Side>,
    /// `wet`, `dry` or `backed`.
    #[serde(skip_serializing_if = "Option::is_none")]
    stage: Option<Stage>,
    /// Name of the rig that the photo was taken in.
    #[serde(skip_serializing_if = "Option::is_none")]
    rig: Option<String>,
}

/// A size as its flag's text or as the two sides in millimetres.
#[derive(Debug, Clone, Serialize, Deserialize)]
#[serde(untagged, expecting = "expected a size such as \"600x400mm\"")]
enum SizeText {
    Text(String),
    Sides(SizeMm),
}

impl SizeText {
    fn from_size(size: SizeMm) -> Self {
        SizeText::Text(format!("{}x{}mm", size.width, size.height))
    }
}

/// A value, or the text of its flag.
#[derive(Debug, Clone, Serialize, Deserialize)]
#[serde(
    untagged,
    expecting = "expected four corners such as [[12, 10], [90, 12], [88, 70], [10, 69]], a patch such as \"grey:95,30,20,20\", or a step such as \"0.18:95,30,20,20\""
)]
enum TextOr<T> {
    Text(String),
    Value(T),
}

impl<T: std::str::FromStr> TextOr<T>
where
    T::Err: std::fmt::Display,
{
    fn read(self) -> Result<T, String> {
        match self {
            TextOr::Value(value) => Ok(value),
            TextOr::Text(text) => parsed(&text),
        }
    }
}

/// What a text says, where it is no longer than anything honest.
fn parsed<T: std::str::FromStr>(text: &str) -> Result<T, String>
where
    T::Err: std::fmt::Display,
{
    let length = text.chars().count();
    if length > MOST_TEXT {
        return Err(format!("a text in it has {length} characters"));
    }
    text.parse().map_err(|e: T::Err| e.to_string())
}

/// What is said of each of a few pieces.
fn few<T: std::str::FromStr>(pieces: Vec<TextOr<T>>, what: &str) -> Result<Vec<T>, String>
where
    T::Err: std::fmt::Display,
{
    if pieces.len() > MOST_PIECES {
        let found = pieces.len();
        return Err(format!(
            "it names {found} {what}; at most {MOST_PIECES} are read"
        ));
    }
    pieces.into_iter().map(TextOr::read).collect()
}

/// What the placement file's name has after the photo's whole name.
pub const SIDECAR_ENDING: &str = ".place.json";

/// Where the placement file of a photo lies: its whole name with [`SIDECAR_ENDING`] added.
#[must_use]
pub fn sidecar_path(photo: &Path) -> PathBuf {
    let mut name = photo.as_os_str().to_owned();
    name.push(SIDECAR_ENDING);
    PathBuf::from(name)
}

impl Sidecar {
    /// A file that says the size alone.
    #[must_use]
    pub fn of_size(size: SizeMm) -> Self {
        Sidecar {
            size: Some(SizeText::from_size(size)),
            ..Sidecar::default()
        }
    }

    /// What the file beside the photo says; nothing where there is none.
    ///
    /// # Errors
    /// A file that is there but cannot be read or understood.
    pub fn beside(photo: &Path) -> Result<Given> {
        let Some(file) = Sidecar::read(photo)? else {
            return Ok(Given::default());
        };
        file.given().map_err(|detail| Error::SidecarUnreadable {
            path: sidecar_path(photo),
            detail: detail.chars().take(MOST_DETAIL).collect(),
        })
    }

    /// The rig that the file beside the photo names.
    ///
    /// # Errors
    /// As for [`Sidecar::beside`].
    pub fn rig_beside(photo: &Path) -> Result<Option<String>> {
        Ok(Sidecar::read(photo)?.and_then(|file| file.rig))
    }

    /// The same with how far the work has gone and the rig, where they are known.
    #[must_use]
    pub fn of_work(self, stage: Option<Stage>, rig: Option<&str>) -> Self {
        Sidecar {
            stage: stage.or(self.stage),
            rig: rig.map(str::to_owned).or(self.rig),
            ..self
        }
    }

    /// The file beside a photo; `None` where there is none.
    fn read(photo: &Path) -> Result<Option<Self>> {
        let path = sidecar_path(photo);
        let unread = |source| Error::Io {
            path: path.clone(),
            action: "read",
            source,
        };
        let unreadable = |detail: String| Error::SidecarUnreadable {
            path: path.clone(),
            detail: detail.chars().take(MOST_DETAIL).collect(),
        };
        let facts = match std::fs::metadata(&path) {
            Err(e) if e.kind() == std::io::ErrorKind::NotFound => return Ok(None),
            facts => facts.map_err(unread)?,
        };
        // A pipe would be waited for, and a device has no end.
        if !facts.is_file() {
            return Err(unreadable("it is a folder, a pipe or a device".to_owned()));
        }
        let mut text = Vec::new();
        File::open(&path)
            .and_then(|file| file.take(MOST_BYTES + 1).read_to_end(&mut text))
            .map_err(unread)?;
        if text.len() as u64 > MOST_BYTES {
            return Err(unreadable(format!(
                "it is larger than {} MiB",
                MOST_BYTES >> 20
            )));
        }
        let file: Sidecar = serde_json::from_slice(text.strip_prefix(BOM).unwrap_or(&text))
            .map_err(|e| unreadable(e.to_string()))?;
        let length = file.rig.as_ref().map_or(0, |rig| rig.chars().count());
        if length > MOST_TEXT {
            return Err(unreadable(format!("a text in it has {length} characters")));
        }
        Ok(Some(file))
    }

    /// Writes it beside the photo, where no file lies yet.
    ///
    /// # Errors
    /// A placement file is there already, or cannot be written.
    pub fn write_beside(&self, photo: &Path) -> Result<()> {
        let path = sidecar_path(photo);
        let failed = |source: std::io::Error| match source.kind() {
            std::io::ErrorKind::AlreadyExists => Error::SidecarThere { path: path.clone() },
            _ => Error::Io {
                path: path.clone(),
                action: "written",
                source,
            },
        };
        // Plain text and finite numbers always become JSON.
        let text = serde_json::to_string(self).unwrap_or_default() + "\n";
        let mut file = File::create_new(&path).map_err(failed)?;
        file.write_all(text.as_bytes()).map_err(failed)
    }

    fn given(self) -> Result<Given, String> {
        let size = match self.size {
            None => None,
            Some(SizeText::Text(text)) => Some(parsed(&text)?),
            // Through the same door as the text, which refuses the impossible.
            Some(SizeText::Sides(size)) => {
                let [w, h] = [size.width, size.height].map(|v| v.clamp(-PAST_ALL_MM, PAST_ALL_MM));
                Some(parsed(&format!("{w}x{h}mm"))?)
            }
        };
        Ok(Given {
            size,
            proportions: None,
            corners: self.corners.map(TextOr::read).transpose()?,
            patches: few(self.patches, "patches")?,
            patch_reflectance: self.patch_reflectance,
            side: self.side,
            stage: self.stage,
            steps: few(self.steps, "steps")?,
        })
    }
}

impl From<&Placement> for Sidecar {
    fn from(placement: &Placement) -> Self {
        Sidecar {
            size: Some(SizeText::from_size(placement.size)),
            corners: Some(TextOr::Value(placement.corners)),
            patches: placement
                .patches
                .iter()
                .copied()
                .map(TextOr::Value)
                .collect(),
            steps: Vec::new(),
            patch_reflectance: Some(placement.patch_reflectance),
            side: Some(placement.side),
            stage: placement.stage,
            rig: None,
        }
    }
}

impl From<&Sighting> for Sidecar {
    fn from(seen: &Sighting) -> Self {
        Sidecar {
            corners: Some(TextOr::Value(seen.corners)),
            patches: seen.patches.iter().copied().map(TextOr::Value).collect(),
            side: Some(seen.side),
            ..Sidecar::default()
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn read(text: &str) -> Result<Given> {
        let folder = tempfile::tempdir().unwrap();
        let photo = folder.path().join("panel.jpg");
        std::fs::write(sidecar_path(&photo), text).unwrap();
        Sidecar::beside(&photo)
    }

    #[test]
    fn flags_words_and_json_say_the_same() {
        let words = read(
            r#"{"size": "60x40mm", "corners": "1,2 9,2 9,8 1,8", "patch": ["mirror:20,20,9,9"], "side": "back"}"#,
        )
        .unwrap();
        let json = read(
            r#"{"size": {"width": 60, "height": 40}, "corners": [[1,2],[9,2],[9,8],[1,8]],
                "patches": [{"kind": "mirror", "corners": [[20,20],[29,20],[29,29],[20,29]]}], "side": "back"}"#,
        )
        .unwrap();
        assert_eq!(words, json);
        assert_eq!(words.side, Some(Side::Back));
    }

    #[test]
    fn what_an_editor_writes_before_the_text_is_passed_over() {
        let text = r#"{"size": "60x40mm"}"#;
        assert_eq!(
            read(&format!("\u{feff}{text}")).unwrap(),
            read(text).unwrap()
        );
    }

    #[test]
    fn a_file_that_cannot_be_understood_is_named() {
        for text in [
            "",
            "[1",
            r#"{"sise": "60x40mm"}"#,
            r#"{"size": "60x40"}"#,
            r#"{"corners": [[1,2]]}"#,
        ] {
            let message = read(text).unwrap_err().to_string();
            assert!(message.contains("panel.jpg.place.json"), "{message}");
        }
    }

    #[test]
    fn what_is_written_is_read_back_and_never_overwritten() {
        let folder = tempfile::tempdir().unwrap();
        let photo = folder.path().join("panel.jpg");
        let placed = Sidecar {
            size: Some(SizeText::Text("60x40mm".to_owned())),
            corners: Some(TextOr::Value(Quad::rectangle(1.5, 2.0, 30.0, 20.0))),
            ..Sidecar::default()
        };
        placed.write_beside(&photo).unwrap();
        let read = Sidecar::beside(&photo).unwrap();
        assert_eq!(read, placed.clone().given().unwrap());
        let again = Sidecar::default().write_beside(&photo).unwrap_err();
        assert!(again.to_string().contains("already"), "{again}");
        assert_eq!(Sidecar::beside(&photo).unwrap(), read);
    }

    #[test]
    fn no_file_says_nothing() {
        assert_eq!(
            Sidecar::beside(Path::new("/nowhere/at/all.jpg")).unwrap(),
            Given::default()
        );
    }
}
