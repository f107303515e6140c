//! The chart of views: LAO and RAO across, cranial and caudal up, with how much shorter a chosen
//! length looks at each, the curves at which it does not, the reach of the C-arm and the views chosen.

use super::lanes::Places;
use super::lettering::Extent;
use super::pen::Pen;
use super::style::{Medium, Token};
use super::{Anchor, Scene, Sign, Spot, clip};
use crate::carm::angles::Positioner;
use crate::carm::foreshorten::perpendicular;
use crate::carm::reach::Reach;
use crate::carm::views::{Aim, ViewResult};
use crate::carm::words;
use crate::numeric::contour::zero_lines;
use crate::plan::Plan;
use crate::units::Angle;

/// What the chart is drawn from.
#[derive(Clone, Debug, PartialEq)]
pub struct ChartInput {
    /// What the C-arm can take.
    pub reach: Reach,
    /// What the field is of, in words, and what it is judged by.
    pub subject: Option<(String, Aim)>,
    /// The views chosen: id, short name, whether it is the subject's own, view.
    pub views: Vec<(String, String, bool, Positioner)>,
    /// The view that is looked at.
    pub at: Positioner,
}

/// A chart and the axes it is drawn on.
#[derive(Clone, Debug, PartialEq)]
pub struct Chart {
    /// The picture.
    pub scene: Scene,
    /// Where the views lie on it.
    pub axes: ChartAxes,
}

/// Where views lie on the drawing.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ChartAxes {
    plot: Extent,
    primary_deg: [f64; 2],
    secondary_deg: [f64; 2],
}

/// Degrees shown on either side of nought at least.
const PRIMARY_DEG: f64 = 110.0;
const SECONDARY_DEG: f64 = 60.0;
/// Degrees between two values of the field.
const FIELD_DEG: f64 = 4.0;
/// Foreshortening at which a line is drawn.
const LEVELS: [f64; 4] = [0.02, 0.05, 0.1, 0.2];
/// Foreshortening at the full tint.
const DARKEST: f32 = 0.4;
/// Points of a perpendicular curve.
const CURVE: usize = 180;

impl ChartInput {
    /// Of a plan's views: the field is that of the view with this place in the list.
    pub fn new(plan: &Plan, views: &[&ViewResult], chosen: usize, at: Positioner) -> Self {
        let subject = views.get(chosen).and_then(|view| {
            let choice = view.choice.value()?;
            Some((words::view_name(plan, view), choice.aim.clone()))
        });
        let shown = views.iter().enumerate().filter_map(|(place, view)| {
            Some((view.id.clone(), words::view_name(plan, view), place == chosen, view.choice.value()?.at))
        });
        ChartInput { reach: Reach::of(plan.case.carm.as_ref()), subject, views: shown.collect(), at }
    }
}

impl ChartAxes {
    /// Where a view lies, mm of the drawing.
    pub fn spot(&self, at: &Positioner) -> Spot {
        let share = |value: f64, [from, to]: [f64; 2]| (value - from) / (to - from);
        let (x, y) =
            (share(at.primary.wrapped().to_deg(), self.primary_deg), share(at.secondary.to_deg(), self.secondary_deg));
        [
            self.plot.left + x * (self.plot.right - self.plot.left),
            self.plot.bottom - y * (self.plot.bottom - self.plot.top),
        ]
    }

    /// The view at a spot, held within what the chart shows.
    pub fn at(&self, [x, y]: Spot) -> Positioner {
        let along = |share: f64, [from, to]: [f64; 2]| from + share.clamp(0.0, 1.0) * (to - from);
        let (width, height) = (self.plot.right - self.plot.left, self.plot.bottom - self.plot.top);
        Positioner::deg(
            along((x - self.plot.left) / width, self.primary_deg),
            along((self.plot.bottom - y) / height, self.secondary_deg),
        )
    }
}

/// Draws the chart.
pub fn carm_chart(input: &ChartInput, width_mm: f64, medium: Medium) -> Chart {
    let mut pen = Pen::new(medium);
    let note = pen.letters(Token::Note);
    let width = if width_mm.is_finite() { width_mm.clamp(80.0, 600.0) } else { 80.0 };
    let most =
        |limits: [Angle; 2], least: f64| (limits.iter().map(|a| a.to_deg().abs()).fold(0.0, f64::max) + 5.0).max(least);
    let primary = most(input.reach.primary, PRIMARY_DEG).min(180.0);
    let secondary = most(input.reach.secondary, SECONDARY_DEG).min(90.0);
    let left = pen.width(Token::MutedNote, "CRA 60") + 1.6;
    let plot_width = width - left - 1.0;
    // One scale for both angles, but never higher than wide.
    let height = plot_width * (secondary / primary).min(0.9);
    let top = 1.7 * note;
    let plot = Extent { left, right: width - 1.0, top, bottom: top + height };
    let axes = ChartAxes { plot, primary_deg: [-primary, primary], secondary_deg: [-secondary, secondary] };
    let mut chart = Drawing { input, axes, places: Places::new(plot.grown(-0.4)), pen: &mut pen };
    chart.field();
    chart.grid();
    chart.curves();
    chart.views();
    let title = match &input.subject {
        Some((words, _)) => format!("{words}: how much shorter it looks"),
        None => "No length is chosen, or it is not known.".to_owned(),
    };
    pen.words(Token::Note, [plot.left, 1.0 * note], Anchor::Start, &title);
    let here = at_words(input);
    pen.words(Token::Note, [plot.left, plot.bottom + 2.9 * note], Anchor::Start, &here);
    let scene = Scene {
        name: "carm-chart",
        width_mm: width.max(plot.left + pen.width(Token::Note, &title).max(pen.width(Token::Note, &here)) + 0.8),
        height_mm: plot.bottom + 3.4 * note,
        medium,
        title,
        description: here,
        items: pen.items,
        ground: 0,
    };
    Chart { scene, axes }
}

/// What holds at the view that is looked at.
fn at_words(input: &ChartInput) -> String {
    let reached = if input.reach.contains(&input.at) { "" } else { ", out of reach" };
    let shorter = input.subject.as_ref().map_or(String::new(), |(_, aim)| {
        let toward = input.reach.table.direction(&input.at);
        format!(": {} shorter", words::percent(aim.foreshortening(&toward)))
    });
    format!("{}{shorter}{reached}", input.at.words())
}

struct Drawing<'a> {
    input: &'a ChartInput,
    axes: ChartAxes,
    places: Places,
    pen: &'a mut Pen,
}

impl Drawing<'_> {
    /// Tints and level lines of the foreshortening, and what is out of reach.
    fn field(&mut self) {
        let plot = self.axes.plot;
        if let Some((_, aim)) = &self.input.subject {
            let [columns, rows] = [self.axes.primary_deg, self.axes.secondary_deg]
                .map(|[from, to]| (((to - from) / FIELD_DEG).ceil() as usize).clamp(2, 120));
            let spot = |row: f64, column: f64| -> Spot {
                [
                    plot.left + (column + 0.5) / columns as f64 * (plot.right - plot.left),
                    plot.top + (row + 0.5) / rows as f64 * (plot.bottom - plot.top),
                ]
            };
            let values: Vec<f64> = (0..rows * columns)
                .map(|k| {
                    let at = self.axes.at(spot((k / columns) as f64, (k % columns) as f64));
                    aim.foreshortening(&self.input.reach.table.direction(&at))
                })
                .collect();
            let tints = values.iter().map(|value| *value as f32).collect();
            self.pen.field(Token::Foreshortened, plot, columns, tints, [0.0, DARKEST]);
            for level in LEVELS {
                let above: Vec<f64> = values.iter().map(|value| value - level).collect();
                for line in zero_lines(&above, columns, false) {
                    let line: Vec<Spot> = line.into_iter().map(|[row, column]| spot(row, column)).collect();
                    let middle = line[line.len() / 2];
                    self.pen.line(Token::Tick, line);
                    self.label(Token::MutedNote, middle, &format!("{:.0} %", 100.0 * level), true);
                }
            }
        }
        let corners = |p: [f64; 2], s: [f64; 2]| -> Vec<Spot> {
            [[p[0], s[1]], [p[1], s[1]], [p[1], s[0]], [p[0], s[0]]]
                .map(|[p, s]| self.axes.spot(&Positioner::deg(p, s)))
                .into()
        };
        let reach = &self.input.reach;
        let box_of = |limits: [Angle; 2]| limits.map(Angle::to_deg);
        let within = corners(box_of(reach.primary), box_of(reach.secondary));
        let whole =
            vec![[plot.left, plot.top], [plot.right, plot.top], [plot.right, plot.bottom], [plot.left, plot.bottom]];
        self.pen.area(Token::Uncertain, vec![whole, within.clone()]);
        self.pen.line(Token::Frame, [within.as_slice(), &within[..1]].concat());
    }

    fn grid(&mut self) {
        let plot = self.axes.plot;
        let note = self.pen.letters(Token::MutedNote);
        self.pen.extent(Token::Tick, plot);
        let ticks = |[from, to]: [f64; 2], step: f64| {
            let (first, last) = ((from / step).ceil() as i32, (to / step).floor() as i32);
            (first..=last).map(move |k| f64::from(k) * step)
        };
        let named = |degrees: f64, more: &str, less: &str| match degrees {
            0.0 => "0".to_owned(),
            d => format!("{} {:.0}", if d > 0.0 { more } else { less }, d.abs()),
        };
        // Every 30° where the words have room, else every 60°.
        let room = 30.0 / (self.axes.primary_deg[1] - self.axes.primary_deg[0]) * (plot.right - plot.left);
        let step = if room > 1.1 * self.pen.width(Token::MutedNote, "RAO 90") { 30.0 } else { 60.0 };
        for degrees in ticks(self.axes.primary_deg, step) {
            let [x, _] = self.axes.spot(&Positioner::deg(degrees, 0.0));
            self.pen.line(Token::Grid, vec![[x, plot.top], [x, plot.bottom]]);
            let words = named(degrees, "LAO", "RAO");
            self.pen.words(Token::MutedNote, [x, plot.bottom + 1.3 * note], Anchor::Middle, &words);
        }
        for degrees in ticks(self.axes.secondary_deg, 15.0) {
            let [_, y] = self.axes.spot(&Positioner::deg(0.0, degrees));
            self.pen.line(Token::Grid, vec![[plot.left, y], [plot.right, y]]);
            let words = named(degrees, "CRA", "CAU");
            self.pen.words(Token::MutedNote, [plot.left - 1.0, y + 0.3 * note], Anchor::End, &words);
        }
    }

    /// Where the length is whole, and where openings are edge-on: the ideal view lies on all.
    fn curves(&mut self) {
        let Some((_, aim)) = &self.input.subject else { return };
        let mut curves = Vec::new();
        if let Some(line) = aim.line() {
            curves.push((Token::ChainAxis, line, "length whole"));
        }
        curves.extend(aim.normals.iter().map(|normal| (Token::Bare, *normal, "edge-on")));
        for (token, line, words) in curves {
            let machine = self.input.reach.table.to_machine(&line);
            let mut parts: Vec<Vec<Spot>> = vec![Vec::new()];
            let mut last: Option<f64> = None;
            for at in perpendicular(&machine, CURVE) {
                let degrees = at.primary.wrapped().to_deg();
                // Cut where the curve goes round the back.
                if last.is_some_and(|last| (last - degrees).abs() > 180.0) {
                    parts.push(Vec::new());
                }
                last = Some(degrees);
                if let Some(part) = parts.last_mut() {
                    part.push(self.axes.spot(&at));
                }
            }
            let inside: Vec<Vec<Spot>> = parts.iter().flat_map(|part| clip::line(part, &self.axes.plot)).collect();
            let end = inside.iter().max_by_key(|part| part.len()).and_then(|part| part.get(part.len() / 6)).copied();
            self.pen.lines(token, inside);
            if let Some(end) = end {
                self.label(Token::Note, end, words, false);
            }
        }
    }

    fn views(&mut self) {
        let plot = self.axes.plot;
        let own = self.axes.spot(&self.input.at);
        self.places.take(Extent { left: own[0], right: own[0], top: own[1], bottom: own[1] }.grown(2.2));
        // What is chosen first, so that its name has room.
        let mut views: Vec<_> = self.input.views.iter().collect();
        views.sort_by_key(|view| !view.2);
        for (id, name, chosen, at) in views {
            let spot = self.axes.spot(at);
            let dot = Extent { left: spot[0], right: spot[0], top: spot[1], bottom: spot[1] };
            if !dot.inside(&plot) {
                continue;
            }
            self.pen.tie(id);
            self.pen.ring(Token::Ostium, spot, if *chosen { 1.5 } else { 0.9 });
            self.label(if *chosen { Token::Number } else { Token::Note }, spot, name, false);
        }
        self.pen.untie();
        self.pen.mark(Token::Handle, own, Sign::Handle, 4.0);
    }

    /// A label beside a spot (or on it), where there is room.
    fn label(&mut self, token: Token, at: Spot, words: &str, on: bool) {
        let (high, wide) = (self.pen.letters(token), self.pen.width(token, words));
        let mut bases = vec![
            [at[0] + 1.8, at[1] + 0.3 * high],
            [at[0] - 1.8 - wide, at[1] + 0.3 * high],
            [at[0] - wide / 2.0, at[1] - 1.8],
            [at[0] - wide / 2.0, at[1] + 1.6 + 0.8 * high],
            [at[0] + 1.4, at[1] - 1.6],
            [at[0] + 1.4, at[1] + 1.4 + 0.8 * high],
        ];
        if on {
            bases.insert(0, [at[0] - wide / 2.0, at[1] + 0.3 * high]);
        }
        let boxed = |[left, base]: Spot| Extent {
            left,
            right: left + wide,
            top: base - 0.78 * high,
            bottom: base + 0.24 * high,
        };
        if let Some(base) = bases.into_iter().find(|base| self.places.is_free(&boxed(*base))) {
            self.places.take(boxed(base));
            self.pen.words(token, base, Anchor::Start, words);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::carm::views::Length;
    use crate::units::Vec3;

    fn input(at: Positioner) -> ChartInput {
        let aim = Aim {
            ideal: Vec3::new(0.6, -0.8, 0.0),
            length: Length::Line(Vec3::new(0.8, 0.6, 0.0)),
            normals: vec![Vec3::z()],
        };
        ChartInput {
            reach: Reach::of(None),
            subject: Some(("IA ostium".into(), aim)),
            views: vec![("o1".into(), "o1".into(), true, Positioner::deg(36.87, 0.0))],
            at,
        }
    }

    #[test]
    fn a_spot_is_a_view_and_back() {
        let chart = carm_chart(&input(Positioner::deg(20.0, 10.0)), 150.0, Medium::Screen);
        for (p, s) in [(0.0, 0.0), (-90.0, 40.0), (104.0, -55.5)] {
            let at = Positioner::deg(p, s);
            let back = chart.axes.at(chart.axes.spot(&at));
            assert!((back.primary.to_deg() - p).abs() < 1e-9 && (back.secondary.to_deg() - s).abs() < 1e-9);
        }
        // LAO to the right, cranial up; beyond the chart it holds at its edge.
        let [x, y] = chart.axes.spot(&Positioner::deg(0.0, 0.0));
        let [right, up] = chart.axes.spot(&Positioner::deg(30.0, 20.0));
        assert!(right > x && up < y);
        assert_eq!(chart.axes.at([1e9, 0.0]).primary.to_deg(), PRIMARY_DEG);
    }

    #[test]
    fn the_chart_says_what_the_pointer_would_see() {
        let at = |p: f64, s: f64| carm_chart(&input(Positioner::deg(p, s)), 150.0, Medium::Screen).scene.description;
        assert_eq!(at(36.87, 0.0), "LAO 37 / CRA 0: 0.0 % shorter");
        assert_eq!(at(96.87, 0.0), "LAO 97 / CRA 0: 50.0 % shorter");
        assert_eq!(at(36.87, 50.0), "LAO 37 / CRA 50: 0.0 % shorter, out of reach");
        let nothing = ChartInput { subject: None, views: Vec::new(), ..input(Positioner::deg(0.0, 0.0)) };
        let chart = carm_chart(&nothing, f64::NAN, Medium::Paper);
        assert!(chart.scene.width_mm.is_finite() && chart.scene.description == "LAO 0 / CRA 0");
    }

    // The two curves cross where the view is: the ring of the chosen view lies on both.
    #[test]
    fn the_chosen_view_lies_on_its_curves() {
        let chart = carm_chart(&input(Positioner::deg(0.0, 0.0)), 150.0, Medium::Screen);
        let view = chart.axes.spot(&Positioner::deg(36.869_897_645_8, 0.0));
        for token in [Token::ChainAxis, Token::Bare] {
            let near = chart.scene.items.iter().filter(|item| item.token == token).any(|item| match &item.shape {
                super::super::Shape::Path(points) => points.windows(2).any(|pair| {
                    let [a, b] = [pair[0], pair[1]];
                    let step = [b[0] - a[0], b[1] - a[1]];
                    let length2 = step[0] * step[0] + step[1] * step[1];
                    let t = (((view[0] - a[0]) * step[0] + (view[1] - a[1]) * step[1]) / length2).clamp(0.0, 1.0);
                    (a[0] + t * step[0] - view[0]).hypot(a[1] + t * step[1] - view[1]) < 0.1
                }),
                _ => false,
            });
            assert!(near, "{token:?}");
        }
    }
}
