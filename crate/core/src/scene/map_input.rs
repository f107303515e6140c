//! What the wall map and the strip chart are drawn from: plain data, every number already computed.
//!
//! Drawing computes no measure. Whatever stands here comes from the plan's results; the drawing only
//! places it. Unknown is `None`, never a stand-in.

use super::Sign;
use super::axes::{AlongPoint, WallSpot};
use super::style::Token;
use crate::units::{Angle, ThreeOClock};
use std::sync::Arc;

/// How a number stands to its rule.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[allow(missing_docs)]
pub enum Standing {
    Met,
    Borderline,
    Unmet,
    Unknown,
    /// No rule judges it.
    Unjudged,
}

impl Standing {
    /// The word for it.
    pub fn word(self) -> &'static str {
        match self {
            Standing::Met => "met",
            Standing::Borderline => "borderline",
            Standing::Unmet => "unmet",
            Standing::Unknown => "unknown",
            Standing::Unjudged => "",
        }
    }
}

impl Token {
    /// How a dimension looks that stands so.
    pub fn judged(standing: Standing) -> Token {
        match standing {
            Standing::Met => Token::DimensionMet,
            Standing::Borderline => Token::DimensionBorderline,
            Standing::Unmet => Token::DimensionUnmet,
            Standing::Unknown => Token::DimensionUnknown,
            Standing::Unjudged => Token::Dimension,
        }
    }
}

impl Sign {
    /// The sign beside a number that stands so; an unknown number is a question mark itself.
    pub fn of(standing: Standing) -> Option<Sign> {
        match standing {
            Standing::Met => Some(Sign::Tick),
            Standing::Borderline => Some(Sign::Wave),
            Standing::Unmet => Some(Sign::Saltire),
            Standing::Unknown | Standing::Unjudged => None,
        }
    }
}

/// Everything a map shows.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct MapInput {
    /// The case's label.
    pub label: String,
    /// What does not change while a graft is moved.
    pub anatomy: Arc<MapAnatomy>,
    /// Grafts, the one that is planned first.
    pub grafts: Vec<MapGraft>,
    /// How each keep-clear point of the anatomy stands to its rule, in the same order.
    pub kept_clear: Vec<Standing>,
    /// Ids of ways that fabric leaves open where it should cover them.
    pub open_ways: Vec<String>,
    /// Which possibility is drawn, in words; empty where there is only one.
    pub possibility: String,
    /// Space between fabric and wall, where that layer is wanted.
    pub space: Option<SpaceField>,
}

/// The aorta as a map shows it.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct MapAnatomy {
    /// What heads a map of an arch rebuilt from a measuring sheet.
    pub rough: Option<&'static str>,
    /// Why nothing can be drawn, in a sentence.
    pub missing: Option<String>,
    /// What station 0 is, in words; `None` while it is not marked.
    pub origin: Option<String>,
    /// The hand of the user's sheet; `None` while unanswered.
    pub hand: Option<ThreeOClock>,
    /// The aorta along its length.
    pub aorta: Vec<AlongPoint>,
    /// Stretches where the data are less certain.
    pub uncertain: Vec<[f64; 2]>,
    /// Landing zones.
    pub zones: Vec<ZoneBand>,
    /// Stretch to be treated.
    pub lesion: Option<[f64; 2]>,
    /// Named stations.
    pub landmarks: Vec<(String, f64)>,
    /// Where the inner side folds.
    pub folds: Vec<FoldPatch>,
    /// Openings in the wall.
    pub ostia: Vec<MapOstium>,
    /// Points that fabric must not cover.
    pub keep_clear: Vec<MapPoint>,
    /// Where the wall is sewn to a graft.
    pub sutures: Vec<f64>,
    /// The flap along the aorta: station, and where it meets the wall, the false lumen between the
    /// second and the first.
    pub flap: Vec<(f64, [Angle; 2])>,
    /// Ways of the false lumen in the aorta, named with their size.
    pub ways: Vec<MapPoint>,
    /// How many mm of wall a mm of centreline is, over the wall.
    pub wall_scale: Option<WallScale>,
    /// The lumen's diameters, for the strip chart.
    pub lumen: Vec<LumenPoint>,
}

/// A landing zone.
#[derive(Clone, Copy, Debug, PartialEq)]
#[allow(missing_docs)]
pub struct ZoneBand {
    pub zone: u8,
    pub from_mm: f64,
    pub to_mm: f64,
}

/// Wall that the inner side's fold hides.
#[derive(Clone, Debug, PartialEq)]
pub struct FoldPatch {
    /// Its outline on the wall.
    pub outline: Vec<WallSpot>,
    /// Its stations.
    pub from_mm: f64,
    /// Its stations.
    pub to_mm: f64,
}

/// An opening in the wall.
#[derive(Clone, Debug, PartialEq)]
pub struct MapOstium {
    /// Its id.
    pub id: String,
    /// Names of its vessels.
    pub name: String,
    /// Station of its centre.
    pub station_mm: f64,
    /// Stations of its edges along the flow; `None` where its size is not known.
    pub edges_mm: Option<[f64; 2]>,
    /// Clock of its centre.
    pub clock: Option<Angle>,
    /// Its footprint on the wall; empty where size or clock is not known.
    pub outline: Vec<WallSpot>,
}

/// A point that fabric must not cover.
#[derive(Clone, Debug, PartialEq)]
pub struct MapPoint {
    /// Its id.
    pub id: String,
    /// Its name.
    pub name: String,
    /// Its station.
    pub station_mm: f64,
    /// Its clock.
    pub clock: Option<Angle>,
    /// Its extent on the wall; empty where its radius is not known.
    pub outline: Vec<WallSpot>,
}

/// A graft as it lies.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct MapGraft {
    /// Id of the component.
    pub id: String,
    /// Its stretches, upstream first.
    pub stretches: Vec<Stretch>,
    /// Proximal and distal edge of the fabric, each once round the wall from −180° to 180°.
    pub edges: Vec<Vec<WallSpot>>,
    /// The reference line, from edge to edge.
    pub reference: Vec<WallSpot>,
    /// Where it is gripped.
    pub handle: Option<WallSpot>,
    /// Station of the proximal edge; `None` where it lies beyond the data.
    pub edge_mm: Option<f64>,
    /// Clock at which its reference line is placed.
    pub turned: Angle,
    /// Tunnels.
    pub tunnels: Vec<MapTunnel>,
    /// Fenestrations and scallops.
    pub openings: Vec<MapOpening>,
    /// Radio-opaque marks.
    pub marks: Vec<WallSpot>,
    /// Diameter along it, for the strip chart: station and diameter.
    pub diameters: Vec<[f64; 2]>,
    /// Oversize at each zone that is meant to seal.
    pub seals: Vec<SealZone>,
}

/// A stretch of graft of one kind.
#[derive(Clone, Debug, PartialEq)]
pub struct Stretch {
    /// Its upstream border, once round the wall from −180° to 180°.
    pub upstream: Vec<WallSpot>,
    /// Its downstream border.
    pub downstream: Vec<WallSpot>,
    /// What it is.
    pub cover: Cover,
}

/// What a stretch of graft is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Cover {
    /// Fabric meant to seal.
    Seal,
    /// Fabric that reaches the wall.
    Touching,
    /// Fabric narrower than the lumen.
    Free,
    /// No fabric.
    Bare,
}

/// A zone that is meant to seal.
#[derive(Clone, Debug, PartialEq)]
pub struct SealZone {
    /// Its stations.
    pub from_mm: f64,
    /// Its stations.
    pub to_mm: f64,
    /// Least and largest oversize over it, per cent; `None` where unknown.
    pub oversize_percent: Option<[f64; 2]>,
    /// How it stands to its rule.
    pub standing: Standing,
}

/// A tunnel as it lies.
#[derive(Clone, Debug, PartialEq)]
pub struct MapTunnel {
    /// Its id.
    pub id: String,
    /// The vessel it serves.
    pub vessel: String,
    /// Whether blood runs downstream in it.
    pub antegrade: bool,
    /// Centre of its mouth.
    pub mouth: Option<WallSpot>,
    /// Outline of its mouth; empty where the size is not known.
    pub outline: Vec<WallSpot>,
    /// Outline of its body inside the graft; empty where the size is not known.
    pub body: Vec<WallSpot>,
    /// Outlines of the mouth in the other possibilities.
    pub ghosts: Vec<Vec<WallSpot>>,
    /// The bridging path as its points lie over the wall; empty where there is none.
    pub path: Vec<WallSpot>,
    /// The clearance from the mouth's edge to the ostium's.
    pub clearance: MapClearance,
}

/// A clearance with what it runs between.
#[derive(Clone, Debug, PartialEq)]
pub struct MapClearance {
    /// Edge of the mouth that faces the ostium.
    pub from: Option<WallSpot>,
    /// Edge of the ostium that faces the mouth.
    pub to: Option<WallSpot>,
    /// Its value in the possibility drawn.
    pub value_mm: Option<f64>,
    /// How it stands to its rule, on the worst possibility.
    pub standing: Standing,
    /// What else must be said of it: the possibility it hangs on and its value there, or why it is
    /// unknown. Empty for most.
    pub remark: String,
    /// Mouth less ostium, positive to the front-left.
    pub clock_error: Option<Angle>,
    /// How the clock error stands to its rule.
    pub clock_standing: Standing,
}

/// A fenestration or scallop.
#[derive(Clone, Debug, PartialEq)]
pub struct MapOpening {
    /// Its id.
    pub id: String,
    /// Its outline on the wall.
    pub outline: Vec<WallSpot>,
}

/// Wall length for length of centreline, on a grid even in station and clock.
#[derive(Clone, Debug, PartialEq)]
pub struct WallScale {
    /// Columns: stations from the first to the last of the data.
    pub columns: usize,
    /// Row by row from −180° to 180°; NaN where the wall is folded.
    pub values: Vec<f32>,
}

/// Space between fabric and wall, on a grid even in station and clock.
#[derive(Clone, Debug, PartialEq)]
pub struct SpaceField {
    /// Columns: stations from the first to the last of the data.
    pub columns: usize,
    /// Row by row from −180° to 180°, mm; NaN where no fabric lies.
    pub values: Vec<f32>,
}

/// A lumen diameter at a station.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct LumenPoint {
    /// The station.
    pub station_mm: f64,
    /// Area-derived diameter, or the inscribed one where only that was measured.
    pub diameter_mm: f64,
    /// Smallest and largest diameter where measured.
    pub band_mm: Option<[f64; 2]>,
    /// Whether the diameter is that of an inscribed sphere, which is not for sizing.
    pub inscribed: bool,
    /// Whether a section was measured at this very station.
    pub measured: bool,
}
