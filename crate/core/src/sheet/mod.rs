//! The sheets that the room works from, composed as pictures in mm of paper.
//!
//! First the [`wall`] sheet, one page to be read at arm's length; then [`picks`] and the checklist;
//! alternatives side by side; and, only if asked for, maps at [`true_size`]. Page and command print
//! these same scenes. Reads a plan, computes nothing of it, knows no printer.

pub mod alternatives;
mod block;
mod fabric_map;
mod paper;
mod picks;
mod true_size;
mod wall;

pub use paper::Paper;

use crate::message;
use crate::plan::Plan;
use crate::quantity::Unknown;
use crate::report::words;
use crate::room::Forgiveness;
use crate::scene::Scene;
use crate::scene::axes::{Along, Around};
use crate::scene::map_input::MapInput;
use crate::scene::style::Token;
use block::Block;
use std::sync::Arc;

/// Which pages are wanted; the wall sheet always is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Wanted {
    /// The paper.
    pub paper: Paper,
    /// Pick list, checklist, record and signatures.
    pub lists: bool,
    /// Alternatives side by side, where there are any.
    pub alternatives: bool,
    /// Wall map and fabric maps 1:1.
    pub true_size: bool,
}

impl Default for Wanted {
    fn default() -> Self {
        Wanted { paper: Paper::default(), lists: true, alternatives: true, true_size: false }
    }
}

/// What the pages are made from.
#[derive(Clone, Copy)]
pub struct Source<'a> {
    /// The plan.
    pub plan: &'a Plan,
    /// Its map, in the possibility that is to be drawn.
    pub map: &'a MapInput,
    /// What the map's horizontal axis measures.
    pub along: Along,
    /// What its vertical axis measures.
    pub around: Around,
    /// SHA-256 of the case's text, hexadecimal.
    pub sha256: &'a str,
    /// What the placement forgives, once it is found.
    pub room: Option<&'a Result<Forgiveness, Unknown>>,
    /// The case itself and its alternatives; `None` where one could not be computed.
    pub compared: &'a [Option<Arc<Plan>>],
}

/// The pages, in the order in which they are printed.
pub fn pages(source: &Source<'_>, wanted: Wanted) -> Vec<Scene> {
    let mut wall = wall::sheet(source, wanted.paper);
    let mut leaves = paper::Leaves::new(source, wanted.paper);
    if wanted.lists || !wall.left_over.is_empty() {
        let left_over = std::mem::take(&mut wall.left_over);
        leaves.begin("Pick list and checklist", 2);
        picks::flow(source, &mut leaves, left_over, wanted.lists);
    }
    if wanted.alternatives && !source.plan.case.alternatives.is_empty() {
        leaves.begin("Alternatives side by side", 1);
        alternatives::flow(source, &mut leaves);
    }
    if wanted.true_size {
        true_size::flow(source, &mut leaves);
    }
    paper::scenes(source, wanted.paper, wall.page, leaves)
}

/// A short name of the very text of a case, which tells printed pages of two of its states apart:
/// `K7Q-2MF`. Six letters and digits without those that look alike.
pub fn code(sha256: &str) -> String {
    const LETTERS: &[u8; 32] = b"0123456789ABCDEFGHJKMNPQRSTVWXYZ";
    let bits = u64::from_str_radix(sha256.get(..8).unwrap_or_default(), 16).unwrap_or_default() >> 2;
    let letter = |place: usize| char::from(LETTERS[(bits >> (5 * (5 - place)) & 31) as usize]);
    let letters: String = (0..6).map(letter).collect();
    format!("{}-{}", &letters[..3], &letters[3..])
}

/// The two lines of cautions and what the page is of: at the foot of every page. `short`: only what tells
/// the page from others.
fn foot(source: &Source<'_>, width_mm: f64, short: bool) -> Block {
    let case = &source.plan.case;
    let mut foot = Block::new(width_mm);
    foot.rule();
    message::CAUTIONS.iter().for_each(|caution| foot.says(Token::Note, caution));
    let mut about = Vec::new();
    if !short {
        about.extend([words::origin(case), words::clock_convention(case)]);
    }
    about.push(ct(source.plan));
    if !case.errors.entered_by_user && !short {
        about.push(format!("errors of measurement {}", case.errors.source));
    }
    about.push(format!("extrados {}", crate::VERSION));
    about.push(format!("case {}", code(source.sha256)));
    foot.says(Token::MutedNote, &about.join(" · "));
    foot
}

/// The CT, its age, and who measured and checked.
fn ct(plan: &Plan) -> String {
    let ct = &plan.case.ct;
    let mut words = words::ct_age(&plan.case);
    if let Some(made) = &ct.date {
        words.push_str(&format!(", made {made}"));
    }
    for (who, did) in [(&ct.measured_by, "measured"), (&ct.checked_by, "checked")] {
        if !who.is_empty() {
            words.push_str(&format!(", {did} by {who}"));
        }
    }
    words
}

#[cfg(test)]
mod tests;
