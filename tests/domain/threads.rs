//! Threads against the published table of sizes.

use rungwright::domain::catalogue::Edition;
use rungwright::domain::compatibility::Outcome;
use rungwright::domain::compatibility::check_thread;
use rungwright::domain::thread::Thread;
use rungwright::domain::thread::ThreadSize;
use rungwright::store::demo;

const SOURCE: &str = "ISO 228-1 and ISO 7-1, tables read";

fn micrometres(text: &str) -> u32 {
    let (whole, fraction) = text.split_once('.').unwrap_or((text, ""));
    format!("{whole}{fraction:0<3}").parse().unwrap()
}

#[test]
fn every_size_has_the_published_measures() {
    let text = include_str!("../fixtures/electrical/threads.csv");
    let rows: Vec<_> = csv::Reader::from_reader(text.as_bytes()).into_records().collect();
    assert_eq!(rows.len(), ThreadSize::ALL.len());
    for row in rows {
        let row = row.unwrap();
        let name = &row[0];
        let size = ThreadSize::parse(&row[1]).unwrap();
        let measures = size.measures();
        assert_eq!(measures.nominal_bore_mm.to_string(), row[2], "{name}: {SOURCE}");
        assert_eq!(measures.major_um, micrometres(&row[3]), "{name}: {SOURCE}");
        assert_eq!(measures.per_inch.to_string(), row[7], "{name}: {SOURCE}");
        assert_eq!(measures.gauge_length_um, micrometres(&row[9]), "{name}: {SOURCE}");
        for designation in name.split(" / ") {
            let thread = Thread::parse(&format!("{designation} ext")).unwrap();
            assert_eq!(thread.size(), size, "{designation}");
        }
    }
}

#[test]
fn a_text_that_is_no_thread_is_refused() {
    for text in [
        "",
        "G",
        "G 1/2",
        "G 5/8 ext",
        "R 1/2 int",
        "Rp 1/2 ext",
        "Rc 1/2 A",
        "M 16 ext",
        "NPT 1/2",
    ] {
        assert!(Thread::parse(text).is_err(), "{text:?}");
    }
}

#[test]
fn printing_a_thread_and_reading_it_again_gives_the_thread() {
    for text in ["G 1/2 ext", "G 1 1/4 int", "R 3/4 ext", "Rp 1 int", "Rc 1/8 int", "NPT 1/2 int"] {
        assert_eq!(Thread::parse(text).unwrap().to_string(), text);
    }
}

fn outcome(edition: &Edition, port: &str, boss: &str) -> Outcome {
    let mut body = edition.content().bodies.first().unwrap().clone();
    let mut element = edition.content().elements.first().unwrap().clone();
    body.ports.thread = Thread::parse(port).unwrap();
    element.shape.thread = Thread::parse(boss).unwrap();
    check_thread(edition, &body, &element).outcome
}

#[test]
fn every_row_of_the_mating_table_decides_the_joint_of_the_catalogue_that_ships() {
    let edition = Edition::new(1, demo::demo_edition().unwrap()).unwrap();
    let table = include_str!("../fixtures/electrical/thread_mating.csv");
    let mut pairs = 0;
    for row in csv::Reader::from_reader(table.as_bytes()).into_records().map(Result::unwrap) {
        if &row[2] == "different size" {
            assert_eq!(&row[3], "no (reducer needed)", "{row:?}");
            assert_eq!(outcome(&edition, "G 3/4 int", "G 1/2 ext"), Outcome::Clashes, "{row:?}");
            continue;
        }
        let expected = match &row[3] {
            "yes" => Outcome::Holds,
            "conditional" => Outcome::Warns,
            "not_standard" => Outcome::NotEstablished,
            "no" => Outcome::Clashes,
            other => panic!("unknown answer {other:?}"),
        };
        let external = row[0].strip_suffix(" ext").unwrap();
        for internal in row[1].strip_suffix(" int").unwrap().split('/') {
            let (port, boss) = (format!("{internal} 1/2 int"), format!("{external} 1/2 ext"));
            assert_eq!(outcome(&edition, &port, &boss), expected, "{boss} into {port}: {row:?}");
            pairs += 1;
        }
    }
    assert_eq!(pairs, edition.content().thread_matings.len());
}
