//! Pages and pictures: the texts of HTML and SVG in another language, the markup as it is.

use crate::book::Phrasebook;

/// Elements whose text is for machines.
const NO_TEXT: [&str; 2] = ["style", "script"];
/// Attributes that are read out or shown.
const SHOWN: [&str; 4] = ["alt=\"", "aria-label=\"", "title=\"", "placeholder=\""];

impl Phrasebook {
    /// A whole page or picture that the core made, as HTML or SVG: every text in it said in the book's language, the language of the page named.
    ///
    /// ```
    /// use stemwise_phrases::{Phrasebook, SPANISH};
    /// let book = Phrasebook::read(SPANISH)?;
    /// let page = book.say_markup("<html lang=\"en\"><p>Stop <b>the compressor</b></p></html>");
    /// assert_eq!(page, "<html lang=\"es\"><p>Stop <b>el compresor</b></p></html>");
    /// # Ok::<(), stemwise_phrases::BookError>(())
    /// ```
    pub fn say_markup(&self, markup: &str) -> String {
        let mut out = String::with_capacity(markup.len() + markup.len() / 8);
        let mut rest = markup;
        while let Some(open) = rest.find('<') {
            let (text, from) = rest.split_at(open);
            out.push_str(&self.say_escaped(text));
            let close = from.find('>').map_or(from.len(), |close| close + 1);
            let (tag, behind) = from.split_at(close);
            out.push_str(&self.tag(tag));
            let skip =
                NO_TEXT.iter().find(|name| tag.strip_prefix('<').is_some_and(|tag| tag.starts_with(**name)));
            let skipped = skip.map_or(0, |name| behind.find(&format!("</{name}")).unwrap_or(behind.len()));
            out.push_str(&behind[..skipped]);
            rest = &behind[skipped..];
        }
        out.push_str(&self.say_escaped(rest));
        out
    }

    fn tag(&self, tag: &str) -> String {
        let mut out = tag.replace(" lang=\"en\"", &format!(" lang=\"{}\"", self.language));
        for shown in SHOWN {
            let Some(at) = out.find(shown).map(|at| at + shown.len()) else { continue };
            let Some(end) = out[at..].find('"') else { continue };
            let said = self.say_escaped(&out[at..at + end]);
            out.replace_range(at..at + end, &said);
        }
        out
    }

    fn say_escaped(&self, text: &str) -> String {
        if !text.contains(char::is_alphabetic) {
            return text.to_owned();
        }
        let plain = text
            .replace("&lt;", "<")
            .replace("&gt;", ">")
            .replace("&quot;", "\"")
            .replace("&#39;", "'")
            .replace("&amp;", "&");
        let said = self.say(&plain).into_text();
        said.replace('&', "&amp;").replace('<', "&lt;").replace('>', "&gt;").replace('"', "&quot;")
    }
}
