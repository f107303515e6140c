//! What the blood of the spinal cord hangs on: numbers of the plan beside published ones, and no verdict.

use super::stages::StageEnd;
use super::words;
use crate::plan::Plan;
use serde::Serialize;

/// One line about the cord.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct CordLine {
    /// What it is about.
    pub what: &'static str,
    /// The plan's number or state, in words.
    pub here: String,
    /// What is published on it; empty where nothing is.
    pub published: &'static str,
    /// Its source; empty where nothing is published.
    pub source: &'static str,
}

/// What is known of it, at the end of the plan.
pub fn cord(plan: &Plan, stages: &[StageEnd]) -> Vec<CordLine> {
    let line = |what, here, published, source| CordLine { what, here, published, source };
    let Some(end) = stages.last() else { return Vec::new() };
    let case = &plan.case;
    let fed = |id: &str| {
        let own = end.vessels.iter().find(|(own, _)| own == id);
        own.map_or_else(|| words::NO_SUCH_VESSEL.into(), |(_, flow)| words::fed(id, flow))
    };
    let vertebrals: Vec<String> = case
        .anatomy
        .vessels
        .iter()
        .filter(|vessel| vessel.carries.iter().any(|own| own.ends_with("vertebral")))
        .map(|vessel| format!("{}: {}", vessel.id, fed(&vessel.id)))
        .collect();
    let cord = case.anatomy.cord.clone().unwrap_or_default();
    let covering: Vec<String> = stages
        .windows(2)
        .filter(|pair| pair[0].covered.covered_mm != pair[1].covered.covered_mm)
        .map(|pair| words::stage_covers(pair[1].stage, &pair[1].covered.covered_mm))
        .collect();
    vec![
        line("Covered length", words::range(&end.covered.covered_mm), words::COVERED_PUBLISHED, words::ANN_THORAC),
        line("Of it beyond the LSA", words::range(&end.covered.beyond_lsa_mm), "", ""),
        line("Free above the coeliac", words::range(&end.covered.free_mm), words::FREE_PUBLISHED, words::ANN_THORAC),
        line("Left subclavian artery", fed("LSA"), words::LSA_PUBLISHED, words::CARDIOTHORAC),
        line(
            "Vertebral arteries",
            if vertebrals.is_empty() { words::UNKNOWN.into() } else { vertebrals.join("; ") },
            "",
            "",
        ),
        line("Internal iliac artery", words::answer(cord.internal_iliac_open, "open", "none open"), "", ""),
        line("Earlier abdominal repair", words::answer(cord.earlier_abdominal_repair, "yes", "none"), "", ""),
        line("Stages that cover", if covering.is_empty() { "none".into() } else { covering.join("; ") }, "", ""),
    ]
}
