//! What can be wrong with a plain file that is to come into the archive.

/// Why a file of an export cannot be used.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum Unfit {
    /// It is not there.
    #[error("it is not there")]
    Missing,
    /// A link, a folder or a device.
    #[error("it is a link, a folder or a device (expected a plain file)")]
    NotPlain,
    /// It names a file by more than a plain name.
    #[error("it names a file outside its folder (expected a plain name)")]
    LeadsOutside,
    /// Larger than anything honest.
    #[error("it is larger than {} MiB", most >> 20)]
    TooLarge {
        /// The most that is read, bytes.
        most: u64,
    },
    /// More than can be meant.
    #[error("it holds more than {most} of them")]
    TooMany {
        /// The most that is read.
        most: usize,
    },
    /// Not the JSON that is expected.
    #[error("it cannot be understood ({detail})")]
    NotUnderstood {
        /// What, and where.
        detail: String,
    },
    /// A form of a newer program.
    #[error("it has form {found}; this program knows forms up to {newest}")]
    Newer {
        /// Its form.
        found: u32,
        /// The newest known.
        newest: u32,
    },
    /// The content has changed since it was written.
    #[error("it has changed since it was written")]
    Changed,
    /// No picture that opens.
    #[error("it is no picture that opens ({detail})")]
    NoPicture {
        /// The decoder's own words.
        detail: String,
    },
    /// A silver map that cannot be that of its reading.
    #[error("it cannot be the silver map of its reading (found {found})")]
    MapSize {
        /// Its size, in words.
        found: String,
    },
    /// A text that cannot stand where it stands.
    #[error("`{field}` cannot be used (found something too long, or that cannot be shown)")]
    Text {
        /// Which.
        field: &'static str,
    },
    /// A reading whose figures cannot be.
    #[error("its reading does not hang together")]
    Reading,
    /// It has no reading.
    #[error("it has no reading, or more than a thousand")]
    Readings,
    /// A recipe that cannot be.
    #[error("a recipe in it cannot be used, or there are more than a thousand")]
    Recipe,
    /// A rig that cannot be.
    #[error("its rig `{name}`, or the study of it, cannot be used")]
    Rig {
        /// The rig.
        name: String,
    },
    /// A ladder that cannot be.
    #[error("its ladder `{name}` cannot be used (found no steps, or a name that cannot be shown)")]
    Ladder {
        /// The ladder.
        name: String,
    },
    /// A job that cannot be.
    #[error("its job `{name}` cannot be used")]
    Job {
        /// The job.
        name: String,
    },
    /// A job points nowhere.
    #[error("the finish `{name}` of a job is neither here nor in the archive")]
    OfJob {
        /// The finish.
        name: String,
    },
    /// What is usual cannot be.
    #[error("what it says is usual in the studio cannot be used")]
    Usual,
    /// A limit piece is not there.
    #[error("its limit piece `{name}` is neither here nor in the archive")]
    LimitPiece {
        /// The piece.
        name: String,
    },
    /// Two folders with one name.
    #[error("another folder holds a finish of the same name")]
    Twice,
    /// Another one of that name is kept.
    #[error("another one named `{name}` is kept already, and nothing kept is overwritten")]
    NameTaken {
        /// The name.
        name: String,
    },
    /// A ladder's step points nowhere.
    #[error("the finish `{name}` of a step is neither here nor in the archive")]
    Step {
        /// The finish.
        name: String,
    },
}
