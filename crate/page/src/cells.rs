//! What typing in the tables means: rows that are begun, cells that do not fit, what is pasted.
//!
//! A row that lacks something stays *begun*, beside the case, until it is whole; letters that do not
//! fit stay in their cell with what is wrong. Nothing of either ever reaches the case. Knows no
//! browser; reading and checking are the library's.

use crate::state::Refused;
use extrados::casefile::Case;
use extrados::entry::table::{self, Applied, CellFault, Table, Written};
use extrados::entry::tables::{self, TABLES};
use std::collections::BTreeMap;
use std::sync::Arc;

/// A row that is begun: the letters of its cells.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Begun {
    /// One for each column.
    pub cells: Vec<String>,
    /// What the case has against it as a whole, with the column it is said at.
    pub fault: Option<(usize, String)>,
}

impl Begun {
    fn written(&self) -> Written {
        let filled = self.cells.iter().enumerate().filter(|(_, letters)| !letters.trim().is_empty());
        Written { row: None, cells: filled.map(|(column, letters)| (column, letters.clone())).collect() }
    }

    /// What is wrong with it or missing from it.
    pub fn faults(&self, table: &Table, case: &Case) -> Vec<CellFault> {
        let mut faults = table.check(None, &self.written().cells, case.clock.three_oclock_is);
        faults.extend(self.fault.iter().map(|(column, text)| CellFault {
            column: *column,
            text: text.clone(),
            missing: false,
        }));
        faults
    }
}

/// Begun rows by the name of their table.
pub type Drafts = BTreeMap<String, Vec<Begun>>;

/// A cell as it stands on the page: rows of the case first, then those that are begun, then an empty one.
#[derive(Clone, Copy, Debug)]
pub struct At {
    /// The table.
    pub table: &'static Table,
    /// The row as it is shown.
    pub row: usize,
    /// The column.
    pub column: usize,
}

impl At {
    /// The cell of an address in markup: `lumen:3:area_mm`.
    pub fn read(address: &str) -> Option<At> {
        let mut parts = address.split(':');
        let table = tables::named(parts.next()?)?;
        let row = parts.next()?.parse().ok()?;
        Some(At { table, row, column: table.column(parts.next()?)? })
    }

    /// Its address in markup.
    pub fn address(&self) -> String {
        format!("{}:{}:{}", self.table.name, self.row, self.table.columns[self.column].key)
    }

    /// Its id in markup.
    pub fn id(&self) -> String {
        format!("cell-{}-{}-{}", self.table.name, self.row, self.table.columns[self.column].key)
    }
}

/// The case with everything that is typed around it.
#[derive(Clone, Debug)]
pub struct Desk {
    /// The case.
    pub case: Arc<Case>,
    /// Rows that are begun.
    pub drafts: Arc<Drafts>,
    /// Letters that do not fit, by the address of their cell or the pointer of their field.
    pub refused: Vec<Refused>,
}

/// What came of a paste.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Pasted {
    /// Lines that were pasted.
    pub lines: usize,
    /// Lines that need a look: begun rows and refused cells among them.
    pub faulty: usize,
}

impl Desk {
    /// Rows that the case has in a table.
    fn count(&self, table: &Table) -> usize {
        table.rows(&table::lists(&self.case)).len()
    }

    /// Types letters into a cell. Gives where its row stands afterwards.
    pub fn write(&mut self, at: At, letters: &str) -> usize {
        let count = self.count(at.table);
        let landed = if at.row < count {
            self.write_row(at, letters)
        } else {
            let begun = self.begin(at.table, at.row - count, &[(at.column, letters.to_owned())]);
            let Some(written) = begun else { return at.row.min(count) };
            match self.complete(at.table, written) {
                Some(place) => place,
                None => count + written,
            }
        };
        self.settle();
        landed
    }

    /// A cell of a row of the case, together with what waits in the row's other cells.
    fn write_row(&mut self, at: At, letters: &str) -> usize {
        let address = at.address();
        self.refused.retain(|refused| refused.pointer != address);
        let own = (at.column, letters.to_owned());
        let mut together: Vec<(usize, String)> =
            self.waiting(at.table, at.row).map(|(c, typed)| (c, typed.to_owned())).collect();
        together.push(own.clone());
        let alone = Written { row: Some(at.row), cells: vec![own] };
        let waits = together.len() > 1;
        match at.table.apply(&self.case, &[Written { row: Some(at.row), cells: together }]) {
            Ok(applied) => {
                self.refused.retain(|refused| At::read(&refused.pointer).is_none_or(|o| !same_row(&o, &at)));
                return self.take(at.table, applied);
            }
            Err(faults) if !waits => return self.refuse(at, letters, faults),
            Err(_) => {}
        }
        match at.table.apply(&self.case, &[alone]) {
            Ok(applied) => self.take(at.table, applied),
            Err(faults) => self.refuse(at, letters, faults),
        }
    }

    fn refuse(&mut self, at: At, letters: &str, faults: Vec<(usize, CellFault)>) -> usize {
        let own = faults.iter().find(|(_, fault)| fault.column == at.column).or(faults.first());
        let fault = own.map(|(_, fault)| fault.text.clone()).unwrap_or_default();
        self.refused.push(Refused { pointer: at.address(), typed: letters.into(), fault });
        at.row
    }

    /// Letters that wait in the cells of a row.
    fn waiting(&self, table: &'static Table, row: usize) -> impl Iterator<Item = (usize, &str)> {
        let here = move |at: &At| at.table.name == table.name && at.row == row;
        self.refused.iter().filter_map(move |refused| {
            let at = At::read(&refused.pointer).filter(here)?;
            Some((at.column, refused.typed.as_str()))
        })
    }

    /// Takes over a changed case; what is refused stays with its row.
    fn take(&mut self, table: &'static Table, applied: Applied) -> usize {
        self.case = Arc::new(applied.case);
        self.refused.retain_mut(|refused| match At::read(&refused.pointer) {
            Some(at) if at.table.name == table.name => match applied.moved.get(at.row) {
                Some(Some(row)) => {
                    refused.pointer = At { row: *row, ..at }.address();
                    true
                }
                _ => false,
            },
            _ => true,
        });
        applied.at.first().copied().unwrap_or(0)
    }

    /// Puts letters into a begun row; gives its place among them, none where it is empty again.
    fn begin(&mut self, table: &Table, place: usize, cells: &[(usize, String)]) -> Option<usize> {
        let drafts = Arc::make_mut(&mut self.drafts);
        let rows = drafts.entry(table.name.into()).or_default();
        let place = place.min(rows.len());
        if place == rows.len() {
            rows.push(Begun { cells: vec![String::new(); table.columns.len()], fault: None });
        }
        for (column, letters) in cells {
            if let Some(cell) = rows[place].cells.get_mut(*column) {
                *cell = letters.trim().to_owned();
            }
        }
        let empty = rows[place].cells.iter().all(String::is_empty);
        if empty {
            rows.remove(place);
        }
        if rows.is_empty() {
            drafts.remove(table.name);
        }
        (!empty).then_some(place)
    }

    /// Puts a begun row into the case where it is whole; gives where it stands.
    fn complete(&mut self, table: &'static Table, place: usize) -> Option<usize> {
        let begun = self.drafts.get(table.name)?.get(place)?;
        let written = begun.written();
        if !table.check(None, &written.cells, self.case.clock.three_oclock_is).is_empty() {
            self.say(table, place, None);
            return None;
        }
        match table.apply(&self.case, &[written]) {
            Ok(applied) => {
                self.forget(table, &[place]);
                Some(self.take(table, applied))
            }
            Err(faults) => {
                let fault = faults.into_iter().next().map(|(_, fault)| (fault.column, fault.text));
                self.say(table, place, fault);
                None
            }
        }
    }

    fn say(&mut self, table: &Table, place: usize, fault: Option<(usize, String)>) {
        let begun = self.drafts.get(table.name).and_then(|rows| rows.get(place));
        if begun.is_some_and(|begun| begun.fault != fault)
            && let Some(rows) = Arc::make_mut(&mut self.drafts).get_mut(table.name)
        {
            rows[place].fault = fault;
        }
    }

    fn forget(&mut self, table: &Table, places: &[usize]) {
        let drafts = Arc::make_mut(&mut self.drafts);
        if let Some(rows) = drafts.get_mut(table.name) {
            let mut place = 0;
            rows.retain(|_| {
                place += 1;
                !places.contains(&(place - 1))
            });
            if rows.is_empty() {
                drafts.remove(table.name);
            }
        }
    }

    /// Puts every begun row that has become whole into the case: what was missing may have come from
    /// anywhere. Rows of a table go in together where they can, since edges are found together.
    pub fn settle(&mut self) {
        if self.drafts.is_empty() {
            return;
        }
        for table in TABLES {
            let hand = self.case.clock.three_oclock_is;
            let rows = self.drafts.get(table.name).map_or(&[][..], Vec::as_slice);
            let whole: Vec<(usize, Written)> = rows
                .iter()
                .map(Begun::written)
                .enumerate()
                .filter(|(_, written)| table.check(None, &written.cells, hand).is_empty())
                .collect();
            if whole.is_empty() {
                continue;
            }
            let (places, written): (Vec<usize>, Vec<Written>) = whole.into_iter().unzip();
            if let Ok(applied) = table.apply(&self.case, &written) {
                self.forget(table, &places);
                self.take(table, applied);
                continue;
            }
            // From the last, so that the places of the others stay.
            for place in places.into_iter().rev() {
                self.complete(table, place);
            }
        }
    }

    /// Pastes a block of cells.
    ///
    /// # Errors
    /// Why it cannot be pasted here at all.
    pub fn paste(&mut self, at: At, text: &str) -> Result<Pasted, String> {
        let block = at.table.block(at.column, text)?;
        let count = self.count(at.table);
        if !at.table.grows && at.row + block.len() > count {
            return Err(format!(
                "{} lines were pasted, but from here on the table has {} rows.",
                block.len(),
                count - at.row.min(count)
            ));
        }
        let lines = block.len();
        let (into_rows, new): (Vec<_>, Vec<_>) =
            block.into_iter().enumerate().map(|(k, cells)| (at.row + k, cells)).partition(|(row, _)| *row < count);
        self.paste_into(at.table, into_rows);
        for (row, cells) in new {
            self.begin(at.table, row - count, &cells);
        }
        self.settle();
        let refused =
            self.refused.iter().filter_map(|r| At::read(&r.pointer)).filter(|o| o.table.name == at.table.name);
        let mut rows: Vec<usize> = refused.map(|at| at.row).collect();
        rows.dedup();
        let begun = self.drafts.get(at.table.name).map_or(0, Vec::len);
        Ok(Pasted { lines, faulty: rows.len() + begun })
    }

    /// Cells of rows that the case has: together where they fit, else one by one.
    fn paste_into(&mut self, table: &'static Table, lines: Vec<(usize, Vec<(usize, String)>)>) {
        let written: Vec<Written> =
            lines.iter().map(|(row, cells)| Written { row: Some(*row), cells: cells.clone() }).collect();
        if written.is_empty() {
            return;
        }
        if let Ok(applied) = table.apply(&self.case, &written) {
            self.take(table, applied);
            return;
        }
        // Where each row stands now: writing in one may move the others.
        let mut now: Vec<usize> = (0..self.count(table)).collect();
        for (row, cells) in lines {
            for (column, letters) in cells {
                let before = self.case.clone();
                let at = At { table, row: now[row], column };
                let landed = self.write_row(at, &letters);
                if !Arc::ptr_eq(&before, &self.case) && landed != at.row {
                    let moved = |place: usize| match place {
                        place if place == at.row => landed,
                        place if place > at.row && place <= landed => place - 1,
                        place if place < at.row && place >= landed => place + 1,
                        place => place,
                    };
                    now.iter_mut().for_each(|place| *place = moved(*place));
                }
            }
        }
    }

    /// Removes a row.
    ///
    /// # Errors
    /// Why the case needs it.
    pub fn remove(&mut self, at: At) -> Result<(), String> {
        let count = self.count(at.table);
        if at.row < count {
            let applied = at.table.remove(&self.case, at.row)?;
            self.take(at.table, applied);
        } else {
            self.forget(at.table, &[at.row - count]);
        }
        Ok(())
    }
}

fn same_row(one: &At, other: &At) -> bool {
    one.table.name == other.table.name && one.row == other.row
}

#[cfg(test)]
mod tests {
    use super::*;

    fn desk() -> Desk {
        Desk { case: Arc::default(), drafts: Arc::default(), refused: Vec::new() }
    }

    fn at(address: &str) -> At {
        At::read(address).expect("a cell")
    }

    #[test]
    fn a_row_is_begun_until_it_is_whole() {
        let mut desk = desk();
        assert_eq!(desk.write(at("lumen:0:station_mm"), "40"), 0);
        let begun = &desk.drafts["lumen"][0];
        let faults = begun.faults(at("lumen:0:station_mm").table, &desk.case);
        assert!(faults.len() == 1 && faults[0].missing, "{faults:?}");
        assert_eq!(desk.write(at("lumen:0:area_mm"), "33,5"), 0);
        assert!(desk.drafts.is_empty() && desk.case.anatomy.lumen.len() == 1);
        desk.write(at("lumen:1:area_mm"), "35");
        assert_eq!(desk.write(at("lumen:1:station_mm"), "0"), 0, "a whole row goes to its place");
        desk.write(at("lumen:2:area_mm"), "35");
        desk.write(at("lumen:2:area_mm"), " ");
        assert!(desk.drafts.is_empty(), "an emptied row is none");
    }

    #[test]
    fn two_cells_that_need_each_other_wait_for_each_other() {
        let mut desk = desk();
        desk.write(at("lumen:0:station_mm"), "40");
        desk.write(at("lumen:0:area_mm"), "33");
        desk.write(at("lumen:0:largest_mm"), "36");
        assert_eq!((desk.refused.len(), desk.case.anatomy.lumen.len()), (1, 1));
        assert!(desk.refused[0].fault.contains("smallest_mm"), "{}", desk.refused[0].fault);
        desk.write(at("lumen:0:smallest_mm"), "31");
        assert_eq!((desk.refused.len(), desk.case.anatomy.lumen.len()), (0, 2));
    }

    #[test]
    fn a_bad_cell_keeps_its_letters_and_moves_with_its_row() {
        let mut desk = desk();
        for (row, station) in ["10", "20"].iter().enumerate() {
            desk.write(At { row, ..at("lumen:0:station_mm") }, station);
            desk.write(At { row, ..at("lumen:0:area_mm") }, "33");
        }
        desk.write(at("lumen:0:area_mm"), "wide");
        assert_eq!(desk.refused[0].typed, "wide");
        assert_eq!(desk.write(at("lumen:0:station_mm"), "30"), 1);
        assert_eq!(desk.refused[0].pointer, "lumen:1:area_mm");
        let before = desk.case.clone();
        desk.write(at("lumen:1:area_mm"), "34");
        assert!(desk.refused.is_empty() && desk.case != before);
    }

    #[test]
    fn what_a_row_waited_for_may_come_from_another_table() {
        let mut desk = desk();
        desk.write(at("vessels:0:id"), "LV");
        desk.write(at("vessels:0:from"), "o1");
        assert!(desk.drafts["vessels"][0].fault.as_ref().is_some_and(|(_, text)| text.contains("o1")));
        desk.write(at("ostia:0:vessels"), "LSA");
        desk.write(at("ostia:0:station_mm"), "90");
        assert!(desk.drafts.is_empty(), "{:?}", desk.drafts);
        assert_eq!(desk.case.anatomy.vessels.len(), 2);
    }

    #[test]
    fn thirty_lines_are_pasted_and_the_bad_ones_stay_to_be_mended() {
        let mut desk = desk();
        let line =
            |k: i32| format!("{}\t{}\r\n", k * 5, if k == 7 { "broad".into() } else { format!("3{},5", k % 10) });
        let text: String = (0..30).map(line).collect();
        let pasted = desk.paste(at("lumen:0:station_mm"), &format!("Station\tDiameter\n{text}")).unwrap();
        assert_eq!(pasted, Pasted { lines: 30, faulty: 1 });
        assert_eq!((desk.case.anatomy.lumen.len(), desk.drafts["lumen"].len()), (29, 1));
        desk.write(at("lumen:29:area_mm"), "33");
        assert_eq!((desk.case.anatomy.lumen.len(), desk.drafts.len()), (30, 0));
        let again = desk.paste(at("lumen:28:station_mm"), "140\t30\n145\twide\n150\t29").unwrap();
        assert_eq!(again, Pasted { lines: 3, faulty: 1 });
        assert_eq!(desk.case.anatomy.lumen.len(), 31);
        assert_eq!(desk.refused[0].pointer, "lumen:29:area_mm");
        assert!(desk.paste(at("hanging:0:carries"), "left carotid\nright carotid").is_err());
    }

    #[test]
    fn a_row_is_removed_unless_the_case_needs_it() {
        let mut desk = desk();
        for (cell, letters) in [("vessels", "LSA"), ("station_mm", "90")] {
            desk.write(at(&format!("ostia:0:{cell}")), letters);
        }
        for (cell, letters) in [("kind", "ligation"), ("from", "LSA"), ("to", "LSA")] {
            desk.write(at(&format!("bypasses:0:{cell}")), letters);
        }
        assert_eq!(desk.case.anatomy.bypasses.len(), 1);
        assert!(desk.remove(at("ostia:0:vessels")).unwrap_err().contains("LSA"));
        desk.remove(at("bypasses:0:kind")).unwrap();
        desk.remove(at("ostia:0:vessels")).unwrap();
        assert_eq!(*desk.case, Case::default());
    }
}
