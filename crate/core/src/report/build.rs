//! A plan's results as a report. Only names and units change here; no number is computed.

use super::*;
use crate::VERSION;
use crate::anatomy::Anatomy;
use crate::anatomy::lumen::Sizing;
use crate::anatomy::rebuilt::Rebuilt;
use crate::anatomy::zones::Zone;
use crate::bridging::stent::{self, Choice, Sized, StentOrder};
use crate::carm;
use crate::carm::views::{ViewResult, views};
use crate::graft::lie::Lie;
use crate::message;
use crate::placement::tunnel::TunnelResult;
use crate::plan::Plan;
use crate::quantity::Quantity;
use crate::room::forgives;
use crate::rules::sets::JudgedSet;
use crate::rules::verdict::Verdict;
use crate::units::{Angle, Point3, Vec3};

/// Stations of the report are 1 mm apart, but no more than this many.
const MOST_STATIONS: f64 = 5000.0;

/// The report of a plan with what takes longer, done without pause.
pub fn whole(plan: &Plan, case_sha256: &str) -> Report {
    whole_with(plan, None, case_sha256)
}

/// The same with the best placement so far upstream of the best, mm, where that is asked for.
pub fn whole_with(plan: &Plan, upstream_mm: Option<f64>, case_sha256: &str) -> Report {
    let found = (!plan.grafts.is_empty()).then(|| forgives(plan));
    let mut own = report(plan, case_sha256);
    if let Some(release) = &mut own.release {
        release.over_room = release::over_room(plan, found.as_ref());
    }
    let room = found.map(|found| {
        let best_upstream = upstream_mm.and_then(|mm| room::biased(found.as_ref().ok()?, mm));
        room::RoomPart { best_upstream, ..room::part(&found, &plan.case) }
    });
    Report { room, assumptions: assumptions::of(plan), ..own }
}

/// The report of a plan; `case_sha256` is the hash of the case's text.
pub fn report(plan: &Plan, case_sha256: &str) -> Report {
    let anatomy = plan.anatomy.as_deref().ok();
    let views = views(plan);
    let (steps, release) = release::parts(plan, &views);
    Report {
        steps,
        release,
        format: "extrados-report",
        version: 1,
        program: format!("extrados {VERSION}"),
        case_sha256: case_sha256.into(),
        assumed: remarks::assumed(plan),
        ct: ct(plan),
        rough: plan.rough().map(rough),
        centreline: anatomy.map(centreline),
        arch_plane: anatomy.and_then(plane),
        stations: anatomy.map(stations).unwrap_or_default(),
        anatomy: anatomy.map(|own| survey::anatomy(plan, own)),
        folds: anatomy.map(folds).unwrap_or_default(),
        zones: anatomy.map(|own| zones(plan, own)).unwrap_or_default(),
        ostia: anatomy.map(|a| ostia(plan, a)).unwrap_or_default(),
        vessels: anatomy.map(vessels).unwrap_or_default(),
        rods: rods(plan),
        tunnels: tunnels(plan),
        stents: plan.stents.iter().map(stent).collect(),
        buildable: fabric::buildable(plan),
        openings: fabric::openings(plan),
        space_to_wall: fabric::spaces(plan),
        components: fabric::components(plan),
        overlaps: fabric::overlaps(plan),
        extent: extent::of(plan),
        verdicts: verdicts(&plan.verdicts),
        rule_sets: plan.sets.iter().map(rule_set).collect(),
        room: None,
        done: record::record(plan),
        assumptions: Vec::new(),
        sheet: sheet(plan, &views),
        views: views.iter().map(view).collect(),
        warnings: remarks::warnings(plan),
    }
}

fn vector(v: &Vec3) -> [f64; 3] {
    [v.x, v.y, v.z]
}

fn point(p: &Point3) -> [f64; 3] {
    [p.x, p.y, p.z]
}

fn number(quantity: &Quantity) -> Option<f64> {
    quantity.value().copied()
}

fn ct(plan: &Plan) -> CtPart {
    let age = plan.case.ct_age_days();
    CtPart { age_days: number(&age), why: age.why().map(str::to_string) }
}

fn rough(own: &Rebuilt) -> RoughPart {
    RoughPart {
        heading: message::ROUGH,
        shape: own.shape,
        turn_deg: own.turn.to_deg(),
        apex_deg: own.apex.to_deg(),
        radius_mm: own.radius_mm,
        from_station_mm: own.bend.from_mm,
        to_station_mm: own.bend.to_mm,
        residuals: own
            .residuals
            .iter()
            .map(|r| ResidualPart {
                key: r.key,
                typed: r.typed,
                rebuilt: number(&r.rebuilt),
                difference: r.difference(),
                unit: r.unit,
                used: r.used,
                why: r.rebuilt.why().map(str::to_string),
            })
            .collect(),
        cannot_be_known: own.cannot_be_known(),
    }
}

fn centreline(anatomy: &Anatomy) -> CentrelinePart {
    let line = anatomy.course.line();
    let (first, last) = line.range_mm();
    let chord = (line.at(last).point - line.at(first).point).norm();
    CentrelinePart {
        length_mm: line.length_mm(),
        input_length_mm: anatomy.fit.map(|f| f.input_length_mm),
        residual_rms_mm: anatomy.fit.map(|f| f.residual_rms_mm),
        residual_max_mm: anatomy.fit.map(|f| f.residual_max_mm),
        tortuosity: (chord > 0.0).then(|| line.length_mm() / chord),
    }
}

fn plane(anatomy: &Anatomy) -> Option<PlanePart> {
    let plane = anatomy.course.plane().ok()?;
    Some(PlanePart {
        normal_lps: vector(&plane.normal),
        point_lps_mm: point(&plane.point),
        rms_mm: plane.rms_mm,
        from_station_mm: plane.from_mm,
        to_station_mm: plane.to_mm,
    })
}

fn stations(anatomy: &Anatomy) -> Vec<StationPart> {
    let line = anatomy.course.line();
    let (first, last) = line.range_mm();
    let step = ((last - first) / MOST_STATIONS).ceil().max(1.0);
    let (from, to) = ((first / step).ceil() as i64, (last / step).floor() as i64);
    (from..=to)
        .map(|k| {
            let station_mm = k as f64 * step;
            let centre = line.at(station_mm);
            let frame = anatomy.course.frame(station_mm);
            let torsion = line.torsion_per_mm(station_mm).filter(|_| anatomy.rough.is_none());
            let (drift, lumen) = (anatomy.drift(station_mm), anatomy.lumen());
            let rough = anatomy.rough.is_some().then_some(message::ROUGH_TWIST);
            let missing = [
                frame.as_ref().err().map(|unknown| unknown.0.clone()),
                drift.is_none().then(|| rough.unwrap_or(message::NO_OSTIA).into()),
                lumen.as_ref().err().map(|unknown| unknown.0.clone()),
                torsion.is_none().then(|| rough.unwrap_or(message::NO_TORSION).into()),
            ];
            StationPart {
                station_mm,
                point_lps_mm: point(&centre.point),
                tangent_lps: vector(&centre.tangent),
                outer_lps: frame.as_ref().ok().map(|f| vector(&f.outer)),
                curvature_per_mm: centre.curvature.norm(),
                torsion_per_mm: torsion,
                twist_drift_deg: drift.map(Angle::to_deg),
                mean_radius_mm: lumen.ok().map(|l| l.mean_mm(station_mm)),
                certain: anatomy.course.certain(station_mm),
                why: missing.into_iter().flatten().next(),
            }
        })
        .collect()
}

fn folds(anatomy: &Anatomy) -> Vec<FoldPart> {
    let part = |f: &crate::anatomy::Stretch| FoldPart { from_station_mm: f.from_mm, to_station_mm: f.to_mm };
    anatomy.folds.iter().map(part).collect()
}

/// The landing zones with what was measured of each. Zone 0 begins at the origin: until that is known it
/// has nothing but an end.
pub fn zones(plan: &Plan, anatomy: &Anatomy) -> Vec<ZonePart> {
    let part = |z: &Zone| {
        let begins = anatomy.begins(z);
        let known = begins.is_ok();
        let size = |kind, pick| extreme(anatomy, z, kind, pick).filter(|_| known);
        let (healthy, largest_mm) = (plan.healthy_inner(z), size(|s| s.largest_mm, f64::max));
        let missing = [
            begins.err().map(|unknown| unknown.0),
            z.inner_mm.why().map(str::to_string),
            largest_mm.is_none().then(|| message::NO_LARGEST_DIAMETER.into()),
            healthy.as_ref().and_then(|own| own.why().map(str::to_string)),
        ];
        ZonePart {
            largest_mm,
            smallest_mm: size(|s| s.smallest_mm, f64::min),
            area_least_mm: size(|s| s.area_mm, f64::min),
            area_most_mm: size(|s| s.area_mm, f64::max),
            inner_bend: anatomy.sharpest(z.from_mm, z.to_mm).ok().map(|(_, bend)| bend).filter(|_| known),
            turn_deg: known.then(|| anatomy.turn_between(z.from_mm, z.to_mm).to_deg()),
            healthy_inner_mm: healthy.as_ref().and_then(|own| own.value().copied()),
            zone: z.zone,
            inner_mm: number(&z.inner_mm).filter(|_| known),
            centre_mm: known.then_some(z.centre_mm),
            outer_mm: number(&z.outer_mm).filter(|_| known),
            from_station_mm: known.then_some(z.from_mm),
            to_station_mm: z.to_mm,
            why: missing.into_iter().flatten().next(),
        }
    };
    anatomy.zones.iter().map(part).collect()
}

/// The least or largest diameter of a kind in a zone; `None` where one of its places lacks the kind.
fn extreme(anatomy: &Anatomy, zone: &Zone, kind: fn(&Sizing) -> Option<f64>, pick: fn(f64, f64) -> f64) -> Option<f64> {
    let sizes = anatomy.sizes(zone.from_mm, zone.to_mm).ok()?;
    let all: Option<Vec<f64>> = sizes.iter().map(kind).collect();
    all?.into_iter().reduce(pick)
}

fn ostia(plan: &Plan, anatomy: &Anatomy) -> Vec<OstiumPart> {
    anatomy
        .ostia
        .iter()
        .map(|o| OstiumPart {
            id: o.id.clone(),
            station_mm: o.place.station_mm,
            clock_deg: o.place.clock.value().map(|c| c.to_deg()),
            clock: o.place.clock.value().map(|c| words::clock(&plan.case, *c)),
            wall_point_lps_mm: o.place.point.value().map(point),
            vessels: o.vessels.clone(),
            twist_drift_deg: anatomy.drift(o.place.station_mm).map(Angle::to_deg),
            why: o.place.clock.why().or(o.place.point.why()).map(str::to_string),
        })
        .collect()
}

fn vessels(anatomy: &Anatomy) -> Vec<VesselPart> {
    anatomy
        .vessels
        .iter()
        .map(|v| VesselPart {
            id: v.id.clone(),
            ostium: v.ostium.map(|i| anatomy.ostia[i].id.clone()),
            takeoff_lps: v.takeoff.value().map(vector),
            takeoff_deg: v.takeoff_angle.map(Angle::to_deg),
            lean_deg: v.lean.map(Angle::to_deg),
            why: v.takeoff.why().map(str::to_string),
        })
        .collect()
}

fn rods(plan: &Plan) -> Vec<RodPart> {
    let mut parts = Vec::new();
    for graft in &plan.grafts {
        for lie in graft.lies.iter().filter(|lie| lie.possibility.lie != Lie::Middle) {
            let rod = lie.rod.as_ref();
            parts.push(RodPart {
                component: graft.component.clone(),
                lie: lie.possibility.lie,
                length_kept_by: lie.possibility.length_kept_by,
                push_per_mm2: rod.map(|r| r.push_per_mm2),
                bending_per_mm: rod.map(|r| r.bending_per_mm),
                length_mm: rod.map(|r| r.length_mm),
                from_station_mm: rod.map(|r| r.range_mm.0),
                to_station_mm: rod.map(|r| r.range_mm.1),
                optimality_error_mm: rod.map(|r| r.error_mm),
                contact_share: rod.map(|r| r.contact_share),
                largest_offset_mm: rod.map(|r| r.largest_offset_mm),
                why: lie.station_mm(0.0).err().filter(|_| rod.is_none()).map(|unknown| unknown.0),
            });
        }
    }
    parts
}

/// Every tunnel in every possibility.
pub fn tunnels(plan: &Plan) -> Vec<TunnelPart> {
    plan.tunnels
        .iter()
        .map(|t| TunnelPart {
            id: t.id.clone(),
            component: t.component.clone(),
            serves: t.serves.clone(),
            lie: t.possibility.lie,
            length_kept_by: t.possibility.length_kept_by,
            mouth_lps_mm: t.mouth.value().map(|m| point(&m.point)),
            mouth_station_mm: t.mouth.value().map(|m| m.station_mm),
            mouth_clock_deg: t.mouth.value().map(|m| m.clock.to_deg()),
            offset_mm: number(&t.offset_mm),
            clearance_mm: number(&t.clearance_mm),
            edge_clearance_mm: number(&t.edge_clearance_mm),
            clearance_centreline_mm: number(&t.clearance_centreline_mm),
            clock_error_deg: t.clock_error.value().map(|a| a.to_deg()),
            clock_error_wall_mm: number(&t.clock_error_wall_mm),
            straight_mm: number(&t.straight_mm),
            space_at_mouth_mm: number(&t.space_mm),
            state: t.state,
            path: path(plan, t),
            why: t
                .mouth
                .why()
                .or(t.clearance_mm.why())
                .or(t.edge_clearance_mm.why())
                .or(t.clock_error.why())
                .or(t.straight_mm.why())
                .map(str::to_string),
        })
        .collect()
}

fn path(plan: &Plan, tunnel: &TunnelResult) -> PathPart {
    let path = &tunnel.path;
    let order = plan.stent_of(tunnel);
    let length_mm = number(&path.length_mm);
    let stock_length_mm = order.and_then(|order| match &order.choice {
        Choice::One { length, .. } => Some(length.mm),
        Choice::Two { .. } | Choice::NoStock | Choice::None(_) | Choice::Unknown(_) => None,
    });
    PathPart {
        length_mm,
        least_radius_mm: number(&path.least_radius_mm),
        largest_possible_radius_mm: number(&path.largest_radius_mm),
        turn_deg: path.turn.value().map(|a| a.to_deg()),
        mouth_to_takeoff_deg: path.mouth_to_takeoff.value().map(|a| a.to_deg()),
        stent_length_mm: length_mm.zip(order.and_then(|o| o.beside_path_mm)).map(|(path, beside)| path + beside),
        stock_length_mm,
        why: path.length_mm.why().map(str::to_string),
    }
}

fn stent(order: &StentOrder) -> StentPart {
    let diameter = order.diameter_mm();
    let neighbours = |size: &Sized| size.down_mm.into_iter().chain(size.up_mm).collect();
    let mut part = StentPart {
        tunnel: order.tunnel.clone(),
        component: order.component.clone(),
        serves: order.serves.clone(),
        least_length_mm: order.length_mm.as_ref().ok().map(|range| range[0]),
        most_length_mm: order.length_mm.as_ref().ok().map(|range| range[1]),
        least_diameter_mm: diameter.as_ref().ok().map(|range| range[0]),
        most_diameter_mm: diameter.as_ref().ok().map(|range| range[1]),
        choice: words::stent_choice(&order.choice),
        lengths_mm: Vec::new(),
        diameters_mm: Vec::new(),
        next_lengths_mm: Vec::new(),
        next_diameters_mm: Vec::new(),
        text: words::stent(order),
        source: stent::SOURCE,
        why: None,
    };
    match &order.choice {
        Choice::One { length, diameter } => {
            (part.lengths_mm, part.diameters_mm) = (vec![length.mm], vec![diameter.mm]);
            (part.next_lengths_mm, part.next_diameters_mm) = (neighbours(length), neighbours(diameter));
        }
        Choice::Two { length_mm, diameter_mm } => {
            (part.lengths_mm, part.diameters_mm) = (length_mm.to_vec(), diameter_mm.to_vec());
        }
        Choice::NoStock => part.why = Some(message::NO_STOCK.into()),
        Choice::None(why) | Choice::Unknown(why) => part.why = Some(why.clone()),
    }
    part
}

fn rule_set(judged: &JudgedSet) -> RuleSetPart {
    let counts = judged.counts();
    RuleSetPart {
        id: judged.set.id.clone(),
        name: judged.set.name.clone(),
        approach: judged.set.approach,
        unmet: counts.unmet,
        unknown: counts.unknown,
        borderline: counts.borderline,
        met: counts.met,
        verdicts: verdicts(&judged.verdicts),
        not_judged: judged.set.not_judged.clone(),
    }
}

pub(super) fn verdicts(verdicts: &[Verdict]) -> Vec<VerdictPart> {
    verdicts
        .iter()
        .map(|v| VerdictPart {
            rule: v.rule.clone(),
            measure: v.measure.clone(),
            of: v.of.clone(),
            value: v.value,
            margin: v.margin,
            error: v.error,
            unit: v.unit.clone(),
            verdict: v.word,
            hangs_on: v.hangs_on,
            why: v.why.clone(),
            source: v.source.clone(),
            required: v.required,
            would_change: v.would_change.clone(),
        })
        .collect()
}

fn view(view: &ViewResult) -> ViewPart {
    let choice = view.choice.value();
    let error_deg = match view.choice {
        Quantity::Known { error, .. } if error > 0.0 => Some(error),
        _ => None,
    };
    ViewPart {
        of: view.id.clone(),
        shows: view.shows,
        lie: view.possibility.map(|p| p.lie),
        length_kept_by: view.possibility.map(|p| p.length_kept_by),
        primary_deg: choice.map(|c| c.at.primary.to_deg()),
        secondary_deg: choice.map(|c| c.at.secondary.to_deg()),
        words: choice.map(|c| c.rounded.words()),
        reachable: choice.map(|c| c.reachable),
        ideal_primary_deg: choice.map(|c| c.ideal.primary.to_deg()),
        ideal_secondary_deg: choice.map(|c| c.ideal.secondary.to_deg()),
        foreshortening: choice.map(|c| c.foreshortening),
        foreshortening_by_rounding: choice.map(|c| c.rounding_cost),
        off_edge_deg: choice.and_then(|c| c.off_edge).map(Angle::to_deg),
        error_deg,
        overlaps: choice.map(|c| c.overlaps.clone()).unwrap_or_default(),
        why: view.choice.why().map(str::to_string),
    }
}

/// Every entry that the printed sheet must hold, word for word.
fn sheet(plan: &Plan, views: &[ViewResult]) -> Vec<SheetPart> {
    let mut entries = Vec::new();
    let mut add = |id: String, text: String| entries.push(SheetPart { id, text });
    add("head".into(), words::head_line(plan));
    if plan.is_rough() {
        add("rough".into(), message::ROUGH.into());
    }
    if let Some(rough) = plan.rough() {
        add("rough.residuals".into(), words::residuals_in_a_line(rough));
    }
    add("origin".into(), words::origin(&plan.case));
    add("clock".into(), words::clock_convention(&plan.case));
    for graft in &plan.grafts {
        add(format!("{}.placement", graft.component), words::placement(&plan.case, &graft.placement));
    }
    // The sheet prints the worst possibility of each tunnel: the one its clearance rule hangs on, or
    // the first where no rule judges it.
    for tunnel in plan.sheet_tunnels() {
        let id = &tunnel.id;
        add(format!("{id}.edge_clearance"), words::or_unknown(&tunnel.edge_clearance_mm, |v| words::mm(*v)));
        add(format!("{id}.clock_error"), words::clock_error(tunnel));
        add(format!("{id}.straight"), words::or_unknown(&tunnel.straight_mm, |v| words::mm(*v)));
        if let Some(order) = plan.stent_of(tunnel) {
            add(format!("{id}.stent"), words::stent_short(order));
        }
    }
    if let Some(text) = remarks::must_not_beyond(plan) {
        add("must_not_beyond".into(), text);
    }
    for (id, text) in remarks::keep_clear(plan) {
        add(format!("{id}.keep_clear"), text);
    }
    for view in carm::views::sheet_views(plan, views) {
        add(format!("{}.view", view.id), carm::words::view(view));
    }
    for (step, _, view) in carm::step_views(&plan.case, views) {
        add(format!("step{step}.view"), view);
    }
    add("ct.age".into(), words::ct_age(&plan.case));
    entries
}
