//! What stands on the printed marks, and what is said once they are printed.

/// What a maker with wet hands reads.
pub const SHORT: [&str; 2] = [
    "Letters to corners, notch tight to the glass, paper dry and flat.",
    "All four marks in the photo. Nothing on them.",
];

/// What to do, step by step.
pub const STEPS: [&str; 10] = [
    "1  Print at 100 %, black on plain white matt paper. No \"fit to page\".",
    "2  Measure the ruler below. If it is wrong, print again.",
    "3  Cut along the thin lines, with a knife and a straight edge. Cut the notch",
    "    exactly: the panel's corner sits in it.",
    "4  Lay each mark outside the panel at the corner it names, the arrow to the",
    "    corner, the notch along both sides of the glass.",
    "5  Marks at the level of the silver: on the table where the silver is at the",
    "    back, raised by the glass's thickness where the coated side is up.",
    "6  Lay the grey card beside the panel, in the same light and at the same",
    "    level, off the glass and off the marks.",
];

/// What no photo can show.
pub const CAUTION: [&str; 2] = [
    "Paper that is wet, curled or raised gives a wrong size. A print that is not",
    "to scale cannot be seen in the photo: measure the ruler.",
];

/// In the place for the grey card.
pub const CARD_HERE: [&str; 2] = ["Stick the grey card", "here."];

/// Beside the ruler in millimetres.
pub const RULER_MM: &str = "Measure this: 15 cm, 150 mm.";

/// Beside the ruler in inches as well.
pub const RULER_IN: &str = "Measure this: 150 mm, 6 in.";

/// Where the ruler is wrong.
pub const RULER_OFF: &str = "If not, print again at 100 %.";

/// At the head of the page.
#[must_use]
pub fn title(frame_mm: impl std::fmt::Display) -> String {
    format!("Paneprint corner marks, {frame_mm} mm")
}
