//! A graft from the side: stretches, edges, tunnels, openings, marks, barbs and tip as they lie.

use super::{Draw, OVAL, STEP_MM};
use crate::casefile::case::{Flow, Graft, Section, Tunnel};
use crate::graft::lie::GraftLie;
use crate::graft::shape;
use crate::placement::space::CONTACT_MM;
use crate::scene::Spot;
use crate::scene::map_input::Cover;
use crate::scene::side_view::SideTunnel;
use crate::units::Angle;
use std::f64::consts::TAU;

/// A graft as it lies, to be drawn.
pub(super) struct OnGraft<'a> {
    pub(super) draw: &'a Draw<'a>,
    pub(super) graft: &'a Graft,
    pub(super) lie: &'a GraftLie,
}

impl OnGraft<'_> {
    /// A point of the fabric.
    pub(super) fn spot(&self, u_mm: f64, on_graft: Angle) -> Option<Spot> {
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

    pub(super) fn across(&self, section: &Section, u_mm: f64) -> Option<Vec<Spot>> {
        self.outline(u_mm, (section.from_u_mm + section.to_u_mm) / 2.0).map(|ends| ends.to_vec())
    }

    /// Sections within the data, cut where fabric begins or ceases to reach the wall.
    pub(super) fn stretches(&self) -> Vec<(Cover, Vec<Spot>)> {
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

    pub(super) fn edges(&self) -> Vec<Vec<Spot>> {
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

    pub(super) fn tunnel(&self, tunnel: &Tunnel, path: Vec<Spot>) -> SideTunnel {
        let clock = Angle::deg(tunnel.mouth_clock_deg);
        let mouth = match (tunnel.mouth_along_mm, tunnel.mouth_across_mm) {
            (Some(a), Some(b)) => self.oval(tunnel.mouth_u_mm, clock, a / 2.0, b / 2.0, 0.0, TAU),
            _ => Vec::new(),
        };
        let arrow = || {
            let axis = self.lie.axis(tunnel.mouth_u_mm).ok()?;
            let sign = if tunnel.flow == Flow::Antegrade { 1.0 } else { -1.0 };
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

    pub(super) fn openings(&self) -> Vec<(String, Vec<Spot>)> {
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
    pub(super) fn barbs(&self) -> Vec<Vec<Spot>> {
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
    pub(super) fn tip(&self) -> Vec<Spot> {
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
