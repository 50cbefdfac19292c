//! What the demo says between its answers.

/// The rig.
pub const PLAIN: &str =
    "1. A plain mirror in the panel's place teaches the program the light of this bench.\n";

/// The photo with somebody in it.
pub const FIRST_TRY: &str = "2. A first photo of the signed sample: is it good enough to judge by? Only its size is given.\n";

/// The sample.
pub const SAMPLE: &str =
    "\n3. Taken again, it is measured, kept and approved as a finish that varies slightly.\n";

/// What it can promise.
pub const PROMISE: &str = "\n4. What can a sample of this size promise for the panels?\n";

/// The panels.
pub const PANELS: &str =
    "\n5. Three panels made after it are matched, before their backs are painted.";

/// The ladder.
pub const LADDER: &str =
    "\n6. The three as the studio's own ladder, and where the sample stands on it.\n";

/// The set.
pub const SET: &str =
    "\n7. The three as a set: which must go, and in which order would they hang?\n";

/// What was written to look at.
pub const SHEETS: &str =
    "\n8. Sheets to look at and to print, one for every answer: open them in any browser.\n";

/// Where to read on.
pub const SEE: &str = "\nThe same, step by step, with every figure: see README.md.";
