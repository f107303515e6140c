//! The arch from the side, square to its plane: lumen, graft, tunnels, ostia and vessels, true in mm.
//!
//! Lines are those of the wall map: what is there is continuous, what is hidden inside dashed, axes
//! are chain lines. Depth is lost: what lies to the front or back of the plane is drawn on it.

mod axes;
mod from_plan;
mod input;

pub use axes::SideAxes;
pub use input::*;

use super::lanes::Places;
use super::lettering::Extent;
use super::map_input::Cover;
use super::pen::Pen;
use super::style::{Medium, Token};
use super::{Anchor, Scene, Sign, Spot};
use crate::report::words;

/// Room round the drawing for ticks and names, mm of the drawing.
const MARGIN_MM: f64 = 14.0;
/// Length of a tick, mm.
const TICK_MM: f64 = 1.6;
/// Stations that carry their number, mm.
const NUMBERED_MM: i64 = 20;
/// Width that the words below the drawing want, mm.
const CAPTION_MM: f64 = 125.0;
/// Rows of words below the drawing.
const CAPTION_ROWS: usize = 5;
/// The scale bar, mm of the arch.
const BAR_MM: f64 = 50.0;

/// How large a side view is.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum SideSize {
    /// A millimetre of the arch is a millimetre of the drawing.
    TrueSize,
    /// As large as fits.
    Fit {
        /// Width of the drawing, mm.
        width_mm: f64,
        /// Height of the drawing, mm.
        height_mm: f64,
    },
}

/// How a side view fills its room.
struct Laid {
    scale: f64,
    at: Spot,
    width: f64,
    height: f64,
    foot: f64,
}

impl Laid {
    fn new(input: &SideInput, size: SideSize, pen: &Pen) -> Self {
        let everything: Vec<Spot> = input
            .lumen
            .iter()
            .chain(input.vessels.iter().flat_map(|v| v.sides.iter().flatten().chain(std::iter::once(&v.end))))
            .copied()
            .collect();
        let room = Extent::around(&everything).unwrap_or(Extent { left: 0.0, top: 0.0, right: 60.0, bottom: 20.0 });
        let (across, down) = ((room.right - room.left).max(1.0), (room.bottom - room.top).max(1.0));
        let foot = (0.6 + 1.3 * CAPTION_ROWS as f64) * pen.letters(Token::Note);
        let scale = match size {
            SideSize::TrueSize => 1.0,
            SideSize::Fit { width_mm, height_mm } => {
                let fit = |mm: f64, margins: f64| (mm - margins).clamp(20.0, 3000.0);
                (fit(width_mm, 2.0 * MARGIN_MM) / across).min(fit(height_mm, 2.0 * MARGIN_MM + foot) / down)
            }
        };
        // The words below want room of their own, as far as there is any.
        let wanted = match size {
            SideSize::Fit { width_mm, .. } if width_mm < CAPTION_MM => width_mm.max(0.0),
            _ => CAPTION_MM,
        };
        let width = (across * scale + 2.0 * MARGIN_MM).max(wanted);
        let left = (width - across * scale) / 2.0;
        let at = [left - room.left * scale, MARGIN_MM + room.bottom * scale];
        Laid { scale, at, width, height: down * scale + 2.0 * MARGIN_MM + foot, foot }
    }

    fn spot(&self, own: Spot) -> Spot {
        [self.at[0] + own[0] * self.scale, self.at[1] - own[1] * self.scale]
    }
}

/// Where the aorta lies on a side view, for what is dragged on it.
pub fn side_axes(input: &SideInput, size: SideSize, medium: Medium) -> SideAxes {
    let laid = Laid::new(input, size, &Pen::new(medium));
    let points = input.centreline.iter().zip(&input.along);
    let mouths = input.grafts.iter().flat_map(|graft| &graft.tunnels);
    let mouths = mouths.filter_map(|tunnel| Some((tunnel.id.clone(), tunnel.arrow?.0)));
    let windows = input.grafts.iter().flat_map(|graft| &graft.openings).map(|(id, ring)| {
        let count = ring.len().max(1) as f64;
        let sum = ring.iter().fold([0.0, 0.0], |sum, spot| [sum[0] + spot[0], sum[1] + spot[1]]);
        (id.clone(), [sum[0] / count, sum[1] / count])
    });
    let parts = mouths.chain(windows).map(|(id, at)| (id, laid.spot(at))).collect();
    SideAxes { parts, line: points.map(|(spot, (s, radius))| (*s, laid.spot(*spot), radius * laid.scale)).collect() }
}

/// Draws the arch from the side.
pub fn side_view(input: &SideInput, size: SideSize, medium: Medium, lit: Option<&str>) -> Scene {
    let pen = Pen::new(medium);
    let note = pen.letters(Token::Note);
    let laid = Laid::new(input, size, &pen);
    let Laid { width, height, foot, .. } = laid;
    let caption = wrapped(&pen, &caption(input, laid.scale), width - 2.0);
    let plot = Extent { left: 0.0, top: 0.0, right: width, bottom: height - foot };
    let mut sheet = Sheet { input, pen, laid, plot };
    if let Some(missing) = &input.missing {
        sheet.pen.words(Token::Note, [2.0, height / 2.0], Anchor::Start, missing);
    } else {
        sheet.all();
        for (row, words) in caption.iter().enumerate() {
            let at = [1.0, height - foot + (1.2 + 1.3 * row as f64) * note];
            sheet.pen.words(Token::MutedNote, at, Anchor::Start, words);
        }
    }
    let mut scene = Scene {
        name: "side-view",
        width_mm: width,
        height_mm: height,
        medium,
        title: format!("Side view of the arch{}.", of(&input.label)),
        description: description(input),
        ground: 0,
        items: sheet.pen.items,
    };
    scene.light(lit);
    scene
}

fn of(label: &str) -> String {
    if label.is_empty() { String::new() } else { format!(" of {label}") }
}

fn caption(input: &SideInput, scale: f64) -> String {
    let size = if (scale - 1.0).abs() < 1e-9 { "true size".into() } else { format!("{scale:.2} to 1") };
    let lie = input.possibility.map_or(String::new(), |p| format!(" Graft {}.", words::possibility(p)));
    format!(
        "Seen square to the arch plane, from the patient's {}; flow to the right; {size}.{lie} Numbers are stations in \
         mm. What lies in front of or behind the plane is drawn on it; vessels run along their take-off.",
        input.seen_from
    )
}

/// Words in rows that have room; what has none in the last row is left out.
fn wrapped(pen: &Pen, text: &str, width_mm: f64) -> Vec<String> {
    let mut rows: Vec<String> = vec![String::new()];
    for word in text.split(' ') {
        let full = rows.len() == CAPTION_ROWS;
        let Some(last) = rows.last_mut() else { break };
        let longer = if last.is_empty() { word.to_owned() } else { format!("{last} {word}") };
        if last.is_empty() || pen.width(Token::MutedNote, &longer) <= width_mm {
            *last = longer;
        } else if !full {
            rows.push(word.to_owned());
        } else {
            last.push('…');
            break;
        }
    }
    rows
}

fn description(input: &SideInput) -> String {
    let mut words = format!("Seen from the patient's {}, flow to the right.", input.seen_from);
    for graft in &input.grafts {
        words.push_str(&format!(" {}: {} tunnels, {} openings.", graft.id, graft.tunnels.len(), graft.openings.len()));
    }
    words
}

struct Sheet<'a> {
    input: &'a SideInput,
    pen: Pen,
    laid: Laid,
    plot: Extent,
}

impl Sheet<'_> {
    fn spot(&self, own: Spot) -> Spot {
        self.laid.spot(own)
    }

    fn spots(&self, own: &[Spot]) -> Vec<Spot> {
        own.iter().map(|spot| self.spot(*spot)).collect()
    }

    /// Everything, back to front.
    fn all(&mut self) {
        self.vessels();
        self.fabric();
        self.bodies();
        let centreline = self.spots(&self.input.centreline);
        self.pen.line(Token::ChainAxis, centreline);
        self.openings();
        self.sites();
        let mut lumen = self.spots(&self.input.lumen);
        lumen.extend(lumen.first().copied());
        self.pen.line(Token::Frame, lumen);
        self.marks();
        self.ticks();
        self.names();
        self.bar();
    }

    fn vessels(&mut self) {
        for vessel in &self.input.vessels {
            self.pen.tie(&vessel.id);
            for side in &vessel.sides {
                let line = self.spots(side);
                self.pen.line(Token::Lumen, line);
            }
        }
        for (id, ring) in &self.input.plugs {
            self.pen.tie(id);
            let ring = self.spots(ring);
            self.pen.area(Token::SecondSeal, vec![ring.clone()]);
            self.pen.line(Token::SecondEdge, closed(ring));
        }
        self.pen.untie();
    }

    fn fabric(&mut self) {
        for (index, graft) in self.input.grafts.iter().enumerate() {
            self.pen.tie(&graft.id);
            let (border, edge) = match index {
                0 => (Token::SectionBorder, Token::GraftEdge),
                _ => (Token::SecondBorder, Token::SecondEdge),
            };
            for (cover, ring) in &graft.stretches {
                let ring = self.spots(ring);
                match cover {
                    Cover::Bare => self.pen.line(Token::Bare, closed(ring)),
                    _ => {
                        let token = match (cover, index) {
                            (Cover::Seal, 0) => Token::Seal,
                            (Cover::Touching, 0) => Token::Fabric,
                            (Cover::Free, 0) => Token::FabricFree,
                            (Cover::Seal, _) => Token::SecondSeal,
                            (Cover::Touching, _) => Token::SecondFabric,
                            (Cover::Free | Cover::Bare, _) => Token::SecondFabricFree,
                        };
                        self.pen.area(token, vec![ring.clone()]);
                        self.pen.line(border, closed(ring));
                    }
                }
            }
            for line in &graft.borders {
                let line = self.spots(line);
                self.pen.line(border, line);
            }
            for line in &graft.edges {
                let line = self.spots(line);
                self.pen.line(edge, line);
            }
            let tip = self.spots(&graft.tip);
            self.pen.line(border, tip);
            for line in &graft.barbs {
                let line = self.spots(line);
                self.pen.line(edge, line);
            }
        }
        self.pen.untie();
    }

    fn bodies(&mut self) {
        for tunnel in self.input.grafts.iter().flat_map(|g| &g.tunnels) {
            self.pen.tie(&tunnel.id);
            let ring = self.spots(&tunnel.body);
            self.pen.area(Token::TunnelBody, vec![ring]);
        }
        self.pen.untie();
    }

    fn openings(&mut self) {
        for tunnel in self.input.grafts.iter().flat_map(|g| &g.tunnels) {
            self.pen.tie(&tunnel.id);
            let path = self.spots(&tunnel.path);
            self.pen.line(Token::BridgingPath, path);
        }
        for graft in &self.input.grafts {
            for (id, ring) in &graft.openings {
                self.pen.tie(id);
                let ring = self.spots(ring);
                self.pen.area(Token::Mouth, vec![ring]);
            }
            for tunnel in &graft.tunnels {
                self.pen.tie(&tunnel.id);
                let ring = self.spots(&tunnel.mouth);
                self.pen.area(Token::Mouth, vec![ring]);
                if let Some((at, along)) = tunnel.arrow {
                    let [from, to] = [-1.0, 1.0]
                        .map(|sign| self.spot([at[0] + 3.0 * sign * along[0], at[1] + 3.0 * sign * along[1]]));
                    let head = arrow_head(from, to);
                    self.pen.line(Token::FlowArrow, vec![from, to]);
                    self.pen.line(Token::FlowArrow, head);
                }
            }
        }
        self.pen.untie();
    }

    fn sites(&mut self) {
        for site in &self.input.sites {
            self.pen.tie(&site.id);
            let ring = self.spots(&site.outline);
            let token = if site.keep_clear { Token::KeepClear } else { Token::Ostium };
            // The outline alone: what lies behind it is seen.
            self.pen.line(token, closed(ring));
        }
        self.pen.untie();
    }

    fn marks(&mut self) {
        for graft in &self.input.grafts {
            self.pen.tie(&graft.id);
            for mark in self.spots(&graft.marks) {
                self.pen.mark(Token::GraftMark, mark, Sign::Diamond, 2.0);
            }
        }
        self.pen.untie();
    }

    /// Stations on the outer wall, outside it.
    fn ticks(&mut self) {
        let note = self.pen.letters(Token::Note);
        for tick in &self.input.ticks {
            let from = self.spot(tick.at);
            let out = [tick.out[0], -tick.out[1]];
            let to = [from[0] + TICK_MM * out[0], from[1] + TICK_MM * out[1]];
            self.pen.line(Token::Tick, vec![from, to]);
            if tick.station_mm % NUMBERED_MM == 0 {
                let words = words::signed(tick.station_mm.to_string());
                let half = self.pen.width(Token::Note, &words) / 2.0;
                let reach = TICK_MM + 0.6 + half * out[0].abs() + 0.5 * note * out[1].abs();
                let at = [from[0] + reach * out[0], from[1] + reach * out[1] + 0.3 * note];
                self.pen.words(Token::Note, at, Anchor::Middle, &words);
            }
        }
    }

    fn names(&mut self) {
        let name = self.pen.letters(Token::Number);
        let note = self.pen.letters(Token::Note);
        let mut places = Places::new(self.plot.grown(-0.5));
        for vessel in &self.input.vessels {
            self.pen.tie(&vessel.id);
            let at = self.spot(vessel.end);
            let half = self.pen.width(Token::Number, &vessel.id) / 2.0;
            let boxes = [0.0, 1.1, -1.1, 2.2].map(|down| Extent {
                left: at[0] - half,
                right: at[0] + half,
                top: at[1] + (down - 0.5) * name,
                bottom: at[1] + (down + 0.5) * name,
            });
            if let Some(own) = places.first_free(boxes) {
                self.pen.words(Token::Number, [at[0], own.top + 0.8 * name], Anchor::Middle, &vessel.id);
            }
        }
        for site in self.input.sites.iter().filter(|s| s.keep_clear) {
            let Some(extent) = Extent::around(&self.spots(&site.outline)) else { continue };
            self.pen.tie(&site.id);
            let width = self.pen.width(Token::Note, &site.name);
            let middle = (extent.top + extent.bottom) / 2.0;
            let beside =
                |left: f64| Extent { left, right: left + width, top: middle - note / 2.0, bottom: middle + note / 2.0 };
            if let Some(own) = places.first_free([beside(extent.right + 0.8), beside(extent.left - 0.8 - width)]) {
                self.pen.words(Token::Note, [own.left, own.top + 0.78 * note], Anchor::Start, &site.name);
            }
        }
        self.pen.untie();
    }

    /// Fifty millimetres of the arch, for whatever size the drawing has.
    fn bar(&mut self) {
        let note = self.pen.letters(Token::Note);
        let [from, to] = [0.0, BAR_MM * self.laid.scale]
            .map(|x| [self.plot.right - 3.0 - BAR_MM * self.laid.scale + x, self.plot.bottom - 1.5]);
        self.pen.dimension(Token::Dimension, from, to);
        let at = [(from[0] + to[0]) / 2.0, from[1] - 0.5 * note];
        self.pen.words(Token::Note, at, Anchor::Middle, &format!("{BAR_MM:.0} mm"));
    }
}

fn closed(mut ring: Vec<Spot>) -> Vec<Spot> {
    ring.extend(ring.first().copied());
    ring
}

/// Two short strokes back from the end of a line.
fn arrow_head(from: Spot, to: Spot) -> Vec<Spot> {
    let along = [to[0] - from[0], to[1] - from[1]];
    let length = along[0].hypot(along[1]);
    if length < 1e-6 {
        return Vec::new();
    }
    let unit = [along[0] / length, along[1] / length];
    let back = |side: f64| [to[0] - 1.4 * unit[0] - side * unit[1], to[1] - 1.4 * unit[1] + side * unit[0]];
    vec![back(1.0), to, back(-1.0)]
}
