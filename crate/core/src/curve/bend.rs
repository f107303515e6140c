//! A flat bend in closed form between two straight legs: half an ellipse, or a piece of a circle.
//!
//! Knows nothing of where its sizes come from.

use super::{Curve, Jet};
use crate::units::{Angle, Point3, Vec3};

/// The curve: start + across · a(1 − cos φ) + along · b sin φ, with φ = t / b from 0 to the turn, and
/// legs along its two end tangents. The parameter t runs from −`lead_mm` to b · turn + `trail_mm`; the
/// speed is 1 on the legs and at the bend's two ends, everywhere on a circle.
#[derive(Clone, Debug)]
pub struct Bend {
    /// Where the bend begins.
    pub start: Point3,
    /// Unit direction of the flow there.
    pub along: Vec3,
    /// Unit direction, square to it, towards which it bends.
    pub across: Vec3,
    /// Half axis across, mm: half of the width of a half-ellipse, the radius of a circle.
    pub a_mm: f64,
    /// Half axis along, mm: the height of a half-ellipse, the radius of a circle.
    pub b_mm: f64,
    /// How far φ runs: half a turn for a half-ellipse, the turn of a piece of a circle.
    pub turn: Angle,
    /// Length of the leg upstream, mm.
    pub lead_mm: f64,
    /// Length of the leg downstream, mm.
    pub trail_mm: f64,
}

impl Bend {
    /// Parameter at which the bend ends; it begins at 0.
    pub fn end(&self) -> f64 {
        self.b_mm * self.turn.to_rad()
    }

    /// Position and derivatives on the bend.
    fn bent(&self, t: f64) -> Jet {
        let (a, b) = (self.a_mm, self.b_mm);
        let (sin, cos) = (t / b).sin_cos();
        Jet {
            value: self.start.coords + self.across * (a * (1.0 - cos)) + self.along * (b * sin),
            first: self.across * (a / b * sin) + self.along * cos,
            second: (self.across * (a / b * cos) - self.along * sin) / b,
            third: -(self.across * (a / b * sin) + self.along * cos) / (b * b),
        }
    }
}

impl Curve for Bend {
    fn domain(&self) -> (f64, f64) {
        (-self.lead_mm, self.end() + self.trail_mm)
    }

    fn jet(&self, t: f64) -> Jet {
        let at = t.clamp(0.0, self.end());
        let bent = self.bent(at);
        if t == at && t < self.end() {
            return bent;
        }
        let zero = Vec3::zeros();
        Jet { value: bent.value + bent.first * (t - at), first: bent.first, second: zero, third: zero }
    }

    fn joints(&self) -> Vec<f64> {
        let (first, last) = self.domain();
        [0.0, self.end()].into_iter().filter(|t| *t > first && *t < last).collect()
    }

    fn kinks(&self) -> Vec<f64> {
        self.joints()
    }
}
