//! What a C-arm can take, and the best view within it.
//!
//! A reach is a box of primary and secondary angles of the machine. Knows nothing of what is looked
//! at: the best view is that of the largest value of a function of the direction to the detector.

use super::angles::{Positioner, Table};
use crate::casefile::case::CArm;
use crate::units::{Angle, Vec3};

/// First step of the search over the reach, degrees.
const COARSE_DEG: f64 = 2.0;
/// Each finer search is this much finer, and reaches this many of the coarser steps around its centre.
const FINER: f64 = 10.0;
const AROUND: f64 = 3.0;
/// How often the search is made finer: to 0.002°.
const TIMES: usize = 3;

/// What the C-arm can take, with the table as it stands.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Reach {
    /// Least and largest primary angle.
    pub primary: [Angle; 2],
    /// Least and largest secondary angle.
    pub secondary: [Angle; 2],
    /// The table.
    pub table: Table,
}

impl Reach {
    /// The case's own, or the default.
    pub fn of(carm: Option<&CArm>) -> Self {
        let carm = carm.cloned().unwrap_or_default();
        let ordered = |limits: [f64; 2]| [limits[0].min(limits[1]), limits[0].max(limits[1])].map(Angle::deg);
        Reach {
            primary: ordered(carm.primary_limit_deg),
            secondary: ordered(carm.secondary_limit_deg),
            table: Table { turn: Angle::deg(carm.table_turn_deg) },
        }
    }

    /// Whether the C-arm can stand there; a limit itself counts.
    pub fn contains(&self, at: &Positioner) -> bool {
        let within = |angle: Angle, [least, most]: [Angle; 2]| {
            angle.to_deg() >= least.to_deg() - 1e-9 && angle.to_deg() <= most.to_deg() + 1e-9
        };
        within(at.primary.wrapped(), self.primary) && within(at.secondary, self.secondary)
    }

    /// The positioner for a direction of the patient from which one looks, or its opposite, whichever
    /// is within reach; of two, the one with the detector nearer to the front. `None` where neither is.
    pub fn either(&self, direction: &Vec3) -> Option<Positioner> {
        let two = [self.table.positioner(direction), self.table.positioner(&-direction)];
        let mut within = two.into_iter().filter(|at| self.contains(at));
        let first = within.next()?;
        match within.next() {
            Some(second) if second.primary.abs().to_rad() < first.primary.abs().to_rad() - 1e-9 => Some(second),
            _ => Some(first),
        }
    }

    /// The view within reach at which a value of the direction to the detector (in the patient) is
    /// largest, with that value: a grid over the reach, made finer about the best. Of equal ones the
    /// first counts, from the least angles on.
    pub fn best(&self, value: impl Fn(&Vec3) -> f64) -> (Positioner, f64) {
        let mut boxed = [self.primary, self.secondary];
        let mut step = COARSE_DEG;
        let mut best = (Positioner::new(self.primary[0], self.secondary[0]), f64::NEG_INFINITY);
        for _ in 0..=TIMES {
            for primary in grid(boxed[0], step) {
                for secondary in grid(boxed[1], step) {
                    let at = Positioner::new(primary, secondary);
                    let here = value(&self.table.direction(&at));
                    if here > best.1 + 1e-12 {
                        best = (at, here);
                    }
                }
            }
            let near = |angle: Angle, [least, most]: [Angle; 2]| {
                let (low, high) = (angle.to_deg() - AROUND * step, angle.to_deg() + AROUND * step);
                [Angle::deg(low.max(least.to_deg())), Angle::deg(high.min(most.to_deg()))]
            };
            boxed = [near(best.0.primary, self.primary), near(best.0.secondary, self.secondary)];
            step /= FINER;
        }
        best
    }
}

/// Angles from one to another, both ends counted, about a step apart.
fn grid([from, to]: [Angle; 2], step_deg: f64) -> impl Iterator<Item = Angle> {
    let span = (to - from).to_deg();
    let steps = (span / step_deg).ceil().clamp(0.0, 400.0) as usize;
    (0..=steps).map(move |k| from + (to - from) * (k as f64 / steps.max(1) as f64))
}

#[cfg(test)]
mod tests {
    use super::super::foreshorten::seen;
    use super::*;

    fn within(primary_deg: f64, secondary_deg: f64) -> Reach {
        Reach::of(Some(&CArm {
            primary_limit_deg: [-primary_deg, primary_deg],
            secondary_limit_deg: [-secondary_deg, secondary_deg],
            table_turn_deg: 0.0,
        }))
    }

    // Segments (.36, .48, .8), (−.6, .48, .64), (.1, −.2, .97): best worst case within ±60 / ±30 on a
    // grid of 0.1° by an independent program: RAO 50.1, CRA 16.7, factor .944020772935; off the grid
    // by scipy's SLSQP: RAO 50.0836, CRA 16.6966, factor .9441047.
    #[test]
    fn the_best_worst_case_of_three_segments() {
        let lines = [[0.36, 0.48, 0.8], [-0.6, 0.48, 0.64], [0.1, -0.2, 0.97]].map(Vec3::from);
        let worst = |d: &Vec3| lines.iter().map(|v| seen(v, d)).fold(1.0, f64::min);
        let (at, factor) = within(60.0, 30.0).best(worst);
        assert!((at.primary.to_deg() + 50.1).abs() < 0.1, "{}", at.primary.to_deg());
        assert!((at.secondary.to_deg() - 16.7).abs() < 0.1, "{}", at.secondary.to_deg());
        assert!((at.primary.to_deg() + 50.0836).abs() < 0.01 && (at.secondary.to_deg() - 16.6966).abs() < 0.01);
        assert!(factor >= 0.944_020_772_935 && (factor - 0.944_104_7).abs() < 1e-6, "{factor}");
    }

    #[test]
    fn the_nearer_of_two_opposite_views() {
        let reach = within(100.0, 45.0);
        // Straight from the left and a little from behind: LAO 95, or RAO 85 from the other side.
        let at = reach.either(&Positioner::deg(95.0, 10.0).direction());
        assert_eq!(at.map(|at| at.words()).as_deref(), Some("RAO 85 / CAU 10"));
        assert_eq!(reach.either(&Positioner::deg(10.0, 60.0).direction()), None);
        assert!(reach.contains(&Positioner::deg(100.0, -45.0)));
        assert!(!reach.contains(&Positioner::deg(100.1, 0.0)));
    }

    #[test]
    fn a_reach_of_one_point_is_that_point() {
        let reach = within(0.0, 0.0);
        let (at, _) = reach.best(|d| d.z);
        assert_eq!(at, Positioner::deg(0.0, 0.0));
    }

    // Limits given the other way round are the same reach; a turned table turns what is seen.
    #[test]
    fn limits_and_table() {
        let carm = CArm { primary_limit_deg: [60.0, -60.0], secondary_limit_deg: [30.0, -30.0], table_turn_deg: 15.0 };
        let reach = Reach::of(Some(&carm));
        assert_eq!(reach.primary.map(|a| a.to_deg().round()), [-60.0, 60.0]);
        let d = Positioner::deg(20.0, 10.0).direction();
        let (at, value) = reach.best(|toward| toward.dot(&d));
        assert!(value > 1.0 - 1e-8);
        assert!((reach.table.direction(&at) - d).norm() < 1e-4);
    }
}
