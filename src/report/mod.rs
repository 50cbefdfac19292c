//! A reading shown to the maker. Nothing here computes a measure.

pub mod picture;
