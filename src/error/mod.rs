//! One error for the whole program. A leaf: it names no other module.
//!
//! Every message answers what went wrong, in which file, what was found and what was expected; the next step is for the front end
//! to say. A weak picture is not an error but a flag (see [`crate::quality`]).

mod unfit;
mod unread;

use std::path::PathBuf;

pub use unfit::Unfit;
pub use unread::{Fault, Unread};

/// What this library returns.
pub type Result<T, E = Error> = std::result::Result<T, E>;

/// Everything that can stop the program.
#[derive(Debug, thiserror::Error)]
#[non_exhaustive]
pub enum Error {
    /// The file is not there.
    #[error("there is no such file: {}", path.display())]
    NotFound {
        /// The file asked for.
        path: PathBuf,
    },
    /// A folder stands where a photo was expected.
    #[error("this is a folder, not a photo: {}", path.display())]
    IsFolder {
        /// The folder.
        path: PathBuf,
    },
    /// A folder without a picture in it.
    #[error("there is no photo in this folder: {}", path.display())]
    NoPhotoIn {
        /// The folder.
        path: PathBuf,
    },
    /// The operating system would not read or write the file.
    #[error("this file could not be {action} ({source}): {}", path.display())]
    Io {
        /// The file.
        path: PathBuf,
        /// `read` or `written`.
        action: &'static str,
        /// The system's own words.
        source: std::io::Error,
    },
    /// The content is no picture this program knows.
    #[error("not a photo this program can read (found {found}; expected JPEG, PNG, TIFF or WebP): {}", path.display())]
    NotAPhoto {
        /// The file.
        path: PathBuf,
        /// What its first bytes look like, in words.
        found: String,
    },
    /// The picture is a kind that cannot be read as red, green and blue light.
    #[error("{found} cannot be read (expected an RGB or grey picture of 8 or 16 bits): {}", path.display())]
    UnreadableKind {
        /// The file.
        path: PathBuf,
        /// The kind found.
        found: String,
    },
    /// The picture is cut short or damaged.
    #[error("the picture is damaged or cut short ({detail}): {}", path.display())]
    DamagedPhoto {
        /// The file.
        path: PathBuf,
        /// The decoder's own words, one line.
        detail: String,
    },
    /// The picture is larger than the limits allow.
    #[error("{found}, more than the {limit} this program opens: {}", path.display())]
    PhotoTooLarge {
        /// The file.
        path: PathBuf,
        /// What the header claims.
        found: String,
        /// The limit, in words.
        limit: String,
    },
    /// The picture is too small to hold a panel.
    #[error("the photo is only {width} x {height} pixels (expected at least {least} on each side): {}", path.display())]
    PhotoTooSmall {
        /// The file.
        path: PathBuf,
        /// Pixels across.
        width: usize,
        /// Pixels down.
        height: usize,
        /// The least side accepted.
        least: usize,
    },
    /// Nothing says where the panel lies or how large it is.
    #[error("{missing} is not given for this photo: {}", path.display())]
    PlacementMissing {
        /// The photo.
        path: PathBuf,
        /// What is missing.
        missing: &'static str,
    },
    /// The corners cross, lie on a line or point inwards.
    #[error("the four corners do not make a panel ({found}): {}", path.display())]
    CornersImpossible {
        /// The photo.
        path: PathBuf,
        /// What is wrong with them.
        found: String,
    },
    /// The corners' proportions are not those of the size given.
    #[error("the corners are {found:.2} times as wide as high, but the size says {expected:.2} times: {}", path.display())]
    CornersUnlikeSize {
        /// The photo.
        path: PathBuf,
        /// Width over height in the photo.
        found: f64,
        /// Width over height of the real size.
        expected: f64,
    },
    /// Something was placed outside the photo.
    #[error("{what} at ({x:.0}, {y:.0}) lies outside the photo, which is {width} x {height} pixels: {}", path.display())]
    OutsidePhoto {
        /// The photo.
        path: PathBuf,
        /// Corner or patch.
        what: String,
        /// Where it was placed, pixels from the left.
        x: f64,
        /// Where it was placed, pixels from the top.
        y: f64,
        /// Pixels across.
        width: usize,
        /// Pixels down.
        height: usize,
    },
    /// Printed corner marks are there but do not say where the panel is.
    #[error("the printed corner marks cannot be relied upon ({found}): {}", path.display())]
    MarksUnclear {
        /// The photo.
        path: PathBuf,
        /// What is wrong with them.
        found: String,
    },
    /// The size given is not the one the printed marks show.
    #[error("the size given is {given}, but the printed marks show {found}: {}", path.display())]
    SizeUnlikeMarks {
        /// The photo.
        path: PathBuf,
        /// The size given.
        given: String,
        /// The size the marks show.
        found: String,
    },
    /// A file name from which the kind of file cannot be told.
    #[error("the ending does not say what kind of file to write (expected {expected}): {}", path.display())]
    FileKind {
        /// The file.
        path: PathBuf,
        /// The endings known.
        expected: &'static str,
    },
    /// A reference patch without area.
    #[error("{what} is {found}; expected at least {least} x {least} pixels: {}", path.display())]
    PatchTooSmall {
        /// The photo.
        path: PathBuf,
        /// Which patch.
        what: String,
        /// Its size.
        found: String,
        /// Least side accepted, pixels.
        least: f64,
    },
    /// A reference patch lies on the panel.
    #[error("{what} lies on the panel; expected beside it: {}", path.display())]
    PatchOnPanel {
        /// The photo.
        path: PathBuf,
        /// Which patch.
        what: String,
    },
    /// A figure outside its range.
    #[error("{what} is {found}; expected {expected}: {}", path.display())]
    OutOfRange {
        /// The photo.
        path: PathBuf,
        /// Which figure.
        what: &'static str,
        /// The figure.
        found: f64,
        /// The range in words.
        expected: &'static str,
    },
    /// The plain frame of a rig shows something else than an unaged mirror.
    #[error("{odd_percent} % of this mirror is uneven; expected a plain, unaged mirror for the rig's plain frame: {}", path.display())]
    NotPlain {
        /// The photo.
        path: PathBuf,
        /// Share of places off the smooth surface, percent.
        odd_percent: f64,
    },
    /// The card of greys cannot teach the camera's tones.
    #[error("the grey card cannot teach the camera's tones ({found}): {}", path.display())]
    StepsUnfit {
        /// The photo.
        path: PathBuf,
        /// Which step, and what is wrong with it.
        found: String,
    },
    /// A bare patch that is not bare.
    #[error("the bare patch shows {found:.3} of full silver (expected 0.01 to 0.2): {}", path.display())]
    BareUnfit {
        /// The photo.
        path: PathBuf,
        /// What it shows.
        found: f64,
    },
    /// The archive file belongs to something else.
    #[error("this file is not a paneprint archive: {}", path.display())]
    NotAnArchive {
        /// The file.
        path: PathBuf,
    },
    /// The archive was written by a newer program.
    #[error("this archive has version {found}; this program knows versions up to {newest}: {}", path.display())]
    ArchiveNewer {
        /// The archive.
        path: PathBuf,
        /// Its version.
        found: i32,
        /// The newest version known.
        newest: i32,
    },
    /// The archive's content cannot be trusted.
    #[error("the archive is damaged and was left as it is ({detail}): {}", path.display())]
    ArchiveDamaged {
        /// The archive.
        path: PathBuf,
        /// What was found.
        detail: String,
    },
    /// The disk did not give the archive back.
    #[error("the archive could not be read, though it was tried twice ({detail}): {}", path.display())]
    ArchiveUnread {
        /// The archive.
        path: PathBuf,
        /// The system's own words.
        detail: String,
    },
    /// The archive cannot be opened or written at the moment.
    #[error("the archive cannot be opened or written ({detail}): {}", path.display())]
    ArchiveUnavailable {
        /// The archive.
        path: PathBuf,
        /// The system's own words.
        detail: String,
    },
    /// Another program holds the archive.
    #[error("another program is writing to the archive and has not let go of it for half a minute: {}", path.display())]
    ArchiveBusy {
        /// The archive.
        path: PathBuf,
    },
    /// The archive or its folder may not be written.
    #[error("the archive, or the folder it lies in, is write-protected; nothing was kept: {}", path.display())]
    ArchiveReadOnly {
        /// The archive.
        path: PathBuf,
    },
    /// A write was cut short, and the disk fails on: it could not be undone yet.
    #[error("{why}; what undoes it lies beside the archive, and belongs to it: {}", path.display())]
    JournalStays {
        /// The journal.
        path: PathBuf,
        /// What cut the write short, in the words of its own error.
        why: String,
    },
    /// It was written, and the disk does not say that it will last.
    #[error("this was written and is there now, but the disk would not confirm it ({source}): {}", path.display())]
    Unconfirmed {
        /// The archive, file or folder.
        path: PathBuf,
        /// The system's own words.
        source: std::io::Error,
    },
    /// No room is left for the archive.
    #[error("the disk is full; nothing of this was kept, and what was kept before is as it was: {}", path.display())]
    ArchiveFull {
        /// The archive.
        path: PathBuf,
    },
    /// The archive is older than any that is opened.
    #[error("this archive has version {found}; this program knows versions from {oldest}: {}", path.display())]
    ArchiveOlder {
        /// The archive.
        path: PathBuf,
        /// Its version.
        found: i32,
        /// The oldest version known.
        oldest: i32,
    },
    /// No archive where one is needed.
    #[error("{}: {}", if *empty { "this file is empty" } else { "there is no archive here" }, path.display())]
    NoArchive {
        /// Where it was looked for.
        path: PathBuf,
        /// A file is there, with nothing in it.
        empty: bool,
    },
    /// A file is to be written where one lies.
    #[error("there is something of that name already, and it was left as it is: {}", path.display())]
    FileThere {
        /// The file or folder.
        path: PathBuf,
    },
    /// A pipe, a socket or the like is named where a file is to be written.
    #[error("this is no plain file, and nothing was written to it: {}", path.display())]
    NoPlainFile {
        /// What was named.
        path: PathBuf,
    },
    /// A name that SQLite gives to a journal.
    #[error("a file of this name would be taken for an archive's journal, and read into it: {}", path.display())]
    NameOfJournal {
        /// What was named.
        path: PathBuf,
    },
    /// A journal lies where it would be taken for that of a file to be made.
    #[error("this is the journal of an archive that was there before, and would be read into the new file: {}", path.display())]
    JournalThere {
        /// The journal.
        path: PathBuf,
    },
    /// A journal that would be replayed into an archive that it does not belong to.
    #[error("this journal is not that of {}, and read into it would ruin it; nothing was opened: {}", archive.display(), path.display())]
    JournalAlien {
        /// The journal.
        path: PathBuf,
        /// The archive beside it.
        archive: PathBuf,
    },
    /// A part that another program holds.
    #[error("another program is writing this right now: {}", path.display())]
    PartThere {
        /// The file or folder.
        path: PathBuf,
    },
    /// A copy of an archive that is not sound.
    #[error("no backup was made, for {problems} things in the archive are not as they were kept: {}", path.display())]
    BackupUnsound {
        /// The archive.
        path: PathBuf,
        /// How many.
        problems: usize,
    },
    /// What was kept of a finish is no longer what it was.
    #[error("what was kept of `{name}` is damaged and was left as it is: {}", path.display())]
    KeptChanged {
        /// The finish.
        name: String,
        /// The archive.
        path: PathBuf,
    },
    /// The disk did not give back what was kept of a finish.
    #[error("what was kept of `{name}` could not be read, though it was tried twice ({detail}): {}", path.display())]
    KeptUnread {
        /// The finish, or the rig.
        name: String,
        /// The archive.
        path: PathBuf,
        /// The system's own words.
        detail: String,
    },
    /// A kept rig, or its study, cannot be understood.
    #[error("the rig `{name}`, or its study, is damaged and was left as it is: {}", path.display())]
    RigUnreadable {
        /// The rig.
        name: String,
        /// The archive.
        path: PathBuf,
    },
    /// A kept ladder is not what it was, or has lost a finish.
    #[error("the ladder `{name}` is damaged and was left as it is: {}", path.display())]
    LadderUnreadable {
        /// The ladder.
        name: String,
        /// The archive.
        path: PathBuf,
    },
    /// A file of an export that cannot be used.
    #[error("this cannot be taken in, for {why}: {}", path.display())]
    ExportUnfit {
        /// The file.
        path: PathBuf,
        /// Why not.
        why: Unfit,
    },
    /// A reading that says not even its version.
    #[error("the reading of `{name}` cannot be understood")]
    ReadingUnreadable {
        /// The finish.
        name: String,
    },
    /// The photo to keep is not the one that was read.
    #[error("the photo of `{name}` is not the one that was read; nothing was kept")]
    PhotoChanged {
        /// The finish.
        name: String,
    },
    /// A finish of that name is there already.
    #[error("a finish named `{name}` is already kept, and nothing kept is overwritten: {}", path.display())]
    NameTaken {
        /// The name.
        name: String,
        /// The archive.
        path: PathBuf,
    },
    /// A name that differs from one that is kept only in capitals or spaces.
    #[error("`{given}` differs only in capitals or spaces from `{name}`, which is already kept: {}", path.display())]
    NameAlike {
        /// The name given.
        given: String,
        /// The one that is kept.
        name: String,
        /// The archive.
        path: PathBuf,
    },
    /// A finish that is still needed is to go into the bin.
    #[error("`{name}` was not removed: {why}")]
    StillNeeded {
        /// The finish.
        name: String,
        /// Who needs it.
        why: Needed,
    },
    /// A finish is asked for that is in the bin.
    #[error("`{name}` was removed and is in the bin: {}", path.display())]
    InBin {
        /// The name that it had.
        name: String,
        /// The archive.
        path: PathBuf,
    },
    /// Nothing of that name is in the bin.
    #[error("nothing named `{name}` is in the bin: {}", path.display())]
    NotInBin {
        /// The name.
        name: String,
        /// The archive.
        path: PathBuf,
    },
    /// Several finishes of one name are in the bin, and all of one of them is to go.
    #[error("several named `{name}` are in the bin: {}", which.iter().map(|name| format!("`{name}`")).collect::<Vec<_>>().join(", "))]
    RemovedTwice {
        /// The name that they had.
        name: String,
        /// What they are called in the bin.
        which: Vec<String>,
    },
    /// A finish that is no approved sample.
    #[error("`{name}` is no approved sample: {}", path.display())]
    NotApproved {
        /// The finish.
        name: String,
        /// The archive.
        path: PathBuf,
    },
    /// Something signed is to be taken back that does not hold.
    #[error("`{name}` has {what}; nothing was changed")]
    NothingToTakeBack {
        /// The sample.
        name: String,
        /// What it has not.
        what: NotHeld,
    },
    /// A tag is to be taken away that is not there.
    #[error("`{name}` has no tag `{tag}`; nothing was changed: {}", path.display())]
    NoSuchTag {
        /// The finish.
        name: String,
        /// The tag.
        tag: String,
        /// The archive.
        path: PathBuf,
    },
    /// A rig is made or renamed under a name that another bears.
    #[error("there is a rig named `{name}` already, and it was left as it is: {}", path.display())]
    RigThere {
        /// The one that is there.
        name: String,
        /// The archive.
        path: PathBuf,
    },
    /// A ladder is made under a name that another bears.
    #[error("there is a ladder named `{name}` already, and it was left as it is: {}", path.display())]
    LadderThere {
        /// The one that is there.
        name: String,
        /// The archive.
        path: PathBuf,
    },
    /// A name that cannot be shown or told apart.
    #[error("`{name}` cannot be a name (expected 1 to 200 printable characters)")]
    NameUnfit {
        /// The name, as far as it can be shown.
        name: String,
    },
    /// No finish of that name.
    #[error("no finish named `{name}` is kept here{}; looked in {}", or_near(near), path.display())]
    NoSuchFinish {
        /// The name.
        name: String,
        /// Names near it, of those that are kept.
        near: Vec<String>,
        /// The archive.
        path: PathBuf,
    },
    /// Neither a photo nor a finish of that name.
    #[error("there is no photo and no kept finish named `{name}`{}; looked in {}", or_near(near), path.display())]
    NoSuchPanel {
        /// What was named.
        name: String,
        /// Names near it, of those that are kept.
        near: Vec<String>,
        /// The archive.
        path: PathBuf,
    },
    /// A picture was asked for of a kept finish.
    #[error("`{name}` is a kept finish; what was counted is drawn of photos only")]
    NothingToDraw {
        /// The finish.
        name: String,
    },
    /// No rig of that name.
    #[error("no rig named `{name}` is kept here{}; looked in {}", or_near(near), path.display())]
    NoSuchRig {
        /// The name.
        name: String,
        /// Names near it, of those that are kept.
        near: Vec<String>,
        /// The archive.
        path: PathBuf,
    },
    /// A recipe with a text or a figure that cannot be.
    #[error("the recipe was not kept: {what} cannot be used (expected {expected})")]
    RecipeUnfit {
        /// Which part of it.
        what: &'static str,
        /// What it may be.
        expected: &'static str,
    },
    /// A line of a recipe that cannot be read.
    #[error("{place}: {why}; nothing was written")]
    RecipeUnread {
        /// Which step, or which line of which file.
        place: String,
        /// Why not.
        why: Unread,
    },
    /// A file of a recipe that is not there, not text, or far too long.
    #[error("no recipe can be read from this file ({found}; expected a text of at most 1 MiB): {}", path.display())]
    RecipeFile {
        /// The file.
        path: PathBuf,
        /// What was found.
        found: String,
    },
    /// A recipe in which nothing is said.
    #[error("nothing is said in this recipe; nothing was written")]
    RecipeEmpty,
    /// A verdict overruled without a reason.
    #[error("a decision against the program needs a reason (expected a few words)")]
    NoReason,
    /// A step of a ladder that cannot be read.
    #[error(
        "`{given}` is no step of a ladder (expected STEP=FINISH, such as light=\"first sample\")"
    )]
    NoStep {
        /// What was given.
        given: String,
    },
    /// Two steps of one name.
    #[error("two steps of the ladder are named `{step}` (expected a name of its own for each)")]
    StepTwice {
        /// The name.
        step: String,
    },
    /// A session without photos.
    #[error("session `{session}` holds no photos (expected photos of each panel)")]
    SessionEmpty {
        /// The session.
        session: String,
    },
    /// A wall with more or fewer places than there are panels.
    #[error("a wall of {across} x {down} has {} places, but {panels} panels were named", across * down)]
    WallUnlikeSet {
        /// Panels across.
        across: usize,
        /// Panels down.
        down: usize,
        /// Panels named.
        panels: usize,
    },
    /// The kept silver map of a finish cannot be opened.
    #[error("the silver map kept with `{name}` cannot be opened")]
    MapUnreadable {
        /// The finish.
        name: String,
    },
    /// Too few panels for a set.
    #[error("a set of {found} is no set (expected two panels or more)")]
    SetTooSmall {
        /// How many were named.
        found: usize,
    },
    /// A ladder of one step, or none.
    #[error("a ladder of {found} steps is no ladder (expected two or more)")]
    LadderTooShort {
        /// How many were named.
        found: usize,
    },
    /// Steps that do not rise.
    #[error(
        "step `{step}` is worn {found}, no more than `{before}` before it ({least}); expected each step heavier than the one before"
    )]
    LadderNotRising {
        /// The step.
        step: String,
        /// The one before it.
        before: String,
        /// Its aggressiveness.
        found: String,
        /// That of the one before it.
        least: String,
    },
    /// A reading without an aggressiveness.
    #[error("`{name}` is too small to say how far it is worn")]
    NothingToPlace {
        /// The panel.
        name: String,
    },
    /// No ladder of that name.
    #[error("no ladder named `{name}` is kept here{}; looked in {}", or_near(near), path.display())]
    NoSuchLadder {
        /// The name.
        name: String,
        /// Names near it, of those that are kept.
        near: Vec<String>,
        /// The archive.
        path: PathBuf,
    },
    /// A job of that name is there.
    #[error("a job named `{name}` is already there, and it was left as it is")]
    JobThere {
        /// The name.
        name: String,
    },
    /// No job of that name.
    #[error("there is no job named `{name}` in {}", path.display())]
    NoSuchJob {
        /// The name.
        name: String,
        /// The archive.
        path: PathBuf,
    },
    /// A job that is closed takes nothing more.
    #[error("the job `{name}` is closed")]
    JobClosed {
        /// The job.
        name: String,
    },
    /// A job that is not what was kept.
    #[error("the job `{name}` in {} is damaged or has changed since it was kept", path.display())]
    JobUnreadable {
        /// The job.
        name: String,
        /// The archive.
        path: PathBuf,
    },
    /// Something said of a job cannot be kept.
    #[error(
        "the job `{name}` cannot be kept: a text of it is empty, too long or of several lines, or a figure is out of range"
    )]
    JobUnfit {
        /// The job.
        name: String,
    },
    /// A finish that was not made for the job.
    #[error("`{name}` is no panel of the job `{job}`")]
    NotOfJob {
        /// The finish.
        name: String,
        /// The job.
        job: String,
    },
    /// A photo that is a panel of the job already.
    #[error("this very photo is kept already, as `{name}`: {}", path.display())]
    PhotoInJob {
        /// The photo.
        path: PathBuf,
        /// The panel.
        name: String,
    },
    /// A decision for several panels at once.
    #[error("a decision against the program is about one panel, and several were named")]
    OneDecision,
    /// A promise for nothing.
    #[error(
        "what is to be promised is not said: neither the size of a panel nor a number of specks"
    )]
    NothingToPromise,
    /// A job is needed, and none is current.
    #[error("no job is current")]
    NoJob,
    /// What is usual cannot be kept.
    #[error(
        "what is usual in the studio cannot be kept: a text is empty, too long or of several lines"
    )]
    UsualUnfit,
    /// What is usual is not what was kept.
    #[error("what is usual in the studio, or which job is current, has changed in {} since it was kept", path.display())]
    UsualUnreadable {
        /// The archive.
        path: PathBuf,
    },
    /// Nobody said what a panel is to look like.
    #[error("{}", no_sample(job.as_deref()))]
    NoSampleNamed {
        /// The current job, where there is one.
        job: Option<String>,
    },
    /// Nobody said which panels are meant.
    #[error("{}", no_panels(job.as_deref()))]
    NoPanelsNamed {
        /// The current job, where there is one.
        job: Option<String>,
    },
    /// Nobody said where the camera's photos come in.
    #[error("the folder that your camera's photos come into is not known")]
    NoCameraFolder,
    /// A file that was made by somebody else, or for another question.
    #[error("a file of that name is there, which was not made here for the same question; it was left as it is: {}", path.display())]
    FileOfAnother {
        /// The file.
        path: PathBuf,
    },
    /// A sheet could not be shown.
    #[error("this sheet could not be opened ({detail}): {}", path.display())]
    NotOpened {
        /// The sheet.
        path: PathBuf,
        /// The system's own words.
        detail: String,
    },
    /// A fingerprint made by another version of the measures.
    #[error(
        "`{name}` was measured by version {found} of the measures; this program compares version {expected} only"
    )]
    FingerprintVersion {
        /// The finish.
        name: String,
        /// Its version.
        found: u32,
        /// The version of this program.
        expected: u32,
    },
    /// Two readings that cannot honestly be compared.
    #[error("`{sample}` and `{panel}` cannot be compared: {why}")]
    NotComparable {
        /// The sample.
        sample: String,
        /// The panel.
        panel: String,
        /// Why not.
        why: Unlike,
    },
    /// A limit piece that does not lie on its side of the sample.
    #[error(
        "`{limit}` cannot be the {wanted} limit of `{sample}`: it has {left} of its silver left, the sample {sample_left}"
    )]
    LimitOnWrongSide {
        /// The piece.
        limit: String,
        /// The sample.
        sample: String,
        /// Which side it was given for, in a word.
        wanted: &'static str,
        /// Silver left on it.
        left: String,
        /// Silver left on the sample.
        sample_left: String,
    },
    /// An allowance that is not a measure and its figure.
    #[error("`{given}` is no allowance (expected MEASURE=FIGURE, such as \"silver left=4 %\")")]
    NoSuchAllowance {
        /// What was given.
        given: String,
    },
    /// A figure that a measure cannot have, or may not differ by.
    #[error("`{given}` cannot be a figure for {of} (expected {expected})")]
    FigureUnfit {
        /// What was given.
        given: String,
        /// The measure, as tables call it.
        of: &'static str,
        /// What it may look like.
        expected: String,
    },
    /// The picture cannot be judged by.
    #[error("this picture cannot be judged by. {meaning} {remedy} ({})", path.display())]
    PictureNotUsable {
        /// The photo.
        path: PathBuf,
        /// What is wrong with it.
        meaning: &'static str,
        /// What to do about it.
        remedy: &'static str,
    },
    /// Nothing in the photo stands out as a panel of the right proportions.
    #[error("no panel is seen in this photo (expected four straight edges of the size's proportions on an even surround): {}", path.display())]
    NoPanelFound {
        /// The photo.
        path: PathBuf,
    },
    /// More than one thing in the photo could be the panel.
    #[error("more than one panel is seen in this photo (expected one): {}", path.display())]
    PanelsFound {
        /// The photo.
        path: PathBuf,
    },
    /// No two panels stand out in the photo.
    #[error("no two panels are seen beside each other in this photo (expected the sample and the panel, whole, on an even dark surround): {}", path.display())]
    NoTwoPanels {
        /// The photo.
        path: PathBuf,
    },
    /// None of two panels, or either, looks like the sample.
    #[error("neither of the two panels is plainly the sample `{sample}` (expected its own specks and clouds on one of them): {}", path.display())]
    SampleNotSeen {
        /// The photo.
        path: PathBuf,
        /// The sample.
        sample: String,
    },
    /// The frame of the photo cuts the panel.
    #[error("the panel is cut off at the {side} of the photo (expected all four edges with some of the table around): {}", path.display())]
    PanelCutOff {
        /// The photo.
        path: PathBuf,
        /// The side of the photo, in a word.
        side: &'static str,
    },
    /// The plain frame of a rig cannot be judged by.
    #[error("no rig can be made from this picture. {meaning} {remedy} ({})", path.display())]
    PlainNotUsable {
        /// The photo.
        path: PathBuf,
        /// What is wrong with it.
        meaning: &'static str,
        /// What to do about it.
        remedy: &'static str,
    },
    /// A study with a single photo of a panel.
    #[error("panel {panel} of the study has one photo or none (expected at least two of each)")]
    OnePhotoOfPanel {
        /// Which panel, counted from 1.
        panel: usize,
    },
    /// Sessions of a study that do not show the same.
    #[error(
        "session `{session}` holds {found} photos, panel by panel (expected {expected}, in every session)"
    )]
    SessionsUnlike {
        /// The session.
        session: String,
        /// Photos of each panel.
        found: String,
        /// What the first session holds.
        expected: String,
    },
    /// The same photo twice in one study or set.
    #[error("`{first}` and `{again}` are the same photo (expected photos taken one by one)")]
    SamePhotoTwice {
        /// The one.
        first: String,
        /// The other.
        again: String,
    },
    /// No measure has this key.
    #[error("there is no measure `{given}`{}; known: {known}", or_near(near))]
    NoSuchMeasure {
        /// What was given.
        given: String,
        /// Names near it, of those that measures go by.
        near: Vec<String>,
        /// The measures there are.
        known: String,
    },
    /// A direction comes round again, so no curve runs through it.
    #[error("no effect on `{key}` can be told: a direction comes round again")]
    EffectOfDirection {
        /// The measure.
        key: &'static str,
    },
    /// No recipe says this setting.
    #[error(
        "no recipe says `{setting}`{}; {}", or_near(near),
        if known.is_empty() { "no recipe says any setting yet".to_owned() } else { format!("known: {}", known.iter().map(String::as_str).collect::<Vec<_>>().join(", ")) }
    )]
    NoSuchSetting {
        /// What was asked for.
        setting: String,
        /// Names near it, of those that recipes say, or the figures of the step that was named.
        near: Vec<String>,
        /// The settings that recipes say.
        known: std::collections::BTreeSet<String>,
    },
    /// One setting in several units.
    #[error("`{setting}` was written in several units: {}", units.iter().map(|u| format!("`{u}`")).collect::<Vec<_>>().join(", "))]
    SettingUnits {
        /// The setting.
        setting: String,
        /// Its units.
        units: std::collections::BTreeSet<String>,
    },
    /// One picture file for several photos.
    #[error("a picture or a page shows one photo, but several were given")]
    OnePicture,
    /// Several things are to be written to the standard output.
    #[error("only one of --json, --csv - and --page - can be written to the standard output")]
    OneOutput,
    /// The answer could not be written.
    #[error("the answer could not be written: {source}")]
    Output {
        /// The system's own words.
        source: std::io::Error,
    },
    /// The page at the bench cannot be opened.
    #[error("the bench could not be opened: {source}")]
    BenchNotOpened {
        /// The system's own words.
        source: std::io::Error,
    },
    /// The platform has no folder for a program's data.
    #[error("this machine names no folder for a program's data")]
    NoDataFolder,
    /// A demo photo is not there.
    #[error("the demo's photos are not there: {}", path.display())]
    NoDemo {
        /// Where they were looked for.
        path: PathBuf,
    },
    /// The placement file beside the photo cannot be understood.
    #[error("this placement file cannot be understood ({detail}): {}", path.display())]
    SidecarUnreadable {
        /// The sidecar.
        path: PathBuf,
        /// What is wrong, and where.
        detail: String,
    },
    /// A placement file is to be written where one lies.
    #[error("a placement file is already there, and it was left as it is: {}", path.display())]
    SidecarThere {
        /// The sidecar.
        path: PathBuf,
    },
    /// A picture of a reading cannot be made into a PNG file.
    #[error("a picture of {width} x {height} pixels cannot be made into a PNG: {source}")]
    PictureNotEncoded {
        /// Pixels across.
        width: u32,
        /// Pixels down.
        height: u32,
        /// The encoder's own words.
        source: image::ImageError,
    },
}

/// Who still needs a finish.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum Needed {
    /// It is signed.
    #[error("it is an approved sample")]
    Approved,
    /// A sample is limited by it.
    #[error("it is a limit piece of the sample `{sample}`")]
    LimitPiece {
        /// The sample.
        sample: String,
    },
    /// It is what a job's panels are held to.
    #[error("it is the sample of the job `{job}`")]
    JobSample {
        /// The job.
        job: String,
    },
    /// A ladder stands on it.
    #[error("it is a step of the ladder `{ladder}`")]
    Step {
        /// The ladder.
        ladder: String,
    },
}

/// What does not hold of a sample.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum NotHeld {
    /// A light limit.
    #[error("no light limit")]
    Light,
    /// A dark limit.
    #[error("no dark limit")]
    Dark,
    /// How much it is meant to vary.
    #[error("nothing said of how much it is meant to vary")]
    Variety,
    /// An allowance of the studio's own.
    #[error("no allowance of your own for `{key}`")]
    Allowance {
        /// The measure.
        key: String,
    },
}

/// The names that may have been meant, to go on with; nothing where none is near.
fn or_near(near: &[String]) -> String {
    let quoted: Vec<String> = near.iter().map(|name| format!("`{name}`")).collect();
    match quoted.as_slice() {
        [] => String::new(),
        [one] => format!(" (did you mean {one}?)"),
        [all @ .., last] => format!(" (did you mean {} or {last}?)", all.join(", ")),
    }
}

/// Why two readings cannot honestly be set against each other.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
pub enum Unlike {
    /// Another version of the measures.
    #[error("they were measured by unlike versions of the measures")]
    Versions,
    /// Other settings.
    #[error("they were measured with unlike settings")]
    Settings,
    /// Front against back.
    #[error("one was photographed from the front and the other from the back")]
    Sides,
    /// Full silver known for one only. A veiled panel on its own scale reads lighter than it is, and would be worked further
    /// for nothing.
    #[error(
        "one was read against full silver, the other only against its own brightest parts; name the rig, or lay a mirror offcut beside it"
    )]
    Scales,
    /// A painted back hides the silver.
    #[error("from behind, a backed panel shows its paint and not its silver")]
    PaintSeen,
}

/// What is missing where no sample is named.
fn no_sample(job: Option<&str>) -> String {
    match job {
        Some(job) => format!("the job `{job}` has no sample, and none was named"),
        None => "no sample was named to set the panel beside, and no job is current".to_owned(),
    }
}

/// What is missing where no panel is named.
fn no_panels(job: Option<&str>) -> String {
    match job {
        Some(job) => format!("the job `{job}` has no panels yet, and none were named"),
        None => "no panels were named, and no job is current".to_owned(),
    }
}

/// How an error maps onto the program's exit codes.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Kind {
    /// The command could not run: exit code 2.
    CouldNotRun,
    /// The picture cannot be judged by: exit code 3.
    PictureNotUsable,
}

impl Error {
    /// The same, of this photo, where the error was found without knowing which.
    #[must_use]
    pub fn of_photo(mut self, photo: &std::path::Path) -> Self {
        if let Error::CornersImpossible { path, .. } | Error::BareUnfit { path, .. } = &mut self
            && path.as_os_str().is_empty()
        {
            photo.clone_into(path);
        }
        self
    }

    /// The same, with the finish named at which the archive could not be read.
    #[must_use]
    pub fn unread_of(self, finish: &str) -> Self {
        match self {
            Error::ArchiveUnread { path, detail } => Error::KeptUnread {
                name: finish.to_owned(),
                path,
                detail,
            },
            other => other,
        }
    }

    /// The same, with the finish named at which the archive was found damaged or could not be read.
    #[must_use]
    pub fn of_finish(self, finish: &str) -> Self {
        match self {
            Error::ArchiveDamaged { path, .. } => Error::KeptChanged {
                name: finish.to_owned(),
                path,
            },
            other => other.unread_of(finish),
        }
    }

    /// The disk did not give back something that was kept.
    #[must_use]
    pub fn is_unread(&self) -> bool {
        matches!(self, Error::ArchiveUnread { .. } | Error::KeptUnread { .. })
    }

    /// Something that was kept is not what it was, or is not to be had; the rest of the archive may be sound.
    #[must_use]
    pub fn is_loss(&self) -> bool {
        self.is_unread()
            || matches!(
                self,
                Error::KeptChanged { .. }
                    | Error::ArchiveDamaged { .. }
                    | Error::ReadingUnreadable { .. }
                    | Error::RigUnreadable { .. }
                    | Error::LadderUnreadable { .. }
                    | Error::JobUnreadable { .. }
                    | Error::UsualUnreadable { .. }
            )
    }

    /// Which exit code this error asks for.
    #[must_use]
    pub fn kind(&self) -> Kind {
        match self {
            Error::PictureNotUsable { .. }
            | Error::PlainNotUsable { .. }
            | Error::NoPanelFound { .. }
            | Error::PanelsFound { .. }
            | Error::NoTwoPanels { .. }
            | Error::SampleNotSeen { .. }
            | Error::PanelCutOff { .. }
            | Error::BareUnfit { .. }
            | Error::MarksUnclear { .. } => Kind::PictureNotUsable,
            _ => Kind::CouldNotRun,
        }
    }
}
