//! Where a graft lies, as others ask for it: axis, directions, fabric, nearest place. On the worked
//! arch every answer follows from a circle in closed form.
#![allow(clippy::unwrap_used, clippy::panic, clippy::expect_used)]

mod common;

use common::*;
use extrados::casefile::case::*;
use extrados::plan::Plan;
use extrados::units::{Angle, Point3, Vec3};
use std::sync::Arc;

fn plan(case: Case) -> Plan {
    Plan::on_curve(Arc::new(case), by_station(curve_p()))
}

/// The worked arch with a graft of 30 mm that does not fill its lumen of 34.
fn narrow(clock_deg: f64) -> Case {
    let mut case = arch_p(LengthKeptBy::Axis);
    let mut graft = (**case.components[0].graft.as_ref().unwrap()).clone();
    graft.sections[0].from_diameter_mm = 30.0;
    graft.sections[0].to_diameter_mm = 30.0;
    case.components[0].graft = Some(Arc::new(graft));
    case.components[0].placement = Some(Placement { held_u_mm: 0.0, station_mm: 8.0, clock_deg });
    case
}

#[test]
fn on_the_centreline_of_a_circle() {
    let plan = plan(narrow(20.0));
    let anatomy = plan.anatomy.as_deref().unwrap();
    let placed = &plan.grafts[0];
    let lie = &placed.lies[0];
    for u in [30.0, 61.3, 100.77, 140.2] {
        let station = 8.0 + u;
        let a = (station - 30.0) / 40.0;
        let axis = lie.axis(u).unwrap();
        let (outward, along) = (Vec3::new(0.0, -a.cos(), a.sin()), Vec3::new(0.0, a.sin(), a.cos()));
        assert!((axis.point - Point3::new(0.0, 40.0 - 40.0 * a.cos(), 40.0 * a.sin())).norm() < 1e-6);
        assert!((axis.tangent - along).norm() < 1e-6);
        // In a flat arch nothing drifts: the reference line stays 20° from the outer curve.
        let b = along.cross(&outward);
        let at = |deg: f64| outward * Angle::deg(deg).cos() + b * Angle::deg(deg).sin();
        assert!((axis.reference - at(20.0)).norm() < 1e-6, "{u}");
        assert!((axis.towards(Angle::deg(15.0)) - at(35.0)).norm() < 1e-6);
        assert!((axis.around(Angle::deg(15.0)) - at(125.0)).norm() < 1e-6);
        let fabric = lie.fabric(&placed.graft, u, Angle::deg(15.0), anatomy).unwrap();
        assert!((fabric.point - (axis.point + at(35.0) * 15.0)).norm() < 2e-5);
        assert!((fabric.station_mm - station).abs() < 1e-9);
        assert!((fabric.clock.to_deg() - 35.0).abs() < 1e-5);
        // A wall point finds its place again, from any guess.
        let wall = anatomy.wall().unwrap().point(station, Angle::deg(-70.0)).unwrap();
        for guess in [-40.0, station, 200.0] {
            let near = lie.nearest(&wall, guess).unwrap().unwrap();
            assert!((near.axis.u_mm - u).abs() < 1e-5, "{}", near.axis.u_mm);
            assert!((near.on_graft.to_deg() + 90.0).abs() < 1e-4);
            assert!((near.distance_mm - 17.0).abs() < 1e-6);
        }
    }
    assert!(lie.axis(-0.1).is_err() && lie.axis(170.1).is_err());
    let upstream = anatomy.wall().unwrap().point(5.0, Angle::ZERO).unwrap();
    assert!(lie.nearest(&upstream, 5.0).unwrap().is_none());
}

// A graft of 38 mm in a lumen of 34: fabric lies on the wall.
#[test]
fn fabric_never_leaves_the_lumen() {
    let plan = plan(arch_p(LengthKeptBy::Axis));
    let anatomy = plan.anatomy.as_deref().unwrap();
    let placed = &plan.grafts[0];
    let fabric = placed.lies[0].fabric(&placed.graft, 62.0, Angle::deg(40.0), anatomy).unwrap();
    let wall = anatomy.wall().unwrap().point(70.0, Angle::deg(40.0)).unwrap();
    assert!((fabric.point - wall).norm() < 1e-6);
}

// Real files have a section of the lumen and a joint of the centreline less than a ten-millionth of a
// millimetre apart: 20 and 20.00000008.
#[test]
fn a_section_of_the_lumen_may_lie_as_near_to_a_joint_as_it_likes() {
    let whole = plan(arch_p(LengthKeptBy::OuterLine));
    for apart in [2e-9, 8.3e-8, 1.9e-7, 2e-7, 1e-6] {
        let mut case = arch_p(LengthKeptBy::OuterLine);
        let mut anatomy = (*case.anatomy).clone();
        let section = |station_mm| LumenSection { station_mm, kind: LumenKind::Area { diameter_mm: 34.0 } };
        anatomy.lumen = [-60.0, 30.0 + apart, 20.0, 20.0 + apart, 250.0].map(section).to_vec();
        anatomy.lumen.sort_by(|a, b| a.station_mm.total_cmp(&b.station_mm));
        case.anatomy = Arc::new(anatomy);
        let near = plan(case);
        for (own, other) in near.tunnels.iter().zip(&whole.tunnels) {
            let moved = own.mouth.value().unwrap().station_mm - other.mouth.value().unwrap().station_mm;
            assert!(moved.abs() < 1e-4, "{apart}: {moved}");
        }
    }
}
