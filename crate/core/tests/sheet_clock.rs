//! A sheet whose 12:00 is straight up, or the outermost point of the local bend: its clocks are those of
//! the outer curve once they are turned, by closed form on a flat arch that leans to one side.
#![allow(clippy::unwrap_used, clippy::panic, clippy::expect_used)]

mod common;
mod outside;

use common::*;
use extrados::casefile::case::*;
use extrados::curve::{Curve, Jet};
use extrados::plan::Plan;
use extrados::quantity::Quantity;
use extrados::report::build::report;
use extrados::units::{Angle, Vec3};
use outside::outside;
use std::sync::Arc;

/// The worked arch, leaned about its horizontal axis.
#[derive(Debug)]
struct Leaning {
    flat: FlatArch,
    by: Angle,
}

impl Leaning {
    fn turned(&self, v: Vec3) -> Vec3 {
        let (sin, cos) = (self.by.sin(), self.by.cos());
        Vec3::new(v.x * cos + v.z * sin, v.y, v.z * cos - v.x * sin)
    }
}

impl Curve for Leaning {
    fn domain(&self) -> (f64, f64) {
        self.flat.domain()
    }
    fn jet(&self, s: f64) -> Jet {
        let flat = self.flat.jet(s);
        Jet {
            value: self.turned(flat.value),
            first: self.turned(flat.first),
            second: self.turned(flat.second),
            third: self.turned(flat.third),
        }
    }
    fn joints(&self) -> Vec<f64> {
        self.flat.joints()
    }
    fn kinks(&self) -> Vec<f64> {
        self.flat.kinks()
    }
}

const LEAN_DEG: f64 = 15.0;

fn plan(means: Option<TwelveOClock>) -> Plan {
    let mut case = arch_p(LengthKeptBy::Axis);
    case.clock.twelve_oclock_is = means;
    let anatomy = Arc::make_mut(&mut case.anatomy);
    anatomy.ostia[1].clock_deg = Some(170.0);
    let oval = |station_mm, clock: f64| LumenSection {
        station_mm,
        kind: LumenKind::MaxMin { largest_mm: 36.0, smallest_mm: 30.0, largest_clock_deg: Some(clock) },
    };
    let contour = LumenKind::Contour { radii_mm: vec![17.0, 15.0, 14.0, 15.5, 16.0, 16.5] };
    anatomy.lumen = vec![oval(-60.0, 0.0), oval(85.0, 20.0), LumenSection { station_mm: 110.0, kind: contour }];
    anatomy.true_lumen = vec![TrueLumen {
        station_mm: 103.0,
        diameter_mm: Some(20.0),
        centre_clock_deg: Some(40.0),
        flap_clock_deg: Some(-60.0),
        whole_diameter_mm: Some(45.0),
    }];
    let flat = FlatArch { from: -60.0, to: 230.0, bend_at: 30.0, radius: 40.0 };
    let leaning = Leaning { flat, by: Angle::deg(LEAN_DEG) };
    Plan::on_curve(Arc::new(case), by_station(leaning))
}

/// Clock of straight up by hand: up has the parts −sin lean towards 3:00 and sin a · cos lean outward,
/// a the angle gone round the bend.
fn up_deg(station_mm: f64) -> f64 {
    let (a, lean) = ((station_mm - 30.0) / 40.0, LEAN_DEG.to_radians());
    (-lean.sin()).atan2(a.sin() * lean.cos()).to_degrees()
}

#[test]
fn straight_up_is_turned_to_the_outer_curve() {
    let plan = plan(Some(TwelveOClock::StraightUp));
    let anatomy = plan.anatomy.as_deref().unwrap();
    for (ostium, typed) in anatomy.ostia.iter().zip([0.0, 170.0, 0.0]) {
        let clock = ostium.place.clock.value().unwrap();
        let by_hand = Angle::deg(typed + up_deg(ostium.place.station_mm)).wrapped();
        let hand = outside("worked by hand: up on a leaning arch", ostium.id.clone());
        hand.near("clock of an ostium", clock.to_deg(), by_hand.to_deg(), 1e-4, "°");
        assert!(matches!(ostium.place.clock, Quantity::Known { error, .. } if error == 5.0));
    }
    let lumen = anatomy.lumen().unwrap();
    let largest = lumen.radius(85.0, Angle::deg(20.0 + up_deg(85.0))).mm;
    assert!((largest - 18.0).abs() < 1e-6, "{largest}");
    for (k, radius) in [17.0, 15.0, 14.0, 15.5, 16.0, 16.5].into_iter().enumerate() {
        let at = lumen.radius(110.0, Angle::deg(60.0 * k as f64 + up_deg(110.0))).mm;
        assert!((at - radius).abs() < 1e-4, "{k}: {at}");
    }
    let both = extrados::dissection::lumens::lumens(&plan);
    let centre = both[0].centre.unwrap().to_deg();
    assert!((centre - (40.0 + up_deg(103.0))).abs() < 1e-4, "{centre}");
    // The ascending aorta itself runs up: there nothing lies straight up.
    let coronary = &anatomy.keep_clear[0].place.clock;
    assert!(coronary.value().is_none() && coronary.why().unwrap().contains("runs up"));
}

#[test]
fn the_local_bend_of_a_flat_arch_is_its_outer_curve() {
    let (plane, bend) = (plan(Some(TwelveOClock::ArchPlane)), plan(Some(TwelveOClock::LocalBend)));
    let clocks = |plan: &Plan| -> Vec<f64> {
        let anatomy = plan.anatomy.as_deref().unwrap();
        anatomy.ostia.iter().map(|ostium| ostium.place.clock.value().unwrap().to_deg()).collect()
    };
    for (a, b) in clocks(&plane).into_iter().zip(clocks(&bend)) {
        assert!((a - b).abs() < 1e-4, "{a} {b}");
    }
    let straight = &bend.anatomy.as_deref().unwrap().keep_clear[0].place.clock;
    assert!(straight.why().unwrap().contains("runs straight"));
}

#[test]
fn what_is_assumed_says_what_was_answered() {
    let said = |means| report(&plan(means), "").assumed.join(" ");
    assert!(said(None).contains("Nobody said what 12:00 means"));
    for (means, says) in
        [(TwelveOClock::StraightUp, "is straight up"), (TwelveOClock::LocalBend, "is the outermost point")]
    {
        let assumed = said(Some(means));
        assert!(assumed.contains(says) && !assumed.contains("Nobody said"), "{assumed}");
    }
    assert!(!said(Some(TwelveOClock::ArchPlane)).contains("12:00"));
}
