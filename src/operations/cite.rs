//! The list of sources to which the marks `[S1]` of texts refer.
//!
//! Absent here: which text has which mark.

use crate::store::rule_packs;

/// A mark without its brackets and what it stands for.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub struct Cited {
    /// `S57`.
    pub mark: &'static str,
    /// Page, standard or file.
    pub text: String,
}

/// Every source, in the order of the list.
///
/// ```
/// use rungwright::operations::cite;
/// let first = cite::sources().next().unwrap();
/// // Text with a comma is quoted in the file and comes without the quotes.
/// assert_eq!(first.mark, "S1");
/// assert!(first.text.starts_with("IEC 60364-7-701:2019 abstract and change list, at"));
/// ```
pub fn sources() -> impl Iterator<Item = Cited> {
    rule_packs::SOURCES.lines().skip(1).filter_map(|line| {
        let (mark, text) = line.split_once(',')?;
        let text = text.strip_prefix('"').and_then(|text| text.strip_suffix('"')).unwrap_or(text);
        // A quote inside a quoted field is doubled (RFC 4180).
        Some(Cited { mark, text: text.replace("\"\"", "\"") })
    })
}

/// The sources whose marks stand in a text, in the order of the list.
pub fn cited_in(text: &str) -> Vec<Cited> {
    sources().filter(|source| text.contains(&format!("[{}]", source.mark))).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_source_has_a_mark_of_its_own_and_a_text_without_doubled_quotes() {
        let all: Vec<Cited> = sources().collect();
        assert!(90 <= all.len(), "{}", all.len());
        for (index, source) in all.iter().enumerate() {
            assert!(source.mark.starts_with('S') && !source.text.is_empty(), "{source:?}");
            assert!(!source.text.contains("\"\""), "{source:?}");
            assert!(!all.iter().skip(index + 1).any(|other| other.mark == source.mark));
        }
        assert_eq!(cited_in("read in a page [S57][S2]").len(), 2);
    }
}
