//! The strip chart: diameters of lumen and graft along the station axis of the wall map above it.
//!
//! The drawing only places what [`MapInput`] holds; oversize stands at each zone that is meant to
//! seal, as a number with its word.

use super::axes::MapAxes;
use super::lanes;
use super::lettering::Extent;
use super::map_input::{LumenPoint, MapInput, SealZone, Standing};
use super::pen::Pen;
use super::style::{Medium, Token};
use super::wall_map::percent_range;
use super::{Anchor, Scene, Sign, Spot};
use crate::report::words::tenths;

/// Least height of a strip chart, mm.
const LEAST_MM: f64 = 22.0;

/// Draws the chart, as wide as the map whose axes it shares.
pub fn strip_chart(input: &MapInput, axes: &MapAxes, width_mm: f64, height_mm: f64, medium: Medium) -> Scene {
    let pen = Pen::new(medium);
    let note = pen.letters(Token::Note);
    let map = axes.plot();
    let height_mm = if height_mm.is_finite() { height_mm.clamp(LEAST_MM, 1000.0) } else { LEAST_MM };
    let plot = Extent { left: map.left, right: map.right, top: 1.6 * note, bottom: height_mm - 1.8 * note };
    let range = diameter_range(input, axes.station_range());
    let mut chart = Chart { input, axes, plot, range, pen };
    chart.grid();
    chart.lumen();
    let ground = chart.pen.items.len();
    chart.grafts();
    chart.oversizes();
    Scene {
        name: "strip",
        width_mm: if width_mm.is_finite() { width_mm.max(map.right) } else { map.right },
        height_mm,
        medium,
        title: "Diameters along the aorta: lumen and graft.".into(),
        description: description(input),
        items: chart.pen.items,
        ground,
    }
}

struct Chart<'a> {
    input: &'a MapInput,
    axes: &'a MapAxes,
    plot: Extent,
    range: [f64; 2],
    pen: Pen,
}

/// Whole tens of mm round everything drawn between two stations.
fn diameter_range(input: &MapInput, [first, last]: [f64; 2]) -> [f64; 2] {
    let lumen = input.anatomy.lumen.iter().flat_map(|point| {
        let band = point.band_mm.unwrap_or([point.diameter_mm; 2]);
        [point.diameter_mm, band[0], band[1]].map(|mm| [point.station_mm, mm])
    });
    let grafts = input.grafts.iter().flat_map(|graft| graft.diameters.iter().copied());
    let inside = lumen
        .chain(grafts)
        .filter(|[station, mm]| *station >= first - 1e-6 && *station <= last + 1e-6 && mm.is_finite());
    let [low, high] = inside.fold([f64::MAX, f64::MIN], |[low, high], [_, mm]| [low.min(mm), high.max(mm)]);
    if low > high {
        return [20.0, 40.0];
    }
    let [low, high] = [((low - 0.5) / 10.0).floor() * 10.0, ((high + 0.5) / 10.0).ceil() * 10.0];
    [low.max(0.0), high.max(low + 10.0)]
}

impl Chart<'_> {
    fn y(&self, diameter_mm: f64) -> f64 {
        let share = (diameter_mm - self.range[0]) / (self.range[1] - self.range[0]);
        self.plot.bottom - share * (self.plot.bottom - self.plot.top)
    }

    fn spot(&self, [station, mm]: [f64; 2]) -> Spot {
        [self.axes.station_to_x(station), self.y(mm)]
    }

    /// Level lines with their diameters, and the foot line.
    fn grid(&mut self) {
        let note = self.pen.letters(Token::MutedNote);
        let [low, high] = self.range;
        let high_mm = self.plot.bottom - self.plot.top;
        let steps = [5.0, 10.0, 20.0, 50.0, 100.0];
        let step = steps.into_iter().find(|step| step / (high - low) * high_mm >= 1.5 * note).unwrap_or(200.0);
        let count = ((high - low) / step).min(100.0) as usize;
        for diameter in (0..=count).map(|index| low + step * index as f64) {
            let y = self.y(diameter);
            let token = if diameter == low { Token::Tick } else { Token::Grid };
            self.pen.line(token, vec![[self.plot.left, y], [self.plot.right, y]]);
            let words = format!("{diameter:.0}");
            self.pen.words(Token::MutedNote, [self.plot.left - 1.6, y + 0.3 * note], Anchor::End, &words);
        }
        let words = if self.input.anatomy.lumen.is_empty() {
            "The lumen was not measured."
        } else if self.input.anatomy.lumen.iter().all(|point| point.inscribed) {
            "Diameter, mm: lumen (dashed: inscribed sphere, not for sizing) and graft (wide line)"
        } else if self.input.anatomy.lumen.iter().any(|point| point.band_mm.is_some()) {
            "Diameter, mm: lumen (area-derived, tinted from smallest to largest) and graft (wide line)"
        } else {
            "Diameter, mm: lumen (area-derived) and graft (wide line)"
        };
        self.pen.words(Token::MutedNote, [self.plot.left, self.plot.bottom + 1.35 * note], Anchor::Start, words);
    }

    /// The lumen: a tinted band from smallest to largest, the sizing diameter as a line, and a small
    /// stroke where a section was measured.
    fn lumen(&mut self) {
        for run in runs(&self.input.anatomy.lumen, |point| point.band_mm.is_some()) {
            let band = |point: &LumenPoint, end: usize| {
                self.spot([point.station_mm, point.band_mm.map_or(point.diameter_mm, |band| band[end])])
            };
            let mut ring: Vec<Spot> = run.iter().map(|point| band(point, 1)).collect();
            ring.extend(run.iter().rev().map(|point| band(point, 0)));
            self.pen.area(Token::LumenBand, vec![ring]);
        }
        for (inscribed, token) in [(false, Token::Lumen), (true, Token::LumenInscribed)] {
            for run in runs(&self.input.anatomy.lumen, |point| point.inscribed == inscribed) {
                let line = run.iter().map(|point| self.spot([point.station_mm, point.diameter_mm])).collect();
                self.pen.line(token, line);
            }
        }
        let measured: Vec<Spot> = self
            .input
            .anatomy
            .lumen
            .iter()
            .filter(|point| point.measured)
            .map(|point| self.spot([point.station_mm, point.diameter_mm]))
            .collect();
        // Where sections were measured closely, strokes would only be a thicker line.
        if measured.windows(2).all(|pair| pair[1][0] - pair[0][0] >= 2.0) {
            for [x, y] in measured {
                self.pen.line(Token::MeasuredSection, vec![[x, y - 0.9], [x, y + 0.9]]);
            }
        }
    }

    fn grafts(&mut self) {
        for (index, graft) in self.input.grafts.iter().enumerate() {
            self.pen.tie(&graft.id);
            let token = if index == 0 { Token::GraftDiameter } else { Token::SecondDiameter };
            let line: Vec<Spot> = graft.diameters.iter().map(|point| self.spot(*point)).collect();
            let parts = super::clip::line(&line, &self.plot);
            self.pen.lines(token, parts);
        }
        self.pen.untie();
    }

    /// Oversize over each seal, with its sign and word.
    fn oversizes(&mut self) {
        let plot = self.plot;
        let letters = self.pen.letters(Token::Number);
        let seals: Vec<(String, &SealZone)> = self
            .input
            .grafts
            .iter()
            .flat_map(|graft| graft.seals.iter().map(|seal| (graft.id.clone(), seal)))
            .collect();
        let mut wishes = Vec::new();
        let mut widths = Vec::new();
        let mut said = Vec::new();
        for (_, seal) in &seals {
            let number =
                seal.oversize_percent.map_or("oversize ?".into(), |range| format!("oversize {}", percent_range(range)));
            let word = match (seal.oversize_percent, seal.standing) {
                (None, _) => Standing::Unknown.word(),
                (_, standing) => standing.word(),
            };
            let sign = Sign::of(seal.standing).map_or(0.0, |_| letters);
            wishes.push(self.axes.station_to_x((seal.from_mm + seal.to_mm) / 2.0));
            widths.push(sign + self.pen.width(Token::Number, &number) + 2.2 + self.pen.width(Token::Note, word));
            said.push((number, word));
        }
        if !lanes::fits(&widths, 3.0, plot.left, plot.right) {
            return;
        }
        let centres = lanes::spread(&wishes, &widths, 3.0, plot.left, plot.right);
        let base = plot.top - 0.5 * self.pen.letters(Token::Note);
        let first = self.input.grafts.first().map(|graft| graft.id.clone());
        for (place, (id, seal)) in seals.iter().enumerate() {
            self.pen.tie(id);
            let [from, to] = [seal.from_mm, seal.to_mm].map(|mm| self.axes.station_to_x(mm));
            let token = Token::judged(seal.standing);
            let visible = [from.max(plot.left), to.min(plot.right)];
            if visible[0] < visible[1] {
                // The stretch as a narrow line with a stroke at each end, in its graft's colour.
                let own = if first.as_ref() == Some(id) { Token::SectionBorder } else { Token::SecondBorder };
                let [left, right] = visible;
                let [up, down] = [plot.top - 0.9, plot.top + 0.9];
                self.pen.line(own, vec![[left, plot.top], [right, plot.top]]);
                self.pen.lines(own, vec![vec![[left, up], [left, down]], vec![[right, up], [right, down]]]);
            }
            let mut x = centres[place] - widths[place] / 2.0;
            if let Some(sign) = Sign::of(seal.standing) {
                let size = 0.68 * letters;
                self.pen.mark(token, [x + size / 2.0, base - 0.36 * letters], sign, size);
                x += letters;
            }
            let (number, word) = &said[place];
            self.pen.two_words([x, base], (Token::Number, number), (Token::Note, word));
        }
        self.pen.untie();
    }
}

/// Neighbouring points that share a property, each run with the first point after it, so that lines
/// join.
fn runs(points: &[LumenPoint], belongs: impl Fn(&LumenPoint) -> bool) -> Vec<Vec<LumenPoint>> {
    let mut runs: Vec<Vec<LumenPoint>> = Vec::new();
    let mut open = false;
    for point in points {
        let own = belongs(point);
        if own && !open {
            runs.push(Vec::new());
        }
        if let Some(run) = runs.last_mut().filter(|_| own || open) {
            run.push(*point);
        }
        open = own;
    }
    runs
}

fn description(input: &MapInput) -> String {
    let mut words = String::new();
    for seal in input.grafts.iter().flat_map(|graft| &graft.seals) {
        let number = seal.oversize_percent.map_or("unknown".into(), percent_range);
        let word = if seal.oversize_percent.is_some() { seal.standing.word() } else { "" };
        let verdict = if word.is_empty() { String::new() } else { format!(", {word}") };
        words.push_str(&format!(
            "Oversize from {} to {} mm: {number}{verdict}. ",
            tenths(seal.from_mm),
            tenths(seal.to_mm)
        ));
    }
    words.trim_end().to_owned()
}
