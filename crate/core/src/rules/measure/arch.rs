//! Measures of the aorta by itself: zones, ascending aorta, arch, gaps between ostia, way to the lesion.

use super::{Measure, Part, Reading, Scope, Subject, measured_length, one_subject, reading, unknown};
use crate::anatomy::openings::Ostium;
use crate::anatomy::zones::Zone;
use crate::anatomy::{Anatomy, Stretch, tissue};
use crate::casefile::case::{Rule, To};
use crate::message;
use crate::quantity::{Quantity, Unknown};

/// What every length along the wall is computed from.
const LENGTH_NEEDS: &[&str] = &["centreline", "lumen", "ostium", "clock"];

/// These measures.
pub const MEASURES: &[Measure] = &[
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
    Measure {
        id: "zone.length_mm",
        hangs_on: Part::Anatomy,
        unit: "mm",
        name: "Length of a zone",
        sentence: "Length of the landing zone",
        needs: LENGTH_NEEDS,
        nothing: message::NO_ZONES,
        subjects: zone_subjects,
        read: |scope, rule, of| {
            read(|| {
                let zone = zone(scope, of)?;
                scope.anatomy()?.begins(zone)?;
                Ok(vec![length(scope, rule, zone.from_mm, zone.to_mm)?])
            })
        },
    },
    Measure {
        id: "zone.largest_diameter_mm",
        hangs_on: Part::Anatomy,
        unit: "mm",
        name: "Diameter of a zone",
        sentence: "Largest diameter at every measured place of the landing zone",
        needs: LENGTH_NEEDS,
        nothing: message::NO_ZONES,
        subjects: zone_subjects,
        read: |scope, _, of| {
            read(|| {
                let zone = zone(scope, of)?;
                scope.anatomy()?.begins(zone)?;
                diameters(scope, zone.from_mm, zone.to_mm)
            })
        },
    },
    Measure {
        id: "zone.healthy_length_mm",
        hangs_on: Part::Anatomy,
        unit: "mm",
        name: "Healthy wall of a zone",
        sentence: "Longest stretch of healthy wall in the landing zone",
        needs: &["centreline", "lumen", "ostium", "clock", "wall", "lesion"],
        nothing: message::NO_ZONES,
        subjects: zone_subjects,
        read: |scope, rule, of| {
            read(|| {
                let zone = zone(scope, of)?;
                scope.anatomy()?.begins(zone)?;
                healthy_length(scope, rule, zone.from_mm, zone.to_mm)
            })
        },
    },
    Measure {
        id: "zone.inner_bend",
        hangs_on: Part::Anatomy,
        unit: "",
        name: "Bend of a zone",
        sentence: "Curvature of the inner curve times the diameter, where the landing zone bends most",
        needs: LENGTH_NEEDS,
        nothing: message::NO_ZONES,
        subjects: zone_subjects,
        read: |scope, _, of| read(|| Ok(vec![inner_bend(scope, zone(scope, of)?)?])),
    },
    Measure {
        id: "zone.turn_deg",
        hangs_on: Part::Anatomy,
        unit: "deg",
        name: "Turn of a zone",
        sentence: "Angle between the centreline's directions at the two ends of the landing zone",
        needs: LENGTH_NEEDS,
        nothing: message::NO_ZONES,
        subjects: zone_subjects,
        read: |scope, _, of| {
            read(|| {
                let (anatomy, zone) = (scope.anatomy()?, zone(scope, of)?);
                scope.anatomy()?.begins(zone)?;
                let line = anatomy.course.line();
                let bend = |s: f64| line.at(s).curvature.norm();
                // An end that is off by one station error turns by its curvature times that.
                let error = (scope.case.errors.station_sd_mm * bend(zone.from_mm).hypot(bend(zone.to_mm))).to_degrees();
                let value = Quantity::known(anatomy.turn_between(zone.from_mm, zone.to_mm).to_deg(), error);
                Ok(vec![reading(value, certain(anatomy, zone.from_mm, zone.to_mm))])
            })
        },
    },
    Measure {
        id: "ascending.healthy_length_mm",
        hangs_on: Part::Anatomy,
        unit: "mm",
        name: "Healthy ascending aorta",
        sentence: "Longest stretch of healthy wall from the origin to the first ostium",
        needs: &["centreline", "origin", "lumen", "ostium", "clock", "wall", "lesion"],
        nothing: message::NO_READING,
        subjects: |_| one_subject(Some("ascending")),
        read: |scope, rule, _| {
            read(|| {
                scope.origin()?;
                let to = point_of(scope.first_ostium()?, rule, false)?;
                healthy_length(scope, rule, 0.0, to)
            })
        },
    },
    Measure {
        id: "arch.largest_diameter_mm",
        hangs_on: Part::Anatomy,
        unit: "mm",
        name: "Diameter at the arch vessels",
        sentence: "Largest diameter at every measured place from the first to the last ostium",
        needs: LENGTH_NEEDS,
        nothing: message::NO_READING,
        subjects: |_| one_subject(Some("aortic_arch")),
        read: |scope, _, _| {
            read(|| {
                let (from, to) = arch(scope)?;
                diameters(scope, from, to)
            })
        },
    },
    Measure {
        id: "arch.first_to_last_edge_mm",
        hangs_on: Part::Anatomy,
        unit: "mm",
        name: "Span of the arch vessels",
        sentence: "Length from the first ostium's upstream edge to the last one's downstream edge",
        needs: LENGTH_NEEDS,
        nothing: message::NO_READING,
        subjects: |_| one_subject(Some("aortic_arch")),
        read: |scope, rule, _| {
            read(|| {
                let (from, to) = arch(scope)?;
                Ok(vec![length(scope, rule, from, to)?])
            })
        },
    },
    Measure {
        id: "arch.angle_deg",
        hangs_on: Part::Anatomy,
        unit: "deg",
        name: "Angle of the arch",
        sentence: "Angle at the top of the centreline between the straight lines to the origin and to the descending aorta as high as that",
        needs: &["centreline", "origin"],
        nothing: message::NO_READING,
        subjects: |_| one_subject(Some("aortic_arch")),
        read: |scope, _, _| {
            read(|| {
                scope.origin()?;
                let anatomy = scope.anatomy()?;
                let own = anatomy.arch_angle()?;
                let leg = |s: f64| {
                    let line = anatomy.course.line();
                    (line.at(s).point - line.at(own.top_mm).point).norm()
                };
                // A leg's end that is off by one station error, square to the leg at worst.
                let error = (scope.case.errors.station_sd_mm * (1.0 / leg(own.up_mm)).hypot(1.0 / leg(own.down_mm)))
                    .to_degrees();
                Ok(vec![reading(Quantity::known(own.angle.to_deg(), error), true)])
            })
        },
    },
    Measure {
        id: "ostium.gap_to_next_mm",
        hangs_on: Part::Anatomy,
        unit: "mm",
        name: "Gap to the next ostium",
        sentence: "Length from the vessel's ostium to the next one downstream",
        needs: LENGTH_NEEDS,
        nothing: message::NO_OSTIA,
        subjects: vessel_subjects,
        read: |scope, rule, of| {
            read(|| {
                let anatomy = scope.anatomy()?;
                let own = anatomy.ostium_for(&of.id)?;
                let place = own.place.station_mm;
                let next = anatomy.ostia.iter().find(|o| o.place.station_mm > place);
                let next = next.ok_or(Unknown::because(message::NO_NEXT_OSTIUM))?;
                Ok(vec![length(scope, rule, point_of(own, rule, true)?, point_of(next, rule, false)?)?])
            })
        },
    },
    Measure {
        id: "vessel.edge_to_lesion_mm",
        hangs_on: Part::Anatomy,
        unit: "mm",
        name: "Landing before the lesion",
        sentence: "Length from the vessel's ostium, its downstream edge, to the beginning of the lesion",
        needs: &["centreline", "lumen", "ostium", "clock", "lesion"],
        nothing: message::NO_OSTIA,
        subjects: vessel_subjects,
        read: |scope, rule, of| {
            read(|| {
                let lesion = scope.case.anatomy.lesion.as_ref().ok_or(Unknown::because(message::NO_LESION))?;
                let own = scope.anatomy()?.ostium_for(&of.id)?;
                Ok(vec![length(scope, rule, point_of(own, rule, true)?, lesion.from_station_mm)?])
            })
        },
    },
];

fn read(values: impl FnOnce() -> Result<Vec<Reading>, Unknown>) -> Vec<Reading> {
    values().unwrap_or_else(unknown)
}

fn zone_subjects(scope: &Scope<'_>) -> Vec<Subject> {
    let zones = scope.anatomy().map(|anatomy| anatomy.zones.as_slice()).unwrap_or_default();
    let of = |z: &Zone| Subject { id: format!("zone{}", z.zone), flow: None, kind: Some(z.zone.to_string()) };
    zones.iter().map(of).collect()
}

fn zone<'a>(scope: &Scope<'a>, of: &Subject) -> Result<&'a Zone, Unknown> {
    let zones = &scope.anatomy()?.zones;
    zones.iter().find(|z| of.kind.as_deref() == Some(&z.zone.to_string())).ok_or(Unknown::because(message::NO_ZONES))
}

/// Vessels of the case, in its order, each with its own id as its kind.
fn vessel_subjects(scope: &Scope<'_>) -> Vec<Subject> {
    let of = |id: &str| Subject { id: id.into(), flow: None, kind: Some(id.into()) };
    scope.case.anatomy.vessels.iter().map(|v| of(&v.id)).collect()
}

fn certain(anatomy: &Anatomy, from_mm: f64, to_mm: f64) -> bool {
    anatomy.course.away_from_ends(from_mm) && anatomy.course.away_from_ends(to_mm)
}

/// Station of an ostium's edge, or of its centre where the rule says so.
fn point_of(ostium: &Ostium, rule: &Rule, downstream: bool) -> Result<f64, Unknown> {
    if rule.to == Some(To::Centre) {
        return Ok(ostium.place.station_mm);
    }
    let (up, down) = *ostium.edges_mm.as_ref().map_err(Clone::clone)?;
    Ok(if downstream { down } else { up })
}

/// Stations of the first ostium's upstream and the last one's downstream edge.
fn arch(scope: &Scope<'_>) -> Result<(f64, f64), Unknown> {
    let first = scope.first_ostium()?.edges_mm.as_ref().map_err(Clone::clone)?.0;
    let last = scope.anatomy()?.ostia.last().ok_or(Unknown::because(message::NO_OSTIA))?;
    Ok((first, last.edges_mm.as_ref().map_err(Clone::clone)?.1))
}

fn length(scope: &Scope<'_>, rule: &Rule, from_mm: f64, to_mm: f64) -> Result<Reading, Unknown> {
    let anatomy = scope.anatomy()?;
    Ok(reading(measured_length(scope, rule.line, from_mm, to_mm)?, certain(anatomy, from_mm, to_mm)))
}

/// Largest diameters at every measured station of a stretch and at its ends.
fn diameters(scope: &Scope<'_>, from_mm: f64, to_mm: f64) -> Result<Vec<Reading>, Unknown> {
    let error = scope.case.errors.diameter_sd_mm;
    let of = |largest: Option<f64>| match largest {
        Some(mm) => Quantity::known(mm, error),
        None => Quantity::unknown(message::NO_LARGEST_DIAMETER),
    };
    Ok(scope.anatomy()?.sizes(from_mm, to_mm)?.iter().map(|s| reading(of(s.largest_mm), true)).collect())
}

/// The longest stretch of healthy wall, as a length along the rule's line.
fn healthy_length(scope: &Scope<'_>, rule: &Rule, from_mm: f64, to_mm: f64) -> Result<Vec<Reading>, Unknown> {
    let healthy = tissue::healthy(&scope.case.anatomy, from_mm, to_mm)?;
    let mut longest = reading(Quantity::exact(0.0), true);
    let mut most = 0.0;
    for Stretch { from_mm, to_mm } in healthy {
        let own = length(scope, rule, from_mm, to_mm)?;
        if let Some(mm) = own.value.value().copied().filter(|mm| *mm > most) {
            (most, longest) = (mm, own);
        }
    }
    Ok(vec![longest])
}

fn inner_bend(scope: &Scope<'_>, zone: &Zone) -> Result<Reading, Unknown> {
    scope.anatomy()?.begins(zone)?;
    let anatomy = scope.anatomy()?;
    let (station, bend) = anatomy.sharpest(zone.from_mm, zone.to_mm)?;
    // κ_i D = D / (R − D/2) with the centreline's radius R held: its derivative by D.
    let curvature = anatomy.course.line().at(station).curvature.norm();
    let slope = curvature / (1.0 - curvature * anatomy.lumen()?.mean_mm(station)).powi(2);
    let value = Quantity::known(bend, slope * scope.case.errors.diameter_sd_mm);
    Ok(reading(value, anatomy.course.away_from_ends(station)))
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
