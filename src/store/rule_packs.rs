//! The wiring rules that come with the program: one JSON file a country, read into [`WiringRules`].
//!
//! A file that breaks its own form is an error naming the file and the field, never a pack with a hole.
//! Absent here: verdicts, and rules that a catalogue's keeper adds.

use thiserror::Error;

use crate::domain::zones::rules::WiringRules;

mod form;

/// The packs in the order in which they are listed.
const FILES: [(&str, &str); 14] = [
    ("gb-bs7671", include_str!("rule_packs/gb-bs7671.json")),
    ("ie-is10101", include_str!("rule_packs/ie-is10101.json")),
    ("de-2008", include_str!("rule_packs/de-2008.json")),
    ("de-2025", include_str!("rule_packs/de-2025.json")),
    ("fr-a5", include_str!("rule_packs/fr-a5.json")),
    ("it-cei64-8", include_str!("rule_packs/it-cei64-8.json")),
    ("es-itc-bt-27", include_str!("rule_packs/es-itc-bt-27.json")),
    ("nl-nen1010", include_str!("rule_packs/nl-nen1010.json")),
    ("be-arei", include_str!("rule_packs/be-arei.json")),
    ("au-nz-3000", include_str!("rule_packs/au-nz-3000.json")),
    ("iec-2006", include_str!("rule_packs/iec-2006.json")),
    ("iec-2019", include_str!("rule_packs/iec-2019.json")),
    ("gb-bs7671-2018-a1", include_str!("rule_packs/gb-bs7671-2018-a1.json")),
    ("gb-16th", include_str!("rule_packs/gb-16th.json")),
];

/// The list of sources that the packs' marks `[S1]` refer to: key and text, as CSV.
pub const SOURCES: &str = include_str!("rule_packs/sources.csv");

/// A pack that cannot be read.
#[derive(Debug, Error)]
pub enum PackError {
    /// The file is not JSON of the packs' form.
    #[error("the rule pack {pack} could not be read")]
    Form {
        /// File name without its ending.
        pack: String,
        /// What the reader found.
        #[source]
        cause: serde_json::Error,
    },
    /// A word stands where one of a closed list is expected.
    #[error("the rule pack {pack} says {word:?} as {field}, which is none of the words known")]
    Word {
        /// File name without its ending.
        pack: String,
        /// The field.
        field: &'static str,
        /// What it says.
        word: String,
    },
}

/// Every pack that comes with the program.
///
/// ```
/// let packs = rungwright::store::rule_packs::load_all().unwrap();
/// let belgium = packs.iter().find(|rules| rules.id == "be-arei").unwrap();
/// // Nobody found the figures, so the pack has none and every answer from it says so.
/// assert!(belgium.regime.is_none());
/// ```
pub fn load_all() -> Result<Vec<WiringRules>, PackError> {
    FILES.iter().map(|(pack, text)| form::read(pack, text)).collect()
}

/// Reads one pack from its text.
pub fn read(pack: &str, text: &str) -> Result<WiringRules, PackError> {
    form::read(pack, text)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_pack_is_read_and_carries_the_name_of_its_file() {
        let packs = load_all().unwrap();
        for (rules, (name, _)) in packs.iter().zip(FILES) {
            assert_eq!(rules.id, name);
            assert!(rules.rows.is_empty() == rules.regime.is_none(), "{name}");
        }
        assert_eq!(packs.len(), FILES.len());
    }

    #[test]
    fn a_pack_with_an_unknown_word_is_refused() {
        let text = FILES[0].1.replacen("\"floor\"", "\"ceiling\"", 1);
        let error = read("gb-bs7671", &text).unwrap_err();
        assert!(error.to_string().contains("ceiling"), "{error}");
    }

    #[test]
    fn a_pack_with_an_unknown_field_is_refused() {
        let text = FILES[0].1.replacen("\"title\"", "\"tittle\"", 1);
        assert!(matches!(read("gb-bs7671", &text), Err(PackError::Form { .. })));
    }
}
