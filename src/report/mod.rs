//! Saying it: words first, then figures; the same as JSON; and drawn on the panel. Everything here only reads what others
//! found.

pub mod again;
pub mod card;
pub mod cautions;
pub mod check;
pub mod json;
pub mod ladder;
pub mod near;
pub mod picture;
pub mod plain;
pub mod promise;
pub mod set;
pub mod sheet;
pub mod study;
pub mod text;
pub mod verify;
pub mod words;
