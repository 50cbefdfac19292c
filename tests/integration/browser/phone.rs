//! A phone in a hand: a page of a server, touched, with photos sent to it.

use std::fs;
use std::io;
use std::path::Path;
use std::thread;
use std::time::{Duration, Instant};

use base64::Engine;
use base64::engine::general_purpose::STANDARD;
use serde_json::{Value, json};

use super::wire::Wire;
use super::{Findings, console, inspect};

/// How long a page may take to come to what is waited for.
const PATIENCE: Duration = Duration::from_secs(60);

/// A phone's screen, CSS pixels.
const SCREEN: (f64, f64) = (390.0, 844.0);

/// Steps in which a finger goes its way.
const STEPS: usize = 12;

/// What a sheet must be and a page of a server is otherwise: its policy stands in the answer's head, and it has a script.
const OF_A_SHEET: [&str; 2] = [
    "the page does not forbid itself the network (Content-Security-Policy)",
    "the page holds a script",
];

/// The phone.
pub(crate) struct Phone {
    wire: Wire,
}

impl Phone {
    pub(crate) fn open(browser: &Path) -> io::Result<Self> {
        let mut wire = Wire::open(browser)?;
        for domain in ["Page", "Runtime", "Log", "DOM"] {
            wire.ask(&format!("{domain}.enable"), json!({}))?;
        }
        let touch = json!({ "enabled": true, "maxTouchPoints": 1 });
        wire.ask("Emulation.setTouchEmulationEnabled", touch)?;
        let mut phone = Phone { wire };
        phone.held(SCREEN)?;
        Ok(phone)
    }

    /// Another screen, CSS pixels.
    pub(crate) fn held(&mut self, (width, height): (f64, f64)) -> io::Result<()> {
        let screen =
            json!({ "width": width, "height": height, "deviceScaleFactor": 2, "mobile": true });
        self.wire
            .ask("Emulation.setDeviceMetricsOverride", screen)?;
        Ok(())
    }

    /// Scripts run, or not.
    pub(crate) fn scripts(&mut self, run: bool) -> io::Result<()> {
        self.wire.ask(
            "Emulation.setScriptExecutionDisabled",
            json!({ "value": !run }),
        )?;
        Ok(())
    }

    /// Goes to an address and waits until the page is there.
    pub(crate) fn goes_to(&mut self, address: &str) -> io::Result<()> {
        self.wire.heard.clear();
        let answer = self.wire.ask("Page.navigate", json!({ "url": address }))?;
        if let Some(why) = answer["errorText"].as_str() {
            return Err(io::Error::other(format!("{address}: {why}")));
        }
        self.wire.hear("Page.loadEventFired")
    }

    /// What a line of script on the page comes to.
    pub(crate) fn tell(&mut self, script: &str) -> io::Result<Value> {
        let asked = json!({ "expression": script, "returnByValue": true, "awaitPromise": true });
        let mut answer = self.wire.ask("Runtime.evaluate", asked)?;
        if !answer["exceptionDetails"].is_null() {
            return Err(io::Error::other(format!(
                "{script}: {}",
                answer["exceptionDetails"]
            )));
        }
        Ok(answer["result"]["value"].take())
    }

    /// Waits until a line of script holds on whatever page is shown then.
    pub(crate) fn waits_for(&mut self, script: &str) -> io::Result<()> {
        let since = Instant::now();
        loop {
            // While one page goes and the next comes there is none to ask.
            if matches!(self.tell(script), Ok(Value::Bool(true))) {
                return Ok(());
            }
            if since.elapsed() > PATIENCE {
                let page = self.tell("document.body.innerText")?;
                return Err(io::Error::other(format!(
                    "`{script}` never held on:\n{page}"
                )));
            }
            thread::sleep(Duration::from_millis(50));
        }
    }

    /// Chooses a photo where a file is asked for, as the phone's camera hands it over.
    pub(crate) fn takes(&mut self, input: &str, photo: &Path) -> io::Result<()> {
        let root = self.wire.ask("DOM.getDocument", json!({}))?;
        let asked = json!({ "nodeId": root["root"]["nodeId"], "selector": input });
        let node = self.wire.ask("DOM.querySelector", asked)?;
        let files = json!({ "nodeId": node["nodeId"], "files": [photo] });
        self.wire.ask("DOM.setFileInputFiles", files)?;
        Ok(())
    }

    /// The middle of what a selector names, brought into sight, CSS pixels.
    pub(crate) fn middle(&mut self, of: &str) -> io::Result<[f64; 2]> {
        let script = format!(
            "(() => {{ const e = document.querySelector({of:?}); e.scrollIntoView({{block: 'center'}}); const b = e.getBoundingClientRect(); return [b.left + b.width / 2, b.top + b.height / 2]; }})()"
        );
        let place = self.tell(&script)?;
        let at = |i: usize| {
            place[i]
                .as_f64()
                .ok_or_else(|| io::Error::other(format!("{of}: {place}")))
        };
        Ok([at(0)?, at(1)?])
    }

    /// Touches what a selector names.
    pub(crate) fn taps(&mut self, on: &str) -> io::Result<()> {
        let at = self.middle(on)?;
        self.touch("touchStart", Some(at))?;
        self.touch("touchEnd", None)
    }

    /// Drags what a selector names so far across and down, CSS pixels.
    pub(crate) fn drags(&mut self, what: &str, by: [f64; 2]) -> io::Result<()> {
        let from = self.middle(what)?;
        self.touch("touchStart", Some(from))?;
        for step in 1..=STEPS {
            let share = step as f64 / STEPS as f64;
            self.touch(
                "touchMove",
                Some([from[0] + share * by[0], from[1] + share * by[1]]),
            )?;
        }
        self.touch("touchEnd", None)
    }

    fn touch(&mut self, how: &str, at: Option<[f64; 2]>) -> io::Result<()> {
        let points: Vec<Value> = at
            .into_iter()
            .map(|[x, y]| json!({ "x": x, "y": y }))
            .collect();
        let touch = json!({ "type": how, "touchPoints": points });
        self.wire.ask("Input.dispatchTouchEvent", touch)?;
        Ok(())
    }

    /// Writes a picture of the page, as large as it is, into a folder.
    pub(crate) fn is_pictured(&mut self, folder: &Path, name: &str) -> io::Result<()> {
        let asked = json!({ "format": "png", "captureBeyondViewport": true });
        let picture = self.wire.ask("Page.captureScreenshot", asked)?;
        let png = STANDARD.decode(picture["data"].as_str().unwrap_or_default());
        fs::write(
            folder.join(format!("{name}.png")),
            png.map_err(|broken| io::Error::other(broken.to_string()))?,
        )
    }

    /// What is wrong with the page as it is shown, and what the browser complained of.
    pub(crate) fn is_wrong(&mut self) -> io::Result<Vec<String>> {
        let mut findings = Findings(Vec::new());
        inspect(&mut self.wire, "screen", SCREEN, "390 px", &mut findings)?;
        self.held(SCREEN)?;
        for event in &self.wire.heard {
            let (method, params) = (
                event["method"].as_str().unwrap_or_default(),
                &event["params"],
            );
            match (method, params["entry"]["level"].as_str()) {
                ("Log.entryAdded", Some("error" | "warning")) => {
                    findings.add(console(&params["entry"]["text"]), "as it loads");
                }
                ("Runtime.exceptionThrown", _) => {
                    findings.add(
                        console(&params["exceptionDetails"]["exception"]["description"]),
                        "as it loads",
                    );
                }
                _ => {}
            }
        }
        let found = findings.0.into_iter().map(|(what, _)| what);
        Ok(found
            .filter(|what| !OF_A_SHEET.contains(&what.as_str()))
            .collect())
    }

    pub(crate) fn close(self) {
        self.wire.close();
    }
}
