//! Answering on which side the sheet's clock has 3:00: turns every clock of a case once.
//!
//! While the question is open the file holds the numbers as they were typed. The answer turns them
//! into the stored convention (positive = front-left), and the sheet's hand is kept for display.
//! Correcting an answer keeps what was typed and so moves every clock to the other side. Clocks of
//! a graft are about the graft's own axis and are not touched.

use super::case::{AnatomyInput, Case, LumenKind, Placement};
use super::json;
use crate::units::ThreeOClock;
use serde_json::{Map, Number, Value};
use std::sync::Arc;

impl Case {
    /// The same case with the side of 3:00 answered.
    pub fn with_hand(&self, hand: ThreeOClock) -> Case {
        let before = self.clock.three_oclock_is.map_or(1.0, ThreeOClock::sign);
        let mut case = self.clone();
        case.clock.three_oclock_is = Some(hand);
        // Turned or not, numbers of a patch stand in one form, so that turning twice gives an equal case.
        case.alternatives.iter_mut().for_each(|alternative| json::plain_numbers(&mut alternative.changes));
        if before * hand.sign() > 0.0 {
            return case;
        }
        case.anatomy = Arc::new(mirrored_anatomy(&self.anatomy));
        for component in &mut case.components {
            component.placement = component.placement.map(mirrored_placement);
        }
        if let Some(wire) = &mut case.wire {
            wire.annulus_towards_clock_deg = mirrored(wire.annulus_towards_clock_deg);
        }
        for step in case.procedure.iter_mut().flat_map(|procedure| &mut procedure.steps) {
            step.placement = step.placement.map(mirrored_placement);
        }
        for alternative in &mut case.alternatives {
            if let Some(changes) = alternative.changes.as_object_mut() {
                mirror_patch(changes);
            }
            json::plain_numbers(&mut alternative.changes);
        }
        case
    }
}

/// The same position on a clock of the other hand, in degrees in (−180, 180].
///
/// In degrees throughout, so that turning twice gives the same number to the last digit.
fn mirrored(clock_deg: f64) -> f64 {
    match -clock_deg {
        turned if turned > 180.0 => turned - 360.0,
        turned if turned <= -180.0 => turned + 360.0,
        // Adding zero makes −0 plain 0.
        turned => turned + 0.0,
    }
}

fn mirrored_placement(placement: Placement) -> Placement {
    Placement { clock_deg: mirrored(placement.clock_deg), ..placement }
}

fn mirrored_anatomy(anatomy: &AnatomyInput) -> AnatomyInput {
    let mut anatomy = anatomy.clone();
    let mirror = |clock: &mut Option<f64>| *clock = clock.map(mirrored);
    for section in &mut anatomy.lumen {
        match &mut section.kind {
            LumenKind::MaxMin { largest_clock_deg, .. } => mirror(largest_clock_deg),
            LumenKind::Contour { radii_mm } => mirror_contour(radii_mm),
            LumenKind::Area { .. } | LumenKind::Inscribed { .. } => {}
        }
    }
    for lumen in &mut anatomy.true_lumen {
        mirror(&mut lumen.centre_clock_deg);
        mirror(&mut lumen.flap_clock_deg);
    }
    anatomy.ostia.iter_mut().for_each(|ostium| mirror(&mut ostium.clock_deg));
    anatomy.vessels.iter_mut().for_each(|vessel| mirror(&mut vessel.lean_deg));
    anatomy.keep_clear.iter_mut().for_each(|point| mirror(&mut point.clock_deg));
    anatomy.ways.iter_mut().for_each(|way| mirror(&mut way.clock_deg));
    anatomy
}

/// Radii from 12:00 the other way round.
fn mirror_contour<T>(radii: &mut [T]) {
    if let Some(rest) = radii.get_mut(1..) {
        rest.reverse();
    }
}

/// Clocks inside a merge patch of the case, wherever they stand, except those of grafts.
fn mirror_patch(changes: &mut Map<String, Value>) {
    for (key, value) in changes.iter_mut().filter(|(key, _)| *key != "graft" && *key != "notes") {
        let is_clock = key.ends_with("clock_deg") || key == "lean_deg";
        match value {
            Value::Number(number) if is_clock => {
                let turned = number.as_f64().map(mirrored).and_then(Number::from_f64);
                if let Some(turned) = turned {
                    *number = turned;
                }
            }
            Value::Array(radii) if key == "radii_mm" => mirror_contour(radii),
            Value::Array(items) => items.iter_mut().filter_map(Value::as_object_mut).for_each(mirror_patch),
            Value::Object(inner) => mirror_patch(inner),
            _ => {}
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::casefile::case::{Alternative, Component, ComponentKind, LumenSection, OstiumInput, VesselInput};

    fn typed() -> Case {
        let ostium = |id: &str, clock_deg| OstiumInput {
            id: id.into(),
            station_mm: 70.0,
            clock_deg,
            along_mm: None,
            across_mm: None,
        };
        let vessel: VesselInput =
            serde_json::from_value(serde_json::json!({ "id": "IA", "from": "o1", "lean_deg": 5.0 })).unwrap();
        Case {
            anatomy: Arc::new(AnatomyInput {
                ostia: vec![ostium("o1", Some(15.0)), ostium("o2", None), ostium("o3", Some(180.0))],
                vessels: vec![vessel],
                lumen: vec![LumenSection {
                    station_mm: 0.0,
                    kind: LumenKind::Contour { radii_mm: vec![17.0, 18.0, 19.0, 20.0] },
                }],
                ..AnatomyInput::default()
            }),
            components: vec![Component {
                id: "arch".into(),
                kind: ComponentKind::ArchGraft,
                stage: None,
                graft: None,
                placement: Some(Placement { held_u_mm: 0.0, station_mm: 8.0, clock_deg: 20.0 }),
                in_vessel: None,
                at_mm: None,
                diameter_mm: None,
                length_mm: None,
            }],
            alternatives: vec![Alternative {
                name: "turned".into(),
                changes: serde_json::json!({
                    "components": [{ "placement": { "clock_deg": 30.0 }, "graft": { "markers": [{ "clock_deg": 90.0 }] } }]
                }),
            }],
            ..Case::default()
        }
    }

    // Check P3 of the worked arch: the sheet's 12:30 with 3:00 on the back-right is stored as −15°.
    #[test]
    fn a_mirrored_hand_turns_every_clock_once() {
        let answered = typed().with_hand(ThreeOClock::BackRight);
        let clocks: Vec<_> = answered.anatomy.ostia.iter().map(|ostium| ostium.clock_deg).collect();
        assert_eq!(clocks, [Some(-15.0), None, Some(180.0)]);
        assert_eq!(answered.anatomy.vessels[0].lean_deg, Some(-5.0));
        assert_eq!(answered.anatomy.lumen[0].kind, LumenKind::Contour { radii_mm: vec![17.0, 20.0, 19.0, 18.0] });
        assert_eq!(answered.components[0].placement.unwrap().clock_deg, -20.0);
        let patch = &answered.alternatives[0].changes["components"][0];
        assert_eq!(patch["placement"]["clock_deg"], -30.0);
        assert_eq!(patch["graft"]["markers"][0]["clock_deg"], 90.0, "a graft's own clock has no hand");
    }

    #[test]
    fn the_stored_hand_turns_none() {
        let answered = typed().with_hand(ThreeOClock::FrontLeft);
        assert_eq!(answered.clock.three_oclock_is, Some(ThreeOClock::FrontLeft));
        assert_eq!(answered.anatomy, typed().anatomy);
    }

    #[test]
    fn answering_again_alike_changes_nothing_and_otherwise_turns_back() {
        let once = typed().with_hand(ThreeOClock::BackRight);
        assert_eq!(once.with_hand(ThreeOClock::BackRight), once);
        assert_eq!(once.with_hand(ThreeOClock::FrontLeft), typed().with_hand(ThreeOClock::FrontLeft));
    }
}
