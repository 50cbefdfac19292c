//! The integration tests, one binary.
//!
//! `support` paints, photographs and reads; `truth` asks whether what was painted is found again; `invariance` what may
//! not move a reading and what must; `architecture` keeps the layers of the source, `circles` its files in an order,
//! `places` a command in few places; `archive` kills, fills and cuts what is kept; `cli` runs the real program on a `bench`;
//! `golden` holds readings to what they were; `published` what is computed to figures from standards and papers;
//! `library` holds readings to what general libraries make of the same photos; `repeatability` studies an unsteady rig;
//! `signs` raises each flag and holds good photos clear of all; `sheet` reads printed marks back from photos; `pages` looks at every
//! sheet in a `browser`; `page` asks the page of the bench as phones and hostile programs do; `docs` holds the README to what is so.

#![expect(
    clippy::unwrap_used,
    reason = "a bench that cannot paint or read fails the test"
)]

mod architecture;
mod archive;
mod bench;
mod browser;
mod circles;
mod cli;
mod decisions;
mod docs;
mod drift;
mod finding;
mod golden;
mod hostile;
mod invariance;
mod lens;
mod library;
mod page;
mod pages;
mod places;
mod plain_words;
mod published;
mod repeatability;
mod sheet;
mod signs;
mod support;
mod tone_curve;
mod traced;
mod truth;

/// The program's own: planes of tens of megabytes come and go here too.
#[global_allocator]
static ALLOCATOR: mimalloc::MiMalloc = mimalloc::MiMalloc;
