//! The room of the placement as a chart: shift to the right downstream, turn down to the front-left as
//! on the wall map. The drawn placement is the origin.
//!
//! Within the wide border every required rule holds, within the dashed one by at least its error. Each
//! stretch of the border names what fails there. The drawing only places what [`RoomInput`] holds.

use super::lanes::Places;
use super::lettering::{self, Extent};
use super::pen::Pen;
use super::style::{Medium, Token};
use super::{Anchor, Scene, Sign, Spot};
use crate::report::words::signed;
use crate::room::border::Ring;
use crate::room::plane::Move;

/// What the chart is drawn from.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct RoomInput {
    /// Border of the room.
    pub holds: Vec<Ring>,
    /// Border of where everything holds by its error.
    pub surely: Vec<Ring>,
    /// What fails, in words short enough for a label, by the number that the rings name.
    pub fails: Vec<String>,
    /// The best placement, as a move.
    pub best: Option<Move>,
    /// Where there is no room: the nearest move that holds.
    pub nearest: Option<Move>,
}

/// Least size of a chart, mm.
const LEAST_MM: f64 = 30.0;
/// Farthest apart two marks of an axis may stand, mm of the drawing.
const TICKS_MM: f64 = 14.0;

/// Draws the chart.
pub fn room_chart(input: &RoomInput, width_mm: f64, height_mm: f64, medium: Medium) -> Scene {
    let bounded = |mm: f64| if mm.is_finite() { mm.clamp(LEAST_MM, 1000.0) } else { LEAST_MM };
    let (width_mm, height_mm) = (bounded(width_mm), bounded(height_mm));
    let pen = Pen::new(medium);
    let note = pen.letters(Token::Note);
    let plot = Extent {
        left: 2.0 + pen.width(Token::MutedNote, "\u{2212}180°"),
        top: 1.7 * note,
        right: width_mm - 1.0,
        bottom: height_mm - 3.3 * note,
    };
    let mut chart = Chart { input, plot, ends: ends(input), pen };
    chart.axes();
    let ground = chart.pen.items.len();
    chart.room();
    chart.points();
    chart.names();
    Scene {
        name: "room",
        width_mm,
        height_mm,
        medium,
        title: "Room of the placement: how far the graft may be slid and turned.".into(),
        description: String::new(),
        items: chart.pen.items,
        ground,
    }
}

struct Chart<'a> {
    input: &'a RoomInput,
    plot: Extent,
    /// Lowest and highest move drawn.
    ends: [Move; 2],
    pen: Pen,
}

/// Everything drawn, with a tenth around it.
fn ends(input: &RoomInput) -> [Move; 2] {
    let least = [Move::new(-5.0, -15.0), Move::new(5.0, 15.0)];
    let points = input.holds.iter().flatten().map(|point| point.at).chain(input.best).chain(input.nearest);
    let [low, high] = points.fold(least, |[low, high], at| {
        [
            Move::new(low.shift_mm.min(at.shift_mm), low.turn_deg.min(at.turn_deg)),
            Move::new(high.shift_mm.max(at.shift_mm), high.turn_deg.max(at.turn_deg)),
        ]
    });
    let [shift, turn] = [0.15 * (high.shift_mm - low.shift_mm), 0.15 * (high.turn_deg - low.turn_deg)];
    [
        Move::new(low.shift_mm - shift, (low.turn_deg - turn).max(-180.0)),
        Move::new(high.shift_mm + shift, (high.turn_deg + turn).min(180.0)),
    ]
}

impl Chart<'_> {
    fn spot(&self, at: Move) -> Spot {
        let [low, high] = self.ends;
        let share = |value: f64, from: f64, to: f64| (value - from) / (to - from);
        [
            self.plot.left + share(at.shift_mm, low.shift_mm, high.shift_mm) * (self.plot.right - self.plot.left),
            self.plot.top + share(at.turn_deg, low.turn_deg, high.turn_deg) * (self.plot.bottom - self.plot.top),
        ]
    }

    fn axes(&mut self) {
        let [low, high] = self.ends;
        let note = self.pen.letters(Token::Note);
        let plot = self.plot;
        let step = |from: f64, to: f64, room: f64, steps: &[f64]| {
            let fits = |step: &&f64| **step / (to - from) * room >= TICKS_MM / 2.0;
            steps.iter().find(fits).or(steps.last()).copied().unwrap_or(10.0)
        };
        let marks = |from: f64, to: f64, step: f64| {
            let (first, last) = ((from / step).ceil() as i32, (to / step).floor() as i32);
            (first..=last).map(move |mark| f64::from(mark) * step).collect::<Vec<f64>>()
        };
        let shift = step(low.shift_mm, high.shift_mm, plot.right - plot.left, &[1.0, 2.0, 5.0, 10.0, 20.0]);
        for mm in marks(low.shift_mm, high.shift_mm, shift) {
            let [x, _] = self.spot(Move::new(mm, 0.0));
            let token = if mm == 0.0 { Token::Tick } else { Token::Grid };
            self.pen.line(token, vec![[x, plot.top], [x, plot.bottom]]);
            self.pen.words(
                Token::MutedNote,
                [x, plot.bottom + 1.05 * note],
                Anchor::Middle,
                &signed(format!("{mm:.0}")),
            );
        }
        let turn = step(low.turn_deg, high.turn_deg, plot.bottom - plot.top, &[5.0, 10.0, 15.0, 30.0, 45.0, 90.0]);
        for deg in marks(low.turn_deg, high.turn_deg, turn) {
            let [_, y] = self.spot(Move::new(0.0, deg));
            let token = if deg == 0.0 { Token::Tick } else { Token::Grid };
            self.pen.line(token, vec![[plot.left, y], [plot.right, y]]);
            let words = format!("{}°", signed(format!("{deg:.0}")));
            self.pen.words(Token::MutedNote, [plot.left - 1.0, y + 0.3 * note], Anchor::End, &words);
        }
        let below = plot.bottom + 2.4 * note;
        self.pen.words(Token::MutedNote, [plot.left, below], Anchor::Start, "upstream");
        self.pen.words(Token::MutedNote, [(plot.left + plot.right) / 2.0, below], Anchor::Middle, "mm of shift");
        self.pen.words(Token::MutedNote, [plot.right, below], Anchor::End, "downstream");
        self.pen.words(Token::MutedNote, [plot.right, plot.top - 0.5 * note], Anchor::End, "turned to the back-right");
        self.pen.words(
            Token::MutedNote,
            [plot.right, plot.bottom - 0.4 * note],
            Anchor::End,
            "turned to the front-left",
        );
    }

    fn drawn(&self, rings: &[Ring]) -> Vec<Vec<Spot>> {
        rings.iter().map(|ring| ring.iter().map(|point| self.spot(point.at)).collect()).collect()
    }

    fn room(&mut self) {
        let holds = self.drawn(&self.input.holds);
        if !holds.is_empty() {
            self.pen.area(Token::Room, holds);
        }
        for mut ring in self.drawn(&self.input.surely) {
            ring.extend(ring.first().copied());
            self.pen.line(Token::RoomSure, ring);
        }
    }

    fn points(&mut self) {
        self.pen.tie("room.best");
        if let Some(best) = self.input.best.or(self.input.nearest) {
            let at = self.spot(best);
            self.pen.mark(Token::GraftMark, at, Sign::Diamond, 3.4);
        }
        self.pen.untie();
        self.pen.mark(Token::CentreCross, self.spot(Move::default()), Sign::Cross, 4.6);
    }

    /// What fails along each stretch of the border: inside the room where it is wide enough there, else
    /// just outside.
    fn names(&mut self) {
        let note = self.pen.letters(Token::Note);
        let mut places = Places::new(self.plot.grown(-0.3));
        let here = self.spot(Move::default());
        places.take(Extent { left: here[0] - 2.5, top: here[1] - 2.5, right: here[0] + 2.5, bottom: here[1] + 2.5 });
        for ring in &self.input.holds {
            for run in stretches(ring) {
                let Some(words) = run.by.and_then(|by| self.input.fails.get(by)).cloned() else { continue };
                let spots: Vec<Spot> = run.points.iter().map(|at| self.spot(*at)).collect();
                let length: f64 =
                    spots.windows(2).map(|pair| (pair[1][0] - pair[0][0]).hypot(pair[1][1] - pair[0][1])).sum();
                if length < 2.0 * note {
                    continue;
                }
                let [x, y] = halfway(&spots, length);
                let look = Token::Note.look();
                let (half, up) = (self.pen.width(Token::Note, &words) / 2.0, 0.35 * note);
                let around = [
                    [x - half - 1.2, y + up],
                    [x + half + 1.2, y + up],
                    [x, y - 0.7 * note],
                    [x, y + 1.4 * note],
                    [x - half - 1.2, y - note],
                    [x + half + 1.2, y - note],
                    [x - half - 1.2, y + 1.7 * note],
                    [x + half + 1.2, y + 1.7 * note],
                ];
                let medium = if note > 3.5 { Medium::Paper } else { Medium::Screen };
                let extents = around.map(|at| lettering::word_extent(&words, at, Anchor::Middle, &look, medium));
                if let Some(free) = places.first_free(extents)
                    && let Some(which) = extents.iter().position(|extent| *extent == free)
                {
                    self.pen.words(Token::Note, around[which], Anchor::Middle, &words);
                }
            }
        }
    }
}

/// A stretch of border along which one thing fails.
struct Stretch {
    by: Option<usize>,
    points: Vec<Move>,
}

fn stretches(ring: &Ring) -> Vec<Stretch> {
    let mut runs: Vec<Stretch> = Vec::new();
    // Begun where what fails changes, so that no stretch is cut in two.
    let start = (0..ring.len()).find(|i| ring[*i].by != ring[(*i + ring.len() - 1) % ring.len()].by).unwrap_or(0);
    for i in 0..ring.len() {
        let point = ring[(start + i) % ring.len()];
        match runs.last_mut() {
            Some(run) if run.by == point.by => run.points.push(point.at),
            _ => runs.push(Stretch { by: point.by, points: vec![point.at] }),
        }
    }
    runs
}

/// The point halfway along a line.
fn halfway(spots: &[Spot], length: f64) -> Spot {
    let mut left = length / 2.0;
    for pair in spots.windows(2) {
        let piece = (pair[1][0] - pair[0][0]).hypot(pair[1][1] - pair[0][1]);
        if piece >= left && piece > 0.0 {
            let share = left / piece;
            return [pair[0][0] + share * (pair[1][0] - pair[0][0]), pair[0][1] + share * (pair[1][1] - pair[0][1])];
        }
        left -= piece;
    }
    spots.last().copied().unwrap_or_default()
}

#[cfg(test)]
mod tests {
    use super::super::Shape;
    use super::*;
    use crate::room::border::BorderPoint;

    fn input() -> RoomInput {
        let corners = [(-6.0, -20.0, 0), (9.0, -20.0, 1), (9.0, 25.0, 2), (-6.0, 25.0, 3)];
        let ring = |by: fn(usize) -> usize| {
            corners.iter().map(|(s, t, k)| BorderPoint { at: Move::new(*s, *t), by: Some(by(*k)) }).collect::<Ring>()
        };
        // Each side as two points of its own, so that each stretch has a length.
        let mut sides = Vec::new();
        for (place, point) in ring(|k| k).iter().enumerate() {
            let next = corners[(place + 1) % 4];
            sides.push(*point);
            sides.push(BorderPoint { at: Move::new(next.0, next.1), by: point.by });
        }
        RoomInput {
            holds: vec![sides],
            surely: vec![],
            fails: ["turn", "IA", "turn", "LSA"].map(String::from).to_vec(),
            best: Some(Move::new(1.5, 2.5)),
            nearest: None,
        }
    }

    #[test]
    fn each_side_of_the_border_has_its_name_and_the_map_s_directions() {
        let scene = room_chart(&input(), 120.0, 80.0, Medium::Screen);
        let text = |words: &str| {
            scene.items.iter().find_map(|item| match &item.shape {
                Shape::Text { at, words: said, .. } if said == words => Some(*at),
                _ => None,
            })
        };
        assert!(text("IA").is_some() && text("LSA").is_some() && text("turn").is_some());
        let (ia, lsa) = (text("IA").expect("drawn"), text("LSA").expect("drawn"));
        assert!(lsa[0] < ia[0], "downstream is to the right");
        let (front, back) =
            (text("turned to the front-left").expect("drawn"), text("turned to the back-right").expect("drawn"));
        assert!(front[1] > back[1], "the front-left is below");
    }

    #[test]
    fn nothing_is_drawn_where_there_is_no_room() {
        let scene = room_chart(&RoomInput::default(), f64::NAN, 10.0, Medium::Paper);
        assert!(scene.items.iter().all(|item| item.token != Token::Room));
        assert!(scene.width_mm >= LEAST_MM);
    }
}
