//! The running page: one state, one scheduled draw.
//!
//! Events (in [`crate::events`]) become actions; actions change the state; whatever changed is drawn
//! once, in the next frame: results first, then panels and map from the same results, so numbers,
//! verdicts and drawing always belong together.

use crate::canvas::{Canvas, PX_PER_MM};
use crate::cells::At;
use crate::compare::Comparison;
use crate::demos::Demos;
use crate::drag;
use crate::keys::Does;
use crate::moving::{Moving, Press};
use crate::panels::{self, Facts};
use crate::patch::Mount;
use crate::pointer::{Follower, Meaning, Spot};
use crate::results::Results;
use crate::state::{Action, Notice, Source, Store};
use crate::tree::Node;
use crate::view::{Layer, LookAt, Show, Stage};
use crate::{files, hit, host};
use extrados::carm::angles::Positioner;
use extrados::casefile::case::Placement;
use extrados::casefile::{Case, Document, document};
use extrados::fault::Fault;
use extrados::quantity::Unknown;
use extrados::ranking::design::Designing;
use extrados::scene::Scene;
use extrados::scene::map_input::MapInput;
use extrados::scene::strip;
use extrados::scene::style::Medium;
use extrados::scene::wall_map::{Layers, Options, Size, WallMap, wall_map};
use extrados::sheet::{self, Source as SheetSource};
use extrados::task::{Progress, Task};
use std::cell::RefCell;
use std::sync::Arc;
use wasm_bindgen::JsValue;
use web_sys::Element;

/// Share of the drawing's height that the strip chart takes.
const STRIP_SHARE: f64 = 0.26;

/// Whether there is time for one more piece, asked after each: the next may take as long as the longest did.
fn time_until(end: f64) -> impl FnMut() -> bool {
    let (mut last, mut longest) = (host::now(), 0.0_f64);
    move || {
        let now = host::now();
        longest = longest.max(now - last);
        last = now;
        now + longest < end
    }
}

/// Longest a frame computes before the page is let live again, ms.
const MOST_MS: f64 = 100.0;

/// How long of a frame is given to looking for the room, ms, the longest piece of it still to come.
const ROOM_MS: f64 = 7.0;

/// The same while the graft is dragged, ms.
const DRAGGED_ROOM_MS: f64 = 4.0;

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
    kept: Option<u64>,
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
        if !std::mem::take(&mut self.changed) {
            self.look_further();
            return None;
        }
        let computed = self.compute();
        let shown = if computed { self.show() } else { self.show_computing() };
        if let Err(fault) = shown {
            host::complain(&fault);
        }
        if !computed || !self.compare() {
            self.schedule();
        }
        if computed {
            self.look_further();
        }
        self.focus_next.take()
    }

    /// Goes on with what takes longer: the release where it is looked at, then the room.
    fn look_further(&mut self) {
        if self.work_on_release() {
            self.look_for_room();
        }
    }

    /// Works out the release a little, where it is looked at; what is found is shown alone. Says whether
    /// nothing is left to do.
    fn work_on_release(&mut self) -> bool {
        let view = &self.store.state().view;
        if view.stage != Stage::Release || self.store.in_gesture() || !self.fresh() {
            return true;
        }
        let deg = view.lies_deg;
        let known = |own: &Results| (own.release().is_some(), own.turns().is_some(), own.lying().map(|lies| lies.deg));
        let before = known(&self.results);
        let end = host::now() + ROOM_MS;
        let done = self.results.work_on_release_while(deg, || host::now() < end);
        if known(&self.results) != before {
            let stage = panels::stages::stage(&self.facts(), true);
            if let Err(fault) = self.mounts.stage.show(stage) {
                host::complain(&fault);
            }
        }
        if !done {
            self.ask_for_frame();
        }
        done
    }

    /// Looks for what the placement forgives, a little in each frame: while it is dragged only coarsely,
    /// and with less time. What is found is shown alone.
    fn look_for_room(&mut self) {
        if self.results.revision() != self.store.state().revision {
            return;
        }
        let dragged = self.store.in_gesture();
        if !dragged && self.results.tilt().is_none() {
            // One direction of the wire a frame; what hangs on it is shown alone.
            if self.results.tilt_the_wire() {
                let lies = panels::possibilities::possibilities(&self.facts());
                if let Err(fault) = self.mounts.possibilities.show(lies) {
                    host::complain(&fault);
                }
            }
            self.ask_for_frame();
            return;
        }
        let whole = |results: &Results| {
            results.room().map(|found| {
                found.as_ref().is_ok_and(|own| own.whole).then(|| found.as_ref().is_ok_and(|own| own.chance.is_some()))
            })
        };
        let before = whole(&self.results);
        let ranked = |results: &Results| results.ranking().map(|(done, over)| (done.len(), over));
        let done = ranked(&self.results);
        let end = host::now() + if dragged { DRAGGED_ROOM_MS } else { ROOM_MS };
        let mut time = time_until(end);
        let over = self.results.look_for_room_while(dragged, &mut time)
            && (dragged || self.results.rank_while(self.store.state(), &mut time))
            && self.go_on_designing(end);
        if !over {
            self.ask_for_frame();
        }
        if whole(&self.results) != before || ranked(&self.results) != done {
            let room = self.room();
            let sheets = if whole(&self.results) != before { self.show_sheets() } else { Ok(()) };
            if let Err(fault) = self.mounts.room.show(room).and(sheets) {
                host::complain(&fault);
            }
        }
    }

    fn room(&self) -> Vec<Node> {
        let facts = self.facts();
        [panels::room::room(&facts), panels::ranking::ranking(&facts)].concat()
    }

    /// Begins to make the graft's tunnels for this arch.
    pub fn design(&mut self) {
        let plan = self.results.plan();
        let component = extrados::room::trial::moved(&plan.case).map_or_else(String::new, |own| own.id.clone());
        match Designing::of(plan, &component) {
            Ok(work) => self.designing = Some((self.store.state().revision, Box::new(work))),
            Err(unknown) => self.design_failed(unknown),
        }
        self.schedule();
    }

    fn design_failed(&mut self, Unknown(why): Unknown) {
        let fault = Fault::new("no_design", "", why, "");
        self.act(Action::Tell(Notice::refused("No tunnels were made: the graft stays as it is.", fault.into())));
    }

    /// Goes on with that until a time, as long as nothing changed; says whether nothing is left to do. What
    /// is made is one step.
    fn go_on_designing(&mut self, end: f64) -> bool {
        let state = self.store.state();
        let Some((_, mut work)) = self.designing.take().filter(|(revision, _)| *revision == state.revision) else {
            return true;
        };
        loop {
            match work.advance(1) {
                Progress::Done(Ok(graft)) => {
                    let action = files::take_graft(state, Arc::new(graft));
                    self.act(action);
                    return true;
                }
                Progress::Done(Err(unknown)) => {
                    self.design_failed(unknown);
                    return true;
                }
                Progress::Working { .. } if host::now() < end => {}
                Progress::Working { .. } => {
                    self.designing = Some((state.revision, work));
                    return false;
                }
            }
        }
    }

    /// Takes one of the ranked grafts, at its best placement.
    pub fn take_ranked(&mut self, place: usize) {
        let standing = self.results.ranking().and_then(|(standings, _)| standings.get(place));
        if let Some(case) = standing.map(|own| own.case.clone()) {
            self.act(Action::Change("taking a graft at its best", case));
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

    /// Shows the tables as the state has them, ahead of what is computed from them.
    pub fn show_tables(&mut self) {
        if self.store.state().view.stage != Stage::Measurements {
            return;
        }
        let facts = self.facts();
        let tables = panels::stages::stage(&facts, self.fresh());
        if let Err(fault) = self.mounts.stage.show(tables) {
            host::complain(&fault);
        }
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
        if self.kept != Some(state.revision) && !self.store.in_gesture() {
            host::keep(&document::write(&state.now.base), &files::name_to_save(state));
            self.kept = Some(state.revision);
        }
        let end = host::now() + MOST_MS;
        host::mark("step");
        let all = self.results.follow_while(state, || host::now() < end);
        host::mark("stepped");
        all
    }

    fn facts(&self) -> Facts<'_> {
        Facts {
            state: self.store.state(),
            plan: self.results.plan(),
            drawn: self.results.drawn(),
            demos: &self.demos,
            undo: [self.store.undoes(), self.store.redoes()],
            compared: self.comparison.plans(),
            room: self.results.room(),
            release: self.results.release(),
            turns: self.results.turns(),
            lying: self.results.lying(),
            tilt: self.results.tilt(),
            ranking: self.results.ranking(),
        }
    }

    /// While a long computation goes on no number of another state stays in sight.
    fn show_computing(&mut self) -> Result<(), JsValue> {
        self.drawn = None;
        self.canvas.wipe()?;
        // What is entered stays in sight and can be gone on with.
        let facts = self.facts();
        let stage = facts.state.view.stage;
        let (entry, on_stage) = (panels::entry::entry(&facts), panels::stages::stage(&facts, false));
        let (bar, row) = (panels::bar::bar(&facts), panels::stages::row(&facts));
        let mounts = &mut self.mounts;
        mounts.bar.show(bar)?;
        mounts.entry.show(entry)?;
        mounts.stages.show(row)?;
        mounts.stage.show(on_stage)?;
        host::set_stage(stage.name())?;
        for mount in [&mut mounts.tunnels, &mut mounts.room, &mut mounts.possibilities, &mut mounts.verdicts] {
            mount.show(Vec::new())?;
        }
        mounts.sheet.show(Vec::new())?;
        mounts.head.show(panels::head::computing())
    }

    fn show(&mut self) -> Result<(), JsValue> {
        let facts = self.facts();
        let stage = facts.state.view.stage;
        let map = (stage == Stage::Map).then(|| self.map(&facts)).flatten();
        let follows = [
            panels::entry::entry(&facts),
            panels::head::head(&facts),
            panels::stages::stage(&facts, true),
            panels::tunnels::tunnels(&facts),
            self.room(),
            panels::possibilities::possibilities(&facts),
            panels::verdicts::verdicts(&facts),
        ];
        // What a drag does not change is neither built nor compared while it goes on.
        let drags = self.store.in_gesture();
        let rests = (!(drags && self.in_step)).then(|| {
            [
                panels::bar::bar(&facts),
                [panels::notice::notice(&facts), panels::import_form::import_form(&facts)].concat(),
                panels::stages::row(&facts),
                panels::choices::choices(&facts),
                panels::cautions::cautions(&facts),
            ]
        });
        // Read out politely, and not on each step of a drag.
        let spoken = (!drags).then(|| panels::head::spoken(&facts));
        let title = panels::bar::title(&facts);
        if let Some(map) = &map {
            self.canvas.fit(self.size, host::pixel_ratio());
            self.canvas.draw(&map.scene)?;
        }
        self.drawn = map;
        self.in_step = drags;
        let mounts = &mut self.mounts;
        let [entry, head, on_stage, tunnels, room, possibilities, verdicts] = follows;
        mounts.entry.show(entry)?;
        mounts.head.show(head)?;
        mounts.stage.show(on_stage)?;
        mounts.tunnels.show(tunnels)?;
        mounts.room.show(room)?;
        mounts.possibilities.show(possibilities)?;
        mounts.verdicts.show(verdicts)?;
        if let Some([bar, told, stages, choices, cautions]) = rests {
            mounts.bar.show(bar)?;
            mounts.told.show(told)?;
            mounts.stages.show(stages)?;
            mounts.choices.show(choices)?;
            mounts.cautions.show(cautions)?;
            host::set_stage(stage.name())?;
            host::set_title(&title);
        }
        self.show_sheets()?;
        if let Some(spoken) = spoken.filter(|spoken| self.says.text_content().as_deref() != Some(spoken)) {
            self.says.set_text_content(Some(&spoken));
        }
        Ok(())
    }

    /// The map with the strip chart below it, as large as its room; none before there is a room.
    fn map(&self, facts: &Facts<'_>) -> Option<WallMap> {
        let [width_mm, height_mm] = self.size.map(|px| px / PX_PER_MM);
        if width_mm < 1.0 || height_mm < 1.0 {
            return None;
        }
        let view = &facts.state.view;
        let options = Options {
            size: Size::Fit { width_mm, height_mm: height_mm * (1.0 - STRIP_SHARE) },
            medium: Medium::Screen,
            along: view.along,
            around: view.around,
            lit: facts.state.tie.clone(),
            layers: Layers {
                zones: view.shows(Layer::Zones),
                bodies: view.shows(Layer::Bodies),
                dimensions: view.shows(Layer::Dimensions),
                other_possibilities: view.shows(Layer::OtherPossibilities),
                space: view.shows(Layer::Space),
                ..Layers::default()
            },
        };
        let strip_mm = height_mm * STRIP_SHARE;
        if !view.shows(Layer::Space) {
            return Some(picture(self.results.input(), &options, strip_mm));
        }
        let input = self.results.input().clone().with_space(facts.plan, facts.drawn);
        Some(picture(&input, &options, strip_mm))
    }

    /// Makes the sheets ready for the printer: what is still looked for is found first.
    ///
    /// # Errors
    /// What the browser refuses.
    pub fn prepare_sheet(&mut self) -> Result<(), JsValue> {
        self.finish();
        let pages = panels::stage_sheets::pages(&self.sheets());
        self.mounts.sheet.show(pages)?;
        host::set_paper(self.store.state().view.sheets.paper.name())
    }

    /// Computes all that the sheets show.
    pub fn finish(&mut self) {
        let state = self.store.state();
        self.results.follow(state);
        self.results.look_for_room_while(false, || true);
        self.comparison.follow_while(state, true, || true);
    }

    /// The sheets as pictures, of what is computed so far.
    pub fn sheets(&self) -> Vec<Scene> {
        let state = self.store.state();
        let document = Document::of((*state.now.case).clone());
        let source = SheetSource {
            plan: self.results.plan(),
            map: self.results.input(),
            along: state.view.along,
            around: state.view.around,
            sha256: &document.sha256,
            // What a drag found coarsely is not printed.
            room: self.results.room().filter(|found| found.as_ref().is_ok_and(|own| own.whole) || found.is_err()),
            compared: self.comparison.plans(),
        };
        sheet::pages(&source, state.view.sheets)
    }

    /// Shows the sheets on their stage, and takes them away elsewhere, so that no stale number stays in the
    /// document.
    fn show_sheets(&mut self) -> Result<(), JsValue> {
        let shown = self.store.state().view.stage == Stage::Sheets;
        let pages = if shown { panels::stage_sheets::pages(&self.sheets()) } else { Vec::new() };
        self.mounts.sheet.show(pages)
    }

    /// Puts the page back as it was before printing.
    pub fn printed(&mut self) {
        if let Err(fault) = self.show_sheets() {
            host::complain(&fault);
        }
    }

    /// Whether a press here takes something: the graft, a mouth, or what was measured.
    pub fn grips(&self, surface: Surface, at: Spot) -> bool {
        self.taken(surface, at).is_some()
    }

    fn taken(&self, surface: Surface, at: Spot) -> Option<Moving> {
        let view = &self.store.state().view;
        let at = at.map(|px| px / PX_PER_MM);
        let press = Press { plan: self.results.plan(), drawn: self.results.drawn(), chosen: view.component, at };
        match surface {
            Surface::Map => Moving::on_map(press, self.drawn.as_ref()?, view.drags),
            Surface::Side => Moving::on_side(press),
        }
    }

    /// The follower of the pointer.
    pub fn follower(&mut self) -> &mut Follower {
        &mut self.follower
    }

    /// Does what a pointer's movement means. Where a drag begins it says so.
    pub fn pointer(&mut self, surface: Surface, meaning: Meaning) -> bool {
        match meaning {
            Meaning::Nothing => {}
            Meaning::Over(at) | Meaning::Click(at) => {
                let tie = self.drawn.as_ref().and_then(|map| hit::tie_at(&map.scene, at.map(|px| px / PX_PER_MM)));
                let tie = tie.map(str::to_owned);
                // On the side view the shapes themselves say what they are tied to.
                if surface == Surface::Map {
                    self.act(Action::Tie(tie));
                }
            }
            Meaning::Grip(at) => {
                self.moving = self.taken(surface, at);
                if self.moving.is_some() {
                    self.act(Action::BeginGesture);
                    return true;
                }
            }
            Meaning::Drag(at, lock) => {
                let moved = self.moving.as_ref().and_then(|moving| moving.to(at.map(|px| px / PX_PER_MM), lock));
                if let Some(action) = moved {
                    self.act(action);
                }
            }
            Meaning::Drop => {
                self.moving = None;
                self.act(Action::EndGesture);
            }
        }
        false
    }

    /// Does what a key means on the state; what needs the browser is left to the caller.
    pub fn key(&mut self, does: Does) {
        match does {
            // A drag that goes on is not undone under the hand; Escape gives it up.
            Does::Undo | Does::Redo if self.follower.dragging() => {}
            Does::Undo => self.act(Action::Undo),
            Does::Redo => self.act(Action::Redo),
            Does::Escape => {
                if self.follower.dragging() {
                    self.follower.give_up();
                    self.moving = None;
                    self.act(Action::GiveUpGesture);
                } else {
                    self.act(Action::CancelImport);
                    self.act(Action::Dismiss);
                }
            }
            Does::Nudge { along_mm, around_deg } => self.nudge(along_mm, around_deg),
            Does::Swing([primary, secondary]) => {
                let [p, s] = panels::stage_carm::looked_at(&self.facts());
                self.act(Action::Show(Show::LookAt(LookAt::At([p + primary, s + secondary]))));
            }
            Does::Stage(place) => {
                if let Some((stage, _, _)) = Stage::ALL.get(place) {
                    self.act(Action::Show(Show::Stage(*stage)));
                }
            }
            Does::Open | Does::Save | Does::Print | Does::Help => {}
        }
    }

    /// The C-arm swings to a place of the chart, given by its shares of width and height.
    pub fn swing_to(&mut self, at: Spot) {
        if let Some(to) = panels::stage_carm::pointed_at(&self.facts(), at) {
            self.act(Action::Show(Show::LookAt(LookAt::At(to))));
        }
    }

    /// A view was typed.
    pub fn look_at_typed(&mut self, typed: &str) {
        match Positioner::read(typed) {
            Ok(at) => self.act(Action::Show(Show::LookAt(LookAt::At(panels::stage_carm::whole(&at))))),
            Err(fault) => self.act(Action::Tell(Notice::refused("That view was not taken.", fault.into()))),
        }
    }

    /// One step by key; a key held down is one step of undo.
    fn nudge(&mut self, along_mm: f64, around_deg: f64) {
        if self.follower.dragging() {
            return;
        }
        let Some((component, _, placement)) = self.store.state().moved() else { return };
        let moved: Placement = drag::nudged(placement, along_mm, around_deg, hit::reach(self.results.plan()));
        if !self.store.in_gesture() {
            self.act(Action::BeginGesture);
        }
        self.act(Action::Place { component, placement: moved });
    }

    /// A key was let go.
    pub fn key_up(&mut self) {
        if self.store.in_gesture() && !self.follower.dragging() {
            self.act(Action::EndGesture);
        }
    }
}

/// The map, with the strip chart below it where it has a height.
fn picture(input: &MapInput, options: &Options, strip_mm: f64) -> WallMap {
    let mut map = wall_map(input, options);
    if strip_mm > 0.0 {
        let mut below = strip::strip_chart(input, &map.axes, map.scene.width_mm, strip_mm, options.medium);
        below.light(options.lit.as_deref());
        map.scene = map.scene.with_below(below, 0.0);
    }
    map
}
