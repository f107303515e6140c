//! A simulated projection: what the screen of the C-arm will show of a plan at a view, as planned and
//! with the graft turned, so that the room knows how markers and edges should look.
//!
//! Everything is drawn through: a screen does not hide what lies behind. The drawing places points; it
//! computes no measure.

mod input;

pub use input::{ProjectionInput, SeenGraft, SeenOstium};

use super::lanes::Places;
use super::lettering::Extent;
use super::pen::Pen;
use super::style::{Medium, Token};
use super::{Anchor, Scene, Sign, Spot};
use crate::carm::angles::Positioner;
use crate::carm::projection::{Beam, Picture};
use crate::message;
use crate::report::words;
use crate::units::{Point3, Vec3};

/// How the projection is drawn.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Options {
    /// Width of the drawing, mm; the picture is a square of this width, words stand under it.
    pub width_mm: f64,
    /// For what it is made.
    pub medium: Medium,
    /// The view.
    pub at: Positioner,
    /// The beam, where magnification is to be shown.
    pub beam: Option<Beam>,
}

/// Smallest and largest width of a drawing, mm.
const WIDTHS_MM: [f64; 2] = [60.0, 600.0];
/// Length of the scale bar, mm of the patient.
const BAR_MM: f64 = 20.0;
/// A patient's side is named at the picture's edge if the edge points to it by this much.
const NAMED: f64 = 0.35;

/// Draws the projection.
pub fn projection(input: &ProjectionInput, options: &Options) -> Scene {
    let pen = Pen::new(options.medium);
    let width = if options.width_mm.is_finite() { options.width_mm.clamp(WIDTHS_MM[0], WIDTHS_MM[1]) } else { 60.0 };
    let note = pen.letters(Token::Note);
    let frame = Extent { left: 0.4, top: 0.4, right: width - 0.4, bottom: width - 0.4 };
    let picture = Picture { screen: input.table.screen(&options.at), isocentre: input.isocentre, beam: options.beam };
    // Framed by a ball round all of it, so that the size does not change with the view.
    let (middle, far) = ball(input);
    let scale = (width / 2.0 - 2.2 * note) / far;
    let [x, y] = picture.spot(&middle).unwrap_or([0.0, 0.0]);
    let middle = [width / 2.0 - scale * x, width / 2.0 + scale * y];
    let mut sheet = Sheet { picture, scale, middle, places: Places::new(frame.grown(-0.5)), pen };
    sheet.pen.extent(Token::Tick, frame);
    let mut rows: Vec<(Token, String)> = Vec::new();
    match &input.missing {
        Some(missing) => rows.push((Token::Note, missing.clone())),
        None => sheet.all(input, options, &frame, &mut rows),
    }
    rows.push((Token::MutedNote, message::CT_POSE.to_owned()));
    let rows: Vec<(Token, String)> = rows
        .iter()
        .flat_map(|(token, said)| sheet.pen.wrapped(*token, said, width - 0.8).into_iter().map(|line| (*token, line)))
        .collect();
    for (row, (token, said)) in rows.iter().enumerate() {
        sheet.pen.words(*token, [0.4, width + (1.3 + 1.3 * row as f64) * note], Anchor::Start, said);
    }
    let widest = rows.iter().map(|(token, said)| sheet.pen.width(*token, said)).fold(width, f64::max);
    Scene {
        name: "projection",
        width_mm: widest + 0.8,
        height_mm: width + (0.9 + 1.3 * rows.len() as f64) * note,
        medium: options.medium,
        title: format!("Simulated projection at {}.", options.at.words()),
        description: rows.iter().map(|(_, said)| said.as_str()).collect::<Vec<_>>().join(" "),
        items: sheet.pen.items,
        ground: 0,
    }
}

/// A ball that holds all that is drawn: the middle of its box, and how far it reaches, mm.
fn ball(input: &ProjectionInput) -> (Point3, f64) {
    let ends = input.ostia.iter().flat_map(|ostium| ostium.vessels.iter().map(|vessel| &vessel.1[1]));
    let all: Vec<&Point3> = input.wall.points().iter().chain(ends).collect();
    let Some(first) = all.first() else { return (input.isocentre, 1.0) };
    let (low, high) =
        all.iter().fold((first.coords, first.coords), |(low, high), p| (low.inf(&p.coords), high.sup(&p.coords)));
    let middle = Point3::from((low + high) / 2.0);
    (middle, all.iter().map(|p| (*p - middle).norm()).fold(1.0, f64::max))
}

struct Sheet {
    picture: Picture,
    scale: f64,
    middle: Spot,
    places: Places,
    pen: Pen,
}

/// What a graft is drawn with: as planned, or turned.
struct Inks {
    fabric: Token,
    edge: Token,
    reference: Token,
    mouth: Token,
    body: Token,
    mark: Token,
}

const PLANNED: Inks = Inks {
    fabric: Token::SectionBorder,
    edge: Token::GraftEdge,
    reference: Token::ReferenceLine,
    mouth: Token::Mouth,
    body: Token::TunnelBody,
    mark: Token::GraftMark,
};
const SECOND: Inks =
    Inks { fabric: Token::SecondBorder, edge: Token::SecondEdge, reference: Token::SecondReference, ..PLANNED };
const TURNED: Inks = Inks {
    fabric: Token::Ghost,
    edge: Token::Ghost,
    reference: Token::Ghost,
    mouth: Token::Ghost,
    body: Token::Ghost,
    mark: Token::Ghost,
};

impl Sheet {
    /// On the drawing, y down.
    fn paper(&self, [x, y]: [f64; 2]) -> Spot {
        [self.middle[0] + self.scale * x, self.middle[1] - self.scale * y]
    }

    fn spot(&self, point: &Point3) -> Option<Spot> {
        Some(self.paper(self.picture.spot(point)?))
    }

    fn line(&mut self, token: Token, points: &[Point3]) {
        let line: Vec<Spot> = points.iter().filter_map(|point| self.spot(point)).collect();
        self.pen.line(token, line);
    }

    fn lines(&mut self, token: Token, lines: Vec<Vec<[f64; 2]>>) {
        let drawn = lines.into_iter().map(|line| line.into_iter().map(|spot| self.paper(spot)).collect()).collect();
        self.pen.lines(token, drawn);
    }

    fn all(&mut self, input: &ProjectionInput, options: &Options, frame: &Extent, rows: &mut Vec<(Token, String)>) {
        self.head(input, options, frame);
        self.lines(Token::Tick, input.wall.ends(&self.picture));
        let outline = input.wall.outline(&self.picture);
        self.lines(Token::Lumen, outline);
        for graft in &input.turned.1 {
            self.graft(graft, &TURNED, false);
        }
        for (index, graft) in input.grafts.iter().enumerate() {
            self.graft(graft, if index == 0 { &PLANNED } else { &SECOND }, true);
        }
        self.anatomy(input);
        self.said(input, options, rows);
    }

    /// The view, the patient's sides and a scale.
    fn head(&mut self, input: &ProjectionInput, options: &Options, frame: &Extent) {
        let screen = self.picture.screen;
        let (name, note) = (self.pen.letters(Token::Name), self.pen.letters(Token::Note));
        let mut taken = vec![self.pen.words(
            Token::Name,
            [frame.left + 1.2, frame.top + 1.2 * name],
            Anchor::Start,
            &options.at.words(),
        )];
        let middle = [(frame.left + frame.right) / 2.0, (frame.top + frame.bottom) / 2.0];
        for (direction, at, anchor) in [
            (screen.right, [frame.right - 0.8, middle[1]], Anchor::End),
            (-screen.right, [frame.left + 0.8, middle[1]], Anchor::Start),
            (screen.up, [middle[0], frame.top + 1.1 * note], Anchor::Middle),
            (-screen.up, [middle[0], frame.bottom - 0.6 * note], Anchor::Middle),
        ] {
            taken.push(self.pen.words(Token::MutedNote, at, anchor, &side(&direction)));
        }
        let bar = self.scale * BAR_MM;
        let (left, base) = (frame.left + 1.5, frame.bottom - 1.6);
        self.pen
            .line(Token::Tick, vec![[left, base - 1.0], [left, base], [left + bar, base], [left + bar, base - 1.0]]);
        let words = match input.table.turn.to_deg() {
            0.0 => format!("{BAR_MM:.0} mm"),
            _ => format!("{BAR_MM:.0} mm · table turned {}", words::degrees(input.table.turn)),
        };
        taken.push(self.pen.words(Token::MutedNote, [left + bar + 1.0, base], Anchor::Start, &words));
        for extent in taken {
            self.places.take(extent);
        }
    }

    fn graft(&mut self, graft: &SeenGraft, inks: &Inks, named: bool) {
        self.pen.tie(&graft.id);
        for tube in &graft.fabric {
            let outline = tube.outline(&self.picture);
            self.lines(inks.fabric, outline);
        }
        for edge in &graft.edges {
            self.line(inks.edge, edge);
        }
        self.line(inks.reference, &graft.reference);
        for (id, line) in &graft.bodies {
            self.pen.tie(id);
            self.line(inks.body, line);
        }
        for (id, path) in &graft.paths {
            self.pen.tie(id);
            self.line(Token::BridgingPath, path);
        }
        for (id, vessel, rim) in &graft.mouths {
            self.pen.tie(id);
            self.line(inks.mouth, rim);
            if let Some(spot) = rim.first().and_then(|point| self.spot(point)).filter(|_| named) {
                self.label(Token::GraftNote, spot, vessel);
            }
        }
        self.pen.untie();
        for (number, _, point) in &graft.markers {
            let Some(spot) = self.spot(point) else { continue };
            self.pen.mark(inks.mark, spot, Sign::Diamond, 2.2);
            if named {
                self.label(Token::GraftNote, spot, &number.to_string());
            }
        }
    }

    fn anatomy(&mut self, input: &ProjectionInput) {
        for ostium in &input.ostia {
            self.pen.tie(&ostium.id);
            if let Some(rim) = &ostium.rim {
                let mut points = rim.points(48);
                points.extend(points.first().copied());
                self.line(Token::Ostium, &points);
            }
            for (name, ends) in &ostium.vessels {
                self.line(Token::Leader, ends);
                if let Some(spot) = self.spot(&ends[1]) {
                    self.label(Token::Number, spot, name);
                }
            }
            if let Some(rim) = ostium.rim.as_ref().filter(|_| ostium.vessels.is_empty())
                && let Some(spot) = self.spot(&rim.centre)
            {
                self.label(Token::Number, spot, &ostium.name);
            }
        }
        for (id, name, point) in &input.kept_clear {
            self.pen.tie(id);
            if let Some(spot) = self.spot(point) {
                self.pen.mark(Token::KeepClear, spot, Sign::CrossedRing, 2.4);
                self.label(Token::Note, spot, name);
            }
        }
        self.pen.untie();
    }

    /// A label beside a spot, where there is room for it; left away where there is none.
    fn label(&mut self, token: Token, at: Spot, words: &str) {
        let (high, wide) = (self.pen.letters(token), self.pen.width(token, words));
        let off = 1.5;
        let candidates = [
            [at[0] + off, at[1] + 0.3 * high],
            [at[0] - off - wide, at[1] + 0.3 * high],
            [at[0] - wide / 2.0, at[1] - off],
            [at[0] - wide / 2.0, at[1] + off + 0.8 * high],
            [at[0] + off, at[1] - off],
            [at[0] - off - wide, at[1] + off + 0.8 * high],
        ];
        let boxed = |[left, base]: Spot| Extent {
            left,
            right: left + wide,
            top: base - 0.78 * high,
            bottom: base + 0.24 * high,
        };
        if let Some(place) = candidates.into_iter().find(|place| self.places.is_free(&boxed(*place))) {
            self.places.take(boxed(place));
            self.pen.words(token, place, Anchor::Start, words);
        }
    }

    /// What stands under the picture.
    fn said(&self, input: &ProjectionInput, options: &Options, rows: &mut Vec<(Token, String)>) {
        if let Some(possibility) = input.possibility {
            rows.push((Token::Note, format!("As planned, {}.", words::possibility(possibility))));
        }
        if !input.turned.1.is_empty() {
            let turn = words::turn(input.turned.0);
            rows.push((Token::Note, format!("Double-dotted: the graft turned {turn} from the plan.")));
        }
        let markers: Vec<String> = input
            .grafts
            .iter()
            .flat_map(|graft| &graft.markers)
            .map(|(number, name, _)| if name.is_empty() { number.to_string() } else { format!("{number} {name}") })
            .collect();
        if !markers.is_empty() {
            rows.push((Token::Note, format!("Markers: {}.", markers.join(" · "))));
        }
        if let Some(beam) = &options.beam {
            let sizes = [beam.source_to_isocentre_mm, beam.source_to_detector_mm].map(|mm| format!("{mm:.0} mm"));
            let words = format!("Source to isocentre {}, to detector {}; sizes in the isocentre.", sizes[0], sizes[1]);
            rows.push((Token::MutedNote, words));
        }
    }
}

/// The patient's sides a direction points to: `left-back`.
fn side(direction: &Vec3) -> String {
    let names = [("left", "right"), ("back", "front"), ("head", "feet")];
    let pointed = (0..3).filter(|k| direction[*k].abs() >= NAMED);
    pointed.map(|k| if direction[k] > 0.0 { names[k].0 } else { names[k].1 }).collect::<Vec<_>>().join("-")
}

#[cfg(test)]
mod tests;
