//! The named ranges of the field table: what a number can plausibly be.
//!
//! Generous on purpose. They catch a slipped digit or a wrong unit and judge nobody's anatomy; the
//! bounds are the program's own choice, not published limits.

use crate::casefile::shape::{Range, Shape};

macro_rules! ranges {
    ($($(#[$doc:meta])* $name:ident = $range:expr;)*) => {
        $($(#[$doc])* pub static $name: Range = $range;)*
    };
}

ranges! {
    /// Arc length along the aortic centreline.
    STATION = Range::new("a station", "mm", -100.0, 1000.0);
    /// Arc length along the points as given.
    ARC_LENGTH = Range::new("a length along the given points", "mm", 0.0, 3000.0);
    /// A coordinate in patient axes.
    COORDINATE = Range::new("a patient coordinate", "mm", -5000.0, 5000.0);
    /// Length under which bends are noise.
    SMOOTHING = Range::new("a smoothing length", "mm", 0.0, 50.0);
    /// A length of the arch.
    ARCH_LENGTH = Range::new("a length of the arch", "mm", 1.0, 1000.0);
    /// A diameter of the aorta or of a graft in it.
    AORTIC_DIAMETER = Range::new("an aortic diameter", "mm", 1.0, 120.0);
    /// From the centreline to the wall.
    WALL_RADIUS = Range::new("a radius of the lumen", "mm", 0.5, 120.0);
    /// Size of an opening.
    OPENING = Range::new("the size of an opening", "mm", 0.5, 100.0);
    /// A diameter of a vessel, a tunnel or a stent.
    VESSEL_DIAMETER = Range::new("the diameter of a vessel", "mm", 0.5, 60.0);
    /// A distance along a vessel from the aortic wall.
    IN_VESSEL = Range::new("a distance along a vessel", "mm", 0.0, 400.0);
    /// Radius of a point to keep clear.
    CLEAR_RADIUS = Range::new("the radius of a point to keep clear", "mm", 0.0, 30.0);
    /// A clock position or another angle that comes round.
    CLOCK = Range::turning("a clock position");
    /// A turn typed in degrees.
    TURN = Range::turning("a turn");
    /// Between a vessel and the downstream tangent.
    TAKEOFF = Range::new("a take-off angle", "°", 0.0, 180.0);
    /// Off the fabric.
    RISE = Range::new("a rise off the fabric", "°", -90.0, 90.0);
    /// A tilt against the axis.
    TILT = Range::new("a tilt", "°", 0.0, 90.0);
    /// Position on the graft.
    ON_GRAFT = Range::new("a position on the graft", "mm", -100.0, 1000.0);
    /// Length of fabric.
    FABRIC_LENGTH = Range::new("a length of fabric", "mm", 1.0, 1000.0);
    /// How far a section's centre lies off the axis.
    OFFSET = Range::new("an offset from the graft's axis", "mm", 0.0, 60.0);
    /// Outer diameter of a sheath or carrier.
    SHEATH = Range::new("the outer diameter of a sheath", "mm", 0.1, 30.0);
    /// Length of a tip.
    TIP = Range::new("the length of a tip", "mm", 0.0, 300.0);
    /// A step of manufacture.
    MAKER_STEP_MM = Range::new("a step of manufacture", "mm", 0.0, 50.0);
    /// A step of manufacture.
    MAKER_STEP_DEG = Range::new("a step of manufacture", "°", 0.0, 90.0);
    /// Push per bending stiffness.
    PUSH = Range::new("a push per bending stiffness", "per mm²", 0.0, 1.0);
    /// Slice thickness.
    SLICE = Range::new("a slice thickness", "mm", 0.05, 20.0);
    /// A mean error along the aorta.
    MEAN_MM = Range::new("a mean error", "mm", -100.0, 100.0);
    /// A mean error of an angle.
    MEAN_DEG = Range::new("a mean error", "°", -180.0, 180.0);
    /// A standard deviation of a length.
    SD_MM = Range::new("a standard deviation", "mm", 0.0, 100.0);
    /// A standard deviation of an angle.
    SD_DEG = Range::new("a standard deviation", "°", 0.0, 180.0);
    /// A share of a whole.
    SHARE = Range::new("a share", "", 0.0, 1.0);
    /// Length of a stent.
    STENT_LENGTH = Range::new("the length of a stent", "mm", 1.0, 400.0);
    /// Radius of a bend.
    BEND_RADIUS = Range::new("the radius of a bend", "mm", 0.0, 500.0);
    /// A limit in the unit of its measure.
    LIMIT = Range::new("a limit", "", -100_000.0, 100_000.0);
    /// Minutes a step takes.
    MINUTES = Range::new("a duration", "min", 0.0, 1440.0);
    /// A positioner angle.
    POSITIONER = Range::new("a positioner angle", "°", -180.0, 180.0);
}

/// Text of one line.
pub const LINE: Shape = Shape::Text { most_chars: 200 };
/// A few words.
pub const WORDS: Shape = Shape::Text { most_chars: 60 };
/// A stage of treatment: the first operation is 1.
pub const STAGE: Shape = Shape::Whole { least: 1, most: 20 };

/// A number within a range.
pub const fn number(range: &'static Range) -> Shape {
    Shape::Number(range)
}
