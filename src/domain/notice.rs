//! A notice: one caution to show beside an answer, with a stable code and a sentence for the reader.
//!
//! Notices never change an answer. Absent here: refusals, which are values of the module that refuses.

use std::borrow::Cow;

/// A caution to show. Two notices of one code say the same kind of thing, with different figures.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub struct Notice {
    /// Kebab-case, stable, never reused: `surface-hot`.
    pub code: &'static str,
    /// One or two full sentences in English.
    pub text: Cow<'static, str>,
}

impl Notice {
    /// A notice of a fixed or a computed sentence.
    ///
    /// ```
    /// use rungwright::domain::notice::Notice;
    /// let fixed = Notice::new("fill-cold", "Fill the body cold.");
    /// assert_eq!(fixed, Notice::new("fill-cold", String::from("Fill the body cold.")));
    /// ```
    pub fn new<T: Into<Cow<'static, str>>>(code: &'static str, text: T) -> Self {
        Self { code, text: text.into() }
    }
}
