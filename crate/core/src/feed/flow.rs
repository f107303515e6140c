//! What feeds each vessel while things stand as they do at the end of a step.
//!
//! The chamber's ways, the lumen, tunnels, stents, vessels and bypasses as one small network that the
//! heart fills. A way that is known to be wide enough feeds; one that is not surely wider than the limit
//! is doubtful, and so is any through a vessel of which a sheath fills more than half. Where several
//! ways lead to a vessel the best one counts.
//!
//! Knows no steps and no geometry; it reads [`Chamber`] and [`Standing`].

use super::chamber::{Chamber, Passage, Place, Sink, Source};
use super::standing::{Standing, servers};
use crate::bridging::vessel;
use crate::casefile::case::{BypassKind, BypassState, Case, FedFrom, KeepClearInput};
use crate::message;
use crate::network::{Edge, Network, Node, Way, Width};
use crate::placement::space::CONTACT_MM;
use serde::Serialize;

/// What the space beside a graft must exceed, less its error, mm: common practice, no source.
const LEAST_SPACE_MM: f64 = 3.0;
/// Where these limits come from.
pub const SOURCE: &str = message::COMMON_PRACTICE;
/// Share of a vessel's area that a sheath may fill before its feed is doubtful: common practice, no source.
const MOST_FILLED: f64 = 0.5;
/// Widths nearer than this to a limit are on it, mm.
const ON_LIMIT_MM: f64 = 1e-9;

/// By what a vessel is fed.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum FedBy {
    /// Straight from the lumen, or through an opening that lies over it.
    Direct,
    /// Through a bridging stent.
    Stent,
    /// Through the space between fabric and wall.
    Space,
    /// Through a bypass.
    Bypass,
    /// By nothing.
    None,
}

/// Whether it is fed, the best first.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum FeedState {
    /// Fed.
    Fed,
    /// Perhaps: the way is not surely wide enough. Counts as not fed for heart and brain.
    Doubtful,
    /// Something that was not entered decides.
    Unknown,
    /// Not fed.
    Unfed,
}

/// The feed of one vessel.
#[derive(Clone, Debug, PartialEq)]
pub struct Feed {
    /// Id of the vessel, or of the coronary graft on the wall.
    pub vessel: String,
    /// By what.
    pub by: FedBy,
    /// Whether.
    pub state: FeedState,
    /// Where its way is narrowest, mm, and the error of that; `None` where nothing on it is measured.
    pub narrowest_mm: Option<(f64, f64)>,
    /// Where that is.
    pub at: Option<Place>,
    /// What lies on the way, from the heart on.
    pub through: Vec<String>,
    /// Why it is doubtful or unknown, where the width alone does not say.
    pub why: Option<String>,
}

/// What is tried beside what the case holds, to see whether it would help.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Extra {
    /// Bypasses done before, from and to.
    pub bypasses: Vec<(String, String)>,
    /// Vessels that get a tunnel of their own.
    pub tunnels: Vec<String>,
}

/// The limit of a case, mm.
pub fn limit_mm(case: &Case) -> f64 {
    case.procedure.as_ref().and_then(|p| p.least_space_mm).unwrap_or(LEAST_SPACE_MM)
}

/// Grafts to the heart that leave the aortic wall.
pub fn coronary_grafts(case: &Case) -> impl Iterator<Item = &KeepClearInput> {
    case.anatomy.keep_clear.iter().filter(|point| point.kind.contains("graft"))
}

/// A vessel's sheath, if it fills more than its share: why its feed is then no more than doubtful.
pub fn sheathed(case: &Case, standing: &Standing, vessel: &str) -> Option<(FeedState, String)> {
    let own = standing.sheaths.iter().filter(|sheath| sheath.vessels.iter().any(|v| v == vessel));
    // Two sheaths in one vessel fill it together.
    let area: f64 = own.map(|sheath| sheath.outer_mm * sheath.outer_mm).sum();
    if area <= 0.0 {
        return None;
    }
    let vessel = case.anatomy.vessels.iter().find(|v| v.id == vessel)?;
    let Some(least) = vessel.diameters.iter().map(|d| d.diameter_mm).reduce(f64::min) else {
        return Some((FeedState::Unknown, message::SHEATH_IN_UNKNOWN.into()));
    };
    let share = area / (least * least);
    (share > MOST_FILLED).then(|| (FeedState::Doubtful, message::sheath_fills(area.sqrt(), share)))
}

/// What feeds every vessel, in the order of the case, then every coronary graft on the wall.
pub fn feeds(case: &Case, chamber: &Chamber, standing: &Standing, extra: &Extra) -> Vec<Feed> {
    match Piping::of(case, chamber, standing, extra) {
        Some(piping) => piping.feeds(),
        None => unknown(case, message::TOO_MANY_GRAFTS),
    }
}

/// The same where nothing is known, for a reason.
pub fn unknown(case: &Case, why: &str) -> Vec<Feed> {
    let vessels = case.anatomy.vessels.iter().map(|vessel| vessel.id.clone());
    let all = vessels.chain(coronary_grafts(case).map(|point| point.id.clone()));
    all.map(|vessel| Feed {
        vessel,
        by: FedBy::None,
        state: FeedState::Unknown,
        narrowest_mm: None,
        at: None,
        through: Vec::new(),
        why: Some(why.into()),
    })
    .collect()
}

/// What a joint is.
#[derive(Clone, Copy, Debug, PartialEq)]
enum Pipe {
    Passage(usize),
    Ostium,
    Stent,
    Bypass,
    Branch,
    Other,
}

struct Piping<'a> {
    case: &'a Case,
    chamber: &'a Chamber,
    standing: &'a Standing,
    network: Network,
    pipes: Vec<Pipe>,
    heart: Node,
    /// Node of each vessel, then of each coronary graft.
    ends: Vec<(String, Node)>,
}

impl<'a> Piping<'a> {
    fn lead(&mut self, from: Node, to: Node, width: Width, name: &str, pipe: Pipe) -> Option<()> {
        self.network.lead(from, to, width, name)?;
        self.pipes.push(pipe);
        Some(())
    }

    /// `None` where there is too much of it.
    fn of(case: &'a Case, chamber: &'a Chamber, standing: &'a Standing, extra: &Extra) -> Option<Self> {
        let mut network = Network::new();
        let lumens: Vec<Node> = (0..chamber.lumens.max(1)).map(|_| network.node("aorta")).collect::<Option<_>>()?;
        let heart = lumens[0];
        let mut own = Piping { case, chamber, standing, network, pipes: Vec::new(), heart, ends: Vec::new() };
        let shut = |id: &str| standing.bridged.iter().chain(&standing.closed).any(|other| other == id);
        let served = servers(case);
        let name_of = |id: &str| -> String {
            served.iter().find(|(own, _)| *own == id).map_or(id, |(_, vessel)| *vessel).to_owned()
        };
        // Mouths and openings let blood out until they are bridged or closed.
        let mut sources: Vec<(&Source, Node)> = Vec::new();
        for source in &chamber.sources {
            let node = match source {
                Source::Lumen(k) => *lumens.get(*k)?,
                Source::Mouth(id, k) | Source::Opening(id, k) => {
                    let what = if matches!(source, Source::Mouth(..)) { "mouth" } else { "opening" };
                    let node = own.network.node(format!("{what} for {}", name_of(id)))?;
                    if !shut(id) {
                        own.lead(*lumens.get(*k)?, node, Width::Open, "", Pipe::Other)?;
                    }
                    node
                }
            };
            sources.push((source, node));
        }
        let mut sites: Vec<(&str, Node)> = Vec::new();
        for (index, passage) in chamber.passages.iter().enumerate() {
            let Some(from) = sources.iter().find(|(s, _)| **s == passage.from).map(|(_, node)| *node) else { continue };
            let to = match &passage.to {
                Sink::Lumen(k) => *lumens.get(*k)?,
                Sink::Site(id) => match sites.iter().find(|(own, _)| own == id) {
                    Some((_, node)) => *node,
                    None => {
                        let node = own.network.node("")?;
                        sites.push((id, node));
                        node
                    }
                },
            };
            let name = if passage.by_space { "space" } else { "" };
            own.lead(from, to, passage.width.clone(), name, Pipe::Passage(index))?;
        }
        own.vessels(&sites, &lumens, extra)?;
        for point in coronary_grafts(case) {
            let node = own.network.node(point.id.clone())?;
            if let Some((_, site)) = sites.iter().find(|(id, _)| *id == point.id) {
                own.lead(*site, node, Width::Open, "", Pipe::Ostium)?;
            }
            own.ends.push((point.id.clone(), node));
        }
        Some(own)
    }

    fn vessels(&mut self, sites: &[(&str, Node)], lumens: &[Node], extra: &Extra) -> Option<()> {
        let (case, standing) = (self.case, self.standing);
        let served = servers(case);
        for vessel in &case.anatomy.vessels {
            let node = self.network.node(vessel.id.clone())?;
            self.ends.push((vessel.id.clone(), node));
        }
        let node_of = |ends: &[(String, Node)], id: &str| ends.iter().find(|(own, _)| own == id).map(|(_, node)| *node);
        for (index, vessel) in case.anatomy.vessels.iter().enumerate() {
            let node = self.ends[index].1;
            // Stents, each through something that is open.
            let own = served.iter().filter(|(id, v)| *v == vessel.id && standing.bridged.iter().any(|b| b == id));
            let mut stented = false;
            for (id, _) in own {
                let stretch = self.chamber.sources.iter().find_map(|source| match source {
                    Source::Mouth(own, k) | Source::Opening(own, k) if own == id => Some(*k),
                    _ => None,
                });
                if let Some(lumen) = stretch.and_then(|k| lumens.get(k)) {
                    self.lead(*lumen, node, Width::Open, "stent", Pipe::Stent)?;
                    stented = true;
                }
            }
            if extra.tunnels.contains(&vessel.id) && standing.bridged.contains(&vessel.id) {
                self.lead(self.heart, node, Width::Open, "stent", Pipe::Stent)?;
                stented = true;
            }
            // A stent or a plug fills its origin; a tied or transposed one is gone.
            let gone = case.anatomy.bypasses.iter().filter(|b| b.kind != BypassKind::Bypass && b.to == vessel.id);
            let gone: Vec<Option<bool>> = gone.map(|b| self.in_place(b.state, b.stage)).collect();
            let closed = stented || standing.closed.contains(&vessel.id) || gone.contains(&Some(true));
            if !closed {
                let width = if gone.contains(&None) {
                    Width::Unknown(message::BYPASS_WHEN.into())
                } else if vessel.fed_from == Some(FedFrom::FalseLumen) {
                    Width::Unknown(message::FED_BY_FALSE_LUMEN.into())
                } else {
                    Width::Open
                };
                if let Some((_, site)) = sites.iter().find(|(id, _)| *id == vessel.from) {
                    self.lead(*site, node, width, "", Pipe::Ostium)?;
                } else if let Some(parent) = node_of(&self.ends, &vessel.from) {
                    let width = self.branch(&vessel.from, vessel.at_mm).unwrap_or(width);
                    self.lead(parent, node, width, "", Pipe::Branch)?;
                }
            }
        }
        let planned = case.anatomy.bypasses.iter().filter(|b| b.kind != BypassKind::Ligation);
        let planned = planned.map(|b| (&b.from, &b.to, self.in_place(b.state, b.stage))).collect::<Vec<_>>();
        let tried = extra.bypasses.iter().map(|(from, to)| (from, to, Some(true)));
        for (from, to, in_place) in planned.into_iter().chain(tried) {
            let width = match in_place {
                Some(true) => Width::Open,
                Some(false) => continue,
                None => Width::Unknown(message::BYPASS_WHEN.into()),
            };
            if let Some((a, b)) = node_of(&self.ends, from).zip(node_of(&self.ends, to)) {
                self.lead(a, b, width.clone(), "bypass", Pipe::Bypass)?;
                self.lead(b, a, width, "bypass", Pipe::Bypass)?;
            }
        }
        Some(())
    }

    /// Whether something that surgery makes is there; `None` where nobody said when.
    fn in_place(&self, state: BypassState, stage: Option<u32>) -> Option<bool> {
        match (state, stage, self.standing.stage) {
            (BypassState::Done, _, _) => Some(true),
            (BypassState::Planned, Some(own), Some(now)) => Some(own <= now),
            // Steps without a stage are the last of the plan.
            (BypassState::Planned, Some(_), None) => Some(true),
            (BypassState::Planned, None, _) => None,
        }
    }

    /// Width of a branch's origin in a stented vessel, where the stent reaches over it or nobody knows.
    fn branch(&self, parent: &str, at_mm: f64) -> Option<Width> {
        let served = servers(self.case);
        let stented = served.iter().any(|(id, v)| *v == parent && self.standing.bridged.iter().any(|b| b == id));
        if !stented {
            return None;
        }
        let least = self.case.stock.as_ref().and_then(|stock| stock.least_landing_mm);
        match vessel::landing(self.case, parent, least) {
            Ok(landing) if landing.nearest_mm <= at_mm => None,
            Ok(_) => Some(Width::SHUT),
            Err(unknown) => Some(Width::Unknown(unknown.0)),
        }
    }

    fn feeds(&self) -> Vec<Feed> {
        let around = [self.around(|_| true), self.around(|most| most == FeedState::Unknown)];
        let all: Vec<&Network> = [&self.network].into_iter().chain(around.iter().flatten()).collect();
        // The widest way need not be the surest where widths differ in their errors.
        let surest: Vec<Network> = all.iter().filter_map(|network| surest(network, self.pipes.len())).collect();
        let networks: Vec<&Network> = all.into_iter().chain(&surest).collect();
        self.ends.iter().map(|(id, node)| self.feed(id, *node, &networks)).collect()
    }

    /// The network without the vessels whose sheath stands in the way: a narrower way may lead round them.
    fn around(&self, sheath: impl Fn(FeedState) -> bool) -> Option<Network> {
        let full =
            |(id, _): &&(String, Node)| sheathed(self.case, self.standing, id).is_some_and(|(most, _)| sheath(most));
        let full: Vec<Node> = self.ends.iter().filter(full).map(|(_, node)| *node).collect();
        if full.is_empty() {
            return None;
        }
        let mut network = self.network.clone();
        for edge in 0..self.pipes.len() {
            if network.ends(edge).is_some_and(|(_, to)| full.contains(&to)) {
                network.set_width(edge, Width::SHUT);
            }
        }
        Some(network)
    }

    /// The best of all ways to a vessel.
    fn feed(&self, id: &str, node: Node, networks: &[&Network]) -> Feed {
        let rank = |feed: &Feed| (feed.state, feed.by);
        let wide = |feed: &Feed| feed.narrowest_mm.map_or(f64::INFINITY, |n| n.0);
        let ways = networks.iter().enumerate().flat_map(|(k, network)| self.ways(id, node, network, k > 0));
        let best = ways.reduce(|best, next| {
            let (a, b) = (rank(&best), rank(&next));
            // Of ways that are shut alike, one through a mouth says where: it comes after the lumen's ends.
            let rather = match best.state {
                FeedState::Unfed => wide(&next) >= wide(&best),
                _ => wide(&next) > wide(&best),
            };
            if b < a || (b == a && rather) { next } else { best }
        });
        let mut feed = best.unwrap_or_else(|| Feed {
            vessel: id.into(),
            by: FedBy::None,
            state: FeedState::Unfed,
            narrowest_mm: None,
            at: None,
            through: Vec::new(),
            why: None,
        });
        if feed.state == FeedState::Unfed {
            feed.by = FedBy::None;
        }
        feed
    }

    /// Every way to a vessel in one network; of one that was changed, what is not shut there.
    fn ways(&self, id: &str, node: Node, network: &Network, changed: bool) -> Vec<Feed> {
        let entries = |perhaps: bool| {
            let mut ways = network.entries(&[self.heart], node, perhaps);
            ways.retain(|way| !changed || way.mm > 0.0);
            ways
        };
        let (sure, may) = (entries(false), entries(true));
        let known = sure.iter().map(|way| self.along(id, way, None));
        // An entry that only unknown joints lead to, or that they may widen.
        let unsure = may.iter().filter(|way| {
            let entry = way.edges.last();
            !sure.iter().any(|other| other.edges.last() == entry && other.mm >= way.mm)
        });
        let unsure = unsure.map(|way| {
            let why = way.edges.iter().find_map(|edge| match network.width(*edge) {
                Some(Width::Unknown(why)) => Some(why.clone()),
                _ => None,
            });
            self.along(id, way, Some(why.unwrap_or_default()))
        });
        known.chain(unsure).collect()
    }

    /// One way; `unknown` says why its width is not known.
    fn along(&self, id: &str, way: &Way, unknown: Option<String>) -> Feed {
        let pipe = |edge: &Edge| self.pipes.get(*edge).copied().unwrap_or(Pipe::Other);
        let passage = |edge: Edge| match pipe(&edge) {
            Pipe::Passage(index) => self.chamber.passages.get(index),
            _ => None,
        };
        let by_space = way.edges.iter().any(|edge| passage(*edge).is_some_and(|p: &Passage| p.by_space));
        let pipes: Vec<Pipe> = way.edges.iter().map(pipe).collect();
        // What brings the blood to this vessel last: a bypass, or what it left the aorta by.
        let by = if pipes.contains(&Pipe::Bypass) {
            FedBy::Bypass
        } else if pipes.contains(&Pipe::Stent) {
            FedBy::Stent
        } else if by_space {
            FedBy::Space
        } else {
            FedBy::Direct
        };
        // The least width, its place, and the least that is sure, over all joints of the way.
        let (mut mm, mut error_mm, mut narrowest, mut sure) = (f64::INFINITY, 0.0, None, f64::INFINITY);
        for edge in &way.edges {
            if let Some(Width::Mm { mm: own, error_mm: error }) = self.network.width(*edge) {
                sure = sure.min(own - error);
                if *own < mm {
                    (mm, error_mm, narrowest) = (*own, *error, Some(*edge));
                }
            }
        }
        let measured = mm.is_finite() && unknown.is_none();
        let mut state = match mm {
            _ if mm <= CONTACT_MM => FeedState::Unfed,
            _ if unknown.is_some() => FeedState::Unknown,
            _ if sure > limit_mm(self.case) + ON_LIMIT_MM => FeedState::Fed,
            _ => FeedState::Doubtful,
        };
        let mut why = unknown;
        for node in &way.nodes {
            let name = self.network.name(*node);
            let Some((most, says)) = sheathed(self.case, self.standing, name) else { continue };
            if most > state {
                state = most;
            }
            if state != FeedState::Unfed {
                why.get_or_insert(if name == id { says } else { format!("{name}: {says}") });
            }
        }
        let mut through: Vec<String> = Vec::new();
        for (k, node) in way.nodes.iter().enumerate() {
            let joint =
                k.checked_sub(1).and_then(|k| way.edges.get(k)).map_or("", |edge| self.network.joint_name(*edge));
            for name in [joint, self.network.name(*node)] {
                if !name.is_empty() && through.last().is_none_or(|last| last != name) {
                    through.push(name.to_owned());
                }
            }
        }
        Feed {
            vessel: id.into(),
            by,
            state,
            narrowest_mm: measured.then_some((mm, error_mm)),
            at: narrowest.and_then(passage).and_then(|p| p.at).filter(|_| measured),
            through,
            why,
        }
    }
}

/// A network in which each width is less its error; `None` where that changes which way is widest nowhere.
fn surest(network: &Network, edges: usize) -> Option<Network> {
    let errors = (0..edges).filter_map(|edge| match network.width(edge) {
        Some(Width::Mm { mm, error_mm }) if *mm > CONTACT_MM => Some(*error_mm),
        _ => None,
    });
    let mut errors = errors.collect::<Vec<f64>>();
    errors.sort_by(f64::total_cmp);
    errors.dedup();
    if errors.len() < 2 {
        return None;
    }
    let mut less = network.clone();
    for edge in 0..edges {
        if let Some(Width::Mm { mm, error_mm }) = network.width(edge) {
            let mm = if *mm > CONTACT_MM { (mm - error_mm).max(CONTACT_MM) } else { 0.0 };
            less.set_width(edge, Width::Mm { mm, error_mm: 0.0 });
        }
    }
    Some(less)
}
