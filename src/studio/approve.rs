//! A kept finish made the approved sample, with what the studio says of it.

use super::Studio;
use super::signed::Signed;
use crate::archive::Approval;
use crate::compare::Side;
use crate::compare::terms::check_limit;
use crate::error::Result;

/// What is asked.
#[derive(Debug, Clone)]
pub struct Request {
    /// The kept finish.
    pub name: String,
    /// What is signed of it; its date is that of the studio's clock.
    pub approval: Approval,
}

/// Approves it, and says what holds now.
///
/// # Errors
/// It or a limit piece is not kept, or damaged; a limit piece lies on the wrong side, and nothing is signed.
pub fn approve(request: &Request, studio: &Studio<'_>) -> Result<Signed> {
    let Request { name, approval } = request;
    let mut archive = studio.archive()?;
    let sample = archive.finish_named(name)?;
    for (piece, lighter) in [(&approval.light, true), (&approval.dark, false)] {
        let Some(named) = piece else { continue };
        let piece = archive.finish_named(named)?;
        let side = |name, fingerprint| Side { name, fingerprint };
        check_limit(
            side(name, &sample.fingerprint),
            side(named, &piece.fingerprint),
            lighter,
        )?;
    }
    let approval = Approval {
        approved_at: (studio.now)(),
        ..approval.clone()
    };
    archive.approve(name, &approval)?;
    Signed::named(name, &archive)
}
