//! Trunk and branches: which of the lines is the aorta, and which way the blood runs in each.
//!
//! Two layouts are read: lines that all begin at the root and share a stretch of aorta, and a trunk
//! with lines that begin on it or inside it. The trunk is the line that stays wide to both ends; of
//! several that do, and without radii, the longest.

use super::line::Line;
use crate::fault::{Fault, Faults};
use crate::units::Point3;

/// Two ends are one where they are nearer than this, mm.
const SAME_END_MM: f64 = 2.0;
/// A branch may begin this far outside the trunk's wall, mm: lines from other sources end loosely.
const LOOSE_START_MM: f64 = 3.0;
/// Without radii a branch begins at most this far from the trunk's line, mm.
const START_WITHOUT_RADII_MM: f64 = 25.0;
/// A line whose narrower end is at least this share of the widest one's may be the trunk: an aorta
/// tapers by less along what is usually followed, and a neck vessel is narrower.
const NEARLY_AS_WIDE: f64 = 0.8;
/// The width of an end is the median over this much of the line, mm.
const END_MM: f64 = 10.0;

/// The aorta and what leaves it, each in the direction of the flow.
#[derive(Clone, Debug)]
pub(super) struct Tree {
    pub trunk: Line,
    pub branches: Vec<Line>,
}

/// Tells trunk and branches apart. There must be at least one line.
pub(super) fn tell_apart(mut lines: Vec<Line>, faults: &mut Faults, assumed: &mut Vec<String>) -> Option<Tree> {
    let with_radii = lines.iter().all(|line| line.radius_of(0).is_some());
    let widths: Vec<f64> = lines.iter().map(|line| if with_radii { least_end_radius(line) } else { 1.0 }).collect();
    let widest = widths.iter().copied().fold(0.0, f64::max);
    let length = |k: &usize| lines[*k].length_mm();
    // From the last to the first, so that the first of equals is taken.
    let trunk = (0..lines.len())
        .rev()
        .filter(|k| widths[*k] >= NEARLY_AS_WIDE * widest)
        .max_by(|a, b| length(a).total_cmp(&length(b)))?;
    let trunk = lines.remove(trunk);
    let trunk = along_the_flow(trunk, &lines, assumed);
    if !lines.is_empty() {
        let why = if with_radii { "it stays wide to its far end" } else { "it is the longest; there are no radii" };
        assumed.push(format!("{} is taken for the aorta: {why}.", trunk.name));
    }
    let mut branches = Vec::new();
    for line in lines {
        let (name, place) = (line.name.clone(), line.place.clone());
        match outward(line, &trunk) {
            Ok(branch) => branches.push(branch),
            Err(distance_mm) => faults.add(Fault::new(
                "off_the_trunk",
                place,
                format!(
                    "{name} does not begin on the aorta ({}): its nearer end lies {distance_mm:.1} mm off.",
                    trunk.name
                ),
                "Give branches that begin in the aorta, or lines that all begin at the root; leave others out.",
            )),
        }
    }
    Some(Tree { trunk, branches })
}

/// The lesser of the widths at both ends, each the median over the last 10 mm.
fn least_end_radius(line: &Line) -> f64 {
    let length = line.length_mm();
    let median = |inside: &dyn Fn(f64) -> bool| {
        let mut radii: Vec<f64> = line
            .along_mm()
            .iter()
            .enumerate()
            .filter(|(_, along)| inside(**along))
            .filter_map(|(i, _)| line.radius_of(i))
            .collect();
        radii.sort_by(f64::total_cmp);
        radii.get(radii.len() / 2).copied().unwrap_or(0.0)
    };
    median(&|along| along <= END_MM).min(median(&|along| along >= length - END_MM))
}

fn is_end_of(line: &Line, end: &Point3) -> bool {
    [line.first(), line.last()].iter().any(|p| (p - end).norm() < SAME_END_MM)
}

/// The trunk with the end first that more of the other lines share.
fn along_the_flow(trunk: Line, others: &[Line], assumed: &mut Vec<String>) -> Line {
    let shared = |end: Point3| others.iter().filter(|line| is_end_of(line, &end)).count();
    let (first, last) = (shared(trunk.first()), shared(trunk.last()));
    if last > first {
        assumed.push(format!(
            "{} was turned round: the lines share its last point, which is taken for the root.",
            trunk.name
        ));
        return trunk.reversed();
    }
    if first == 0 {
        assumed.push(format!("{} is taken to run with the blood flow, from its first to its last point.", trunk.name));
    }
    trunk
}

/// A branch from its end at or in the trunk; that end's distance from the trunk's wall where both
/// lie outside.
fn outward(line: Line, trunk: &Line) -> Result<Line, f64> {
    let root = trunk.first();
    if (line.first() - root).norm() < SAME_END_MM {
        return Ok(line);
    }
    if (line.last() - root).norm() < SAME_END_MM {
        return Ok(line.reversed());
    }
    let outside = |end: Point3| {
        let (distance, along) = trunk.nearest(&end);
        distance - trunk.radius_at(along).map_or(START_WITHOUT_RADII_MM, |r| r + LOOSE_START_MM)
    };
    let (first, last) = (outside(line.first()), outside(line.last()));
    if first.min(last) > 0.0 {
        return Err(first.min(last) + LOOSE_START_MM);
    }
    Ok(if last < first { line.reversed() } else { line })
}
