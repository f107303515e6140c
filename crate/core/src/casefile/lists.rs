//! The program's own kit and checklist, each line with its source: what is printed while a case has
//! none of its own, and what its own begins with. Plain data.

use crate::casefile::case::{Case, Check};
use crate::message::{COMMON_PRACTICE, FROM_MEMORY};

const KIT: &[(&str, &str)] = &[
    ("Stiff wire, soft curved tip for the left ventricle; none deep across a mechanical valve", FROM_MEMORY),
    ("Through wire and snare for each access from arm or neck", FROM_MEMORY),
    ("Balloons: compliant for the seals; in the size of each tunnel and landing", FROM_MEMORY),
    ("Plugs as above and one size larger", FROM_MEMORY),
    ("Pacing wire or drugs to lower the output", COMMON_PRACTICE),
    ("Rescue: stents one size up and down, an extension, an occlusion balloon", FROM_MEMORY),
];

const CHECKLIST: &[(&str, &str)] = &[
    ("CO2, then saline flush of every device that enters the arch", "10.3389/fcvm.2024.1335903"),
    (
        "Activated clotting time around 300 s before a wire enters the arch and while grafting",
        "stated for fenestrated grafts; in the arch from memory",
    ),
    ("Output lowered at release and at ballooning: by whom, how, tested", "10.1007/s00270-020-02561-y"),
    ("Through wire in place where planned, held at both ends", COMMON_PRACTICE),
    ("No pushing of a half-open graft", COMMON_PRACTICE),
    (
        "In doubt further upstream: antegrade clearance grows; retrograde clearance and the way to coronaries and vein grafts shrink",
        "geometry; how far is on the wall sheet",
    ),
    ("Fusion landmarks checked in two views, stiff wire in; turn of the patient against the CT noted", COMMON_PRACTICE),
    ("Spinal protection agreed: drain, pressure, stages", COMMON_PRACTICE),
    ("Who decides to stop or to change the plan: ______________", COMMON_PRACTICE),
];

fn of(lines: &[(&str, &str)]) -> Vec<Check> {
    lines.iter().map(|(text, source)| Check { text: (*text).into(), source: (*source).into() }).collect()
}

/// The kit of a case, or the program's own.
pub fn kit(case: &Case) -> Vec<Check> {
    let own = case.procedure.as_ref().map(|procedure| procedure.kit.clone()).unwrap_or_default();
    if own.is_empty() { of(KIT) } else { own }
}

/// The checklist of a case, or the program's own.
pub fn checklist(case: &Case) -> Vec<Check> {
    let own = case.procedure.as_ref().map(|procedure| procedure.checklist.clone()).unwrap_or_default();
    if own.is_empty() { of(CHECKLIST) } else { own }
}
