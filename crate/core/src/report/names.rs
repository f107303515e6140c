//! What things of a case are called, in the trade's words, wherever they are shown.

use crate::casefile::case::{Case, ComponentKind};
use crate::casefile::fields;
use crate::casefile::shape::{Shape, Word};
use crate::plan::Plan;

/// The name of what a verdict is about.
pub fn name_of(plan: &Plan, id: &str) -> String {
    // A rule that found nothing to be about.
    if id == "each" {
        return "none entered".into();
    }
    let case = &plan.case;
    let grafts = case.components.iter().filter_map(|component| component.graft.as_deref());
    if let Some(tunnel) = grafts.flat_map(|graft| &graft.tunnels).find(|tunnel| tunnel.id == id) {
        return tunnel.serves.clone();
    }
    if let Some(point) = case.anatomy.keep_clear.iter().find(|point| point.id == id) {
        let kind = shown("/anatomy/keep_clear/*/kind", &point.kind);
        return match &point.side {
            Some(side) => format!("{side} {kind}"),
            None if kind.is_empty() => id.to_owned(),
            None => kind,
        };
    }
    if let Some(words) = own_subject(id) {
        return words.into();
    }
    if let Ok(anatomy) = &plan.anatomy
        && let Some(ostium) = anatomy.ostia.iter().find(|ostium| ostium.id == id)
        && !ostium.vessels.is_empty()
    {
        return ostium.vessels.join(" + ");
    }
    component(case, id)
}

/// A component by its kind; where there are several of a kind, with its id.
pub fn component(case: &Case, id: &str) -> String {
    let Some(component) = case.components.iter().find(|component| component.id == id) else {
        return id.to_owned();
    };
    let kind = match component.kind {
        ComponentKind::AscendingTube => "ascending tube",
        ComponentKind::ArchGraft => "arch graft",
        ComponentKind::Extension => "extension",
        ComponentKind::Plug => "plug",
    };
    match case.components.iter().filter(|other| other.kind == component.kind).count() {
        1 => kind.to_owned(),
        _ => format!("{kind} {id}"),
    }
}

/// What a measure is taken of that is no part of the case.
fn own_subject(id: &str) -> Option<&'static str> {
    Some(match id {
        "ascending" => "ascending aorta",
        "aortic_arch" => "aortic arch",
        "access" => "access",
        "zone0" => "zone 0",
        "zone1" => "zone 1",
        "zone2" => "zone 2",
        "zone3" => "zone 3",
        _ => return None,
    })
}

/// The words that are shown for a word of the file, by the field table: `right_arm` → `right arm`.
pub fn shown(pointer: &str, word: &str) -> String {
    let known = match fields::lookup(pointer).map(|place| place.shape) {
        Some(Shape::Choice(words) | Shape::Suggested(words)) => words.iter().find(|known: &&Word| known.word == word),
        _ => None,
    };
    known.map_or_else(|| word.replace('_', " "), |known| known.shown.to_owned())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn words_of_the_file_are_shown_by_the_field_table() {
        assert_eq!(shown("/clock/three_oclock_is", "front_left"), "front-left");
        assert_eq!(shown("/no/such/field", "right_arm"), "right arm");
    }
}
