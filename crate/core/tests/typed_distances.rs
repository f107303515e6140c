//! Distances typed to an edge or a centre, along three lines, on the worked arch: flat, radius 40, lumen
//! 34. Source: closed form, own derivation (invented anatomy).
#![allow(clippy::unwrap_used, clippy::panic, clippy::expect_used)]

mod common;

use common::*;
use extrados::anatomy::edges::Reach;
use extrados::casefile::case::{LengthKeptBy, Line};
use extrados::plan::Plan;
use extrados::units::Angle;
use std::sync::Arc;

fn plan() -> Plan {
    Plan::on_curve(Arc::new(arch_p(LengthKeptBy::Axis)), by_station(curve_p()))
}

// P4: an ostium 14 mm long whose upstream edge lies at 63 has its centre at 67.91 (7 mm of outer wall are
// 7/1.425 mm of centreline). At 3:00 the wall is as long as the centreline; on the inner curve it is
// shorter by 0.575.
#[test]
fn an_edge_gives_the_centre_at_the_ostium_s_clock() {
    let plan = plan();
    let anatomy = plan.anatomy.as_ref().unwrap();
    for (clock, centre) in [(0.0, 63.0 + 7.0 / 1.425), (90.0, 70.0), (180.0, 63.0 + 7.0 / 0.575)] {
        let got = anatomy.centre_of(63.0, Reach::UpstreamEdge, Angle::deg(clock), 14.0).unwrap();
        assert!((got - centre).abs() < 1e-8, "{clock}: {got} {centre}");
        let back = anatomy.point_of(got, Reach::UpstreamEdge, Angle::deg(clock), 14.0).unwrap();
        assert!((back - 63.0).abs() < 1e-8);
        let far = anatomy.point_of(got, Reach::DownstreamEdge, Angle::deg(clock), 14.0).unwrap();
        let again = anatomy.centre_of(far, Reach::DownstreamEdge, Angle::deg(clock), 14.0).unwrap();
        assert!((again - centre).abs() < 1e-8 && (far - (2.0 * centre - 63.0)).abs() < 1e-7);
    }
    assert_eq!(anatomy.centre_of(63.0, Reach::Centre, Angle::ZERO, 14.0).unwrap(), 63.0);
}

// What a case's own ostia report as their edges is what a typed edge leads back from.
#[test]
fn typed_edges_are_the_ostia_s_own() {
    let plan = plan();
    let anatomy = plan.anatomy.as_ref().unwrap();
    for ostium in &anatomy.ostia {
        let (up, down) = *ostium.edges_mm.as_ref().unwrap();
        let (clock, along) = (*ostium.place.clock.value().unwrap(), *ostium.along_mm.value().unwrap());
        for (edge, reach) in [(up, Reach::UpstreamEdge), (down, Reach::DownstreamEdge)] {
            let centre = anatomy.centre_of(edge, reach, clock, along).unwrap();
            assert!((centre - ostium.place.station_mm).abs() < 1e-8);
        }
    }
}

// P4 again: from 0 to 63 the inner curve measures 49.0 (48.975), the outer 77.0 (77.025).
#[test]
fn a_length_on_any_of_three_lines_gives_the_station() {
    let plan = plan();
    let anatomy = plan.anatomy.as_ref().unwrap();
    for (line, length) in [(Line::Inner, 48.975), (Line::Centre, 63.0), (Line::Outer, 77.025)] {
        assert!((anatomy.length_along(line, 0.0, 63.0).unwrap() - length).abs() < 1e-8, "{line:?}");
        assert!((anatomy.station_after(line, 0.0, length).unwrap() - 63.0).abs() < 1e-8, "{line:?}");
    }
    let beyond = anatomy.station_after(Line::Inner, 0.0, 1000.0).unwrap_err();
    assert!(beyond.0.contains("outside the measured aorta"));
}
