//! The rules a plan starts with. Every limit can be edited.
//!
//! They are pairs: what a plan needs, and what is advised beyond (`required` false). None has a source
//! for the arch beyond common practice; what is known of fenestrations comes from the abdominal aorta.

use crate::casefile::case::{Rule, To, When};
use crate::message::COMMON_PRACTICE;

/// Above 15° of misalignment, target vessels of abdominal fenestrations became unstable (hazard ratio
/// 5.19).
const ABDOMINAL: &str = "abdominal data, none for the arch: Eur J Vasc Endovasc Surg 2023, 10.1016/j.ejvs.2023.10.016";
/// Turns of 10° and more in the body went with loss of organs.
const ABDOMINAL_TURN: &str = "abdominal data, none for the arch: J Vasc Surg 2018, rotation of 10° or more";

/// The default rules.
pub fn rules() -> Vec<Rule> {
    let rule = |id: &str, measure: &str, at_least: Option<f64>, at_most: Option<f64>, unit: &str| Rule {
        id: id.into(),
        at_least,
        at_most,
        unit: unit.into(),
        required: true,
        source: COMMON_PRACTICE.into(),
        ..Rule::on(measure)
    };
    let to_edge = |rule: Rule| Rule { to: Some(To::Edge), ..rule };
    let advised = |rule: Rule| Rule { required: false, ..rule };
    let of_fenestrations = |rule: Rule, source: &str| Rule {
        when: When { kind: Some("fenestration".into()), ..When::default() },
        source: source.into(),
        ..rule
    };
    vec![
        to_edge(rule("edge_clearance", "tunnel.edge_clearance_mm", Some(5.0), Some(50.0), "mm")),
        advised(to_edge(rule("edge_clearance_advised", "tunnel.edge_clearance_mm", Some(10.0), Some(25.0), "mm"))),
        rule("clock_error", "tunnel.clock_error_deg", None, Some(45.0), "deg"),
        advised(rule("clock_error_advised", "tunnel.clock_error_deg", None, Some(30.0), "deg")),
        of_fenestrations(rule("opening_clock_error", "opening.clock_error_deg", None, Some(15.0), "deg"), ABDOMINAL),
        advised(of_fenestrations(
            rule("opening_clock_error_advised", "opening.clock_error_deg", None, Some(10.0), "deg"),
            ABDOMINAL_TURN,
        )),
        advised(rule("space_at_mouth", "tunnel.space_at_mouth_mm", Some(3.0), None, "mm")),
        advised(rule("space_at_ostium", "tunnel.space_at_ostium_mm", Some(3.0), None, "mm")),
        rule("bend", "tunnel.bend_over_limit_mm", Some(0.0), None, "mm"),
        advised(rule("bend_advised", "tunnel.bend_over_limit_mm", Some(2.0), None, "mm")),
        rule("proximal_oversize", "graft.proximal_oversize_percent", Some(10.0), Some(20.0), "%"),
        rule("keep_clear", "keep_clear.distance_mm", Some(0.0), None, "mm"),
        to_edge(rule("proximal_length", "anatomy.origin_to_first_ostium_mm", Some(40.0), None, "mm")),
    ]
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rules::measure;
    use std::collections::BTreeSet;

    #[test]
    fn every_default_names_a_measure_in_its_unit_and_a_source() {
        let rules = rules();
        let ids: BTreeSet<&str> = rules.iter().map(|r| r.id.as_str()).collect();
        assert_eq!(ids.len(), rules.len());
        for rule in &rules {
            let measure = measure::find(&rule.measure).unwrap_or_else(|| panic!("{}", rule.measure));
            assert!(measure::same_unit(&rule.unit, measure.unit), "{}", rule.id);
            assert!(rule.source.contains("no source") || rule.source.contains("abdominal"), "{}", rule.id);
            assert!(rule.at_least.is_some() || rule.at_most.is_some(), "{}", rule.id);
        }
    }

    // What is advised is never looser than what is needed of the same measure.
    #[test]
    fn advice_lies_inside_the_limits() {
        for advised in rules().iter().filter(|r| !r.required) {
            for needed in rules().iter().filter(|r| r.required && r.measure == advised.measure) {
                assert!(advised.at_least >= needed.at_least, "{}", advised.id);
                assert!(advised.at_most.unwrap_or(0.0) <= needed.at_most.unwrap_or(f64::MAX), "{}", advised.id);
            }
        }
    }
}
