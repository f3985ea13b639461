//! Lines of text: broken to a width, put into the order in which they are seen, shaped.
//!
//! A line breaks at spaces, and inside a word only where the word alone is wider than the line, so that long names wrap
//! and nothing is cut. Absent here: where a line stands.

use krilla::text::KrillaGlyph;
use unicode_bidi::BidiInfo;
use unicode_bidi::LevelRun;
use unicode_bidi::ParagraphInfo;

use crate::documents::pdf::fonts::FaceName;
use crate::documents::pdf::fonts::Fonts;
use crate::documents::pdf::fonts::Weight;
use crate::documents::plain_text::printable;

/// Size and weight of letters.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Style {
    /// In points.
    pub size: f32,
    /// How heavy.
    pub weight: Weight,
}

/// A line, ready to be drawn.
#[derive(Debug, Clone)]
pub(super) struct Line {
    /// From left to right.
    pub runs: Vec<Run>,
    /// In points.
    pub width: f32,
    /// Size of its letters.
    pub size: f32,
}

/// A piece of a line in one font and direction.
#[derive(Debug, Clone)]
pub(super) struct Run {
    /// The font.
    pub face: FaceName,
    /// Its text, in the order in which it is read.
    pub text: String,
    /// Its glyphs, from left to right.
    pub glyphs: Vec<KrillaGlyph>,
    /// In points.
    pub width: f32,
}

/// A text as lines no wider than a width in points. An empty text has none.
pub(super) fn wrap(fonts: &Fonts, text: &str, style: Style, width: f32) -> Vec<Line> {
    let text = printable(text);
    let broken = broken(fonts, &text, style, width);
    broken.iter().map(|line| shape(fonts, line, style)).collect()
}

/// A text as one line, however wide.
pub(super) fn single(fonts: &Fonts, text: &str, style: Style) -> Line {
    shape(fonts, &printable(text), style)
}

fn broken(fonts: &Fonts, text: &str, style: Style, width: f32) -> Vec<String> {
    let letter = |sign: char| fonts.width(sign, style.weight) * style.size;
    let space = letter(' ');
    let mut lines = Vec::new();
    let (mut line, mut reached) = (String::new(), 0.0);
    for word in text.split(' ').filter(|word| !word.is_empty()) {
        let needed: f32 = word.chars().map(letter).sum();
        if !line.is_empty() && width < reached + space + needed {
            lines.push(std::mem::take(&mut line));
            reached = 0.0;
        }
        if !line.is_empty() {
            line.push(' ');
            reached += space;
        }
        for sign in word.chars() {
            let own = letter(sign);
            if !line.is_empty() && width < reached + own {
                let rest = split_word(&mut line);
                lines.push(std::mem::replace(&mut line, rest));
                reached = line.chars().map(letter).sum();
            }
            line.push(sign);
            reached += own;
        }
    }
    if !line.is_empty() {
        lines.push(line);
    }
    lines
}

/// Takes what stands after the last hyphen, stop or stroke off a line that is full, so that a part number breaks where
/// its reader would break it; nothing where it has none.
fn split_word(line: &mut String) -> String {
    let word = line.rfind(' ').map_or(0, |space| space.saturating_add(1));
    let cut = line.rfind(['-', '.', '/', '_', '@']).map(|sign| sign.saturating_add(1));
    match cut.filter(|cut| word < *cut && *cut < line.len()) {
        Some(cut) => line.split_off(cut),
        None => String::new(),
    }
}

fn shape(fonts: &Fonts, text: &str, style: Style) -> Line {
    let mut runs = Vec::new();
    if text.is_ascii() {
        runs.push(run(fonts, (FaceName::Western(style.weight), text), false, style));
    } else {
        let bidi = BidiInfo::new(text, None);
        for paragraph in &bidi.paragraphs {
            runs.extend(ordered(fonts, &bidi, paragraph, style));
        }
    }
    let width = runs.iter().map(|run| run.width).sum();
    Line { runs, width, size: style.size }
}

/// The runs of a paragraph from left to right.
fn ordered(
    fonts: &Fonts,
    bidi: &BidiInfo<'_>,
    paragraph: &ParagraphInfo,
    style: Style,
) -> Vec<Run> {
    let (levels, ranges) = bidi.visual_runs(paragraph, paragraph.range.clone());
    let mut runs = Vec::new();
    for range in ranges {
        let is_reversed = levels.get(range.start).is_some_and(unicode_bidi::Level::is_rtl);
        let pieces = in_one_face(fonts, bidi.text, range, style.weight);
        let mut pieces: Vec<Run> =
            pieces.into_iter().map(|piece| run(fonts, piece, is_reversed, style)).collect();
        if is_reversed {
            pieces.reverse();
        }
        runs.extend(pieces);
    }
    runs
}

/// A piece of text cut where the font changes; a space stays with what stands before it.
fn in_one_face<'t>(
    fonts: &Fonts,
    text: &'t str,
    range: LevelRun,
    weight: Weight,
) -> Vec<(FaceName, &'t str)> {
    let piece = text.get(range).unwrap_or_default();
    let mut cuts: Vec<(FaceName, usize)> = Vec::new();
    for (index, sign) in piece.char_indices() {
        let face = fonts.face_of(sign, weight);
        let is_same = cuts.last().is_some_and(|(last, _)| *last == face);
        let is_neutral = sign.is_whitespace() && !cuts.is_empty();
        if !is_same && !is_neutral {
            cuts.push((face, index));
        }
    }
    let ends = cuts.iter().skip(1).map(|(_, start)| *start).chain([piece.len()]);
    let cut = |((face, start), end): (&(FaceName, usize), usize)| {
        (*face, piece.get(*start..end).unwrap_or_default())
    };
    cuts.iter().zip(ends).map(cut).collect()
}

fn run(fonts: &Fonts, (face, text): (FaceName, &str), is_leftward: bool, style: Style) -> Run {
    let glyphs = fonts.face(face).glyphs(text, is_leftward);
    let ems: f32 = glyphs.iter().map(|glyph| glyph.x_advance).sum();
    Run { face, text: text.to_owned(), glyphs, width: ems * style.size }
}
