//! Curves in closed form and cases built from an answer, for tests.
#![allow(dead_code)]

use extrados::casefile::case::*;
use extrados::curve::{Centreline, Curve, Jet};
use extrados::units::{ThreeOClock, Vec3};
use serde_json::Value;
use std::sync::Arc;

/// Holds two reports, or parts of them, against each other: equal words, and numbers as near as `within` says.
pub fn alike(place: &str, a: &Value, b: &Value, within: &dyn Fn(f64) -> f64) {
    match (a, b) {
        (Value::Number(x), Value::Number(y)) => {
            let (x, y) = (x.as_f64().unwrap(), y.as_f64().unwrap());
            assert!((x - y).abs() <= within(x), "{place}: {x} and {y}");
        }
        (Value::Array(x), Value::Array(y)) => {
            assert_eq!(x.len(), y.len(), "{place}");
            x.iter().zip(y).enumerate().for_each(|(i, (x, y))| alike(&format!("{place}/{i}"), x, y, within));
        }
        (Value::Object(x), Value::Object(y)) => {
            assert!(y.keys().all(|key| x.contains_key(key)), "{place}");
            x.iter().for_each(|(key, x)| alike(&format!("{place}/{key}"), x, &y[key], within));
        }
        (x, y) => assert_eq!(x, y, "{place}"),
    }
}

/// A flat arch by its arc length: straight to `bend_at`, then radius `radius` through half a turn,
/// then straight. It rises along z, bends towards +y and comes down; the outer curve is up.
#[derive(Debug)]
pub struct FlatArch {
    pub from: f64,
    pub to: f64,
    pub bend_at: f64,
    pub radius: f64,
}

impl FlatArch {
    pub fn bend_end(&self) -> f64 {
        self.bend_at + std::f64::consts::PI * self.radius
    }
}

impl Curve for FlatArch {
    fn domain(&self) -> (f64, f64) {
        (self.from, self.to)
    }
    fn jet(&self, s: f64) -> Jet {
        let zero = Vec3::zeros();
        if s < self.bend_at {
            return Jet { value: Vec3::new(0.0, 0.0, s - self.bend_at), first: Vec3::z(), second: zero, third: zero };
        }
        if s >= self.bend_end() {
            let down = s - self.bend_end();
            return Jet {
                value: Vec3::new(0.0, 2.0 * self.radius, -down),
                first: -Vec3::z(),
                second: zero,
                third: zero,
            };
        }
        let r = self.radius;
        let a = (s - self.bend_at) / r;
        let (sin, cos) = a.sin_cos();
        Jet {
            value: Vec3::new(0.0, r - r * cos, r * sin),
            first: Vec3::new(0.0, sin, cos),
            second: Vec3::new(0.0, cos, -sin) / r,
            third: Vec3::new(0.0, -sin, -cos) / (r * r),
        }
    }
    fn joints(&self) -> Vec<f64> {
        [self.bend_at, self.bend_end()].into_iter().filter(|s| *s > self.from && *s < self.to).collect()
    }
    fn kinks(&self) -> Vec<f64> {
        self.joints()
    }
}

/// The line of a curve whose parameter is arc length with 0 at the origin.
pub fn by_station(curve: impl Curve + 'static) -> Centreline {
    let from = curve.domain().0;
    Centreline::new(Arc::new(curve)).with_origin(-from)
}

pub fn ostium(id: &str, station_mm: f64, clock_deg: f64, size_mm: f64) -> OstiumInput {
    OstiumInput {
        id: id.into(),
        station_mm,
        clock_deg: Some(clock_deg),
        along_mm: Some(size_mm),
        across_mm: Some(size_mm),
    }
}

pub fn vessel(id: &str, from: &str) -> VesselInput {
    serde_json::from_value(serde_json::json!({"id": id, "from": from, "takeoff_deg": 90.0, "lean_deg": 0.0})).unwrap()
}

pub fn tunnel(id: &str, serves: &str, flow: Flow, mouth_u_mm: f64) -> Tunnel {
    Tunnel {
        id: id.into(),
        serves: serves.into(),
        flow,
        mouth_u_mm,
        mouth_clock_deg: 0.0,
        mouth_along_mm: Some(10.0),
        mouth_across_mm: Some(8.0),
        diameter_mm: Some(8.0),
        length_mm: Some(25.0),
        rise_deg: 15.0,
        side_deg: 0.0,
        wired_from: None,
    }
}

/// The worked arch P: flat, radius 40 through 180° from s = 30, lumen 34 throughout; IA at 70 (14 mm),
/// LCCA at 85 (8 mm), LSA at 103 (10 mm), all at 12:00; graft edge at s 8 filling the lumen; mouths at
/// u 42 and 58 antegrade, 117 retrograde. Invented, closed form.
pub fn arch_p(kept: LengthKeptBy) -> Case {
    let round = |station_mm: f64| LumenSection {
        station_mm,
        kind: LumenKind::MaxMin { largest_mm: 34.0, smallest_mm: 34.0, largest_clock_deg: None },
    };
    let anatomy = AnatomyInput {
        lumen: vec![round(-60.0), round(230.0)],
        ostia: vec![ostium("o1", 70.0, 0.0, 14.0), ostium("o2", 85.0, 0.0, 8.0), ostium("o3", 103.0, 0.0, 10.0)],
        vessels: vec![vessel("IA", "o1"), vessel("LCCA", "o2"), vessel("LSA", "o3")],
        keep_clear: vec![KeepClearInput {
            id: "rca".into(),
            kind: "coronary".into(),
            side: Some("right".into()),
            station_mm: -8.0,
            clock_deg: Some(0.0),
            radius_mm: Some(2.0),
        }],
        ..AnatomyInput::default()
    };
    let graft = Graft {
        length_mm: 170.0,
        length_kept_by: kept,
        sections: vec![Section {
            from_u_mm: 0.0,
            to_u_mm: 170.0,
            from_diameter_mm: 38.0,
            to_diameter_mm: 38.0,
            offset_mm: 0.0,
            offset_clock_deg: 0.0,
            covered: true,
            seals: true,
        }],
        tunnels: vec![
            tunnel("t1", "IA", Flow::Antegrade, 42.0),
            tunnel("t2", "LCCA", Flow::Antegrade, 58.0),
            tunnel("t3", "LSA", Flow::Retrograde, 117.0),
        ],
        ..Graft::default()
    };
    Case {
        invented: true,
        clock: Clock { three_oclock_is: Some(ThreeOClock::FrontLeft), twelve_oclock_is: Some(TwelveOClock::ArchPlane) },
        anatomy: Arc::new(anatomy),
        components: vec![Component {
            id: "arch".into(),
            kind: ComponentKind::ArchGraft,
            stage: Some(1),
            graft: Some(Arc::new(graft)),
            placement: Some(Placement { held_u_mm: 0.0, station_mm: 8.0, clock_deg: 0.0 }),
            in_vessel: None,
            at_mm: None,
            diameter_mm: None,
            length_mm: None,
        }],
        ..Case::default()
    }
}

/// The curve of the worked arch P.
pub fn curve_p() -> FlatArch {
    FlatArch { from: -60.0, to: 230.0, bend_at: 30.0, radius: 40.0 }
}
