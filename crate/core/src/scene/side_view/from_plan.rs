//! The input of the side view from a plan's results: the plane it is seen in, and where the anatomy's outlines
//! lie in it; grafts are [`grafts`]'.
//!
//! It reads results and asks the geometry where outlines lie; it measures nothing.

mod grafts;

use super::super::Spot;
use super::input::{SideGraft, SideInput, SideSite, SideVessel, Tick};
use crate::anatomy::Anatomy;
use crate::casefile::case::{Case, ComponentKind, Tunnel, VesselInput};
use crate::graft::lie::{GraftLie, PlacedGraft, Possibility};
use crate::message;
use crate::plan::Plan;
use crate::units::{Angle, Point3, Vec3};
use grafts::OnGraft;
use std::f64::consts::TAU;

/// Distance of points along an outline, mm.
const STEP_MM: f64 = 2.0;
/// Points of an oval.
const OVAL: usize = 32;
/// Vessels are drawn this far from the wall, mm.
const VESSEL_MM: f64 = 30.0;
/// Stations with a tick are this far apart, mm.
const TICK_MM: i64 = 10;

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
        if let Err(why) = anatomy.wall() {
            return missing(&why.0);
        }
        let Some(view) = View::of(anatomy) else { return missing(message::NO_PLANE) };
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
