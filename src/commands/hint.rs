//! What to do about each error, as it is done on the command line.

use crate::error::{Error, Needed, Unfit};

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
        Error::NotAPhoto { found, .. } => not_a_photo(found),
        Error::UnreadableKind { .. } => "Export the picture as an ordinary RGB JPEG.",
        Error::DamagedPhoto { .. } => "Copy it from the phone again, or take it again.",
        Error::PhotoTooLarge { .. } => "Export it smaller; 12 megapixels are plenty.",
        Error::PhotoTooSmall { .. } => "Use the photo itself, not a small copy of it.",
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
        Error::ArchiveUnread { .. } | Error::KeptUnread { .. } => {
            "It need not be damaged: see that the disk or stick sits firmly, and try again. If it stays so, copy the archive to another disk."
        }
        Error::ArchiveUnavailable { .. } => {
            "Check that its folder can be written, the disk is not full, and no other program holds it."
        }
        Error::ArchiveBusy { .. } => "Wait until the other has finished, and try again.",
        Error::ArchiveReadOnly { .. } => {
            "Copy it to a folder of your own, or lift the protection, and name it with --archive."
        }
        Error::JournalStays { .. } => {
            "Leave the two together. See that the disk sits firmly and has room, and run: paneprint list. That undoes it."
        }
        Error::Unconfirmed { .. } => {
            "Look at what is there before you do it again, and make a backup on another disk."
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
        Error::JournalAlien { .. } => {
            "If a copy was put in the archive's place, move this journal away, and look at the copy: paneprint verify."
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
            Unfit::LimitPiece { .. } | Unfit::Step { .. } | Unfit::OfJob { .. } => {
                "Export that one too, and import both together."
            }
            Unfit::Newer { .. } => "Use the newer paneprint that wrote it.",
            Unfit::Missing => "Name the folder that paneprint export wrote.",
            _ => "Export it again, and leave the files as they are.",
        },
        Error::ReadingUnreadable { .. } => "Keep its photo again, under another name.",
        Error::PhotoChanged { .. } => "Keep it again, and leave the file alone meanwhile.",
        Error::NameTaken { .. } => {
            "Choose another name, such as the same with the date; or take that one back: paneprint rename, paneprint remove."
        }
        Error::NameAlike { .. } => "Such names are one and the same here: choose another name.",
        Error::StillNeeded { why, .. } => match why {
            Needed::Approved => "Take its approval back first: paneprint approve NAME --withdraw.",
            Needed::LimitPiece { .. } => {
                "Take the limit back first: paneprint approve SAMPLE --no-light, or --no-dark."
            }
            Needed::JobSample { .. } => {
                "Name another sample for the job first: paneprint job change JOB --sample NAME."
            }
            Needed::Step { .. } => {
                "Make the ladder without it first: paneprint ladder make NAME … --replace, or paneprint ladder remove NAME."
            }
        },
        Error::InBin { .. } => "Take it out of the bin first: paneprint restore NAME.",
        Error::NotInBin { .. } => "See what is in the bin: paneprint remove --bin.",
        Error::RemovedTwice { .. } => "Name one of these as it is written here.",
        Error::NotApproved { .. } => "See what is approved: paneprint list.",
        Error::NothingToTakeBack { .. } => "See what holds: paneprint show NAME.",
        Error::NoSuchTag { .. } => "See its tags: paneprint note NAME.",
        Error::RigThere { .. } | Error::LadderThere { .. } => {
            "Choose another name, or add --replace: the new one takes its place, and the old one stays in the history."
        }
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
        Error::JobThere { .. } => {
            "Go on with it: paneprint job use NAME. Or begin the new one under another name."
        }
        Error::NoSuchJob { .. } => "See `paneprint job list`.",
        Error::JobClosed { .. } => "Take it up again: paneprint job reopen NAME.",
        Error::JobUnreadable { .. } => {
            "See what else is wrong: paneprint verify. Until it is mended add --no-job."
        }
        Error::JobUnfit { .. } => "Say it in a few words on one line.",
        Error::NotOfJob { .. } => "See `paneprint job`, which lists its panels.",
        Error::PhotoInJob { .. } => {
            "Nothing to do. To keep it once more give it a name: --name NAME."
        }
        Error::OneDecision => "Name the panel that it is about.",
        Error::NothingToPromise => "Add --size WxHmm, or --speckles NUMBER.",
        Error::NoJob => {
            "Begin one: paneprint job new NAME --sample NAME. Or go on with one: paneprint job use NAME."
        }
        Error::UsualUnfit => "Say it in a few words on one line.",
        Error::UsualUnreadable { .. } => {
            "See what else is wrong: paneprint verify. Then say it again: paneprint studio --rig NAME."
        }
        Error::NoSampleNamed { job: None } => {
            "Add --to NAME; or begin a job, and never name it again: paneprint job new NAME --sample NAME."
        }
        Error::NoSampleNamed { job: Some(_) } => {
            "Add --to NAME; or give the job its sample: paneprint job change --sample NAME."
        }
        Error::NoPanelsNamed { job: None } => {
            "Name every panel of the set; or go on with a job, whose panels are taken: paneprint job use NAME."
        }
        Error::NoPanelsNamed { job: Some(_) } => {
            "Keep its panels first: paneprint keep PHOTO. Or name the panels of the set."
        }
        Error::NoCameraFolder => {
            "Name it after --watch, or say it once: paneprint studio --camera-folder FOLDER."
        }
        Error::FileOfAnother { .. } => {
            "Choose another name, or leave the name out; or add --replace-file to write over it."
        }
        Error::NotOpened { .. } => "Open it by hand: it is written.",
        Error::FingerprintVersion { .. } => {
            "Read it again with this version: paneprint remeasure NAME."
        }
        Error::NotComparable { .. } => "Photograph both the same way, and measure both again.",
        Error::LimitOnWrongSide { .. } => {
            "Name the lightest signed piece with --light and the darkest with --dark."
        }
        Error::NoSuchAllowance { .. } => {
            "Write the measure as tables call it, an equals sign, and how far it may differ."
        }
        Error::FigureUnfit { .. } => "Correct the figure.",
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
            "Lay the sample itself beside the panel, the way it hangs; a sample without specks or clouds of its own cannot be recognised."
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
        Error::OnePicture => "Give one photo at a time, or lay them side by side with set.",
        Error::OneOutput => "Name a file for the other.",
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
            "Leave out --write-place to go by it, or move it away to have the panel looked for again."
        }
        Error::PictureNotEncoded { .. } => {
            "Close other programs to free memory, or measure a smaller photo."
        }
    }
}

/// What to do about a file that is no photo this program reads, by what it is.
fn not_a_photo(found: &str) -> &'static str {
    let is = |kinds: &[&str]| kinds.iter().any(|kind| found.contains(kind));
    if is(&["HEIC", "HEIF", "AVIF", "raw"]) {
        "In the phone's camera settings, under Formats, choose JPEG (some say Most Compatible) and switch RAW off; or export the picture as JPEG."
    } else if is(&["picture", "GIF", "BMP", "Photoshop"]) {
        "Export the picture as JPEG."
    } else if is(&["empty"]) {
        "Copy the photo from the phone again."
    } else {
        "Name the photo itself."
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_remedy_fits_what_was_found() {
        let of = |found: &str| {
            hint(&Error::NotAPhoto {
                path: "a".into(),
                found: found.to_owned(),
            })
        };
        assert!(of("a HEIC picture").contains("camera settings"));
        assert!(of("a camera raw file (RAF)").contains("RAW off"));
        for found in [
            "a text file",
            "a PDF",
            "a film",
            "a JPEG XL picture",
            "an empty file",
        ] {
            assert!(!of(found).contains("settings"), "{found}");
        }
    }
}
