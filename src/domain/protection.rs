//! Protection classes of electrical equipment (IEC 61140).
//!
//! Absent here: which class a place accepts (a country's row in its wiring rules says so).

use std::fmt;

/// How a piece of equipment protects against electric shock.
///
/// ```
/// use rungwright::domain::protection::ProtectionClass;
/// assert_eq!(ProtectionClass::parse("II"), Some(ProtectionClass::II));
/// // Arabic figures are not the notation of the standard and are refused.
/// assert_eq!(ProtectionClass::parse("2"), None);
/// ```
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum ProtectionClass {
    /// Basic insulation and a protective earth; the flex has three cores.
    I,
    /// Double or reinforced insulation, no earth; the flex has two cores.
    II,
    /// Safety extra-low voltage.
    III,
}

impl ProtectionClass {
    /// Every class, in the order of the standard.
    pub const ALL: [Self; 3] = [Self::I, Self::II, Self::III];

    /// The Roman figure.
    pub const fn code(self) -> &'static str {
        match self {
            Self::I => "I",
            Self::II => "II",
            Self::III => "III",
        }
    }

    /// The class of a Roman figure.
    pub fn parse(text: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|class| class.code() == text)
    }
}

impl fmt::Display for ProtectionClass {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.code())
    }
}
