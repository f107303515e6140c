//! The bridging stent to order for a tunnel, over every possibility and the error of the CT.
//!
//! A stent reaches from inside the tunnel, along the path, onto healthy wall of the vessel. It holds
//! if its overlap with the tunnel is at least the least overlap and at most the tunnel's body, and if
//! it ends between the end of the least landing and the nearest branch. Where it is released within
//! these bounds is decided on the table, so a length serves a possibility whose path is p if it lies
//! between overlap + p + nearest end and body + p + farthest end. It must serve the longest path
//! with its error and the shortest with its error. One diameter must fit both ends; where none does,
//! or no length at hand serves, two stents that overlap are sought.

use super::path::TunnelPath;
use super::vessel::{self, Landing};
use crate::casefile::case::{Case, Stock, Tunnel};
use crate::message;
use crate::quantity::{Quantity, Unknown};

/// Least overlap of stent and tunnel, mm: common practice, no source.
pub const OVERLAP_MM: f64 = 15.0;
/// Least overlap of two stents, mm: common practice, no source.
pub const STENTS_OVERLAP_MM: f64 = 20.0;
/// A stent is wider than its tunnel by this share, least and most: common practice, no source.
pub const TUNNEL_OVERSIZE: [f64; 2] = [0.0, 0.25];
/// A stent is wider than its vessel by this share, least and most: common practice, no source.
pub const VESSEL_OVERSIZE: [f64; 2] = [0.05, 0.25];
/// What these limits are marked with.
pub const SOURCE: &str = message::COMMON_PRACTICE;

/// Sizes this near count as equal, mm.
const SAME_MM: f64 = 1e-9;

/// The stent to order for one tunnel.
#[derive(Clone, Debug, PartialEq)]
pub struct StentOrder {
    /// The tunnel's id.
    pub tunnel: String,
    /// The component's id.
    pub component: String,
    /// Id of the vessel.
    pub serves: String,
    /// Shortest and longest stent that serves every possibility within the error, mm; the first is
    /// the larger where none does.
    pub length_mm: Result<[f64; 2], Unknown>,
    /// What a path of its own length needs beside it at least, mm: overlap, and the way to the end of
    /// the least landing.
    pub beside_path_mm: Option<f64>,
    /// Narrowest and widest stent that fits the tunnel, mm.
    pub in_tunnel_mm: Result<[f64; 2], Unknown>,
    /// Narrowest and widest stent that fits the vessel over the landing, mm.
    pub in_vessel_mm: Result<[f64; 2], Unknown>,
    /// What to order.
    pub choice: Choice,
}

/// A size of the stock with its neighbours there.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Sized {
    /// The size, mm.
    pub mm: f64,
    /// Next smaller.
    pub down_mm: Option<f64>,
    /// Next larger.
    pub up_mm: Option<f64>,
}

/// What to order.
#[derive(Clone, Debug, PartialEq)]
pub enum Choice {
    /// One stent: the shortest and narrowest that serves.
    One {
        /// Its length.
        length: Sized,
        /// Its diameter.
        diameter: Sized,
    },
    /// Two that overlap, the one in the tunnel first.
    Two {
        /// Their lengths, mm.
        length_mm: [f64; 2],
        /// Their diameters, mm.
        diameter_mm: [f64; 2],
    },
    /// What is needed is known, but no stock was entered.
    NoStock,
    /// None, with the reason.
    None(String),
    /// Something needed is not known.
    Unknown(String),
}

/// The stent for a tunnel whose paths, one for each possibility, are given.
pub fn order<'a>(
    case: &Case,
    component: &str,
    tunnel: &Tunnel,
    paths: impl Iterator<Item = &'a TunnelPath>,
) -> StentOrder {
    let stock = case.stock.as_ref();
    let overlap_mm = stock.and_then(|s| s.least_overlap_mm).unwrap_or(OVERLAP_MM);
    let landing = vessel::landing(case, &tunnel.serves, stock.and_then(|s| s.least_landing_mm));
    let body_mm = tunnel.length_mm.ok_or(Unknown::because(message::NO_TUNNEL_LENGTH));
    let in_tunnel_mm = match tunnel.diameter_mm {
        Some(mm) => Ok(TUNNEL_OVERSIZE.map(|share| mm * (1.0 + share))),
        None => Err(Unknown::because(message::NO_TUNNEL_DIAMETER)),
    };
    let in_vessel_mm = landing.as_ref().map_err(Clone::clone).and_then(|landing| {
        let [least, most] = landing.diameters_mm.clone()?;
        Ok([most * (1.0 + VESSEL_OVERSIZE[0]), least * (1.0 + VESSEL_OVERSIZE[1])])
    });
    let ends = landing.and_then(|landing| Ok(Ends { overlap_mm, body_mm: body_mm?, landing, case }));
    let paths: Vec<&TunnelPath> = paths.collect();
    let length_mm = ends.as_ref().map_err(Clone::clone).and_then(|ends| ends.lengths(&paths));
    let mut order = StentOrder {
        tunnel: tunnel.id.clone(),
        component: component.into(),
        serves: tunnel.serves.clone(),
        beside_path_mm: ends.as_ref().ok().map(|ends| ends.overlap_mm + ends.landing.nearest_mm),
        length_mm,
        in_tunnel_mm,
        in_vessel_mm,
        choice: Choice::NoStock,
    };
    // What cannot be bridged in one way of lying is not bridged.
    let obstacle = paths.iter().find_map(|path| path.none).map(|none| none.why().to_string());
    order.choice = match obstacle.or(ends.as_ref().ok().and_then(Ends::obstacle)) {
        Some(why) => Choice::None(why),
        None => order.choose(stock).unwrap_or_else(|Unknown(why)| Choice::Unknown(why)),
    };
    order
}

/// What holds a stent at its two ends.
struct Ends<'a> {
    overlap_mm: f64,
    body_mm: f64,
    landing: Landing,
    case: &'a Case,
}

impl Ends<'_> {
    /// Why no stent at all could hold.
    fn obstacle(&self) -> Option<String> {
        let Landing { from_mm, nearest_mm, farthest_mm, farthest_is, .. } = self.landing;
        if self.body_mm < self.overlap_mm - SAME_MM {
            return Some(message::tunnel_too_short(self.body_mm, self.overlap_mm));
        }
        let landing_mm = nearest_mm - from_mm;
        (nearest_mm > farthest_mm + SAME_MM)
            .then(|| message::landing_too_short(farthest_mm, farthest_is, landing_mm, nearest_mm))
    }

    /// Shortest and longest stent over the paths, each bound with the error of its path and of the
    /// place in the vessel that it runs to.
    fn lengths(&self, paths: &[&TunnelPath]) -> Result<[f64; 2], Unknown> {
        let mut bounds = [0.0, f64::INFINITY];
        for path in paths {
            let (value, error) = match &path.length_mm {
                Quantity::Known { value, error, .. } => (*value, *error),
                Quantity::Unknown { why } => return Err(Unknown(why.clone())),
            };
            let error = error.hypot(self.case.errors.station_sd_mm);
            bounds[0] = bounds[0].max(self.overlap_mm + value + self.landing.nearest_mm + error);
            bounds[1] = bounds[1].min(self.body_mm + value + self.landing.farthest_mm - error);
        }
        if paths.is_empty() { Err(Unknown::because(message::NOT_PLACED)) } else { Ok(bounds) }
    }
}

impl StentOrder {
    /// Narrowest and widest single stent that fits both ends; the first is the larger where none does.
    ///
    /// # Errors
    /// Unknown where a diameter is.
    pub fn diameter_mm(&self) -> Result<[f64; 2], Unknown> {
        let tunnel = self.in_tunnel_mm.as_ref().map_err(Clone::clone)?;
        let vessel = self.in_vessel_mm.as_ref().map_err(Clone::clone)?;
        Ok([tunnel[0].max(vessel[0]), tunnel[1].min(vessel[1])])
    }

    fn choose(&self, stock: Option<&Stock>) -> Result<Choice, Unknown> {
        let length = *self.length_mm.as_ref().map_err(Clone::clone)?;
        let diameter = self.diameter_mm()?;
        let (tunnel, vessel) = (self.in_tunnel_mm.clone()?, self.in_vessel_mm.clone()?);
        let stock = stock.filter(|s| !s.stent_lengths_mm.is_empty() && !s.stent_diameters_mm.is_empty());
        let Some(stock) = stock else { return Ok(Choice::NoStock) };
        let (lengths, diameters) = (sizes(&stock.stent_lengths_mm), sizes(&stock.stent_diameters_mm));
        if let (Some(length), Some(diameter)) = (pick(&lengths, length), pick(&diameters, diameter)) {
            return Ok(Choice::One { length, diameter });
        }
        if let (Some(pair), Some(near), Some(far)) =
            (two(&lengths, length), pick(&diameters, tunnel), pick(&diameters, vessel))
        {
            let own = pick(&diameters, diameter);
            let diameter_mm = own.map_or([near.mm, far.mm], |both| [both.mm, both.mm]);
            return Ok(Choice::Two { length_mm: pair, diameter_mm });
        }
        Ok(Choice::None(if length[0] > length[1] {
            message::no_length_serves(length[0], length[1])
        } else if diameter[0] > diameter[1] {
            message::no_diameter_serves(tunnel, vessel)
        } else {
            message::not_in_stock(length, diameter)
        }))
    }
}

/// The sizes at hand, growing, each once.
fn sizes(list: &[f64]) -> Vec<f64> {
    let mut sizes = list.to_vec();
    sizes.sort_by(f64::total_cmp);
    sizes.dedup();
    sizes
}

/// The smallest size within a range, with its neighbours.
fn pick(sizes: &[f64], [from, to]: [f64; 2]) -> Option<Sized> {
    let i = sizes.iter().position(|mm| *mm >= from - SAME_MM && *mm <= to + SAME_MM)?;
    Some(Sized { mm: sizes[i], down_mm: i.checked_sub(1).map(|i| sizes[i]), up_mm: sizes.get(i + 1).copied() })
}

/// Two lengths that overlap: together they reach the longest path, and neither is too long for the
/// shortest. The pair that leaves the least over, the longer in the tunnel.
fn two(sizes: &[f64], [least, most]: [f64; 2]) -> Option<[f64; 2]> {
    let mut best: Option<[f64; 2]> = None;
    for (i, long) in sizes.iter().enumerate() {
        for short in &sizes[..=i] {
            let reach = long + short - STENTS_OVERLAP_MM;
            let holds = *short > STENTS_OVERLAP_MM && *long <= most + SAME_MM && reach >= least - SAME_MM;
            if holds && best.is_none_or(|[a, b]| long + short < a + b - SAME_MM) {
                best = Some([*long, *short]);
            }
        }
    }
    best
}
