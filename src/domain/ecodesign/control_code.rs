//! The control code of EU 2024/1103, Table 7: a base (`TD`) and up to eight functions, printed `TD (0/2/0/0/5/0/0/0)`.
//!
//! Absent here: efficiency limits, and which products have which code.

use std::fmt;

/// How the heat is controlled, worst first; ties in efficiency stand in the order of the table.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum ControlBase {
    /// One stage, no control of room temperature.
    Nc,
    /// Two or more manual stages.
    Tx,
    /// Mechanical thermostat.
    Tm,
    /// Electronic control of room temperature.
    Te,
    /// Electronic control with day timer.
    Td,
    /// Electronic control with week timer.
    Tw,
}

/// An added function, numbered as in the law.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum ControlFunction {
    /// f1: detects presence.
    Presence,
    /// f2: detects an open window.
    OpenWindow,
    /// f3: can be controlled from a distance.
    Distance,
    /// f4: starts early by itself to be warm on time.
    AdaptiveStart,
    /// f5: limits the working time.
    WorkingTimeLimit,
    /// f6: black bulb sensor.
    BlackBulb,
    /// f7: learns.
    SelfLearning,
    /// f8: control accuracy below 2 K and deviation below 2 K.
    Accuracy,
}

/// A set of functions.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Default)]
pub struct ControlFunctions(u8);

/// A control code: base and functions.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct ControlCode {
    /// How the heat is controlled.
    pub base: ControlBase,
    /// What is added.
    pub functions: ControlFunctions,
}

impl ControlBase {
    /// Every base, worst first.
    pub const ALL: [Self; 6] = [Self::Nc, Self::Tx, Self::Tm, Self::Te, Self::Td, Self::Tw];

    /// The two letters of the law.
    pub const fn code(self) -> &'static str {
        match self {
            Self::Nc => "NC",
            Self::Tx => "TX",
            Self::Tm => "TM",
            Self::Te => "TE",
            Self::Td => "TD",
            Self::Tw => "TW",
        }
    }

    /// The base of two letters.
    pub fn parse(code: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|known| known.code() == code)
    }

    /// F(2) of a towel rail in thousandths (EU 2024/1103, Annex III Table 10, read).
    pub const fn factor_thousandths(self) -> u32 {
        match self {
            Self::Nc => 0,
            Self::Tx | Self::Tm | Self::Te => 30,
            Self::Td => 95,
            Self::Tw => 150,
        }
    }
}

impl ControlFunction {
    /// Every function, f1 first.
    pub const ALL: [Self; 8] = [
        Self::Presence,
        Self::OpenWindow,
        Self::Distance,
        Self::AdaptiveStart,
        Self::WorkingTimeLimit,
        Self::BlackBulb,
        Self::SelfLearning,
        Self::Accuracy,
    ];

    /// The number in the law, 1 to 8.
    pub const fn number(self) -> u8 {
        match self {
            Self::Presence => 1,
            Self::OpenWindow => 2,
            Self::Distance => 3,
            Self::AdaptiveStart => 4,
            Self::WorkingTimeLimit => 5,
            Self::BlackBulb => 6,
            Self::SelfLearning => 7,
            Self::Accuracy => 8,
        }
    }

    /// F(3) of a towel rail in thousandths (EU 2024/1103, Annex III Table 11, read).
    pub const fn factor_thousandths(self) -> u32 {
        match self {
            Self::Presence | Self::Distance | Self::BlackBulb => 0,
            Self::OpenWindow
            | Self::AdaptiveStart
            | Self::WorkingTimeLimit
            | Self::SelfLearning
            | Self::Accuracy => 20,
        }
    }

    const fn bit(self) -> u8 {
        match self {
            Self::Presence => 1,
            Self::OpenWindow => 1 << 1,
            Self::Distance => 1 << 2,
            Self::AdaptiveStart => 1 << 3,
            Self::WorkingTimeLimit => 1 << 4,
            Self::BlackBulb => 1 << 5,
            Self::SelfLearning => 1 << 6,
            Self::Accuracy => 1 << 7,
        }
    }
}

impl ControlFunctions {
    /// No function.
    pub const NONE: Self = Self(0);

    /// The functions that count for a towel rail: f2, f4, f5, f7, f8.
    pub const COUNTED: Self = Self::of(&[
        ControlFunction::OpenWindow,
        ControlFunction::AdaptiveStart,
        ControlFunction::WorkingTimeLimit,
        ControlFunction::SelfLearning,
        ControlFunction::Accuracy,
    ]);

    /// A set of these functions.
    pub const fn of(functions: &[ControlFunction]) -> Self {
        let mut set = Self::NONE;
        let mut rest = functions;
        while let [first, others @ ..] = rest {
            set = set.with(*first);
            rest = others;
        }
        set
    }

    /// The set with one function more.
    #[must_use]
    pub const fn with(self, function: ControlFunction) -> Self {
        Self(self.0 | function.bit())
    }

    /// What is in either set.
    #[must_use]
    pub const fn union(self, other: Self) -> Self {
        Self(self.0 | other.0)
    }

    /// What is in this set but not in the other.
    #[must_use]
    pub const fn without(self, other: Self) -> Self {
        Self(self.0 & !other.0)
    }

    /// Whether a function is in the set.
    pub const fn has(self, function: ControlFunction) -> bool {
        self.0 & function.bit() != 0
    }

    /// The functions of the set, f1 first.
    pub fn iter(self) -> impl Iterator<Item = ControlFunction> {
        ControlFunction::ALL.into_iter().filter(move |function| self.has(*function))
    }
}

impl ControlCode {
    /// No control at all.
    pub const UNCONTROLLED: Self =
        Self { base: ControlBase::Nc, functions: ControlFunctions::NONE };

    /// The code of a text, with or without the blank: `TD (0/2/0/0/5/0/0/0)`.
    ///
    /// ```
    /// use rungwright::domain::ecodesign::ControlCode;
    /// let code = ControlCode::parse("TD(0/2/0/0/5/0/0/0)").unwrap();
    /// assert_eq!(code.to_string(), "TD (0/2/0/0/5/0/0/0)");
    /// // A number in the wrong place is a misprint, not another function.
    /// assert_eq!(ControlCode::parse("TD (2/0/0/0/5/0/0/0)"), None);
    /// ```
    pub fn parse(text: &str) -> Option<Self> {
        let (base, rest) = text.split_once('(')?;
        let places = rest.strip_suffix(')')?;
        let base = ControlBase::parse(base.strip_suffix(' ').unwrap_or(base))?;
        let mut functions = ControlFunctions::NONE;
        let mut place = places.split('/');
        for function in ControlFunction::ALL {
            let written = place.next()?;
            if written == function.number().to_string() {
                functions = functions.with(function);
            } else if written != "0" {
                return None;
            }
        }
        place.next().is_none().then_some(Self { base, functions })
    }

    /// Whether the control has a day or week timer.
    pub const fn has_timer(self) -> bool {
        match self.base {
            ControlBase::Nc | ControlBase::Tx | ControlBase::Tm | ControlBase::Te => false,
            ControlBase::Td | ControlBase::Tw => true,
        }
    }

    /// The code of two controls that work on one heater: the better base, and the functions of both.
    ///
    /// ```
    /// use rungwright::domain::ecodesign::ControlCode;
    /// let element = ControlCode::parse("TE (0/0/0/0/5/0/0/0)").unwrap();
    /// let time_switch = ControlCode::parse("TW (0/0/0/4/0/0/0/0)").unwrap();
    /// assert_eq!(element.union(time_switch).to_string(), "TW (0/0/0/4/5/0/0/0)");
    /// ```
    #[must_use]
    pub fn union(self, other: Self) -> Self {
        Self { base: self.base.max(other.base), functions: self.functions.union(other.functions) }
    }
}

impl fmt::Display for ControlCode {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{} (", self.base.code())?;
        for function in ControlFunction::ALL {
            let number = if self.functions.has(function) { function.number() } else { 0 };
            let separator = if function == ControlFunction::Presence { "" } else { "/" };
            write!(f, "{separator}{number}")?;
        }
        f.write_str(")")
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_code_survives_being_printed() {
        for base in ControlBase::ALL {
            for bits in 0..=u8::MAX {
                let code = ControlCode { base, functions: ControlFunctions(bits) };
                assert_eq!(ControlCode::parse(&code.to_string()), Some(code));
            }
        }
    }

    #[test]
    fn a_text_that_is_no_code_is_refused() {
        for text in [
            "",
            "TD",
            "TD ()",
            "TD (0/2/0/0/5/0/0)",
            "TD (0/2/0/0/5/0/0/0/0)",
            "td (0/0/0/0/0/0/0/0)",
        ] {
            assert_eq!(ControlCode::parse(text), None, "{text:?}");
        }
    }
}
