//! Whether a graft can be made as it is drawn: what its tunnels, openings and edges leave each other.
//!
//! A tunnel's body is a tube of its own diameter that lies against the fabric from inside, at its
//! mouth's clock, from the mouth upstream (antegrade) or downstream (retrograde). Two bodies that
//! share a stretch of the graft lie side by side where their tubes do not meet; where they meet, one
//! can only run under the other, which needs both diameters across the graft. What the tubes leave
//! free is the through-lumen. Knows nothing of an aorta.

use super::shape;
use crate::casefile::case::{Graft, MakerSteps, Section, Tunnel};
use crate::message;
use crate::units::Angle;
use serde::Serialize;
use std::f64::consts::PI;

/// Sections along the graft are looked at this far apart, mm.
const STEP_MM: f64 = 1.0;
/// Places that differ from a maker's step by less are on it, mm or degrees.
const ON_STEP: f64 = 1e-6;
/// Lengths that overlap by less do not, mm.
const SLACK_MM: f64 = 1e-9;

/// What can be said of a graft in a word, worst first.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Buildable {
    /// Something cannot be made so.
    No,
    /// A size is missing.
    Unknown,
    /// Only with one tunnel running under another.
    OneUnderAnother,
    /// Nothing stands against it.
    Yes,
}

/// Something that stands against making a graft so, or must be known first.
#[derive(Clone, Debug, PartialEq)]
pub struct Finding {
    /// Stable name of the kind.
    pub code: &'static str,
    /// Ids of the tunnels and openings concerned.
    pub of: Vec<String>,
    /// What follows from it; `Yes` for what must only be minded.
    pub so: Buildable,
    /// The stretch of the graft concerned, mm from the proximal fabric edge.
    pub on_graft_mm: Option<(f64, f64)>,
    /// In one sentence.
    pub text: String,
}

/// Two mouths or openings, and the fabric between their edges.
#[derive(Clone, Debug, PartialEq)]
pub struct Between {
    /// Ids of the two.
    pub of: [String; 2],
    /// Fabric between their edges, mm; negative where they run into each other; `None` where a size is
    /// not known.
    pub edges_mm: Option<f64>,
    /// Along the graft from centre to centre, mm.
    pub along_mm: f64,
    /// Clock of the second less that of the first.
    pub turn: Angle,
}

/// One mouth or opening, and the fabric up to the two edges of the graft.
#[derive(Clone, Debug, PartialEq)]
pub struct ToEdges {
    /// Its id.
    pub of: String,
    /// From its upstream edge to the proximal fabric edge, mm.
    pub proximal_mm: f64,
    /// From its downstream edge to the distal fabric edge, mm.
    pub distal_mm: f64,
}

/// The narrowest place of what the tunnels leave free.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ThroughLumen {
    /// Where, mm from the proximal fabric edge.
    pub u_mm: f64,
    /// Diameter of the largest circle that passes beside the tunnels, mm.
    pub free_mm: f64,
    /// Area that the tunnels leave, mm².
    pub free_mm2: f64,
}

/// What was found on a graft.
#[derive(Clone, Debug, PartialEq)]
pub struct Survey {
    /// In a word.
    pub buildable: Buildable,
    /// The narrowest through-lumen; `None` without sections or where a tunnel's size is not known.
    pub through: Option<ThroughLumen>,
    /// Every pair of mouths and openings.
    pub between: Vec<Between>,
    /// Every mouth and fenestration against the edges.
    pub edges: Vec<ToEdges>,
    /// What stands against it, in order.
    pub findings: Vec<Finding>,
}

/// A hole in the fabric: a mouth, a fenestration or a scallop.
struct Hole<'a> {
    id: &'a str,
    u_mm: f64,
    clock: Angle,
    /// Half sizes along and around, where known.
    half_mm: Option<(f64, f64)>,
}

/// A tube across the graft at one place.
#[derive(Clone, Copy, PartialEq)]
struct Disc {
    centre: [f64; 2],
    radius_mm: f64,
}

/// Looks a graft over.
pub fn survey(graft: &Graft) -> Survey {
    let mut findings = Vec::new();
    bodies(graft, &mut findings);
    pairs(graft, &mut findings);
    let holes = holes(graft);
    let between = between(graft, &holes, &mut findings);
    let edges = edges(graft, &holes, &mut findings);
    if let Some(steps) = &graft.maker_steps {
        on_steps(graft, steps, &mut findings);
    }
    let buildable = findings.iter().map(|f| f.so).min().unwrap_or(Buildable::Yes);
    Survey { buildable, through: through(graft), between, edges, findings }
}

/// Each body by itself: known, on the fabric, narrower than the graft.
fn bodies(graft: &Graft, findings: &mut Vec<Finding>) {
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
fn pairs(graft: &Graft, findings: &mut Vec<Finding>) {
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
fn side_by_side(diameter_mm: f64, first_mm: f64, second_mm: f64) -> Option<Angle> {
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
fn through(graft: &Graft) -> Option<ThroughLumen> {
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

fn holes(graft: &Graft) -> Vec<Hole<'_>> {
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
fn between(graft: &Graft, holes: &[Hole<'_>], findings: &mut Vec<Finding>) -> Vec<Between> {
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

fn edges(graft: &Graft, holes: &[Hole<'_>], findings: &mut Vec<Finding>) -> Vec<ToEdges> {
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
fn on_steps(graft: &Graft, steps: &MakerSteps, findings: &mut Vec<Finding>) {
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

fn turn(first: &Tunnel, second: &Tunnel) -> Angle {
    (Angle::deg(second.mouth_clock_deg) - Angle::deg(first.mouth_clock_deg)).wrapped()
}

fn distance(a: [f64; 2], b: [f64; 2]) -> f64 {
    (a[0] - b[0]).hypot(a[1] - b[1])
}

fn two_of<T>(all: &[T]) -> impl Iterator<Item = (&T, &T)> {
    all.iter().enumerate().flat_map(move |(index, first)| all[index + 1..].iter().map(move |second| (first, second)))
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

#[cfg(test)]
mod tests {
    use super::*;
    use crate::casefile::case::{Fenestration, Flow, Scallop};

    fn section(diameter_mm: f64) -> Section {
        Section {
            from_u_mm: 0.0,
            to_u_mm: 100.0,
            from_diameter_mm: diameter_mm,
            to_diameter_mm: diameter_mm,
            offset_mm: 0.0,
            offset_clock_deg: 0.0,
            covered: true,
            seals: false,
        }
    }

    fn tunnel(id: &str, u_mm: f64, clock_deg: f64, width_mm: f64) -> Tunnel {
        Tunnel {
            id: id.into(),
            serves: "IA".into(),
            flow: Flow::Antegrade,
            mouth_u_mm: u_mm,
            mouth_clock_deg: clock_deg,
            mouth_along_mm: Some(8.0),
            mouth_across_mm: Some(8.0),
            diameter_mm: Some(width_mm),
            length_mm: Some(25.0),
            rise_deg: 0.0,
            side_deg: 0.0,
            wired_from: None,
        }
    }

    fn waist(second_u_mm: f64, apart_deg: f64) -> Graft {
        Graft {
            length_mm: 100.0,
            sections: vec![section(24.0)],
            tunnels: vec![tunnel("t1", 42.0, 0.0, 12.0), tunnel("t2", second_u_mm, apart_deg, 8.0)],
            ..Graft::default()
        }
    }

    fn meet(graft: &Graft) -> Option<Finding> {
        survey(graft).findings.into_iter().find(|f| f.code == "bodies_meet")
    }

    // Check P9 of the worked arch: tunnels 12 and 8 mm wide and 25 long with mouths at 42 and 58 in a
    // waist of 24 share 33 to 42; side by side they need 90°; 25 mm apart they follow each other.
    #[test]
    fn p9_bodies_that_share_a_stretch() {
        let found = meet(&waist(58.0, 0.0)).unwrap();
        assert_eq!(found.on_graft_mm, Some((33.0, 42.0)));
        assert!(found.so != Buildable::Yes);
        for part in ["33.0 to 42.0 mm", "90°", "25.0 mm apart"] {
            assert!(found.text.contains(part), "{part}: {}", found.text);
        }
        assert!(meet(&waist(58.0, 89.9)).is_some());
        for free in [waist(58.0, 90.1), waist(58.0, -90.1), waist(67.0, 0.0), waist(70.0, 0.0)] {
            assert_eq!(meet(&free), None);
            assert_eq!(survey(&free).buildable, Buildable::Yes);
        }
        assert!(meet(&waist(66.9, 0.0)).is_some());
    }

    // 12 + 8 mm fit across 24 mm one under the other, not across 19.
    #[test]
    fn one_runs_under_the_other_only_with_the_depth() {
        assert_eq!(survey(&waist(58.0, 0.0)).buildable, Buildable::OneUnderAnother);
        let mut narrow = waist(58.0, 0.0);
        narrow.sections = vec![section(19.0)];
        assert_eq!(survey(&narrow).buildable, Buildable::No);
    }

    // Free area 24²π/4 less the tubes; the largest circle beside one tube of 12 against the fabric has
    // the 12 that is left.
    #[test]
    fn through_lumen() {
        let mut graft = waist(58.0, 180.0);
        graft.tunnels.truncate(1);
        let one = survey(&graft).through.unwrap();
        assert!((one.free_mm - 12.0).abs() < 0.02, "{}", one.free_mm);
        assert!((one.free_mm2 - PI * (144.0 - 36.0)).abs() < 1e-9);
        graft.tunnels = vec![tunnel("t1", 42.0, 0.0, 8.0), tunnel("t2", 42.0, 180.0, 8.0)];
        let two = survey(&graft).through.unwrap();
        // A circle of radius r inside 12, tangent to both tubes of radius 4 centred 8 off the axis:
        // its centre lies at h across with 12 − r = h and (4 + r)² = 64 + h², so r = 192/32 = 6.
        assert!((two.free_mm - 12.0).abs() < 0.02, "{}", two.free_mm);
        graft.tunnels[0].length_mm = None;
        assert_eq!(survey(&graft).through, None);
        assert_eq!(survey(&graft).buildable, Buildable::Unknown);
    }

    #[test]
    fn what_cannot_be_made_is_named() {
        let code = |change: fn(&mut Graft)| {
            let mut graft = waist(70.0, 0.0);
            change(&mut graft);
            survey(&graft).findings.iter().map(|f| f.code).collect::<Vec<_>>()
        };
        assert_eq!(code(|_| {}), Vec::<&str>::new());
        assert_eq!(code(|g| g.tunnels[0].mouth_u_mm = 20.0), ["tunnel_beyond_fabric"]);
        assert_eq!(code(|g| g.sections[0].covered = false), ["tunnel_on_bare_part"; 2]);
        assert_eq!(code(|g| g.tunnels[1].diameter_mm = Some(25.0)), ["tunnel_too_wide"]);
        assert_eq!(code(|g| g.tunnels[1].diameter_mm = None), ["tunnel_size_unknown"]);
        assert_eq!(code(|g| g.tunnels[1].mouth_across_mm = None), ["mouth_size_unknown"]);
        let window = |u_mm: f64| Fenestration {
            id: "f1".into(),
            serves: "LSA".into(),
            u_mm,
            clock_deg: 0.0,
            along_mm: 9.0,
            across_mm: 9.0,
        };
        assert_eq!(window(3.0).u_mm, 3.0);
        let mut graft = waist(70.0, 0.0);
        graft.fenestrations = vec![window(3.0)];
        assert_eq!(survey(&graft).findings[0].code, "opening_over_edge");
        graft.fenestrations = vec![window(74.0)];
        assert_eq!(survey(&graft).findings[0].code, "openings_meet");
        graft.fenestrations = vec![window(85.0)];
        let between = &survey(&graft).between[2];
        // t2 at 70 with a mouth of 8, f1 at 85 with 9: 15 − 4 − 4.5.
        assert!((between.edges_mm.unwrap() - 6.5).abs() < 1e-9);
    }

    #[test]
    fn a_maker_s_steps_are_minded() {
        let mut graft = waist(70.0, 9.0);
        graft.maker_steps = Some(MakerSteps { u_mm: 1.0, clock_deg: 7.5 });
        graft.scallops =
            vec![Scallop { id: "s1".into(), serves: "IA".into(), clock_deg: 180.0, width_mm: 20.0, depth_mm: 12.5 }];
        let found = survey(&graft);
        assert_eq!(found.buildable, Buildable::Yes);
        let texts: Vec<&str> = found.findings.iter().map(|f| f.text.as_str()).collect();
        assert_eq!(found.findings.len(), 2, "{texts:?}");
        assert!(texts[0].contains("9") && texts[0].contains("7.5"), "{texts:?}");
    }

    // Whatever is typed, every number is finite.
    #[test]
    fn degenerate_grafts_give_no_nan() {
        let mut graft = waist(42.0, 0.0);
        graft.sections[0].from_diameter_mm = 0.0;
        graft.sections[0].to_diameter_mm = 0.0;
        graft.sections[0].offset_mm = 30.0;
        let found = survey(&graft);
        assert_eq!(found.buildable, Buildable::No);
        assert!(found.through.is_some_and(|t| t.free_mm.is_finite() && t.free_mm2.is_finite()));
        assert!(found.between.iter().all(|b| b.edges_mm.is_none_or(f64::is_finite)));
        assert_eq!(survey(&Graft::default()).buildable, Buildable::Yes);
    }
}
