//! Countries' wiring rules: the rows of `wiring_rules`, `wiring_shapes`, `wiring_rows` and `wiring_conflicts`.

use std::collections::BTreeMap;

use sqlx::SqliteConnection;
use sqlx::sqlite::SqliteRow;

use crate::domain::catalogue::EditionContent;
use crate::domain::ip_code::IpCode;
use crate::domain::protection::ProtectionClass;
use crate::domain::zones::EquipmentKind;
use crate::domain::zones::Zone;
use crate::domain::zones::rules::CircuitRules;
use crate::domain::zones::rules::PlaceRule;
use crate::domain::zones::rules::ProtectiveDevice;
use crate::domain::zones::rules::Refusal;
use crate::domain::zones::rules::Requirements;
use crate::domain::zones::rules::ResidualDuty;
use crate::domain::zones::rules::Ruling;
use crate::domain::zones::rules::WiringRules;
use crate::store::error::StoreError;

use super::fields::Fields;
use super::lists::load_rows;
use super::rows::Cell;
use super::rows::NewRow;
use super::rows::Table;
use super::rows::position;
use super::shapes;

/// Rows of the four tables; no table at all for an edition without rules, whose hash is then what it was before there
/// were such tables.
pub(super) fn tables(content: &EditionContent) -> Result<Vec<Table>, StoreError> {
    let rules = &content.wiring_rules;
    if rules.is_empty() {
        return Ok(Vec::new());
    }
    let of_all = rules.iter().flat_map(|rules| {
        let rows = rules.rows.iter().enumerate();
        rows.map(move |(index, row)| rule_cells(rules, position(index), row))
    });
    Ok(vec![
        Table { insert: INSERT_RULES, rows: rules.iter().map(cells).collect::<Result<_, _>>()? },
        shapes::rows(rules),
        Table { insert: INSERT_ROWS, rows: of_all.collect() },
        Table { insert: INSERT_CONFLICTS, rows: rules.iter().flat_map(conflict_rows).collect() },
    ])
}

const INSERT_RULES: &str = "INSERT INTO wiring_rules (edition, code, title, rules_edition, valid_from, valid_until, \
     places, source, evidence, residual, residual_source, residual_evidence, device, device_source, device_evidence, \
     bonding, bonding_source, bonding_evidence) ";
const INSERT_ROWS: &str = "INSERT INTO wiring_rows (edition, rules_code, position, kinds, zones, ruling, refusal, \
     permanent, declared, unit_outside, ip, ip_jets, classes, height_min_mm, from_zone1_min_mm, caution, source, \
     evidence) ";
const INSERT_CONFLICTS: &str =
    "INSERT INTO wiring_conflicts (edition, rules_code, concern, position, sentence) ";

fn cells(rules: &WiringRules) -> Result<Vec<Cell>, StoreError> {
    let circuit = &rules.circuit;
    let new = NewRow { table: "wiring_rules", key: &rules.id };
    let places: Vec<Box<str>> = rules.places.iter().map(|place| place.as_str().into()).collect();
    Ok(vec![
        rules.id.as_str().into(),
        rules.title.as_str().into(),
        rules.edition.as_str().into(),
        rules.valid_from.as_deref().into(),
        rules.valid_until.as_deref().into(),
        new.words("places", &places)?,
        (*rules.source.text).into(),
        rules.source.evidence.code().into(),
        circuit.residual.code().into(),
        (*circuit.residual_source.text).into(),
        circuit.residual_source.evidence.code().into(),
        circuit.device.code().into(),
        (*circuit.device_source.text).into(),
        circuit.device_source.evidence.code().into(),
        circuit.bonding.as_str().into(),
        (*circuit.bonding_source.text).into(),
        circuit.bonding_source.evidence.code().into(),
    ])
}

fn rule_cells(rules: &WiringRules, position: Cell, row: &PlaceRule) -> Vec<Cell> {
    let nothing = Requirements::default();
    let (ruling, refusal, asked) = match &row.ruling {
        Ruling::Refused(refusal) => ("refused", Some(refusal.code()), &nothing),
        Ruling::Allowed(asked) => ("allowed", None, asked),
        Ruling::NotEstablished => ("not-established", None, &nothing),
    };
    vec![
        rules.id.as_str().into(),
        position,
        joined(&row.kinds, |kind| kind.code()),
        joined(&row.zones, |zone| zone.code()),
        ruling.into(),
        refusal.into(),
        asked.permanent.into(),
        asked.declared.into(),
        asked.unit_outside.into(),
        asked.ip.map(|code| code.to_string()).into(),
        asked.ip_jets.map(|code| code.to_string()).into(),
        joined(&asked.classes, |class| class.code()),
        asked.height_min_mm.into(),
        asked.from_zone1_min_mm.into(),
        asked.caution.as_deref().into(),
        (*row.source.text).into(),
        row.source.evidence.code().into(),
    ]
}

fn joined<T>(values: &[T], code: impl Fn(&T) -> &'static str) -> Cell {
    values.iter().map(code).collect::<Vec<_>>().join(" ").into()
}

fn conflict_rows(rules: &WiringRules) -> Vec<Vec<Cell>> {
    let lists = [("rules", &rules.conflicts), ("drawing", &rules.drawing_conflicts)];
    let of_list = |(concern, sentences): (&'static str, &Vec<String>)| {
        let row = move |(index, sentence): (usize, &String)| {
            let place = position(index);
            vec![rules.id.as_str().into(), concern.into(), place, sentence.as_str().into()]
        };
        sentences.iter().enumerate().map(row).collect::<Vec<_>>()
    };
    lists.into_iter().flat_map(of_list).collect()
}

type Rows = BTreeMap<String, Vec<PlaceRule>>;
/// By rules and concern.
type Conflicts = BTreeMap<(String, String), Vec<String>>;

/// The wiring rules of an edition.
pub(super) async fn load(
    connection: &mut SqliteConnection,
    edition: u32,
) -> Result<Vec<WiringRules>, StoreError> {
    let select = "SELECT * FROM wiring_rules WHERE edition = ? ORDER BY code";
    let found = load_rows(connection, select, edition).await?;
    let mut shapes = shapes::load(connection, edition).await?;
    let mut rows = load_rules(connection, edition).await?;
    let mut conflicts = load_conflicts(connection, edition).await?;
    let mut all = Vec::new();
    for row in &found {
        let mut rules = read(row)?;
        rules.regime = shapes.remove(&rules.id);
        rules.rows = rows.remove(&rules.id).unwrap_or_default();
        let mut of = |concern: &str| conflicts.remove(&(rules.id.clone(), concern.to_owned()));
        (rules.conflicts, rules.drawing_conflicts) =
            (of("rules").unwrap_or_default(), of("drawing").unwrap_or_default());
        all.push(rules);
    }
    Ok(all)
}

async fn load_rules(connection: &mut SqliteConnection, edition: u32) -> Result<Rows, StoreError> {
    let select = "SELECT * FROM wiring_rows WHERE edition = ? ORDER BY rules_code, position";
    let mut rows = Rows::new();
    for row in &load_rows(connection, select, edition).await? {
        let fields = Fields::new("wiring_rows", "rules_code", row);
        rows.entry(fields.text("rules_code")?.into()).or_default().push(read_rule(fields)?);
    }
    Ok(rows)
}

async fn load_conflicts(
    connection: &mut SqliteConnection,
    edition: u32,
) -> Result<Conflicts, StoreError> {
    let select = "SELECT * FROM wiring_conflicts WHERE edition = ? ORDER BY rules_code, position";
    let mut conflicts = Conflicts::new();
    for row in &load_rows(connection, select, edition).await? {
        let fields = Fields::new("wiring_conflicts", "rules_code", row);
        let key = (fields.text("rules_code")?.into(), fields.text("concern")?.into());
        conflicts.entry(key).or_default().push(fields.text("sentence")?.into());
    }
    Ok(conflicts)
}

fn read(row: &SqliteRow) -> Result<WiringRules, StoreError> {
    let fields = Fields::new("wiring_rules", "code", row);
    let day = |column| Ok(fields.text_if_any(column)?.map(String::from));
    let places: Vec<Box<str>> = fields.words("places")?;
    Ok(WiringRules {
        id: fields.text("code")?.into(),
        title: fields.text("title")?.into(),
        edition: fields.text("rules_edition")?.into(),
        valid_from: day("valid_from")?,
        valid_until: day("valid_until")?,
        places: places.into_iter().map(String::from).collect(),
        source: fields.source("source", "evidence")?,
        regime: None,
        rows: Vec::new(),
        circuit: CircuitRules {
            residual: fields.word("residual", ResidualDuty::parse)?,
            residual_source: fields.source("residual_source", "residual_evidence")?,
            device: fields.word("device", ProtectiveDevice::parse)?,
            device_source: fields.source("device_source", "device_evidence")?,
            bonding: fields.text("bonding")?.into(),
            bonding_source: fields.source("bonding_source", "bonding_evidence")?,
        },
        conflicts: Vec::new(),
        drawing_conflicts: Vec::new(),
        is_stand_in: false,
    })
}

fn read_rule(fields: Fields<'_>) -> Result<PlaceRule, StoreError> {
    Ok(PlaceRule {
        kinds: fields.word("kinds", |text| parsed(text, EquipmentKind::parse))?,
        zones: fields.word("zones", |text| parsed(text, Zone::parse))?,
        ruling: match &*fields.text("ruling")? {
            "refused" => Ruling::Refused(fields.word("refusal", Refusal::parse)?),
            "allowed" => Ruling::Allowed(requirements(fields)?),
            _ => Ruling::NotEstablished,
        },
        source: fields.source("source", "evidence")?,
    })
}

fn requirements(fields: Fields<'_>) -> Result<Requirements, StoreError> {
    let ip = |column| fields.word_if_any(column, |text| IpCode::parse(text).ok());
    Ok(Requirements {
        permanent: fields.flag("permanent")?,
        declared: fields.flag("declared")?,
        unit_outside: fields.flag("unit_outside")?,
        ip: ip("ip")?,
        ip_jets: ip("ip_jets")?,
        classes: fields.word("classes", |text| parsed(text, ProtectionClass::parse))?,
        height_min_mm: fields.number_if_any("height_min_mm")?,
        from_zone1_min_mm: fields.number_if_any("from_zone1_min_mm")?,
        caution: fields.text_if_any("caution")?.map(String::from),
    })
}

/// The values of words separated by spaces, when each is known.
fn parsed<T>(text: &str, parse: impl Fn(&str) -> Option<T>) -> Option<Vec<T>> {
    text.split_whitespace().map(parse).collect()
}
