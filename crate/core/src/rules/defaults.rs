//! The rules a plan starts with. Every limit can be edited; none has a source beyond common practice.

use crate::casefile::case::{Rule, To, When};

/// What every default limit is marked with.
pub const SOURCE: &str = "common practice, no source";

/// The default rules.
pub fn rules() -> Vec<Rule> {
    let rule = |id: &str, measure: &str, at_least: Option<f64>, at_most: Option<f64>, unit: &str| Rule {
        id: id.into(),
        measure: measure.into(),
        of: "each".into(),
        when: When::default(),
        line: None,
        to: None,
        at_least,
        at_most,
        unit: unit.into(),
        required: true,
        source: SOURCE.into(),
    };
    vec![
        Rule { to: Some(To::Edge), ..rule("edge_clearance", "tunnel.edge_clearance_mm", Some(5.0), Some(50.0), "mm") },
        rule("clock_error", "tunnel.clock_error_deg", None, Some(45.0), "deg"),
        rule("bend", "tunnel.bend_over_limit_mm", Some(0.0), None, "mm"),
        Rule { required: false, ..rule("bend_advised", "tunnel.bend_over_limit_mm", Some(2.0), None, "mm") },
        rule("proximal_oversize", "graft.proximal_oversize_percent", Some(10.0), Some(20.0), "%"),
        rule("keep_clear", "keep_clear.distance_mm", Some(0.0), None, "mm"),
        Rule {
            to: Some(To::Edge),
            ..rule("proximal_length", "anatomy.origin_to_first_ostium_mm", Some(40.0), None, "mm")
        },
    ]
}
