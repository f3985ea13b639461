//! One rule as a row of `rules.csv`, read for an edition that does not hold it yet.

use csv::StringRecord;

use crate::domain::catalogue::Edition;
use crate::domain::catalogue::EditionContent;
use crate::domain::catalogue::Rule;

use super::fault::FileFault;
use super::table::DecimalMark;
use super::table::Table;
use super::upload::Upload;

/// A rule and attributes that it needs, each as columns and cells.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct TriedRule {
    /// The row of `rules.csv`.
    pub rule: NamedCells,
    /// Rows of `attributes.csv` that the edition does not have yet.
    pub attributes: Vec<NamedCells>,
}

/// Columns and cells of a row.
pub type NamedCells = Vec<(String, String)>;

/// An edition, and one rule of it.
pub type EditionWithRule = (Edition, Rule);

/// The edition with this rule and these attributes, and the rule in it; or every fault.
///
/// Only rules are compiled with it, so prices and terms are left out of what comes back.
pub fn with_rule(base: &Edition, tried: &TriedRule) -> Result<EditionWithRule, Vec<FileFault>> {
    let mut upload = Upload::default();
    for (name, given) in [
        ("attributes.csv", tried.attributes.as_slice()),
        ("rules.csv", std::slice::from_ref(&tried.rule)),
    ] {
        if !given.is_empty() {
            upload.tables_mut().insert(name, table(name, given));
        }
    }
    let code =
        tried.rule.iter().find(|(column, _)| column == "code").map(|(_, code)| code.as_str());
    let content = base.content();
    let skeleton = EditionContent {
        attributes: content.attributes.clone(),
        rules: content.rules.clone(),
        listed_pairs: content.listed_pairs.clone(),
        thread_matings: content.thread_matings.clone(),
        finishes: content.finishes.clone(),
        ..EditionContent::default()
    };
    let read = upload.edition(Some(&skeleton))?.content().clone();
    let rule = read.rules.iter().find(|rule| Some(&*rule.code) == code).cloned();
    let parts = EditionContent {
        bodies: content.bodies.clone(),
        elements: content.elements.clone(),
        controls: content.controls.clone(),
        accessories: content.accessories.clone(),
        ..read
    };
    let edition = Edition::new(base.number(), parts);
    match (edition, rule) {
        (Ok(edition), Some(rule)) => Ok((edition, rule)),
        (Err(_), _) | (_, None) => {
            let mut empty = Upload::default();
            empty.blame("rules.csv", "", "a rule with a code".to_owned());
            Err(empty.content(Some(&EditionContent::default())).err().unwrap_or_default())
        }
    }
}

fn table(file: &'static str, rows: &[NamedCells]) -> Table {
    let mut names: Vec<&str> = Vec::new();
    for (name, _) in rows.iter().flatten() {
        if !names.contains(&name.as_str()) {
            names.push(name);
        }
    }
    let cell = |row: &NamedCells, name: &str| {
        row.iter()
            .find(|(column, _)| column == name)
            .map(|(_, cell)| cell.clone())
            .unwrap_or_default()
    };
    let cells = |row| -> StringRecord { names.iter().map(|name| cell(row, name)).collect() };
    let numbered = (1..).zip(rows).map(|(number, row)| (number, cells(row))).collect();
    Table {
        file,
        header: names.iter().copied().collect(),
        rows: numbered,
        mark: DecimalMark::Point,
    }
}
