//! Pictures as plain data: what is drawn, in mm of paper, without saying how.
//!
//! Screen, print and command draw the same scene. A scene knows no pixel, no colour and no browser:
//! each item carries a style token, which [`style`] resolves to line, fill and hatch for every
//! output, and may be tied to a table row by an id. Coordinates are millimetres of the drawing, x to
//! the right and y down, origin at the upper left corner.
//!
//! [`ink`] turns shapes into strokes, fills and words for any output; [`svg`] is one. [`lettering`]
//! and [`lanes`] keep words apart; [`axes`] joins the drawing and the wall.

pub mod axes;
pub mod carm_chart;
pub mod clip;
pub mod from_plan;
pub mod helvetica;
pub mod ink;
pub mod lanes;
pub mod lettering;
pub mod map_input;
pub mod pen;
pub mod projection;
pub mod room_chart;
#[cfg(test)]
mod sample;
pub mod section;
pub mod side_view;
pub mod step;
pub mod strip;
pub mod style;
pub mod svg;
pub mod wall_map;

use style::{Medium, Token};

/// A picture.
#[derive(Clone, Debug, PartialEq)]
pub struct Scene {
    /// Short name, unique in a document: heads the ids of outputs. Letters, digits and `-`.
    pub name: &'static str,
    /// Width of the drawing, mm.
    pub width_mm: f64,
    /// Height of the drawing, mm.
    pub height_mm: f64,
    /// For what it is made: sizes of letters hang on it.
    pub medium: Medium,
    /// What it shows, in one line, for those who cannot see it.
    pub title: String,
    /// The same in a few sentences, with the numbers that count.
    pub description: String,
    /// What is drawn, back to front.
    pub items: Vec<Item>,
    /// How many of the first items show what a drag does not move: an output may keep their picture.
    pub ground: usize,
}

/// One thing drawn.
#[derive(Clone, Debug, PartialEq)]
pub struct Item {
    /// How it is to look.
    pub token: Token,
    /// What it is.
    pub shape: Shape,
    /// Id of the table row that says the same in numbers (a tunnel's, an ostium's, …).
    pub tie: Option<String>,
    /// Whether it stands out, because its row or itself is pointed at.
    pub lit: bool,
}

/// A point of the drawing, mm.
pub type Spot = [f64; 2];

/// What can be drawn.
#[derive(Clone, Debug, PartialEq)]
pub enum Shape {
    /// An open line through points.
    Path(Vec<Spot>),
    /// A region with its outline: closed rings, even-odd.
    Area(Vec<Vec<Spot>>),
    /// A circle with its outline.
    Circle {
        /// Its centre.
        centre: Spot,
        /// Its radius, mm of the drawing.
        radius_mm: f64,
    },
    /// Words.
    Text {
        /// Where the anchor stands, on the base line.
        at: Spot,
        /// The words.
        words: String,
        /// More words that go on in another look, as wide as the first turn out.
        then: Option<(Token, String)>,
        /// Which end of the words stands there.
        anchor: Anchor,
        /// Whether ground is laid round the letters, so that lines do not cross them.
        patch: bool,
    },
    /// A small sign of fixed size.
    Mark {
        /// Its centre.
        at: Spot,
        /// Which sign.
        sign: Sign,
        /// Its size across, mm of the drawing.
        size_mm: f64,
    },
    /// A measured length with arrowheads at both ends.
    Dimension {
        /// One end.
        from: Spot,
        /// The other end.
        to: Spot,
    },
    /// Values on a grid, drawn as tints between two rows of numbers.
    Field {
        /// Upper left corner.
        from: Spot,
        /// Lower right corner.
        to: Spot,
        /// Columns of the grid.
        columns: usize,
        /// Row by row from the upper left; NaN where there is none.
        values: Vec<f32>,
        /// The values at the two ends of the tint.
        range: [f32; 2],
    },
}

/// Which end of a text stands at its place.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[allow(missing_docs)]
pub enum Anchor {
    Start,
    Middle,
    End,
}

/// Small signs.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[allow(missing_docs)]
pub enum Sign {
    Cross,
    CrossedRing,
    ArrowRight,
    ArrowLeft,
    Question,
    Handle,
    Diamond,
    /// Met.
    Tick,
    /// Borderline.
    Wave,
    /// Unmet.
    Saltire,
}

impl Scene {
    /// Puts another scene below this one, `gap_mm` under its lower edge.
    ///
    /// The widths may differ; the wider one decides. Titles and descriptions are joined.
    #[must_use]
    pub fn with_below(mut self, below: Scene, gap_mm: f64) -> Scene {
        let down_mm = self.height_mm + gap_mm;
        let mut below_items: Vec<Item> = below.items;
        below_items.iter_mut().for_each(|item| item.shape.move_by([0.0, down_mm]));
        // The two do not cross, so the grounds of both may come first.
        let above = below_items.split_off(below.ground.min(below_items.len()));
        let at = self.ground.min(self.items.len());
        self.ground = at + below_items.len();
        self.items.splice(at..at, below_items);
        self.items.extend(above);
        self.height_mm = down_mm + below.height_mm;
        self.width_mm = self.width_mm.max(below.width_mm);
        for (words, more) in [(&mut self.title, below.title), (&mut self.description, below.description)] {
            if !words.is_empty() && !more.is_empty() {
                words.push(' ');
            }
            words.push_str(&more);
        }
        self
    }

    /// Makes the items of one tie stand out, and no others.
    pub fn light(&mut self, tie: Option<&str>) {
        for item in &mut self.items {
            item.lit = tie.is_some() && item.tie.as_deref() == tie;
        }
    }
}

impl Shape {
    /// Moves it.
    pub(crate) fn move_by(&mut self, by: Spot) {
        let moved = |spot: &mut Spot| {
            spot[0] += by[0];
            spot[1] += by[1];
        };
        match self {
            Shape::Path(points) => points.iter_mut().for_each(moved),
            Shape::Area(rings) => rings.iter_mut().flatten().for_each(moved),
            Shape::Circle { centre: at, .. } | Shape::Text { at, .. } | Shape::Mark { at, .. } => moved(at),
            Shape::Dimension { from, to } | Shape::Field { from, to, .. } => {
                moved(from);
                moved(to);
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn line(name: &'static str, tie: &str) -> Scene {
        Scene {
            name,
            width_mm: 10.0,
            height_mm: 5.0,
            medium: Medium::Screen,
            title: name.into(),
            description: String::new(),
            ground: 1,
            items: vec![Item {
                token: Token::Tick,
                shape: Shape::Path(vec![[0.0, 1.0], [10.0, 1.0]]),
                tie: Some(tie.into()),
                lit: false,
            }],
        }
    }

    #[test]
    fn a_scene_goes_below_another() {
        let both = line("upper", "a").with_below(line("lower", "b"), 2.0);
        assert_eq!(both.height_mm, 12.0);
        assert_eq!(both.title, "upper lower");
        assert_eq!(both.items[1].shape, Shape::Path(vec![[0.0, 8.0], [10.0, 8.0]]));
    }

    #[test]
    fn grounds_of_both_come_first() {
        let mut upper = line("upper", "a");
        upper.items.push(Item { token: Token::Frame, ..upper.items[0].clone() });
        let both = upper.with_below(line("lower", "b"), 0.0);
        assert_eq!(both.ground, 2);
        let ties: Vec<_> = both.items.iter().filter_map(|item| item.tie.as_deref()).collect();
        assert_eq!(ties, ["a", "b", "a"]);
    }

    #[test]
    fn only_what_is_tied_stands_out() {
        let mut both = line("upper", "a").with_below(line("lower", "b"), 2.0);
        both.light(Some("b"));
        assert_eq!(both.items.iter().map(|item| item.lit).collect::<Vec<_>>(), [false, true]);
        both.light(None);
        assert!(both.items.iter().all(|item| !item.lit));
    }
}
