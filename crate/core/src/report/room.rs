//! The room of the placement in the report and in words. Only names and units change here; no number
//! is computed.

use super::{names, words};
use crate::casefile::case::Case;
use crate::message;
use crate::quantity::Unknown;
use crate::room::chance::{Chance, DRAWS, Uncertainty};
use crate::room::ellipse::Ellipse;
use crate::room::plane::Move;
use crate::room::reach::{Reach, Way};
use crate::room::shifting::{BY_MM, Shifted};
use crate::room::{Forgiveness, Judged};
use crate::rules::verdict::Word;
use crate::units::Angle;
use serde::Serialize;

/// The room of a placement.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[allow(missing_docs)]
pub struct RoomPart {
    pub component: Option<String>,
    /// `None`, as the four lengths, where that is unknown; `why` says the reason.
    pub holds: Option<bool>,
    pub upstream_mm: Option<f64>,
    pub downstream_mm: Option<f64>,
    pub front_deg: Option<f64>,
    pub back_deg: Option<f64>,
    pub fails_first: Vec<FailsPart>,
    pub best: Option<PlacePart>,
    pub nearest: Option<PlacePart>,
    /// Only where it was asked for.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub best_upstream: Option<BiasedPart>,
    /// What sliding the graft changes.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub shift: Option<ShiftPart>,
    /// Only where errors were entered.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub chance: Option<ChancePart>,
    pub text: String,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub why: Option<String>,
}

/// What fails first one way.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[allow(missing_docs)]
pub struct FailsPart {
    pub towards: &'static str,
    pub rule: String,
    pub of: String,
}

/// What sliding the graft to either side changes.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[allow(missing_docs)]
pub struct ShiftPart {
    pub by_mm: f64,
    pub rows: Vec<ShiftedPart>,
}

/// The chance that the placement rules hold if errors are as entered; shares of 1.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[allow(missing_docs)]
pub struct ChancePart {
    pub share: f64,
    pub drawing_error: f64,
    pub draws: u32,
    pub half_errors_share: f64,
    pub double_errors_share: f64,
    pub landing_alone_share: f64,
    pub without: Vec<WithoutPart>,
    pub text: String,
}

/// The same with one error thought away.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[allow(missing_docs)]
pub struct WithoutPart {
    pub error: &'static str,
    pub share: f64,
}

/// One length at three places, the least over all ways the graft may lie.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[allow(missing_docs)]
pub struct ShiftedPart {
    pub measure: &'static str,
    pub of: String,
    pub upstream_mm: Option<f64>,
    pub drawn_mm: Option<f64>,
    pub downstream_mm: Option<f64>,
}

/// A placement.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[allow(missing_docs)]
pub struct PlacePart {
    pub station_mm: f64,
    pub clock_deg: f64,
}

/// The placement that forgives most among those a chosen length upstream of the best.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[allow(missing_docs)]
pub struct BiasedPart {
    pub by_mm: f64,
    /// Absent where nothing holds so far upstream.
    pub placement: Option<PlacePart>,
    pub half_mm: f64,
    pub half_deg: f64,
}

/// As [`Forgiveness::upstream_of_best`]; `None` where there is no best placement, or where it is not offered
/// because a required rule is unknown.
pub fn biased(own: &Forgiveness, by_mm: f64) -> Option<BiasedPart> {
    own.room.best.filter(|_| own.holds())?;
    let found = own.upstream_of_best(by_mm);
    let size = found.map_or(0.0, |found| found.size);
    let placement = found.map(|found| {
        let (station_mm, clock) = own.placed(found.centre);
        PlacePart { station_mm, clock_deg: clock.to_deg() }
    });
    Some(BiasedPart { by_mm, placement, half_mm: size * own.errors.shift_mm, half_deg: size * own.errors.turn_deg })
}

/// The room as the report has it.
pub fn part(found: &Result<Forgiveness, Unknown>, case: &Case) -> RoomPart {
    let text = sentence(found, case);
    let blank = RoomPart {
        component: None,
        holds: None,
        upstream_mm: None,
        downstream_mm: None,
        front_deg: None,
        back_deg: None,
        fails_first: Vec::new(),
        best: None,
        nearest: None,
        best_upstream: None,
        shift: None,
        chance: None,
        text,
        why: None,
    };
    let own = match found {
        Ok(own) => own,
        Err(Unknown(why)) => return RoomPart { why: Some(why.clone()), ..blank },
    };
    let place = |at: Move| {
        let (station_mm, clock) = own.placed(at);
        PlacePart { station_mm, clock_deg: clock.to_deg() }
    };
    let component = Some(own.component.clone());
    let blank = RoomPart { shift: Some(shift(own)), chance: own.chance.as_ref().map(chance), ..blank };
    if let Some(why) = own.unknown() {
        return RoomPart { component, why: Some(message::room_barred(&name(why, case))), ..blank };
    }
    if !own.holds() {
        // Where a rule fails wherever the graft lies there is no nearest placement either.
        let nearest = own.room.nearest.filter(|_| own.barred.is_empty()).map(place);
        let none = Some(0.0);
        let (upstream_mm, downstream_mm, front_deg, back_deg) = (none, none, none, none);
        let holds = Some(false);
        return RoomPart { component, holds, upstream_mm, downstream_mm, front_deg, back_deg, nearest, ..blank };
    }
    let far = |way: Way| own.room.reaches.iter().find(|reach| reach.way == way).map(|reach| reach.far);
    RoomPart {
        component,
        holds: Some(true),
        upstream_mm: far(Way::Upstream),
        downstream_mm: far(Way::Downstream),
        front_deg: far(Way::Front),
        back_deg: far(Way::Back),
        fails_first: own.room.reaches.iter().filter_map(|reach| fails(own, reach)).collect(),
        best: own.room.best.map(|best| place(best.centre)),
        ..blank
    }
}

fn chance(own: &Chance) -> ChancePart {
    let without = own.without.iter().map(|(error, share)| WithoutPart { error: error.as_str(), share: *share });
    ChancePart {
        share: own.holds,
        drawing_error: own.drawing_error,
        draws: DRAWS,
        half_errors_share: own.half,
        double_errors_share: own.double,
        landing_alone_share: own.landing_alone,
        without: without.collect(),
        text: chance_in_words(own),
    }
}

/// The chance in words, with what it hangs on.
pub fn chance_in_words(own: &Chance) -> String {
    let percent = |share: f64| format!("{:.0} %", share * 100.0);
    // Two standard deviations, rounded up.
    let error = (200.0 * own.drawing_error * 10.0).ceil() / 10.0;
    format!(
        "Chance that the placement rules hold if errors are as entered: {} (± {} by the number of draws); with half of them {}, with twice them {}. By the landing alone, the CT exact: {}.",
        percent(own.holds),
        words::with_unit(error, "%"),
        percent(own.half),
        percent(own.double),
        percent(own.landing_alone),
    )
}

/// What each error costs, in words, that which costs most first: what is thought away, and the chance then.
pub fn chance_without(own: &Chance) -> Vec<(&'static str, String)> {
    let name = |of: Uncertainty| match of {
        Uncertainty::Landing => "where it lands",
        Uncertainty::Rotation => "how it turns",
        Uncertainty::Station => "stations on the CT",
        Uncertainty::Clock => "clock positions on the CT",
        Uncertainty::Diameter => "diameters on the CT",
        Uncertainty::Path => "bridging paths",
    };
    own.without.iter().map(|(of, share)| (name(*of), format!("{:.0} %", share * 100.0))).collect()
}

fn shift(own: &Forgiveness) -> ShiftPart {
    let row = |row: &Shifted| {
        let [upstream_mm, drawn_mm, downstream_mm] = [0, 1, 2].map(|at: usize| row.mm[at].value().copied());
        ShiftedPart { measure: row.measure, of: row.of.clone(), upstream_mm, drawn_mm, downstream_mm }
    };
    ShiftPart { by_mm: BY_MM, rows: own.shifted.iter().map(row).collect() }
}

/// What sliding changes of one length, in cells: what, slid upstream, as drawn, slid downstream, each
/// with how much it gives or takes.
pub fn shifted(row: &Shifted, case: &Case) -> [String; 4] {
    let judged = Judged { rule: String::new(), of: row.of.clone(), measure: row.measure.into() };
    let drawn = row.mm[1].value().copied();
    let cell = |at: usize| {
        let change = row.mm[at].value().zip(drawn).filter(|_| at != 1).map(|(mm, drawn)| mm - drawn);
        let change = change.map_or(String::new(), |by| {
            let sign = if by > 0.0 { "+" } else { "" };
            format!(" ({sign}{})", words::tenths(by))
        });
        format!("{}{change}", words::or_unknown(&row.mm[at], |mm| words::tenths(*mm)))
    };
    // A case may have several pieces that seal.
    let piece = case.components.iter().any(|component| component.id == row.of);
    let of = if piece { format!(" of the {}", names::component(case, &row.of)) } else { String::new() };
    [format!("{}{of}", label(&judged, case)), cell(0), cell(1), cell(2)]
}

/// The heads of those cells.
pub fn shifted_heads() -> [String; 4] {
    let by = words::mm(BY_MM);
    ["mm".into(), format!("{by} upstream"), "as drawn".into(), format!("{by} downstream")]
}

fn fails(own: &Forgiveness, reach: &Reach) -> Option<FailsPart> {
    let judged = own.judged.get(reach.by?)?;
    Some(FailsPart { towards: reach.way.as_str(), rule: judged.rule.clone(), of: judged.of.clone() })
}

/// What the placement forgives, in a sentence. Numbers are cut, never rounded up.
pub fn sentence(found: &Result<Forgiveness, Unknown>, case: &Case) -> String {
    let own = match found {
        Ok(own) => own,
        Err(Unknown(why)) => return format!("What the placement forgives is unknown. {why}"),
    };
    let bar = |word: Word| own.barred.iter().find(|(_, own)| *own == word).map(|(judged, _)| name(judged, case));
    let others = match (bar(Word::Unmet), bar(Word::Unknown)) {
        (Some(name), _) => format!("Nothing holds: {name} fails wherever the graft lies. By the other rules: f"),
        (None, Some(name)) => format!("{} By the other rules: f", message::room_barred(&name)),
        (None, None) => "F".to_owned(),
    };
    if own.room.reaches.is_empty() {
        let nearest = match own.room.nearest {
            Some(at) => {
                let (station_mm, clock) = own.placed(at);
                let clock = words::clock(case, clock);
                format!("The nearest placement found that holds: {} and {clock}.", words::mm(station_mm))
            }
            None => message::NO_PLACEMENT_HOLDS.into(),
        };
        return format!("{others}orgives nothing: a required rule fails as it is drawn. {nearest}");
    }
    let ways: Vec<String> = own.room.reaches.iter().map(way).collect();
    let first = own.room.reaches.iter().filter(|reach| reach.by.is_some()).min_by(|a, b| {
        let errors = |reach: &Reach| reach.far / own.error(reach.way);
        errors(a).total_cmp(&errors(b))
    });
    let fails = first.and_then(|reach| own.judged.get(reach.by?)).map(|judged| name(judged, case));
    let fails = fails.map_or(String::new(), |name| format!("; {name} fails first"));
    format!("{others}orgives {}{fails}.", ways.join(", "))
}

fn way(reach: &Reach) -> String {
    let (far, unit, to) = match reach.way {
        Way::Upstream => (reach.far, " mm", "upstream"),
        Way::Downstream => (reach.far, " mm", "downstream"),
        Way::Front => (reach.far, "°", "to the front"),
        Way::Back => (reach.far, "°", "to the back"),
    };
    // What is found to a ten-thousandth is not cut at that.
    let far = far + 1e-4;
    let far = if far < 10.0 {
        words::tenths((far * 10.0).floor() / 10.0)
    } else {
        words::signed(format!("{:.0}", far.floor()))
    };
    let least = if reach.by.is_none() { "at least " } else { "" };
    format!("{least}{far}{unit} {to}")
}

/// What fails, in a few words: `the LSA's edge clearance`.
pub fn name(judged: &Judged, case: &Case) -> String {
    let measure = crate::rules::measure::find(&judged.measure).map_or(judged.measure.as_str(), |m| m.name);
    let measure = measure.to_lowercase();
    match subject(judged, case) {
        Some(subject) => format!("the {subject}'s {measure}"),
        None => format!("the {measure}"),
    }
}

/// The same as short as a label in a drawing: `LSA edge clearance`.
pub fn label(judged: &Judged, case: &Case) -> String {
    let measure = crate::rules::measure::find(&judged.measure).map_or(judged.measure.as_str(), |m| m.name);
    match subject(judged, case) {
        Some(subject) => format!("{subject} {}", measure.to_lowercase()),
        None => measure.to_owned(),
    }
}

/// What a rule about the graft itself is of.
pub const GRAFT: &str = "graft itself";

/// What something that is judged is of, in words: the vessel of a tunnel, a point to keep clear, else its
/// id.
pub fn subject_of(of: &str, case: &Case) -> String {
    let judged = Judged { rule: String::new(), of: of.into(), measure: String::new() };
    let graft = || case.components.iter().any(|component| component.id == of).then(|| GRAFT.to_owned());
    subject(&judged, case).or_else(graft).unwrap_or_else(|| of.to_owned())
}

/// The vessel or point that is meant.
fn subject(judged: &Judged, case: &Case) -> Option<String> {
    let grafts = || case.components.iter().filter_map(|component| component.graft.as_deref());
    let tunnel = grafts().flat_map(|graft| &graft.tunnels).find(|tunnel| tunnel.id == judged.of);
    let opening = grafts().flat_map(|graft| &graft.fenestrations).find(|opening| opening.id == judged.of);
    let point = case.anatomy.keep_clear.iter().find(|point| point.id == judged.of);
    let point = point.map(|point| {
        let side = point.side.as_deref().map_or(String::new(), |side| format!("{side} "));
        format!("{side}{}", point.kind.replace('_', " "))
    });
    tunnel.map(|tunnel| tunnel.serves.clone()).or_else(|| opening.map(|opening| opening.serves.clone())).or(point)
}

/// How large the room around a placement is, in words: the half axes of the ellipse. Cut, never rounded
/// up.
pub fn size(own: &Forgiveness, size: f64) -> String {
    half_axes(own.errors, size)
}

/// Half axes of an ellipse so many times the landing's errors.
pub fn half_axes(errors: Move, size: f64) -> String {
    let (mm, deg) = ((size * errors.shift_mm * 10.0).floor() / 10.0, (size * errors.turn_deg).floor());
    format!("± {} with ± {deg:.0}°", words::mm(mm))
}

/// The best placement in words, and where one is wished for, that so far upstream of it; nothing where none is
/// offered.
pub fn best_in_words(own: &Forgiveness, upstream_mm: Option<f64>, case: &Case) -> Vec<String> {
    let Some(best) = own.room.best.filter(|_| own.holds()) else { return Vec::new() };
    let words = |says: String, found: Ellipse| {
        format!("{says}: {}, room {}.", placed(own, found.centre, case), size(own, found.size))
    };
    let upstream = upstream_mm.map(|mm| {
        let says = format!("Best placement {} upstream of it", words::mm(mm));
        match own.upstream_of_best(mm) {
            Some(found) => words(says, found),
            None => format!("{says}: nothing holds there."),
        }
    });
    std::iter::once(words("Best placement".into(), best)).chain(upstream).collect()
}

/// A placement in words.
pub fn placed(own: &Forgiveness, at: Move, case: &Case) -> String {
    let (station_mm, clock): (f64, Angle) = own.placed(at);
    format!("{} and {}", words::mm(station_mm), words::clock(case, clock))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::casefile::Document;
    use crate::casefile::case::Rule;
    use crate::plan::Plan;
    use std::sync::Arc;

    fn told(change: impl FnOnce(&mut Case)) -> RoomPart {
        let path = format!("{}/../../demo-data/plain-arch.json", env!("CARGO_MANIFEST_DIR"));
        let text = std::fs::read(path).expect("the demo case is there");
        let mut case = (*Document::read(&text).expect("it reads").case).clone();
        change(&mut case);
        let plan = Plan::new(Arc::new(case));
        part(&crate::room::forgives(&plan), &plan.case)
    }

    #[test]
    fn what_is_unknown_has_no_numbers_and_says_why() {
        let unknown = |case: &mut Case| {
            case.rules.push(Rule {
                id: "q".into(),
                required: true,
                at_least: Some(1.0),
                ..Rule::on("tunnel.nothing_mm")
            });
        };
        let no_hand = |case: &mut Case| case.clock.three_oclock_is = None;
        for room in [told(unknown), told(no_hand)] {
            assert_eq!((room.holds, room.upstream_mm, room.back_deg, &room.best), (None, None, None, &None));
            assert!(room.why.as_ref().is_some_and(|why| why.contains("unknown")), "{:?}", room.why);
        }
        let fails = told(|case| case.rules[0].at_least = Some(45.0));
        assert_eq!((fails.holds, fails.upstream_mm, fails.why), (Some(false), Some(0.0), None));
    }

    #[test]
    fn an_exact_limit_is_not_cut_by_what_it_is_found_to() {
        let said = |far: f64| way(&Reach { way: Way::Front, far, by: None });
        assert!(said(29.999_998_9).contains("30°"), "{}", said(29.999_998_9));
        assert!(said(29.99).contains("29°") && said(6.199_99).contains("6.2"));
    }
}
