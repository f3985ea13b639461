//! Rows and columns: tables, labels with values, totals.
//!
//! A heading is repeated on every sheet that a table reaches; a row higher than what is left of a sheet goes to the next
//! one, and one higher than a whole sheet is continued. Absent here: which block makes which grid.

use crate::documents::page::drawing::Pen;
use crate::documents::page::drawing::at;
use crate::documents::pdf::flow::Flow;
use crate::documents::pdf::flow::base_line;
use crate::documents::pdf::line::Line;
use crate::documents::pdf::line::Style;
use crate::documents::pdf::line::wrap;
use crate::documents::pdf::sheet::BOTTOM;
use crate::documents::pdf::sheet::Branch;
use crate::documents::pdf::sheet::Ink;
use crate::documents::pdf::sheet::Owner;
use crate::documents::pdf::sheet::Role;
use crate::documents::pdf::sheet::TOP;
use crate::documents::pdf::sheet::Twig;

/// Space between a cell's edge and its text.
const PAD: f32 = 4.0;
/// Side of a box to tick: 6 mm, for a pencil in a cramped room.
pub(super) const TICK_SIDE: f32 = 17.0;
/// Height of a row with something to tick or to write in.
const HAND_HEIGHT: f32 = 24.0;
/// What is said in place of a box to tick.
pub(super) const TICK_SAID: &str = "box to tick";
/// What is said in place of a line to write on.
pub(super) const BLANK_SAID: &str = "to be filled in by hand";

/// The columns and their look.
pub(super) struct Grid {
    /// Left edge and width of each column.
    pub columns: Vec<[f32; 2]>,
    /// The heading, repeated on every sheet.
    pub heading: Vec<GridCell>,
    /// The rule below each row.
    pub rule: Pen,
    /// Distance of the lines.
    pub pitch: f32,
    /// What a row is.
    pub row: Role,
}

/// What stands in a cell.
#[derive(Clone)]
pub(super) struct GridCell {
    /// Texts below one another.
    pub texts: Vec<(String, Style)>,
    /// Whether they end at the right edge.
    pub is_right: bool,
    /// Something for the hand.
    pub hand: Hand,
    /// What the cell is.
    pub role: Role,
}

/// What the hand does in a cell.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Hand {
    /// Nothing.
    Nothing,
    /// It writes.
    Writes,
    /// It ticks.
    Ticks,
}

/// A row whose lines are being placed.
struct Placing<'g> {
    grid: &'g Grid,
    cells: &'g [GridCell],
    /// Lines of each cell still to be placed.
    left: Vec<std::vec::IntoIter<Line>>,
    /// What has been placed of each cell.
    branches: Vec<Branch>,
    /// Whether it means something; a repeated heading does not.
    has_meaning: bool,
}

impl GridCell {
    /// A cell of one text.
    pub(super) fn new(text: &str, style: Style, role: Role) -> Self {
        let texts = vec![(text.to_owned(), style)];
        Self { texts, is_right: false, hand: Hand::Nothing, role }
    }
}

/// Columns that share a width, from a left edge.
pub(super) fn shared(left: f32, width: f32, shares: &[f32]) -> Vec<[f32; 2]> {
    let whole = shares.iter().sum::<f32>().max(f32::MIN_POSITIVE);
    let mut x = left;
    let column = |share: &f32| {
        let own = width * share / whole;
        let column = [x, own];
        x += own;
        column
    };
    shares.iter().map(column).collect()
}

impl Flow {
    /// The heading of a grid, as part of its meaning.
    pub(super) fn grid_heading(&mut self, grid: &Grid) {
        let height = self.height(grid, &grid.heading);
        self.reserve(height + HAND_HEIGHT + 2.0 * grid.pitch);
        self.placed_row(grid, &grid.heading, true);
        self.rule_below(grid, Pen::Thick);
    }

    /// A row of a grid.
    pub(super) fn grid_row(&mut self, grid: &Grid, cells: &[GridCell]) {
        let height = self.height(grid, cells);
        let whole = BOTTOM - TOP - 60.0;
        if !self.has_room(height) && height < whole {
            self.next_sheet(grid);
        }
        self.placed_row(grid, cells, true);
        if grid.rule != Pen::None {
            self.rule_below(grid, grid.rule);
        }
    }

    fn next_sheet(&mut self, grid: &Grid) {
        self.new_sheet();
        if !grid.heading.is_empty() {
            self.placed_row(grid, &grid.heading, false);
            self.rule_below(grid, Pen::Thick);
        }
    }

    fn rule_below(&mut self, grid: &Grid, pen: Pen) {
        let outer = grid.columns.first().zip(grid.columns.last());
        if let Some(([left, _], [last, width])) = outer {
            let ends = [at(*left, self.y), at(last + width, self.y)];
            self.draw(Owner::Nothing, Ink::Rule(ends, pen));
        }
    }

    fn lines(&self, cell: &GridCell, width: f32) -> Vec<Line> {
        let texts = cell.texts.iter();
        texts.flat_map(|(text, style)| wrap(self.fonts, text, *style, width - 2.0 * PAD)).collect()
    }

    fn height(&self, grid: &Grid, cells: &[GridCell]) -> f32 {
        let own = |(cell, [_, width]): (&GridCell, &[f32; 2])| {
            let lines = self.lines(cell, *width);
            let text: f32 = lines.iter().map(|_| grid.pitch).sum();
            let hand = if cell.hand == Hand::Nothing { 0.0 } else { HAND_HEIGHT };
            text.max(hand)
        };
        cells.iter().zip(&grid.columns).map(own).fold(grid.pitch, f32::max) + PAD
    }

    /// Places a row from where the sheet is filled to, over as many sheets as it takes.
    fn placed_row(&mut self, grid: &Grid, cells: &[GridCell], has_meaning: bool) {
        let columns = cells.iter().zip(&grid.columns);
        let left = columns.map(|(cell, [_, width])| self.lines(cell, *width).into_iter()).collect();
        let branches = cells.iter().map(|cell| Branch::new(cell.role.clone())).collect();
        let mut placing = Placing { grid, cells, left, branches, has_meaning };
        self.y += PAD / 2.0;
        let top = self.y;
        self.hands(&mut placing);
        self.y += placing.sunk();
        let mut lowest = top + grid.pitch;
        if cells.iter().any(|cell| cell.hand != Hand::Nothing) {
            lowest = lowest.max(top + HAND_HEIGHT);
        }
        while placing.left.iter().any(|lines| !lines.as_slice().is_empty()) {
            if !self.has_room(grid.pitch) && has_meaning {
                self.next_sheet(grid);
                lowest = self.y;
            }
            self.line_of_row(&mut placing);
            self.y += grid.pitch;
        }
        self.y = self.y.max(lowest) + PAD / 2.0;
        if has_meaning {
            let mut row = Branch::new(grid.row.clone());
            row.children.extend(placing.branches.into_iter().map(Twig::Branch));
            self.graft(row);
        }
    }

    /// One line of every cell that still has one.
    fn line_of_row(&mut self, placing: &mut Placing<'_>) {
        let columns = placing.cells.iter().zip(&placing.grid.columns);
        let parts = placing.left.iter_mut().zip(&mut placing.branches);
        for ((cell, [left, width]), (lines, branch)) in columns.zip(parts) {
            let Some(line) = lines.next() else { continue };
            let x = if cell.is_right { left + width - PAD - line.width } else { left + PAD };
            let branch = placing.has_meaning.then_some(branch);
            let owner = self.owned(branch, None);
            let base = base_line(at(x, self.y), placing.grid.pitch, line.size);
            self.draw(owner, Ink::Text(base, line));
        }
    }

    /// A leaf of a cell; decoration where the cell means nothing, being repeated.
    fn owned(&mut self, branch: Option<&mut Branch>, said: Option<&'static str>) -> Owner {
        let Some(branch) = branch else { return Owner::Nothing };
        let leaf = self.loose_leaf();
        branch.children.push(Twig::Leaf(leaf));
        Owner::Leaf(leaf, said)
    }

    /// Boxes to tick and lines to write on; and a leaf for each cell that would have none.
    fn hands(&mut self, placing: &mut Placing<'_>) {
        let columns = placing.cells.iter().zip(&placing.grid.columns).zip(&placing.left);
        for (((cell, [left, width]), lines), branch) in columns.zip(&mut placing.branches) {
            let (said, ink) = match cell.hand {
                Hand::Ticks => {
                    let corner = at(left + PAD, self.y + 3.0);
                    let frame = [corner, at(TICK_SIDE, TICK_SIDE)];
                    (Some(TICK_SAID), Ink::Frame(frame, Pen::Thick))
                }
                Hand::Writes => {
                    let y = self.y + HAND_HEIGHT - 4.0;
                    let ends = [at(left + PAD, y), at(left + width - PAD, y)];
                    (Some(BLANK_SAID), Ink::Rule(ends, Pen::Dashed))
                }
                Hand::Nothing if lines.as_slice().is_empty() => (None, Ink::Empty),
                Hand::Nothing => continue,
            };
            let owner = self.owned(placing.has_meaning.then_some(branch), said);
            self.draw(owner, ink);
        }
    }
}

impl Placing<'_> {
    /// How far the label of a line to write on is lowered, so that it stands on that line.
    fn sunk(&self) -> f32 {
        let is_written = self.cells.iter().any(|cell| cell.hand == Hand::Writes);
        let is_short = self.left.iter().all(|lines| lines.as_slice().get(1).is_none());
        let is_label = self.grid.rule == Pen::None && is_written && is_short;
        if is_label { HAND_HEIGHT - 2.0 - self.grid.pitch } else { 0.0 }
    }
}
