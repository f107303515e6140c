//! The graft: fabric, edges, reference line, tunnels with their mouths, the handle.

use super::super::axes::WallSpot;
use super::super::lettering::Extent;
use super::super::map_input::{Cover, MapTunnel, Standing};
use super::super::style::Token;
use super::super::{Anchor, Sign};
use super::Sheet;

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
            self.pen.lines(Token::ReferenceLine, parts);
            for mark in &graft.marks {
                let at = self.spot(*mark);
                if inside(at, &self.axes.plot()) {
                    self.pen.mark(Token::GraftMark, at, Sign::Diamond, 2.0);
                }
            }
        }
        self.pen.untie();
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
        self.body_name(tunnel, at[0], wide);
    }

    /// The vessel's name in the body, where it has room beside the mouth.
    fn body_name(&mut self, tunnel: &MapTunnel, mouth_x: f64, mouth_wide: f64) {
        if !self.options.layers.bodies {
            return;
        }
        let (regions, _) = self.axes.outline(&tunnel.body);
        let [region] = regions.as_slice() else { return };
        let Some(body) = Extent::around(region) else { return };
        let note = self.pen.letters(Token::GraftNote);
        let [left, right] = if tunnel.antegrade {
            [body.left, body.right.min(mouth_x - mouth_wide / 2.0)]
        } else {
            [body.left.max(mouth_x + mouth_wide / 2.0), body.right]
        };
        let room = right - left - 1.2;
        if room >= self.pen.width(Token::GraftNote, &tunnel.vessel) && body.bottom - body.top >= note {
            let at = [(left + right) / 2.0, (body.top + body.bottom) / 2.0 + 0.28 * note];
            self.pen.words(Token::GraftNote, at, Anchor::Middle, &tunnel.vessel);
        }
    }

    /// What each stretch of graft is, in the band under the upper edge.
    pub(super) fn stretch_labels(&mut self) {
        if !self.options.layers.fabric {
            return;
        }
        let band = self.upper_band();
        let note = self.pen.letters(Token::GraftNote);
        for graft in &self.input.grafts {
            self.pen.tie(&graft.id);
            for stretch in &graft.stretches {
                let ring = self.axes.band(&stretch.upstream, &stretch.downstream);
                let Some(extent) = Extent::around(&ring) else { continue };
                let seal = graft.seals.iter().find(|seal| {
                    let [left, right] = [seal.from_mm, seal.to_mm].map(|mm| self.axes.station_to_x(mm));
                    stretch.cover == Cover::Seal && left < extent.right && extent.left < right
                });
                let choices: Vec<String> = match (stretch.cover, seal) {
                    (Cover::Seal, Some(seal)) => {
                        let [long, short] = oversize(seal.oversize_percent, seal.standing);
                        vec![long, short, "seal".into()]
                    }
                    (Cover::Seal, None) => vec!["seal".into()],
                    (Cover::Touching, _) => continue,
                    (Cover::Free, _) => vec!["off the wall".into(), "off".into()],
                    (Cover::Bare, _) => vec!["no fabric".into(), "bare".into()],
                };
                let fitting = choices.into_iter().find(|words| {
                    let width = self.pen.width(Token::GraftNote, words);
                    let middle = (extent.left + extent.right) / 2.0;
                    let own = Extent {
                        left: middle - width / 2.0,
                        top: band.top,
                        right: middle + width / 2.0,
                        bottom: band.bottom,
                    };
                    width + 1.0 <= extent.right - extent.left && self.places.is_free(&own)
                });
                if let Some(words) = fitting {
                    let at = [(extent.left + extent.right) / 2.0, band.top + note];
                    let own = self.pen.words(Token::GraftNote, at, Anchor::Middle, &words);
                    self.places.take(own);
                }
            }
        }
        self.pen.untie();
    }

    /// The grip that moves the graft, where the reference line meets the proximal edge.
    pub(super) fn handle(&mut self) {
        if !self.options.layers.handle {
            return;
        }
        for graft in &self.input.grafts {
            let Some(handle) = graft.handle else { continue };
            let plot = self.axes.plot();
            let mut at = self.spot(WallSpot { clock: handle.clock.wrapped(), ..handle });
            // It stays in reach when the edge lies outside the data.
            at[0] = at[0].clamp(plot.left, plot.right);
            self.pen.tie(&graft.id);
            self.pen.mark(Token::Handle, at, Sign::Handle, 5.6);
        }
        self.pen.untie();
    }
}

/// Oversize in words, long and short.
fn oversize(percent: Option<[f64; 2]>, standing: Standing) -> [String; 2] {
    let Some([least, most]) = percent else {
        return ["seal, oversize unknown".into(), "seal ?".into()];
    };
    let [low, high] = [least, most].map(|value| super::signed(format!("{value:.0}")));
    let number = if low == high { format!("{low} %") } else { format!("{low} to {high} %") };
    let word = standing.word();
    let verdict = if word.is_empty() { String::new() } else { format!(", {word}") };
    [format!("seal, oversize {number}{verdict}"), format!("seal {number}")]
}

fn inside(spot: [f64; 2], plot: &Extent) -> bool {
    Extent { left: spot[0], top: spot[1], right: spot[0], bottom: spot[1] }.inside(plot)
}
