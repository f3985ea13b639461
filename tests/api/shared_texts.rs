//! The texts that bills share are the bytes that would be written without sharing.

use std::ffi::OsStr;
use std::path::Path;

use jiff::civil::Date;
use rungwright::domain::compatibility::Check;
use rungwright::domain::compatibility::Finding;
use rungwright::http::json::Draft;
use rungwright::http::resolutions;
use rungwright::http::resolutions::NewResolution;
use rungwright::http::resolutions::ResolutionView;
use rungwright::operations::Snapshot;
use rungwright::operations::start;

/// The same answer, with every check made for it alone.
fn unshared(mut view: ResolutionView) -> ResolutionView {
    if let ResolutionView::Resolved(resolved) = &mut view {
        for check in resolved.options.iter_mut().flat_map(|option| &mut option.checks) {
            check.0 = Check::from(Finding::clone(&check.0));
        }
    }
    view
}

#[test]
fn shared_texts_are_the_bytes_that_the_serialiser_writes() {
    let snapshot = Snapshot::of(start::demo().unwrap(), Date::constant(2026, 12, 1));
    let mut shared = 0;
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/fixtures/requests");
    for entry in std::fs::read_dir(folder).unwrap() {
        let path = entry.unwrap().path();
        if path.extension() != Some(OsStr::new("json")) {
            continue;
        }
        let body = std::fs::read(&path).unwrap();
        let Ok(order) = Draft::<NewResolution>::parse(&body) else { continue };
        let Ok(view) = resolutions::resolve(&snapshot, order) else { continue };
        if let ResolutionView::Resolved(resolved) = &view {
            let checks = resolved.options.iter().flat_map(|option| &option.checks);
            shared += checks.filter(|check| matches!(check.0, Check::Kept(_))).count();
        }
        let first = serde_json::to_string(&view).unwrap();
        // The second time the texts are there already.
        assert_eq!(serde_json::to_string(&view).unwrap(), first, "{}", path.display());
        assert_eq!(serde_json::to_string(&unshared(view)).unwrap(), first, "{}", path.display());
    }
    assert_ne!(shared, 0, "no request of the fixtures shows anything that is shared");
}
