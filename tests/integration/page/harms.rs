//! What hostile programs of the same network try: each is refused in words, and the next good request is answered.

use std::io::{Read, Write};
use std::net::TcpStream;
use std::time::{Duration, Instant};

use super::served::Served;
use crate::bench::{Bench, SAMPLE};

/// The next good request.
#[track_caller]
fn is_well(served: &Served) {
    served.get("/").is(200);
}

#[test]
fn no_file_of_the_computer_is_reached_by_a_path_or_a_name() {
    let bench = Bench::new();
    bench.bare_photo("panel.jpg", &SAMPLE);
    let served = Served::open(&bench);
    for path in [
        "/../../etc/passwd",
        "/sheet/1/../../../etc/passwd",
        "/sheet/1/..%2f..%2f..%2fetc%2fpasswd",
        "/sheet/..%2f1/look.css",
        "/photo/..%2f1/large.jpg",
        "/photo/1/%2e%2e/large.jpg",
        "/photo/-1",
        "/photo/99999999999999999999",
        "/sheet/1/%00.jpg",
        "/small?name=..%2f..%2fetc%2fpasswd",
        "/finish?name=%2fetc%2fpasswd",
        "/archive?like=panel.jpg",
        "/archive?like=%2fetc%2fpasswd",
    ] {
        let answer = served.get(path);
        assert!(
            (400..500).contains(&answer.status),
            "{path}: {}",
            answer.head
        );
        assert!(
            answer.text().contains("<h1>") && !answer.text().contains("root:"),
            "{path}: {}",
            answer.text()
        );
    }
    // As a sample only what is kept counts, and a photo's own name is never used.
    let sent = served
        .send(&[("sample", "/etc/passwd")], &[SAMPLE.jpeg()])
        .is(303);
    let page = served
        .answered(sent.header("location").unwrap())
        .says("No finish named");
    assert!(!page.text().contains("passing"), "{}", page.text());
    let strays = served
        .passing()
        .into_iter()
        .filter(|file| file.ends_with("image.jpg"));
    assert_eq!(strays.count(), 0);
    is_well(&served);
}

#[test]
fn bodies_without_measure_are_refused_and_leave_nothing() {
    let bench = Bench::new();
    let served = Served::open(&bench);
    let claims = format!(
        "{}Content-Type: multipart/form-data; boundary=x\r\nContent-Length: 99999999999\r\n\r\n--x\r\n",
        served.head("POST", "/photos")
    );
    served.raw(claims.as_bytes()).is(413);
    let large = vec![0x55; (64 << 20) + 1];
    served
        .send(&[("sample", "")], &[&large])
        .is(413)
        .says("larger than 64 MB");
    let many: Vec<&[u8]> = (0..31).map(|_| b"x".as_slice()).collect();
    served
        .send(&[("sample", "")], &many)
        .is(413)
        .says("More than 30 photos");
    let form = "name=".to_owned() + &"x".repeat(70_000);
    served.post("/photo/1/keep", &form).is(400);
    let header = format!(
        "GET / HTTP/1.1\r\nHost: {}\r\nX: {}\r\n\r\n",
        served.host,
        "y".repeat(100_000)
    );
    let refused = served.raw(header.as_bytes());
    assert!(matches!(refused.status, 0 | 431), "{}", refused.head);
    let photos = served
        .passing()
        .into_iter()
        .filter(|file| file.to_string_lossy().contains("photo"));
    assert_eq!(photos.count(), 0);
    is_well(&served);
}

#[test]
fn what_is_no_sending_is_refused_in_words() {
    let bench = Bench::new();
    let served = Served::open(&bench);
    let line = "--a-line-that-stands-in-no-photo";
    for body in [
        String::new(),
        "silver".to_owned(),
        format!("{line}--\r\n"),
        format!("{line}\r\n\r\n\r\n{line}--\r\n"),
        format!("{line}\r\nContent-Disposition: form-data; name=\"photo\"\r\n\r\ncut"),
        format!(
            "{line}\r\nContent-Disposition: form-data; name=\"other\"\r\n\r\nx\r\n{line}--\r\n"
        ),
        format!(
            "{line}\r\nContent-Disposition: form-data; name=\"rig\"\r\n\r\n{}\r\n{line}--\r\n",
            "x".repeat(2000)
        ),
        format!(
            "{line}\r\nContent-Disposition: form-data; name=\"width\"\r\n\r\nwide\r\n{line}\r\nContent-Disposition: form-data; name=\"photo\"\r\n\r\nx\r\n{line}--\r\n"
        ),
    ] {
        let refused = served.send_body(body.as_bytes());
        assert!(
            matches!(refused.status, 400 | 422),
            "{body}: {}",
            refused.head
        );
        assert!(refused.text().contains("<h1>"), "{body}");
    }
    let request = format!(
        "{}Content-Type: multipart/form-data\r\nContent-Length: 0\r\n\r\n",
        served.head("POST", "/photos")
    );
    served.raw(request.as_bytes()).is(400);
    let again = served.post("/photo/1/again", "ax=1&ay=NaN");
    again.is(404);
    is_well(&served);
}

#[test]
fn hostile_photos_are_answered_in_words() {
    let bench = Bench::new();
    let served = Served::open(&bench);
    let cut = &SAMPLE.jpeg()[..5000];
    for (bytes, says) in [
        (
            b"#!/bin/sh\nrm -rf /\n".as_slice(),
            "Not a photo this program can read",
        ),
        (
            b"<html><script>alert(1)</script>".as_slice(),
            "Not a photo this program can read",
        ),
        (cut, "damaged or cut short"),
        (b"\xff\xd8\xff\xe0".as_slice(), "damaged or cut short"),
    ] {
        let sent = served
            .send(
                &[("sample", ""), ("width", "100"), ("height", "100")],
                &[bytes],
            )
            .is(303);
        let page = served
            .answered(sent.header("location").unwrap())
            .says(says)
            .says("Photograph it again");
        assert!(
            !page.text().contains("paneprint-bench-") && !page.text().contains("<script>alert"),
            "{}",
            page.text()
        );
    }
    is_well(&served);
}

#[test]
fn slow_heads_and_a_crowd_of_connections_are_let_go() {
    let bench = Bench::new();
    let served = Served::open(&bench);
    let since = Instant::now();
    let crowd: Vec<TcpStream> = (0..400)
        .map(|_| {
            let mut stream = served.connect();
            let _ = stream.write_all(b"GET / HTTP/1.1\r\nHost:");
            stream
        })
        .collect();
    for mut stream in crowd {
        stream
            .set_read_timeout(Some(Duration::from_secs(20)))
            .unwrap();
        let mut rest = Vec::new();
        // Closed, or reset: either way it ends.
        let ended = stream.read_to_end(&mut rest);
        let timed_out = ended.is_err_and(|error| {
            matches!(
                error.kind(),
                std::io::ErrorKind::WouldBlock | std::io::ErrorKind::TimedOut
            )
        });
        assert!(!timed_out);
    }
    assert!(
        since.elapsed() < Duration::from_secs(20),
        "{:?}",
        since.elapsed()
    );
    is_well(&served);
}
