//! Standard sharpness: photos differ in blur, and whatever depends on edges would follow it.

use super::Settings;
use crate::frame::Plane;
use crate::frame::panel::Panel;
use crate::ops::smooth::gaussian;

/// Less blur than this changes nothing, pixels.
const LEAST_PX: f64 = 0.1;

/// The panel's silver smoothed until the photo's own blur and the added one together are the standard blur; then
/// clamped to 0..1. A blurrier photo is left as it is.
#[must_use]
pub fn standard(panel: &Panel, settings: &Settings) -> Plane {
    let missing = settings.standard_blur_mm.powi(2) - panel.blur_mm.powi(2);
    let added_px = missing.max(0.0).sqrt() * panel.px_per_mm;
    if added_px < LEAST_PX {
        let mut silver = Plane::zeros(panel.silver.dim());
        ndarray::Zip::from(&mut silver)
            .and(&panel.silver)
            .par_for_each(|out, s| *out = s.clamp(0.0, 1.0));
        return silver;
    }
    let mut silver = gaussian(&panel.silver, added_px);
    silver.par_mapv_inplace(|s| s.clamp(0.0, 1.0));
    silver
}

/// Blur that a plane from [`standard`] has, mm.
#[must_use]
pub fn blur_mm(panel: &Panel, settings: &Settings) -> f64 {
    panel.blur_mm.max(settings.standard_blur_mm)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::frame::drawn;

    fn blurred(silver: Plane, blur_mm: f64) -> Panel {
        Panel {
            blur_mm,
            ..drawn::panel(silver, 10.0)
        }
    }

    #[test]
    fn even_silver_stays_and_what_lies_outside_is_clamped() {
        let at = |level: f32, blur_mm| {
            standard(
                &blurred(Plane::from_elem((1, 40), level), blur_mm),
                &Settings::default(),
            )
        };
        // With blur to be added and without.
        for blur_mm in [0.0, 0.25, 0.4] {
            for (level, wanted) in [(0.0, 0.0), (0.5, 0.5), (1.0, 1.0), (1.2, 1.0), (-0.2, 0.0)] {
                let off = (at(level, blur_mm) - wanted).mapv(f32::abs);
                assert!(off.iter().all(|v| *v < 1e-6), "{level} {blur_mm}");
            }
        }
    }

    #[test]
    fn the_blurs_add_up_to_the_standard_one() {
        // The variance of a blurred line is that of the blur: 0.25² less 0.15² of the photo's own is 0.2², 2 px.
        let mut line = Plane::zeros((41, 41));
        line[[20, 20]] = 1.0;
        let silver = standard(&blurred(line.clone(), 0.15), &Settings::default());
        let along: Vec<f64> = silver
            .columns()
            .into_iter()
            .map(|c| f64::from(c.sum()))
            .collect();
        let sum: f64 = along.iter().sum();
        let variance: f64 = (0_u8..)
            .zip(&along)
            .map(|(c, v)| v * (f64::from(c) - 20.0).powi(2))
            .sum();
        assert!(
            (sum - 1.0).abs() < 1e-3 && (variance / sum - 4.0).abs() < 0.1,
            "{sum} {variance}"
        );
        // A blurrier photo is left as it is.
        assert_eq!(
            standard(&blurred(line.clone(), 0.3), &Settings::default()),
            line
        );
    }

    #[test]
    fn a_plane_is_no_sharper_than_its_photo() {
        let of =
            |blur_mm| super::blur_mm(&blurred(Plane::ones((2, 2)), blur_mm), &Settings::default());
        assert!((of(0.1) - 0.25).abs() < 1e-12 && (of(0.3) - 0.3).abs() < 1e-12);
    }
}
