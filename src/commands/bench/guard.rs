//! Who is let in: the right address, the same page, the key. Everybody is told the same few rules of what a page may do.

use std::sync::Arc;
use std::time::Duration;

use axum::extract::{Request, State};
use axum::http::header::{
    CACHE_CONTROL, CONTENT_SECURITY_POLICY, CONTENT_TYPE, COOKIE, HOST, HeaderMap, HeaderName,
    HeaderValue, LOCATION, ORIGIN, REFERRER_POLICY, SET_COOKIE, X_CONTENT_TYPE_OPTIONS,
};
use axum::http::{Method, StatusCode};
use axum::middleware::Next;
use axum::response::{IntoResponse, Response};
use tokio::time::timeout;

use super::key::Key;
use super::pages::Refused;

/// Nothing but what this program serves, nothing inline; no other page may frame one.
const POLICY: &str = "default-src 'none'; img-src 'self' data:; style-src 'self'; script-src 'self'; connect-src 'self'; \
    form-action 'self'; base-uri 'none'; frame-ancestors 'none'";

/// A request that brings no photos must be done with within this time.
const MOST_TIME: Duration = Duration::from_secs(60);

/// Where photos come in: they have limits of their own.
pub(super) const PHOTOS: &str = "/photos";

/// What is there for everybody: it says nothing of anybody's.
const OPEN: [&str; 2] = ["/look.css", "/bench.js"];

/// The door.
pub(super) struct Door {
    /// The addresses, with their port, under which this bench is known.
    hosts: Vec<String>,
    key: Key,
    cookie: String,
}

impl Door {
    /// Known under these addresses and one port.
    pub(super) fn new(names: &[String], port: u16, key: Key) -> Self {
        Door {
            hosts: names.iter().map(|name| format!("{name}:{port}")).collect(),
            key,
            // Cookies do not know ports, and two benches may be open.
            cookie: format!("bench-{port}"),
        }
    }

    /// The one address that is asked for, where it is one of this bench's.
    fn host<'a>(&self, headers: &'a HeaderMap) -> Option<&'a str> {
        let host = only(headers, &HOST)?;
        self.hosts.iter().any(|own| own == host).then_some(host)
    }

    /// A page of another address must not change anything here, nor may one that does not say where it is from.
    fn is_own_page(&self, method: &Method, headers: &HeaderMap, host: &str) -> bool {
        match only(headers, &ORIGIN) {
            Some(origin) => origin.strip_prefix("http://") == Some(host),
            None => !headers.contains_key(ORIGIN) && matches!(*method, Method::GET | Method::HEAD),
        }
    }

    /// Somebody who was let in before.
    fn knows(&self, headers: &HeaderMap) -> bool {
        let cookies = headers
            .get_all(COOKIE)
            .into_iter()
            .filter_map(|line| line.to_str().ok());
        let mut pairs = cookies
            .flat_map(|line| line.split(';'))
            .filter_map(|pair| pair.trim().split_once('='));
        pairs.any(|(name, value)| name == self.cookie && self.key.is(value))
    }

    /// The key moves from the link into a cookie that no script sees and no other page sends, and the link goes on without it.
    fn let_in(&self) -> Response {
        let cookie = format!(
            "{}={}; HttpOnly; SameSite=Strict; Path=/",
            self.cookie,
            self.key.text()
        );
        let mut response = StatusCode::SEE_OTHER.into_response();
        let headers = response.headers_mut();
        headers.insert(LOCATION, HeaderValue::from_static("/"));
        if let Ok(cookie) = HeaderValue::from_str(&cookie) {
            headers.insert(SET_COOKIE, cookie);
        }
        response
    }
}

/// The one value of a header.
fn only<'a>(headers: &'a HeaderMap, name: &HeaderName) -> Option<&'a str> {
    let mut values = headers.get_all(name).into_iter();
    let first = values.next()?;
    values.next().is_none().then(|| first.to_str().ok())?
}

/// The key in the link, where one is there.
fn key_in(query: &str) -> Option<&str> {
    query.split('&').find_map(|pair| pair.strip_prefix("key="))
}

/// Lets a request through, or refuses it in words.
pub(super) async fn guard(State(door): State<Arc<Door>>, request: Request, next: Next) -> Response {
    let mut response = match admitted(&door, &request) {
        Ok(None) if request.uri().path() == PHOTOS => next.run(request).await,
        Ok(None) => match timeout(MOST_TIME, next.run(request)).await {
            Ok(response) => response,
            Err(_) => slow().into_response(),
        },
        Ok(Some(response)) => response,
        Err(refused) => refused.into_response(),
    };
    if response.status().is_client_error() && !is_page(response.headers()) {
        response = Refused::new(
            response.status(),
            "This is asked for in a way that has no answer.",
            "Begin with Photograph, above.",
        )
        .into_response();
    }
    let headers = response.headers_mut();
    for (name, value) in [
        (CONTENT_SECURITY_POLICY, POLICY),
        (X_CONTENT_TYPE_OPTIONS, "nosniff"),
        // Nothing of a link leaves these pages; with `no-referrer` browsers would no longer say which page a form is from.
        (REFERRER_POLICY, "same-origin"),
    ] {
        headers.insert(name, HeaderValue::from_static(value));
    }
    // What was photographed stays in no browser's store.
    if is_page(headers) || !headers.contains_key(CACHE_CONTROL) {
        headers.insert(CACHE_CONTROL, HeaderValue::from_static("no-store"));
    }
    response
}

/// A page, and no picture or the like.
fn is_page(headers: &HeaderMap) -> bool {
    let kind = headers.get(CONTENT_TYPE);
    kind.is_some_and(|kind| kind.as_bytes().starts_with(b"text/html"))
}

/// Whether a request may go on; a response where the door itself answers.
fn admitted(door: &Door, request: &Request) -> Result<Option<Response>, Refused> {
    let (uri, headers) = (request.uri(), request.headers());
    let elsewhere = || {
        Refused::outside(
            StatusCode::FORBIDDEN,
            "This bench is not known under that address.",
            "Open the link that the computer shows, as it stands there.",
        )
    };
    if uri.authority().is_some() {
        return Err(elsewhere());
    }
    let host = door.host(headers).ok_or_else(elsewhere)?;
    if !door.is_own_page(request.method(), headers, host) {
        return Err(Refused::outside(
            StatusCode::FORBIDDEN,
            "This was sent from a page that is not the bench's.",
            "Open the link that the computer shows, and send it from there.",
        ));
    }
    if let Some(said) = uri.query().and_then(key_in).filter(|_| uri.path() == "/") {
        return if door.key.is(said) {
            Ok(Some(door.let_in()))
        } else {
            Err(no_key())
        };
    }
    if OPEN.contains(&uri.path()) || door.knows(headers) {
        Ok(None)
    } else {
        Err(no_key())
    }
}

fn no_key() -> Refused {
    Refused::outside(
        StatusCode::FORBIDDEN,
        "The key is missing, or of an earlier start.",
        "Open the link that the computer shows now, or photograph its code again.",
    )
}

fn slow() -> Refused {
    Refused::new(
        StatusCode::REQUEST_TIMEOUT,
        "That took too long.",
        "Try it again.",
    )
}

#[cfg(test)]
mod tests {
    use super::*;

    fn door() -> Door {
        Door::new(
            &["127.0.0.1".to_owned(), "localhost".to_owned()],
            8080,
            Key::fresh().unwrap(),
        )
    }

    fn headers(lines: &[(&'static str, &str)]) -> HeaderMap {
        let lines = lines
            .iter()
            .map(|(name, value)| (HeaderName::from_static(name), value.parse().unwrap()));
        // `collect` would keep the last of each name only.
        let mut map = HeaderMap::new();
        lines.for_each(|(name, value)| {
            map.append(name, value);
        });
        map
    }

    #[test]
    fn only_its_own_addresses_are_answered() {
        let door = door();
        for (lines, known) in [
            (&[("host", "127.0.0.1:8080")][..], true),
            (&[("host", "localhost:8080")], true),
            (&[("host", "127.0.0.1")], false),
            (&[("host", "127.0.0.1:80")], false),
            (&[("host", "bench.example:8080")], false),
            (&[("host", "127.0.0.1:8080.example")], false),
            (&[("host", "127.0.0.1:8080"), ("host", "x")], false),
            (&[], false),
        ] {
            assert_eq!(door.host(&headers(lines)).is_some(), known, "{lines:?}");
        }
    }

    #[test]
    fn another_page_changes_nothing() {
        let door = door();
        for (method, origin, own) in [
            (Method::POST, Some("http://127.0.0.1:8080"), true),
            (Method::POST, Some("http://localhost:8080"), false),
            (Method::POST, Some("https://127.0.0.1:8080"), false),
            (Method::POST, Some("null"), false),
            (Method::POST, None, false),
            (Method::DELETE, None, false),
            (Method::GET, None, true),
            (Method::GET, Some("http://bench.example"), false),
        ] {
            let lines: Vec<_> = origin
                .map(|origin| ("origin", origin))
                .into_iter()
                .collect();
            let found = door.is_own_page(&method, &headers(&lines), "127.0.0.1:8080");
            assert_eq!(found, own, "{method} {origin:?}");
        }
    }

    #[test]
    fn the_cookie_must_have_the_whole_key_under_its_own_name() {
        let door = door();
        let key = door.key.text().to_owned();
        for (cookie, known) in [
            (format!("bench-8080={key}"), true),
            (format!("a=b; bench-8080={key}; c"), true),
            (format!("bench-8081={key}"), false),
            (format!("bench-8080={}", &key[1..]), false),
            (format!("bench-8080={key} "), true),
            (String::new(), false),
        ] {
            assert_eq!(
                door.knows(&headers(&[("cookie", &cookie)])),
                known,
                "{cookie}"
            );
        }
        let response = door.let_in();
        assert_eq!(response.headers()[LOCATION], "/");
        assert!(
            response.headers()[SET_COOKIE]
                .to_str()
                .unwrap()
                .ends_with("HttpOnly; SameSite=Strict; Path=/")
        );
    }
}
