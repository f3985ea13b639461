//! Each kind of block on the sheets.
//!
//! Absent here: grids and drawings themselves.

use crate::documents::page::Block;
use crate::documents::page::Caution;
use crate::documents::page::Cell;
use crate::documents::page::Pair;
use crate::documents::page::Step;
use crate::documents::page::Sum;
use crate::documents::page::Table;
use crate::documents::page::Value;
use crate::documents::page::drawing::Pen;
use crate::documents::page::drawing::at;
use crate::documents::pdf::flow::BODY;
use crate::documents::pdf::flow::Column;
use crate::documents::pdf::flow::Flow;
use crate::documents::pdf::flow::SMALL;
use crate::documents::pdf::flow::STRONG;
use crate::documents::pdf::flow::base_line;
use crate::documents::pdf::flow::pitch;
use crate::documents::pdf::fonts::Weight;
use crate::documents::pdf::grid::BLANK_SAID;
use crate::documents::pdf::grid::Grid;
use crate::documents::pdf::grid::GridCell;
use crate::documents::pdf::grid::Hand;
use crate::documents::pdf::grid::TICK_SAID;
use crate::documents::pdf::grid::TICK_SIDE;
use crate::documents::pdf::grid::shared;
use crate::documents::pdf::line::Line;
use crate::documents::pdf::line::Style;
use crate::documents::pdf::line::single;
use crate::documents::pdf::line::wrap;
use crate::documents::pdf::sheet::BOTTOM;
use crate::documents::pdf::sheet::Ink;
use crate::documents::pdf::sheet::MARGIN;
use crate::documents::pdf::sheet::Owner;
use crate::documents::pdf::sheet::Role;
use crate::documents::pdf::sheet::TEXT_WIDTH;
use crate::documents::pdf::sheet::TOP;

const HEADING: Style = Style { size: 12.5, weight: Weight::Bold };
const SUBHEADING: Style = Style { size: 10.5, weight: Weight::Bold };
const FINAL: Style = Style { size: 11.5, weight: Weight::Bold };
/// Where the text of a step begins.
const STEP_INDENT: f32 = 44.0;
/// About the height of an entry with something to tick or to write.
const ENTRY_HEIGHT: f32 = 29.0;
/// Height of a line to sign on.
const SIGN_HEIGHT: f32 = 36.0;

impl Flow {
    /// A block; a heading goes to the next sheet when what follows it does not begin on this one.
    pub(super) fn block(&mut self, block: &Block, next: &[Block]) {
        match block {
            Block::Heading(text) => self.heading(text, next),
            Block::Subheading(text) => self.subheading(text, next),
            Block::Paragraph(text) => self.paragraph(text, BODY),
            Block::Small(text) => self.paragraph(text, SMALL),
            Block::Caution(caution) => self.caution(caution),
            Block::List(points) => self.list(points),
            Block::Pairs(pairs) => self.pairs(pairs),
            Block::Table(table) => self.table(table),
            Block::Sums(sums) => self.sums(sums),
            Block::Steps(steps) => self.steps(steps),
            Block::Drawing(drawing) => self.drawings(std::slice::from_ref(drawing)),
            Block::Drawings(drawings) => self.drawings(drawings),
            Block::Signatures(roles) => self.signatures(roles),
            Block::NewPage if TOP < self.y => self.new_sheet(),
            Block::NewPage => {}
        }
    }

    /// Height that the blocks after a heading need at least: the first, and the second where the first is but a sentence.
    /// A part with signatures stays together: nobody signs a sheet that does not say what for.
    fn leading_height(&self, blocks: &[Block]) -> f32 {
        let part = || blocks.iter().take_while(|block| !matches!(block, Block::Heading(_)));
        if part().any(|block| matches!(block, Block::Signatures(_))) {
            return part().map(|block| self.whole_height(block)).sum();
        }
        let is_sentence = matches!(blocks.first(), Some(Block::Paragraph(_) | Block::Small(_)));
        let second = blocks.get(1).filter(|_| is_sentence);
        self.least_height(blocks.first()) + self.least_height(second)
    }

    /// About the height of a whole block, as far as it is made of short entries.
    fn whole_height(&self, block: &Block) -> f32 {
        match block {
            Block::Pairs(pairs) => pairs.iter().map(|_| ENTRY_HEIGHT).sum(),
            Block::Steps(steps) => steps.iter().map(|_| ENTRY_HEIGHT).sum(),
            Block::Signatures(roles) => roles.chunks(2).map(|_| 5.0 * SIGN_HEIGHT).sum(),
            Block::Paragraph(_)
            | Block::Small(_)
            | Block::Caution(_)
            | Block::List(_)
            | Block::Table(_)
            | Block::Sums(_)
            | Block::Drawing(_)
            | Block::Drawings(_)
            | Block::Heading(_)
            | Block::Subheading(_)
            | Block::NewPage => self.least_height(Some(block)),
        }
    }

    /// Height that a block needs at least to begin on a sheet.
    fn least_height(&self, block: Option<&Block>) -> f32 {
        match block {
            Some(Block::Drawing(drawing)) => self.drawings_height(std::slice::from_ref(drawing)),
            Some(Block::Drawings(drawings)) => self.drawings_height(drawings),
            Some(Block::Sums(sums)) => sums.iter().map(|_| pitch(BODY) + 6.0).sum(),
            Some(Block::Signatures(_)) => 4.0 * SIGN_HEIGHT,
            Some(Block::Subheading(_)) => 80.0,
            Some(Block::Caution(_) | Block::Table(_)) => 70.0,
            Some(Block::Heading(_) | Block::Paragraph(_) | Block::Small(_) | Block::List(_)) => {
                30.0
            }
            Some(Block::Pairs(_) | Block::Steps(_)) => 40.0,
            Some(Block::NewPage) | None => 0.0,
        }
    }

    fn heading(&mut self, text: &str, next: &[Block]) {
        let least = self.leading_height(next);
        self.reserve(36.0 + least);
        if TOP < self.y {
            self.y += 9.0;
        }
        self.mark_heading(text);
        self.text(text, Column::full(HEADING), Role::Heading(2, text.to_owned()));
        self.y += 2.0;
        self.rule(self.y, Pen::Thin);
        self.y += 5.0;
    }

    fn subheading(&mut self, text: &str, next: &[Block]) {
        let least = self.leading_height(next);
        self.reserve(24.0 + least);
        if TOP < self.y {
            self.y += 4.0;
        }
        self.text(text, Column::full(SUBHEADING), Role::Heading(3, text.to_owned()));
        self.y += 2.0;
    }

    fn paragraph(&mut self, text: &str, style: Style) {
        self.text(text, Column::full(style), Role::Paragraph);
        self.y += 4.0;
    }

    fn caution(&mut self, caution: &Caution) {
        let width = TEXT_WIDTH - 20.0;
        let texts = std::iter::once((&caution.title, STRONG));
        let texts = texts.chain(caution.texts.iter().map(|text| (text, BODY)));
        let lines: Vec<Line> =
            texts.flat_map(|(text, style)| wrap(self.fonts, text, style, width)).collect();
        let height: f32 = lines.iter().map(|_| pitch(BODY)).sum::<f32>() + 10.0;
        let is_framed = height < BOTTOM - TOP;
        if is_framed {
            self.reserve(height);
            let frame = [at(MARGIN, self.y), at(TEXT_WIDTH, height)];
            self.draw(Owner::Nothing, Ink::Frame(frame, Pen::Thick));
        }
        self.y += 4.0;
        self.open(Role::Caution);
        self.open(Role::Paragraph);
        for line in lines {
            self.line(line, MARGIN + 10.0, BODY);
            if !is_framed {
                let bar = [at(MARGIN, self.y - pitch(BODY)), at(MARGIN, self.y)];
                self.draw(Owner::Nothing, Ink::Rule(bar, Pen::Thick));
            }
        }
        self.close();
        self.close();
        self.y += 12.0;
    }

    fn list(&mut self, points: &[String]) {
        self.open(Role::List);
        for point in points {
            self.reserve(pitch(BODY));
            self.open(Role::Point);
            self.open(Role::Label);
            let owner = self.leaf(None);
            let dot = single(self.fonts, "•", BODY);
            let base = base_line(at(MARGIN + 2.0, self.y), pitch(BODY), BODY.size);
            self.draw(owner, Ink::Text(base, dot));
            self.close();
            let column = Column { left: MARGIN + 13.0, width: TEXT_WIDTH - 13.0, style: BODY };
            self.text(point, column, Role::Body);
            self.close();
            self.y += 1.5;
        }
        self.close();
        self.y += 4.0;
    }

    fn pairs(&mut self, pairs: &[Pair]) {
        let columns = shared(MARGIN - 4.0, TEXT_WIDTH + 8.0, &[1.0, 2.0]);
        let pitch = pitch(BODY);
        let grid = Grid { columns, heading: Vec::new(), rule: Pen::None, pitch, row: Role::Point };
        self.open(Role::List);
        for pair in pairs {
            let label = GridCell::new(&pair.label, STRONG, Role::Label);
            let mut value = GridCell::new("", BODY, Role::Body);
            match &pair.value {
                Value::Text(text) => value.texts = vec![(text.clone(), BODY)],
                Value::Blank => value.hand = Hand::Writes,
            }
            self.grid_row(&grid, &[label, value]);
        }
        self.close();
        self.y += 5.0;
    }

    fn table(&mut self, table: &Table) {
        let shares: Vec<f32> = table.columns.iter().map(|column| column.share).collect();
        let heading = table.columns.iter().map(|column| {
            let is_right = column.is_amount;
            GridCell { is_right, ..GridCell::new(&column.heading, STRONG, Role::ColumnHeading) }
        });
        let grid = Grid {
            columns: shared(MARGIN, TEXT_WIDTH, &shares),
            heading: heading.collect(),
            rule: Pen::Thin,
            pitch: pitch(BODY),
            row: Role::Row,
        };
        self.open(Role::Table(table.caption.clone()));
        self.grid_heading(&grid);
        let empty = Cell::Text(String::new());
        for row in &table.rows {
            let cells = row.iter().chain(std::iter::repeat(&empty)).zip(&table.columns);
            let cells: Vec<GridCell> =
                cells.map(|(cell, column)| grid_cell(cell, column.is_amount)).collect();
            self.grid_row(&grid, &cells);
        }
        self.close();
        self.y += 8.0;
    }

    fn sums(&mut self, sums: &[Sum]) {
        let left = MARGIN + TEXT_WIDTH * 0.38;
        let columns = shared(left, TEXT_WIDTH * 0.62, &[1.7, 1.0]);
        let rule = Pen::Thin;
        let grid = Grid { columns, heading: Vec::new(), rule, pitch: pitch(BODY), row: Role::Row };
        let rows: f32 = sums.iter().map(|_| pitch(BODY) + 6.0).sum();
        self.reserve(rows);
        self.open(Role::Table("Totals".to_owned()));
        for sum in sums {
            let style = if sum.is_final { FINAL } else { BODY };
            let label = GridCell::new(&sum.label, style, Role::RowHeading);
            let amount =
                GridCell { is_right: true, ..GridCell::new(&sum.amount, style, Role::Cell) };
            let pen = if sum.is_final { Pen::Thick } else { Pen::Thin };
            let grid = Grid {
                rule: pen,
                pitch: pitch(style),
                columns: grid.columns.clone(),
                heading: Vec::new(),
                row: Role::Row,
            };
            self.grid_row(&grid, &[label, amount]);
        }
        self.close();
        self.y += 8.0;
    }

    fn steps(&mut self, steps: &[Step]) {
        let width = TEXT_WIDTH - STEP_INDENT;
        self.open(Role::Numbered);
        for (number, step) in (1_u32..).zip(steps) {
            let caution = step.caution.as_ref().map(|text| format!("Caution: {text}"));
            let mut lines = wrap(self.fonts, &step.text, BODY, width);
            lines.extend(caution.iter().flat_map(|text| wrap(self.fonts, text, STRONG, width)));
            let height: f32 = lines.iter().map(|_| pitch(BODY)).sum();
            self.reserve(height.clamp(TICK_SIDE, BOTTOM - TOP));
            let least = self.y + TICK_SIDE;
            self.open(Role::Point);
            let sunk = if height <= pitch(BODY) { 2.0 } else { 0.0 };
            self.step_label(number, sunk);
            self.open(Role::Body);
            self.y += sunk;
            for line in lines {
                self.line(line, MARGIN + STEP_INDENT, BODY);
            }
            self.close();
            self.close();
            self.y = self.y.max(least) + 6.0;
        }
        self.close();
        self.y += 2.0;
    }

    fn step_label(&mut self, number: u32, sunk: f32) {
        self.open(Role::Label);
        let tick = self.leaf(Some(TICK_SAID));
        let frame = [at(MARGIN + 1.0, self.y), at(TICK_SIDE, TICK_SIDE)];
        self.draw(tick, Ink::Frame(frame, Pen::Thick));
        let owner = self.leaf(None);
        let text = single(self.fonts, &format!("{number}."), STRONG);
        let corner = at(MARGIN + STEP_INDENT - 5.0 - text.width, self.y + sunk);
        self.draw(owner, Ink::Text(base_line(corner, pitch(BODY), BODY.size), text));
        self.close();
    }

    fn signatures(&mut self, roles: &[String]) {
        for pair in roles.chunks(2) {
            self.reserve(4.0 * SIGN_HEIGHT);
            let top = self.y;
            let mut lowest = top;
            for (role, [left, width]) in pair.iter().zip(shared(MARGIN, TEXT_WIDTH, &[1.0, 1.0])) {
                self.y = top;
                self.signature(role, Column { left, width: width - 16.0, style: STRONG });
                lowest = lowest.max(self.y);
            }
            self.y = lowest + 8.0;
        }
    }

    fn signature(&mut self, role: &str, column: Column) {
        self.text(role, column, Role::Paragraph);
        for entry in ["Name", "Signature", "Date"] {
            self.sign_line(entry, [column.left, column.width]);
        }
    }

    fn sign_line(&mut self, entry: &str, [left, width]: [f32; 2]) {
        self.y += SIGN_HEIGHT - pitch(SMALL);
        self.open(Role::Paragraph);
        let owner = self.leaf(Some(BLANK_SAID));
        let ends = [at(left, self.y), at(left + width, self.y)];
        self.draw(owner, Ink::Rule(ends, Pen::Thin));
        let line = single(self.fonts, entry, SMALL);
        self.y += 2.0;
        self.line(line, left, SMALL);
        self.close();
    }
}

fn grid_cell(cell: &Cell, is_right: bool) -> GridCell {
    let base = GridCell { is_right, ..GridCell::new("", BODY, Role::Cell) };
    match cell {
        Cell::Text(text) => GridCell { texts: vec![(text.clone(), BODY)], ..base },
        Cell::Noted(text, note) => {
            GridCell { texts: vec![(text.clone(), BODY), (note.clone(), SMALL)], ..base }
        }
        Cell::Blank => GridCell { hand: Hand::Writes, ..base },
        Cell::Tick => GridCell { hand: Hand::Ticks, ..base },
    }
}
