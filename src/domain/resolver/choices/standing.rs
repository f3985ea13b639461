//! Which of the choices that sort parts each part breaks: the finish, the regulation, chosen values of attributes.
//!
//! A pair counts when neither part breaks any. A part that breaks just one counts where that one is taken back.

use fixedbitset::FixedBitSet;

use crate::domain::catalogue::Body;
use crate::domain::catalogue::Edition;
use crate::domain::catalogue::Element;
use crate::domain::catalogue::PartKind;
use crate::domain::catalogue::PartRef;
use crate::domain::resolver::choices::ChosenValue;
use crate::domain::resolver::demands::Demands;
use crate::domain::resolver::demands::RegulationWish;

/// A choice that sorts parts.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Sorting {
    /// The finish wished for.
    Finish,
    /// The regulation wished for.
    Regulation,
    /// A chosen value of an attribute, by its place.
    Chosen(usize),
}

/// What a part breaks.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Broken {
    /// No choice.
    Nothing,
    /// One.
    One(Sorting),
    /// More.
    Several,
}

impl Broken {
    /// Whether the part counts where a choice is taken back.
    pub(super) fn counts_without(self, sorting: Sorting) -> bool {
        match self {
            Self::Nothing => true,
            Self::One(broken) => broken == sorting,
            Self::Several => false,
        }
    }

    fn and(self, sorting: Sorting) -> Self {
        match self {
            Self::Nothing => Self::One(sorting),
            Self::One(_) | Self::Several => Self::Several,
        }
    }
}

/// What every body and element breaks, by place in the edition.
#[derive(Debug, Clone)]
pub(super) struct Standing {
    pub bodies: Vec<Broken>,
    pub elements: Vec<Broken>,
    /// Elements that break nothing.
    pub sound: FixedBitSet,
    /// Elements that break no more than one choice.
    pub nearly: FixedBitSet,
}

impl Standing {
    /// What the parts of an edition break.
    pub(super) fn of(edition: &Edition, demands: &Demands<'_>, chosen: &[ChosenValue]) -> Self {
        let sorter = Sorter { edition, demands, chosen };
        let bodies = edition.bodies().iter().enumerate();
        let bodies = bodies.map(|(index, body)| sorter.body(index, body)).collect();
        let elements = edition.elements().iter().enumerate();
        let elements: Vec<Broken> =
            elements.map(|(index, element)| sorter.element(index, element)).collect();
        let those = |is_wanted: fn(&Broken) -> bool| {
            let mut set = FixedBitSet::with_capacity(elements.len());
            let wanted = elements.iter().enumerate().filter(|(_, broken)| is_wanted(broken));
            set.extend(wanted.map(|(index, _)| index));
            set
        };
        let sound = those(|broken| *broken == Broken::Nothing);
        let nearly = those(|broken| *broken != Broken::Several);
        Self { bodies, elements, sound, nearly }
    }
}

struct Sorter<'a> {
    edition: &'a Edition,
    demands: &'a Demands<'a>,
    chosen: &'a [ChosenValue],
}

impl Sorter<'_> {
    fn body(&self, index: usize, body: &Body) -> Broken {
        let wished = self.demands.preferences.finish.as_ref();
        let is_wished = wished.is_none_or(|finish| *finish == body.finish);
        let own = (!is_wished).then_some(Sorting::Finish);
        self.broken(PartRef { kind: PartKind::Body, index }, own)
    }

    fn element(&self, index: usize, element: &Element) -> Broken {
        let wished = self.demands.preferences.regulation;
        let is_wished = match wished {
            RegulationWish::Either => true,
            RegulationWish::Fixed | RegulationWish::Adjustable => {
                wished.word() == element.regulation.word()
            }
        };
        let own = (!is_wished).then_some(Sorting::Regulation);
        self.broken(PartRef { kind: PartKind::Element, index }, own)
    }

    fn broken(&self, part: PartRef, own: Option<Sorting>) -> Broken {
        let of_kind = self.chosen.iter().enumerate().filter(|(_, chosen)| {
            let ChosenValue { attribute, value } = chosen;
            attribute.kind == part.kind
                && self.edition.attribute(part, attribute.name()).as_ref() != Some(value)
        });
        let of_chosen = of_kind.map(|(place, _)| Sorting::Chosen(place));
        own.into_iter().chain(of_chosen).fold(Broken::Nothing, Broken::and)
    }
}
