//! Three signs that tell whether the axes can be right.
//!
//! In a patient the branches of the arch run to the head, and the descending aorta lies to the left
//! of the ascending and behind it. One or three signs wrong is a mirror image (or a right-sided
//! arch); two wrong is a patient turned half round (or a line that runs against the flow).

use super::axes::Axes;
use super::tree::Tree;
use crate::fault::Fault;
use crate::units::{Point3, Vec3};

/// A sign smaller than this cannot be told, mm.
pub(crate) const UNCLEAR_MM: f64 = 3.0;
/// How much aorta upstream and downstream of the arch's branches is compared, mm.
pub(crate) const STRETCH_MM: f64 = 60.0;
/// How many branches, along the flow, count as those of the arch.
const ARCH_BRANCHES: usize = 3;

const SIGNS: [(&str, &str); 3] = [
    ("the descending aorta lies to the right of the ascending", "left"),
    ("the descending aorta lies in front of the ascending", "back"),
    ("the arch points to the feet", "head"),
];

/// What the signs say.
#[derive(Clone, Debug, PartialEq)]
pub(super) enum Answer {
    /// None is wrong; those that cannot be told are named.
    Right { unclear: Vec<&'static str> },
    /// Some are wrong, for this reason.
    Wrong(Fault),
}

/// Where the branches leave and reach, along the trunk's own points.
#[derive(Clone, Copy, Debug)]
pub(super) struct Reach {
    /// Length along the trunk where the branch leaves.
    pub along_mm: f64,
    /// Where it crosses the wall.
    pub leaves: Point3,
    /// Its far end.
    pub ends: Point3,
}

/// Tests the signs. `arch_mm` is where the arch's ostia are known to lie along the trunk, if they are.
pub(super) fn test(tree: &Tree, branches: &[Reach], arch_mm: Option<(f64, f64)>, axes: Axes) -> Answer {
    let trunk = &tree.trunk;
    let length = trunk.length_mm();
    let top = farthest_from_chord(tree);
    let mut ordered = branches.to_vec();
    ordered.sort_by(|a, b| a.along_mm.total_cmp(&b.along_mm));
    ordered.truncate(ARCH_BRANCHES);
    let from_branches = ordered.first().zip(ordered.last()).map(|(a, b)| (a.along_mm, b.along_mm));
    let (from, to) = arch_mm.or(from_branches).unwrap_or((top, top));
    let mean = |a: f64, b: f64| {
        let steps = 30;
        let sum = (0..=steps)
            .fold(Vec3::zeros(), |sum, k| sum + trunk.at(a + (b - a) * f64::from(k) / f64::from(steps)).coords);
        sum / f64::from(steps + 1)
    };
    // Stretches of equal length, so that a long descending aorta does not outweigh the ascending.
    let stretch = STRETCH_MM.min(from).min(length - to);
    let across = mean(to, to + stretch) - mean(from - stretch, from);
    let upward = if ordered.is_empty() {
        // Without branches the arch itself: its top lies on the head's side of its two ends.
        trunk.at(top).z - (trunk.first().z + trunk.last().z) / 2.0
    } else {
        ordered.iter().map(|b| (b.ends - b.leaves).z).sum::<f64>() / ordered.len() as f64
    };
    let values = [across.x, across.y, upward];
    let wrong = values.map(|v| v < -UNCLEAR_MM);
    let unclear = (0..3).filter(|i| values[*i].abs() <= UNCLEAR_MM).map(|i| SIGNS[i].1).collect();
    if !wrong.contains(&true) {
        return Answer::Right { unclear };
    }
    Answer::Wrong(fault(trunk.place.clone(), wrong, ordered.is_empty(), axes))
}

fn fault(place: String, wrong: [bool; 3], without_branches: bool, axes: Axes) -> Fault {
    let said: Vec<&str> = (0..3)
        .filter(|i| wrong[*i])
        .map(|i| if i == 2 && !without_branches { "the branches run to the feet" } else { SIGNS[i].0 })
        .collect();
    let said = said.join(", ");
    let right = axes.turned_round(wrong);
    let count = wrong.iter().filter(|w| **w).count();
    if count == 2 {
        return Fault::new(
            "axes_turned",
            place,
            format!("With the axes {axes} {said}: the patient would lie turned round."),
            format!(
                "The axes {right} make all three signs right; if a single line runs against the flow, reverse it; if {axes} is right, say that the axes are to be trusted."
            ),
        );
    }
    Fault::new(
        "axes_mirrored",
        place,
        format!("With the axes {axes} {said}: the picture is mirrored, or the arch is right-sided."),
        format!(
            "The axes {right} make all three signs right; if {axes} is right, say that the axes are to be trusted."
        ),
    )
}

/// Length along the trunk to its point farthest from the chord between its ends.
fn farthest_from_chord(tree: &Tree) -> f64 {
    let trunk = &tree.trunk;
    let chord = (trunk.last() - trunk.first()).try_normalize(1e-9).unwrap_or_else(Vec3::zeros);
    let off = |p: &Point3| {
        let d = p - trunk.first();
        (d - chord * d.dot(&chord)).norm()
    };
    let best = trunk.points.iter().enumerate().max_by(|a, b| off(a.1).total_cmp(&off(b.1)));
    best.map_or(0.0, |(i, _)| trunk.along_mm()[i])
}
