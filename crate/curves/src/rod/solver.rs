//! Least energy of the rod within its discs: a primal-dual interior point method with the full second
//! derivatives, started anywhere inside.
//!
//! Each disc |w| ≤ c gives the slack g = (c² − |w|²)/2c (near its rim the distance from it) and a
//! pressure z ≥ 0 with which it holds the rod. Newton's step is taken on ∇E + z w/c = 0, z g = μ, and μ
//! falls to 1e-12 per mm as the step allows (Nocedal and Wright, *Numerical Optimization*, 2nd edition,
//! chapter 19). The rod so stays inside its discs by itself, and moves smoothly with them.
//!
//! The caller may move the planes between steps ([`solve`]'s `ride`): joints keep their share of their
//! discs.

use super::banded::Banded;
use super::energy::{Energy, derivatives, energy, joints};
use super::{Offset, Rod};
use crate::Point3;

/// Barrier from the start, per mm: of the size of pressure times slack in an aorta.
const COLD: f64 = 1e-5;
/// Barrier at which a neighbouring answer is taken up again, per mm.
const WARM: f64 = 1e-7;
/// Barrier at the end: where the wall holds the rod it leaves a gap of about a millionth of a mm.
const LAST: f64 = 1e-12;
/// The next barrier is the last one to this power: 1e-5, 1e-8, 1e-12 per mm.
const FALLS: f64 = 1.6;
/// And to this share of it once a step got stuck.
const GENTLY: f64 = 0.1;
/// It is raised this often at most: where the energy is flat short steps are no sign of rims.
const MOST_RAISED: usize = 4;
/// A step of which less than this share could be taken got stuck.
const STUCK: f64 = 0.1;
/// The answer stands when a step moves no joint farther, mm.
const STILL_MM: f64 = 1e-8;
/// Where the energy is so flat that rounding moves the joints, this is still enough, mm.
const NEARLY_STILL_MM: f64 = 1e-7;
/// Steps of one solution at most; usual are 12 in an aorta, 20 to 50 in a wide and winding tube.
const MOST_STEPS: usize = 300;
/// A step goes at most this far towards the nearest rim.
const TO_RIM: f64 = 0.99;
/// A disc smaller than this holds its joint at the centre, mm.
const LEAST_ROOM_MM: f64 = 1e-6;
/// A joint nearer than this to its rim touches it, mm.
pub const TOUCH_MM: f64 = 0.01;

/// From where to look for the least energy.
#[derive(Clone, Debug, PartialEq)]
pub struct Start {
    /// Offsets as shares of their discs.
    shares: Vec<Offset>,
    /// Pressures; empty where none are known.
    pressures: Vec<f64>,
}

impl Start {
    /// From the middle of every disc.
    pub fn middle(planes: usize) -> Self {
        Start { shares: vec![[0.0; 2]; planes], pressures: Vec::new() }
    }

    /// From offsets as shares of their discs; those outside are drawn in.
    pub fn shares(shares: Vec<Offset>) -> Self {
        Start { shares, pressures: Vec::new() }
    }

    /// How many planes it is for.
    pub fn planes(&self) -> usize {
        self.shares.len()
    }
}

/// Where the rod came to rest.
#[derive(Clone, Debug, PartialEq)]
pub struct Rest {
    /// Offsets in the planes, mm.
    pub offsets: Vec<Offset>,
    /// Its joints.
    pub joints: Vec<Point3>,
    /// Its energy.
    pub energy: Energy,
    /// Remaining optimality error: how far one step more would move a joint, mm.
    pub error_mm: f64,
    /// Steps taken.
    pub steps: usize,
    /// Whether the error is as small as it should be.
    pub settled: bool,
    /// From where a neighbouring rod is looked for.
    pub start: Start,
}

/// The work of one solution.
struct Work<'a> {
    rod: &'a mut Rod,
    offsets: Vec<Offset>,
    pressures: Vec<f64>,
    joints: Vec<Point3>,
    gradient: Vec<f64>,
    step: Vec<f64>,
    second: Banded,
    factor: Banded,
    /// What was last added on the diagonal to make the matrix positive.
    added: f64,
}

/// What a step did.
struct Stepped {
    /// Farthest move that Newton asked for, mm.
    asked_mm: f64,
    /// Share of it that was taken.
    taken: f64,
    /// Largest unbalanced force before it, per mm².
    unbalanced: f64,
    /// Largest |z g − μ| before it.
    complementarity: f64,
}

/// Finds the rod's rest. After every step `ride` is shown rod and joints and may move the planes; it
/// returns how far it moved any, mm; infinity ends the search.
///
/// Behind a pointer, so that the search itself is compiled here. `None` then, and where there is nothing to solve (fewer than three planes) or the planes do not follow one
/// another.
pub fn solve(rod: &mut Rod, start: &Start, ride: &mut dyn FnMut(&mut Rod, &[Point3]) -> f64) -> Option<Rest> {
    let count = rod.planes.len();
    if count < 3 || start.planes() != count {
        return None;
    }
    let warm = start.pressures.len() == count;
    let mut work = Work::new(rod, start);
    let mut barrier = if warm { WARM } else { COLD };
    if !warm {
        work.press(barrier);
    }
    let mut kept = None;
    let mut error_mm = f64::INFINITY;
    let mut settled = false;
    let mut gentle = false;
    let mut raised = 0;
    let mut steps = 0;
    while steps < MOST_STEPS && !settled {
        steps += 1;
        let stepped = work.step(barrier)?;
        if kept.is_none() && barrier <= WARM {
            kept = Some(work.kept());
        }
        let moved_mm = work.ride(ride);
        if !moved_mm.is_finite() {
            return None;
        }
        let last = barrier <= LAST;
        let before_mm = error_mm;
        error_mm = stepped.asked_mm.max(moved_mm);
        if last {
            settled = error_mm < STILL_MM || error_mm < NEARLY_STILL_MM && error_mm > before_mm / 4.0;
        } else if stepped.taken > 0.5 && stepped.unbalanced.max(stepped.complementarity) <= 10.0 * barrier.max(1e-10) {
            barrier = if gentle { barrier * GENTLY } else { barrier.powf(FALLS) }.max(LAST);
            error_mm = f64::INFINITY;
        }
        // Stuck at the rims: the barrier fell faster than the rod could follow along them.
        if stepped.taken < STUCK && barrier < COLD && raised < MOST_RAISED {
            gentle = true;
            raised += 1;
            settled = false;
            barrier = (barrier * 10.0).min(COLD);
            work.press_again(barrier);
        }
    }
    let energy = energy(work.rod, &work.joints);
    let start = kept.unwrap_or_else(|| work.kept());
    Some(Rest { offsets: work.offsets, joints: work.joints, energy, error_mm, steps, settled, start })
}

impl<'a> Work<'a> {
    fn new(rod: &'a mut Rod, start: &Start) -> Self {
        let offsets: Vec<Offset> = start
            .shares
            .iter()
            .zip(&rod.planes)
            .map(|(share, plane)| {
                let far = share[0].hypot(share[1]);
                let inward = plane.room_mm * if far > 0.98 { 0.98 / far } else { 1.0 };
                if held(plane.room_mm) { [0.0; 2] } else { [share[0] * inward, share[1] * inward] }
            })
            .collect();
        let size = 2 * offsets.len();
        let mut points = Vec::with_capacity(offsets.len());
        joints(rod, &offsets, &mut points);
        Work {
            pressures: start.pressures.clone(),
            offsets,
            rod,
            joints: points,
            gradient: vec![0.0; size],
            step: vec![0.0; size],
            second: Banded::default(),
            factor: Banded::default(),
            added: 0.0,
        }
    }

    fn slack(&self, i: usize) -> f64 {
        slack(self.rod.planes[i].room_mm, &self.offsets[i])
    }

    /// Pressures that fit a barrier.
    fn press(&mut self, barrier: f64) {
        let pressure = |i: usize| if held(self.rod.planes[i].room_mm) { 0.0 } else { barrier / self.slack(i) };
        self.pressures = (0..self.offsets.len()).map(pressure).collect();
    }

    /// Pressures that are far from what a raised barrier says at the slack there is come nearer to it.
    fn press_again(&mut self, barrier: f64) {
        for i in 0..self.offsets.len() {
            if !held(self.rod.planes[i].room_mm) {
                let fits = barrier / self.slack(i);
                self.pressures[i] = self.pressures[i].max(fits / 100.0).min(fits * 100.0);
            }
        }
    }

    fn kept(&self) -> Start {
        let share = |(w, plane): (&Offset, &super::Plane)| {
            if held(plane.room_mm) { [0.0; 2] } else { [w[0] / plane.room_mm, w[1] / plane.room_mm] }
        };
        Start {
            shares: self.offsets.iter().zip(&self.rod.planes).map(share).collect(),
            pressures: self.pressures.clone(),
        }
    }

    /// One step; `None` where the numbers are no longer finite.
    fn step(&mut self, barrier: f64) -> Option<Stepped> {
        let count = self.offsets.len();
        self.gradient.fill(0.0);
        self.second.reset(2 * count);
        let here = derivatives(self.rod, &self.joints, &mut self.gradient, &mut self.second);
        let mut merit = here.total(self.rod.push_per_mm2);
        let (mut unbalanced, mut complementarity) = (0.0_f64, 0.0_f64);
        for i in 0..count {
            let (x, y) = (2 * i, 2 * i + 1);
            let room = self.rod.planes[i].room_mm;
            if held(room) {
                for k in [x, y] {
                    self.second.hold(k);
                    self.step[k] = 0.0;
                }
                continue;
            }
            let ([wx, wy], z, g) = (self.offsets[i], self.pressures[i], self.slack(i));
            merit -= barrier * g.ln();
            let (nx, ny) = (wx / room, wy / room);
            for (k, n) in [(x, nx), (y, ny)] {
                unbalanced = unbalanced.max((self.gradient[k] + z * n).abs());
                self.step[k] = -(self.gradient[k] + barrier / g * n);
            }
            complementarity = complementarity.max((z * g - barrier).abs());
            let (round, stiff) = (z / room, z / g);
            self.second.add(x, x, round + stiff * nx * nx);
            self.second.add(y, x, stiff * nx * ny);
            self.second.add(y, y, round + stiff * ny * ny);
        }
        // Towards less energy also where the matrix is not positive: more is added on its diagonal.
        let scale = self.second.largest_on_diagonal().min(1.0);
        let mut more = if self.added > 1e-9 * scale { self.added / 8.0 } else { 0.0 };
        while !self.second.factor(more, &mut self.factor) {
            more = if more > 0.0 { 4.0 * more } else { 1e-8 * scale };
            if more.is_nan() || more >= 1e6 {
                return None;
            }
        }
        self.added = more;
        let downhill: Vec<f64> = self.step.clone();
        self.factor.solve(&mut self.step);
        let slope: f64 = -self.step.iter().zip(&downhill).map(|(a, b)| a * b).sum::<f64>();
        let asked_mm = self.step.iter().fold(0.0_f64, |most, s| most.max(s.abs()));
        if !slope.is_finite() || !asked_mm.is_finite() {
            return None;
        }
        let taken = self.search(barrier, merit, slope);
        self.move_pressures(barrier, taken);
        Some(Stepped { asked_mm, taken, unbalanced, complementarity })
    }

    /// Goes along the step as far as rims and merit allow; returns the share taken.
    fn search(&mut self, barrier: f64, merit: f64, slope: f64) -> f64 {
        let before = self.offsets.clone();
        let mut share: f64 = 1.0;
        for (i, plane) in self.rod.planes.iter().enumerate() {
            if !held(plane.room_mm) {
                let reach = plane.room_mm
                    * (1.0 - (1.0 - TO_RIM) * 2.0 * slack(plane.room_mm, &before[i]) / plane.room_mm).sqrt();
                share = share.min(to_circle(&before[i], &[self.step[2 * i], self.step[2 * i + 1]], reach));
            }
        }
        // Rounding in the merit must not keep the last steps from being taken whole.
        let noise = 1e-13 * (merit.abs() + 1e-2);
        for _ in 0..40 {
            for (i, w) in self.offsets.iter_mut().enumerate() {
                *w = [before[i][0] + share * self.step[2 * i], before[i][1] + share * self.step[2 * i + 1]];
            }
            joints(self.rod, &self.offsets, &mut self.joints);
            let mut there = energy(self.rod, &self.joints).total(self.rod.push_per_mm2);
            for (i, plane) in self.rod.planes.iter().enumerate() {
                if !held(plane.room_mm) {
                    there -= barrier * slack(plane.room_mm, &self.offsets[i]).ln();
                }
            }
            if there <= merit + 1e-4 * share * slope + noise {
                return share;
            }
            share /= 2.0;
        }
        self.offsets = before;
        joints(self.rod, &self.offsets, &mut self.joints);
        0.0
    }

    /// Moves the pressures with the step just taken.
    fn move_pressures(&mut self, barrier: f64, taken: f64) {
        for i in 0..self.offsets.len() {
            let room = self.rod.planes[i].room_mm;
            if held(room) {
                continue;
            }
            let (dx, dy) = (taken * self.step[2 * i], taken * self.step[2 * i + 1]);
            let [wx, wy] = self.offsets[i];
            let (before_x, before_y) = (wx - dx, wy - dy);
            let g = slack(room, &[before_x, before_y]);
            let z = self.pressures[i];
            let inward = (before_x * self.step[2 * i] + before_y * self.step[2 * i + 1]) / room;
            let change = barrier / g - z + z / g * inward;
            let moved = (z + change.max(-TO_RIM * z)).max(f64::MIN_POSITIVE);
            // Never far from what the barrier says at the slack there is.
            let fits = barrier / slack(room, &self.offsets[i]);
            self.pressures[i] = moved.max(fits / 1e8).min(fits * 1e8);
        }
    }

    /// Lets the caller move the planes; joints keep their share of their discs.
    fn ride(&mut self, ride: &mut dyn FnMut(&mut Rod, &[Point3]) -> f64) -> f64 {
        let rooms: Vec<f64> = self.rod.planes.iter().map(|p| p.room_mm).collect();
        let moved = ride(self.rod, &self.joints);
        if moved > 0.0 {
            for ((w, plane), before) in self.offsets.iter_mut().zip(&self.rod.planes).zip(rooms) {
                let grown = if held(before) || held(plane.room_mm) { 0.0 } else { plane.room_mm / before };
                *w = [w[0] * grown, w[1] * grown];
            }
            for (i, plane) in self.rod.planes.iter().enumerate() {
                if !held(plane.room_mm) && self.pressures[i] <= 0.0 {
                    self.pressures[i] = WARM / slack(plane.room_mm, &self.offsets[i]);
                }
            }
            joints(self.rod, &self.offsets, &mut self.joints);
        }
        moved
    }
}

/// Whether a disc is so small that its joint stays at the centre.
fn held(room_mm: f64) -> bool {
    room_mm < LEAST_ROOM_MM
}

fn slack(room_mm: f64, offset: &Offset) -> f64 {
    let far = offset[0].hypot(offset[1]);
    // As a product, so that no digits are lost near the rim.
    (room_mm - far) * (room_mm + far) / (2.0 * room_mm)
}

/// Share of a step from inside a circle about the origin at which it meets the circle; at most 1.
fn to_circle(from: &Offset, step: &[f64; 2], radius: f64) -> f64 {
    let a = step[0] * step[0] + step[1] * step[1];
    let b = from[0] * step[0] + from[1] * step[1];
    let c = (from[0].hypot(from[1]) - radius) * (from[0].hypot(from[1]) + radius);
    if a <= 0.0 || a + 2.0 * b + c <= 0.0 {
        return 1.0;
    }
    let root = (b * b - a * c).max(0.0).sqrt();
    // The larger root, in the form that loses no digits.
    let share = if b > 0.0 { -c / (b + root) } else { (root - b) / a };
    share.clamp(0.0, 1.0)
}
