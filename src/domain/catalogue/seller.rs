//! What a market's papers say of the seller, in the seller's own words: name, address, guarantee, terms of sale.
//!
//! Line by line, as a keeper writes it. Absent here: where it is printed.

/// Most lines of one kind for one market.
pub const SELLER_LINES_MAX: usize = 40;
/// Longest line, in letters.
pub const SELLER_LINE_LENGTH_MAX: usize = 400;

/// What a line is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum SellerLineKind {
    /// The name; one line.
    Name,
    /// A line of the address.
    Address,
    /// Telephone, mail, whatever the seller wants written to.
    Contact,
    /// The tax number; one line.
    TaxNumber,
    /// What the guarantee promises.
    Guarantee,
    /// What ends the guarantee.
    GuaranteeEnds,
    /// Where claims go.
    Claims,
    /// A paragraph of the terms of sale.
    Terms,
}

impl SellerLineKind {
    /// Every kind.
    pub const ALL: [Self; 8] = [
        Self::Name,
        Self::Address,
        Self::Contact,
        Self::TaxNumber,
        Self::Guarantee,
        Self::GuaranteeEnds,
        Self::Claims,
        Self::Terms,
    ];

    /// The word for it in SQL and catalogue files.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Name => "name",
            Self::Address => "address",
            Self::Contact => "contact",
            Self::TaxNumber => "tax_number",
            Self::Guarantee => "guarantee",
            Self::GuaranteeEnds => "guarantee_ends",
            Self::Claims => "claims",
            Self::Terms => "terms",
        }
    }

    /// The kind of a word.
    pub fn parse(word: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|kind| kind.word() == word)
    }

    const fn is_single(self) -> bool {
        match self {
            Self::Name | Self::TaxNumber => true,
            Self::Address
            | Self::Contact
            | Self::Guarantee
            | Self::GuaranteeEnds
            | Self::Claims
            | Self::Terms => false,
        }
    }
}

/// One line that a seller has printed.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub struct SellerLine {
    /// The market.
    pub market: Box<str>,
    /// What it is.
    pub kind: SellerLineKind,
    /// Its place among the lines of its kind.
    pub position: u16,
    /// The words.
    pub text: Box<str>,
}

/// All that a seller has printed, ordered.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct SellerWords {
    /// Name.
    pub name: Option<Box<str>>,
    /// Address, line by line.
    pub address: Vec<Box<str>>,
    /// Contact, line by line.
    pub contact: Vec<Box<str>>,
    /// Tax number.
    pub tax_number: Option<Box<str>>,
    /// What the guarantee promises.
    pub guarantee: Vec<Box<str>>,
    /// What ends it.
    pub guarantee_ends: Vec<Box<str>>,
    /// Where claims go.
    pub claims: Vec<Box<str>>,
    /// Terms of sale, paragraph by paragraph.
    pub terms: Vec<Box<str>>,
}

impl SellerWords {
    /// The words of a market; the lines come sorted.
    pub fn of(lines: &[SellerLine], market: &str) -> Self {
        let all = |kind: SellerLineKind| -> Vec<Box<str>> {
            let own = lines.iter().filter(|line| &*line.market == market && line.kind == kind);
            own.map(|line| line.text.clone()).collect()
        };
        let one = |kind: SellerLineKind| all(kind).into_iter().next();
        Self {
            name: one(SellerLineKind::Name),
            address: all(SellerLineKind::Address),
            contact: all(SellerLineKind::Contact),
            tax_number: one(SellerLineKind::TaxNumber),
            guarantee: all(SellerLineKind::Guarantee),
            guarantee_ends: all(SellerLineKind::GuaranteeEnds),
            claims: all(SellerLineKind::Claims),
            terms: all(SellerLineKind::Terms),
        }
    }
}

/// What is wrong with a seller's lines, as sentences.
pub(super) fn line_faults(lines: &[SellerLine]) -> Vec<String> {
    let mut faults = Vec::new();
    for line in lines {
        let SellerLine { market, kind, text, .. } = line;
        let of_kind = lines.iter().filter(|other| other.market == *market && other.kind == *kind);
        let (count, word) = (of_kind.count(), kind.word());
        let most = if kind.is_single() { 1 } else { SELLER_LINES_MAX };
        if most < count {
            faults.push(format!("{market} has {count} lines of {word}, {most} at the most"));
        }
        let length = text.chars().count();
        if length == 0 || SELLER_LINE_LENGTH_MAX < length {
            faults.push(format!(
                "a line of {word} of {market} has 1 to {SELLER_LINE_LENGTH_MAX} letters"
            ));
        }
    }
    faults.sort();
    faults.dedup();
    faults
}

#[cfg(test)]
mod tests {
    use super::*;

    fn line(kind: SellerLineKind, position: u16, text: &str) -> SellerLine {
        SellerLine { market: "gb".into(), kind, position, text: text.into() }
    }

    #[test]
    fn a_second_name_and_an_empty_line_are_faults() {
        let lines = [
            line(SellerLineKind::Name, 1, "One"),
            line(SellerLineKind::Name, 2, "Two"),
            line(SellerLineKind::Terms, 1, ""),
        ];
        let wanted =
            ["a line of terms of gb has 1 to 400 letters", "gb has 2 lines of name, 1 at the most"];
        assert_eq!(line_faults(&lines), wanted);
    }

    #[test]
    fn the_words_of_a_market_are_its_own() {
        let mut other = line(SellerLineKind::Name, 1, "Elsewhere");
        other.market = "ie".into();
        let words = SellerWords::of(&[other, line(SellerLineKind::Address, 1, "Shed 3")], "gb");
        assert_eq!((words.name, words.address.len()), (None, 1));
    }
}
