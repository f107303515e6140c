//! Where the ids of a file lead: each names one part, and a reference leads to a part it may lead to.

use super::super::check::quoted;
use super::{items, text};
use crate::fault::{Fault, Faults};
use serde_json::Value;
use std::collections::BTreeMap;

/// What measures are taken of beside the parts of a file.
const OWN_SUBJECTS: [&str; 7] = ["ascending", "aortic_arch", "access", "zone0", "zone1", "zone2", "zone3"];

/// What an id names.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Part {
    Ostium,
    Vessel,
    KeepClear,
    Way,
    Landmark,
    Component,
    Tunnel,
    Fenestration,
    Scallop,
    Rule,
}

impl Part {
    fn words(self) -> &'static str {
        match self {
            Part::Ostium => "ostium",
            Part::Vessel => "vessel",
            Part::KeepClear => "point to keep clear",
            Part::Way => "way into the false lumen",
            Part::Landmark => "landmark",
            Part::Component => "component",
            Part::Tunnel => "tunnel",
            Part::Fenestration => "fenestration",
            Part::Scallop => "scallop",
            Part::Rule => "rule",
        }
    }
}

/// The parts of a graft that close or serve something.
const OPENINGS: [Part; 3] = [Part::Tunnel, Part::Fenestration, Part::Scallop];

/// Every id and reference of a case.
pub fn case(value: &Value, faults: &mut Faults) {
    let mut ids = Ids::new(faults);
    ids.collect(value);
    ids.references(value);
}

/// Every id of a graft file.
pub fn graft(value: &Value, faults: &mut Faults) {
    Ids::new(faults).collect_graft(value, "");
}

/// Every id of a rule file.
pub fn rules(value: &Value, faults: &mut Faults) {
    Ids::new(faults).collect_list(value, &["rules"], "/rules", Part::Rule);
}

/// Ids with what each names and where.
struct Ids<'v, 'f> {
    ids: BTreeMap<&'v str, (Part, String)>,
    faults: &'f mut Faults,
}

impl<'v, 'f> Ids<'v, 'f> {
    fn new(faults: &'f mut Faults) -> Self {
        Ids { ids: BTreeMap::new(), faults }
    }

    fn fault(&mut self, code: &str, place: String, text: impl Into<String>, mend: impl Into<String>) {
        self.faults.add(Fault::new(code, place, text, mend));
    }

    /// Every id of a case, each once.
    fn collect(&mut self, case: &'v Value) {
        for (name, part) in [
            ("ostia", Part::Ostium),
            ("vessels", Part::Vessel),
            ("keep_clear", Part::KeepClear),
            ("ways", Part::Way),
            ("landmarks", Part::Landmark),
        ] {
            self.collect_list(case, &["anatomy", name], &format!("/anatomy/{name}"), part);
        }
        self.collect_list(case, &["components"], "/components", Part::Component);
        for (index, component) in items(case, &["components"]).iter().enumerate() {
            if let Some(graft) = component.get("graft") {
                self.collect_graft(graft, &format!("/components/{index}/graft"));
            }
        }
        self.collect_list(case, &["rules"], "/rules", Part::Rule);
        for (index, set) in items(case, &["rule_sets"]).iter().enumerate() {
            self.collect_list(set, &["rules"], &format!("/rule_sets/{index}/rules"), Part::Rule);
        }
    }

    fn collect_graft(&mut self, graft: &'v Value, place: &str) {
        self.collect_list(graft, &["tunnels"], &format!("{place}/tunnels"), Part::Tunnel);
        self.collect_list(graft, &["fenestrations"], &format!("{place}/fenestrations"), Part::Fenestration);
        self.collect_list(graft, &["scallops"], &format!("{place}/scallops"), Part::Scallop);
    }

    fn collect_list(&mut self, owner: &'v Value, path: &[&str], place: &str, part: Part) {
        for (index, item) in items(owner, path).iter().enumerate() {
            let Some(id) = text(item, "id") else { continue };
            let place = format!("{place}/{index}/id");
            if id == "each" {
                self.fault(
                    "reserved_id",
                    place,
                    "\"each\" cannot be an id: rules use it for all.",
                    "Choose another id.",
                );
            } else if let Some((other, first)) = self.ids.get(id) {
                let text = format!("The id {} already names a {} at {first}.", quoted(id), other.words());
                self.fault("doubled_id", place, text, "Give each part of the file its own id.");
            } else {
                self.ids.insert(id, (part, place));
            }
        }
    }

    /// A reference must lead to one of the parts it may lead to.
    fn refers(&mut self, item: &Value, key: &str, parts: &[Part], place: &str) {
        if let Some(id) = text(item, key) {
            self.refers_to(id, parts, format!("{place}/{key}"));
        }
    }

    fn refers_to(&mut self, id: &str, parts: &[Part], place: String) {
        let wanted = || parts.iter().map(|part| part.words()).collect::<Vec<_>>().join(" or ");
        match self.ids.get(id).map(|(part, _)| *part) {
            Some(part) if parts.contains(&part) => {}
            Some(part) => {
                let text = format!("{} is a {}; this must be the id of a {}.", quoted(id), part.words(), wanted());
                self.fault("wrong_part", place, text, "Give the id of the right part.");
            }
            None => {
                let known: Vec<&str> =
                    self.ids.iter().filter(|(_, (part, _))| parts.contains(part)).map(|(id, _)| *id).take(12).collect();
                let mend = if known.is_empty() {
                    format!("Add the {} first.", wanted())
                } else {
                    format!("Correct the id, or add the part. There are: {}.", known.join(", "))
                };
                let text = format!("No {} is called {}.", wanted(), quoted(id));
                self.fault("no_such_id", place, text, mend);
            }
        }
    }

    fn references(&mut self, case: &'v Value) {
        let vessels = items(case, &["anatomy", "vessels"]);
        for (index, vessel) in vessels.iter().enumerate() {
            self.refers(vessel, "from", &[Part::Ostium, Part::Vessel], &format!("/anatomy/vessels/{index}"));
        }
        self.circles(vessels);
        for (index, way) in items(case, &["anatomy", "ways"]).iter().enumerate() {
            let place = format!("/anatomy/ways/{index}");
            self.refers(way, "in_vessel", &[Part::Vessel], &place);
            for (position, closer) in items(way, &["closed_by"]).iter().enumerate() {
                if let Some(id) = closer.as_str() {
                    let parts = [Part::Component, Part::Tunnel, Part::Fenestration, Part::Scallop];
                    self.refers_to(id, &parts, format!("{place}/closed_by/{position}"));
                }
            }
        }
        for (index, bypass) in items(case, &["anatomy", "bypasses"]).iter().enumerate() {
            let place = format!("/anatomy/bypasses/{index}");
            self.refers(bypass, "from", &[Part::Vessel], &place);
            self.refers(bypass, "to", &[Part::Vessel], &place);
            let same = text(bypass, "from").is_some() && text(bypass, "from") == text(bypass, "to");
            if same && !matches!(text(bypass, "kind"), Some("ligation" | "interposition")) {
                self.fault(
                    "leads_to_itself",
                    format!("{place}/to"),
                    "It leads from a vessel to itself.",
                    "Give the vessel that receives.",
                );
            }
        }
        // A graft from the shelf may be taken before any vessel is measured.
        let serves_something = !vessels.is_empty();
        for (index, component) in items(case, &["components"]).iter().enumerate() {
            let place = format!("/components/{index}");
            self.refers(component, "in", &[Part::Vessel], &place);
            for name in ["tunnels", "fenestrations", "scallops"] {
                for (position, opening) in items(component, &["graft", name]).iter().enumerate() {
                    if serves_something {
                        self.refers(opening, "serves", &[Part::Vessel], &format!("{place}/graft/{name}/{position}"));
                    }
                }
            }
        }
        for (index, step) in items(case, &["procedure", "steps"]).iter().enumerate() {
            let parts = [Part::Component, OPENINGS[0], OPENINGS[1], OPENINGS[2], Part::Vessel, Part::Way];
            self.refers(step, "on", &parts, &format!("/procedure/steps/{index}"));
        }
        for (index, stent) in items(case, &["done", "stents"]).iter().enumerate() {
            self.refers(stent, "serves", &[Part::Vessel], &format!("/done/stents/{index}"));
        }
        for (index, rule) in items(case, &["rules"]).iter().enumerate() {
            // What the aorta has by itself is no part of a file.
            let known = |of: &str| of == "each" || OWN_SUBJECTS.contains(&of) || self.ids.contains_key(of);
            if let Some(of) = text(rule, "of").filter(|of| !known(of)) {
                let text = format!("Nothing in the file is called {}.", quoted(of));
                self.fault(
                    "no_such_id",
                    format!("/rules/{index}/of"),
                    text,
                    "Write \"each\", or the id of a part of the file.",
                );
            }
        }
    }

    /// A vessel must not leave, over others, from itself.
    fn circles(&mut self, vessels: &[Value]) {
        let from: BTreeMap<&str, &str> =
            vessels.iter().filter_map(|vessel| Some((text(vessel, "id")?, text(vessel, "from")?))).collect();
        for (index, vessel) in vessels.iter().enumerate() {
            let Some(id) = text(vessel, "id") else { continue };
            let mut at = id;
            for _ in 0..from.len() {
                let Some(next) = from.get(at) else { break };
                at = next;
                if at == id {
                    let text = format!("The vessel {} leaves from itself, directly or over others.", quoted(id));
                    self.fault(
                        "circle",
                        format!("/anatomy/vessels/{index}/from"),
                        text,
                        "Let the first vessel leave from an ostium.",
                    );
                    break;
                }
            }
        }
    }
}
