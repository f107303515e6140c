//! Grafts as they lie in one possibility: stretches, mouths, bodies, clearances.

use super::super::axes::WallSpot;
use super::super::map_input::{
    Cover, MapAnatomy, MapClearance, MapGraft, MapOpening, MapTunnel, SealZone, Standing, Stretch,
};
use super::{OUTLINE, standing};
use crate::anatomy::Anatomy;
use crate::casefile::case::{Flow, Graft, Tunnel};
use crate::graft::lie::{GraftLie, Lie, PlacedGraft, Possibility};
use crate::graft::shape;
use crate::numeric::periodic::PeriodicSpline;
use crate::placement::space::CONTACT_MM;
use crate::placement::tunnel::TunnelResult;
use crate::plan::Plan;
use crate::report::words::{self, tenths};
use crate::rules::measure;
use crate::units::{Angle, Point3};
use std::f64::consts::PI;

/// Every so many points of a path are drawn: 2 mm apart on most.
const PATH_STEP: usize = 2;

pub(super) fn grafts(plan: &Plan, measured: &Anatomy, drawn: &MapAnatomy, possibility: Possibility) -> Vec<MapGraft> {
    plan.grafts
        .iter()
        .filter_map(|placed| {
            let lie = placed.lies.iter().find(|lie| lie.possibility == possibility).or(placed.lies.first())?;
            Some(Placed { plan, measured, drawn, placed, lie, graft: &placed.graft }.shown())
        })
        .collect()
}

/// Points of an opening's outline that are laid on the wall one by one. A cubic through as many points of an
/// oval of 14 mm errs by a hundredth of a mm.
const PLACED: usize = 8;

/// The smooth closed line through points of the wall that lie round an opening.
fn closed_line(placed: &[WallSpot], count: usize) -> Vec<WallSpot> {
    let Some(first) = placed.first() else { return Vec::new() };
    let stations: Vec<f64> = placed.iter().map(|spot| spot.station_mm).collect();
    // Told from the first one, so that the line may cross 6:00.
    let clocks: Vec<f64> = placed.iter().map(|spot| (spot.clock - first.clock).wrapped().to_rad()).collect();
    let (stations, clocks) = (PeriodicSpline::through(&stations), PeriodicSpline::through(&clocks));
    let spot = |index: usize| {
        let turn = Angle::rad(2.0 * PI * index as f64 / count as f64);
        WallSpot {
            station_mm: stations.value_and_slope(turn).0,
            clock: (first.clock + Angle::rad(clocks.value_and_slope(turn).0)).wrapped(),
        }
    };
    (0..count).map(spot).collect()
}

struct Placed<'a> {
    plan: &'a Plan,
    measured: &'a Anatomy,
    drawn: &'a MapAnatomy,
    placed: &'a PlacedGraft,
    lie: &'a GraftLie,
    graft: &'a Graft,
}

impl Placed<'_> {
    fn shown(&self) -> MapGraft {
        let edges: Vec<Vec<WallSpot>> =
            [0.0, self.graft.length_mm].into_iter().filter_map(|u| self.around(u)).collect();
        MapGraft {
            id: self.placed.component.clone(),
            stretches: self.stretches(),
            edges,
            reference: self.reference(),
            handle: self.handle(),
            edge_mm: self.lie.station_mm(0.0).ok(),
            turned: Angle::deg(self.placed.placement.clock_deg).wrapped(),
            tunnels: self.graft.tunnels.iter().map(|tunnel| self.tunnel(tunnel)).collect(),
            openings: self.openings(),
            marks: self
                .graft
                .markers
                .iter()
                .filter_map(|mark| self.spot(self.lie, mark.u_mm, Angle::deg(mark.clock_deg)))
                .collect(),
            diameters: self.diameters(),
            seals: self.seals(),
        }
    }

    /// A point of the fabric on the wall.
    fn spot(&self, lie: &GraftLie, u_mm: f64, on_graft: Angle) -> Option<WallSpot> {
        // Openings at an edge are drawn as if the fabric went on.
        let within = u_mm.clamp(0.0, self.graft.length_mm);
        let point = lie.fabric(self.graft, within, on_graft, self.measured).ok()?;
        Some(WallSpot { station_mm: point.station_mm + u_mm - within, clock: point.clock })
    }

    /// Once round the fabric at a point of the graft, from −180° to 180°.
    fn around(&self, u_mm: f64) -> Option<Vec<WallSpot>> {
        let station_mm = self.lie.station_mm(u_mm).ok()?;
        if self.lie.possibility.lie == Lie::Middle {
            return Some(
                [-180.0, -90.0, 0.0, 90.0, 180.0].map(|deg| WallSpot { station_mm, clock: Angle::deg(deg) }).to_vec(),
            );
        }
        const STEPS: i32 = 12;
        let spot = |k: i32| {
            let clock = Angle::deg(360.0 * f64::from(k) / f64::from(STEPS) - 180.0);
            let seen = self.lie.fabric_station_mm(self.graft, u_mm, clock, self.measured);
            WallSpot { station_mm: seen.unwrap_or(station_mm), clock }
        };
        Some((0..=STEPS).map(spot).collect())
    }

    fn reference(&self) -> Vec<WallSpot> {
        let places = self.lie.places();
        // Every third place is 3 mm of a line that turns by a few degrees over the whole graft.
        let kept = places.iter().step_by(3).chain(places.last());
        kept.filter_map(|(u, _)| self.spot(self.lie, *u, Angle::ZERO)).collect()
    }

    /// On the proximal edge, or where the graft enters the data.
    fn handle(&self) -> Option<WallSpot> {
        let (u, station_mm) = *self.lie.places().first()?;
        let unturned = WallSpot { station_mm, clock: Angle::deg(self.placed.placement.clock_deg) };
        Some(self.spot(self.lie, u, Angle::ZERO).unwrap_or(unturned))
    }

    /// Mean radius of the lumen at a station, from the stations the map is drawn on.
    fn lumen_mm(&self, station_mm: f64) -> Option<f64> {
        self.measured.lumen().ok()?;
        let points = &self.drawn.aorta;
        let place = points.partition_point(|point| point.station_mm <= station_mm);
        let [before, after] = [points.get(place.saturating_sub(1))?, points.get(place).or(points.last())?];
        let step = after.station_mm - before.station_mm;
        let share = if step > 0.0 { ((station_mm - before.station_mm) / step).clamp(0.0, 1.0) } else { 0.0 };
        Some(before.radius_mm + share * (after.radius_mm - before.radius_mm))
    }

    /// Sections cut where fabric begins or ceases to reach the wall.
    fn stretches(&self) -> Vec<Stretch> {
        let mut stretches = Vec::new();
        let places = self.lie.places();
        for section in &self.graft.sections {
            let cover = |u: f64, station: f64| {
                let radius = shape::diameter_mm(section, u) / 2.0;
                let free = self.lumen_mm(station).is_some_and(|lumen| radius < lumen - CONTACT_MM);
                match (section.covered, free, section.seals) {
                    (false, ..) => Cover::Bare,
                    (true, true, _) => Cover::Free,
                    (true, false, true) => Cover::Seal,
                    (true, false, false) => Cover::Touching,
                }
            };
            let inside = |place: &&(f64, f64)| place.0 >= section.from_u_mm - 1e-9 && place.0 <= section.to_u_mm + 1e-9;
            let own: Vec<&(f64, f64)> = places.iter().filter(inside).collect();
            let mut start = 0;
            for index in 1..own.len() {
                // The kind of a step is that of its middle, so that a border belongs to one side.
                let kind = |i: usize| cover((own[i].0 + own[i + 1].0) / 2.0, (own[i].1 + own[i + 1].1) / 2.0);
                if index + 1 == own.len() || kind(index) != kind(start) {
                    if let (Some(upstream), Some(downstream)) = (self.around(own[start].0), self.around(own[index].0)) {
                        stretches.push(Stretch { upstream, downstream, cover: kind(start) });
                    }
                    start = index;
                }
            }
        }
        stretches
    }

    fn diameters(&self) -> Vec<[f64; 2]> {
        let mut points = Vec::new();
        for section in &self.graft.sections {
            for (u, diameter) in
                [(section.from_u_mm, section.from_diameter_mm), (section.to_u_mm, section.to_diameter_mm)]
            {
                if let Ok(station) = self.lie.station_mm(u) {
                    points.push([station, diameter]);
                }
            }
        }
        points
    }

    /// Oversize at each seal in this possibility; the proximal one with its verdict.
    fn seals(&self) -> Vec<SealZone> {
        let scope = measure::Scope {
            case: &self.plan.case,
            anatomy: &self.plan.anatomy,
            grafts: &self.plan.grafts,
            tunnels: &self.plan.tunnels,
            stents: &self.plan.stents,
            fabric: &self.plan.fabric,
            surveys: &self.plan.surveys,
        };
        let zones = shape::seals(self.graft).into_iter().enumerate();
        zones
            .filter_map(|(index, seal)| {
                let [from_mm, to_mm] = [self.lie.station_mm(seal.0).ok()?, self.lie.station_mm(seal.1).ok()?];
                let readings = measure::graft::oversizes(&scope, self.measured, self.placed, self.lie, seal);
                let values: Option<Vec<f64>> = readings.iter().map(|reading| reading.value.value().copied()).collect();
                let oversize_percent = values.filter(|values| !values.is_empty()).map(|values| {
                    [values.iter().copied().fold(f64::MAX, f64::min), values.iter().copied().fold(f64::MIN, f64::max)]
                });
                let standing = match index {
                    0 => standing(self.plan, "graft.proximal_oversize_percent", &self.placed.component).0,
                    _ => Standing::Unjudged,
                };
                Some(SealZone { from_mm, to_mm, oversize_percent, standing })
            })
            .collect()
    }

    /// Radius of the fabric at a point of the graft, mm: turns lengths around into angles.
    fn fabric_mm(&self, u_mm: f64, on_graft: Angle) -> Option<f64> {
        let section = shape::section_at(self.graft, u_mm)?;
        Some(shape::fabric_mm(section, u_mm, on_graft)).filter(|radius| *radius > 0.5)
    }

    /// An opening in the fabric, as it lies: some of its points as they lie, and the smooth closed line
    /// through them.
    fn opening(&self, lie: &GraftLie, u_mm: f64, on_graft: Angle, along: f64, across: f64) -> Vec<WallSpot> {
        let Some(radius) = self.fabric_mm(u_mm, on_graft) else { return Vec::new() };
        let half = Angle::rad((across / 2.0 / radius).min(PI / 2.0));
        let placed: Option<Vec<WallSpot>> = (0..PLACED)
            .map(|index| {
                let turn = Angle::rad(2.0 * PI * index as f64 / PLACED as f64);
                self.spot(lie, u_mm + along / 2.0 * turn.cos(), on_graft + half * turn.sin())
            })
            .collect();
        placed.map_or_else(Vec::new, |placed| closed_line(&placed, OUTLINE))
    }

    fn mouth(&self, lie: &GraftLie, tunnel: &Tunnel) -> Vec<WallSpot> {
        let (Some(along), Some(across)) = (tunnel.mouth_along_mm, tunnel.mouth_across_mm) else {
            return Vec::new();
        };
        self.opening(lie, tunnel.mouth_u_mm, Angle::deg(tunnel.mouth_clock_deg), along, across)
    }

    /// The body of a tunnel as a strip on the fabric; it follows the graft's lines.
    fn body(&self, tunnel: &Tunnel) -> Vec<WallSpot> {
        let (Some((from, to)), Some(width)) = (shape::body(tunnel), tunnel.diameter_mm) else {
            return Vec::new();
        };
        let on_graft = Angle::deg(tunnel.mouth_clock_deg);
        let Some(radius) = self.fabric_mm(tunnel.mouth_u_mm, on_graft) else { return Vec::new() };
        let half = Angle::rad((width / 2.0 / radius).min(PI / 2.0));
        const STEPS: usize = 8;
        let side = |sign: f64| {
            (0..=STEPS).filter_map(move |step| {
                let u = from + (to - from) * step as f64 / STEPS as f64;
                self.spot(self.lie, u.clamp(0.0, self.graft.length_mm), on_graft + half * sign)
            })
        };
        let mut ring: Vec<WallSpot> = side(1.0).collect();
        ring.extend(side(-1.0).collect::<Vec<_>>().into_iter().rev());
        ring
    }

    fn tunnel(&self, tunnel: &Tunnel) -> MapTunnel {
        let on_graft = Angle::deg(tunnel.mouth_clock_deg);
        let others = self.placed.lies.iter().filter(|lie| lie.possibility != self.lie.possibility);
        MapTunnel {
            id: tunnel.id.clone(),
            vessel: tunnel.serves.clone(),
            antegrade: tunnel.flow == Flow::Antegrade,
            mouth: self.spot(self.lie, tunnel.mouth_u_mm, on_graft),
            outline: self.mouth(self.lie, tunnel),
            body: self.body(tunnel),
            ghosts: others.map(|lie| self.mouth(lie, tunnel)).filter(|ghost| !ghost.is_empty()).collect(),
            path: self.path(tunnel),
            clearance: self.clearance(tunnel),
        }
    }

    fn result(&self, tunnel: &Tunnel) -> Option<&TunnelResult> {
        let own = |result: &&TunnelResult| {
            result.id == tunnel.id
                && result.component == self.placed.component
                && result.possibility == self.lie.possibility
        };
        self.plan.tunnels.iter().find(own)
    }

    /// The bridging path over the wall: each of its points at its own station and clock. The station is
    /// sought from that of the point before, (P − C)·T = 0 by Newton's method.
    fn path(&self, tunnel: &Tunnel) -> Vec<WallSpot> {
        let Some(result) = self.result(tunnel) else { return Vec::new() };
        let Some(mouth) = result.mouth.value() else { return Vec::new() };
        let mut station = mouth.station_mm;
        let spot = |point: &Point3| -> Option<WallSpot> {
            for _ in 0..3 {
                let centre = self.measured.course.line().at(station);
                let away = point - centre.point;
                // Inside the bend's centre of curvature this is above 0; kept so beyond.
                station += away.dot(&centre.tangent) / (1.0 - away.dot(&centre.curvature)).max(0.2);
            }
            let frame = self.measured.course.frame(station).ok()?;
            Some(WallSpot { station_mm: station, clock: frame.clock_of(&(point - frame.centre.point)) })
        };
        let spots: Option<Vec<WallSpot>> = result.path.points.iter().step_by(PATH_STEP).map(spot).collect();
        spots.unwrap_or_default()
    }

    fn clearance(&self, tunnel: &Tunnel) -> MapClearance {
        let result = self.result(tunnel);
        let value_mm = result.and_then(|result| result.edge_clearance_mm.value().copied());
        let why = result.and_then(|result| result.edge_clearance_mm.why());
        let (standing, verdict) = standing(self.plan, "tunnel.edge_clearance_mm", &tunnel.id);
        let clock_standing = self::standing(self.plan, "tunnel.clock_error_deg", &tunnel.id).0;

        let ahead = if tunnel.flow == Flow::Antegrade { 1.0 } else { -1.0 };
        let half = tunnel.mouth_along_mm.unwrap_or(0.0) / 2.0;
        let on_graft = Angle::deg(tunnel.mouth_clock_deg);
        let from = self.spot(self.lie, tunnel.mouth_u_mm + ahead * half, on_graft);
        let to = self.measured.ostium_of(&tunnel.serves).and_then(|ostium| {
            let edges = ostium.edges_mm.as_ref().ok()?;
            let station_mm = if ahead > 0.0 { edges.0 } else { edges.1 };
            Some(WallSpot { station_mm, clock: *ostium.place.clock.value()? })
        });

        // A verdict that hangs on another possibility than the one drawn says so, with its value.
        let elsewhere = verdict.and_then(|verdict| {
            let possibility = verdict.hangs_on.filter(|own| *own != self.lie.possibility)?;
            let mm = verdict.value.filter(|mm| value_mm.is_none_or(|own| tenths(own) != tenths(*mm)))?;
            Some(format!("{} mm: {}", tenths(mm), words::possibility(possibility)))
        });
        let remark = match (value_mm, why, elsewhere) {
            (None, Some(why), _) => why.to_owned(),
            (Some(_), _, Some(elsewhere)) => elsewhere,
            _ => String::new(),
        };
        let clock_error = result.and_then(|result| result.clock_error.value().copied());
        MapClearance { from, to, value_mm, standing, remark, clock_error, clock_standing }
    }

    fn openings(&self) -> Vec<MapOpening> {
        let windows = self.graft.fenestrations.iter().map(|window| MapOpening {
            id: window.id.clone(),
            outline: self.opening(
                self.lie,
                window.u_mm,
                Angle::deg(window.clock_deg),
                window.along_mm,
                window.across_mm,
            ),
        });
        // A scallop is the half of an oval that hangs from the proximal edge.
        let scallops = self.graft.scallops.iter().map(|scallop| {
            let on_graft = Angle::deg(scallop.clock_deg);
            let half = self.fabric_mm(0.0, on_graft).map(|radius| scallop.width_mm / 2.0 / radius);
            let spots: Option<Vec<WallSpot>> = half.and_then(|half| {
                let half = Angle::rad(half.min(PI / 2.0));
                (0..=OUTLINE / 2)
                    .map(|index| {
                        let turn = Angle::rad(PI * (index as f64 / (OUTLINE / 2) as f64 - 0.5));
                        self.spot(self.lie, scallop.depth_mm * turn.cos(), on_graft + half * turn.sin())
                    })
                    .collect()
            });
            MapOpening { id: scallop.id.clone(), outline: spots.unwrap_or_default() }
        });
        windows.chain(scallops).collect()
    }
}
