//! The zone of a thing in a drawn room: the worst that any part of it touches, and what makes it so.
//!
//! Zones are closed: a thing that only touches a boundary is in the stricter zone and is flagged. Absent here: whether
//! the drawing makes sense (`validity`), and what may hang in a zone (`verdict`).

use crate::domain::zones::Zone;
use crate::domain::zones::equipment::Spot;
use crate::domain::zones::length::Length;
use crate::domain::zones::over::Ends;
use crate::domain::zones::over::LowPartitions;
use crate::domain::zones::over::LowSpread;
use crate::domain::zones::over::Strung;
use crate::domain::zones::plane::Room;
use crate::domain::zones::plane::Segment;
use crate::domain::zones::reach::Field;
use crate::domain::zones::reach::Path;
use crate::domain::zones::reach::Spread;
use crate::domain::zones::regime::PartitionPolicy;
use crate::domain::zones::regime::Regime;
use crate::domain::zones::scene::Partition;
use crate::domain::zones::scene::Scene;
use crate::domain::zones::scene::Solid;
use crate::domain::zones::water::Water;
use crate::domain::zones::water::waters;

/// Where a thing is.
#[derive(Debug, Clone, PartialEq)]
pub struct Placement {
    /// Worst zone that any part of it touches.
    pub zone: Zone,
    /// Whether it is in that zone only because boundaries belong to the stricter side.
    pub on_boundary: bool,
    /// The fixture that makes it so; outside all zones, the nearest.
    pub governing_fixture: Option<String>,
    /// The path from that fixture (or its outlet) to the thing; none when walls close it off.
    pub path: Option<Path>,
    /// Why no zone can be told.
    pub unclear: Option<&'static str>,
    /// What the verdict needs.
    pub spot: Spot,
}

/// A room compiled for one edition of the rules, ready for many things to be placed.
#[derive(Debug, Clone)]
pub struct Plan {
    room: Room,
    sources: Vec<Source>,
    fields: Vec<CountedField>,
    low: Option<LowPartitions>,
    unclear: Option<&'static str>,
}

/// Why no zone can be told where a string may pass several partitions.
const STRING_BETWEEN_BOUNDS: &str = "the string may pass over or round several partitions, and its length is known \
     between two bounds only, which are of different zones";

/// Which partitions count, and the field they make.
type CountedField = (Vec<bool>, Field);

#[derive(Debug, Clone)]
struct Source {
    water: Water,
    field_index: usize,
    spread: Spread,
    low: Option<LowSpread>,
}

/// One source's say on one thing.
struct Touch<'plan> {
    water: &'plan Water,
    path: Option<Path>,
    closed: Zone,
    open: Zone,
    /// Its zone were the string as long as it can be.
    mildest: Zone,
}

impl Plan {
    /// Compiles a room whose drawing was found right.
    pub fn new(scene: &Scene, regime: &Regime) -> Self {
        let room = Room::new(&scene.corners);
        let (waters, unclear) = waters(scene, regime);
        let low = low_partitions(scene, regime);
        let low = (!low.is_empty()).then(|| LowPartitions::new(&room, &low, lasting(scene)));
        let mut plan = Self { room, sources: Vec::new(), fields: Vec::new(), low, unclear };
        for water in waters {
            plan.add(scene, regime, water);
        }
        plan
    }

    fn add(&mut self, scene: &Scene, regime: &Regime, water: Water) {
        let counted: Vec<_> = scene
            .partitions
            .iter()
            .map(|partition| {
                counts(regime.partitions, partition, water.plane_mm.min(scene.ceiling_mm))
            })
            .collect();
        let known = self.fields.iter().position(|(mask, _field)| *mask == counted);
        let field_index = known.unwrap_or_else(|| {
            let chosen =
                scene.partitions.iter().zip(&counted).filter(|(_partition, counts)| **counts);
            let segments: Vec<_> =
                chosen.map(|(partition, _)| (partition.a, partition.b)).collect();
            self.fields.push((counted.clone(), Field::new(&self.room, &segments)));
            self.fields.len().saturating_sub(1)
        });
        if let Some((_mask, field)) = self.fields.get(field_index) {
            let spread = field.spread(water.outline);
            let low = self.low.as_ref().map(|low| low.spread(water.outline));
            self.sources.push(Source { water, field_index, spread, low });
        }
    }

    /// Where a thing is.
    pub fn place(&self, solid: &Solid) -> Placement {
        let in_room = self.room.holds_rect(&solid.plan);
        if !in_room {
            return self.elsewhere(solid);
        }
        let touches: Vec<_> = self.sources.iter().map(|source| self.touch(source, solid)).collect();
        let governing = touches
            .iter()
            .min_by(|one, other| one.closed.cmp(&other.closed).then_with(|| nearer(one, other)));
        let open = touches.iter().map(|touch| touch.open).min();
        let zone = governing.map_or(Zone::NotApplicable, |touch| touch.closed);
        let mildest = touches.iter().map(|touch| touch.mildest).min();
        let unclear = self.unclear.or_else(|| {
            mildest.filter(|mildest| *mildest != zone).map(|_mildest| STRING_BETWEEN_BOUNDS)
        });
        let settled = unclear.is_none() || zone == Zone::Zero;
        Placement {
            zone: if settled { zone } else { Zone::NotEstablished },
            on_boundary: open.is_some_and(|open| open != zone),
            governing_fixture: governing.map(|touch| touch.water.fixture.clone()),
            path: governing.and_then(|touch| touch.path.clone()),
            unclear: if settled { None } else { unclear },
            spot: Spot {
                zone: if settled { zone } else { Zone::NotEstablished },
                lowest_mm: Some(solid.low_mm),
                from_zone1: gap_to_zone1(&touches),
                immersion: touches.iter().any(|touch| {
                    touch.closed == Zone::One && solid.low_mm <= touch.water.immersion_mm
                }),
                in_room,
            },
        }
    }

    /// Behind a wall: outside the zones of this room, and nothing is known of the next.
    fn elsewhere(&self, solid: &Solid) -> Placement {
        let zone = if self.sources.is_empty() { Zone::NotApplicable } else { Zone::Outside };
        let spot = Spot { lowest_mm: Some(solid.low_mm), in_room: false, ..Spot::in_zone(zone) };
        let unclear = Some("it is not wholly inside the drawn room");
        Placement { zone, on_boundary: false, governing_fixture: None, path: None, unclear, spot }
    }

    fn touch<'plan>(&'plan self, source: &'plan Source, solid: &Solid) -> Touch<'plan> {
        let water = &source.water;
        let Strung { path, at_most } = self.path(source, solid);
        let length = path.as_ref().map(|path| path.length);
        let lean =
            if solid.plan.has_area() { None } else { Some(self.room.leaning_in(solid.plan.min)) };
        Touch {
            water,
            closed: water.zone(solid, length),
            open: water.zone_inside(solid, length, lean),
            mildest: water.zone(solid, at_most),
            path,
        }
    }

    fn path(&self, source: &Source, solid: &Solid) -> Strung {
        let field = self.fields.get(source.field_index);
        let round = field.and_then(|(_mask, field)| field.path(&source.spread, &solid.plan));
        let is_straight = round.as_ref().is_some_and(|path| path.length.is_straight());
        let (false, Some(low), Some(spread)) = (is_straight, &self.low, &source.low) else {
            let at_most = round.as_ref().map(|path| path.length);
            return Strung { path: round, at_most };
        };
        let ends = Ends {
            source: source.water.outline,
            source_top_mm: source.water.plane_mm,
            target: solid.plan,
            target_top_mm: solid.high_mm.min(source.water.plane_mm),
        };
        low.string(spread, &ends, round)
    }
}

fn nearer(one: &Touch<'_>, other: &Touch<'_>) -> std::cmp::Ordering {
    let mm = |touch: &Touch<'_>| touch.path.as_ref().map_or(f64::INFINITY, |path| path.length.mm());
    mm(one).total_cmp(&mm(other))
}

#[expect(
    clippy::as_conversions,
    clippy::cast_precision_loss,
    reason = "a radius of at most a few metres"
)]
fn gap_to_zone1(touches: &[Touch<'_>]) -> Option<(Length, i64)> {
    let gaps = touches
        .iter()
        .filter_map(|touch| Some((touch.path.as_ref()?.length, touch.water.zone1_radius_mm?)));
    let excess = |(length, radius): &(Length, i64)| length.mm() - *radius as f64;
    gaps.min_by(|one, other| excess(one).total_cmp(&excess(other)))
}

/// Whether a partition lengthens the path round it, by a country's policy.
fn counts(policy: PartitionPolicy, partition: &Partition, plane_mm: i32) -> bool {
    let lasting = partition.is_fixed && partition.is_floor_joined && partition.kind.is_lasting();
    match policy {
        PartitionPolicy::Ignored => false,
        PartitionPolicy::FixedFloorFullHeight | PartitionPolicy::EffectiveSprayBarrier => {
            lasting && plane_mm <= partition.top_mm
        }
        PartitionPolicy::StringOverAndRound => lasting,
    }
}

/// Every partition that is there for good.
fn lasting(scene: &Scene) -> Vec<Segment> {
    let lasting =
        scene.partitions.iter().filter(|part| counts(PartitionPolicy::StringOverAndRound, part, 0));
    lasting.map(|part| (part.a, part.b)).collect()
}

/// The partitions over which a string can pass: there is air between them and the ceiling.
fn low_partitions(scene: &Scene, regime: &Regime) -> Vec<(Segment, i32)> {
    match regime.partitions {
        PartitionPolicy::StringOverAndRound => scene
            .partitions
            .iter()
            .filter(|partition| counts(regime.partitions, partition, 0))
            .filter(|partition| partition.top_mm < scene.ceiling_mm)
            .map(|partition| ((partition.a, partition.b), partition.top_mm))
            .collect(),
        PartitionPolicy::Ignored
        | PartitionPolicy::FixedFloorFullHeight
        | PartitionPolicy::EffectiveSprayBarrier => Vec::new(),
    }
}
