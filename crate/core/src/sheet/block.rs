//! A block of a printed page: words, tables and lines laid out in mm from its upper left corner.
//!
//! Set in a font whose widths are known, so nothing runs over. Knows no plan and no page.

use crate::rules::verdict::Word;
use crate::scene::helvetica;
use crate::scene::lettering::Extent;
use crate::scene::map_input::Standing;
use crate::scene::style::{Medium, Token};
use crate::scene::{Anchor, Item, Shape, Sign, Spot};

/// From one line to the next, in sizes of the letters.
const LEADING: f64 = 1.2;
/// From the top of a line to its base line, in sizes of the letters.
const ASCENT: f64 = 0.95;
/// Between two columns of a table, mm.
const GUTTER_MM: f64 = 4.0;
/// A box to tick, mm.
const BOX_MM: f64 = 3.2;
/// Room for the sign of a verdict before its word, mm.
const SIGN_MM: f64 = 5.0;

/// Something laid out.
#[derive(Debug, Default)]
pub(super) struct Block {
    pub items: Vec<Item>,
    pub width_mm: f64,
    /// How far down it reaches: what is added goes there.
    pub height_mm: f64,
}

/// A cell of a table.
#[derive(Clone, Debug)]
pub(super) struct Cell {
    words: String,
    token: Token,
    sign: Option<Word>,
    /// Whether a box to tick stands before it.
    box_first: bool,
}

impl Cell {
    pub fn of(words: impl Into<String>) -> Self {
        Cell { words: words.into(), token: Token::Note, sign: None, box_first: false }
    }

    pub fn strong(words: impl Into<String>) -> Self {
        Cell { token: Token::Strong, ..Cell::of(words) }
    }

    /// A word of judgement with its sign.
    pub fn judged(word: Word) -> Self {
        Cell { sign: Some(word), ..Cell::of(word.as_str()) }
    }

    /// Bold words with a box to tick.
    pub fn tick(words: impl Into<String>) -> Self {
        Cell { box_first: true, ..Cell::strong(words) }
    }

    fn sign_mm(&self) -> f64 {
        if self.sign.is_some() || self.box_first { SIGN_MM } else { 0.0 }
    }
}

pub(super) fn size_mm(token: Token) -> f64 {
    Medium::Paper.text_mm(token.look().size)
}

/// Width of words, mm.
pub(super) fn width_mm(token: Token, words: &str) -> f64 {
    helvetica::ems(words, token.look().weight) * size_mm(token)
}

/// Words in lines no wider than their room; the first line begins further right. A word that is wider
/// than a line is broken.
fn wrapped(token: Token, words: &str, room_mm: f64, first_mm: f64) -> Vec<String> {
    let mut lines = vec![String::new()];
    for word in words.split(' ').filter(|word| !word.is_empty()) {
        let room = |lines: &[String]| if lines.len() == 1 { room_mm - first_mm } else { room_mm };
        let Some(line) = lines.last_mut() else { break };
        let joined = if line.is_empty() { word.to_owned() } else { format!("{line} {word}") };
        if width_mm(token, &joined) <= room(&lines) {
            lines.pop();
            lines.push(joined);
            continue;
        }
        if lines.last().is_some_and(|line| !line.is_empty() || lines.len() == 1 && first_mm > 0.0) {
            lines.push(String::new());
        }
        for letter in word.chars() {
            let full = lines
                .last()
                .is_some_and(|line| !line.is_empty() && width_mm(token, &format!("{line}{letter}")) > room_mm.max(1.0));
            if full {
                lines.push(String::new());
            }
            if let Some(line) = lines.last_mut() {
                line.push(letter);
            }
        }
    }
    lines
}

impl Block {
    pub fn new(width_mm: f64) -> Self {
        Block { width_mm, ..Block::default() }
    }

    pub fn item(&mut self, token: Token, shape: Shape) {
        self.items.push(Item { token, shape, tie: None, lit: false });
    }

    /// Words on a base line.
    pub fn put(&mut self, token: Token, at: Spot, anchor: Anchor, words: &str) {
        if !words.is_empty() {
            self.item(token, Shape::Text { at, words: words.to_owned(), then: None, anchor, patch: false });
        }
    }

    /// A line from place to place.
    pub fn line(&mut self, token: Token, from: Spot, to: Spot) {
        self.item(token, Shape::Path(vec![from, to]));
    }

    /// A box.
    pub fn frame(&mut self, token: Token, e: Extent) {
        let ring = vec![[e.left, e.top], [e.right, e.top], [e.right, e.bottom], [e.left, e.bottom]];
        self.item(token, Shape::Area(vec![ring]));
    }

    pub fn gap(&mut self, mm: f64) {
        self.height_mm += mm;
    }

    /// A thin line across.
    pub fn rule(&mut self) {
        let y = self.height_mm;
        self.line(Token::Tick, [0.0, y], [self.width_mm, y]);
        self.gap(1.0);
    }

    /// A paragraph over the whole width.
    pub fn says(&mut self, token: Token, words: &str) {
        let room = self.width_mm;
        self.height_mm += self.lines_at(token, [0.0, self.height_mm], room, 0.0, words);
    }

    /// A paragraph with its first words in bold.
    pub fn led(&mut self, lead: &str, words: &str) {
        let top = self.height_mm;
        self.put(Token::Strong, [0.0, top + ASCENT * size_mm(Token::Strong)], Anchor::Start, lead);
        let gap = if lead.is_empty() { 0.0 } else { width_mm(Token::Note, " ") };
        let first = width_mm(Token::Strong, lead) + gap;
        self.height_mm += self.lines_at(Token::Note, [0.0, top], self.width_mm, first, words);
    }

    /// A box to tick with a paragraph beside it, its source in brackets.
    pub fn tick(&mut self, words: &str, source: &str) {
        let top = self.height_mm;
        self.tick_box([0.0, top + 0.5]);
        let left = BOX_MM + 2.0;
        let room = self.width_mm - left;
        let source = if source.is_empty() { String::new() } else { format!(" ({source})") };
        self.height_mm += self.lines_at(Token::Note, [left, top], room, 0.0, &format!("{words}{source}")) + 0.6;
    }

    fn tick_box(&mut self, [left, top]: Spot) {
        self.frame(Token::Tick, Extent { left, top, right: left + BOX_MM, bottom: top + BOX_MM });
    }

    /// Lines of words from a corner; gives their height.
    fn lines_at(&mut self, token: Token, [left, top]: Spot, room_mm: f64, first_mm: f64, words: &str) -> f64 {
        let size = size_mm(token);
        let lines = wrapped(token, words, room_mm, first_mm);
        for (row, line) in lines.iter().enumerate() {
            let x = if row == 0 { left + first_mm } else { left };
            self.put(token, [x, top + ASCENT * size + row as f64 * LEADING * size], Anchor::Start, line);
        }
        lines.len() as f64 * LEADING * size
    }

    /// How wide a table is that breaks nothing into lines.
    pub fn table_mm(heads: &[&str], rows: &[Vec<Cell>]) -> f64 {
        let column = |column: usize| {
            let cells = rows.iter().filter_map(|row| row.get(column));
            cells.map(|cell| width_mm(cell.token, &cell.words) + cell.sign_mm()).fold(0.0, f64::max)
        };
        let each = heads.iter().enumerate().map(|(index, head)| column(index).max(width_mm(Token::Strong, head)));
        each.map(|width| width + GUTTER_MM).sum::<f64>() - GUTTER_MM
    }

    /// A table; rows shorter than the head end early. What is too wide is broken into lines.
    pub fn table(&mut self, heads: &[&str], rows: &[Vec<Cell>]) {
        let head: Vec<Cell> = heads.iter().map(|head| Cell::strong(*head)).collect();
        let all: Vec<&Vec<Cell>> = std::iter::once(&head).chain(rows).collect();
        let widest = |column: usize, wide: &dyn Fn(&Cell) -> f64| {
            all.iter().filter_map(|row| row.get(column)).map(|cell| wide(cell) + cell.sign_mm()).fold(0.0, f64::max)
        };
        let whole = |cell: &Cell| width_mm(cell.token, &cell.words);
        let word = |cell: &Cell| cell.words.split(' ').map(|word| width_mm(cell.token, word)).fold(0.0, f64::max);
        let wanted: Vec<f64> = (0..heads.len()).map(|column| widest(column, &whole)).collect();
        let least: Vec<f64> = (0..heads.len()).map(|column| widest(column, &word)).collect();
        let room = self.width_mm - GUTTER_MM * heads.len().saturating_sub(1) as f64;
        let widths = shared(&wanted, &least, room);
        for (row, cells) in all.iter().enumerate() {
            if row == 0 && heads.iter().all(|head| head.is_empty()) {
                continue;
            }
            let top = self.height_mm;
            let mut left = 0.0;
            let mut down: f64 = 0.0;
            for (cell, width) in cells.iter().zip(&widths) {
                let size = size_mm(cell.token);
                if let Some(word) = cell.sign {
                    let standing = standing(word);
                    let sign = Sign::of(standing).unwrap_or(Sign::Question);
                    let at = [left + 1.7, top + 0.62 * size];
                    // The sign that is a letter is as large as letters are.
                    let size_mm = if sign == Sign::Question { size } else { 2.9 };
                    self.item(Token::judged(standing), Shape::Mark { at, sign, size_mm });
                }
                if cell.box_first {
                    self.tick_box([left, top + 0.5]);
                }
                let at = [left + cell.sign_mm(), top];
                // A hair more than what was measured, so that rounding breaks no line.
                let room = width - cell.sign_mm() + 0.01;
                down = down.max(self.lines_at(cell.token, at, room, 0.0, &cell.words));
                left += width + GUTTER_MM;
            }
            self.height_mm += down;
            if row == 0 {
                self.rule();
                self.height_mm -= 0.5;
            }
        }
    }

    /// Puts another block here, below what is there.
    pub fn add(&mut self, block: Block) {
        let top = self.height_mm;
        self.height_mm += block.height_mm;
        self.place(block, [0.0, top]);
    }

    /// Puts two blocks side by side, below what is there.
    pub fn beside(&mut self, left: Block, right: Block) {
        let top = self.height_mm;
        self.height_mm += left.height_mm.max(right.height_mm);
        let at = self.width_mm - right.width_mm;
        self.place(left, [0.0, top]);
        self.place(right, [at, top]);
    }

    /// Puts another block at a place.
    pub fn place(&mut self, block: Block, at: Spot) {
        self.items.extend(block.items.into_iter().map(|mut item| {
            item.shape.move_by(at);
            item
        }));
    }
}

pub(super) fn standing(word: Word) -> Standing {
    match word {
        Word::Met => Standing::Met,
        Word::Borderline => Standing::Borderline,
        Word::Unmet => Standing::Unmet,
        Word::Unknown => Standing::Unknown,
    }
}

/// Widths of columns that share a room: each as it wants where all fit; else none wider than a common
/// bound unless its longest word is; else all in proportion.
fn shared(wanted: &[f64], least: &[f64], room: f64) -> Vec<f64> {
    let must: f64 = least.iter().sum();
    if must >= room {
        return least.iter().map(|least| least * room / must.max(1e-9)).collect();
    }
    let bounded = |bound: f64| wanted.iter().zip(least).map(move |(wanted, least)| wanted.min(bound.max(*least)));
    let [mut low, mut high] = [0.0, wanted.iter().copied().fold(0.0, f64::max)];
    if bounded(high).sum::<f64>() <= room {
        return wanted.to_vec();
    }
    for _ in 0..40 {
        let middle = (low + high) / 2.0;
        if bounded(middle).sum::<f64>() <= room { low = middle } else { high = middle }
    }
    bounded(low).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn right(block: &Block) -> f64 {
        let ends = block.items.iter().filter_map(|item| match &item.shape {
            Shape::Text { at, words, .. } => Some(at[0] + width_mm(item.token, words)),
            _ => None,
        });
        ends.fold(0.0, f64::max)
    }

    #[test]
    fn nothing_runs_over_its_width() {
        for width in [12.0, 30.0, 80.0] {
            let mut block = Block::new(width);
            block.says(Token::Note, "A caution with Donaudampfschifffahrtsgesellschaften in it, and more words.");
            block.led("Unmet:", "edge clearance of the LCCA; proximal oversize of the arch graft");
            let cells =
                vec![Cell::strong("IA"), Cell::of("in the middle, axis keeps its length"), Cell::judged(Word::Unmet)];
            block.table(&["Vessel", "How it lies", "Rules"], &[cells]);
            if width > 20.0 {
                assert!(right(&block) <= width + 0.02, "{} of {width}", right(&block));
            }
        }
    }

    #[test]
    fn words_are_kept_whatever_is_broken() {
        let words = "one two three four five six seven eight nine ten";
        let lines = wrapped(Token::Note, words, 15.0, 6.0);
        assert!(lines.len() > 3);
        assert_eq!(lines.join(" ").trim(), words);
        let long = wrapped(Token::Note, "abcdefghijklmnopqrstuvwxyz", 10.0, 0.0);
        assert!(long.len() > 2);
        assert_eq!(long.concat(), "abcdefghijklmnopqrstuvwxyz");
    }

    #[test]
    fn columns_share_what_there_is() {
        assert_eq!(shared(&[10.0, 20.0], &[5.0, 5.0], 40.0), [10.0, 20.0]);
        assert!((shared(&[10.0, 30.0], &[10.0, 10.0], 30.0)[1] - 20.0).abs() < 1e-6);
        assert_eq!(shared(&[40.0, 40.0], &[20.0, 20.0], 20.0), [10.0, 10.0]);
    }
}
