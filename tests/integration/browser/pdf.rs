//! What came out on paper, read from the page objects of a PDF as Chromium writes it: in plain text, one to a sheet.

/// Millimetres in a point, the unit of a PDF (ISO 32000-1, section 8.3.2.3: 1/72 inch).
const MM_PER_POINT: f64 = 25.4 / 72.0;

/// How far a sheet may be from the size asked for: the browser rounds to points and whole pixels.
const SLACK_MM: f64 = 0.6;

/// A sheet: its size, mm, and whether words or a picture are named among what it draws.
#[derive(Debug, PartialEq)]
struct Sheet {
    width_mm: f64,
    height_mm: f64,
    bare: bool,
}

/// What is wrong with a printed page: no sheets, a bare one, or another size than the paper's.
pub(super) fn wrong(document: &[u8], width_mm: f64, height_mm: f64) -> Vec<String> {
    let sheets = sheets(&String::from_utf8_lossy(document));
    if sheets.is_empty() {
        return vec!["nothing comes out on paper".to_owned()];
    }
    let mut findings = Vec::new();
    for (number, sheet) in (1..).zip(&sheets) {
        let which = format!("sheet {number} of {}", sheets.len());
        if sheet.bare {
            findings.push(format!("{which} is empty"));
        }
        let off_mm = (sheet.width_mm - width_mm)
            .abs()
            .max((sheet.height_mm - height_mm).abs());
        if off_mm > SLACK_MM {
            let (width, height) = (sheet.width_mm, sheet.height_mm);
            findings.push(format!(
                "{which} is {width:.0} by {height:.0} mm, not {width_mm:.0} by {height_mm:.0}"
            ));
        }
    }
    findings
}

/// Where the second of a pair begins on another sheet than the first ends on: `tie.js` made links of both, by their number
/// among `names`.
pub(super) fn torn(document: &[u8], names: &[&str]) -> Vec<String> {
    let document = String::from_utf8_lossy(document);
    let linked: Vec<Vec<&str>> = pages(&document)
        .map(|page| links(&document, page))
        .collect();
    let mut findings = Vec::new();
    for (pair, name) in names.iter().enumerate() {
        let holds = |part: &str| {
            let address = format!("/URI (tie://{part}/{pair}/)");
            move |links: &Vec<&str>| links.iter().any(|link| link.contains(&address))
        };
        let ends = linked.iter().rposition(holds("first"));
        let begins = linked.iter().position(holds("then"));
        match (ends, begins) {
            (Some(ends), Some(begins)) if ends < begins => {
                findings.push(format!("{name} is torn from what follows it"));
            }
            (Some(_), Some(_)) => {}
            _ => findings.push(format!("{name} is not found on paper")),
        }
    }
    findings
}

/// The objects of a page's links: `/Annots [10 0 R 11 0 R]`, each `10 0 obj … endobj`.
fn links<'a>(document: &'a str, page: &str) -> Vec<&'a str> {
    let listed = page
        .split_once("/Annots [")
        .and_then(|(_, rest)| rest.split_once(']'));
    let numbers = listed.map_or("", |(listed, _)| listed).split(" 0 R");
    let object = |number: &str| {
        let head = format!("\n{} 0 obj", number.trim());
        let (_, rest) = document.split_once(&head)?;
        Some(rest.split_once("endobj")?.0)
    };
    numbers.filter_map(object).collect()
}

/// How many sheets there are.
pub(super) fn count(document: &[u8]) -> usize {
    sheets(&String::from_utf8_lossy(document)).len()
}

fn sheets(document: &str) -> Vec<Sheet> {
    pages(document).filter_map(sheet).collect()
}

/// The page objects, each after its type.
fn pages(document: &str) -> impl Iterator<Item = &str> {
    let objects = document.split("endobj");
    objects.filter_map(|object| Some(object.split_once("/Type /Page\n")?.1))
}

/// A page object after its type: `/Resources <<… /Font <<…>> …>> /MediaBox [0 0 595 842] …`.
fn sheet(object: &str) -> Option<Sheet> {
    let corners = object.split_once("/MediaBox [")?.1.split_once(']')?.0;
    let corners: Vec<f64> = corners
        .split_whitespace()
        .map_while(|edge| edge.parse().ok())
        .collect();
    let &[left, low, right, high] = corners.as_slice() else {
        return None;
    };
    Some(Sheet {
        width_mm: (right - left) * MM_PER_POINT,
        height_mm: (high - low) * MM_PER_POINT,
        bare: !object.contains("/Font") && !object.contains("/XObject"),
    })
}

/// The bytes behind base64 (RFC 4648, section 4); what is not of its alphabet, as the padding, is passed over.
pub(super) fn decode(text: &str) -> Vec<u8> {
    let mut bytes = Vec::with_capacity(text.len() / 4 * 3);
    let (mut held, mut bits) = (0_u32, 0);
    for letter in text.bytes() {
        let six = match letter {
            b'A'..=b'Z' => letter - b'A',
            b'a'..=b'z' => letter - b'a' + 26,
            b'0'..=b'9' => letter - b'0' + 52,
            b'+' => 62,
            b'/' => 63,
            _ => continue,
        };
        held = held << 6 | u32::from(six);
        bits += 6;
        if bits >= 8 {
            bits -= 8;
            bytes.push((held >> bits & 0xFF).to_le_bytes()[0]);
        }
    }
    bytes
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn base64_as_in_the_rfc() {
        // RFC 4648, section 10.
        for (plain, coded) in [
            ("", ""),
            ("f", "Zg=="),
            ("fo", "Zm8="),
            ("foo", "Zm9v"),
            ("foob", "Zm9vYg=="),
            ("foobar", "Zm9vYmFy"),
        ] {
            assert_eq!(decode(coded), plain.as_bytes());
        }
    }

    #[test]
    fn a_sheet_is_measured_and_a_bare_one_is_named() {
        let document = b"2 0 obj\n<</Type /Page\n/Resources <</Font <</F4 4 0 R>>>>\n/MediaBox [0 0 612 792]\n>>\nendobj\n\
            6 0 obj\n<</Type /Page\n/Resources <<>>\n/MediaBox [0 0 612 792]\n>>\nendobj\n8 0 obj\n<</Type /Pages\n/Count 2>>\nendobj\n";
        // 612 and 792 points are 8.5 and 11 inches.
        assert_eq!(wrong(document, 215.9, 279.4), ["sheet 2 of 2 is empty"]);
        assert_eq!(
            wrong(document, 210.0, 297.0)[0],
            "sheet 1 of 2 is 216 by 279 mm, not 210 by 297"
        );
        assert_eq!(wrong(b"", 210.0, 297.0), ["nothing comes out on paper"]);
    }

    #[test]
    fn what_is_torn_is_named() {
        let link = |number: u32, to: &str| {
            format!("\n{number} 0 obj\n<</Type /Annot\n/URI (tie://{to}/)>>\nendobj")
        };
        let page = |number: u32, links: &str| {
            format!("\n{number} 0 obj\n<</Type /Page\n/Annots [{links}]\n>>\nendobj")
        };
        let document = [
            link(1, "first/0"),
            link(2, "then/0"),
            link(3, "first/1"),
            link(4, "then/1"),
            page(5, "1 0 R 2 0 R 3 0 R"),
            page(6, "4 0 R"),
        ]
        .concat();
        assert_eq!(
            torn(document.as_bytes(), &["a", "b", "c"]),
            ["b is torn from what follows it", "c is not found on paper"]
        );
    }
}
