//! A fault: one field of a question that cannot be, with the physical reason. Faults are collected, never the first alone.
//!
//! Absent here: refusals of a right question (a locked fill, a boiling body), which are outcomes of their own modules.

use std::fmt;

use crate::domain::units::Bounds;
use crate::domain::units::OutOfRange;

/// One wrong field and why.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub struct Fault {
    /// Where: a JSON pointer from the value that was checked, `/boundaries/3/area_m2`.
    pub pointer: String,
    /// Kebab-case, stable, never reused: `indoor-below-outdoor`.
    pub code: &'static str,
    /// What is wrong, in lower case, with the value and the limit.
    pub text: String,
}

impl Fault {
    /// Code of every value outside its [`Bounds`].
    pub const OUT_OF_RANGE: &'static str = "out-of-range";

    /// A fault of a field.
    pub fn new<P: Into<String>>(pointer: P, code: &'static str, text: String) -> Self {
        Self { pointer: pointer.into(), code, text }
    }

    /// The fault of a value outside its bounds.
    pub fn out_of_range<P: Into<String>>(pointer: P, error: &OutOfRange) -> Self {
        Self::new(pointer, Self::OUT_OF_RANGE, error.to_string())
    }

    /// The fault of a value if it lies outside a row's bounds.
    ///
    /// ```
    /// use rungwright::domain::fault::Fault;
    /// use rungwright::domain::units::BOUNDARY_U;
    /// let fault = Fault::of_range("/boundaries/0", &BOUNDARY_U, 0.0).unwrap();
    /// assert_eq!(fault.pointer, "/boundaries/0/u_w_m2k");
    /// ```
    pub fn of_range(parent: &str, bounds: &'static Bounds, value: f64) -> Option<Self> {
        let error = bounds.check(value).err()?;
        Some(Self::out_of_range(format!("{parent}/{}", bounds.field), &error))
    }
}

impl fmt::Display for Fault {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}: {}", self.pointer, self.text)
    }
}

impl std::error::Error for Fault {}
