//! What goes out comes back: export and import in every form, changes, decimal commas, and cells that look like formulas.

use std::collections::BTreeMap;

use proptest::prelude::*;
use rungwright::domain::catalogue::AttributeDeclaration;
use rungwright::domain::catalogue::AttributeName;
use rungwright::domain::catalogue::EditionContent;
use rungwright::domain::catalogue::PartKind;
use rungwright::domain::catalogue::SampleRequest;
use rungwright::domain::catalogue::Thousandths;
use rungwright::domain::catalogue::Value;
use rungwright::domain::catalogue::ValueType;
use rungwright::domain::money::UnitPrice;
use rungwright::store::catalogue_files::Upload;
use rungwright::store::content_hash;
use rungwright::store::demo::demo_edition;
use rungwright::store::demo::demo_files;

use crate::edits::Files;
use crate::edits::set_cell;
use crate::edits::text;

/// Sends a content out and in again in each form, and compares the hashes.
fn check_round_trip(content: &EditionContent) {
    let hash = content_hash(content).unwrap();
    let out = Upload::of_content(content);
    let document = serde_json::to_vec(&out.json()).unwrap();
    let back = [
        ("files", Upload::of_files(&out.files())),
        ("archive", Upload::of_zip(&out.zip().unwrap())),
        ("document", Upload::of_json(&document)),
    ];
    for (form, upload) in back {
        let read = upload.content(None).unwrap_or_else(|faults| panic!("{form}: {faults:#?}"));
        assert_eq!(content_hash(&read).unwrap(), hash, "{form}");
    }
}

#[test]
fn the_demonstration_goes_out_and_comes_back_with_the_same_hash() {
    let mut content = demo_edition().unwrap();
    let request = r#"{"market":"gb","heat_requirement_w":300.5}"#.into();
    content.samples.push(SampleRequest { name: "family".into(), request });
    check_round_trip(&content);
}

/// Texts that a spreadsheet, a CSV reader or a JSON reader might trip over.
fn awkward() -> impl Strategy<Value = String> {
    let inner = prop::sample::select(vec![
        "=",
        "+",
        "-",
        "@",
        "'",
        "\"",
        ",",
        ";",
        "#",
        "\u{e9}",
        "\u{1f6bf}",
        "a",
        "1",
        ".",
        "=1+1",
        "-1.5",
        "''",
        "x y",
    ]);
    prop::collection::vec(inner, 1..8).prop_map(|parts| parts.concat().trim().to_owned())
}

#[derive(Debug, Clone)]
struct Edit {
    place: usize,
    name: String,
    number: i64,
    words: Vec<String>,
    price: i64,
}

fn edits() -> impl Strategy<Value = Vec<Edit>> {
    let several = prop::collection::vec("[a-z'=+-]{1,6}", 0..4);
    let edit = (any::<usize>(), awkward(), -9_999_999_i64..9_999_999, several, 0_i64..99_999_999);
    let edit = edit.prop_map(|(place, name, number, words, price)| Edit {
        place,
        name,
        number,
        words,
        price,
    });
    prop::collection::vec(edit, 1..12)
}

/// The demonstration with some names, attributes and prices of its own.
fn edited(edits: &[Edit]) -> EditionContent {
    let mut content = demo_edition().unwrap();
    for (name, value_type) in
        [("remark", ValueType::Text), ("offset", ValueType::Number), ("woods", ValueType::Words)]
    {
        let attribute = AttributeName { kind: PartKind::Body, name: name.into() };
        content.attributes.push(AttributeDeclaration { attribute, value_type, unit: "".into() });
    }
    for edit in edits {
        let count = content.bodies.len();
        let body = &mut content.bodies[edit.place % count];
        if !edit.name.is_empty() {
            body.card.name = edit.name.as_str().into();
            body.card.attributes.insert("remark".into(), Value::text(&edit.name));
        }
        let number = Value::Number(Thousandths::new(edit.number));
        body.card.attributes.insert("offset".into(), number);
        if !edit.words.is_empty() {
            let words = edit.words.iter().map(|word| word.as_str().into()).collect();
            body.card.attributes.insert("woods".into(), Value::Words(words));
        }
        let list = &mut content.price_lists[edit.place % 2];
        let price = list.prices.values_mut().nth(edit.place % 50).unwrap();
        *price = UnitPrice::new(edit.price);
    }
    content
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 12, ..ProptestConfig::default() })]

    #[test]
    fn a_random_edition_goes_out_and_comes_back_with_the_same_hash(edits in edits()) {
        check_round_trip(&edited(&edits));
    }
}

fn check_no_formula(file: &str, bytes: &[u8]) {
    let mut reader = csv::ReaderBuilder::new().has_headers(false).from_reader(bytes);
    for cell in
        reader.records().flat_map(|row| row.unwrap().iter().map(str::to_owned).collect::<Vec<_>>())
    {
        let is_number = Thousandths::parse(&cell).is_some();
        assert!(is_number || !cell.starts_with(['=', '+', '-', '@']), "{file}: {cell}");
    }
}

#[test]
fn no_cell_of_an_export_begins_like_a_formula() {
    let edit =
        |name: &str| Edit { place: 3, name: name.into(), number: -5, words: Vec::new(), price: 1 };
    for name in ["=HYPERLINK(\"x\")", "+1+1", "-1+1", "@SUM(A1)", "'quoted"] {
        let files = Upload::of_content(&edited(&[edit(name)])).files();
        let tables = files.iter().filter(|(file, _)| !file.contains("json"));
        for (file, bytes) in tables {
            check_no_formula(file, bytes);
        }
        check_round_trip(&edited(&[edit(name)]));
    }
}

/// The demonstration's bodies with semicolons, decimal commas, a byte order mark and the line that declares them.
fn with_commas() -> Files {
    let mut files = demo_files();
    let rows = crate::edits::cells(&files, "bodies.csv");
    let numbers = ["rated_output_w", "exponent", "watts_min", "watts_max", "fluid_limit_c"];
    let columns: Vec<usize> =
        (0..rows[0].len()).filter(|index| numbers.contains(&rows[0][*index].as_str())).collect();
    let mut written = "\u{feff}# decimal: comma;;;;\r\n".to_owned();
    for row in &rows {
        let cells: Vec<String> = row
            .iter()
            .enumerate()
            .map(
                |(index, cell)| {
                    if columns.contains(&index) { cell.replace('.', ",") } else { cell.clone() }
                },
            )
            .collect();
        written.push_str(&cells.join(";"));
        written.push_str("\r\n");
    }
    files.insert("bodies.csv".into(), written.into_bytes());
    files
}

#[test]
fn decimal_commas_are_read_when_the_file_declares_them() {
    let content = Upload::of_files(&with_commas()).content(None).unwrap();
    assert_eq!(content_hash(&content).unwrap(), content_hash(&demo_edition().unwrap()).unwrap());
}

#[test]
fn a_point_among_declared_commas_is_a_fault_and_not_a_thousand() {
    let mut files = with_commas();
    let bodies = text(&files, "bodies.csv").replacen("1,229", "1.229", 1);
    files.insert("bodies.csv".into(), bodies.into_bytes());
    let faults = Upload::of_files(&files).content(None).unwrap_err();
    assert_eq!(faults.len(), 1, "{faults:#?}");
    assert_eq!(
        faults[0].to_string(),
        "bodies.csv, row 3, column exponent: \"1.229\": a number with a decimal comma, as the file declares, and no point in it"
    );
}

#[test]
fn an_unknown_first_line_is_a_fault_that_says_what_may_stand_there() {
    let files =
        BTreeMap::from([("prices.csv".to_owned(), b"# thousands: dot\nlist,sku\n".to_vec())]);
    let faults = Upload::of_files(&files).content(None).unwrap_err();
    let told = faults.iter().find(|fault| &*fault.file == "prices.csv").unwrap().to_string();
    assert!(told.contains("# decimal: comma or # decimal: point"), "{told}");
}

fn changes(files: &[(&str, &str)]) -> Upload {
    let files = files.iter().map(|(name, text)| ((*name).to_owned(), text.as_bytes().to_vec()));
    Upload::of_files(&files.collect())
}

#[test]
fn a_change_touches_the_cells_that_it_names_and_no_others() {
    let base = demo_edition().unwrap();
    let upload = changes(&[("bodies.csv", "sku,watts_max\nSRW-B-ALAMO-350.600-BK,250\n")]);
    let changed = upload.content(Some(&base)).unwrap();
    let mut expected = demo_files();
    set_cell(&mut expected, ("bodies.csv", "SRW-B-ALAMO-350.600-BK"), "watts_max", "250");
    let edited = Upload::of_files(&expected).content(None).unwrap();
    assert_eq!(content_hash(&changed).unwrap(), content_hash(&edited).unwrap());
}

#[test]
fn no_change_at_all_gives_the_same_hash() {
    let base = demo_edition().unwrap();
    let same = Upload::default().content(Some(&base)).unwrap();
    assert_eq!(content_hash(&same).unwrap(), content_hash(&base).unwrap());
}

#[test]
fn a_removed_part_takes_its_prices_and_its_carton_along() {
    let base = demo_edition().unwrap();
    let removals = "file,key\nbodies.csv,SRW-B-ALAMO-350.600-BK\n";
    let edition = changes(&[("removals.csv", removals)]).edition(Some(&base)).unwrap();
    let sku = base.bodies.iter().find(|body| body.card.sku.as_str() == "SRW-B-ALAMO-350.600-BK");
    let sku = sku.unwrap().card.sku.clone();
    assert_eq!(edition.bodies().len(), base.bodies.len() - 1);
    assert!(edition.content().price_lists.iter().all(|list| !list.prices.contains_key(&sku)));
}

#[test]
fn a_removal_of_nothing_and_a_removal_that_leaves_a_reference_hanging_are_named_with_their_rows() {
    let base = demo_edition().unwrap();
    let faults =
        changes(&[("removals.csv", "file,key\nbodies.csv,NO-SUCH\n")]).edition(Some(&base));
    let faults = faults.unwrap_err();
    assert_eq!(faults.len(), 1);
    assert!(
        faults[0].to_string().starts_with("removals.csv, row 2, column key: \"NO-SUCH\""),
        "{}",
        faults[0]
    );
    let vent = "file,key\naccessories.csv,SRW-A-VENT-G12-BK\n";
    let hanging = changes(&[("removals.csv", vent)]).edition(Some(&base)).unwrap_err();
    assert!(hanging.iter().all(|fault| &*fault.file == "included.csv"), "{hanging:#?}");
    assert!(
        hanging.iter().all(|fault| fault.column.as_deref() == Some("accessory")),
        "{hanging:#?}"
    );
}

#[test]
fn what_does_not_hang_together_is_told_with_file_row_and_column() {
    let mut files = demo_files();
    set_cell(&mut files, ("bodies.csv", "SRW-B-ALAMO-350.600-BK"), "finish", "gold");
    let prices = format!("{}gb-2026,SRW-X-1,1.00\n", text(&files, "prices.csv"));
    let row = prices.lines().count();
    files.insert("prices.csv".into(), prices.into_bytes());
    let faults = Upload::of_files(&files).edition(None).unwrap_err();
    let told: Vec<String> = faults.iter().map(ToString::to_string).collect();
    assert_eq!(told.len(), 2, "{told:#?}");
    assert!(told[0].starts_with("bodies.csv, row 2, column finish: \"gold\""), "{}", told[0]);
    assert!(
        told[1].starts_with(&format!("prices.csv, row {row}, column sku: \"SRW-X-1\"")),
        "{}",
        told[1]
    );
}

#[test]
fn a_rule_that_compares_a_number_with_a_text_is_refused_where_it_stands() {
    let mut files = demo_files();
    set_cell(
        &mut files,
        ("rules.csv", "element-within-watts"),
        "right",
        "body.watts_min body.finish",
    );
    let faults = Upload::of_files(&files).edition(None).unwrap_err();
    assert_eq!(faults.len(), 1, "{faults:#?}");
    assert_eq!(
        faults[0].to_string(),
        "rules.csv, row 3, column right: \"body.watts_min body.finish\": rule element-within-watts compares element.watts, a number, by within with body.finish, a text"
    );
}
