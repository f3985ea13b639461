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
impl ControlCode {
    /// Whether the code has a timer of its own.
    pub const fn has_timer(self) -> bool {
        false
    }
}
/// Regime.
#[derive(Debug, Clone, Copy)]
pub struct Regime;
impl Regime {
    /// x
    pub const fn accepts(self, _code: ControlCode, _watts: crate::domain::units::Watts) -> bool {
        true
    }
}
