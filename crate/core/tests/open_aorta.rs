//! Import of a real thoracic aorta from public data, against figures computed from the same file by
//! an independent program (own spline, brute-force nearest points).
//!
//! The data are not part of this repository. `EXTRADOS_OPEN_DATA` names the folder that holds
//! `centreline.vtk`: four polylines in centimetres whose z axis points to the feet. Without it each
//! check says by name that it was not run. `import_synthetic.rs` is the twin that always runs.

#![allow(clippy::expect_used, clippy::panic, clippy::print_stdout)]

use extrados::anatomy::Anatomy;
use extrados::import::{Imported, NamedBytes, Options, import};
use extrados::units::{Angle, Vec3};

/// The file, or a line that names the check that was not run.
fn open_aorta(check: &str) -> Option<NamedBytes> {
    let name = "centreline.vtk";
    let Some(folder) = std::env::var_os("EXTRADOS_OPEN_DATA") else {
        println!("NOT RUN: {check}: EXTRADOS_OPEN_DATA does not name the folder with {name}.");
        return None;
    };
    let path = std::path::Path::new(&folder).join(name);
    let bytes = std::fs::read(&path).expect("EXTRADOS_OPEN_DATA names a folder without centreline.vtk");
    Some(NamedBytes { name: name.into(), bytes })
}

fn options(axes: &str) -> Options {
    let mut options = Options::default();
    options.set("unit", "cm").expect("a unit");
    options.set("axes", axes).expect("axes");
    options
}

fn near(what: &str, value: f64, expected: f64, tolerance: f64) {
    println!("{what}: {value:.3} (expected {expected} ± {tolerance})");
    assert!((value - expected).abs() <= tolerance, "{what}: {value} is not {expected} ± {tolerance}");
}

fn imported(file: NamedBytes, axes: &str) -> Imported {
    import(&[file], &options(axes)).unwrap_or_else(|faults| panic!("refused: {faults}"))
}

// Source of the expected figures: the same file read by a Python program of its own (scipy's
// smoothing spline, brute-force nearest points); tolerances cover the freedom of the method.
#[test]
fn figures_of_the_open_aorta() {
    let Some(file) = open_aorta("figures_of_the_open_aorta") else { return };
    let imported = imported(file, "L,P,-S");
    for sentence in &imported.assumed {
        println!("  {sentence}");
    }
    let anatomy = Anatomy::measure(&std::sync::Arc::new(imported.case.clone())).expect("a case that can be measured");
    let fit = anatomy.fit.expect("a fitted line");
    near("spline length", anatomy.course.line().length_mm(), 197.8, 0.5);
    near("residual", fit.residual_rms_mm, 0.525, 0.075);
    let normal = anatomy.course.plane().expect("an arch plane").normal;
    let reference = Vec3::new(0.517, -0.809, 0.282).normalize();
    let tilt = Angle::rad(normal.dot(&reference).abs().min(1.0).acos());
    println!("arch plane normal: {normal:?}");
    near("tilt of the arch plane", tilt.to_deg(), 0.0, 3.0);

    let ostia = &imported.case.anatomy.ostia;
    let vessels = &imported.case.anatomy.vessels;
    println!("{ostia:#?}\n{vessels:#?}");
    assert_eq!(ostia.len(), 2, "a common trunk and the left subclavian artery");
    let ids: Vec<(&str, &str)> = vessels.iter().map(|v| (v.id.as_str(), v.from.as_str())).collect();
    assert_eq!(ids, [("IA", "o1"), ("LCCA", "o1"), ("LSA", "o2")]);
    near("common trunk, station", ostia[0].station_mm, 67.5, 2.0);
    near("common trunk, clock", ostia[0].clock_deg.expect("a clock"), 14.0, 5.0);
    near("LSA, station", ostia[1].station_mm, 88.0, 1.5);
    near("LSA, clock", ostia[1].clock_deg.expect("a clock"), 12.0, 5.0);
    near("LSA, take-off", vessels[2].takeoff_deg.expect("a take-off"), 77.5, 8.0);
    for (vessel, radius) in vessels.iter().zip([6.4, 3.6, 3.8]) {
        assert_eq!(vessel.diameters[0].at_mm, 10.0);
        near(
            &format!("{} 10 mm beyond the wall, radius", vessel.id),
            vessel.diameters[0].diameter_mm / 2.0,
            radius,
            0.5,
        );
    }
    // Inscribed spheres say nothing of the area, so no oversize can be told.
    let lumen = anatomy.lumen().expect("a lumen");
    assert!(lumen.stations_mm().len() > 30);
    assert_eq!(imported.case.anatomy.centreline.as_ref().and_then(|c| c.origin_at_mm), None);
    // Twist drift from the first ostium; source as above.
    let first = ostia[0].station_mm;
    for (station, drift) in [(0.0, -8.0), (40.0, -2.0), (67.0, 0.0), (140.0, 3.0)] {
        let turned = anatomy.course.drift(first, station).expect("a drift");
        near(&format!("twist drift at {station}"), turned.to_deg(), drift, 1.0);
    }
}

// x to the left, y to the back, z to the feet is a mirror image of the patient.
#[test]
fn the_mirror_is_named_and_refused() {
    let Some(file) = open_aorta("the_mirror_is_named_and_refused") else { return };
    let faults = import(std::slice::from_ref(&file), &options("L,P,S")).expect_err("a mirrored patient");
    println!("{faults}");
    assert_eq!(faults.faults.len(), 1);
    assert_eq!(faults.faults[0].code, "axes_mirrored");
    assert!(faults.faults[0].mend.contains("L,P,-S"), "{}", faults.faults[0].mend);
    // Turned half round about the long axis on top of it: three signs are wrong.
    let faults = import(std::slice::from_ref(&file), &options("R,A,S")).expect_err("a mirrored patient");
    assert_eq!(faults.faults[0].code, "axes_mirrored");
    // Turned about the left-right axis: two.
    let faults = import(std::slice::from_ref(&file), &options("L,A,S")).expect_err("a turned patient");
    assert_eq!(faults.faults[0].code, "axes_turned");
    let trusted = Options { trust_axes: true, ..options("L,P,S") };
    let trusted = import(&[file], &trusted).expect("the user's word holds");
    assert!(trusted.assumed.iter().any(|s| s.contains("trusted")));
}

#[test]
fn the_wrong_unit_is_named_and_refused() {
    let Some(file) = open_aorta("the_wrong_unit_is_named_and_refused") else { return };
    let mut options = options("L,P,-S");
    for unit in ["mm", "m"] {
        options.set("unit", unit).expect("a unit");
        let faults = import(std::slice::from_ref(&file), &options).expect_err("a wrong unit");
        assert_eq!(faults.faults[0].code, "unit_does_not_fit", "{faults}");
        assert!(faults.faults[0].mend.contains("cm"), "{faults}");
    }
}
