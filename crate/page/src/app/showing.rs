//! Shows what is known: panels, map and sheets of one state, or that it is still being computed.

use super::App;
use crate::canvas::PX_PER_MM;
use crate::host;
use crate::panels::{self, Facts};
use crate::tree::{Node, el};
use crate::view::{Layer, Stage};
use extrados::casefile::Document;
use extrados::scene::Scene;
use extrados::scene::map_input::MapInput;
use extrados::scene::strip;
use extrados::scene::style::Medium;
use extrados::scene::wall_map::{Layers, Options, Size, WallMap, wall_map};
use extrados::sheet::{self, Source as SheetSource};
use wasm_bindgen::JsValue;

/// Share of the drawing's height that the strip chart takes.
const STRIP_SHARE: f64 = 0.26;

impl App {
    /// While a long computation goes on no number of another state stays in sight.
    pub(super) fn show_computing(&mut self) -> Result<(), JsValue> {
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

    pub(super) fn show(&mut self) -> Result<(), JsValue> {
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
    pub(super) fn show_sheets(&mut self) -> Result<(), JsValue> {
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

    pub(super) fn room(&self) -> Vec<Node> {
        let facts = self.facts();
        // Each in a part of its own: what comes late in one puts no button of the other in another place.
        [panels::room::room(&facts), panels::ranking::ranking(&facts)]
            .map(|part| el("div").children(part).into())
            .into()
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
