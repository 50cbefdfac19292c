//! Saying it: words first, then figures; and the same as JSON. Everything here only reads what others found.

pub mod cautions;
pub mod json;
pub mod picture;
pub mod text;
pub mod words;
