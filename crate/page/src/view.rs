//! How things are shown: choices that are no part of the case and are never written to its file.

use extrados::scene::axes::{Along, Around};
use extrados::sheet::Wanted;

/// What the middle of the page shows.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Stage {
    /// The wall map.
    #[default]
    Map,
    /// What was measured.
    Measurements,
    /// The graft: side view and tables.
    Graft,
    /// The anatomy looked over, and the rule sets.
    Anatomy,
    /// Views of the C-arm.
    CArm,
    /// Ways of the false lumen, stages, covered length, cord.
    Extent,
    /// The release, step by step.
    Release,
    /// The sheets as they are printed.
    Sheets,
}

impl Stage {
    /// Every stage with its name in markup and in words, in the order of the keys 1, 2, 3 …
    pub const ALL: &[(Stage, &str, &str)] = &[
        (Stage::Map, "map", "Wall map"),
        (Stage::Measurements, "measurements", "Measurements"),
        (Stage::Graft, "graft", "Graft"),
        (Stage::Anatomy, "anatomy", "Anatomy"),
        (Stage::CArm, "carm", "C-arm"),
        (Stage::Extent, "extent", "Extent"),
        (Stage::Release, "release", "Release"),
        (Stage::Sheets, "sheets", "Sheets"),
    ];

    /// The stage with a name in markup.
    pub fn named(name: &str) -> Option<Stage> {
        Stage::ALL.iter().find(|(_, known, _)| *known == name).map(|(stage, _, _)| *stage)
    }

    /// Its name in markup.
    pub fn name(self) -> &'static str {
        Stage::ALL.iter().find(|(stage, _, _)| *stage == self).map_or("map", |(_, name, _)| name)
    }
}

/// What a drag on the map takes.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Drags {
    /// The graft.
    #[default]
    Graft,
    /// Its mouths and openings.
    Mouths,
    /// What was measured.
    Measured,
}

impl Drags {
    /// Each with its name in markup and in words.
    pub const ALL: [(Drags, &str, &str); 3] = [
        (Drags::Graft, "graft", "the graft"),
        (Drags::Mouths, "mouths", "its mouths and openings"),
        (Drags::Measured, "measured", "ostia, their edges, points, wall borders"),
    ];
}

/// What can be left off the map.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Layer {
    /// Landing zones.
    Zones,
    /// Bodies of the tunnels inside the graft.
    Bodies,
    /// Dimension lines of the clearances.
    Dimensions,
    /// Mouths as the other possibilities have them.
    OtherPossibilities,
    /// Space between fabric and wall.
    Space,
}

impl Layer {
    /// Every layer with its name in markup and in words.
    pub const ALL: [(Layer, &str, &str); 5] = [
        (Layer::Zones, "zones", "zones"),
        (Layer::Bodies, "bodies", "bodies"),
        (Layer::Dimensions, "dimensions", "dimensions"),
        (Layer::OtherPossibilities, "others", "other lies"),
        (Layer::Space, "space", "space to the wall"),
    ];

    /// Whether it is shown unless chosen otherwise; the space to the wall takes a moment at every step.
    fn by_default(self) -> bool {
        self != Layer::Space
    }

    /// The layer with a name in markup.
    pub fn named(name: &str) -> Option<Layer> {
        Layer::ALL.into_iter().find(|(_, known, _)| *known == name).map(|(layer, _, _)| layer)
    }
}

/// What is looked at with the C-arm.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct CArmView {
    /// Whose view is chosen, by its place in the table.
    pub chosen: usize,
    /// Primary and secondary angle, whole degrees; `None`: the chosen view's own.
    pub at_deg: Option<[i16; 2]>,
    /// By how much the graft is turned for comparison, degrees.
    pub turn_deg: i16,
}

/// One change of what is looked at.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum LookAt {
    /// The view at this place in the table.
    Chosen(usize),
    /// Another view, whole degrees.
    At([i16; 2]),
    /// The graft turned by so many degrees.
    Turn(i16),
}

/// All choices.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct View {
    /// What the middle of the page shows.
    pub stage: Stage,
    /// Along which line stations are laid out.
    pub along: Along,
    /// In what the way around is counted.
    pub around: Around,
    /// Which possibility is drawn, by its place in the plan's list.
    pub possibility: usize,
    /// What is looked at with the C-arm.
    pub carm: CArmView,
    /// Which step of the release is looked at.
    pub step: usize,
    /// By how much the graft is taken to have come to lie turned, degrees.
    pub lies_deg: i16,
    /// Paper and pages of the sheets.
    pub sheets: Wanted,
    /// Which component is moved, by its place in the case; the first arch graft until one is chosen.
    pub component: Option<usize>,
    /// Layers that are not shown as they are by default.
    pub turned: Vec<Layer>,
    /// Whether the steps of a first case are open; nobody said, they are until all are done.
    pub steps: Option<bool>,
    /// Whether alternatives are shown side by side.
    pub compare: bool,
    /// The rule that is changed in all its fields, by its JSON pointer.
    pub rule: Option<String>,
    /// What a drag on the map takes.
    pub drags: Drags,
    /// How far upstream of the best placement a second one is offered, mm.
    pub bias_mm: i32,
}

/// One change of the choices.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Show {
    /// Another stage.
    Stage(Stage),
    /// Stations along a line.
    Along(Along),
    /// The way around in a unit.
    Around(Around),
    /// A possibility is drawn.
    Possibility(usize),
    /// Another view of the C-arm.
    LookAt(LookAt),
    /// Another step of the release.
    Step(usize),
    /// The graft taken to lie turned by so many degrees.
    Lies(i16),
    /// Another paper, or other pages.
    Sheets(Wanted),
    /// A layer is shown or hidden.
    Layer(Layer, bool),
    /// Another component is moved.
    Component(usize),
    /// The steps of a first case are opened or closed.
    Steps(bool),
    /// Alternatives are shown side by side, or no more.
    Compare(bool),
    /// A rule is opened to change it, by its JSON pointer; the open one is closed.
    Rule(String),
    /// What a drag on the map takes.
    Drags(Drags),
    /// How far upstream of the best placement a second one is offered, mm.
    Bias(i32),
}

impl View {
    /// Takes over one change; says whether anything differs.
    pub fn apply(&mut self, show: Show) -> bool {
        let before = self.clone();
        match show {
            Show::Stage(stage) => self.stage = stage,
            Show::Along(along) => self.along = along,
            Show::Around(around) => self.around = around,
            Show::Possibility(place) => self.possibility = place,
            Show::LookAt(look) => match look {
                LookAt::Chosen(chosen) => self.carm = CArmView { chosen, at_deg: None, ..self.carm },
                LookAt::At([primary, secondary]) => {
                    self.carm.at_deg = Some([primary.clamp(-180, 180), secondary.clamp(-90, 90)]);
                }
                LookAt::Turn(turn) => self.carm.turn_deg = turn.clamp(-180, 180),
            },
            Show::Step(place) => self.step = place,
            Show::Lies(deg) => self.lies_deg = deg.clamp(-180, 180),
            Show::Sheets(wanted) => self.sheets = wanted,
            Show::Component(place) => self.component = Some(place),
            Show::Steps(open) => self.steps = Some(open),
            Show::Compare(shown) => self.compare = shown,
            Show::Rule(pointer) => {
                self.rule = if self.rule.as_ref() == Some(&pointer) { None } else { Some(pointer) };
            }
            Show::Drags(drags) => self.drags = drags,
            Show::Bias(mm) => self.bias_mm = mm.clamp(-60, 60),
            Show::Layer(layer, shown) => {
                self.turned.retain(|turned| *turned != layer);
                if shown != layer.by_default() {
                    self.turned.push(layer);
                }
            }
        }
        *self != before
    }

    /// Whether a layer is shown.
    pub fn shows(&self, layer: Layer) -> bool {
        self.turned.contains(&layer) != layer.by_default()
    }

    /// Choices that belong to the case that is put away.
    pub fn forget_case(&mut self) {
        self.possibility = 0;
        self.component = None;
        self.compare = false;
        self.rule = None;
        self.drags = Drags::default();
        self.carm = CArmView::default();
        (self.step, self.lies_deg) = (0, 0);
    }
}
