//! Measures of a graft's openings, of what its parts leave each other, of its proximal oversize, and of
//! fabric against what is kept clear.

use super::{Measure, Part, Reading, SILENT, Scope, Subject, one_subject, unknown};
use crate::anatomy::Anatomy;
use crate::casefile::case::{ComponentKind, KeepClearInput, Rule};
use crate::graft::buildable::Survey;
use crate::graft::lie::{GraftLie, PlacedGraft};
use crate::graft::shape;
use crate::message;
use crate::placement::cover;
use crate::placement::openings::OpeningResult;
use crate::quantity::{Quantity, Unknown};

/// These measures.
pub const MEASURES: &[Measure] = &[
    Measure {
        id: "opening.clock_error_deg",
        hangs_on: Part::Fabric,
        unit: "deg",
        name: "Clock error of an opening",
        sentence: "Turn between a fenestration or scallop and its ostium, without sign",
        needs: &["centreline", "ostium", "clock", "graft", "placement"],
        nothing: SILENT,
        subjects: opening_subjects,
        read: |scope, _, of| opening_readings(scope, of, |o| o.clock_error.map(|a| a.abs().to_deg())),
    },
    Measure {
        id: "opening.uncovered_percent",
        hangs_on: Part::Fabric,
        unit: "%",
        name: "Uncovered ostium",
        sentence: "Share of the ostium that a fenestration or scallop leaves uncovered",
        needs: &["centreline", "lumen", "ostium", "clock", "graft", "placement"],
        nothing: SILENT,
        subjects: opening_subjects,
        read: |scope, _, of| opening_readings(scope, of, |o| scaled(&o.uncovered_share, 100.0)),
    },
    Measure {
        id: "opening.edge_distance_mm",
        hangs_on: Part::Fabric,
        unit: "mm",
        name: "Edge of an opening",
        sentence: "Distance from the ostium's edge to the edge of its fenestration or scallop, negative where fabric covers some",
        needs: &["centreline", "lumen", "ostium", "clock", "graft", "placement"],
        nothing: SILENT,
        subjects: opening_subjects,
        read: |scope, _, of| opening_readings(scope, of, |o| o.edge_distance_mm.clone()),
    },
    Measure {
        id: "opening.wall_distance_mm",
        hangs_on: Part::Fabric,
        unit: "mm",
        name: "Opening off the wall",
        sentence: "Distance of the fabric from the wall at the ostium of a fenestration or scallop",
        needs: &["centreline", "lumen", "ostium", "clock", "graft", "placement"],
        nothing: SILENT,
        subjects: opening_subjects,
        read: |scope, _, of| opening_readings(scope, of, |o| o.wall_distance_mm.clone()),
    },
    Measure {
        id: "opening.left_of_seal_mm",
        hangs_on: Part::Fabric,
        unit: "mm",
        name: "Seal beside a scallop",
        sentence: "Length of the proximal seal that a scallop leaves at its clock",
        needs: &["graft"],
        nothing: SILENT,
        subjects: opening_subjects,
        read: |scope, _, of| {
            let left = |o: &OpeningResult| match o.left_of_seal_mm {
                Some(mm) => Quantity::exact(mm),
                None => Quantity::unknown(message::NO_SEAL),
            };
            opening_readings(scope, of, left)
        },
    },
    Measure {
        id: "graft.through_lumen_mm",
        hangs_on: Part::Graft,
        unit: "mm",
        name: "Through-lumen",
        sentence: "Diameter of the largest circle that passes beside the tunnels at the narrowest place of the graft",
        needs: &["graft"],
        nothing: message::NO_GRAFT,
        subjects: graft_subjects,
        read: |scope, _, of| {
            survey_reading(scope, of, |s| match s.through {
                Some(through) => Quantity::exact(through.free_mm),
                None => Quantity::unknown(message::NO_SECTION),
            })
        },
    },
    Measure {
        id: "graft.between_openings_mm",
        hangs_on: Part::Graft,
        unit: "mm",
        name: "Between openings",
        sentence: "Least fabric between the edges of two mouths or openings of the graft",
        needs: &["graft"],
        nothing: message::NO_GRAFT,
        subjects: graft_subjects,
        read: |scope, _, of| {
            survey_reading(scope, of, |s| {
                let known: Option<Vec<f64>> = s.between.iter().map(|b| b.edges_mm).collect();
                match known.filter(|all| !all.is_empty()) {
                    Some(all) => Quantity::exact(all.into_iter().fold(f64::INFINITY, f64::min)),
                    None => Quantity::unknown(message::NO_TWO_OPENINGS),
                }
            })
        },
    },
    Measure {
        id: "component.overlap_mm",
        hangs_on: Part::Fabric,
        unit: "mm",
        name: "Overlap of pieces",
        sentence: "Length by which a piece overlaps the one upstream of it, along the centreline",
        needs: &["centreline", "graft", "placement"],
        nothing: SILENT,
        subjects: |scope| {
            let mut ids: Vec<&str> = scope.fabric.overlaps.iter().map(|o| o.downstream.as_str()).collect();
            ids.dedup();
            ids.into_iter().flat_map(|id| one_subject(Some(id))).collect()
        },
        read: overlap_readings,
    },
    Measure {
        id: "graft.proximal_oversize_percent",
        hangs_on: Part::Lies,
        unit: "%",
        name: "Proximal oversize",
        sentence: "Oversize of the proximal seal over the area-derived diameter",
        needs: &["centreline", "lumen", "graft", "placement"],
        nothing: message::NO_GRAFT,
        subjects: graft_subjects,
        read: proximal_oversize,
    },
    Measure {
        id: "keep_clear.distance_mm",
        hangs_on: Part::Lies,
        unit: "mm",
        name: "Distance to keep clear",
        sentence: "Distance from the edge of a point to keep clear to the nearest fabric, along the wall",
        needs: &["centreline", "lumen", "clock", "graft", "placement"],
        nothing: message::NO_KEEP_CLEAR,
        subjects: |scope| {
            let of = |k: &KeepClearInput| Subject { id: k.id.clone(), flow: None, kind: Some(k.kind.clone()) };
            scope.case.anatomy.keep_clear.iter().map(of).collect()
        },
        read: keep_clear,
    },
];

fn opening_subjects(scope: &Scope<'_>) -> Vec<Subject> {
    let of = |id: &str, kind: &str| Subject { id: id.into(), flow: None, kind: Some(kind.into()) };
    let grafts = scope.case.components.iter().filter_map(|c| c.graft.as_deref());
    grafts
        .flat_map(|g| {
            let windows = g.fenestrations.iter().map(|f| of(&f.id, "fenestration"));
            windows.chain(g.scallops.iter().map(|s| of(&s.id, "scallop")))
        })
        .collect()
}

fn opening_readings(scope: &Scope<'_>, of: &Subject, pick: impl Fn(&OpeningResult) -> Quantity) -> Vec<Reading> {
    if let Err(why) = scope.anatomy() {
        return unknown(why);
    }
    let own = scope.fabric.openings.iter().filter(|o| o.id == of.id);
    let readings: Vec<Reading> =
        own.map(|o| Reading { possibility: Some(o.possibility), value: pick(o), doubt: None }).collect();
    if readings.is_empty() { unknown(Unknown::because(message::NOT_PLACED)) } else { readings }
}

fn scaled(quantity: &Quantity, factor: f64) -> Quantity {
    match quantity {
        Quantity::Known { value, error, .. } => Quantity::known(value * factor, error * factor),
        Quantity::Unknown { why } => Quantity::Unknown { why: why.clone() },
    }
}

fn survey_reading(scope: &Scope<'_>, of: &Subject, pick: impl Fn(&Survey) -> Quantity) -> Vec<Reading> {
    let own = scope.surveys.iter().find(|(id, _)| *id == of.id);
    let value = own.map_or(Quantity::unknown(message::NO_GRAFT), |(_, survey)| pick(survey));
    vec![Reading { possibility: None, value, doubt: None }]
}

fn overlap_readings(scope: &Scope<'_>, _: &Rule, of: &Subject) -> Vec<Reading> {
    let own = scope.fabric.overlaps.iter().filter(|o| o.downstream == of.id);
    let readings: Vec<Reading> =
        own.map(|o| Reading { possibility: Some(o.possibility), value: o.overlap_mm.clone(), doubt: None }).collect();
    if readings.is_empty() { unknown(Unknown::because(message::NO_NEIGHBOUR)) } else { readings }
}

/// Grafts that land upstream in the aorta.
pub(super) fn graft_subjects(scope: &Scope<'_>) -> Vec<Subject> {
    scope
        .case
        .components
        .iter()
        .filter(|c| c.graft.is_some() && c.kind != ComponentKind::Plug)
        .map(|c| Subject { id: c.id.clone(), flow: None, kind: Some(c.kind.as_str().into()) })
        .collect()
}

fn proximal_oversize(scope: &Scope<'_>, _: &Rule, of: &Subject) -> Vec<Reading> {
    let read = || -> Result<Vec<Reading>, Unknown> {
        let anatomy = scope.anatomy()?;
        let placed = scope.grafts.iter().find(|g| g.component == of.id).ok_or(Unknown::because(message::NOT_PLACED))?;
        let seal = shape::seals(&placed.graft).first().copied().ok_or(Unknown::because(message::NO_SEAL))?;
        anatomy.lumen()?;
        Ok(placed.lies.iter().flat_map(|lie| oversizes(scope, anatomy, placed, lie, seal)).collect())
    };
    read().unwrap_or_else(unknown)
}

/// Oversize over the area-derived diameter at every place of a seal, in one possibility.
pub(crate) fn oversizes(
    scope: &Scope<'_>,
    anatomy: &Anatomy,
    placed: &PlacedGraft,
    lie: &GraftLie,
    seal: (f64, f64),
) -> Vec<Reading> {
    let read = |u: f64, station_mm: f64| -> Result<Quantity, Unknown> {
        let section = shape::section_at(&placed.graft, u).ok_or(Unknown::because(message::NO_SECTION))?;
        let graft = shape::diameter_mm(section, u);
        let aorta = anatomy.lumen()?.sizing(station_mm).area_mm.ok_or(Unknown::because(message::INSCRIBED_DIAMETER))?;
        let error = 100.0 * graft / (aorta * aorta) * scope.case.errors.diameter_sd_mm;
        Ok(Quantity::known(100.0 * (graft - aorta) / aorta, error))
    };
    let reading = |value: Result<Quantity, Unknown>, doubt| Reading {
        possibility: Some(lie.possibility),
        value: value.unwrap_or_else(|Unknown(why)| Quantity::Unknown { why }),
        doubt,
    };
    // A seal that begins beyond the data is not known at its beginning.
    if let Err(beyond) = lie.station_mm(seal.0).and_then(|_| lie.station_mm(seal.1)) {
        return vec![reading(Err(beyond), None)];
    }
    let inside = |u: f64| u >= seal.0 - 1e-9 && u <= seal.1 + 1e-9;
    let places = lie.places().iter().filter(|(u, _)| inside(*u));
    places
        .map(|(u, s)| {
            let doubt = (!anatomy.course.away_from_ends(*s)).then_some(message::UNCERTAIN_END);
            // At the border the seal's own section counts, not the next one.
            let u = u.min(seal.1 - 1e-9);
            reading(read(u, *s), doubt)
        })
        .collect()
}

fn keep_clear(scope: &Scope<'_>, _: &Rule, of: &Subject) -> Vec<Reading> {
    let read = || -> Result<Vec<Reading>, Unknown> {
        let anatomy = scope.anatomy()?;
        let point = anatomy.keep_clear.iter().find(|k| k.id == of.id).ok_or(Unknown::because(message::NO_CLOCK))?;
        if scope.grafts.is_empty() {
            return Err(Unknown::because(message::NOT_PLACED));
        }
        let all = scope.grafts.iter().flat_map(|g| g.lies.iter().map(move |lie| (g, lie)));
        Ok(all
            .map(|(graft, lie)| Reading {
                possibility: Some(lie.possibility),
                value: cover::distance_to_fabric(point, graft, lie, anatomy)
                    .unwrap_or_else(|Unknown(why)| Quantity::Unknown { why }),
                doubt: None,
            })
            .collect())
    };
    read().unwrap_or_else(unknown)
}
