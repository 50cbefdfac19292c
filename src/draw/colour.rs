//! The colours of the sheets. Charts name them from here, and so does `look.css`, by the properties that [`properties`] sets.

/// Ink: 16:1 on paper.
pub(crate) const INK: &str = "#16191b";
/// What stands back: 7:1.
pub(crate) const SOFT: &str = "#4d5459";
/// What may be, a filled area between lines: 1.4:1.
pub(crate) const BAND: &str = "#d5dee0";
/// An area between others that are darker.
pub(crate) const PALE: &str = "#f0f3f3";
/// A darker area on a band or on paper.
pub(crate) const SHADE: &str = "#b4bfc3";
/// A thin line that carries a figure.
pub(crate) const LINE: &str = "#767f84";
/// A thin line that only parts or bounds.
pub(crate) const RULE: &str = "#9aa2a6";
/// The ground.
pub(crate) const PAPER: &str = "#fff";

/// The same for `look.css`.
pub(crate) fn properties() -> String {
    format!(
        ":root {{ --ink: {INK}; --soft: {SOFT}; --rule: {RULE}; --band: {BAND}; --paper: {PAPER}; }}\n"
    )
}
