//! A graft's fabric, cut open and laid flat 1:1: seen from outside, flow to the right, its reference
//! line (12:00 of the graft) in the middle, 3:00 below it.

use crate::casefile::case::{Flow, Graft, Section};
use crate::graft::shape;
use crate::scene::lettering::Extent;
use crate::scene::pen::Pen;
use crate::scene::style::{Medium, Token};
use crate::scene::{Anchor, Scene, Sign, Spot};
use crate::units::Angle;
use std::f64::consts::PI;

/// Room left, above, right and below for words, mm.
const MARGIN: Extent = Extent { left: 8.0, top: 8.0, right: 30.0, bottom: 16.0 };
/// Points along an edge or an outline.
const POINTS: usize = 48;
/// Between ticks, and between those with a number, mm.
const TICK_MM: usize = 10;
const NUMBERED_MM: usize = 20;

/// Below the scale.
const NOTE: &str = "mm from the proximal edge of the fabric; seen from outside, flow to the right";

/// The map; none of a graft without fabric.
pub(super) fn fabric_map(graft: &Graft, name: &str) -> Option<Scene> {
    let radius = |u: f64| shape::section_at(graft, u).map(|section| shape::diameter_mm(section, u) / 2.0);
    let widest = graft.sections.iter().flat_map(|s| [s.from_diameter_mm, s.to_diameter_mm]).fold(0.0, f64::max) / 2.0;
    if graft.sections.is_empty() || widest <= 0.0 || graft.length_mm <= 0.0 {
        return None;
    }
    let middle = MARGIN.top + PI * widest;
    let (width_mm, height_mm) =
        (MARGIN.left + graft.length_mm + MARGIN.right, MARGIN.top + 2.0 * PI * widest + MARGIN.bottom);
    let x = |u: f64| MARGIN.left + u;
    let spot = |u: f64, clock: Angle| -> Option<Spot> {
        let section = shape::section_at(graft, u.clamp(0.0, graft.length_mm))?;
        Some([x(u), middle + around_mm(section, u, clock)])
    };
    // A short graft is narrower than what is said of it.
    let width_mm = width_mm.max(MARGIN.left + super::block::width_mm(Token::MutedNote, NOTE) + 1.0);
    let mut pen = Pen::new(Medium::Paper);
    for section in &graft.sections {
        let edge = |side: f64| {
            [section.from_u_mm, section.to_u_mm]
                .map(|u| [x(u), middle + side * PI * shape::diameter_mm(section, u) / 2.0])
        };
        let [above, below] = [edge(-1.0), edge(1.0)];
        let ring = vec![above[0], above[1], below[1], below[0]];
        match (section.covered, section.seals) {
            (true, true) => pen.area(Token::Seal, vec![ring]),
            (true, false) => pen.area(Token::FabricFree, vec![ring]),
            (false, _) => pen.line(Token::Bare, ring),
        }
        pen.line(Token::SectionBorder, vec![above[0], above[1]]);
        pen.line(Token::SectionBorder, vec![below[0], below[1]]);
    }
    for u in [0.0, graft.length_mm] {
        if let Some(radius) = radius(u) {
            pen.line(Token::GraftEdge, vec![[x(u), middle - PI * radius], [x(u), middle + PI * radius]]);
        }
    }
    pen.line(Token::ReferenceLine, vec![[x(0.0), middle], [x(graft.length_mm), middle]]);
    for barbs in &graft.barbs {
        pen.line(
            Token::Lesion,
            vec![[x(barbs.from_u_mm), middle + PI * widest], [x(barbs.to_u_mm), middle + PI * widest]],
        );
    }
    let oval = |at: Spot, along: f64, across: f64, half: bool| -> Vec<Spot> {
        let turn = if half { PI } else { 2.0 * PI };
        let point = |k: usize| {
            let angle = turn * k as f64 / POINTS as f64 - PI / 2.0;
            [at[0] + along / 2.0 * angle.cos(), at[1] + across / 2.0 * angle.sin()]
        };
        (0..POINTS + usize::from(half)).map(point).collect()
    };
    for tunnel in &graft.tunnels {
        let clock = Angle::deg(tunnel.mouth_clock_deg);
        let Some(at) = spot(tunnel.mouth_u_mm, clock) else { continue };
        if let (Some((from, to)), Some(diameter)) = (shape::body(tunnel), tunnel.diameter_mm) {
            let [top, bottom] = [at[1] - diameter / 2.0, at[1] + diameter / 2.0];
            pen.area(Token::TunnelBody, vec![vec![[x(from), top], [x(to), top], [x(to), bottom], [x(from), bottom]]]);
        }
        match (tunnel.mouth_along_mm, tunnel.mouth_across_mm) {
            (Some(along), Some(across)) => pen.area(Token::Mouth, vec![oval(at, along, across, false)]),
            _ => pen.ring(Token::MouthUnknown, at, tunnel.diameter_mm.unwrap_or(6.0) / 2.0),
        }
        let arrow = if tunnel.flow == Flow::Antegrade { Sign::ArrowRight } else { Sign::ArrowLeft };
        pen.mark(Token::FlowArrow, at, arrow, 4.0);
        let below = tunnel.mouth_across_mm.or(tunnel.diameter_mm).unwrap_or(6.0) / 2.0 + 4.6;
        pen.words(Token::Name, [at[0], at[1] + below], Anchor::Middle, &tunnel.serves);
    }
    for window in &graft.fenestrations {
        if let Some(at) = spot(window.u_mm, Angle::deg(window.clock_deg)) {
            pen.area(Token::Mouth, vec![oval(at, window.along_mm, window.across_mm, false)]);
            pen.words(Token::Name, [at[0], at[1] + window.across_mm / 2.0 + 4.6], Anchor::Middle, &window.serves);
        }
    }
    for scallop in &graft.scallops {
        if let Some(at) = spot(0.0, Angle::deg(scallop.clock_deg)) {
            pen.area(Token::Mouth, vec![oval(at, 2.0 * scallop.depth_mm, scallop.width_mm, true)]);
            let beside = [at[0] + scallop.depth_mm + 1.5, at[1] + 1.5];
            pen.words(Token::Name, beside, Anchor::Start, &scallop.serves);
        }
    }
    for marker in &graft.markers {
        if let Some(at) = spot(marker.u_mm, Angle::deg(marker.clock_deg)) {
            pen.mark(Token::GraftMark, at, Sign::Diamond, 2.4);
        }
    }
    // The scale along, from the proximal edge.
    let foot = middle + PI * widest + 2.0;
    let mut u: usize = 0;
    while u as f64 <= graft.length_mm {
        pen.line(Token::Tick, vec![[x(u as f64), foot], [x(u as f64), foot + 1.6]]);
        if u.is_multiple_of(NUMBERED_MM) {
            pen.words(Token::Note, [x(u as f64), foot + 5.4], Anchor::Middle, &u.to_string());
        }
        u += TICK_MM;
    }
    pen.words(Token::MutedNote, [MARGIN.left, foot + 10.4], Anchor::Start, NOTE);
    let right = x(graft.length_mm) + 2.0;
    if let Some(section) = graft.sections.last() {
        for (hours, degrees) in [("6:00", -180.0), ("9:00", -90.0), ("12:00", 0.0), ("3:00", 90.0), ("6:00", 180.0)] {
            let y = middle + around_mm(section, graft.length_mm, Angle::deg(degrees));
            pen.words(Token::Note, [right, y + 1.3], Anchor::Start, hours);
        }
    }
    Some(Scene {
        name: "fabric-map",
        width_mm,
        height_mm,
        medium: Medium::Paper,
        title: format!("Fabric map of the {name} at true size"),
        description: NOTE.into(),
        items: pen.items,
        ground: 0,
    })
}

/// Length of fabric from the reference line to a graft clock, mm: in a section whose circle lies off
/// the axis by the angle about the circle's own centre.
fn around_mm(section: &Section, u_mm: f64, clock: Angle) -> f64 {
    let radius = shape::diameter_mm(section, u_mm) / 2.0;
    if section.offset_mm == 0.0 || clock.abs() >= Angle::deg(180.0) {
        return radius * clock.to_rad();
    }
    let off = Angle::deg(section.offset_clock_deg);
    let own = |clock: Angle| {
        let fabric = shape::fabric_mm(section, u_mm, clock);
        let [x, y] = [
            fabric * clock.cos() - section.offset_mm * off.cos(),
            fabric * clock.sin() - section.offset_mm * off.sin(),
        ];
        y.atan2(x)
    };
    radius * Angle::rad(own(clock) - own(Angle::deg(0.0))).wrapped().to_rad()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn section(offset_mm: f64) -> Section {
        Section {
            from_u_mm: 0.0,
            to_u_mm: 100.0,
            from_diameter_mm: 40.0,
            to_diameter_mm: 30.0,
            offset_mm,
            offset_clock_deg: 0.0,
            covered: true,
            seals: false,
        }
    }

    // An arc is its radius times its angle; about a circle that is off its axis by half its radius
    // the fabric at 90° lies where cos of the angle about its own centre is −0.5: 120°.
    #[test]
    fn a_quarter_of_the_clock_is_a_quarter_of_the_girth() {
        let quarter = around_mm(&section(0.0), 50.0, Angle::deg(90.0));
        assert!((quarter - 17.5 * PI / 2.0).abs() < 1e-12);
        let off = around_mm(&section(8.75), 50.0, Angle::deg(90.0));
        assert!((off - 17.5 * 120.0_f64.to_radians()).abs() < 1e-9, "{off}");
    }
}
