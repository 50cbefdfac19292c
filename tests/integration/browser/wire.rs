//! A browser of our own without a window, and the wire to it: messages of the Chrome DevTools Protocol, JSON, each ended by
//! a zero byte, over the pipes that the browser holds as files 3 and 4.

use std::fs::{self, File};
use std::io::{self, BufRead, BufReader, Write};
use std::path::Path;
use std::process::{Child, ChildStdin, ChildStdout, Command, Stdio};
use std::sync::mpsc::{self, Receiver};
use std::thread;
use std::time::{Duration, Instant};

use serde_json::{Value, json};
use tempfile::TempDir;

/// How long one answer may take before the browser counts as stuck.
const PATIENCE: Duration = Duration::from_secs(60);

/// How long the browser may take to leave.
const FAREWELL: Duration = Duration::from_secs(5);

/// Puts the pipes of the standard streams where the browser looks for them.
const SHELL: &str = r#"exec "$0" "$@" 3<&0 4>&1 </dev/null >/dev/null"#;

/// No window, no network but what is served on this computer by its number, nothing that outlives the look.
const FLAGS: [&str; 16] = [
    "--headless",
    "--no-sandbox",
    "--disable-gpu",
    "--disable-dev-shm-usage",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
    "--disable-breakpad",
    "--no-proxy-server",
    "--host-resolver-rules=MAP * ~NOTFOUND, EXCLUDE 127.0.0.1",
    "--hide-scrollbars",
    "--force-color-profile=srgb",
    "--remote-debugging-pipe",
    "about:blank",
];

/// An open browser with one empty page.
pub(super) struct Wire {
    child: Child,
    to: ChildStdin,
    from: Receiver<Value>,
    session: Option<String>,
    asked: u64,
    /// What the browser said unasked since this was last cleared.
    pub(super) heard: Vec<Value>,
    home: TempDir,
}

impl Wire {
    pub(super) fn open(browser: &Path) -> io::Result<Wire> {
        let home = tempfile::tempdir()?;
        let mut child = Command::new("sh")
            .args(["-c", SHELL])
            .arg(browser)
            .arg(format!("--user-data-dir={}", home.path().display()))
            .args(FLAGS)
            .env("XDG_CONFIG_HOME", home.path())
            .env("XDG_CACHE_HOME", home.path())
            .stdin(Stdio::piped())
            .stdout(Stdio::piped())
            .stderr(File::create(home.path().join("said"))?)
            .spawn()?;
        let (Some(to), Some(out)) = (child.stdin.take(), child.stdout.take()) else {
            return Err(io::Error::other("the browser was started without pipes"));
        };
        let mut wire = Wire {
            child,
            to,
            from: listen(out),
            session: None,
            asked: 0,
            heard: Vec::new(),
            home,
        };
        let page = wire.ask("Target.createTarget", json!({ "url": "about:blank" }))?;
        let whom = json!({ "targetId": page["targetId"], "flatten": true });
        let session = wire.ask("Target.attachToTarget", whom)?;
        wire.session = session["sessionId"].as_str().map(str::to_owned);
        Ok(wire)
    }

    /// Asks for something and waits for the answer.
    pub(super) fn ask(&mut self, method: &str, params: Value) -> io::Result<Value> {
        self.send(method, params)?;
        loop {
            let mut message = self.next()?;
            if message["id"] != self.asked {
                self.heard.push(message);
            } else if message["error"].is_null() {
                return Ok(message["result"].take());
            } else {
                return Err(io::Error::other(format!("{method}: {}", message["error"])));
            }
        }
    }

    /// Waits for an event, unless it was heard already.
    pub(super) fn hear(&mut self, event: &str) -> io::Result<()> {
        while !self.heard.iter().any(|heard| heard["method"] == event) {
            let message = self.next()?;
            self.heard.push(message);
        }
        Ok(())
    }

    /// Lets the browser leave by itself, so that nothing of it stays behind.
    pub(super) fn close(mut self) {
        self.session = None;
        let asked = self.send("Browser.close", json!({}));
        let since = Instant::now();
        while asked.is_ok() && since.elapsed() < FAREWELL {
            if !matches!(self.child.try_wait(), Ok(None)) {
                return;
            }
            thread::sleep(Duration::from_millis(5));
        }
    }

    fn send(&mut self, method: &str, params: Value) -> io::Result<()> {
        self.asked += 1;
        let mut message = json!({ "id": self.asked, "method": method, "params": params });
        if let Some(session) = &self.session {
            message["sessionId"] = session.as_str().into();
        }
        let sent = self.to.write_all(format!("{message}\0").as_bytes());
        sent.and_then(|()| self.to.flush()).map_err(|_| self.lost())
    }

    fn next(&mut self) -> io::Result<Value> {
        self.from.recv_timeout(PATIENCE).map_err(|_| self.lost())
    }

    /// Why the wire is silent, with the last that the browser said elsewhere.
    fn lost(&self) -> io::Error {
        let said = fs::read_to_string(self.home.path().join("said")).unwrap_or_default();
        let last = said.lines().last().unwrap_or("it said nothing");
        io::Error::other(format!("the browser does not answer: {last}"))
    }
}

impl Drop for Wire {
    fn drop(&mut self) {
        // Both fail where it has left already, which is as well.
        let _ = self.child.kill();
        let _ = self.child.wait();
    }
}

/// Reads messages on a thread of its own until the browser leaves, so that waiting for one can be given up.
fn listen(out: ChildStdout) -> Receiver<Value> {
    let (sender, messages) = mpsc::channel();
    thread::spawn(move || {
        for message in BufReader::new(out).split(0).map_while(Result::ok) {
            let Ok(message) = serde_json::from_slice(&message) else {
                return;
            };
            if sender.send(message).is_err() {
                return;
            }
        }
    });
    messages
}
