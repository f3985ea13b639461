//! IP codes against the implication matrix and the check vectors of IEC 60529.

use rungwright::domain::ip_code::Implication;
use rungwright::domain::ip_code::IpCode;

const SOURCE: &str = "IEC 60529 clause 6 (read in part, numerals 7 to 9 from memory)";

fn expected(letter: &str) -> Implication {
    match letter {
        "Y" => Implication::Yes,
        "U" => Implication::NotStated,
        "N" => Implication::No,
        other => panic!("unknown expectation {other:?}"),
    }
}

fn check(declared: &str, required: &str, letter: &str) {
    let answer = IpCode::parse(declared).unwrap().implies(&IpCode::parse(required).unwrap());
    assert_eq!(answer, expected(letter), "{declared} -> {required}: {SOURCE}");
}

#[test]
fn every_cell_of_the_water_matrix_holds() {
    let text = include_str!("../fixtures/electrical/ip_water_implication.csv");
    let mut reader = csv::Reader::from_reader(text.as_bytes());
    let columns = reader.headers().unwrap().clone();
    let mut cells = 0_u32;
    for row in reader.records() {
        let row = row.unwrap();
        for (column, letter) in columns.iter().zip(row.iter()).skip(1) {
            check(&format!("IP{}", &row[0]), &format!("IP{column}"), letter);
            cells += 1;
        }
    }
    assert_eq!(cells, 100_u32);
}

#[test]
fn every_check_vector_holds() {
    let text = include_str!("../fixtures/electrical/ip_cases.csv");
    let rows: Vec<_> = csv::Reader::from_reader(text.as_bytes()).into_records().collect();
    assert_eq!(rows.len(), 14);
    for row in rows {
        let row = row.unwrap();
        check(&row[0], &row[1], &row[2]);
    }
}
