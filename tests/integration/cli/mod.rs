//! The real program, run as a maker runs it.

mod checking;
mod deciding;
mod demo;
mod effect;
mod forms;
mod keeping;
mod many;
mod matching;
mod placing;
mod reading;
mod recipe;
mod refusals;
mod studying;
mod teaching;
mod typed;
mod unheard;
