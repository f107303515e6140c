//! The program's own kit and checklist, each line with its source: what is printed while a case has
//! none of its own, and what its own begins with. Plain data.

use crate::casefile::case::{Case, Check};

const CUSTOM: &str = "common practice, no source";
const MEMORY: &str = "from memory";

const KIT: &[(&str, &str)] = &[
    ("Stiff wire, soft curved tip for the left ventricle; none deep across a mechanical valve", MEMORY),
    ("Through wire and snare for each access from arm or neck", MEMORY),
    ("Balloons: compliant for the seals; in the size of each tunnel and landing", MEMORY),
    ("Plugs as above and one size larger", MEMORY),
    ("Pacing wire or drugs to lower the output", CUSTOM),
    ("Rescue: stents one size up and down, an extension, an occlusion balloon", MEMORY),
];

const CHECKLIST: &[(&str, &str)] = &[
    ("CO2, then saline flush of every device that enters the arch", "10.3389/fcvm.2024.1335903"),
    (
        "Activated clotting time around 300 s before a wire enters the arch and while grafting",
        "stated for fenestrated grafts; in the arch from memory",
    ),
    ("Output lowered at release and at ballooning: by whom, how, tested", "10.1007/s00270-020-02561-y"),
    ("Through wire in place where planned, held at both ends", CUSTOM),
    ("No pushing of a half-open graft", CUSTOM),
    (
        "In doubt further upstream: antegrade clearance grows; retrograde clearance and the way to coronaries and vein grafts shrink",
        "geometry; how far is on the wall sheet",
    ),
    ("Fusion landmarks checked in two views, stiff wire in; turn of the patient against the CT noted", CUSTOM),
    ("Spinal protection agreed: drain, pressure, stages", CUSTOM),
    ("Who decides to stop or to change the plan: ______________", CUSTOM),
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
