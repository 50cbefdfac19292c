//! The real program, run as a maker runs it.

mod checking;
mod deciding;
mod demo;
mod effect;
mod forms;
mod holding;
mod job;
mod keeping;
mod many;
mod matching;
mod own_files;
mod placing;
mod reading;
mod recipe;
mod refusals;
mod studying;
mod teaching;
mod typed;
mod unheard;
mod watching;
