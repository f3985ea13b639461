//! A circuit as it comes over the wire.

use serde::Deserialize;
use utoipa::ToSchema;

use crate::domain::catalogue::Edition;
use crate::domain::catalogue::Element;
use crate::domain::supply::Circuit;
use crate::domain::supply::Feed;
use crate::domain::supply::flex::FixedCable;
use crate::domain::supply::flex::FlexSize;
use crate::domain::supply::fuse::Fuse;
use crate::domain::supply::notification::Region;
use crate::domain::supply::notification::Site;
use crate::domain::supply::notification::Work;
use crate::domain::supply::voltage_drop::Run;
use crate::domain::units::Watts;
use crate::domain::zones::length::Length;
use crate::domain::zones::rules::WiringRules;
use crate::http::Problem;
use crate::http::fields::Fields;
use crate::http::named_parts::find_element;
use crate::http::problem::FieldCode;
use crate::http::scene::millimetres;
use crate::http::schema;
use crate::http::wiring::find_rules;
use crate::operations::Snapshot;

/// The rails of one circuit and what feeds them.
#[derive(Debug, Clone, PartialEq, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct NewSupply {
    /// The rules by their name. Give these or a market.
    #[serde(default)]
    #[schema(max_length = 40, required = false)]
    pub wiring_rules: Option<String>,
    /// The market whose rules count.
    #[serde(default)]
    #[schema(max_length = 20, required = false, example = "gb")]
    pub market: Option<String>,
    /// The rails, at most 12.
    #[schema(min_items = 1, max_items = 12)]
    pub rails: Vec<NewRail>,
    /// The pieces of fixed cable from the origin to the connection unit, one after the other.
    #[serde(default)]
    #[schema(max_items = 12, required = false)]
    pub cables: Vec<NewCable>,
    /// Rating of the circuit's own protective device, where it is known.
    #[serde(default)]
    #[schema(schema_with = schema::optional::device_a, required = false)]
    pub device_a: Option<f64>,
    /// The work to be done, for the duty to notify.
    #[serde(default)]
    #[schema(required = false)]
    pub work: Option<NewWork>,
}

/// One rail: an element of the catalogue, or its watts and flex.
#[derive(Debug, Clone, PartialEq, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct NewRail {
    /// Part number of the element. Give this or `watts`.
    #[serde(default)]
    #[schema(max_length = 40, required = false)]
    pub element: Option<String>,
    /// Rating at 230 V.
    #[serde(default)]
    #[schema(schema_with = schema::optional::element_w, required = false)]
    pub watts: Option<f64>,
    /// Conductor of its flex, mm2: 0.5, 0.75, 1, 1.25, 1.5, 2.5 or 4.
    #[serde(default)]
    #[schema(schema_with = schema::optional::flex_mm2, required = false)]
    pub flex_mm2: Option<f64>,
    /// Length of its flex; 0 when left out with `watts`.
    #[serde(default)]
    #[schema(schema_with = schema::optional::flex_length_mm, required = false)]
    pub flex_length_mm: Option<f64>,
    /// The fuse its maker states: 3, 5, 10 or 13. It overrides the choice.
    #[serde(default)]
    #[schema(schema_with = schema::optional::device_a, required = false)]
    pub maker_fuse_a: Option<f64>,
    /// The largest fuse its maker permits: 3, 5, 10 or 13.
    #[serde(default)]
    #[schema(schema_with = schema::optional::device_a, required = false)]
    pub maker_fuse_a_max: Option<f64>,
}

/// A piece of fixed cable.
#[derive(Debug, Clone, Copy, PartialEq, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct NewCable {
    /// Its conductor, mm2.
    pub size_mm2: NewCableSize,
    /// Its length, one way.
    #[schema(schema_with = schema::cable_length_mm)]
    pub length_mm: f64,
}

/// Conductor of a flat twin-and-earth cable, mm2.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Deserialize, ToSchema)]
pub enum NewCableSize {
    /// 1.0 mm2.
    #[serde(rename = "1.0")]
    One,
    /// 1.5 mm2.
    #[serde(rename = "1.5")]
    OneAndHalf,
    /// 2.5 mm2.
    #[serde(rename = "2.5")]
    TwoAndHalf,
}

/// The work to be done.
#[derive(Debug, Clone, Copy, PartialEq, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct NewWork {
    /// Where, by the law on who may do electrical work.
    pub region: NewRegion,
    /// What is done.
    pub kind: NewWorkKind,
    /// Where in the room; the stricter answer when left out.
    #[serde(default)]
    #[schema(required = false)]
    pub site: Option<NewSite>,
}

/// A place with its own law on who may do electrical work.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Deserialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum NewRegion {
    /// England.
    England,
    /// Wales.
    Wales,
    /// Scotland.
    Scotland,
    /// Northern Ireland.
    NorthernIreland,
    /// Ireland.
    Ireland,
    /// Anywhere else.
    Elsewhere,
}

/// What kind of work it is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Deserialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum NewWorkKind {
    /// A new circuit, or work on the board.
    NewCircuit,
    /// An addition or alteration to a circuit that is there, such as a connection unit on it.
    Addition,
    /// Like for like at the same connection point.
    Replacement,
}

/// Where in the room the work is, for the English test.
#[derive(Debug, Clone, Copy, PartialEq, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct NewSite {
    /// Its height.
    #[schema(schema_with = schema::plan_height_mm)]
    pub height_mm: f64,
    /// Height of the fixed shower head, where there is one.
    #[serde(default)]
    #[schema(schema_with = schema::optional::plan_height_mm, required = false)]
    pub shower_head_height_mm: Option<f64>,
    /// Distance in plan from the edge of the nearest bath or tray.
    #[serde(default)]
    #[schema(schema_with = schema::optional::wall_offset_mm, required = false)]
    pub from_bath_or_tray_mm: Option<f64>,
    /// Distance in plan from the centre of the head of a shower without a tray: from the head, not the outlet.
    #[serde(default)]
    #[schema(schema_with = schema::optional::wall_offset_mm, required = false)]
    pub from_shower_head_mm: Option<f64>,
}

/// The work in the domain's words.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct AskedWork {
    pub region: Region,
    pub work: Work,
    pub site: Option<Site>,
}

/// A question that was found right.
#[derive(Debug)]
pub(super) struct Asked<'a> {
    pub rules: &'a WiringRules,
    pub circuit: Circuit,
    pub work: Option<AskedWork>,
}

impl NewSupply {
    pub(super) fn read<'a>(&self, snapshot: &'a Snapshot) -> Result<Asked<'a>, Problem> {
        let mut fields = Fields::default();
        let named = (self.wiring_rules.as_deref(), self.market.as_deref());
        let rules = find_rules(snapshot, named, &mut fields);
        let edition = snapshot.catalogue().edition();
        let rails = fields.each("rails", &self.rails, |at, rail| rail.feed(edition, at));
        let circuit = Circuit {
            rails: rails.into_iter().flatten().collect(),
            cables: self.cables.iter().map(NewCable::run).collect(),
            device_a: self.device_a.map(|ampere| i64::from(millimetres(ampere))),
        };
        let work = self.work.map(AskedWork::from);
        let read = rules.map(|rules| Asked { rules, circuit, work });
        fields.finish(read)?.ok_or_else(Problem::failed)
    }
}

impl NewRail {
    fn feed(&self, edition: &Edition, fields: &mut Fields) -> Option<Feed> {
        let maker_fuse = fuse("maker_fuse_a", self.maker_fuse_a, fields);
        let maker_fuse_max = fuse("maker_fuse_a_max", self.maker_fuse_a_max, fields);
        let flex = self.flex(fields);
        match (&self.element, self.watts) {
            (Some(sku), None) => {
                let element = find_element(edition, sku, fields)?;
                self.note_stated_twice(fields);
                Some(Feed { maker_fuse, maker_fuse_max, ..of_element(element) })
            }
            (None, Some(watts)) => Some(Feed {
                rating: Watts::new(watts).required(),
                flex,
                flex_length_mm: i64::from(self.flex_length_mm.map_or(0, millimetres)),
                maker_fuse,
                maker_fuse_max,
            }),
            (None, None) => {
                fields.push("watts", FieldCode::Missing, "give an element or its watts");
                None
            }
            (Some(_), Some(_)) => {
                let detail = "give an element or its watts, not both";
                fields.push("watts", FieldCode::Contradiction, detail);
                None
            }
        }
    }

    /// Flex figures beside an element, which has its own.
    fn note_stated_twice(&self, fields: &mut Fields) {
        let given = [
            ("flex_mm2", self.flex_mm2.is_some()),
            ("flex_length_mm", self.flex_length_mm.is_some()),
        ];
        for (field, _) in given.into_iter().filter(|(_, is_given)| *is_given) {
            let detail = format!("the element's own data say {field}");
            fields.push(field, FieldCode::Contradiction, detail);
        }
    }

    fn flex(&self, fields: &mut Fields) -> Option<FlexSize> {
        let area = self.flex_mm2?;
        let hundredths = u16::try_from(millimetres(area * 100.0_f64)).ok();
        let found = hundredths.and_then(FlexSize::of_hundredths);
        if found.is_none() {
            let detail = format!(
                "there is no flex of {area} mm2; known are 0.5, 0.75, 1, 1.25, 1.5, 2.5 and 4"
            );
            fields.push("flex_mm2", FieldCode::NotOneOf, detail);
        }
        found
    }
}

/// An element as a load.
fn of_element(element: &Element) -> Feed {
    Feed {
        rating: element.watts.required(),
        flex: FlexSize::of_hundredths(element.flex.area_mm2_e2),
        flex_length_mm: i64::from(element.flex.length.value()),
        maker_fuse: None,
        maker_fuse_max: None,
    }
}

fn fuse(field: &str, ampere: Option<f64>, fields: &mut Fields) -> Option<Fuse> {
    let ampere = ampere?;
    let found = Fuse::of(i64::from(millimetres(ampere)));
    if found.is_none() {
        let detail = format!("there is no cartridge fuse of {ampere} A; known are 3, 5, 10 and 13");
        fields.push(field, FieldCode::NotOneOf, detail);
    }
    found
}

impl NewCableSize {
    /// Its square millimetres as they are printed.
    pub(in crate::http) const fn words(self) -> &'static str {
        match self {
            Self::One => "1.0",
            Self::OneAndHalf => "1.5",
            Self::TwoAndHalf => "2.5",
        }
    }
}

impl NewCable {
    pub(in crate::http) fn run(&self) -> Run {
        let cable = match self.size_mm2 {
            NewCableSize::One => FixedCable::One,
            NewCableSize::OneAndHalf => FixedCable::OneAndHalf,
            NewCableSize::TwoAndHalf => FixedCable::TwoAndHalf,
        };
        let length_mm = i64::from(millimetres(self.length_mm));
        Run { millivolts: cable.millivolts(), length_mm }
    }
}

impl From<NewWork> for AskedWork {
    fn from(work: NewWork) -> Self {
        Self {
            region: match work.region {
                NewRegion::England => Region::England,
                NewRegion::Wales => Region::Wales,
                NewRegion::Scotland => Region::Scotland,
                NewRegion::NorthernIreland => Region::NorthernIreland,
                NewRegion::Ireland => Region::Ireland,
                NewRegion::Elsewhere => Region::Elsewhere,
            },
            work: work.kind.into(),
            site: work.site.map(Site::from),
        }
    }
}

impl From<NewWorkKind> for Work {
    fn from(kind: NewWorkKind) -> Self {
        match kind {
            NewWorkKind::NewCircuit => Self::NewCircuit,
            NewWorkKind::Addition => Self::Addition,
            NewWorkKind::Replacement => Self::Replacement,
        }
    }
}

impl From<NewSite> for Site {
    fn from(site: NewSite) -> Self {
        let length = |mm: f64| {
            let whole = i64::from(millimetres(mm));
            Length::straight(whole.saturating_mul(whole))
        };
        Self {
            z_mm: millimetres(site.height_mm),
            head_mm: site.shower_head_height_mm.map(millimetres),
            from_basin: site.from_bath_or_tray_mm.map(length),
            from_head: site.from_shower_head_mm.map(length),
        }
    }
}
