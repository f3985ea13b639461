//! Threads against the published table of sizes.

use rungwright::domain::thread::Thread;
use rungwright::domain::thread::ThreadSize;

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
