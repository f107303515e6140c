//! What every panel promises, held against every demo case: markup that the policy allows, fields
//! that the table knows, numbers that the library said, unknowns that look unknown.

use super::*;
use crate::action::Action;
use crate::results::Results;
use crate::snapshot::Source as Opened;
use crate::store::Store;
use crate::tree::{Element, Node, words};
use extrados::casefile::fields;
use extrados::report::build;
use extrados::scene::axes::{Along, Around};
use extrados::sheet::{Source, Wanted};
use serde_json::Value;
use std::collections::BTreeSet;

const SHA256: &str = "0123456789abcdef";

/// Every demo file of the house.
fn demos() -> Demos {
    let folder = concat!(env!("CARGO_MANIFEST_DIR"), "/../../demo-data");
    let mut files: Vec<_> = std::fs::read_dir(folder)
        .expect("the house has demo data")
        .filter_map(|entry| Some(entry.ok()?.path()))
        .filter(|path| path.extension().is_some_and(|ending| ending == "json"))
        .collect();
    files.sort();
    let block: Vec<Value> = files
        .iter()
        .map(|path| {
            let name = path.file_name().map(|name| name.to_string_lossy().into_owned());
            serde_json::json!({ "name": name, "text": std::fs::read_to_string(path).expect("a text file") })
        })
        .collect();
    Demos::read(&Value::from(block).to_string())
}

struct Page {
    store: Store,
    results: Results,
    demos: Demos,
}

impl Page {
    fn all() -> Vec<Page> {
        let demos = demos();
        assert!(demos.broken.is_empty(), "{:?}", demos.broken);
        assert!(demos.cases.len() >= 4 && demos.grafts.len() >= 2, "the demos are there");
        let page = |demo: &crate::demos::Demo<extrados::casefile::Case>| {
            let source = Opened { name: demo.file.clone(), demo: true };
            let store = Store::new(demo.what.clone(), source);
            Page { results: Results::new(store.state()), store, demos: demos.clone() }
        };
        demos.cases.iter().map(page).collect()
    }

    fn act(&mut self, action: Action) {
        self.store.dispatch(action);
        self.results.follow(self.store.state());
    }

    fn facts(&self) -> Facts<'_> {
        Facts::of(&self.store, &self.results, &self.demos, &[])
    }

    fn sheets(&self) -> Vec<extrados::scene::Scene> {
        let source = Source {
            plan: self.results.plan(),
            map: self.results.input(),
            along: Along::Centreline,
            around: Around::Clock,
            sha256: SHA256,
            room: None,
            compared: &[],
        };
        extrados::sheet::pages(&source, Wanted::default())
    }

    fn panels(&self) -> Vec<Node> {
        let facts = self.facts();
        [
            bar::bar(&facts),
            notice::notice(&facts),
            import_form::import_form(&facts),
            entry::entry(&facts),
            head::head(&facts),
            choices::choices(&facts),
            stage_measurements::stage(&facts, true),
            tunnels::tunnels(&facts),
            room::room(&facts),
            ranking::ranking(&facts),
            possibilities::possibilities(&facts),
            verdicts::verdicts(&facts),
            stage_anatomy::stage(&facts),
            stage_extent::stage(&facts),
            cautions::cautions(&facts),
            help::help(),
            stage_sheets::stage(&facts),
            stage_sheets::pages(&self.sheets()),
        ]
        .concat()
    }
}

fn elements(nodes: &[Node]) -> Vec<&Element> {
    let inner = nodes.iter().filter_map(|node| match node {
        Node::Element(element) => Some(element),
        Node::Text(_) => None,
    });
    inner.flat_map(|element| std::iter::once(element).chain(elements(&element.children))).collect()
}

// The page's policy blocks style attributes and handlers in markup; a second id is no id.
#[test]
fn the_policy_allows_all_markup_and_ids_are_given_once() {
    for page in Page::all() {
        let panels = page.panels();
        let mut ids = BTreeSet::new();
        for element in elements(&panels) {
            for (name, value) in &element.attributes {
                assert!(!name.starts_with("on") && *name != "style" && *name != "href", "{name} on {}", element.tag);
                assert!(*name != "id" || ids.insert(value.clone()), "{value} comes twice");
            }
        }
        let labelled =
            |id: &str| elements(&panels).iter().any(|label| label.tag == "label" && label.attribute("for") == Some(id));
        for field in elements(&panels).iter().filter(|element| element.attribute("data-field").is_some()) {
            let id = field.attribute("id").expect("a field has an id");
            assert!(field.attribute("aria-label").is_some() || labelled(id), "{id} has no label");
        }
    }
}

#[test]
fn every_field_is_in_the_field_table() {
    for page in Page::all() {
        let panels = page.panels();
        let fields: Vec<&str> =
            elements(&panels).iter().filter_map(|element| element.attribute("data-field")).collect();
        assert!(fields.len() > 15);
        for pointer in fields {
            assert!(fields::lookup(pointer).is_some_and(|place| place.field.is_some()), "{pointer}");
        }
    }
}

// Filling every field with what it shows changes nothing: what is written can be read.
#[test]
fn every_field_reads_what_it_shows() {
    for mut page in Page::all() {
        let before = page.store.state().now.clone();
        let panels = page.panels();
        for element in elements(&panels) {
            let (Some(pointer), Some(value)) = (element.attribute("data-field"), element.attribute("value")) else {
                continue;
            };
            // Clocks are shown to the minute, half a degree.
            if pointer.ends_with("clock_deg") || pointer.starts_with("/rules/") && value.is_empty() {
                continue;
            }
            let read =
                form::read(&before.case, pointer, value).unwrap_or_else(|refused| panic!("{pointer}: {refused:?}"));
            page.act(Action::Fill { pointer: pointer.into(), value: read, typed: value.into() });
            assert!(page.store.state().refused.is_empty(), "{pointer} = {value:?}");
        }
        let after = &page.store.state().now.case;
        assert_eq!(after.anatomy, before.case.anatomy);
        assert_eq!(after.components, before.case.components);
        assert_eq!(after.rules, before.case.rules);
    }
}

// Rule sets stand side by side with limits to edit; editing one changes the case's own copy, and leaving
// one out leaves the others.
#[test]
fn rule_sets_are_taken_edited_and_left_out() {
    for mut page in Page::all() {
        for set in extrados::rules::sets::all() {
            page.act(Action::TakeSet(set));
        }
        let count = extrados::rules::sets::SHIPPED.len();
        assert_eq!(page.store.state().now.case.rule_sets.len(), count);
        let stage = stage_anatomy::stage(&page.facts());
        let said = words(&stage);
        assert!(said.contains("Branched") && said.contains("Fenestrated") && said.contains("Neither"));
        assert!(said.contains("open, hybrid or no repair are outside this program"));
        let mut ids = BTreeSet::new();
        let mut limits = Vec::new();
        for element in elements(&stage) {
            if let Some(id) = element.attribute("id") {
                assert!(ids.insert(id.to_owned()), "{id} comes twice");
            }
            if let Some(pointer) = element.attribute("data-field").filter(|p| p.contains("/rules/")) {
                assert!(fields::lookup(pointer).is_some_and(|place| place.field.is_some()), "{pointer}");
                limits.push(pointer.to_owned());
            }
        }
        assert!(limits.len() > 60, "{}", limits.len());
        let pointer = "/rule_sets/0/rules/0/at_most";
        page.act(Action::Fill { pointer: pointer.into(), value: Value::from(40.0), typed: "40".into() });
        assert!(page.store.state().refused.is_empty());
        assert_eq!(page.store.state().now.case.rule_sets[0].rules[0].at_most, Some(40.0));
        // Taken again it is as it came, in its own place.
        page.act(Action::TakeSet(extrados::rules::sets::all().remove(0)));
        assert_eq!(page.store.state().now.case.rule_sets.len(), count);
        assert_eq!(page.store.state().now.case.rule_sets[0].rules[0].at_most, Some(38.0));
        page.act(Action::DropSet(0));
        page.act(Action::DropSet(99));
        assert_eq!(page.store.state().now.case.rule_sets.len(), count - 1);
        // A set whose rules bear the ids of others is told and not taken.
        let mut twin = extrados::rules::sets::all().remove(1);
        twin.id = "twin".into();
        page.act(Action::TakeSet(twin));
        assert_eq!(page.store.state().now.case.rule_sets.len(), count - 1);
        let told = page.store.state().notice.as_ref().expect("it is told");
        assert!(told.faults.faults.iter().any(|fault| fault.code == "doubled_id"));
    }
}

// Check P3 of the worked arch: while the hand is not answered no clearance is computed. On the page
// that is a question mark with its reason, never a number and never `met`.
#[test]
fn an_unanswered_hand_shows_no_number_of_a_tunnel() {
    for mut page in Page::all() {
        let mut case = (*page.store.state().now.case).clone();
        case.clock.three_oclock_is = None;
        let source = Opened { name: "open.json".into(), demo: false };
        page.act(Action::Open { case: case.into(), source, notice: None });
        let facts = page.facts();
        let table = tunnels::tunnels(&facts);
        let said = words(&table);
        assert!(said.contains("Say on which side 3:00 lies"), "{said}");
        let chief: Vec<&Element> =
            elements(&table).into_iter().filter(|row| row.attribute("class") == Some("chief")).collect();
        for row in &chief[..2] {
            let cells: Vec<String> =
                row.children.iter().skip(1).map(|cell| words(std::slice::from_ref(cell))).collect();
            assert!(!cells.is_empty() && cells.iter().all(|cell| cell == "?"), "{cells:?}");
        }
        // The question stands first, with nothing chosen.
        let entry = entry::entry(&facts);
        let Some(Node::Element(first)) = entry.first() else { panic!("nothing is entered") };
        assert_eq!(first.attribute("class"), Some("ask"));
        let chosen = elements(&entry)
            .iter()
            .filter(|e| e.attribute("name") == Some("hand") && e.attribute("checked").is_some())
            .count();
        assert_eq!(chosen, 0);
    }
}

// What the report says must be printed is printed, word for word: on the page as live text.
#[test]
fn the_sheets_hold_every_entry_of_the_report() {
    for page in Page::all() {
        let said = words(&stage_sheets::pages(&page.sheets()));
        let said = said.split_whitespace().collect::<Vec<_>>().join(" ");
        let report = build::report(page.results.plan(), SHA256);
        assert!(report.sheet.len() > 3);
        for entry in &report.sheet {
            assert!(said.contains(&entry.text), "{}: {:?} is not in {said}", entry.id, entry.text);
        }
    }
}

#[test]
fn cautions_are_always_in_sight_and_a_demo_says_that_it_is_invented() {
    for page in Page::all() {
        let said = words(&cautions::cautions(&page.facts()));
        for caution in extrados::message::CAUTIONS.iter().chain([&extrados::message::INVENTED]) {
            assert!(said.contains(caution), "{said}");
        }
    }
}

// LOOK: a verdict is never said by colour alone.
#[test]
fn every_verdict_has_its_word_and_its_sign() {
    for page in Page::all() {
        let facts = page.facts();
        let list = verdicts::verdicts(&facts);
        let rows: Vec<&Element> = elements(&list).into_iter().filter(|e| e.tag == "li").collect();
        assert_eq!(rows.len(), facts.plan.verdicts.len());
        for (row, verdict) in rows.iter().zip(&facts.plan.verdicts) {
            let word = verdict.word.as_str();
            assert!(words(&row.children).contains(word));
            assert!(
                elements(&row.children).iter().any(|e| e.attribute("class") == Some(format!("sign {word}").as_str()))
            );
            assert_eq!(row.attribute("data-tie"), Some(verdict.of.as_str()));
        }
    }
}

#[test]
fn what_is_tied_is_tied_in_every_panel() {
    for mut page in Page::all() {
        let Some(tunnel) = page.results.plan().tunnels.first().map(|tunnel| tunnel.id.clone()) else { continue };
        page.act(Action::Tie(Some(tunnel.clone())));
        let facts = page.facts();
        for panel in [tunnels::tunnels(&facts), verdicts::verdicts(&facts)] {
            let tied =
                |e: &&Element| e.attribute("class").is_some_and(|class| class.split(' ').any(|word| word == "tied"));
            let rows: Vec<&Element> = elements(&panel).into_iter().filter(tied).collect();
            assert!(!rows.is_empty());
            assert!(rows.iter().all(|row| row.attribute("data-tie") == Some(&tunnel)));
        }
    }
}

// The one place of colours is the library's; the style sheet repeats them and is held against it.
#[test]
fn the_screen_s_colours_are_those_of_the_drawing() {
    use extrados::scene::style;
    let css = include_str!("../../../../www/screen.css");
    for (name, colour) in [
        ("ink", style::INK),
        ("muted", style::MUTED),
        ("pale", style::PALE),
        ("faint", style::FAINT),
        ("ground", style::GROUND),
        ("graft", style::BLUE),
        ("unmet", style::VERMILION),
        ("met", style::GREEN),
        ("borderline", style::ORANGE),
        ("other", style::PURPLE),
    ] {
        assert!(css.contains(&format!("--{name}: {};", colour.0)), "{name}");
    }
}

/// The dissection with its room and its release worked out, some of it changed before.
fn dissected(change: impl FnOnce(&mut extrados::casefile::Case)) -> Page {
    let mut page = Page::all().into_iter().find(|page| page.store.state().now.source.name == "dissection.json");
    let mut page = page.take().expect("there is a dissection");
    let mut case = (*page.store.state().now.case).clone();
    change(&mut case);
    let source = Opened { name: "dissection.json".into(), demo: false };
    page.act(Action::Open { case: case.into(), source, notice: None });
    page.results.look_for_room_while(false, || true);
    page.results.work_on_release_while(0, || true);
    page
}

fn does(nodes: &[Node], what: &str) -> bool {
    elements(nodes).iter().any(|element| element.attribute("data-do") == Some(what))
}

// All rules may be met and a step leave the heart without blood: the first screen says so.
#[test]
fn the_head_says_what_is_forgiven_and_what_the_release_leaves_unfed() {
    let page = dissected(|_| {});
    let facts = page.facts();
    assert_eq!(facts.plan.verdicts.iter().filter(|own| own.required && own.word == Word::Unmet).count(), 0);
    let head = head::head(&facts);
    let said = words(&head);
    let room = facts.room.expect("it was looked for");
    assert!(said.contains(&extrados::report::room::sentence(room, &facts.plan.case)), "{said}");
    assert!(does(&head, "place:best"));
    let drawn = &facts.release.expect("it was worked out").orders.drawn;
    assert!(!drawn.holds() && drawn.brain_least == 0);
    let until = drawn.fed_from.expect("it ends fed") + 1;
    assert!(said.contains(&format!("LSA is not surely fed until step {until}; brain after step 1: 0 of 4")), "{said}");
}

// Errors that are entered as 0 take nothing away: the best placement is still offered, and none is divided by.
#[test]
fn a_landing_without_any_error_has_a_best_placement_too() {
    let page = dissected(|case| {
        case.errors.axial_sd_mm = 0.0;
        (case.errors.rotation.small_sd_deg, case.errors.rotation.large_sd_deg) = (0.0, 0.0);
    });
    let facts = page.facts();
    let (head, said) = (head::head(&facts), room::room(&facts));
    assert!(does(&head, "place:best") && does(&said, "place:best"), "{}", words(&said));
    for words in [words(&head), words(&said)] {
        assert!(!words.contains("NaN") && !words.contains("inf") && !words.contains("± 0.0 mm"), "{words}");
    }
}
