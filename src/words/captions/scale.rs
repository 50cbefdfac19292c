//! At what scale a picture stands, in words.

/// The bar under a picture.
#[must_use]
pub fn bar(mm: f64) -> String {
    format!("The bar is {mm} mm.")
}

/// Below pieces in their real size.
pub const REAL: &str = "Printed at 100 %, each piece is as large as it is on the panel.";

/// A piece in its real size.
#[must_use]
pub fn real(name: &str, at: &str, mm: f64) -> String {
    format!("{name}, {at}, {mm:.0} mm wide")
}

/// Where one lies that is cut from the middle.
pub const MIDDLE: &str = "from the middle";

/// A piece in its real size, alone.
#[must_use]
pub fn real_from_the_middle(mm: f64) -> String {
    format!(
        "From the middle, {mm:.0} mm wide; printed at 100 % it is as large as the piece itself. Drawn with more contrast than the eye sees."
    )
}
