//! Dimension lines from each mouth to its ostium, with the number and how it stands to its rule.

use super::super::axes::WallSpot;
use super::super::lanes;
use super::super::lettering::Extent;
use super::super::map_input::{MapTunnel, Standing};
use super::super::style::Token;
use super::super::{Sign, Spot};
use super::{Sheet, millimetres};
use crate::units::{self, Angle};

/// A mouth farther round than this from its ostium is named on the drawing even where its rule is
/// met, degrees: half a clock hour.
const NAMED_DEG: f64 = 15.0;

/// Longest remark, letters: what is longer stands in the table.
const LONGEST_REMARK: usize = 70;

/// One dimension before it has a lane.
struct Planned<'a> {
    tunnel: &'a MapTunnel,
    ends: Option<[Spot; 2]>,
    number: String,
    more: String,
    label: [f64; 2],
    span: [f64; 2],
}

impl Sheet<'_> {
    /// Dimension lines in lanes below mouths and ostia.
    pub(super) fn clearances(&mut self) {
        if !self.options.layers.dimensions {
            return;
        }
        let tunnels: Vec<&MapTunnel> = self.input.grafts.iter().flat_map(|graft| &graft.tunnels).collect();
        let mut said: Vec<&str> = Vec::new();
        let mut planned: Vec<Planned> = Vec::new();
        for tunnel in tunnels {
            // What several tunnels share is said once.
            let remark = tunnel.clearance.remark.as_str();
            let remark = if said.contains(&remark) { "" } else { remark };
            said.push(remark);
            planned.extend(self.planned(tunnel, remark));
        }
        let spans: Vec<[f64; 2]> = planned.iter().map(|one| one.span).collect();
        let lanes = lanes::stack(&spans, 2.0);
        let count = lanes.iter().max().map_or(0, |lane| lane + 1);
        let pitch = self.pen.letters(Token::Number) + 2.4;
        let first = self.first_lane(count, pitch);
        let line_y = |lane: usize| first + pitch * lane as f64;

        for (one, lane) in planned.iter().zip(&lanes) {
            self.pen.tie(&one.tunnel.id);
            for end in one.ends.into_iter().flatten() {
                let y = line_y(*lane);
                let past = if y > end[1] { 0.9 } else { -0.9 };
                self.pen.line(Token::Extension, vec![end, [end[0], y + past]]);
            }
        }
        for (one, lane) in planned.iter().zip(&lanes) {
            self.pen.tie(&one.tunnel.id);
            self.labelled(one, line_y(*lane));
        }
        self.pen.untie();
    }

    /// y of the first dimension line: clear of ostia and mouths, yet high enough for all lanes.
    fn first_lane(&self, lanes: usize, pitch: f64) -> f64 {
        let [_, last] = self.axes.station_range();
        let outlines = self.input.anatomy.ostia.iter().map(|ostium| &ostium.outline).chain(
            self.input.grafts.iter().flat_map(|graft| graft.tunnels.iter().map(|tunnel| &tunnel.outline)),
        );
        let lowest = outlines
            .flat_map(|outline| self.axes.outline(outline).0)
            .flatten()
            .map(|spot| spot[1])
            .fold(self.axes.clock_to_y(Angle::deg(45.0), last), f64::max);
        let room = self.axes.plot().bottom - 2.0 - pitch * lanes.saturating_sub(1) as f64;
        (lowest + 1.5 + pitch).min(room)
    }

    fn planned<'a>(&self, tunnel: &'a MapTunnel, remark: &str) -> Option<Planned<'a>> {
        let clearance = &tunnel.clearance;
        let plot = self.axes.plot();
        let on_map = |wall: &WallSpot| {
            let spot = self.spot(*wall);
            (spot[0] >= plot.left && spot[0] <= plot.right).then_some(spot)
        };
        let ends = clearance.from.as_ref().and_then(on_map).zip(clearance.to.as_ref().and_then(on_map));
        let ends = ends.map(|(from, to)| [from, to]);
        let middle = match (ends, tunnel.mouth.as_ref().and_then(on_map)) {
            (Some([from, to]), _) => (from[0] + to[0]) / 2.0,
            (None, Some(mouth)) => mouth[0],
            (None, None) => return None,
        };
        let number = match clearance.value_mm {
            Some(mm) => format!("{} {} mm", tunnel.vessel, millimetres(mm)),
            None => format!("{} ? mm", tunnel.vessel),
        };
        let more = more(tunnel, remark);
        let sign = self.pen.letters(Token::Number);
        let mut width = sign + self.pen.width(Token::Number, &number);
        if !more.is_empty() {
            width += 2.2 + self.pen.width(Token::Note, &more);
        }
        let left = (middle - width / 2.0).min(plot.right - 1.0 - width).max(plot.left + 1.0);
        let label = [left, left + width];
        let span = ends.map_or(label, |[from, to]| {
            [label[0].min(from[0]).min(to[0]), label[1].max(from[0]).max(to[0])]
        });
        Some(Planned { tunnel, ends, number, more, label, span })
    }

    fn labelled(&mut self, one: &Planned, y: f64) {
        let standing = one.tunnel.clearance.standing;
        let token = match standing {
            Standing::Met => Token::DimensionMet,
            Standing::Borderline => Token::DimensionBorderline,
            Standing::Unmet => Token::DimensionUnmet,
            Standing::Unknown => Token::DimensionUnknown,
            Standing::Unjudged => Token::Dimension,
        };
        if let Some([from, to]) = one.ends {
            self.pen.dimension(token, [from[0], y], [to[0], y]);
        }
        let letters = self.pen.letters(Token::Number);
        let base = y - 1.0;
        let sign = match standing {
            Standing::Met => Some(Sign::Tick),
            Standing::Borderline => Some(Sign::Wave),
            Standing::Unmet => Some(Sign::Saltire),
            Standing::Unknown => Some(Sign::Question),
            Standing::Unjudged => None,
        };
        let mut x = one.label[0];
        if let Some(sign) = sign {
            let size = 0.68 * letters;
            self.pen.mark(token, [x + size / 2.0, base - 0.36 * letters], sign, size);
        }
        x += letters;
        self.pen.two_words([x, base], (Token::Number, &one.number), (Token::Note, &one.more));
        self.places.take(Extent {
            left: one.span[0],
            top: base - letters,
            right: one.span[1],
            bottom: y + 1.0,
        });
    }
}

/// The word for how it stands, what it hangs on, and a clock error that is large.
fn more(tunnel: &MapTunnel, remark: &str) -> String {
    let clearance = &tunnel.clearance;
    let mut parts: Vec<String> = Vec::new();
    let word = clearance.standing.word();
    if !word.is_empty() {
        parts.push(word.into());
    }
    if !remark.is_empty() && remark.chars().count() <= LONGEST_REMARK {
        parts.push(remark.to_owned());
    }
    if let Some(error) = clearance.clock_error {
        let standing = clearance.clock_standing;
        let quiet = matches!(standing, Standing::Met | Standing::Unjudged);
        if !quiet || error.abs().to_deg() >= NAMED_DEG {
            let side = units::clock_side(error);
            let towards = if side.is_empty() { String::new() } else { format!(" to the {side}") };
            let word = standing.word();
            let verdict = if word.is_empty() { String::new() } else { format!(", {word}") };
            parts.push(format!("mouth {:.0}°{towards}{verdict}", error.abs().to_deg()));
        }
    }
    parts.join(" · ")
}
