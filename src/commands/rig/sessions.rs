//! `--panel PHOTO PHOTO… --panel PHOTO PHOTO…`: photos, panel by panel, and `--session NAME` before those of each session. The
//! parser's own lists run one into another, so these are told by hand where each begins.

use std::path::PathBuf;

use clap::{Arg, ArgAction, ArgMatches, Args, Command, FromArgMatches, value_parser};

use crate::studio::rig::Session;

const PANEL: &str = "panel";
const SESSION: &str = "session";

/// The photos of each session, panel by panel. A study that names no session is one.
#[derive(Debug, Clone, Default)]
pub(in crate::commands) struct Sessions(pub(in crate::commands) Vec<Session>);

impl Args for Sessions {
    fn augment_args(command: Command) -> Command {
        command
            .arg(
                Arg::new(PANEL)
                    .long(PANEL)
                    .value_name("PHOTO")
                    .num_args(1..)
                    .action(ArgAction::Append)
                    .required(true)
                    .value_parser(value_parser!(PathBuf))
                    .help("Photos of one and the same panel, taken out and put back between them; at least two (repeatable, once a panel)"),
            )
            .arg(
                Arg::new(SESSION)
                    .long(SESSION)
                    .value_name("NAME")
                    .action(ArgAction::Append)
                    .help("Another day or another set-up begins: the --panel after it name the same panels in the same order (repeatable)"),
            )
    }

    fn augment_args_for_update(command: Command) -> Command {
        Sessions::augment_args(command)
    }
}

impl FromArgMatches for Sessions {
    fn from_arg_matches(matches: &ArgMatches) -> Result<Self, clap::Error> {
        // An occurrence of --panel lies where its first photo lies.
        let indices: Vec<usize> = matches.indices_of(PANEL).into_iter().flatten().collect();
        let mut photos_before = 0;
        let mut panels: Vec<(usize, Vec<PathBuf>)> = Vec::new();
        for photos in matches
            .get_occurrences::<PathBuf>(PANEL)
            .into_iter()
            .flatten()
        {
            let photos: Vec<PathBuf> = photos.cloned().collect();
            let at = indices.get(photos_before).copied().unwrap_or_default();
            photos_before += photos.len();
            panels.push((at, photos));
        }
        let names = matches
            .get_many::<String>(SESSION)
            .into_iter()
            .flatten()
            .cloned();
        let starts = matches.indices_of(SESSION).into_iter().flatten();
        let mut sessions: Vec<(usize, Session)> = starts
            .zip(names)
            .map(|(at, name)| {
                (
                    at,
                    Session {
                        name,
                        panels: Vec::new(),
                    },
                )
            })
            .collect();
        let first = panels.first().map_or(0, |(at, _)| *at);
        if sessions.first().is_none_or(|(at, _)| *at > first) {
            sessions.insert(0, (0, Session::default()));
        }
        for (at, photos) in panels {
            if let Some((_, session)) = sessions.iter_mut().rev().find(|(start, _)| *start <= at) {
                session.panels.push(photos);
            }
        }
        Ok(Sessions(
            sessions.into_iter().map(|(_, session)| session).collect(),
        ))
    }

    fn update_from_arg_matches(&mut self, matches: &ArgMatches) -> Result<(), clap::Error> {
        *self = Sessions::from_arg_matches(matches)?;
        Ok(())
    }
}
