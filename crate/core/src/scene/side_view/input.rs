//! What the side view is drawn from: outlines in the plane of the arch, in mm, x downstream over the
//! top of the arch and y towards the head.
//!
//! It reads results and asks the geometry where outlines lie; it measures nothing.

use super::super::Spot;
use super::super::map_input::Cover;
use crate::anatomy::Anatomy;
use crate::casefile::case::{Case, ComponentKind, Graft, Section, Tunnel, VesselInput};
use crate::graft::lie::{GraftLie, PlacedGraft, Possibility};
use crate::graft::shape;
use crate::placement::space::CONTACT_MM;
use crate::plan::Plan;
use crate::units::{Angle, Point3, Vec3};
use std::f64::consts::TAU;

/// Distance of points along an outline, mm.
const STEP_MM: f64 = 2.0;
/// Points of an oval.
const OVAL: usize = 32;
/// Vessels are drawn this far from the wall, mm.
const VESSEL_MM: f64 = 30.0;
/// Stations with a tick are this far apart, mm.
const TICK_MM: i64 = 10;

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

/// The plane things are projected on.
#[derive(Clone, Copy)]
struct View {
    right: Vec3,
    up: Vec3,
    toward: Vec3,
}

impl View {
    /// Square to the arch plane, flow to the right over the top, head up.
    fn of(anatomy: &Anatomy) -> Option<Self> {
        let plane = anatomy.course.plane().ok()?;
        let n = plane.normal;
        let head = Vec3::z() - n * n.z;
        // An arch that lies flat in the patient has no head end: its outer curve is up.
        let middle = (plane.from_mm + plane.to_mm) / 2.0;
        let up = if head.norm() > 0.1 { head } else { anatomy.course.frame(middle).ok()?.outer };
        let up = (up - n * up.dot(&n)).try_normalize(1e-9)?;
        Some(View { right: up.cross(&n), up, toward: n })
    }

    fn spot(&self, point: &Point3) -> Spot {
        [point.coords.dot(&self.right), point.coords.dot(&self.up)]
    }

    fn across(&self, direction: &Vec3) -> Spot {
        [direction.dot(&self.right), direction.dot(&self.up)]
    }

    /// Unit direction in the plane, to the outer side of something that runs along a tangent.
    fn beside(&self, tangent: &Vec3) -> Vec3 {
        self.toward.cross(tangent).try_normalize(1e-9).unwrap_or(self.up)
    }

    /// From which side of the patient one looks, by the largest parts of the direction.
    fn seen_from(&self) -> String {
        let part = |value: f64, plus: &'static str, minus: &'static str| match value {
            v if v > 0.38 => plus,
            v if v < -0.38 => minus,
            _ => "",
        };
        let words = [
            part(self.toward.y, "back", "front"),
            part(self.toward.x, "left", "right"),
            part(self.toward.z, "head", "feet"),
        ];
        words.into_iter().filter(|word| !word.is_empty()).collect::<Vec<_>>().join(" and ")
    }
}

impl SideInput {
    /// What is to be drawn of a plan, in one possibility: the one asked for, or the plan's first.
    pub fn from_plan(plan: &Plan, possibility: Option<Possibility>) -> Self {
        let all = plan.possibilities();
        let possibility = possibility.filter(|own| all.contains(own)).or(all.first().copied());
        let blank = SideInput { label: plan.case.label.clone(), possibility, ..SideInput::default() };
        let missing = |why: &str| SideInput { missing: Some(why.into()), ..blank.clone() };
        let anatomy = match &plan.anatomy {
            Ok(anatomy) => anatomy,
            Err(why) => return missing(&why.0),
        };
        let (view, wall) = match (View::of(anatomy), anatomy.wall()) {
            (Some(view), Ok(_)) => (view, ()),
            (_, Err(why)) => return missing(&why.0),
            (None, _) => return missing(crate::message::NO_PLANE),
        };
        let () = wall;
        let draw = Draw { case: &plan.case, anatomy, view };
        let grafts = plan.grafts.iter().filter_map(|placed| {
            let lie = possibility.and_then(|p| placed.lie_in(p))?;
            Some(draw.graft(plan, placed, lie))
        });
        SideInput {
            seen_from: view.seen_from(),
            lumen: draw.lumen(),
            centreline: draw.centreline(),
            along: draw.along(),
            ticks: draw.ticks(),
            sites: draw.sites(),
            vessels: plan.case.anatomy.vessels.iter().filter_map(|v| draw.vessel(v)).collect(),
            plugs: draw.plugs(),
            grafts: grafts.collect(),
            ..blank
        }
    }
}

struct Draw<'a> {
    case: &'a Case,
    anatomy: &'a Anatomy,
    view: View,
}

impl Draw<'_> {
    fn wall(&self, station_mm: f64, clock: Angle) -> Option<Spot> {
        Some(self.view.spot(&self.anatomy.wall().ok()?.point(station_mm, clock).ok()?))
    }

    fn stations(&self) -> impl Iterator<Item = f64> {
        let (first, last) = self.anatomy.course.line().range_mm();
        let steps = ((last - first) / STEP_MM).ceil().clamp(1.0, 3000.0) as usize;
        (0..=steps).map(move |k| first + (last - first) * k as f64 / steps as f64)
    }

    /// The wall along 12:00 and 6:00; where the inner side folds it is left out.
    fn lumen(&self) -> Vec<Spot> {
        let folded = |s: f64| self.anatomy.folds.iter().any(|fold| s >= fold.from_mm && s <= fold.to_mm);
        let outer = self.stations().filter_map(|s| self.wall(s, Angle::ZERO));
        let inner: Vec<Spot> =
            self.stations().filter(|s| !folded(*s)).filter_map(|s| self.wall(s, Angle::HALF_TURN)).collect();
        outer.chain(inner.into_iter().rev()).collect()
    }

    fn centreline(&self) -> Vec<Spot> {
        self.stations().map(|s| self.view.spot(&self.anatomy.course.line().at(s).point)).collect()
    }

    fn along(&self) -> Vec<(f64, f64)> {
        let radius = |s: f64| self.anatomy.lumen().map_or(0.0, |lumen| lumen.radius(s, Angle::ZERO).mm);
        self.stations().map(|s| (s, radius(s))).collect()
    }

    fn ticks(&self) -> Vec<Tick> {
        let (first, last) = self.anatomy.course.line().range_mm();
        let (from, to) = ((first / TICK_MM as f64).ceil() as i64, (last / TICK_MM as f64).floor() as i64);
        (from..=to.min(from + 500))
            .filter_map(|k| {
                let station = (k * TICK_MM) as f64;
                let frame = self.anatomy.course.frame(station).ok()?;
                let out = self.view.across(&frame.outer);
                let length = out[0].hypot(out[1]);
                (length > 0.1).then_some(())?;
                let at = self.wall(station, Angle::ZERO)?;
                Some(Tick { station_mm: k * TICK_MM, at, out: [out[0] / length, out[1] / length] })
            })
            .collect()
    }

    fn sites(&self) -> Vec<SideSite> {
        let ostia = self.anatomy.ostia.iter().filter_map(|o| {
            let edges = o.edges_mm.as_ref().ok()?;
            let clock = *o.place.clock.value()?;
            let half = o.across_mm.value()? / 2.0;
            let outline = self.oval(o.place.station_mm, clock, *edges, half)?;
            Some(SideSite { id: o.id.clone(), keep_clear: false, name: String::new(), outline })
        });
        let points = self.anatomy.keep_clear.iter().filter_map(|k| {
            let (clock, radius) = (*k.place.clock.value()?, *k.radius_mm.value()?);
            let at = k.place.station_mm;
            let outline = self.oval(at, clock, (at - radius, at + radius), radius)?;
            Some(SideSite { id: k.id.clone(), keep_clear: true, name: k.kind.replace('_', " "), outline })
        });
        ostia.chain(points).collect()
    }

    /// An oval on the wall between two stations, a half width around.
    fn oval(&self, station_mm: f64, clock: Angle, edges: (f64, f64), half_mm: f64) -> Option<Vec<Spot>> {
        let radius = self.anatomy.lumen().ok()?.radius(station_mm, clock).mm;
        (0..OVAL)
            .map(|k| {
                let (sin, cos) = (TAU * k as f64 / OVAL as f64).sin_cos();
                let reach = if cos < 0.0 { station_mm - edges.0 } else { edges.1 - station_mm };
                let around = Angle::rad((half_mm * sin / radius.max(0.1)).clamp(-1.5, 1.5));
                self.wall(station_mm + reach * cos, clock + around)
            })
            .collect()
    }

    /// Where a vessel leaves and its direction, with its diameter.
    fn takeoff(&self, input: &VesselInput) -> Option<(Point3, Vec3, f64)> {
        let vessel = self.anatomy.vessels.iter().find(|v| v.id == input.id)?;
        let ostium = &self.anatomy.ostia[vessel.ostium?];
        let start = ostium.place.point.value()?;
        let towards = vessel.takeoff.value()?;
        let width = input.diameters.first().map(|d| d.diameter_mm).or(ostium.across_mm.value().copied())?;
        Some((start + towards * input.at_mm, *towards, width))
    }

    fn vessel(&self, input: &VesselInput) -> Option<SideVessel> {
        let (start, towards, width) = self.takeoff(input)?;
        let beside = self.view.beside(&towards) * (width / 2.0);
        let side = |sign: f64| {
            let from = start + beside * sign;
            vec![self.view.spot(&from), self.view.spot(&(from + towards * VESSEL_MM))]
        };
        let end = self.view.spot(&(start + towards * (VESSEL_MM + 4.0)));
        Some(SideVessel { id: input.id.clone(), sides: [side(1.0), side(-1.0)], end })
    }

    fn plugs(&self) -> Vec<(String, Vec<Spot>)> {
        let plugs = self.case.components.iter().filter(|c| c.kind == ComponentKind::Plug);
        plugs
            .filter_map(|c| {
                let vessel = self.case.anatomy.vessels.iter().find(|v| Some(&v.id) == c.in_vessel.as_ref())?;
                let (start, towards, _) = self.takeoff(vessel)?;
                let (at, length) = (c.at_mm.unwrap_or(0.0), c.length_mm?);
                let beside = self.view.beside(&towards) * (c.diameter_mm? / 2.0);
                let corner = |along: f64, sign: f64| self.view.spot(&(start + towards * along + beside * sign));
                let ring = vec![corner(at, 1.0), corner(at + length, 1.0), corner(at + length, -1.0), corner(at, -1.0)];
                Some((c.id.clone(), ring))
            })
            .collect()
    }

    fn graft(&self, plan: &Plan, placed: &PlacedGraft, lie: &GraftLie) -> SideGraft {
        let path = |tunnel: &Tunnel| -> Vec<Spot> {
            let own = plan.tunnels.iter().find(|t| t.id == tunnel.id && t.possibility == lie.possibility);
            own.map_or(Vec::new(), |t| t.path.points.iter().map(|p| self.view.spot(p)).collect())
        };
        let on = OnGraft { draw: self, graft: &placed.graft, lie };
        SideGraft {
            id: placed.component.clone(),
            stretches: on.stretches(),
            borders: on.graft.sections.iter().skip(1).filter_map(|s| on.across(s, s.from_u_mm)).collect(),
            edges: on.edges(),
            tunnels: on.graft.tunnels.iter().map(|t| on.tunnel(t, path(t))).collect(),
            openings: on.openings(),
            marks: on.graft.markers.iter().filter_map(|m| on.spot(m.u_mm, Angle::deg(m.clock_deg))).collect(),
            barbs: on.barbs(),
            tip: on.tip(),
        }
    }
}

struct OnGraft<'a> {
    draw: &'a Draw<'a>,
    graft: &'a Graft,
    lie: &'a GraftLie,
}

impl OnGraft<'_> {
    /// A point of the fabric.
    fn spot(&self, u_mm: f64, on_graft: Angle) -> Option<Spot> {
        let fabric = self.lie.fabric(self.graft, u_mm, on_graft, self.draw.anatomy).ok()?;
        Some(self.draw.view.spot(&fabric.point))
    }

    /// Graft clocks of the fabric's outline as seen: outer side, then inner side.
    fn sides(&self, u_mm: f64) -> Option<[Angle; 2]> {
        let axis = self.lie.axis(u_mm).ok()?;
        let outer = axis.clock_of(&self.draw.view.beside(&axis.tangent));
        Some([outer, outer + Angle::HALF_TURN])
    }

    /// The fabric's outline at a place: outer side and inner side. `inside` lies within the section
    /// that counts, where two of them meet.
    fn outline(&self, u_mm: f64, inside_mm: f64) -> Option<[Spot; 2]> {
        let near = u_mm + (inside_mm - u_mm).signum() * (inside_mm - u_mm).abs().min(1e-6);
        let [outer, inner] = self.sides(near)?;
        Some([self.spot(near, outer)?, self.spot(near, inner)?])
    }

    fn across(&self, section: &Section, u_mm: f64) -> Option<Vec<Spot>> {
        self.outline(u_mm, (section.from_u_mm + section.to_u_mm) / 2.0).map(|ends| ends.to_vec())
    }

    /// Sections within the data, cut where fabric begins or ceases to reach the wall.
    fn stretches(&self) -> Vec<(Cover, Vec<Spot>)> {
        let mut stretches = Vec::new();
        let places = self.lie.places();
        let Some((first, last)) = places.first().zip(places.last()).map(|(a, b)| (a.0, b.0)) else { return stretches };
        for section in &self.graft.sections {
            let (from, to) = (section.from_u_mm.max(first), section.to_u_mm.min(last));
            if to - from < 1e-6 {
                continue;
            }
            let steps = ((to - from) / STEP_MM).ceil().clamp(1.0, 1000.0) as usize;
            let at = |k: usize| from + (to - from) * k as f64 / steps as f64;
            let mut start = 0;
            for k in 1..=steps {
                if k == steps
                    || self.cover(section, at(k) + (at(k + 1) - at(k)) / 2.0)
                        != self.cover(section, (at(start) + at(start + 1)) / 2.0)
                {
                    let middle = (from + to) / 2.0;
                    let ends: Vec<[Spot; 2]> = (start..=k).filter_map(|i| self.outline(at(i), middle)).collect();
                    let ring = ends.iter().map(|e| e[0]).chain(ends.iter().rev().map(|e| e[1])).collect();
                    stretches.push((self.cover(section, (at(start) + at(start + 1)) / 2.0), ring));
                    start = k;
                }
            }
        }
        stretches
    }

    fn cover(&self, section: &Section, u_mm: f64) -> Cover {
        let radius = shape::diameter_mm(section, u_mm) / 2.0;
        let lumen = self.draw.anatomy.lumen().ok().zip(self.lie.station_mm(u_mm).ok()).map(|(l, s)| l.mean_mm(s));
        let free = lumen.is_some_and(|mean| radius < mean - CONTACT_MM);
        match (section.covered, free, section.seals) {
            (false, ..) => Cover::Bare,
            (true, true, _) => Cover::Free,
            (true, false, true) => Cover::Seal,
            (true, false, false) => Cover::Touching,
        }
    }

    fn edges(&self) -> Vec<Vec<Spot>> {
        let middle = self.graft.length_mm / 2.0;
        [0.0, self.graft.length_mm].iter().filter_map(|u| Some(self.outline(*u, middle)?.to_vec())).collect()
    }

    /// An oval on the fabric.
    fn oval(&self, u_mm: f64, on_graft: Angle, half_along: f64, half_across: f64, from: f64, to: f64) -> Vec<Spot> {
        let Some(section) = shape::section_at(self.graft, u_mm) else { return Vec::new() };
        let radius = shape::fabric_mm(section, u_mm, on_graft).max(0.5);
        let spots: Option<Vec<Spot>> = (0..=OVAL)
            .map(|k| {
                let (sin, cos) = (from + (to - from) * k as f64 / OVAL as f64).sin_cos();
                let around = Angle::rad((half_across * sin / radius).clamp(-1.5, 1.5));
                self.spot(u_mm + half_along * cos, on_graft + around)
            })
            .collect();
        spots.unwrap_or_default()
    }

    fn tunnel(&self, tunnel: &Tunnel, path: Vec<Spot>) -> SideTunnel {
        let clock = Angle::deg(tunnel.mouth_clock_deg);
        let mouth = match (tunnel.mouth_along_mm, tunnel.mouth_across_mm) {
            (Some(a), Some(b)) => self.oval(tunnel.mouth_u_mm, clock, a / 2.0, b / 2.0, 0.0, TAU),
            _ => Vec::new(),
        };
        let arrow = || {
            let axis = self.lie.axis(tunnel.mouth_u_mm).ok()?;
            let sign = if tunnel.flow == crate::casefile::case::Flow::Antegrade { 1.0 } else { -1.0 };
            Some((self.spot(tunnel.mouth_u_mm, clock)?, self.draw.view.across(&(axis.tangent * sign))))
        };
        SideTunnel {
            id: tunnel.id.clone(),
            vessel: tunnel.serves.clone(),
            body: self.body(tunnel, clock).unwrap_or_default(),
            mouth,
            path,
            arrow: arrow(),
        }
    }

    /// The tube of a tunnel, as wide as it is, against the fabric from inside.
    fn body(&self, tunnel: &Tunnel, clock: Angle) -> Option<Vec<Spot>> {
        let ((from, to), width) = (shape::body(tunnel)?, tunnel.diameter_mm?);
        let steps = ((to - from) / STEP_MM).ceil().clamp(1.0, 200.0) as usize;
        let mut sides = [Vec::new(), Vec::new()];
        for k in 0..=steps {
            let u = (from + (to - from) * k as f64 / steps as f64).clamp(0.0, self.graft.length_mm);
            let Ok(axis) = self.lie.axis(u) else { continue };
            let Ok(fabric) = self.lie.fabric(self.graft, u, clock, self.draw.anatomy) else { continue };
            let middle = fabric.point - axis.towards(clock) * (width / 2.0);
            let beside = self.draw.view.beside(&axis.tangent) * (width / 2.0);
            sides[0].push(self.draw.view.spot(&(middle + beside)));
            sides[1].push(self.draw.view.spot(&(middle - beside)));
        }
        let [outer, inner] = sides;
        Some(outer.into_iter().chain(inner.into_iter().rev()).collect())
    }

    fn openings(&self) -> Vec<(String, Vec<Spot>)> {
        let windows = self.graft.fenestrations.iter().map(|f| {
            let ring = self.oval(f.u_mm, Angle::deg(f.clock_deg), f.along_mm / 2.0, f.across_mm / 2.0, 0.0, TAU);
            (f.id.clone(), ring)
        });
        let quarter = TAU / 4.0;
        let notches = self.graft.scallops.iter().map(|s| {
            let ring = self.oval(0.0, Angle::deg(s.clock_deg), s.depth_mm, s.width_mm / 2.0, -quarter, quarter);
            (s.id.clone(), ring)
        });
        windows.chain(notches).collect()
    }

    /// Short lines outward on both sides, 2 mm apart along each stretch.
    fn barbs(&self) -> Vec<Vec<Spot>> {
        let mut lines = Vec::new();
        for stretch in &self.graft.barbs {
            let count = ((stretch.to_u_mm - stretch.from_u_mm) / 2.0).ceil().clamp(1.0, 100.0) as usize;
            for k in 0..=count {
                let u = stretch.from_u_mm + (stretch.to_u_mm - stretch.from_u_mm) * k as f64 / count as f64;
                let Some([outer, inner]) = self.outline(u, self.graft.length_mm / 2.0) else { continue };
                let across = [outer[0] - inner[0], outer[1] - inner[1]];
                let length = across[0].hypot(across[1]).max(1e-9);
                let out = [1.5 * across[0] / length, 1.5 * across[1] / length];
                lines.push(vec![outer, [outer[0] + out[0], outer[1] + out[1]]]);
                lines.push(vec![inner, [inner[0] - out[0], inner[1] - out[1]]]);
            }
        }
        lines
    }

    /// The tip reaches upstream of the proximal edge, along the centreline.
    fn tip(&self) -> Vec<Spot> {
        let (Some(length), Ok(station)) = (self.graft.tip_length_mm, self.lie.station_mm(0.0)) else {
            return Vec::new();
        };
        let line = self.draw.anatomy.course.line();
        let from = station.clamp(line.range_mm().0, line.range_mm().1);
        let to = (station - length).max(line.range_mm().0);
        let steps = ((from - to) / STEP_MM).ceil().clamp(1.0, 200.0) as usize;
        (0..=steps).map(|k| self.draw.view.spot(&line.at(from + (to - from) * k as f64 / steps as f64).point)).collect()
    }
}
