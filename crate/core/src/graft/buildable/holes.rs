//! Mouths and openings as holes in the fabric: what is left between them and up to the edges, and whether
//! a maker's steps reach them.

use super::{Between, Buildable, Finding, SLACK_MM, ToEdges, two_of};
use crate::casefile::case::{Graft, MakerSteps};
use crate::graft::shape;
use crate::message;
use crate::units::Angle;

/// Places that differ from a maker's step by less are on it, mm or degrees.
const ON_STEP: f64 = 1e-6;

/// A hole in the fabric: a mouth, a fenestration or a scallop.
pub(super) struct Hole<'a> {
    id: &'a str,
    u_mm: f64,
    clock: Angle,
    /// Half sizes along and around, where known.
    half_mm: Option<(f64, f64)>,
}

pub(super) fn holes(graft: &Graft) -> Vec<Hole<'_>> {
    let half = |along: f64, across: f64| (along / 2.0, across / 2.0);
    let mouths = graft.tunnels.iter().map(|t| Hole {
        id: &t.id,
        u_mm: t.mouth_u_mm,
        clock: Angle::deg(t.mouth_clock_deg),
        half_mm: t.mouth_along_mm.zip(t.mouth_across_mm).map(|(a, b)| half(a, b)),
    });
    let windows = graft.fenestrations.iter().map(|f| Hole {
        id: &f.id,
        u_mm: f.u_mm,
        clock: Angle::deg(f.clock_deg),
        half_mm: Some(half(f.along_mm, f.across_mm)),
    });
    let notches = graft.scallops.iter().map(|s| Hole {
        id: &s.id,
        u_mm: 0.0,
        clock: Angle::deg(s.clock_deg),
        half_mm: Some((s.depth_mm, s.width_mm / 2.0)),
    });
    mouths.chain(windows).chain(notches).collect()
}

/// Fabric between every two holes, along the straight line from middle to middle on the fabric.
pub(super) fn between(graft: &Graft, holes: &[Hole<'_>], findings: &mut Vec<Finding>) -> Vec<Between> {
    let mut all = Vec::new();
    for (first, second) in two_of(holes) {
        let along_mm = second.u_mm - first.u_mm;
        let turn = (second.clock - first.clock).wrapped();
        let radius = shape::section_at(graft, (first.u_mm + second.u_mm) / 2.0)
            .map(|s| shape::diameter_mm(s, (first.u_mm + second.u_mm) / 2.0) / 2.0);
        let edges_mm = radius.zip(first.half_mm).zip(second.half_mm).map(|((radius, a), b)| {
            let around = turn.arc_mm(radius);
            let apart = along_mm.hypot(around);
            let towards = if apart > 0.0 { [along_mm / apart, around / apart] } else { [1.0, 0.0] };
            apart - reach(a, towards) - reach(b, towards)
        });
        if let Some(mm) = edges_mm.filter(|mm| *mm < -SLACK_MM) {
            findings.push(Finding {
                code: "openings_meet",
                of: vec![first.id.into(), second.id.into()],
                so: Buildable::No,
                on_graft_mm: None,
                text: message::openings_meet(first.id, second.id, -mm),
            });
        }
        all.push(Between { of: [first.id.into(), second.id.into()], edges_mm, along_mm, turn });
    }
    all
}

/// How far an oval reaches in a direction, mm.
fn reach(half_mm: (f64, f64), towards: [f64; 2]) -> f64 {
    let (a, b) = half_mm;
    let across = (b * towards[0]).hypot(a * towards[1]);
    if across > 0.0 { a * b / across } else { 0.0 }
}

pub(super) fn edges(graft: &Graft, holes: &[Hole<'_>], findings: &mut Vec<Finding>) -> Vec<ToEdges> {
    let notches = graft.scallops.len();
    let mut all = Vec::new();
    for hole in &holes[..holes.len() - notches] {
        let Some((half, _)) = hole.half_mm else {
            findings.push(Finding {
                code: "mouth_size_unknown",
                of: vec![hole.id.into()],
                so: Buildable::Unknown,
                on_graft_mm: None,
                text: message::mouth_size_unknown(hole.id),
            });
            continue;
        };
        let own = ToEdges {
            of: hole.id.into(),
            proximal_mm: hole.u_mm - half,
            distal_mm: graft.length_mm - hole.u_mm - half,
        };
        let beyond = -own.proximal_mm.min(own.distal_mm);
        if beyond > SLACK_MM {
            findings.push(Finding {
                code: "opening_over_edge",
                of: vec![hole.id.into()],
                so: Buildable::No,
                on_graft_mm: Some((hole.u_mm - half, hole.u_mm + half)),
                text: message::opening_over_edge(hole.id, beyond),
            });
        }
        all.push(own);
    }
    all
}

/// Places that a maker's steps do not reach; a graft from the shelf has been made, so it is minded only.
pub(super) fn on_steps(graft: &Graft, steps: &MakerSteps, findings: &mut Vec<Finding>) {
    // No negative zero.
    let nearest = |value: f64, step: f64| (value / step).round() * step + 0.0;
    let mut look = |id: &str, u_mm: f64, clock_deg: f64| {
        let off = |value: f64, step: f64| step > 0.0 && (value - nearest(value, step)).abs() > ON_STEP;
        let mut find = |text| {
            let so = Buildable::Yes;
            findings.push(Finding { code: "off_makers_step", of: vec![id.into()], so, on_graft_mm: None, text });
        };
        if off(u_mm, steps.u_mm) {
            find(message::off_step_along(id, u_mm, steps.u_mm, nearest(u_mm, steps.u_mm)));
        }
        if off(clock_deg, steps.clock_deg) {
            find(message::off_step_around(
                id,
                Angle::deg(clock_deg),
                Angle::deg(steps.clock_deg),
                Angle::deg(nearest(clock_deg, steps.clock_deg)),
            ));
        }
    };
    graft.tunnels.iter().for_each(|t| look(&t.id, t.mouth_u_mm, t.mouth_clock_deg));
    graft.fenestrations.iter().for_each(|f| look(&f.id, f.u_mm, f.clock_deg));
    graft.scallops.iter().for_each(|s| look(&s.id, s.depth_mm, s.clock_deg));
}
