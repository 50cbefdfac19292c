//! Who is let in, and what everybody is told.

use super::served::Served;
use crate::bench::Bench;

#[test]
fn the_link_opens_once_shown_and_moves_the_key_into_a_cookie() {
    let bench = Bench::new();
    let served = Served::open(&bench);
    let Served { host, key, .. } = &served;
    assert_eq!(key.len(), 32);
    let plain = |path: &str| {
        served.raw(
            format!("GET {path} HTTP/1.1\r\nHost: {host}\r\nConnection: close\r\n\r\n").as_bytes(),
        )
    };
    let entered = plain(&format!("/?key={key}")).is(303);
    assert_eq!(entered.header("location"), Some("/"));
    let cookie = entered.header("set-cookie").unwrap();
    assert!(
        cookie.ends_with("; HttpOnly; SameSite=Strict; Path=/"),
        "{cookie}"
    );
    assert!(cookie.contains(key.as_str()));
    served.get("/").is(200).says("What should it look like?");
    for path in [
        "/",
        "/archive",
        "/photos",
        "/live",
        "/photo/1",
        "/small?name=x",
        "/?key=",
        "/none",
    ] {
        let refused = plain(path).is(403).says("The key is missing");
        assert!(!refused.text().contains(key.as_str()), "{path}");
    }
    let wrong = key.chars().rev().collect::<String>();
    plain(&format!("/?key={wrong}")).is(403);
    plain(&format!("/archive?key={key}")).is(403);
    // Nothing of anybody's is in these.
    plain("/look.css").is(200);
    plain("/bench.js").is(200);
    // The next start has another key.
    let other = Bench::new();
    let again = Served::open(&other);
    assert_ne!(*key, again.key);
    // The link is the first line, and the key stands in no other.
    assert_eq!(served.end(), "");
}

#[test]
fn other_addresses_and_other_pages_are_refused() {
    let bench = Bench::new();
    let served = Served::open(&bench);
    let (host, cookie) = (&served.host, served.cookie());
    let port = host.rsplit(':').next().unwrap();
    for foreign in [
        "bench.example",
        "127.0.0.1",
        "127.0.0.1:1",
        "localhost.bench.example",
        "",
    ] {
        let request =
            format!("GET / HTTP/1.1\r\nHost: {foreign}\r\n{cookie}Connection: close\r\n\r\n");
        served
            .raw(request.as_bytes())
            .is(403)
            .says("not known under that address");
    }
    let named =
        format!("GET / HTTP/1.1\r\nHost: localhost:{port}\r\n{cookie}Connection: close\r\n\r\n");
    served.raw(named.as_bytes()).is(200);
    for origin in ["Origin: http://bench.example\r\n", "Origin: null\r\n", ""] {
        for path in ["/photos", "/photo/1/away", "/photo/1/keep"] {
            let request = format!(
                "POST {path} HTTP/1.1\r\nHost: {host}\r\n{cookie}{origin}Connection: close\r\nContent-Length: 0\r\n\r\n"
            );
            served
                .raw(request.as_bytes())
                .is(403)
                .says("from a page that is not the bench");
        }
    }
}

#[test]
fn every_answer_carries_the_rules_for_pages() {
    let bench = Bench::new();
    let served = Served::open(&bench);
    for (path, status) in [
        ("/", 200),
        ("/photos", 200),
        ("/archive", 200),
        ("/none", 404),
        ("/photo/7", 404),
        ("/bench.js", 200),
    ] {
        let answer = served.get(path).is(status);
        let policy = answer.header("content-security-policy").unwrap();
        assert!(
            policy.starts_with("default-src 'none';") && !policy.contains("unsafe"),
            "{policy}"
        );
        assert_eq!(
            answer.header("x-content-type-options"),
            Some("nosniff"),
            "{path}"
        );
        assert_eq!(
            answer.header("referrer-policy"),
            Some("same-origin"),
            "{path}"
        );
        assert!(answer.header("cache-control").is_some(), "{path}");
        let text = answer.text();
        assert!(!text.contains(&served.key), "{path}");
        // Nothing inline, nothing from elsewhere.
        let is_page = answer
            .header("content-type")
            .unwrap()
            .starts_with("text/html");
        assert!(
            !is_page
                || (!text.contains("<style") && !text.contains(" style=") && !text.contains("://")),
            "{path}: {text}"
        );
    }
}

#[test]
fn started_with_nothing_said_and_no_terminal_it_opens_the_bench() {
    let bench = Bench::new();
    let served = Served::open_with(&bench, &[]);
    served.get("/").is(200);
}
