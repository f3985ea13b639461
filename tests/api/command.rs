//! `resolve` on the command line: bills to read, the answer of the interface, refusals.

use std::fs;
use std::io::Write;
use std::process::Output;
use std::process::Stdio;

use serde_json::Value;
use serde_json::json;

use crate::demo::with;
use crate::process::Scratch;
use crate::process::dated;
use crate::process::failure;
use crate::process::program;
use crate::process::resolve_over_http;
use crate::process::run;
use crate::process::serve;
use crate::process::signal;

#[test]
fn a_request_file_is_resolved_to_a_bill_to_read() {
    let scratch = Scratch::new("bill");
    let file = scratch.file("order.json");
    fs::write(&file, dated().to_string()).unwrap();
    let output = run(&["resolve", &file]);
    assert!(output.status.success() && output.stderr.is_empty());
    let bill = String::from_utf8(output.stdout).unwrap();
    let first = bill.split("\nOption 2").next().unwrap();
    insta::assert_snapshot!(first, @"
    Edition 1, market gb, price list gb-2026
    Heat required: 313.3 W (steady_state); the quick rule says 494.0 W
      ! The local wiring code and a licensed electrician decide; have this confirmed by the installing electrician.
      ! Thermal bridges are not counted; in an old or a well insulated home they matter.
      ! Some figures of the sum were stated by the asker or are stand-ins; each step names its source.
      ! The steady-state sum of 313.3 W governs. The quick rule (100 W per m2, common practice, no source) gives 494.0 W and is shown for comparison only.

    Option 1: 268.80 GBP with tax, 329.2 W delivered (15.9 W to spare), 25 days
        1 x SRW-B-OOTAD-400.1100-BK      Ootadaeks 400 x 1100 matt black                     99.90
              matt-black body; with this element it gives 329.2 W in a room of 22 °C, 313.3 W are required
        4 x SRW-A-BRKT-ROUND-25-BK       Wall bracket for round 25 mm tube, matt black    included
              comes in the body's carton
        1 x SRW-A-KEY-5                  Vent key, 5 mm square                            included
              comes in the body's carton
        1 x SRW-A-VENT-G12-BK            Vent plug cover G 1/2, matt black                included
              comes in the body's carton
        1 x SRW-E-DIMRI-400-BK           Dimriv 400 W matt black                             83.95
              400 W, adjustable, held at 65 °C
        1 x SRW-C-KIST-3-WH              Kist fused connection unit, 3 A, white               7.20
              connects the flex to the fixed wiring, with a fuse and a switch
        2 x SRW-A-PLUG-G12-BK            Plug cover G 1/2, matt black                         6.90
              closes the ports left open
        1 x SRW-A-FLEX-1000-BK           Flex cover 1000 mm, matt black                      14.40
              no loose flex where children, vulnerable people or the public come
        1 x SRW-A-INHIB-100              Fill inhibitor, 100 ml                               4.86
              treats a fill of 3.6 l
        1 x SRW-A-HOOK-ROUND-25-BK       Hook for round 25 mm tube, matt black                6.79
              wished for
                                                                                    net     224.00
                                                                               tax 20 %      44.80
                                                                                  gross     268.80
      ! Children, vulnerable people or the public use this room: the person responsible assesses the risk on the spot. No rail is safe for everybody.
      ! The body comes empty: fill it, treat the fill and leave room for expansion before the element is ever switched on. An element that is switched on dry is destroyed and may burn.
      ! The position is allowed on a condition: a residual current device of at most 30 mA on the circuit.
      ! Great Britain keeps the older Regulation 2015/1188 (from memory). Whether it covers towel rails is not established here, so no control function is demanded on its account.
      ! The local wiring code and a licensed electrician decide; have this confirmed by the installing electrician.
      ! Water freezes at 0 °C and can burst the body in an unheated home.
      ! The local wiring rules and a licensed electrician decide on connection and first switching on; this answer replaces neither, nor the maker's own instructions.
      ! The installer locks the set point at 65 °C; the output is taken at it.
      ! The pressure leaves out air that comes out of the fluid and gas from corrosion, so the true one can be higher. It counts the body as rigid.
      ! The surface can reach 65 °C. Where a vulnerable person may touch it, guidance (HSE HSG220, quoted second-hand) asks for no more than 43 °C; held there, the pair gives 135 W in this room, 34 % of the rated output.
      ! The element is rated 400 W, the body sheds 329.2 W at its set point: that is what the room gets.
    ");
}

#[test]
fn the_answer_as_json_is_that_of_the_interface() {
    let scratch = Scratch::new("json");
    let file = scratch.file("order.json");
    fs::write(&file, dated().to_string()).unwrap();
    let output = run(&["resolve", &file, "--json"]);
    assert!(output.status.success() && output.stderr.is_empty());
    let printed: Value = serde_json::from_slice(&output.stdout).unwrap();
    let (mut child, address) = serve(&scratch.file("catalogue.sqlite"), &["--demo"]);
    let answered: Value = serde_json::from_str(&resolve_over_http(&address)).unwrap();
    assert_eq!(printed, answered);
    // From the database that the service filled, too, while the service runs.
    let database = scratch.file("catalogue.sqlite");
    let stored = run(&["resolve", &file, "--json", "--database", &database]);
    assert_eq!(serde_json::from_slice::<Value>(&stored.stdout).unwrap(), answered);
    signal(&child, "-KILL");
    child.wait().unwrap();
}

/// The output for a request on standard input.
fn resolve_from_input(order: &str) -> Output {
    let mut command = program();
    command.args(["resolve", "-", "--json"]);
    command.stdin(Stdio::piped()).stdout(Stdio::piped()).stderr(Stdio::piped());
    let mut child = command.spawn().unwrap();
    child.stdin.take().unwrap().write_all(order.as_bytes()).unwrap();
    child.wait_with_output().unwrap()
}

#[test]
fn a_request_is_read_from_standard_input() {
    let output = resolve_from_input(&dated().to_string());
    assert!(output.status.success() && output.stderr.is_empty());
    let answer: Value = serde_json::from_slice(&output.stdout).unwrap();
    assert_eq!(answer["outcome"], "resolved");
}

#[test]
fn an_impossible_request_is_an_answer_and_no_failure() {
    let order = with(dated(), "/preferences/finish", json!("sea-green"));
    let output = resolve_from_input(&order.to_string());
    assert!(output.status.success() && output.stderr.is_empty());
    let answer: Value = serde_json::from_slice(&output.stdout).unwrap();
    assert_eq!(answer["outcome"], "impossible");
}

#[test]
fn a_refused_request_is_told_with_all_its_wrong_fields() {
    let mut order = with(dated(), "/room/width_mm", json!(0));
    order = with(order, "/preferences/finish", json!("puce"));
    order = with(order, "/colour", json!("red"));
    insta::assert_snapshot!(failure(resolve_from_input(&order.to_string())), @r#"rungwright: the request in - was refused: /room/width_mm: width of the room is 0 mm, allowed are 300 to 20000 mm; /colour: there is no field colour here; /preferences/finish: there is no finish "puce"; there are: anthracite, brushed-brass, brushed-steel, matt-black, polished-chrome, sea-green, white"#);
    insta::assert_snapshot!(failure(resolve_from_input("")), @"rungwright: the request in - was refused: the body is empty, a JSON object is expected");
    insta::assert_snapshot!(failure(resolve_from_input("{")), @"rungwright: the request in - was refused: the JSON ends too early, at line 1 column 1");
    insta::assert_snapshot!(failure(run(&["resolve", "no-such-file.json"])), @"rungwright: could not read the request in no-such-file.json: No such file or directory (os error 2)");
    let early = with(dated(), "/price_date", json!("2020-01-01"));
    insta::assert_snapshot!(failure(resolve_from_input(&early.to_string())), @"rungwright: the request in - was refused: no retail price list of gb holds on 2020-01-01");
}
