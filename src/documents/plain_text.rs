//! Text made safe to print: control characters and directional overrides taken out, whatever language it is in.
//!
//! Escaping for HTML is the template's business, and the order of right-to-left letters that of the PDF writer. Absent
//! here: any judgement on what a text says.

/// Most characters of one text on a paper; the rest is cut and an ellipsis says so.
pub const TEXT_CHARACTERS_MAX: usize = 4_000;

/// A text as it may be printed: every control character is a space, marks that change the reading direction are gone,
/// runs of white space are one space.
///
/// ```
/// use rungwright::documents::plain_text::printable;
/// // An override would show the part number of another part than the one that is ordered.
/// assert_eq!(printable("SK-\u{202e}001\u{0}\r\n  x"), "SK-001 x");
/// ```
pub fn printable(text: &str) -> String {
    let mut clean = String::with_capacity(text.len());
    let shown = text.chars().filter(|sign| !is_invisible(*sign)).take(TEXT_CHARACTERS_MAX);
    for sign in shown {
        if sign.is_control() || (sign.is_whitespace() && sign != '\u{a0}' && sign != '\u{202f}') {
            if !clean.ends_with(' ') && !clean.is_empty() {
                clean.push(' ');
            }
        } else {
            clean.push(sign);
        }
    }
    if clean.ends_with(' ') {
        clean.pop();
    }
    if TEXT_CHARACTERS_MAX < text.chars().count() {
        clean.push('…');
    }
    clean
}

/// Marks that are never seen but change what is: directions, byte order, interlinear and language tags, non-characters.
const fn is_invisible(sign: char) -> bool {
    matches!(
        sign,
        '\u{ad}' | '\u{61c}' | '\u{200b}' | '\u{200e}' | '\u{200f}' | '\u{2028}'..='\u{202e}'
            | '\u{2060}'..='\u{206f}' | '\u{fdd0}'..='\u{fdef}' | '\u{feff}' | '\u{fff9}'..='\u{fffb}'
            | '\u{fffe}' | '\u{ffff}' | '\u{e0000}'..='\u{e0fff}'
    )
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn letters_of_every_script_stay() {
        for text in ["Ó Dómhnaill", "שלום", "مرحبا", "浴室", "5 × 2 ≤ 10 m²"] {
            assert_eq!(printable(text), text);
        }
    }

    #[test]
    fn a_text_without_end_is_cut_and_says_so() {
        let text = printable(&"x".repeat(TEXT_CHARACTERS_MAX + 1));
        assert_eq!(text.chars().count(), TEXT_CHARACTERS_MAX + 1);
        assert!(text.ends_with("x…"));
    }
}
