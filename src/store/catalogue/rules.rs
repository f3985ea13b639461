//! Compatibility rules and their conditions: the rows of `rules` and `rule_conditions`.
//!
//! Absent here: what a rule means.

use std::collections::BTreeMap;

use sqlx::SqliteConnection;

use crate::domain::catalogue::AttributeName;
use crate::domain::catalogue::EditionContent;
use crate::domain::catalogue::PartKind;
use crate::domain::catalogue::Relation;
use crate::domain::catalogue::Right;
use crate::domain::catalogue::Rule;
use crate::domain::catalogue::Severity;
use crate::domain::catalogue::When;
use crate::store::error::StoreError;

use super::fields::Fields;
use super::rows::Cell;
use super::rows::NewRow;
use super::rows::Table;
use super::rows::position;
use super::values::NO_VALUE;
use super::values::read_value;
use super::values::value_cells;

type Conditions = BTreeMap<Box<str>, Vec<When>>;

/// Rows of `rules`.
pub(super) fn rule_rows(content: &EditionContent) -> Result<Table, StoreError> {
    Ok(Table {
        insert: "INSERT INTO rules (edition, code, left_kind, left_name, relation, \
                 right_form, right_kind, right_name, right_high_kind, right_high_name, \
                 value_type, value_flag, value_number_e3, value_text, value_words, \
                 pair_table, severity, sentence, source, evidence) ",
        rows: content.rules.iter().map(rule_cells).collect::<Result<_, _>>()?,
    })
}

/// Rows of `rule_conditions`.
pub(super) fn condition_rows(content: &EditionContent) -> Result<Table, StoreError> {
    let mut rows = Vec::new();
    for rule in &content.rules {
        let row = NewRow { table: "rule_conditions", key: &rule.code };
        for (index, condition) in rule.when.iter().enumerate() {
            let mut cells = vec![(*rule.code).into(), position(index)];
            cells.extend(name_cells(&condition.attribute));
            cells.extend(value_cells(row, &condition.is)?);
            rows.push(cells);
        }
    }
    Ok(Table {
        insert: "INSERT INTO rule_conditions (edition, rule_code, position, kind, name, \
                 value_type, value_flag, value_number_e3, value_text, value_words) ",
        rows,
    })
}

/// The rules of an edition.
pub(super) async fn load_rules(
    connection: &mut SqliteConnection,
    edition: u32,
) -> Result<Vec<Rule>, StoreError> {
    let mut conditions = load_conditions(connection, edition).await?;
    let rows = sqlx::query("SELECT * FROM rules WHERE edition = ? ORDER BY code")
        .bind(edition)
        .fetch_all(connection)
        .await
        .map_err(StoreError::Read)?;
    let read = |row| read_rule(Fields::new("rules", "code", row), &mut conditions);
    rows.iter().map(read).collect()
}

async fn load_conditions(
    connection: &mut SqliteConnection,
    edition: u32,
) -> Result<Conditions, StoreError> {
    let rows =
        sqlx::query("SELECT * FROM rule_conditions WHERE edition = ? ORDER BY rule_code, position")
            .bind(edition)
            .fetch_all(connection)
            .await
            .map_err(StoreError::Read)?;
    let mut conditions = Conditions::new();
    for row in &rows {
        let fields = Fields::new("rule_conditions", "rule_code", row);
        let attribute = read_name(fields, "kind", "name")?;
        let condition = When { attribute, is: read_value(fields)? };
        conditions.entry(fields.text("rule_code")?).or_default().push(condition);
    }
    Ok(conditions)
}

fn rule_cells(rule: &Rule) -> Result<Vec<Cell>, StoreError> {
    let row = NewRow { table: "rules", key: &rule.code };
    let mut cells = vec![(*rule.code).into()];
    cells.extend(name_cells(&rule.left));
    cells.push(rule.relation.word().into());
    cells.extend(right_cells(row, &rule.right)?);
    cells.extend([
        rule.table.as_deref().into(),
        rule.severity.word().into(),
        (*rule.sentence).into(),
        (*rule.source.text).into(),
        rule.source.evidence.code().into(),
    ]);
    Ok(cells)
}

fn right_cells(row: NewRow<'_>, right: &Right) -> Result<Vec<Cell>, StoreError> {
    let [no_name, no_high_kind, no_high_name] = [const { Cell::Null }; 3];
    let mut cells = Vec::new();
    match right {
        Right::Attribute(name) => {
            cells.push("attribute".into());
            cells.extend(name_cells(name));
            cells.extend([no_high_kind, no_high_name]);
            cells.extend(NO_VALUE);
        }
        Right::Range(low, high) => {
            cells.push("range".into());
            cells.extend(name_cells(low));
            cells.extend(name_cells(high));
            cells.extend(NO_VALUE);
        }
        Right::Constant(kind, value) => {
            cells.extend(["constant".into(), kind.word().into()]);
            cells.extend([no_name, no_high_kind, no_high_name]);
            cells.extend(value_cells(row, value)?);
        }
    }
    Ok(cells)
}

fn name_cells(name: &AttributeName) -> [Cell; 2] {
    [name.kind.word().into(), (*name.name).into()]
}

fn read_rule(fields: Fields<'_>, conditions: &mut Conditions) -> Result<Rule, StoreError> {
    let code = fields.text("code")?;
    let when = conditions.remove(&code).unwrap_or_default();
    Ok(Rule {
        code,
        left: read_name(fields, "left_kind", "left_name")?,
        relation: fields.word("relation", Relation::parse)?,
        right: read_right(fields)?,
        table: fields.text_if_any("pair_table")?,
        when,
        severity: fields.word("severity", Severity::parse)?,
        sentence: fields.text("sentence")?,
        source: fields.source("source", "evidence")?,
    })
}

fn read_right(fields: Fields<'_>) -> Result<Right, StoreError> {
    match &*fields.text("right_form")? {
        "attribute" => Ok(Right::Attribute(read_name(fields, "right_kind", "right_name")?)),
        "range" => Ok(Right::Range(
            read_name(fields, "right_kind", "right_name")?,
            read_name(fields, "right_high_kind", "right_high_name")?,
        )),
        "constant" => {
            Ok(Right::Constant(fields.word("right_kind", PartKind::parse)?, read_value(fields)?))
        }
        other => Err(fields.error("right_form", format!("{other:?} is no form of a right side"))),
    }
}

fn read_name(
    fields: Fields<'_>,
    kind: &'static str,
    name: &'static str,
) -> Result<AttributeName, StoreError> {
    Ok(AttributeName { kind: fields.word(kind, PartKind::parse)?, name: fields.text(name)? })
}
