//! The anatomy report as plain data: arch type, angles, tortuosity, seals, room upstream. Only names and
//! units change here; no number is computed.

use crate::anatomy::survey::{ArchType, vessel_width};
use crate::anatomy::{Anatomy, survey};
use crate::casefile::case::Line;
use crate::message;
use crate::plan::Plan;
use crate::quantity::{Quantity, Unknown};
use crate::rules::seals::Seal;
use serde::Serialize;

/// The anatomy looked over. No rule hangs on the arch type.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[allow(missing_docs)]
pub struct AnatomyPart {
    pub arch_type_by_widths: ArchTypePart,
    pub arch_type_by_planes: ArchTypePart,
    pub arch_angle_deg: Option<f64>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub arch_angle_why: Option<String>,
    /// Turning of the centreline from the first to the last ostium.
    pub turning_deg: Option<f64>,
    /// From the origin to the last ostium, and from there to the end of the data.
    pub tortuosity_arch: Option<f64>,
    pub tortuosity_descending: Option<f64>,
    pub proximal_length: LengthsPart,
    pub seals: Vec<SealPart>,
    pub room_upstream: Vec<RoomUpstreamPart>,
}

/// An arch type with what it hangs on.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[allow(missing_docs)]
pub struct ArchTypePart {
    #[serde(rename = "type")]
    pub number: Option<u8>,
    pub drop_mm: Option<f64>,
    pub first_mm: Option<f64>,
    pub second_mm: Option<f64>,
    pub source: &'static str,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub why: Option<String>,
}

/// One length on three lines.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[allow(missing_docs)]
pub struct LengthsPart {
    pub inner_mm: Option<f64>,
    pub centre_mm: Option<f64>,
    pub outer_mm: Option<f64>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub why: Option<String>,
}

/// A seal against what it lies on.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[allow(missing_docs)]
pub struct SealPart {
    pub component: String,
    pub end: &'static str,
    pub from_u_mm: f64,
    pub to_u_mm: f64,
    pub wall: Option<&'static str>,
    pub aorta_least_mm: Option<f64>,
    pub aorta_most_mm: Option<f64>,
    pub oversize_least_percent: Option<f64>,
    pub oversize_most_percent: Option<f64>,
    pub oversize_whole_percent: Option<f64>,
    pub serves_from_mm: Option<f64>,
    pub serves_to_mm: Option<f64>,
    pub proposal_mm: Option<f64>,
    pub rule: Option<String>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub why: Option<String>,
}

/// How far the edge may go upstream before it covers a point to keep clear.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[allow(missing_docs)]
pub struct RoomUpstreamPart {
    pub id: String,
    pub mm: Option<f64>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub why: Option<String>,
}

/// The anatomy report of a plan.
pub fn anatomy(plan: &Plan, own: &Anatomy) -> AnatomyPart {
    let widths = own.type_by_widths(vessel_width(&plan.case, "LCCA"));
    let angle = own.origin().and_then(|()| own.arch_angle());
    let arch = survey::arch_stretch(own);
    let end = own.course.line().range_mm().1;
    AnatomyPart {
        arch_type_by_widths: arch_type(
            &widths,
            "widths of the left common carotid; teaching definition, secondary source",
        ),
        arch_type_by_planes: arch_type(
            &own.type_by_planes(),
            "horizontal planes on the outer and the inner curve; from memory",
        ),
        arch_angle_deg: angle.as_ref().ok().map(|a| a.angle.to_deg()),
        arch_angle_why: angle.err().map(|unknown| unknown.0),
        turning_deg: arch.map(|s| own.turning(s.from_mm, s.to_mm).to_deg()),
        tortuosity_arch: arch.filter(|_| own.origin_marked).and_then(|s| own.tortuosity(0.0, s.to_mm)),
        tortuosity_descending: arch.and_then(|s| own.tortuosity(s.to_mm, end)),
        proximal_length: proximal_length(own),
        seals: plan.seals().iter().map(seal).collect(),
        room_upstream: plan.room_upstream().iter().map(room_upstream).collect(),
    }
}

fn arch_type(found: &Result<ArchType, Unknown>, source: &'static str) -> ArchTypePart {
    let own = found.as_ref().ok();
    ArchTypePart {
        number: own.map(|t| t.number),
        drop_mm: own.map(|t| t.drop_mm),
        first_mm: own.map(|t| t.first_mm),
        second_mm: own.map(|t| t.second_mm),
        source,
        why: found.as_ref().err().map(|unknown| unknown.0.clone()),
    }
}

fn proximal_length(own: &Anatomy) -> LengthsPart {
    let end = || -> Result<f64, Unknown> {
        own.origin()?;
        let first = own.first_ostium().ok_or(Unknown::because(message::NO_OSTIA))?;
        Ok(first.edges_mm.as_ref().map_err(Clone::clone)?.0)
    };
    let on = |line| end().and_then(|s| own.length_along(line, 0.0, s));
    let inner = on(Line::Inner);
    LengthsPart {
        centre_mm: on(Line::Centre).ok(),
        outer_mm: on(Line::Outer).ok(),
        why: inner.as_ref().err().map(|unknown| unknown.0.clone()),
        inner_mm: inner.ok(),
    }
}

fn seal(own: &Seal) -> SealPart {
    let first = |range: &Result<(f64, f64), Unknown>| range.as_ref().ok().map(|r| r.0);
    let second = |range: &Result<(f64, f64), Unknown>| range.as_ref().ok().map(|r| r.1);
    let why = [
        own.aorta_mm.as_ref().err(),
        own.oversize_percent.as_ref().err(),
        own.serves_mm.as_ref().err(),
        own.wall.as_ref().err(),
    ];
    SealPart {
        component: own.component.clone(),
        end: own.end,
        from_u_mm: own.on_graft_mm.0,
        to_u_mm: own.on_graft_mm.1,
        wall: own.wall.as_ref().ok().copied(),
        aorta_least_mm: first(&own.aorta_mm),
        aorta_most_mm: second(&own.aorta_mm),
        oversize_least_percent: first(&own.oversize_percent),
        oversize_most_percent: second(&own.oversize_percent),
        oversize_whole_percent: own.oversize_whole_percent,
        serves_from_mm: first(&own.serves_mm),
        serves_to_mm: second(&own.serves_mm),
        proposal_mm: own.proposal_mm,
        rule: own.rule.clone(),
        why: why.into_iter().flatten().next().map(|unknown| unknown.0.clone()),
    }
}

fn room_upstream((id, mm): &(String, Quantity)) -> RoomUpstreamPart {
    RoomUpstreamPart { id: id.clone(), mm: mm.value().copied(), why: mm.why().map(str::to_string) }
}
