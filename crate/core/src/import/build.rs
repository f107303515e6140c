//! From cleaned lines to a case: the order of the steps, and what is said about them.

use super::line::{Line, Widths, rounded};
use super::openings::{self, Exit, NoExit, Opening, TAKEOFF_MM, degrees};
use super::signs::{self, Answer, Reach};
use super::table::OstiumRow;
use super::tree::{self, Tree};
use super::{Contents, Imported, Options, unit};
use crate::anatomy::course::Course;
use crate::anatomy::lumen::Lumen;
use crate::casefile::case::{
    AnatomyInput, CentrelineInput, Clock, LumenKind, LumenSection, OstiumInput, TwelveOClock, VesselInput,
};
use crate::casefile::json;
use crate::casefile::{Case, Document};
use crate::curve::Centreline;
use crate::curve::spline::Fitted;
use crate::fault::{Fault, Faults};
use crate::units::ThreeOClock;
use std::sync::Arc;

/// Lumen sections are written this far apart, mm.
const SECTIONS_MM: f64 = 5.0;
/// Longest branch that is followed, mm.
const LONGEST_BRANCH_MM: f64 = 1000.0;
/// Without radii a branch runs with the aorta while it is nearer than this to its line, mm.
const WITH_THE_AORTA_MM: f64 = 2.0;

/// Names of the vessels of an arch with three.
const THREE: [&str; 3] = ["IA", "LCCA", "LSA"];

pub(super) fn build(contents: Contents, options: &Options) -> Result<Imported, Faults> {
    let mut assumed = Vec::new();
    let tree = tree(&contents, options, &mut assumed)?;
    let fitted = Fitted::new(&tree.trunk.points, options.smoothing_length_mm)
        .map_err(|unfit| Fault { place: tree.trunk.place.clone(), ..Fault::from(unfit) })?;
    let aorta = fitted.line.clone();
    let sections = sections(&tree.trunk, &fitted, &mut assumed);
    let lumen = Lumen::new(&sections);
    let table = contents.ostia.into_iter().next();
    if let Some((file, rows)) = &table {
        check_rows(file, rows, &aorta)?;
    }
    let exits = exits(&tree, &aorta, lumen.as_ref(), &mut assumed)?;
    test_axes(&tree, &exits, table.as_ref().map(|(_, rows)| rows.as_slice()), options, &mut assumed)?;
    let mut anatomy = AnatomyInput {
        centreline: Some(CentrelineInput {
            points_lps_mm: tree.trunk.points.iter().map(|p| [p.x, p.y, p.z]).collect(),
            smoothing_length_mm: options.smoothing_length_mm,
            origin: "sinotubular_junction".into(),
            origin_at_mm: None,
        }),
        lumen: sections,
        ..AnatomyInput::default()
    };
    assumed.push("Stations count from the first point until you mark where station 0 lies.".into());
    let mut clock = Clock::default();
    match table {
        Some((_, rows)) => {
            if !exits.is_empty() {
                assumed.push("The ostia are those of the table; the branch lines only served to test the axes.".into());
            }
            from_rows(&rows, options, &mut anatomy, &mut assumed)?;
            clock.three_oclock_is = options.three_oclock;
        }
        None => {
            from_exits(exits, aorta, options, &mut anatomy, &mut assumed)?;
            clock = Clock {
                three_oclock_is: Some(ThreeOClock::FrontLeft),
                twelve_oclock_is: Some(TwelveOClock::ArchPlane),
            };
        }
    }
    let case = Case { clock, anatomy: Arc::new(anatomy), ..Case::default() };
    checked(&case)?;
    Ok(Imported { case, assumed })
}

/// An imported case must pass what every case file must pass.
fn checked(case: &Case) -> Result<(), Faults> {
    Document::from_value(json::value_of(case)).map(|_| ())
}

/// Cleans the lines and tells the aorta from its branches.
fn tree(contents: &Contents, options: &Options, assumed: &mut Vec<String>) -> Result<Tree, Faults> {
    assumed.push(format!(
        "Lengths were read in {}, the file's axes as {}{}.",
        options.unit.name(),
        options.axes,
        if options.axes.is_left_handed() { ", which mirrors the file" } else { "" }
    ));
    let mut faults = Faults::none();
    let mut lines = Vec::new();
    for raw in &contents.lines {
        lines.extend(Line::new(raw, options.axes, options.unit, &mut faults, assumed));
    }
    if lines.is_empty() {
        return Err(super::counted(faults));
    }
    let mut loose = Faults::none();
    let tree = tree::tell_apart(lines, &mut loose, assumed);
    let Some(tree) = tree else { return Err(faults) };
    if let Some(fault) = unit::implausible(&tree.trunk, options.unit, contents.lines_in_mm.is_some()) {
        // In a wrong unit every distance is wrong, so nothing else is worth saying.
        return Err(fault.into());
    }
    faults.extend(loose);
    for branch in tree.branches.iter().filter(|branch| branch.length_mm() > LONGEST_BRANCH_MM) {
        let text = format!("{} is {:.0} mm long.", branch.name, branch.length_mm());
        faults.add(Fault::new("line_too_long", branch.place.clone(), text, "Cut the branch off, or check the unit."));
    }
    if tree.trunk.radius_of(0).is_none() {
        let arrays: Vec<String> =
            contents.other_arrays.iter().map(|name| format!("`{}`", super::axes::clip(name))).collect();
        let there =
            if arrays.is_empty() { String::new() } else { format!(" (arrays at the points: {})", arrays.join(", ")) };
        assumed.push(format!("The aorta has no radius{there}: the lumen is unknown."));
    }
    faults.or(tree)
}

/// The lumen every 5 mm, as wide as the aorta's own points say.
fn sections(trunk: &Line, fitted: &Fitted, assumed: &mut Vec<String>) -> Vec<LumenSection> {
    let kind: Box<dyn Fn(usize, usize, f64) -> LumenKind> = match &trunk.widths {
        Widths::Unknown => return Vec::new(),
        Widths::Radii(radii) => {
            assumed.push("The radii are taken for those of inscribed spheres: they read smaller than measured diameters, and oversize stays unknown.".into());
            Box::new(|i, j, t| LumenKind::Inscribed { diameter_mm: rounded(2.0 * mix(radii[i], radii[j], t)) })
        }
        Widths::Extremes(pairs) => {
            assumed.push(
                "Nobody said where the largest diameters point: the lumen is drawn as the circle of equal area.".into(),
            );
            Box::new(|i, j, t| LumenKind::MaxMin {
                largest_mm: rounded(mix(pairs[i][0], pairs[j][0], t)),
                smallest_mm: rounded(mix(pairs[i][1], pairs[j][1], t)),
                largest_clock_deg: None,
            })
        }
    };
    let stations: Vec<f64> =
        trunk.along_mm().iter().map(|along| fitted.length_at_input(*along).unwrap_or(0.0)).collect();
    let last = stations.len() - 1;
    let count = (fitted.line.length_mm() / SECTIONS_MM).floor() as usize;
    (0..=count)
        .map(|k| {
            let station_mm = k as f64 * SECTIONS_MM;
            let j = stations.partition_point(|s| *s <= station_mm).clamp(1, last);
            let span = stations[j] - stations[j - 1];
            let share = if span > 0.0 { ((station_mm - stations[j - 1]) / span).clamp(0.0, 1.0) } else { 0.0 };
            LumenSection { station_mm, kind: kind(j - 1, j, share) }
        })
        .collect()
}

fn mix(a: f64, b: f64, share: f64) -> f64 {
    a + (b - a) * share
}

/// Where the branches leave, as far as the lumen is known.
fn exits(
    tree: &Tree,
    aorta: &Centreline,
    lumen: Option<&Lumen>,
    assumed: &mut Vec<String>,
) -> Result<Vec<Exit>, Faults> {
    let Some(lumen) = lumen else {
        if !tree.branches.is_empty() {
            assumed.push("Without radii nobody knows where the wall is: no ostium was placed; enter them.".into());
        }
        return Ok(Vec::new());
    };
    let mut exits = Vec::new();
    for branch in &tree.branches {
        match openings::exit(branch, aorta, lumen) {
            Ok(exit) => {
                if exit.along_mm == 0.0 {
                    assumed.push(format!(
                        "{} begins outside the aorta's wall: its ostium is put where it begins.",
                        exit.line.name
                    ));
                }
                if exit.line.radius_of(0).is_none() {
                    assumed.push(format!(
                        "{} has no radius: its size is unknown, and it is taken to share no opening.",
                        exit.line.name
                    ));
                }
                exits.push(exit);
            }
            Err(NoExit::Inside) => {
                assumed.push(format!("{} was left out: it ends inside the aorta.", branch.name));
            }
            Err(NoExit::ThroughTheEnd) => {
                assumed.push(format!("{} was left out: it leaves the aorta at the end of its line.", branch.name));
            }
        }
    }
    Ok(exits)
}

/// Tests the three signs of the axes.
fn test_axes(
    tree: &Tree,
    exits: &[Exit],
    rows: Option<&[OstiumRow]>,
    options: &Options,
    assumed: &mut Vec<String>,
) -> Result<(), Faults> {
    let reach: Vec<Reach> = if exits.is_empty() {
        tree.branches.iter().map(|branch| parting(branch, &tree.trunk)).collect()
    } else {
        exits
            .iter()
            .map(|exit| Reach {
                along_mm: tree.trunk.nearest(&exit.point).1,
                leaves: exit.point,
                ends: exit.line.last(),
            })
            .collect()
    };
    let arch = rows.and_then(|rows| {
        let stations = rows.iter().map(|row| row.station_mm);
        Some((stations.clone().reduce(f64::min)?, stations.reduce(f64::max)?))
    });
    match signs::test(tree, &reach, arch, options.axes) {
        Answer::Right { unclear } if unclear.is_empty() => {}
        Answer::Right { unclear } => assumed.push(format!(
            "The axes were not fully tested: the aorta does not show which way is {}.",
            unclear.join(" and ")
        )),
        Answer::Wrong(fault) if options.trust_axes => {
            assumed.push(format!("The axes were trusted, as told. {}", fault.text));
        }
        Answer::Wrong(fault) => return Err(fault.into()),
    }
    Ok(())
}

/// Where a branch without radii parts from the aorta's line.
fn parting(branch: &Line, trunk: &Line) -> Reach {
    let steps = branch.length_mm().ceil() as usize;
    let with =
        (0..=steps).rev().map(|k| k as f64).find(|along| trunk.nearest(&branch.at(*along)).0 < WITH_THE_AORTA_MM);
    let leaves = branch.at(with.unwrap_or(0.0));
    Reach { along_mm: trunk.nearest(&leaves).1, leaves, ends: branch.last() }
}

/// Ostia and vessels from the places where the branches leave.
fn from_exits(
    exits: Vec<Exit>,
    aorta: Centreline,
    options: &Options,
    anatomy: &mut AnatomyInput,
    assumed: &mut Vec<String>,
) -> Result<(), Faults> {
    let openings = openings::openings(exits, &aorta, assumed);
    let vessels: usize = openings.iter().map(Opening::vessels).sum();
    let names = names(vessels, options, assumed)?;
    if openings.is_empty() {
        assumed.push("No branch leaves the aorta in the files: enter the ostia.".into());
        return Ok(());
    }
    let stations: Vec<f64> = openings.iter().map(|o| o.station_mm).collect();
    let course = Course::new(aorta, &stations);
    if let Err(unknown) = course.plane() {
        assumed.push(format!("The clock of the ostia is unknown. {}", unknown.0));
    }
    let ids = ostium_ids(openings.len(), &names);
    let mut from = 0;
    for (opening, id) in openings.iter().zip(&ids) {
        let own = &names[from..from + opening.vessels()];
        from += opening.vessels();
        let (ostium, vessels) = opening.describe(id, own, &course, assumed);
        if own.len() > 1 {
            assumed.push(format!("{} leave through one opening ({id}): their lines cross the wall nearer than the lumen's sphere is wide.", own.join(" and ")));
        }
        anatomy.ostia.push(ostium);
        anatomy.vessels.extend(vessels);
    }
    assumed.push(format!(
        "Ostia: across = the vessel's diameter {TAKEOFF_MM} mm beyond the wall, along = that / sin take-off (both vessels together where they share an opening); take-off = chord of the first {TAKEOFF_MM} mm."
    ));
    Ok(())
}

/// Names of the vessels in order along the flow.
fn names(count: usize, options: &Options, assumed: &mut Vec<String>) -> Result<Vec<String>, Faults> {
    let given = &options.vessel_names;
    if !given.is_empty() {
        if given.len() == count {
            return Ok(given.clone());
        }
        let text = format!("{} names are given for {count} vessels.", given.len());
        return Err(Fault::new("names", "names", text, "Give one name a vessel, in order along the flow.").into());
    }
    if count == THREE.len() {
        assumed.push("Three vessels leave the arch: in order along the flow they were named IA, LCCA, LSA (of one opening the one that ends further right first).".into());
        return Ok(THREE.map(str::to_owned).to_vec());
    }
    if count > 0 {
        let named = if count == 1 { "V1".to_owned() } else { format!("V1 to V{count}") };
        assumed.push(format!(
            "Named in order along the flow: {named}; only an arch with three vessels is named by itself."
        ));
    }
    Ok((1..=count).map(|k| format!("V{k}")).collect())
}

/// `o1`, `o2`, … without those that a vessel is called.
fn ostium_ids(count: usize, taken: &[String]) -> Vec<String> {
    (1..).map(|k| format!("o{k}")).filter(|id| !taken.contains(id)).take(count).collect()
}

/// Rows of a table against the centreline.
fn check_rows(file: &str, rows: &[OstiumRow], aorta: &Centreline) -> Result<(), Faults> {
    let mut faults = Faults::none();
    for row in rows.iter().filter(|row| !aorta.reaches(row.station_mm)) {
        let (first, last) = aorta.range_mm();
        let text = format!(
            "{} lies at {} mm, but the centreline runs from {:.0} to {last:.1} mm.",
            row.id,
            row.station_mm,
            first + 0.0
        );
        faults.add(Fault::new(
            "station_outside",
            row.place.clone(),
            text,
            "Count stations from the first point of the centreline.",
        ));
    }
    if rows.is_empty() {
        faults.add(Fault::new("no_ostia", file, "The table holds no ostium.", "Add one line an ostium."));
    }
    faults.or(())
}

/// Ostia and vessels from a table.
fn from_rows(
    rows: &[OstiumRow],
    options: &Options,
    anatomy: &mut AnatomyInput,
    assumed: &mut Vec<String>,
) -> Result<(), Faults> {
    let mut rows: Vec<&OstiumRow> = rows.iter().collect();
    rows.sort_by(|a, b| a.station_mm.total_cmp(&b.station_mm));
    let ids: Vec<String> = rows.iter().map(|row| row.id.clone()).collect();
    let names = if options.vessel_names.is_empty() { ids } else { names(rows.len(), options, assumed)? };
    let ostia = ostium_ids(rows.len(), &names);
    for ((row, name), id) in rows.iter().zip(&names).zip(&ostia) {
        // A lean is towards larger clock, on the sheet as here.
        let stored = |typed| options.three_oclock.map_or(typed, |hand| hand.stored(typed));
        let sine = row.takeoff.map(crate::units::Angle::sin).filter(|sine| *sine > 0.2);
        anatomy.ostia.push(OstiumInput {
            id: id.clone(),
            station_mm: row.station_mm,
            clock_deg: row.clock.map(stored).map(degrees),
            along_mm: row.diameter_mm.map(|d| rounded(d / sine.unwrap_or(1.0))),
            across_mm: row.diameter_mm,
        });
        anatomy.vessels.push(VesselInput {
            takeoff_deg: row.takeoff.map(degrees),
            lean_deg: row.lean.map(stored).map(degrees),
            ..openings::unmeasured(name, id)
        });
    }
    assumed.push("Ostia of the table: across = diameter_mm, along = that / sin take-off (a square take-off where none is given); one vessel each, without measured diameters.".into());
    if options.three_oclock.is_none() && rows.iter().any(|row| row.clock.is_some()) {
        assumed.push("Nobody said on which side 3:00 lies on the sheet: the clocks stand as typed, and whatever needs them is unknown.".into());
    }
    Ok(())
}
