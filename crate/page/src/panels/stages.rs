//! The middle of the page shows one stage at a time: the wall map, or one of the panels below.

use super::Facts;
use crate::tree::{Node, el};
use crate::view::Stage;

/// The row of stages; nothing while there is only one.
pub fn row(facts: &Facts<'_>) -> Vec<Node> {
    if Stage::ALL.len() < 2 {
        return Vec::new();
    }
    let tabs = Stage::ALL.iter().enumerate().map(|(place, (stage, name, says))| {
        let chosen = *stage == facts.state.view.stage;
        el("button")
            .with("role", "tab")
            .with("data-do", format!("stage:{name}"))
            .with("aria-selected", if chosen { "true" } else { "false" })
            .with("aria-controls", if *stage == Stage::Map { "map" } else { "stage" })
            .with("aria-keyshortcuts", (place + 1).to_string())
            .text(*says)
    });
    vec![el("div").with("role", "tablist").with("aria-label", "What the middle shows").children(tabs).into()]
}

/// What the chosen stage shows; the wall map is drawn on its canvas and shows nothing here. `fresh`:
/// whether the plan is that of this very state.
pub fn stage(facts: &Facts<'_>, fresh: bool) -> Vec<Node> {
    match facts.state.view.stage {
        Stage::Map => Vec::new(),
        Stage::Measurements => super::stage_measurements::stage(facts, fresh),
        Stage::Release => super::stage_release::stage(facts, fresh),
        // No number of another state stays in sight.
        _ if !fresh => Vec::new(),
        Stage::Graft => super::stage_graft::stage(facts),
        Stage::Anatomy => super::stage_anatomy::stage(facts),
        Stage::CArm => super::stage_carm::stage(facts),
        Stage::Extent => super::stage_extent::stage(facts),
        Stage::Sheets => super::stage_sheets::stage(facts),
    }
}
