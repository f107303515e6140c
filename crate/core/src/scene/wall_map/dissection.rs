//! What a dissection adds to the map: the flap with the false lumen behind it, suture lines, ways with
//! their size.

use super::super::axes::WallSpot;
use super::super::lettering::Extent;
use super::super::map_input::MapPoint;
use super::super::style::Token;
use super::super::{Anchor, Sign};
use super::Sheet;
use crate::units::Angle;
use std::f64::consts::TAU;

/// Steps round the false lumen at the ends of the flap.
const STEPS: usize = 6;

impl Sheet<'_> {
    /// Wall that is the flap, hatched, between the lines along which it meets the wall; suture lines.
    pub(super) fn false_lumen(&mut self) {
        let flap = &self.input.anatomy.flap;
        if let (Some(first), Some(last)) = (flap.first(), flap.last()) {
            let spot = |(station_mm, clock): (f64, Angle)| WallSpot { station_mm, clock };
            let edge = |side: usize| flap.iter().map(move |(station, edges)| spot((*station, edges[side])));
            // Round by the false lumen: from the second edge onwards to the first.
            let round = |(station, [from, to]): &(f64, [Angle; 2])| {
                let turn = TAU - (*to - *from).to_rad().rem_euclid(TAU);
                let spot = |step: usize| *to + Angle::rad(turn * step as f64 / STEPS as f64);
                (1..STEPS).map(|step| (*station, spot(step))).collect::<Vec<_>>()
            };
            let mut ring: Vec<WallSpot> = edge(1).collect();
            ring.extend(round(last).into_iter().map(spot));
            let back: Vec<WallSpot> = edge(0).collect();
            ring.extend(back.into_iter().rev());
            ring.extend(round(first).into_iter().rev().map(spot));
            let (regions, _) = self.axes.outline(&ring);
            self.pen.area(Token::FalseLumen, regions);
            for side in [0, 1] {
                let line: Vec<WallSpot> = edge(side).collect();
                let drawn = self.axes.line(&line);
                self.pen.lines(Token::Flap, drawn);
            }
        }
        let [first, last] = self.axes.station_range();
        for station_mm in self.input.anatomy.sutures.iter().filter(|s| (first..=last).contains(*s)) {
            let ends = [-Angle::HALF_TURN, Angle::HALF_TURN];
            let line = ends.map(|clock| self.axes.spot(WallSpot { station_mm: *station_mm, clock }));
            self.pen.line(Token::SutureLine, line.to_vec());
        }
    }

    /// Ways: their outline, or a mark over the full clock where that is not known.
    pub(super) fn ways(&mut self) {
        for way in &self.input.anatomy.ways {
            self.pen.tie(&way.id);
            let at = self.spot(WallSpot { station_mm: way.station_mm, clock: way.clock.unwrap_or(Angle::ZERO) });
            let own = Extent { left: at[0], top: at[1], right: at[0], bottom: at[1] };
            match way.clock {
                None => {
                    let ends = [-180.0, 180.0].map(Angle::deg);
                    let line = ends.map(|clock| self.axes.spot(WallSpot { station_mm: way.station_mm, clock }));
                    self.pen.line(Token::WayUnknown, line.to_vec());
                    self.pen.mark(Token::WayUnknown, at, Sign::Question, 4.0);
                }
                Some(_) if way.outline.is_empty() => self.pen.mark(Token::WayUnknown, at, Sign::Question, 4.0),
                Some(_) => {
                    let (regions, _) = self.axes.outline(&way.outline);
                    if let Some(drawn) = Extent::around(&regions.iter().flatten().copied().collect::<Vec<_>>()) {
                        self.places.take(drawn);
                    }
                    self.pen.area(Token::Way, regions);
                    self.pen.mark(Token::Way, at, Sign::Wave, 2.2);
                }
            }
            self.places.take(own.grown(2.0));
        }
        self.pen.untie();
    }

    /// Their names with their size, wherever there is room near by.
    pub(super) fn way_names(&mut self) {
        let note = self.pen.letters(Token::Note);
        for way in &self.input.anatomy.ways {
            let at = self.spot(WallSpot { station_mm: way.station_mm, clock: way.clock.unwrap_or(Angle::ZERO) });
            let words = self.way_words(way);
            let width = self.pen.width(Token::Note, &words);
            let candidates = [0.0, 3.0, 7.0].into_iter().flat_map(|more| {
                let [up, down] = [at[1] - 3.0 - note - more, at[1] + 3.0 + more];
                let [left, middle, right] = [at[0] - width - 3.0, at[0] - width / 2.0, at[0] + 3.0];
                [(right, at[1] - note / 2.0), (middle, down), (middle, up), (left, at[1] - note / 2.0), (right, down)]
            });
            let box_at = |(left, top): (f64, f64)| Extent { left, top, right: left + width, bottom: top + note };
            let boxes: Vec<Extent> = candidates.map(box_at).collect();
            if let Some(found) = self.places.first_free(boxes) {
                self.pen.tie(&way.id);
                self.pen.words(Token::Note, [found.left, found.top + 0.8 * note], Anchor::Start, &words);
            }
        }
        self.pen.untie();
        self.flap_name();
    }

    /// What the hatched wall is, on one of its places with room.
    fn flap_name(&mut self) {
        let note = self.pen.letters(Token::MutedNote);
        let words = "flap, false lumen behind";
        let width = self.pen.width(Token::MutedNote, words);
        let middle = |(station_mm, [from, to]): &(f64, [Angle; 2])| {
            let half = (TAU - (*to - *from).to_rad().rem_euclid(TAU)) / 2.0;
            WallSpot { station_mm: *station_mm, clock: *to + Angle::rad(half) }
        };
        let spots: Vec<[f64; 2]> = self.input.anatomy.flap.iter().map(|own| self.spot(middle(own))).collect();
        let boxes = spots.iter().rev().flat_map(|at| {
            [0.0, -5.0, 5.0, -10.0, 10.0].map(|down| {
                let [left, top] = [at[0] - width / 2.0, at[1] + down - note / 2.0];
                Extent { left, top, right: left + width, bottom: top + note }
            })
        });
        let boxes: Vec<Extent> = boxes.collect();
        if let Some(found) = self.places.first_free(boxes) {
            self.pen.words(Token::MutedNote, [found.left, found.top + 0.8 * note], Anchor::Start, words);
        }
    }

    fn way_words(&self, way: &MapPoint) -> String {
        let open = if self.input.open_ways.contains(&way.id) { ", not covered" } else { "" };
        format!("{}{open}", way.name)
    }
}
