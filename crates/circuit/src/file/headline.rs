//! What a circuit file says of itself, without reading all of it.

use toml::de::DeTable;

use super::problem::Problems;
use super::table::Fields;

/// What a file says of itself, also where it can't be used yet. Nothing of it is checked.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Headline {
    /// The circuit's name.
    pub name: Option<String>,
    /// The refrigerant, as it is typed there.
    pub refrigerant: Option<String>,
    /// The remark.
    pub note: Option<String>,
}

/// The first lines of a file, as far as they can be read; many times quicker than [`read`](super::read), which a list of circuits does not need.
///
/// ```
/// let file = b"name = \"Cellar\"\nrefrigerant = \"R-134a\"\n[[space]]\nhalf a line";
/// let headline = stemwise_circuit::headline(file);
/// assert_eq!(headline.name.as_deref(), Some("Cellar"));
/// assert_eq!(headline.refrigerant.as_deref(), Some("R-134a"));
/// assert_eq!(stemwise_circuit::headline(b"\xff"), stemwise_circuit::Headline::default());
/// ```
pub fn headline(bytes: &[u8]) -> Headline {
    let text = match super::text_of(bytes) {
        Ok(text) => text,
        Err(_) => return Headline::default(),
    };
    // The keys of the file itself stand above its first table. A bracket may begin a line of a text, too: then the whole is read.
    let head = text.find("\n[").and_then(|end| text.get(..end)).unwrap_or(text);
    let (document, errors) = DeTable::parse_recoverable(head);
    if errors.is_empty() { said(&document) } else { said(&DeTable::parse_recoverable(text).0) }
}

fn said(document: &toml::Spanned<DeTable<'_>>) -> Headline {
    let mut unheard = Problems::new("");
    let top = Fields::new("the file", 0..0, document.get_ref());
    let mut text = |key| top.text(key, &mut unheard).map(|found| found.value);
    Headline { name: text("name"), refrigerant: text("refrigerant"), note: text("note") }
}
