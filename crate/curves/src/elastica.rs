//! A line of free length whose ∫κ² ds is stationary, integrated from its start.
//!
//! Stationary lines of least ∫κ² ds between two poses, their length free, have a unit tangent t that
//! moves as a spherical pendulum of zero total energy: with the constant force P and the line scaled
//! to length 1, t'' = −P + 3 (P·t) t and |t'|² = −2 P·t (the Euler–Lagrange equations of
//! ∫ ½|t'|² + P·t under |t| = 1; free length makes the conserved sum zero). So κ² = −2 P·t, and
//! ∫κ² is −2 P·∫t: neither needs a difference of points. Four numbers at the start say all: the turn
//! t'(0) and the part of P across t(0), two each. Near a straight line these are those of a beam.
//!
//! Everything here is in the line's own axes, x along its first tangent. Knows nothing of grafts.

use crate::Vec3;

/// The four numbers at the start: turn towards y and z, force towards y and z.
pub type Start = [f64; 4];

/// Where a line ends, with its derivatives by the four numbers.
pub struct Shot {
    /// ∫t, the end of a line of length 1.
    pub end: Vec3,
    /// The tangent at the end.
    pub heading: Vec3,
    /// Derivatives of the end.
    pub end_by: [Vec3; 4],
    /// Derivatives of the heading.
    pub heading_by: [Vec3; 4],
}

/// A point of a line of length 1.
#[derive(Clone, Copy)]
pub struct Node {
    /// Where it lies.
    pub place: Vec3,
    /// Unit tangent.
    pub tangent: Vec3,
    /// Change of the tangent along the line.
    pub turn: Vec3,
}

/// The force of a line: its part along the start makes the conserved sum zero.
pub fn force(start: &Start) -> Vec3 {
    Vec3::new(-0.5 * (start[0] * start[0] + start[1] * start[1]), start[2], start[3])
}

/// Derivatives of the force by the four numbers.
fn force_by(start: &Start) -> [Vec3; 4] {
    [Vec3::new(-start[0], 0.0, 0.0), Vec3::new(-start[1], 0.0, 0.0), Vec3::y(), Vec3::z()]
}

/// One Nyström step of order 4 with three looks at the acceleration.
struct Step {
    h: f64,
}

impl Step {
    fn middle(&self, t: &Vec3, v: &Vec3, a: &Vec3) -> Vec3 {
        t + v * (self.h / 2.0) + a * (self.h * self.h / 8.0)
    }

    fn last(&self, t: &Vec3, v: &Vec3, b: &Vec3) -> Vec3 {
        t + v * self.h + b * (self.h * self.h / 2.0)
    }

    fn advance(&self, node: &mut Node, a: &Vec3, b: &Vec3, c: &Vec3) {
        let h = self.h;
        node.place +=
            node.tangent * h + node.turn * (h * h / 2.0) + (a * (3.0 / 40.0) + b / 10.0 - c / 120.0) * (h * h * h);
        node.tangent += node.turn * h + (a + b * 2.0) * (h * h / 6.0);
        node.turn += (a + b * 4.0 + c) * (h / 6.0);
    }
}

fn acceleration(p: &Vec3, t: &Vec3) -> Vec3 {
    t * (3.0 * p.dot(t)) - p
}

/// The beginning of a line.
fn first(start: &Start) -> Node {
    Node { place: Vec3::zeros(), tangent: Vec3::x(), turn: Vec3::new(0.0, start[0], start[1]) }
}

/// Integrates to the end in a number of steps, derivatives with it.
pub fn shoot(start: &Start, steps: usize) -> Shot {
    let (p, p_by) = (force(start), force_by(start));
    let step = Step { h: 1.0 / steps as f64 };
    let mut line = first(start);
    let zero = Vec3::zeros();
    let turns = [Vec3::y(), Vec3::z(), zero, zero];
    let mut by: [Node; 4] = turns.map(|turn| Node { place: zero, tangent: zero, turn });
    let change =
        |p_by: &Vec3, t: &Vec3, t_by: &Vec3| t * (3.0 * (p_by.dot(t) + p.dot(t_by))) + t_by * (3.0 * p.dot(t)) - p_by;
    for _ in 0..steps {
        let a = acceleration(&p, &line.tangent);
        let middle = step.middle(&line.tangent, &line.turn, &a);
        let b = acceleration(&p, &middle);
        let last = step.last(&line.tangent, &line.turn, &b);
        let c = acceleration(&p, &last);
        for (node, p_by) in by.iter_mut().zip(&p_by) {
            let a = change(p_by, &line.tangent, &node.tangent);
            let b = change(p_by, &middle, &step.middle(&node.tangent, &node.turn, &a));
            let c = change(p_by, &last, &step.last(&node.tangent, &node.turn, &b));
            step.advance(node, &a, &b, &c);
        }
        step.advance(&mut line, &a, &b, &c);
    }
    Shot {
        end: line.place,
        heading: line.tangent,
        end_by: by.map(|node| node.place),
        heading_by: by.map(|node| node.tangent),
    }
}

/// The line itself, node by node, both ends included.
pub fn trace(start: &Start, steps: usize) -> impl Iterator<Item = Node> {
    let p = force(start);
    let step = Step { h: 1.0 / steps as f64 };
    let mut next = Some(first(start));
    let mut left = steps;
    std::iter::from_fn(move || {
        let node = next?;
        next = (left > 0).then(|| {
            left -= 1;
            let mut following = node;
            let a = acceleration(&p, &node.tangent);
            let b = acceleration(&p, &step.middle(&node.tangent, &node.turn, &a));
            let c = acceleration(&p, &step.last(&node.tangent, &node.turn, &b));
            step.advance(&mut following, &a, &b, &c);
            following
        });
        Some(node)
    })
}
