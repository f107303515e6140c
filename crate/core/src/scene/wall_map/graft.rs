//! The graft: fabric, edges, reference line, tunnels with their mouths, the handle.

use super::super::lettering::Extent;
use super::super::map_input::{Cover, MapGraft, MapTunnel, Standing};
use super::super::style::Token;
use super::super::{Anchor, Sign, Spot};
use super::Sheet;

/// Size of the grip, mm.
const HANDLE_MM: f64 = 5.6;

impl Sheet<'_> {
    /// Fabric over its true extent: dense where it seals, wide where it stands off the wall.
    pub(super) fn fabric(&mut self) {
        if !self.options.layers.fabric {
            return;
        }
        for (index, graft) in self.input.grafts.iter().enumerate() {
            self.pen.tie(&graft.id);
            for stretch in &graft.stretches {
                let ring = self.axes.band(&stretch.upstream, &stretch.downstream);
                let token = match (stretch.cover, index) {
                    (Cover::Seal, 0) => Token::Seal,
                    (Cover::Touching, 0) => Token::Fabric,
                    (Cover::Free, 0) => Token::FabricFree,
                    (Cover::Seal, _) => Token::SecondSeal,
                    (Cover::Touching, _) => Token::SecondFabric,
                    (Cover::Free, _) => Token::SecondFabricFree,
                    (Cover::Bare, _) => {
                        let mut closed = ring.clone();
                        closed.extend(ring.first());
                        self.pen.line(Token::Bare, closed);
                        continue;
                    }
                };
                self.pen.area(token, vec![ring]);
            }
        }
        self.pen.untie();
    }

    /// Edges of the fabric and the reference line.
    pub(super) fn graft_lines(&mut self) {
        for (index, graft) in self.input.grafts.iter().enumerate() {
            self.pen.tie(&graft.id);
            let edge = if index == 0 { Token::GraftEdge } else { Token::SecondEdge };
            for line in &graft.edges {
                let parts = self.axes.line(line);
                self.pen.lines(edge, parts);
            }
            let parts = self.axes.line(&graft.reference);
            let reference = if index == 0 { Token::ReferenceLine } else { Token::SecondReference };
            self.pen.lines(reference, parts);
            if let Some(at) = self.grip(graft) {
                self.places
                    .take(Extent { left: at[0], top: at[1], right: at[0], bottom: at[1] }.grown(HANDLE_MM / 2.0));
            }
        }
        self.pen.untie();
    }

    /// Radio-opaque marks.
    pub(super) fn marks(&mut self) {
        for graft in &self.input.grafts {
            self.pen.tie(&graft.id);
            for mark in &graft.marks {
                let at = self.spot(*mark);
                if inside(at, &self.axes.plot()) {
                    self.pen.mark(Token::GraftMark, at, Sign::Diamond, 2.0);
                }
            }
        }
        self.pen.untie();
    }

    /// Where a graft is gripped: on its proximal edge, but in reach where that lies outside the data.
    fn grip(&self, graft: &MapGraft) -> Option<Spot> {
        let plot = self.axes.plot();
        let handle = graft.handle.filter(|_| self.options.layers.handle)?;
        let at = self.spot(handle);
        Some([at[0].clamp(plot.left, plot.right), at[1]])
    }

    /// Mouths as they lie in the other possibilities.
    pub(super) fn other_possibilities(&mut self) {
        if !self.options.layers.other_possibilities {
            return;
        }
        for tunnel in self.input.grafts.iter().flat_map(|graft| &graft.tunnels) {
            self.pen.tie(&tunnel.id);
            for ghost in &tunnel.ghosts {
                let (_, lines) = self.axes.outline(ghost);
                self.pen.lines(Token::Ghost, lines);
            }
        }
        self.pen.untie();
    }

    /// Bodies of the tunnels, hidden inside the graft.
    pub(super) fn bodies(&mut self) {
        if !self.options.layers.bodies {
            return;
        }
        for tunnel in self.input.grafts.iter().flat_map(|graft| &graft.tunnels) {
            self.pen.tie(&tunnel.id);
            let (regions, _) = self.axes.outline(&tunnel.body);
            self.pen.area(Token::TunnelBody, regions);
        }
        self.pen.untie();
    }

    /// Mouths with the direction of their blood, fenestrations, scallops, and the vessel's name in
    /// the body.
    pub(super) fn mouths(&mut self) {
        for graft in &self.input.grafts {
            for opening in &graft.openings {
                self.pen.tie(&opening.id);
                let (regions, lines) = self.axes.outline(&opening.outline);
                self.pen.area(Token::Ground, regions);
                self.pen.lines(Token::Mouth, lines);
            }
            for tunnel in &graft.tunnels {
                self.pen.tie(&tunnel.id);
                self.mouth(tunnel);
            }
        }
        self.pen.untie();
    }

    fn mouth(&mut self, tunnel: &MapTunnel) {
        let Some(mouth) = tunnel.mouth else { return };
        let at = self.spot(mouth);
        let plot = self.axes.plot();
        if !inside(at, &plot) {
            return;
        }
        let (regions, lines) = self.axes.outline(&tunnel.outline);
        let shape = Extent::around(&regions.iter().flatten().copied().collect::<Vec<_>>());
        if let Some(extent) = shape {
            self.places.take(extent);
            self.pen.area(Token::Ground, regions);
            self.pen.lines(Token::Mouth, lines);
        } else {
            self.pen.mark(Token::MouthUnknown, [at[0], at[1] - 3.2], Sign::Question, 3.4);
        }
        let wide = shape.map_or(6.0, |extent| extent.right - extent.left);
        let sign = if tunnel.antegrade { Sign::ArrowRight } else { Sign::ArrowLeft };
        self.pen.mark(Token::FlowArrow, at, sign, (0.6 * wide).clamp(2.0, 5.0));
    }

    /// Bridging paths, seen from outside: where they leave the fabric they run on towards the vessel.
    pub(super) fn paths(&mut self) {
        if !self.options.layers.paths {
            return;
        }
        for tunnel in self.input.grafts.iter().flat_map(|graft| &graft.tunnels) {
            self.pen.tie(&tunnel.id);
            let parts = self.axes.line(&tunnel.path);
            self.pen.lines(Token::BridgingPath, parts);
        }
        self.pen.untie();
    }

    /// Names of the vessels in the bodies of their tunnels, where they cover no mouth or ostium.
    pub(super) fn body_names(&mut self) {
        if !self.options.layers.bodies {
            return;
        }
        let note = self.pen.letters(Token::GraftNote);
        for tunnel in self.input.grafts.iter().flat_map(|graft| &graft.tunnels) {
            let (regions, _) = self.axes.outline(&tunnel.body);
            let [region] = regions.as_slice() else { continue };
            let Some(body) = Extent::around(region) else { continue };
            let width = self.pen.width(Token::GraftNote, &tunnel.vessel);
            let room = body.right - body.left - width - 1.6;
            if room < 0.0 || body.bottom - body.top < note {
                continue;
            }
            // From the closed end towards the mouth: there the body is freest.
            let boxes = [0.25, 0.1, 0.45, 0.0, 0.65].map(|share| {
                let share = if tunnel.antegrade { share } else { 1.0 - share };
                let left = body.left + 0.8 + share * room;
                let near = |spot: &&Spot| spot[0] >= left - 2.0 && spot[0] <= left + width + 2.0;
                // A body that follows a turning graft is named at its own height there.
                let own = Extent::around(&region.iter().filter(near).copied().collect::<Vec<_>>()).unwrap_or(body);
                let middle = (own.top + own.bottom) / 2.0;
                Extent { left, top: middle - note / 2.0, right: left + width, bottom: middle + note / 2.0 }
            });
            // Where the body is full of others' mouths, just outside its closed end.
            let left = if tunnel.antegrade { body.left + 0.8 } else { body.right - width - 0.8 };
            let outside = [body.top - note - 0.4, body.bottom + 0.4].map(|top| Extent {
                left,
                top,
                right: left + width,
                bottom: top + note,
            });
            if let Some(own) = self.places.first_free(boxes.into_iter().chain(outside)) {
                self.pen.tie(&tunnel.id);
                let foot = [own.left, own.top + 0.78 * note];
                self.pen.words(Token::GraftNote, foot, Anchor::Start, &tunnel.vessel);
            }
        }
        self.pen.untie();
    }

    /// What the reference line is, at its distal end.
    pub(super) fn reference_names(&mut self) {
        let note = self.pen.letters(Token::GraftNote);
        for (index, graft) in self.input.grafts.iter().enumerate() {
            let Some(end) = graft.reference.last() else { continue };
            let at = self.spot(*end);
            let width = self.pen.width(Token::GraftNote, "reference line");
            let [right, left] = [at[0] + 1.2, at[0] - width - 1.2];
            let [below, above] = [at[1] + 0.8, at[1] - 0.8 - note];
            let boxes = [(right, below), (right, above), (left, below), (left, above)].map(|(left, top)| Extent {
                left,
                top,
                right: left + width,
                bottom: top + note,
            });
            if let Some(own) = self.places.first_free(boxes) {
                self.pen.tie(&graft.id);
                let foot = [own.left, own.top + 0.78 * note];
                self.pen.words(note_of(index), foot, Anchor::Start, "reference line");
            }
        }
        self.pen.untie();
    }

    /// What each stretch of graft is, in the band under the upper edge: oversize at the seals, and
    /// where fabric is off the wall or missing.
    pub(super) fn stretch_labels(&mut self) {
        if !self.options.layers.fabric {
            return;
        }
        for (index, graft) in self.input.grafts.iter().enumerate() {
            self.pen.tie(&graft.id);
            for seal in &graft.seals {
                let span = [seal.from_mm, seal.to_mm].map(|mm| self.axes.station_to_x(mm));
                self.band_label(note_of(index), span, &oversize(seal.oversize_percent, seal.standing));
            }
            for stretch in &graft.stretches {
                let words: &[&str] = match stretch.cover {
                    Cover::Seal | Cover::Touching => continue,
                    Cover::Free => &["fabric off the wall", "off the wall"],
                    Cover::Bare => &["no fabric"],
                };
                let Some(extent) = Extent::around(&self.axes.band(&stretch.upstream, &stretch.downstream)) else {
                    continue;
                };
                let choices: Vec<String> = words.iter().map(|words| (*words).to_owned()).collect();
                self.band_label(note_of(index), [extent.left, extent.right], &choices);
            }
        }
        self.pen.untie();
    }

    /// The first of the choices that has room over its stretch.
    fn band_label(&mut self, token: Token, [left, right]: [f64; 2], choices: &[String]) {
        let plot = self.axes.plot();
        let [left, right] = [left.max(plot.left), right.min(plot.right)];
        let band = self.upper_band(left, right);
        let middle = (left + right) / 2.0;
        for words in choices {
            let half = self.pen.width(token, words) / 2.0;
            let own = Extent { left: middle - half, right: middle + half, ..band };
            if 2.0 * half + 1.0 <= right - left && self.places.first_free([own]).is_some() {
                let at = [middle, band.top + self.pen.letters(token)];
                self.pen.words(token, at, Anchor::Middle, words);
                return;
            }
        }
    }

    /// The grip that moves the graft, where the reference line meets the proximal edge.
    pub(super) fn handle(&mut self) {
        for (index, graft) in self.input.grafts.iter().enumerate() {
            let Some(at) = self.grip(graft) else { continue };
            self.pen.tie(&graft.id);
            let token = if index == 0 { Token::Handle } else { Token::SecondHandle };
            self.pen.mark(token, at, Sign::Handle, HANDLE_MM);
        }
        self.pen.untie();
    }
}

/// Notes of a second graft are in ink: its colour is too light for words.
fn note_of(index: usize) -> Token {
    if index == 0 { Token::GraftNote } else { Token::Note }
}

/// Oversize in words, the longest first.
fn oversize(percent: Option<[f64; 2]>, standing: Standing) -> [String; 3] {
    let number = percent.map_or("unknown".into(), super::percent_range);
    let word = if percent.is_some() { standing.word() } else { "" };
    let verdict = if word.is_empty() { String::new() } else { format!(", {word}") };
    [format!("seal, oversize {number}{verdict}"), format!("oversize {number}"), "seal".into()]
}

fn inside(spot: [f64; 2], plot: &Extent) -> bool {
    Extent { left: spot[0], top: spot[1], right: spot[0], bottom: spot[1] }.inside(plot)
}
