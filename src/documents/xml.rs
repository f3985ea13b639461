//! XML written element by element: every text escaped, nothing pasted.
//!
//! Absent here: namespaces and which elements there are.

use std::fmt::Write;

/// A document being written.
#[derive(Debug)]
pub(super) struct Xml {
    text: String,
    open: Vec<&'static str>,
}

impl Xml {
    /// A document whose root element stands open, with its namespace attributes as given.
    pub(super) fn new(root: &'static str, namespaces: &str) -> Self {
        let text = format!("<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n<{root} {namespaces}>");
        Self { text, open: vec![root] }
    }

    /// An element with a text.
    pub(super) fn leaf(&mut self, name: &'static str, text: &str) -> &mut Self {
        self.leaf_with(name, None, text)
    }

    /// An element with a text, if there is one.
    pub(super) fn leaf_if_any(&mut self, name: &'static str, text: Option<&str>) -> &mut Self {
        match text {
            Some(text) => self.leaf(name, text),
            None => self,
        }
    }

    /// An element with an attribute and a text.
    pub(super) fn leaf_with(
        &mut self,
        name: &'static str,
        attribute: Option<(&str, &str)>,
        text: &str,
    ) -> &mut Self {
        self.begin_line();
        let attribute = attribute
            .map_or_else(String::new, |(key, value)| format!(" {key}=\"{}\"", escaped(value)));
        // Writing to a string cannot fail.
        write!(self.text, "<{name}{attribute}>{}</{name}>", escaped(text)).unwrap_or_default();
        self
    }

    /// An element with elements inside.
    pub(super) fn node<F: FnOnce(&mut Self)>(&mut self, name: &'static str, fill: F) -> &mut Self {
        self.begin_line();
        write!(self.text, "<{name}>").unwrap_or_default();
        self.open.push(name);
        fill(self);
        self.open.pop();
        self.begin_line();
        write!(self.text, "</{name}>").unwrap_or_default();
        self
    }

    /// The document, its root closed.
    pub(super) fn finish(mut self) -> String {
        let root = self.open.pop().unwrap_or_default();
        write!(self.text, "\n</{root}>\n").unwrap_or_default();
        self.text
    }

    fn begin_line(&mut self) {
        self.text.push('\n');
        for _ in &self.open {
            self.text.push_str("  ");
        }
    }
}

/// A text as XML 1.0 may hold it: marks escaped, characters that XML forbids replaced.
fn escaped(text: &str) -> String {
    let mut escaped = String::with_capacity(text.len());
    for character in text.chars() {
        match character {
            '&' => escaped.push_str("&amp;"),
            '<' => escaped.push_str("&lt;"),
            '>' => escaped.push_str("&gt;"),
            '"' => escaped.push_str("&quot;"),
            '\'' => escaped.push_str("&apos;"),
            '\t' | '\n' | '\r' => escaped.push(' '),
            '\u{0}'..='\u{1f}' | '\u{fffe}' | '\u{ffff}' => escaped.push('\u{fffd}'),
            other => escaped.push(other),
        }
    }
    escaped
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn text_that_looks_like_markup_stays_text() {
        let mut xml = Xml::new("a", "xmlns=\"x\"");
        xml.node("b", |inside| {
            inside.leaf_with("c", Some(("d", "\"<>")), "</c>&\u{1}");
        });
        let wanted = "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n<a xmlns=\"x\">\n  <b>\n    \
                      <c d=\"&quot;&lt;&gt;\">&lt;/c&gt;&amp;\u{fffd}</c>\n  </b>\n</a>\n";
        assert_eq!(xml.finish(), wanted);
    }
}
