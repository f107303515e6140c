//! A tunnel's mouth against its ostium: clearance, clock error, straight distance.
//!
//! `offset` is the length of wall from mouth to ostium at the ostium's clock, + where the mouth lies
//! upstream. Clearance is + offset for an antegrade tunnel and − offset for a retrograde one, whose
//! mouth must lie downstream. Errors are one standard deviation from the CT's errors alone: where the
//! graft lands belongs to the room of the placement, not here.

use crate::anatomy::Anatomy;
use crate::anatomy::openings::Ostium;
use crate::bridging::path::{self, NoPath, TunnelPath};
use crate::casefile::case::{Flow, Tunnel};
use crate::graft::lie::{FabricPoint, GraftLie, PlacedGraft, Possibility};
use crate::message;
use crate::quantity::{Quantity, Unknown};
use crate::units::Angle;
use serde::Serialize;

/// Where a tunnel's mouth lies: its point on the fabric.
pub type Mouth = FabricPoint;

/// What can be said of a tunnel in a word.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum TunnelState {
    /// The mouth lies on the side of its ostium that its tunnel needs.
    Ok,
    /// The mouth lies on the wrong side of its ostium.
    WrongSide,
    /// The mouth lies on the right side, but only a loop would join the two.
    WouldLoop,
    /// The mouth lies on its ostium: there is no room for a path.
    NoPath,
    /// Something needed is not known.
    Unknown,
}

/// A tunnel against its ostium in one possibility.
#[derive(Clone, Debug)]
pub struct TunnelResult {
    /// The tunnel's id.
    pub id: String,
    /// The component's id.
    pub component: String,
    /// Id of the vessel it serves.
    pub serves: String,
    /// Direction of its blood.
    pub flow: Flow,
    /// Which possibility.
    pub possibility: Possibility,
    /// Where the mouth lies.
    pub mouth: Quantity<Mouth>,
    /// Length of wall from mouth to ostium, + = mouth upstream, mm.
    pub offset_mm: Quantity,
    /// Clearance along the wall, centre to centre, mm.
    pub clearance_mm: Quantity,
    /// Clearance along the wall, edge to edge, mm.
    pub edge_clearance_mm: Quantity,
    /// Clearance along the centreline, centre to centre, mm.
    pub clearance_centreline_mm: Quantity,
    /// Mouth's clock less the ostium's; its error is in degrees.
    pub clock_error: Quantity<Angle>,
    /// The same as a length of wall around, at the ostium, mm.
    pub clock_error_wall_mm: Quantity,
    /// Straight from mouth to ostium, mm.
    pub straight_mm: Quantity,
    /// The bridging path from mouth to ostium; there is none on the wrong side.
    pub path: TunnelPath,
    /// From the mouth out to the wall, for a sheath to turn in, mm.
    pub space_mm: Quantity,
    /// In a word.
    pub state: TunnelState,
}

/// Whether bridging paths are looked for: they cost more than all the rest.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Paths {
    /// They are.
    Found,
    /// They are left unknown.
    Left,
}

/// Every tunnel of a placed graft in every possibility: tunnel by tunnel, possibilities in order.
/// `diameter_sd_mm` is the error of a diameter.
pub fn tunnels(placed: &PlacedGraft, anatomy: &Anatomy, diameter_sd_mm: f64, paths: Paths) -> Vec<TunnelResult> {
    some(placed, anatomy, diameter_sd_mm, paths, None)
}

/// The same of one tunnel alone, where only that is wanted.
pub(crate) fn some(
    placed: &PlacedGraft,
    anatomy: &Anatomy,
    diameter_sd_mm: f64,
    paths: Paths,
    only: Option<&str>,
) -> Vec<TunnelResult> {
    let mut results = Vec::new();
    for tunnel in placed.graft.tunnels.iter().filter(|tunnel| only.is_none_or(|id| tunnel.id == id)) {
        for lie in &placed.lies {
            let ostium = anatomy.ostium_of(&tunnel.serves).ok_or(Unknown::because(message::NO_OSTIUM));
            results.push(one(&Against { tunnel, placed, lie, anatomy, ostium, diameter_sd_mm }, paths));
        }
    }
    results
}

fn one(against: &Against<'_>, paths: Paths) -> TunnelResult {
    let Against { tunnel, placed, lie, .. } = against;
    let mouth: Quantity<Mouth> = against.mouth().into();
    let sign = match tunnel.flow {
        Flow::Antegrade => 1.0,
        Flow::Retrograde => -1.0,
    };
    let offset = quantity(against.offset(&mouth));
    let clearance = offset.map(|mm| sign * mm);
    let state = match clearance.value() {
        None => TunnelState::Unknown,
        Some(mm) if *mm < 0.0 => TunnelState::WrongSide,
        Some(_) => TunnelState::Ok,
    };
    let path = match paths {
        Paths::Found => against.path(&clearance, &mouth, state),
        Paths::Left => Err(Unknown::because(message::PATH_LEFT)),
    };
    let path = path.unwrap_or_else(TunnelPath::unknown);
    let state = match (state, path.none) {
        (TunnelState::Ok, Some(NoPath::WouldLoop)) => TunnelState::WouldLoop,
        (TunnelState::Ok, Some(NoPath::NoRoom)) => TunnelState::NoPath,
        (state, _) => state,
    };
    TunnelResult {
        id: tunnel.id.clone(),
        component: placed.component.clone(),
        serves: tunnel.serves.clone(),
        flow: tunnel.flow,
        possibility: lie.possibility,
        edge_clearance_mm: quantity(against.edges(&clearance)),
        clearance_centreline_mm: quantity(against.centreline(&mouth, sign)),
        clock_error: quantity(against.clock_error(&mouth)),
        clock_error_wall_mm: quantity(against.clock_error_wall(&mouth)),
        straight_mm: quantity(against.straight(&mouth)),
        space_mm: quantity(against.space(&mouth)),
        mouth,
        offset_mm: offset,
        clearance_mm: clearance,
        path,
        state,
    }
}

fn quantity<T>(result: Result<Quantity<T>, Unknown>) -> Quantity<T> {
    result.unwrap_or_else(|Unknown(why)| Quantity::Unknown { why })
}

struct Against<'a> {
    tunnel: &'a Tunnel,
    placed: &'a PlacedGraft,
    lie: &'a GraftLie,
    anatomy: &'a Anatomy,
    ostium: Result<&'a Ostium, Unknown>,
    diameter_sd_mm: f64,
}

impl Against<'_> {
    fn ostium(&self) -> Result<&Ostium, Unknown> {
        self.ostium.as_ref().map(|o| *o).map_err(Clone::clone)
    }

    fn mouth(&self) -> Result<Mouth, Unknown> {
        let on_graft = Angle::deg(self.tunnel.mouth_clock_deg);
        self.lie.fabric(&self.placed.graft, self.tunnel.mouth_u_mm, on_graft, self.anatomy)
    }

    fn offset(&self, mouth: &Quantity<Mouth>) -> Result<Quantity, Unknown> {
        let place = &self.ostium()?.place;
        let line = place.line.as_ref().map_err(Clone::clone)?;
        let wall = self.anatomy.wall()?;
        let offset = wall.between(line, mouth.get()?.station_mm, place.station_mm)?;
        // One typed position, the ostium's; a millimetre of station is this much wall there.
        let scale = wall.scale(place.station_mm, line.clock)?;
        Ok(Quantity::known(offset, place.station_sd_mm * scale))
    }

    fn edges(&self, clearance: &Quantity) -> Result<Quantity, Unknown> {
        let mouth = self.tunnel.mouth_along_mm.ok_or(Unknown::because(message::NO_MOUTH_SIZE))?;
        let ostium = *self.ostium()?.along_mm.get()?;
        clearance.get()?;
        Ok(clearance.map(|mm| mm - mouth / 2.0 - ostium / 2.0))
    }

    /// It needs no clock, but a plan whose clock is open shows no clearance at all: the one number
    /// would be read as if the mouth lay on its ostium's side.
    fn centreline(&self, mouth: &Quantity<Mouth>, sign: f64) -> Result<Quantity, Unknown> {
        let place = &self.ostium()?.place;
        place.clock.get()?;
        Ok(Quantity::known(sign * (place.station_mm - mouth.get()?.station_mm), place.station_sd_mm))
    }

    fn clock_error(&self, mouth: &Quantity<Mouth>) -> Result<Quantity<Angle>, Unknown> {
        let clock = &self.ostium()?.place.clock;
        let mouth = mouth.get()?;
        clock.get()?;
        Ok(clock.map(|ostium| (mouth.clock - *ostium).wrapped()))
    }

    fn clock_error_wall(&self, mouth: &Quantity<Mouth>) -> Result<Quantity, Unknown> {
        let error = self.clock_error(mouth)?;
        let angle = *error.get()?;
        let place = &self.ostium()?.place;
        let r = self.anatomy.lumen()?.radius_along(place.station_mm, *place.clock.get()?).0;
        let sd = match error {
            Quantity::Known { error, .. } => Angle::deg(error).arc_mm(r),
            Quantity::Unknown { .. } => 0.0,
        };
        Ok(Quantity::known(angle.arc_mm(r), sd))
    }

    fn path(&self, clearance: &Quantity, mouth: &Quantity<Mouth>, state: TunnelState) -> Result<TunnelPath, Unknown> {
        // A plan whose clearance is not known has not told on which side the mouth lies.
        clearance.get()?;
        if state == TunnelState::WrongSide {
            return Ok(TunnelPath::none(NoPath::WrongSide));
        }
        Ok(path::of_tunnel(self.tunnel, self.lie, mouth.get()?.point, self.anatomy))
    }

    /// Straight out from the mouth's middle to the wall at its station and clock; unknown while the
    /// ostium's clock is, as every number of a plan whose clock is open.
    fn space(&self, mouth: &Quantity<Mouth>) -> Result<Quantity, Unknown> {
        let mouth = mouth.get()?;
        self.ostium()?.place.clock.get()?;
        let wall = self.anatomy.wall()?.point(mouth.station_mm, mouth.clock)?;
        Ok(Quantity::known((wall - mouth.point).norm(), self.diameter_sd_mm / 2.0))
    }

    fn straight(&self, mouth: &Quantity<Mouth>) -> Result<Quantity, Unknown> {
        let place = &self.ostium()?.place;
        let point = place.point.get()?;
        Ok(Quantity::known((mouth.get()?.point - point).norm(), place.station_sd_mm))
    }
}
