//! What the map lies on: frame, axes, landing zones, less certain ends, folds, captions.

use super::super::axes::{Along, Around, WallSpot};
use super::super::lanes;
use super::super::lettering::Extent;
use super::super::map_input::MapGraft;
use super::super::style::{Medium, Token};
use super::super::{Anchor, Sign};
use super::{Sheet, Size};
use crate::report::words::{degrees, signed, tenths, turn};
use crate::units::{self, Angle, ThreeOClock};

/// Space that is drawn darkest, mm.
const MOST_SPACE_MM: f32 = 10.0;

impl Sheet<'_> {
    /// How many mm of wall a mm of centreline is, as grey tints; the row below gives the numbers.
    pub(super) fn wall_scale(&mut self) {
        let Some((scale, range)) = self.input.anatomy.wall_scale.as_ref().zip(self.shown_scale()) else { return };
        let plot = self.axes.plot();
        self.pen.field(Token::WallScale, plot, scale.columns, scale.values.clone(), range);
    }

    /// Space between fabric and wall, as grey tints from contact (white) to 10 mm and more.
    pub(super) fn space(&mut self) {
        let Some(space) = self.input.space.as_ref().filter(|_| self.shows_space()) else { return };
        let plot = self.axes.plot();
        self.pen.field(Token::WallScale, plot, space.columns, space.values.clone(), [0.0, MOST_SPACE_MM]);
    }

    /// The grid is even in station and clock, which the drawing is only on these two axes.
    fn shows_space(&self) -> bool {
        self.options.layers.space && self.options.along == Along::Centreline && self.axes.around() == Around::Clock
    }

    /// Least and largest wall scale, where the layer is shown.
    fn shown_scale(&self) -> Option<[f32; 2]> {
        let scale = self.input.anatomy.wall_scale.as_ref().filter(|_| self.options.layers.wall_scale)?;
        // The grid is even in station and clock, which the drawing is only on these two axes.
        if self.options.along != Along::Centreline || self.axes.around() != Around::Clock {
            return None;
        }
        let finite = || scale.values.iter().copied().filter(|value| value.is_finite());
        let range = [finite().fold(f32::MAX, f32::min), finite().fold(f32::MIN, f32::max)];
        (range[0] < range[1]).then_some(range)
    }

    /// Ends where the centreline is less certain, in wide level hatching.
    pub(super) fn uncertain(&mut self) {
        for &[from_mm, to_mm] in &self.input.anatomy.uncertain {
            let ring = self.stretch(from_mm, to_mm);
            self.pen.area(Token::Uncertain, vec![ring]);
        }
    }

    /// The whole wall between two stations.
    fn stretch(&self, from_mm: f64, to_mm: f64) -> Vec<[f64; 2]> {
        let mut ring = self.axes.along_clock(-Angle::HALF_TURN, from_mm, to_mm);
        ring.extend(self.axes.along_clock(Angle::HALF_TURN, from_mm, to_mm).into_iter().rev());
        ring
    }

    /// A line across the whole wall at a station.
    fn across(&self, station_mm: f64) -> Vec<[f64; 2]> {
        [-Angle::HALF_TURN, Angle::HALF_TURN].map(|clock| self.axes.spot(WallSpot { station_mm, clock })).to_vec()
    }

    /// Borders of the landing zones, with their numbers above the frame.
    pub(super) fn zones(&mut self) {
        if !self.options.layers.zones {
            return;
        }
        let top = self.axes.plot().top;
        let [first, last] = self.axes.station_range();
        let note = self.pen.letters(Token::ZoneLabel);
        let mut borders: Vec<f64> = Vec::new();
        let mut full = true;
        for zone in &self.input.anatomy.zones {
            let [from, to] = [zone.from_mm.max(first), zone.to_mm.min(last)];
            if from >= to {
                continue;
            }
            borders.extend([zone.from_mm, zone.to_mm]);
            let [left, right] = [from, to].map(|station| self.axes.station_to_x(station));
            // The word stands once, the numbers wherever there is room for them.
            let words = if full { format!("zone {}", zone.zone) } else { zone.zone.to_string() };
            if self.pen.width(Token::ZoneLabel, &words) + 1.0 <= right - left {
                let at = [(left + right) / 2.0, top - 0.55 * note];
                self.pen.words(Token::ZoneLabel, at, Anchor::Middle, &words);
                full = false;
            }
        }
        borders.sort_by(f64::total_cmp);
        borders.dedup();
        for station in borders.into_iter().filter(|station| (first..=last).contains(station)) {
            let mut line = self.across(station);
            line.insert(0, [line[0][0], top - 1.5 * note]);
            self.pen.line(Token::ZoneBorder, line);
        }
    }

    /// The lines of 3:00 and 9:00, and the named stations.
    pub(super) fn side_lines(&mut self) {
        let [first, last] = self.axes.station_range();
        for clock in [-90.0, 90.0].map(Angle::deg) {
            let line = self.axes.along_clock(clock, first, last);
            self.pen.line(Token::SideLine, line);
        }
        for (_, station_mm) in &self.input.anatomy.landmarks {
            if (first..=last).contains(station_mm) {
                let line = self.across(*station_mm);
                self.pen.line(Token::Landmark, line);
            }
        }
        if let Some([from_mm, to_mm]) = self.input.anatomy.lesion {
            // On the inner edge of the map, as a bar along the stretch.
            let line = self.axes.along_clock(Angle::HALF_TURN, from_mm, to_mm);
            let raised = line.into_iter().map(|spot| [spot[0], spot[1] - 1.0]).collect();
            self.pen.line(Token::Lesion, raised);
        }
    }

    /// What the folds are, under the band of stretch names.
    pub(super) fn fold_names(&mut self) {
        let note = self.pen.letters(Token::MutedNote);
        for fold in &self.input.anatomy.folds {
            let middle = self.axes.station_to_x((fold.from_mm + fold.to_mm) / 2.0);
            let half = self.pen.width(Token::MutedNote, "fold") / 2.0;
            let band = self.upper_band(middle - half, middle + half);
            let boxes = [1.0, 2.4, 3.8].map(|down| Extent {
                top: band.top + down * note,
                bottom: band.top + (down + 1.1) * note,
                ..band
            });
            if let Some(own) = self.places.first_free(boxes) {
                self.pen.words(Token::MutedNote, [middle, own.top + 0.82 * note], Anchor::Middle, "fold");
            }
        }
    }

    /// Wall that the inner side's fold hides.
    pub(super) fn folds(&mut self) {
        for fold in &self.input.anatomy.folds {
            let (regions, _) = self.axes.outline(&fold.outline);
            self.pen.area(Token::Fold, regions);
        }
    }

    /// The outer curve.
    pub(super) fn outer_curve(&mut self) {
        let [first, last] = self.axes.station_range();
        let line = self.axes.along_clock(Angle::ZERO, first, last);
        self.pen.line(Token::ChainAxis, line);
    }

    /// The frame with the ticks of both axes and the words at the clock's lines.
    pub(super) fn frame(&mut self) {
        let [first, last] = self.axes.station_range();
        let ring = self.stretch(first, last);
        let mut closed = ring.clone();
        closed.extend(ring.first());
        self.pen.line(Token::Frame, closed);
        self.length_ticks();
        self.clock_words_beside();
        if self.axes.around() == Around::WallLength {
            self.wall_ticks();
        }
    }

    /// Ticks every 10 mm and numbers every 50, or every 20 where there is room.
    fn length_ticks(&mut self) {
        let plot = self.axes.plot();
        let [first, last] = self.axes.length_range();
        let note = self.pen.letters(Token::Note);
        let step =
            [10.0, 50.0, 100.0, 500.0].into_iter().find(|step| step * self.axes.scale() >= 2.5).unwrap_or(1000.0);
        let numbered = [2.0, 5.0, 10.0]
            .map(|count| count * step)
            .into_iter()
            .find(|step| step * self.axes.scale() >= 1.8 * self.pen.width(Token::MutedNote, "000"))
            .unwrap_or(10.0 * step);
        let count = ((last - first) / step).min(1000.0) as usize + 1;
        let start = (first / step).ceil() * step;
        for length in (0..count).map(|tick| start + step * tick as f64).filter(|length| *length <= last) {
            let x = self.axes.length_to_x(length);
            let counted = (length / numbered - (length / numbered).round()).abs() < 1e-6;
            let long = if counted { 1.6 } else { 0.9 };
            self.pen.line(Token::Tick, vec![[x, plot.bottom], [x, plot.bottom + long]]);
            if counted {
                let words = signed(format!("{length:.0}"));
                self.pen.words(Token::MutedNote, [x, plot.bottom + 2.0 + 0.9 * note], Anchor::Middle, &words);
            }
        }
    }

    /// Hours with their side, right of the frame: the outer curve, both sides, and the cut at 6:00.
    fn clock_words_beside(&mut self) {
        let [_, last] = self.axes.station_range();
        let plot = self.axes.plot();
        let note = self.pen.letters(Token::Note);
        let x = plot.right + 1.4;
        let rows = [(-180.0, "inner curve"), (-90.0, ""), (0.0, "outer curve"), (90.0, ""), (180.0, "inner curve")];
        for (deg, name) in rows {
            let clock = Angle::deg(deg);
            let side = if name.is_empty() { units::clock_side(clock) } else { name };
            let y = self.axes.clock_to_y(clock, last);
            let hours = match self.input.anatomy.hand {
                Some(hand) => units::clock_hours(hand.stored(clock)),
                // The two middle lines read alike in both hands.
                None if !name.is_empty() => units::clock_hours(clock),
                None => "3 or 9:00".into(),
            };
            // The rows at the cut stay beside the frame, not above or below it. On a low map the lower
            // one, which reads as the upper, leaves its side to that one.
            let low = deg == 180.0 && plot.bottom - plot.top < 15.0 * note;
            let base = match deg {
                -180.0 => y + 0.78 * note,
                180.0 if !low => y - 1.15 * note,
                _ => y + 0.27 * note,
            };
            self.pen.line(Token::Tick, vec![[plot.right, y], [plot.right + 0.9, y]]);
            self.pen.words(Token::Note, [x, base], Anchor::Start, &hours);
            if !low {
                self.pen.words(Token::MutedNote, [x, base + 1.15 * note], Anchor::Start, side);
            }
        }
    }

    /// Wall length from 12:00, left of the frame.
    fn wall_ticks(&mut self) {
        let plot = self.axes.plot();
        let note = self.pen.letters(Token::Note);
        let middle = self.axes.middle_y();
        let half = (plot.bottom - middle) / self.axes.scale();
        for tick in -100..=100_i32 {
            let length = f64::from(tick) * 10.0;
            if length.abs() > half {
                continue;
            }
            let y = middle + length * self.axes.scale();
            let counted = tick % 2 == 0;
            let long = if counted { 1.6 } else { 0.9 };
            self.pen.line(Token::Tick, vec![[plot.left, y], [plot.left - long, y]]);
            if counted {
                let words = format!("{:.0}", length.abs());
                self.pen.words(Token::MutedNote, [plot.left - 2.0, y + 0.27 * note], Anchor::End, &words);
            }
        }
    }

    /// What stands under and above the frame: where the graft lies, what the axes measure, how the
    /// map is to be read, and the direction of the blood.
    pub(super) fn captions(&mut self) {
        let plot = self.axes.plot();
        let note = self.pen.letters(Token::Note);

        let x = plot.right + 1.4;
        let y = plot.top - 0.55 * note;
        let flow = self.pen.words(Token::Note, [x, y], Anchor::Start, "flow");
        let size = (1.9 * note).max(4.0);
        self.pen.mark(Token::Tick, [flow.right + 0.8 + size / 2.0, y - 0.3 * note], Sign::ArrowRight, size);

        self.rough();
        let line = match self.options.along {
            Along::Centreline => "centreline",
            Along::OuterCurve => "outer curve",
        };
        let origin = match &self.input.anatomy.origin {
            Some(origin) => format!("mm along the {line} from the {origin}"),
            None => format!("mm along the {line} from its first point: the origin is not marked"),
        };
        let row = plot.bottom + 2.0 + 2.4 * note;
        self.placed_row(&origin, row);
        let reading = self.reading();
        self.pen.words(Token::MutedNote, [plot.left, row + 1.3 * note], Anchor::Start, &reading);
        self.missing();
    }

    /// An empty frame with the reason.
    pub(super) fn nothing(&mut self) {
        let plot = self.axes.plot();
        self.pen.extent(Token::Frame, plot);
        self.rough();
        self.missing();
    }

    /// What heads the map of an arch rebuilt from a measuring sheet.
    fn rough(&mut self) {
        let Some(heading) = self.input.anatomy.rough else { return };
        let plot = self.axes.plot();
        let at = [plot.left, plot.top - 2.1 * self.pen.letters(Token::Note)];
        self.pen.words(Token::Number, at, Anchor::Start, heading);
    }

    /// Why something cannot be drawn.
    fn missing(&mut self) {
        let Some(missing) = &self.input.anatomy.missing else { return };
        let plot = self.axes.plot();
        let at = [(plot.left + plot.right) / 2.0, self.upper_band(plot.left, plot.right).bottom + 4.0];
        self.pen.words(Token::Note, at, Anchor::Middle, missing);
    }

    /// What the marked stretches are: the one to be treated, the less certain ends, named stations.
    pub(super) fn end_labels(&mut self) {
        let plot = self.axes.plot();
        let note = self.pen.letters(Token::MutedNote);
        if let Some([from_mm, to_mm]) = self.input.anatomy.lesion {
            let [left, right] = [from_mm, to_mm].map(|mm| self.axes.station_to_x(mm));
            let words = "to be treated";
            let half = self.pen.width(Token::Note, words) / 2.0;
            let [left, right] = [left.max(plot.left), right.min(plot.right)];
            // Over the bar's middle, else over an end, else one row higher.
            let boxes: Vec<Extent> = [0.0, 1.3]
                .iter()
                .flat_map(|up| [(left + right) / 2.0, left, right].map(|middle| (middle, *up)))
                .map(|(middle, up)| {
                    let [from, to] = [middle - half, middle + half];
                    let bottom = self.edges([from, to])[1] - 1.5 - up * note;
                    Extent { left: from, top: bottom - note, right: to, bottom }
                })
                .collect();
            if let Some(own) = self.places.first_free(boxes) {
                let foot = [own.left, own.bottom - 0.24 * note];
                self.pen.words(Token::Note, foot, Anchor::Start, words);
            }
        }
        for &[from_mm, to_mm] in &self.input.anatomy.uncertain {
            let [left, right] = [from_mm, to_mm].map(|mm| self.axes.station_to_x(mm));
            let middle = (left.max(plot.left) + right.min(plot.right)) / 2.0;
            let half = self.pen.width(Token::MutedNote, "certain") / 2.0;
            if 2.0 * half + 1.0 > right - left {
                continue;
            }
            let [top, bottom] = self.edges([middle - half, middle + half]);
            let at = |top: f64| Extent { left: middle - half, top, right: middle + half, bottom: top + 2.3 * note };
            if let Some(own) = self.places.first_free([at(bottom - 3.0 * note), at(top + 0.7 * note)]) {
                for (row, words) in [(0.9, "less"), (2.0, "certain")] {
                    self.pen.words(Token::MutedNote, [middle, own.top + row * note], Anchor::Middle, words);
                }
            }
        }
        for (name, station_mm) in &self.input.anatomy.landmarks {
            let x = self.axes.station_to_x(*station_mm);
            let width = self.pen.width(Token::MutedNote, name);
            let at = |left: f64, up: f64| {
                let [_, bottom] = self.edges([left, left + width]);
                Extent { left, top: bottom - (up + 1.0) * note, right: left + width, bottom: bottom - up * note }
            };
            let sides = [x + 0.8, x - 0.8 - width];
            let boxes: Vec<Extent> = [0.7, 3.2, 4.6].iter().flat_map(|up| sides.map(|left| at(left, *up))).collect();
            let in_reach = x >= plot.left && x <= plot.right;
            if let Some(own) = boxes.into_iter().find(|own| in_reach && self.places.is_free(own)) {
                self.places.take(own);
                let foot = [own.left, own.top + 0.8 * note];
                self.pen.words(Token::MutedNote, foot, Anchor::Start, name);
            }
        }
    }

    /// One row under the axis: where each graft lies, under its edge, and what the axis measures.
    fn placed_row(&mut self, origin: &str, row: f64) {
        let plot = self.axes.plot();
        let grafts: Vec<&MapGraft> = self.input.grafts.iter().collect();
        let drawn = match self.input.possibility.as_str() {
            "" => String::new(),
            possibility => format!("drawn: {possibility}"),
        };
        let own = self.pen.width(Token::MutedNote, origin);
        let mut wishes: Vec<f64> = grafts
            .iter()
            .map(|graft| graft.handle.map_or(plot.left, |handle| self.axes.station_to_x(handle.station_mm)))
            .collect();
        wishes.push(plot.right + 1e6);
        // From the fullest wording to none: what the axis measures stays, the grafts are in the table.
        // A second graft's colour is too light for words: they are in ink.
        let small = |index: usize| if index == 0 { Token::GraftNote } else { Token::Note };
        let wordings = [(true, true, drawn.as_str()), (true, true, ""), (true, false, ""), (false, false, "")];
        for (large, long, more) in wordings {
            let token = |index: usize| match (large, index) {
                (true, 0) => Token::GraftLabel,
                (true, _) => Token::Number,
                (false, _) => small(index),
            };
            let tail = if more.is_empty() { 0.0 } else { 2.2 + self.pen.width(Token::GraftNote, more) };
            let words: Vec<String> =
                grafts.iter().map(|graft| placed_words(graft, self.input.anatomy.hand, long)).collect();
            let mut widths: Vec<f64> =
                words.iter().enumerate().map(|(index, words)| self.pen.width(token(index), words) + tail).collect();
            widths.push(own);
            if !lanes::fits(&widths, 4.0, plot.left, plot.right) {
                continue;
            }
            let centres = lanes::spread(&wishes, &widths, 4.0, plot.left, plot.right);
            for (index, graft) in grafts.iter().enumerate() {
                self.pen.tie(&graft.id);
                let at = [centres[index] - widths[index] / 2.0, row];
                self.pen.two_words(at, (token(index), &words[index]), (small(index), more));
            }
            self.pen.untie();
            break;
        }
        self.pen.words(Token::MutedNote, [plot.right, row], Anchor::End, origin);
    }

    /// How the map is to be read, as long as the row allows.
    fn reading(&self) -> String {
        let plot = self.axes.plot();
        // On a screen nobody lays a ruler.
        let scaled = matches!(self.options.size, Size::Fit { .. }) && self.options.medium == Medium::Paper;
        let mut words =
            format!("{}Wall seen from outside, flow to the right.", if scaled { "Not to scale. " } else { "" });
        let mut add = |more: String| {
            let longer = format!("{words} {more}");
            if self.pen.width(Token::MutedNote, &longer) <= plot.right - plot.left {
                words = longer;
            }
        };
        if self.input.anatomy.hand.is_none() {
            add("The hand of the clock is not answered.".into());
        }
        add("Front-left below, back-right above.".into());
        if self.options.size == Size::TrueSize {
            add("True size: print at 100 %.".into());
        }
        if let Some([low, high]) = self.shown_scale() {
            add(format!("Grey: {low:.2} (white) to {high:.2} mm of wall to a mm of centreline."));
        }
        if self.shows_space() {
            add(format!("Grey: space to the wall, contact (white) to {MOST_SPACE_MM:.0} mm and more."));
        } else if self.options.layers.space {
            add("Space to the wall is drawn along the centreline in hours only.".into());
        }
        let mut tunnels = self.input.grafts.iter().flat_map(|graft| &graft.tunnels);
        if self.options.layers.other_possibilities && tunnels.any(|tunnel| !tunnel.ghosts.is_empty()) {
            add("Double-dotted: the other possibilities.".into());
        }
        if self.options.layers.dimensions && self.input.grafts.iter().any(|graft| !graft.tunnels.is_empty()) {
            add("Clearances edge to edge.".into());
        }
        words
    }

    /// The band inside the upper edge of the frame where stretches are named.
    pub(super) fn upper_band(&self, left: f64, right: f64) -> Extent {
        let edges = self.edges([left, right]);
        let note = self.pen.letters(Token::Note);
        Extent { left, top: edges[0] + 0.6, right, bottom: edges[0] + 0.6 + 1.3 * note }
    }

    /// y of the two cuts at 6:00 between two x, where the map is least high.
    fn edges(&self, [left, right]: [f64; 2]) -> [f64; 2] {
        let high = (0..=8)
            .map(|step| self.axes.x_to_station(left + (right - left) * f64::from(step) / 8.0))
            .map(|station| self.axes.clock_to_y(Angle::HALF_TURN, station))
            .fold(self.axes.plot().bottom, f64::min);
        [2.0 * self.axes.middle_y() - high, high]
    }
}

/// Where a graft lies, in words.
fn placed_words(graft: &MapGraft, hand: Option<ThreeOClock>, long: bool) -> String {
    let edge = match graft.edge_mm {
        Some(mm) if long => format!("proximal edge at {} mm", tenths(mm)),
        Some(mm) => format!("edge {} mm", tenths(mm)),
        None => "proximal edge beyond the data".into(),
    };
    let turned = match hand {
        Some(_) => turn(graft.turned.wrapped()),
        // While the hand of the clock is open the number is as typed and has no side.
        None => format!("{}, side unknown", degrees(graft.turned.wrapped().abs())),
    };
    format!("{edge}, turned {turned}")
}
