//! Elements with attributes and text, written as XML; everything is escaped here and nowhere else.

/// An element, or a piece of text.
#[derive(Clone, Debug)]
enum Node {
    Element(Element),
    Text(String),
}

/// An element with its attributes and what it holds.
#[derive(Clone, Debug)]
pub(crate) struct Element {
    name: &'static str,
    attributes: Vec<(&'static str, String)>,
    children: Vec<Node>,
}

impl Element {
    pub(crate) const fn new(name: &'static str) -> Self {
        Self { name, attributes: Vec::new(), children: Vec::new() }
    }
    pub(crate) fn with(mut self, name: &'static str, value: impl ToString) -> Self {
        self.attributes.push((name, value.to_string()));
        self
    }
    pub(crate) fn text(mut self, text: impl Into<String>) -> Self {
        self.children.push(Node::Text(text.into()));
        self
    }
    pub(crate) fn child(mut self, child: Self) -> Self {
        self.children.push(Node::Element(child));
        self
    }
    pub(crate) fn all(mut self, children: impl IntoIterator<Item = Self>) -> Self {
        self.children.extend(children.into_iter().map(Node::Element));
        self
    }

    /// As text; an element that holds elements gets a line of its own for each.
    pub(crate) fn write(&self) -> String {
        let mut out = String::new();
        self.write_to(&mut out);
        out
    }

    fn write_to(&self, out: &mut String) {
        out.push('<');
        out.push_str(self.name);
        for (name, value) in &self.attributes {
            out.push(' ');
            out.push_str(name);
            out.push_str("=\"");
            escape(value, out);
            out.push('"');
        }
        if self.children.is_empty() {
            out.push_str("/>\n");
            return;
        }
        out.push('>');
        for child in &self.children {
            match child {
                Node::Text(text) => escape(text, out),
                Node::Element(element) => element.write_to(out),
            }
        }
        let lines =
            self.children.len() > 1 && self.children.iter().all(|child| matches!(child, Node::Element(_)));
        if lines {
            out.push('\n');
        }
        out.push_str("</");
        out.push_str(self.name);
        out.push_str(">\n");
    }
}

/// Text and attribute values alike; what XML 1.0 allows in no form (section 2.2, "Char") is left out.
fn escape(text: &str, out: &mut String) {
    for c in text.chars() {
        match c {
            '&' => out.push_str("&amp;"),
            '<' => out.push_str("&lt;"),
            '>' => out.push_str("&gt;"),
            '"' => out.push_str("&quot;"),
            '\'' => out.push_str("&#39;"),
            '\u{fffe}' | '\u{ffff}' => {}
            c if c.is_control() && !matches!(c, '\n' | '\t') => {}
            c => out.push(c),
        }
    }
}
