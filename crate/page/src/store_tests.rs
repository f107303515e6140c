//! What dispatch promises: one drag is one step, undoing all gives the start, a refused input
//! changes nothing that is open.

use super::*;
use crate::cells::At;
use crate::history::MOST_BYTES;
use crate::view::Show;
use extrados::casefile::case::{
    AnatomyInput, Component, ComponentKind, Fenestration, Graft, OstiumInput, TwelveOClock,
};
use extrados::casefile::{Document, document};
use extrados::scene::axes::Along;
use extrados::units::ThreeOClock;

const DEMOS: [(&str, &str); 4] = [
    ("plain-arch.json", include_str!("../../../demo-data/plain-arch.json")),
    ("common-trunk.json", include_str!("../../../demo-data/common-trunk.json")),
    ("steep-arch.json", include_str!("../../../demo-data/steep-arch.json")),
    ("dissection.json", include_str!("../../../demo-data/dissection.json")),
];
const GRAFTS: [&str; 3] = [
    include_str!("../../../demo-data/graft-two-tunnel.json"),
    include_str!("../../../demo-data/graft-three-tunnel.json"),
    include_str!("../../../demo-data/graft-two-tunnel-narrow.json"),
];

fn start() -> Store {
    let graft = Arc::new(Graft { label: "one".into(), length_mm: 170.0, ..Graft::default() });
    let component = Component {
        graft: Some(graft),
        placement: Some(Placement { held_u_mm: 0.0, station_mm: 8.0, clock_deg: 0.0 }),
        ..Component::new("arch".into(), ComponentKind::ArchGraft)
    };
    let ostium = OstiumInput {
        id: "o1".into(),
        station_mm: 70.0,
        clock_deg: Some(15.0),
        along_mm: Some(14.0),
        across_mm: Some(13.0),
    };
    let case = Case {
        components: vec![component],
        anatomy: Arc::new(AnatomyInput { ostia: vec![ostium], ..AnatomyInput::default() }),
        ..Case::default()
    };
    Store::new(Arc::new(case), Source { name: "plain-arch.json".into(), demo: true })
}

fn at(station_mm: f64, clock_deg: f64) -> Action {
    Action::Place { component: 0, placement: Placement { held_u_mm: 0.0, station_mm, clock_deg } }
}

fn placement(store: &Store) -> Placement {
    store.state().moved().map(|(_, _, placement)| placement).expect("the test case has a placed graft")
}

#[test]
fn one_drag_is_one_step() {
    let mut store = start();
    let revision = store.state().revision;
    store.dispatch(Action::BeginGesture);
    for step in 1..=50 {
        assert!(store.dispatch(at(8.0 + f64::from(step), 0.0)).case);
    }
    store.dispatch(Action::EndGesture);
    assert_eq!(placement(&store).station_mm, 58.0);
    assert_eq!(store.state().revision, revision + 50);
    store.dispatch(Action::Undo);
    assert_eq!(placement(&store).station_mm, 8.0);
    assert_eq!(store.undoes(), None);
    store.dispatch(Action::Redo);
    assert_eq!(placement(&store).station_mm, 58.0);
}

#[test]
fn typed_edits_are_one_step_each() {
    let mut store = start();
    for station in [9.0, 10.0, 11.0] {
        store.dispatch(at(station, 0.0));
    }
    store.dispatch(Action::Undo);
    assert_eq!(placement(&store).station_mm, 10.0);
}

#[test]
fn a_field_is_filled_in_and_what_does_not_fit_stays_typed() {
    let mut store = start();
    let fill = |pointer: &str, value: Value| Action::Fill { pointer: pointer.into(), value, typed: "typed".into() };
    assert!(store.dispatch(fill("/clock/twelve_oclock_is", "straight_up".into())).case);
    assert_eq!(store.state().now.case.clock.twelve_oclock_is, Some(TwelveOClock::StraightUp));
    let before = store.state().now.clone();
    assert!(!store.dispatch(fill("/errors/diameter_sd_mm", Value::from(-3.0))).case);
    let refused = store.state().refused.first().cloned().expect("a negative error does not fit");
    assert_eq!((refused.pointer.as_str(), refused.typed.as_str()), ("/errors/diameter_sd_mm", "typed"));
    assert!(!refused.fault.trim().is_empty());
    assert_eq!(store.state().now, before);
    store.dispatch(fill("/errors/diameter_sd_mm", Value::from(2.0)));
    assert!(store.state().refused.is_empty());
    let errors = &store.state().now.case.errors;
    assert!(errors.entered_by_user && errors.source != "from memory", "a typed error makes them one's own");
}

#[test]
fn a_limit_makes_the_default_rules_the_case_s_own() {
    let mut store = start();
    let fill = Action::Fill { pointer: "/rules/0/at_least".into(), value: Value::from(7.0), typed: "7".into() };
    assert!(store.dispatch(fill).case);
    let rules = &store.state().now.case.rules;
    assert_eq!(rules.len(), defaults::rules().len());
    assert_eq!(rules[0].at_least, Some(7.0));
    store.dispatch(Action::Undo);
    assert!(store.state().now.case.rules.is_empty());
}

#[test]
fn a_drag_given_up_goes_back() {
    let mut store = start();
    store.dispatch(Action::BeginGesture);
    store.dispatch(at(30.0, 12.0));
    store.dispatch(Action::GiveUpGesture);
    assert_eq!(placement(&store).station_mm, 8.0);
    assert_eq!((store.undoes(), store.in_gesture()), (None, false));
}

#[test]
fn a_drag_shares_the_anatomy() {
    let mut store = start();
    let anatomy = store.state().now.case.anatomy.clone();
    store.dispatch(at(30.0, 12.0));
    assert!(Arc::ptr_eq(&anatomy, &store.state().now.case.anatomy));
}

#[test]
fn what_cannot_be_placed_changes_nothing() {
    let mut store = start();
    let before = store.state().now.clone();
    for action in [
        at(f64::NAN, 0.0),
        at(0.0, f64::INFINITY),
        Action::Place { component: 7, placement: Placement { held_u_mm: 0.0, station_mm: 0.0, clock_deg: 0.0 } },
    ] {
        assert!(!store.dispatch(action).case);
    }
    assert_eq!(store.state().now, before);
    assert_eq!(store.undoes(), None);
}

#[test]
fn a_refused_input_leaves_all_else_as_it_is() {
    let mut store = start();
    store.dispatch(at(30.0, 0.0));
    let (before, revision) = (store.state().now.clone(), store.state().revision);
    let faults = Faults::from(Fault::new("x", "line 1", "It is no case.", "Choose a case."));
    let changed = store.dispatch(Action::Tell(Notice::refused("bad.json was not opened.", faults)));
    assert!(changed.shown && !changed.case);
    assert_eq!(store.state().now, before);
    assert_eq!(store.state().revision, revision);
    assert!(store.state().unsaved());
}

#[test]
fn opening_can_be_undone_and_unsaved_follows_the_file() {
    let mut store = start();
    assert!(!store.state().unsaved());
    store.dispatch(at(30.0, 0.0));
    assert!(store.state().unsaved());
    store.dispatch(Action::Saved);
    assert!(!store.state().unsaved());
    let other = Arc::new(Case { label: "other".into(), ..Case::default() });
    let source = Source { name: "other.json".into(), demo: false };
    store.dispatch(Action::Open { case: other, source, notice: None });
    assert_eq!((store.state().now.case.label.as_str(), store.state().unsaved()), ("other", false));
    store.dispatch(Action::Undo);
    assert_eq!(store.state().now.source.name, "plain-arch.json");
    assert_eq!(placement(&store).station_mm, 30.0);
}

#[test]
fn the_answer_to_the_hand_is_one_step_and_turns_what_was_typed_once() {
    let mut store = start();
    let clock = |store: &Store| store.state().now.case.anatomy.ostia[0].clock_deg;
    store.dispatch(Action::AnswerHand(ThreeOClock::BackRight));
    assert_eq!(clock(&store), Some(-15.0));
    assert!(!store.dispatch(Action::AnswerHand(ThreeOClock::BackRight)).case);
    store.dispatch(Action::Undo);
    assert_eq!(clock(&store), Some(15.0));
    assert_eq!(store.state().now.case.clock.three_oclock_is, None);
    assert_eq!(store.undoes(), None);
}

#[test]
fn another_graft_is_taken_where_the_first_lies() {
    let mut store = start();
    let graft = Arc::new(Graft { label: "two".into(), length_mm: 170.0, ..Graft::default() });
    store.dispatch(Action::TakeGraft { component: 0, graft: graft.clone() });
    let taken = store.state().now.case.components[0].graft.clone().expect("it was taken");
    assert_eq!(taken.label, "two");
    assert_eq!(placement(&store).station_mm, 8.0, "the graft changes, its place does not");
    store.dispatch(Action::TakeGraft { component: 1, graft });
    assert_eq!(store.state().now.case.components[1].id, "arch1");
}

#[test]
fn a_graft_that_does_not_fit_what_is_there_is_refused_and_the_case_stays() {
    let mut store = start();
    let before = store.state().now.clone();
    let hole = Fenestration {
        id: "o1".into(),
        serves: "LSA".into(),
        u_mm: 50.0,
        clock_deg: 0.0,
        along_mm: 8.0,
        across_mm: 8.0,
    };
    let graft = Arc::new(Graft { length_mm: 170.0, fenestrations: vec![hole], ..Graft::default() });
    let refused = |store: &Store| store.state().notice.as_ref().is_some_and(|notice| !notice.faults.faults.is_empty());
    assert!(!store.dispatch(Action::TakeGraft { component: 0, graft: graft.clone() }).case);
    assert!(refused(&store) && store.state().now == before);
    store.dispatch(Action::Dismiss);
    let ranked = Arc::new(taking::with_graft(&before.case, 0, graft));
    assert!(!store.dispatch(Action::TakeRanked(ranked)).case);
    assert!(refused(&store) && store.state().now == before);
}

// Whatever graft of the house is taken into whatever demo, the case can be saved and opened again.
#[test]
fn a_case_with_another_graft_is_a_file_that_reads() {
    let (mut taken, mut steps) = (0, 0);
    for (name, text) in DEMOS {
        let case = Document::read(text.as_bytes()).expect("the demo reads").case;
        for text in GRAFTS {
            let graft = Arc::new(document::read_graft(text.as_bytes()).expect("the graft reads"));
            let mut store = Store::new(case.clone(), Source { name: name.into(), demo: true });
            store.dispatch(Action::TakeGraft { component: 0, graft: graft.clone() });
            let now = store.state().now.clone();
            assert_eq!(now.case.components[0].graft, Some(graft), "{name}");
            Document::read(document::write(&now.base).as_bytes()).unwrap_or_else(|faults| panic!("{name}: {faults}"));
            // As a ranking has it: the graft alone is another.
            let mut ranked = (*case).clone();
            ranked.components[0].graft.clone_from(&now.case.components[0].graft);
            let mut store = Store::new(case.clone(), Source { name: name.into(), demo: true });
            store.dispatch(Action::TakeRanked(Arc::new(ranked)));
            assert_eq!(store.state().now.case, now.case, "{name}");
            let count = |case: &Case| case.procedure.as_ref().map_or(0, |procedure| procedure.steps.len());
            steps += count(&case) - count(&now.case);
            taken += 1;
        }
    }
    assert_eq!(taken, DEMOS.len() * GRAFTS.len());
    assert!(steps > 0, "some step went with its tunnel");
}

#[test]
fn a_tie_or_a_choice_of_view_is_no_step() {
    let mut store = start();
    assert!(store.dispatch(Action::Tie(Some("t1".into()))).shown);
    assert!(!store.dispatch(Action::Tie(Some("t1".into()))).shown);
    assert!(store.dispatch(Action::Show(Show::Along(Along::OuterCurve))).shown);
    assert_eq!((store.undoes(), store.state().revision), (None, 0));
}

/// Numbers without order: the upper bits of a linear congruential generator (Knuth, MMIX).
struct Dice(u64);

impl Dice {
    fn roll(&mut self, sides: u64) -> u64 {
        self.0 = self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        (self.0 >> 33) % sides
    }
}

fn random_action(dice: &mut Dice) -> Action {
    match dice.roll(20) {
        0..=3 => at(dice.roll(200) as f64, dice.roll(360) as f64 - 179.0),
        4 => Action::BeginGesture,
        5 => Action::EndGesture,
        6 => Action::GiveUpGesture,
        7 => Action::AnswerHand(if dice.roll(2) == 0 { ThreeOClock::FrontLeft } else { ThreeOClock::BackRight }),
        8 => {
            let label = format!("graft {}", dice.roll(3));
            let graft = Graft { label, length_mm: 170.0, ..Graft::default() };
            Action::TakeGraft { component: dice.roll(3) as usize, graft: Arc::new(graft) }
        }
        9 => {
            let (pointer, value) = match dice.roll(4) {
                0 => ("/label", Value::from(format!("case {}", dice.roll(3)))),
                1 => ("/clock/twelve_oclock_is", Value::from("straight_up")),
                2 => ("/rules/0/at_least", Value::from(dice.roll(9))),
                _ => ("/no/such/field", Value::from(1)),
            };
            Action::Fill { pointer: pointer.into(), value, typed: String::new() }
        }
        10 => Action::Saved,
        11 => Action::Tie(Some(format!("t{}", dice.roll(3)))),
        12 => Action::Undo,
        13 => Action::Redo,
        14 => Action::Paste(cell(dice), "10\t30\n20\twide\n12:30\tIA\n".into()),
        15 => Action::RemoveRow(cell(dice)),
        16 => match dice.roll(4) {
            0 => Action::AddAlternative,
            1 => Action::RemoveAlternative,
            2 => Action::NameAlternative(format!("plan {}", dice.roll(3))),
            _ => Action::ShowAlternative(dice.roll(3).checked_sub(1).map(|index| index as usize)),
        },
        _ => {
            let letters = ["", "IA", "o1", "10", "12:30", "-7,5", "34", "native", "no such thing", "LSA, IA"];
            Action::Cell(cell(dice), letters[dice.roll(letters.len() as u64) as usize].into())
        }
    }
}

/// A cell near the top of one of the tables.
fn cell(dice: &mut Dice) -> At {
    let tables = extrados::entry::tables::TABLES;
    let table = tables[dice.roll(tables.len() as u64) as usize];
    At { table, row: dice.roll(4) as usize, column: dice.roll(table.columns.len() as u64) as usize }
}

// Ten thousand random sequences of edits, undo and redo: whatever was done, undoing all gives the start
// and redoing all gives the end; the revision never goes back; what is saved and opened equals itself.
#[test]
fn undoing_all_gives_the_start_and_redoing_all_the_end() {
    let mut dice = Dice(20_260_801);
    for sequence in 0..10_000 {
        let mut store = start();
        let first = store.state().now.clone();
        let mut revision = 0;
        for _ in 0..dice.roll(30) {
            let before = store.state().now.clone();
            let changed = store.dispatch(random_action(&mut dice));
            let state = store.state();
            assert!(state.revision >= revision);
            assert_eq!(changed.case, state.revision > revision, "sequence {sequence}");
            assert!(changed.case || state.now == before, "sequence {sequence}: a change is said");
            revision = state.revision;
        }
        store.dispatch(Action::EndGesture);
        let last = store.state().now.clone();
        let written = document::write(&last.base);
        let read =
            Document::read(written.as_bytes()).unwrap_or_else(|faults| panic!("{sequence}: {faults}\n{written}"));
        assert!(*read.case == *last.base, "sequence {sequence}\n{written}");
        let mut steps = 0;
        while store.undoes().is_some() {
            store.dispatch(Action::Undo);
            steps += 1;
            assert!(steps <= 30, "sequence {sequence}: undo comes to an end");
        }
        assert!(store.state().now == first, "sequence {sequence}");
        for _ in 0..steps {
            store.dispatch(Action::Redo);
        }
        // Steps that lay ahead when the sequence ended are still ahead.
        assert!(store.state().now == last, "sequence {sequence}");
    }
}

// Ten thousand edits of the largest demo, each of another kind of thing, fit into 64 MB and can all
// be taken back.
#[test]
fn ten_thousand_edits_fit_into_64_mb() {
    let file = concat!(env!("CARGO_MANIFEST_DIR"), "/../../demo-data/dissection.json");
    let case = Document::read(&std::fs::read(file).expect("a demo")).expect("a case").case;
    let mut store = Store::new(case, Source { name: "dissection.json".into(), demo: true });
    let first = store.state().now.clone();
    let mut steps = 0;
    while steps < 10_000 {
        let number = f64::from(steps % 97) / 10.0;
        let cell = |address: &str, letters: String| Action::Cell(At::read(address).expect("a cell"), letters);
        let action = match steps % 6 {
            0 => cell("ostia:0:station_mm", format!("{}", 60.0 + number)),
            1 => cell("lumen:1:area_mm", format!("{}", 30.0 + number)),
            2 => cell("ostia:1:clock_deg", format!("{}°", number * 3.0)),
            3 => cell("landmarks:7:station_mm", format!("{}", 200.0 + number)),
            4 => Action::Fill {
                pointer: "/ct/measured_by".into(),
                value: format!("reader {steps}").into(),
                typed: String::new(),
            },
            _ => at(number, number),
        };
        assert!(store.dispatch(action).shown);
        steps += 1;
    }
    assert!(store.undo_bytes() < MOST_BYTES, "{} bytes", store.undo_bytes());
    println!("{steps} edits take {} bytes", store.undo_bytes());
    while store.undoes().is_some() {
        store.dispatch(Action::Undo);
    }
    assert!(store.state().now == first);
}

#[test]
fn an_alternative_is_edited_beside_the_case() {
    let mut store = start();
    store.dispatch(Action::AddAlternative);
    store.dispatch(Action::NameAlternative("further down".into()));
    store.dispatch(at(20.0, 30.0));
    let state = store.state();
    assert_eq!(
        (placement(&store).station_mm, state.now.base.components[0].placement.map(|p| p.station_mm)),
        (20.0, Some(8.0))
    );
    assert_eq!(state.now.base.alternatives[0].name, "further down");
    store.dispatch(Action::ShowAlternative(None));
    assert_eq!(placement(&store).station_mm, 8.0);
    store.dispatch(Action::AnswerHand(ThreeOClock::BackRight));
    store.dispatch(Action::ShowAlternative(Some(0)));
    assert_eq!(placement(&store).clock_deg, -30.0, "the hand turns the clocks of every alternative");
    assert!(!store.dispatch(Action::ShowAlternative(Some(9))).case || store.state().now.alternative.is_none());
    for _ in 0..20 {
        store.dispatch(Action::Undo);
    }
    assert!(!store.state().unsaved());
}

#[test]
fn begun_rows_are_steps_of_their_own_and_not_saved() {
    let mut store = start();
    let cell = |address: &str, letters: &str| Action::Cell(At::read(address).expect("a cell"), letters.into());
    store.dispatch(cell("lumen:0:station_mm", "40"));
    assert!(store.state().unsaved() && !store.state().now.drafts.is_empty());
    store.dispatch(cell("lumen:0:area_mm", "34"));
    assert_eq!((store.landed(), store.state().now.drafts.len()), (Some(0), 0));
    store.dispatch(Action::Undo);
    assert_eq!(store.state().now.drafts["lumen"][0].cells[0], "40");
    store.dispatch(Action::Undo);
    assert!(!store.state().unsaved());
}

#[test]
fn letters_that_do_not_fit_stay_in_every_field_until_they_are_mended_or_given_up() {
    let mut store = start();
    let fill = |pointer: &str, value: Value| Action::Fill { pointer: pointer.into(), value, typed: "typed".into() };
    store.dispatch(fill("/errors/diameter_sd_mm", Value::from(-3.0)));
    store.dispatch(Action::Cell(At::read("ostia:0:clock_deg").expect("a cell"), "noon".into()));
    store.dispatch(fill("/errors/station_sd_mm", Value::from(3.0)));
    assert_eq!(store.state().refused.len(), 2, "another edit leaves them");
    store.dispatch(Action::Forget("ostia:0:clock_deg".into()));
    store.dispatch(fill("/errors/diameter_sd_mm", Value::from(2.0)));
    assert!(store.state().refused.is_empty());
}
