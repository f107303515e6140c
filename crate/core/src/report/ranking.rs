//! Several grafts in the order of the room of their best placements: as data and in words. Only names and
//! units change here; no number is computed.

use super::build::verdicts;
use super::room::{self, PlacePart, RoomPart};
use super::{VerdictPart, words};
use crate::VERSION;
use crate::casefile::case::Case;
use crate::message;
use crate::ranking::Standing;
use crate::room::landing;
use crate::rules::measure;
use crate::rules::verdict::{Verdict, Word};
use crate::units::Angle;
use serde::Serialize;

/// What `rank --json` writes.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[allow(missing_docs)]
pub struct RankingReport {
    pub format: &'static str,
    pub version: u32,
    pub program: String,
    pub case_sha256: String,
    /// Errors of the landing in which rooms are counted.
    pub axial_sd_mm: f64,
    pub rotation_sd_deg: f64,
    pub grafts: Vec<StandingPart>,
    pub cautions: Vec<&'static str>,
}

/// One graft at its best.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[allow(missing_docs)]
pub struct StandingPart {
    pub name: String,
    pub label: String,
    /// The tube beside it.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub with: Option<WithPart>,
    pub holds: bool,
    /// The largest ellipse in its room reaches this many errors of the landing, and so far.
    pub size: f64,
    pub half_mm: f64,
    pub half_deg: f64,
    pub placement: Option<PlacePart>,
    pub held_u_mm: Option<f64>,
    pub room: Option<RoomPart>,
    pub costs: Vec<CostPart>,
    pub given_up: Vec<VerdictPart>,
    pub unserved: Vec<UnservedPart>,
    pub text: String,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub why: Option<String>,
}

/// A tube beside a graft.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[allow(missing_docs)]
pub struct WithPart {
    pub name: String,
    pub label: String,
    pub lengthens: &'static str,
}

/// What costs room: without its rules the room would have this size.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[allow(missing_docs)]
pub struct CostPart {
    pub of: Vec<String>,
    pub size_without: f64,
}

/// A vessel for which the graft has neither tunnel nor opening.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[allow(missing_docs)]
pub struct UnservedPart {
    pub vessel: String,
    pub bypass_planned: bool,
}

/// Grafts in their order.
pub fn report(standings: &[Standing], case: &Case, case_sha256: &str) -> RankingReport {
    let axes = landing(case);
    RankingReport {
        format: "extrados-ranking",
        version: 1,
        program: format!("extrados {VERSION}"),
        case_sha256: case_sha256.into(),
        axial_sd_mm: axes.shift_mm,
        rotation_sd_deg: axes.turn_deg,
        grafts: standings.iter().map(part).collect(),
        cautions: message::CAUTIONS.to_vec(),
    }
}

fn part(own: &Standing) -> StandingPart {
    let axes = landing(&own.case);
    StandingPart {
        name: own.name.clone(),
        label: label(own),
        with: own.joined.as_ref().map(|joined| WithPart {
            name: joined.name.clone(),
            label: joined.graft.label.clone(),
            lengthens: joined.end.as_str(),
        }),
        holds: own.holds(),
        size: own.size,
        half_mm: own.size * axes.shift_mm,
        half_deg: own.size * axes.turn_deg,
        placement: own.placement.map(|at| PlacePart { station_mm: at.station_mm, clock_deg: at.clock_deg }),
        held_u_mm: own.placement.map(|at| at.held_u_mm),
        room: own.found.clone().map(|found| room::part(&Ok(found), &own.case)),
        costs: own.costs.iter().map(|(of, size)| CostPart { of: of.clone(), size_without: *size }).collect(),
        given_up: verdicts(&own.given_up),
        unserved: own
            .unserved
            .iter()
            .map(|(vessel, planned)| UnservedPart { vessel: vessel.clone(), bypass_planned: *planned })
            .collect(),
        text: sentence(own),
        why: own.why.clone(),
    }
}

/// What it is called, with the tube beside it.
pub fn label(own: &Standing) -> String {
    match &own.joined {
        None => own.graft.label.clone(),
        Some(joined) => {
            let tube = if joined.graft.label.is_empty() { &joined.name } else { &joined.graft.label };
            format!("{}, {} of it {tube}", own.graft.label, joined.end.as_str())
        }
    }
}

/// How large a room is, in words: the half axes of the largest ellipse inside.
pub fn size(own: &Standing, size: f64) -> String {
    room::half_axes(landing(&own.case), size)
}

/// Why it has no room, in a few words; its size where only unknown rules stand against it.
pub fn state(own: &Standing) -> String {
    match (&own.why, &own.found) {
        (Some(why), _) => why.clone(),
        (None, None) => "none holds".into(),
        (None, Some(found)) if found.barred.iter().any(|(_, word)| *word == Word::Unmet) => "none holds".into(),
        (None, Some(_)) => format!("unknown; by the other rules {}", size(own, own.size)),
    }
}

/// Where it is best put.
pub fn place(own: &Standing) -> String {
    own.placement.map_or_else(String::new, |at| {
        let clock = words::clock(&own.case, Angle::deg(at.clock_deg));
        format!("{} and {clock}", words::mm(at.station_mm))
    })
}

/// What costs it room.
pub fn costs(own: &Standing) -> String {
    let Some((of, without)) = own.costs.first() else { return farthest_out(own) };
    let names: Vec<String> = of.iter().map(|of| format!("the {}", room::subject_of(of, &own.case))).collect();
    let (cost, whose) = if names.len() > 1 { ("cost", "their") } else { ("costs", "its") };
    format!("{} {cost} most: without {whose} rules {}", names.join(" and "), size(own, *without))
}

/// Where no vessel left out gives room: what lies farthest outside its limit, counted in its error.
fn farthest_out(own: &Standing) -> String {
    let out = |rule: &Verdict| rule.margin.zip(rule.error).map_or(0.0, |(margin, error)| margin / error.max(1e-9));
    let unmet = own.given_up.iter().filter(|rule| rule.word == Word::Unmet && own.found.is_none());
    let Some(worst) = unmet.min_by(|a, b| out(a).total_cmp(&out(b))) else { return String::new() };
    let margin = words::with_unit(worst.margin.unwrap_or(0.0).abs(), &worst.unit);
    format!("the {} costs most: {margin} outside its limit", room::subject_of(&worst.of, &own.case))
}

/// What must be given up with it.
pub fn given_up(own: &Standing) -> String {
    let name = |rule: &Verdict| {
        let name = measure::find(&rule.measure).map_or(rule.measure.as_str(), |measure| measure.name).to_lowercase();
        let word = if rule.word == Word::Unmet { "" } else { " (unknown)" };
        match room::subject_of(&rule.of, &own.case) {
            graft if graft == room::GRAFT => format!("{name}{word}"),
            subject => format!("{subject} {name}{word}"),
        }
    };
    let unserved = own.unserved.iter().map(|(vessel, planned)| {
        let how = if *planned { "its bypass is planned" } else { "no bypass is planned" };
        format!("no tunnel or opening for the {vessel}: {how}")
    });
    own.given_up.iter().map(name).chain(unserved).collect::<Vec<_>>().join("; ")
}

/// How it stands, in a sentence or two.
pub fn sentence(own: &Standing) -> String {
    if let Some(why) = &own.why {
        return why.clone();
    }
    let ends = |words: String| if words.is_empty() { words } else { format!(" {words}.") };
    let costs = ends(upper(costs(own)));
    let given_up = given_up(own);
    let given_up = if given_up.is_empty() { given_up } else { format!(" Given up: {given_up}.") };
    match &own.found {
        Some(found) => {
            let best = format!("Room {} around {}.", size(own, own.size), place(own));
            let sentence = room::sentence(&Ok(found.clone()), &own.case);
            format!("{best} {sentence}{costs}{given_up}")
        }
        None => {
            let at = place(own);
            format!("{} The fewest rules fail at {at}.{costs}{given_up}", message::NO_PLACEMENT_HOLDS)
        }
    }
}

fn upper(words: String) -> String {
    let mut letters = words.chars();
    letters.next().map_or_else(String::new, |first| first.to_uppercase().chain(letters).collect())
}
