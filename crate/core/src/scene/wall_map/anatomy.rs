//! What lies on the wall: ostia with their names, points to keep clear.

use super::super::axes::WallSpot;
use super::super::lanes;
use super::super::lettering::Extent;
use super::super::map_input::{MapOstium, Standing};
use super::super::style::Token;
use super::super::{Anchor, Sign, Spot};
use super::Sheet;
use crate::units::Angle;

impl Sheet<'_> {
    /// White ground of the ostia, so that hatches end at them. Mouths lie behind the wall but are
    /// drawn on this ground, and the ostia's outlines over both.
    pub(super) fn ostium_grounds(&mut self) {
        for ostium in self.input.anatomy.ostia.iter().filter(|ostium| ostium.clock.is_some()) {
            self.pen.tie(&ostium.id);
            let (regions, _) = self.axes.outline(&ostium.outline);
            self.pen.area(Token::Ground, regions);
        }
        self.pen.untie();
    }

    /// Ostia: footprint and centre; over the full clock and dotted where the clock is not known.
    pub(super) fn ostia(&mut self) {
        for ostium in &self.input.anatomy.ostia {
            self.pen.tie(&ostium.id);
            match ostium.clock {
                Some(clock) => self.known_ostium(ostium, clock),
                None => self.clockless_ostium(ostium),
            }
        }
        self.pen.untie();
    }

    fn known_ostium(&mut self, ostium: &MapOstium, clock: Angle) {
        let centre = self.spot(WallSpot { station_mm: ostium.station_mm, clock });
        if ostium.outline.is_empty() {
            self.pen.mark(Token::OstiumUnknown, [centre[0] + 3.0, centre[1]], Sign::Question, 3.4);
        } else {
            let (regions, lines) = self.axes.outline(&ostium.outline);
            if let Some(extent) = Extent::around(&regions.iter().flatten().copied().collect::<Vec<_>>()) {
                self.places.take(extent);
            }
            self.pen.lines(Token::Ostium, lines);
        }
        self.pen.mark(Token::CentreCross, centre, Sign::Cross, 2.6);
    }

    /// Only stations are known: its edges, or its centre, over the full clock.
    fn clockless_ostium(&mut self, ostium: &MapOstium) {
        let [first, last] = self.axes.station_range();
        let stations = ostium.edges_mm.map_or(vec![ostium.station_mm], |edges| edges.to_vec());
        for station_mm in stations.into_iter().filter(|station| (first..=last).contains(station)) {
            let line = [-180.0, 180.0].map(|deg| self.axes.spot(WallSpot { station_mm, clock: Angle::deg(deg) }));
            self.pen.line(Token::OstiumUnknown, line.to_vec());
        }
        let x = self.axes.station_to_x(ostium.station_mm);
        self.pen.mark(Token::OstiumUnknown, [x, self.axes.middle_y()], Sign::Question, 5.0);
    }

    /// Names of the ostia with their clock, in one row above them, each on a leader.
    pub(super) fn names(&mut self) {
        if !self.options.layers.names {
            return;
        }
        let plot = self.axes.plot();
        let [name_mm, note_mm] = [Token::Name, Token::Note].map(|token| self.pen.letters(token));
        let [first, last] = self.axes.station_range();
        let shown: Vec<(&MapOstium, String)> = self
            .input
            .anatomy
            .ostia
            .iter()
            .filter(|ostium| (first..=last).contains(&ostium.station_mm))
            .map(|ostium| (ostium, ostium.clock.map_or("clock unknown".into(), |clock| self.clock_words(clock))))
            .collect();
        let mut wishes = Vec::new();
        let mut widths = Vec::new();
        for (ostium, clock) in &shown {
            wishes.push(self.axes.station_to_x(ostium.station_mm));
            widths.push(self.pen.width(Token::Name, &ostium.name).max(self.pen.width(Token::Note, clock)));
        }
        let centres = lanes::spread(&wishes, &widths, 2.0, plot.left + 1.0, plot.right - 1.0);

        // The row hangs on the anatomy alone, so that it keeps still while the graft is moved.
        let tops = shown.iter().map(|(ostium, _)| self.top_of(ostium)[1]);
        let highest = tops.fold(self.axes.clock_to_y(Angle::deg(-62.0), last), f64::min);
        let height = name_mm + 1.1 * note_mm;
        let bottom = (highest - 4.0).max(self.upper_band(plot.left, plot.right).bottom + 1.0 + height);
        for (((ostium, clock), centre), width) in shown.iter().zip(&centres).zip(&widths) {
            self.pen.tie(&ostium.id);
            let foot = self.top_of(ostium);
            let gap = if ostium.clock.is_some() { 0.0 } else { 2.4 };
            self.pen.line(Token::Leader, vec![[foot[0], foot[1] - gap], [*centre, bottom + 0.8]]);
            self.pen.words(Token::Name, [*centre, bottom - 1.45 * note_mm], Anchor::Middle, &ostium.name);
            self.pen.words(Token::Note, [*centre, bottom - 0.3 * note_mm], Anchor::Middle, clock);
            let [left, right] = [centre - width / 2.0, centre + width / 2.0];
            self.places.take(Extent { left, top: bottom - height, right, bottom: bottom + 0.8 });
        }
        self.pen.untie();
    }

    /// Upper edge of an ostium on the drawing: the foot of its leader.
    fn top_of(&self, ostium: &MapOstium) -> Spot {
        let clock = ostium.clock.unwrap_or(Angle::ZERO);
        let centre = self.spot(WallSpot { station_mm: ostium.station_mm, clock });
        let (regions, _) = self.axes.outline(&ostium.outline);
        let top = regions.iter().flatten().map(|spot| spot[1]).fold(centre[1], f64::min);
        [centre[0], top]
    }

    fn standing_of(&self, index: usize) -> Standing {
        self.input.kept_clear.get(index).copied().unwrap_or(Standing::Unjudged)
    }

    /// Points that fabric must not cover: crossed rings over their extent on the wall.
    pub(super) fn keep_clear(&mut self) {
        if !self.options.layers.keep_clear {
            return;
        }
        for (index, point) in self.input.anatomy.keep_clear.iter().enumerate() {
            let standing = self.standing_of(index);
            self.pen.tie(&point.id);
            let Some(clock) = point.clock else {
                let stations = [-180.0, 180.0].map(Angle::deg);
                let line = stations.map(|clock| self.axes.spot(WallSpot { station_mm: point.station_mm, clock }));
                self.pen.line(Token::KeepClearUnknown, line.to_vec());
                let at = [line[0][0], self.axes.middle_y()];
                let own = Extent { left: at[0], top: at[1], right: at[0], bottom: at[1] }.grown(2.0);
                // Points at nearly one station share a question mark; each has its line and name.
                if self.places.first_free([own]).is_some() {
                    self.pen.mark(Token::KeepClearUnknown, at, Sign::Question, 5.0);
                }
                continue;
            };
            let at = self.spot(WallSpot { station_mm: point.station_mm, clock });
            let (regions, _) = self.axes.outline(&point.outline);
            let own = Extent::around(&regions.iter().flatten().copied().collect::<Vec<_>>());
            let size = own.map_or(3.4, |own| (own.right - own.left).min(own.bottom - own.top));
            self.places.take(Extent { left: at[0], top: at[1], right: at[0], bottom: at[1] }.grown(size / 2.0 + 0.8));
            if size < 2.0 || own.is_none() {
                // Too small to be crossed, or of unknown size: the sign alone.
                self.pen.mark(Token::KeepClear, at, Sign::CrossedRing, size.max(3.0));
            } else {
                self.pen.area(Token::KeepClear, regions);
                self.pen.mark(Token::KeepClear, at, Sign::Saltire, 0.9 * size);
            }
            if own.is_none() {
                self.pen.mark(Token::KeepClearUnknown, [at[0] + 3.2, at[1] - 2.0], Sign::Question, 3.0);
            }
            if standing == Standing::Unmet {
                self.pen.ring(Token::DimensionUnmet, at, size.max(3.0) / 2.0 + 1.0);
            }
        }
        self.pen.untie();
    }

    /// Their names, wherever there is room near by.
    pub(super) fn keep_clear_names(&mut self) {
        if !self.options.layers.keep_clear {
            return;
        }
        let note = self.pen.letters(Token::Note);
        for (index, point) in self.input.anatomy.keep_clear.iter().enumerate() {
            let clock = point.clock.unwrap_or(Angle::ZERO);
            let at = self.spot(WallSpot { station_mm: point.station_mm, clock });
            let words = match self.standing_of(index) {
                Standing::Unmet => format!("{}, covered", point.name),
                Standing::Unknown if point.clock.is_none() => format!("{}, clock unknown", point.name),
                Standing::Unknown => format!("{}, unknown", point.name),
                Standing::Borderline => format!("{}, borderline", point.name),
                Standing::Met | Standing::Unjudged => point.name.clone(),
            };
            let width = self.pen.width(Token::Note, &words);
            let box_at = |left: f64, top: f64| Extent { left, top, right: left + width, bottom: top + note };
            let candidates = [0.0, 3.0, 6.0, 10.0].into_iter().flat_map(|more| {
                let [up, down] = [at[1] - 3.0 - note - more, at[1] + 3.0 + more];
                let [left, middle, right] = [at[0] - width - 3.0, at[0] - width / 2.0, at[0] + 3.0];
                [
                    (middle, down),
                    (middle, up),
                    (right, at[1] - note / 2.0),
                    (left, at[1] - note / 2.0),
                    (right - 4.0, down),
                    (right - 4.0, up),
                ]
            });
            let boxes: Vec<Extent> = candidates.map(|(left, top)| box_at(left, top)).collect();
            if let Some(found) = self.places.first_free(boxes) {
                self.pen.tie(&point.id);
                self.pen.words(Token::Note, [found.left, found.top + 0.8 * note], Anchor::Start, &words);
            }
        }
        self.pen.untie();
    }
}
