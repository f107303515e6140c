//! Twenty random tubes that an independent solver answers too (`tests/oracles/test_rods.py`): what the
//! rod comes to is recorded in `tests/reference/rods.json`. Renew it with `EXTRADOS_RENEW=1`.
#![allow(clippy::unwrap_used, clippy::panic, clippy::expect_used)]

mod common;

use extrados::rod::solver::{Start, solve};
use extrados::rod::{End, Plane, Rod};
use extrados::units::{Point3, Vec3};
use serde_json::{Value, json};
use std::f64::consts::PI;

const RECORD: &str = concat!(env!("CARGO_MANIFEST_DIR"), "/../../tests/reference/rods.json");

/// Numbers between −1 and 1 that look random and are the same on every machine.
struct Dice(u64);

impl Dice {
    fn throw(&mut self) -> f64 {
        self.0 = self.0.wrapping_mul(6364136223846793005).wrapping_add(1442695040888963407);
        (self.0 >> 11) as f64 / (1u64 << 52) as f64 - 1.0
    }
}

/// (−a cos t, b sin 2t + c sin 3t, d sin t + e sin 2t), t from 0 to π; room = r + q cos(2 t + p).
struct Tube([f64; 9]);

impl Tube {
    fn point(&self, t: f64) -> Vec3 {
        let [a, b, c, d, e, ..] = self.0;
        Vec3::new(-a * t.cos(), b * (2.0 * t).sin() + c * (3.0 * t).sin(), d * t.sin() + e * (2.0 * t).sin())
    }

    fn slope(&self, t: f64) -> Vec3 {
        let [a, b, c, d, e, ..] = self.0;
        Vec3::new(
            a * t.sin(),
            2.0 * b * (2.0 * t).cos() + 3.0 * c * (3.0 * t).cos(),
            d * t.cos() + 2.0 * e * (2.0 * t).cos(),
        )
    }

    fn rod(&self, pieces: usize, push_per_mm2: f64) -> Rod {
        let [.., r, q, p, _] = self.0;
        let along = |t: f64| self.slope(t).normalize();
        let plane = |k: usize| {
            let t = PI * k as f64 / pieces as f64;
            let tangent = along(t);
            // Any two directions do: the rod does not know a frame.
            let u = tangent.cross(&Vec3::new(0.3, 1.0, 0.2)).normalize();
            let room_mm = r + q * (2.0 * t + p).cos();
            Plane { centre: Point3::from(self.point(t)), across: [u, tangent.cross(&u)], room_mm }
        };
        let planes = (0..=pieces).map(plane).collect();
        Rod { planes, push_per_mm2, ends: [End::Along(along(0.0)), End::Along(along(PI))] }
    }
}

fn answers() -> Vec<Value> {
    let mut dice = Dice(11);
    (0..20)
        .map(|k| {
            let mut between = |low: f64, high: f64| low + (high - low) * (dice.throw() + 1.0) / 2.0;
            let tube = Tube([
                between(34.0, 46.0),
                between(-8.0, 8.0),
                between(-4.0, 4.0),
                between(36.0, 50.0),
                between(-5.0, 5.0),
                between(2.0, 6.0),
                between(-1.0, 1.0),
                between(0.0, 6.0),
                0.0,
            ]);
            let push = [1e-6, 1e-4, 1e-3][k % 3];
            let mut rod = tube.rod(180, push);
            let rest = solve(&mut rod, &Start::middle(181), &mut |_, _| 0.0).unwrap();
            assert!(rest.settled, "{k}: {} mm", rest.error_mm);
            let joints: Vec<[f64; 3]> = rest.joints.iter().step_by(3).map(|p| [p.x, p.y, p.z]).collect();
            json!({
                "tube": tube.0[..8],
                "push_per_mm2": push,
                "bending_per_mm": rest.energy.bending_per_mm,
                "length_mm": rest.energy.length_mm,
                "joints_mm": joints,
            })
        })
        .collect()
}

#[test]
fn twenty_tubes_stand_as_recorded() {
    let now = json!({ "source": "crate/core/tests/rods.rs; accuracy 1e-6", "tubes": answers() });
    if std::env::var_os("EXTRADOS_RENEW").is_some() {
        std::fs::write(RECORD, serde_json::to_string(&now).unwrap() + "\n").unwrap();
    }
    let recorded: Value = serde_json::from_str(&std::fs::read_to_string(RECORD).unwrap()).unwrap();
    common::alike("", &now, &recorded, &|_| 1e-6);
}
