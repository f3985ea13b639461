//! Everything else that belongs to the job.

use crate::domain::units::Millimetres;

use super::part::Card;
use super::value::Thousandths;
use super::value::Value;

/// What an accessory is for.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum AccessoryKind {
    /// Hides the flex between element and connection point.
    FlexCover,
    /// Closes an open port.
    PlugCover,
    /// Holds the body on the wall.
    Bracket,
    /// Keeps the fluid from attacking the body.
    Inhibitor,
    /// Hangs a towel or gown on a tube.
    Hook,
    /// Lays a towel on two tubes.
    Shelf,
    /// Opens and closes the vent.
    VentKey,
    /// Covers the wall where the flex enters.
    WallPlate,
}

impl AccessoryKind {
    /// All of them, in the order in which a bill lists them.
    pub const ALL: [Self; 8] = [
        Self::PlugCover,
        Self::Bracket,
        Self::FlexCover,
        Self::WallPlate,
        Self::Inhibitor,
        Self::VentKey,
        Self::Hook,
        Self::Shelf,
    ];

    /// The word for it in JSON and catalogue files.
    pub const fn word(self) -> &'static str {
        match self {
            Self::FlexCover => "flex_cover",
            Self::PlugCover => "plug_cover",
            Self::Bracket => "bracket",
            Self::Inhibitor => "inhibitor",
            Self::Hook => "hook",
            Self::Shelf => "shelf",
            Self::VentKey => "vent_key",
            Self::WallPlate => "wall_plate",
        }
    }

    /// The kind of a word.
    pub fn parse(word: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|kind| kind.word() == word)
    }
}

/// An accessory.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Accessory {
    /// What every part carries.
    pub card: Card,
    /// What it is for.
    pub kind: AccessoryKind,
    /// Its finish, where it is seen.
    pub finish: Option<Box<str>>,
    /// Tube cross-section that it grips.
    pub tube: Option<Box<str>>,
    /// Thread that it closes, as text: `G 1/2 ext`.
    pub thread: Option<Box<str>>,
    /// Length of flex that one piece covers.
    pub cover_length: Option<Millimetres>,
    /// Inhibitor: millilitres a litre of fill, as the maker states it.
    pub dose_ml_per_litre: Option<u16>,
    /// Inhibitor: millilitres in a pack.
    pub pack_ml: Option<u16>,
}

impl Accessory {
    /// The typed attributes that a rule row may name, besides the keeper's own.
    pub const ATTRIBUTES: &'static [&'static str] = &[
        "sku",
        "kind",
        "finish",
        "tube",
        "thread",
        "cover_length_mm",
        "dose_ml_per_litre",
        "pack_ml",
        "lead_days",
        "stock",
    ];

    /// The value of an attribute; absent when the part does not state it.
    pub fn attribute(&self, name: &str) -> Option<Value> {
        Some(match name {
            "kind" => Value::text(self.kind.word()),
            "finish" => Value::Text(self.finish.clone()?),
            "tube" => Value::Text(self.tube.clone()?),
            "thread" => Value::Text(self.thread.clone()?),
            "cover_length_mm" => Value::whole(self.cover_length?.value()),
            "dose_ml_per_litre" => {
                Value::Number(Thousandths::whole(self.dose_ml_per_litre?.into()))
            }
            "pack_ml" => Value::whole(i32::from(self.pack_ml?)),
            _ => return self.card.attribute(name),
        })
    }
}
