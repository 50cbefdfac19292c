//! The real program, run as a maker runs it.

mod demo;
mod keeping;
mod matching;
mod reading;
mod refusals;
mod studying;
