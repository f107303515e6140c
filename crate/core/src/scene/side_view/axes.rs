//! Places on the wall under places of the side view: what a drag on the picture means.
//!
//! Depth is lost there: how far a place lies from the centreline towards the outer side gives its clock
//! but for the side, front or back, which the asker brings.

use super::super::Spot;
use super::super::axes::WallSpot;
use crate::units::Angle;

/// How far along the aorta a place is looked for from where it was last, mm.
const NEAR_MM: f64 = 40.0;

/// Where the aorta lies on a side view.
#[derive(Clone, Debug, PartialEq)]
pub struct SideAxes {
    /// Stations of the centreline's points with their places on the drawing and the radius towards the
    /// outer curve there, mm of the drawing.
    pub(super) line: Vec<(f64, Spot, f64)>,
    /// Ids of mouths and openings with their middles, mm of the drawing.
    pub(super) parts: Vec<(String, Spot)>,
}

impl SideAxes {
    /// The mouth or opening whose middle is nearest to a spot, where one is near enough: seen edge-on it
    /// is but a sliver.
    pub fn part_at(&self, spot: Spot, near_mm: f64) -> Option<&str> {
        let away = |at: &Spot| (at[0] - spot[0]).hypot(at[1] - spot[1]);
        let near = self.parts.iter().map(|(id, at)| (away(at), id)).filter(|(away, _)| *away <= near_mm);
        near.min_by(|a, b| a.0.total_cmp(&b.0)).map(|(_, id)| id.as_str())
    }

    /// The place on the wall at a spot of the drawing, on the side of a clock; looked for near a station
    /// where one is given. `None` without an aorta.
    pub fn wall(&self, spot: Spot, near_mm: Option<f64>, side: Angle) -> Option<WallSpot> {
        let within = |s: f64| near_mm.is_none_or(|near| (s - near).abs() <= NEAR_MM);
        let mut best: Option<(f64, WallSpot)> = None;
        for pair in self.line.windows(2) {
            let ((s0, a, r0), (s1, b, r1)) = (pair[0], pair[1]);
            if !(within(s0) || within(s1)) {
                continue;
            }
            let [dx, dy] = [b[0] - a[0], b[1] - a[1]];
            let length = dx.hypot(dy);
            if length < 1e-9 {
                continue;
            }
            let away = [spot[0] - a[0], spot[1] - a[1]];
            let share = ((away[0] * dx + away[1] * dy) / (length * length)).clamp(0.0, 1.0);
            let off = [away[0] - share * dx, away[1] - share * dy];
            let distance = off[0].hypot(off[1]);
            if best.as_ref().is_some_and(|(nearest, _)| distance >= *nearest) {
                continue;
            }
            // The outer side lies to the left of the flow, and y grows downward.
            let outward = (off[0] * dy - off[1] * dx) / length;
            let radius = (r0 + share * (r1 - r0)).max(1e-6);
            let clock = Angle::rad((outward / radius).clamp(-1.0, 1.0).acos());
            let clock = if side.wrapped().to_deg() < 0.0 { -clock } else { clock };
            best = Some((distance, WallSpot { station_mm: s0 + share * (s1 - s0), clock }));
        }
        best.map(|(_, wall)| wall)
    }
}
