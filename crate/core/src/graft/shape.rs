//! A graft's shape by itself: diameters, fabric, seals, by position `u` (mm from the proximal fabric
//! edge, growing downstream) and graft clock `φ`.

use crate::casefile::case::{Flow, Graft, Section, Tunnel};
use crate::units::Angle;

/// Diameter of a section at `u`: linear between its two ends.
pub fn diameter_mm(section: &Section, u_mm: f64) -> f64 {
    let length = section.to_u_mm - section.from_u_mm;
    if length <= 0.0 {
        return section.from_diameter_mm;
    }
    let share = ((u_mm - section.from_u_mm) / length).clamp(0.0, 1.0);
    section.from_diameter_mm + share * (section.to_diameter_mm - section.from_diameter_mm)
}

/// The section at `u`; at a border the downstream one, at the distal end the last.
pub fn section_at(graft: &Graft, u_mm: f64) -> Option<&Section> {
    graft
        .sections
        .iter()
        .find(|s| u_mm >= s.from_u_mm && u_mm < s.to_u_mm)
        .or_else(|| graft.sections.last().filter(|s| u_mm >= s.from_u_mm && u_mm <= s.to_u_mm + 1e-9))
}

/// Distance from the graft's axis to its fabric at a graft clock, mm: an offset circle where the
/// section is one-sided.
pub fn fabric_mm(section: &Section, u_mm: f64, clock: Angle) -> f64 {
    let radius = diameter_mm(section, u_mm) / 2.0;
    let away = clock - Angle::deg(section.offset_clock_deg);
    let across = section.offset_mm * away.sin();
    // Where the axis lies outside the circle (offset larger than the radius) there may be no fabric
    // in a direction; the nearest the circle comes is then its own side.
    section.offset_mm * away.cos() + (radius * radius - across * across).max(0.0).sqrt()
}

/// Stretches of `u` that are covered with fabric, joined where they touch.
pub fn covered(graft: &Graft) -> Vec<(f64, f64)> {
    joined(graft.sections.iter().filter(|s| s.covered))
}

/// Stretches of `u` that are meant to seal, joined where they touch.
pub fn seals(graft: &Graft) -> Vec<(f64, f64)> {
    joined(graft.sections.iter().filter(|s| s.seals && s.covered))
}

fn joined<'a>(sections: impl Iterator<Item = &'a Section>) -> Vec<(f64, f64)> {
    let mut stretches: Vec<(f64, f64)> = Vec::new();
    for section in sections {
        match stretches.last_mut() {
            Some(last) if section.from_u_mm - last.1 < 1e-9 => last.1 = section.to_u_mm,
            _ => stretches.push((section.from_u_mm, section.to_u_mm)),
        }
    }
    stretches
}

/// The two ends of a tunnel's body inside the graft, upstream first; `None` without a length.
pub fn body(tunnel: &Tunnel) -> Option<(f64, f64)> {
    let length = tunnel.length_mm?;
    Some(match tunnel.flow {
        Flow::Antegrade => (tunnel.mouth_u_mm - length, tunnel.mouth_u_mm),
        Flow::Retrograde => (tunnel.mouth_u_mm, tunnel.mouth_u_mm + length),
    })
}

/// Every `u` at which something begins, ends or opens, growing, within the fabric.
pub(super) fn events(graft: &Graft) -> Vec<f64> {
    let mut events = vec![0.0, graft.length_mm];
    events.extend(graft.sections.iter().flat_map(|s| [s.from_u_mm, s.to_u_mm]));
    for tunnel in &graft.tunnels {
        events.push(tunnel.mouth_u_mm);
        events.extend(body(tunnel).into_iter().flat_map(|(a, b)| [a, b]));
    }
    events.extend(graft.fenestrations.iter().map(|f| f.u_mm));
    events.extend(graft.markers.iter().map(|m| m.u_mm));
    events.extend(graft.barbs.iter().flat_map(|b| [b.from_u_mm, b.to_u_mm]));
    events.retain(|u| (0.0..=graft.length_mm).contains(u));
    events.sort_by(f64::total_cmp);
    events.dedup_by(|a, b| *a - *b < 1e-9);
    events
}
