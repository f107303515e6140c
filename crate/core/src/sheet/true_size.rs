//! Wall map and fabric maps 1:1, split over pages where they are larger than one, with check bars.
//!
//! Neighbouring pages share a strip, and crosses in it lie over each other when they are joined.

use super::Source;
use super::block::{Block, size_mm, width_mm};
use super::fabric_map::fabric_map;
use super::paper::Leaves;
use crate::message;
use crate::report::names;
use crate::scene::axes::{Along, Around};
use crate::scene::clip;
use crate::scene::ink::ARROW_MM;
use crate::scene::lettering::Extent;
use crate::scene::style::{Medium, Token};
use crate::scene::wall_map::{Layers, Options, Size, wall_map};
use crate::scene::{Anchor, Item, Scene, Shape, Sign, Spot};

/// Length of a check bar, mm.
const BAR_MM: f64 = 50.0;
/// Strip that two neighbouring pages share, mm.
const OVERLAP_MM: f64 = 20.0;
/// Room at the left for the upright bar, mm.
const ASIDE_MM: f64 = 12.0;
/// Room that the lying bar takes at the right of the words above the drawing, mm.
const BAR_ROOM_MM: f64 = 72.0;
/// Larger drawings are not split: no aorta is.
const MOST_PAGES: usize = 12;

/// Lays them out.
pub(super) fn flow(source: &Source<'_>, leaves: &mut Leaves<'_>) {
    let options = Options {
        size: Size::TrueSize,
        medium: Medium::Paper,
        along: Along::OuterCurve,
        around: Around::WallLength,
        lit: None,
        layers: Layers { handle: false, ..Layers::default() },
    };
    if source.plan.anatomy.is_ok() {
        split(leaves, "Wall map at true size", &wall_map(source.map, &options).scene);
    }
    for component in &source.plan.case.components {
        let name = names::component(&source.plan.case, &component.id);
        let map = component.graft.as_deref().and_then(|graft| fabric_map(graft, &name));
        if let Some(map) = map {
            split(leaves, &map.title, &map);
        }
    }
}

/// Where pages begin along one side: the whole, or pieces that share a strip.
fn pieces(whole_mm: f64, room_mm: f64) -> Vec<f64> {
    if whole_mm <= room_mm {
        return vec![0.0];
    }
    let step = room_mm - OVERLAP_MM;
    let count = (((whole_mm - OVERLAP_MM) / step).ceil().max(2.0) as usize).min(MOST_PAGES);
    (0..count).map(|piece| (piece as f64 * step).min(whole_mm - room_mm)).collect()
}

/// Puts a drawing on as many pages as it needs.
fn split(leaves: &mut Leaves<'_>, title: &str, scene: &Scene) {
    leaves.begin_large(title);
    let [width, height] = leaves.left_mm();
    let heads = |part: &str| {
        let mut block = Block::new(width - BAR_ROOM_MM);
        block.says(Token::Strong, message::MEASURE_BARS);
        block.led(message::NO_TEMPLATE, part);
        block
    };
    let says = heads(&part(0, 1, 2, 2));
    let room = [width - ASIDE_MM, height - says.height_mm - 1.5];
    let (across, down) = (pieces(scene.width_mm, room[0]), pieces(scene.height_mm, room[1]));
    let window = |left: f64, top: f64| Extent {
        left,
        top,
        right: (left + room[0]).min(scene.width_mm),
        bottom: (top + room[1]).min(scene.height_mm),
    };
    let windows: Vec<Extent> = down.iter().flat_map(|top| across.iter().map(|left| window(*left, *top))).collect();
    for (row, top) in down.iter().enumerate() {
        for (column, left) in across.iter().enumerate() {
            if row + column > 0 {
                leaves.begin_large(title);
            }
            let mut page = Block::new(width);
            let at = [ASIDE_MM, says.height_mm + 1.0];
            let window = window(*left, *top);
            page.items.extend(cut(scene, &window, &windows, at));
            crosses(&mut page, &across, &down, &window, room, at);
            page.place(heads(&part(row, column, across.len(), down.len())), [0.0, 0.0]);
            bars(&mut page, width, at);
            page.height_mm = height;
            leaves.put(page);
        }
    }
}

fn part(row: usize, column: usize, across: usize, down: usize) -> String {
    if across * down == 1 {
        return String::new();
    }
    format!(
        "Part {} of {}: lay the crosses of neighbouring pages on each other.",
        row * across + column + 1,
        across * down
    )
}

/// What of a drawing lies in a window, cut at its edge and moved so that the window's corner lies at a
/// place. Words that no window holds whole stand in the one that holds their middle, pushed inside.
fn cut(scene: &Scene, window: &Extent, all: &[Extent], at: Spot) -> Vec<Item> {
    let by = [at[0] - window.left, at[1] - window.top];
    let with = |item: &Item, shape: Shape| Item { shape, tie: None, ..item.clone() };
    let lines = |item: &Item, points: &[Spot]| -> Vec<Item> {
        clip::line(points, window).into_iter().map(|part| with(item, Shape::Path(part))).collect()
    };
    let piece = |item: &Item| -> Vec<Item> {
        let Some(own) = extent(item) else { return Vec::new() };
        if own.inside(window) {
            return vec![item.clone()];
        }
        match &item.shape {
            Shape::Path(points) => lines(item, points),
            Shape::Area(rings) => {
                let kept: Vec<Vec<Spot>> = rings.iter().map(|ring| clip::ring(ring, window)).collect();
                let kept: Vec<Vec<Spot>> = kept.into_iter().filter(|ring| !ring.is_empty()).collect();
                if kept.is_empty() { Vec::new() } else { vec![with(item, Shape::Area(kept))] }
            }
            Shape::Dimension { from, to } => lines(item, &[*from, *to]),
            Shape::Text { .. } if !all.iter().any(|other| own.inside(other)) => {
                let middle = [(own.left + own.right) / 2.0, (own.top + own.bottom) / 2.0];
                let here = |room: &&Extent| {
                    (room.left..=room.right).contains(&middle[0]) && (room.top..=room.bottom).contains(&middle[1])
                };
                if all.iter().find(here) != Some(window) {
                    return Vec::new();
                }
                let shift = |low: f64, high: f64, from: f64, to: f64| (from - low).max(0.0) + (to - high).min(0.0);
                let mut moved = item.clone();
                if let Shape::Text { words, .. } = &mut moved.shape {
                    // Of a caption wider than a page the last sentences stay away.
                    while width_mm(item.token, words) > window.right - window.left
                        && let Some(end) = words.trim_end_matches('.').rfind(". ")
                    {
                        words.truncate(end + 1);
                    }
                }
                let own = extent(&moved).unwrap_or(own);
                moved.shape.move_by([
                    shift(own.left, own.right, window.left, window.right),
                    shift(own.top, own.bottom, window.top, window.bottom),
                ]);
                vec![moved]
            }
            // Small things lie whole in one window or the other: the strip they share is wider.
            _ => Vec::new(),
        }
    };
    let mut items: Vec<Item> = scene.items.iter().flat_map(piece).collect();
    for item in &mut items {
        item.tie = None;
        item.shape.move_by(by);
    }
    items
}

/// The room an item takes.
fn extent(item: &Item) -> Option<Extent> {
    let around = |at: Spot, by: f64| Extent { left: at[0], top: at[1], right: at[0], bottom: at[1] }.grown(by);
    match &item.shape {
        Shape::Path(points) => Extent::around(points),
        Shape::Area(rings) => Extent::around(&rings.concat()),
        Shape::Circle { centre, radius_mm } => Some(around(*centre, *radius_mm)),
        Shape::Mark { at, size_mm, .. } => Some(around(*at, size_mm / 2.0)),
        // The arrowheads of a short one stand outside it.
        Shape::Dimension { from, to } => Extent::around(&[*from, *to]).map(|own| own.grown(2.0 * ARROW_MM)),
        Shape::Field { from, to, .. } => Extent::around(&[*from, *to]),
        Shape::Text { at, words, anchor, then, .. } => {
            let more = then.as_ref().map_or(0.0, |(token, more)| width_mm(*token, more));
            let wide = width_mm(item.token, words) + more;
            let left = match anchor {
                Anchor::Start => at[0],
                Anchor::Middle => at[0] - wide / 2.0,
                Anchor::End => at[0] - wide,
            };
            let size = size_mm(item.token);
            Some(Extent { left, top: at[1] - 0.8 * size, right: left + wide, bottom: at[1] + 0.25 * size })
        }
    }
}

/// Crosses in the strips that pages share, at the same places of the drawing on both.
fn crosses(page: &mut Block, across: &[f64], down: &[f64], window: &Extent, room: [f64; 2], at: Spot) {
    let middle = |begins: &[f64], room: f64| -> Vec<f64> {
        begins.windows(2).map(|pair| (pair[1] + pair[0] + room) / 2.0).collect()
    };
    let (xs, ys) = (middle(across, room[0]), middle(down, room[1]));
    let thirds = |from: f64, to: f64| [0.1, 0.9].map(|share| from + share * (to - from));
    let mut marks: Vec<Spot> = Vec::new();
    for x in &xs {
        for top in down {
            marks.extend(thirds(*top, top + room[1].min(window.bottom - window.top)).map(|y| [*x, y]));
        }
    }
    for y in &ys {
        for left in across {
            marks.extend(thirds(*left, left + room[0].min(window.right - window.left)).map(|x| [x, *y]));
        }
    }
    for mark in marks {
        if mark[0] > window.left && mark[0] < window.right && mark[1] > window.top && mark[1] < window.bottom {
            let spot = [at[0] + mark[0] - window.left, at[1] + mark[1] - window.top];
            page.item(Token::Tick, Shape::Circle { centre: spot, radius_mm: 1.6 });
            page.item(Token::Tick, Shape::Mark { at: spot, sign: Sign::Cross, size_mm: 6.0 });
        }
    }
}

/// The two bars: a lying one above the drawing at the right, an upright one at its left.
fn bars(page: &mut Block, width: f64, aside: Spot) {
    let words = format!("{BAR_MM:.0} mm");
    let mut bar = |from: Spot, to: Spot, [dx, dy]: Spot| {
        page.line(Token::Frame, from, to);
        for end in [from, to] {
            page.line(Token::Frame, [end[0] - dx, end[1] - dy], [end[0] + dx, end[1] + dy]);
        }
    };
    let (x, y) = (width - BAR_MM - 1.0, 3.0);
    bar([x, y], [x + BAR_MM, y], [0.0, 2.0]);
    let (left, top) = (4.0, aside[1] + 8.0);
    bar([left, top], [left, top + BAR_MM], [2.0, 0.0]);
    page.put(Token::Note, [x - 2.0, y + 1.3], Anchor::End, &words);
    page.put(Token::Note, [0.0, top - 3.5], Anchor::Start, &words);
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn pieces_share_a_strip_and_reach_the_end() {
        assert_eq!(pieces(200.0, 250.0), [0.0]);
        for whole in [251.0, 400.0, 900.0] {
            let begins = pieces(whole, 250.0);
            assert_eq!(begins[0], 0.0);
            assert!((begins[begins.len() - 1] + 250.0 - whole).abs() < 1e-9);
            for pair in begins.windows(2) {
                assert!(pair[0] + 250.0 - pair[1] >= OVERLAP_MM - 1e-9);
            }
        }
    }
}
