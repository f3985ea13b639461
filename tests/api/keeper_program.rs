//! The keeper's day with the real program: export, edit a cell, import, read the consequence, publish while others read,
//! roll back.

use std::fs;
use std::sync::atomic::AtomicBool;
use std::sync::atomic::Ordering;
use std::thread;

use serde_json::Value;

use crate::http_client::send;
use crate::process::Scratch;
use crate::process::run;
use crate::running::Program;

const ELEMENT: &str = "/v1/elements/SRW-E-DIMRI-400-BK?market=gb";

fn told(arguments: &[&str]) -> String {
    let output = run(arguments);
    assert!(output.status.success(), "{arguments:?}: {}", String::from_utf8_lossy(&output.stderr));
    String::from_utf8(output.stdout).unwrap()
}

fn get(address: &str, path: &str) -> Value {
    let reply = send(address, &format!("GET {path}"), &[], "").unwrap();
    assert_eq!(reply.status, 200, "{}", reply.body);
    reply.json()
}

fn publish(address: &str, number: u32) -> u16 {
    send(address, &format!("POST /v1/editions/{number}/publication"), &[], "").unwrap().status
}

/// Tells the readers to stop when it goes.
struct Ending<'a>(&'a AtomicBool);

impl Drop for Ending<'_> {
    fn drop(&mut self) {
        self.0.store(true, Ordering::Relaxed);
    }
}

/// Reads until told to stop; gives the editions seen and the requests that failed.
fn read(address: &str, stop: &AtomicBool) -> (Vec<u64>, usize) {
    let (mut seen, mut failed) = (Vec::new(), 0);
    while !stop.load(Ordering::Relaxed) {
        match send(address, "GET /v1/bodies?limit=1", &[], "") {
            Some(reply) if reply.status == 200 => {
                seen.push(reply.json()["edition"].as_u64().unwrap());
            }
            Some(_) | None => failed += 1,
        }
    }
    seen.dedup();
    (seen, failed)
}

/// Exports the edition in force and edits one price in its files.
fn export_with_another_price(database: &str, folder: &str) {
    told(&["export", folder, "--database", database]);
    let prices = format!("{folder}/prices.csv");
    let text = fs::read_to_string(&prices).unwrap();
    let row = "gb-2026,SRW-E-DIMRI-400-BK,83.95";
    assert!(text.contains(row));
    fs::write(&prices, text.replace(row, "gb-2026,SRW-E-DIMRI-400-BK,84.55")).unwrap();
}

#[test]
fn a_cell_is_edited_imported_compared_published_under_load_and_rolled_back() {
    let scratch = Scratch::new("keeper");
    let (database, folder) = (scratch.file("keeper.sqlite"), scratch.file("catalogue"));
    let program = Program::start(&database);
    let address = program.address().to_owned();
    export_with_another_price(&database, &folder);

    let report = told(&["import", &folder, "--database", &database]);
    for line in [
        "Checks: passed.",
        "Against edition 1:",
        "  prices: 0 added, 0 removed, 1 changed",
        "  pairs of body and element: 0 newly fit, 0 no longer fit (0 bodies)",
        "  sample family-bathroom: other_price, 268.80 GBP -> 269.52 GBP",
    ] {
        assert!(report.lines().any(|found| found == line), "{line}: {report}");
    }
    assert_eq!(get(&address, ELEMENT)["price"]["unit_net"], "83.95");

    let stop = AtomicBool::new(false);
    let results = thread::scope(|scope| {
        // Also when an assertion below fails, or the readers would read on for ever.
        let ending = Ending(&stop);
        let readers: Vec<_> = (0..3).map(|_| scope.spawn(|| read(&address, &stop))).collect();
        thread::sleep(std::time::Duration::from_millis(300));
        assert_eq!(publish(&address, 2), 200);
        assert_eq!(get(&address, ELEMENT)["price"]["unit_net"], "84.55");
        thread::sleep(std::time::Duration::from_millis(300));
        assert_eq!(publish(&address, 1), 200);
        assert_eq!(get(&address, ELEMENT)["price"]["unit_net"], "83.95");
        thread::sleep(std::time::Duration::from_millis(100));
        drop(ending);
        readers.into_iter().map(|reader| reader.join().unwrap()).collect::<Vec<_>>()
    });
    for (seen, failed) in &results {
        assert_eq!(*failed, 0, "{seen:?}");
        // Each reader sees the editions in their order, and none twice in a row.
        assert!([1, 2, 1].starts_with(seen) || seen == &[1], "{seen:?}");
    }
    assert!(results.iter().any(|(seen, _)| seen == &[1, 2, 1]), "{results:?}");
    assert_eq!(get(&address, &format!("{ELEMENT}&edition=2"))["price"]["unit_net"], "84.55");
    program.kill();
}

#[test]
fn a_faulty_folder_is_refused_with_every_fault_and_a_table_beside_it() {
    let scratch = Scratch::new("faulty");
    let (database, folder) = (scratch.file("a.sqlite"), scratch.file("catalogue"));
    told(&["export", &folder]);
    told(&["import", &folder, "--database", &database, "--publish"]);
    let bodies = format!("{folder}/bodies.csv");
    let text = fs::read_to_string(&bodies).unwrap();
    fs::write(&bodies, text.replacen("matt-black,round-22", "Matt Black,round-22", 3)).unwrap();
    let table = scratch.file("faults.csv");
    let output =
        run(&["import", &folder, "--database", &database, "--publish", "--report", &table]);
    assert_eq!(output.status.code(), Some(1));
    let errors = String::from_utf8(output.stderr).unwrap();
    assert!(
        errors.ends_with("nothing was loaded, because the catalogue has 3 faults\n"),
        "{errors}"
    );
    assert_eq!(fs::read_to_string(&table).unwrap().lines().count(), 4);
    // The edition that was there is there still, and goes out as it came in.
    let again = scratch.file("again.json");
    told(&["export", &again, "--form", "json", "--database", &database]);
    let report = told(&["import", &again, "--database", &database]);
    assert!(
        report.contains("Against edition 1:\n  pairs of body and element: 0 newly fit"),
        "{report}"
    );
}

#[test]
fn what_the_command_line_publishes_a_running_service_answers_from_by_itself() {
    let scratch = Scratch::new("follow");
    let (database, folder) = (scratch.file("follow.sqlite"), scratch.file("catalogue"));
    let program = Program::start(&database);
    let address = program.address().to_owned();
    export_with_another_price(&database, &folder);
    assert_eq!(get(&address, ELEMENT)["price"]["unit_net"], "83.95");
    told(&["import", &folder, "--database", &database, "--publish"]);
    // It looks once a second; the rest is time for a machine that is busy.
    let answers = (0..200).any(|_| {
        thread::sleep(std::time::Duration::from_millis(100));
        get(&address, ELEMENT)["price"]["unit_net"] == "84.55"
    });
    assert!(answers, "the service never took the new edition");
    program.kill();
}
