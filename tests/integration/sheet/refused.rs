//! Marks that do not say where the panel is: refused in words, never guessed.

use std::path::Path;
use std::time::{Duration, Instant};

use paneprint::draw::marks::Paper;
use paneprint::error::{Error, Kind};
use paneprint::frame::mark::{Corner, MarkSize};
use paneprint::frame::placement::{FoundBy, Placement, Side};
use paneprint::placement::marks::find;
use paneprint::placement::{Given, place};
use paneprint::synth::{Finish, Photographed, Shot, photograph};
use paneprint::units::SizeMm;

use super::laid::{Pose, Print, cover, lay};
use super::photos::{PATH, decoded, finish};

const SIZE: SizeMm = SizeMm {
    width: 200.0,
    height: 150.0,
};

fn bare() -> Photographed {
    let shot = Shot {
        fill: 0.6,
        turn_deg: 2.0,
        ..Shot::default().sized(2000, 1500)
    };
    photograph(&finish(3).paint(SIZE, 6.0), &shot)
}

fn print(size: &str) -> Print {
    Print::new(Paper::A4, size.parse::<MarkSize>().unwrap())
}

fn flat(corners: &[usize]) -> [Option<Pose>; 4] {
    [0, 1, 2, 3].map(|i| corners.contains(&i).then(Pose::default))
}

fn marked() -> Photographed {
    let mut photo = bare();
    lay(&mut photo, &print("40mm"), flat(&[0, 1, 2, 3]));
    photo
}

#[track_caller]
fn refused(photo: &Photographed, said: &str) {
    let error = find(&decoded(photo), Path::new(PATH)).unwrap_err();
    let message = error.to_string();
    assert!(message.contains(said), "{message}");
    assert_eq!(error.kind(), Kind::PictureNotUsable);
}

fn placed(photo: &Photographed, given: Given) -> Result<Placement, Error> {
    place(&decoded(photo), Path::new(PATH), given).map(|(placement, _)| placement)
}

fn middle_of_mark(photo: &Photographed, corner: Corner) -> [f64; 2] {
    let corners = &photo.placement.corners;
    let (at, centre) = (corners.0[corner as usize], corners.centre());
    [0, 1].map(|i| at[i] + 0.2 * (at[i] - centre[i]))
}

#[test]
#[expect(clippy::print_stdout, reason = "the time is read off here")]
fn no_marks_are_none_and_soon() {
    for (name, finish) in [("plain", Finish::seeded(1)), ("specked", finish(5))] {
        let photo = decoded(&photograph(&finish.paint(SIZE, 10.0), &Shot::default()));
        let times = (0..7).map(|_| {
            let start = Instant::now();
            assert_eq!(find(&photo, Path::new(PATH)).unwrap(), None);
            start.elapsed()
        });
        let least = times.min().unwrap();
        println!("no marks on 12 megapixels, {name}: {least:.1?}");
        // A few milliseconds by itself; tests share the machine and are not built for speed.
        assert!(least < Duration::from_millis(100), "{least:?}");
    }
}

#[test]
fn a_missing_or_covered_mark_is_named() {
    let mut photo = bare();
    lay(&mut photo, &print("40mm"), flat(&[0, 1, 3]));
    refused(&photo, "3 of 4 can be read; not found: bottom right");
    let mut photo = marked();
    let at = middle_of_mark(&photo, Corner::TopRight);
    cover(&mut photo.rgb8, at, 90.0);
    refused(&photo, "not found: top right");
}

#[test]
fn two_prints_or_two_for_one_corner_are_named() {
    let mut photo = bare();
    lay(&mut photo, &print("40mm"), flat(&[0, 1, 3]));
    lay(&mut photo, &print("20mm"), flat(&[2]));
    refused(&photo, "two prints, 40mm and 20mm");
    // The same photo turned about and laid beside itself shows every corner twice.
    let one = marked();
    let mut twice = one.clone();
    twice.rgb8 = image::RgbImage::new(one.rgb8.width() * 2, one.rgb8.height());
    image::imageops::replace(&mut twice.rgb8, &one.rgb8, 0, 0);
    image::imageops::replace(&mut twice.rgb8, &one.rgb8, i64::from(one.rgb8.width()), 0);
    refused(&twice, "more than one for the same corner");
}

#[test]
fn a_placement_is_made_of_marks_where_nothing_is_said() {
    let photo = marked();
    let placement = placed(&photo, Given::default()).unwrap();
    let found = placement.found.unwrap();
    assert_eq!(found.by, FoundBy::Marks);
    assert!(found.confidence > 0.9);
    assert!((placement.size.width / SIZE.width - 1.0).abs() < 0.005);
    let size = |width, height| Given {
        size: Some(SizeMm { width, height }),
        ..Given::default()
    };
    let said = placed(&photo, size(201.0, 150.0)).unwrap();
    assert!((said.size.width - 201.0).abs() < 1e-9);
    let message = placed(&photo, size(210.0, 150.0)).unwrap_err().to_string();
    assert!(
        message.contains("210.0 x 150.0 mm") && message.contains("200.0 x 150.0 mm"),
        "{message}"
    );
    // Said corners are not looked for.
    let said = Given {
        corners: Some(photo.placement.corners),
        ..size(210.0, 150.0)
    };
    assert_eq!(placed(&photo, said).unwrap().found, None);
}

#[test]
fn where_the_panels_edges_do_not_show_its_corners_are_where_the_marks_were_laid() {
    // A table as bright as the mirror.
    let shot = Shot {
        fill: 0.6,
        tilt_x_deg: 5.0,
        surround: 0.9,
        ..Shot::default().sized(2000, 1500)
    };
    let mut photo = photograph(&finish(3).paint(SIZE, 6.0), &shot);
    lay(&mut photo, &print("40mm"), flat(&[0, 1, 2, 3]));
    let found = find(&decoded(&photo), Path::new(PATH)).unwrap().unwrap();
    assert!((found.size.width / SIZE.width - 1.0).abs() < 0.005);
    assert!((found.size.height / SIZE.height - 1.0).abs() < 0.005);
    assert!(
        (0.5..=0.7).contains(&found.confidence),
        "{}",
        found.confidence
    );
}

#[test]
fn from_behind_left_and_right_are_exchanged() {
    let photo = marked();
    let behind = Given {
        side: Some(Side::Back),
        ..Given::default()
    };
    let (front, back) = (
        placed(&photo, Given::default()).unwrap(),
        placed(&photo, behind).unwrap(),
    );
    let [a, b, c, d] = front.corners.0;
    assert_eq!(back.corners.0, [b, a, d, c]);
}

#[test]
fn a_panel_turned_upside_down_keeps_the_corners_its_marks_name() {
    let mut photo = marked();
    image::imageops::rotate180_in_place(&mut photo.rgb8);
    let found = find(&decoded(&photo), Path::new(PATH)).unwrap().unwrap();
    let (width, height) = (2000.0, 1500.0);
    for (got, true_at) in found.corners.0.iter().zip(photo.placement.corners.0) {
        let off = (got[0] - (width - true_at[0])).hypot(got[1] - (height - true_at[1]));
        assert!(off < 1.0, "{off}");
    }
}
