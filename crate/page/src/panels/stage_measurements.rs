//! The stage of the measurements: the anatomy as a sheet has it, in tables that take a keyboard.
//!
//! It is drawn from the state at once; what follows from the plan is left out until the plan is that
//! of this very state.

use super::grid::{self, Open};
use super::{Facts, alternatives, arch, form, steps};
use crate::tree::{Element, Node, el};
use extrados::casefile::{Case, fields};
use extrados::entry::table;
use extrados::entry::tables;
use extrados::report::words;

/// Id of the list of faults, which takes the focus when something that was pasted does not fit.
pub const FAULTS: &str = "entry-faults";

/// The stage. `fresh`: whether the plan is that of this very state.
pub fn stage(facts: &Facts<'_>, fresh: bool) -> Vec<Node> {
    let case = &facts.state.now.case;
    let lists = table::lists(case);
    let edges = |id: &str| {
        let anatomy = facts.plan.anatomy.as_ref().ok().filter(|_| fresh)?;
        anatomy.ostia.iter().find(|ostium| ostium.id == id).map(|ostium| ostium.edges_mm.clone())
    };
    let open = Open { lists: &lists, edges: &edges };
    let grid = |table| Node::from(grid::table(facts, &open, table));
    // What only a dissection has stands last, and open only where there is one.
    let dissected = !case.anatomy.true_lumen.is_empty() || !case.anatomy.ways.is_empty();
    let [ostia, vessels] = [ostium_drawing(), vessel_drawing()];
    let mut said: Vec<Node> = vec![steps::steps(facts, fresh).into()];
    said.extend(faults(facts).map(Node::from));
    said.push(alternatives::side_by_side(facts).into());
    said.push(arch::arch(facts, fresh).into());
    said.push(grid(&tables::LUMEN));
    said.push(grid(&tables::OSTIA));
    said.push(ostia.into());
    said.push(grid(&tables::VESSELS));
    said.push(vessels.into());
    said.push(grid(&tables::HANGING));
    said.push(grid(&tables::KEEP_CLEAR));
    said.push(grid(&tables::WALL));
    said.push(el("div").class("pair").children([grid(&tables::VALVE), grid(&tables::LESION)]).into());
    said.push(el("div").class("pair").children([ct(facts), access(facts)]).into());
    said.push(grid(&tables::BYPASSES));
    said.push(grid(&tables::LANDMARKS));
    said.push(grid(&tables::TUBES));
    said.push(grid(&tables::PLUGS));
    said.push(
        el("details")
            .flag("open", dissected)
            .child(el("summary").child(el("h3").text("In dissection: true lumen, ways into the false lumen")))
            .children([grid(&tables::TRUE_LUMEN), grid(&tables::WAYS)])
            .into(),
    );
    said.push(notes(facts).into());
    said
}

/// Everything that was typed and does not fit, with a way to it.
fn faults(facts: &Facts<'_>) -> Option<Element> {
    let mut all: Vec<(String, String)> =
        grid::listed(facts).into_iter().map(|listed| (listed.id, listed.text)).collect();
    let of_fields = facts.state.refused.iter().filter(|refused| refused.pointer.starts_with('/'));
    all.extend(of_fields.map(|refused| {
        let label = fields::lookup(&refused.pointer).and_then(|place| place.field).map_or("", |field| field.label);
        (form::id(&refused.pointer), format!("{label}: {}", refused.fault))
    }));
    if all.is_empty() {
        return None;
    }
    let title = match all.len() {
        1 => "1 entry is not in the case yet".to_owned(),
        count => format!("{count} entries are not in the case yet"),
    };
    let lines = all.into_iter().map(|(id, text)| {
        let go = el("button").with("type", "button").with("data-do", format!("go:{id}")).text(text);
        el("li").child(go)
    });
    Some(
        el("section")
            .class("entry-faults")
            .with("id", FAULTS)
            .with("tabindex", "-1")
            .with("aria-label", title.clone())
            .child(el("h3").text(title))
            .child(el("ul").children(lines)),
    )
}

fn ct(facts: &Facts<'_>) -> Node {
    let state = facts.state;
    let ct = &state.now.case.ct;
    let planned = state.now.case.procedure.as_ref().and_then(|procedure| procedure.planned_on.as_deref());
    el("section")
        .child(el("h3").text("CT"))
        .child(form::date(state, "/ct/date", ct.date.as_deref()))
        .child(form::date(state, "/procedure/planned_on", planned))
        .child(el("p").class("note").text(age(&state.now.case)))
        .child(form::text(state, "/ct/phase", ct.phase.as_deref().unwrap_or_default()))
        .child(form::number(state, "/ct/slice_mm", ct.slice_mm))
        .child(form::text(state, "/ct/measured_by", &ct.measured_by))
        .child(form::text(state, "/ct/checked_by", &ct.checked_by))
        .into()
}

/// How old the CT is, or what is missing for it.
fn age(case: &Case) -> String {
    let missing = case.ct_age_days().why().map(|why| format!(". {why}"));
    format!("{}{}", words::ct_age(case), missing.unwrap_or_default())
}

fn access(facts: &Facts<'_>) -> Node {
    let state = facts.state;
    let anatomy = &state.now.case.anatomy;
    let least = anatomy.access.as_ref().and_then(|access| access.least_diameter_mm);
    let carrier = state.moved().and_then(|(_, component, _)| component.graft.as_ref()?.carrier_outer_mm);
    let carrier = match carrier {
        Some(outer) => format!("The carrier's outer diameter is {}.", words::mm(outer)),
        None => "The carrier's outer diameter is not known.".to_owned(),
    };
    let cord = anatomy.cord.as_ref();
    el("section")
        .child(el("h3").text("Access, spinal cord"))
        .child(form::number(state, "/anatomy/access/least_diameter_mm", least))
        .child(el("p").class("note").text(carrier))
        .child(form::flag(state, "/anatomy/cord/internal_iliac_open", cord.and_then(|cord| cord.internal_iliac_open)))
        .child(form::flag(
            state,
            "/anatomy/cord/earlier_abdominal_repair",
            cord.and_then(|cord| cord.earlier_abdominal_repair),
        ))
        .into()
}

fn notes(facts: &Facts<'_>) -> Element {
    let text = facts.state.now.case.notes.get(NOTE).and_then(serde_json::Value::as_str).unwrap_or_default();
    el("section").child(el("h3").child(el("label").with("for", "notes").text("Notes"))).child(
        el("textarea")
            .with("id", "notes")
            .with("data-do", "note")
            .with("rows", "4")
            .with("title", "Notes: free words that are kept with the case")
            .with("value", text),
    )
}

/// Under this key the free words of the page stand among a case's notes.
pub const NOTE: &str = "text";

/// An ostium on the wall: edges, centre, sizes.
fn ostium_drawing() -> Element {
    use crate::tree::svg;
    let words = |x: &str, y: &str, words: &str| svg("text").with("x", x).with("y", y).text(words);
    svg("svg")
        .class("drawing wide")
        .with("viewBox", "0 0 520 92")
        .with("aria-hidden", "true")
        .child(
            svg("path")
                .class("thin")
                .with("d", "M8,46h440 M448,46l-8,-4 M448,46l-8,4 M160,20v60 M220,20v60 M190,14v68"),
        )
        .child(svg("ellipse").with("cx", "190").with("cy", "46").with("rx", "30").with("ry", "22"))
        .child(svg("path").class("thin").with("d", "M160,86h60 M160,83v6 M220,83v6 M236,24v44 M233,24h6 M233,68h6"))
        .child(words("72", "30", "upstream edge"))
        .child(words("174", "10", "centre"))
        .child(words("228", "18", "downstream edge"))
        .child(words("224", "90", "along"))
        .child(words("244", "62", "around"))
        .child(words("330", "38", "blood flow, 12:00 line"))
}

/// A vessel at the wall: take-off and where its diameters are measured.
fn vessel_drawing() -> Element {
    use crate::tree::svg;
    let words = |x: &str, y: &str, words: &str| svg("text").with("x", x).with("y", y).text(words);
    svg("svg")
        .class("drawing wide")
        .with("viewBox", "0 0 520 92")
        .with("aria-hidden", "true")
        .child(svg("path").with("d", "M8,80H150 M196,80H448 M150,80L190,6 M196,80L236,6"))
        .child(
            svg("path")
                .class("thin")
                .with("d", "M173,80L213,6 M173,80h70 M203,80a30,30 0 0 0 -15,-26 M165,52l46,0 M181,24l46,0"),
        )
        .child(words("206", "70", "take-off"))
        .child(words("126", "56", "⌀ 10"))
        .child(words("142", "28", "⌀ 40"))
        .child(words("330", "72", "blood flow"))
        .child(words("250", "28", "⌀ at mm from the wall, square to the vessel"))
}
