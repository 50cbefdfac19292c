//! Charts, pictures and printed marks: what is shown of an answer, drawn once. Nothing is decided here.

pub mod chart;
pub mod colour;
pub mod embedded;
pub mod marks;
pub mod most;
pub mod picture;
pub mod wall;
