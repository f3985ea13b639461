//! The readers of catalogues on made-up and damaged bytes, for a bounded number of cases: no panic, no more faults than
//! are counted, and nothing that is read although it is damaged beyond its marks.

use std::collections::BTreeMap;

use proptest::prelude::*;
use rungwright::store::catalogue_files::FAULTS_MAX;
use rungwright::store::catalogue_files::FILES;
use rungwright::store::catalogue_files::Upload;
use rungwright::store::demo::demo_edition;
use rungwright::store::demo::demo_files;

/// A place, how many bytes go, and what comes instead.
type Damage = (prop::sample::Index, usize, Vec<u8>);

fn damage() -> impl Strategy<Value = Vec<Damage>> {
    let marks = prop::sample::select(vec![
        b"\"".to_vec(),
        b"\n".to_vec(),
        b",".to_vec(),
        b";".to_vec(),
        b"\xff".to_vec(),
        b"#".to_vec(),
        b"'=".to_vec(),
        b"{".to_vec(),
        b"]".to_vec(),
        b"\\u0000".to_vec(),
        b"1e300".to_vec(),
        b"-".to_vec(),
    ]);
    let bytes = prop_oneof![marks, prop::collection::vec(any::<u8>(), 0..12)];
    prop::collection::vec((any::<prop::sample::Index>(), 0_usize..20, bytes), 1..6)
}

fn damaged(mut bytes: Vec<u8>, damage: &[Damage]) -> Vec<u8> {
    for (place, gone, come) in damage {
        let start = place.index(bytes.len().max(1)).min(bytes.len());
        let end = (start + gone).min(bytes.len());
        bytes.splice(start..end, come.iter().copied());
    }
    bytes
}

/// Reads, as a whole and as changes; whatever comes out, it comes out.
fn check_reads<R: Fn() -> Upload>(read: R) {
    let demo = demo_edition().unwrap();
    for base in [None, Some(&demo)] {
        if let Err(faults) = read().edition(base) {
            assert!(!faults.is_empty() && faults.len() <= FAULTS_MAX);
            assert!(faults.iter().all(|fault| fault.value.chars().count() <= 81));
        }
    }
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 8, ..ProptestConfig::default() })]

    #[test]
    fn damaged_tables_are_read_or_refused(file in prop::sample::select(FILES.to_vec()), damage in damage()) {
        let mut files = demo_files();
        let bytes = files.remove(file).unwrap();
        files.insert(file.to_owned(), damaged(bytes, &damage));
        check_reads(|| Upload::of_files(&files));
    }

    #[test]
    fn damaged_documents_are_read_or_refused(damage in damage()) {
        let document = serde_json::to_vec(&Upload::of_content(&demo_edition().unwrap()).json()).unwrap();
        let bytes = damaged(document, &damage);
        check_reads(|| Upload::of_json(&bytes));
    }

    #[test]
    fn damaged_archives_are_read_or_refused(damage in damage()) {
        let archive = Upload::of_content(&demo_edition().unwrap()).zip().unwrap();
        let bytes = damaged(archive, &damage);
        check_reads(|| Upload::of_zip(&bytes));
    }
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 64, ..ProptestConfig::default() })]

    #[test]
    fn any_bytes_at_all_are_read_or_refused(bytes in prop::collection::vec(any::<u8>(), 0..400)) {
        drop(Upload::of_json(&bytes).edition(None));
        drop(Upload::of_zip(&bytes).edition(None));
        drop(Upload::of_files(&BTreeMap::from([("rules.csv".to_owned(), bytes)])).edition(None));
    }
}
