//! What is chosen before the photos are taken: the job with what it says, or the sample, the rig, the panel's size and how far the
//! work has gone. It travels in the page's own address and in its forms, so that each phone has its own and a reload keeps it.

use serde::Deserialize;

use crate::archive::Job;
use crate::frame::placement::{Side, Stage};
use crate::placement::Given;
use crate::studio::reading::How;
use crate::units::SizeMm;

/// How far the work has gone: as it stands in a form, and in words.
pub(super) const STAGES: [(&str, &str); 4] = [
    ("", "not said"),
    ("wet", "still wet"),
    ("dry", "dry, not painted"),
    ("backed", "back painted"),
];

/// What was chosen; what was not is empty.
#[derive(Debug, Clone, Default, PartialEq, Deserialize)]
#[serde(default)]
pub(super) struct Chosen {
    /// The job that its panels are kept in.
    pub(super) job: String,
    /// The approved sample, or any kept finish; without one a photo is read and not compared.
    pub(super) sample: String,
    /// The rig.
    pub(super) rig: String,
    /// Width of the panel, mm, as typed.
    pub(super) width: String,
    /// Its height.
    pub(super) height: String,
    /// One of [`STAGES`].
    pub(super) stage: String,
    /// `back` where the panel is seen from behind.
    pub(super) side: String,
}

/// What `side` says of a panel that is seen from behind.
const BACK: &str = "back";

impl Chosen {
    /// What a job says.
    pub(super) fn of_job(job: &Job) -> Self {
        let details = &job.details;
        let side = |mm: Option<f64>| mm.map(|mm| mm.to_string()).unwrap_or_default();
        let stage = details.stage.map(|stage| match stage {
            Stage::Wet => "wet",
            Stage::Dry => "dry",
            Stage::Backed => "backed",
        });
        let back = details.side == Some(Side::Back);
        Chosen {
            job: job.name.clone(),
            sample: job.sample.clone().unwrap_or_default(),
            rig: job.rig.clone().unwrap_or_default(),
            width: side(details.size.map(|size| size.width)),
            height: side(details.size.map(|size| size.height)),
            stage: stage.unwrap_or_default().to_owned(),
            side: if back { BACK } else { "" }.to_owned(),
        }
    }

    /// The fields of a form that say it.
    pub(super) fn fields(&self) -> [(&'static str, &str); 7] {
        [
            ("job", &self.job),
            ("sample", &self.sample),
            ("rig", &self.rig),
            ("width", &self.width),
            ("height", &self.height),
            ("stage", &self.stage),
            ("side", &self.side),
        ]
    }

    /// Takes the field of a form; whether it is one of these.
    pub(super) fn take(&mut self, field: &str, says: String) -> bool {
        let own = match field {
            "job" => &mut self.job,
            "sample" => &mut self.sample,
            "rig" => &mut self.rig,
            "width" => &mut self.width,
            "height" => &mut self.height,
            "stage" => &mut self.stage,
            "side" => &mut self.side,
            _ => return false,
        };
        *own = says;
        true
    }

    /// The address of a page for it.
    pub(super) fn at(&self, page: &str) -> String {
        let said = self
            .fields()
            .into_iter()
            .filter(|(_, says)| !says.is_empty());
        let said: Vec<String> = said
            .map(|(name, says)| format!("{name}={}", encoded(says)))
            .collect();
        format!("{page}?{}", said.join("&"))
    }

    /// It in a line of words.
    pub(super) fn says(&self) -> String {
        let stage = STAGES
            .iter()
            .find(|(key, _)| !key.is_empty() && *key == self.stage);
        let sample = if self.sample.is_empty() {
            "no sample: the photo is only read".to_owned()
        } else {
            format!("beside ‘{}’", self.sample)
        };
        let parts = [
            (!self.job.is_empty()).then(|| format!("job ‘{}’", self.job)),
            Some(sample),
            (!self.rig.is_empty()).then(|| format!("rig ‘{}’", self.rig)),
            self.size().ok().flatten().map(|size| size.to_string()),
            stage.map(|(_, says)| (*says).to_owned()),
            (self.side == BACK).then(|| "seen from behind".to_owned()),
        ];
        parts.into_iter().flatten().collect::<Vec<_>>().join(" · ")
    }

    /// The panel's size; `None` where none was typed.
    ///
    /// # Errors
    /// What was typed is no size, in words.
    pub(super) fn size(&self) -> Result<Option<SizeMm>, String> {
        let [width, height] = [&self.width, &self.height].map(|side| side.trim().replace(',', "."));
        if width.is_empty() && height.is_empty() {
            return Ok(None);
        }
        let size = format!("{width}x{height}mm").parse::<SizeMm>();
        size.map(Some).map_err(|_| {
            format!(
                "`{}` by `{}` is no size of a panel: type both sides in millimetres, from 5 to 10000.",
                self.width, self.height
            )
        })
    }

    /// How a photo is read by it.
    ///
    /// # Errors
    /// As for [`Chosen::size`].
    pub(super) fn how(&self) -> Result<How, String> {
        let stage = match self.stage.as_str() {
            "wet" => Some(Stage::Wet),
            "dry" => Some(Stage::Dry),
            "backed" => Some(Stage::Backed),
            _ => None,
        };
        Ok(How {
            given: Given {
                size: self.size()?,
                stage,
                side: (self.side == BACK).then_some(Side::Back),
                ..Given::default()
            },
            rig: Some(self.rig.clone()).filter(|rig| !rig.is_empty()),
            ..How::default()
        })
    }
}

/// Text as a part of an address.
pub(super) fn encoded(text: &str) -> String {
    let plain = |b: &u8| b.is_ascii_alphanumeric() || b"-_.~".contains(b);
    text.bytes()
        .map(|b| {
            if plain(&b) {
                char::from(b).to_string()
            } else {
                format!("%{b:02X}")
            }
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_choice_travels_in_an_address_and_comes_back_in_words() {
        let chosen = Chosen {
            sample: "bar & grill".to_owned(),
            rig: "corner".to_owned(),
            width: "600".to_owned(),
            height: "400,5".to_owned(),
            stage: "dry".to_owned(),
            ..Chosen::default()
        };
        assert_eq!(
            chosen.at("/photograph"),
            "/photograph?sample=bar%20%26%20grill&rig=corner&width=600&height=400%2C5&stage=dry"
        );
        assert_eq!(
            chosen.says(),
            "beside ‘bar & grill’ · rig ‘corner’ · 600 x 400.5 mm · dry, not painted"
        );
        let how = chosen.how().unwrap();
        assert_eq!(how.given.stage, Some(Stage::Dry));
        assert_eq!(how.rig.as_deref(), Some("corner"));
    }

    #[test]
    fn half_a_size_and_a_slipped_point_are_said_in_words() {
        let sized = |width: &str, height: &str| {
            let [width, height] = [width, height].map(str::to_owned);
            Chosen {
                width,
                height,
                ..Chosen::default()
            }
            .size()
        };
        assert_eq!(sized(" ", ""), Ok(None));
        assert!(sized("300", "200").unwrap().is_some());
        for (width, height) in [
            ("300", ""),
            ("", "2"),
            ("30x0", "20"),
            ("3", "2"),
            ("1e9", "1"),
            ("NaN", "9"),
        ] {
            assert!(sized(width, height).is_err(), "{width} {height}");
        }
    }
}
