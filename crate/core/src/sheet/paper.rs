//! Paper, and blocks that flow over its pages: column by column, page by page, each page with its head
//! and foot.

use super::block::Block;
use super::{Source, foot};
use crate::message;
use crate::report::words;
use crate::scene::lettering::Extent;
use crate::scene::style::{Medium, Token};
use crate::scene::{Anchor, Scene};

/// Paper of the sheets, landscape.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Paper {
    /// 297 × 210 mm.
    #[default]
    A4,
    /// 279.4 × 215.9 mm.
    Letter,
}

/// Margins left and right, and above and below, mm.
const MARGIN_MM: [f64; 2] = [10.0, 9.0];
/// Between columns, mm.
const COLUMN_GAP_MM: f64 = 9.0;
/// Between blocks, mm.
const BLOCK_GAP_MM: f64 = 3.0;

/// Names of the scenes: unique in a document, one a page. What does not fit on so many is not printed,
/// and no case comes near.
const NAMES: [&str; 48] = [
    "sheet1", "sheet2", "sheet3", "sheet4", "sheet5", "sheet6", "sheet7", "sheet8", "sheet9", "sheet10", "sheet11",
    "sheet12", "sheet13", "sheet14", "sheet15", "sheet16", "sheet17", "sheet18", "sheet19", "sheet20", "sheet21",
    "sheet22", "sheet23", "sheet24", "sheet25", "sheet26", "sheet27", "sheet28", "sheet29", "sheet30", "sheet31",
    "sheet32", "sheet33", "sheet34", "sheet35", "sheet36", "sheet37", "sheet38", "sheet39", "sheet40", "sheet41",
    "sheet42", "sheet43", "sheet44", "sheet45", "sheet46", "sheet47", "sheet48",
];

impl Paper {
    /// Its name in markup and on the command line.
    pub fn name(self) -> &'static str {
        match self {
            Paper::A4 => "a4",
            Paper::Letter => "letter",
        }
    }

    /// The paper of a name.
    pub fn named(name: &str) -> Option<Paper> {
        [Paper::A4, Paper::Letter].into_iter().find(|paper| paper.name() == name)
    }

    /// Width and height, mm.
    pub fn size_mm(self) -> [f64; 2] {
        match self {
            Paper::A4 => [297.0, 210.0],
            Paper::Letter => [279.4, 215.9],
        }
    }

    /// What its margins leave, mm.
    pub(super) fn room(self) -> Extent {
        let ([width, height], [side, above]) = (self.size_mm(), MARGIN_MM);
        Extent { left: side, top: above, right: width - side, bottom: height - above }
    }

    pub(super) fn room_mm(self) -> [f64; 2] {
        let room = self.room();
        [room.right - room.left, room.bottom - room.top]
    }
}

/// A page in the making: what lies within its margins, and its title for those who cannot see it.
#[derive(Debug)]
pub(super) struct Leaf {
    pub title: String,
    pub block: Block,
}

/// Pages behind the first, filled column by column.
pub(super) struct Leaves<'a> {
    source: &'a Source<'a>,
    paper: Paper,
    pub done: Vec<Leaf>,
    title: String,
    /// Whether head and foot are as short as can be.
    short: bool,
    columns: usize,
    column: usize,
    /// Where columns begin and end on the page that is being filled.
    top_mm: f64,
    bottom_mm: f64,
    /// How far down the column is filled.
    y_mm: f64,
}

impl<'a> Leaves<'a> {
    pub fn new(source: &'a Source<'a>, paper: Paper) -> Self {
        Leaves {
            source,
            paper,
            done: Vec::new(),
            title: String::new(),
            short: false,
            columns: 1,
            column: 0,
            top_mm: 0.0,
            bottom_mm: 0.0,
            y_mm: 0.0,
        }
    }

    /// Begins pages of a kind.
    pub fn begin(&mut self, title: &str, columns: usize) {
        (self.title, self.columns, self.short) = (title.to_owned(), columns, false);
        self.turn();
    }

    /// Begins a page of one column whose head and foot leave as much as can be.
    pub fn begin_large(&mut self, title: &str) {
        (self.title, self.columns, self.short) = (title.to_owned(), 1, true);
        self.turn();
    }

    /// Width of a column, mm.
    pub fn column_mm(&self) -> f64 {
        let [width, _] = self.paper.room_mm();
        (width - COLUMN_GAP_MM * (self.columns - 1) as f64) / self.columns as f64
    }

    /// Room that is left in the column, mm.
    pub fn left_mm(&self) -> [f64; 2] {
        [self.column_mm(), self.bottom_mm - self.y_mm]
    }

    /// Puts a block where there is room for it.
    pub fn put(&mut self, block: Block) {
        if self.y_mm + block.height_mm > self.bottom_mm && self.y_mm > self.top_mm {
            self.next_column();
        }
        let x = (self.column_mm() + COLUMN_GAP_MM) * self.column as f64;
        let y = self.y_mm;
        self.y_mm += block.height_mm + BLOCK_GAP_MM;
        if let Some(leaf) = self.done.last_mut() {
            leaf.block.place(block, [x, y]);
        }
    }

    /// The same without space above it.
    pub fn put_close(&mut self, block: Block) {
        if self.y_mm > self.top_mm {
            self.y_mm -= BLOCK_GAP_MM;
        }
        self.put(block);
    }

    /// Goes on at the top of the next column, or page.
    fn next_column(&mut self) {
        self.column += 1;
        self.y_mm = self.top_mm;
        if self.column >= self.columns {
            self.turn();
        }
    }

    fn turn(&mut self) {
        let (leaf, top, bottom) = framed(self.source, self.paper, &self.title, self.short);
        self.done.push(leaf);
        (self.column, self.top_mm, self.bottom_mm, self.y_mm) = (0, top, bottom, top);
    }
}

/// An empty page with head and foot, and where the room between them begins and ends, mm.
fn framed(source: &Source<'_>, paper: Paper, title: &str, short: bool) -> (Leaf, f64, f64) {
    let [width, height] = paper.room_mm();
    let plan = source.plan;
    let mut head = Block::new(width);
    let label = if plan.case.label.is_empty() { "case without a label" } else { &plan.case.label };
    head.says(Token::Name, &format!("{title}: {label}"));
    let mut heads: Vec<&str> = Vec::new();
    heads.extend(plan.is_rough().then_some(message::ROUGH));
    heads.extend(plan.case.invented.then_some(message::INVENTED));
    let line = words::head_line(plan);
    let line = if short { "" } else { line.as_str() };
    if !short || !heads.is_empty() {
        head.led(&heads.join(" "), line);
    }
    head.gap(0.5);
    head.rule();
    head.gap(if short { 0.0 } else { 2.0 });
    let foot = foot(source, width, short);
    let (top, bottom) = (head.height_mm, height - foot.height_mm);
    let mut block = Block::new(width);
    block.place(head, [0.0, 0.0]);
    block.place(foot, [0.0, bottom]);
    (Leaf { title: title.to_owned(), block }, top, bottom - 1.0)
}

/// The pages as scenes of the whole paper, numbered.
pub(super) fn scenes(source: &Source<'_>, paper: Paper, first: Leaf, leaves: Leaves<'_>) -> Vec<Scene> {
    let [width_mm, height_mm] = paper.size_mm();
    let room = paper.room();
    let all: Vec<Leaf> = std::iter::once(first).chain(leaves.done).collect();
    let count = all.len().min(NAMES.len());
    let pages = all.into_iter().zip(NAMES).enumerate();
    pages
        .map(|(page, (leaf, name))| {
            let mut whole = Block::new(width_mm);
            whole.place(leaf.block, [room.left, room.top]);
            let number = format!("page {} of {count}", page + 1);
            whole.put(Token::MutedNote, [room.right, room.bottom + 2.9], Anchor::End, &number);
            Scene {
                name,
                width_mm,
                height_mm,
                medium: Medium::Paper,
                title: format!("{}, page {} of {count}", leaf.title, page + 1),
                description: words::head_line(source.plan),
                items: whole.items,
                ground: 0,
            }
        })
        .collect()
}
