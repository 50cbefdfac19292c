//! The page for the bench, as phones and as hostile programs of the same network meet it.

mod door;
mod harms;
mod photos;
mod served;
mod story;
