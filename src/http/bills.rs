//! Views of bills and findings: what goes out over the wire and what a terminal prints.
#![expect(single_use_lifetimes, reason = "the schemas made from views name their lifetime once")]

use std::borrow::Cow;
use std::ops::Deref;

use serde::Serialize;
use serde::Serializer;
use serde_json::value::RawValue;
use utoipa::ToSchema;

use crate::domain::compatibility::Check;
use crate::domain::compatibility::Finding;
use crate::domain::compatibility::Outcome;
use crate::domain::compatibility::StatedSide;
use crate::domain::notice::Notice;
use crate::domain::pricing::Line;
use crate::domain::pricing::Total;
use crate::domain::resolver::Bill;
use crate::domain::resolver::BillRail;
use crate::domain::units::Deciwatts;
use crate::http::figures::hundredths;
use crate::http::figures::thousandths;
use crate::http::filling::BillFillView;
use crate::http::in_use::InUseView;

/// One bill of materials among the options.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct OptionView {
    /// 1 is the best.
    pub rank: usize,
    /// How many rails it holds, 1 to 3.
    pub rail_count: usize,
    /// What its rails give the room.
    pub delivered_w: f64,
    /// What they give beyond the requirement.
    pub margin_w: f64,
    /// One rail: how it lives in the room: duty, fluid, towels on, surface.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub emission: Option<InUseView>,
    /// One rail: how the body is to be filled, where it comes empty.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub fill: Option<BillFillView>,
    /// Several rails: each of them. Their lines name them.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub rails: Vec<RailView>,
    /// What it uses, where the order is by running cost.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub running_cost: Option<RunningCostView>,
    /// Working days until the last part leaves the maker.
    pub lead_days: u16,
    /// Parts, with what comes in the body's carton at no price.
    pub lines: Vec<LineView>,
    /// What is owed.
    pub total: TotalView,
    /// Every rule that speaks about these parts here.
    #[schema(value_type = Vec<CheckView<'static>>)]
    pub checks: Vec<BillCheckView>,
    /// Cautions to show.
    pub notices: Vec<NoticeView>,
}

/// One of several rails of a bill.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct RailView {
    /// Counted from 1, as lines name it.
    pub rail: usize,
    /// Part number of the body.
    pub body: String,
    /// Part number of the element.
    pub element: String,
    /// The wall space it hangs on, counted from 1 in the request's list; without a list all share one.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub wall: Option<usize>,
    /// What it gives the room.
    pub delivered_w: f64,
    /// How it lives in the room.
    pub emission: InUseView,
    /// How the body is to be filled, where it comes empty.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub fill: Option<BillFillView>,
}

/// What the rails of a bill use, an estimate and no amount owed.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, ToSchema)]
pub struct RunningCostView {
    /// Energy of a settled day on the schedule, kWh; of rails that are always on what they deliver.
    pub energy_kwh_day: f64,
    /// 365 such days, kWh.
    pub energy_kwh_year: f64,
    /// Those at the price stated, in its currency.
    pub cost_year: f64,
}

/// One line of a bill.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, ToSchema)]
pub struct LineView {
    /// Part number.
    pub sku: String,
    /// `body`, `element`, `control` or `accessory`.
    pub kind: &'static str,
    /// Its name.
    pub name: String,
    /// The rail that it belongs to, counted from 1; left out where there is one.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub rail: Option<usize>,
    /// How many.
    pub quantity: u32,
    /// Net price of one, up to four decimals.
    pub unit_net: String,
    /// Net price of the line.
    pub net: String,
    /// Why it is on the bill.
    pub why: String,
    /// The part in whose carton it comes.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub included_with: Option<String>,
    /// Working days until it leaves the maker.
    pub lead_days: u16,
}

/// What is owed.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, ToSchema)]
pub struct TotalView {
    /// ISO 4217 code.
    pub currency: String,
    /// Sum of the lines.
    pub net: String,
    /// Tax on the sum, rounded once.
    pub tax: String,
    /// Net and tax.
    pub gross: String,
    /// The rate.
    pub tax_rate_percent: String,
}

/// How a rule came out.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, ToSchema)]
pub struct CheckView<'a> {
    /// Stable code of the rule.
    pub rule: Cow<'a, str>,
    /// `holds`, `warns`, `not_established` or `clashes`.
    pub outcome: &'static str,
    /// What the rule demands and the values that decided.
    pub detail: Cow<'a, str>,
    /// One side.
    pub left: SideView<'a>,
    /// The other side.
    pub right: SideView<'a>,
    /// Where the rule is from.
    pub source: Cow<'a, str>,
    /// How it is known.
    pub evidence: &'static str,
}

/// One side of a comparison.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, ToSchema)]
pub struct SideView<'a> {
    /// The part, if the side is one.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub sku: Option<Cow<'a, str>>,
    /// What was compared.
    pub attribute: Cow<'a, str>,
    /// The value; null when it is not stated.
    pub value: Option<Cow<'a, str>>,
}

/// A check of a bill. One that bills share is written as JSON once, byte for byte as it would be written anew.
#[derive(Debug, Clone, PartialEq)]
pub struct BillCheckView(pub Check);

/// A caution to show.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, ToSchema)]
pub struct NoticeView {
    /// Stable code.
    pub code: &'static str,
    /// A sentence or two.
    pub text: Cow<'static, str>,
}

impl OptionView {
    /// The view of a bill at its place among the options, counted from nought.
    pub fn new(index: usize, bill: Bill, price_per_kwh: Option<f64>) -> Self {
        let rails: Vec<RailView> = bill.rails.iter().enumerate().map(RailView::new).collect();
        let rail_count = rails.len();
        let (only, rails) = match <[RailView; 1]>::try_from(rails) {
            Ok([only]) => (Some(only), Vec::new()),
            Err(several) => (None, several),
        };
        let (emission, fill) = only.map(|rail| (rail.emission, rail.fill)).unzip();
        let energy = bill.energy_tenths_wh_day.zip(price_per_kwh);
        Self {
            rank: index.saturating_add(1),
            rail_count,
            emission,
            fill: fill.flatten(),
            rails,
            running_cost: energy.map(|(tenths, price)| RunningCostView::new(tenths, price)),
            delivered_w: bill.delivered.watts(),
            margin_w: bill.margin.watts(),
            lead_days: bill.lead_days,
            total: TotalView::from(&bill.total),
            notices: notices(&bill.notices, bill.checks.iter().map(Deref::deref)),
            lines: lines(bill.lines, &bill.rails, &bill.total),
            checks: bill.checks.into_iter().map(BillCheckView).collect(),
        }
    }
}

/// Cautions to show: those at hand, and one for every rule that could not be established, which is never the same as
/// holding.
pub(super) fn notices<'a, I>(given: &[Notice], findings: I) -> Vec<NoticeView>
where
    I: IntoIterator<Item = &'a Finding>,
{
    let open = findings.into_iter().filter(|finding| finding.outcome == Outcome::NotEstablished);
    let open = open
        .map(|finding| NoticeView { code: "not-established", text: finding.detail.clone().into() });
    given.iter().map(NoticeView::from).chain(open).collect()
}

/// Lines, each with its rail where there are several.
fn lines(lines: Vec<Line>, rails: &[BillRail], total: &Total) -> Vec<LineView> {
    let rail_of = |place: usize| {
        let rail = rails.iter().position(|rail| rail.lines.contains(&place));
        rail.filter(|_| 1 < rails.len()).map(|rail| rail.saturating_add(1))
    };
    let lines = lines.into_iter().enumerate();
    lines.map(|(place, line)| LineView::new(line, rail_of(place), total)).collect()
}

impl RailView {
    fn new((index, rail): (usize, &BillRail)) -> Self {
        let pair = [rail.body.as_str(), rail.element.as_str()];
        Self {
            rail: index.saturating_add(1),
            body: rail.body.to_string(),
            element: rail.element.to_string(),
            wall: rail.wall.map(|wall| wall.saturating_add(1)),
            delivered_w: rail.delivered.watts(),
            emission: InUseView::from(&rail.in_use),
            fill: rail.fill.as_ref().map(|fill| BillFillView::new(fill, pair)),
        }
    }
}

impl RunningCostView {
    fn new(tenths_wh_day: i64, price_per_kwh: f64) -> Self {
        let kwh_day = Deciwatts::new(tenths_wh_day).watts() / 1_000.0_f64;
        let kwh_year = kwh_day * DAYS;
        Self {
            energy_kwh_day: thousandths(kwh_day),
            energy_kwh_year: hundredths(kwh_year),
            cost_year: hundredths(kwh_year * price_per_kwh),
        }
    }
}

/// Days of a year.
const DAYS: f64 = 365.0;

impl LineView {
    fn new(line: Line, rail: Option<usize>, total: &Total) -> Self {
        Self {
            rail,
            sku: line.sku.to_string(),
            kind: line.kind.word(),
            name: line.name.into(),
            quantity: line.quantity,
            unit_net: line.unit_net.format(total.currency),
            net: total.currency.format(line.net),
            why: line.why,
            included_with: line.included_with.as_ref().map(ToString::to_string),
            lead_days: line.lead_days,
        }
    }
}

impl From<&Total> for TotalView {
    fn from(total: &Total) -> Self {
        Self {
            currency: total.currency.code().to_owned(),
            net: total.currency.format(total.net),
            tax: total.currency.format(total.tax),
            gross: total.currency.format(total.gross),
            tax_rate_percent: total.rate.percent(),
        }
    }
}

impl<'a> From<&'a Finding> for CheckView<'a> {
    fn from(finding: &'a Finding) -> Self {
        Self {
            rule: Cow::Borrowed(&finding.rule),
            outcome: finding.outcome.word(),
            detail: Cow::Borrowed(&finding.detail),
            left: SideView::from(&finding.left),
            right: SideView::from(&finding.right),
            source: Cow::Borrowed(&finding.source.text),
            evidence: finding.source.evidence.code(),
        }
    }
}

impl From<Finding> for CheckView<'_> {
    fn from(finding: Finding) -> Self {
        Self {
            rule: finding.rule,
            outcome: finding.outcome.word(),
            detail: finding.detail.into(),
            left: SideView::from(finding.left),
            right: SideView::from(finding.right),
            source: finding.source.text,
            evidence: finding.source.evidence.code(),
        }
    }
}

impl<'a> From<&'a StatedSide> for SideView<'a> {
    fn from(side: &'a StatedSide) -> Self {
        Self {
            sku: side.sku.as_ref().map(|sku| Cow::Borrowed(sku.as_str())),
            attribute: Cow::Borrowed(&side.attribute),
            value: side.value.as_deref().map(Cow::Borrowed),
        }
    }
}

impl From<StatedSide> for SideView<'_> {
    fn from(side: StatedSide) -> Self {
        Self {
            sku: side.sku.map(|sku| sku.to_string().into()),
            attribute: side.attribute,
            value: side.value.map(Cow::Owned),
        }
    }
}

/// The JSON of a finding as the plain serialiser writes it.
fn written(finding: &Finding) -> Option<Box<RawValue>> {
    serde_json::value::to_raw_value(&CheckView::from(finding)).ok()
}

impl Serialize for BillCheckView {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        match &self.0 {
            Check::Made(finding) => CheckView::from(&**finding).serialize(serializer),
            Check::Kept(kept) => match kept.written(written) {
                Some(Some(text)) => text.serialize(serializer),
                // Nothing to keep: written anew, which gives the same bytes.
                Some(None) | None => CheckView::from(&*self.0).serialize(serializer),
            },
        }
    }
}

impl From<&Notice> for NoticeView {
    fn from(notice: &Notice) -> Self {
        Self { code: notice.code, text: notice.text.clone() }
    }
}
