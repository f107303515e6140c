//! The wall sheet: one page that is read at arm's length, in the order in which the room asks.
//!
//! Box for the patient's label, head line, map, tunnels, how far the graft may go, steps, fallback,
//! cautions. The map takes what the words leave; words that would leave too little go to the next
//! page. No probability, no chart beside the map.

use super::block::{Block, Cell, width_mm};
use super::paper::{Leaf, Paper};
use super::{Source, foot};
use crate::carm;
use crate::carm::views::{sheet_views, views};
use crate::feed::flow::FeedState;
use crate::feed::release::{StepResult, released};
use crate::feed::stage::Staging;
use crate::feed::standing;
use crate::feed::surprise::surprise;
use crate::feed::words::{self as feed_words, StepLine};
use crate::message;
use crate::placement::tunnel::TunnelResult;
use crate::plan::Plan;
use crate::report::{names, remarks, room, words};
use crate::room::reach::Way;
use crate::rules::measure;
use crate::rules::verdict::{Verdict, Word};
use crate::scene::Anchor;
use crate::scene::lettering::Extent;
use crate::scene::style::{Medium, Token};
use crate::scene::wall_map::{Layers, Options, Size, wall_map};
use std::sync::Arc;

/// The box for the patient's label, mm.
const LABEL_MM: [f64; 2] = [76.0, 27.0];
/// Least height of the map, mm.
const LEAST_MAP_MM: f64 = 72.0;
/// Between the two columns under the table, mm.
const GAP_MM: f64 = 8.0;
/// Share of the right one.
const RIGHT_SHARE: f64 = 0.46;
/// In place of words that have no room.
const ELSEWHERE: &str = "see the next page.";
/// Most lines across the head that name rules which are not met; the rest is counted, and all are on
/// the next page.
const MOST_NAMED: usize = 12;

/// The wall sheet and what did not fit on it.
pub(super) struct Wall {
    pub page: Leaf,
    pub left_over: Vec<Left>,
}

/// Words that go to the next page.
#[derive(Clone, Debug)]
pub(super) enum Left {
    /// A heading.
    Head(&'static str),
    /// A paragraph with its lead.
    Line(String, String),
}

/// Composes it.
pub(super) fn sheet(source: &Source<'_>, paper: Paper) -> Wall {
    let [width, height] = paper.room_mm();
    let (head, table, foot) = (head(source, width), tunnels(source.plan, width), foot(source, width, false));
    let ((steps, turned), views) = (release(source.plan), views_in_words(source.plan));
    // The team's own words first, then what the plan says of a graft that turns.
    let own = source.plan.case.procedure.as_ref().and_then(|procedure| procedure.fallback.clone());
    let fallback: Vec<String> = own.into_iter().chain(turned).collect();
    let fallback = (!fallback.is_empty()).then(|| fallback.join(" "));
    // As much as leaves the map its least height: all; without the views; without the fallback; fewer and
    // fewer steps.
    let all = steps.len();
    let trials = [(all, true, true), (all, false, true), (all, false, false)].into_iter();
    let trials = trials.chain((0..all).rev().map(|kept| (kept, false, false)));
    let free = height - head.height_mm - table.height_mm - foot.height_mm - 4.0;
    // Where even the shortest leaves less, as much as is no taller than that.
    let shortest = Below { steps: &[], more: all > 0, views: None, fallback: fallback.as_deref().map(|_| ELSEWHERE) };
    let least = LEAST_MAP_MM.min(free - shortest.block(source, width).height_mm);
    let mut chosen = (0, false, false);
    let mut below = Block::new(width);
    for trial in trials {
        let (kept, with_views, with_fallback) = trial;
        let shown = Below {
            steps: &steps[..kept],
            more: kept < steps.len(),
            views: views.as_deref().filter(|_| with_views),
            fallback: fallback.as_deref().map(|words| if with_fallback { words } else { ELSEWHERE }),
        };
        (chosen, below) = (trial, shown.block(source, width));
        if free - below.height_mm >= least {
            break;
        }
    }
    let (kept, with_views, with_fallback) = chosen;
    let mut left_over = Vec::new();
    if kept < steps.len() {
        left_over.push(Left::Head("Steps"));
        left_over.extend(steps[kept..].iter().map(|(lead, words)| Left::Line(lead.clone(), words.clone())));
    }
    left_over.extend(fallback.filter(|_| !with_fallback).map(|words| Left::Line("If a vessel shuts:".into(), words)));
    left_over.extend(views.filter(|_| !with_views).map(|words| Left::Line("C-arm:".into(), words)));
    let mut page = Block::new(width);
    page.add(head);
    let map_mm = free - below.height_mm;
    page.gap(1.0);
    page.add(map(source, [width, map_mm]));
    page.gap(1.0);
    page.add(table);
    page.gap(1.5);
    page.add(below);
    let at = [0.0, height - foot.height_mm];
    page.place(foot, at);
    Wall { page: Leaf { title: format!("Wall sheet of {}", source.plan.case.label), block: page }, left_over }
}

fn head(source: &Source<'_>, width: f64) -> Block {
    let plan = source.plan;
    let case = &plan.case;
    let room = width - LABEL_MM[0] - 6.0;
    let mut said = Block::new(room);
    let line = words::head_line(plan);
    said.says(if width_mm(Token::Title, &line) <= room { Token::Title } else { Token::Name }, &line);
    if plan.is_rough() {
        said.says(Token::Number, message::ROUGH);
    }
    if let Some(rough) = plan.rough() {
        said.says(Token::Note, &words::residuals_in_a_line(rough));
    }
    for (word, lead) in [(Word::Unmet, "Unmet:"), (Word::Unknown, "Unknown:")] {
        if let Some(named) = named(plan, word) {
            said.led(lead, &named);
        }
    }
    let forgives = match source.room {
        Some(found) => room::sentence(found, case),
        None if plan.grafts.is_empty() => String::new(),
        None => message::ROOM_NOT_FOUND_YET.into(),
    };
    if !forgives.is_empty() {
        said.says(Token::Label, &forgives);
    }
    let label = if case.label.is_empty() { "Case without a label" } else { &case.label };
    said.led(&format!("{label}."), if case.invented { message::INVENTED } else { "" });
    let mut head = Block::new(width);
    let left = width - LABEL_MM[0];
    head.frame(Token::Tick, Extent { left, top: 0.0, right: width, bottom: LABEL_MM[1] });
    head.put(Token::MutedNote, [left + 2.0, 5.0], Anchor::Start, "Patient's label");
    head.height_mm = said.height_mm.max(LABEL_MM[1]);
    head.place(said, [0.0, 0.0]);
    head
}

/// Rules that have a word, by their measure and of what.
fn named(plan: &Plan, word: Word) -> Option<String> {
    let mut groups: Vec<(&str, Vec<String>)> = Vec::new();
    let mut more = 0;
    for (count, verdict) in plan.verdicts.iter().filter(|v| v.required && v.word == word).enumerate() {
        if count >= MOST_NAMED {
            more += 1;
            continue;
        }
        let name = measure_name(verdict);
        let of = names::name_of(plan, &verdict.of);
        match groups.iter_mut().find(|(own, _)| *own == name) {
            Some((_, all)) => all.push(of),
            None => groups.push((name, vec![of])),
        }
    }
    let each: Vec<String> =
        groups.iter().map(|(name, of)| format!("{} ({})", name.to_lowercase(), of.join(", "))).collect();
    let more = if more > 0 { format!("; and {more} more") } else { String::new() };
    (!each.is_empty()).then(|| each.join("; ") + &more)
}

pub(super) fn measure_name(verdict: &Verdict) -> &str {
    measure::find(&verdict.measure).map_or(verdict.measure.as_str(), |measure| measure.name)
}

fn map(source: &Source<'_>, [width_mm, height_mm]: [f64; 2]) -> Block {
    let options = Options {
        size: Size::Fit { width_mm, height_mm },
        medium: Medium::Paper,
        along: source.along,
        around: source.around,
        lit: None,
        layers: Layers { handle: false, ..Layers::default() },
    };
    let scene = wall_map(source.map, &options).scene;
    Block { items: scene.items, width_mm: scene.width_mm, height_mm: scene.height_mm }
}

/// The table of tunnels, and below it what must be kept clear.
fn tunnels(plan: &Plan, width: f64) -> Block {
    let mut block = Block::new(width);
    let rows: Vec<Vec<Cell>> = plan.sheet_tunnels().into_iter().map(|tunnel| row(plan, tunnel)).collect();
    if !rows.is_empty() {
        let clearance =
            if plan.possibilities().len() > 1 { "Edge clearance (worst lie, line kept)" } else { "Edge clearance" };
        let heads = ["Vessel", "Tunnel", "Wired from", clearance, "Clock error", "Straight", "Stent", "Rules"];
        block.table(&heads, &rows);
    }
    let clear: Vec<String> = remarks::keep_clear(plan).into_iter().map(|(_, words)| words).collect();
    if !clear.is_empty() {
        block.gap(0.6);
        block.led("Keep clear, from the fabric:", &clear.join(" · "));
    }
    block
}

fn row(plan: &Plan, tunnel: &TunnelResult) -> Vec<Cell> {
    let grafts = plan.case.components.iter().filter_map(|component| component.graft.as_deref());
    let own = grafts.flat_map(|graft| &graft.tunnels).find(|own| own.id == tunnel.id);
    let wired = own.and_then(|own| own.wired_from.as_deref());
    let wired = wired.map_or_else(|| words::UNKNOWN.into(), wired_from);
    let judges = plan.verdicts.iter().filter(|verdict| verdict.required && verdict.of == tunnel.id);
    let mm = |quantity| words::or_unknown(quantity, |value: &f64| words::mm(*value));
    let lies = if plan.possibilities().len() > 1 {
        format!(" ({})", words::possibility_short(tunnel.possibility))
    } else {
        String::new()
    };
    vec![
        Cell::strong(&tunnel.serves),
        Cell::of(words::flow(tunnel.flow)),
        Cell::of(wired),
        Cell::strong(format!("{}{lies}", mm(&tunnel.edge_clearance_mm))),
        Cell::of(words::clock_error(tunnel)),
        Cell::of(mm(&tunnel.straight_mm)),
        Cell::of(plan.stent_of(tunnel).map_or_else(|| words::UNKNOWN.into(), words::stent_short)),
        judges.map(|verdict| verdict.word).min().map_or_else(|| Cell::of("no rule"), Cell::judged),
    ]
}

/// An access in words.
pub(super) fn wired_from(word: &str) -> String {
    names::shown("/components/*/graft/tunnels/*/wired_from", word)
}

/// What stands under the table: steps and views at the left, how far the graft may go at the right.
struct Below<'a> {
    steps: &'a [(String, String)],
    /// Whether there are steps that do not stand here.
    more: bool,
    views: Option<&'a str>,
    fallback: Option<&'a str>,
}

impl Below<'_> {
    fn block(&self, source: &Source<'_>, width: f64) -> Block {
        let plan = source.plan;
        let alone = self.steps.is_empty() && self.views.is_none() && !self.more;
        let right_mm = if alone { width } else { RIGHT_SHARE * (width - GAP_MM) };
        let mut left = Block::new((width - GAP_MM - right_mm).max(0.0));
        self.steps.iter().for_each(|(lead, words)| left.led(lead, words));
        if self.more {
            left.says(
                Token::Strong,
                if self.steps.is_empty() { "Steps: next page." } else { "Further steps: next page." },
            );
        }
        if let Some(views) = self.views {
            left.led("C-arm:", views);
        }
        let mut right = Block::new(right_mm);
        if !plan.grafts.is_empty() {
            right.led("May go upstream:", &may_go(source));
            if let Some(beyond) = remarks::must_not_beyond(plan) {
                right.says(Token::Strong, &beyond);
            }
        }
        for graft in &plan.grafts {
            let name = names::component(&plan.case, &graft.component);
            right.led(&format!("{}:", capital(&name)), &words::placement(&plan.case, &graft.placement));
        }
        if let Some(fallback) = self.fallback {
            right.led("If a vessel shuts:", fallback);
        }
        let mut both = Block::new(width);
        both.height_mm = left.height_mm.max(right.height_mm);
        both.place(left, [0.0, 0.0]);
        both.place(right, [width - right_mm, 0.0]);
        both
    }
}

/// How far the rules let it go upstream; cut, never rounded up.
fn may_go(source: &Source<'_>) -> String {
    match source.room {
        Some(Ok(own)) if own.holds() => {
            let far = own.room.reaches.iter().find(|reach| reach.way == Way::Upstream).map_or(0.0, |reach| reach.far);
            format!("{} by its rules.", words::mm((far * 10.0).floor() / 10.0))
        }
        Some(Ok(_)) => "not at all: a required rule fails or is unknown as it is drawn.".into(),
        _ => "unknown.".into(),
    }
}

pub(super) fn capital(words: &str) -> String {
    let mut letters = words.chars();
    letters.next().map_or_else(String::new, |first| first.to_uppercase().collect::<String>() + letters.as_str())
}

/// The steps, each as what is done, its view and who is then fed; and what to do if the graft comes to lie
/// turned.
fn release(plan: &Plan) -> (Vec<(String, String)>, Vec<String>) {
    if standing::steps(&plan.case).is_empty() {
        return (Vec::new(), Vec::new());
    }
    let mut staging = Staging::of(Arc::new(plan.clone()));
    let release = released(&mut staging);
    let lines = feed_words::lines(&plan.case, &release, &views(plan));
    let step = |(line, result): (&StepLine, &StepResult)| {
        let view = line.view.as_deref().map_or_else(String::new, |view| format!("{view} · "));
        let breaks = if line.breaks.is_empty() { String::new() } else { format!(" · ENDS UNFED: {}", line.breaks) };
        (format!("{} {}", line.number, line.does), format!("· {view}{} · brain {}{breaks}", fed(result), line.brain))
    };
    let steps = lines.iter().zip(&release.steps).map(step).collect();
    (steps, surprise(&mut staging).as_ref().map(feed_words::surprise).unwrap_or_default())
}

/// Vessels at a step's end by how they are fed, in the worst possibility: `fed IA, LSA; doubtful LCCA`.
fn fed(result: &StepResult) -> String {
    let states = [FeedState::Fed, FeedState::Doubtful, FeedState::Unknown, FeedState::Unfed];
    let of = |state: FeedState| -> Vec<&str> {
        let vessels = feed_words::vessels(result);
        vessels
            .into_iter()
            .filter(|id| result.worst(id).map_or(FeedState::Unknown, |feed| feed.state) == state)
            .collect()
    };
    let each = states.map(|state| (feed_words::state_word(state), of(state)));
    let each = each.iter().filter(|(_, all)| !all.is_empty()).map(|(word, all)| format!("{word} {}", all.join(", ")));
    each.collect::<Vec<_>>().join("; ")
}

/// The views of the C-arm in one paragraph.
fn views_in_words(plan: &Plan) -> Option<String> {
    let all = views(plan);
    let shown = sheet_views(plan, &all);
    let each: Vec<String> = shown
        .iter()
        .map(|view| format!("{} {}", carm::words::view_name(plan, view), carm::words::view(view)))
        .collect();
    let begin = "to begin with (CT with arms up and no wire, ostia can move by 10 mm): ";
    (!each.is_empty()).then(|| format!("{begin}{}", each.join(" · ")))
}
