//! Measures of a graft on its wall, and of the way in: seal, oversize by what it is held against, flaws
//! under seal and barbs, tip against valve, carrier against access.

use super::graft::{graft_subjects, oversizes};
use super::{Measure, Part, Reading, Scope, Subject, UNSAID_KIND, measured_length, one_subject, unknown};
use crate::anatomy::tissue::{self, Piece};
use crate::anatomy::{Anatomy, Stretch};
use crate::casefile::case::{Graft, Rule, TrueLumen, WallKind, WallSign};
use crate::graft::lie::{GraftLie, PlacedGraft};
use crate::graft::shape;
use crate::message;
use crate::quantity::{Quantity, Unknown};

const WALL_NEEDS: &[&str] = &["centreline", "wall", "graft", "placement"];
const SEAL_NEEDS: &[&str] = &["centreline", "lumen", "graft", "placement"];
/// Fabric this much narrower than the lumen's largest diameter still touches all round, mm.
const CONTACT_MM: f64 = 1e-6;

/// These measures.
pub const MEASURES: &[Measure] = &[
    Measure {
        id: "graft.proximal_seal_mm",
        hangs_on: Part::Lies,
        unit: "mm",
        name: "Proximal seal",
        sentence: "Longest stretch of the proximal seal on healthy wall in full contact, downstream of a scallop's floor and upstream of the waist",
        needs: &["centreline", "lumen", "wall", "lesion", "graft", "placement"],
        nothing: message::NO_GRAFT,
        subjects: graft_subjects,
        read: |scope, rule, of| each_lie(scope, of, |own, lie| available_seal(scope, rule, own, lie)),
    },
    Measure {
        id: "graft.distal_oversize_percent",
        hangs_on: Part::Lies,
        unit: "%",
        name: "Distal oversize",
        sentence: "Oversize of the distal seal over the area-derived diameter of the lumen the graft lies in",
        needs: SEAL_NEEDS,
        nothing: message::NO_GRAFT,
        subjects: graft_subjects,
        read: |scope, _, of| {
            let read = || -> Result<Vec<Reading>, Unknown> {
                let (anatomy, placed) = (scope.anatomy()?, placed(scope, of)?);
                let seal = distal(&placed.graft)?;
                anatomy.lumen()?;
                Ok(placed.lies.iter().flat_map(|lie| oversizes(scope, anatomy, placed, lie, seal)).collect())
            };
            read().unwrap_or_else(unknown)
        },
    },
    Measure {
        id: "graft.distal_oversize_whole_percent",
        hangs_on: Part::Lies,
        unit: "%",
        name: "Distal oversize, whole aorta",
        sentence: "Oversize of the distal seal over the diameter of the whole dissected aorta, true and false lumen",
        needs: &["centreline", "true_lumen", "graft", "placement"],
        nothing: message::NO_GRAFT,
        subjects: graft_subjects,
        read: |scope, _, of| each_lie(scope, of, |own, lie| over_whole(scope, own, lie)),
    },
    Measure {
        id: "graft.fixation_on_dissected",
        hangs_on: Part::Lies,
        unit: "places",
        name: "Edge and barbs on dissected wall",
        sentence: "Whether the proximal edge or barbs lie on dissected wall: at how many of these places",
        needs: WALL_NEEDS,
        nothing: message::NO_GRAFT,
        subjects: graft_subjects,
        read: |scope, _, of| {
            each_lie(scope, of, |own, lie| {
                let barbs = own.graft.barbs.iter().map(|b| (b.from_u_mm, b.to_u_mm));
                let places: Vec<(f64, f64)> = std::iter::once((0.0, 0.0)).chain(barbs).collect();
                count(scope, lie, &places, |piece| piece.shows(&[WallSign::Dissected]))
            })
        },
    },
    Measure {
        id: "graft.seal_on_flawed_graft",
        hangs_on: Part::Lies,
        unit: "places",
        name: "Seal on a kinked graft",
        sentence: "At how many stretches of surgical graft that are kinked, crimped or bulging the seals lie",
        needs: WALL_NEEDS,
        nothing: message::NO_GRAFT,
        subjects: graft_subjects,
        read: |scope, _, of| {
            each_lie(scope, of, |own, lie| {
                let flawed = |p: &Piece| {
                    p.kind == WallKind::SurgicalGraft
                        && p.shows(&[WallSign::Kinked, WallSign::Crimped, WallSign::Bulging])
                };
                count(scope, lie, &seals(&own.graft)?, flawed)
            })
        },
    },
    Measure {
        id: "graft.seal_on_thrombus",
        hangs_on: Part::Lies,
        unit: "places",
        name: "Seal on thrombus",
        sentence: "At how many stretches of wall with thrombus or atheroma the seals lie",
        needs: WALL_NEEDS,
        nothing: message::NO_GRAFT,
        subjects: graft_subjects,
        read: |scope, _, of| {
            each_lie(scope, of, |own, lie| {
                count(scope, lie, &seals(&own.graft)?, |p| p.shows(&[WallSign::Thrombus, WallSign::Atheroma]))
            })
        },
    },
    Measure {
        id: "graft.seals_on_native",
        hangs_on: Part::Lies,
        unit: "places",
        name: "Seal on native wall",
        sentence: "At how many stretches of native wall the seals of both ends lie",
        needs: WALL_NEEDS,
        nothing: message::NO_GRAFT,
        subjects: graft_subjects,
        read: |scope, _, of| {
            each_lie(scope, of, |own, lie| count(scope, lie, &seals(&own.graft)?, |p| p.kind == WallKind::Native))
        },
    },
    Measure {
        id: "graft.aorta_taper_percent",
        hangs_on: Part::Lies,
        unit: "%",
        name: "Taper of the aorta",
        sentence: "By how much the aorta is narrower in the middle of the distal seal than in the middle of the proximal one",
        needs: SEAL_NEEDS,
        nothing: message::NO_GRAFT,
        subjects: graft_subjects,
        read: |scope, _, of| each_lie(scope, of, |own, lie| taper(scope, own, lie)),
    },
    Measure {
        id: "valve.tip_room_mm",
        hangs_on: Part::Lies,
        unit: "mm",
        name: "Tip before the valve",
        sentence: "Distance from the annulus to the proximal edge less the length of the tip: what is left before the tip meets the valve",
        needs: &["centreline", "valve", "graft", "placement"],
        nothing: message::NO_GRAFT,
        subjects: valve_subjects,
        read: |scope, _, of| each_lie(scope, of, |own, lie| tip_room(scope, own, lie)),
    },
    Measure {
        id: "access.least_diameter_mm",
        hangs_on: Part::Graft,
        unit: "mm",
        name: "Access",
        sentence: "Least diameter on the way from the groin to the aorta",
        needs: &["access"],
        nothing: message::NO_READING,
        subjects: |_| one_subject(Some("access")),
        read: |scope, _, _| access(scope).map_or_else(unknown, |value| vec![super::reading(value, true)]),
    },
    Measure {
        id: "access.margin_mm",
        hangs_on: Part::Graft,
        unit: "mm",
        name: "Access over carrier",
        sentence: "Least diameter of the access less the outer diameter of the graft's carrier",
        needs: &["access", "graft"],
        nothing: message::NO_GRAFT,
        subjects: graft_subjects,
        read: |scope, _, of| {
            let read = || -> Result<Quantity, Unknown> {
                let own = scope.case.components.iter().find(|c| c.id == of.id).and_then(|c| c.graft.as_ref());
                let carrier = own.and_then(|g| g.carrier_outer_mm).ok_or(Unknown::because(message::NO_CARRIER))?;
                let way = access(scope)?;
                let error = scope.case.errors.diameter_sd_mm;
                way.get().map(|mm| Quantity::known(mm - carrier, error))
            };
            read().map_or_else(unknown, |value| vec![super::reading(value, true)])
        },
    },
];

/// What the wall under a measure's seal is made of, in the words rules are narrowed by; `None` for a
/// measure that has no seal.
pub fn wall_under(scope: &Scope<'_>, measure: &str, component: &str) -> Option<Result<&'static str, Unknown>> {
    let end: fn(&Graft) -> Result<(f64, f64), Unknown> = match measure {
        "graft.proximal_oversize_percent" | "graft.proximal_seal_mm" => proximal,
        "graft.distal_oversize_percent" | "graft.distal_oversize_whole_percent" => distal,
        _ => return None,
    };
    let read = || -> Result<&'static str, Unknown> {
        let placed =
            scope.grafts.iter().find(|g| g.component == component).ok_or(Unknown::because(message::NOT_PLACED))?;
        let seal = end(&placed.graft)?;
        let mut word = None;
        for lie in &placed.lies {
            for piece in under(scope, lie, seal)? {
                // Dissected wall anywhere under the seal decides; else what lies under most upstream.
                if word.is_none() || piece.word() == "dissected" {
                    word = Some(piece.word());
                }
            }
        }
        word.ok_or(Unknown::because(message::NOT_PLACED))
    };
    Some(read())
}

/// Least and largest area-derived diameter under a stretch of a graft, over every way it can lie, mm.
pub fn diameters_under(scope: &Scope<'_>, component: &str, (from_u, to_u): (f64, f64)) -> Result<(f64, f64), Unknown> {
    let placed = scope.grafts.iter().find(|g| g.component == component).ok_or(Unknown::because(message::NOT_PLACED))?;
    let anatomy = scope.anatomy()?;
    let mut range = (f64::INFINITY, f64::NEG_INFINITY);
    for lie in &placed.lies {
        for size in anatomy.sizes(lie.station_mm(from_u)?, lie.station_mm(to_u)?)? {
            let mm = size.area_mm.ok_or(Unknown::because(message::INSCRIBED_DIAMETER))?;
            range = (range.0.min(mm), range.1.max(mm));
        }
    }
    if range.0.is_finite() { Ok(range) } else { Err(Unknown::because(message::NOT_PLACED)) }
}

/// The proximal seal: what seals first, from the floor of the deepest scallop on.
pub fn proximal(graft: &Graft) -> Result<(f64, f64), Unknown> {
    let (from, to) = shape::seals(graft).first().copied().ok_or(Unknown::because(message::NO_SEAL))?;
    let floor = graft.scallops.iter().map(|s| s.depth_mm).fold(from, f64::max);
    Ok((floor.min(to), to))
}

/// The distal seal: what seals last.
pub fn distal(graft: &Graft) -> Result<(f64, f64), Unknown> {
    shape::seals(graft).last().copied().ok_or(Unknown::because(message::NO_SEAL))
}

fn seals(graft: &Graft) -> Result<Vec<(f64, f64)>, Unknown> {
    let all = shape::seals(graft);
    if all.is_empty() { Err(Unknown::because(message::NO_SEAL)) } else { Ok(all) }
}

fn placed<'a>(scope: &Scope<'a>, of: &Subject) -> Result<&'a PlacedGraft, Unknown> {
    scope.anatomy()?;
    scope.grafts.iter().find(|g| g.component == of.id).ok_or(Unknown::because(message::NOT_PLACED))
}

/// One reading for each way the graft can lie.
fn each_lie(
    scope: &Scope<'_>,
    of: &Subject,
    read: impl Fn(&PlacedGraft, &GraftLie) -> Result<Quantity, Unknown>,
) -> Vec<Reading> {
    let own = match placed(scope, of) {
        Ok(own) => own,
        Err(why) => return unknown(why),
    };
    let one = |lie: &GraftLie| Reading {
        possibility: Some(lie.possibility),
        value: read(own, lie).unwrap_or_else(|Unknown(why)| Quantity::Unknown { why }),
        doubt: None,
    };
    own.lies.iter().map(one).collect()
}

/// The wall under a stretch of the graft.
fn under(scope: &Scope<'_>, lie: &GraftLie, (from_u, to_u): (f64, f64)) -> Result<Vec<Piece>, Unknown> {
    tissue::pieces(&scope.case.anatomy, lie.station_mm(from_u)?, lie.station_mm(to_u)?)
}

/// At how many pieces of wall under some stretches of the graft something is seen. Where it begins
/// within one error of a stretch the count is uncertain by one.
fn count(
    scope: &Scope<'_>,
    lie: &GraftLie,
    places: &[(f64, f64)],
    seen: impl Fn(&Piece) -> bool,
) -> Result<Quantity, Unknown> {
    let sd = scope.case.errors.station_sd_mm;
    let input = &scope.case.anatomy;
    let (mut exact, mut near) = (0_usize, 0_usize);
    for place in places {
        let own = under(scope, lie, *place)?.iter().filter(|p| seen(p)).count();
        let (from, to) = (lie.station_mm(place.0)?, lie.station_mm(place.1)?);
        exact += own;
        // Beyond what was described nothing is near.
        let wider = tissue::pieces(input, from - sd, to + sd).map_or(own, |all| all.iter().filter(|p| seen(p)).count());
        near += usize::from(wider > own);
    }
    Ok(Quantity::known(exact as f64, near.min(1) as f64))
}

fn available_seal(scope: &Scope<'_>, rule: &Rule, own: &PlacedGraft, lie: &GraftLie) -> Result<Quantity, Unknown> {
    let anatomy = scope.anatomy()?;
    let seal = proximal(&own.graft)?;
    let mut best = Quantity::exact(0.0);
    let mut most = 0.0;
    for touching in touching(anatomy, &own.graft, lie, seal)? {
        for Stretch { from_mm, to_mm } in tissue::healthy(&scope.case.anatomy, touching.from_mm, touching.to_mm)? {
            let length = measured_length(scope, rule.line, from_mm, to_mm)?;
            if let Some(mm) = length.value().copied().filter(|mm| *mm > most) {
                (most, best) = (mm, length);
            }
        }
    }
    Ok(best)
}

/// The stretches of aorta under a seal whose fabric touches the wall all round.
fn touching(anatomy: &Anatomy, graft: &Graft, lie: &GraftLie, seal: (f64, f64)) -> Result<Vec<Stretch>, Unknown> {
    let lumen = anatomy.lumen()?;
    let mut stretches: Vec<Stretch> = Vec::new();
    let mut open = false;
    let ends = [(seal.0, lie.station_mm(seal.0)?), (seal.1, lie.station_mm(seal.1)?)];
    let inside = lie.places().iter().copied().filter(|(u, _)| *u > seal.0 && *u < seal.1);
    for (u, station) in std::iter::once(ends[0]).chain(inside).chain([ends[1]]) {
        let section = shape::section_at(graft, u.min(seal.1 - 1e-9)).ok_or(Unknown::because(message::NO_SECTION))?;
        let size = lumen.sizing(station);
        // Where only an area is known the lumen is a circle.
        let widest = size.largest_mm.or(size.area_mm).ok_or(Unknown::because(message::INSCRIBED_DIAMETER))?;
        let touches = shape::diameter_mm(section, u) >= widest - CONTACT_MM;
        match (touches, open, stretches.last_mut()) {
            (true, true, Some(last)) => last.to_mm = station,
            (true, ..) => stretches.push(Stretch { from_mm: station, to_mm: station }),
            (false, ..) => {}
        }
        open = touches;
    }
    Ok(stretches)
}

/// Diameter of the whole dissected aorta at a station, linear between those measured.
fn whole_mm(sections: &[TrueLumen], station_mm: f64) -> Result<f64, Unknown> {
    let known: Vec<(f64, f64)> = sections.iter().filter_map(|s| Some((s.station_mm, s.whole_diameter_mm?))).collect();
    let missing = || Unknown::because(message::NO_WHOLE_DIAMETER);
    let next = known.iter().position(|(s, _)| *s >= station_mm).ok_or_else(missing)?;
    let (s1, d1) = known[next];
    if s1 - station_mm < 1e-9 {
        return Ok(d1);
    }
    let (s0, d0) = *next.checked_sub(1).and_then(|before| known.get(before)).ok_or_else(missing)?;
    Ok(d0 + (d1 - d0) * (station_mm - s0) / (s1 - s0))
}

fn over_whole(scope: &Scope<'_>, own: &PlacedGraft, lie: &GraftLie) -> Result<Quantity, Unknown> {
    let (_, end) = distal(&own.graft)?;
    let section = shape::section_at(&own.graft, end - 1e-9).ok_or(Unknown::because(message::NO_SECTION))?;
    let (graft, aorta) =
        (shape::diameter_mm(section, end), whole_mm(&scope.case.anatomy.true_lumen, lie.station_mm(end)?)?);
    let error = 100.0 * graft / (aorta * aorta) * scope.case.errors.diameter_sd_mm;
    Ok(Quantity::known(100.0 * (graft - aorta) / aorta, error))
}

fn taper(scope: &Scope<'_>, own: &PlacedGraft, lie: &GraftLie) -> Result<Quantity, Unknown> {
    let lumen = scope.anatomy()?.lumen()?;
    let middle = |(from, to): (f64, f64)| -> Result<f64, Unknown> {
        let station = lie.station_mm((from + to) / 2.0)?;
        lumen.sizing(station).area_mm.ok_or(Unknown::because(message::INSCRIBED_DIAMETER))
    };
    let (wide, narrow) = (middle(proximal(&own.graft)?)?, middle(distal(&own.graft)?)?);
    let (value, error) = taper_percent(wide, narrow, scope.case.errors.diameter_sd_mm);
    Ok(Quantity::known(value, error))
}

/// Taper from one diameter to another in per cent of the first, with its error from that of both.
pub fn taper_percent(wide_mm: f64, narrow_mm: f64, sd_mm: f64) -> (f64, f64) {
    let error = 100.0 * sd_mm / wide_mm * 1f64.hypot(narrow_mm / wide_mm);
    (100.0 * (wide_mm - narrow_mm) / wide_mm, error)
}

/// Grafts that are put in; their kind is that of the valve they are put before.
fn valve_subjects(scope: &Scope<'_>) -> Vec<Subject> {
    let valve = scope.case.anatomy.valve.as_ref();
    let kind = |of: Subject| Subject { kind: Some(valve.map_or(UNSAID_KIND.into(), |v| v.kind.clone())), ..of };
    graft_subjects(scope).into_iter().map(kind).collect()
}

fn tip_room(scope: &Scope<'_>, own: &PlacedGraft, lie: &GraftLie) -> Result<Quantity, Unknown> {
    let valve = scope.case.anatomy.valve.as_ref().ok_or(Unknown::because(message::NO_VALVE))?;
    let annulus = valve.annulus_station_mm.ok_or(Unknown::because(message::NO_ANNULUS))?;
    let tip = own.graft.tip_length_mm.ok_or(Unknown::because(message::NO_TIP))?;
    Ok(Quantity::known(lie.station_mm(0.0)? - annulus - tip, scope.case.errors.station_sd_mm))
}

fn access(scope: &Scope<'_>) -> Result<Quantity, Unknown> {
    let least = scope.case.anatomy.access.as_ref().and_then(|a| a.least_diameter_mm);
    least.map(|mm| Quantity::known(mm, scope.case.errors.diameter_sd_mm)).ok_or(Unknown::because(message::NO_ACCESS))
}
