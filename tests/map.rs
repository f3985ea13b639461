//! Reads the sources and fails where they leave the map of `DEVELOPERS.md`: layers, reading order, size, words.
//!
//! Each rule is one row of [`RULES`] and is itself proved on a bad sample, so that none can go quiet. Absent here: what
//! the compiler and its lints already refuse, and everything about what the code does.

#![expect(clippy::indexing_slicing, reason = "two words of a table of two")]
#![expect(clippy::unwrap_used, reason = "a test stops at the first surprise")]

use std::collections::BTreeMap;
use std::fs;
use std::path::Path;

/// Most lines of a file.
const FILE_LINES_MAX: usize = 400;

/// A layer and names to look for in it.
type OfLayer = (&'static str, &'static [&'static str]);

/// Which layers a layer may name besides itself. `http` does not name `store`: SQL is behind the operations.
const ARROWS: &[OfLayer] = &[
    ("main", &["cli"]),
    ("cli", &["http", "operations", "documents", "store", "domain"]),
    ("http", &["operations", "documents", "domain"]),
    ("operations", &["documents", "store", "domain"]),
    ("documents", &["domain"]),
    ("store", &["domain"]),
    ("domain", &[]),
];

/// Names that say nothing about what is inside.
const EMPTY_NAMES: &[&str] =
    &["utils", "util", "common", "models", "helpers", "services", "traits", "prelude"];

/// Words, or pairs of words, that a layer has no business with.
const FOREIGN: &[OfLayer] = &[
    ("domain", &["serde", "serde_json", "sqlx", "axum", "tokio", "tracing", "rand", "utoipa"]),
    ("domain", &["hyper", "tower", "async", "await", "SystemTime", "Instant", "now", "HashMap"]),
    ("domain", &["std::env", "std::fs", "std::io", "std::net", "std::process", "std::thread"]),
    (
        "domain",
        &["powf", "powi", "sqrt", "cbrt", "exp", "ln", "log10", "sin", "cos", "tan", "atan"],
    ),
    ("documents", &["sqlx", "axum", "tokio", "async", "await", "SystemTime", "now", "std::fs"]),
    ("store", &["axum", "utoipa", "hyper", "SystemTime", "Timestamp::now"]),
    ("operations", &["sqlx", "axum", "utoipa", "hyper", "SystemTime"]),
    ("http", &["sqlx", "SystemTime"]),
    ("cli", &["sqlx"]),
];

/// Marks of work left undone.
const UNDONE: &[&str] = &[concat!("TO", "DO"), concat!("FIX", "ME")];

/// A file as it stands, by its path from the top of the repository.
struct Source {
    path: String,
    text: String,
}

/// Modules of a module, in the order in which it lists them, by the joined path of the module.
type Lists = BTreeMap<String, Vec<String>>;
/// A line and the path that it names.
type Named<'a> = (usize, Vec<&'a str>);
type Rule = fn(&Source, &Lists) -> Vec<String>;

const RULES: &[(&str, Rule)] = &[
    ("layer", names_only_its_layers),
    ("order", names_only_modules_above),
    ("super", climbs_one_step_at_most),
    ("length", is_short),
    ("header", has_a_header),
    ("undone", leaves_nothing_undone),
    ("file name", has_a_telling_name),
    ("foreign", keeps_to_its_own_words),
    ("use", imports_one_path_a_line),
    ("orphan", is_listed),
];

impl Source {
    fn new(path: &str, text: &str) -> Self {
        Self { path: path.to_owned(), text: text.to_owned() }
    }

    /// Path of the module from the crate's root; the root itself has none.
    fn module(&self) -> Vec<&str> {
        let inner = self.path.strip_prefix("src/").unwrap_or(&self.path);
        let steps = inner.strip_suffix(".rs").unwrap_or(inner).split('/');
        steps.filter(|step| *step != "lib").collect()
    }

    /// Numbered lines without comments.
    fn code(&self) -> impl Iterator<Item = (usize, &str)> {
        let lines = (1..).zip(self.text.lines());
        lines
            .filter(|(_, line)| !line.trim_start().starts_with("//"))
            .map(|(number, line)| (number, line.split(" //").next().unwrap_or_default()))
    }

    /// Paths that the code names, from the crate's root, with the lines.
    fn named(&self) -> Vec<Named<'_>> {
        let mut named = Vec::new();
        let module = self.module();
        let parent = module.split_last().map_or(&[][..], |(_, parent)| parent);
        for (number, line) in self.code() {
            for path in line.split(|sign: char| !is_of_a_path(sign)) {
                let mut steps = path.split("::");
                let base = match steps.next() {
                    Some("crate" | "rungwright") => &[][..],
                    Some("super") => parent,
                    _ => continue,
                };
                named.push((number, base.iter().copied().chain(steps).collect()));
            }
        }
        named
    }

    fn offence(&self, number: usize, what: &str) -> String {
        format!("{}:{number}: {what}", self.path)
    }
}

fn is_of_a_path(sign: char) -> bool {
    sign.is_alphanumeric() || sign == '_' || sign == ':'
}

fn words(line: &str) -> impl Iterator<Item = &str> {
    line.split(|sign: char| !sign.is_alphanumeric() && sign != '_')
}

fn names_only_its_layers(source: &Source, _: &Lists) -> Vec<String> {
    let module = source.module();
    let Some(own) = module.first() else { return Vec::new() };
    let allowed = ARROWS.iter().find(|(layer, _)| layer == own).map(|(_, below)| *below);
    let Some(allowed) = allowed else {
        return vec![source.offence(1, "is in no layer of the map")];
    };
    let is_layer = |name: &&str| ARROWS.iter().any(|(layer, _)| layer == name);
    let named = source.named();
    let targets = named.iter().filter_map(|(number, path)| Some((number, path.first()?)));
    targets
        .filter(|(_, target)| is_layer(target) && *target != own && !allowed.contains(target))
        .map(|(number, target)| source.offence(*number, &format!("{own} names {target}")))
        .collect()
}

/// The list of modules in a file is their reading order. The root's own list is what [`ARROWS`] is about.
fn names_only_modules_above(source: &Source, lists: &Lists) -> Vec<String> {
    let module = source.module();
    let mut offences = Vec::new();
    for (number, path) in source.named() {
        let steps = module.iter().zip(&path);
        let shared: Vec<&str> =
            steps.take_while(|(own, other)| own == other).map(|(own, _)| *own).collect();
        let parent = shared.join("::");
        let (Some(own), Some(other)) = (module.get(shared.len()), path.get(shared.len())) else {
            continue;
        };
        let Some(list) = lists.get(&parent).filter(|_| !parent.is_empty()) else {
            continue;
        };
        let place = |name: &str| list.iter().position(|listed| listed == name);
        if place(own).zip(place(other)).is_some_and(|(own, other)| own < other) {
            offences.push(source.offence(number, &format!("{own} names {other}, below it")));
        }
    }
    offences
}

fn climbs_one_step_at_most(source: &Source, _: &Lists) -> Vec<String> {
    let climbs = source.code().filter(|(_, line)| line.contains("super::super"));
    climbs.map(|(number, _)| source.offence(number, "climbs two steps with `super`")).collect()
}

fn is_short(source: &Source, _: &Lists) -> Vec<String> {
    let count = source.text.lines().count();
    let what = format!("has {count} lines; {FILE_LINES_MAX} are the most");
    if count <= FILE_LINES_MAX { Vec::new() } else { vec![source.offence(count, &what)] }
}

fn has_a_header(source: &Source, _: &Lists) -> Vec<String> {
    let has = source.text.starts_with("//! ");
    if has { Vec::new() } else { vec![source.offence(1, "does not begin with a `//!` header")] }
}

fn leaves_nothing_undone(source: &Source, _: &Lists) -> Vec<String> {
    let lines = (1..).zip(source.text.lines());
    lines
        .filter(|(_, line)| words(line).any(|word| UNDONE.contains(&word)))
        .map(|(number, _)| source.offence(number, "leaves something undone"))
        .collect()
}

fn has_a_telling_name(source: &Source, _: &Lists) -> Vec<String> {
    let module = source.module();
    let is_empty = |name: &&&str| EMPTY_NAMES.contains(*name) || **name == "mod";
    let found = module.iter().find(is_empty);
    found.map(|name| source.offence(1, &format!("is named {name}"))).into_iter().collect()
}

fn keeps_to_its_own_words(source: &Source, _: &Lists) -> Vec<String> {
    let module = source.module();
    let rows = FOREIGN.iter().filter(|(layer, _)| module.first() == Some(layer));
    let foreign: Vec<&str> = rows.flat_map(|(_, foreign)| foreign.iter().copied()).collect();
    let mut offences = Vec::new();
    for (number, line) in source.code() {
        // The functions of `libm` give the same last bit everywhere; the platform's own do not.
        let line = line.replace("libm::", "libm_");
        let says = |word: &str| {
            let is_pair = word.contains("::");
            (is_pair && line.contains(word)) || words(&line).any(|said| said == word)
        };
        let found = foreign.iter().find(|word| says(word));
        offences.extend(found.map(|word| source.offence(number, &format!("says `{word}`"))));
    }
    offences
}

fn imports_one_path_a_line(source: &Source, _: &Lists) -> Vec<String> {
    let imports = source.code().filter(|(_, line)| line.contains("use crate::"));
    imports
        .filter(|(_, line)| {
            line.contains(['{', ',', '*']) || 1 < line.matches("use crate::").count()
        })
        .map(|(number, _)| source.offence(number, "imports more than one path in a line"))
        .collect()
}

fn is_listed(source: &Source, lists: &Lists) -> Vec<String> {
    let mut module = source.module();
    let Some(own) = module.pop().filter(|own| *own != "main") else { return Vec::new() };
    let list = lists.get(&module.join("::"));
    let is_listed = list.is_some_and(|list| list.iter().any(|listed| listed == own));
    if is_listed { Vec::new() } else { vec![source.offence(1, "is listed by no module")] }
}

fn lists(sources: &[Source]) -> Lists {
    let list = |source: &Source| {
        let lines = source.code().filter_map(|(_, line)| line.trim().strip_suffix(';'));
        lines.filter_map(|line| line.rsplit_once("mod ")).map(|(_, name)| name.to_owned()).collect()
    };
    sources.iter().map(|source| (source.module().join("::"), list(source))).collect()
}

/// Every Rust file below a folder, in the order of the paths.
fn read(folder: &str) -> Vec<Source> {
    let top = Path::new(env!("CARGO_MANIFEST_DIR"));
    let mut sources = Vec::new();
    let mut folders = vec![top.join(folder)];
    while let Some(next) = folders.pop() {
        for path in fs::read_dir(next).unwrap().map(|entry| entry.unwrap().path()) {
            if path.is_dir() {
                folders.push(path);
            } else if path.extension().is_some_and(|extension| extension == "rs") {
                let inner = path.strip_prefix(top).unwrap().to_str().unwrap();
                sources.push(Source::new(inner, &fs::read_to_string(&path).unwrap()));
            }
        }
    }
    sources.sort_by(|one, other| one.path.cmp(&other.path));
    sources
}

fn offences(sources: &[Source], names: &[&str]) -> Vec<String> {
    let lists = lists(sources);
    let rules = RULES.iter().filter(|(name, _)| names.is_empty() || names.contains(name));
    rules.flat_map(|(_, rule)| sources.iter().flat_map(|source| rule(source, &lists))).collect()
}

#[test]
fn the_sources_keep_to_the_map() {
    let sources = read("src");
    assert!(100 < sources.len(), "only {} files were read", sources.len());
    let found = offences(&sources, &[]);
    assert!(found.is_empty(), "{} offences:\n{}", found.len(), found.join("\n"));
}

/// Types of the description that share a name: it would know one of them.
fn described_twice(sources: &[Source]) -> Vec<String> {
    let mut known = BTreeMap::new();
    let mut twice = Vec::new();
    for source in sources {
        let mut is_described = false;
        for (number, line) in source.code() {
            is_described |= line.contains("ToSchema")
                && !["use ", "impl"].iter().any(|word| line.starts_with(word));
            let mut after = words(line).skip_while(|word| !["struct", "enum"].contains(word));
            let Some(name) = after.nth(1).filter(|_| is_described) else { continue };
            is_described = false;
            if let Some(first) = known.insert(name, &source.path) {
                twice.push(source.offence(number, &format!("{name} is in {first} as well")));
            }
        }
    }
    twice
}

#[test]
fn types_of_the_wire_have_names_of_their_own() {
    let sources = read("src");
    assert_eq!(described_twice(&sources), Vec::<String>::new());
    let sample =
        |path: &str| Source::new(path, "#[derive(Debug, ToSchema)]\npub struct RailView {");
    let found = described_twice(&[sample("src/http/one.rs"), sample("src/http/other.rs")]);
    assert_eq!(found, ["src/http/other.rs:2: RailView is in src/http/one.rs as well"]);
}

#[test]
fn the_tests_are_short_and_headed_and_leave_nothing_undone() {
    let sources: Vec<Source> = read("tests");
    assert!(20 < sources.len(), "only {} files were read", sources.len());
    let found = offences(&sources, &["length", "header", "undone"]);
    assert!(found.is_empty(), "{} offences:\n{}", found.len(), found.join("\n"));
}

/// Files that keep every rule; a bad sample is added to them.
fn good() -> Vec<Source> {
    let files = [
        (
            "src/lib.rs",
            "//! The map.\npub mod domain;\npub mod store;\npub mod operations;\npub mod http;\n",
        ),
        ("src/domain.rs", "//! Rules.\npub mod money;\npub mod heat;\npub mod quote;\n"),
        ("src/domain/money.rs", "//! Money. Serde and tokio are absent, and crate::http too.\n"),
        (
            "src/domain/heat.rs",
            "//! Heat.\nuse crate::domain::money::Money;\nfn f() { libm::exp(1.0); } // TOD\n",
        ),
        ("src/operations.rs", "//! Acts.\nuse crate::domain::heat;\nuse crate::store::Database;\n"),
    ];
    files.map(|(path, text)| Source::new(path, text)).into()
}

/// Adds one file to good ones and says what is found.
fn check(path: &str, text: &str) -> Vec<String> {
    // Spelt with a hyphen here, so that a search for work left undone does not find this file.
    let text = text.replace("TO-DO", UNDONE[0]).replace("FIX-ME", UNDONE[1]);
    let mut sources = good();
    sources.retain(|source| source.path != path);
    sources.push(Source::new(path, &text));
    offences(&sources, &[])
}

#[test]
fn good_files_are_let_through() {
    assert_eq!(offences(&good(), &[]), Vec::<String>::new());
}

#[test]
fn each_rule_finds_its_bad_sample_and_nothing_else_does() {
    let long = "//! Long.\n".repeat(401);
    let samples = [
        ("src/domain/money.rs", "//! M.\nuse crate::store::Database;\n", "2: domain names store"),
        ("src/domain/money.rs", "//! M.\nfn f(r: crate::http::Row) {}\n", "2: domain names http"),
        ("src/store.rs", "//! S.\nuse crate::documents::Plan;\n", "2: store names documents"),
        ("src/store.rs", "//! S.\nuse super::operations::App;\n", "2: store names operations"),
        ("src/http.rs", "//! H.\nuse crate::store::Database;\n", "2: http names store"),
        ("src/main.rs", "//! M.\nuse rungwright::http::Json;\n", "2: main names http"),
        ("src/domain/money.rs", "//! M.\nuse crate::domain::quote::Q;\n", "2: money names quote"),
        ("src/domain/heat.rs", "//! M.\nuse super::quote::Quote;\n", "2: heat names quote, below"),
        ("src/domain/heat.rs", "//! M.\nuse super::super::X;\n", "2: climbs two steps"),
        ("src/domain/heat.rs", &long, "401: has 401 lines"),
        ("src/domain/heat.rs", "use std::fmt;\n", "1: does not begin with"),
        ("src/domain/heat.rs", "//! M.\n// TO-DO later\n", "2: leaves something undone"),
        ("src/domain/heat.rs", "//! M. FIX-ME\n", "1: leaves something undone"),
        ("src/domain/heat.rs", "//! M.\nuse serde::Serialize;\n", "2: says `serde`"),
        ("src/domain/heat.rs", "//! M.\nuse std::env;\n", "2: says `std::env`"),
        ("src/domain/heat.rs", "//! M.\nlet t = SystemTime::now();\n", "2: says `SystemTime`"),
        ("src/domain/heat.rs", "//! M.\nlet t = 2.0_f64.powf(1.3);\n", "2: says `powf`"),
        ("src/operations.rs", "//! M.\nuse sqlx::Row;\n", "2: says `sqlx`"),
        ("src/operations.rs", "//! M.\nuse crate::domain::{a, b};\n", "2: imports more than one"),
        ("src/operations.rs", "//! M.\nuse crate::domain::*;\n", "2: imports more than one"),
        ("src/domain/lost.rs", "//! Lost.\n", "1: is listed by no module"),
    ];
    for (path, text, expected) in samples {
        let found = check(path, text);
        assert_eq!(found.len(), 1, "{path}: {expected}: {found:?}");
        assert!(found.concat().starts_with(&format!("{path}:{expected}")), "{expected}: {found:?}");
    }
}

#[test]
fn a_file_that_says_nothing_by_its_name_is_found() {
    for path in ["src/domain/utils.rs", "src/domain/heat/mod.rs", "src/http/helpers/a.rs"] {
        let found = check(path, "//! U.\n");
        assert!(found.iter().any(|offence| offence.contains(": is named ")), "{path}: {found:?}");
    }
    let found = check("src/quotes.rs", "//! In no layer.\n");
    assert!(found.concat().contains("is in no layer of the map"), "{found:?}");
}
