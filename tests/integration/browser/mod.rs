//! Looks at HTML pages as their readers will: in a real browser, on a wide screen, on a phone, and on paper.
//!
//! Each page is opened from a file just as it is, its own security policy in force. `look.js` then says what is wrong with
//! it at each width, the browser what it was asked to fetch and what it complained of, and `pdf` what came out on paper.
//! One browser serves all pages, and reaches no network.

mod pdf;
pub(crate) mod phone;
mod wire;

use std::fs;
use std::io;
use std::path::{Path, PathBuf};
use std::process::Command;

use serde_json::{Value, json};

use wire::Wire;

/// The checks that are made inside the page; a list of findings.
const LOOK: &str = include_str!("look.js");

/// What turns what may be torn apart on paper into links that a PDF tells the places of; how many pairs there are.
const TIE: &str = include_str!("tie.js");

/// Millimetres in an inch, and CSS pixels in one (CSS Values and Units Level 3, section 5.2).
const MM_PER_INCH: f64 = 25.4;
const PX_PER_INCH: f64 = 96.0;

/// The margin of a printed page, mm, where the page itself asks for no other.
const MARGIN_MM: f64 = 14.0;

/// A screen, CSS pixels.
struct Screen {
    name: &'static str,
    width: f64,
    height: f64,
}

const SCREENS: [Screen; 2] = [
    Screen {
        name: "1280 px",
        width: 1280.0,
        height: 800.0,
    },
    Screen {
        name: "390 px",
        width: 390.0,
        height: 844.0,
    },
];

/// A sheet of paper, upright, mm (ISO 216, and ANSI/ASME Y14.1 for Letter).
struct Paper {
    name: &'static str,
    width_mm: f64,
    height_mm: f64,
}

const PAPERS: [Paper; 2] = [
    Paper {
        name: "A4",
        width_mm: 210.0,
        height_mm: 297.0,
    },
    Paper {
        name: "Letter",
        width_mm: 215.9,
        height_mm: 279.4,
    },
];

/// The browser that `scripts/browser` finds or installs; none with its reason on the standard error.
pub(crate) fn find(script: &Path) -> io::Result<Option<PathBuf>> {
    let said = Command::new(script)
        .stderr(std::process::Stdio::inherit())
        .output()?;
    let path = String::from_utf8_lossy(&said.stdout).trim().to_owned();
    Ok((said.status.success() && !path.is_empty()).then(|| PathBuf::from(path)))
}

/// What is wrong with `pages` (name, HTML), each finding with its page and the layouts that show it; none if all is well.
///
/// An error means that the browser could not do its work, not that a page is bad.
pub(crate) fn look(browser: &Path, pages: &[(String, String)]) -> io::Result<Vec<String>> {
    let folder = tempfile::tempdir()?;
    let mut wire = Wire::open(browser)?;
    for domain in ["Page", "Runtime", "Log", "Network"] {
        wire.ask(&format!("{domain}.enable"), json!({}))?;
    }
    let mut all = Vec::new();
    for (number, (name, html)) in pages.iter().enumerate() {
        let file = folder.path().join(format!("{number}.html"));
        fs::write(&file, html)?;
        let mut findings = Findings(Vec::new());
        open(&mut wire, &format!("file://{}", file.display()))?;
        on_screens(&mut wire, &mut findings)?;
        on_paper(&mut wire, &mut findings)?;
        overheard(&wire.heard, &mut findings);
        all.extend(
            findings
                .0
                .iter()
                .map(|(what, at)| format!("{name}: {what} ({})", at.join(", "))),
        );
    }
    wire.close();
    Ok(all)
}

/// How many sheets of each paper a page takes.
pub(crate) fn sheets_of_paper(
    browser: &Path,
    html: &str,
) -> io::Result<Vec<(&'static str, usize)>> {
    let folder = tempfile::tempdir()?;
    let file = folder.path().join("page.html");
    fs::write(&file, html)?;
    let mut wire = Wire::open(browser)?;
    wire.ask("Page.enable", json!({}))?;
    open(&mut wire, &format!("file://{}", file.display()))?;
    let mut sheets = Vec::new();
    for paper in &PAPERS {
        sheets.push((paper.name, pdf::count(&print(&mut wire, paper)?)));
    }
    wire.close();
    Ok(sheets)
}

/// The findings of one page in order, each with the layouts it was found in.
struct Findings(Vec<(String, Vec<&'static str>)>);

impl Findings {
    fn add(&mut self, what: String, at: &'static str) {
        match self.0.iter_mut().find(|(known, _)| *known == what) {
            Some((_, layouts)) if layouts.contains(&at) => {}
            Some((_, layouts)) => layouts.push(at),
            None => self.0.push((what, vec![at])),
        }
    }
}

/// Goes to a page and waits until it and its pictures are there.
fn open(wire: &mut Wire, address: &str) -> io::Result<()> {
    wire.heard.clear();
    let answer = wire.ask("Page.navigate", json!({ "url": address }))?;
    if let Some(why) = answer["errorText"].as_str() {
        return Err(io::Error::other(format!("{address}: {why}")));
    }
    wire.hear("Page.loadEventFired")
}

fn on_screens(wire: &mut Wire, findings: &mut Findings) -> io::Result<()> {
    for screen in &SCREENS {
        let size = (screen.width, screen.height);
        inspect(wire, "screen", size, screen.name, findings)?;
    }
    Ok(())
}

/// The print layout between the margins, and the sheets themselves.
fn on_paper(wire: &mut Wire, findings: &mut Findings) -> io::Result<()> {
    for paper in &PAPERS {
        let between = |side_mm: f64| {
            ((side_mm - 2.0 * MARGIN_MM) * PX_PER_INCH / MM_PER_INCH).floor() // the browser takes whole pixels
        };
        let size = (between(paper.width_mm), between(paper.height_mm));
        inspect(wire, "print", size, paper.name, findings)?;
        let document = print(wire, paper)?;
        for what in pdf::wrong(&document, paper.width_mm, paper.height_mm) {
            findings.add(what, paper.name);
        }
    }
    // The page is changed for this, and so it comes last.
    wire.ask("Emulation.setEmulatedMedia", json!({ "media": "print" }))?;
    let tie = json!({ "expression": TIE, "returnByValue": true });
    let tied = wire.ask("Runtime.evaluate", tie)?;
    let pairs = tied["result"]["value"]
        .as_array()
        .ok_or_else(|| io::Error::other(format!("tie.js: {}", tied["exceptionDetails"])))?;
    let names: Vec<&str> = pairs.iter().filter_map(Value::as_str).collect();
    for paper in &PAPERS {
        for what in pdf::torn(&print(wire, paper)?, &names) {
            findings.add(what, paper.name);
        }
    }
    Ok(())
}

/// The open page as a PDF.
fn print(wire: &mut Wire, paper: &Paper) -> io::Result<Vec<u8>> {
    let margin = MARGIN_MM / MM_PER_INCH;
    let asked = json!({
        "paperWidth": paper.width_mm / MM_PER_INCH, "paperHeight": paper.height_mm / MM_PER_INCH,
        "marginTop": margin, "marginBottom": margin, "marginLeft": margin, "marginRight": margin,
        "preferCSSPageSize": true,
    });
    let printed = wire.ask("Page.printToPDF", asked)?;
    Ok(pdf::decode(printed["data"].as_str().unwrap_or_default()))
}

/// Lays the open page out for a medium and a size, CSS pixels, and has `look.js` look at it.
fn inspect(
    wire: &mut Wire,
    medium: &str,
    (width, height): (f64, f64),
    name: &'static str,
    findings: &mut Findings,
) -> io::Result<()> {
    wire.ask("Emulation.setEmulatedMedia", json!({ "media": medium }))?;
    let size = json!({ "width": width, "height": height, "deviceScaleFactor": 1, "mobile": false });
    wire.ask("Emulation.setDeviceMetricsOverride", size)?;
    let look = json!({ "expression": LOOK, "awaitPromise": true, "returnByValue": true });
    let answer = wire.ask("Runtime.evaluate", look)?;
    let said = answer["result"]["value"]
        .as_array()
        .ok_or_else(|| io::Error::other(format!("look.js: {}", answer["exceptionDetails"])))?;
    for what in said.iter().filter_map(Value::as_str) {
        findings.add(what.to_owned(), name);
    }
    Ok(())
}

/// What the browser had to fetch for the page, and what it wrote to its console.
fn overheard(heard: &[Value], findings: &mut Findings) {
    for event in heard {
        let params = &event["params"];
        let what = match event["method"].as_str().unwrap_or_default() {
            "Network.requestWillBeSent" => {
                let address = params["request"]["url"].as_str().unwrap_or_default();
                let own = params["type"] == "Document" && params["documentURL"] == address;
                if own || address.starts_with("data:") {
                    continue;
                }
                format!("the page fetches {address}")
            }
            "Log.entryAdded" => match params["entry"]["level"].as_str() {
                Some("error" | "warning") => console(&params["entry"]["text"]),
                _ => continue,
            },
            "Runtime.consoleAPICalled" => {
                let words = params["args"].as_array().into_iter().flatten();
                let words = words.filter_map(|word| word["value"].as_str());
                console(&words.collect::<Vec<_>>().join(" ").into())
            }
            "Runtime.exceptionThrown" => {
                console(&params["exceptionDetails"]["exception"]["description"])
            }
            _ => continue,
        };
        findings.add(what, "as it loads");
    }
}

fn console(text: &Value) -> String {
    format!("the console says: {}", text.as_str().unwrap_or_default())
}
