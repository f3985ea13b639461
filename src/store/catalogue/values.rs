//! Attribute values in typed columns: `value_type`, and one of `value_flag`, `value_number_e3`, `value_text`,
//! `value_words`.
//!
//! Absent here: the rows they stand in (attributes of parts, constants of rules, conditions).

use crate::domain::catalogue::Thousandths;
use crate::domain::catalogue::Value;
use crate::domain::catalogue::ValueType;
use crate::store::error::StoreError;

use super::fields::Fields;
use super::rows::Cell;
use super::rows::NewRow;

/// The five cells of a value.
pub(super) fn value_cells(row: NewRow<'_>, value: &Value) -> Result<[Cell; 5], StoreError> {
    let value_type = value.value_type().word().into();
    let [flag, number, text, words] = [const { Cell::Null }; 4];
    Ok(match value {
        Value::Flag(is_so) => [value_type, (*is_so).into(), number, text, words],
        Value::Number(count) => [value_type, flag, count.value().into(), text, words],
        Value::Text(phrase) => [value_type, flag, number, (**phrase).into(), words],
        Value::Words(set) => [value_type, flag, number, text, row.words("value_words", set)?],
    })
}

/// The five cells of no value.
pub(super) const NO_VALUE: [Cell; 5] = [const { Cell::Null }; 5];

/// The value of a row that has one.
pub(super) fn read_value(fields: Fields<'_>) -> Result<Value, StoreError> {
    Ok(match fields.word("value_type", ValueType::parse)? {
        ValueType::Flag => Value::Flag(fields.flag("value_flag")?),
        ValueType::Number => Value::Number(Thousandths::new(fields.get("value_number_e3")?)),
        ValueType::Text => Value::Text(fields.text("value_text")?),
        ValueType::Words => Value::Words(fields.words("value_words")?),
    })
}
