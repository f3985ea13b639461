//! Writes what is laid out: sheets, the tree of meanings, the list of headings, the title.
//!
//! Absent here: any decision about places.

use std::num::NonZeroU16;

use krilla::Document;
use krilla::SerializeSettings;
use krilla::color::luma;
use krilla::configure::Accessibility;
use krilla::configure::ConfigurationBuilder;
use krilla::destination::XyzDestination;
use krilla::geom::PathBuilder;
use krilla::geom::Point;
use krilla::geom::Rect;
use krilla::metadata::Metadata;
use krilla::num::NormalizedF32;
use krilla::outline::Outline;
use krilla::outline::OutlineNode;
use krilla::page::PageSettings;
use krilla::paint::Fill;
use krilla::paint::Stroke;
use krilla::paint::StrokeDash;
use krilla::surface::Surface;
use krilla::tagging::Artifact;
use krilla::tagging::ArtifactType;
use krilla::tagging::ContentTag;
use krilla::tagging::Identifier;
use krilla::tagging::ListNumbering;
use krilla::tagging::Node;
use krilla::tagging::SpanTag;
use krilla::tagging::TableHeaderScope;
use krilla::tagging::Tag;
use krilla::tagging::TagGroup;
use krilla::tagging::TagKind;
use krilla::tagging::TagTree;

use crate::documents::page::Page;
use crate::documents::page::drawing::At;
use crate::documents::page::drawing::Pen;
use crate::documents::pdf::PdfError;
use crate::documents::pdf::fonts::Fonts;
use crate::documents::pdf::line::Line;
use crate::documents::pdf::sheet::Branch;
use crate::documents::pdf::sheet::HEIGHT;
use crate::documents::pdf::sheet::Ink;
use crate::documents::pdf::sheet::LaidOut;
use crate::documents::pdf::sheet::Landmark;
use crate::documents::pdf::sheet::MARGIN;
use crate::documents::pdf::sheet::Mark;
use crate::documents::pdf::sheet::Owner;
use crate::documents::pdf::sheet::Role;
use crate::documents::pdf::sheet::Twig;
use crate::documents::pdf::sheet::WIDTH;
use crate::documents::plain_text::printable;

/// The bytes of a paper that is laid out.
pub(super) fn write(page: &Page, fonts: &Fonts, laid: &LaidOut) -> Result<Vec<u8>, PdfError> {
    let configuration = ConfigurationBuilder::new()
        .with_accessibility_validator(Accessibility::UA1)
        .finish()
        .map_err(|_clash| PdfError::Measure)?;
    let mut document =
        Document::new_with(SerializeSettings { configuration, ..SerializeSettings::default() });
    let mut leaves: Vec<Option<Identifier>> = vec![None; laid.leaf_count];
    for sheet in &laid.sheets {
        let settings = PageSettings::from_wh(WIDTH, HEIGHT).ok_or(PdfError::Measure)?;
        let mut paper = document.start_page_with(settings);
        let mut surface = paper.surface();
        write_marks(&mut surface, fonts, &sheet.marks, &mut leaves);
        surface.finish();
        paper.finish();
    }
    document.set_outline(outline(&laid.landmarks));
    document.set_tag_tree(tag_tree(&laid.whole, &leaves));
    let metadata = Metadata::new().title(named(&page.title)).language("en".to_owned());
    document.set_metadata(metadata);
    document.finish().map_err(PdfError::Write)
}

/// Marks of one owner that follow one another become one tagged piece.
fn write_marks(
    surface: &mut Surface<'_>,
    fonts: &Fonts,
    marks: &[Mark],
    leaves: &mut [Option<Identifier>],
) {
    for piece in marks.chunk_by(|one, other| one.owner == other.owner) {
        let Some(first) = piece.first() else { continue };
        let tag = match first.owner {
            Owner::Nothing => ContentTag::Artifact(Artifact::new(ArtifactType::Layout, None)),
            Owner::Foot => ContentTag::Artifact(Artifact::new(ArtifactType::Footer, None)),
            Owner::Leaf(_, said) => ContentTag::Span(SpanTag::empty().with_alt_text(said)),
        };
        let identifier = surface.start_tagged(tag);
        for mark in piece {
            write_ink(surface, fonts, &mark.ink);
        }
        surface.end_tagged();
        if let Owner::Leaf(leaf, _) = first.owner
            && let Some(place) = leaves.get_mut(leaf)
        {
            *place = Some(identifier);
        }
    }
}

fn write_ink(surface: &mut Surface<'_>, fonts: &Fonts, ink: &Ink) {
    match ink {
        Ink::Text(base, line) => write_line(surface, fonts, *base, line),
        Ink::Rule([from, to], pen) => {
            let mut path = PathBuilder::new();
            path.move_to(from.x, from.y);
            path.line_to(to.x, to.y);
            write_path(surface, path, stroke(*pen), None);
        }
        Ink::Frame(frame, pen) => write_path(surface, outlined(*frame), stroke(*pen), None),
        Ink::Surface(frame, is_black) => {
            let shade = if *is_black { luma::Color::black() } else { luma::Color::white() };
            write_path(surface, outlined(*frame), None, Some(fill(shade)));
        }
        Ink::Empty => {}
    }
}

fn write_line(surface: &mut Surface<'_>, fonts: &Fonts, base: At, line: &Line) {
    surface.set_stroke(None);
    surface.set_fill(Some(fill(luma::Color::black())));
    let mut x = base.x;
    for run in &line.runs {
        let (start, font) = (Point::from_xy(x, base.y), fonts.face(run.face).font());
        surface.draw_glyphs(start, &run.glyphs, font, &run.text, line.size, false);
        x += run.width;
    }
}

fn write_path(
    surface: &mut Surface<'_>,
    path: PathBuilder,
    stroke: Option<Stroke>,
    fill: Option<Fill>,
) {
    let is_seen = stroke.is_some() || fill.is_some();
    surface.set_stroke(stroke);
    surface.set_fill(fill);
    if let Some(path) = path.finish().filter(|_| is_seen) {
        surface.draw_path(&path);
    }
}

fn outlined([corner, size]: [At; 2]) -> PathBuilder {
    let mut path = PathBuilder::new();
    if let Some(frame) = Rect::from_xywh(corner.x, corner.y, size.x, size.y) {
        path.push_rect(frame);
    }
    path
}

fn fill(shade: luma::Color) -> Fill {
    Fill { paint: shade.into(), ..Fill::default() }
}

fn stroke(pen: Pen) -> Option<Stroke> {
    let dash = match pen {
        Pen::None => return None,
        Pen::Dashed => Some(StrokeDash { array: vec![4.0, 3.0], offset: 0.0 }),
        Pen::Thin | Pen::Thick => None,
    };
    let paint = luma::Color::black().into();
    let opacity = NormalizedF32::ONE;
    Some(Stroke { paint, width: pen.width(), opacity, dash, ..Stroke::default() })
}

/// A title that is there: a reader aloud must be told something, even where a name has no sign that is seen.
fn named(title: &str) -> String {
    let title = printable(title);
    if title.is_empty() { "Untitled".to_owned() } else { title }
}

fn outline(landmarks: &[Landmark]) -> Outline {
    let mut outline = Outline::new();
    for landmark in landmarks {
        let place = XyzDestination::new(landmark.sheet, Point::from_xy(MARGIN, landmark.y));
        outline.push_child(OutlineNode::new(named(&landmark.title), place));
    }
    outline
}

fn tag_tree(whole: &Branch, leaves: &[Option<Identifier>]) -> TagTree {
    let mut tree = TagTree::new().with_lang(Some("en".to_owned()));
    for child in &whole.children {
        if let Some(node) = node(child, leaves) {
            tree.push(node);
        }
    }
    tree
}

fn node(twig: &Twig, leaves: &[Option<Identifier>]) -> Option<Node> {
    match twig {
        Twig::Leaf(leaf) => leaves.get(*leaf).copied().flatten().map(Node::from),
        Twig::Branch(branch) => {
            let children: Vec<Node> =
                branch.children.iter().filter_map(|child| node(child, leaves)).collect();
            // A part without content would be a gap in what is read aloud.
            (!children.is_empty())
                .then(|| Node::Group(TagGroup::with_children(tag(&branch.role), children)))
        }
    }
}

fn tag(role: &Role) -> TagKind {
    match role {
        Role::Whole => Tag::Part.into(),
        Role::Heading(level, title) => {
            let level = NonZeroU16::new(*level).unwrap_or(NonZeroU16::MIN);
            Tag::Hn(level, Some(named(title))).into()
        }
        Role::Paragraph => Tag::P.into(),
        Role::Caution => Tag::Div.into(),
        Role::List => Tag::L(ListNumbering::Disc).into(),
        Role::Numbered => Tag::L(ListNumbering::Decimal).into(),
        Role::Point => Tag::LI.into(),
        Role::Label => Tag::Lbl.into(),
        Role::Body => Tag::LBody.into(),
        Role::Table(summary) => Tag::Table.with_summary(Some(printable(summary))).into(),
        Role::Row => Tag::TR.into(),
        Role::ColumnHeading => Tag::TH(TableHeaderScope::Column).into(),
        Role::RowHeading => Tag::TH(TableHeaderScope::Row).into(),
        Role::Cell => Tag::TD.into(),
        Role::Figure(description) => Tag::Figure(Some(named(description))).into(),
    }
}
