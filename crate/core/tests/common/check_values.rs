//! Values of closed-form curves as the library computes them, by the keys of
//! `tests/reference/check_values.json`. The native tests and the tests in a browser share this file.

use extrados::anatomy::Anatomy;
use extrados::anatomy::wall::Wall;
use extrados::casefile::case::{AnatomyInput, Case, LumenKind, LumenSection};
use extrados::curve::{Centreline, Curve, Jet};
use extrados::frame::{Carried, carry};
use extrados::numeric::quadrature::panel;
use extrados::numeric::smoothing::SpaceSpline;
use extrados::units::{Angle, Point3, Vec3};
use std::f64::consts::{PI, TAU};
use std::sync::Arc;

/// One computed value.
pub struct Computed {
    /// Its key in the reference file.
    pub key: String,
    /// What the library gives.
    pub value: f64,
    /// Whether it came about without sine or cosine, and is therefore equal on every machine.
    pub sine_free: bool,
}

/// A curve by a function of its parameter, with derivatives.
struct Formula {
    domain: (f64, f64),
    jet: fn(f64) -> Jet,
}

impl std::fmt::Debug for Formula {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "formula over {:?}", self.domain)
    }
}

impl Curve for Formula {
    fn domain(&self) -> (f64, f64) {
        self.domain
    }
    fn jet(&self, t: f64) -> Jet {
        (self.jet)(t)
    }
}

/// Σ a cos(n t) or a sin(n t): value and three derivatives.
fn wave(a: f64, n: f64, t: f64, sine: bool) -> [f64; 4] {
    let (s, c) = (n * t).sin_cos();
    let (v, d) = if sine { (s, c) } else { (c, -s) };
    [a * v, a * n * d, -a * n * n * v, -a * n * n * n * d]
}

fn sum(parts: &[[f64; 4]]) -> [f64; 4] {
    parts.iter().fold([0.0; 4], |mut all, part| {
        for k in 0..4 {
            all[k] += part[k];
        }
        all
    })
}

fn jet(x: [f64; 4], y: [f64; 4], z: [f64; 4]) -> Jet {
    let at = |k: usize| Vec3::new(x[k], y[k], z[k]);
    Jet { value: at(0), first: at(1), second: at(2), third: at(3) }
}

fn helix(t: f64) -> Jet {
    jet(wave(20.0, 1.0, t, false), wave(20.0, 1.0, t, true), [5.0 * t, 5.0, 0.0, 0.0])
}

// (40 + 15 cos 3t) cos 2t = 40 cos 2t + 7.5 (cos 5t + cos t), and so for the sine.
fn trefoil(t: f64) -> Jet {
    jet(
        sum(&[wave(40.0, 2.0, t, false), wave(7.5, 5.0, t, false), wave(7.5, 1.0, t, false)]),
        sum(&[wave(40.0, 2.0, t, true), wave(7.5, 5.0, t, true), wave(-7.5, 1.0, t, true)]),
        wave(15.0, 3.0, t, true),
    )
}

fn ring(t: f64) -> Jet {
    jet(wave(40.0, 1.0, t, false), wave(40.0, 1.0, t, true), sum(&[wave(12.0, 2.0, t, true), wave(8.0, 3.0, t, false)]))
}

fn saddle(t: f64) -> Jet {
    jet(wave(40.0, 1.0, t, false), wave(40.0, 1.0, t, true), wave(12.0, 2.0, t, false))
}

fn arch(t: f64) -> Jet {
    jet(
        wave(-40.0, 1.0, t, false),
        sum(&[wave(8.0, 2.0, t, true), wave(5.0, 3.0, t, false)]),
        sum(&[wave(42.0, 1.0, t, true), wave(4.0, 2.0, t, true)]),
    )
}

/// Half a turn of radius 40 in a plane.
fn half_turn(t: f64) -> Jet {
    jet([0.0; 4], wave(-40.0, 1.0, t, false), wave(40.0, 1.0, t, true))
}

/// The same in the plane of z and (1/2, √3/2, 0).
fn turned_half_turn(t: f64) -> Jet {
    let across = wave(-40.0, 1.0, t, false);
    let scaled = |f: f64| across.map(|v| v * f);
    jet(scaled(0.5), scaled(3f64.sqrt() / 2.0), wave(40.0, 1.0, t, true))
}

fn line(domain: (f64, f64), jet: fn(f64) -> Jet) -> Centreline {
    Centreline::new(Arc::new(Formula { domain, jet }))
}

/// ∫ f over a line's stations, by panels of its table.
fn along(line: &Centreline, f: impl Fn(f64) -> f64) -> f64 {
    let stations: Vec<f64> = line.stations_mm().collect();
    stations.windows(2).map(|w| panel(w[0], w[1], &f)).sum()
}

fn total_curvature(line: &Centreline) -> f64 {
    along(line, |s| line.at(s).curvature.norm())
}

fn total_torsion(line: &Centreline) -> f64 {
    along(line, |s| line.torsion_per_mm(s).unwrap_or(0.0))
}

/// A direction carried in even steps of the parameter by double reflection.
fn carried(domain: (f64, f64), jet: fn(f64) -> Jet, steps: usize, start: Vec3) -> Vec3 {
    let at = |k: usize| {
        let j = jet(domain.0 + (domain.1 - domain.0) * k as f64 / steps as f64);
        (Point3::from(j.value), j.first.normalize())
    };
    let mut direction = start;
    for k in 0..steps {
        let ((p0, t0), (p1, t1)) = (at(k), at(k + 1));
        direction = carry((&p0, &t0), (&p1, &t1), &direction);
    }
    direction
}

fn principal_normal(j: &Jet) -> Vec3 {
    let t = j.first.normalize();
    (j.second - t * t.dot(&j.second)).normalize()
}

/// Angle from `from` to `to` about a unit axis.
fn angle_about(axis: &Vec3, from: &Vec3, to: &Vec3) -> f64 {
    to.dot(&axis.cross(from)).atan2(to.dot(from))
}

/// Angle of the carried principal normal from the principal normal at the end.
fn carried_angle(domain: (f64, f64), jet: fn(f64) -> Jet, steps: usize) -> f64 {
    let direction = carried(domain, jet, steps, principal_normal(&jet(domain.0)));
    let end = jet(domain.1);
    angle_about(&end.first.normalize(), &principal_normal(&end), &direction)
}

/// The wall of a tube about a line, with the arch plane taken from all of it.
fn tube(line: Centreline, radii: &[(f64, f64)]) -> Wall {
    let lumen = radii
        .iter()
        .map(|(station_mm, r)| LumenSection { station_mm: *station_mm, kind: LumenKind::Area { diameter_mm: 2.0 * r } })
        .collect();
    let anatomy = AnatomyInput { lumen, ..AnatomyInput::default() };
    let case = Arc::new(Case { anatomy: Arc::new(anatomy), ..Case::default() });
    match Anatomy::on_curve(line, &case).map(|a| a.wall) {
        Ok(Ok(wall)) => wall,
        other => panic!("no wall: {other:?}"),
    }
}

/// Every value that the library computes of those in the reference file.
pub fn all() -> Vec<Computed> {
    let mut values = Vec::new();
    let mut add = |key: &str, value: f64, sine_free: bool| {
        values.push(Computed { key: key.into(), value, sine_free });
    };

    let turns = (0.0, 1.25 * TAU);
    let h = line(turns, helix);
    add("helix.curvature", h.at(80.0).curvature.norm(), false);
    add("helix.torsion", h.torsion_per_mm(80.0).unwrap_or(f64::NAN), false);
    add("helix.length_1_25_turns", h.length_mm(), false);
    let exact = carried_angle(turns, helix, 2560);
    add("helix.carried_normal_1_25_turns_rad", exact, false);
    for steps in [20, 40, 80, 160, 320] {
        let error = (carried_angle(turns, helix, steps) - exact).abs();
        add(&format!("helix.double_reflection_error_{steps}_steps_rad"), error, false);
    }

    let half = 40.0 * PI;
    let round = tube(line((0.0, PI), half_turn), &[(0.0, 15.0)]);
    for degrees in [0, 30, 60, 90, 120, 150, 180] {
        let wall_line = round.line(Angle::deg(f64::from(degrees)));
        let length = round.between(&wall_line, 0.0, half).unwrap_or(f64::NAN);
        add(&format!("arc.wall_length_{degrees}_deg"), length, false);
    }
    let tapered = tube(line((0.0, PI), half_turn), &[(0.0, 16.0), (half, 12.0)]);
    for (key, clock) in [("arc.taper_outer", Angle::ZERO), ("arc.taper_inner", Angle::HALF_TURN)] {
        add(key, tapered.between(&tapered.line(clock), 0.0, half).unwrap_or(f64::NAN), false);
    }

    for (name, formula) in [("trefoil", trefoil as fn(f64) -> Jet), ("ring", ring), ("saddle", saddle)] {
        let turn = (0.0, TAU);
        let closed = line(turn, formula);
        add(&format!("{name}.length"), closed.length_mm(), false);
        add(&format!("{name}.total_curvature_rad"), total_curvature(&closed), false);
        add(&format!("{name}.total_torsion_rad"), total_torsion(&closed), false);
        add(&format!("{name}.holonomy_rad"), carried_angle(turn, formula, 6400), false);
    }
    for steps in [100, 200, 400] {
        let error = (carried_angle((0.0, TAU), trefoil, steps) - carried_angle((0.0, TAU), trefoil, 6400)).abs();
        add(&format!("trefoil.double_reflection_error_{steps}_steps_rad"), error, false);
    }

    let open = (0.0, PI);
    let a = line(open, arch);
    add("arch.length", a.length_mm(), false);
    for (degrees, t) in [("0", 0.0), ("45", PI / 4.0), ("90", PI / 2.0)] {
        let station = a.length_at(t);
        add(&format!("arch.curvature_{degrees}_deg"), a.at(station).curvature.norm(), false);
        add(&format!("arch.torsion_{degrees}_deg"), a.torsion_per_mm(station).unwrap_or(f64::NAN), false);
    }
    add("arch.total_curvature_rad", total_curvature(&a), false);
    add("arch.total_torsion_rad", total_torsion(&a), false);
    add("arch.carried_end_angle_rad", carried_angle(open, arch, 6400), false);
    let end = carried(open, arch, 6400, principal_normal(&arch(0.0)));
    add("arch.carried_end_x", end.x, false);
    add("arch.carried_end_y", end.y, false);
    add("arch.carried_end_z", end.z, false);

    let turned = tube(line((0.0, PI), turned_half_turn), &[(0.0, 15.0)]);
    let ostium = Point3::new(9.13975487798, 5.56991551761, 53.2735587965);
    let nearest = turned.course().line().nearest(&ostium);
    if let Ok(frame) = turned.course().frame(nearest.station_mm) {
        let clock = frame.clock_of(&(ostium - frame.centre.point));
        add("clock.side_x", frame.side.x, false);
        add("clock.side_y", frame.side.y, false);
        add("clock.side_z", frame.side.z, false);
        add("clock.station", nearest.station_mm, false);
        add("clock.angle_deg", clock.to_deg(), false);
        add("clock.hours", 12.0 + clock.to_deg() / 30.0, false);
    }

    let x = [0.0, 1.0, 2.5, 3.0, 4.0, 5.5, 6.0, 7.0, 8.5, 9.0, 10.0, 12.0];
    let y = [0.1, 0.9, 2.2, 2.1, 3.4, 3.9, 4.4, 4.0, 3.1, 3.3, 2.0, 0.4];
    let points: Vec<Vec3> = y.iter().map(|v| Vec3::new(*v, 0.0, 0.0)).collect();
    let spline = SpaceSpline::fit(&x, &points, &[1.0; 12], 2.0);
    for (key, at) in [("f_0", 0.0), ("f_4", 4.0), ("f_5", 5.0), ("f_8_5", 8.5), ("f_12", 12.0)] {
        add(&format!("spline.{key}"), spline.jet(at).value.x, true);
    }
    add("spline.df_5", spline.jet(5.0).first.x, true);
    add("spline.ddf_4", spline.jet(4.0).second.x, true);
    add("spline.ddf_8_5", spline.jet(8.5).second.x, true);
    values
}

/// How far the frame that the library itself carries, about 1 mm a step, ends from the exact one on
/// the open arch, radians.
pub fn error_of_the_library_s_own_steps() -> f64 {
    let open = line((0.0, PI), arch);
    let carried_there = Carried::along(&open);
    let (start, end) = (open.at(0.0), open.at(open.length_mm()));
    let first = carried_there.at(0.0, &start.point, &start.tangent);
    let last = carried_there.at(open.length_mm(), &end.point, &end.tangent);
    let from_normal = |point: &extrados::curve::CentrePoint, direction: &Vec3| {
        angle_about(&point.tangent, &point.curvature.normalize(), direction)
    };
    (from_normal(&end, &last) - from_normal(&start, &first) + 1.37032041464).rem_euclid(TAU)
}
