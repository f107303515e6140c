//! Bodies of tunnels as tubes against the fabric from inside: each by itself, those that share a stretch,
//! and what they leave free.

use super::{Buildable, Finding, SLACK_MM, ThroughLumen, two_of};
use crate::casefile::case::{Graft, Section, Tunnel};
use crate::graft::shape;
use crate::message;
use crate::units::Angle;
use std::f64::consts::PI;

/// Sections along the graft are looked at this far apart, mm.
const STEP_MM: f64 = 1.0;

/// A tube across the graft at one place.
#[derive(Clone, Copy, PartialEq)]
struct Disc {
    centre: [f64; 2],
    radius_mm: f64,
}

/// Each body by itself: known, on the fabric, narrower than the graft.
pub(super) fn bodies(graft: &Graft, findings: &mut Vec<Finding>) {
    for tunnel in &graft.tunnels {
        let mut find = |code, so, on_graft_mm, text| {
            findings.push(Finding { code, of: vec![tunnel.id.clone()], so, on_graft_mm, text });
        };
        let (Some(width), Some(body)) = (tunnel.diameter_mm, shape::body(tunnel)) else {
            find("tunnel_size_unknown", Buildable::Unknown, None, message::tunnel_size_unknown(&tunnel.id));
            continue;
        };
        let beyond = (-body.0).max(body.1 - graft.length_mm);
        if beyond > SLACK_MM {
            let text = message::tunnel_beyond_fabric(&tunnel.id, beyond);
            find("tunnel_beyond_fabric", Buildable::No, Some(body), text);
        } else if let Some(section) = sections(graft, body).find(|s| !s.covered) {
            let on = (section.from_u_mm.max(body.0), section.to_u_mm.min(body.1));
            find("tunnel_on_bare_part", Buildable::No, Some(on), message::tunnel_on_bare_part(&tunnel.id, on));
        }
        let narrowest = along(graft, body).map(|(section, u)| shape::diameter_mm(section, u)).fold(f64::MAX, f64::min);
        if width > narrowest && narrowest < f64::MAX {
            let text = message::tunnel_too_wide(&tunnel.id, width, narrowest);
            find("tunnel_too_wide", Buildable::No, Some(body), text);
        }
    }
}

/// Bodies that share a stretch of the graft.
pub(super) fn pairs(graft: &Graft, findings: &mut Vec<Finding>) {
    for (first, second) in two_of(&graft.tunnels) {
        let (Some(a), Some(b)) =
            (first.diameter_mm.zip(shape::body(first)), second.diameter_mm.zip(shape::body(second)))
        else {
            continue;
        };
        let shared = (a.1.0.max(b.1.0), a.1.1.min(b.1.1));
        if shared.1 - shared.0 <= SLACK_MM {
            continue;
        }
        // The place where they run furthest into each other, and where both have the least depth.
        let mut worst = 0.0_f64;
        let mut needed = Some(Angle::ZERO);
        let mut depth = f64::MAX;
        for (section, u) in along(graft, shared) {
            let (Some(one), Some(other)) = (disc(first, section, u), disc(second, section, u)) else { continue };
            worst = worst.max(one.radius_mm + other.radius_mm - distance(one.centre, other.centre));
            let diameter = shape::diameter_mm(section, u);
            depth = depth.min(diameter);
            needed = needed.zip(side_by_side(diameter, a.0, b.0)).map(|(x, y)| if y > x { y } else { x });
        }
        if worst <= SLACK_MM {
            continue;
        }
        let apart = apart_along(first, second, a.1, b.1);
        let under = a.0 + b.0 <= depth;
        let text = message::bodies_meet(
            [&first.id, &second.id],
            shared,
            turn(first, second).abs(),
            needed,
            apart,
            (a.0 + b.0, depth),
        );
        findings.push(Finding {
            code: "bodies_meet",
            of: vec![first.id.clone(), second.id.clone()],
            so: if under { Buildable::OneUnderAnother } else { Buildable::No },
            on_graft_mm: Some(shared),
            text,
        });
    }
}

/// How far apart along the graft two mouths must lie for their bodies to follow each other.
fn apart_along(first: &Tunnel, second: &Tunnel, a: (f64, f64), b: (f64, f64)) -> f64 {
    // The body that ends further downstream would have to begin where the other ends.
    if a.1 <= b.1 {
        (second.mouth_u_mm + a.1 - b.0 - first.mouth_u_mm).abs()
    } else {
        (first.mouth_u_mm + b.1 - a.0 - second.mouth_u_mm).abs()
    }
}

/// Angle between two tubes against the fabric that just touch, from the cosine rule on their centres;
/// `None` where no angle keeps them apart.
pub(super) fn side_by_side(diameter_mm: f64, first_mm: f64, second_mm: f64) -> Option<Angle> {
    let (a, b) = ((diameter_mm - first_mm) / 2.0, (diameter_mm - second_mm) / 2.0);
    let reach = (first_mm + second_mm) / 2.0;
    if a <= 0.0 || b <= 0.0 || a + b < reach {
        return None;
    }
    let cosine = (a * a + b * b - reach * reach) / (2.0 * a * b);
    Some(Angle::rad(cosine.clamp(-1.0, 1.0).acos()))
}

/// The tube of a tunnel across a section, tangent to the fabric from inside; `None` where it has no
/// diameter.
fn disc(tunnel: &Tunnel, section: &Section, u_mm: f64) -> Option<Disc> {
    let radius_mm = tunnel.diameter_mm? / 2.0;
    let clock = Angle::deg(tunnel.mouth_clock_deg);
    let reach = shape::fabric_mm(section, u_mm, clock);
    let fabric = [reach * clock.cos(), reach * clock.sin()];
    let middle = middle(section);
    let across = [middle[0] - fabric[0], middle[1] - fabric[1]];
    let length = across[0].hypot(across[1]);
    let inward = if length > 0.0 { [across[0] / length, across[1] / length] } else { [-clock.cos(), -clock.sin()] };
    Some(Disc { centre: [fabric[0] + inward[0] * radius_mm, fabric[1] + inward[1] * radius_mm], radius_mm })
}

/// The middle of a section, from the graft's axis.
fn middle(section: &Section) -> [f64; 2] {
    let towards = Angle::deg(section.offset_clock_deg);
    [section.offset_mm * towards.cos(), section.offset_mm * towards.sin()]
}

/// The narrowest through-lumen: tunnels are taken to lie without running into each other.
pub(super) fn through(graft: &Graft) -> Option<ThroughLumen> {
    let sized: Option<Vec<(&Tunnel, (f64, f64))>> =
        graft.tunnels.iter().map(|t| t.diameter_mm.and(shape::body(t)).map(|body| (t, body))).collect();
    let sized = sized?;
    let mut narrowest: Option<ThroughLumen> = None;
    let mut before: Option<(Disc, Vec<Disc>)> = None;
    for (section, u) in along(graft, (0.0, graft.length_mm)) {
        let here = sized.iter().filter(|(_, body)| u >= body.0 - SLACK_MM && u <= body.1 + SLACK_MM);
        let discs: Vec<Disc> = here.filter_map(|(tunnel, _)| disc(tunnel, section, u)).collect();
        let whole = Disc { centre: middle(section), radius_mm: shape::diameter_mm(section, u) / 2.0 };
        // Along one section with the same tunnels nothing changes.
        let arrangement = Some((whole, discs));
        if arrangement == before {
            continue;
        }
        let Some((whole, discs)) = &arrangement else { continue };
        let free_mm = 2.0 * largest_free(*whole, discs);
        if narrowest.is_none_or(|least| free_mm < least.free_mm - 1e-9) {
            let taken: f64 = discs.iter().map(|d| d.radius_mm * d.radius_mm).sum();
            let free_mm2 = (PI * (whole.radius_mm * whole.radius_mm - taken)).max(0.0);
            narrowest = Some(ThroughLumen { u_mm: u, free_mm, free_mm2 });
        }
        before = arrangement;
    }
    narrowest
}

/// Radius of the largest circle inside one disc and outside others, mm: the best point of a grid, and
/// of ever finer grids about it. Good to 0.01 mm.
fn largest_free(whole: Disc, others: &[Disc]) -> f64 {
    if others.is_empty() || whole.radius_mm <= 0.0 {
        return whole.radius_mm.max(0.0);
    }
    let room = |at: [f64; 2]| {
        let inside = whole.radius_mm - distance(at, whole.centre);
        others.iter().map(|d| distance(at, d.centre) - d.radius_mm).fold(inside, f64::min)
    };
    let mut best = (whole.centre, room(whole.centre));
    let mut look = |side: i32, step: f64| {
        let about = best.0;
        for i in -side..=side {
            for j in -side..=side {
                let at = [about[0] + f64::from(i) * step, about[1] + f64::from(j) * step];
                let here = room(at);
                if here > best.1 {
                    best = (at, here);
                }
            }
        }
    };
    let mut step = whole.radius_mm / 24.0;
    look(24, step);
    for _ in 0..7 {
        step /= 3.0;
        look(5, step);
    }
    best.1.max(0.0)
}

fn turn(first: &Tunnel, second: &Tunnel) -> Angle {
    (Angle::deg(second.mouth_clock_deg) - Angle::deg(first.mouth_clock_deg)).wrapped()
}

fn distance(a: [f64; 2], b: [f64; 2]) -> f64 {
    (a[0] - b[0]).hypot(a[1] - b[1])
}

/// The sections over a stretch.
fn sections(graft: &Graft, (from, to): (f64, f64)) -> impl Iterator<Item = &Section> {
    graft.sections.iter().filter(move |s| s.from_u_mm < to - SLACK_MM && s.to_u_mm > from + SLACK_MM)
}

/// Places along a stretch with their section: both ends of each section's part, and 1 mm apart between.
fn along(graft: &Graft, stretch: (f64, f64)) -> impl Iterator<Item = (&Section, f64)> {
    sections(graft, stretch).flat_map(move |section| {
        let (from, to) = (section.from_u_mm.max(stretch.0), section.to_u_mm.min(stretch.1));
        let steps = ((to - from) / STEP_MM).ceil().clamp(1.0, 2000.0) as usize;
        (0..=steps).map(move |k| (section, from + (to - from) * k as f64 / steps as f64))
    })
}
