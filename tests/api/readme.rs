//! What the README shows is what the program does: its example, its list of routes, the size of its glossary.

use std::io::Write;
use std::process::Command;
use std::process::Stdio;

use serde_json::Value;

use crate::demo::post_json;
use crate::description::described;

const README: &str = include_str!("../../README.md");

/// Most words of the glossary: a reader learns no more than that.
const WORDS_MAX: usize = 30;

/// The JSON blocks, in their order: each a request or the answer to the one before it.
fn examples() -> Vec<Value> {
    let blocks = README.split("```json\n").skip(1);
    blocks.map(|block| serde_json::from_str(block.split("```").next().unwrap()).unwrap()).collect()
}

/// The example whose request has a field, and its answer.
fn example(field: &str) -> [Value; 2] {
    let all = examples();
    let place = all.iter().position(|block| block.get(field).is_some()).unwrap();
    [all[place].clone(), all[place + 1].clone()]
}

/// Whether everything shown stands in the real value: fields by name, items of a list in their order.
fn shows_only(shown: &Value, real: &Value) -> bool {
    match (shown, real) {
        (Value::Object(shown), Value::Object(real)) => shown
            .iter()
            .all(|(name, value)| real.get(name).is_some_and(|field| shows_only(value, field))),
        (Value::Array(shown), Value::Array(real)) => {
            let mut rest = real.iter();
            shown.iter().all(|value| rest.any(|item| shows_only(value, item)))
        }
        _ => shown == real,
    }
}

/// First cells of the rows of the table under a heading, without its head.
fn rows(heading: &str) -> Vec<Vec<&str>> {
    let section = README.split(&format!("\n## {heading}\n")).nth(1).unwrap();
    let section = section.split("\n## ").next().unwrap();
    let rows = section.lines().filter(|line| line.starts_with('|')).skip(2);
    rows.map(|line| line.trim_matches('|').split('|').map(str::trim).collect()).collect()
}

#[test]
fn the_example_is_answered_as_shown() {
    let [request, shown] = example("market");
    let mut command = Command::new(env!("CARGO_BIN_EXE_rungwright"));
    command.args(["resolve", "--json", "-"]).env_remove("RUNGWRIGHT_DATABASE");
    let mut child = command.stdin(Stdio::piped()).stdout(Stdio::piped()).spawn().unwrap();
    child.stdin.take().unwrap().write_all(request.to_string().as_bytes()).unwrap();
    let output = child.wait_with_output().unwrap();
    let real: Value = serde_json::from_slice(&output.stdout).unwrap();
    assert!(shows_only(&shown, &real), "the README no longer shows what is answered: {real:#}");
    let mut wrong = shown;
    wrong["options"][0]["total"]["gross"] = "0.01".into();
    assert!(!shows_only(&wrong, &real), "a wrong total would not be noticed");
}

#[tokio::test]
async fn the_choices_are_those_shown() {
    let [request, shown] = example("chosen");
    let real = post_json("/v1/choices", &request).await;
    assert!(shows_only(&shown, &real), "the README no longer shows what can be chosen: {real:#}");
    let mut wrong = shown;
    wrong["attributes"][0]["values"][0]["bills"] = 1.into();
    assert!(!shows_only(&wrong, &real), "a wrong count would not be noticed");
}

#[test]
fn the_table_of_routes_is_the_list_of_routes() {
    let description = described();
    let mut described = Vec::new();
    for (path, methods) in description["paths"].as_object().unwrap() {
        let methods = methods.as_object().unwrap().keys();
        described.extend(methods.map(|method| format!("{} `{path}`", method.to_uppercase())));
    }
    let mut shown: Vec<_> =
        rows("Routes").iter().map(|row| format!("{} {}", row[0], row[1])).collect();
    described.sort();
    shown.sort();
    assert_eq!(shown, described);
}

#[test]
fn the_glossary_can_be_learnt() {
    let words = rows("Words");
    assert!(10 < words.len() && words.len() <= WORDS_MAX, "{} words", words.len());
}
