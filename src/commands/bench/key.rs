//! The key of a bench: made anew at each start, known to whoever was shown the link.

use std::io;

/// Bytes of it: 128 bits cannot be guessed.
const BYTES: usize = 16;

/// A key. It has no `Debug`, so that it is written nowhere by accident.
pub(super) struct Key(String);

impl Key {
    /// A fresh one from the system's own source of chance.
    ///
    /// # Errors
    /// The system has none to give.
    pub(super) fn fresh() -> io::Result<Self> {
        let mut bytes = [0; BYTES];
        getrandom::fill(&mut bytes).map_err(io::Error::other)?;
        Ok(Key(bytes.iter().map(|b| format!("{b:02x}")).collect()))
    }

    /// It as it stands in the link and in the cookie.
    pub(super) fn text(&self) -> &str {
        &self.0
    }

    /// Whether somebody has it. How long that takes tells nothing of how much was right: two digests are compared, bit for bit.
    pub(super) fn is(&self, said: &str) -> bool {
        blake3::hash(self.0.as_bytes()) == blake3::hash(said.as_bytes())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn each_start_has_a_key_of_its_own_and_no_part_of_it_opens() {
        let [one, other] = [Key::fresh().unwrap(), Key::fresh().unwrap()];
        assert_eq!(one.text().len(), 32);
        assert_ne!(one.text(), other.text());
        assert!(one.is(one.text()));
        for wrong in [
            "",
            &one.text()[..31],
            other.text(),
            &one.text()
                .to_uppercase()
                .replace(|c: char| c.is_ascii_digit(), "G"),
        ] {
            assert!(!one.is(wrong), "{wrong}");
        }
    }
}
