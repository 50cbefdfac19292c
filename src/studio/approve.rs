//! A kept finish made the approved sample, with what the studio says of it; and what was said taken back.

use super::Studio;
use super::signed::Signed;
use crate::archive::{Approval, Archive, Finish, Signature, TakeBack};
use crate::compare::Side;
use crate::compare::terms::check_limit;
use crate::error::Result;

/// What is asked.
#[derive(Debug, Clone, Default)]
pub struct Request {
    /// The kept finish.
    pub name: String,
    /// What is signed of it; its date is that of the studio's clock.
    pub approval: Approval,
    /// Who signed it, where that is said.
    pub signed_by: Option<String>,
    /// What no longer holds of what was signed before.
    pub back: TakeBack,
}

/// What holds now.
pub struct Approved {
    /// The sample with all that was signed of it.
    pub signed: Signed,
    /// Which of the sample and its limit pieces are kept without their photos.
    pub without_photo: Vec<String>,
}

/// Approves it, and says what holds now.
///
/// # Errors
/// It or a limit piece is not kept, or damaged; a limit piece lies on the wrong side; what is taken back does not hold. Nothing is
/// signed then.
pub fn approve(request: &Request, studio: &Studio<'_>) -> Result<Approved> {
    let mut archive = studio.archive()?;
    let sample = archive.finish_named(&request.name)?;
    let mut approval = Approval {
        approved_at: (studio.now)(),
        ..request.approval.clone()
    };
    approval.signature = request.signed_by.as_ref().map(|by| Signature {
        by: by.clone(),
        at: approval.approved_at.clone(),
    });
    for (piece, lighter) in [(&mut approval.light, true), (&mut approval.dark, false)] {
        let Some(named) = piece else { continue };
        let kept = archive.finish_named(named)?;
        check_limit(side(&sample), side(&kept), lighter)?;
        *piece = Some(kept.name);
    }
    archive.approve(&sample.name, &approval, &request.back)?;
    let signed = Signed::named(&sample.name, &archive)?;
    Ok(Approved {
        without_photo: without_photo(&signed, &archive)?,
        signed,
    })
}

/// Takes the approval of a sample back; what was signed is returned with the name of the finish.
///
/// # Errors
/// There is no such finish, or it is not approved; the archive cannot be written.
pub fn withdraw(name: &str, reason: &str, studio: &Studio<'_>) -> Result<(String, Approval)> {
    let mut archive = studio.archive()?;
    let name = archive.kept_name(name)?;
    let signed = archive.withdraw(&name, reason, &(studio.now)())?;
    Ok((name, signed))
}

/// Which of a sample and its limit pieces are kept without their photos: a replacement years on needs those.
fn without_photo(signed: &Signed, archive: &Archive) -> Result<Vec<String>> {
    let mut without = Vec::new();
    let pieces = signed.pieces().into_iter().flatten();
    for finish in std::iter::once(&signed.sample).chain(pieces) {
        if archive.photo_size(&finish.name)?.is_none() {
            without.push(finish.name.clone());
        }
    }
    Ok(without)
}

fn side(finish: &Finish) -> Side<'_> {
    Side {
        name: &finish.name,
        fingerprint: &finish.fingerprint,
    }
}
