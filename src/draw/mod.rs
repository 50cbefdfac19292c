//! Charts, pictures and printed marks: what is shown of an answer, drawn once. Nothing is decided here.

pub(crate) mod chart;
pub(crate) mod colour;
pub(crate) mod embedded;
pub mod marks;
pub(crate) mod most;
pub mod picture;
pub mod wall;
