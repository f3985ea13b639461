//! Collects every wrong field while a wire value becomes a domain value.
//!
//! The published schema has refused wrong types, unknown fields and single values out of bounds before; what is left
//! for the conversion are references that must exist and fields that are wrong only together. Bounds are checked
//! here once more, because the conversion is also reached by ways that know no schema (the command line).
//! Absent here: the schema's own errors (`violations`).

use std::fmt::Display;

use crate::domain::fault::Fault;
use crate::domain::units::Bounds;
use crate::http::problem::FieldCode;
use crate::http::problem::FieldError;
use crate::http::problem::Problem;

/// The wrong fields found so far, and the place in the body that is being read.
///
/// ```
/// use rungwright::domain::units;
/// use rungwright::http::fields::Fields;
/// use rungwright::http::problem::FieldCode;
/// let mut fields = Fields::default();
/// fields.within("room", |room| {
///     room.check("length_mm", 10.0, &units::ROOM_LENGTH_MM);
///     room.check("width_mm", f64::NAN, &units::ROOM_WIDTH_MM);
/// });
/// fields.push("market", FieldCode::Unknown, "there is no market xx");
/// // All three are reported, not the first only.
/// assert_eq!(fields.finish(()).unwrap_err().errors().len(), 3);
/// ```
#[derive(Debug, Default)]
pub struct Fields {
    place: String,
    errors: Vec<FieldError>,
}

impl Fields {
    /// Notes an error unless the value lies within its bounds. The value comes back either way: what is built
    /// from it is thrown away by [`Fields::finish`] if anything was noted.
    pub fn check<N: Into<f64>>(&mut self, field: &str, value: N, bounds: &'static Bounds) -> f64 {
        let value = value.into();
        if let Err(error) = bounds.check(value) {
            let below = value < bounds.minimum;
            let code = if below { FieldCode::BelowMinimum } else { FieldCode::AboveMaximum };
            let pointer = self.pointer(field);
            let allowed = format!("{} to {}", bounds.minimum, bounds.maximum);
            self.errors.push(FieldError::at(pointer, code, error.to_string()).allowing(allowed));
        }
        value
    }

    /// Notes an error at a field of the present place; the empty name means the place itself.
    pub fn push<D: Into<String>>(&mut self, field: &str, code: FieldCode, detail: D) {
        self.errors.push(FieldError::at(self.pointer(field), code, detail));
    }

    /// Notes an error that is at hand already; its pointer is taken as relative to the present place.
    pub fn add(&mut self, error: FieldError) {
        let relative = error.pointer.as_deref().unwrap_or_default();
        let pointer = Some(format!("{}{relative}", self.place));
        self.errors.push(FieldError { pointer, ..error });
    }

    /// Notes a fault that the domain found; its pointer is taken as relative to the present place.
    pub fn push_fault(&mut self, fault: &Fault) {
        let pointer = format!("{}{}", self.place, fault.pointer);
        let code = match fault.code {
            Fault::OUT_OF_RANGE => FieldCode::OutOfRange,
            _ => FieldCode::Contradiction,
        };
        self.errors.push(FieldError::at(pointer, code, fault.text.clone()));
    }

    /// Notes every fault that the domain found.
    pub fn push_faults(&mut self, faults: &[Fault]) {
        for fault in faults {
            self.push_fault(fault);
        }
    }

    /// Notes a fault that the domain found, unless something is wrong with that field already.
    pub fn push_new_fault(&mut self, fault: &Fault) {
        let pointer = format!("{}{}", self.place, fault.pointer);
        if !self.errors.iter().any(|error| error.pointer.as_ref() == Some(&pointer)) {
            self.push_fault(fault);
        }
    }

    /// The value of a result, or its error noted.
    pub fn keep<T, E: Display>(
        &mut self,
        field: &str,
        code: FieldCode,
        result: Result<T, E>,
    ) -> Option<T> {
        result.map_err(|error| self.push(field, code, error.to_string())).ok()
    }

    /// The value of a conversion that notes its own errors, or these noted as relative to the present place.
    pub fn take<T>(&mut self, result: Result<T, Problem>) -> Option<T> {
        match result {
            Ok(value) => Some(value),
            Err(problem) => {
                if problem.errors().is_empty() {
                    self.push("", FieldCode::Contradiction, problem.detail());
                }
                problem.errors().iter().cloned().for_each(|error| self.add(error));
                None
            }
        }
    }

    /// Reads the fields of one object inside.
    pub fn within<T, F: FnOnce(&mut Self) -> T>(&mut self, field: &str, read: F) -> T {
        let length = self.place.len();
        self.place = self.pointer(field);
        let value = read(self);
        self.place.truncate(length);
        value
    }

    /// Reads a list, each entry at its own place.
    pub fn each<'a, T, U, F: FnMut(&mut Self, &'a T) -> U>(
        &mut self,
        field: &str,
        entries: &'a [T],
        mut read: F,
    ) -> Vec<U> {
        self.within(field, |list| {
            let numbered = entries.iter().enumerate();
            numbered
                .map(|(index, entry)| list.within(&index.to_string(), |at| read(at, entry)))
                .collect()
        })
    }

    /// Whether nothing is wrong so far.
    pub fn is_clean(&self) -> bool {
        self.errors.is_empty()
    }

    /// The value, or 422 with every error noted.
    pub fn finish<T>(self, value: T) -> Result<T, Problem> {
        if self.errors.is_empty() { Ok(value) } else { Err(Problem::invalid(self.errors)) }
    }

    /// JSON pointer of a field of the present place.
    fn pointer(&self, field: &str) -> String {
        if field.is_empty() {
            return self.place.clone();
        }
        format!("{}/{}", self.place, escape(field))
    }
}

/// A name as a segment of a JSON pointer (RFC 6901 section 3).
pub fn escape(name: &str) -> String {
    name.replace('~', "~0").replace('/', "~1")
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::units;

    #[test]
    fn the_sentence_and_the_limits_come_from_the_table() {
        let mut fields = Fields::default();
        fields.within("room", |room| room.check("width_mm", 0_i32, &units::ROOM_WIDTH_MM));
        let problem = fields.finish(()).unwrap_err();
        let expected = FieldError::at(
            "/room/width_mm",
            FieldCode::BelowMinimum,
            "width of the room is 0 mm, allowed are 300 to 20000 mm",
        );
        assert_eq!(problem.errors(), [expected.allowing("300 to 20000")]);
    }

    #[test]
    fn entries_of_a_list_are_named_by_their_index() {
        let mut fields = Fields::default();
        fields.each("boundaries", &[1_i32, -1_i32], |each, area| {
            each.check("area_m2", *area, &units::BOUNDARY_AREA_M2);
        });
        let problem = fields.finish(()).unwrap_err();
        assert_eq!(problem.errors()[0].pointer.as_deref(), Some("/boundaries/1/area_m2"));
    }

    #[test]
    fn slashes_and_tildes_of_a_name_are_escaped() {
        let mut fields = Fields::default();
        fields.push("a/b~c", FieldCode::UnknownField, "no such field");
        let problem = fields.finish(()).unwrap_err();
        assert_eq!(problem.errors()[0].pointer.as_deref(), Some("/a~1b~0c"));
    }
}
