//! The page in a real browser, held in one hand: from the sample to the verdict, and corners dragged to their place.

#![expect(
    clippy::print_stderr,
    reason = "a test that cannot look at anything says so"
)]

use std::path::Path;

use paneprint::frame::quad::Quad;

use super::served::Served;
use crate::bench::{ALIKE, Bench, DARKER};
use crate::browser::find;
use crate::browser::phone::Phone;

/// Screens, CSS pixels.
const PHONE: (f64, f64) = (390.0, 844.0);
const DESK: (f64, f64) = (1280.0, 800.0);

/// How near a corner comes to where it is, pixels of the photo.
const NEAR_PX: f64 = 3.0;

/// Width of the painted photo, pixels.
const PHOTO_PX: f64 = 1000.0;

/// All that can be touched and is under 48 CSS pixels in height or width; links within a sentence are free (WCAG 2.2, 2.5.8).
const SMALL: &str = "[...document.querySelectorAll('a, button, input:not([type=hidden], [type=file], [type=radio], [type=checkbox]), select, textarea, summary')]
    .filter((e) => e.checkVisibility({visibilityProperty: true}))
    .map((e) => [e, e.getBoundingClientRect()])
    .filter(([e, box]) => box.height < 48 || box.width < 48)
    .map(([e, box]) => `${e.outerHTML.slice(0, 80)} ${box.width.toFixed(0)} x ${box.height.toFixed(0)}`)";

fn phone() -> Option<Phone> {
    let script = Path::new(env!("CARGO_MANIFEST_DIR")).join("scripts/browser");
    let browser = find(&script).unwrap();
    if browser.is_none() {
        eprintln!("SKIPPED: no browser to hold the page in");
    }
    browser.map(|browser| Phone::open(&browser).unwrap())
}

/// Pictures of the page on a phone and on a desk, where a folder for them is named.
fn pictured(phone: &mut Phone, name: &str) {
    let Some(folder) = std::env::var_os("PANEPRINT_PICTURES") else {
        return;
    };
    for (at, screen) in [("phone", PHONE), ("desk", DESK)] {
        phone.held(screen).unwrap();
        phone
            .is_pictured(Path::new(&folder), &format!("{name}-{at}"))
            .unwrap();
    }
    phone.held(PHONE).unwrap();
}

/// Nothing is too small to touch, cut off, too pale, or complained of.
#[track_caller]
fn is_fit(phone: &mut Phone, at: &str) {
    let small = phone.tell(SMALL).unwrap();
    assert_eq!(small.as_array().map(Vec::len), Some(0), "{at}: {small:#}");
    let wrong = phone.is_wrong().unwrap();
    pictured(phone, at);
    assert!(wrong.is_empty(), "{at}: {wrong:#?}");
}

/// A bench with a sample, and a phone that was let in.
fn opened(phone: &mut Phone) -> (Bench, Served) {
    let bench = Bench::with_sample();
    bench.bare_photo("alike.jpg", &ALIKE);
    bench.bare_photo("darker.jpg", &DARKER);
    let served = Served::open(&bench);
    phone.goes_to(&served.link()).unwrap();
    (bench, served)
}

/// Fills in what a maker would, and goes on to the camera.
fn choose(phone: &mut Phone) {
    phone
        .waits_for("document.querySelector('[name=sample]:checked').value === 'signed'")
        .unwrap();
    phone
        .tell("document.querySelector('[name=width]').value = 100; document.querySelector('[name=height]').value = 100; document.querySelector('[name=stage]').value = 'dry'; 1")
        .unwrap();
    phone.taps("form button.main").unwrap();
    phone
        .waits_for("location.pathname === '/photograph' && document.readyState === 'complete'")
        .unwrap();
}

#[test]
fn from_the_sample_to_the_verdict_with_two_taps() {
    let Some(mut phone) = phone() else { return };
    let (bench, served) = opened(&mut phone);
    // The key is gone from the address.
    assert_eq!(
        phone.tell("location.href").unwrap(),
        format!("http://{}/", served.host)
    );
    is_fit(&mut phone, "to choose");
    choose(&mut phone);
    is_fit(&mut phone, "to photograph");
    phone
        .takes("input[capture]", &bench.path("alike.jpg"))
        .unwrap();
    phone
        .waits_for(
            "document.querySelector('.sweeps') !== null && document.readyState === 'complete'",
        )
        .unwrap();
    let headline = phone
        .tell("document.querySelector('h1').textContent")
        .unwrap();
    assert_eq!(headline, "Leave it as it is.");
    is_fit(&mut phone, "the answer");
    // The one is swept over the other.
    phone.drags(".laid", [120.0, 0.0]).unwrap();
    let swept = phone
        .tell("Number(document.querySelector('.swept input').value)")
        .unwrap();
    assert!(swept.as_f64().unwrap() > 60.0, "{swept}");
    for page in [
        "/photos",
        "/archive",
        "/finish?name=signed",
        "/photo/9",
        "/photo/1/corners",
    ] {
        phone
            .goes_to(&format!("http://{}{page}", served.host))
            .unwrap();
        let small = phone.tell(SMALL).unwrap();
        assert_eq!(small.as_array().map(Vec::len), Some(0), "{page}: {small:#}");
    }
    phone.close();
}

#[test]
fn corners_dragged_by_a_finger_come_within_three_pixels() {
    let Some(mut phone) = phone() else { return };
    let (bench, served) = opened(&mut phone);
    choose(&mut phone);
    phone
        .takes("input[capture]", &bench.path("alike.jpg"))
        .unwrap();
    phone
        .waits_for("document.querySelector('.sweeps') !== null")
        .unwrap();
    phone
        .goes_to(&format!("http://{}/photo/1/corners", served.host))
        .unwrap();
    phone.waits_for("document.querySelectorAll('.handle').length === 6 && document.querySelector('.stage img').complete").unwrap();
    let truth: Quad = ALIKE.corners().parse().unwrap();
    let per_px = PHOTO_PX
        / phone
            .tell("document.querySelector('.stage').clientWidth")
            .unwrap()
            .as_f64()
            .unwrap();
    for (letter, truth) in ["a", "b", "c", "d"].into_iter().zip(truth.0) {
        let number = ["a", "b", "c", "d"]
            .iter()
            .position(|l| *l == letter)
            .unwrap();
        let handle = format!(".handle:nth-of-type({})", number + 1);
        let script = format!(
            "['{letter}x', '{letter}y'].map((n) => Number(document.forms[0].elements[n].value))"
        );
        let at = |phone: &mut Phone| {
            let place = phone.tell(&script).unwrap();
            [0, 1].map(|i| place[i].as_f64().unwrap())
        };
        // Away first, so that it is the finger that brings it back.
        phone.drags(&handle, [-60.0, 45.0]).unwrap();
        let away = at(&mut phone);
        let off = |at: [f64; 2]| [truth[0] - at[0], truth[1] - at[1]];
        assert!(
            off(away)[0].hypot(off(away)[1]) > 20.0,
            "{letter}: {away:?}"
        );
        // As a hand does: nearer each time. The first 28 px of a drag move the corner by a fifth of what the finger goes.
        for _ in 0..6 {
            let [x, y] = off(at(&mut phone)).map(|v| v / per_px);
            let far = x.hypot(y).max(1e-9);
            let goes = if far > 5.6 { far + 22.4 } else { 5.0 * far };
            phone
                .drags(&handle, [x, y].map(|v| v * goes / far))
                .unwrap();
        }
        let [x, y] = off(at(&mut phone));
        assert!(x.hypot(y) < NEAR_PX, "{letter}: off by {x} and {y}");
    }
    assert_eq!(
        phone
            .tell("document.querySelector('.glass').hidden")
            .unwrap(),
        true
    );
    // By keyboard, a pixel at a time.
    let moved = "(() => { const h = document.querySelector('.handle'); h.focus(); const f = document.forms[0].elements.ax; const before = Number(f.value); h.dispatchEvent(new KeyboardEvent('keydown', {key: 'ArrowRight'})); return Number(f.value) - before; })()";
    assert!((phone.tell(moved).unwrap().as_f64().unwrap() - 1.0).abs() < 1e-6);
    phone.taps("form.place button.main").unwrap();
    phone
        .waits_for("document.body.innerText.includes('The corners of the panel were given')")
        .unwrap();
    phone.close();
}

#[test]
fn with_scripts_switched_off_a_photo_comes_to_its_verdict_too() {
    let Some(mut phone) = phone() else { return };
    let (bench, served) = opened(&mut phone);
    phone
        .goes_to(&format!(
            "http://{}/photograph?sample=signed&rig=corner&width=100&height=100",
            served.host
        ))
        .unwrap();
    phone.scripts(false).unwrap();
    phone
        .goes_to(&format!(
            "http://{}/photograph?sample=signed&rig=corner&width=100&height=100",
            served.host
        ))
        .unwrap();
    phone
        .takes("input[capture]", &bench.path("darker.jpg"))
        .unwrap();
    phone.taps(".plain-send button").unwrap();
    // What is told by the browser's own tools runs all the same.
    phone
        .waits_for("document.querySelector('.answer h1') !== null")
        .unwrap();
    phone.close();
}
