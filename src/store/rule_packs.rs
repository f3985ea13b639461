//! Countries' wiring rules as files: those that come with the program, and the form in which a keeper brings their own.
//!
//! One pack is one JSON object ([`read()`], [`write()`]); a catalogue's file holds a list of them ([`read_list`],
//! [`write_list`]). What breaks the form is an error naming the pack and the field, never a pack with a hole. Absent here:
//! verdicts, whether a pack is sound (`zones::soundness`), and the packs' rows in a database.

use thiserror::Error;

use crate::domain::zones::rules::WiringRules;

mod form;
mod written;

/// The catalogue's file that may hold its packs, a JSON list.
pub const FILE: &str = "wiring_rules.json";

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

/// A pack as the text of its file; [`read`] gives it back as it was.
pub fn write(rules: &WiringRules) -> String {
    serde_json::to_string_pretty(&written::pack(rules)).unwrap_or_default()
}

/// Reads a list of packs, each named by its own id in an error, or by its place from 0 where it has none.
pub fn read_list(text: &str) -> Result<Vec<WiringRules>, PackError> {
    let named = |name: &str, cause| PackError::Form { pack: name.to_owned(), cause };
    let packs: Vec<serde_json::Value> =
        serde_json::from_str(text).map_err(|cause| named(FILE, cause))?;
    let read = |(index, pack): (usize, serde_json::Value)| {
        let id = pack.get("id").and_then(serde_json::Value::as_str);
        let name = id.map_or_else(|| format!("at place {index}"), str::to_owned);
        let form = serde_json::from_value(pack).map_err(|cause| named(&name, cause))?;
        form::value(&name, form)
    };
    packs.into_iter().enumerate().map(read).collect()
}

/// A list of packs as the text of a catalogue's file; [`read_list`] gives it back as it was.
pub fn write_list(packs: &[WiringRules]) -> String {
    let forms: Vec<_> = packs.iter().map(written::pack).collect();
    serde_json::to_string_pretty(&forms).unwrap_or_default()
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
    fn what_is_written_reads_back_as_it_was_and_reads_once_more_as_the_same_text() {
        let packs = load_all().unwrap();
        for (rules, (name, text)) in packs.iter().zip(FILES) {
            let written = write(rules);
            assert_eq!(read(name, &written).unwrap(), *rules);
            let [before, after]: [serde_json::Value; 2] =
                [text, &written].map(|text| serde_json::from_str(text).unwrap());
            // Nothing of the file is lost, and nothing is added but an empty list.
            let keys = before.as_object().unwrap().iter();
            keys.for_each(|(key, value)| assert_eq!(after[key], *value, "{name} {key}"));
        }
        assert_eq!(read_list(&write_list(&packs)).unwrap(), packs);
    }

    #[test]
    fn a_fault_in_a_list_names_the_pack() {
        let nameless = read_list("[{}]").unwrap_err();
        assert!(nameless.to_string().contains("at place 0"), "{nameless}");
        let list = write_list(&load_all().unwrap()).replacen("\"floor\"", "\"ceiling\"", 1);
        let error = read_list(&list).unwrap_err();
        assert!(error.to_string().contains("gb-bs7671"), "{error}");
        assert!(read_list("{}").unwrap_err().to_string().contains(FILE));
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
