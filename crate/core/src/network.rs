//! Places, what joins them and how wide it is: which places are reached, by what way, and where that
//! way is narrowest.
//!
//! The widest way to a place is the one whose narrowest joint is widest. A joint may be of unknown width;
//! then two answers stand side by side: what is reached for sure (unknown joints shut) and what may be
//! (unknown joints open). A joint of width 0 joins in name only: the way through it is found, so that it
//! can be said where it is shut, and has width 0.
//!
//! Knows no aorta, no graft and no limit. Ties go to the way that was found first, so the same network
//! gives the same ways.

use std::cmp::Ordering;
use std::collections::BinaryHeap;

/// A network holds at most so many places, and so many joints.
pub const MOST: usize = 400_000;

/// A place.
pub type Node = usize;
/// A joint between two places.
pub type Edge = usize;

/// How wide a joint is.
#[derive(Clone, Debug, PartialEq)]
pub enum Width {
    /// Open, and wider than anything that is measured: no way is narrowest there.
    Open,
    /// Measured: its width and one standard deviation of it, mm.
    Mm {
        /// The width; 0 is shut.
        mm: f64,
        /// Its error.
        error_mm: f64,
    },
    /// Not known, and why.
    Unknown(String),
}

impl Width {
    /// Shut.
    pub const SHUT: Width = Width::Mm { mm: 0.0, error_mm: 0.0 };

    /// The width for the search; `unknown` is taken where it is not known.
    fn mm(&self, unknown: f64) -> f64 {
        match self {
            Width::Open => f64::INFINITY,
            Width::Mm { mm, .. } => mm.max(0.0),
            Width::Unknown(_) => unknown,
        }
    }
}

/// One joint.
#[derive(Clone, Debug, PartialEq)]
struct Joint {
    from: Node,
    to: Node,
    width: Width,
    name: String,
    one_way: bool,
}

/// Places and joints.
#[derive(Clone, Debug, Default)]
pub struct Network {
    names: Vec<String>,
    joints: Vec<Joint>,
    at: Vec<Vec<Edge>>,
}

/// A way from a source to a place.
#[derive(Clone, Debug, PartialEq)]
pub struct Way {
    /// Its places, the source first.
    pub nodes: Vec<Node>,
    /// The joints between them.
    pub edges: Vec<Edge>,
    /// Where it is narrowest: the first such joint from the source; `None` where nothing on it is measured.
    pub narrowest: Option<Edge>,
    /// How wide it is there; infinite where nothing on it is measured.
    pub mm: f64,
    /// Error of that, mm.
    pub error_mm: f64,
}

/// What is reached from some sources, with unknown joints taken for shut or for open.
#[derive(Clone, Debug)]
pub struct Reached {
    /// Width by place; negative where it is not reached at all.
    mm: Vec<f64>,
    by: Vec<Option<Edge>>,
}

/// A place in the queue: the widest first, then the one of the lowest number.
#[derive(PartialEq)]
struct Next(f64, Node);

impl Eq for Next {}

impl PartialOrd for Next {
    fn partial_cmp(&self, other: &Self) -> Option<Ordering> {
        Some(self.cmp(other))
    }
}

impl Ord for Next {
    fn cmp(&self, other: &Self) -> Ordering {
        self.0.total_cmp(&other.0).then(other.1.cmp(&self.1))
    }
}

impl Network {
    /// An empty one.
    pub fn new() -> Self {
        Self::default()
    }

    /// Adds a place; `None` where there are too many. A place may go unnamed.
    pub fn node(&mut self, name: impl Into<String>) -> Option<Node> {
        if self.names.len() >= MOST {
            return None;
        }
        self.names.push(name.into());
        self.at.push(Vec::new());
        Some(self.names.len() - 1)
    }

    /// Joins two places, both ways; `None` where one of them does not exist or there are too many.
    pub fn join(&mut self, a: Node, b: Node, width: Width, name: impl Into<String>) -> Option<Edge> {
        self.add(Joint { from: a, to: b, width, name: name.into(), one_way: false })
    }

    /// Joins two places, one way only.
    pub fn lead(&mut self, from: Node, to: Node, width: Width, name: impl Into<String>) -> Option<Edge> {
        self.add(Joint { from, to, width, name: name.into(), one_way: true })
    }

    fn add(&mut self, joint: Joint) -> Option<Edge> {
        if self.joints.len() >= MOST || joint.from.max(joint.to) >= self.names.len() {
            return None;
        }
        let edge = self.joints.len();
        self.at[joint.from].push(edge);
        if !joint.one_way && joint.to != joint.from {
            self.at[joint.to].push(edge);
        }
        self.joints.push(joint);
        Some(edge)
    }

    /// Name of a place; empty where it has none.
    pub fn name(&self, node: Node) -> &str {
        self.names.get(node).map_or("", String::as_str)
    }

    /// Name of a joint; empty where it has none.
    pub fn joint_name(&self, edge: Edge) -> &str {
        self.joints.get(edge).map_or("", |joint| &joint.name)
    }

    /// Width of a joint.
    pub fn width(&self, edge: Edge) -> Option<&Width> {
        self.joints.get(edge).map(|joint| &joint.width)
    }

    /// The two places of a joint, in the order in which it was made.
    pub fn ends(&self, edge: Edge) -> Option<(Node, Node)> {
        self.joints.get(edge).map(|joint| (joint.from, joint.to))
    }

    /// Changes the width of a joint; one that does not exist is left alone.
    pub fn set_width(&mut self, edge: Edge, width: Width) {
        if let Some(joint) = self.joints.get_mut(edge) {
            joint.width = width;
        }
    }

    /// What is reached from sources for sure: joints of unknown width are shut.
    pub fn surely(&self, sources: &[Node]) -> Reached {
        self.reach(sources, -1.0, None)
    }

    /// What may be reached from sources: joints of unknown width are open.
    pub fn perhaps(&self, sources: &[Node]) -> Reached {
        self.reach(sources, f64::INFINITY, None)
    }

    /// The widest way to each place, places in the order of their width.
    fn reach(&self, sources: &[Node], unknown: f64, without: Option<Node>) -> Reached {
        let mut mm = vec![-1.0; self.names.len()];
        let mut by = vec![None; self.names.len()];
        let mut queue = BinaryHeap::new();
        for source in sources.iter().filter(|s| **s < self.names.len() && Some(**s) != without) {
            mm[*source] = f64::INFINITY;
            queue.push(Next(f64::INFINITY, *source));
        }
        while let Some(Next(width, node)) = queue.pop() {
            if width < mm[node] {
                continue;
            }
            for edge in &self.at[node] {
                let joint = &self.joints[*edge];
                let other = if joint.from == node { joint.to } else { joint.from };
                let through = joint.width.mm(unknown).min(width);
                if through > mm[other] && Some(other) != without {
                    mm[other] = through;
                    by[other] = Some(*edge);
                    queue.push(Next(through, other));
                }
            }
        }
        Reached { mm, by }
    }

    /// The widest way to a place; `None` where it is not reached.
    pub fn way(&self, reached: &Reached, to: Node) -> Option<Way> {
        let mm = reached.width_mm(to)?;
        let mut way = Way { nodes: vec![to], edges: Vec::new(), narrowest: None, mm, error_mm: 0.0 };
        let mut node = to;
        while let Some(edge) = reached.by.get(node).copied().flatten() {
            let joint = &self.joints[edge];
            node = if joint.to == node { joint.from } else { joint.to };
            if let Width::Mm { mm: here, error_mm } = joint.width
                && here.max(0.0) == mm
            {
                (way.narrowest, way.error_mm) = (Some(edge), error_mm);
            }
            way.nodes.push(node);
            way.edges.push(edge);
        }
        way.nodes.reverse();
        way.edges.reverse();
        Some(way)
    }

    /// Every joint by which a place is entered, each with the widest way through it that does not pass
    /// the place before; in the order in which they were made. Unknown joints are open where `perhaps`.
    pub fn entries(&self, sources: &[Node], to: Node, perhaps: bool) -> Vec<Way> {
        let unknown = if perhaps { f64::INFINITY } else { -1.0 };
        let reached = self.reach(sources, unknown, Some(to));
        let enters = |(edge, joint): (Edge, &Joint)| {
            let before = match (joint.from == to, joint.to == to) {
                (false, true) => joint.from,
                (true, false) if !joint.one_way => joint.to,
                _ => return None,
            };
            let mut way = self.way(&reached, before)?;
            let here = joint.width.mm(unknown);
            if here < 0.0 {
                return None;
            }
            if here < way.mm {
                (way.mm, way.narrowest) = (here, Some(edge));
                way.error_mm = if let Width::Mm { error_mm, .. } = joint.width { error_mm } else { 0.0 };
            }
            way.nodes.push(to);
            way.edges.push(edge);
            Some(way)
        };
        self.joints.iter().enumerate().filter_map(enters).collect()
    }
}

impl Reached {
    /// Width of the widest way to a place, mm: infinite at a source and where nothing on the way is
    /// measured, 0 where every way is shut; `None` where nothing leads there.
    pub fn width_mm(&self, node: Node) -> Option<f64> {
        self.mm.get(node).copied().filter(|mm| *mm >= 0.0)
    }

    /// Whether a way that is not shut leads there.
    pub fn opens(&self, node: Node) -> bool {
        self.width_mm(node).is_some_and(|mm| mm > 0.0)
    }
}

#[cfg(test)]
#[allow(clippy::unwrap_used, clippy::panic, clippy::expect_used)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn mm(mm: f64) -> Width {
        Width::Mm { mm, error_mm: mm / 10.0 }
    }

    fn of(nodes: usize, edges: &[(Node, Node, Width)]) -> Network {
        let mut network = Network::new();
        for i in 0..nodes {
            network.node(format!("n{i}")).unwrap();
        }
        for (a, b, width) in edges {
            network.join(*a, *b, width.clone(), format!("{a}-{b}")).unwrap();
        }
        network
    }

    #[test]
    fn the_widest_way_is_not_the_shortest() {
        let network = of(4, &[(0, 3, mm(2.0)), (0, 1, mm(9.0)), (1, 2, mm(4.0)), (2, 3, Width::Open)]);
        let reached = network.surely(&[0]);
        let way = network.way(&reached, 3).unwrap();
        assert_eq!((way.nodes, way.mm, way.error_mm), (vec![0, 1, 2, 3], 4.0, 0.4));
        assert_eq!(network.joint_name(way.narrowest.unwrap()), "1-2");
    }

    #[test]
    fn a_shut_way_is_found_and_opens_nothing() {
        let network = of(3, &[(0, 1, mm(0.0))]);
        let reached = network.surely(&[0]);
        assert_eq!(reached.width_mm(1), Some(0.0));
        assert!(!reached.opens(1));
        assert_eq!(network.way(&reached, 1).unwrap().narrowest, Some(0));
        assert_eq!(reached.width_mm(2), None);
        assert_eq!(network.way(&reached, 2), None);
    }

    #[test]
    fn unknown_is_shut_for_sure_and_open_perhaps() {
        let network = of(3, &[(0, 1, Width::Unknown("not measured".into())), (1, 2, mm(5.0)), (0, 2, mm(1.0))]);
        assert_eq!(network.surely(&[0]).width_mm(2), Some(1.0));
        assert_eq!(network.perhaps(&[0]).width_mm(2), Some(5.0));
        assert_eq!(network.surely(&[0]).width_mm(1), Some(1.0));
        assert_eq!(network.perhaps(&[0]).width_mm(1), Some(f64::INFINITY));
    }

    #[test]
    fn one_way_leads_one_way() {
        let mut network = of(2, &[]);
        network.lead(0, 1, Width::Open, "valve").unwrap();
        assert!(network.surely(&[0]).opens(1));
        assert!(!network.surely(&[1]).opens(0));
        assert!(network.entries(&[1], 0, true).is_empty());
    }

    #[test]
    fn every_entry_is_named() {
        // Two ways in; one of them lies beyond the place itself and is no way in.
        let network = of(4, &[(0, 1, mm(3.0)), (0, 2, mm(6.0)), (2, 1, mm(5.0)), (1, 3, Width::Open)]);
        let entries = network.entries(&[0], 1, false);
        let named: Vec<(&str, f64)> =
            entries.iter().map(|w| (network.joint_name(*w.edges.last().unwrap()), w.mm)).collect();
        assert_eq!(named, [("0-1", 3.0), ("2-1", 5.0)]);
    }

    #[test]
    fn too_many_or_unheard_of_are_refused() {
        let mut network = Network::new();
        assert_eq!(network.join(0, 1, Width::Open, ""), None);
        for _ in 0..MOST {
            network.node("").unwrap();
        }
        assert_eq!(network.node(""), None);
        assert_eq!(network.surely(&[MOST + 7]).width_mm(0), None);
    }

    proptest! {
        // Against a definition: the largest w at which joints of at least w connect (flood fill).
        #[test]
        fn widest_by_flooding(edges in proptest::collection::vec((0..8_usize, 0..8_usize, 0..6_u8), 0..20)) {
            let edges: Vec<_> = edges.into_iter().map(|(a, b, w)| (a, b, mm(f64::from(w)))).collect();
            let network = of(8, &edges);
            let reached = network.surely(&[0]);
            for to in 1..8 {
                let joined = |w: f64| {
                    let mut seen = [false; 8];
                    seen[0] = true;
                    for _ in 0..8 {
                        for (a, b, width) in &edges {
                            if width.mm(-1.0) >= w && (seen[*a] || seen[*b]) {
                                (seen[*a], seen[*b]) = (true, true);
                            }
                        }
                    }
                    seen[to]
                };
                let expected = (0..6).rev().map(f64::from).find(|w| joined(*w));
                prop_assert_eq!(reached.width_mm(to), expected);
                if let Some(way) = network.way(&reached, to) {
                    prop_assert_eq!(way.nodes.len(), way.edges.len() + 1);
                    prop_assert_eq!((way.nodes[0], *way.nodes.last().unwrap()), (0, to));
                    let least = way.edges.iter().map(|e| edges[*e].2.mm(-1.0)).fold(f64::INFINITY, f64::min);
                    prop_assert_eq!(Some(least), expected);
                }
            }
        }

        // Opening a joint takes reach from no place.
        #[test]
        fn opening_takes_nothing(edges in proptest::collection::vec((0..8_usize, 0..8_usize, 0..6_u8), 1..20), which in 0..20_usize) {
            let edges: Vec<_> = edges.into_iter().map(|(a, b, w)| (a, b, mm(f64::from(w)))).collect();
            let mut network = of(8, &edges);
            let before = network.surely(&[0]);
            network.set_width(which % edges.len(), Width::Open);
            let after = network.surely(&[0]);
            for to in 0..8 {
                prop_assert!(after.mm[to] >= before.mm[to]);
            }
        }
    }
}
