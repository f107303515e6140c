//! What a plan takes for granted, and what its reader should mind.

use super::Warning;
use super::{names, words};
use crate::anatomy::Anatomy;
use crate::bridging::stent::{OVERLAP_MM, STENTS_OVERLAP_MM, TUNNEL_OVERSIZE, VESSEL_OVERSIZE};
use crate::bridging::vessel::{LANDING_MM, LANDING_SUBCLAVIAN_MM};
use crate::casefile::case::{LengthKeptBy, LumenKind, TwelveOClock};
use crate::graft::lie::DEFAULT_PUSH;
use crate::graft::riding::CARRIER_MM;
use crate::message;
use crate::placement::components::Should;
use crate::plan::Plan;

fn stent_limits() -> String {
    let least_mm = [OVERLAP_MM, LANDING_MM, LANDING_SUBCLAVIAN_MM, STENTS_OVERLAP_MM];
    message::stent_limits(least_mm, TUNNEL_OVERSIZE, VESSEL_OVERSIZE)
}

/// What was taken for granted, in sentences.
pub fn assumed(plan: &Plan) -> Vec<String> {
    let case = &plan.case;
    let mut said: Vec<String> = Vec::new();
    let mut say = |when: bool, sentence: &str| {
        if when {
            said.push(sentence.to_string());
        }
    };
    say(plan.is_rough(), message::ROUGH);
    if let Some(rough) = plan.rough() {
        said.extend(rough.mean_diameter_mm.map(message::rough_mean_diameter));
        said.extend(rough.cannot_be_known().into_iter().map(str::to_string));
    }
    let mut say = |when: bool, sentence: &str| {
        if when {
            said.push(sentence.to_string());
        }
    };
    say(case.rules.is_empty(), message::DEFAULT_RULES);
    say(!case.errors.entered_by_user, message::DEFAULT_ERRORS);
    let twelve = match case.clock.twelve_oclock_is {
        None => message::TWELVE_READ_AS_PLANE,
        Some(TwelveOClock::LocalBend) => message::TWELVE_IS_LOCAL_BEND,
        Some(TwelveOClock::StraightUp) => message::TWELVE_IS_STRAIGHT_UP,
        Some(TwelveOClock::ArchPlane) => "",
    };
    say(case.clock.three_oclock_is.is_some() && !twelve.is_empty(), twelve);
    say(plan.anatomy.is_ok() && case.anatomy.ostia.is_empty(), message::PLANE_OF_WHOLE_LINE);
    say(
        case.anatomy.lumen.iter().any(|s| {
            matches!(s.kind, LumenKind::MaxMin { largest_clock_deg: None, largest_mm, smallest_mm } if largest_mm != smallest_mm)
        }),
        message::ROUND_WITHOUT_DIRECTION,
    );
    say(
        case.anatomy.lumen.iter().any(|s| matches!(s.kind, LumenKind::Area { .. } | LumenKind::Inscribed { .. })),
        message::ROUND_FROM_ONE_DIAMETER,
    );
    let placed = !plan.grafts.is_empty();
    say(placed, message::LIES_THREE_WAYS);
    say(placed && case.push.is_none(), message::DEFAULT_PUSH);
    let least = case.push.as_ref().map(|p| p.relaxed_per_mm2.min(p.pushed_per_mm2));
    say(placed && least.is_some_and(|push| push < DEFAULT_PUSH.relaxed_per_mm2), message::HARDLY_PUSHED);
    say(plan.grafts.iter().any(|g| g.graft.carrier_outer_mm.is_none()), &message::default_carrier(CARRIER_MM));
    let annulus = case.anatomy.valve.as_ref().and_then(|valve| valve.annulus_station_mm);
    say(placed && case.wire.is_some() && annulus.is_none(), message::WIRE_WITHOUT_ANNULUS);
    say(!plan.stents.is_empty(), &stent_limits());
    say(plan.grafts.iter().any(|g| g.graft.length_kept_by == LengthKeptBy::Unknown), message::BOTH_LINES_COMPUTED);
    say(plan.anatomy.is_ok() && case.carm.is_none(), message::DEFAULT_REACH);
    say(plan.anatomy.is_ok(), message::HEAD_FIRST_SUPINE);
    said
}

/// What the reader should mind.
pub fn warnings(plan: &Plan) -> Vec<Warning> {
    let mut all = Vec::new();
    let mut warn = |code: &str, place: String, text: String, mend: &str| {
        all.push(Warning { code: code.into(), place, text, mend: mend.into() });
    };
    let case = &plan.case;
    for (component, survey) in &plan.surveys {
        for finding in &survey.findings {
            warn(finding.code, format!("component {component}"), finding.text.clone(), "");
        }
    }
    if case.ct_age_days().value().is_some_and(|days| *days < 0.0) {
        warn("ct_after_planning", "/ct/date".into(), message::CT_AFTER_PLANNING.into(), "Check both days.");
    }
    if case.clock.three_oclock_is.is_none() {
        warn(
            "unanswered_hand",
            "/clock/three_oclock_is".into(),
            message::UNANSWERED_HAND.into(),
            "Answer front_left or back_right.",
        );
    }
    let anatomy: &Anatomy = match &plan.anatomy {
        Ok(anatomy) => anatomy,
        Err(unknown) => {
            warn("no_anatomy", "/anatomy".into(), unknown.0.clone(), "");
            return all;
        }
    };
    if !anatomy.origin_marked {
        let (place, text, mend) = if plan.is_rough() {
            ("/anatomy/sheet_arch/origin", message::UNSAID_ORIGIN, "Say what lies at station 0.")
        } else {
            ("/anatomy/centreline/origin_at_mm", message::UNANSWERED_ORIGIN, "Mark it on the centreline.")
        };
        warn("unanswered_origin", place.into(), text.into(), mend);
    }
    if let Err(unknown) = anatomy.course.plane() {
        warn("no_plane", "/anatomy/centreline".into(), unknown.0, "");
    }
    if let Err(unknown) = anatomy.lumen() {
        warn("no_lumen", "/anatomy/lumen".into(), unknown.0, "");
    }
    for fold in &anatomy.folds {
        warn(
            "fold",
            "/anatomy/lumen".into(),
            message::fold(fold.from_mm, fold.to_mm),
            "Check diameter and centreline there.",
        );
    }
    for ostium in &anatomy.ostia {
        let station = ostium.place.station_mm;
        if !anatomy.course.line().reaches(station) {
            let range = anatomy.course.line().range_mm();
            warn("outside_data", format!("ostium {}", ostium.id), message::outside_data(station, range), "");
        } else if !anatomy.course.away_from_ends(station) {
            warn("uncertain_end", format!("ostium {}", ostium.id), message::near_end(station), "Measure further.");
        } else if !anatomy.course.certain(station) && anatomy.course.plane().is_ok() {
            warn(
                "clock_uncertain",
                format!("ostium {}", ostium.id),
                message::clock_uncertain(station),
                "Check its clock position on the CT.",
            );
        }
    }
    for wrong in &plan.fabric.wrong {
        let wrongly = wrong.should == Should::BeFree;
        let code = if wrongly { "covered_wrongly" } else { "not_covered" };
        let name = words::site(plan, wrong.site, &wrong.at);
        warn(code, wrong.at.clone(), message::covered(wrongly, &name, wrong.covered_share, wrong.why), "");
    }
    for overlap in &plan.fabric.overlaps {
        if let Some(gap) = overlap.overlap_mm.value().filter(|mm| **mm < 0.0) {
            let when = words::possibility(overlap.possibility);
            let text = message::pieces_apart(&overlap.upstream, &overlap.downstream, -gap, when);
            warn("pieces_apart", format!("component {}", overlap.downstream), text, "");
        }
    }
    if case.anatomy.valve.as_ref().is_some_and(|valve| valve.kind == "biological") {
        warn("tissue_valve", "/anatomy/valve".into(), message::TISSUE_VALVE.into(), "");
    }
    if !case.alternatives.is_empty() {
        let names: Vec<&str> = case.alternatives.iter().map(|own| own.name.as_str()).collect();
        warn("alternatives_apart", "/alternatives".into(), message::alternatives_apart(&names), "");
    }
    for graft in &plan.grafts {
        for lie in &graft.lies {
            if lie.places().is_empty() {
                let why = lie.station_mm(0.0).err().map_or(String::new(), |unknown| unknown.0);
                let text = format!("{why} ({})", words::possibility(lie.possibility));
                warn("no_rest", format!("component {}", graft.component), text, "");
                continue;
            }
            for u in [0.0, graft.graft.length_mm] {
                if let Err(unknown) = lie.station_mm(u) {
                    warn(
                        "graft_outside_data",
                        format!("component {}", graft.component),
                        format!("{} ({})", unknown.0, words::possibility(lie.possibility)),
                        "",
                    );
                }
            }
        }
    }
    all
}

/// Each point to keep clear, by its id and with its distance from the fabric in words.
pub fn keep_clear(plan: &Plan) -> Vec<(String, String)> {
    let own = plan.verdicts.iter().filter(|verdict| verdict.measure == "keep_clear.distance_mm");
    own.map(|verdict| {
        let value =
            verdict.value.map_or_else(|| words::UNKNOWN.to_owned(), |value| words::with_unit(value, &verdict.unit));
        (verdict.of.clone(), format!("{} {value}, {}", names::name_of(plan, &verdict.of), verdict.word.as_str()))
    })
    .collect()
}

/// How far upstream the proximal edge must not go, whatever the rules say: where fabric would reach the
/// nearest point to keep clear. Cut, never rounded up.
pub fn must_not_beyond(plan: &Plan) -> Option<String> {
    let all = plan.room_upstream();
    if all.is_empty() {
        return (!plan.grafts.is_empty())
            .then(|| "Must not go upstream beyond: unknown, no point to keep clear was entered.".into());
    }
    if let Some((id, _)) = all.iter().find(|(_, far)| far.value().is_none()) {
        return Some(format!("Must not go upstream beyond: unknown, {} is not known.", names::name_of(plan, id)));
    }
    let nearest = all.iter().filter_map(|(id, far)| Some((id, *far.value()?))).min_by(|a, b| a.1.total_cmp(&b.1));
    nearest.map(|(id, far)| match far > 0.0 {
        true => format!(
            "Must not go upstream beyond {}: there its fabric reaches the {}.",
            words::mm((far * 10.0).floor() / 10.0),
            names::name_of(plan, id)
        ),
        false => format!("Must not go upstream at all: fabric covers the {}.", names::name_of(plan, id)),
    })
}
