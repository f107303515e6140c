//! From a plan to what is in place at one time, in one possibility: which way and which ostium lies under
//! fabric, which ends of the pieces seal, which mouths are bridged, what lies in the vessels.
//!
//! An end seals if its fabric touches the wall all round over a least length. Fabric that covers a way
//! and touches the wall all over it shuts it; fabric that stands off leaves it to the space between fabric
//! and wall. A stent covers its vessel up to the end of the least landing, no further: where it ends
//! beyond that is decided on the table.

use super::acts::{is_bridged, surgery};
use super::flow::{Lies, Opening, Origin, Outside, Run, Space, Works};
use super::words;
use crate::anatomy::Anatomy;
use crate::bridging::stent::Choice;
use crate::bridging::vessel;
use crate::casefile::case::{BypassKind, Component, ComponentKind, FedFrom, VesselInput, Way};
use crate::graft::lie::{GraftLie, PlacedGraft, Possibility};
use crate::graft::shape;
use crate::message;
use crate::placement::footprint::Site;
use crate::placement::space::{CONTACT_MM, SpaceResult, over};
use crate::plan::Plan;
use crate::quantity::Unknown;
use crate::units::Angle;

/// Least length over which fabric must touch all round for an end to be taken for sealed, mm, where no
/// rule of the case names one: from memory.
const LEAST_SEAL_MM: f64 = 10.0;
/// Directions in which contact is looked for.
const AROUND: usize = 24;
/// Places along a seal at which it is looked for, at most.
const ALONG: f64 = 24.0;
/// Fabric this far from an edge covers at every clock, however askew the edge is, mm.
const ASKEW_MM: f64 = 15.0;

/// What of a plan does not change with what is done.
pub struct Ground<'a> {
    /// The plan.
    pub plan: &'a Plan,
    /// Its anatomy.
    pub anatomy: &'a Anatomy,
    /// The possibilities; one that is none where no graft is placed.
    pub possibilities: Vec<Option<Possibility>>,
    /// The length over which an end must touch, and its source.
    pub least_seal: (f64, String),
    seals: Vec<Sealed>,
}

/// Whether the two ends of a piece seal.
struct Sealed {
    component: String,
    possibility: Option<Possibility>,
    ends: [Result<bool, Unknown>; 2],
}

/// How fabric lies over something.
enum Under {
    No,
    Part { touching: bool },
    Whole { touching: bool },
    Unknown(String),
}

/// What is in place, and what closes each way if it is shut.
pub struct InPlace {
    /// For the network.
    pub works: Works,
    /// For each way, in order: names of what lies on it.
    pub closers: Vec<Vec<String>>,
}

impl<'a> Ground<'a> {
    /// Of a plan.
    ///
    /// # Errors
    /// Unknown without an anatomy.
    pub fn of(plan: &'a Plan) -> Result<Self, Unknown> {
        let anatomy = plan.anatomy.as_deref().map_err(Clone::clone)?;
        let own =
            plan.rules.iter().find(|r| r.measure == "graft.proximal_seal_mm").and_then(|r| Some((r.at_least?, r)));
        let least_seal =
            own.map_or((LEAST_SEAL_MM, message::FROM_MEMORY.into()), |(mm, rule)| (mm, rule.source.clone()));
        let mut possibilities: Vec<Option<Possibility>> = plan.possibilities().into_iter().map(Some).collect();
        if possibilities.is_empty() {
            possibilities.push(None);
        }
        let mut seals = Vec::new();
        for possibility in possibilities.iter().flatten() {
            for placed in &plan.grafts {
                let Some(lie) = placed.lie_in(*possibility) else { continue };
                let ends = [0, 1].map(|end| seals_at(placed, lie, anatomy, end, least_seal.0));
                seals.push(Sealed { component: placed.component.clone(), possibility: Some(*possibility), ends });
            }
        }
        Ok(Ground { plan, anatomy, possibilities, least_seal, seals })
    }

    /// What is in place in a possibility once those acts are done that `done` says.
    pub fn in_place(&self, possibility: Option<Possibility>, done: &dyn Fn(&str) -> bool) -> InPlace {
        let placed: Vec<&PlacedGraft> = self.plan.grafts.iter().filter(|graft| done(&graft.component)).collect();
        let chains = chains(&placed, possibility);
        let space_of = |component: &str| chains.iter().position(|chain| chain.iter().any(|g| g.component == component));
        let mut works = Works::default();
        for chain in &chains {
            works.spaces.push(Space { leaks: self.leaks(chain, possibility, done) });
        }
        let case = &self.plan.case;
        let ids: Vec<&str> = case.anatomy.vessels.iter().map(|v| v.id.as_str()).collect();
        let place = |id: &str| ids.iter().position(|own| *own == id);
        for vessel in &case.anatomy.vessels {
            works.vessels.push(self.run(vessel, &placed, possibility, &space_of, done));
        }
        for bypass in case.anatomy.bypasses.iter().filter(|b| done(&surgery(b))) {
            let joins = matches!(bypass.kind, BypassKind::Bypass | BypassKind::Transposition)
                || bypass.kind == BypassKind::Interposition && bypass.from != bypass.to;
            if let (true, Some(from), Some(to)) = (joins, place(&bypass.from), place(&bypass.to)) {
                works.bypasses.push((surgery(bypass), from, to));
            }
        }
        let mut closers = Vec::new();
        for way in super::ways::ways(case) {
            let mut on_it = Vec::new();
            let lies = match (&way.in_vessel, way.station_mm) {
                (Some(vessel), _) => match (place(vessel), way.at_mm) {
                    (Some(index), Some(at)) => {
                        let half = way.along_mm.unwrap_or(0.0) / 2.0;
                        let (from, to) = ((at - half).max(0.0), at + half);
                        on_it = in_vessel(&works.vessels[index], from, to);
                        if on_it.is_empty() {
                            let ostium = self.anatomy.ostium_of(vessel).map(|o| o.id.clone()).unwrap_or_default();
                            on_it = self.covering(&ostium, &placed, possibility);
                            on_it.extend(works.vessels[index].blocks.iter().map(|b| b.0.clone()));
                        }
                        Lies::Vessel(index, from, to)
                    }
                    _ => Lies::Unknown(words::no_place(&way.name)),
                },
                (None, Some(station)) => {
                    on_it = self.covering(&way.id, &placed, possibility);
                    Lies::Aorta(self.outside(&way.id, Site::Way, station, &placed, possibility, &space_of))
                }
                (None, None) => Lies::Unknown(words::no_place(&way.name)),
            };
            let doubt = way.along_mm.is_none().then(|| words::no_size(&way.name)).filter(|_| !way.implied);
            works.ways.push(Opening { id: way.id.clone(), lies, doubt });
            closers.push(on_it);
        }
        InPlace { works, closers }
    }

    /// What lets blood into the space of a chain of pieces.
    fn leaks(
        &self,
        chain: &[&PlacedGraft],
        possibility: Option<Possibility>,
        done: &dyn Fn(&str) -> bool,
    ) -> Vec<(String, Option<String>)> {
        let mut leaks = Vec::new();
        let ends = [(0, chain.first(), "proximal"), (1, chain.last(), "distal")];
        for (end, piece, word) in ends {
            let Some(piece) = piece else { continue };
            let own = |s: &&Sealed| s.component == piece.component && s.possibility == possibility;
            let name = format!("{word} end of {}", piece.component);
            match self.seals.iter().find(own).map(|s| &s.ends[end]) {
                Some(Ok(true)) => {}
                Some(Ok(false)) | None => leaks.push((name, None)),
                Some(Err(Unknown(why))) => leaks.push((name, Some(why.clone()))),
            }
        }
        for pair in chain.windows(2) {
            let own = |o: &&crate::placement::components::Overlap| {
                o.upstream == pair[0].component
                    && o.downstream == pair[1].component
                    && Some(o.possibility) == possibility
            };
            let oversize = self.plan.fabric.overlaps.iter().find(own).and_then(|o| o.oversize_percent);
            if oversize.is_some_and(|(_, largest)| largest < 0.0) {
                leaks.push((format!("between {} and {}", pair[0].component, pair[1].component), None));
            }
        }
        for piece in chain {
            if shape::covered(&piece.graft).len() > 1 {
                leaks.push((format!("stretch without fabric of {}", piece.component), None));
            }
            for tunnel in &piece.graft.tunnels {
                let name = format!("mouth of {} for the {}", tunnel.id, tunnel.serves);
                match self.bridged(&piece.component, &tunnel.id, done) {
                    Ok(true) => {}
                    Ok(false) => leaks.push((name, None)),
                    Err(Unknown(why)) => leaks.push((name, Some(why))),
                }
            }
            for opening in self.plan.fabric.openings.iter() {
                if opening.component != piece.component
                    || Some(opening.possibility) != possibility
                    || is_bridged(&self.plan.case, &opening.id) && done(&opening.id)
                {
                    continue;
                }
                let name = format!("edge of {} for the {}", opening.id, opening.serves);
                match opening.wall_distance_mm.get() {
                    Ok(mm) if *mm < CONTACT_MM => {}
                    Ok(_) => leaks.push((name, None)),
                    Err(Unknown(why)) => leaks.push((name, Some(why))),
                }
            }
        }
        leaks
    }

    /// Whether a mouth is joined to its vessel by a stent that holds.
    fn bridged(&self, component: &str, tunnel: &str, done: &dyn Fn(&str) -> bool) -> Result<bool, Unknown> {
        if !done(tunnel) {
            return Ok(false);
        }
        let order = self.plan.stents.iter().find(|s| s.tunnel == tunnel && s.component == component);
        match order.map(|order| (&order.choice, &order.length_mm)) {
            Some((Choice::One { .. } | Choice::Two { .. }, _)) => Ok(true),
            Some((Choice::NoStock, Ok([least, most]))) => Ok(least <= most),
            Some((Choice::NoStock, Err(why))) => Err(why.clone()),
            Some((Choice::Unknown(why), _)) => Err(Unknown(why.clone())),
            Some((Choice::None(_), _)) | None => Ok(false),
        }
    }

    /// Pieces whose fabric covers something whole.
    fn covering(&self, at: &str, placed: &[&PlacedGraft], possibility: Option<Possibility>) -> Vec<String> {
        let whole = |s: &&SpaceResult| s.at == at && s.covered_share.value().is_some_and(|share| *share > 1.0 - 1e-9);
        let covers = |graft: &&&PlacedGraft| {
            let lie = possibility.and_then(|possibility| graft.lie_in(possibility)).map(|lie| lie.possibility);
            let mut own = self.plan.fabric.spaces.iter().filter(whole);
            own.any(|s| s.component.as_ref() == Some(&graft.component) && s.possibility == lie)
        };
        placed.iter().filter(covers).map(|graft| graft.component.clone()).collect()
    }

    fn outside(
        &self,
        at: &str,
        site: Site,
        station_mm: f64,
        placed: &[&PlacedGraft],
        possibility: Option<Possibility>,
        space_of: &dyn Fn(&str) -> Option<usize>,
    ) -> Outside {
        let (mut part, mut whole, mut doubt, mut shut) = (None, None, None, false);
        for graft in placed {
            let Some(lie) = possibility.and_then(|possibility| graft.lie_in(possibility)) else { continue };
            let space = space_of(&graft.component);
            match self.under(at, site, station_mm, graft, lie) {
                Under::No => {}
                Under::Part { touching } => part = Some((space, touching)),
                Under::Whole { touching } => {
                    whole = space;
                    shut |= touching;
                }
                Under::Unknown(why) => doubt = Some((space, why)),
            }
        }
        match (shut, whole, doubt, part) {
            (true, ..) => Outside::Shut,
            (_, Some(space), ..) => Outside::Space(space),
            (_, _, Some((space, why)), _) => Outside::Unknown(space, why),
            (_, _, _, Some((Some(space), false))) => Outside::Both(space),
            _ => Outside::Blood,
        }
    }

    fn under(&self, at: &str, site: Site, station_mm: f64, graft: &PlacedGraft, lie: &GraftLie) -> Under {
        let own = |s: &&SpaceResult| {
            s.at == at
                && s.site == site
                && s.component.as_ref() == Some(&graft.component)
                && s.possibility == Some(lie.possibility)
        };
        let found = self.plan.fabric.spaces.iter().find(own);
        if let Some((space, share)) = found.and_then(|s| Some((s, *s.covered_share.value()?))) {
            let touching = space.mean_mm.value().is_some_and(|mm| *mm < CONTACT_MM);
            return match share {
                share if share > 1.0 - 1e-9 => Under::Whole { touching },
                share if share > 1e-9 => Under::Part { touching },
                _ => Under::No,
            };
        }
        // No place on the wall: its station tells where that suffices.
        let ends = (lie.places().first(), lie.places().last());
        match ends {
            (Some(first), Some(last)) if station_mm < first.1 - ASKEW_MM || station_mm > last.1 + ASKEW_MM => Under::No,
            (Some(_), Some(_)) if found.is_none() && self.known_place(at) => Under::No,
            _ => Under::Unknown(found.and_then(|s| s.covered_share.why()).unwrap_or(words::NO_WALL_PLACE).into()),
        }
    }

    fn known_place(&self, at: &str) -> bool {
        self.plan.fabric.footprints.iter().any(|print| print.id == at && print.centre.is_ok())
    }

    fn run(
        &self,
        vessel: &VesselInput,
        placed: &[&PlacedGraft],
        possibility: Option<Possibility>,
        space_of: &dyn Fn(&str) -> Option<usize>,
        done: &dyn Fn(&str) -> bool,
    ) -> Run {
        let case = &self.plan.case;
        let parent = case.anatomy.vessels.iter().position(|v| v.id == vessel.from);
        let origin = match (parent, self.anatomy.ostia.iter().find(|o| o.id == vessel.from)) {
            (Some(parent), _) => Origin::Vessel(parent, vessel.at_mm),
            (None, Some(ostium)) => Origin::Wall {
                outside: self.outside(&ostium.id, Site::Ostium, ostium.place.station_mm, placed, possibility, space_of),
                from_true: vessel.fed_from != Some(FedFrom::FalseLumen),
                from_false: matches!(vessel.fed_from, Some(FedFrom::FalseLumen | FedFrom::Both)),
            },
            (None, None) => Origin::Wall {
                outside: Outside::Unknown(None, words::no_place(&vessel.id)),
                from_true: true,
                from_false: false,
            },
        };
        let mut run =
            Run { id: vessel.id.clone(), origin, stent: None, blocks: Vec::new(), replaced: None, doubt: None };
        for graft in placed {
            for tunnel in graft.graft.tunnels.iter().filter(|t| t.serves == vessel.id) {
                let least = case.stock.as_ref().and_then(|stock| stock.least_landing_mm);
                match (self.bridged(&graft.component, &tunnel.id, done), vessel::landing(case, &vessel.id, least)) {
                    (Ok(true), Ok(landing)) => run.stent = Some((tunnel.id.clone(), landing.nearest_mm)),
                    (Ok(true), Err(why)) | (Err(why), _) => run.doubt = Some(why.0),
                    (Ok(false), _) => {}
                }
            }
        }
        let plugs = case.components.iter().filter(|c| c.kind == ComponentKind::Plug && done(&c.id));
        for plug in plugs.filter(|c| c.in_vessel.as_deref() == Some(&vessel.id)) {
            match plugged(plug, vessel) {
                Ok((from, to)) => run.blocks.push((plug.id.clone(), from, to)),
                Err(why) => run.doubt = Some(why),
            }
        }
        for bypass in case.anatomy.bypasses.iter().filter(|b| b.to == vessel.id && done(&surgery(b))) {
            let own = |w: &Way| w.in_vessel.as_deref() == Some(&vessel.id);
            let opens = matches!(vessel.fed_from, Some(FedFrom::FalseLumen | FedFrom::Both));
            let has_ways = opens || case.anatomy.ways.iter().any(own);
            match (bypass.kind, bypass.at_mm) {
                (BypassKind::Bypass, _) => {}
                (BypassKind::Interposition, Some(at)) => run.replaced = Some((surgery(bypass), at)),
                (_, Some(at)) => run.blocks.push((surgery(bypass), at, at)),
                (_, None) if has_ways => run.doubt = Some(words::no_tie(&surgery(bypass))),
                (BypassKind::Interposition, None) => {}
                (_, None) => run.blocks.push((surgery(bypass), 0.0, 0.0)),
            }
        }
        run
    }
}

/// What lies in a vessel on the whole of a stretch.
fn in_vessel(run: &Run, from: f64, to: f64) -> Vec<String> {
    let stent = run.stent.iter().filter(|stent| stent.1 >= to - 1e-9).map(|stent| stent.0.clone());
    let blocks = run.blocks.iter().filter(|b| b.1 <= from + 1e-9 && b.2 >= to - 1e-9).map(|b| b.0.clone());
    let replaced = run.replaced.iter().filter(|replaced| replaced.1 <= from + 1e-9).map(|replaced| replaced.0.clone());
    stent.chain(blocks).chain(replaced).collect()
}

/// From where to where a plug fills its vessel, mm from the wall.
fn plugged(plug: &Component, vessel: &VesselInput) -> Result<(f64, f64), String> {
    let (Some(at), Some(length), Some(width)) = (plug.at_mm, plug.length_mm, plug.diameter_mm) else {
        return Err(words::plug_unknown(&plug.id));
    };
    let [_, widest] = vessel::diameters(vessel, at, at + length).map_err(|why| why.0)?;
    if width < widest {
        return Err(words::plug_narrow(&plug.id, width, widest));
    }
    Ok((at, at + length))
}

/// Pieces that follow each other with an overlap, in the order of the aorta.
fn chains<'a>(placed: &[&'a PlacedGraft], possibility: Option<Possibility>) -> Vec<Vec<&'a PlacedGraft>> {
    let Some(possibility) = possibility else { return Vec::new() };
    let ends = |graft: &'a PlacedGraft| {
        let lie = graft.lie_in(possibility)?;
        Some((lie.places().first()?.1, lie.places().last()?.1, graft))
    };
    let mut order: Vec<(f64, f64, &PlacedGraft)> = placed.iter().filter_map(|graft| ends(graft)).collect();
    order.sort_by(|a, b| a.0.total_cmp(&b.0));
    let mut chains: Vec<(f64, Vec<&PlacedGraft>)> = Vec::new();
    for (from, to, graft) in order {
        match chains.last_mut().filter(|(end, _)| from < *end) {
            Some((end, chain)) => {
                *end = end.max(to);
                chain.push(graft);
            }
            None => chains.push((to, vec![graft])),
        }
    }
    chains.into_iter().map(|(_, chain)| chain).collect()
}

/// Whether an end of a piece (0 proximal, 1 distal) touches the wall all round over a least length.
fn seals_at(
    placed: &PlacedGraft,
    lie: &GraftLie,
    anatomy: &Anatomy,
    end: usize,
    least_mm: f64,
) -> Result<bool, Unknown> {
    let graft = &placed.graft;
    let (covered, seals) = (shape::covered(graft), shape::seals(graft));
    let Some((first, last)) = covered.first().zip(covered.last()) else { return Ok(false) };
    let deepest = graft.scallops.iter().map(|scallop| scallop.depth_mm).fold(0.0, f64::max);
    let seal = match end {
        0 => seals.first().filter(|seal| seal.0 <= first.0 + 1e-6).map(|seal| (seal.0.max(deepest), seal.1)),
        _ => seals.last().filter(|seal| seal.1 >= last.1 - 1e-6).copied(),
    };
    let Some((from, to)) = seal.filter(|seal| seal.1 > seal.0) else { return Ok(false) };
    let wall = anatomy.wall()?;
    let step = ((to - from) / ALONG).max(1.0);
    let steps = ((to - from) / step).floor() as usize;
    let (mut rings, mut doubt) = (0, None);
    // From the edge inward, so that the end itself decides first.
    for k in 0..=steps {
        let u = if end == 0 { from + step * k as f64 } else { to - step * k as f64 };
        let touches = lie.station_mm(u).and_then(|station| {
            for direction in 0..AROUND {
                let clock = Angle::deg(360.0 * direction as f64 / AROUND as f64);
                let point = wall.point(station, clock)?;
                if over(&point, station, graft, lie)?.space_mm >= CONTACT_MM {
                    return Ok(false);
                }
            }
            Ok(true)
        });
        match touches {
            Ok(true) => rings += 1,
            Ok(false) => rings = 0,
            Err(why) => (rings, doubt) = (0, Some(why)),
        }
        if rings > 0 && step * f64::from(rings - 1) >= least_mm - 1e-9 {
            return Ok(true);
        }
    }
    doubt.map_or(Ok(false), Err)
}
