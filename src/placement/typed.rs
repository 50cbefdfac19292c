//! Places as they are typed: corners, patches and the steps of a card.

use std::str::FromStr;

use crate::frame::placement::{CardStep, Patch, PatchKind};
use crate::frame::quad::Quad;

/// Why a placement written in words was refused.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum FormError {
    /// Not four points.
    #[error(
        "`{0}` is not four corners; write \"x,y x,y x,y x,y\" in pixels: top left, top right, bottom right, bottom left"
    )]
    Corners(String),
    /// Not a patch.
    #[error("`{0}` is not a patch; write grey:x,y,width,height in pixels (or mirror:, or bare:)")]
    Patch(String),
    /// Not a step of a card.
    #[error(
        "`{0}` is not a step of a card; write its reflectance and place: 0.18:x,y,width,height in pixels"
    )]
    Step(String),
}

/// Finite figures between commas.
fn figures<const N: usize>(text: &str) -> Option<[f64; N]> {
    let read: Vec<f64> = text
        .split(',')
        .map(|part| part.trim().parse().ok().filter(|v: &f64| v.is_finite()))
        .collect::<Option<_>>()?;
    read.try_into().ok()
}

/// Reads `"x,y x,y x,y x,y"`.
pub(super) fn corners(text: &str) -> Result<Quad, FormError> {
    let points: Option<Vec<[f64; 2]>> = text.split_whitespace().map(figures).collect();
    points
        .and_then(|p| p.try_into().ok())
        .map(Quad)
        .ok_or_else(|| FormError::Corners(text.to_owned()))
}

/// Reads `[grey:|grey=REFLECTANCE:|mirror:|bare:]x,y,w,h`; grey where no kind is named.
impl FromStr for Patch {
    type Err = FormError;

    fn from_str(text: &str) -> Result<Self, FormError> {
        let refused = || FormError::Patch(text.to_owned());
        let (kind, place) = text.split_once(':').unwrap_or(("grey", text));
        let (kind, reflectance) = match kind.split_once('=') {
            None => (kind, None),
            Some((kind, figure)) => {
                let [reflectance] = figures(figure).ok_or_else(refused)?;
                (kind, Some(reflectance))
            }
        };
        let kind = match (kind.trim(), reflectance) {
            ("grey" | "gray", _) => PatchKind::Grey,
            ("mirror", None) => PatchKind::Mirror,
            ("bare", None) => PatchKind::Bare,
            _ => return Err(refused()),
        };
        let [x, y, w, h] = figures(place).ok_or_else(refused)?;
        Ok(Patch {
            kind,
            corners: Quad::rectangle(x, y, w, h),
            reflectance,
        })
    }
}

/// Reads `REFLECTANCE:x,y,w,h`.
impl FromStr for CardStep {
    type Err = FormError;

    fn from_str(text: &str) -> Result<Self, FormError> {
        let read = || {
            let (reflectance, place) = text.split_once(':')?;
            let ([reflectance], [x, y, w, h]) = (figures(reflectance)?, figures(place)?);
            Some(CardStep {
                reflectance,
                corners: Quad::rectangle(x, y, w, h),
            })
        };
        read().ok_or_else(|| FormError::Step(text.to_owned()))
    }
}

impl FromStr for Quad {
    type Err = FormError;

    fn from_str(text: &str) -> Result<Self, FormError> {
        corners(text)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn words_that_are_not_places_are_refused() {
        assert!("1,2 3,4 5,6".parse::<Quad>().is_err());
        assert!("1,2 3,4 5,6 7,inf".parse::<Quad>().is_err());
        assert!("card:1,2,3,4".parse::<Patch>().is_err());
        assert!("grey:1,2,3".parse::<Patch>().is_err());
        assert!("mirror=0.9:1,2,3,4".parse::<Patch>().is_err());
        assert!("1,2,3,4".parse::<CardStep>().is_err());
        let own: Patch = "grey=0.09:1,2,3,4".parse().unwrap();
        assert_eq!(own.reflectance, Some(0.09));
    }
}
