//! Sentences about dissection, extent, surgery of the neck vessels and cord.

use super::extent::Range;
use super::flow::Flow;
use crate::casefile::case::{Bypass, BypassKind, VesselInput};
use crate::quantity::Quantity;
use crate::spoken::{mm, tenths};

pub use crate::spoken::UNKNOWN;

/// What is taken for granted of the false lumen.
pub const ASSUMED: &[&str] = &[
    "The false lumen is taken for one space: a way that feeds it feeds all of it.",
    "Beyond a plug, a tie or a stent every vessel is taken for filled backwards by its neighbours.",
    "A mouth is bridged in the stage of its graft unless a step of the release names another.",
    "Fabric shuts a way that it covers whole and touches all over; where it stands off, the way hangs on the space between fabric and wall.",
];

/// Pieces without stage.
pub const STAGE_ASSUMED: &str = "What has no stage is taken for done in stage 1.";
/// No piece covers anything.
pub const NO_FABRIC: &str = "No fabric is in place yet.";
/// The landmark is missing.
pub const NO_COELIAC: &str = "The landmark coeliac was not entered.";
/// The vessel is missing.
pub const NO_LSA: &str = "No ostium of the LSA was entered.";
/// A vessel that is not in the case.
pub const NO_SUCH_VESSEL: &str = "not entered";
/// A place that is not on the wall.
pub const NO_WALL_PLACE: &str = "Its place on the wall is not known.";

/// Of a vessel.
pub const ONLY_CAROTID: &str = "the only carotid that was entered";
/// Of a vessel.
pub const ISOLATED_VERTEBRAL: &str = "an isolated vertebral artery, which leaves the aorta itself";
/// Of a vessel.
pub const DOMINANT_VERTEBRAL: &str = "the dominant vertebral artery";
/// Of a vessel.
pub const ONLY_VERTEBRAL: &str = "the only vertebral artery";
/// Of a vessel.
pub const MAMMARY_GRAFT: &str = "a mammary graft to the heart";

/// Published on the covered length.
pub const COVERED_PUBLISHED: &str = "lasting injury of the cord: 260.5 ± 40.9 mm covered, else 195.8 ± 81.6 mm";
/// Published on the free length.
pub const FREE_PUBLISHED: &str =
    "lasting injury of the cord: 17.3 ± 21.8 mm left above the coeliac artery, else 63.1 ± 62.9 mm";
/// Their source.
pub const ANN_THORAC: &str = "Ann Thorac Surg Dec 2008, 241 patients, abstract";
/// Published on the LSA.
pub const LSA_PUBLISHED: &str =
    "injury of the cord 10.7 % where it was covered and not revascularised, 1.4 % where it was";
/// Its source.
pub const CARDIOTHORAC: &str = "10.1186/s13019-021-01593-w, 171 patients, abstract";

pub(super) fn no_place(name: &str) -> String {
    format!("Nobody entered where {name} lies.")
}

pub(super) fn no_size(name: &str) -> String {
    format!("The length of the {name} along the flow was not entered, so nothing is known to cover it whole.")
}

pub(super) fn no_tie(name: &str) -> String {
    format!("Where the vessel is tied or cut was not entered for the {name}, and ways lie in it.")
}

pub(super) fn plug_unknown(id: &str) -> String {
    format!("Place, length or diameter of {id} was not entered.")
}

pub(super) fn plug_narrow(id: &str, width: f64, vessel: f64) -> String {
    format!("{id}, {} wide, does not fill its vessel, which is {} wide there.", mm(width), mm(vessel))
}

/// A range over the possibilities; one number where its ends read alike.
pub fn range(range: &Range) -> String {
    match range {
        Quantity::Known { value: [least, most], .. } if tenths(*least) == tenths(*most) => mm(*least),
        Quantity::Known { value: [least, most], .. } => format!("{} to {}", tenths(*least), mm(*most)),
        Quantity::Unknown { .. } => UNKNOWN.into(),
    }
}

/// A range of per cents.
pub fn percent(range: &Range) -> String {
    match range {
        Quantity::Known { value: [least, most], .. } if tenths(*least) == tenths(*most) => {
            format!("{} %", tenths(*least))
        }
        Quantity::Known { value: [least, most], .. } => format!("{} to {} %", tenths(*least), tenths(*most)),
        Quantity::Unknown { .. } => UNKNOWN.into(),
    }
}

/// How a vessel is fed.
pub fn fed(id: &str, flow: &Flow) -> String {
    match flow {
        Flow::Flows(through) if matches!(through.as_slice(), [own] if own == id) => "fed directly".into(),
        Flow::Flows(through) => format!("fed through {}", through.join(", ")),
        Flow::Shut => "not fed".into(),
        Flow::Unknown(_) => UNKNOWN.into(),
    }
}

/// What a way does.
pub fn flows(flow: &Flow) -> &'static str {
    match flow {
        Flow::Flows(_) => "flows",
        Flow::Shut => "closed",
        Flow::Unknown(_) => UNKNOWN,
    }
}

pub(super) fn carried(vessel: &VesselInput) -> String {
    let mut all: Vec<String> = vessel.carries.iter().map(|own| own.replace('_', " ")).collect();
    if vessel.mammary_graft == Some(true) {
        all.push("mammary graft to the heart".into());
    }
    all.join(", ")
}

pub(super) fn landing_change(bypass: &Bypass, gained: Option<f64>, zone: Option<u8>, healthy: Option<f64>) -> String {
    let Bypass { to, kind, at_mm, .. } = bypass;
    match (kind, gained, at_mm) {
        (BypassKind::Bypass | BypassKind::Transposition, gained, _) => {
            let from = gained.map_or(String::new(), |mm_| format!(", {} further upstream", mm(mm_)));
            let zone = zone.map_or(String::new(), |zone| format!(": zone {zone} may be landed in"));
            format!("Fabric may cover the ostium of the {to}{from}{zone}.")
        }
        (BypassKind::Interposition, _, Some(at)) => {
            let before = healthy.map_or(UNKNOWN.into(), mm);
            format!("A stent may land in the graft from {} on; healthy wall begins at {before}.", mm(*at))
        }
        (BypassKind::Interposition, _, None) => {
            "Where the graft begins was not entered: the landing stays as it is.".into()
        }
        (BypassKind::Ligation, ..) => "None.".into(),
    }
}

pub(super) fn feed_change(bypass: &Bypass, carried: &str) -> String {
    let Bypass { from, to, kind, .. } = bypass;
    let hangs = if carried.is_empty() { String::new() } else { format!(" ({carried})") };
    match kind {
        BypassKind::Bypass => {
            format!("The {to}{hangs} is fed by the {from} too, and fills backwards to its ostium until that is closed.")
        }
        BypassKind::Transposition => format!("The {to}{hangs} is fed by the {from} alone; its stump is closed."),
        BypassKind::Interposition => {
            format!("The {to}{hangs} is fed through the graft; wall beyond its beginning is replaced.")
        }
        BypassKind::Ligation => {
            format!("Beyond the tie the {to}{hangs} has no feed of its own, and no backflow reaches its ostium.")
        }
    }
}

pub(super) fn rules_change(bypass: &Bypass, judged: &[&str]) -> String {
    let Bypass { to, kind, .. } = bypass;
    let rules = match judged {
        [] => "no rule is about it".to_owned(),
        all => format!("rules about it: {}", all.join(", ")),
    };
    match kind {
        BypassKind::Bypass | BypassKind::Transposition => {
            format!("That the ostium of the {to} stays free of fabric is no longer asked; {rules}.")
        }
        BypassKind::Interposition | BypassKind::Ligation => format!("None falls away; {rules}."),
    }
}

pub(super) fn minded(vessel: &str, what: &str, unfed: &[u32]) -> String {
    let carries = if what.is_empty() { String::new() } else { format!("{what} hangs on it; ") };
    let stages = match unfed {
        [] => "no stage is known to end with it unfed.".to_owned(),
        all => {
            let numbers: Vec<String> = all.iter().map(u32::to_string).collect();
            format!("not fed at the end of stage {}.", numbers.join(", "))
        }
    };
    format!("{vessel}: {carries}{stages}")
}

pub(super) fn stage_covers(stage: u32, covered: &Range) -> String {
    format!("stage {stage}: {}", range(covered))
}

pub(super) fn answer(answer: Option<bool>, yes: &str, no: &str) -> String {
    answer.map_or(UNKNOWN.into(), |answer| if answer { yes.into() } else { no.into() })
}

pub(super) fn does_not_close(way: &str, said: &str) -> String {
    format!("{way} is said to be closed by {said}, which does not lie on all of it.")
}

pub(super) fn other_stage(way: &str, said: u32, found: u32) -> String {
    format!("{way} is said to be closed in stage {said}; what lies on it goes in in stage {found}.")
}

pub(super) fn never_closed(way: &str, said: u32) -> String {
    format!("{way} is said to be closed in stage {said}; blood still passes at the end of the plan.")
}

pub(super) fn waist(component: &str, station: f64, waist: f64, lumen: f64) -> String {
    format!(
        "At {} the waist of {component}, {} wide, fills the true lumen, {} wide: there is no space between graft and wall, and what leaves there is fed by a bridging stent alone.",
        mm(station),
        mm(waist),
        mm(lumen)
    )
}

/// What still flows at a stage's end, in a sentence.
pub fn remaining(flows: &[String], on_purpose: &[String], unknown: &[String]) -> String {
    let mut parts = Vec::new();
    let list = |ids: &[String]| ids.join(", ");
    if !flows.is_empty() {
        parts.push(format!("still flows: {}", list(flows)));
    }
    if !on_purpose.is_empty() {
        parts.push(format!("left on purpose: {}", list(on_purpose)));
    }
    if !unknown.is_empty() {
        parts.push(format!("not known: {}", list(unknown)));
    }
    if parts.is_empty() { "no flow into the false lumen".into() } else { parts.join("; ") }
}
