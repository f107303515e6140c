//! A rod in the open thoracic aorta, for an independent solver: the tube as dense points with room, and where the rod
//! comes to rest. Takes the folder with `centreline.vtk`, prints JSON. The data are no part of this repository.
#![allow(clippy::print_stdout, clippy::print_stderr)]

use extrados::anatomy::Anatomy;
use extrados::import::{NamedBytes, Options, import};
use extrados::rod::solver::{Start, solve};
use extrados::rod::{End, Plane, Rod};
use extrados::units::Angle;
use serde_json::{Value, json};
use std::sync::Arc;

/// Radius of what lies in the aorta, mm.
const RADIUS_MM: f64 = 11.0;
/// Length of the rod's pieces, mm.
const PIECE_MM: f64 = 0.5;
/// Distance of the points by which the tube is described, mm.
const DENSE_MM: f64 = 0.25;

fn answer(folder: &str) -> Result<Value, String> {
    let path = std::path::Path::new(folder).join("centreline.vtk");
    let bytes = std::fs::read(&path).map_err(|error| format!("{}: {error}", path.display()))?;
    let mut options = Options::default();
    options.set("unit", "cm").map_err(|fault| fault.to_string())?;
    options.set("axes", "L,P,-S").map_err(|fault| fault.to_string())?;
    let files = [NamedBytes { name: "centreline.vtk".into(), bytes }];
    let case = import(&files, &options).map_err(|faults| faults.to_string())?.case;
    let anatomy = Anatomy::measure(&Arc::new(case)).map_err(|fault| fault.to_string())?;
    let lumen = anatomy.lumen().map_err(|unknown| unknown.0)?;
    let line = anatomy.course.line();
    let (from, to) = line.range_mm();
    // The ends of the data bend less surely, and reach beyond the surface.
    let (from, to) = (from + 10.0, to - 10.0);
    let room = |s: f64| (lumen.inscribed_mm(s) - RADIUS_MM).max(0.2);
    let plane = |s: f64| -> Result<Plane, String> {
        let frame = anatomy.course.frame(s).map_err(|unknown| unknown.0)?;
        let across = [frame.towards(Angle::ZERO), frame.towards(Angle::deg(90.0))];
        Ok(Plane { centre: frame.centre.point, across, room_mm: room(s) })
    };
    let pieces = ((to - from) / PIECE_MM).round() as usize;
    let station = |k: usize| from + (to - from) * k as f64 / pieces as f64;
    let dense = ((to - from) / DENSE_MM).round() as usize;
    let tube: Vec<Value> = (0..=dense)
        .map(|k| {
            let s = from + (to - from) * k as f64 / dense as f64;
            let p = line.at(s).point;
            json!([s - from, p.x, p.y, p.z, room(s)])
        })
        .collect();
    let mut rods = Vec::new();
    for push in [1e-6, 1e-4, 1e-3] {
        let planes: Vec<Plane> = (0..=pieces).map(|k| plane(station(k))).collect::<Result<_, _>>()?;
        let ends = [End::Along(line.at(from).tangent), End::Along(line.at(to).tangent)];
        let mut rod = Rod { planes, push_per_mm2: push, ends };
        let start = Start::middle(rod.planes.len());
        let rest = solve(&mut rod, &start, &mut |_, _| 0.0).ok_or("no rest")?;
        rods.push(json!({
            "push_per_mm2": push, "bending_per_mm": rest.energy.bending_per_mm, "length_mm": rest.energy.length_mm,
            "settled": rest.settled, "joints_mm": rest.joints.iter().map(|p| [p.x, p.y, p.z]).collect::<Vec<_>>(),
        }));
    }
    Ok(json!({ "tube": tube, "rods": rods }))
}

fn main() -> std::process::ExitCode {
    let folder = std::env::args().nth(1).unwrap_or_default();
    match answer(&folder) {
        Ok(answer) => println!("{answer}"),
        Err(fault) => {
            eprintln!("{fault}");
            return std::process::ExitCode::from(2);
        }
    }
    std::process::ExitCode::SUCCESS
}
