//! The bridging path of one tunnel in one possibility: from its mouth to the vessel's ostium.

use super::arcs;
use super::curve::{self, Curve, NoCurve, Shape, Solved};
use crate::anatomy::Anatomy;
use crate::anatomy::entry::Entry;
use crate::casefile::case::{Flow, Tunnel};
use crate::graft::lie::GraftLie;
use crate::message;
use crate::quantity::{Quantity, Unknown};
use crate::units::{Angle, Point3, Pose};
use std::sync::Arc;

/// Why a tunnel has no bridging path although all it needs is known.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum NoPath {
    /// The mouth lies on the wrong side of its ostium.
    WrongSide,
    /// Only a loop would join the two.
    WouldLoop,
    /// The mouth lies on its ostium.
    NoRoom,
}

impl NoPath {
    /// All of them.
    pub const ALL: [NoPath; 3] = [NoPath::WrongSide, NoPath::WouldLoop, NoPath::NoRoom];

    /// The reason as a sentence.
    pub fn why(self) -> &'static str {
        match self {
            NoPath::WrongSide => message::NO_PATH_WRONG_SIDE,
            NoPath::WouldLoop => message::WOULD_LOOP,
            NoPath::NoRoom => message::NO_ROOM_FOR_PATH,
        }
    }
}

/// A tunnel's bridging path. Errors are one standard deviation from those of the ostium's station and
/// clock and of the take-off.
#[derive(Clone, Debug)]
pub struct TunnelPath {
    /// Its points, evenly spaced; empty where there is no path. LPS mm.
    pub points: Arc<[Point3]>,
    /// Why there is none, where all it needs is known.
    pub none: Option<NoPath>,
    /// Length from mouth to ostium, mm.
    pub length_mm: Quantity,
    /// Least radius, mm.
    pub least_radius_mm: Quantity,
    /// All its turning added up; its error is in degrees.
    pub turn: Quantity<Angle>,
    /// The largest least radius that any such path could have, mm, by two arcs that meet; the path's
    /// own where it bends less.
    pub largest_radius_mm: Quantity,
    /// Between the tunnel's direction at the mouth and the take-off; its error is in degrees.
    pub mouth_to_takeoff: Quantity<Angle>,
}

impl TunnelPath {
    /// Unknown, for a reason.
    pub fn unknown(Unknown(why): Unknown) -> Self {
        let no = || Quantity::Unknown { why: why.clone() };
        TunnelPath {
            points: Arc::from([]),
            none: None,
            length_mm: no(),
            least_radius_mm: no(),
            turn: Quantity::Unknown { why: why.clone() },
            largest_radius_mm: no(),
            mouth_to_takeoff: Quantity::Unknown { why },
        }
    }

    /// None, for a reason that is known.
    pub fn none(none: NoPath) -> Self {
        TunnelPath { none: Some(none), ..Self::unknown(Unknown::because(none.why())) }
    }

    /// Between a mouth and the vessel that its tunnel serves.
    pub fn new(mouth: &Pose, entry: &Entry) -> Self {
        let angle =
            mouth.direction.cross(&entry.pose.direction).norm().atan2(mouth.direction.dot(&entry.pose.direction));
        let mouth_to_takeoff = Quantity::known(Angle::rad(angle), entry.takeoff_sd_deg);
        match curve::between(mouth, &entry.pose) {
            Err(NoCurve::WouldLoop) => TunnelPath { mouth_to_takeoff, ..Self::none(NoPath::WouldLoop) },
            Err(NoCurve::NoRoom) => TunnelPath { mouth_to_takeoff, ..Self::none(NoPath::NoRoom) },
            Ok(solved) => Self::found(&solved, mouth, entry, mouth_to_takeoff),
        }
    }

    fn found(solved: &Solved, mouth: &Pose, entry: &Entry, mouth_to_takeoff: Quantity<Angle>) -> Self {
        let Curve { points, shape } = solved.curve();
        let near = entry.off.map(|pose| solved.shape_near(&pose));
        let error = |of: fn(&Shape) -> f64| {
            let squares: f64 = near.iter().map(|n| ((of(n) - of(&shape)) / Entry::SHARE).powi(2)).sum();
            squares.sqrt()
        };
        let least_radius_error = error(|s| s.least_radius_mm);
        // In space a path can bend more evenly than any two arcs: it is then the witness itself.
        let widest = arcs::widest(mouth, &entry.pose).map_or(0.0, |arcs| arcs.radius_mm).max(shape.least_radius_mm);
        TunnelPath {
            points: points.into(),
            none: None,
            length_mm: Quantity::known(shape.length_mm, error(|s| s.length_mm)),
            least_radius_mm: Quantity::known(shape.least_radius_mm, least_radius_error),
            turn: Quantity::known(shape.turn, error(|s| s.turn.to_deg())),
            largest_radius_mm: Quantity::known(widest, least_radius_error),
            mouth_to_takeoff,
        }
    }
}

/// The pose of a tunnel's mouth: its point, and the direction in which blood leaves it,
/// d = cos rise (± cos side t + sin side e_φ) + sin rise e_r, + where it runs downstream.
///
/// # Errors
/// Unknown where the graft there lies beyond the data.
pub fn mouth(tunnel: &Tunnel, lie: &GraftLie, point: Point3) -> Result<Pose, Unknown> {
    let axis = lie.axis(tunnel.mouth_u_mm)?;
    let on_graft = Angle::deg(tunnel.mouth_clock_deg);
    let (rise, side) = (Angle::deg(tunnel.rise_deg), Angle::deg(tunnel.side_deg));
    let ahead = match tunnel.flow {
        Flow::Antegrade => axis.tangent,
        Flow::Retrograde => -axis.tangent,
    };
    let along = ahead * side.cos() + axis.around(on_graft) * side.sin();
    Ok(Pose { point, direction: along * rise.cos() + axis.towards(on_graft) * rise.sin() })
}

/// The path of a tunnel whose mouth lies at a point, on the side of its ostium that it needs.
pub fn of_tunnel(tunnel: &Tunnel, lie: &GraftLie, point: Point3, anatomy: &Anatomy) -> TunnelPath {
    let poses = || -> Result<(Pose, &Entry), Unknown> {
        let vessel = anatomy.vessels.iter().find(|v| v.id == tunnel.serves);
        let entry = vessel.ok_or(Unknown::because(message::NO_OSTIUM))?.entry.as_ref().map_err(Clone::clone)?;
        Ok((mouth(tunnel, lie, point)?, entry))
    };
    match poses() {
        Ok((mouth, entry)) => TunnelPath::new(&mouth, entry),
        Err(unknown) => TunnelPath::unknown(unknown),
    }
}
