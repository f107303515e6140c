//! A part of the case as rows and cells: what stands in them, and what typing in them changes.
//!
//! A table *opens* the lists it shows into rows and *closes* them again, so that a row can be what a
//! sheet has on one line even where the case holds it in pieces. What is typed is read cell by cell;
//! a row goes into the case when it holds what it needs, and only as a whole case without faults.

use super::edges::{self, TypedEdge};
use super::typed::Reading;
use crate::anatomy::edges::Reach;
use crate::casefile::case::AnatomyInput;
use crate::casefile::json::value_of;
use crate::casefile::shape::{Field, Shape};
use crate::casefile::{Case, Document, edit, fields};
use crate::fault::Faults;
use crate::units::ThreeOClock;
use serde_json::{Map, Value};

/// One row, by the keys of its columns and whatever else its part of the case holds.
pub type Row = Map<String, Value>;

/// Most lines that are pasted at once.
pub const MOST_LINES: usize = 500;

/// Under this key an anatomy is lent the pieces of its case while a table is open.
pub const PIECES: &str = "components";

/// Under this key a row remembers where it stood.
const STOOD: &str = "#";

/// Where a column's label, range and help come from.
#[derive(Clone, Copy, Debug)]
pub enum Source {
    /// A field of the case.
    At(&'static str),
    /// A field that only one kind of a list's items has: the list, the kind, the key.
    Of(&'static str, &'static str, &'static str),
    /// A field that the case holds otherwise.
    Own(&'static Field),
}

/// One column.
#[derive(Clone, Copy, Debug)]
pub struct Column {
    /// Its key in a row.
    pub key: &'static str,
    /// The words at its head.
    pub head: &'static str,
    /// What it may hold.
    pub source: Source,
    /// Whether it is an edge from which the centre is found.
    pub edge: Option<Reach>,
}

impl Column {
    /// A column of a field of the case.
    pub const fn at(key: &'static str, head: &'static str, pointer: &'static str) -> Self {
        Column { key, head, source: Source::At(pointer), edge: None }
    }

    /// The field that says what it may hold.
    pub fn field(&self) -> Option<&'static Field> {
        match self.source {
            Source::At(pointer) => fields::lookup(pointer)?.field,
            Source::Own(field) => Some(field),
            Source::Of(list, kind, key) => match fields::lookup(list)?.shape {
                Shape::Tagged(tagged) => tagged.variant(kind)?.fields.iter().find(|field| field.name == key),
                _ => None,
            },
        }
    }

    /// How its letters are read in a sheet's hand.
    pub fn reading(&self, hand: Option<ThreeOClock>) -> Option<Reading> {
        // Whether a row needs it is said by its table; each cell alone may be empty.
        self.field().map(|field| Reading { may_be_empty: true, nullable: true, ..Reading::of(field, false, hand) })
    }

    /// Whether it holds numbers: then a line without a digit is a heading.
    fn counts(&self) -> bool {
        matches!(self.field().map(|field| &field.shape), Some(Shape::Number(_)))
    }
}

/// One table.
#[derive(Debug)]
pub struct Table {
    /// Its name in markup.
    pub name: &'static str,
    /// Its title.
    pub title: &'static str,
    /// What one row is, in words.
    pub one: &'static str,
    /// Its columns.
    pub columns: &'static [Column],
    /// Whether rows can be added and removed here.
    pub grows: bool,
    /// Most rows; of some things a case has one.
    pub most: usize,
    /// What a row needs: of each of these groups of keys at least one.
    pub needs: &'static [&'static [&'static str]],
    /// The key by which rows are kept in order; empty where they stand as they were entered.
    pub order: &'static str,
    /// Beginning of the names given to rows; empty where they have none or it is typed.
    pub names: &'static str,
    /// The rows of an anatomy, for a table of this name.
    pub open: fn(&Value, &str) -> Vec<Row>,
    /// Puts rows into an anatomy, for a table of this name.
    pub close: fn(&mut Value, &str, Vec<Row>),
}

/// Cells of one row that were typed.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Written {
    /// Which row; none is a new one.
    pub row: Option<usize>,
    /// Column and letters.
    pub cells: Vec<(usize, String)>,
}

/// What is wrong with a cell, or missing from it.
#[derive(Clone, Debug, PartialEq)]
pub struct CellFault {
    /// Its column.
    pub column: usize,
    /// In one sentence.
    pub text: String,
    /// Whether it is only not there yet.
    pub missing: bool,
}

/// A case that was changed through a table.
#[derive(Clone, Debug)]
pub struct Applied {
    /// The case.
    pub case: Case,
    /// Where each row that was there stands now; none where it was removed.
    pub moved: Vec<Option<usize>>,
    /// Where each written row stands now.
    pub at: Vec<usize>,
}

/// The lists of an anatomy, from which tables open their rows. Points are left out.
pub fn lists(case: &Case) -> Value {
    let anatomy = AnatomyInput { centreline: None, ..(*case.anatomy).clone() };
    let mut lists = value_of(&anatomy);
    lists[PIECES] = value_of(&case.components);
    lists
}

/// Moves the pieces of a case into its anatomy, or back.
fn lend(from: &mut Value, lent: bool) {
    let pieces = if lent { from[PIECES].take() } else { from["anatomy"][PIECES].take() };
    if lent {
        from["anatomy"][PIECES] = pieces;
    } else if let Some(anatomy) = from["anatomy"].as_object_mut() {
        anatomy.remove(PIECES);
        from[PIECES] = pieces;
    }
}

impl Table {
    /// The rows of an anatomy.
    pub fn rows(&self, anatomy: &Value) -> Vec<Row> {
        (self.open)(anatomy, self.name)
    }

    /// The column with a key.
    pub fn column(&self, key: &str) -> Option<usize> {
        self.columns.iter().position(|column| column.key == key)
    }

    /// The letters of a cell as they stand in it.
    pub fn letters(&self, row: &Row, column: usize, hand: Option<ThreeOClock>) -> String {
        let Some(column) = self.columns.get(column) else { return String::new() };
        match (row.get(column.key), column.reading(hand)) {
            (Some(value), Some(reading)) => reading.letters(value),
            _ => String::new(),
        }
    }

    /// What is wrong with cells by themselves, and what their row lacks: seen without the case.
    pub fn check(&self, row: Option<&Row>, cells: &[(usize, String)], hand: Option<ThreeOClock>) -> Vec<CellFault> {
        match self.row(row, cells, hand) {
            Ok(_) => Vec::new(),
            Err(faults) => faults,
        }
    }

    /// A row with cells filled in.
    fn row(
        &self,
        row: Option<&Row>,
        cells: &[(usize, String)],
        hand: Option<ThreeOClock>,
    ) -> Result<Row, Vec<CellFault>> {
        let mut filled = row.cloned().unwrap_or_default();
        let mut faults = Vec::new();
        for (place, letters) in cells {
            let Some((column, reading)) = self.columns.get(*place).and_then(|c| Some((c, c.reading(hand)?))) else {
                continue;
            };
            match reading.value(letters) {
                Ok(Value::Null) => drop(filled.remove(column.key)),
                Ok(value) => drop(filled.insert(column.key.into(), value)),
                Err(text) => faults.push(CellFault { column: *place, text, missing: false }),
            }
        }
        let bad = |key: &str| faults.iter().any(|fault| self.columns[fault.column].key == key);
        let lacking: Vec<_> = self
            .needs
            .iter()
            .filter(|group| !group.iter().any(|key| filled.get(*key).is_some_and(|v| !v.is_null()) || bad(key)))
            .map(|group| {
                let names: Vec<&str> = group
                    .iter()
                    .filter_map(|key| self.columns.get(self.column(key)?)?.field())
                    .map(|f| f.label)
                    .collect();
                let column = group.first().and_then(|key| self.column(key)).unwrap_or(0);
                CellFault {
                    column,
                    text: format!("Still missing: {}.", names.join(" or ").to_lowercase()),
                    missing: true,
                }
            })
            .collect();
        faults.extend(lacking);
        if faults.is_empty() { Ok(filled) } else { Err(faults) }
    }

    /// The case with cells filled in, in one or more rows.
    ///
    /// # Errors
    /// What is wrong with the cells or missing from their rows, row by row, or with the case as it
    /// would be.
    pub fn apply(&self, case: &Case, written: &[Written]) -> Result<Applied, Vec<(usize, CellFault)>> {
        let hand = case.clock.three_oclock_is;
        let last_cell = |k: usize| written.get(k).and_then(|w| w.cells.last()).map_or(0, |(column, _)| *column);
        let whole = |text: String| vec![(0, CellFault { column: last_cell(0), text, missing: false })];
        let mut value = value_of(case);
        lend(&mut value, true);
        let mut rows = tagged(self.rows(&value["anatomy"]));
        let before = rows.len();
        let mut faults = Vec::new();
        let mut typed_edges = Vec::new();
        for (k, one) in written.iter().enumerate() {
            let there = one.row.and_then(|row| rows.get(row));
            match self.row(there, &one.cells, hand) {
                Err(own) => faults.extend(own.into_iter().map(|fault| (k, fault))),
                Ok(mut row) => {
                    if !self.names.is_empty() && !row.contains_key("id") {
                        row.insert("id".into(), free_name(self.names, &value, &rows).into());
                    }
                    match self.take_edge(&mut row, one.row.is_none()) {
                        Ok(Some(edge)) => typed_edges.push((k, edge)),
                        Ok(None) => {}
                        Err(fault) => faults.push((k, fault)),
                    }
                    match one.row.and_then(|place| rows.get_mut(place)) {
                        Some(there) => *there = row,
                        None => {
                            row.insert(STOOD.into(), (before + k).into());
                            rows.push(row);
                        }
                    }
                }
            }
        }
        if rows.len() > self.most && before < rows.len() {
            return Err(whole(format!("A case has {} {} at most.", self.most, self.one)));
        }
        if !faults.is_empty() {
            return Err(faults);
        }
        let places = self.close(&mut value, rows);
        let changed = Document::case_of(value).map_err(|faults| whole(first(faults)))?;
        let edges: Vec<TypedEdge> = typed_edges.iter().map(|(_, (edge, _))| edge.clone()).collect();
        let mut changed = edges::centred(changed, &edges).map_err(|unknown| {
            let (k, (_, column)) = typed_edges.first().cloned().unwrap_or_else(|| (0, no_edge()));
            let text = format!("The centre cannot be found from the edge yet. {}", unknown.0);
            vec![(k, CellFault { column, text, missing: true })]
        })?;
        edit::share(case, &mut changed);
        let place = |stood: usize| places.iter().find(|(was, _)| *was == stood).map(|(_, now)| *now);
        let at = written.iter().enumerate().map(|(k, one)| place(one.row.unwrap_or(before + k)).unwrap_or(0)).collect();
        Ok(Applied { case: changed, moved: (0..before).map(place).collect(), at })
    }

    /// The case without a row.
    ///
    /// # Errors
    /// What is wrong with the case as it would be.
    pub fn remove(&self, case: &Case, row: usize) -> Result<Applied, String> {
        let mut value = value_of(case);
        lend(&mut value, true);
        let mut rows = tagged(self.rows(&value["anatomy"]));
        let before = rows.len();
        if row >= before {
            return Err("There is no such row.".into());
        }
        rows.remove(row);
        let places = self.close(&mut value, rows);
        let mut changed = Document::case_of(value).map_err(first)?;
        edit::share(case, &mut changed);
        let place = |stood: usize| places.iter().find(|(was, _)| *was == stood).map(|(_, now)| *now);
        Ok(Applied { case: changed, moved: (0..before).map(place).collect(), at: Vec::new() })
    }

    /// Closes rows into a case; gives where each stood and stands now.
    fn close(&self, case: &mut Value, mut rows: Vec<Row>) -> Vec<(usize, usize)> {
        let key = |row: &Row| row.get(self.order).and_then(Value::as_f64);
        if !self.order.is_empty() {
            rows.sort_by(|a, b| key(a).unwrap_or(f64::MAX).total_cmp(&key(b).unwrap_or(f64::MAX)));
        }
        let mut places = Vec::with_capacity(rows.len());
        let mut now = 0;
        let mut last: Option<f64> = None;
        for row in &mut rows {
            // Rows of one station are one row.
            let same = !self.order.is_empty() && last.is_some() && key(row) == last;
            now += usize::from(!places.is_empty() && !same);
            last = key(row);
            let stood = row.remove(STOOD).and_then(|stood| stood.as_u64()).unwrap_or(0);
            places.push((stood as usize, now));
        }
        if let Some(anatomy) = case.get_mut("anatomy") {
            (self.close)(anatomy, self.name, rows);
        }
        lend(case, false);
        places
    }

    /// Takes a typed edge out of a row, with the column it was typed in.
    fn take_edge(&self, row: &mut Row, fresh: bool) -> Result<Option<(TypedEdge, usize)>, CellFault> {
        let mut typed = None;
        let centred = fresh && row.contains_key("station_mm");
        for (place, column) in self.columns.iter().enumerate() {
            let Some(edge) = column.edge else { continue };
            let Some(station_mm) = row.remove(column.key).and_then(|value| value.as_f64()) else { continue };
            if typed.is_some() || centred {
                let text = "Give one of the edges or the centre, not several.".to_owned();
                return Err(CellFault { column: place, text, missing: false });
            }
            let ostium = row.get("id").and_then(Value::as_str).unwrap_or_default().to_owned();
            row.insert("station_mm".into(), station_mm.into());
            typed = Some((TypedEdge { ostium, edge, station_mm }, place));
        }
        Ok(typed)
    }

    /// A block of cells as a spreadsheet gives it, without a first line of headings.
    ///
    /// # Errors
    /// That there is too much of it.
    pub fn block(&self, from_column: usize, text: &str) -> Result<Vec<Vec<(usize, String)>>, String> {
        let lines: Vec<&str> = text.lines().filter(|line| !line.trim().is_empty()).take(MOST_LINES + 2).collect();
        let cells = |line: &&str| -> Vec<(usize, String)> {
            let bare = |cell: &str| cell.trim().trim_matches('"').trim().to_owned();
            line.split('\t').enumerate().map(|(k, cell)| (from_column + k, bare(cell))).collect()
        };
        let mut block: Vec<_> = lines.iter().map(cells).collect();
        let heading = block.first().is_some_and(|first| {
            let counts = |place: &usize| self.columns.get(*place).is_some_and(Column::counts);
            first.iter().any(|(place, _)| counts(place))
                && !first.iter().any(|(_, cell)| cell.bytes().any(|byte| byte.is_ascii_digit()))
        });
        if heading {
            block.remove(0);
        }
        if block.len() > MOST_LINES {
            return Err(format!("More than {MOST_LINES} lines were pasted. Paste them in parts."));
        }
        if let Some(line) = block.iter().find(|line| line.len() + from_column > self.columns.len()) {
            return Err(format!(
                "What was pasted is {} columns wide; from here on the table has {}. Paste it further to the left, or fewer columns.",
                line.len(),
                self.columns.len() - from_column.min(self.columns.len())
            ));
        }
        Ok(block)
    }
}

fn no_edge() -> (TypedEdge, usize) {
    (TypedEdge { ostium: String::new(), edge: Reach::UpstreamEdge, station_mm: 0.0 }, 0)
}

/// Rows that remember where they stand.
fn tagged(mut rows: Vec<Row>) -> Vec<Row> {
    for (place, row) in rows.iter_mut().enumerate() {
        row.insert(STOOD.into(), place.into());
    }
    rows
}

/// The first fault in one sentence or two.
fn first(faults: Faults) -> String {
    faults.faults.into_iter().next().map(|fault| format!("{} {}", fault.text, fault.mend)).unwrap_or_default()
}

/// A name that nothing in the case bears: the beginning and a number.
fn free_name(begin: &str, case: &Value, rows: &[Row]) -> String {
    let taken =
        |name: &str| bears(case, name) || rows.iter().any(|row| row.get("id").and_then(Value::as_str) == Some(name));
    (1..).map(|count| format!("{begin}{count}")).find(|name| !taken(name)).unwrap_or_default()
}

/// Whether something inside bears an id. Points have none and are passed over.
fn bears(value: &Value, name: &str) -> bool {
    match value {
        Value::Object(map) => {
            map.get("id").and_then(Value::as_str) == Some(name)
                || map.iter().any(|(key, inner)| key != "centreline" && key != "lumen" && bears(inner, name))
        }
        Value::Array(items) => items.iter().any(|item| bears(item, name)),
        _ => false,
    }
}
