//! Bytes into rows: size, encoding, decimal mark, delimiter, quotes and the number of cells. Knows nothing of what cells
//! mean.
//!
//! A file may begin with one line of its own before the header: `# decimal: comma` or `# decimal: point`, which says how
//! its numbers are written. A cell that would be taken for a formula by a spreadsheet stands behind an apostrophe, which
//! is taken off again here.

use csv::ByteRecord;
use csv::ReaderBuilder;
use csv::StringRecord;

use super::fault::CellFault;
use super::fault::Faults;
use super::fault::Place;

/// Size of one file at most, bytes.
pub const FILE_BYTES_MAX: usize = 128 * 1024 * 1024;

/// Rows of one file at most, the header not counted.
pub const ROWS_MAX: usize = 1_000_000;

/// Cells of one file at most: what a row costs in memory even when its cells are empty.
pub(super) const CELLS_MAX: usize = 20_000_000;

/// What a spreadsheet may put before UTF-8.
pub(super) const BYTE_ORDER_MARK: &[u8] = b"\xEF\xBB\xBF";

/// How a file writes numbers with decimals.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub(super) enum DecimalMark {
    /// `0.75`.
    #[default]
    Point,
    /// `0,75`.
    Comma,
}

/// A file cut into cells.
#[derive(Debug, Clone)]
pub(super) struct Table {
    /// Name of the file.
    pub file: &'static str,
    /// Names of its columns.
    pub header: StringRecord,
    /// Its rows, each with the line on which it begins (0: it comes from the edition before) and as many cells as the
    /// header.
    pub rows: Vec<(u64, StringRecord)>,
    /// How it writes numbers.
    pub mark: DecimalMark,
}

impl Table {
    /// Place of a column.
    pub(super) fn column(&self, name: &str) -> Option<usize> {
        self.header.iter().position(|column| column == name)
    }
}

/// Cuts a file into cells and notes every row that cannot be cut. Nothing comes back when no row can be trusted.
pub(super) fn read_table(file: &'static str, bytes: &[u8], faults: &mut Faults) -> Option<Table> {
    if FILE_BYTES_MAX < bytes.len() {
        let allowed = format!("a file holds at most {FILE_BYTES_MAX} bytes");
        faults.of_file(file, &bytes.len().to_string(), allowed);
        return None;
    }
    let bytes = bytes.strip_prefix(BYTE_ORDER_MARK).unwrap_or(bytes);
    let body = match Body::of(bytes) {
        Ok(body) => body,
        Err(line) => {
            let allowed =
                "a first line that begins with # says # decimal: comma or # decimal: point";
            faults.of_row(Place { file, row: 1 }, &line, allowed.to_owned());
            return None;
        }
    };
    if let Err((row, value)) = check_quotes(body.bytes, body.delimiter) {
        let allowed = "a quote stands at both ends of a cell and is doubled inside it".to_owned();
        faults.of_row(Place { file, row: body.line(row) }, &value, allowed);
        return None;
    }
    cut(file, body, faults)
}

/// A file without its mark of encoding and its line about decimals.
#[derive(Debug, Clone, Copy)]
struct Body<'a> {
    bytes: &'a [u8],
    mark: DecimalMark,
    delimiter: u8,
    lines_before: u64,
}

impl<'a> Body<'a> {
    /// The body of a file, or the first line when it begins with # and says something else.
    fn of(bytes: &'a [u8]) -> Result<Self, String> {
        let mut body =
            Self { bytes, mark: DecimalMark::Point, delimiter: delimiter(bytes), lines_before: 0 };
        if !bytes.starts_with(b"#") {
            return Ok(body);
        }
        let end = bytes.iter().position(|byte| *byte == b'\n').unwrap_or(bytes.len());
        let (line, rest) = bytes.split_at(end);
        let text = String::from_utf8_lossy(line);
        // A spreadsheet fills the line up with empty cells when it saves the file.
        let stated =
            text.trim_start_matches('#').trim_end_matches([';', ',', '"', '\r', ' ']).trim();
        body.mark = match stated {
            "decimal: comma" => DecimalMark::Comma,
            "decimal: point" => DecimalMark::Point,
            _ => return Err(excerpt(line, 0)),
        };
        body.bytes = rest.strip_prefix(b"\n").unwrap_or(rest);
        body.delimiter = delimiter(body.bytes);
        body.lines_before = 1;
        Ok(body)
    }

    /// The line of the file on which a line of the body stands.
    const fn line(self, line: u64) -> u64 {
        line.saturating_add(self.lines_before)
    }
}

fn cut(file: &'static str, body: Body<'_>, faults: &mut Faults) -> Option<Table> {
    let Body { bytes, delimiter, mark, .. } = body;
    let mut reader = ReaderBuilder::new()
        .has_headers(false)
        .flexible(true)
        .delimiter(delimiter)
        .from_reader(bytes);
    let mut header: Option<StringRecord> = None;
    let mut rows = Vec::new();
    for record in reader.byte_records() {
        // Reading from memory with flexible widths has no error left; one would still be told, never skipped.
        let record = match record {
            Ok(record) => record,
            Err(error) => {
                faults.of_file(
                    file,
                    &error.to_string(),
                    "rows of comma-separated cells".to_owned(),
                );
                return None;
            }
        };
        let row = body.line(line_of(&record, bytes));
        let Some(names) = &header else {
            header = Some(decoded(record, Place { file, row }, None, faults)?);
            continue;
        };
        if CELLS_MAX < names.len().saturating_mul(rows.len()) {
            let allowed = format!("a file holds at most {CELLS_MAX} cells");
            faults.of_row(Place { file, row }, "", allowed);
            break;
        }
        if rows.len() == ROWS_MAX {
            faults.of_row(Place { file, row }, "", format!("a file holds at most {ROWS_MAX} rows"));
            break;
        }
        let Some(cells) = decoded(record, Place { file, row }, Some(names), faults) else {
            continue;
        };
        if cells.len() == names.len() {
            rows.push((row, bared(cells)));
        } else {
            let allowed = format!("a row has {} cells, as the header has", names.len());
            faults.of_row(Place { file, row }, &format!("{} cells", cells.len()), allowed);
        }
    }
    if header.is_none() {
        faults.of_file(file, "", "the first line names the columns".to_owned());
    }
    Some(Table { file, header: header?, rows, mark })
}

/// First characters by which a spreadsheet takes a cell for a formula; and the apostrophe that keeps it from doing so.
pub(super) const FORMULA_STARTS: [char; 7] = ['=', '+', '-', '@', '\t', '\r', '\''];

/// The cells without the apostrophe before what a spreadsheet would take for a formula.
fn bared(cells: StringRecord) -> StringRecord {
    let guarded =
        |cell: &str| cell.strip_prefix('\'').is_some_and(|rest| rest.starts_with(FORMULA_STARTS));
    if !cells.iter().any(guarded) {
        return cells;
    }
    let bare = |cell| if guarded(cell) { cell.strip_prefix('\'').unwrap_or(cell) } else { cell };
    cells.iter().map(bare).collect()
}

/// The line on which a record begins, the empty lines before it passed over.
fn line_of(record: &ByteRecord, bytes: &[u8]) -> u64 {
    let Some(position) = record.position() else { return 1 };
    let start = usize::try_from(position.byte()).unwrap_or(usize::MAX);
    let blank = bytes.iter().skip(start).take_while(|byte| matches!(byte, b'\n' | b'\r'));
    blank.filter(|byte| **byte == b'\n').fold(position.line(), |line, _end| line.saturating_add(1))
}

/// The row as text, or a fault for each cell that is not UTF-8.
fn decoded(
    record: ByteRecord,
    place: Place<'_>,
    header: Option<&StringRecord>,
    faults: &mut Faults,
) -> Option<StringRecord> {
    let record = match StringRecord::from_byte_record(record) {
        Ok(cells) => return Some(cells),
        Err(error) => error.into_byte_record(),
    };
    for (index, cell) in record.iter().enumerate() {
        if str::from_utf8(cell).is_err() {
            let column = header.and_then(|names| names.get(index)).unwrap_or_default();
            let value = String::from_utf8_lossy(cell);
            let allowed = "the text is not UTF-8; save the file as UTF-8".to_owned();
            faults.of_cell(place, CellFault::new(column, &value, allowed));
        }
    }
    None
}

/// Whichever of comma and semicolon the header line has more of; a comma when it has neither.
fn delimiter(bytes: &[u8]) -> u8 {
    let header = bytes.split(|byte| *byte == b'\n').next().unwrap_or_default();
    let cells = |mark: u8| header.split(|byte| *byte == mark).count();
    if cells(b',') < cells(b';') { b';' } else { b',' }
}

/// Where a scan of quotes stands.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Quoting {
    CellStart,
    Plain,
    Quoted,
    /// After a quote inside a quoted cell: its end, or the first half of a doubled one.
    Closing,
}

/// The line and rest of the first cell whose quotes do not balance: everything after it would be read askew.
fn check_quotes(bytes: &[u8], delimiter: u8) -> Result<(), (u64, String)> {
    let mut state = Quoting::CellStart;
    let mut line: u64 = 1;
    let mut opened = (line, 0);
    for (index, byte) in bytes.iter().enumerate() {
        let ends_cell = *byte == delimiter || *byte == b'\n' || *byte == b'\r';
        state = match (state, *byte) {
            (Quoting::CellStart, b'"') => {
                opened = (line, index);
                Quoting::Quoted
            }
            (Quoting::Quoted, b'"') => Quoting::Closing,
            (Quoting::Closing, b'"') | (Quoting::Quoted, _) => Quoting::Quoted,
            (Quoting::CellStart | Quoting::Plain | Quoting::Closing, _) if ends_cell => {
                Quoting::CellStart
            }
            (Quoting::Plain, b'"') => return Err((line, excerpt(bytes, index))),
            (Quoting::Closing, _) => return Err((opened.0, excerpt(bytes, opened.1))),
            (Quoting::CellStart | Quoting::Plain, _) => Quoting::Plain,
        };
        if *byte == b'\n' {
            line = line.saturating_add(1);
        }
    }
    if state == Quoting::Quoted { Err((opened.0, excerpt(bytes, opened.1))) } else { Ok(()) }
}

fn excerpt(bytes: &[u8], from: usize) -> String {
    const BYTES: usize = 40;
    let rest: Vec<u8> = bytes.iter().skip(from).take(BYTES).copied().collect();
    String::from_utf8_lossy(&rest).into_owned()
}
