//! Where the points of a graft lie whose axis is the centreline: walks along graft and aorta together.
//!
//! Knows one possibility and no tunnels.

use super::axis::Node;
use super::lie::KeptLine;
use super::shape;
use crate::anatomy::Anatomy;
use crate::casefile::case::Graft;

/// Longest step along the aorta, mm.
const STEP_MM: f64 = 1.0;
/// How far inside a stretch of smooth curvature its ends are looked at, mm: at the joint itself the
/// curvature has two values.
const INSIDE_MM: f64 = 1e-7;

/// Nodes of the axis about 1 mm apart and at everything that begins, ends or opens; `held` is (u,
/// station) of the held point.
pub(super) fn on_centreline(kept: KeptLine, graft: &Graft, held: (f64, f64), anatomy: &Anatomy) -> Vec<Node> {
    let march = March { kept, graft, anatomy };
    let mut places = march.go(held, false);
    places.reverse();
    places.pop();
    places.extend(march.go(held, true));
    let line = anatomy.course.line();
    let node = |(u_mm, station_mm): (f64, f64)| {
        let here = line.at(station_mm);
        Node { u_mm, station_mm, point: here.point, tangent: here.tangent }
    };
    places.into_iter().map(node).collect()
}

/// Walks along graft and aorta together.
struct March<'a> {
    kept: KeptLine,
    graft: &'a Graft,
    anatomy: &'a Anatomy,
}

impl March<'_> {
    /// Places from a held point to one end of the graft or of the data, in the order walked.
    fn go(&self, held: (f64, f64), downstream: bool) -> Vec<(f64, f64)> {
        let line = self.anatomy.course.line();
        let (first, last) = line.range_mm();
        let mut places = vec![held];
        let (mut u, mut s) = held;
        if !line.reaches(s) {
            return places;
        }
        let mut goals = shape::events(self.graft);
        if downstream {
            goals.retain(|goal| *goal > u + 1e-9);
        } else {
            goals.retain(|goal| *goal < u - 1e-9);
            goals.reverse();
        }
        let mut breaks: Vec<f64> = line.kinks_mm().collect();
        if let Ok(lumen) = self.anatomy.lumen() {
            breaks.extend_from_slice(lumen.stations_mm());
        }
        breaks.push(first);
        breaks.push(last);
        breaks.sort_by(f64::total_cmp);
        let sign = if downstream { 1.0 } else { -1.0 };
        for goal in goals {
            // Which section lies on this side of the goal does not depend on rounding at its border.
            let section = shape::section_at(self.graft, (u + goal) / 2.0);
            let radius_at = |u: f64| section.map_or(0.0, |x| shape::diameter_mm(x, u) / 2.0);
            while (goal - u) * sign > 1e-10 {
                let next = if downstream {
                    breaks.iter().copied().find(|b| *b > s + 1e-9)
                } else {
                    breaks.iter().rev().copied().find(|b| *b < s - 1e-9)
                };
                let Some(next) = next else { return places };
                // A joint of the centreline and a section of the lumen can lie nearer together than that.
                let inside = INSIDE_MM.min((next - s).abs() / 2.0);
                let stretch = (s.min(next) + inside, s.max(next) - inside);
                let rate = |s: f64, u: f64| self.rate(s.max(stretch.0).min(stretch.1), radius_at(u));
                let mut h = sign * (next - s).abs().min(STEP_MM);
                let mut reached = runge_kutta(&rate, s, u, h);
                // A step that would pass the goal is shortened until it ends there; the rate changes
                // little over a millimetre, so a few secant steps are ample.
                if (reached - goal) * sign > 0.0 {
                    for _ in 0..8 {
                        if (reached - goal).abs() < 1e-12 {
                            break;
                        }
                        h *= (goal - u) / (reached - u);
                        reached = runge_kutta(&rate, s, u, h);
                    }
                    reached = goal;
                }
                s += h;
                u = reached;
                places.push((u, s));
            }
            u = goal;
            if let Some(place) = places.last_mut() {
                place.0 = goal;
            }
        }
        places
    }

    /// du/ds at a station for a graft radius, mm.
    fn rate(&self, station_mm: f64, radius_mm: f64) -> f64 {
        match self.kept {
            KeptLine::Axis => 1.0,
            KeptLine::OuterLine => {
                let room = self.anatomy.lumen().map_or(f64::INFINITY, |l| l.inscribed_mm(station_mm));
                let curvature = self.anatomy.course.line().at(station_mm).curvature.norm();
                1.0 + curvature * radius_mm.min(room)
            }
        }
    }
}

/// One classical Runge–Kutta step of du/ds = f(s, u).
fn runge_kutta(f: &impl Fn(f64, f64) -> f64, s: f64, u: f64, h: f64) -> f64 {
    let k1 = f(s, u);
    let k2 = f(s + h / 2.0, u + h / 2.0 * k1);
    let k3 = f(s + h / 2.0, u + h / 2.0 * k2);
    let k4 = f(s + h, u + h * k3);
    u + h / 6.0 * (k1 + 2.0 * k2 + 2.0 * k3 + k4)
}
