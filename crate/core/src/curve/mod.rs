//! Space curves, and the centreline: those of the crate of curves, and [`bend`] in closed form. Nothing
//! here knows of a wall, a clock or a graft.

pub mod bend;

pub use extrados_curves::curve::*;

use crate::fault::Fault;
use spline::{FEWEST_POINTS, LONGEST_MM, Unfit};

impl From<Unfit> for Fault {
    fn from(unfit: Unfit) -> Self {
        let (code, text, mend) = match unfit {
            Unfit::TooFewPoints(count) => (
                "too_few_points",
                format!("The centreline has {count} distinct points."),
                format!("Give at least {FEWEST_POINTS} points along the aorta."),
            ),
            Unfit::TooLong(length_mm) => (
                "too_long",
                format!("The centreline is {length_mm:.0} mm long."),
                format!("Check the unit and the order of the points; at most {LONGEST_MM:.0} mm are taken."),
            ),
        };
        Fault::new(code, "/anatomy/centreline/points_lps_mm", text, mend)
    }
}
