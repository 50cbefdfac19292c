//! Facts about a photo.

/// The panel's size.
pub const SIZE: &str = "panel";
/// Maker and model; many a model begins with its maker's name, which is then not said twice.
#[must_use]
pub fn camera(make: Option<&str>, model: Option<&str>) -> String {
    match (make, model) {
        (Some(make), Some(model)) if begins_with(model, make) => model.to_owned(),
        (make, model) => [make, model]
            .into_iter()
            .flatten()
            .collect::<Vec<_>>()
            .join(" "),
    }
}

fn begins_with(model: &str, make: &str) -> bool {
    let start = model.get(..make.len());
    start.is_some_and(|start| start.eq_ignore_ascii_case(make))
}

/// Exposure time, aperture and speed, as far as the camera noted them.
#[must_use]
pub fn exposure(seconds: Option<f64>, f_number: Option<f64>, iso: Option<u32>) -> String {
    let time = seconds.map(|s| {
        if s < 0.4 {
            format!("1/{:.0} s", 1.0 / s)
        } else {
            format!("{s:.1} s")
        }
    });
    let parts = [
        time,
        f_number.map(|f| format!("f/{f}")),
        iso.map(|iso| format!("ISO {iso}")),
    ];
    let known: Vec<String> = parts.into_iter().flatten().collect();
    known.join(", ")
}

/// Pixels in a millimetre, and the blur.
#[must_use]
pub fn resolution(px_per_mm: f64, blur_mm: f64) -> String {
    format!("{px_per_mm:.1} px in a millimetre, blurred by {blur_mm:.2} mm")
}

/// What was done to the photo.
pub fn steps<'a>(steps: impl Iterator<Item = &'a str>) -> String {
    let all: Vec<String> = steps.map(|s| s.replace('_', " ")).collect();
    format!("Steps taken: {}.", all.join(", "))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_makers_name_is_said_once() {
        for (make, model, said) in [
            (Some("Bench"), Some("Bench phone"), "Bench phone"),
            (Some("BENCH"), Some("Bench phone"), "Bench phone"),
            (Some("Maker"), Some("Bench phone"), "Maker Bench phone"),
            (Some("Größe"), Some("Groß"), "Größe Groß"),
            (None, Some("phone"), "phone"),
            (None, None, ""),
        ] {
            assert_eq!(camera(make, model), said);
        }
    }
}
