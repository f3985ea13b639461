//! The reader of catalogue files: every fault is named with its place, and nothing is half loaded.

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
use rungwright::domain::catalogue::Value;
use rungwright::store::catalogue_files::FAULTS_MAX;
use rungwright::store::catalogue_files::FILE_BYTES_MAX;
use rungwright::store::catalogue_files::FILES;
use rungwright::store::catalogue_files::FileFault;
use rungwright::store::catalogue_files::ROWS_MAX;
use rungwright::store::catalogue_files::read;
use rungwright::store::demo::demo_edition;
use rungwright::store::demo::demo_files;

type Files = BTreeMap<String, Vec<u8>>;

fn text(files: &Files, file: &str) -> String {
    String::from_utf8(files[file].clone()).unwrap()
}

/// The demonstration files with a text replaced once.
fn edited(file: &str, from: &str, to: &str) -> Files {
    let mut files = demo_files();
    let before = text(&files, file);
    assert!(before.contains(from), "{file} does not hold {from:?}");
    files.insert(file.to_owned(), before.replacen(from, to, 1).into_bytes());
    files
}

/// The demonstration files with a file replaced.
fn replaced(file: &str, bytes: &[u8]) -> Files {
    let mut files = demo_files();
    files.insert(file.to_owned(), bytes.to_vec());
    files
}

/// The cells of a file, the header first.
fn cells(files: &Files, file: &str) -> Vec<Vec<String>> {
    let reader = csv::ReaderBuilder::new().has_headers(false).from_reader(files[file].as_slice());
    let rows = reader.into_records();
    rows.map(|row| row.unwrap().iter().map(str::to_owned).collect()).collect()
}

fn written(rows: &[Vec<String>]) -> Vec<u8> {
    let mut writer = csv::Writer::from_writer(Vec::new());
    for row in rows {
        writer.write_record(row).unwrap();
    }
    writer.into_inner().unwrap()
}

/// Sets one column of every row whose first cell is as given.
fn set_cell(files: &mut Files, (file, first): (&str, &str), column: &str, value: &str) {
    let mut rows = cells(files, file);
    let index = rows[0].iter().position(|name| name == column).unwrap();
    let mut changed = 0;
    for row in rows.iter_mut().filter(|row| row[0] == first) {
        value.clone_into(&mut row[index]);
        changed += 1;
    }
    assert!(0 < changed, "{file} has no {first}");
    files.insert(file.to_owned(), written(&rows));
}

/// The demonstration files with one cell of one part's row set.
fn with_cell(file: &str, sku: &str, column: &str, value: &str) -> Files {
    let mut files = demo_files();
    set_cell(&mut files, (file, sku), column, value);
    files
}

fn faults(files: &Files) -> Vec<FileFault> {
    match read(files) {
        Ok(_) => panic!("the files were read without a fault"),
        Err(faults) => faults,
    }
}

fn only(files: &Files) -> FileFault {
    let mut found = faults(files);
    assert_eq!(found.len(), 1, "{found:#?}");
    found.remove(0)
}

/// The one fault of one cell.
fn check_cell(file: &str, sku: &str, (column, value): (&str, &str), allowed: &str) {
    let fault = only(&with_cell(file, sku, column, value));
    assert_eq!(&*fault.file, file);
    assert_eq!(fault.column.as_deref(), Some(column), "{fault}");
    assert!(fault.row.is_some_and(|row| 1 < row), "{fault}");
    assert!(fault.allowed.contains(allowed), "{fault}");
}

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
    assert_eq!(files.keys().collect::<Vec<_>>().len(), FILES.len());
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
fn all_faults_of_all_files_come_at_once() {
    let mut files = with_cell("bodies.csv", "SRW-B-ALAMO-350.600-BK", "width_mm", "12");
    for (file, sku, column, value) in [
        ("bodies.csv", "SRW-B-ALAMO-350.600-BK", "exponent", "steep"),
        ("bodies.csv", "SRW-B-ALAMO-350.600-CH", "filled", "true"),
        ("elements.csv", "SRW-E-GLEED-400-BK", "ip", "IP69K"),
        ("elements.csv", "SRW-E-GLEED-400-BK", "control_code", "??"),
        ("controls.csv", "SRW-C-KIST-13-WH", "load_w_max", "1e300"),
        ("prices.csv", "gb-2026", "unit_price", "1e300"),
    ] {
        set_cell(&mut files, (file, sku), column, value);
    }
    let found = faults(&files);
    let places: Vec<String> = found
        .iter()
        .filter(|fault| &*fault.file != "prices.csv")
        .map(|fault| format!("{} {}", fault.file, fault.column.as_deref().unwrap_or("-")))
        .collect();
    assert_eq!(
        places,
        [
            "bodies.csv exponent",
            "bodies.csv width_mm",
            "bodies.csv filled",
            "controls.csv load_w_max",
            "elements.csv control_code",
            "elements.csv ip",
        ]
    );
    let prices = found.iter().filter(|fault| &*fault.file == "prices.csv").count();
    assert!(400 < prices, "each wrong price of the list is named, {prices} were");
}

#[test]
fn a_fault_names_file_row_column_value_and_what_is_allowed() {
    let fault = only(&with_cell("bodies.csv", "SRW-B-ALAMO-350.600-CH", "width_mm", "12"));
    assert_eq!(
        fault.to_string(),
        "bodies.csv, row 3, column width_mm: \"12\": width of the body is 12 mm, allowed are 100 to 2000 mm"
    );
}

#[test]
fn a_cell_of_the_wrong_form_is_refused() {
    let body = "SRW-B-ALAMO-350.600-BK";
    check_cell("bodies.csv", body, ("finish", "Matt Black"), "lower-case");
    check_cell("bodies.csv", body, ("heat_source", "gas"), "electric, central_heating, dual_fuel");
    check_cell("bodies.csv", body, ("width_mm", "350.5"), "whole number");
    check_cell("bodies.csv", body, ("width_mm", "99999999999"), "whole number");
    check_cell("bodies.csv", body, ("exponent", "1.2345"), "three decimals");
    check_cell("bodies.csv", body, ("exponent", "NaN"), "decimal point");
    check_cell("bodies.csv", body, ("rated_output_w", "-5"), "allowed are 20 to 5000");
    check_cell("bodies.csv", body, ("filled", "1"), "yes or no");
    check_cell("bodies.csv", body, ("thread", "G 1/2"), "is not a thread");
    check_cell("bodies.csv", body, ("gtin", "2990000100611"), "check digit");
    check_cell("bodies.csv", body, ("name", ""), "a value is needed");
    check_cell("bodies.csv", body, ("evidence", "rumour"), "evidence mark");
    check_cell("bodies.csv", body, ("tube_count", "many"), "declared type, number");
    let element = "SRW-E-LUNT-600-WH";
    check_cell("elements.csv", element, ("thermal_cut_out", ""), "a value is needed");
    check_cell("elements.csv", element, ("declared_zones", "0 1"), "one of 1, 2");
    check_cell("elements.csv", element, ("class", "2"), "I, II, III");
    check_cell("elements.csv", element, ("sheath_diameter_mm", "12.25"), "a multiple of 0.1");
    check_cell("controls.csv", "SRW-C-KIST-13-WH", ("roles", "kettle"), "fused_connection_unit");
}

#[test]
fn a_row_that_contradicts_itself_is_refused() {
    let body = "SRW-B-ALAMO-350.600-BK";
    check_cell("bodies.csv", body, ("watts_max", "50"), "at least the smallest");
    check_cell("bodies.csv", body, ("lowest_tube_mm", "700"), "below the top");
    check_cell("bodies.csv", body, ("thread", "G 1/2 ext"), "internal thread");
    let fixed = "SRW-E-GLEED-400-BK";
    check_cell("elements.csv", fixed, ("set_point_max_c_lockable", "43"), "fixed element");
    check_cell("elements.csv", fixed, ("thread", "G 1/2 int"), "external thread");
    let adjustable = "SRW-E-LUNT-600-WH";
    check_cell("elements.csv", adjustable, ("set_point_c_min", ""), "lowest and highest");
    check_cell("elements.csv", adjustable, ("set_point_c_max", "25"), "at least the lowest");
    check_cell("elements.csv", adjustable, ("set_point_max_c_lockable", "80"), "between");
    check_cell("controls.csv", "SRW-C-KIST-13-WH", ("fuse_a_max", ""), "connection unit");
    check_cell("accessories.csv", "SRW-A-INHIB-100", ("pack_ml", ""), "inhibitor states it");
}

#[test]
fn a_byte_order_mark_semicolons_and_windows_line_ends_change_nothing() {
    let mut files = demo_files();
    for bytes in files.values_mut() {
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
fn a_column_of_the_keepers_own_must_be_declared() {
    let fault = only(&edited("attributes.csv", "body.tube_count,number,\n", ""));
    assert_eq!((&*fault.file, fault.row), ("bodies.csv", Some(1)));
    assert_eq!(fault.column.as_deref(), Some("tube_count"));
    let found = faults(&edited("attributes.csv", "body.tube_count", "body.rated_output_w"));
    assert!(found.iter().any(|wrong| wrong.allowed.contains("no typed attribute")));
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
fn a_part_number_stands_once_whatever_the_kind() {
    let files = edited("controls.csv", "SRW-C-KIST-13-WH,", "SRW-A-KEY-5,");
    let fault = only(&files);
    assert_eq!((&*fault.file, &*fault.value), ("accessories.csv", "SRW-A-KEY-5"));
    let found = faults(&edited("controls.csv", "SRW-C-KIST-13-WH,", "srw/kist\u{1f600},"));
    assert!(found[0].allowed.contains("is no SKU"), "{}", found[0]);
}

#[test]
fn a_price_stands_once_in_a_list_that_exists() {
    let line = "gb-2026,SRW-A-KEY-5,";
    let twice = format!("gb-2026,SRW-A-KEY-5,1.00\n{line}");
    assert!(
        only(&edited("prices.csv", line, &twice)).allowed.contains("list, sku tell the rows apart")
    );
    let elsewhere = only(&edited("prices.csv", line, "gb-2020,SRW-A-KEY-5,"));
    assert_eq!((elsewhere.column.as_deref(), &*elsewhere.value), (Some("list"), "gb-2020"));
    let backwards = only(&edited("price_lists.csv", "2026-12-31", "2025-12-31"));
    assert!(backwards.allowed.contains("not before the first"), "{backwards}");
}

#[test]
fn a_row_that_says_the_same_pair_again_is_named() {
    for (file, line) in [
        ("listed_pairs.csv", "finish,matt-black,anthracite\n"),
        ("thread_matings.csv", "NPT,Rc,no,none,none,memory\n"),
        ("included.csv", "SRW-B-HAAR-400.800-BK,SRW-A-VENT-G12-BK,2\n"),
    ] {
        let mut files = demo_files();
        let twice = format!("{}{line}", text(&files, file));
        files.insert(file.to_owned(), twice.into_bytes());
        let fault = only(&files);
        assert_eq!(&*fault.file, file);
        assert!(fault.allowed.contains("each stands once"), "{fault}");
    }
}

#[test]
fn a_fault_in_one_file_does_not_hide_those_of_another() {
    let mut files = edited("prices.csv", "gb-2026,SRW-A-KEY-5,", "gb-2020,SRW-A-KEY-5,");
    set_cell(&mut files, ("bodies.csv", "SRW-B-HAAR-400.800-BK"), "width_mm", "wide");
    let line = "SRW-B-HAAR-400.800-BK,SRW-A-KEY-SLOT,1\n";
    let included = format!("{}{line}", text(&files, "included.csv"));
    files.insert("included.csv".to_owned(), included.into_bytes());
    let found: Vec<String> = faults(&files).iter().map(|fault| fault.file.to_string()).collect();
    // The carton of the faulty body is not blamed for the body's own fault.
    assert_eq!(found, ["bodies.csv", "prices.csv"]);
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

/// The one fault of a rule that is written otherwise.
fn check_rule((from, to): (&str, &str), column: &str, allowed: &str) {
    let fault = only(&edited("rules.csv", from, to));
    assert_eq!(fault.column.as_deref(), Some(column), "{fault}");
    assert!(fault.allowed.contains(allowed), "{fault}");
}

#[test]
fn a_rule_of_unknown_attributes_or_values_is_named() {
    let when = "control.time_switch=yes; element.regulation=adjustable";
    check_rule((when, "control.time_switch=perhaps"), "when", "which is a flag");
    check_rule((when, "control.moon_phase=full"), "when", "control.moon_phase is none");
    check_rule((when, "control.time_switch"), "when", "an attribute, = and its value");
    check_rule(("element.watts,within", "watts,within"), "left", "a kind of part, a dot");
    check_rule(("body.finish,,finish,,", "body.finish,,,,"), "table", "pair table");
    check_rule(("body.watts_min body.watts_max", "body.watts_min watts"), "right", "a dot");
    check_rule((",body,electric,", ",rail,electric,"), "right", "body, element, control");
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
