//! Made-up catalogues of the size of a maker's own: out as files and in again, and through the checks before publication.

use rungwright::domain::catalogue::Edition;
use rungwright::domain::review::passes;
use rungwright::domain::review::review;
use rungwright::operations::Held;
use rungwright::store::catalogue_files::Upload;
use rungwright::store::catalogue_files::read;
use rungwright::store::content_hash;

use crate::generator;

#[test]
fn a_made_up_catalogue_goes_out_as_files_comes_back_the_same_and_passes_the_checks() {
    for (parts, seed) in [(100, 3), (1_000, 7), (1_000, 2026), (3_000, 1)] {
        let content = generator::content(parts, seed);
        let hash = content_hash(&content).unwrap();
        let back = read(&Upload::of_content(&content).files());
        let back = back.unwrap_or_else(|faults| panic!("{parts} parts, {seed}: {faults:#?}"));
        assert_eq!(content_hash(&back).unwrap(), hash, "{parts} parts, {seed}");

        let held = Held::of(Edition::new(1, back).unwrap()).unwrap();
        let known: Vec<&str> = held.wiring_rules.iter().map(|rules| &*rules.id).collect();
        let findings = review(&held.catalogue, &known);
        assert!(passes(&findings), "{parts} parts, {seed}: {findings:#?}");
        assert_eq!(held.lists().count(), 1, "{parts} parts, {seed}");
    }
}
