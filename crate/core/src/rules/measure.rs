//! The one table of measures: id, unit, sentence, what it needs, and how it is read.
//!
//! Rules, room, ranking, sheet and exports read measures only from here. A measure gives one reading
//! for each possibility, and along a stretch one for each place; the verdict is passed on the worst.

pub mod arch;
pub mod landing;
pub mod vessels;

use crate::anatomy::Anatomy;
use crate::anatomy::openings::Ostium;
use crate::bridging::stent::StentOrder;
use crate::casefile::case::{Case, ComponentKind, Flow, Line, Rule, To};
use crate::graft::buildable::Survey;
use crate::graft::lie::{GraftLie, PlacedGraft, Possibility};
use crate::graft::shape;
use crate::message;
use crate::placement::cover;
use crate::placement::fabric::FabricInPlace;
use crate::placement::openings::OpeningResult;
use crate::placement::space::SpaceResult;
use crate::placement::tunnel::TunnelResult;
use crate::quantity::{Quantity, Unknown};
use crate::units::Angle;

/// What measures are read from.
#[derive(Clone, Copy)]
pub struct Scope<'a> {
    /// The case.
    pub case: &'a Case,
    /// The anatomy, where it can be had.
    pub anatomy: &'a Result<std::sync::Arc<Anatomy>, Unknown>,
    /// Grafts that are placed.
    pub grafts: &'a [PlacedGraft],
    /// Their tunnels.
    pub tunnels: &'a [TunnelResult],
    /// The stents of those.
    pub stents: &'a [StentOrder],
    /// Their fabric against the wall.
    pub fabric: &'a FabricInPlace,
    /// What was found on each graft by itself.
    pub surveys: &'a [(String, std::sync::Arc<Survey>)],
}

impl<'a> Scope<'a> {
    fn anatomy(&self) -> Result<&'a Anatomy, Unknown> {
        self.anatomy.as_deref().map_err(Clone::clone)
    }

    /// Whether it is known where station 0 lies.
    fn origin(&self) -> Result<(), Unknown> {
        match self.anatomy()? {
            anatomy if anatomy.origin_marked => Ok(()),
            anatomy if anatomy.rough.is_some() => Err(Unknown::because(message::UNSAID_ORIGIN)),
            _ => Err(Unknown::because(message::UNANSWERED_ORIGIN)),
        }
    }

    fn first_ostium(&self) -> Result<&'a Ostium, Unknown> {
        self.anatomy()?.first_ostium().ok_or(Unknown::because(message::NO_OSTIA))
    }
}

/// The kind of a subject that nobody said: rules on any kind concern it, and it must be unknown.
pub const UNSAID_KIND: &str = "?";

/// One thing a measure can be taken of.
#[derive(Clone, Debug, PartialEq)]
pub struct Subject {
    /// Its id in the case.
    pub id: String,
    /// Flow, of a tunnel.
    pub flow: Option<Flow>,
    /// Kind, of a keep-clear point or component.
    pub kind: Option<String>,
}

/// One value of a measure.
#[derive(Clone, Debug)]
pub struct Reading {
    /// In which possibility; `None` where it does not depend on one.
    pub possibility: Option<Possibility>,
    /// The value with its error.
    pub value: Quantity,
    /// Why it can be borderline at best, where it rests on uncertain ends of the data.
    pub doubt: Option<&'static str>,
}

/// What must be computed before a measure can be read, from what is known without a graft to what costs
/// most.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Part {
    /// What was measured on the CT.
    Anatomy,
    /// A graft by itself.
    Graft,
    /// Where it lies.
    Lies,
    /// Its tunnels against their ostia, without what joins them.
    Tunnels,
    /// Its fabric against the wall.
    Fabric,
    /// The bridging paths.
    Paths,
}

/// A measure.
pub struct Measure {
    /// Its id, as rules name it.
    pub id: &'static str,
    /// What must be computed for it.
    pub hangs_on: Part,
    /// Its unit, as rules name it.
    pub unit: &'static str,
    /// Its name, in two or three words.
    pub name: &'static str,
    /// What it says, in the trade's words.
    pub sentence: &'static str,
    /// What must be entered for it.
    pub needs: &'static [&'static str],
    /// What is said where there is nothing it could be taken of.
    pub nothing: &'static str,
    /// What it can be taken of.
    pub subjects: fn(&Scope<'_>) -> Vec<Subject>,
    /// Its values for one of these under a rule (which may name a line and an edge).
    pub read: fn(&Scope<'_>, &Rule, &Subject) -> Vec<Reading>,
}

/// All measures: those of this file, then those of each subject.
pub fn all() -> impl Iterator<Item = &'static Measure> {
    [MEASURES, arch::MEASURES, vessels::MEASURES, landing::MEASURES].into_iter().flatten()
}

/// What a bridging path is computed from.
const PATH_NEEDS: &[&str] = &["centreline", "lumen", "ostium", "clock", "takeoff", "graft", "placement"];

/// The measures of grafts and their tunnels, and of what is kept clear.
const MEASURES: &[Measure] = &[
    Measure {
        id: "tunnel.edge_clearance_mm",
        hangs_on: Part::Tunnels,
        unit: "mm",
        name: "Edge clearance",
        sentence: "Clearance from the tunnel's mouth to its ostium, edge to edge, along the wall at the ostium's clock",
        needs: &["centreline", "lumen", "ostium", "clock", "graft", "placement"],
        nothing: message::NO_TUNNEL,
        subjects: tunnel_subjects,
        read: |scope, _, of| tunnel_readings(scope, of, |t| t.edge_clearance_mm.clone()),
    },
    Measure {
        id: "tunnel.clock_error_deg",
        hangs_on: Part::Tunnels,
        unit: "deg",
        name: "Clock error",
        sentence: "Turn between the tunnel's mouth and its ostium, without sign",
        needs: &["centreline", "ostium", "clock", "graft", "placement"],
        nothing: message::NO_TUNNEL,
        subjects: tunnel_subjects,
        read: |scope, _, of| tunnel_readings(scope, of, |t| t.clock_error.map(|a| a.abs().to_deg())),
    },
    Measure {
        id: "tunnel.space_at_mouth_mm",
        hangs_on: Part::Tunnels,
        unit: "mm",
        name: "Space at the mouth",
        sentence: "Space from the tunnel's mouth straight out to the wall, for a sheath",
        needs: &["centreline", "lumen", "clock", "graft", "placement"],
        nothing: message::NO_TUNNEL,
        subjects: tunnel_subjects,
        read: |scope, _, of| tunnel_readings(scope, of, |t| t.space_mm.clone()),
    },
    Measure {
        id: "tunnel.space_at_ostium_mm",
        hangs_on: Part::Fabric,
        unit: "mm",
        name: "Space at the ostium",
        sentence: "Space between fabric and wall at the centre of the tunnel's ostium, for a sheath",
        needs: &["centreline", "lumen", "ostium", "clock", "graft", "placement"],
        nothing: message::NO_TUNNEL,
        subjects: tunnel_subjects,
        read: space_at_ostium,
    },
    Measure {
        id: "tunnel.bend_over_limit_mm",
        hangs_on: Part::Paths,
        unit: "mm",
        name: "Bend over limit",
        sentence: "Least radius of the bridging path less the least to which the stents at hand may be bent",
        needs: PATH_NEEDS,
        nothing: message::NO_TUNNEL,
        subjects: tunnel_subjects,
        read: |scope, _, of| {
            let limit = scope.case.stock.as_ref().and_then(|stock| stock.least_bend_radius_mm);
            tunnel_readings(scope, of, |t| match limit {
                Some(limit) => t.path.least_radius_mm.map(|mm| mm - limit),
                None => Quantity::unknown(message::NO_BEND_LIMIT),
            })
        },
    },
    Measure {
        id: "tunnel.path_least_radius_mm",
        hangs_on: Part::Paths,
        unit: "mm",
        name: "Bend of the path",
        sentence: "Least radius of the bridging path from the tunnel's mouth into its vessel",
        needs: PATH_NEEDS,
        nothing: message::NO_TUNNEL,
        subjects: tunnel_subjects,
        read: |scope, _, of| tunnel_readings(scope, of, |t| t.path.least_radius_mm.clone()),
    },
    Measure {
        id: "tunnel.path_length_mm",
        hangs_on: Part::Paths,
        unit: "mm",
        name: "Length of the path",
        sentence: "Length of the bridging path from the tunnel's mouth to its ostium",
        needs: PATH_NEEDS,
        nothing: message::NO_TUNNEL,
        subjects: tunnel_subjects,
        read: |scope, _, of| tunnel_readings(scope, of, |t| t.path.length_mm.clone()),
    },
    Measure {
        id: "tunnel.path_turn_deg",
        hangs_on: Part::Paths,
        unit: "deg",
        name: "Turn of the path",
        sentence: "All turning of the bridging path added up",
        needs: PATH_NEEDS,
        nothing: message::NO_TUNNEL,
        subjects: tunnel_subjects,
        read: |scope, _, of| tunnel_readings(scope, of, |t| t.path.turn.map(|a| a.to_deg())),
    },
    Measure {
        id: "tunnel.stent_spare_mm",
        hangs_on: Part::Paths,
        unit: "mm",
        name: "Spare stent length",
        sentence: "Longest less shortest bridging stent that serves every way the graft may lie, within the error",
        needs: PATH_NEEDS,
        nothing: message::NO_TUNNEL,
        subjects: tunnel_subjects,
        read: |scope, _, of| stent_spare(scope, of),
    },
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
            let of = |k: &crate::casefile::case::KeepClearInput| Subject {
                id: k.id.clone(),
                flow: None,
                kind: Some(k.kind.clone()),
            };
            scope.case.anatomy.keep_clear.iter().map(of).collect()
        },
        read: keep_clear,
    },
    Measure {
        id: "anatomy.origin_to_first_ostium_mm",
        hangs_on: Part::Anatomy,
        unit: "mm",
        name: "Proximal length",
        sentence: "Length from the origin to the first ostium",
        needs: &["centreline", "origin", "lumen", "ostium", "clock"],
        nothing: message::NO_OSTIA,
        subjects: |scope| one_subject(scope.case.anatomy.ostia.first().map(|o| o.id.as_str())),
        read: |scope, rule, _| vec![origin_to_first_ostium(scope, rule)],
    },
    Measure {
        id: "ascending.largest_diameter_mm",
        hangs_on: Part::Anatomy,
        unit: "mm",
        name: "Ascending diameter",
        sentence: "Largest diameter from the origin to the first ostium",
        needs: &["centreline", "origin", "lumen", "ostium"],
        nothing: message::NO_READING,
        subjects: |_| one_subject(Some("ascending")),
        read: |scope, _, _| largest_diameter(scope),
    },
];

/// Of a measure whose rule is silent where there is nothing to measure: what a graft does not have
/// cannot lie wrongly.
pub const SILENT: &str = "";

/// The measure with an id.
pub fn find(id: &str) -> Option<&'static Measure> {
    all().find(|m| m.id == id)
}

/// Whether a rule's unit is its measure's: by the same word, its sign, or unsaid.
pub fn same_unit(given: &str, needed: &str) -> bool {
    let word = |unit: &str| match unit {
        "percent" => "%".to_string(),
        "°" | "degrees" => "deg".to_string(),
        other => other.to_string(),
    };
    given.is_empty() || word(given) == word(needed)
}

fn one_subject(id: Option<&str>) -> Vec<Subject> {
    id.map(|id| Subject { id: id.into(), flow: None, kind: None }).into_iter().collect()
}

/// A reading that does not depend on a possibility; where it is not certain it is borderline at best.
fn reading(value: Quantity, certain: bool) -> Reading {
    Reading { possibility: None, value, doubt: (!certain).then_some(message::UNCERTAIN_END) }
}

/// Length between two stations along a rule's line, with the error of two typed positions. A rule that
/// names no line is judged on the inner curve, the shortest.
fn measured_length(scope: &Scope<'_>, line: Option<Line>, from_mm: f64, to_mm: f64) -> Result<Quantity, Unknown> {
    let anatomy = scope.anatomy()?;
    let line = line.unwrap_or(Line::Inner);
    let length = anatomy.length_along(line, from_mm, to_mm)?;
    let clock = match line {
        Line::Centre => return Ok(Quantity::known(length, scope.case.errors.station_sd_mm * 2f64.sqrt())),
        Line::Inner => Angle::HALF_TURN,
        Line::Outer => Angle::ZERO,
    };
    // Each position counts times the wall's scale where it lies.
    let wall = anatomy.wall()?;
    let (a, b) = (wall.scale(from_mm, clock)?, wall.scale(to_mm, clock)?);
    Ok(Quantity::known(length, scope.case.errors.station_sd_mm * a.hypot(b)))
}

fn unknown(Unknown(why): Unknown) -> Vec<Reading> {
    vec![Reading { possibility: None, value: Quantity::Unknown { why }, doubt: None }]
}

fn tunnel_subjects(scope: &Scope<'_>) -> Vec<Subject> {
    let grafts = scope.case.components.iter().filter_map(|c| c.graft.as_deref());
    let of = |t: &crate::casefile::case::Tunnel| Subject { id: t.id.clone(), flow: Some(t.flow), kind: None };
    grafts.flat_map(|g| g.tunnels.iter().map(of)).collect()
}

fn tunnel_readings(scope: &Scope<'_>, of: &Subject, pick: impl Fn(&TunnelResult) -> Quantity) -> Vec<Reading> {
    if let Err(why) = scope.anatomy() {
        return unknown(why);
    }
    let readings: Vec<Reading> = scope
        .tunnels
        .iter()
        .filter(|t| t.id == of.id)
        .map(|t| Reading { possibility: Some(t.possibility), value: pick(t), doubt: None })
        .collect();
    if readings.is_empty() { unknown(Unknown::because(message::NOT_PLACED)) } else { readings }
}

fn space_at_ostium(scope: &Scope<'_>, _: &Rule, of: &Subject) -> Vec<Reading> {
    let read = || -> Result<Vec<Reading>, Unknown> {
        let anatomy = scope.anatomy()?;
        let tunnel = scope.tunnels.iter().find(|t| t.id == of.id).ok_or(Unknown::because(message::NOT_PLACED))?;
        let ostium = anatomy.ostium_of(&tunnel.serves).ok_or(Unknown::because(message::NO_OSTIUM))?;
        let own = |s: &&SpaceResult| s.at == ostium.id && s.component.as_ref().is_none_or(|c| *c == tunnel.component);
        let reading = |s: &SpaceResult| Reading { possibility: s.possibility, value: s.centre_mm.clone(), doubt: None };
        Ok(scope.fabric.spaces.iter().filter(own).map(reading).collect())
    };
    read().unwrap_or_else(unknown)
}

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

/// The error of the CT is in the two lengths already.
fn stent_spare(scope: &Scope<'_>, of: &Subject) -> Vec<Reading> {
    let read = || -> Result<f64, Unknown> {
        scope.anatomy()?;
        let order = scope.stents.iter().find(|s| s.tunnel == of.id).ok_or(Unknown::because(message::NOT_PLACED))?;
        let [least, most] = order.length_mm.clone()?;
        Ok(most - least)
    };
    vec![Reading { possibility: None, value: read().into(), doubt: None }]
}

/// Grafts that land upstream in the aorta.
fn graft_subjects(scope: &Scope<'_>) -> Vec<Subject> {
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

fn origin_to_first_ostium(scope: &Scope<'_>, rule: &Rule) -> Reading {
    let read = || -> Result<(Quantity, bool), Unknown> {
        let anatomy = scope.anatomy()?;
        scope.origin()?;
        let ostium = scope.first_ostium()?;
        let end = match rule.to.unwrap_or(To::Edge) {
            To::Edge => ostium.edges_mm.as_ref().map_err(Clone::clone)?.0,
            To::Centre => ostium.place.station_mm,
        };
        let certain = anatomy.course.away_from_ends(0.0) && anatomy.course.away_from_ends(end);
        Ok((measured_length(scope, rule.line, 0.0, end)?, certain))
    };
    match read() {
        Ok((value, certain)) => reading(value, certain),
        Err(Unknown(why)) => Reading { possibility: None, value: Quantity::Unknown { why }, doubt: None },
    }
}

/// At every measured station from the origin to the first ostium's edge, and at those two.
fn largest_diameter(scope: &Scope<'_>) -> Vec<Reading> {
    let read = || -> Result<Vec<Reading>, Unknown> {
        let anatomy = scope.anatomy()?;
        scope.origin()?;
        let ostium = scope.first_ostium()?;
        let end = ostium.edges_mm.as_ref().map_or(ostium.place.station_mm, |edges| edges.0);
        let lumen = anatomy.lumen()?;
        let inside = lumen.stations_mm().iter().copied().filter(|s| *s > 0.0 && *s < end);
        // PCHIP does not overshoot, so the largest value lies at a measured station or an end.
        Ok(std::iter::once(0.0)
            .chain(inside)
            .chain(std::iter::once(end))
            .map(|s| Reading {
                possibility: None,
                value: match lumen.sizing(s).largest_mm {
                    Some(mm) => Quantity::known(mm, scope.case.errors.diameter_sd_mm),
                    None => Quantity::unknown(message::NO_LARGEST_DIAMETER),
                },
                doubt: None,
            })
            .collect())
    };
    read().unwrap_or_else(unknown)
}
