//! A page as HTML: one file that prints on A4, reads aloud, and needs neither script nor another file.
//!
//! The template escapes every text. Page numbers are the printer's, by style. Absent here: the words.

mod figure;

use maud::DOCTYPE;
use maud::Markup;
use maud::PreEscaped;
use maud::html;

use crate::documents::html::figure::figure;
use crate::documents::page::Block;
use crate::documents::page::Cell;
use crate::documents::page::Column;
use crate::documents::page::Page;
use crate::documents::page::Pair;
use crate::documents::page::Step;
use crate::documents::page::Sum;
use crate::documents::page::Table;
use crate::documents::page::Value;
use crate::documents::plain_text::printable;

const STYLE: &str = include_str!("html/paper.css");

/// The page as a whole HTML file.
///
/// ```
/// use rungwright::documents::html;
/// use rungwright::documents::page::{Block, Page};
/// let page = Page {
///     title: String::from("Quote"),
///     subtitle: String::new(),
///     sender: Vec::new(),
///     footer: String::new(),
///     blocks: vec![Block::Paragraph(String::from("<script>alert(1)</script>"))],
/// };
/// // Text that looks like markup is shown as the text it is.
/// assert!(html::render(&page).contains("&lt;script&gt;alert(1)&lt;/script&gt;"));
/// ```
pub fn render(page: &Page) -> String {
    render_all(page, &[])
}

/// Several papers as one HTML file; in print each begins a new sheet and has a foot of its own.
pub fn render_all(first: &Page, more: &[Page]) -> String {
    let pages = || (1_u32..).zip(std::iter::once(first).chain(more));
    let content = html! {
        (DOCTYPE)
        html lang="en" {
            head {
                meta charset="utf-8";
                meta name="viewport" content="width=device-width, initial-scale=1";
                title { (printable(&first.title)) }
                style {
                    (PreEscaped(STYLE))
                    @for (number, page) in pages() { (PreEscaped(foot_style(number, &page.footer))) }
                }
            }
            body {
                main {
                    @for (number, page) in pages() {
                        article class="sheet" style={ "page:sheet" (number) } {
                            (header(page))
                            @for block in &page.blocks { (block_markup(block)) }
                            footer { (text(&page.footer)) }
                        }
                    }
                }
            }
        }
    };
    content.into_string()
}

/// The foot of every printed page as a rule of style. Of the text only plain letters and digits stand there as they are;
/// every other sign becomes its number, so that no text can end the rule or the style.
fn foot_style(number: u32, footer: &str) -> String {
    let mut content = String::new();
    for sign in printable(footer).chars() {
        if sign.is_ascii_alphanumeric() {
            content.push(sign);
        } else {
            content.extend(format!("\\{:06x}", u32::from(sign)).chars());
        }
    }
    format!(
        "@page sheet{number} {{ @bottom-left {{ content: \"{content}\"; font: 8pt \"Noto Sans\", sans-serif; }} }}"
    )
}

fn header(page: &Page) -> Markup {
    html! {
        header {
            div {
                h1 { (text(&page.title)) }
                p class="subtitle" { (text(&page.subtitle)) }
            }
            address {
                @for (index, line) in page.sender.iter().enumerate() {
                    @if index == 0 { strong { (text(line)) } } @else { br; (text(line)) }
                }
            }
        }
    }
}

/// A text, cleaned, escaped, and kept from changing the direction of what stands around it.
pub(super) fn text(text: &str) -> Markup {
    html! { bdi { (printable(text)) } }
}

fn block_markup(block: &Block) -> Markup {
    match block {
        Block::Heading(heading) => html! { h2 { (text(heading)) } },
        Block::Subheading(heading) => html! { h3 { (text(heading)) } },
        Block::Paragraph(paragraph) => html! { p { (text(paragraph)) } },
        Block::Small(paragraph) => html! { p class="small" { (text(paragraph)) } },
        Block::Caution(caution) => html! {
            div class="caution" role="note" {
                p { strong { (text(&caution.title)) } }
                @for sentence in &caution.texts { p { (text(sentence)) } }
            }
        },
        Block::List(points) => html! { ul { @for point in points { li { (text(point)) } } } },
        Block::Pairs(pairs) => self::pairs(pairs),
        Block::Table(table) => self::table(table),
        Block::Sums(sums) => self::sums(sums),
        Block::Steps(steps) => self::steps(steps),
        Block::Drawing(drawing) => figure(drawing),
        Block::Drawings(drawings) => html! {
            div class="figures" { @for drawing in drawings { (figure(drawing)) } }
        },
        Block::Signatures(roles) => signatures(roles),
        Block::NewPage => html! { div class="new-page" {} },
    }
}

fn pairs(pairs: &[Pair]) -> Markup {
    html! {
        dl {
            @for pair in pairs {
                dt { (text(&pair.label)) }
                dd {
                    @match &pair.value {
                        Value::Text(value) => { (text(value)) }
                        Value::Blank => { (blank()) }
                    }
                }
            }
        }
    }
}

/// A line to write on; a reader who hears the paper is told.
fn blank() -> Markup {
    html! { span class="blank" role="img" aria-label="to be filled in by hand" {} }
}

fn tick() -> Markup {
    html! { span class="tick" role="img" aria-label="box to tick" {} }
}

fn table(table: &Table) -> Markup {
    let shares = table.columns.iter().map(|column| column.share);
    let whole = shares.sum::<f32>().max(f32::MIN_POSITIVE);
    html! {
        table {
            caption { (text(&table.caption)) }
            colgroup {
                @for column in &table.columns {
                    col style={ "width:" (format!("{:.1}", column.share * 100.0 / whole)) "%" };
                }
            }
            thead {
                tr {
                    @for column in &table.columns {
                        th scope="col" class=[alignment(column)] { (text(&column.heading)) }
                    }
                }
            }
            tbody { @for row in &table.rows { (self::row(&table.columns, row)) } }
        }
    }
}

const fn alignment(column: &Column) -> Option<&'static str> {
    if column.is_amount { Some("amount") } else { None }
}

fn row(columns: &[Column], cells: &[Cell]) -> Markup {
    let empty = Cell::Text(String::new());
    let cells = cells.iter().chain(std::iter::repeat(&empty));
    html! {
        tr {
            @for (column, cell) in columns.iter().zip(cells) {
                td class=[alignment(column)] {
                    @match cell {
                        Cell::Text(words) => { (text(words)) }
                        Cell::Noted(words, note) => {
                            (text(words))
                            span class="note" { (text(note)) }
                        }
                        Cell::Blank => { (blank()) }
                        Cell::Tick => { (tick()) }
                    }
                }
            }
        }
    }
}

fn sums(sums: &[Sum]) -> Markup {
    html! {
        table class="sums" {
            tbody {
                @for sum in sums {
                    tr class=[sum.is_final.then_some("final")] {
                        th scope="row" { (text(&sum.label)) }
                        td class="amount" { (text(&sum.amount)) }
                    }
                }
            }
        }
    }
}

fn steps(steps: &[Step]) -> Markup {
    html! {
        ol class="steps" {
            @for step in steps {
                li {
                    (tick())
                    (text(&step.text))
                    @if let Some(caution) = &step.caution {
                        br;
                        strong { "Caution: " }
                        (text(caution))
                    }
                }
            }
        }
    }
}

fn signatures(roles: &[String]) -> Markup {
    html! {
        div class="signatures" {
            @for role in roles {
                section {
                    h3 { (text(role)) }
                    @for entry in ["Name", "Signature", "Date"] { (blank()) span class="small" { (entry) } }
                }
            }
        }
    }
}
