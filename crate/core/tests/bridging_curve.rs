//! The bridging curve against closed forms, reference values and poses that allow none.
#![allow(clippy::unwrap_used, clippy::panic, clippy::expect_used)]

mod outside;

use extrados::bridging::arcs;
use extrados::bridging::curve::{self, NO_ROOM_MM, NoCurve, STRAIGHT_RADIUS_MM};
use extrados::units::{Point3, Pose, Vec3};
use outside::outside;

fn pose(point: [f64; 3], direction: [f64; 3]) -> Pose {
    Pose { point: Point3::from(point), direction: Vec3::from(direction).normalize() }
}

fn start() -> Pose {
    pose([0.0; 3], [1.0, 0.0, 0.0])
}

/// Two lines that turn by 65°, legs 22 and 25 mm.
fn corner() -> Pose {
    let (sin, cos) = 65f64.to_radians().sin_cos();
    pose([22.0 + 25.0 * cos, 25.0 * sin, 0.0], [cos, sin, 0.0])
}

fn near(name: &str, got: f64, expected: f64, share: f64) {
    assert!((got / expected - 1.0).abs() <= share, "{name}: {got}, expected {expected}");
}

// Reference values: least ∫κ² by a Bézier curve of degree 13 and scipy. Length and ∫κ² within 0.5 %,
// least radius within 1 %, as printed to six and four digits there.
#[test]
fn least_bending_against_reference_values() {
    for (name, to, length, bending, radius) in [
        ("three-dimensional", pose([30.0, 12.0, 8.0], [0.6, 0.0, 0.8]), 35.2452, 0.0763869, 13.10),
        ("S-offset 8 over 30", pose([30.0, 8.0, 0.0], [1.0, 0.0, 0.0]), 31.2611, 0.0260363, 20.18),
        ("lines turning 65°", corner(), 41.9425, 0.0311573, 32.25),
    ] {
        let shape = curve::between(&start(), &to).unwrap().shape();
        let bezier = outside("least ∫κ² by a Bézier curve of degree 13 and scipy", name);
        bezier.near_share("path's length", shape.length_mm, length, 1e-5, "mm");
        bezier.near_share("path's ∫κ²", shape.bending_per_mm, bending, 1e-5, "1/mm");
        bezier.near_share("path's least radius", shape.least_radius_mm, radius, 5e-4, "mm");
    }
}

// Fifty random gentle pairs of poses and 24 wild ones, computed by scipy from an arc-line-arc
// (tests/oracles/test_bridging_paths.py): length and ∫κ² within 0.5 %, least radius within 1 %; where
// descent runs away into a loop, so says the state.
#[test]
fn random_pairs_against_scipy() {
    let rows: Vec<serde_json::Value> =
        serde_json::from_str(include_str!("../../../tests/reference/bridging-paths.json")).unwrap();
    let three = |row: &serde_json::Value, key: &str| -> [f64; 3] { serde_json::from_value(row[key].clone()).unwrap() };
    let (mut gentle, mut wild) = (0, 0);
    for (k, row) in rows.iter().enumerate() {
        let from = pose([0.0; 3], three(row, "direction_at_start"));
        let found = curve::between(&from, &pose(three(row, "to_mm"), three(row, "direction_at_end")));
        let Some(length) = row["length_mm"].as_f64() else {
            let scipy = outside("descent from an arc-line-arc by scipy", format!("random pair {k}"));
            scipy.same("no path", found.err(), Some(NoCurve::WouldLoop));
            wild += 1;
            continue;
        };
        let shape = found.unwrap().shape();
        let scipy = outside("descent from an arc-line-arc by scipy", format!("random pair {k}"));
        let number = |key: &str| row[key].as_f64().unwrap();
        scipy.near_share("path's length", shape.length_mm, length, 0.005, "mm");
        scipy.near_share("path's ∫κ²", shape.bending_per_mm, number("bending_per_mm"), 0.005, "1/mm");
        scipy.near_share("path's least radius", shape.least_radius_mm, number("least_radius_mm"), 0.01, "mm");
        gentle += 1;
    }
    assert_eq!((gentle, wild), (50, 24));
}

// 30° at a diameter of 34 mm are 8.9 mm of wall. Between parallel ends over 10 and 20 mm the two arcs
// have radius (L² + d²) / (4 d), 5.0 and 13.5 mm; the path itself bends to 3.5 and 9.1 mm.
#[test]
fn clearance_and_clock_error_are_one_thing() {
    let d = 17.0 * 30f64.to_radians();
    assert!((d - 8.9).abs() < 0.01);
    for (over, largest, least) in [(10.0, 5.0, 3.5), (20.0, 13.5, 9.1)] {
        let to = pose([over, d, 0.0], [1.0, 0.0, 0.0]);
        let arcs = arcs::widest(&start(), &to).unwrap();
        let by_hand = outside("parallel ends: (L² + d²) / (4 d)", format!("30° at 34 mm over {over} mm"));
        by_hand.near_share("largest possible radius", arcs.radius_mm, (over * over + d * d) / (4.0 * d), 1e-9, "mm");
        by_hand.near("largest possible radius, rounded", arcs.radius_mm, largest, 0.05, "mm");
        let shape = curve::between(&start(), &to).unwrap().shape();
        let scipy = outside("least ∫κ² by a Bézier curve and scipy", format!("30° at 34 mm over {over} mm"));
        scipy.near("path's least radius", shape.least_radius_mm, least, 0.05, "mm");
    }
}

// Largest radius of an arc-line-arc, the straight part gone, and its length: closed form for the
// S-offset, a search over the straight part in three dimensions.
#[test]
fn widest_arcs_against_reference_values() {
    let s = arcs::widest(&start(), &pose([30.0, 8.0, 0.0], [1.0, 0.0, 0.0])).unwrap();
    let closed = outside("two arcs in closed form", "S-offset 8 over 30");
    closed.near_share("largest possible radius", s.radius_mm, 30.125, 1e-9, "mm");
    closed.near_share("length of the two arcs", s.length_mm, 31.4025882056, 1e-9, "mm");
    let space = arcs::widest(&start(), &pose([30.0, 12.0, 8.0], [0.6, 0.0, 0.8])).unwrap();
    let search = outside("search over the straight part of an arc-line-arc", "three-dimensional");
    search.near_share("largest possible radius", space.radius_mm, 19.2707307818, 1e-8, "mm");
}

// Where the lines cross, one arc of 34.533 mm ends 3 mm before the second pose (42.177 mm in all). An
// arc that overshoots a little and comes back uses those 3 mm: with centres c₀ and c₁ the two arcs
// meet where |c₁ − c₀| = 2 ρ, 34.6391 mm.
#[test]
fn crossing_lines_leave_a_little_more_than_one_arc() {
    let arcs = arcs::widest(&start(), &corner()).unwrap();
    let one = 22.0 / 32.5f64.to_radians().tan();
    near("one arc", one, 34.5330826966, 1e-10);
    let (sin, cos) = 65f64.to_radians().sin_cos();
    let end = corner().point;
    let apart = |r: f64| (end.x + r * sin).hypot(end.y - r * cos - r) - 2.0 * r;
    assert!(apart(arcs.radius_mm).abs() < 1e-6, "{}", arcs.radius_mm);
    assert!(arcs.radius_mm > one && arcs.radius_mm < 1.005 * one);
    near("length", arcs.length_mm, one * 65f64.to_radians() + 3.0, 2e-3);
}

#[test]
fn a_circle_s_quarter_is_met_by_its_own_arc() {
    let arcs = arcs::widest(&start(), &pose([20.0, 20.0, 0.0], [0.0, 1.0, 0.0])).unwrap();
    near("radius", arcs.radius_mm, 20.0, 1e-7);
    near("length", arcs.length_mm, 10.0 * std::f64::consts::PI, 1e-7);
}

#[test]
fn a_straight_path_is_straight() {
    let path = curve::between(&start(), &pose([25.0, 0.0, 0.0], [1.0, 0.0, 0.0])).unwrap();
    let shape = path.shape();
    near("length", shape.length_mm, 25.0, 1e-12);
    assert_eq!(shape.least_radius_mm, STRAIGHT_RADIUS_MM);
    assert!(shape.bending_per_mm < 1e-12 && shape.turn.to_deg() < 1e-6);
    let arcs = arcs::widest(&start(), &pose([25.0, 0.0, 0.0], [1.0, 0.0, 0.0])).unwrap();
    assert_eq!(arcs.radius_mm, STRAIGHT_RADIUS_MM);
}

// The points run from pose to pose, along their directions, and are as long as the length says.
#[test]
fn points_run_from_pose_to_pose() {
    let to = pose([30.0, 12.0, 8.0], [0.6, 0.0, 0.8]);
    let curve = curve::between(&start(), &to).unwrap().curve();
    let (first, last) = (curve.points[0], curve.points[curve.points.len() - 1]);
    assert!((first - start().point).norm() < 1e-12 && (last - to.point).norm() < 1e-9);
    let chords: Vec<Vec3> = curve.points.windows(2).map(|w| w[1] - w[0]).collect();
    let length: f64 = chords.iter().map(Vec3::norm).sum();
    near("length of the chords", length, curve.shape.length_mm, 1e-3);
    assert!(chords[0].normalize().dot(&start().direction) > 0.998);
    assert!(chords[chords.len() - 1].normalize().dot(&to.direction) > 0.998);
    let turned: f64 = chords.windows(2).map(|w| w[0].angle(&w[1])).sum();
    assert!((curve.shape.turn.to_deg() - turned.to_degrees()).abs() < 5.0);
}

// A path backwards is the same path.
#[test]
fn backwards_is_the_same() {
    let (from, to) = (start(), pose([24.0, 9.0, -11.0], [0.3, 0.8, 0.2]));
    let back = |p: &Pose| Pose { point: p.point, direction: -p.direction };
    let one = curve::between(&from, &to).unwrap().shape();
    let other = curve::between(&back(&to), &back(&from)).unwrap().shape();
    near("length", one.length_mm, other.length_mm, 1e-5);
    near("bending", one.bending_per_mm, other.bending_per_mm, 1e-5);
    near("radius", one.least_radius_mm, other.least_radius_mm, 1e-4);
}

// Poses without a gentle curve give a named state, never a number and never NaN.
#[test]
fn wild_and_degenerate_poses_are_named() {
    let x = [1.0, 0.0, 0.0];
    for (name, to, expected) in [
        ("mouth on its ostium", pose([0.0; 3], [0.0, 1.0, 0.0]), NoCurve::NoRoom),
        ("nearer than there is room", pose([0.9 * NO_ROOM_MM, 0.0, 0.0], x), NoCurve::NoRoom),
        ("straight behind", pose([-20.0, 0.0, 0.0], x), NoCurve::WouldLoop),
        ("behind and aside", pose([-20.0, 3.0, 1.0], x), NoCurve::WouldLoop),
        ("ahead, but facing back", pose([20.0, 0.0, 0.0], [-1.0, 0.0, 0.0]), NoCurve::WouldLoop),
        ("ahead, facing nearly back", pose([20.0, 0.0, 0.0], [-1.0, 0.02, 0.0]), NoCurve::WouldLoop),
        ("a U with its ends close", pose([-5.0, 8.0, 0.0], [-1.0, 0.0, 0.0]), NoCurve::WouldLoop),
        ("no direction", Pose { point: Point3::new(20.0, 0.0, 0.0), direction: Vec3::zeros() }, NoCurve::NoRoom),
        ("not a number", pose([f64::NAN, 0.0, 0.0], x), NoCurve::NoRoom),
        ("infinitely far", pose([f64::INFINITY, 0.0, 0.0], x), NoCurve::NoRoom),
    ] {
        assert_eq!(curve::between(&start(), &to).err(), Some(expected), "{name}");
        if let Some(arcs) = arcs::widest(&start(), &to) {
            assert!(arcs.radius_mm.is_finite() && arcs.length_mm.is_finite(), "{name}");
        }
    }
}

// Whatever the poses: a state or finite numbers, within the bounds that the states promise.
#[test]
fn every_pose_gives_numbers_or_a_state() {
    let mut seed: u64 = 1;
    let mut next = move || {
        seed = seed.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        (seed >> 11) as f64 / (1u64 << 53) as f64 * 2.0 - 1.0
    };
    let (mut paths, mut none) = (0, 0);
    for _ in 0..4000 {
        let to = pose([40.0 * next(), 40.0 * next(), 40.0 * next()], [next(), next(), next()]);
        match curve::between(&start(), &to) {
            Err(_) => none += 1,
            Ok(solved) => {
                paths += 1;
                let shape = solved.shape();
                let straight = to.point.coords.norm();
                assert!(shape.length_mm >= straight * (1.0 - 1e-9) && shape.length_mm <= 3.0 * straight);
                assert!(shape.turn.to_deg() <= 270.0 && shape.least_radius_mm > 0.0 && shape.bending_per_mm >= 0.0);
                // ∫κ² of a given turn and length is least for a circle.
                let circle = shape.turn.to_rad().powi(2) / shape.length_mm;
                assert!(shape.bending_per_mm >= circle * (1.0 - 1e-3), "{to:?}");
                let near = solved.shape_near(&to);
                assert!((near.length_mm - shape.length_mm).abs() < 1e-8);
            }
        }
    }
    assert!(paths > 800 && none > 800, "{paths} paths, {none} without");
}

// Neighbours to first order: a tenth of a millimetre away the error is far below a hundredth.
#[test]
fn neighbours_follow_to_first_order() {
    let to = pose([30.0, 12.0, 8.0], [0.6, 0.1, 0.8]);
    let solved = curve::between(&start(), &to).unwrap();
    let moved = Pose {
        point: to.point + Vec3::new(0.05, -0.1, 0.07),
        direction: (to.direction + Vec3::new(0.0, 0.004, 0.002)).normalize(),
    };
    let (near, there) = (solved.shape_near(&moved), curve::between(&start(), &moved).unwrap().shape());
    let here = solved.shape();
    for (name, near, there, here) in [
        ("length", near.length_mm, there.length_mm, here.length_mm),
        ("radius", near.least_radius_mm, there.least_radius_mm, here.least_radius_mm),
        ("turn", near.turn.to_deg(), there.turn.to_deg(), here.turn.to_deg()),
    ] {
        assert!((near - there).abs() < 0.03 * (there - here).abs(), "{name}: {here} {near} {there}");
    }
}
