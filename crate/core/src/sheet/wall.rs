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
use crate::feed::release::{self, StepResult, released};
use crate::feed::stage::Staging;
use crate::feed::standing;
use crate::feed::surprise::surprise;
use crate::feed::words::{self as feed_words, StepLine};
use crate::graft::lie::PlacedGraft;
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
/// Height that the map keeps while words may go to the next page, mm.
const MAP_MM: f64 = 72.0;
/// Its least height where the steps and the fallback would else leave the page, mm.
const LEAST_MAP_MM: f64 = 62.0;
/// Least width of the fallback beside the steps, mm.
const LEAST_BESIDE_MM: f64 = 45.0;
/// Between two columns under the table, mm.
const GAP_MM: f64 = 8.0;
/// Share of the right one of what must not be.
const RIGHT_SHARE: f64 = 0.58;
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
    let places = places(source.plan);
    let free = height - head.height_mm - table.height_mm - foot.height_mm - 4.0;
    let shown = |(kept, with_views, with_places, with_fallback, _): Trial| Below {
        steps: steps.first(kept),
        more: kept < steps.rows.len(),
        views: views.as_deref().filter(|_| with_views),
        places: places.as_deref().filter(|_| with_places),
        fallback: fallback.as_deref().map(|words| if with_fallback { words } else { ELSEWHERE }),
    };
    // As much as leaves the map its height: all; without the views; without where pieces lie; with a lower
    // map; then fewer and fewer steps, and the fallback where it fits beside them.
    let all = steps.rows.len();
    let trials: [Trial; 3] =
        [(all, true, true, true, MAP_MM), (all, false, true, true, MAP_MM), (all, false, false, true, MAP_MM)];
    let fewer = (0..=all).rev().flat_map(|kept| [true, false].map(|own| (kept, false, false, own, LEAST_MAP_MM)));
    // Where even the shortest leaves less, as much as is no taller than that.
    let most = free - shown((0, false, false, false, 0.0)).block(source, width).height_mm;
    let mut chosen = trials[0];
    let mut below = Block::new(width);
    for trial in trials.into_iter().chain(fewer) {
        (chosen, below) = (trial, shown(trial).block(source, width));
        if free - below.height_mm >= trial.4.min(most) {
            break;
        }
    }
    let (kept, with_views, with_places, with_fallback, _) = chosen;
    let mut left_over = Vec::new();
    if kept < all {
        left_over.push(Left::Head("Steps"));
        left_over.extend(steps.said[kept..].iter().map(|(lead, words)| Left::Line(lead.clone(), words.clone())));
    }
    left_over.extend(fallback.filter(|_| !with_fallback).map(|words| Left::Line("If a vessel shuts:".into(), words)));
    left_over.extend(places.filter(|_| !with_places).map(|words| Left::Line("Placed:".into(), words)));
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

/// What is tried on the wall sheet: how many steps, whether the views, where pieces lie, the fallback; and
/// the height that it must leave the map, mm.
type Trial = (usize, bool, bool, bool, f64);

/// The steps as rows of a table, and in words for a page that has more room.
#[derive(Default)]
struct Steps {
    heads: Vec<String>,
    rows: Vec<Vec<Cell>>,
    said: Vec<(String, String)>,
}

impl Steps {
    fn first(&self, count: usize) -> (Vec<&str>, &[Vec<Cell>]) {
        (self.heads.iter().map(String::as_str).collect(), &self.rows[..count])
    }
}

/// What stands under the table of tunnels: how far the graft may go, the steps, the fallback beside them
/// where it fits and else below, where the pieces lie, views.
struct Below<'a> {
    steps: (Vec<&'a str>, &'a [Vec<Cell>]),
    /// Whether there are steps that do not stand here.
    more: bool,
    views: Option<&'a str>,
    places: Option<&'a str>,
    fallback: Option<&'a str>,
}

impl Below<'_> {
    fn block(&self, source: &Source<'_>, width: f64) -> Block {
        let mut all = Block::new(width);
        if !source.plan.grafts.is_empty() {
            let right_mm = RIGHT_SHARE * (width - GAP_MM);
            let mut left = Block::new(width - GAP_MM - right_mm);
            left.led("May go upstream:", &may_go(source));
            let mut right = Block::new(right_mm);
            if let Some(beyond) = remarks::must_not_beyond(source.plan) {
                right.says(Token::Strong, &beyond);
            }
            all.beside(left, right);
            all.gap(0.6);
        }
        let beside = width - Block::table_mm(&self.steps.0, self.steps.1) - GAP_MM;
        let under = self.steps(width, None);
        all.add(match self.fallback.filter(|_| beside >= LEAST_BESIDE_MM && !self.steps.1.is_empty()) {
            Some(_) => {
                let own = self.steps(width, Some(beside));
                if own.height_mm < under.height_mm { own } else { under }
            }
            None => under,
        });
        for (lead, words) in [("Placed:", self.places), ("C-arm:", self.views)] {
            if let Some(words) = words {
                all.led(lead, words);
            }
        }
        all
    }

    /// The steps with the fallback so wide beside them, or below.
    fn steps(&self, width: f64, beside: Option<f64>) -> Block {
        let mut left = Block::new(beside.map_or(width, |beside| width - GAP_MM - beside));
        if !self.steps.1.is_empty() {
            left.table(&self.steps.0, self.steps.1);
        }
        if self.more {
            let none = self.steps.1.is_empty();
            left.says(Token::Strong, if none { "Steps: next page." } else { "Further steps: next page." });
        }
        let mut fallback = Block::new(beside.unwrap_or(width));
        if let Some(words) = self.fallback {
            fallback.led("If a vessel shuts:", words);
        }
        let mut all = Block::new(width);
        if beside.is_some() {
            all.beside(left, fallback);
        } else {
            all.add(left);
            all.add(fallback);
        }
        all
    }
}

/// Where each piece lies.
fn places(plan: &Plan) -> Option<String> {
    let place = |graft: &PlacedGraft| {
        format!(
            "{}: {}",
            names::component(&plan.case, &graft.component),
            words::placement(&plan.case, &graft.placement)
        )
    };
    let each: Vec<String> = plan.grafts.iter().map(place).collect();
    (!each.is_empty()).then(|| format!("{}.", each.join(" · ")))
}

/// How far the rules let it go upstream; cut, never rounded up.
fn may_go(source: &Source<'_>) -> String {
    match source.room {
        Some(Ok(own)) if own.holds() => {
            let far = own.room.reaches.iter().find(|reach| reach.way == Way::Upstream).map_or(0.0, |reach| reach.far);
            format!("{} by its rules.", words::mm((far * 10.0).floor() / 10.0))
        }
        Some(Ok(_)) => "not at all: a required rule fails or is unknown.".into(),
        _ => "unknown.".into(),
    }
}

pub(super) fn capital(words: &str) -> String {
    let mut letters = words.chars();
    letters.next().map_or_else(String::new, |first| first.to_uppercase().collect::<String>() + letters.as_str())
}

/// The steps, each as what is done, its view and who is then fed; and what to do if the graft comes to lie
/// turned.
fn release(plan: &Plan) -> (Steps, Vec<String>) {
    let case = &plan.case;
    if standing::steps(case).is_empty() {
        return (Steps::default(), Vec::new());
    }
    let mut staging = Staging::of(Arc::new(plan.clone()));
    let release = released(&mut staging);
    let lines = feed_words::lines(case, &release, &views(plan));
    let said = |(line, result): (&StepLine, &StepResult)| {
        let view = line.view.as_deref().map_or_else(String::new, |view| format!("{view} · "));
        let breaks = if line.breaks.is_empty() { String::new() } else { format!(" · ENDS UNFED: {}", line.breaks) };
        (format!("{} {}", line.number, line.does), format!("· {view}{} · brain {}{breaks}", fed(result), line.brain))
    };
    let vessels = release.steps.first().map_or(Vec::new(), feed_words::vessels);
    let needed = |id: &str| release.dependants.iter().find(|own| own.vessel == id);
    let head = |id: &&str| match needed(id) {
        Some(own) if own.heart => format!("{id}, heart"),
        Some(_) => format!("{id}, must"),
        None => (*id).to_owned(),
    };
    let heads = ["Step", "C-arm"].map(str::to_owned).into_iter().chain(vessels.iter().map(head));
    let row = |(line, result): (&StepLine, &StepResult)| {
        let cell = |id: &&str| {
            let state = result.worst(id).map_or(FeedState::Unknown, |feed| feed.state);
            let word = feed_words::state_word(state);
            // What must not be so is told by letters, not by weight alone.
            let breaks = result.standing.begun() && state != FeedState::Fed && needed(id).is_some();
            if breaks { Cell::strong(word.to_uppercase()) } else { Cell::of(word) }
        };
        let begin = [
            Cell::strong(format!("{} {}", line.number, feed_words::does_briefly(case, &result.step))),
            Cell::of(line.view.clone().unwrap_or_default()),
        ];
        let brain = format!("{} of {}", release::brain(case, &result.feeds).fed, release::BRAIN.len());
        begin.into_iter().chain(vessels.iter().map(cell)).chain([Cell::of(brain)]).collect()
    };
    let each = || lines.iter().zip(&release.steps);
    let steps = Steps {
        heads: heads.chain(["Brain".to_owned()]).collect(),
        rows: each().map(row).collect(),
        said: each().map(said).collect(),
    };
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
