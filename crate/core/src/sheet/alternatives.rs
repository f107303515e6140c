//! Alternatives side by side: verdicts, tunnels, what differs; and what differs in words.

use super::Source;
use super::block::{Block, Cell};
use super::paper::Leaves;
use crate::casefile::difference::{self, Key, Step};
use crate::casefile::{Case, fields};
use crate::entry::typed::Reading;
use crate::plan::Plan;
use crate::report::words;
use crate::scene::style::Token;
use crate::units::ThreeOClock;
use serde_json::Value;

/// Most differences that are listed for one alternative.
const MOST_LISTED: usize = 12;

/// Lays them out, a column each.
pub(super) fn flow(source: &Source<'_>, leaves: &mut Leaves<'_>) {
    let base = &source.plan.case;
    let plans: Vec<Option<&Plan>> = source.compared.iter().map(Option::as_deref).collect();
    let named = base.alternatives.iter().map(|own| if own.name.is_empty() { "without a name" } else { &own.name });
    let heads: Vec<&str> = std::iter::once("").chain(std::iter::once("The case itself")).chain(named).collect();
    let count = heads.len() - 1;
    let row = |label: &str, cell: &dyn Fn(&Plan) -> String| {
        let cells = (0..count).map(|place| match plans.get(place).copied().flatten() {
            Some(plan) => Cell::of(cell(plan)),
            None => Cell::of("not computed"),
        });
        std::iter::once(Cell::strong(label)).chain(cells).collect::<Vec<_>>()
    };
    let mut rows = vec![
        row("Verdicts", &words::head_line),
        row("Placement", &|plan| {
            let placed = plan.grafts.iter().map(|graft| words::placement(&plan.case, &graft.placement));
            placed.collect::<Vec<_>>().join("; ")
        }),
    ];
    let mut tunnels: Vec<(String, String)> = Vec::new();
    for plan in plans.iter().flatten() {
        for tunnel in plan.sheet_tunnels() {
            let own = (tunnel.id.clone(), tunnel.serves.clone());
            if !tunnels.contains(&own) {
                tunnels.push(own);
            }
        }
    }
    for (id, serves) in &tunnels {
        rows.push(row(serves, &|plan| {
            let Some(tunnel) = plan.sheet_tunnels().into_iter().find(|own| own.id == *id) else {
                return "not there".into();
            };
            let clearance = words::or_unknown(&tunnel.edge_clearance_mm, |mm| words::mm(*mm));
            let stent = plan.stent_of(tunnel).map_or_else(|| words::UNKNOWN.into(), words::stent_short);
            format!("edge clearance {clearance}; clock error {}; stent {stent}", words::clock_error(tunnel))
        }));
    }
    let shown = |place: usize| place.checked_sub(1).map(|place| base.as_alternative(place));
    let differs = (0..count).map(|place| match shown(place) {
        None => Cell::of("–"),
        Some(Ok(shown)) => {
            let lines = differences(base, &shown);
            Cell::of(lines.iter().map(|[what, how]| format!("{what}{how}")).collect::<Vec<_>>().join("; "))
        }
        Some(Err(faults)) => Cell::of(faults.faults.first().map(|fault| fault.text.clone()).unwrap_or_default()),
    });
    rows.push(std::iter::once(Cell::strong("What differs")).chain(differs).collect());
    let mut block = Block::new(leaves.column_mm());
    block.table(&heads, &rows);
    block.gap(2.0);
    block.says(Token::MutedNote, "Each column is judged by itself; nobody but the physician chooses.");
    leaves.put(block);
}

/// What differs between two cases, each as what and how, in the words of the field table.
pub fn differences(base: &Case, shown: &Case) -> Vec<[String; 2]> {
    let hand = base.clock.three_oclock_is;
    let steps = difference::steps(&base.bare(), &shown.bare());
    let mut lines: Vec<[String; 2]> = steps.iter().take(MOST_LISTED).map(|step| line(step, hand)).collect();
    if steps.len() > MOST_LISTED {
        lines.push([String::new(), format!("and {} more", steps.len() - MOST_LISTED)]);
    }
    if lines.is_empty() {
        lines.push([String::new(), "nothing yet".into()]);
    }
    lines
}

fn line(step: &Step, hand: Option<ThreeOClock>) -> [String; 2] {
    let pointer = match &step.key {
        Key::Named(key) => format!("{}/{key}", step.place),
        Key::At(at) => format!("{}/{at}", step.place),
    };
    // Labels of everything on the way: `Components 1 · Placement · Station`.
    let mut labels: Vec<String> = Vec::new();
    let parts: Vec<&str> = pointer.split('/').skip(1).collect();
    for end in 1..=parts.len() {
        let here = format!("/{}", parts[..end].join("/"));
        match fields::lookup(&here).and_then(|place| place.field) {
            Some(field) => labels.push(field.label.to_owned()),
            None => {
                let number = parts[end - 1].parse::<usize>().ok();
                if let (Some(number), Some(last)) = (number, labels.last_mut()) {
                    *last = format!("{last} {}", number + 1);
                }
            }
        }
    }
    labels.retain(|label| label != "Anatomy");
    let field = fields::lookup(&pointer).and_then(|place| place.field);
    let words = |values: &[Value]| match (values, field) {
        ([value], Some(field)) if !value.is_object() => {
            let letters = Reading::of(field, pointer.contains("/graft/"), hand).letters(value);
            if letters.is_empty() { "unknown".to_owned() } else { letters }
        }
        ([], _) => "nothing".to_owned(),
        ([_], _) => "another".to_owned(),
        (several, _) => format!("{} items", several.len()),
    };
    [format!("{}: ", labels.join(" · ")), format!("{} → {}", words(&step.before), words(&step.after))]
}
