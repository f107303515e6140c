//! Dimension lines from each mouth to its ostium, with the number and how it stands to its rule.

use super::super::axes::WallSpot;
use super::super::lanes;
use super::super::lettering::Extent;
use super::super::map_input::{MapTunnel, Standing};
use super::super::style::Token;
use super::super::{Anchor, Sign, Spot};
use super::Sheet;
use crate::report::words::{tenths, turn as turn_words};
use crate::units::Angle;

/// A mouth farther round than this from its ostium is named on the drawing even where its rule is
/// met, degrees: half a clock hour.
const NAMED_DEG: f64 = 15.0;

/// Longest remark, letters: what is longer stands in the table.
const LONGEST_REMARK: usize = 70;

/// How much stands beside a number.
#[derive(Clone, Copy, PartialEq)]
enum Beside {
    /// Its standing and remark; a turned mouth in a row of its own.
    Rows,
    /// The same in one row.
    OneRow,
    /// Only that a mouth's turn is not met: sign and number say the rest, or the table.
    Little,
}

/// One dimension before it has a lane.
struct Planned<'a> {
    tunnel: &'a MapTunnel,
    ends: Option<[Spot; 2]>,
    number: String,
    more: String,
    turn: Option<(Standing, String)>,
    left: f64,
    span: [f64; 2],
}

impl<'a> Sheet<'a> {
    /// Dimension lines in lanes below mouths and ostia.
    pub(super) fn clearances(&mut self) {
        if !self.options.layers.dimensions {
            return;
        }
        // Words that would push the lanes up into mouths are left to the table.
        let (mut planned, mut lanes, mut line_y, mut pushed) = self.laid_out(Beside::Rows);
        for beside in [Beside::OneRow, Beside::Little] {
            if pushed > 0.0 {
                (planned, lanes, line_y, pushed) = self.laid_out(beside);
            }
        }

        for (one, lane) in planned.iter().zip(&lanes) {
            self.pen.tie(&one.tunnel.id);
            for end in one.ends.into_iter().flatten() {
                let y = line_y[*lane];
                let past = if y > end[1] { 0.9 } else { -0.9 };
                self.pen.line(Token::Extension, vec![end, [end[0], y + past]]);
            }
        }
        for (one, lane) in planned.iter().zip(&lanes) {
            self.pen.tie(&one.tunnel.id);
            self.labelled(one, line_y[*lane]);
        }
        self.pen.untie();
    }

    /// The dimensions, the lane of each, the y of each lane, and by how much the lanes are pushed up.
    fn laid_out(&self, beside: Beside) -> (Vec<Planned<'a>>, Vec<usize>, Vec<f64>, f64) {
        let mut said: Vec<&str> = Vec::new();
        let mut planned: Vec<Planned> = Vec::new();
        let input = self.input;
        for tunnel in input.grafts.iter().flat_map(|graft| &graft.tunnels) {
            // What several tunnels share is said once.
            let remark = tunnel.clearance.remark.as_str();
            let remark = if said.contains(&remark) { "" } else { remark };
            said.push(remark);
            planned.extend(self.planned(tunnel, remark, beside));
        }
        let spans: Vec<[f64; 2]> = planned.iter().map(|one| one.span).collect();
        let lanes = lanes::stack(&spans, 2.0);
        let (line_y, pushed) = self.lane_lines(&planned, &lanes);
        (planned, lanes, line_y, pushed)
    }

    /// y of each lane's dimension line: clear of ostia and mouths, yet high enough for all lanes. A
    /// lane in which a turn is named is higher by that row.
    fn lane_lines(&self, planned: &[Planned], lanes: &[usize]) -> (Vec<f64>, f64) {
        let count = lanes.iter().max().map_or(0, |lane| lane + 1);
        let above = self.pen.letters(Token::Number) + 1.2;
        let below: Vec<f64> = (0..count)
            .map(|lane| {
                let turned = planned.iter().zip(lanes).any(|(one, own)| *own == lane && one.turn.is_some());
                if turned { 1.35 * self.pen.letters(Token::Note) + 0.8 } else { 1.2 }
            })
            .collect();
        let height: f64 = below.iter().map(|below| above + below).sum();

        let [_, last] = self.axes.station_range();
        let tunnels = self.input.grafts.iter().flat_map(|graft| &graft.tunnels);
        let outlines =
            self.input.anatomy.ostia.iter().map(|ostium| &ostium.outline).chain(tunnels.map(|tunnel| &tunnel.outline));
        let lowest = outlines
            .flat_map(|outline| self.axes.outline(outline).0)
            .flatten()
            .map(|spot| spot[1])
            .fold(self.axes.clock_to_y(Angle::deg(45.0), last), f64::max);
        let wished = lowest + 2.0;
        let mut y = wished.min(self.axes.plot().bottom - 1.0 - height);
        let pushed = wished - y;
        let lines = below
            .into_iter()
            .map(|below| {
                y += above + below;
                y - below
            })
            .collect();
        (lines, pushed)
    }

    fn planned(&self, tunnel: &'a MapTunnel, remark: &str, beside: Beside) -> Option<Planned<'a>> {
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
            Some(mm) => format!("{} {} mm", tunnel.vessel, tenths(mm)),
            None => format!("{} ? mm", tunnel.vessel),
        };
        let mut more = more(clearance.standing, remark);
        let mut turn = turn(tunnel);
        if beside == Beside::Little {
            more.clear();
        }
        if let Some((standing, words)) = turn.take_if(|_| beside != Beside::Rows) {
            let words = if beside == Beside::OneRow { words } else { short(standing) };
            more = [more, words].into_iter().filter(|words| !words.is_empty()).collect::<Vec<_>>().join(" · ");
        }
        let letters = self.pen.letters(Token::Number);
        let sign = if Sign::of(clearance.standing).is_some() { letters } else { 0.0 };
        let own = sign + self.pen.width(Token::Number, &number);
        let upper = if more.is_empty() { own } else { own + 2.2 + self.pen.width(Token::Note, &more) };
        let lower = turn.as_ref().map_or(0.0, |(_, words)| letters + self.pen.width(Token::Note, words));
        let width = upper.max(lower);
        // The number stands over its line; what else is said goes on to the right and below.
        let left = (middle - own / 2.0).min(plot.right - 1.0 - width).max(plot.left + 1.0);
        let span = ends.map_or([left, left + width], |[from, to]| {
            [left.min(from[0]).min(to[0]), (left + width).max(from[0]).max(to[0])]
        });
        Some(Planned { tunnel, ends, number, more, turn, left, span })
    }

    fn labelled(&mut self, one: &Planned, y: f64) {
        let standing = one.tunnel.clearance.standing;
        let token = Token::judged(standing);
        if let Some([from, to]) = one.ends {
            self.pen.dimension(token, [from[0], y], [to[0], y]);
        }
        let letters = self.pen.letters(Token::Number);
        let base = y - 1.0;
        let x = self.signed_row(standing, [one.left, base]);
        self.pen.two_words([x, base], (Token::Number, &one.number), (Token::Note, &one.more));
        let mut bottom = y + 1.0;
        if let Some((standing, words)) = &one.turn {
            let note = self.pen.letters(Token::Note);
            let base = y + 1.25 * note;
            let x = self.signed_row(*standing, [one.left, base]);
            self.pen.words(Token::Note, [x, base], Anchor::Start, words);
            bottom = y + 1.6 * note;
        }
        let [left, right] = one.span;
        self.places.take(Extent { left, top: base - letters, right, bottom });
    }

    /// The sign of a standing at the start of a row; where the words go on.
    fn signed_row(&mut self, standing: Standing, [x, base]: Spot) -> f64 {
        let letters = self.pen.letters(Token::Number);
        let Some(sign) = Sign::of(standing) else { return x };
        let size = 0.68 * letters;
        self.pen.mark(Token::judged(standing), [x + size / 2.0, base - 0.36 * letters], sign, size);
        x + letters
    }
}

/// The word for how it stands, and what it hangs on.
fn more(standing: Standing, remark: &str) -> String {
    let remark = if remark.chars().count() <= LONGEST_REMARK { remark } else { "" };
    let parts = [standing.word(), remark];
    parts.into_iter().filter(|part| !part.is_empty()).collect::<Vec<_>>().join(" · ")
}

/// A clock error that is large or not met, in words.
fn turn(tunnel: &MapTunnel) -> Option<(Standing, String)> {
    let error = tunnel.clearance.clock_error?;
    let standing = tunnel.clearance.clock_standing;
    let quiet = matches!(standing, Standing::Met | Standing::Unjudged);
    if quiet && error.abs().to_deg() < NAMED_DEG {
        return None;
    }
    let word = standing.word();
    let verdict = if word.is_empty() { String::new() } else { format!(", {word}") };
    Some((standing, format!("mouth {}{verdict}", turn_words(error))))
}

/// The same where there is room for two words.
fn short(standing: Standing) -> String {
    match standing {
        Standing::Met | Standing::Unjudged => String::new(),
        other => format!("clock {}", other.word()),
    }
}
