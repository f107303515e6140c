//! Where blood still enters the false lumen, and what each vessel is fed through, while certain things are
//! in place.
//!
//! Plain data in, names out: no stations, no graft, no limit, so that it can be tried on random
//! anatomies. Blood stands in the true lumen and inside the grafts; the space between fabric and wall is a
//! place of its own; a vessel is a line from its ostium outward, cut where something fills or ties it;
//! the false lumen is one place, whatever its shape. A way is a joint between the false lumen and what
//! lies on its other side, and lets blood through exactly if that side is reached without passing the
//! false lumen. What is not known is open in one answer and shut in the other.

use crate::network::{Network, Node, Way, Width};

/// What lies outside an opening of the wall.
#[derive(Clone, Debug, PartialEq)]
pub enum Outside {
    /// The blood itself.
    Blood,
    /// The space between fabric and wall, by its place in [`Works::spaces`].
    Space(usize),
    /// Both: fabric covers a part of it.
    Both(usize),
    /// Nothing: fabric lies on it.
    Shut,
    /// Not known, and why; as if it were both.
    Unknown(Option<usize>, String),
}

/// The space between wall and pieces that are joined without a leak.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Space {
    /// Whatever lets blood into it: its name, and the reason where it is not known whether it does.
    pub leaks: Vec<(String, Option<String>)>,
}

/// From where a vessel leaves.
#[derive(Clone, Debug, PartialEq)]
pub enum Origin {
    /// The aortic wall: what lies in front of its ostium, and whether the ostium opens into the true
    /// and into the false lumen.
    Wall {
        /// What lies in front of it.
        outside: Outside,
        /// Whether it opens into the true lumen.
        from_true: bool,
        /// Whether it opens into the false lumen.
        from_false: bool,
    },
    /// Another vessel, by its place in [`Works::vessels`], at a distance from the wall, mm.
    Vessel(usize, f64),
}

/// A vessel: a line from its ostium outward.
#[derive(Clone, Debug, PartialEq)]
pub struct Run {
    /// Its id.
    pub id: String,
    /// From where it leaves.
    pub origin: Origin,
    /// A bridging stent: its tunnel, and how far along the vessel it lies on the wall, mm.
    pub stent: Option<(String, f64)>,
    /// What fills or ties it: its name, from where to where, mm from the wall.
    pub blocks: Vec<(String, f64, f64)>,
    /// From where on its wall is replaced, and by what.
    pub replaced: Option<(String, f64)>,
    /// Why it is not known what is open in it.
    pub doubt: Option<String>,
}

/// Where a way lies.
#[derive(Clone, Debug, PartialEq)]
pub enum Lies {
    /// In the aorta.
    Aorta(Outside),
    /// In a vessel, by its place in [`Works::vessels`], from where to where, mm from the wall.
    Vessel(usize, f64, f64),
    /// Nobody said where.
    Unknown(String),
}

/// A way in or out of the false lumen.
#[derive(Clone, Debug, PartialEq)]
pub struct Opening {
    /// Its id.
    pub id: String,
    /// Where it lies.
    pub lies: Lies,
    /// Why it may be open whatever lies on it.
    pub doubt: Option<String>,
}

/// What is in place at one time.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Works {
    /// Spaces between fabric and wall.
    pub spaces: Vec<Space>,
    /// Vessels.
    pub vessels: Vec<Run>,
    /// Bypasses: name, place of the vessel that gives, of the one that receives.
    pub bypasses: Vec<(String, usize, usize)>,
    /// Ways of the false lumen.
    pub ways: Vec<Opening>,
}

/// What a way does.
#[derive(Clone, Debug, PartialEq)]
pub enum Flow {
    /// Blood passes, and through what it comes to the way.
    Flows(Vec<String>),
    /// None does.
    Shut,
    /// Not known, and why.
    Unknown(String),
}

/// What holds at one time.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Flows {
    /// Every way, in order.
    pub ways: Vec<(String, Flow)>,
    /// Every vessel, in order: through what it is fed, or why that is not known; none: not fed.
    pub vessels: Vec<(String, Flow)>,
}

/// What a network is asked.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Asked {
    /// Where blood enters the false lumen; every vessel is filled from its neighbours.
    Closing,
    /// What a vessel is fed through, leaving the false lumen out.
    Feed,
    /// The same through the false lumen too.
    FeedByFalse,
}

/// A vessel's places from its ostium outward: from where to where, mm, and the place in the network.
struct Line {
    parts: Vec<(f64, f64, Node)>,
}

impl Line {
    /// The part that opens a stretch of wall: none where something lies on all of it.
    fn on(&self, from: f64, to: f64) -> Vec<Node> {
        let meets = |(a, b, _): &&(f64, f64, Node)| *a < to - 1e-9 && *b > from + 1e-9 || *a <= from && *b > from;
        self.parts.iter().filter(meets).map(|part| part.2).collect()
    }

    fn far(&self) -> Option<Node> {
        self.parts.last().map(|part| part.2)
    }

    fn near(&self) -> Option<Node> {
        self.parts.first().filter(|part| part.0 < 0.0).map(|part| part.2)
    }
}

impl Works {
    /// Where blood still passes and what is fed: `None` where there is more than a network holds.
    pub fn flows(&self) -> Option<Flows> {
        // Beyond what closes it a vessel is filled from its neighbours, whether or not that feeds it.
        let closing = self.network(Asked::Closing)?;
        let sure = closing.net.entries(&[closing.blood], closing.false_lumen, false);
        let perhaps = closing.net.entries(&[closing.blood], closing.false_lumen, true);
        let passes = |all: &[Way], id: &str| {
            let through = all.iter().find_map(|way| {
                let last = *way.edges.last()?;
                let before = &way.edges[..way.edges.len() - 1];
                (closing.net.joint_name(last) == id && way.mm > 0.0).then(|| before.to_vec())
            })?;
            let names = through.into_iter().map(|edge| closing.net.joint_name(edge).to_owned());
            Some(names.filter(|name| !name.is_empty()).collect::<Vec<_>>())
        };
        let way = |opening: &Opening| {
            let flow = match (passes(&sure, &opening.id), passes(&perhaps, &opening.id)) {
                (Some(through), _) => Flow::Flows(through),
                (None, Some(_)) => Flow::Unknown(self.doubt_of(opening)),
                (None, None) => Flow::Shut,
            };
            (opening.id.clone(), flow)
        };
        // A vessel that has both is fed by the true lumen.
        let (own, by_false) = (self.network(Asked::Feed)?, self.network(Asked::FeedByFalse)?);
        let fed = |built: &Built, run: &Run, far: Node| {
            let sure = built.net.surely(&[built.blood]);
            match built.net.way(&sure, far).filter(|way| way.mm > 0.0) {
                Some(way) => {
                    let names = way.edges.iter().map(|edge| built.net.joint_name(*edge).to_owned());
                    Flow::Flows(names.filter(|name| !name.is_empty()).collect())
                }
                None if built.net.perhaps(&[built.blood]).opens(far) => {
                    Flow::Unknown(run.doubt.clone().unwrap_or_else(|| self.some_doubt()))
                }
                None => Flow::Shut,
            }
        };
        let vessel = |(index, run): (usize, &Run)| {
            let flow = match own.lines[index].far() {
                None => Flow::Shut,
                Some(far) => match fed(&own, run, far) {
                    Flow::Flows(through) => Flow::Flows(through),
                    other => match fed(&by_false, run, far) {
                        Flow::Flows(through) => Flow::Flows(through),
                        unknown @ Flow::Unknown(_) if other == Flow::Shut => unknown,
                        _ => other,
                    },
                },
            };
            (run.id.clone(), flow)
        };
        Some(Flows {
            ways: self.ways.iter().map(way).collect(),
            vessels: self.vessels.iter().enumerate().map(vessel).collect(),
        })
    }

    /// Why it is not known whether blood passes a way.
    fn doubt_of(&self, opening: &Opening) -> String {
        if let Some(why) = &opening.doubt {
            return why.clone();
        }
        let own = match &opening.lies {
            Lies::Aorta(Outside::Unknown(_, why)) | Lies::Unknown(why) => Some(why.clone()),
            Lies::Vessel(place, ..) => self.vessels.get(*place).and_then(|run| run.doubt.clone()),
            Lies::Aorta(_) => None,
        };
        own.unwrap_or_else(|| self.some_doubt())
    }

    /// The first thing that is not known.
    fn some_doubt(&self) -> String {
        let leaks = self.spaces.iter().flat_map(|space| &space.leaks).filter_map(|leak| leak.1.clone());
        let of_vessels = self.vessels.iter().filter_map(|run| match (&run.doubt, &run.origin) {
            (Some(why), _) => Some(why.clone()),
            (None, Origin::Wall { outside: Outside::Unknown(_, why), .. }) => Some(why.clone()),
            _ => None,
        });
        leaks.chain(of_vessels).next().unwrap_or_default()
    }

    fn network(&self, asked: Asked) -> Option<Built> {
        let mut net = Network::new();
        let blood = net.node("blood")?;
        let false_lumen = net.node("false lumen")?;
        let mut spaces = Vec::with_capacity(self.spaces.len());
        for space in &self.spaces {
            let node = net.node("space")?;
            for (name, doubt) in &space.leaks {
                net.join(blood, node, doubt.clone().map_or(Width::Open, Width::Unknown), name)?;
            }
            spaces.push(node);
        }
        let mut lines = Vec::with_capacity(self.vessels.len());
        for run in &self.vessels {
            let mut parts = Vec::new();
            for (from, to) in run.open_parts() {
                parts.push((from, to, net.node(run.id.clone())?));
            }
            lines.push(Line { parts });
        }
        let mut built = Built { net, blood, false_lumen, spaces, lines };
        for (index, run) in self.vessels.iter().enumerate() {
            built.vessel(index, run, asked)?;
        }
        for (name, from, to) in &self.bypasses {
            let ends = built.lines.get(*from).and_then(Line::far).zip(built.lines.get(*to).and_then(Line::far));
            if let Some((a, b)) = ends {
                built.net.join(a, b, Width::Open, name)?;
            }
        }
        if asked != Asked::Feed {
            for opening in &self.ways {
                built.way(opening, self)?;
            }
        }
        Some(built)
    }
}

impl Run {
    /// Stretches of its wall on which nothing lies, upstream first.
    fn open_parts(&self) -> Vec<(f64, f64)> {
        let mut lined: Vec<(f64, f64)> = self.blocks.iter().map(|block| (block.1, block.2)).collect();
        lined.extend(self.stent.iter().map(|stent| (f64::NEG_INFINITY, stent.1)));
        lined.sort_by(|a, b| a.0.total_cmp(&b.0));
        let (mut parts, mut from) = (Vec::new(), f64::NEG_INFINITY);
        for (a, b) in lined {
            // What begins at the wall leaves no part in front of it.
            if a > from && a > 0.0 {
                parts.push((from, a));
            }
            from = from.max(b);
        }
        parts.push((from, f64::INFINITY));
        parts
    }

    fn doubtful(&self, width: Width) -> Width {
        match &self.doubt {
            Some(why) => Width::Unknown(why.clone()),
            None => width,
        }
    }
}

/// The network with the places that are asked for.
struct Built {
    net: Network,
    blood: Node,
    false_lumen: Node,
    spaces: Vec<Node>,
    lines: Vec<Line>,
}

impl Built {
    /// Joins a place to what lies outside an opening of the wall.
    fn outside(&mut self, node: Node, outside: &Outside, name: &str, doubt: &Option<String>) -> Option<()> {
        let width = || doubt.clone().map_or(Width::Open, Width::Unknown);
        let (blood, space, width) = match outside {
            Outside::Blood => (true, None, width()),
            Outside::Space(space) => (false, Some(*space), width()),
            Outside::Both(space) => (true, Some(*space), width()),
            Outside::Shut => (false, None, width()),
            Outside::Unknown(space, why) => (true, *space, Width::Unknown(why.clone())),
        };
        if blood {
            self.net.join(self.blood, node, width.clone(), name)?;
        }
        if let Some(space) = space.and_then(|place| self.spaces.get(place).copied()) {
            self.net.join(space, node, width, name)?;
        }
        Some(())
    }

    fn vessel(&mut self, index: usize, run: &Run, asked: Asked) -> Option<()> {
        let (near, far) = (self.lines[index].near(), self.lines[index].far());
        match (&run.origin, near) {
            (Origin::Wall { outside, from_true, from_false }, Some(near)) => {
                if *from_true {
                    self.outside(near, outside, &run.id, &run.doubt)?;
                }
                if *from_false && asked == Asked::FeedByFalse {
                    self.net.lead(self.false_lumen, near, Width::Open, "false lumen")?;
                }
            }
            (Origin::Vessel(parent, at_mm), Some(near)) => {
                let parents: Vec<Node> = self.lines.get(*parent).map_or(Vec::new(), |l| l.on(*at_mm, *at_mm));
                for parent in parents {
                    self.net.join(parent, near, run.doubtful(Width::Open), "")?;
                }
            }
            (_, None) => {}
        }
        // A stent opens into the part beyond its end, unless something fills the vessel before.
        let first = run.stent.as_ref().and_then(|(tunnel, reach)| {
            let free = run.blocks.iter().all(|block| block.1 > *reach);
            let part = self.lines[index].parts.iter().find(|part| part.0 >= *reach - 1e-9)?;
            free.then(|| (tunnel.clone(), part.2))
        });
        if let Some((tunnel, first)) = first {
            self.net.join(self.blood, first, run.doubtful(Width::Open), tunnel)?;
        }
        if let Some(far) = far.filter(|_| asked == Asked::Closing) {
            self.net.join(self.blood, far, Width::Open, format!("backflow in {}", run.id))?;
        }
        Some(())
    }

    fn way(&mut self, opening: &Opening, works: &Works) -> Option<()> {
        if let Some(why) = &opening.doubt {
            self.net.join(self.blood, self.false_lumen, Width::Unknown(why.clone()), &opening.id)?;
        }
        match &opening.lies {
            Lies::Unknown(why) => {
                self.net.join(self.blood, self.false_lumen, Width::Unknown(why.clone()), &opening.id)?;
            }
            Lies::Aorta(outside) => self.outside(self.false_lumen, outside, &opening.id, &None)?,
            Lies::Vessel(place, from, to) => {
                let Some(run) = works.vessels.get(*place) else { return Some(()) };
                // Replaced wall has no way; one that reaches upstream of it has.
                if run.replaced.as_ref().is_some_and(|(_, at)| at <= from) {
                    return Some(());
                }
                let to = run.replaced.as_ref().map_or(*to, |(_, at)| to.min(*at));
                for node in self.lines[*place].on(*from, to) {
                    self.net.join(self.false_lumen, node, run.doubtful(Width::Open), &opening.id)?;
                }
            }
        }
        Some(())
    }
}
