//! The reader of catalogue files: what it reads, in which notations, up to which limits, and damage to a whole file.

use std::collections::BTreeMap;

use rungwright::domain::catalogue::Accessory;
use rungwright::domain::catalogue::Body;
use rungwright::domain::catalogue::Control;
use rungwright::domain::catalogue::Edition;
use rungwright::domain::catalogue::EditionContent;
use rungwright::domain::catalogue::Element;
use rungwright::domain::catalogue::PartKind;
use rungwright::domain::catalogue::Relation;
use rungwright::domain::catalogue::Right;
use rungwright::domain::catalogue::Terms;
use rungwright::domain::catalogue::Value;
use rungwright::store::catalogue_files::FAULTS_MAX;
use rungwright::store::catalogue_files::FILE_BYTES_MAX;
use rungwright::store::catalogue_files::FILES;
use rungwright::store::catalogue_files::OPTIONAL_FILES;
use rungwright::store::catalogue_files::ROWS_MAX;
use rungwright::store::catalogue_files::read;
use rungwright::store::demo::demo_edition;
use rungwright::store::demo::demo_files;

use crate::edits::cells;
use crate::edits::faults;
use crate::edits::only;
use crate::edits::replaced;
use crate::edits::text;
use crate::edits::written;

#[test]
fn every_row_of_the_demonstration_becomes_a_thing() {
    let files = demo_files();
    let rows = |file: &str| text(&files, file).lines().count() - 1;
    let content = demo_edition().unwrap();
    assert_eq!(content.bodies.len(), rows("bodies.csv"));
    assert_eq!(content.elements.len(), rows("elements.csv"));
    assert_eq!(content.controls.len(), rows("controls.csv"));
    assert_eq!(content.accessories.len(), rows("accessories.csv"));
    assert_eq!(content.rules.len(), rows("rules.csv"));
    assert_eq!(content.attributes.len(), rows("attributes.csv"));
    assert_eq!(content.thread_matings.len(), rows("thread_matings.csv"));
    let included: usize = content.bodies.iter().map(|body| body.included.len()).sum();
    assert_eq!(included, rows("included.csv"));
    let prices: usize = content.price_lists.iter().map(|list| list.prices.len()).sum();
    assert_eq!(prices, rows("prices.csv"));
    assert_eq!(content.samples.len(), 3);
    // It brings no wiring rules of its own: they are those of the program.
    assert_eq!(files.len(), FILES.len() + OPTIONAL_FILES.len() - 1 + content.samples.len());
}

/// The words of a text in order, for cells that hold a set.
fn ordered(text: &str) -> Vec<&str> {
    let mut words: Vec<&str> = text.split(' ').collect();
    words.sort_unstable();
    words
}

/// Compares every cell of a file with the attribute of its column, and says how many there were.
fn compare(edition: &Edition, kind: PartKind, rows: &[Vec<String>]) -> usize {
    // Columns that no attribute shows: the card's labels, and the lower set point.
    let hidden = ["name", "gtin", "evidence", "set_point_c_min"];
    let mut compared = 0;
    let parts = edition.parts().filter(|part| part.kind == kind);
    for (row, part) in rows.iter().skip(1).zip(parts) {
        let shown = rows[0].iter().zip(row).filter(|cell| !hidden.contains(&cell.0.as_str()));
        for (column, cell) in shown {
            let value = edition.attribute(part, column).map(|value| value.to_string());
            let value = value.unwrap_or_default();
            let is_silent = cell == "not_stated" && value.is_empty();
            assert!(is_silent || ordered(&value) == ordered(cell), "{} {column}: {value}", row[0]);
            compared += 1;
        }
    }
    compared
}

#[test]
fn every_cell_of_a_part_comes_back_as_the_attribute_of_its_column() {
    let files = demo_files();
    let edition = Edition::new(1, demo_edition().unwrap()).unwrap();
    let kinds = [
        (PartKind::Body, "bodies.csv"),
        (PartKind::Element, "elements.csv"),
        (PartKind::Control, "controls.csv"),
        (PartKind::Accessory, "accessories.csv"),
    ];
    let compared = kinds.map(|(kind, file)| compare(&edition, kind, &cells(&files, file)));
    assert!(10_000 < compared.iter().sum::<usize>(), "only {compared:?} cells were compared");
}

#[test]
fn a_byte_order_mark_semicolons_and_windows_line_ends_change_nothing() {
    let mut files = demo_files();
    for (_, bytes) in files.iter_mut().filter(|(name, _)| !name.contains('/')) {
        let rows = csv::ReaderBuilder::new().has_headers(false).from_reader(bytes.as_slice());
        let mut writer = csv::WriterBuilder::new()
            .delimiter(b';')
            .terminator(csv::Terminator::CRLF)
            .from_writer(b"\xEF\xBB\xBF".to_vec());
        for row in rows.into_byte_records() {
            writer.write_byte_record(&row.unwrap()).unwrap();
        }
        *bytes = writer.into_inner().unwrap();
    }
    assert_eq!(read(&files), demo_edition());
}

#[test]
fn the_order_of_columns_and_rows_is_free() {
    let mut files = demo_files();
    let finishes = text(&files, "finishes.csv");
    let turned = finishes.lines().map(|line| {
        let (finish, name) = line.split_once(',').unwrap();
        format!("{name},{finish}\n")
    });
    files.insert("finishes.csv".to_owned(), turned.collect::<String>().into_bytes());
    assert_eq!(read(&files), demo_edition());
}

#[test]
fn windows_1252_bytes_are_named_cell_by_cell() {
    let files = replaced("finishes.csv", b"finish,name\nwhite,Wei\xDF\nmatt-black,Mattschwarz\n");
    let found = faults(&files);
    assert_eq!(found.len(), 1, "{found:?}");
    assert_eq!((found[0].row, found[0].column.as_deref()), (Some(2), Some("name")));
    assert!(found[0].allowed.contains("not UTF-8"));
}

#[test]
fn a_lone_quote_is_named_where_it_opens() {
    for (bytes, row) in [
        ("finish,name\nwhite,\"White\nmatt-black,Matt black\n", 2),
        ("finish,name\nwhite,White\nmatt-black,Matt \"black\n", 3),
        ("finish,name\nwhite,\"White\" paint\n", 2),
    ] {
        let found = faults(&replaced("finishes.csv", bytes.as_bytes()));
        assert_eq!(found.len(), 1, "{found:?}");
        assert_eq!(found[0].row, Some(row), "{bytes:?}");
        assert!(found[0].allowed.contains("quote"), "{}", found[0]);
    }
}

#[test]
fn a_quoted_comma_belongs_to_its_cell_and_a_quoted_newline_is_no_name() {
    let bytes = "finish,name\nwhite,\"White, bright\"\nmatt-black,\"Matt\nblack\"\nsea-green,\n";
    let found = faults(&replaced("finishes.csv", bytes.as_bytes()));
    let rows: Vec<_> = found.iter().map(|fault| fault.row).collect();
    assert_eq!(rows, [Some(3), Some(5)], "{found:?}");
}

#[test]
fn a_row_of_another_width_is_named_with_its_line() {
    let found = faults(&replaced("finishes.csv", b"finish,name\nwhite\n\nmatt-black,Black,deep\n"));
    let rows: Vec<_> = found.iter().map(|fault| (fault.row, &*fault.value)).collect();
    assert_eq!(rows, [(Some(2), "1 cells"), (Some(4), "3 cells")]);
}

#[test]
fn unknown_missing_and_repeated_columns_are_named() {
    let found = faults(&replaced("finishes.csv", b"finish,colour,finish\nwhite,White,white\n"));
    let columns: Vec<_> = found.iter().map(|fault| fault.column.as_deref().unwrap()).collect();
    assert_eq!(columns, ["colour", "finish", "name"]);
    assert!(found.iter().all(|fault| fault.row == Some(1)));
}

#[test]
fn a_missing_a_misspelt_and_an_empty_file_are_faults() {
    let mut files = demo_files();
    let finishes = files.remove("finishes.csv").unwrap();
    files.insert("finish.csv".to_owned(), finishes);
    files.insert("rules.csv".to_owned(), Vec::new());
    let found: Vec<_> = faults(&files).into_iter().map(|fault| fault.file).collect();
    assert_eq!(found.join(" "), "finish.csv finishes.csv rules.csv");
}

#[test]
fn a_file_of_too_many_bytes_or_rows_is_named() {
    let too_long = only(&replaced("finishes.csv", &vec![b'a'; FILE_BYTES_MAX + 1]));
    assert!(too_long.allowed.contains("bytes"), "{too_long}");
    let mut rows = b"finish,name\n".to_vec();
    for _ in 0..=ROWS_MAX {
        rows.extend_from_slice(b",\n");
    }
    let too_many = faults(&replaced("finishes.csv", &rows));
    assert!(too_many.iter().any(|fault| fault.allowed.contains("rows")), "{}", too_many[0]);
}

#[test]
fn rules_compare_with_typed_values() {
    let content = demo_edition().unwrap();
    let rule = |code: &str| content.rules.iter().find(|rule| &*rule.code == code).unwrap();
    let resuming = rule("time-switch-needs-resuming-element");
    assert_eq!(resuming.right, Right::Constant(PartKind::Control, Value::Flag(true)));
    assert_eq!(resuming.when.len(), 2);
    assert_eq!(resuming.when[0].is, Value::Flag(true));
    assert_eq!(resuming.when[1].is, Value::text("adjustable"));
    let watts = rule("element-within-watts");
    assert_eq!(watts.relation, Relation::Within);
    assert!(matches!(&watts.right, Right::Range(low, high)
        if low.to_string() == "body.watts_min" && high.to_string() == "body.watts_max"));
}

#[test]
fn a_constant_is_read_with_the_type_of_the_attribute_it_is_compared_with() {
    let edition = Edition::new(1, demo_edition().unwrap()).unwrap();
    let mut wanted = BTreeMap::new();
    for part in edition.parts() {
        let names = match part.kind {
            PartKind::Body => Body::ATTRIBUTES,
            PartKind::Element => Element::ATTRIBUTES,
            PartKind::Control => Control::ATTRIBUTES,
            PartKind::Accessory => Accessory::ATTRIBUTES,
        };
        for name in names {
            if let Some(value) = edition.attribute(part, name) {
                wanted.insert(format!("{}.{name}", part.kind.word()), (part.kind, value));
            }
        }
    }
    let mut files = demo_files();
    let mut rows = cells(&files, "rules.csv");
    rows.truncate(1);
    for (index, (left, (kind, value))) in wanted.iter().enumerate() {
        let row = [
            &format!("rule-{index}"),
            left,
            "equal",
            kind.word(),
            &value.to_string(),
            "",
            "",
            "warn",
            "A sentence.",
            "none",
            "invented",
        ];
        rows.push(row.iter().map(|cell| (*cell).to_owned()).collect());
    }
    files.insert("rules.csv".to_owned(), written(&rows));
    let content = read(&files).unwrap();
    assert_eq!(content.rules.len(), wanted.len());
    assert!(70 < wanted.len(), "only {} attributes are stated by some part", wanted.len());
    for rule in &content.rules {
        let (kind, value) = wanted[&rule.left.to_string()].clone();
        assert_eq!(rule.right, Right::Constant(kind, value), "{}", rule.left);
    }
}

#[test]
fn faults_end_at_a_named_limit() {
    let mut bytes = b"finish,name\n".to_vec();
    for _ in 0..FAULTS_MAX + 10 {
        bytes.extend_from_slice(b"White,\n");
    }
    let found = faults(&replaced("finishes.csv", &bytes));
    assert_eq!(found.len(), FAULTS_MAX);
    assert!(found.iter().any(|fault| fault.allowed.contains("the rest is left out")));
}

#[test]
fn a_header_alone_is_an_empty_file() {
    let content: EditionContent =
        read(&replaced("included.csv", b"body,accessory,quantity\n")).unwrap();
    assert!(content.bodies.iter().all(|body| body.included.is_empty()));
}

#[test]
fn every_row_of_the_terms_becomes_a_thing() {
    let files = demo_files();
    let content = demo_edition().unwrap();
    let rows = |name: &str| text(&files, name).lines().count() - 1;
    assert_eq!(content.terms.breaks.len(), rows("quantity_breaks.csv"));
    assert_eq!(content.terms.taxes.len(), rows("tax_rows.csv"));
    assert_eq!(content.terms.deliveries.len(), rows("delivery_charges.csv"));
    assert_eq!(content.terms.markets.len(), rows("market_terms.csv"));
    assert_eq!(content.terms.lists.len(), rows("price_list_terms.csv"));
    assert_eq!(content.terms.seller_lines.len(), rows("seller_lines.csv"));
}

#[test]
fn the_files_of_terms_may_be_left_out() {
    let mut files = demo_files();
    for name in OPTIONAL_FILES {
        files.remove(name);
    }
    let content = read(&files).unwrap();
    assert_eq!(content.terms, Terms::default());
}

#[test]
fn a_wrong_cell_of_the_terms_is_named() {
    let mut files = demo_files();
    let text = "market,band,mass_g_max,length_mm_max,net\ngb,mainland,heavy,2000,-5\n";
    files.insert("delivery_charges.csv".to_owned(), text.into());
    let faults = read(&files).unwrap_err();
    assert_eq!(faults.len(), 1, "{faults:?}");
    assert!(format!("{:?}", faults[0]).contains("mass_g_max"), "{faults:?}");
}
