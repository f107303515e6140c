//! Dissection and extent: both lumens, every way in and out of the false lumen, what closes each and when,
//! the aorta covered down to the coeliac artery, surgery of the neck vessels, the cord.
//!
//! [`lumens`] and [`ways`] say what was measured, [`acts`] what is done in which stage, [`in_place`] what
//! that means for each way and vessel, [`flow`] where blood still passes, [`stages`] all of it stage by
//! stage, [`extent`] lengths, [`debranching`] and [`cord`] the rest. Nothing here judges: numbers stand
//! beside their sources.

pub mod acts;
pub mod cord;
pub mod debranching;
pub mod extent;
pub mod flow;
pub mod in_place;
pub mod lumens;
pub mod stages;
pub mod ways;
pub mod words;

use crate::plan::Plan;
use crate::quantity::Unknown;
use cord::CordLine;
use debranching::Surgery;
use extent::{Piece, Waist};
use flow::Flow;
use in_place::Ground;
use lumens::{LumensAt, VesselAt};
use stages::{LeftOut, StageEnd, WayAt};
use ways::WayIn;

/// Everything of a plan.
#[derive(Clone, Debug)]
pub struct Extent {
    /// Both lumens by station.
    pub lumens: Vec<LumensAt>,
    /// Vessels in dissection.
    pub vessels: Vec<VesselAt>,
    /// Every way of the false lumen.
    pub ways: Vec<WayIn>,
    /// The ends of the stages; the first is before the plan.
    pub stages: Vec<StageEnd>,
    /// What each act is needed for.
    pub left_out: Vec<LeftOut>,
    /// The pieces down to the coeliac artery.
    pub pieces: Vec<Piece>,
    /// Where a waist leaves no space.
    pub waists: Vec<Waist>,
    /// Surgery of the neck vessels.
    pub surgeries: Vec<Surgery>,
    /// What must be minded of neck vessels, in sentences.
    pub minded: Vec<String>,
    /// The cord.
    pub cord: Vec<CordLine>,
    /// Where the case says one thing and what is in place another, in sentences.
    pub remarks: Vec<String>,
    /// What was taken for granted, in sentences.
    pub assumed: Vec<String>,
}

impl Extent {
    /// Of a plan.
    ///
    /// # Errors
    /// Unknown without an anatomy.
    pub fn of(plan: &Plan) -> Result<Self, Unknown> {
        let ground = Ground::of(plan)?;
        let case = &plan.case;
        let ways = ways::ways(case);
        let stages = stages::stages(&ground);
        let left_out = stages.last().map_or(Vec::new(), |end| stages::left_out(&ground, end));
        let waists = extent::waists(plan, ground.anatomy);
        let mut remarks = remarks(&ways, &stages);
        remarks.extend(waists.iter().map(|w| words::waist(&w.component, w.station_mm, w.waist_mm, w.true_mm)));
        let mut assumed = Vec::new();
        if !ways.is_empty() {
            assumed.extend(words::ASSUMED.iter().map(|&sentence| sentence.to_owned()));
            let (mm, source) = &ground.least_seal;
            assumed.push(format!("An end seals if its fabric touches the wall all round over {mm} mm ({source})."));
        }
        if acts::acts(case).iter().any(|act| act.assumed) {
            assumed.push(words::STAGE_ASSUMED.into());
        }
        Ok(Extent {
            lumens: lumens::lumens(plan),
            vessels: lumens::vessels(plan),
            surgeries: debranching::surgeries(plan, ground.anatomy),
            minded: debranching::minded(plan, &stages),
            cord: cord::cord(plan, &stages),
            ways,
            stages,
            left_out,
            pieces: extent::pieces(plan),
            waists,
            remarks,
            assumed,
        })
    }
}

impl Extent {
    /// The first stage at whose end no blood passes a way, and the way there; `None` where it passes, or
    /// may pass, at the end of the plan.
    pub fn closed(&self, way: usize) -> Option<(u32, &WayAt)> {
        let at = |end: &StageEnd| end.ways.get(way).map(|at| at.flow == Flow::Shut);
        self.stages.last().filter(|end| at(end) == Some(true))?;
        let end = self.stages.iter().find(|end| at(end) == Some(true))?;
        Some((end.stage, end.ways.get(way)?))
    }
}

impl StageEnd {
    /// Ids of ways that flow, of those left on purpose, and of those that are not known.
    pub fn remaining(&self) -> [Vec<String>; 3] {
        stages::remaining(&self.ways)
    }
}

/// Where the case says one thing of a way and what is in place another.
fn remarks(ways: &[WayIn], stages: &[StageEnd]) -> Vec<String> {
    let mut said = Vec::new();
    for (index, way) in ways.iter().enumerate() {
        let shut = |end: &&StageEnd| end.ways.get(index).is_some_and(|at| at.flow == Flow::Shut);
        let first = stages.iter().find(shut);
        let lying = first.and_then(|end| end.ways.get(index)).map_or(&[][..], |at| &at.by);
        for closer in way.said.iter().filter(|closer| !lying.contains(closer)) {
            // What flows to the end is said once, with its stage.
            if first.is_some() || way.stage.is_none() {
                said.push(words::does_not_close(&way.id, closer));
            }
        }
        match (way.stage, first) {
            (Some(stage), Some(end)) if end.stage != stage => said.push(words::other_stage(&way.id, stage, end.stage)),
            (Some(stage), None) => said.push(words::never_closed(&way.id, stage)),
            _ => {}
        }
    }
    said
}
