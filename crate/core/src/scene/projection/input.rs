//! What a simulated projection is drawn from: points in space, taken from a plan's results.

use super::super::from_plan::words;
use crate::anatomy::Anatomy;
use crate::carm::angles::Table;
use crate::carm::outline::{Tube, clocks};
use crate::carm::projection::Ring;
use crate::carm::reach::Reach;
use crate::carm::views::rim;
use crate::casefile::case::{ComponentKind, Graft, Tunnel};
use crate::graft::lie::{GraftLie, Possibility};
use crate::graft::shape;
use crate::plan::Plan;
use crate::units::{Angle, Point3};
use std::f64::consts::TAU;
use std::sync::Arc;

/// How much of the aorta is drawn beyond ostia and grafts, mm.
const BEYOND_MM: f64 = 50.0;
/// How much of a vessel is drawn, mm.
const STUB_MM: f64 = 22.0;
/// Points of a mouth's rim.
const RIM: usize = 32;

/// Everything that lies in space, from a plan.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct ProjectionInput {
    /// Why nothing can be drawn.
    pub missing: Option<String>,
    /// The middle of the picture: the middle of the arch, LPS mm.
    pub isocentre: Point3,
    /// The table under the patient.
    pub table: Table,
    /// The wall of the aorta.
    pub wall: Arc<Tube>,
    /// Its openings.
    pub ostia: Vec<SeenOstium>,
    /// Points to keep clear: id, name, place.
    pub kept_clear: Vec<(String, String, Point3)>,
    /// The grafts as planned.
    pub grafts: Vec<SeenGraft>,
    /// By how much the graft is turned for comparison, and how it then lies; empty without a turn.
    pub turned: (Angle, Vec<SeenGraft>),
    /// Which possibility is drawn, in words.
    pub possibility: Option<Possibility>,
}

/// An ostium and the beginning of its vessels.
#[derive(Clone, Debug, PartialEq)]
pub struct SeenOstium {
    /// Its id.
    pub id: String,
    /// Names of its vessels.
    pub name: String,
    /// Its rim, where place and size are known.
    pub rim: Option<Ring>,
    /// The first piece of each vessel: name, from, to.
    pub vessels: Vec<(String, [Point3; 2])>,
}

/// A graft in space.
#[derive(Clone, Debug, PartialEq)]
pub struct SeenGraft {
    /// Id of the component.
    pub id: String,
    /// The edges of its fabric, closed.
    pub edges: Vec<Vec<Point3>>,
    /// Its covered stretches.
    pub fabric: Vec<Tube>,
    /// Its reference line.
    pub reference: Vec<Point3>,
    /// Its markers: number over all grafts, name, place.
    pub markers: Vec<(usize, String, Point3)>,
    /// Mouths of its tunnels: id, vessel, rim (closed).
    pub mouths: Vec<(String, String, Vec<Point3>)>,
    /// Bodies of its tunnels: id, middle line.
    pub bodies: Vec<(String, Vec<Point3>)>,
    /// Bridging paths of its tunnels as planned: id, points.
    pub paths: Vec<(String, Vec<Point3>)>,
}

impl ProjectionInput {
    /// From a plan, in one possibility (the one asked for, or the first), with the graft also turned
    /// by some angle where that is not zero.
    pub fn from_plan(plan: &Plan, possibility: Option<Possibility>, turn: Angle) -> Self {
        let blank = ProjectionInput { table: Reach::of(plan.case.carm.as_ref()).table, ..ProjectionInput::default() };
        let missing = |why: String| ProjectionInput { missing: Some(why), ..blank.clone() };
        let anatomy = match &plan.anatomy {
            Ok(anatomy) => anatomy,
            Err(why) => return missing(why.0.clone()),
        };
        let (wall, plane) = match (anatomy.wall(), anatomy.course.plane()) {
            (Ok(wall), Ok(plane)) => (wall, plane),
            (Err(why), _) | (_, Err(why)) => return missing(why.0),
        };
        let (from, to) = drawn(plan, anatomy);
        let mut number = 0;
        let lies = |by: Angle, number: &mut usize| -> Vec<SeenGraft> {
            let of = |placed: &crate::graft::lie::PlacedGraft| {
                let lie =
                    placed.lies.iter().find(|lie| Some(lie.possibility) == possibility).or(placed.lies.first())?;
                Some(seen_graft(&placed.component, &placed.graft, &lie.turned_by(by), anatomy, number))
            };
            match by == Angle::ZERO {
                true => plan.grafts.iter().filter_map(of).collect(),
                false => turned_graft(plan).into_iter().filter_map(of).collect(),
            }
        };
        let mut grafts = lies(Angle::ZERO, &mut number);
        for graft in &mut grafts {
            let own = plan.tunnels.iter().filter(|tunnel| tunnel.component == graft.id);
            let drawn = own.filter(|tunnel| possibility.is_none_or(|own| own == tunnel.possibility));
            graft.paths = drawn.map(|tunnel| (tunnel.id.clone(), tunnel.path.points.to_vec())).collect();
        }
        let turned = if turn.to_deg().abs() < 0.05 { Vec::new() } else { lies(turn, &mut 0) };
        ProjectionInput {
            isocentre: plane.point,
            wall: Arc::new(Tube::of_wall(wall, from, to)),
            ostia: anatomy.ostia.iter().map(|ostium| seen_ostium(ostium, anatomy)).collect(),
            kept_clear: kept_clear(plan, anatomy),
            grafts,
            turned: (turn, turned),
            possibility: possibility.filter(|_| plan.possibilities().len() > 1),
            ..blank
        }
    }
}

/// The graft that is turned for comparison: the first arch graft, else the first.
fn turned_graft(plan: &Plan) -> Option<&crate::graft::lie::PlacedGraft> {
    let arch = |id: &str| plan.case.components.iter().any(|c| c.id == id && c.kind == ComponentKind::ArchGraft);
    plan.grafts.iter().find(|graft| arch(&graft.component)).or(plan.grafts.first())
}

/// First and last station that are drawn: what counts of the arch, and no more.
fn drawn(plan: &Plan, anatomy: &Anatomy) -> (f64, f64) {
    let (first, last) = anatomy.course.line().range_mm();
    let ostia = anatomy.ostia.iter().map(|ostium| ostium.place.station_mm);
    let ends = plan.grafts.iter().flat_map(|graft| &graft.lies).flat_map(|lie| {
        let places = lie.places();
        [places.first(), places.last()].into_iter().flatten().map(|place| place.1).collect::<Vec<_>>()
    });
    let kept = anatomy.keep_clear.iter().map(|point| point.place.station_mm);
    let all: Vec<f64> = ostia.chain(ends).chain(kept).filter(|s| s.is_finite()).collect();
    let low = all.iter().copied().fold(f64::INFINITY, f64::min) - BEYOND_MM / 2.0;
    let high = all.iter().copied().fold(f64::NEG_INFINITY, f64::max) + BEYOND_MM / 2.0;
    if low < high { (low.clamp(first, last), high.clamp(first, last)) } else { (first, last) }
}

fn seen_ostium(ostium: &crate::anatomy::openings::Ostium, anatomy: &Anatomy) -> SeenOstium {
    let from = ostium.place.point.value().copied();
    let stub = |id: &String| {
        let vessel = anatomy.vessels.iter().find(|vessel| vessel.id == *id)?;
        let (from, along) = (from?, vessel.takeoff.value()?);
        Some((id.clone(), [from, from + along * STUB_MM]))
    };
    SeenOstium {
        id: ostium.id.clone(),
        name: if ostium.vessels.is_empty() { ostium.id.clone() } else { ostium.vessels.join(" + ") },
        rim: rim(ostium, anatomy).ok(),
        vessels: ostium.vessels.iter().filter_map(stub).collect(),
    }
}

fn kept_clear(plan: &Plan, anatomy: &Anatomy) -> Vec<(String, String, Point3)> {
    let pairs = anatomy.keep_clear.iter().zip(&plan.case.anatomy.keep_clear);
    let named = pairs.filter_map(|(point, typed)| {
        let side = typed.side.as_deref().map_or(String::new(), |side| format!("{} ", words(side)));
        Some((point.id.clone(), format!("{side}{}", words(&point.kind)), *point.place.point.value()?))
    });
    named.collect()
}

fn seen_graft(id: &str, graft: &Graft, lie: &GraftLie, anatomy: &Anatomy, number: &mut usize) -> SeenGraft {
    let fabric = |u: f64, clock: Angle| lie.fabric(graft, u, clock, anatomy).ok().map(|fabric| fabric.point);
    let edge = |u: f64| {
        let mut ring = clocks().map(|clock| fabric(u, clock)).collect::<Option<Vec<_>>>()?;
        ring.extend(ring.first().copied());
        Some(ring)
    };
    let places = lie.places();
    let stops = places.iter().step_by(2).chain(places.last());
    let markers = graft.markers.iter().filter_map(|mark| {
        *number += 1;
        Some((*number, mark.name.clone(), fabric(mark.u_mm, Angle::deg(mark.clock_deg))?))
    });
    SeenGraft {
        id: id.to_owned(),
        edges: [0.0, graft.length_mm].into_iter().filter_map(edge).collect(),
        fabric: shape::covered(graft)
            .into_iter()
            .map(|(from, to)| Tube::of_fabric(graft, lie, anatomy, from, to))
            .collect(),
        reference: stops.filter_map(|(u, _)| fabric(*u, Angle::ZERO)).collect(),
        markers: markers.collect(),
        mouths: graft.tunnels.iter().filter_map(|tunnel| mouth(graft, tunnel, &fabric)).collect(),
        bodies: graft.tunnels.iter().filter_map(|tunnel| body(graft, tunnel, lie)).collect(),
        paths: Vec::new(),
    }
}

/// The rim of a mouth on the fabric.
fn mouth(
    graft: &Graft,
    tunnel: &Tunnel,
    fabric: &impl Fn(f64, Angle) -> Option<Point3>,
) -> Option<(String, String, Vec<Point3>)> {
    let (u, clock) = (tunnel.mouth_u_mm, Angle::deg(tunnel.mouth_clock_deg));
    let along = tunnel.mouth_along_mm? / 2.0;
    let across = tunnel.mouth_across_mm.or(tunnel.mouth_along_mm)? / 2.0;
    let radius = shape::fabric_mm(shape::section_at(graft, u)?, u, clock).max(0.5);
    let around = Angle::rad((across / radius).min(TAU / 4.0));
    let at = |k: usize| {
        let turn = Angle::rad(TAU * k as f64 / RIM as f64);
        fabric((u + along * turn.cos()).clamp(0.0, graft.length_mm), clock + around * turn.sin())
    };
    let ring = (0..=RIM).map(at).collect::<Option<Vec<_>>>()?;
    Some((tunnel.id.clone(), tunnel.serves.clone(), ring))
}

/// The middle line of a tunnel's body, which lies against the fabric from inside.
fn body(graft: &Graft, tunnel: &Tunnel, lie: &GraftLie) -> Option<(String, Vec<Point3>)> {
    let (from, to) = shape::body(tunnel)?;
    let clock = Angle::deg(tunnel.mouth_clock_deg);
    let inside = tunnel.diameter_mm? / 2.0;
    let at = |k: u32| {
        let u = (from + (to - from) * f64::from(k) / 8.0).clamp(0.0, graft.length_mm);
        let axis = lie.axis(u).ok()?;
        let reach = shape::fabric_mm(shape::section_at(graft, u)?, u, clock) - inside;
        Some(axis.point + axis.towards(clock) * reach.max(0.0))
    };
    Some((tunnel.id.clone(), (0..=8).filter_map(at).collect()))
}
