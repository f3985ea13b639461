//! The embedded fonts: which has a letter, how wide it is, and the glyphs of a run of text.
//!
//! Latin, Greek and Cyrillic in two weights, Hebrew and Arabic in one. Absent here: lines and their order.

use std::sync::LazyLock;

use krilla::Data;
use krilla::text::Font;
use krilla::text::GlyphId;
use krilla::text::KrillaGlyph;
use rustybuzz::Direction;
use rustybuzz::Script;
use rustybuzz::ShapePlan;
use rustybuzz::UnicodeBuffer;
use rustybuzz::script;

use crate::documents::pdf::PdfError;

static REGULAR: &[u8] = include_bytes!("../fonts/NotoSans-Regular.ttf");
static BOLD: &[u8] = include_bytes!("../fonts/NotoSans-Bold.ttf");
static HEBREW: &[u8] = include_bytes!("../fonts/NotoSansHebrew-Regular.ttf");
static ARABIC: &[u8] = include_bytes!("../fonts/NotoSansArabic-Regular.ttf");

/// Stands for a letter that no font has.
const REPLACEMENT: char = '\u{fffd}';

static FONTS: LazyLock<Option<Fonts>> = LazyLock::new(Fonts::read);

/// How heavy letters are.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Weight {
    /// For reading.
    Regular,
    /// For headings and labels.
    Bold,
}

/// Which font.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum FaceName {
    /// Latin, Greek, Cyrillic.
    Western(Weight),
    /// Hebrew.
    Hebrew,
    /// Arabic.
    Arabic,
}

/// A font, for shaping and for embedding.
pub(super) struct Face {
    shaper: rustybuzz::Face<'static>,
    rightward: ShapePlan,
    leftward: ShapePlan,
    script: Script,
    font: Font,
}

/// All fonts.
pub(super) struct Fonts {
    regular: Face,
    bold: Face,
    hebrew: Face,
    arabic: Face,
}

impl Fonts {
    /// The fonts, read once.
    pub(super) fn load() -> Result<&'static Self, PdfError> {
        FONTS.as_ref().ok_or(PdfError::Font)
    }

    fn read() -> Option<Self> {
        Some(Self {
            regular: Face::read(REGULAR, script::LATIN)?,
            bold: Face::read(BOLD, script::LATIN)?,
            hebrew: Face::read(HEBREW, script::HEBREW)?,
            arabic: Face::read(ARABIC, script::ARABIC)?,
        })
    }

    /// The font of a name.
    pub(super) const fn face(&self, name: FaceName) -> &Face {
        match name {
            FaceName::Western(Weight::Regular) => &self.regular,
            FaceName::Western(Weight::Bold) => &self.bold,
            FaceName::Hebrew => &self.hebrew,
            FaceName::Arabic => &self.arabic,
        }
    }

    /// The font that has a letter; the western one where none has, with its replacement sign.
    pub(super) fn face_of(&self, sign: char, weight: Weight) -> FaceName {
        let western = FaceName::Western(weight);
        [western, FaceName::Hebrew, FaceName::Arabic]
            .into_iter()
            .find(|name| self.face(*name).shaper.glyph_index(sign).is_some())
            .unwrap_or(western)
    }

    /// Width of a letter by itself, in ems.
    pub(super) fn width(&self, sign: char, weight: Weight) -> f32 {
        let face = self.face(self.face_of(sign, weight));
        let glyph = face.shaper.glyph_index(sign).or_else(|| face.shaper.glyph_index(REPLACEMENT));
        let advance = glyph.and_then(|glyph| face.shaper.glyph_hor_advance(glyph));
        f32::from(advance.unwrap_or(0)) / face.font.units_per_em()
    }
}

impl Face {
    /// What the writer embeds.
    pub(super) fn font(&self) -> Font {
        self.font.clone()
    }

    fn read(bytes: &'static [u8], script: Script) -> Option<Self> {
        let shaper = rustybuzz::Face::from_slice(bytes, 0)?;
        let plan = |towards: Direction| ShapePlan::new(&shaper, towards, Some(script), None, &[]);
        let (rightward, leftward) = (plan(Direction::LeftToRight), plan(Direction::RightToLeft));
        let font = Font::new(Data::from(bytes), 0)?;
        Some(Self { shaper, rightward, leftward, script, font })
    }

    /// The glyphs of a text, from left to right, each with the range of the text it stands for. In a text that is read
    /// from right to left, brackets are mirrored.
    pub(super) fn glyphs(&self, text: &str, is_leftward: bool) -> Vec<KrillaGlyph> {
        let mut buffer = UnicodeBuffer::new();
        buffer.push_str(text);
        let (plan, direction) = if is_leftward {
            (&self.leftward, Direction::RightToLeft)
        } else {
            (&self.rightward, Direction::LeftToRight)
        };
        buffer.set_direction(direction);
        buffer.set_script(self.script);
        let shaped = rustybuzz::shape_with_plan(&self.shaper, plan, buffer);
        let mut starts: Vec<usize> =
            shaped.glyph_infos().iter().map(|info| offset(info.cluster)).collect();
        starts.sort_unstable();
        starts.dedup();
        let placed = shaped.glyph_infos().iter().zip(shaped.glyph_positions());
        let em = self.font.units_per_em();
        let glyph = |(info, place): (&rustybuzz::GlyphInfo, &rustybuzz::GlyphPosition)| {
            let start = offset(info.cluster);
            let after = starts.partition_point(|known| *known <= start);
            let end = starts.get(after).copied().unwrap_or(text.len());
            let [advance, x, y] = [place.x_advance, place.x_offset, place.y_offset];
            let (id, advance) = self.shown(info.glyph_id, advance);
            let ems = |units: i32| narrow(units) / em;
            KrillaGlyph::new(GlyphId::new(id), ems(advance), ems(x), ems(y), 0.0, start..end, None)
        };
        placed.map(glyph).collect()
    }

    /// A glyph that is there: number nought means that the font has none.
    fn shown(&self, id: u32, advance: i32) -> (u32, i32) {
        let replacement = self.shaper.glyph_index(REPLACEMENT);
        match replacement.filter(|_| id == 0) {
            Some(glyph) => {
                let own = self.shaper.glyph_hor_advance(glyph).unwrap_or(0);
                (u32::from(glyph.0), i32::from(own))
            }
            None => (id, advance),
        }
    }
}

fn offset(cluster: u32) -> usize {
    usize::try_from(cluster).unwrap_or(usize::MAX)
}

#[expect(
    clippy::as_conversions,
    clippy::cast_precision_loss,
    reason = "units of a font are far below 2^24"
)]
const fn narrow(units: i32) -> f32 {
    units as f32
}
