//! Lines of text, with floats as their bits, and a checksum for what is too long to print.

use std::fmt::{Display, Write};

/// The lines so far.
#[derive(Default)]
pub(crate) struct Report {
    lines: String,
}

impl Report {
    /// Begins the part of one crate.
    pub(crate) fn section(&mut self, name: &str) {
        self.line(&format!("[{name}]"));
    }

    /// Adds a line.
    pub(crate) fn line(&mut self, line: &str) {
        self.lines.push_str(line);
        self.lines.push('\n');
    }

    /// Adds a float's bits under a name, or what went wrong.
    pub(crate) fn number<E: Display>(&mut self, name: &str, value: Result<f64, E>) {
        match value {
            Ok(value) => self.line(&format!("{name}: {:016x}", value.to_bits())),
            Err(error) => self.line(&format!("{name}: error: {error}")),
        }
    }

    /// Adds the length and checksum of a long text under a name.
    pub(crate) fn digest(&mut self, name: &str, text: &str) {
        let mut sum = Checksum::default();
        sum.bytes(text.as_bytes());
        self.line(&format!("{name}: {} bytes, {}", text.len(), sum.hex()));
    }

    /// All lines.
    pub(crate) fn text(self) -> String {
        self.lines
    }
}

/// FNV-1a, 64 bits (G. Fowler, L. C. Noll, K.-P. Vo; constants as in IETF draft-eastlake-fnv).
pub(crate) struct Checksum(u64);

impl Default for Checksum {
    fn default() -> Self {
        Self(0xcbf2_9ce4_8422_2325)
    }
}

impl Checksum {
    /// Takes bytes in.
    pub(crate) fn bytes(&mut self, bytes: &[u8]) {
        for byte in bytes {
            self.0 = (self.0 ^ u64::from(*byte)).wrapping_mul(0x0100_0000_01b3);
        }
    }

    /// Takes a float's bits in.
    pub(crate) fn number(&mut self, value: f64) {
        self.bytes(&value.to_bits().to_le_bytes());
    }

    /// As sixteen hexadecimal digits.
    pub(crate) fn hex(&self) -> String {
        let mut hex = String::new();
        // Writing to a string can't fail.
        let _ = write!(hex, "{:016x}", self.0);
        hex
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn checksum_of_the_published_vectors() {
        // draft-eastlake-fnv, appendix "Test vectors": "" , "a" and "foobar", 64-bit FNV-1a.
        for (text, sum) in
            [("", "cbf29ce484222325"), ("a", "af63dc4c8601ec8c"), ("foobar", "85944171f73967e8")]
        {
            let mut checksum = Checksum::default();
            checksum.bytes(text.as_bytes());
            assert_eq!(checksum.hex(), sum, "{text:?}");
        }
    }
}
