//! The flow: where the next thing goes, when a new sheet begins, and which part of the meaning is open.
//!
//! Absent here: what each kind of block looks like.

use crate::documents::page::Page;
use crate::documents::page::drawing::At;
use crate::documents::page::drawing::Pen;
use crate::documents::page::drawing::at;
use crate::documents::pdf::fonts::Fonts;
use crate::documents::pdf::fonts::Weight;
use crate::documents::pdf::line::Line;
use crate::documents::pdf::line::Style;
use crate::documents::pdf::line::single;
use crate::documents::pdf::line::wrap;
use crate::documents::pdf::sheet::BOTTOM;
use crate::documents::pdf::sheet::Branch;
use crate::documents::pdf::sheet::HEIGHT;
use crate::documents::pdf::sheet::Ink;
use crate::documents::pdf::sheet::LaidOut;
use crate::documents::pdf::sheet::Landmark;
use crate::documents::pdf::sheet::MARGIN;
use crate::documents::pdf::sheet::Mark;
use crate::documents::pdf::sheet::Owner;
use crate::documents::pdf::sheet::Role;
use crate::documents::pdf::sheet::Sheet;
use crate::documents::pdf::sheet::TEXT_WIDTH;
use crate::documents::pdf::sheet::TOP;
use crate::documents::pdf::sheet::Twig;
use crate::documents::pdf::sheet::WIDTH;

/// For reading.
pub(super) const BODY: Style = Style { size: 9.5, weight: Weight::Regular };
/// For labels.
pub(super) const STRONG: Style = Style { size: 9.5, weight: Weight::Bold };
/// For remarks.
pub(super) const SMALL: Style = Style { size: 8.0, weight: Weight::Regular };
const TITLE: Style = Style { size: 18.0, weight: Weight::Bold };
const FOOT: Style = Style { size: 7.5, weight: Weight::Regular };
/// Distance of lines, in sizes of their letters.
const LEADING: f32 = 1.4;
/// How far above the lower end of its line a base line is, in sizes of the letters.
const DESCENT: f32 = 0.4;
const FOOT_Y: f32 = 806.0;

/// Where a text runs and how it looks.
#[derive(Debug, Clone, Copy)]
pub(super) struct Column {
    /// Its left edge.
    pub left: f32,
    /// Its width.
    pub width: f32,
    /// Its letters.
    pub style: Style,
}

impl Column {
    /// Over the whole width of the text.
    pub(super) const fn full(style: Style) -> Self {
        Self { left: MARGIN, width: TEXT_WIDTH, style }
    }
}

/// The point on the base line of a text whose line begins at an upper left corner.
pub(super) fn base_line(corner: At, pitch: f32, size: f32) -> At {
    at(corner.x, corner.y + pitch - size * DESCENT)
}

/// What is laid out so far.
pub(super) struct Flow {
    /// The fonts.
    pub fonts: &'static Fonts,
    /// How far down the current sheet is filled.
    pub y: f32,
    /// The sheets so far.
    pub sheets: Vec<Sheet>,
    /// Parts of the meaning that are not closed yet.
    pub open: Vec<Branch>,
    /// The headings so far.
    pub landmarks: Vec<Landmark>,
    /// How many leaves there are.
    pub leaf_count: usize,
    /// What the foot repeats, and from which sheet on.
    pub feet: Vec<(usize, String)>,
}

/// Height of a line of a style.
pub(super) fn pitch(style: Style) -> f32 {
    style.size * LEADING
}

impl Flow {
    pub(super) fn new(fonts: &'static Fonts) -> Self {
        let open = vec![Branch::new(Role::Whole)];
        let sheets = vec![Sheet::default()];
        let (landmarks, feet) = (Vec::new(), Vec::new());
        Self { fonts, y: TOP, sheets, open, landmarks, leaf_count: 0, feet }
    }

    /// A paper from the top of a sheet on.
    pub(super) fn page(&mut self, page: &Page) {
        self.feet.push((self.sheets.len().saturating_sub(1), page.footer.clone()));
        self.head(page);
        let mut left = page.blocks.as_slice();
        while let Some((block, rest)) = left.split_first() {
            self.block(block, rest);
            left = rest;
        }
    }

    /// Title, subtitle and sender at the top of the first sheet.
    fn head(&mut self, page: &Page) {
        let left_width = TEXT_WIDTH * 0.56;
        let right_width = TEXT_WIDTH * 0.40;
        let landmark = self.landmark(&page.title);
        self.landmarks.push(landmark);
        let column = |style: Style| Column { left: MARGIN, width: left_width, style };
        self.text(&page.title, column(TITLE), Role::Heading(1, page.title.clone()));
        self.text(&page.subtitle, column(BODY), Role::Paragraph);
        let below_left = self.y;
        self.y = TOP;
        self.open(Role::Paragraph);
        for (index, text) in page.sender.iter().enumerate() {
            let style = if index == 0 { STRONG } else { SMALL };
            for line in wrap(self.fonts, text, style, right_width) {
                let x = WIDTH - MARGIN - line.width;
                self.line(line, x, style);
            }
        }
        self.close();
        self.y = below_left.max(self.y) + 6.0;
        self.rule(self.y, Pen::Thick);
        self.y += 10.0;
    }

    /// Opens a part of the meaning; what comes belongs to it until it is closed.
    pub(super) fn open(&mut self, role: Role) {
        self.open.push(Branch::new(role));
    }

    /// Closes the part opened last.
    pub(super) fn close(&mut self) {
        if let Some(branch) = self.open.pop() {
            self.graft(branch);
        }
    }

    /// Adds a finished part to the one that is open.
    pub(super) fn graft(&mut self, branch: Branch) {
        match self.open.last_mut() {
            Some(parent) => parent.children.push(Twig::Branch(branch)),
            None => self.open.push(branch),
        }
    }

    /// A new leaf of the part that is open.
    pub(super) fn leaf(&mut self, said: Option<&'static str>) -> Owner {
        let leaf = self.loose_leaf();
        if let Some(branch) = self.open.last_mut() {
            branch.children.push(Twig::Leaf(leaf));
        }
        Owner::Leaf(leaf, said)
    }

    /// A new leaf that the caller puts into a part himself.
    pub(super) fn loose_leaf(&mut self) -> usize {
        let leaf = self.leaf_count;
        self.leaf_count = leaf.saturating_add(1);
        leaf
    }

    /// Draws on the current sheet.
    pub(super) fn draw(&mut self, owner: Owner, ink: Ink) {
        if let Some(sheet) = self.sheets.last_mut() {
            sheet.marks.push(Mark { owner, ink });
        }
    }

    /// A rule over the width of the text.
    pub(super) fn rule(&mut self, y: f32, pen: Pen) {
        let ends = [at(MARGIN, y), at(WIDTH - MARGIN, y)];
        self.draw(Owner::Nothing, Ink::Rule(ends, pen));
    }

    /// Whether a height still fits on the sheet.
    pub(super) fn has_room(&self, height: f32) -> bool {
        self.y + height <= BOTTOM
    }

    /// Begins a new sheet where a height does not fit on this one and this one is not empty.
    pub(super) fn reserve(&mut self, height: f32) {
        if !self.has_room(height) && TOP < self.y {
            self.new_sheet();
        }
    }

    /// Begins a new sheet.
    pub(super) fn new_sheet(&mut self) {
        self.sheets.push(Sheet::default());
        self.y = TOP;
    }

    /// One line of the open part, and down.
    pub(super) fn line(&mut self, line: Line, x: f32, style: Style) {
        self.reserve(pitch(style));
        self.y += pitch(style);
        let owner = self.leaf(None);
        let base = base_line(at(x, self.y), 0.0, style.size);
        self.draw(owner, Ink::Text(base, line));
    }

    /// A text of a role in a column.
    pub(super) fn text(&mut self, text: &str, column: Column, role: Role) {
        self.open(role);
        for line in wrap(self.fonts, text, column.style, column.width) {
            self.line(line, column.left, column.style);
        }
        self.close();
    }

    /// Names a heading in the list of headings.
    pub(super) fn mark_heading(&mut self, title: &str) {
        let landmark = self.landmark(title);
        self.landmarks.push(landmark);
    }

    fn landmark(&self, title: &str) -> Landmark {
        let sheet = self.sheets.len().saturating_sub(1);
        Landmark { title: title.to_owned(), sheet, y: self.y }
    }

    /// Writes the foot of every sheet and hands everything over.
    pub(super) fn finish(mut self) -> LaidOut {
        let count = self.sheets.len();
        let mut feet = self.feet.iter().peekable();
        let mut words = Vec::new();
        for ((index, number), sheet) in (0_usize..).zip(1_u32..).zip(&mut self.sheets) {
            while let Some((_first, footer)) = feet.next_if(|(first, _)| *first <= index) {
                words = wrap(self.fonts, footer, FOOT, TEXT_WIDTH - 80.0);
            }
            let rule = [at(MARGIN, FOOT_Y - 16.0), at(WIDTH - MARGIN, FOOT_Y - 16.0)];
            let mut foot = |ink: Ink| sheet.marks.push(Mark { owner: Owner::Foot, ink });
            foot(Ink::Rule(rule, Pen::Thin));
            let mut y = FOOT_Y - 5.0;
            for line in words.iter().take(FOOT_LINES_MAX) {
                foot(Ink::Text(at(MARGIN, y), line.clone()));
                y += pitch(FOOT);
            }
            let place = single(self.fonts, &format!("Page {number} of {count}"), FOOT);
            foot(Ink::Text(at(WIDTH - MARGIN - place.width, FOOT_Y - 5.0), place));
        }
        while 1 < self.open.len() {
            self.close();
        }
        let whole = self.open.pop().unwrap_or(Branch::new(Role::Whole));
        let (landmarks, leaf_count) = (self.landmarks, self.leaf_count);
        LaidOut { sheets: self.sheets, whole, landmarks, leaf_count }
    }
}

/// Most lines of the foot of a page; what is longer is in the head of the paper anyway.
const FOOT_LINES_MAX: usize = 3;
const _: () = assert!(FOOT_Y + 2.0 * 7.5 * LEADING < HEIGHT);
