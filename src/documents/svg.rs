//! The pieces of a drawing: a sheet, texts that fit, lines, figures. Black, white and hatching only, so that a copier
//! loses nothing.
//!
//! Widths of letters are estimated on the wide side, since the reader's font is not known: a text too long for its
//! space is cut and ends in an ellipsis. Absent here: what is drawn.

use maud::Markup;
use maud::PreEscaped;
use maud::html;

/// Fonts asked for, the first that the reader has.
const FONTS: &str = "DejaVu Sans, Liberation Sans, Arial, sans-serif";

/// Size of ordinary text, in pixels like every length of a drawing.
pub(super) const TEXT: f64 = 13.0;

/// Size of text that explains.
pub(super) const SMALL: f64 = 11.0;

/// Size of a title.
pub(super) const TITLE: f64 = 17.0;

/// Where a text stands in relation to its point.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Anchor {
    /// It begins there.
    Start,
    /// It is centred there.
    Middle,
    /// It ends there.
    End,
}

impl Anchor {
    const fn word(self) -> &'static str {
        match self {
            Self::Start => "start",
            Self::Middle => "middle",
            Self::End => "end",
        }
    }
}

/// A point of a drawing.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Point {
    pub x: f64,
    pub y: f64,
}

/// A point of a drawing.
pub(super) const fn at(x: f64, y: f64) -> Point {
    Point { x, y }
}

/// A whole drawing on white paper.
pub(super) fn sheet(size: Point, title: &str, content: &Markup) -> String {
    let (width, height) = (number(size.x), number(size.y));
    let markup = html! {
        svg xmlns="http://www.w3.org/2000/svg" width=(width) height=(height)
            viewBox={ "0 0 " (width) " " (height) } role="img" font-family=(FONTS) {
            title { (clean(title)) }
            defs {
                pattern id="hatch" width="6" height="6" patternUnits="userSpaceOnUse"
                    patternTransform="rotate(45)" {
                    rect width="6" height="6" fill="#fff" {}
                    line x1="0" y1="0" x2="0" y2="6" stroke="#000" stroke-width="2" {}
                }
            }
            rect width="100%" height="100%" fill="#fff" {}
            (content)
        }
    };
    markup.into_string()
}

/// A text; size in pixels.
pub(super) fn text(point: Point, size: f64, anchor: Anchor, words: &str) -> Markup {
    html! {
        text x=(number(point.x)) y=(number(point.y)) font-size=(number(size)) text-anchor=(anchor.word()) {
            (clean(words))
        }
    }
}

/// A bold text.
pub(super) fn bold(point: Point, size: f64, anchor: Anchor, words: &str) -> Markup {
    html! {
        text x=(number(point.x)) y=(number(point.y)) font-size=(number(size)) text-anchor=(anchor.word())
            font-weight="bold" { (clean(words)) }
    }
}

/// A text that reads upwards, centred on its point.
pub(super) fn upright(point: Point, size: f64, words: &str) -> Markup {
    let (x, y) = (number(point.x), number(point.y));
    html! {
        text x=(x) y=(y) font-size=(number(size)) text-anchor="middle"
            transform={ "rotate(-90 " (x) " " (y) ")" } { (clean(words)) }
    }
}

/// How a line is drawn.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Stroke {
    /// Thin and grey: a grid.
    Grid,
    /// Thin and black: an axis.
    Axis,
    /// Thick: a curve.
    Curve,
    /// Thick and dashed: a second curve.
    Dashed,
    /// Thin and dotted: a limit.
    Dotted,
}

impl Stroke {
    const fn style(self) -> [&'static str; 3] {
        match self {
            Self::Grid => ["#ccc", "1", "none"],
            Self::Axis => ["#000", "1", "none"],
            Self::Curve => ["#000", "2.5", "none"],
            Self::Dashed => ["#000", "2", "8 5"],
            Self::Dotted => ["#000", "1.2", "2 4"],
        }
    }
}

/// A line through points.
pub(super) fn path(points: &[Point], stroke: Stroke) -> Markup {
    let [colour, width, dashes] = stroke.style();
    let listed: Vec<String> =
        points.iter().map(|point| format!("{},{}", number(point.x), number(point.y))).collect();
    html! {
        polyline points=(listed.join(" ")) fill="none" stroke=(colour) stroke-width=(width)
            stroke-dasharray=(dashes) {}
    }
}

/// How a figure is filled.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Fill {
    /// Dark.
    Solid,
    /// Lines on white.
    Hatched,
    /// White with an outline.
    Hollow,
}

impl Fill {
    const fn paint(self) -> &'static str {
        match self {
            Self::Solid => "#333",
            Self::Hatched => "url(#hatch)",
            Self::Hollow => "#fff",
        }
    }
}

/// A rectangle between two corners, whichever way round.
pub(super) fn bar(from: Point, to: Point, fill: Fill) -> Markup {
    let (x, y) = (from.x.min(to.x), from.y.min(to.y));
    html! {
        rect x=(number(x)) y=(number(y)) width=(number((to.x - from.x).abs()))
            height=(number((to.y - from.y).abs())) fill=(fill.paint()) stroke="#000" stroke-width="1" {}
    }
}

/// A dot that marks a point of a curve.
pub(super) fn dot(point: Point) -> Markup {
    html! { circle cx=(number(point.x)) cy=(number(point.y)) r="5" fill="#fff" stroke="#000" stroke-width="2" {} }
}

/// Several pieces, one after another.
pub(super) fn all<I: IntoIterator<Item = Markup>>(pieces: I) -> Markup {
    PreEscaped(pieces.into_iter().map(PreEscaped::into_string).collect())
}

/// A text cut to a width.
pub(super) fn fitted(words: &str, size: f64, width: f64) -> String {
    let words = clean(words);
    if text_width(&words, size) <= width {
        return words;
    }
    let mut left = width - size;
    let mut kept = String::new();
    for letter in words.chars() {
        left -= letter_width(letter) * size;
        if left < 0.0_f64 {
            break;
        }
        kept.push(letter);
    }
    format!("{}…", kept.trim_end())
}

/// Estimated width of a text.
pub(super) fn text_width(words: &str, size: f64) -> f64 {
    words.chars().map(letter_width).sum::<f64>() * size
}

/// Width of a letter as a share of the text's size.
fn letter_width(letter: char) -> f64 {
    match letter {
        'i' | 'j' | 'l' | '.' | ',' | ':' | ';' | '\'' | '|' | '!' | ' ' => 0.36,
        'm' | 'w' | 'M' | 'W' | '@' | '%' | '…' => 1.02,
        'A'..='Z' | '0'..='9' | '=' | '+' | '×' | '·' => 0.74,
        ' '..='~' => 0.64,
        '\u{80}'..='\u{24f}' | '\u{2212}' => 0.8,
        _ => 1.2,
    }
}

/// A length with one decimal and no negative nought.
pub(super) fn number(length: f64) -> String {
    let text = format!("{length:.1}");
    if text == "-0.0" { "0.0".to_owned() } else { text }
}

/// What XML cannot hold is shown as a replacement character.
fn clean(words: &str) -> String {
    let hold = |letter: char| {
        let is_held = !letter.is_control() && letter != '\u{fffe}' && letter != '\u{ffff}';
        if is_held { letter } else { '\u{fffd}' }
    };
    words.chars().map(hold).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn marks_of_the_language_and_control_characters_do_no_harm() {
        let drawn = text(at(1.0, 2.0), TEXT, Anchor::Start, "<b>\"&\u{1}").into_string();
        assert!(drawn.contains("&lt;b&gt;&quot;&amp;\u{fffd}"), "{drawn}");
    }

    #[test]
    fn a_long_text_is_cut_to_its_space() {
        let cut = fitted(&"W".repeat(80), TEXT, 300.0);
        assert!(cut.ends_with('…') && text_width(&cut, TEXT) <= 300.0_f64, "{cut}");
        assert_eq!(fitted("short", TEXT, 300.0), "short");
    }
}
