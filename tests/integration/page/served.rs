//! A bench that is served, and what is asked of it over a plain socket.

use std::fs;
use std::io::{BufRead, BufReader, Read, Write};
use std::net::TcpStream;
use std::path::PathBuf;
use std::process::{Child, Command, Stdio};
use std::time::{Duration, Instant};

use crate::bench::{Bench, PROGRAM};

/// How long one answer may take.
const PATIENCE: Duration = Duration::from_secs(60);

/// What parts the fields of a sending.
const PARTED: &str = "a-line-that-stands-in-no-photo";

/// The program serving the archive of a bench.
pub(super) struct Served {
    child: Child,
    /// `127.0.0.1:PORT`.
    pub(super) host: String,
    pub(super) key: String,
    /// All that the program said beside the link is read here when it has ended.
    said: BufReader<std::process::ChildStdout>,
    passing: PathBuf,
}

/// An answer to a request.
#[derive(Debug)]
pub(super) struct Answer {
    pub(super) status: u16,
    pub(super) head: String,
    pub(super) body: Vec<u8>,
}

impl Answer {
    /// The body as text.
    pub(super) fn text(&self) -> String {
        String::from_utf8_lossy(&self.body).into_owned()
    }

    /// A header's value.
    pub(super) fn header(&self, name: &str) -> Option<&str> {
        self.head.lines().find_map(|line| {
            let (found, value) = line.split_once(':')?;
            found.eq_ignore_ascii_case(name).then(|| value.trim())
        })
    }

    #[track_caller]
    pub(super) fn is(self, status: u16) -> Self {
        assert_eq!(self.status, status, "{}\n{}", self.head, self.text());
        self
    }

    #[track_caller]
    pub(super) fn says(self, words: &str) -> Self {
        assert!(
            self.text().contains(words),
            "no `{words}` in\n{}",
            self.text()
        );
        self
    }
}

impl Served {
    pub(super) fn open(bench: &Bench) -> Self {
        Served::open_with(
            bench,
            &[
                "bench",
                "--port",
                "0",
                "--no-open",
                "--archive",
                "archive.sqlite",
            ],
        )
    }

    /// Opened by other words. No browser is found, so that none opens.
    pub(super) fn open_with(bench: &Bench, args: &[&str]) -> Self {
        let passing = bench.path("passing");
        fs::create_dir_all(&passing).unwrap();
        let mut child = Command::new(PROGRAM)
            .args(args)
            .current_dir(bench.path(""))
            .env("HOME", bench.path(""))
            .env("XDG_DATA_HOME", bench.path("data"))
            .env("TMPDIR", &passing)
            .env("PATH", "")
            .stdin(Stdio::null())
            .stdout(Stdio::piped())
            .stderr(Stdio::null())
            .spawn()
            .unwrap();
        let mut said = BufReader::new(child.stdout.take().unwrap());
        let mut link = String::new();
        said.read_line(&mut link).unwrap();
        let (host, key) = link
            .trim_end()
            .strip_prefix("http://")
            .and_then(|link| link.split_once("/?key="))
            .unwrap_or_else(|| panic!("no link: {link}"));
        Served {
            host: host.to_owned(),
            key: key.to_owned(),
            child,
            said,
            passing,
        }
    }

    pub(super) fn link(&self) -> String {
        format!("http://{}/?key={}", self.host, self.key)
    }

    pub(super) fn connect(&self) -> TcpStream {
        let stream = TcpStream::connect(&self.host).unwrap();
        stream.set_read_timeout(Some(PATIENCE)).unwrap();
        stream
    }

    /// The cookie of somebody who was let in.
    pub(super) fn cookie(&self) -> String {
        let port = self.host.rsplit(':').next().unwrap();
        format!("Cookie: bench-{port}={}\r\n", self.key)
    }

    /// The head of a request of such a one.
    pub(super) fn head(&self, method: &str, path: &str) -> String {
        let Served { host, .. } = self;
        let origin = if method == "GET" {
            String::new()
        } else {
            format!("Origin: http://{host}\r\n")
        };
        format!(
            "{method} {path} HTTP/1.1\r\nHost: {host}\r\n{}{origin}Connection: close\r\n",
            self.cookie()
        )
    }

    /// What is answered to bytes as they are.
    pub(super) fn raw(&self, request: &[u8]) -> Answer {
        let mut stream = self.connect();
        // A refusal may come before all was sent.
        let _ = stream.write_all(request);
        read(&mut stream)
    }

    pub(super) fn get(&self, path: &str) -> Answer {
        self.raw(format!("{}\r\n", self.head("GET", path)).as_bytes())
    }

    /// A form that is sent.
    pub(super) fn post(&self, path: &str, form: &str) -> Answer {
        let head = self.head("POST", path);
        let kind = "Content-Type: application/x-www-form-urlencoded";
        self.raw(
            format!(
                "{head}{kind}\r\nContent-Length: {}\r\n\r\n{form}",
                form.len()
            )
            .as_bytes(),
        )
    }

    /// Photos that are sent with what was chosen for them.
    pub(super) fn send(&self, chosen: &[(&str, &str)], photos: &[&[u8]]) -> Answer {
        let mut body = Vec::new();
        for (name, value) in chosen {
            let field = format!(
                "--{PARTED}\r\nContent-Disposition: form-data; name=\"{name}\"\r\n\r\n{value}\r\n"
            );
            body.extend(field.as_bytes());
        }
        for photo in photos {
            let field = format!(
                "--{PARTED}\r\nContent-Disposition: form-data; name=\"photo\"; filename=\"../../image.jpg\"\r\nContent-Type: image/jpeg\r\n\r\n"
            );
            body.extend(field.as_bytes());
            body.extend(*photo);
            body.extend(b"\r\n");
        }
        body.extend(format!("--{PARTED}--\r\n").as_bytes());
        self.send_body(&body)
    }

    /// A sending as it is.
    pub(super) fn send_body(&self, body: &[u8]) -> Answer {
        let kind = format!("Content-Type: multipart/form-data; boundary={PARTED}");
        let head = self.head("POST", "/photos");
        let mut request =
            format!("{head}{kind}\r\nContent-Length: {}\r\n\r\n", body.len()).into_bytes();
        request.extend(body);
        self.raw(&request)
    }

    /// The page of a photo once it is no longer waited for.
    #[track_caller]
    pub(super) fn answered(&self, path: &str) -> Answer {
        let since = Instant::now();
        loop {
            let page = self.get(path).is(200);
            if !page.text().contains("The answer appears here by itself") {
                return page;
            }
            assert!(since.elapsed() < PATIENCE, "{path} has no answer");
            std::thread::sleep(Duration::from_millis(100));
        }
    }

    /// Files that lie in the system's folder for passing files.
    pub(super) fn passing(&self) -> Vec<PathBuf> {
        let mut files = Vec::new();
        collect(&self.passing, &mut files);
        files
    }

    /// Asks the program to end; all that it said after the link.
    pub(super) fn end(mut self) -> String {
        let id = self.child.id().to_string();
        let asked = Command::new("kill").args(["-TERM", &id]).status().unwrap();
        assert!(asked.success());
        assert!(self.child.wait().unwrap().success());
        let mut said = String::new();
        self.said.read_to_string(&mut said).unwrap();
        said
    }

    /// Kills it, as a cut of the power does.
    pub(super) fn kill(mut self) {
        self.child.kill().unwrap();
        self.child.wait().unwrap();
    }
}

impl Drop for Served {
    fn drop(&mut self) {
        // Both fail where it has ended already, which is as well.
        let _ = self.child.kill();
        let _ = self.child.wait();
    }
}

fn collect(folder: &std::path::Path, files: &mut Vec<PathBuf>) {
    for entry in fs::read_dir(folder).into_iter().flatten().flatten() {
        let path = entry.path();
        if path.is_dir() {
            collect(&path, files);
        } else {
            files.push(path);
        }
    }
}

/// Reads an answer to its end.
pub(super) fn read(stream: &mut TcpStream) -> Answer {
    let mut all = Vec::new();
    // A connection that is reset after a refusal has still brought it.
    let _ = stream.read_to_end(&mut all);
    let end = all
        .windows(4)
        .position(|four| four == b"\r\n\r\n")
        .unwrap_or(all.len());
    let head = String::from_utf8_lossy(&all[..end]).into_owned();
    let status = head
        .split(' ')
        .nth(1)
        .and_then(|status| status.parse().ok());
    Answer {
        status: status.unwrap_or(0),
        body: all.get(end + 4..).unwrap_or_default().to_vec(),
        head,
    }
}
