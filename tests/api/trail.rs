//! Keys and the audit trail on the command line, beside a running service; and no key in any log.

use std::fs;
use std::io::BufRead;
use std::io::BufReader;
use std::os::unix::fs::PermissionsExt;
use std::process::Stdio;
use std::thread::sleep;
use std::time::Duration;
use std::time::Instant;

use serde_json::Value;
use serde_json::json;

use crate::http_client::send;
use crate::process::Scratch;
use crate::process::failure;
use crate::process::make_key;
use crate::process::program;
use crate::process::run;
use crate::process::serve;
use crate::process::signal;
use crate::quoting::chosen;

fn printed(arguments: &[&str]) -> String {
    let output = run(arguments);
    assert_eq!(output.status.code(), Some(0), "{output:?}");
    String::from_utf8(output.stdout).unwrap()
}

fn status(address: &str, key: &str) -> u16 {
    let bearer = format!("Bearer {key}");
    send(address, "GET /v1/quotes", &[("authorization", &bearer)], "").unwrap().status
}

/// Waits for what another process changed to be seen.
fn becomes(address: &str, key: &str, expected: u16) {
    let started = Instant::now();
    while status(address, key) != expected {
        assert!(started.elapsed() < Duration::from_secs(10), "it stays {}", status(address, key));
        sleep(Duration::from_millis(50));
    }
}

#[test]
fn a_running_service_follows_the_keys_of_the_command_line_and_the_trail_tells_of_both() {
    let scratch = Scratch::new("trail");
    let database = scratch.file("catalogue.sqlite");
    let (mut child, address) = serve(&database, &["--demo"]);
    let key = make_key(&database, &["--account", "tern", "--scope", "quote"]);
    let secret = fs::metadata(format!("{database}.key-secret")).unwrap();
    assert_eq!(secret.permissions().mode() & 0o777, 0o600);
    becomes(&address, &key, 200);
    let bearer = format!("Bearer {key}");
    let head = [("authorization", bearer.as_str()), ("idempotency-key", "one")];
    let drafted = send(&address, "POST /v1/quotes", &head, &chosen().to_string()).unwrap();
    assert_eq!(drafted.status, 201, "{}", drafted.body);
    let id = key.split('_').nth(1).unwrap();
    let next = printed(&["keys", "rotate", id, "--overlap-hours", "1", "--database", &database]);
    becomes(&address, next.trim_end(), 200);
    assert_eq!(status(&address, &key), 200);
    printed(&["keys", "revoke", id, "--database", &database]);
    becomes(&address, &key, 401);
    signal(&child, "-TERM");
    assert_eq!(child.wait().unwrap().code(), Some(0));
    let listed = printed(&["keys", "list", "--database", &database]);
    let keys: Vec<Value> = listed.lines().map(|line| serde_json::from_str(line).unwrap()).collect();
    let old = keys.iter().find(|each| each["id"] == id).unwrap();
    assert_eq!((&old["state"], old["last_used_at"].is_string()), (&json!("revoked"), true));
    let exported = printed(&["audit", "export", "--database", &database]);
    let entries: Vec<Value> =
        exported.lines().map(|line| serde_json::from_str(line).unwrap()).collect();
    let deed = |entry: &Value| format!("{} {}", entry["actor"], entry["action"]).replace('"', "");
    let told: Vec<String> = entries.iter().map(deed).collect();
    assert_eq!(
        told,
        [
            "program edition-drafted".to_owned(),
            "program edition-checked".to_owned(),
            "program edition-published".to_owned(),
            "command-line key-made".to_owned(),
            format!("{id} quote-drafted"),
            "command-line key-made".to_owned(),
            "command-line key-rotated".to_owned(),
            "command-line key-revoked".to_owned(),
        ]
    );
    let digits = key.rsplit('_').next().unwrap();
    assert!(!exported.contains(digits) && !listed.contains(digits));
    let verified = printed(&["audit", "verify", "--database", &database]);
    let hash = entries[7]["hash"].as_str().unwrap();
    assert_eq!(verified, format!("8 entries hold together; head 8:{hash}\n"));
    let noted = format!("7:{}", entries[6]["hash"].as_str().unwrap());
    printed(&["audit", "verify", "--head", &noted, "--database", &database]);
    let wrong = noted.replacen("7:", "9:", 1);
    let refused = failure(run(&["audit", "verify", "--head", &wrong, "--database", &database]));
    assert!(refused.contains("entry 9 is not on the trail"), "{refused}");
}

#[test]
fn a_wrong_wish_for_a_key_is_one_sentence() {
    let scratch = Scratch::new("wrong-keys");
    let database = scratch.file("keys.sqlite");
    let create = |more: &[&str]| {
        let start = ["keys", "create", "--database", &database, "--label", "x", "--account"];
        failure(run(&[&start, more].concat()))
    };
    let revoke = || failure(run(&["keys", "revoke", "0123456789ab", "--database", &database]));
    for (told, because) in [
        (create(&["tern", "--scope", "browse"]), "name at least one"),
        (create(&["Tern House", "--scope", "quote"]), "lower-case letters"),
        (
            create(&["tern", "--scope", "browse", "--origin", "https://shop.example/"]),
            "is no origin",
        ),
        (revoke(), "there is no key"),
    ] {
        assert!(told.contains(because), "{told}");
    }
    fs::write(format!("{database}.key-secret"), "short").unwrap();
    assert!(revoke().contains("does not hold a secret"));
}

#[test]
fn no_key_is_in_the_log_however_much_is_logged() {
    let scratch = Scratch::new("secrets");
    let database = scratch.file("catalogue.sqlite");
    let log = scratch.file("log");
    let mut command = program();
    command.args(["serve", "--demo", "--listen", "127.0.0.1:0", "--database", &database]);
    command.env("RUST_LOG", "trace").stdout(Stdio::piped()).stderr(fs::File::create(&log).unwrap());
    let mut child = command.spawn().unwrap();
    let mut lines = BufReader::new(child.stdout.take().unwrap()).lines().map(Result::unwrap);
    let first = lines.next().unwrap();
    let address = first.split("http://").nth(1).unwrap().split_whitespace().next().unwrap();
    let demo = lines.find(|line| line.starts_with("rwkey_")).unwrap();
    let bearer = format!("Bearer {demo}");
    let order = json!({ "label": "x", "account": "tern", "scopes": ["quote"] }).to_string();
    let head = [("authorization", bearer.as_str())];
    let made = send(address, "POST /v1/keys", &head, &order).unwrap();
    assert_eq!(made.status, 201, "{}", made.body);
    let made = made.json()["secret"].as_str().unwrap().to_owned();
    assert_eq!(status(address, &made), 200);
    let (begin, _) = made.split_at(made.len() - 4);
    let unknown = format!("{begin}0000");
    assert_eq!(status(address, &unknown), 401);
    let query = format!("GET /v1/quotes?key={made}");
    assert_eq!(send(address, &query, &head, "").unwrap().status, 400);
    signal(&child, "-TERM");
    child.wait().unwrap();
    let log = fs::read_to_string(&log).unwrap();
    assert!(log.contains("DEBUG") && log.contains("request_id"), "nothing was logged");
    let secret = fs::read_to_string(format!("{database}.key-secret")).unwrap();
    for key in [&demo, &made, &unknown, &secret] {
        let digits = key.trim_end().rsplit('_').next().unwrap();
        // The unknown key differs in its last digits only, so what it begins with is looked for.
        assert!(!log.contains(digits.split_at(20).0), "a key is in the log");
    }
}
