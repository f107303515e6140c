//! Numbers and results in words, as page, sheet and command show them: one decimal for millimetres,
//! whole degrees, every clock with its side, every length with the line it runs along.

pub use crate::spoken::{
    UNKNOWN, clock, degrees, hours, mm, or_unknown, placement, signed, size, tenths, turn, with_unit,
};

use crate::anatomy::rebuilt::{Rebuilt, Residual};
use crate::bridging::curve::STRAIGHT_RADIUS_MM;
use crate::bridging::path::{NoPath, TunnelPath};
use crate::bridging::stent::{Choice, Sized, StentOrder};
use crate::casefile::case::{Case, Flow, Line, Rule, SheetArch, To, WayKind};
use crate::casefile::fields;
use crate::graft::lie::{KeptLine, Lie, Possibility};
use crate::message;
use crate::placement::footprint::Site;
use crate::placement::tunnel::{TunnelResult, TunnelState};
use crate::plan::Plan;
use crate::rules::measure;
use crate::rules::verdict::{Counts, Verdict, counts};
use crate::units::{Angle, ThreeOClock, clock_side};

/// How old the CT is on the day of planning: `CT 41 days old`.
pub fn ct_age(case: &Case) -> String {
    match case.ct_age_days().value() {
        Some(days) if *days < 0.0 => message::CT_AFTER_PLANNING.into(),
        Some(days) if *days == 1.0 => "CT 1 day old".into(),
        Some(days) => format!("CT {days:.0} days old"),
        None => "age of the CT unknown".into(),
    }
}

/// A tunnel's clock error in degrees, hours and wall: `14° (0:28) to the front-left, 4.2 mm`.
pub fn clock_error(tunnel: &TunnelResult) -> String {
    let Some(angle) = tunnel.clock_error.value() else { return UNKNOWN.into() };
    let side = clock_side(*angle);
    let to = if side.is_empty() { String::new() } else { format!(" to the {side}") };
    let wall = or_unknown(&tunnel.clock_error_wall_mm, |w| mm(w.abs()));
    format!("{} ({}){to}, {wall}", degrees(angle.abs()), hours(*angle))
}

/// A tunnel's bridging path: `31.2 mm, bends to 12.4 mm (at most 15.1 mm), turns 84°`.
pub fn path(path: &TunnelPath) -> String {
    match (path.length_mm.value(), path.least_radius_mm.value(), path.largest_radius_mm.value(), path.turn.value()) {
        (Some(length), Some(least), Some(largest), Some(turn)) => format!(
            "{}, bends to {} (at most {}), turns {}",
            mm(*length),
            radius(*least),
            radius(*largest),
            degrees(*turn)
        ),
        _ => match path.none {
            Some(NoPath::WouldLoop) => "would loop".into(),
            Some(NoPath::WrongSide) => "none: mouth on the wrong side".into(),
            Some(NoPath::NoRoom) => "none: mouth on its ostium".into(),
            None => UNKNOWN.into(),
        },
    }
}

/// A radius of bend; one that is straight for every stent in a word.
pub fn radius(value: f64) -> String {
    if value >= STRAIGHT_RADIUS_MM { "straight".into() } else { mm(value) }
}

/// What is chosen from the stock, in a word.
pub fn stent_choice(choice: &Choice) -> &'static str {
    match choice {
        Choice::One { .. } => "one",
        Choice::Two { .. } => "two",
        Choice::NoStock => "no_stock",
        Choice::None(_) => "none",
        Choice::Unknown(_) => "unknown",
    }
}

/// The stent to order, as short as a table needs it: `80 × 14 mm`, of two the one in the tunnel first.
pub fn stent_short(order: &StentOrder) -> String {
    match &order.choice {
        Choice::One { length, diameter } => format!("{} × {} mm", size(length.mm), size(diameter.mm)),
        Choice::Two { length_mm: [a, b], diameter_mm: [c, d] } => {
            format!("{} × {} + {} × {} mm", size(*a), size(*c), size(*b), size(*d))
        }
        Choice::NoStock => match &order.length_mm {
            Ok([least, most]) if least <= most => format!("{least:.0} to {most:.0} mm"),
            Ok(_) => "none".into(),
            Err(_) => UNKNOWN.into(),
        },
        Choice::None(_) => "none".into(),
        Choice::Unknown(_) => UNKNOWN.into(),
    }
}

/// The stent to order, in words: `70 × 14 mm (next 60, 80 long; 13, 15 wide)`.
pub fn stent(order: &StentOrder) -> String {
    let pair = |length: f64, diameter: f64| format!("{} × {} mm", size(length), size(diameter));
    let range = |[from, to]: [f64; 2]| format!("{} to {}", tenths(from), mm(to));
    match &order.choice {
        Choice::One { length, diameter } => {
            let next = |own: &Sized, what: &str| -> Option<String> {
                let sizes: Vec<String> = own.down_mm.into_iter().chain(own.up_mm).map(size).collect();
                (!sizes.is_empty()).then(|| format!("{} {what}", sizes.join(", ")))
            };
            let next: Vec<String> = next(length, "long").into_iter().chain(next(diameter, "wide")).collect();
            let next = if next.is_empty() { String::new() } else { format!(" (next {})", next.join("; ")) };
            pair(length.mm, diameter.mm) + &next
        }
        Choice::Two { length_mm, diameter_mm } => format!(
            "two that overlap: {} and {}",
            pair(length_mm[0], diameter_mm[0]),
            pair(length_mm[1], diameter_mm[1])
        ),
        Choice::NoStock => match (&order.length_mm, order.diameter_mm()) {
            (Ok(length), _) if length[0] > length[1] => message::no_length_serves(length[0], length[1]),
            (Ok(length), Ok(diameter)) if diameter[0] <= diameter[1] => {
                format!("{} long, {} wide", range(*length), range(diameter))
            }
            (Ok(length), _) => format!("{} long", range(*length)),
            (Err(_), _) => UNKNOWN.into(),
        },
        Choice::None(why) => format!("none. {why}"),
        Choice::Unknown(_) => UNKNOWN.into(),
    }
}

/// Direction of the blood in a tunnel.
pub fn flow(flow: Flow) -> &'static str {
    match flow {
        Flow::Antegrade => "antegrade",
        Flow::Retrograde => "retrograde",
    }
}

/// A tunnel's state as a short sentence.
pub fn state(tunnel: &TunnelResult) -> &'static str {
    match (tunnel.state, tunnel.flow) {
        (TunnelState::Ok, Flow::Antegrade) => "mouth upstream of its ostium, as it must be",
        (TunnelState::Ok, Flow::Retrograde) => "mouth downstream of its ostium, as it must be",
        (TunnelState::WrongSide, Flow::Antegrade) => "mouth lies downstream of its ostium: wrong side",
        (TunnelState::WrongSide, Flow::Retrograde) => "mouth lies upstream of its ostium: wrong side",
        (TunnelState::WouldLoop, _) => "only a loop would join mouth and vessel",
        (TunnelState::NoPath, _) => "mouth lies on its ostium: no room for a path",
        (TunnelState::Unknown, _) => "not known",
    }
}

/// A possibility in words.
pub fn possibility(possibility: Possibility) -> &'static str {
    match (possibility.lie, possibility.length_kept_by) {
        (Lie::Middle, KeptLine::Axis) => "in the middle, axis keeps its length",
        (Lie::Middle, KeptLine::OuterLine) => "in the middle, outer line keeps its length",
        (Lie::Relaxed, KeptLine::Axis) => "wire out, axis keeps its length",
        (Lie::Relaxed, KeptLine::OuterLine) => "wire out, outer line keeps its length",
        (Lie::Pushed, KeptLine::Axis) => "stiff wire in, axis keeps its length",
        (Lie::Pushed, KeptLine::OuterLine) => "stiff wire in, outer line keeps its length",
    }
}

/// A possibility in as few words as tell it from the others: how it lies, and which line keeps its length.
pub fn possibility_short(possibility: Possibility) -> String {
    let kept = match possibility.length_kept_by {
        KeptLine::Axis => "axis",
        KeptLine::OuterLine => "outer line",
    };
    format!("{}, {kept}", lie(possibility.lie))
}

/// How the graft lies, in words.
pub fn lie(lie: Lie) -> &'static str {
    match lie {
        Lie::Middle => "in the middle",
        Lie::Relaxed => "wire out",
        Lie::Pushed => "stiff wire in",
    }
}

/// A possibility as it follows *if*.
pub fn kept(possibility: Possibility) -> &'static str {
    match (possibility.lie, possibility.length_kept_by) {
        (Lie::Middle, KeptLine::Axis) => "it lies in the middle and its axis keeps its length",
        (Lie::Middle, KeptLine::OuterLine) => "it lies in the middle and its outer line keeps its length",
        (Lie::Relaxed, KeptLine::Axis) => "the wire is out and its axis keeps its length",
        (Lie::Relaxed, KeptLine::OuterLine) => "the wire is out and its outer line keeps its length",
        (Lie::Pushed, KeptLine::Axis) => "a stiff wire is in and its axis keeps its length",
        (Lie::Pushed, KeptLine::OuterLine) => "a stiff wire is in and its outer line keeps its length",
    }
}

/// A rule as a sentence with its limits.
pub fn rule(rule: &Rule) -> String {
    let limits = match (rule.at_least, rule.at_most) {
        (Some(low), Some(high)) => format!("{} to {}", tenths(low), with_unit(high, &rule.unit)),
        (Some(low), None) => format!("at least {}", with_unit(low, &rule.unit)),
        (None, Some(high)) => format!("at most {}", with_unit(high, &rule.unit)),
        (None, None) => "no limit".into(),
    };
    format!("{}: {limits}", rule_subject(rule))
}

/// What a rule judges, as a sentence without its limits.
pub fn rule_subject(rule: &Rule) -> String {
    let what = measure::find(&rule.measure).map_or(rule.measure.as_str(), |m| m.sentence);
    let along = if rule.measure == "anatomy.origin_to_first_ostium_mm" {
        let to = match rule.to.unwrap_or(To::Edge) {
            To::Edge => "upstream edge",
            To::Centre => "centre",
        };
        format!(", to its {to}, along the {}", line(rule.line.unwrap_or(Line::Inner)))
    } else {
        String::new()
    };
    format!("{what}{along}")
}

/// Something on the wall, by its vessels or its kind.
pub fn site(plan: &Plan, site: Site, id: &str) -> String {
    let anatomy = &plan.case.anatomy;
    match site {
        Site::Ostium => {
            let own = plan.anatomy.as_deref().ok().and_then(|a| a.ostia.iter().find(|o| o.id == id));
            match own.filter(|o| !o.vessels.is_empty()) {
                Some(ostium) => format!("The ostium of {}", ostium.vessels.join(" and ")),
                None => format!("The ostium {id}"),
            }
        }
        Site::KeepClear => {
            let point = anatomy.keep_clear.iter().find(|k| k.id == id);
            let side = point.and_then(|k| k.side.as_deref()).map_or(String::new(), |side| format!("{side} "));
            let kind = point.map_or("point", |k| k.kind.as_str()).replace('_', " ");
            format!("The {side}{kind} ({id})")
        }
        Site::Way => {
            let kind = match anatomy.ways.iter().find(|w| w.id == id).map(|w| w.kind) {
                Some(WayKind::SutureLine) => "suture line",
                Some(WayKind::Entry) => "entry",
                Some(WayKind::Reentry) => "re-entry",
                Some(WayKind::Vessel) | None => "way",
            };
            format!("The {kind} {id}")
        }
    }
}

/// A line along the aorta in words.
pub fn line(line: Line) -> &'static str {
    match line {
        Line::Inner => "inner curve",
        Line::Centre => "centreline",
        Line::Outer => "outer curve",
    }
}

/// A verdict in words: value, margin with error, word, and why.
pub fn verdict(verdict: &Verdict) -> String {
    let unit = verdict.unit.as_str();
    let mut text = match (verdict.value, verdict.margin, verdict.error) {
        (Some(value), Some(margin), Some(error)) => format!(
            "{}: {}, margin {} ± {}",
            verdict.word.as_str(),
            with_unit(value, unit),
            with_unit(margin, unit),
            with_unit(error, unit)
        ),
        _ => verdict.word.as_str().to_string(),
    };
    if let Some(why) = &verdict.why {
        text.push_str(". ");
        text.push_str(why);
    }
    text
}

/// The head line: how many verdicts of each kind, worst first, of the rules that the plan needs; then
/// how much of what is only advised is not met.
pub fn head_line(plan: &Plan) -> String {
    let rough = if plan.is_rough() { "ROUGH · " } else { "" };
    format!("{rough}{}", counted(counts(&plan.verdicts)))
}

/// Verdicts counted, worst first: `1 unmet · 0 unknown · 2 borderline · 5 met`.
pub fn counted(c: Counts) -> String {
    let advised = if c.advised_unmet == 0 { String::new() } else { format!(" · {} advised unmet", c.advised_unmet) };
    format!("{} unmet · {} unknown · {} borderline · {} met{advised}", c.unmet, c.unknown, c.borderline, c.met)
}

/// Where a tunnel was put on its graft.
pub fn made_tunnel(tunnel: &crate::casefile::case::Tunnel) -> String {
    let length = tunnel.length_mm.map_or(String::new(), |length| format!(", {} long", mm(length)));
    let clock = degrees(Angle::deg(tunnel.mouth_clock_deg));
    format!("{} → {}: mouth at {} and {clock} of the graft{length}", tunnel.id, tunnel.serves, mm(tunnel.mouth_u_mm))
}

/// What station 0 is, in words.
pub fn origin(case: &Case) -> String {
    match &case.anatomy.centreline {
        Some(line) if line.origin_at_mm.is_some() => format!("0 mm = {}", line.origin.replace('_', " ")),
        Some(_) => "0 mm = first point of the centreline (origin not marked)".into(),
        None => match &case.anatomy.sheet_arch {
            Some(SheetArch { origin: Some(origin), .. }) => format!("0 mm = {}", origin.replace('_', " ")),
            Some(_) => "0 mm = station 0 of the measuring sheet (origin not said)".into(),
            None => "no centreline".into(),
        },
    }
}

/// Every typed number of a measuring sheet against the rebuilt arch, a line each.
pub fn residuals(rough: &Rebuilt) -> Vec<String> {
    rough.residuals.iter().map(residual).collect()
}

/// The same for the printed sheet, those that differ by 0.05 or more: `Rebuilt less typed: inner length
/// −0.4 mm, width 3.1 mm.`
pub fn residuals_in_a_line(rough: &Rebuilt) -> String {
    let differs = |r: &&Residual| r.difference().is_none_or(|d| d.abs() >= 0.05);
    let one = |r: &Residual| {
        let difference = r.difference().map_or_else(|| UNKNOWN.into(), |d| with_unit(d, r.unit));
        format!("{} {difference}", residual_name(r).to_lowercase())
    };
    let all: Vec<String> = rough.residuals.iter().filter(differs).map(one).collect();
    if all.is_empty() { message::ROUGH_FITS.into() } else { format!("Rebuilt less typed: {}.", all.join(", ")) }
}

/// A typed number against the rebuilt arch: `Inner length: typed 49.0 mm, rebuilt 48.9 mm, difference
/// −0.1 mm.`
pub fn residual(residual: &Residual) -> String {
    let say = |value: f64| with_unit(value, residual.unit);
    let known = |value: Option<f64>| value.map_or_else(|| UNKNOWN.into(), say);
    let rebuilt = known(residual.rebuilt.value().copied());
    message::rough_misfit(residual_name(residual), &say(residual.typed), &rebuilt, &known(residual.difference()))
}

/// The same beside its field: `rebuilt 48.9 mm, off by −0.1 mm`.
pub fn residual_in_short(residual: &Residual) -> String {
    match (residual.rebuilt.value(), residual.difference()) {
        (Some(rebuilt), Some(difference)) => {
            format!("rebuilt {}, off by {}", with_unit(*rebuilt, residual.unit), with_unit(difference, residual.unit))
        }
        _ => format!("rebuilt {UNKNOWN}"),
    }
}

/// The label of the field that a residual belongs to.
fn residual_name(residual: &Residual) -> &'static str {
    let place = fields::lookup(&format!("/anatomy/sheet_arch/{}", residual.key));
    place.and_then(|place| place.field).map_or(residual.key, |field| field.label)
}

/// The clock convention in words.
pub fn clock_convention(case: &Case) -> String {
    let hand = match case.clock.three_oclock_is {
        Some(ThreeOClock::FrontLeft) => "3:00 = front-left on top of the arch",
        Some(ThreeOClock::BackRight) => "3:00 = back-right on top of the arch",
        None => "side of 3:00 not answered",
    };
    format!("12:00 = outer curve (arch plane); {hand}")
}
