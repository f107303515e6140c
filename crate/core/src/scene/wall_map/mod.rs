//! The wall map: the wall of the aorta seen from outside, unrolled, with the graft in it.
//!
//! Flow runs left to right, 12:00 (the outer curve) is the middle line, 3:00 (front-left) lies below
//! it and 9:00 (back-right) above; the map is cut open at 6:00. The drawing only places what
//! [`MapInput`] holds: it computes no measure.
//!
//! [`ground`] draws frame, axes and zones, [`anatomy`] what lies on the wall, [`dissection`] flap and ways, [`graft`] the graft and
//! its mouths, [`clearances`] the dimension lines.

mod anatomy;
mod clearances;
mod dissection;
mod graft;
mod ground;

use super::axes::{Along, Around, MapAxes};
use super::lanes::Places;
use super::lettering::Extent;
use super::map_input::MapInput;
use super::pen::Pen;
use super::style::{Medium, Token};
use super::{Scene, Spot};
use crate::report::words::{signed, tenths};
use crate::units::{self, Angle};
use std::f64::consts::PI;

/// How a map is drawn.
#[derive(Clone, Debug, PartialEq)]
pub struct Options {
    /// Size of the drawing.
    pub size: Size,
    /// For what it is drawn.
    pub medium: Medium,
    /// What the horizontal axis measures.
    pub along: Along,
    /// What the vertical axis measures.
    pub around: Around,
    /// The table row that is pointed at.
    pub lit: Option<String>,
    /// What is shown.
    pub layers: Layers,
}

impl Default for Options {
    /// A map for a screen of usual size, with everything but the wall's scale.
    fn default() -> Self {
        Options {
            size: Size::Fit { width_mm: 240.0, height_mm: 112.0 },
            medium: Medium::Screen,
            along: Along::Centreline,
            around: Around::Clock,
            lit: None,
            layers: Layers::default(),
        }
    }
}

/// Size of a drawing.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Size {
    /// The map fills this size.
    Fit {
        /// Width of the drawing, mm.
        width_mm: f64,
        /// Height of the drawing, mm.
        height_mm: f64,
    },
    /// A millimetre of wall is a millimetre of the drawing, which becomes as large as it must.
    /// Lengths along the outer curve and around the wall are then true.
    TrueSize,
}

/// What a map shows beside frame, axes, ostia and graft edges.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[allow(missing_docs)]
pub struct Layers {
    pub zones: bool,
    pub fabric: bool,
    pub bodies: bool,
    pub paths: bool,
    pub dimensions: bool,
    pub keep_clear: bool,
    pub other_possibilities: bool,
    pub names: bool,
    pub handle: bool,
    pub wall_scale: bool,
    /// Space between fabric and wall; drawn where the input has it.
    pub space: bool,
}

impl Default for Layers {
    fn default() -> Self {
        Layers {
            zones: true,
            fabric: true,
            bodies: true,
            paths: true,
            dimensions: true,
            keep_clear: true,
            other_possibilities: true,
            names: true,
            handle: true,
            wall_scale: false,
            space: false,
        }
    }
}

/// A map and the axes it is drawn on.
#[derive(Clone, Debug, PartialEq)]
pub struct WallMap {
    /// The picture.
    pub scene: Scene,
    /// Where the wall lies on it.
    pub axes: MapAxes,
}

/// What the parts of a map draw with.
struct Sheet<'a> {
    input: &'a MapInput,
    options: &'a Options,
    axes: MapAxes,
    pen: Pen,
    places: Places,
    /// How many items show the anatomy alone.
    ground: usize,
}

/// Smallest size of a drawing, mm: below it nothing could be read.
const LEAST_MM: f64 = 60.0;
/// Largest size of a drawing, mm.
const MOST_MM: f64 = 3000.0;

/// Draws the map.
pub fn wall_map(input: &MapInput, options: &Options) -> WallMap {
    let pen = Pen::new(options.medium);
    let margins = margins(&pen, input.anatomy.rough.is_some());
    let (width_mm, height_mm) = match options.size {
        Size::Fit { width_mm, height_mm } => (bounded(width_mm), bounded(height_mm)),
        Size::TrueSize => {
            // Measured on axes of scale 1, laid out in any room that is large enough.
            let large = Extent { left: 0.0, top: 0.0, right: 1.0, bottom: 1.0 };
            let [from, to] = MapAxes::new(&input.anatomy.aorta, large, options.along, Around::Clock).length_range();
            let widest = input.anatomy.aorta.iter().map(|point| point.radius_mm).fold(1.0, f64::max);
            // No bound from below or above: a size that is cut would no longer be true.
            let across = (to - from).min(MOST_MM) + margins.left + margins.right;
            (across, (2.0 * PI * widest).min(MOST_MM) + margins.top + margins.bottom)
        }
    };
    let room = Extent {
        left: margins.left,
        top: margins.top,
        right: width_mm - margins.right,
        bottom: height_mm - margins.bottom,
    };
    let around = match options.size {
        _ if input.anatomy.aorta.len() < 2 => Around::Clock,
        Size::TrueSize => Around::WallLength,
        Size::Fit { .. } => options.around,
    };
    let axes = MapAxes::new(&input.anatomy.aorta, room, options.along, around);
    let places = Places::new(axes.plot().grown(-0.5));
    let mut sheet = Sheet { input, options, axes, pen, places, ground: 0 };

    if input.anatomy.aorta.len() < 2 {
        sheet.nothing();
    } else {
        sheet.all();
    }
    let mut scene = Scene {
        name: "wall-map",
        width_mm,
        height_mm,
        medium: options.medium,
        title: title(input),
        description: description(input),
        items: sheet.pen.items,
        ground: sheet.ground,
    };
    scene.light(options.lit.as_deref());
    WallMap { scene, axes: sheet.axes }
}

fn bounded(mm: f64) -> f64 {
    if mm.is_finite() { mm.clamp(LEAST_MM, MOST_MM) } else { LEAST_MM }
}

/// What stands outside the frame, on each side; a rough map has one row more, for its heading.
fn margins(pen: &Pen, rough: bool) -> Extent {
    let note = pen.letters(Token::Note);
    Extent {
        left: 2.5 + pen.width(Token::Note, "\u{2212}00"),
        top: if rough { 3.5 } else { 1.9 } * note,
        right: 2.5 + pen.width(Token::Note, "outer curve"),
        bottom: 2.0 + 4.1 * note,
    }
}

impl Sheet<'_> {
    /// Everything, back to front.
    fn all(&mut self) {
        self.wall_scale();
        self.uncertain();
        self.false_lumen();
        self.zones();
        self.side_lines();
        self.frame();
        self.captions();
        self.ground = self.pen.items.len();
        self.space();
        self.fabric();
        self.folds();
        self.outer_curve();
        self.graft_lines();
        self.bodies();
        self.marks();
        self.other_possibilities();
        self.keep_clear();
        self.ways();
        self.ostium_grounds();
        self.mouths();
        self.paths();
        self.ostia();
        self.clearances();
        self.names();
        self.body_names();
        self.stretch_labels();
        self.fold_names();
        self.keep_clear_names();
        self.way_names();
        self.end_labels();
        self.reference_names();
        self.handle();
    }

    /// The hours of a stored clock with its side, in the hand of the user's sheet.
    fn clock_words(&self, clock: Angle) -> String {
        clock_words(self.input, clock)
    }

    /// Where a point of the wall lies on the drawing, with its clock wrapped to the map.
    fn spot(&self, wall: super::axes::WallSpot) -> Spot {
        self.axes.spot(super::axes::WallSpot { clock: wall.clock.wrapped(), ..wall })
    }
}

/// A stored clock in words; hours only where the hand of the sheet is known.
fn clock_words(input: &MapInput, clock: Angle) -> String {
    match input.anatomy.hand {
        Some(hand) => units::clock_with_side(clock, hand),
        None => units::clock_side(clock).to_owned(),
    }
}

/// A range of per cents, whole numbers, as one number where its ends read alike.
pub(in crate::scene) fn percent_range([least, most]: [f64; 2]) -> String {
    let [low, high] = [least, most].map(|value| signed(format!("{value:.0}")));
    if low == high { format!("{low} %") } else { format!("{low} to {high} %") }
}

fn title(input: &MapInput) -> String {
    let of = if input.label.is_empty() { String::new() } else { format!(" of {}", input.label) };
    format!("Wall map{of}: the wall of the aorta seen from outside, flow to the right.")
}

/// The map in words: the convention, then each ostium and each clearance.
fn description(input: &MapInput) -> String {
    let below = clock_words(input, Angle::deg(90.0));
    let above = clock_words(input, Angle::deg(-90.0));
    let rough = input.anatomy.rough.map_or(String::new(), |heading| format!("{heading} "));
    let mut words = format!("{rough}12:00, the outer curve, is the middle line; {below} lies below it, {above} above.");
    if input.anatomy.hand.is_none() {
        words.push_str(" The hand of the clock is not answered: ostia are drawn over the full clock.");
    }
    for ostium in &input.anatomy.ostia {
        let clock = ostium.clock.map_or("clock unknown".into(), |clock| clock_words(input, clock));
        words.push_str(&format!(" {} at {} mm, {clock}.", ostium.name, tenths(ostium.station_mm)));
    }
    for way in &input.anatomy.ways {
        let open = if input.open_ways.contains(&way.id) { ", not covered" } else { "" };
        words.push_str(&format!(" Way {} at {} mm{open}.", way.name, tenths(way.station_mm)));
    }
    for tunnel in input.grafts.iter().flat_map(|graft| &graft.tunnels) {
        let clearance = &tunnel.clearance;
        let value = clearance.value_mm.map_or("unknown".into(), |mm| format!("{} mm", tenths(mm)));
        let word = clearance.standing.word();
        let verdict = if value == word || word.is_empty() { String::new() } else { format!(", {word}") };
        words.push_str(&format!(" Clearance for the {}: {value}{verdict}.", tunnel.vessel));
    }
    words
}

#[cfg(test)]
mod tests;
