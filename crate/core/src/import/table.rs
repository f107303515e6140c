//! Reader of CSV: a centreline with its width, or ostia as measured.
//!
//! Separators comma, semicolon and tab; a decimal comma where the comma does not separate. The
//! columns are known by their headers, whose names carry the unit.

use super::axes::clip;
use super::line::{RawLine, Widths};
use super::polydata::{MOST_POINTS, number_fault, too_many};
use crate::casefile::fields::ranges::{CLOCK, OPENING, STATION, TAKEOFF, TURN};
use crate::casefile::shape::{Range, is_id};
use crate::fault::{Fault, Faults};
use crate::units::Angle;
use csv::{ByteRecord, ReaderBuilder};

const CENTRELINE: &str = "x_mm,y_mm,z_mm[,radius_mm | largest_mm,smallest_mm]";
const OSTIA: &str = "id,station_mm,clock_deg,diameter_mm[,takeoff_deg,lean_deg]";

/// Most columns of a table.
const MOST_COLUMNS: usize = 50;
/// Most ostia of a table.
const MOST_OSTIA: usize = 50;

/// What a CSV file holds.
#[derive(Clone, Debug)]
pub(super) enum Table {
    Centreline(RawLine),
    Ostia(Vec<OstiumRow>),
}

/// One row of a table of ostia. What was left empty is `None`.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct OstiumRow {
    /// Place in the file.
    pub place: String,
    pub id: String,
    pub station_mm: f64,
    /// As typed: the hand of the sheet is not applied.
    pub clock: Option<Angle>,
    pub diameter_mm: Option<f64>,
    pub takeoff: Option<Angle>,
    pub lean: Option<Angle>,
}

/// Reads a file; `None` where it cannot be read at all. All faults are added to `faults`.
pub(super) fn read(file: &str, bytes: &[u8], faults: &mut Faults) -> Option<Table> {
    let text = bytes.strip_prefix(b"\xef\xbb\xbf").unwrap_or(bytes);
    let separator = separator(text);
    let mut reader = ReaderBuilder::new()
        .delimiter(separator)
        .flexible(true)
        .has_headers(false)
        .trim(csv::Trim::All)
        .from_reader(text);
    let mut record = ByteRecord::new();
    // Reading from memory cannot fail, and flexible records of bytes have no other errors.
    let mut next = |record: &mut ByteRecord| reader.read_byte_record(record).unwrap_or(false);
    if !next(&mut record) {
        faults.add(Fault::new("empty_file", file, "The file is empty.", "Choose the file again."));
        return None;
    }
    if record.len() > MOST_COLUMNS {
        let text = format!("The first line has {} cells; at most {MOST_COLUMNS} are read.", record.len());
        let mend = format!("Name the columns {CENTRELINE}, or {OSTIA}.");
        faults.add(Fault::new("csv_columns", format!("{file}, line 1"), text, mend));
        return None;
    }
    let header: Vec<String> = record.iter().map(|cell| String::from_utf8_lossy(cell).to_ascii_lowercase()).collect();
    let header: Vec<&str> = header.iter().map(String::as_str).collect();
    let centreline = header.iter().any(|name| matches!(*name, "x_mm" | "y_mm" | "z_mm"));
    let ostia = header.iter().any(|name| matches!(*name, "id" | "station_mm" | "clock_deg"));
    if centreline == ostia {
        faults.add(Fault::new(
            "csv_columns",
            format!("{file}, line 1"),
            format!("The first line `{}` names neither a centreline nor ostia.", clip(&header.join(","))),
            format!("Name the columns {CENTRELINE}, or {OSTIA}."),
        ));
        return None;
    }
    let (required, optional): (&[&'static str], &[&'static str]) = if centreline {
        (&["x_mm", "y_mm", "z_mm"], &["radius_mm", "largest_mm", "smallest_mm"])
    } else {
        (&["id", "station_mm", "clock_deg", "diameter_mm"], &["takeoff_deg", "lean_deg"])
    };
    let columns = columns(file, &header, required, optional, faults)?;
    let names = [required, optional].concat();
    let mut rows = Rows { file, separator, width: header.len(), names, columns, faults };
    let read = if centreline { rows.centreline(next, record) } else { rows.ostia(next, record) };
    Some(read)
}

/// The separator of the first line: the commonest of semicolon, tab and comma.
fn separator(text: &[u8]) -> u8 {
    let first = text.split(|b| *b == b'\n').next().unwrap_or_default();
    let count = |separator: u8| first.iter().filter(|b| **b == separator).count();
    // The last of equals wins, so a comma does.
    [b';', b'\t', b','].into_iter().max_by_key(|s| count(*s)).unwrap_or(b',')
}

/// Column of each required and optional name; `None` where the header is wrong, and the fault is told.
fn columns(
    file: &str,
    header: &[&str],
    required: &[&str],
    optional: &[&str],
    faults: &mut Faults,
) -> Option<Vec<Option<usize>>> {
    let before = faults.faults.len();
    let mut fault = |text: String, mend: String| {
        faults.add(Fault::new("csv_columns", format!("{file}, line 1"), text, mend));
    };
    let known = || required.iter().chain(optional).copied();
    for (i, name) in header.iter().enumerate() {
        if header[..i].contains(name) && !name.is_empty() {
            fault(format!("The column `{}` comes twice.", clip(name)), "Leave one of them out.".into());
        } else if !known().any(|k| k == *name) && !name.is_empty() {
            let all: Vec<&str> = known().collect();
            fault(format!("The column `{}` is not known.", clip(name)), format!("Known here are {}.", all.join(", ")));
        }
    }
    for name in required.iter().filter(|name| !header.contains(*name)) {
        fault(format!("The column {name} is missing."), format!("Add the column {name}."));
    }
    let has = |name: &str| header.contains(&name);
    if has("largest_mm") != has("smallest_mm") {
        fault("largest_mm and smallest_mm come together or not at all.".into(), "Give both or neither.".into());
    }
    if has("radius_mm") && has("largest_mm") {
        fault(
            "A radius and a largest diameter are given.".into(),
            "Give radius_mm, or largest_mm and smallest_mm.".into(),
        );
    }
    let columns = known().map(|name| header.iter().position(|h| *h == name)).collect();
    (faults.faults.len() == before).then_some(columns)
}

struct Rows<'a> {
    file: &'a str,
    separator: u8,
    width: usize,
    /// Names of the columns that are read, and where each stands.
    names: Vec<&'static str>,
    columns: Vec<Option<usize>>,
    faults: &'a mut Faults,
}

impl Rows<'_> {
    fn centreline(&mut self, mut next: impl FnMut(&mut ByteRecord) -> bool, mut record: ByteRecord) -> Table {
        let mut points = Vec::new();
        let (mut radii, mut extremes) = (Vec::new(), Vec::new());
        while next(&mut record) {
            let Some(place) = self.place(&record) else { continue };
            let before = self.faults.faults.len();
            let cell = |rows: &mut Self, column| rows.number(&record, column, &place).unwrap_or(f64::NAN);
            let point = [cell(self, 0), cell(self, 1), cell(self, 2)];
            let given: Vec<usize> = (3..6).filter(|column| self.columns[*column].is_some()).collect();
            let widths: Vec<f64> = given.iter().map(|column| cell(self, *column)).collect();
            if widths.iter().any(|width| *width <= 0.0) {
                let text = "The lumen has no width.".to_owned();
                self.fault(
                    &place,
                    "radius_not_positive",
                    text,
                    "Give the width of the lumen there, or leave the point out.",
                );
            }
            if let [largest, smallest] = widths[..]
                && largest < smallest
            {
                let text = format!("The largest diameter {largest} is less than the smallest {smallest}.");
                self.fault(&place, "extremes_swapped", text, "Exchange the two.");
            }
            if self.faults.faults.len() > before {
                continue;
            }
            match widths[..] {
                [radius] => radii.push(radius),
                [largest, smallest] => extremes.push([largest, smallest]),
                _ => {}
            }
            points.push(point);
            if points.len() > MOST_POINTS {
                self.faults.add(too_many(place, "points", points.len() as u64));
                break;
            }
        }
        let widths = if !radii.is_empty() {
            Widths::Radii(radii)
        } else if !extremes.is_empty() {
            Widths::Extremes(extremes)
        } else {
            Widths::Unknown
        };
        Table::Centreline(RawLine { name: self.file.to_owned(), place: self.file.to_owned(), points, widths })
    }

    fn ostia(&mut self, mut next: impl FnMut(&mut ByteRecord) -> bool, mut record: ByteRecord) -> Table {
        let mut rows: Vec<OstiumRow> = Vec::new();
        while next(&mut record) {
            let Some(place) = self.place(&record) else { continue };
            if rows.len() == MOST_OSTIA {
                let text = format!("The table has more than {MOST_OSTIA} ostia.");
                self.fault(&place, "too_many_ostia", text, "Keep those of the arch.");
                break;
            }
            let id = String::from_utf8_lossy(self.cell(&record, 0)).into_owned();
            let station = self.ranged(&record, 1, &place, &STATION);
            let clock = self.optional(&record, 2, &place, &CLOCK).map(|deg| Angle::deg(deg).wrapped());
            let diameter_mm = self.optional(&record, 3, &place, &OPENING);
            let takeoff = self.optional(&record, 4, &place, &TAKEOFF).map(Angle::deg);
            let lean = self.optional(&record, 5, &place, &TURN).map(|deg| Angle::deg(deg).wrapped());
            if !is_id(&id) {
                let text = format!("`{}` is no name for an ostium.", clip(&id));
                self.fault(&place, "ostium_id", text, super::ID_MEND);
            } else if rows.iter().any(|row| row.id == id) {
                self.fault(&place, "ostium_id", format!("The ostium {id} comes twice."), super::ID_MEND);
            }
            if let Some(station_mm) = station {
                rows.push(OstiumRow { place, id, station_mm, clock, diameter_mm, takeoff, lean });
            }
        }
        if rows.is_empty() && self.faults.is_empty() {
            self.fault(self.file, "no_ostia", "The table holds no ostium.".into(), "Add one line an ostium.");
        }
        Table::Ostia(rows)
    }

    fn fault(&mut self, place: &str, code: &str, text: String, mend: &str) {
        self.faults.add(Fault::new(code, place, text, mend));
    }

    /// Place of a row that can be read; `None` for an empty one, and for a bad one, whose fault is told.
    fn place(&mut self, record: &ByteRecord) -> Option<String> {
        if record.iter().all(<[u8]>::is_empty) {
            return None;
        }
        let place = format!("{}, line {}", self.file, record.position().map_or(0, csv::Position::line));
        if let Some((code, text, mend)) = self.bad_row(record) {
            self.fault(&place, code, text, mend);
            return None;
        }
        Some(place)
    }

    /// The fault of a row that is not made of one cell a column.
    fn bad_row(&self, record: &ByteRecord) -> Option<(&'static str, String, &'static str)> {
        if record.iter().any(|cell| cell.contains(&b'\n')) {
            let text = "A quotation mark in this row is not closed.".to_owned();
            return Some(("csv_quote", text, "Close or remove it."));
        }
        let filled = record.iter().rposition(|cell| !cell.is_empty()).map_or(0, |last| last + 1);
        (filled > self.width).then(|| {
            let text = format!("The row has {filled} cells, the header {}.", self.width);
            ("csv_row", text, "Give one cell a column; write decimals with a point where the comma separates.")
        })
    }

    fn cell<'r>(&self, record: &'r ByteRecord, column: usize) -> &'r [u8] {
        self.columns[column].and_then(|index| record.get(index)).unwrap_or_default()
    }

    /// A number that must be there.
    fn number(&mut self, record: &ByteRecord, column: usize, place: &str) -> Option<f64> {
        let cell = self.cell(record, column);
        if cell.is_empty() {
            let text = format!("The cell of {} is empty.", self.names[column]);
            self.fault(place, "csv_cell_empty", text, "Give the number, or leave the row out.");
            return None;
        }
        let value = decimal(cell, self.separator);
        let shown = || clip(&String::from_utf8_lossy(cell));
        match number_fault(|| place.to_owned(), shown, value) {
            Some(fault) => {
                self.faults.add(fault);
                None
            }
            None => value,
        }
    }

    /// A number in a range, or an empty cell.
    fn optional(&mut self, record: &ByteRecord, column: usize, place: &str, range: &Range) -> Option<f64> {
        if self.cell(record, column).is_empty() { None } else { self.ranged(record, column, place, range) }
    }

    /// A number in a range.
    fn ranged(&mut self, record: &ByteRecord, column: usize, place: &str, range: &Range) -> Option<f64> {
        let value = self.number(record, column, place)?;
        if !range.holds(value) {
            let text = format!("{value} is no value for {}: it can be {}.", range.name, range.words());
            self.fault(place, "out_of_range", text, "Correct the number; an empty cell says that it is unknown.");
            return None;
        }
        Some(value)
    }
}

/// A number with a decimal point, or a comma where the comma does not separate cells.
fn decimal(cell: &[u8], separator: u8) -> Option<f64> {
    let text = std::str::from_utf8(cell).ok()?;
    if separator != b',' && text.matches(',').count() == 1 && !text.contains('.') {
        return text.replace(',', ".").parse().ok();
    }
    text.parse().ok()
}
