//! What to do about each error, as it is done on the command line.

use crate::error::{Error, Unfit};

/// The next step, in the maker's words.
#[must_use]
pub fn hint(error: &Error) -> &'static str {
    match error {
        Error::NotFound { .. } => {
            "Check the name, or drag the photo into the window to fill it in."
        }
        Error::IsFolder { .. } => "Name a photo inside it.",
        Error::NoPhotoIn { .. } => "Name the folder that holds the photos themselves.",
        Error::Io { .. } => "Check that the disk is connected, not full and not write-protected.",
        Error::NotAPhoto { .. } => {
            "In the phone's camera settings, under Formats, choose JPEG (some say Most Compatible) and switch RAW off; or export the picture as JPEG."
        }
        Error::UnreadableKind { .. } => "Export the picture as an ordinary RGB JPEG.",
        Error::DamagedPhoto { .. } => "Copy it from the phone again, or take it again.",
        Error::PhotoTooLarge { .. } => "Export it smaller; 12 megapixels are plenty.",
        Error::PhotoTooSmall { .. } => "Use the photo itself, not its thumbnail.",
        Error::PlacementMissing { .. } => {
            "Give --size, width first, or a placement file beside the photo; the corners are looked for where they are not given."
        }
        Error::CornersImpossible { .. } => {
            "Give top left, top right, bottom right, bottom left, as the panel hangs."
        }
        Error::CornersUnlikeSize { .. } => {
            "Check that width comes before height, and that the first corner is the top left."
        }
        Error::OutsidePhoto { .. } => "Read the positions off this very photo, held upright.",
        Error::MarksUnclear { .. } => {
            "Lay all four, dry and flat, each at its own corner, and see that nothing covers them; or give --size and --corners."
        }
        Error::SizeUnlikeMarks { .. } => {
            "Leave out --size, or measure the panel and the sheet's ruler; give --corners to do without the marks."
        }
        Error::FileKind { .. } => "Name a file that ends like that.",
        Error::PatchTooSmall { .. } => "Mark more of the patch: x,y,width,height in pixels.",
        Error::PatchOnPanel { .. } => "Mark the card or offcut beside the panel.",
        Error::OutOfRange { .. } => "Correct the figure.",
        Error::StepsUnfit { .. } => {
            "Mark at least four steps beside the panel, dark to bright, none of them in a glare, with the figures printed on the card."
        }
        Error::BareUnfit { .. } => {
            "Use an offcut of clear glass painted black behind, out of any glare, or leave it out."
        }
        Error::NotAnArchive { .. } => "Name the right file with --archive, or a new one.",
        Error::ArchiveNewer { .. } => "Use the newer paneprint that wrote it.",
        Error::ArchiveDamaged { .. } => "Keep the file, and go on with your last copy of it.",
        Error::ArchiveUnavailable { .. } => {
            "Check that its folder can be written, the disk is not full, and no other program holds it."
        }
        Error::ArchiveBusy { .. } => "Wait until the other has finished, and try again.",
        Error::ArchiveReadOnly { .. } => {
            "Copy it to a folder of your own, or lift the protection, and name it with --archive."
        }
        Error::ArchiveFull { .. } => "Make room on the disk, and keep it again.",
        Error::ArchiveOlder { .. } => {
            "Export it with the paneprint that wrote it, and import that here."
        }
        Error::NoArchive { .. } => "Name the right file with --archive.",
        Error::FileThere { .. } => "Choose another name, or move that one away.",
        Error::NameOfJournal { .. } => "Choose a name that ends otherwise.",
        Error::JournalThere { .. } => {
            "Choose another name; or move it away together with what is left of its archive."
        }
        Error::NoPlainFile { .. } => {
            "Name a plain file; for another program there is --json, on the standard output."
        }
        Error::PartThere { .. } => "Wait until it has finished, and try again.",
        Error::BackupUnsound { .. } => {
            "See what is wrong: paneprint verify. Until then copy the file by hand."
        }
        Error::KeptChanged { .. } => {
            "See what else is wrong: paneprint verify. Then take this one from your last backup."
        }
        Error::RigUnreadable { .. } => "Make it again: paneprint rig make NAME --plain PHOTO.",
        Error::LadderUnreadable { .. } => {
            "Make it again: paneprint ladder make NAME LIGHT=FINISH … HEAVY=FINISH."
        }
        Error::ExportUnfit { why, .. } => match why {
            Unfit::NameTaken { .. } => "Import it into an archive of its own: add --archive FILE.",
            Unfit::LimitPiece { .. } | Unfit::Step { .. } => {
                "Export that one too, and import both together."
            }
            Unfit::Newer { .. } => "Use the newer paneprint that wrote it.",
            Unfit::Missing => "Name the folder that paneprint export wrote.",
            _ => "Export it again, and leave the files as they are.",
        },
        Error::ReadingUnreadable { .. } => "Keep its photo again, under another name.",
        Error::PhotoChanged { .. } => "Keep it again, and leave the file alone meanwhile.",
        Error::NameTaken { .. } => "Choose another name, such as the same with the date.",
        Error::NameUnfit { .. } => "Choose a short name of letters, figures and spaces.",
        Error::NoSuchFinish { .. } => "See `paneprint list`, and keep the panel first.",
        Error::NoSuchPanel { .. } => "Check the name; `paneprint list` shows what is kept.",
        Error::NothingToDraw { .. } => "Name the photo, or leave out --picture.",
        Error::NoSuchRig { .. } => "Make it first: paneprint rig make NAME --plain PHOTO.",
        Error::RecipeUnfit { .. } => "Correct that part, and write it again.",
        Error::RecipeUnread { .. } => {
            "Write your word for the step, then what you like with commas between: attack, 140 s, 30 ml, 21 C, rocked, dried with warm air, note: anything else."
        }
        Error::RecipeFile { .. } => {
            "Name a plain text file with lines such as step: attack, 140 s."
        }
        Error::RecipeEmpty => {
            "Say any of --technique, --step, --backing and --change, or use --file or --ask."
        }
        Error::NoReason => {
            "Say in a few words why: the reason is what you will want to read in a year."
        }
        Error::NoStep { .. } => {
            "Write your name for the step, `=`, and the name of the kept finish."
        }
        Error::StepTwice { .. } => "Give each step a name of its own.",
        Error::SessionEmpty { .. } => {
            "Name the photos of each panel after it, or leave the session out."
        }
        Error::WallUnlikeSet { .. } => {
            "Name as many panels as the wall has places, or leave out --wall for one row."
        }
        Error::MapUnreadable { .. } => "Name the panel's photo instead.",
        Error::SetTooSmall { .. } => {
            "Name every panel of the set: kept finishes, photos, or folders of photos."
        }
        Error::LadderTooShort { .. } => {
            "Name the steps from light to heavy: LIGHT=FINISH … HEAVY=FINISH."
        }
        Error::LadderNotRising { .. } => "Name the steps from light to heavy.",
        Error::NothingToPlace { .. } => "Photograph a larger piece of it.",
        Error::NoSuchLadder { .. } => {
            "Make it first: paneprint ladder make NAME LIGHT=FINISH … HEAVY=FINISH."
        }
        Error::FingerprintVersion { .. } => {
            "Read it again with this version: paneprint remeasure NAME."
        }
        Error::NotComparable { .. } => "Photograph both the same way, and measure both again.",
        Error::LimitOnWrongSide { .. } => {
            "Name the lightest signed piece with --light and the darkest with --dark."
        }
        Error::NoSuchAllowance { .. } => "Correct the name or the figure.",
        Error::PictureNotUsable { .. } => {
            "Or go on with --anyway, and the reading will remember it."
        }
        Error::NoPanelFound { .. } => {
            "Lay it on a plain table darker than its silver and check --size, width first; or give --corners."
        }
        Error::PanelsFound { .. } => {
            "Take the other out of the picture, or say which is meant with --corners."
        }
        Error::NoTwoPanels { .. } => {
            "Lay the sample beside the panel, a hand apart, on plain dark cloth; or give --size and use a rig or a patch."
        }
        Error::SampleNotSeen { .. } => {
            "Lay the sample itself beside the panel, the way it hangs; a sample without specks or clouds of its own cannot be known again."
        }
        Error::PanelCutOff { .. } => "Step back, and take it again with all of the panel in.",
        Error::PlainNotUsable { .. } => {
            "Take care with this one: every photo of the rig leans on it."
        }
        Error::OnePhotoOfPanel { .. } => "Take the panel out, put it back and photograph it again.",
        Error::SessionsUnlike { .. } => {
            "Photograph the same panels equally often each time, and name them in the same order."
        }
        Error::SamePhotoTwice { .. } => {
            "Name each photo once; where one panel is photographed again, take it out and put it back."
        }
        Error::NoSuchMeasure { .. } => "Name one of these.",
        Error::EffectOfDirection { .. } => "Ask for another measure, such as aggressiveness.",
        Error::NoSuchSetting { .. } => {
            "Write down how panels were made: paneprint recipe NAME, and ask again."
        }
        Error::SettingUnits { .. } => "Write the recipes again, all in one unit.",
        Error::OnePicture => "Draw the photos one by one, or lay them side by side with set.",
        Error::Output { .. } => "Check where the output goes.",
        Error::BenchNotOpened { .. } => {
            "Choose another --port; for --phones, be in a network with them first."
        }
        Error::NoDataFolder => "Name the archive with --archive FILE.",
        Error::NoDemo { .. } => "Run the demo from the project's own folder.",
        Error::NotPlain { .. } => {
            "Photograph a clean new mirror in the panel's place, with nothing but the board in it."
        }
        Error::SidecarUnreadable { .. } => {
            "Correct it, or delete it and give --size and --corners."
        }
        Error::SidecarThere { .. } => {
            "Leave out --write-place to go by it, or move it away and find the panel anew."
        }
        Error::PictureNotEncoded { .. } => {
            "Close other programs to free memory, or measure a smaller photo."
        }
    }
}
