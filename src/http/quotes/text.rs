//! Texts and amounts of a quote: what a person types and a paper prints.

use crate::domain::money::Currency;
use crate::domain::pricing::discount::Discount;
use crate::domain::pricing::discount::Reduction;
use crate::http::fields::Fields;
use crate::http::problem::FieldCode;

/// Notes a text that holds control characters, or marks that turn the direction of writing: a paper could be made to
/// say something else than its data. Letters of every script are welcome, right-to-left ones too.
pub(super) fn plain(text: &str, field: &str, at: &mut Fields) {
    let turns = |character: char| matches!(character, '\u{200e}' | '\u{200f}' | '\u{202a}'..='\u{202e}' | '\u{2066}'..='\u{2069}');
    let odd = text.chars().find(|character| character.is_control() || turns(*character));
    if let Some(odd) = odd {
        let code = u32::from(odd);
        let detail = format!("the text holds the control character U+{code:04X}");
        at.push(field, FieldCode::BadForm, detail);
    } else if text.trim().is_empty() {
        at.push(field, FieldCode::TooShort, "the text is blank");
    }
}

/// A discount as it is stated.
#[derive(Debug, Clone, Copy)]
pub(super) struct StatedDiscount<'a> {
    /// Percent.
    pub percent: Option<&'a str>,
    /// Net amount.
    pub amount: Option<&'a str>,
    /// Why.
    pub reason: &'a str,
}

/// The discount of a percentage or an amount, its wrong fields noted at the present place.
pub(super) fn discount(
    stated: StatedDiscount<'_>,
    currency: Currency,
    at: &mut Fields,
) -> Option<Discount> {
    let StatedDiscount { percent, amount, reason } = stated;
    plain(reason, "reason", at);
    let reduction = match (percent, amount) {
        (Some(percent), None) => {
            let basis_points = basis_points(percent);
            if basis_points.is_none() {
                let detail = "a percentage has up to two decimals and is at most 100";
                at.push("percent", FieldCode::BadForm, detail);
            }
            basis_points.map(Reduction::Percent)
        }
        (None, Some(amount)) => {
            let parsed = currency.parse_amount(amount);
            if parsed.is_none() {
                let detail = format!("{amount:?} is no amount in {}", currency.code());
                at.push("amount", FieldCode::BadForm, detail);
            }
            parsed.map(Reduction::Amount)
        }
        (Some(_), Some(_)) | (None, None) => {
            at.push("", FieldCode::Contradiction, "a discount has either a percent or an amount");
            None
        }
    };
    Some(Discount { reduction: reduction?, reason: reason.into() })
}

/// Hundredths of a percent of a decimal text.
fn basis_points(text: &str) -> Option<u32> {
    let (whole, fraction) = text.split_once('.').unwrap_or((text, ""));
    let padded = format!("{whole}{fraction:0<2}");
    let points = padded.parse::<u32>().ok().filter(|_| fraction.len() <= 2)?;
    (points <= 10_000).then_some(points)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_percentage_is_counted_in_hundredths() {
        assert_eq!(basis_points("5"), Some(500));
        assert_eq!(basis_points("2.5"), Some(250));
        assert_eq!(basis_points("100.00"), Some(10_000));
        assert_eq!(basis_points("100.01"), None);
        assert_eq!(basis_points("1.234"), None);
    }

    #[test]
    fn control_characters_are_noted_and_scripts_are_not() {
        let wrong = |text: &str| {
            let mut fields = Fields::default();
            plain(text, "name", &mut fields);
            !fields.is_clean()
        };
        for text in ["Tern\u{0}House", "a\u{202e}b", "line\nbreak", "\u{7f}", "  "] {
            assert!(wrong(text), "{text:?}");
        }
        for text in ["Tern House", "חדר אמבטיה", "غرفة", "<b>&amp;</b>", "Ünï🛁"] {
            assert!(!wrong(text), "{text:?}");
        }
    }
}
