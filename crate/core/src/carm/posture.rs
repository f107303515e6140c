//! Whether the data can be a patient's: C-arm angles of a mirrored, turned or upside-down patient
//! would be wrong without looking wrong.
//!
//! Three signs of a usual aorta: the top of the arch points to the head, the descending aorta lies
//! behind the ascending and to its left. A sign that is wrong refuses every view; one that cannot be
//! told does not. A right-sided arch is refused too, for it cannot be told from a mirror image.

use crate::anatomy::course::{ArchPlane, Course};
use crate::import::signs::{STRETCH_MM, UNCLEAR_MM};
use crate::message;
use crate::quantity::Unknown;
use crate::units::Vec3;

/// Points over which each stretch is averaged.
const POINTS: usize = 31;

/// Whether the axes of the data can be right.
///
/// # Errors
/// Which sign is wrong, in one sentence.
pub fn plausible(course: &Course, plane: &ArchPlane) -> Result<(), Unknown> {
    let line = course.line();
    let (first, last) = line.range_mm();
    let mean = |from: f64, to: f64| -> Vec3 {
        let share = |k: usize| from + (to - from) * k as f64 / (POINTS - 1) as f64;
        (0..POINTS).map(|k| line.at(share(k)).point.coords).sum::<Vec3>() / POINTS as f64
    };
    let (from, to) = (plane.from_mm, plane.to_mm);
    // Stretches of equal length, so that a long descending aorta does not outweigh the ascending. Data
    // that end with the arch are compared within it.
    let stretch = STRETCH_MM.min((from - first).max(0.1 * (to - from))).min((last - to).max(0.1 * (to - from)));
    let (before, after) = (mean((from - stretch).max(first), from), mean(to, (to + stretch).min(last)));
    let middle = (from + to) / 2.0;
    let top = mean(middle - 0.1 * (to - from), middle + 0.1 * (to - from));
    let across = after - before;
    let signs = [
        (across.x, message::DESCENDING_TO_THE_RIGHT),
        (across.y, message::DESCENDING_IN_FRONT),
        (top.z - (before.z + after.z) / 2.0, message::ARCH_TO_THE_FEET),
    ];
    match signs.iter().find(|(value, _)| *value < -UNCLEAR_MM) {
        Some((_, sentence)) => Err(Unknown::because(*sentence)),
        None => Ok(()),
    }
}
