//! The running page: one state, one scheduled draw.
//!
//! Events (in [`crate::events`]) become actions; actions change the state; whatever changed is drawn
//! once, in the next frame: results first, then panels and map from the same results, so numbers,
//! verdicts and drawing always belong together.

mod moved;
mod showing;
mod working;

use crate::action::Action;
use crate::canvas::Canvas;
use crate::cells::At;
use crate::compare::Comparison;
use crate::demos::Demos;
use crate::moving::Moving;
use crate::panels::{self, Facts};
use crate::patch::Mount;
use crate::pointer::Follower;
use crate::results::Results;
use crate::snapshot::Source;
use crate::store::Store;
use crate::view::Stage;
use crate::{files, host};
use extrados::casefile::case::Placement;
use extrados::casefile::{Case, document};
use extrados::ranking::design::Designing;
use extrados::scene::wall_map::WallMap;
use std::cell::RefCell;
use std::sync::Arc;
use wasm_bindgen::JsValue;
use web_sys::Element;

/// Longest a frame computes before the page is let live again, ms.
const MOST_MS: f64 = 100.0;

/// Places of the document that follow panels.
struct Mounts {
    bar: Mount,
    told: Mount,
    entry: Mount,
    head: Mount,
    stages: Mount,
    choices: Mount,
    stage: Mount,
    tunnels: Mount,
    room: Mount,
    possibilities: Mount,
    verdicts: Mount,
    cautions: Mount,
    sheet: Mount,
}

/// A picture on which something can be dragged.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Surface {
    /// The wall map.
    Map,
    /// The side view.
    Side,
}

/// What a file that is being chosen is for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Purpose {
    /// Whatever it holds.
    Any,
    /// A graft for the case that is open.
    Graft,
    /// Grafts to choose from.
    Choice,
    /// Cases with records of what was done: a centre's own errors come from them.
    Records,
}

/// The running page.
pub struct App {
    store: Store,
    results: Results,
    comparison: Comparison,
    demos: Demos,
    mounts: Mounts,
    canvas: Canvas,
    says: Element,
    drawn: Option<WallMap>,
    follower: Follower,
    moving: Option<Moving>,
    frame_pending: bool,
    /// Whether anything changed since the last draw.
    changed: bool,
    /// Whether the last draw was already part of the drag that goes on.
    in_step: bool,
    /// When this frame's work began, ms of the browser's clock.
    frame_began: f64,
    /// How many frames in a row left no time to look for the room.
    room_waited: u8,
    /// The revision that the glue keeps, and whether it differs from its file.
    kept: Option<(u64, bool)>,
    size: [f64; 2],
    focus_next: Option<String>,
    /// Tunnels that are being made, for which revision.
    designing: Option<(u64, Box<Designing>)>,
    /// For what a file is being chosen.
    pub purpose: Purpose,
}

thread_local! {
    static APP: RefCell<Option<App>> = const { RefCell::new(None) };
}

/// Does something with the running page; nothing where it is busy (an event that its own drawing
/// raised) or has stopped.
pub fn with<T>(task: impl FnOnce(&mut App) -> T) -> Option<T> {
    APP.with(|app| app.try_borrow_mut().ok()?.as_mut().map(task))
}

/// Does something with the running page that gives nothing back.
pub fn run(task: impl FnOnce(&mut App)) {
    let _ = with(task);
}

/// Puts the page into the document.
///
/// # Errors
/// What is missing in the document, or what the browser refuses.
pub fn start() -> Result<(), JsValue> {
    let document = host::document()?;
    let demos = Demos::read(
        &document.get_element_by_id("demo-data").and_then(|block| block.text_content()).unwrap_or_default(),
    );
    let mount = |id: &str| host::element(&document, id).map(|root| Mount::new(&document, root));
    let mounts = Mounts {
        bar: mount("bar")?,
        told: mount("told")?,
        entry: mount("entry")?,
        head: mount("head")?,
        stages: mount("stages")?,
        choices: mount("choices")?,
        stage: mount("stage")?,
        tunnels: mount("tunnels")?,
        room: mount("room")?,
        possibilities: mount("possibilities")?,
        verdicts: mount("verdicts")?,
        cautions: mount("cautions")?,
        sheet: mount("sheet")?,
    };
    mount("keys-list")?.show(panels::help::help())?;
    let canvas = Canvas::new(host::canvas(&document, "map-canvas")?)?;
    let (case, source) = match demos.cases.first() {
        Some(demo) => (demo.what.clone(), Source { name: demo.file.clone(), demo: true }),
        None => (Arc::new(Case::default()), Source { name: "case.json".into(), demo: false }),
    };
    let store = Store::new(case, source);
    let app = App {
        results: Results::new(store.state()),
        comparison: Comparison::default(),
        store,
        demos,
        mounts,
        canvas,
        says: host::element(&document, "map-says")?,
        drawn: None,
        follower: Follower::default(),
        moving: None,
        frame_pending: false,
        changed: true,
        in_step: false,
        frame_began: 0.0,
        room_waited: 0,
        kept: None,
        size: [0.0, 0.0],
        focus_next: None,
        designing: None,
        purpose: Purpose::Any,
    };
    APP.with(|cell| *cell.borrow_mut() = Some(app));
    with(App::schedule);
    Ok(())
}

impl App {
    /// The state and its steps.
    pub fn store(&self) -> &Store {
        &self.store
    }

    /// The demo cases and grafts.
    pub fn demos(&self) -> &Demos {
        &self.demos
    }

    /// Does one thing and draws what it changed.
    pub fn act(&mut self, action: Action) {
        // What was refused or is asked takes the focus, so that nobody misses it.
        let asks = matches!(action, Action::BeginImport(_) | Action::Import)
            || matches!(&action, Action::Tell(notice) if !notice.faults.is_empty());
        if asks {
            self.focus_next = Some(panels::notice::SUMMARY.into());
        }
        if self.store.dispatch(action).shown {
            self.schedule();
        }
    }

    /// Asks for one draw in the next frame, however often it is called.
    pub fn schedule(&mut self) {
        self.changed = true;
        self.ask_for_frame();
    }

    fn ask_for_frame(&mut self) {
        if !self.frame_pending {
            self.frame_pending = host::next_frame().is_ok();
        }
    }

    /// The steps in the order that the list of orders names at a place.
    pub fn order_at(&self, place: usize) -> Option<Vec<usize>> {
        self.results.release()?.orders.all.get(place).map(|order| order.steps.clone())
    }

    /// Moves the graft to where it forgives most, so far upstream of that as is chosen, or to the nearest
    /// placement that holds.
    pub fn place_best(&mut self, biased: bool) {
        let Some(Ok(own)) = self.results.room() else { return };
        let best = match biased {
            true => own.upstream_of_best(f64::from(self.store.state().view.bias_mm)),
            false => own.room.best,
        };
        let Some(to) = best.map(|best| best.centre).or(own.room.nearest) else { return };
        let (station_mm, clock) = own.placed(to);
        let components = &self.store.state().now.case.components;
        let Some(component) = components.iter().position(|component| component.id == own.component) else { return };
        let placement = Placement { station_mm, clock_deg: clock.to_deg(), ..own.drawn };
        self.act(Action::Place { component, placement });
    }

    /// The map's room changed its size.
    pub fn resize(&mut self, size: [f64; 2]) {
        self.size = size;
        self.schedule();
    }

    /// Draws everything that changed. Returns what is to take the focus, which is given only when
    /// the page is no longer busy.
    pub fn frame(&mut self) -> Option<String> {
        self.frame_pending = false;
        self.frame_began = host::now();
        if !std::mem::take(&mut self.changed) {
            self.look_further();
            return None;
        }
        let computed = self.compute();
        let shown = if computed { self.show() } else { self.show_computing() };
        if let Err(fault) = shown {
            host::complain(&fault);
        }
        host::mark("shown");
        if !computed || !self.compare() {
            self.schedule();
        }
        if computed {
            self.look_further();
        }
        // What is to take it may not stand there before everything does.
        if computed { self.focus_next.take() } else { None }
    }

    /// Takes one of the ranked grafts, at its best placement.
    pub fn take_ranked(&mut self, place: usize) {
        let standing = self.results.ranking().and_then(|(standings, _)| standings.get(place));
        if let Some(case) = standing.map(|own| own.case.clone()) {
            self.act(Action::TakeRanked(case));
        }
    }

    /// Goes on with the plans that are compared; says whether nothing is left to do.
    fn compare(&mut self) -> bool {
        let end = host::now() + MOST_MS / 2.0;
        let before = self.comparison.plans().iter().flatten().count();
        let state = self.store.state();
        let wanted = state.view.compare || state.view.stage == Stage::Sheets && state.view.sheets.alternatives;
        let all = self.comparison.follow_while(state, wanted, || host::now() < end);
        all && before == self.comparison.plans().iter().flatten().count()
    }

    /// Gives the focus to an element with the next draw.
    pub fn focus(&mut self, id: impl Into<String>) {
        self.focus_next = Some(id.into());
        self.schedule();
    }

    /// Writes into a cell and shows the tables at once, so that the next key finds the next cell.
    /// Gives where the row stands now.
    pub fn write_cell(&mut self, at: At, letters: String) -> usize {
        self.act(Action::Cell(at, letters));
        self.show_tables();
        self.store.landed().unwrap_or(at.row)
    }

    /// Whether the plan is that of this very state.
    fn fresh(&self) -> bool {
        self.results.revision() == self.store.state().revision
    }

    /// Brings the results in step for as long as a frame may take; says whether they are. Before a
    /// revision is computed the case is handed to the glue, which keeps it ready to save should the
    /// program die; not on each step of a drag.
    fn compute(&mut self) -> bool {
        let state = self.store.state();
        let now = (state.revision, state.unsaved());
        if self.kept != Some(now) && !self.store.in_gesture() {
            host::keep(&document::write(&state.now.base), &files::name_to_save(state), now.1);
            self.kept = Some(now);
        }
        let end = host::now() + MOST_MS;
        host::mark("step");
        let all = self.results.follow_while(state, || host::now() < end);
        host::mark("stepped");
        all
    }

    fn facts(&self) -> Facts<'_> {
        let facts = Facts::of(&self.store, &self.results, &self.demos, self.comparison.plans());
        Facts { designs: self.designs(), ..facts }
    }
}
