//! Stand-in until the real module lands.
use std::fmt;
/// Base.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum ControlBase {
    /// x
    Nc,
}
/// Code.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub struct ControlCode {
    base: ControlBase,
    functions: u8,
}
impl ControlCode {
    /// x
    pub fn parse(_text: &str) -> Option<Self> {
        None
    }
    /// x
    pub fn union(self, _other: Self) -> Self {
        self
    }
}
impl fmt::Display for ControlCode {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{:?}{}", self.base, self.functions)
    }
}
