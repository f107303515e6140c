//! The input of map and strip chart from a plan's results: the one place where the two meet.
//!
//! It reads results, asks the geometry where outlines lie, and puts words to both. It judges nothing
//! and measures nothing that a table shows.

use super::axes::{AlongPoint, WallSpot};
use super::map_input::{
    FoldPatch, LumenPoint, MapAnatomy, MapInput, MapOstium, MapPoint, SpaceField, Standing, WallScale, ZoneBand,
};
use crate::anatomy::Anatomy;
use crate::anatomy::course::UNCERTAIN_END_MM;
use crate::anatomy::twelve;
use crate::casefile::case::{AnatomyInput, Case, WallKind};
use crate::dissection::lumens::lumens;
use crate::dissection::ways::{WayIn, ways};
use crate::graft::lie::Possibility;
use crate::message;
use crate::placement::footprint::Site;
use crate::placement::space;
use crate::plan::Plan;
use crate::report::extent::size;
use crate::report::words as say;
use crate::rules::verdict::{Verdict, Word};
use crate::units::Angle;
use std::f64::consts::PI;
use std::sync::Arc;

mod grafts;

/// Points of an outline.
const OUTLINE: usize = 40;
/// Distance of the stations the axes are built from, mm.
const STATION_STEP_MM: f64 = 2.0;
/// Columns and rows of the grid of spaces to the wall.
const SPACE_GRID: [usize; 2] = [72, 36];
/// Columns and rows of the grid of wall scales.
const SCALE_GRID: [usize; 2] = [80, 48];

impl MapInput {
    /// What is to be drawn of a plan, in one possibility of how its grafts lie: the one asked for,
    /// or the plan's first.
    pub fn from_plan(plan: &Plan, possibility: Option<Possibility>) -> Self {
        Self::with_anatomy(plan, possibility, Arc::new(anatomy(plan)))
    }

    /// The same for a plan that follows the one this was drawn from: the anatomy is taken over where
    /// the plan took it over, so that a drag redraws only what it moved.
    #[must_use]
    pub fn follow(&self, before: &Plan, plan: &Plan, possibility: Option<Possibility>) -> Self {
        let same = match (&before.anatomy, &plan.anatomy) {
            (Ok(old), Ok(new)) => Arc::ptr_eq(old, new) && before.case.anatomy == plan.case.anatomy,
            _ => false,
        };
        let anatomy = if same { Arc::clone(&self.anatomy) } else { Arc::new(anatomy(plan)) };
        Self::with_anatomy(plan, possibility, anatomy)
    }

    /// The same with the space between fabric and wall all over: some thousand nearest points, so it is
    /// asked for only where it is shown.
    #[must_use]
    pub fn with_space(mut self, plan: &Plan, possibility: Option<Possibility>) -> Self {
        self.space = possibility.and_then(|possibility| space_field(plan, possibility));
        self
    }

    fn with_anatomy(plan: &Plan, possibility: Option<Possibility>, anatomy: Arc<MapAnatomy>) -> Self {
        let all = plan.possibilities();
        let drawn = possibility.filter(|own| all.contains(own)).or(all.first().copied());
        let kept_clear =
            anatomy.keep_clear.iter().map(|point| standing(plan, "keep_clear.distance_mm", &point.id).0).collect();
        let grafts = match (&plan.anatomy, drawn) {
            (Ok(measured), Some(drawn)) => grafts::grafts(plan, measured, &anatomy, drawn),
            _ => Vec::new(),
        };
        let words = drawn.filter(|_| all.len() > 1).map_or(String::new(), |own| say::possibility(own).into());
        let open = plan.fabric.wrong.iter().filter(|wrong| wrong.site == Site::Way).map(|wrong| wrong.at.clone());
        MapInput {
            label: plan.case.label.clone(),
            anatomy,
            grafts,
            kept_clear,
            open_ways: open.collect(),
            possibility: words,
            ..MapInput::default()
        }
    }
}

/// The worst verdict on a measure of something, by a rule that the plan needs where there is one.
fn standing<'a>(plan: &'a Plan, measure: &str, of: &str) -> (Standing, Option<&'a Verdict>) {
    let own = plan.verdicts.iter().filter(|verdict| verdict.measure == measure && verdict.of == of);
    match own.min_by_key(|verdict| (!verdict.required, verdict.word)) {
        None => (Standing::Unjudged, None),
        Some(verdict) => (standing_of(verdict.word), Some(verdict)),
    }
}

fn standing_of(word: Word) -> Standing {
    match word {
        Word::Met => Standing::Met,
        Word::Borderline => Standing::Borderline,
        Word::Unmet => Standing::Unmet,
        Word::Unknown => Standing::Unknown,
    }
}

/// The anatomy as a map shows it.
fn anatomy(plan: &Plan) -> MapAnatomy {
    match &plan.anatomy {
        Ok(anatomy) => measured(anatomy, plan),
        Err(why) => {
            let rough = plan.is_rough().then_some(message::ROUGH_MAP);
            MapAnatomy { missing: Some(why.0.clone()), rough, ..MapAnatomy::default() }
        }
    }
}

fn measured(anatomy: &Anatomy, plan: &Plan) -> MapAnatomy {
    let case = &plan.case;
    let (first, last) = anatomy.course.line().range_mm();
    let input = &case.anatomy;
    let line = input.centreline.as_ref().map(|line| line.origin.as_str());
    let sheet = input.sheet_arch.as_ref().and_then(|sheet| sheet.origin.as_deref());
    let origin = line.or(sheet).map_or("origin".into(), |origin| origin.replace('_', " "));
    let missing = anatomy.wall.as_ref().err().map(|why| why.0.clone());
    MapAnatomy {
        missing,
        rough: anatomy.rough.is_some().then_some(message::ROUGH_MAP),
        origin: anatomy.origin_marked.then_some(origin),
        hand: case.clock.three_oclock_is,
        aorta: aorta(anatomy, first, last),
        uncertain: vec![[first, (first + UNCERTAIN_END_MM).min(last)], [(last - UNCERTAIN_END_MM).max(first), last]],
        zones: anatomy
            .zones
            .iter()
            .map(|zone| ZoneBand { zone: zone.zone, from_mm: zone.from_mm, to_mm: zone.to_mm })
            .collect(),
        lesion: input.lesion.as_ref().map(|lesion| [lesion.from_station_mm, lesion.to_station_mm]),
        landmarks: input
            .landmarks
            .iter()
            .map(|mark| (words(&mark.id), mark.station_mm))
            .chain(wall_borders(input))
            .collect(),
        folds: folds(anatomy),
        ostia: anatomy.ostia.iter().map(|ostium| shown_ostium(ostium, anatomy)).collect(),
        keep_clear: anatomy
            .keep_clear
            .iter()
            .zip(&input.keep_clear)
            .map(|(point, typed)| {
                let side = typed.side.as_deref().map_or(String::new(), |side| format!("{} ", words(side)));
                shown_point(point, format!("{side}{}", words(&point.kind)), anatomy)
            })
            .collect(),
        sutures: input
            .wall
            .iter()
            .filter(|stretch| stretch.kind == WallKind::SurgicalGraft)
            .flat_map(|stretch| [stretch.from_station_mm, stretch.to_station_mm])
            .collect(),
        flap: lumens(plan).iter().filter_map(|own| Some((own.station_mm, own.flap?))).collect(),
        ways: ways(case).iter().filter_map(|way| shown_way(way, anatomy, case)).collect(),
        wall_scale: wall_scale(anatomy, first, last),
        lumen: lumen(anatomy, first, last),
    }
}

/// Where one kind of wall passes into another, named by what begins or ends there.
fn wall_borders(input: &AnatomyInput) -> impl Iterator<Item = (String, f64)> {
    let kind = |kind: WallKind| match kind {
        WallKind::Native => "native wall",
        WallKind::SurgicalGraft => "surgical graft",
        WallKind::StentGraft => "stent graft",
    };
    input.wall.iter().filter(|stretch| stretch.kind != WallKind::Native).flat_map(move |stretch| {
        let name = kind(stretch.kind);
        [(format!("{name} from"), stretch.from_station_mm), (format!("{name} to"), stretch.to_station_mm)]
    })
}

/// File words as they are read.
pub(super) fn words(name: &str) -> String {
    name.replace('_', " ")
}

/// Stations evenly spaced, ends included.
fn stations(first: f64, last: f64) -> impl Iterator<Item = f64> {
    let count = ((last - first) / STATION_STEP_MM).ceil().clamp(1.0, 5000.0) as usize;
    (0..=count).map(move |index| first + (last - first) * index as f64 / count as f64)
}

fn aorta(anatomy: &Anatomy, first: f64, last: f64) -> Vec<AlongPoint> {
    let outer = anatomy.outer.as_ref().ok().zip(anatomy.wall.as_ref().ok());
    // Lengths on the outer curve count from the origin, as stations do.
    let zero = 0.0_f64.clamp(first, last);
    stations(first, last)
        .map(|station_mm| AlongPoint {
            station_mm,
            outer_mm: outer
                .and_then(|(line, wall)| wall.between(line, zero, station_mm).ok())
                .map_or(station_mm, |length| zero + length),
            radius_mm: anatomy.lumen.as_ref().map_or(10.0, |lumen| lumen.mean_mm(station_mm)),
        })
        .collect()
}

/// Wall for which the bend is tighter than the lumen is wide: farther in than the centre of
/// curvature, 1 − κ r cos(θ − θ of the bend) ≤ 0.
fn folds(anatomy: &Anatomy) -> Vec<FoldPatch> {
    let Ok(lumen) = anatomy.lumen() else { return Vec::new() };
    let half_width = |station: f64| -> Option<(Angle, f64)> {
        let frame = anatomy.course.frame(station).ok()?;
        let inner = frame.clock_of(&frame.centre.curvature);
        let tight = 1.0 / (frame.centre.curvature.norm() * lumen.radius(station, inner).mm);
        (tight <= 1.0).then(|| (inner, tight.acos()))
    };
    anatomy
        .folds
        .iter()
        .map(|fold| {
            let steps = ((fold.to_mm - fold.from_mm).ceil().clamp(1.0, 500.0)) as usize;
            let widths: Vec<(f64, Angle, f64)> = (0..=steps)
                .map(|step| fold.from_mm + (fold.to_mm - fold.from_mm) * step as f64 / steps as f64)
                .filter_map(|station| half_width(station).map(|(inner, half)| (station, inner, half)))
                .collect();
            let side = |sign: f64| {
                move |(station_mm, inner, half): &(f64, Angle, f64)| WallSpot {
                    station_mm: *station_mm,
                    clock: *inner + Angle::rad(sign * half),
                }
            };
            let outline = widths.iter().map(side(1.0)).chain(widths.iter().rev().map(side(-1.0))).collect();
            FoldPatch { outline, from_mm: fold.from_mm, to_mm: fold.to_mm }
        })
        .collect()
}

fn shown_ostium(ostium: &crate::anatomy::openings::Ostium, anatomy: &Anatomy) -> MapOstium {
    let place = &ostium.place;
    let clock = place.clock.value().copied();
    let edges = ostium.edges_mm.as_ref().ok().map(|edges| [edges.0, edges.1]);
    let radius = |clock| anatomy.lumen().map(|lumen| lumen.radius(place.station_mm, clock).mm);
    let outline = match (clock, edges, ostium.across_mm.value()) {
        (Some(clock), Some(edges), Some(across)) => match radius(clock) {
            Ok(r) => oval(place.station_mm, clock, edges, Angle::rad(across / 2.0 / r)),
            Err(_) => Vec::new(),
        },
        _ => Vec::new(),
    };
    MapOstium {
        id: ostium.id.clone(),
        name: if ostium.vessels.is_empty() { ostium.id.clone() } else { ostium.vessels.join(" + ") },
        station_mm: place.station_mm,
        edges_mm: edges,
        clock,
        outline,
    }
}

fn shown_point(point: &crate::anatomy::openings::KeepClear, name: String, anatomy: &Anatomy) -> MapPoint {
    let place = &point.place;
    let clock = place.clock.value().copied();
    let outline = || -> Option<Vec<WallSpot>> {
        let (clock, radius) = (clock?, *point.radius_mm.value()?);
        let along = radius / anatomy.wall().ok()?.scale(place.station_mm, clock).ok()?;
        let around = Angle::rad(radius / anatomy.lumen().ok()?.radius(place.station_mm, clock).mm);
        Some(oval(place.station_mm, clock, [place.station_mm - along, place.station_mm + along], around))
    };
    MapPoint {
        id: point.id.clone(),
        name: if name.is_empty() { point.id.clone() } else { name },
        station_mm: place.station_mm,
        clock,
        outline: outline().unwrap_or_default(),
    }
}

/// A way that lies in the aorta; one in a vessel has no place on the wall.
fn shown_way(way: &WayIn, anatomy: &Anatomy, case: &Case) -> Option<MapPoint> {
    let station_mm = way.station_mm.filter(|_| way.in_vessel.is_none())?;
    let own = case.anatomy.ways.iter().find(|own| own.id == way.id)?;
    let read = twelve::read(case, Ok(&anatomy.course), station_mm, own.clock_deg);
    let clock = read.ok().and_then(|clock| clock.value().copied());
    let outline = || -> Option<Vec<WallSpot>> {
        let clock = clock?;
        let along = way.along_mm? / 2.0 / anatomy.wall().ok()?.scale(station_mm, clock).ok()?;
        let around = way.across_mm? / 2.0 / anatomy.lumen().ok()?.radius(station_mm, clock).mm;
        Some(oval(station_mm, clock, [station_mm - along, station_mm + along], Angle::rad(around)))
    };
    let name = format!("{} {}", way.id, size(way).replace(" mm", ""));
    Some(MapPoint { id: way.id.clone(), name, station_mm, clock, outline: outline().unwrap_or_default() })
}

/// An oval about a centre with its two edges along the flow and its half width around.
fn oval(station_mm: f64, clock: Angle, edges: [f64; 2], half: Angle) -> Vec<WallSpot> {
    if !half.to_rad().is_finite() {
        return Vec::new();
    }
    // No opening is wider than half the wall; a typed width that is, is drawn as half.
    let half = Angle::rad(half.to_rad().min(PI / 2.0));
    (0..OUTLINE)
        .map(|index| {
            let turn = Angle::rad(2.0 * PI * index as f64 / OUTLINE as f64);
            let reach = if turn.cos() < 0.0 { station_mm - edges[0] } else { edges[1] - station_mm };
            WallSpot { station_mm: station_mm + reach * turn.cos(), clock: clock + half * turn.sin() }
        })
        .collect()
}

fn wall_scale(anatomy: &Anatomy, first: f64, last: f64) -> Option<WallScale> {
    let wall = anatomy.wall().ok()?;
    let values = over_the_wall(SCALE_GRID, (first, last), |station, clock| {
        wall.scale(station, clock).map_or(f32::NAN, |scale| scale as f32)
    });
    Some(WallScale { columns: SCALE_GRID[0], values })
}

/// The least space under any graft; fabric only, openings count as whole.
fn space_field(plan: &Plan, possibility: Possibility) -> Option<SpaceField> {
    let anatomy = plan.anatomy.as_ref().ok()?;
    let wall = anatomy.wall().ok()?;
    let (first, last) = anatomy.course.line().range_mm();
    let lies: Vec<_> = plan.grafts.iter().filter_map(|g| Some((&g.graft, g.lie_in(possibility)?))).collect();
    let values = over_the_wall(SPACE_GRID, (first, last), |station, clock| {
        let point = wall.point(station, clock).ok();
        let least = point.and_then(|point| {
            let own = lies.iter().filter_map(|(graft, lie)| space::fabric_over(&point, station, graft, lie));
            own.reduce(f64::min)
        });
        least.map_or(f32::NAN, |mm| mm as f32)
    });
    Some(SpaceField { columns: SPACE_GRID[0], values })
}

/// A value in the middle of each cell of a grid over the wall, by stations, row by row from 6:00 on.
fn over_the_wall(
    [columns, rows]: [usize; 2],
    (first, last): (f64, f64),
    value: impl Fn(f64, Angle) -> f32,
) -> Vec<f32> {
    let mut values = Vec::with_capacity(columns * rows);
    for row in 0..rows {
        let clock = Angle::rad(-PI + 2.0 * PI * (row as f64 + 0.5) / rows as f64);
        for column in 0..columns {
            values.push(value(first + (last - first) * (column as f64 + 0.5) / columns as f64, clock));
        }
    }
    values
}

fn lumen(anatomy: &Anatomy, first: f64, last: f64) -> Vec<LumenPoint> {
    let Ok(lumen) = anatomy.lumen() else { return Vec::new() };
    let point = |station_mm: f64, measured: bool| {
        let sizing = lumen.sizing(station_mm);
        LumenPoint {
            station_mm,
            diameter_mm: sizing.area_mm.unwrap_or_else(|| 2.0 * lumen.mean_mm(station_mm)),
            band_mm: sizing.smallest_mm.zip(sizing.largest_mm).map(|(small, large)| [small, large]),
            inscribed: sizing.area_mm.is_none(),
            measured,
        }
    };
    let mut points: Vec<LumenPoint> = stations(first, last).map(|station| point(station, false)).collect();
    let inside = lumen.stations_mm().iter().copied().filter(|station| (first..=last).contains(station));
    points.extend(inside.map(|station| point(station, true)));
    points.sort_by(|a, b| a.station_mm.total_cmp(&b.station_mm).then(b.measured.cmp(&a.measured)));
    points.dedup_by(|later, earlier| later.station_mm - earlier.station_mm < 1e-9);
    points
}
