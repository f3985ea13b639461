//! The committed description is the one that the program prints.

use std::fs;
use std::process::Command;

const COMMITTED: &str = concat!(env!("CARGO_MANIFEST_DIR"), "/openapi/v1.json");

#[test]
fn the_committed_description_is_what_the_program_prints() {
    let output = Command::new(env!("CARGO_BIN_EXE_rungwright")).arg("openapi").output().unwrap();
    assert!(output.status.success(), "{output:?}");
    let printed = String::from_utf8(output.stdout).unwrap();
    let committed = fs::read_to_string(COMMITTED).unwrap();
    let differs =
        committed.lines().zip(printed.lines()).zip(1..).find(|((old, new), _)| old != new);
    assert!(
        committed == printed,
        "openapi/v1.json has drifted, first at {differs:?}; if the change is meant: \
         cargo run -- openapi > openapi/v1.json"
    );
}
