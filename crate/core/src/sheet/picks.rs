//! The second page: what is laid out, what is checked, what was done, who signs.

use super::Source;
use super::block::{Block, Cell, width_mm};
use super::paper::Leaves;
use super::wall::{Left, capital, measure_name, wired_from};
use crate::casefile::case::{Case, Check, Component};
use crate::casefile::lists;
use crate::dissection::Extent;
use crate::plan::Plan;
use crate::report::record;
use crate::report::{extent, names, words};
use crate::rules::verdict::Word;
use crate::scene::Anchor;
use crate::scene::style::Token;

/// The access that the least diameter is of, and through which carriers come; and its other name.
const GROIN: &str = "groin";
const FEMORAL: &str = "femoral";

/// Lays it out; first what the wall sheet had no room for.
pub(super) fn flow(source: &Source<'_>, leaves: &mut Leaves<'_>, left_over: Vec<Left>, lists_too: bool) {
    let plan = source.plan;
    if lists_too {
        table(leaves, "Pick list", &["Piece", "Size"], &pieces(plan));
        table(leaves, "Access", &["From", "Sheath, outer", "Vessel"], &accesses(plan));
        ticks(leaves, "Wires, balloons, plugs, rescue kit", lists::kit(&plan.case).iter());
    }
    for (index, left) in left_over.iter().enumerate() {
        match left {
            Left::Head(words) => heading(leaves, words),
            Left::Line(lead, words) => {
                let mut block = Block::new(leaves.column_mm());
                block.led(lead, words);
                if index > 0 && matches!(left_over[index - 1], Left::Line(..) | Left::Head(_)) {
                    leaves.put_close(block);
                } else {
                    leaves.put(block);
                }
            }
        }
    }
    if !lists_too {
        return;
    }
    stages(leaves, plan);
    ticks(leaves, "Checklist", lists::checklist(&plan.case).iter());
    signatures(leaves, &plan.case);
    done(leaves, plan);
    rules(leaves, plan);
}

/// What each stage does, and which ways into the false lumen are open at its end.
fn stages(leaves: &mut Leaves<'_>, plan: &Plan) {
    let Ok(extent) = Extent::of(plan) else { return };
    if extent.ways.is_empty() {
        return;
    }
    let mut block = headed(leaves.column_mm(), "Stages and ways into the false lumen");
    for [at, done, words] in extent::stages(&extent) {
        let done = if done.is_empty() { done } else { format!("{done} · ") };
        block.led(&format!("{at}:"), &format!("{done}{words}"));
    }
    leaves.put(block);
}

fn heading(leaves: &mut Leaves<'_>, words: &str) {
    leaves.put(headed(leaves.column_mm(), words));
}

fn headed(width: f64, words: &str) -> Block {
    let mut block = Block::new(width);
    block.says(Token::Number, words);
    block
}

/// A heading with a table whose rows have a box to tick; the rows stay together.
fn table(leaves: &mut Leaves<'_>, head: &str, heads: &[&str], rows: &[Vec<Cell>]) {
    if rows.is_empty() {
        return;
    }
    let width = leaves.column_mm();
    let mut block = headed(width, head);
    let mut inner = Block::new(width);
    inner.table(heads, rows);
    block.add(inner);
    leaves.put(block);
}

/// A heading with lines to tick, which may run on in the next column.
fn ticks<'a>(leaves: &mut Leaves<'_>, head: &str, lines: impl Iterator<Item = &'a Check>) {
    let width = leaves.column_mm();
    for (index, line) in lines.enumerate() {
        let mut block = if index == 0 { headed(width, head) } else { Block::new(width) };
        block.tick(&line.text, &line.source);
        if index == 0 { leaves.put(block) } else { leaves.put_close(block) }
    }
}

/// Components and stents.
fn pieces(plan: &Plan) -> Vec<Vec<Cell>> {
    let case = &plan.case;
    let grafts = case
        .components
        .iter()
        .map(|component| vec![Cell::tick(capital(&names::component(case, &component.id))), Cell::of(piece(component))]);
    let stents = plan
        .stents
        .iter()
        .map(|order| vec![Cell::tick(format!("Stent to the {}", order.serves)), Cell::of(words::stent(order))]);
    grafts.chain(stents).collect()
}

/// A component by its sizes.
fn piece(component: &Component) -> String {
    let mm = |value: Option<f64>| value.map_or_else(|| words::UNKNOWN.to_owned(), words::size);
    let Some(graft) = component.graft.as_deref() else {
        let within = component.in_vessel.as_deref().unwrap_or(words::UNKNOWN);
        return format!("in the {within}: {} × {} mm", mm(component.length_mm), mm(component.diameter_mm));
    };
    let ends = graft.sections.first().zip(graft.sections.last()).map_or_else(String::new, |(first, last)| {
        format!(", {} → {} mm wide", words::size(first.from_diameter_mm), words::size(last.to_diameter_mm))
    });
    let carrier = graft
        .carrier_outer_mm
        .map_or_else(|| "carrier unknown".to_owned(), |mm| format!("carrier {} mm outside", words::size(mm)));
    let label = if graft.label.is_empty() { String::new() } else { format!("{}: ", graft.label) };
    format!("{label}{} mm long{ends}, {carrier}", words::size(graft.length_mm))
}

/// Each access with its widest sheath, and the vessel it goes through where that was measured.
fn accesses(plan: &Plan) -> Vec<Vec<Cell>> {
    let case = &plan.case;
    let grafts = case.components.iter().filter_map(|component| component.graft.as_deref());
    let carriers = grafts.clone().map(|graft| (GROIN, graft.carrier_outer_mm));
    let tunnels = grafts.flat_map(|graft| &graft.tunnels);
    let wires = tunnels.filter_map(|tunnel| Some((tunnel.wired_from.as_deref()?, None)));
    let steps = case.procedure.iter().flat_map(|procedure| &procedure.steps);
    let sheaths = steps.filter_map(|step| Some((step.from_access.as_deref()?, step.sheath_outer_mm)));
    let mut all: Vec<(&str, Option<f64>)> = Vec::new();
    for (from, sheath) in carriers.chain(wires).chain(sheaths) {
        let from = if from == FEMORAL { GROIN } else { from };
        match all.iter_mut().find(|(own, _)| *own == from) {
            Some((_, widest)) => *widest = [*widest, sheath].into_iter().flatten().reduce(f64::max),
            None => all.push((from, sheath)),
        }
    }
    let mm = |value: Option<f64>| value.map_or_else(|| words::UNKNOWN.to_owned(), words::mm);
    let least = case.anatomy.access.as_ref().and_then(|access| access.least_diameter_mm);
    let row = |(from, sheath): (&str, Option<f64>)| {
        let least = least.filter(|_| from == GROIN);
        let narrower = sheath.zip(least).is_some_and(|(sheath, least)| sheath > least);
        let warns = if narrower { ", narrower than the sheath" } else { "" };
        let vessel = format!("{}{warns}", mm(least));
        vec![Cell::tick(capital(&wired_from(from))), Cell::of(mm(sheath)), Cell::of(vessel)]
    };
    all.into_iter().map(row).collect()
}

/// Every rule that is not met, with its numbers.
fn rules(leaves: &mut Leaves<'_>, plan: &Plan) {
    let mut own: Vec<_> = plan.verdicts.iter().filter(|verdict| verdict.word != Word::Met).collect();
    own.sort_by_key(|verdict| (!verdict.required, verdict.word));
    let rows = own.into_iter().map(|verdict| {
        let unit = &verdict.unit;
        let value = verdict.value.map_or_else(|| words::UNKNOWN.to_owned(), |value| words::with_unit(value, unit));
        let rule = plan.rules.get(verdict.rule_index).map_or_else(String::new, |rule| {
            words::rule(rule).rsplit_once(": ").map_or_else(String::new, |(_, limits)| limits.to_owned())
        });
        let advised = if verdict.required { "" } else { ", advised" };
        vec![
            Cell::of(format!("{} of {}{advised}", measure_name(verdict), names::name_of(plan, &verdict.of))),
            Cell::of(value),
            Cell::of(rule),
            Cell::judged(verdict.word),
        ]
    });
    let rows: Vec<Vec<Cell>> = rows.collect();
    table(leaves, "Rules that are not met", &["Rule", "Is", "Limit", "Verdict"], &rows);
}

/// What was done: filled in from the case, or lines to fill in by hand.
fn done(leaves: &mut Leaves<'_>, plan: &Plan) {
    let mut block = headed(leaves.column_mm(), "What was done");
    match record::record(plan) {
        Some(record) => record::lines(&record).iter().for_each(|(lead, words)| block.led(lead, words)),
        None => {
            blank(&mut block, &[("Proximal edge landed at", "mm"), ("turned by", "°"), ("to the", "")]);
            for order in &plan.stents {
                blank(&mut block, &[(&format!("Stent to the {}: length", order.serves), "mm"), ("diameter", "mm")]);
            }
        }
    }
    leaves.put(block);
}

fn signatures(leaves: &mut Leaves<'_>, case: &Case) {
    let mut block = headed(leaves.column_mm(), "Signatures");
    let who = |did: &str, name: &str| if name.is_empty() { did.to_owned() } else { format!("{did} ({name})") };
    for said in [who("Measured", &case.ct.measured_by), who("Checked", &case.ct.checked_by), "Operator".into()] {
        blank(&mut block, &[(&said, ""), ("day", "")]);
    }
    leaves.put(block);
}

/// Lines to fill in by hand: words before each and a unit behind it.
fn blank(block: &mut Block, parts: &[(&str, &str)]) {
    let wide = |words: &str| if words.is_empty() { 0.0 } else { width_mm(Token::Note, words) + 1.5 };
    let taken: f64 = parts.iter().map(|(words, unit)| wide(words) + wide(unit) + 2.5).sum();
    let each = ((block.width_mm + 2.5 - taken) / parts.len() as f64).max(6.0);
    let y = block.height_mm + 6.2;
    let mut x = 0.0;
    for (words, unit) in parts {
        block.put(Token::Note, [x, y], Anchor::Start, words);
        x += wide(words);
        block.line(Token::Tick, [x, y + 0.8], [x + each, y + 0.8]);
        x += each;
        block.put(Token::Note, [x + 1.5, y], Anchor::Start, unit);
        x += wide(unit) + 2.5;
    }
    block.gap(8.0);
}
