//! Rule rows, finish pairs and thread matings of the made-up catalogues: what a keeper would load.

use rungwright::domain::catalogue::*;
use rungwright::domain::evidence::Evidence;
use rungwright::domain::evidence::Source;
use rungwright::domain::thread::ThreadForm;

use super::FINISHES;

pub(super) fn matings() -> Vec<ThreadMating> {
    [(ThreadForm::G, Mates::Yes), (ThreadForm::Rp, Mates::Conditional)]
        .map(|(internal, mates)| ThreadMating {
            external: ThreadForm::G,
            internal,
            mates,
            seal: "on a face".into(),
            source: Source::new("made up", Evidence::Invented),
        })
        .into()
}

pub(super) fn pairs(finishes: usize) -> Vec<ListedPair> {
    let pair = |table: &str, left: &str, right: &str| ListedPair {
        table: table.into(),
        left: left.into(),
        right: right.into(),
    };
    let mut rows: Vec<ListedPair> = (0..finishes)
        .map(|number| pair("finish", FINISHES[number], FINISHES[(number * 5 + 1) % finishes]))
        .collect();
    rows.push(pair("plug-thread", "G 1/2 ext", "G 1/2 int"));
    rows.push(pair("plug-thread", "G 3/4 ext", "G 3/4 int"));
    // A keeper's slip: ports are named with their side, so that no plug fits one of these and the body is not sold.
    rows.push(pair("plug-thread", "R 1/2 ext", "Rp 1/2"));
    rows
}

/// Accessories that are seen beside the body, and the code of the rule about their finish.
const BY_FINISH: [(&str, &str); 6] = [
    ("plug-cover-finish", "plug_cover"),
    ("bracket-finish", "bracket"),
    ("hook-finish", "hook"),
    ("shelf-finish", "shelf"),
    ("flex-cover-finish", "flex_cover"),
    ("wall-plate-finish", "wall_plate"),
];

pub(super) fn rules() -> Vec<Rule> {
    use Relation::*;
    let name = |text: &str| {
        let (kind, name) = text.split_once('.').unwrap();
        AttributeName { kind: PartKind::parse(kind).unwrap(), name: name.into() }
    };
    let of = |text: &str| Right::Attribute(name(text));
    let kind = |word: &str| vec![When { attribute: name("accessory.kind"), is: Value::text(word) }];
    let yes = |text: &str| When { attribute: name(text), is: Value::Flag(true) };
    let fixed = Right::Constant(PartKind::Control, Value::text("fixed"));
    let electric = Right::Constant(PartKind::Body, Value::text("electric"));
    let resuming = Right::Constant(PartKind::Control, Value::Flag(true));
    let range = Right::Range(name("body.watts_min"), name("body.watts_max"));
    let adjustable = When { attribute: name("element.regulation"), is: Value::text("adjustable") };
    let mut rows = vec![
        ("body-not-electric", "body.heat_source", Equal, electric, vec![]),
        ("element-within-watts", "element.watts", Within, range, vec![]),
        (
            "element-longer",
            "element.immersed_length_mm",
            AtMost,
            of("body.immersed_length_mm_max"),
            vec![],
        ),
        ("sheath-wider", "element.sheath_diameter_mm", AtMost, of("body.bore_mm"), vec![]),
        ("element-finish", "element.finish", ListedPair, of("body.finish"), vec![]),
        ("plug-thread", "accessory.thread", ListedPair, of("body.thread"), kind("plug_cover")),
        ("overloaded", "element.watts", AtMost, of("control.load_w_max"), vec![]),
        ("thermostat", "element.regulation", Equal, fixed, vec![yes("control.wall_thermostat")]),
        (
            "time-switch",
            "element.resumes_after_power_cut",
            Equal,
            resuming,
            vec![yes("control.time_switch"), adjustable],
        ),
    ];
    for (code, word) in BY_FINISH {
        rows.push((code, "accessory.finish", ListedPair, of("body.finish"), kind(word)));
    }
    for (code, word) in
        [("bracket-tube", "bracket"), ("hook-tube", "hook"), ("shelf-tube", "shelf")]
    {
        rows.push((code, "accessory.tube", Equal, of("body.tube"), kind(word)));
    }
    rows.into_iter()
        .map(|(code, left, relation, right, when)| Rule {
            code: code.into(),
            left: name(left),
            relation,
            right,
            table: (relation == ListedPair)
                .then(|| if code == "plug-thread" { "plug-thread" } else { "finish" }.into()),
            when,
            severity: Severity::Refuse,
            sentence: "Made up.".into(),
            source: Source::new("made up", Evidence::Invented),
        })
        .collect()
}
