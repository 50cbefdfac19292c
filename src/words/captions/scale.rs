//! At what scale a picture stands, in words.

/// The bar under a picture.
#[must_use]
pub fn bar(mm: f64) -> String {
    format!("The bar is {mm} mm.")
}

/// A piece in its real size.
#[must_use]
pub fn real(mm: f64) -> String {
    format!("{mm:.0} mm wide; printed at 100 % it is as large as the piece itself.")
}

/// The same of one cut from the middle.
#[must_use]
pub fn real_from_the_middle(mm: f64) -> String {
    format!("From the middle, {}", real(mm))
}
