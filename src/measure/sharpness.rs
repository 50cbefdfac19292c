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
