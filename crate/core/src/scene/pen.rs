//! A pen that collects items: the small vocabulary with which drawings are written.
//!
//! Knows tokens and shapes, no anatomy and no graft.

use super::lettering::{self, Extent};
use super::style::{Medium, Token};
use super::{Anchor, Item, Shape, Sign, Spot};

/// Collects items, back to front, under the tie that is set.
#[derive(Debug)]
pub struct Pen {
    /// What was drawn so far.
    pub items: Vec<Item>,
    medium: Medium,
    tie: Option<String>,
}

impl Pen {
    /// A pen for a medium.
    pub fn new(medium: Medium) -> Self {
        Pen { items: Vec::new(), medium, tie: None }
    }

    /// What follows says the same as the table row of this id.
    pub fn tie(&mut self, id: &str) {
        self.tie = Some(id.to_owned());
    }

    /// What follows belongs to no row.
    pub fn untie(&mut self) {
        self.tie = None;
    }

    /// Height of the letters of a token, mm.
    pub fn letters(&self, token: Token) -> f64 {
        self.medium.text_mm(token.look().size)
    }

    /// Width of words in a token, mm.
    pub fn width(&self, token: Token, words: &str) -> f64 {
        lettering::width_mm(words, &token.look(), self.medium)
    }

    /// Words in lines no wider than a room, broken at spaces; a word that is wider has its own line.
    pub fn wrapped(&self, token: Token, words: &str, width_mm: f64) -> Vec<String> {
        let mut lines: Vec<String> = Vec::new();
        for word in words.split_whitespace() {
            match lines.last_mut() {
                Some(line) if self.width(token, &format!("{line} {word}")) <= width_mm => {
                    line.push(' ');
                    line.push_str(word);
                }
                _ => lines.push(word.to_owned()),
            }
        }
        lines
    }

    fn add(&mut self, token: Token, shape: Shape) {
        self.items.push(Item { token, shape, tie: self.tie.clone(), lit: false });
    }

    /// An open line.
    pub fn line(&mut self, token: Token, points: Vec<Spot>) {
        if points.len() > 1 {
            self.add(token, Shape::Path(points));
        }
    }

    /// Several open lines.
    pub fn lines(&mut self, token: Token, lines: Vec<Vec<Spot>>) {
        for points in lines {
            self.line(token, points);
        }
    }

    /// A region.
    pub fn area(&mut self, token: Token, rings: Vec<Vec<Spot>>) {
        if rings.iter().any(|ring| ring.len() > 2) {
            self.add(token, Shape::Area(rings));
        }
    }

    /// A box.
    pub fn extent(&mut self, token: Token, e: Extent) {
        self.area(token, vec![vec![[e.left, e.top], [e.right, e.top], [e.right, e.bottom], [e.left, e.bottom]]]);
    }

    /// A circle.
    pub fn ring(&mut self, token: Token, centre: Spot, radius_mm: f64) {
        self.add(token, Shape::Circle { centre, radius_mm });
    }

    /// A sign.
    pub fn mark(&mut self, token: Token, at: Spot, sign: Sign, size_mm: f64) {
        self.add(token, Shape::Mark { at, sign, size_mm });
    }

    /// Words with ground round them; says where they lie.
    pub fn words(&mut self, token: Token, at: Spot, anchor: Anchor, words: &str) -> Extent {
        let extent = lettering::word_extent(words, at, anchor, &token.look(), self.medium);
        if !words.is_empty() {
            self.add(token, Shape::Text { at, words: words.to_owned(), then: None, anchor, patch: true });
        }
        extent
    }

    /// Words that go on in another look, from their start.
    pub fn two_words(&mut self, at: Spot, first: (Token, &str), then: (Token, &str)) {
        let then = (!then.1.is_empty()).then(|| (then.0, format!("\u{a0}\u{a0}{}", then.1)));
        let words = first.1.to_owned();
        self.add(first.0, Shape::Text { at, words, then, anchor: Anchor::Start, patch: true });
    }

    /// A dimension line.
    pub fn dimension(&mut self, token: Token, from: Spot, to: Spot) {
        self.add(token, Shape::Dimension { from, to });
    }

    /// A field of values.
    pub fn field(&mut self, token: Token, room: Extent, columns: usize, values: Vec<f32>, range: [f32; 2]) {
        let (from, to) = ([room.left, room.top], [room.right, room.bottom]);
        self.add(token, Shape::Field { from, to, columns, values, range });
    }
}
