//! The demonstration's mating table, and the verdict made from it, against the table of the reference.
#![expect(clippy::indexing_slicing, reason = "columns and parts that must be there")]

use rungwright::domain::catalogue::Edition;
use rungwright::domain::catalogue::Mates;
use rungwright::domain::catalogue::ThreadMating;
use rungwright::domain::compatibility::Outcome;
use rungwright::domain::compatibility::check_thread;
use rungwright::domain::evidence::Evidence;
use rungwright::domain::thread::Thread;
use rungwright::domain::thread::ThreadForm;
use rungwright::domain::thread::ThreadSide;
use rungwright::domain::thread::ThreadSize;
use rungwright::store::demo::demo_edition;

/// A row of the reference: external forms, internal forms, whether they mate at one size, how it is known.
#[derive(Debug)]
struct Row {
    external: Vec<ThreadForm>,
    internal: Vec<ThreadForm>,
    mates: Mates,
    source: String,
}

fn forms(text: &str, side: &str) -> Vec<ThreadForm> {
    let forms = text.strip_suffix(side).unwrap().trim().split('/');
    forms.map(|form| ThreadForm::parse(form).unwrap()).collect()
}

/// The rows about one size; the last row of the file, about different sizes, is a test of its own.
fn rows() -> Vec<Row> {
    let text = include_str!("../fixtures/electrical/thread_mating.csv");
    let records = csv::Reader::from_reader(text.as_bytes()).into_records();
    let records = records.map(Result::unwrap).filter(|record| &record[2] != "different size");
    let row = |record: csv::StringRecord| Row {
        external: forms(&record[0], "ext"),
        internal: forms(&record[1], "int"),
        mates: Mates::parse(&record[3]).unwrap(),
        source: record[5].to_owned(),
    };
    records.map(row).collect()
}

/// The same, one external and one internal form at a time.
fn pairs() -> Vec<(ThreadForm, ThreadForm, Mates, String)> {
    let mut pairs = Vec::new();
    for Row { external, internal, mates, source } in rows() {
        for left in &external {
            pairs.extend(internal.iter().map(|right| (*left, *right, mates, source.clone())));
        }
    }
    pairs
}

fn edition() -> Edition {
    Edition::new(1, demo_edition().unwrap()).unwrap()
}

fn thread(form: ThreadForm, size: ThreadSize, end: ThreadSide) -> Thread {
    Thread::parse(&format!("{} {} {}", form.code(), size.code(), end.code())).unwrap()
}

/// How the demonstration's first body and element come out with these threads in place of their own.
fn outcome(edition: &Edition, port: Thread, boss: Thread) -> (Outcome, bool) {
    let mut body = edition.bodies()[0].clone();
    let mut element = edition.elements()[0].clone();
    body.ports.thread = port;
    element.shape.thread = boss;
    let finding = check_thread(edition, &body, &element);
    (finding.outcome, finding.refuses())
}

const fn expected(mates: Mates) -> (Outcome, bool) {
    match mates {
        Mates::Yes => (Outcome::Holds, false),
        Mates::Conditional => (Outcome::Warns, false),
        Mates::NotStandard => (Outcome::NotEstablished, true),
        Mates::No => (Outcome::Clashes, true),
    }
}

#[test]
fn the_demonstration_holds_every_row_of_the_reference_and_no_other() {
    let edition = edition();
    let of_reference = pairs();
    assert_eq!(of_reference.len(), edition.content().thread_matings.len());
    for (external, internal, mates, source) in of_reference {
        let is_it = |row: &&ThreadMating| row.external == external && row.internal == internal;
        let row = edition.content().thread_matings.iter().find(is_it);
        let row = row.unwrap_or_else(|| panic!("no row for {external:?} in {internal:?}"));
        assert_eq!(row.mates, mates, "{external:?} in {internal:?}: {source}");
        // What the reference remembers, the demonstration may not claim to have read.
        let is_remembered = source.contains("memory");
        let claims_read = matches!(row.source.evidence, Evidence::Read | Evidence::ReadSecondary);
        assert!(!(is_remembered && claims_read), "{row:?}: {source}");
    }
}

#[test]
fn every_joint_of_one_size_comes_out_as_the_reference_says() {
    let edition = edition();
    for (left, right, mates, source) in pairs() {
        for size in ThreadSize::ALL {
            let boss = thread(left, size, ThreadSide::External);
            let port = thread(right, size, ThreadSide::Internal);
            let found = outcome(&edition, port, boss);
            assert_eq!(found, expected(mates), "{boss} in {port}: {source}");
        }
    }
}

#[test]
fn different_sizes_never_mate_and_two_of_one_side_neither() {
    let edition = edition();
    for left in ThreadSize::ALL {
        let boss = thread(ThreadForm::G, left, ThreadSide::External);
        for right in ThreadSize::ALL {
            let port = thread(ThreadForm::G, right, ThreadSide::Internal);
            let (found, _) = outcome(&edition, port, boss);
            assert_eq!(found == Outcome::Holds, left == right, "{boss} in {port}");
            let same_side = thread(ThreadForm::G, right, ThreadSide::External);
            assert_eq!(outcome(&edition, same_side, boss), (Outcome::Clashes, true));
        }
    }
}

#[test]
fn a_pair_without_a_row_is_not_established_and_refused() {
    let edition = edition();
    let port = Thread::parse("NPT 1/2 int").unwrap();
    let boss = Thread::parse("NPT 1/2 ext").unwrap();
    assert_eq!(outcome(&edition, port, boss), (Outcome::NotEstablished, true));
}
