//! The signs that need nothing odd to be painted: each raised by one photo and not by its neighbour.

use paneprint::frame::placement::{PatchKind, Placement, Side};
use paneprint::frame::quad::Quad;
use paneprint::quality::{Flag, FlagSet};
use paneprint::synth::{Finish, Photographed, Shot, photograph};
use paneprint::units::SizeMm;

use crate::support::{SAMPLE, read};

fn photo(size: SizeMm, shot: Shot) -> Photographed {
    photograph(&Finish::seeded(5).paint(size, 4.0), &shot)
}

fn mirrors() -> Shot {
    Shot::default()
        .with_mirror_patches(SAMPLE, 2)
        .sized(1600, 1200)
}

fn flags(photo: &Photographed, placement: &Placement) -> FlagSet {
    let reading = read(photo.jpeg().unwrap(), placement, None);
    reading.fingerprint.provenance.flags
}

#[track_caller]
fn tells_apart(flag: Flag, with: &FlagSet, without: &FlagSet) {
    assert!(with.has(flag), "{flag:?} is not raised: {with:?}");
    assert!(!without.has(flag), "{flag:?} is raised: {without:?}");
}

#[test]
fn how_a_photo_is_taken_raises_its_sign() {
    let seen = |shot: Shot| {
        let photo = photo(SAMPLE, shot);
        flags(&photo, &photo.placement)
    };
    let good = seen(mirrors());
    let bright = seen(Shot {
        exposure_ev: 1.0,
        ..mirrors()
    });
    tells_apart(Flag::Clipped, &bright, &good);
    tells_apart(Flag::PatchClipped, &bright, &good);
    let soft = seen(Shot {
        blur_px: 4.0,
        ..mirrors()
    });
    tells_apart(Flag::Soft, &soft, &good);
    let pale = seen(Shot {
        surround: 0.9,
        ..mirrors()
    });
    tells_apart(Flag::BlurUnknown, &pale, &good);
}

#[test]
fn a_panel_of_too_few_pixels_is_told() {
    let large = SizeMm {
        width: 900.0,
        height: 600.0,
    };
    let seen = |width, height| {
        let photo = photo(large, Shot::bench(large).sized(width, height));
        flags(&photo, &photo.placement)
    };
    let (shrunken, as_taken) = (seen(800, 600), seen(1600, 1200));
    tells_apart(Flag::PanelSmall, &shrunken, &as_taken);
    // It is in focus, and that is not what is said of it.
    tells_apart(Flag::Shrunken, &shrunken, &as_taken);
    assert!(!shrunken.has(Flag::Blurred), "{shrunken:?}");
}

#[test]
fn how_a_photo_is_placed_raises_its_sign() {
    let photo = photo(SAMPLE, Shot::bench(SAMPLE).sized(1600, 1200));
    let right = photo.placement.clone();
    let good = flags(&photo, &right);
    let with = |change: fn(&mut Placement)| {
        let mut placement = right.clone();
        change(&mut placement);
        flags(&photo, &placement)
    };
    let card_for_mirror = with(|p| p.patches[0].kind = PatchKind::Mirror);
    tells_apart(Flag::BrighterThanSilver, &card_for_mirror, &good);
    let few_pixels = with(|p| {
        let [x, y] = p.patches[0].corners.centre();
        p.patches[0].corners = Quad::rectangle(x - 6.0, y - 6.0, 12.0, 12.0);
    });
    tells_apart(Flag::PatchSmall, &few_pixels, &good);
    // Named as seen in the photo, though the coated side is seen.
    let as_seen = with(|p| p.side = Side::Back);
    tells_apart(Flag::CornersFromBehind, &as_seen, &good);
}

#[test]
fn a_profile_that_is_none_is_told() {
    let photo = photo(SAMPLE, mirrors());
    let jpeg = photo.jpeg().unwrap();
    let body = b"ICC_PROFILE\0\x01\x01no profile at all";
    let length = u16::try_from(body.len() + 2).unwrap().to_be_bytes();
    let marked = [&jpeg[..2], b"\xff\xe2", &length, body, &jpeg[2..]].concat();
    let seen = |bytes| {
        let reading = read(bytes, &photo.placement, None);
        reading.fingerprint.provenance.flags
    };
    tells_apart(Flag::ProfileBroken, &seen(marked), &seen(jpeg));
}
