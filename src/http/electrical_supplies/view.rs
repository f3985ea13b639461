//! The answer about a circuit.

use serde::Serialize;
use utoipa::ToSchema;

use crate::domain::supply::Advice;
use crate::domain::supply::Circuit;
use crate::domain::supply::CircuitAnswer;
use crate::domain::supply::Draw;
use crate::domain::supply::Feed;
use crate::domain::supply::FeedAnswer;
use crate::domain::supply::flex::FlexSize;
use crate::domain::supply::fuse::CUSTOMARY_LIMIT;
use crate::domain::supply::fuse::Fuse;
use crate::domain::supply::fuse::FuseChoice;
use crate::domain::supply::fuse::FuseFault;
use crate::domain::supply::notification::Duty;
use crate::domain::supply::notification::duty;
use crate::domain::supply::voltage_drop::VoltageDrop;
use crate::domain::zones::rules::WiringRules;
use crate::http::bills::NoticeView;
use crate::http::electrical_supplies::question::AskedWork;
use crate::http::figures::hundredths;
use crate::http::figures::thousandths;
use crate::http::wiring::RulesView;
use crate::http::wiring::SourceView;
use crate::http::wiring::cited;

/// Most that a 3 A fuse carries at 230 V, by arithmetic.
const EXACT_LIMIT_W: f64 = 690.0;
/// Voltage drop that is still kept, percent (BS 7671 appendix 4).
const DROP_LIMIT_PERCENT: f64 = 5.0;

/// How a circuit is fed.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct SupplyView {
    /// The rules that answered.
    pub wiring_rules: RulesView,
    /// Each rail, in the order asked.
    pub rails: Vec<FedRailView>,
    /// All rails together at 230 V.
    pub total: DrawView,
    /// The smallest circuit breaker that carries them all; null when none up to 25 A does.
    pub breaker_a_min: Option<i64>,
    /// Whether the circuit's own device carries them; null when its rating was not given.
    pub device_carries_all: Option<bool>,
    /// What the installer must see to: residual current device, bonding, isolation, protective device.
    pub advice: Vec<AdviceView>,
    /// Who must be told of the work; null when no work was described.
    pub notification: Option<DutyView>,
    /// Cautions to show.
    pub notices: Vec<NoticeView>,
    /// What the marks in this answer refer to.
    pub sources: Vec<SourceView>,
}

/// How one rail is fed.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct FedRailView {
    /// At 230 V: what the fuse is chosen by.
    pub nominal: DrawView,
    /// At the lowest voltage by statute.
    pub lowest: DrawView,
    /// At the highest voltage by statute: the worst case.
    pub highest: DrawView,
    /// The cartridge fuse; null where the country protects the flex by the circuit breaker.
    pub fuse: Option<FuseView>,
    /// Its flex, mm2; null when not known.
    pub flex_mm2: Option<&'static str>,
    /// What its flex carries, ampere, by the lower of the two published sets.
    pub flex_carries_a: Option<i64>,
    /// The smallest flex that the product standard permits, mm2; null above 25 A.
    pub flex_mm2_min: Option<&'static str>,
    /// Whether its flex is at least that; null when not known.
    pub flex_is_enough: Option<bool>,
    /// Voltage drop from the origin to this rail with every rail of the circuit on.
    pub voltage_drop: DropView,
}

/// What is drawn at a voltage.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, ToSchema)]
pub struct DrawView {
    /// The voltage.
    pub volts: f64,
    /// Power there.
    pub power_w: f64,
    /// Current there.
    pub current_a: f64,
}

/// The cartridge fuse of the connection unit (BS 1362).
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct FuseView {
    /// The fuse to fit, ampere; null when none carries the load.
    pub fit_a: Option<i64>,
    /// The smallest preferred fuse by the exact limit: 3 A up to `exact_3a_limit_w`.
    pub exact_a: Option<i64>,
    /// The fuse by custom: 3 A up to `customary_3a_limit_w`.
    pub customary_a: Option<i64>,
    /// Most that 3 A carries at 230 V.
    pub exact_3a_limit_w: f64,
    /// Most that custom puts on 3 A.
    pub customary_3a_limit_w: f64,
    /// Whether the maker stated it.
    pub stated_by_maker: bool,
    /// What speaks against it; empty when nothing does.
    pub faults: Vec<FuseFaultView>,
}

/// What speaks against a fuse.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, ToSchema)]
pub struct FuseFaultView {
    /// Stable code.
    pub code: &'static str,
    /// A sentence.
    pub text: &'static str,
}

/// A voltage drop.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, ToSchema)]
pub struct DropView {
    /// In volts.
    pub volts: f64,
    /// In percent of 230 V.
    pub percent: f64,
    /// The limit, percent.
    pub limit_percent: f64,
    /// Whether the limit is kept; decided on whole numbers, not on the printed ones.
    pub within_limit: bool,
}

/// One thing the installer must see to.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, ToSchema)]
pub struct AdviceView {
    /// Stable code.
    pub code: &'static str,
    /// A sentence.
    pub text: String,
    /// Where it comes from.
    pub source: String,
    /// How it is known.
    pub evidence: &'static str,
}

/// Who must be told of the work.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, ToSchema)]
pub struct DutyView {
    /// Stable code.
    pub duty: &'static str,
    /// A sentence.
    pub text: &'static str,
    /// Where it comes from.
    pub source: String,
    /// How it is known.
    pub evidence: &'static str,
}

impl SupplyView {
    pub(super) fn new(
        rules: &WiringRules,
        (circuit, work): (&Circuit, Option<&AskedWork>),
        answer: &CircuitAnswer,
    ) -> Self {
        let rails = circuit.rails.iter().zip(&answer.feeds);
        let mut view = Self {
            wiring_rules: RulesView::from(rules),
            rails: rails.map(|(rail, feed)| FedRailView::new(rail, feed)).collect(),
            total: DrawView::from(answer.total),
            breaker_a_min: answer.breaker_least_a,
            device_carries_all: answer.is_device_enough,
            advice: answer.advice.iter().map(AdviceView::from).collect(),
            notification: work.map(DutyView::from),
            notices: answer.notices.iter().map(NoticeView::from).collect(),
            sources: Vec::new(),
        };
        view.sources = cited(&view);
        view
    }
}

impl FedRailView {
    fn new(rail: &Feed, feed: &FeedAnswer) -> Self {
        let [lowest, highest] = feed.range;
        Self {
            nominal: DrawView::from(feed.nominal),
            lowest: DrawView::from(lowest),
            highest: DrawView::from(highest),
            fuse: feed.fuse.as_ref().map(FuseView::from),
            flex_mm2: rail.flex.map(FlexSize::code),
            flex_carries_a: rail.flex.map(FlexSize::cord_ampere),
            flex_mm2_min: feed.flex_least.map(FlexSize::code),
            flex_is_enough: feed.is_flex_enough,
            voltage_drop: DropView::from(feed.drop),
        }
    }
}

impl From<Draw> for DrawView {
    fn from(draw: Draw) -> Self {
        Self {
            volts: draw.volts,
            power_w: hundredths(draw.power_w),
            current_a: thousandths(draw.current_a),
        }
    }
}

impl From<&FuseChoice> for FuseView {
    fn from(choice: &FuseChoice) -> Self {
        let ampere = |fuse: Option<Fuse>| fuse.map(Fuse::ampere);
        Self {
            fit_a: ampere(choice.chosen),
            exact_a: ampere(choice.exact),
            customary_a: ampere(choice.customary),
            exact_3a_limit_w: EXACT_LIMIT_W,
            customary_3a_limit_w: CUSTOMARY_LIMIT.watts(),
            stated_by_maker: choice.is_makers,
            faults: choice.faults.iter().copied().map(FuseFaultView::from).collect(),
        }
    }
}

impl From<FuseFault> for FuseFaultView {
    fn from(fault: FuseFault) -> Self {
        let text = match fault {
            FuseFault::BelowLoad => "The load is more than the fuse carries at 230 V.",
            FuseFault::AboveFlex => {
                "The fuse is more than the flex carries, so it would not protect it."
            }
            FuseFault::AboveMaker => "The fuse is more than the maker permits.",
        };
        Self { code: fault.code(), text }
    }
}

impl From<VoltageDrop> for DropView {
    fn from(drop: VoltageDrop) -> Self {
        Self {
            volts: thousandths(drop.volts),
            percent: thousandths(drop.percent),
            limit_percent: DROP_LIMIT_PERCENT,
            within_limit: drop.is_within_limit,
        }
    }
}

impl From<&Advice> for AdviceView {
    fn from(advice: &Advice) -> Self {
        Self {
            code: advice.code,
            text: advice.text.clone(),
            source: advice.source.text.to_string(),
            evidence: advice.source.evidence.code(),
        }
    }
}

impl From<&AskedWork> for DutyView {
    fn from(asked: &AskedWork) -> Self {
        let (duty, source) = duty(asked.region, asked.work, asked.site.as_ref());
        let text = match duty {
            Duty::NotNotifiable => {
                "Nobody need be told beforehand; the work must meet the rules all the same."
            }
            Duty::Notifiable => {
                "Building control is told, or somebody registered to certify it does the work."
            }
            Duty::TreatAsNotifiable => {
                "Today's list was not seen: treat the work as one that must be notified."
            }
            Duty::RestrictedWithCertificate => {
                "Only a registered contractor may do it, with a completion certificate."
            }
            Duty::CheckWarrant => {
                "Ask whether this building needs a building warrant for the work."
            }
            Duty::NotEstablished => "Nobody looked this place up: ask the local authority.",
        };
        Self {
            duty: duty.code(),
            text,
            source: source.text.to_string(),
            evidence: source.evidence.code(),
        }
    }
}
