//! Import of an invented arch whose answer is known: it is built from stations, clocks, take-offs and
//! diameters, written to files of every kind, and the importer is asked for them. The twin of
//! `open_aorta.rs` that always runs.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

mod invented_arch;

use extrados::casefile::Case;
use extrados::casefile::case::{LumenKind, OstiumInput, VesselInput};
use extrados::casefile::document::write;
use extrados::import::{Imported, NamedBytes, Options, import};
use extrados::units::ThreeOClock;
use invented_arch::*;

/// Length accuracy, mm: smoothing of 7 mm draws a bend of radius R in by R − R/(1 + (7/R)⁴) = 0.04 mm,
/// so stations lose 0.04 mm a radian of turn, and as much again where the bend begins.
const NEAR_MM: f64 = 0.2;
/// Angle accuracy, degrees: that length over a radius of 40 mm.
const NEAR_DEG: f64 = 0.5;

fn options(set: &[(&str, &str)]) -> Options {
    let mut options = Options::default();
    for (option, value) in set {
        options.set(option, value).unwrap_or_else(|fault| panic!("{fault}"));
    }
    options
}

fn run(files: &[NamedBytes], set: &[(&str, &str)]) -> Imported {
    import(files, &options(set)).unwrap_or_else(|faults| panic!("{set:?}: {faults}"))
}

fn refused(files: &[NamedBytes], set: &[(&str, &str)]) -> extrados::fault::Fault {
    let faults = import(files, &options(set)).expect_err("must be refused");
    assert_eq!(faults.faults.len(), 1, "{faults}");
    faults.faults[0].clone()
}

fn near(what: &str, value: f64, planted: f64, tolerance: f64) {
    assert!((value - planted).abs() <= tolerance, "{what}: {value} instead of {planted}");
}

/// The same bytes; the first line that differs is shown.
fn assert_same(one: &Case, two: &Case) {
    let (one, two) = (write(one), write(two));
    let differs = one.lines().zip(two.lines()).find(|(a, b)| a != b);
    assert!(one == two, "first difference: {differs:?}");
}

fn parts(case: &Case) -> (&[OstiumInput], &[VesselInput]) {
    (&case.anatomy.ostia, &case.anatomy.vessels)
}

fn check_ostium(ostium: &OstiumInput, station: f64, clock_deg: f64) {
    near(&format!("{} station", ostium.id), ostium.station_mm, station, NEAR_MM);
    near(&format!("{} clock", ostium.id), ostium.clock_deg.unwrap(), clock_deg, NEAR_DEG);
}

fn check_vessel(vessel: &VesselInput, planted: &Branch) {
    near(&format!("{} take-off", vessel.id), vessel.takeoff_deg.unwrap(), planted.takeoff_deg, NEAR_DEG);
    near(&format!("{} lean", vessel.id), vessel.lean_deg.unwrap(), planted.lean_deg, NEAR_DEG);
    let at: Vec<f64> = vessel.diameters.iter().map(|d| d.at_mm).collect();
    assert_eq!(at, [10.0, 20.0, 30.0, 40.0]);
    for diameter in &vessel.diameters {
        near(&format!("{} diameter", vessel.id), diameter.diameter_mm, 2.0 * planted.radius, 0.02);
    }
}

/// Everything of the plain arch with three vessels.
fn check_plain(case: &Case) {
    let (ostia, vessels) = parts(case);
    assert_eq!(ostia.len(), 3);
    let names: Vec<&str> = vessels.iter().map(|v| v.id.as_str()).collect();
    assert_eq!(names, ["IA", "LCCA", "LSA"]);
    for ((ostium, vessel), planted) in ostia.iter().zip(vessels).zip(three()) {
        assert_eq!((vessel.from.as_str(), vessel.at_mm), (ostium.id.as_str(), 0.0));
        check_ostium(ostium, planted.station, planted.clock_deg);
        check_vessel(vessel, &planted);
        let across = 2.0 * planted.radius;
        near("across", ostium.across_mm.unwrap(), across, 0.02);
        near("along", ostium.along_mm.unwrap(), across / planted.takeoff_deg.to_radians().sin(), 0.1);
    }
    let centreline = case.anatomy.centreline.as_ref().unwrap();
    assert_eq!(centreline.points_lps_mm.len(), 231);
    assert_eq!(centreline.origin_at_mm, None);
    assert_eq!(case.clock.three_oclock_is, Some(ThreeOClock::FrontLeft));
    for section in &case.anatomy.lumen {
        let LumenKind::Inscribed { diameter_mm } = section.kind else { panic!("{section:?}") };
        near("lumen", diameter_mm, 2.0 * lumen(section.station_mm), 0.01);
    }
    assert_eq!(case.anatomy.lumen.len(), 46);
}

#[test]
fn the_planted_answer_comes_back_from_every_format() {
    let lines = plain();
    let mut files = vec![vtk(&lines, false), vtk(&lines, true), vtk_binary(&lines, false), vtk_binary(&lines, true)];
    files.extend(VTP.map(|encoding| vtp(&lines, encoding)));
    let first = run(&files[..1], &[]).case;
    check_plain(&first);
    for file in &files[1..] {
        // The same numbers in another coding give the same bytes.
        assert_same(&run(std::slice::from_ref(file), &[]).case, &first);
    }
    for separator in [',', ';', '\t'] {
        assert_same(&run(&csv(&lines, separator), &[]).case, &first);
    }
}

/// With a line through its points nothing is lost but the chords' sagitta (1 mm steps: 0.003 mm).
#[test]
fn without_smoothing_the_answer_is_exact() {
    let case = run(&[vtk(&plain(), false)], &[("smoothing", "0")]).case;
    let (ostia, vessels) = parts(&case);
    for ((ostium, vessel), planted) in ostia.iter().zip(vessels).zip(three()) {
        near("station", ostium.station_mm, planted.station, 0.02);
        near("clock", ostium.clock_deg.unwrap(), planted.clock_deg, 0.05);
        near("take-off", vessel.takeoff_deg.unwrap(), planted.takeoff_deg, 0.05);
        near("lean", vessel.lean_deg.unwrap(), planted.lean_deg, 0.1);
    }
}

/// One invented arch as the VTK library itself writes it (version 9.7): all read alike,
/// to the rounding of its 32-bit numbers.
#[test]
fn what_the_vtk_library_writes_is_read_alike() {
    let corpus = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("../../tests/corpus");
    let read = |name: &str| {
        let bytes = std::fs::read(corpus.join(name)).unwrap();
        run(&[NamedBytes { name: name.into(), bytes }], &[]).case
    };
    let plain = read("vtk/clean-branch.vtk");
    for name in [
        "vtk/clean-library-binary-5.vtk",
        "vtk/clean-library-text-4.vtk",
        "vtp/clean-library-appended-raw-zlib.vtp",
        "vtp/clean-library-appended-base64-big-endian.vtp",
        "vtp/clean-library-inline-zlib.vtp",
    ] {
        let case = read(name);
        let numbers = |case: &Case| -> Vec<f64> {
            let text = write(case);
            let words = text.split(|c: char| !c.is_ascii_digit() && c != '.' && c != '-');
            words.filter_map(|word| word.parse().ok()).collect()
        };
        let (own, other) = (numbers(&case), numbers(&plain));
        assert!(own.len() > 200 && own.len() == other.len(), "{name}");
        for (a, b) in own.iter().zip(other) {
            near(name, *a, b, 5e-4);
        }
    }
}

#[test]
fn lines_may_run_either_way_and_begin_on_the_trunk() {
    let lines = plain();
    let turned: Vec<Polyline> = lines.iter().map(Polyline::reversed).collect();
    check_plain(&run(&[vtk(&turned, false)], &[]).case);
    let mixed = [lines[2].clone(), turned[0].clone(), lines[3].clone(), turned[1].clone()];
    check_plain(&run(&[vtk(&mixed, false)], &[]).case);
    // A trunk with branches that begin on its line, or between line and wall.
    for skip in [0, 7] {
        let mut separate = vec![lines[0].clone()];
        for (k, branch) in three().iter().enumerate() {
            let own = branch.own_line();
            let own = Polyline { points: own.points[skip..].to_vec(), radii: own.radii[skip..].to_vec() };
            separate.push(if k == 1 { own.reversed() } else { own });
        }
        let imported = run(&[vtk(&separate, true)], &[]);
        check_plain(&imported.case);
        assert!(imported.assumed.iter().any(|s| s.contains("run with the blood flow")), "{:?}", imported.assumed);
    }
}

#[test]
fn two_branches_may_share_an_opening() {
    let at = |station, clock, takeoff, lean, radius| Branch {
        ostium: (72.0, 10.0),
        ..Branch::new(station, clock, takeoff, lean, radius)
    };
    let (ia, lcca) = (at(70.0, 12.0, 80.0, -40.0, 6.0), at(74.0, 8.0, 60.0, 5.0, 3.5));
    let lsa = three()[2];
    let lines: Vec<Polyline> = [trunk_to(LENGTH), lcca.whole_line(), lsa.whole_line(), ia.whole_line()].to_vec();
    let imported = run(&[vtk(&lines, false)], &[]);
    let (ostia, vessels) = parts(&imported.case);
    let from: Vec<(&str, &str)> = vessels.iter().map(|v| (v.id.as_str(), v.from.as_str())).collect();
    assert_eq!(from, [("IA", "o1"), ("LCCA", "o1"), ("LSA", "o2")]);
    check_ostium(&ostia[0], 72.0, 10.0);
    check_ostium(&ostia[1], lsa.station, lsa.clock_deg);
    for (vessel, planted) in vessels.iter().zip([ia, lcca, lsa]) {
        check_vessel(vessel, &planted);
    }
    // The hull of both: their middles lie this far apart along the flow on the wall and around it.
    let apart = ia.wall_point() - lcca.wall_point();
    let (_, t, _, _) = frame(72.0);
    let (_, around) = outward(72.0, 10.0);
    let hull = |off: f64, a: f64, b: f64| (off.abs() + (a + b) / 2.0).max(a).max(b);
    let along = |b: &Branch| 2.0 * b.radius / b.takeoff_deg.to_radians().sin();
    near("along", ostia[0].along_mm.unwrap(), hull(apart.dot(&t), along(&ia), along(&lcca)), 0.2);
    near("across", ostia[0].across_mm.unwrap(), hull(apart.dot(&around), 12.0, 7.0), 0.2);
    assert!(imported.assumed.iter().any(|s| s.contains("IA and LCCA leave through one opening")));
}

#[test]
fn a_trunk_may_divide_beyond_the_wall() {
    let [ia, _, lsa] = three();
    // Runs with the IA to 15 mm beyond the wall, then square to it, further left and back.
    let mut lcca = ia.whole_line();
    let kept = lcca.points.len() - 30;
    lcca.points.truncate(kept);
    lcca.radii.truncate(kept);
    let here = lcca.points[kept - 1];
    let square = ia.direction().cross(&outward(ia.station, ia.clock_deg).1).normalize();
    let (_, t, _, _) = frame(ia.station);
    let square = if square.dot(&t) > 0.0 { square } else { -square };
    for k in 1..=40 {
        lcca.points.push(here + square * f64::from(k));
        lcca.radii.push(3.0);
    }
    let lines = [lcca, trunk_to(LENGTH), ia.whole_line(), lsa.whole_line()];
    let imported = run(&[vtk(&lines, false)], &[]);
    let (ostia, vessels) = parts(&imported.case);
    let from: Vec<(&str, &str)> = vessels.iter().map(|v| (v.id.as_str(), v.from.as_str())).collect();
    assert_eq!(from, [("IA", "o1"), ("LCCA", "IA"), ("LSA", "o2")], "{:?}", imported.assumed);
    check_ostium(&ostia[0], ia.station, ia.clock_deg);
    near("across", ostia[0].across_mm.unwrap(), 12.0, 0.02);
    near("where it leaves the IA", vessels[1].at_mm, 15.0, NEAR_MM);
    let (er, et) = outward(ia.station, ia.clock_deg);
    near("take-off", vessels[1].takeoff_deg.unwrap(), square.dot(&t).acos().to_degrees(), NEAR_DEG);
    let lean = square.dot(&et).atan2(square.dot(&er)).to_degrees();
    near("lean", (vessels[1].lean_deg.unwrap() - lean + 180.0).rem_euclid(360.0), 180.0, 1.0);
    // It has no diameter of its own before it begins, 15 mm beyond the wall and one IA radius on.
    assert_eq!(vessels[1].diameters[0].at_mm, 30.0);
}

#[test]
fn every_turn_and_mirror_is_named_and_mended() {
    let lines = plain();
    let plain = run(&[vtk(&lines, false)], &[]).case;
    for wrong in 1..8u8 {
        let signs = [1, 2, 4].map(|bit| if wrong & bit == 0 { 1.0 } else { -1.0 });
        let turned: Vec<Polyline> = lines.iter().map(|l| l.in_file_axes(signs, 1.0)).collect();
        let file = vtk(&turned, false);
        let fault = refused(std::slice::from_ref(&file), &[]);
        let expected = if wrong.count_ones() == 2 { "axes_turned" } else { "axes_mirrored" };
        assert_eq!(fault.code, expected, "{fault}");
        let named: String = ["L", "P", "S"]
            .iter()
            .zip(signs)
            .map(|(letter, sign)| if sign > 0.0 { (*letter).to_owned() } else { format!("-{letter}") })
            .collect::<Vec<_>>()
            .join(",");
        assert!(fault.mend.contains(&format!("The axes {named} make")), "{fault}");
        assert_same(&run(std::slice::from_ref(&file), &[("axes", &named)]).case, &plain);
        let trusted = run(&[file], &[("trust-axes", "yes")]);
        assert!(trusted.assumed.iter().any(|s| s.starts_with("The axes were trusted")), "{:?}", trusted.assumed);
    }
}

/// A line against the flow looks like a patient turned half round; the mend names both ways out.
#[test]
fn a_single_line_against_the_flow_is_refused() {
    let fault = refused(&[vtk(&[trunk_to(LENGTH).reversed()], false)], &[]);
    assert_eq!(fault.code, "axes_turned", "{fault}");
    assert!(fault.mend.contains("against the flow"), "{fault}");
}

#[test]
fn lines_that_are_no_branches_are_left_out_and_named() {
    let mut lines = plain();
    let whole = run(&[vtk(&lines, false)], &[]).case;
    // The same branch twice, a part of the aorta, and the aorta itself with a longer end.
    lines.push(lines[2].clone());
    lines.push(trunk_to(150.0));
    let mut longer = trunk_to(LENGTH);
    for k in 1..=30 {
        let (end, t, _, _) = frame(LENGTH);
        longer.points.push(end + t * f64::from(k));
        longer.radii.push(5.0);
    }
    lines.push(longer);
    let imported = run(&[vtk(&lines, false)], &[]);
    assert_same(&imported.case, &whole);
    for sentence in ["never parts from", "ends inside the aorta", "at the end of its line"] {
        assert!(imported.assumed.iter().any(|s| s.contains(sentence)), "{sentence}: {:?}", imported.assumed);
    }
}

#[test]
fn a_branch_may_begin_a_little_outside_the_wall() {
    let branch = three()[0];
    let own = branch.own_line();
    // The first point 2 mm beyond the wall.
    let own = Polyline { points: own.points[17..].to_vec(), radii: own.radii[17..].to_vec() };
    let imported = run(&[vtk(&[trunk_to(LENGTH), own], false)], &[]);
    assert!(imported.assumed.iter().any(|s| s.contains("begins outside the aorta's wall")), "{:?}", imported.assumed);
    near("station", imported.case.anatomy.ostia[0].station_mm, branch.station, 1.0);
}

#[test]
fn axes_in_another_order_are_put_right() {
    let lines: Vec<Polyline> = plain()
        .iter()
        .map(|l| Polyline { points: l.points.iter().map(|p| V::new(p.z, -p.x, p.y)).collect(), radii: l.radii.clone() })
        .collect();
    check_plain(&run(&[vtk(&lines, false)], &[("axes", "S,R,P")]).case);
}

#[test]
fn units_are_tested_and_the_right_one_named() {
    for (unit, mm) in [("cm", 10.0), ("m", 1000.0)] {
        let lines: Vec<Polyline> = plain().iter().map(|l| l.in_file_axes([1.0; 3], mm)).collect();
        let file = vtk(&lines, false);
        check_plain(&run(std::slice::from_ref(&file), &[("unit", unit)]).case);
        let fault = refused(&[file], &[]);
        assert_eq!(fault.code, "unit_does_not_fit");
        assert!(fault.mend.contains(&format!("The unit {unit} fits")), "{fault}");
    }
    let fault = refused(&[vtk(&plain(), false)], &[("unit", "cm")]);
    assert!(fault.mend.contains("The unit mm fits"), "{fault}");
}

#[test]
fn without_radii_the_longest_line_is_the_aorta_and_no_ostium_is_placed() {
    let text = String::from_utf8(vtk(&plain(), false).bytes).unwrap().replace("LumenRadius", "Something");
    let file = NamedBytes { name: "bare.vtk".into(), bytes: text.into_bytes() };
    let imported = run(std::slice::from_ref(&file), &[]);
    assert!(imported.case.anatomy.ostia.is_empty() && imported.case.anatomy.lumen.is_empty());
    let said = imported.assumed.join("\n");
    assert!(said.contains("`Something`") && said.contains("no ostium was placed"), "{said}");
    // The axes are tested all the same, and the array can be named.
    let lines: Vec<Polyline> = plain().iter().map(|l| l.in_file_axes([1.0, 1.0, -1.0], 1.0)).collect();
    let mirrored = String::from_utf8(vtk(&lines, false).bytes).unwrap().replace("LumenRadius", "Something");
    let mirrored = NamedBytes { name: "bare.vtk".into(), bytes: mirrored.into_bytes() };
    assert_eq!(refused(&[mirrored], &[]).code, "axes_mirrored");
    check_plain(&run(&[file], &[("radius", "something")]).case);
}

#[test]
fn a_table_of_ostia_goes_with_a_centreline() {
    let trunk = csv(&plain()[..1], ';').remove(0);
    let table = "id;station_mm;clock_deg;diameter_mm;takeoff_deg;lean_deg\r\nLSA;105,5;5;9;;\r\nIA;70;15;12,5;75;8\r\nLCCA;88;;7;;\r\n";
    let table = NamedBytes { name: "ostia.csv".into(), bytes: table.into() };
    let files = [trunk, table];
    let imported = run(&files, &[("three-oclock", "back-right")]);
    let (ostia, vessels) = parts(&imported.case);
    let read: Vec<_> = ostia.iter().zip(vessels).map(|(o, v)| (v.id.as_str(), o.station_mm, o.clock_deg)).collect();
    // In order along the flow; the other hand's clock is turned once.
    assert_eq!(read, [("IA", 70.0, Some(-15.0)), ("LCCA", 88.0, None), ("LSA", 105.5, Some(-5.0))]);
    assert_eq!(imported.case.clock.three_oclock_is, Some(ThreeOClock::BackRight));
    near("along", ostia[0].along_mm.unwrap(), 12.5 / 75f64.to_radians().sin(), 1e-3);
    assert_eq!(ostia[2].along_mm, Some(9.0));
    // Without a hand the numbers stand as typed and the hand stays unanswered.
    let unanswered = run(&files, &[]);
    assert_eq!(unanswered.case.anatomy.ostia[0].clock_deg, Some(15.0));
    assert_eq!(unanswered.case.clock.three_oclock_is, None);
    assert!(unanswered.assumed.iter().any(|s| s.contains("3:00")));
    // Answered later it is the same case: clocks and leans are turned together.
    assert_eq!(vessels[0].lean_deg, Some(-8.0));
    assert_eq!(unanswered.case.with_hand(ThreeOClock::BackRight).anatomy, imported.case.anatomy);
}

#[test]
fn widths_of_a_sheet_are_kept_as_largest_and_smallest() {
    let trunk = trunk_to(LENGTH);
    let mut text = String::from("x_mm,y_mm,z_mm,largest_mm,smallest_mm\n");
    for (p, r) in trunk.points.iter().zip(&trunk.radii) {
        text += &format!("{},{},{},{},{}\n", p.x, p.y, p.z, 2.0 * r + 1.0, 2.0 * r - 1.0);
    }
    let imported = run(&[NamedBytes { name: "sheet.csv".into(), bytes: text.into() }], &[]);
    let section = &imported.case.anatomy.lumen[10];
    assert_eq!(section.station_mm, 50.0);
    let LumenKind::MaxMin { largest_mm, smallest_mm, largest_clock_deg: None } = section.kind else {
        panic!("{section:?}")
    };
    near("largest", largest_mm, 32.0, 0.01);
    near("smallest", smallest_mm, 30.0, 0.01);
}

#[test]
fn names_may_be_given() {
    let file = [vtk(&plain(), false)];
    let imported = run(&file, &[("names", "a, b,c")]);
    let names: Vec<&str> = imported.case.anatomy.vessels.iter().map(|v| v.id.as_str()).collect();
    assert_eq!(names, ["a", "b", "c"]);
    assert_eq!(refused(&file, &[("names", "a,b")]).code, "names");
    assert_eq!(refused(&file, &[("names", "a,a,b")]).code, "option");
    // Two vessels are named by number, and an ostium never takes a vessel's name.
    let two = [vtk(&plain()[..3], false)];
    let imported = run(&two, &[]);
    let names: Vec<&str> = imported.case.anatomy.vessels.iter().map(|v| v.id.as_str()).collect();
    assert_eq!(names, ["V1", "V2"]);
    let imported = run(&two, &[("names", "o1,x")]);
    assert_eq!(imported.case.anatomy.ostia[0].id, "o2");
}

/// Noise of a third of a millimetre on every point, the same on every run.
#[test]
fn noise_moves_the_answer_little() {
    let mut state = 12345u64;
    let mut noise = || {
        state = state.wrapping_mul(6364136223846793005).wrapping_add(1442695040888963407);
        ((state >> 33) as f64 / (1u64 << 31) as f64 - 0.5) * 1.0
    };
    let lines: Vec<Polyline> = plain()
        .into_iter()
        .map(|mut l| {
            for p in l.points.iter_mut().skip(1) {
                *p += V::new(noise(), noise(), noise());
            }
            l
        })
        .collect();
    let imported = run(&[vtk(&lines, false)], &[]);
    let (ostia, vessels) = parts(&imported.case);
    for ((ostium, vessel), planted) in ostia.iter().zip(vessels).zip(three()) {
        near("station", ostium.station_mm, planted.station, 1.0);
        near("clock", ostium.clock_deg.unwrap(), planted.clock_deg, 4.0);
        near("take-off", vessel.takeoff_deg.unwrap(), planted.takeoff_deg, 8.0);
    }
}

#[test]
fn a_line_of_a_million_points_is_thinned() {
    let mut trunk = Polyline { points: Vec::new(), radii: Vec::new() };
    for k in 0..600_000 {
        let s = LENGTH * f64::from(k) / 599_999.0;
        trunk.points.push(frame(s).0);
        trunk.radii.push(lumen(s));
    }
    let imported = run(&[vtk_binary(&[trunk], false)], &[]);
    let points = imported.case.anatomy.centreline.as_ref().unwrap().points_lps_mm.len();
    assert!((1000..=20_000).contains(&points), "{points}");
    assert!(imported.assumed.iter().any(|s| s.contains("thinned")), "{:?}", imported.assumed);
}

#[test]
fn two_runs_give_the_same_bytes() {
    let file = [vtk(&plain(), false)];
    let (one, two) = (run(&file, &[]), run(&file, &[]));
    assert_same(&one.case, &two.case);
    assert_eq!(one.assumed, two.assumed);
}
