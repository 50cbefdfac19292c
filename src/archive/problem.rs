//! What [`super::verify`] can find in an archive: damage, and what the disk does not give back.

/// What is wrong, and the name of what has it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Problem {
    /// The file itself, in SQLite's words.
    File(String),
    /// The disk does not give the file back, in the system's words.
    FileUnread(String),
    /// The disk does not give back something of a finish.
    Unread(String),
    /// The disk does not give back the rigs or the ladders.
    StudioUnread,
    /// A row of this table refers to one of that table which is not there.
    Reference {
        /// The table that refers.
        from: String,
        /// The table that is referred to.
        to: String,
    },
    /// What is noted of a finish is not what was kept.
    FinishChanged(String),
    /// What is listed of a finish is not what its latest reading says.
    ListedOtherwise(String),
    /// A finish has no reading.
    NoReading(String),
    /// The reading of a finish is not what was kept.
    ReadingChanged(String),
    /// The reading of a finish cannot be understood.
    ReadingUnreadable(String),
    /// A picture of a finish is not what was kept.
    PictureChanged(String),
    /// A picture of a finish cannot be opened.
    PictureUnreadable(String),
    /// The photo kept with a finish is not what was kept.
    PhotoChanged(String),
    /// What was signed of a finish is not what was kept.
    ApprovalChanged(String),
    /// The approval of a finish cannot be understood.
    ApprovalUnreadable(String),
    /// A decision beside a finish is not what was kept.
    DecisionChanged(String),
    /// Decisions beside a finish cannot be understood.
    DecisionUnreadable(String),
    /// What was noted of a change, or of something taken back, is not what was kept.
    ChangeChanged(String),
    /// What was noted of a change cannot be understood.
    ChangeUnreadable(String),
    /// What was noted of a finish in the bin is not what was kept.
    BinChanged(String),
    /// The tags of a finish are not what was kept.
    TagChanged(String),
    /// The recipe of a finish is not what was kept.
    RecipeChanged(String),
    /// The recipe of a finish cannot be understood.
    RecipeUnreadable(String),
    /// The place of a finish among looks is not what was kept.
    LookChanged(String),
    /// A rig, or its study, is not what was kept.
    RigChanged(String),
    /// A rig, or its study, cannot be understood.
    RigUnreadable(String),
    /// A ladder is not what was kept.
    LadderChanged(String),
    /// A ladder is damaged, or has steps whose finishes are gone.
    LadderUnreadable(String),
    /// A job, or the list of its panels, is not what was kept.
    JobChanged(String),
    /// A job cannot be understood.
    JobUnreadable(String),
    /// What is usual in the studio is not what was kept.
    UsualChanged(String),
    /// What is usual in the studio cannot be understood.
    UsualUnreadable,
    /// The rigs, the ladders or the jobs cannot be read at all.
    StudioUnreadable,
}

impl Problem {
    /// It was not read, and may be as it was kept.
    #[must_use]
    pub fn is_unread(&self) -> bool {
        matches!(
            self,
            Problem::FileUnread(_) | Problem::Unread(_) | Problem::StudioUnread
        )
    }
}
