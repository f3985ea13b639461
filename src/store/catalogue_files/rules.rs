//! Rows of `rules.csv`, `listed_pairs.csv` and `thread_matings.csv`.
//!
//! The column `right` holds one attribute, for `within` the lower and the upper one with a blank between, or the bare
//! kind of part when the column `constant` holds the value to compare with. The column `when` holds conditions such as
//! `control.time_switch=yes; element.regulation=adjustable`.

use crate::domain::catalogue::AttributeName;
use crate::domain::catalogue::ListedPair;
use crate::domain::catalogue::Mates;
use crate::domain::catalogue::PartKind;
use crate::domain::catalogue::Relation;
use crate::domain::catalogue::Right;
use crate::domain::catalogue::Rule;
use crate::domain::catalogue::Severity;
use crate::domain::catalogue::ThreadMating;
use crate::domain::catalogue::Value;
use crate::domain::catalogue::ValueType;
use crate::domain::catalogue::When;

use super::attributes::value_type;
use super::cell::attribute;
use super::cell::listed;
use super::cell::pointed;
use super::fault::CellFault;
use super::fault::RowResult;
use super::record::Declared;
use super::record::Record;
use super::table::DecimalMark;

/// Conditions of one rule at most.
const CONDITIONS_MAX: usize = 8;

/// The rule of a row; its values are read as the attributes they are compared with.
pub(super) fn rule(record: &Record, declared: &Declared) -> RowResult<Rule> {
    let (right, when) = (right(record, declared), when(record, declared));
    match (right, when, table(record)) {
        (Ok(right), Ok(when), Ok(table)) => {
            assemble(record, Sides { right, when, table }).map_err(|fault| vec![fault])
        }
        (right, when, table) => {
            Err([right.err(), when.err(), table.err()].into_iter().flatten().collect())
        }
    }
}

struct Sides {
    right: Right,
    when: Vec<When>,
    table: Option<Box<str>>,
}

fn assemble(record: &Record, sides: Sides) -> Result<Rule, CellFault> {
    Ok(Rule {
        code: record.text("code")?,
        left: record.attribute("left")?,
        relation: record.word("relation", Relation::parse)?,
        right: sides.right,
        table: sides.table,
        when: sides.when,
        severity: record.word("severity", Severity::parse)?,
        sentence: record.text("sentence")?,
        source: record.source("source", "evidence")?,
    })
}

fn right(record: &Record, declared: &Declared) -> Result<Right, CellFault> {
    let text = record.text("right")?;
    let fault = |allowed| CellFault::new("right", &text, allowed);
    if let Some(constant) = record.maybe_text("constant")? {
        let kind = PartKind::parse(&text).ok_or_else(|| {
            fault(listed("beside a constant, the kind", PartKind::ALL.map(PartKind::word)))
        })?;
        let left = record.attribute("left")?;
        return Ok(Right::Constant(
            kind,
            value(("constant", record.mark()), &constant, (&left, declared))?,
        ));
    }
    let Some((low, high)) = text.split_once(' ') else {
        return attribute(&text).map(Right::Attribute).map_err(fault);
    };
    Ok(Right::Range(attribute(low).map_err(fault)?, attribute(high).map_err(fault)?))
}

fn table(record: &Record) -> Result<Option<Box<str>>, CellFault> {
    let table = record.maybe_text("table")?;
    let is_listed = record.word("relation", Relation::parse)? == Relation::ListedPair;
    if table.is_some() == is_listed {
        return Ok(table);
    }
    let allowed = "the name of a pair table, for listed_pair and for nothing else".to_owned();
    Err(CellFault::new("table", &table.unwrap_or_default(), allowed))
}

fn when(record: &Record, declared: &Declared) -> Result<Vec<When>, CellFault> {
    let Some(text) = record.maybe_text("when")? else { return Ok(Vec::new()) };
    let conditions: Vec<&str> = text.split(';').map(str::trim).collect();
    if CONDITIONS_MAX < conditions.len() {
        let allowed = format!("at most {CONDITIONS_MAX} conditions");
        return Err(CellFault::new("when", &text, allowed));
    }
    conditions.into_iter().map(|condition| one_condition(condition, record, declared)).collect()
}

fn one_condition(text: &str, record: &Record, declared: &Declared) -> Result<When, CellFault> {
    let (name, is) = text.split_once('=').ok_or_else(|| {
        let allowed = "an attribute, = and its value, such as control.time_switch=yes".to_owned();
        CellFault::new("when", text, allowed)
    })?;
    let attribute = attribute(name).map_err(|allowed| CellFault::new("when", text, allowed))?;
    let is = value(("when", record.mark()), is, (&attribute, declared))?;
    Ok(When { attribute, is })
}

fn value(
    (column, mark): (&str, DecimalMark),
    text: &str,
    (attribute, declared): (&AttributeName, &Declared),
) -> Result<Value, CellFault> {
    let Some(value_type) = value_type(attribute, declared) else {
        let allowed = format!("a value of a known attribute; {attribute} is none");
        return Err(CellFault::new(column, text, allowed));
    };
    let has_comma = mark == DecimalMark::Comma && value_type == ValueType::Number;
    let written = if has_comma { pointed(text) } else { Ok(text.to_owned()) };
    written.ok().and_then(|pointed| Value::parse(&pointed, value_type)).ok_or_else(|| {
        let allowed = format!("a value of {attribute}, which is a {}", value_type.word());
        CellFault::new(column, text, allowed)
    })
}

/// The pair in a row of `listed_pairs.csv`.
pub(super) fn listed_pair(record: &Record) -> RowResult<ListedPair> {
    let pair = || {
        Ok(ListedPair {
            table: record.text("table")?,
            left: record.text("left")?,
            right: record.text("right")?,
        })
    };
    pair().map_err(|fault: CellFault| vec![fault])
}

/// The row of the mating table in a row of `thread_matings.csv`.
pub(super) fn thread_mating(record: &Record) -> RowResult<ThreadMating> {
    let mating = || {
        Ok(ThreadMating {
            external: record.thread_form("external")?,
            internal: record.thread_form("internal")?,
            mates: record.word("mates", Mates::parse)?,
            seal: record.text("seal")?,
            source: record.source("source", "evidence")?,
        })
    };
    mating().map_err(|fault: CellFault| vec![fault])
}
