//! Measures of tunnels against their ostia, and of what joins them.

use super::{Measure, Part, Reading, Scope, Subject, unknown};
use crate::casefile::case::{Rule, Tunnel};
use crate::message;
use crate::placement::space::SpaceResult;
use crate::placement::tunnel::TunnelResult;
use crate::quantity::{Quantity, Unknown};

/// What a bridging path is computed from.
const PATH_NEEDS: &[&str] = &["centreline", "lumen", "ostium", "clock", "takeoff", "graft", "placement"];

/// These measures.
pub const MEASURES: &[Measure] = &[
    Measure {
        id: "tunnel.edge_clearance_mm",
        hangs_on: Part::Tunnels,
        unit: "mm",
        name: "Edge clearance",
        sentence: "Clearance from the tunnel's mouth to its ostium, edge to edge, along the wall at the ostium's clock",
        needs: &["centreline", "lumen", "ostium", "clock", "graft", "placement"],
        nothing: message::NO_TUNNEL,
        subjects: tunnel_subjects,
        read: |scope, _, of| tunnel_readings(scope, of, |t| t.edge_clearance_mm.clone()),
    },
    Measure {
        id: "tunnel.clock_error_deg",
        hangs_on: Part::Tunnels,
        unit: "deg",
        name: "Clock error",
        sentence: "Turn between the tunnel's mouth and its ostium, without sign",
        needs: &["centreline", "ostium", "clock", "graft", "placement"],
        nothing: message::NO_TUNNEL,
        subjects: tunnel_subjects,
        read: |scope, _, of| tunnel_readings(scope, of, |t| t.clock_error.map(|a| a.abs().to_deg())),
    },
    Measure {
        id: "tunnel.space_at_mouth_mm",
        hangs_on: Part::Tunnels,
        unit: "mm",
        name: "Space at the mouth",
        sentence: "Space from the tunnel's mouth straight out to the wall, for a sheath",
        needs: &["centreline", "lumen", "clock", "graft", "placement"],
        nothing: message::NO_TUNNEL,
        subjects: tunnel_subjects,
        read: |scope, _, of| tunnel_readings(scope, of, |t| t.space_mm.clone()),
    },
    Measure {
        id: "tunnel.space_at_ostium_mm",
        hangs_on: Part::Fabric,
        unit: "mm",
        name: "Space at the ostium",
        sentence: "Space between fabric and wall at the centre of the tunnel's ostium, for a sheath",
        needs: &["centreline", "lumen", "ostium", "clock", "graft", "placement"],
        nothing: message::NO_TUNNEL,
        subjects: tunnel_subjects,
        read: space_at_ostium,
    },
    Measure {
        id: "tunnel.bend_over_limit_mm",
        hangs_on: Part::Paths,
        unit: "mm",
        name: "Bend over limit",
        sentence: "Least radius of the bridging path less the least to which the stents at hand may be bent",
        needs: PATH_NEEDS,
        nothing: message::NO_TUNNEL,
        subjects: tunnel_subjects,
        read: |scope, _, of| {
            let limit = scope.case.stock.as_ref().and_then(|stock| stock.least_bend_radius_mm);
            tunnel_readings(scope, of, |t| match limit {
                Some(limit) => t.path.least_radius_mm.map(|mm| mm - limit),
                None => Quantity::unknown(message::NO_BEND_LIMIT),
            })
        },
    },
    Measure {
        id: "tunnel.path_least_radius_mm",
        hangs_on: Part::Paths,
        unit: "mm",
        name: "Bend of the path",
        sentence: "Least radius of the bridging path from the tunnel's mouth into its vessel",
        needs: PATH_NEEDS,
        nothing: message::NO_TUNNEL,
        subjects: tunnel_subjects,
        read: |scope, _, of| tunnel_readings(scope, of, |t| t.path.least_radius_mm.clone()),
    },
    Measure {
        id: "tunnel.path_length_mm",
        hangs_on: Part::Paths,
        unit: "mm",
        name: "Length of the path",
        sentence: "Length of the bridging path from the tunnel's mouth to its ostium",
        needs: PATH_NEEDS,
        nothing: message::NO_TUNNEL,
        subjects: tunnel_subjects,
        read: |scope, _, of| tunnel_readings(scope, of, |t| t.path.length_mm.clone()),
    },
    Measure {
        id: "tunnel.path_turn_deg",
        hangs_on: Part::Paths,
        unit: "deg",
        name: "Turn of the path",
        sentence: "All turning of the bridging path added up",
        needs: PATH_NEEDS,
        nothing: message::NO_TUNNEL,
        subjects: tunnel_subjects,
        read: |scope, _, of| tunnel_readings(scope, of, |t| t.path.turn.map(|a| a.to_deg())),
    },
    Measure {
        id: "tunnel.stent_spare_mm",
        hangs_on: Part::Paths,
        unit: "mm",
        name: "Spare stent length",
        sentence: "Longest less shortest bridging stent that serves every way the graft may lie, within the error",
        needs: PATH_NEEDS,
        nothing: message::NO_TUNNEL,
        subjects: tunnel_subjects,
        read: |scope, _, of| stent_spare(scope, of),
    },
];

fn tunnel_subjects(scope: &Scope<'_>) -> Vec<Subject> {
    let grafts = scope.case.components.iter().filter_map(|c| c.graft.as_deref());
    let of = |t: &Tunnel| Subject { id: t.id.clone(), flow: Some(t.flow), kind: None };
    grafts.flat_map(|g| g.tunnels.iter().map(of)).collect()
}

fn tunnel_readings(scope: &Scope<'_>, of: &Subject, pick: impl Fn(&TunnelResult) -> Quantity) -> Vec<Reading> {
    if let Err(why) = scope.anatomy() {
        return unknown(why);
    }
    let readings: Vec<Reading> = scope
        .tunnels
        .iter()
        .filter(|t| t.id == of.id)
        .map(|t| Reading { possibility: Some(t.possibility), value: pick(t), doubt: None })
        .collect();
    if readings.is_empty() { unknown(Unknown::because(message::NOT_PLACED)) } else { readings }
}

fn space_at_ostium(scope: &Scope<'_>, _: &Rule, of: &Subject) -> Vec<Reading> {
    let read = || -> Result<Vec<Reading>, Unknown> {
        let anatomy = scope.anatomy()?;
        let tunnel = scope.tunnels.iter().find(|t| t.id == of.id).ok_or(Unknown::because(message::NOT_PLACED))?;
        let ostium = anatomy.ostium_of(&tunnel.serves).ok_or(Unknown::because(message::NO_OSTIUM))?;
        let own = |s: &&SpaceResult| s.at == ostium.id && s.component.as_ref().is_none_or(|c| *c == tunnel.component);
        let reading = |s: &SpaceResult| Reading { possibility: s.possibility, value: s.centre_mm.clone(), doubt: None };
        Ok(scope.fabric.spaces.iter().filter(own).map(reading).collect())
    };
    read().unwrap_or_else(unknown)
}

/// The error of the CT is in the two lengths already.
fn stent_spare(scope: &Scope<'_>, of: &Subject) -> Vec<Reading> {
    let read = || -> Result<f64, Unknown> {
        scope.anatomy()?;
        let order = scope.stents.iter().find(|s| s.tunnel == of.id).ok_or(Unknown::because(message::NOT_PLACED))?;
        let [least, most] = order.length_mm.clone()?;
        Ok(most - least)
    };
    vec![Reading { possibility: None, value: read().into(), doubt: None }]
}
