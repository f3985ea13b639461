//! The lines of a quote as CSV (RFC 4180), safe to open in a spreadsheet.
//!
//! A text that a spreadsheet would take for a formula gets an apostrophe in front (the usual remedy against formula
//! injection). Absent here: totals.

use crate::domain::money::Currency;
use crate::domain::quote::Quote;
use crate::domain::quote::QuotedLine;

/// The header line.
const HEADER: &str = "number,revision,room,sku,kind,name,quantity,unit_net,discount_net,net,currency,tax_category,tax_rate_percent,included_with";

/// The lines as CSV, one a row, with a header.
pub fn line_table(quote: &Quote) -> String {
    let mut text = format!("{HEADER}\r\n");
    for room in &quote.content.rooms {
        for line in &room.lines {
            let mut cells =
                vec![quote.number.to_string(), quote.revision.to_string(), cell(&room.name)];
            cells.extend(line_cells(line, quote.content.currency));
            cells.push(quote.content.currency.code().to_owned());
            cells.push(quote.content.taxation.category.code().to_owned());
            cells.push(quote.content.taxation.rate.percent());
            cells.push(line.included_with.as_ref().map(ToString::to_string).unwrap_or_default());
            text.push_str(&cells.join(","));
            text.push_str("\r\n");
        }
    }
    text
}

fn line_cells(line: &QuotedLine, currency: Currency) -> [String; 7] {
    let discount = line.discount.as_ref();
    [
        cell(line.sku.as_str()),
        line.kind.word().to_owned(),
        cell(&line.name),
        line.quantity.to_string(),
        line.unit_net.format(currency),
        discount.map(|found| currency.format(found.net)).unwrap_or_default(),
        currency.format(line.net),
    ]
}

/// A text as a cell: never a formula, quoted where it must be.
fn cell(text: &str) -> String {
    let is_formula = text.trim_start().starts_with(['=', '+', '-', '@', '\t', '\r', '\n']);
    let safe = if is_formula { format!("'{text}") } else { text.to_owned() };
    if safe.contains([',', '"', '\r', '\n']) {
        format!("\"{}\"", safe.replace('"', "\"\""))
    } else {
        safe
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_formula_becomes_a_text() {
        assert_eq!(cell("=1+1"), "'=1+1");
        assert_eq!(cell("  @SUM(A1)"), "'  @SUM(A1)");
        assert_eq!(cell("-5, \"five\""), "\"'-5, \"\"five\"\"\"");
        assert_eq!(cell("Room 1"), "Room 1");
    }
}
