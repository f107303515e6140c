//! What the side view is drawn from: outlines in the plane of the arch, in mm, x downstream over the
//! top of the arch and y towards the head. [`super::from_plan`] fills it.

use super::super::Spot;
use super::super::map_input::Cover;
use crate::graft::lie::Possibility;

/// Everything a side view shows.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct SideInput {
    /// The case's label.
    pub label: String,
    /// Why nothing can be drawn, in a sentence.
    pub missing: Option<String>,
    /// From which side of the patient the arch is seen, in words.
    pub seen_from: String,
    /// The lumen's outline: its wall along 12:00, then back along 6:00.
    pub lumen: Vec<Spot>,
    /// The centreline.
    pub centreline: Vec<Spot>,
    /// Station of each of its points, and the lumen's radius towards 12:00 there, mm.
    pub along: Vec<(f64, f64)>,
    /// Stations with their place on the outer wall and the direction away from it.
    pub ticks: Vec<Tick>,
    /// Ostia and points to keep clear.
    pub sites: Vec<SideSite>,
    /// Vessels along their take-off.
    pub vessels: Vec<SideVessel>,
    /// Plugs in vessels: id and outline.
    pub plugs: Vec<(String, Vec<Spot>)>,
    /// Grafts, in the order of the case.
    pub grafts: Vec<SideGraft>,
    /// Which possibility is drawn.
    pub possibility: Option<Possibility>,
}

/// A station on the outer wall.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Tick {
    /// The station, mm.
    pub station_mm: i64,
    /// Its place on the outer wall.
    pub at: Spot,
    /// Unit direction away from the lumen.
    pub out: Spot,
}

/// An ostium or a point to keep clear.
#[derive(Clone, Debug, PartialEq)]
pub struct SideSite {
    /// Its id.
    pub id: String,
    /// Whether it must be kept clear.
    pub keep_clear: bool,
    /// Its name, for a point to keep clear.
    pub name: String,
    /// Its outline.
    pub outline: Vec<Spot>,
}

/// A vessel along its take-off.
#[derive(Clone, Debug, PartialEq)]
pub struct SideVessel {
    /// Its id.
    pub id: String,
    /// Its two sides, from the wall outward.
    pub sides: [Vec<Spot>; 2],
    /// Where its name goes: beyond its end.
    pub end: Spot,
}

/// A graft as it lies.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct SideGraft {
    /// Id of the component.
    pub id: String,
    /// Its stretches, upstream first, each as a ring.
    pub stretches: Vec<(Cover, Vec<Spot>)>,
    /// Borders of sections.
    pub borders: Vec<Vec<Spot>>,
    /// Proximal and distal edge of the fabric.
    pub edges: Vec<Vec<Spot>>,
    /// Tunnels.
    pub tunnels: Vec<SideTunnel>,
    /// Fenestrations and scallops: id and outline.
    pub openings: Vec<(String, Vec<Spot>)>,
    /// Radio-opaque marks.
    pub marks: Vec<Spot>,
    /// Barbs: short lines outward.
    pub barbs: Vec<Vec<Spot>>,
    /// The tip, from the proximal edge upstream.
    pub tip: Vec<Spot>,
}

/// A tunnel as it lies.
#[derive(Clone, Debug, PartialEq)]
pub struct SideTunnel {
    /// Its id.
    pub id: String,
    /// The vessel it serves.
    pub vessel: String,
    /// Its body; empty where its size is not known.
    pub body: Vec<Spot>,
    /// Its mouth; empty where its size is not known.
    pub mouth: Vec<Spot>,
    /// The bridging path; empty where there is none.
    pub path: Vec<Spot>,
    /// Centre of its mouth and the direction of its blood there.
    pub arrow: Option<(Spot, Spot)>,
}
