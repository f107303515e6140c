//! Reader of legacy VTK PolyData, ASCII and binary.
//!
//! Written from the published description of the legacy format: POINTS; LINES in the old layout
//! (count, then indices) and in that of version 5 (OFFSETS, CONNECTIVITY); POINT_DATA with SCALARS
//! and FIELD arrays. Everything else of the format is stepped over. Only the arrays that may hold
//! the radius are kept.

use super::blocks::{Kind, number};
use super::cursor::{Cursor, Word};
use super::polydata::{Array, MOST_POINTS, Places, PolyData, Wanted, number_fault, too_many};
use crate::fault::{Fault, Faults};

/// How each file of this kind begins.
pub(super) const SIGNATURE: &str = "# vtk DataFile Version";

const KEYWORDS: [&str; 23] = [
    "POINTS",
    "LINES",
    "VERTICES",
    "POLYGONS",
    "TRIANGLE_STRIPS",
    "POINT_DATA",
    "CELL_DATA",
    "SCALARS",
    "LOOKUP_TABLE",
    "COLOR_SCALARS",
    "VECTORS",
    "NORMALS",
    "TEXTURE_COORDINATES",
    "TENSORS",
    "TENSORS6",
    "GLOBAL_IDS",
    "PEDIGREE_IDS",
    "EDGE_FLAGS",
    "FIELD",
    "METADATA",
    "OFFSETS",
    "CONNECTIVITY",
    "DATASET",
];

/// Reads a file; `None` where it cannot be read at all. All faults are added to `faults`.
pub(super) fn read(file: &str, bytes: &[u8], wanted: Wanted<'_>, faults: &mut Faults) -> Option<PolyData> {
    let mut reader = Reader {
        file,
        cursor: Cursor::new(bytes),
        binary: false,
        wanted,
        faults,
        data: PolyData::default(),
        tuples: None,
    };
    reader.header()?;
    reader.sections();
    Some(reader.data)
}

struct Reader<'a, 'b> {
    file: &'a str,
    cursor: Cursor<'a>,
    binary: bool,
    wanted: Wanted<'a>,
    faults: &'b mut Faults,
    data: PolyData,
    /// Number of tuples of the attributes that follow, and whether they are those of the points.
    tuples: Option<(u64, bool)>,
}

/// Numbers of one array and the line of each.
#[derive(Default)]
struct Numbers {
    values: Vec<f64>,
    lines: Vec<u32>,
}

impl<'a> Reader<'a, '_> {
    fn place(&self, at: u32) -> String {
        format!("{}, {} {at}", self.file, if self.binary { "byte" } else { "line" })
    }

    /// A fault after which the parts of the file do not hang together.
    fn fault(&mut self, at: u32, code: &str, text: String, mend: &str) {
        self.data.broken = true;
        self.faults.add(Fault::new(code, self.place(at), text, mend));
    }

    fn too_many(&mut self, at: u32, what: &str, count: u64) {
        self.data.broken = true;
        self.faults.add(too_many(self.place(at), what, count));
    }

    fn header(&mut self) -> Option<()> {
        self.cursor.rest_of_line()?;
        if self.cursor.rest_of_line().is_none() {
            self.fault(2, "truncated", "The file ends in its header.".into(), "Save the file again.");
            return None;
        }
        let coding = self.cursor.word();
        match coding {
            Some(word) if word.is("ASCII") => {}
            Some(word) if word.is("BINARY") => {
                self.binary = true;
                self.cursor.count_bytes();
            }
            _ => {
                let shown = coding.map(|w| w.shown()).unwrap_or_default();
                let text = format!("The third line must be ASCII or BINARY and is `{shown}`.");
                self.fault(coding.map_or(3, |w| w.at), "vtk_header", text, "Save the file again as legacy VTK.");
                return None;
            }
        }
        self.cursor.rest_of_line();
        let (keyword, kind) = (self.cursor.word(), self.cursor.word());
        match (keyword, kind) {
            (Some(keyword), Some(kind)) if keyword.is("DATASET") && kind.is("POLYDATA") => Some(()),
            (keyword, kind) => {
                let at = kind.or(keyword).map_or(self.cursor.place(), |w| w.at);
                let shown: Vec<String> = [keyword, kind].into_iter().flatten().map(|w| w.shown()).collect();
                let text = format!("The fourth line must be DATASET POLYDATA and is `{}`.", shown.join(" "));
                self.fault(at, "vtk_dataset", text, "Save the centreline as poly data with lines.");
                None
            }
        }
    }

    fn sections(&mut self) {
        let mut lost = false;
        while let Some(word) = self.cursor.word() {
            let known = KEYWORDS.iter().find(|keyword| word.is(keyword)).copied();
            let Some(keyword) = known else {
                if !lost {
                    let text = format!("`{}` is no keyword and not part of the array before it.", word.shown());
                    self.fault(word.at, "vtk_keyword", text, "Check the number of values declared above it.");
                }
                lost = true;
                if self.binary {
                    return;
                }
                continue;
            };
            // What is left of a broken section is passed over in silence.
            lost = self.section(keyword, word.at).is_none();
            if lost && self.binary {
                // After a broken binary array nothing tells where the next one begins.
                return;
            }
        }
    }

    /// Reads one section; `None` where it broke off, and the fault is told.
    fn section(&mut self, keyword: &str, at: u32) -> Option<()> {
        match keyword {
            "POINTS" => self.points(at),
            "LINES" => self.cells(at, true),
            "VERTICES" | "POLYGONS" | "TRIANGLE_STRIPS" => self.cells(at, false),
            "POINT_DATA" | "CELL_DATA" => {
                let count = self.count(at, keyword)?;
                self.tuples = Some((count, keyword == "POINT_DATA"));
                Some(())
            }
            "FIELD" => self.field(at),
            "METADATA" => {
                self.cursor.rest_of_line();
                while self.cursor.rest_of_line().is_some_and(|l| !l.trim_ascii().is_empty()) {}
                Some(())
            }
            "OFFSETS" | "CONNECTIVITY" | "DATASET" => {
                self.fault(
                    at,
                    "vtk_keyword",
                    format!("{keyword} stands where it has no meaning."),
                    "Save the file again.",
                );
                None
            }
            _ => self.attribute(keyword, at),
        }
    }

    fn points(&mut self, at: u32) -> Option<()> {
        let count = self.count(at, "POINTS")?;
        let kind = self.kind(at)?;
        if count > MOST_POINTS as u64 {
            self.too_many(at, "points", count);
            return None;
        }
        let numbers = self.numbers("POINTS", at, count * 3, kind, true)?;
        self.data.points = numbers.values.chunks_exact(3).map(|p| [p[0], p[1], p[2]]).collect();
        Some(())
    }

    fn cells(&mut self, at: u32, keep: bool) -> Option<()> {
        let name = if keep { "LINES" } else { "Cells" };
        let count = self.count(at, name)?;
        let size = self.count(at, name)?;
        let new_layout = self.cursor.peek().is_some_and(|word| word.is("OFFSETS"));
        if keep && (count > MOST_POINTS as u64 || size > 2 * MOST_POINTS as u64) {
            self.too_many(at, "points in lines", size);
            return None;
        }
        if new_layout {
            let mut read = |keyword: &str, count: u64| {
                let word = self.cursor.word().filter(|w| w.is(keyword));
                let Some(word) = word else {
                    self.fault(
                        at,
                        "vtk_keyword",
                        format!("{keyword} is missing under {name}."),
                        "Save the file again.",
                    );
                    return None;
                };
                let kind = self.kind(word.at)?;
                self.numbers(keyword, word.at, count, kind, keep)
            };
            let offsets = read("OFFSETS", count)?;
            let connectivity = read("CONNECTIVITY", size)?;
            return if keep { self.new_lines(at, offsets, connectivity) } else { Some(()) };
        }
        let numbers = self.numbers(name, at, size, Kind::Signed(4), keep)?;
        if keep { self.old_lines(at, count, numbers) } else { Some(()) }
    }

    /// Old layout: each line is its number of points, then their indices.
    fn old_lines(&mut self, at: u32, count: u64, numbers: Numbers) -> Option<()> {
        let Numbers { values, lines } = numbers;
        let mut next = 0;
        let mut places = Vec::new();
        while next < values.len() {
            let points = values[next];
            let here = lines.get(next).copied().unwrap_or(at);
            let left = values.len() - next - 1;
            let fits = points >= 0.0 && points.fract() == 0.0 && points <= left as f64;
            let end = next + 1 + if fits { points as usize } else { 0 };
            if !fits {
                let text = format!("A line declares {points} points, but {left} numbers are left in LINES.");
                self.fault(here, "line_count", text, "Save the file again: the counts in LINES do not add up.");
                return None;
            }
            self.data.connectivity.extend_from_slice(&values[next + 1..end]);
            self.data.ends.push(self.data.connectivity.len());
            places.push(here);
            next = end;
        }
        if places.len() as u64 != count {
            let text = format!("LINES declares {count} lines and holds {}.", places.len());
            self.fault(at, "line_count", text, "Save the file again: the counts in LINES do not add up.");
        }
        self.data.line_places = self.line_places(places, at);
        Some(())
    }

    /// Layout of version 5: where each line begins, then all indices.
    fn new_lines(&mut self, at: u32, offsets: Numbers, connectivity: Numbers) -> Option<()> {
        let total = connectivity.values.len() as f64;
        let rising = offsets.values.windows(2).all(|pair| pair[0] <= pair[1])
            && offsets.values.iter().all(|o| o.fract() == 0.0)
            && offsets.values.first().is_none_or(|first| *first == 0.0)
            && offsets.values.last().is_none_or(|last| *last == total);
        if !rising {
            let text = format!("OFFSETS must rise from 0 to the {total} indices of CONNECTIVITY.");
            self.fault(at, "line_count", text, "Save the file again: the counts in LINES do not add up.");
            return None;
        }
        self.data.ends = offsets.values.iter().skip(1).map(|o| *o as usize).collect();
        self.data.line_places = self.line_places(offsets.lines, at);
        self.data.connectivity = connectivity.values;
        Some(())
    }

    fn line_places(&self, lines: Vec<u32>, section: u32) -> Places {
        if self.binary { Places::In(self.place(section), "polyline") } else { Places::Lines(lines) }
    }

    /// One attribute of points or cells that has its own keyword.
    fn attribute(&mut self, keyword: &str, at: u32) -> Option<()> {
        let name = self.name(at, keyword)?;
        if keyword == "LOOKUP_TABLE" {
            let size = self.count(at, keyword)?;
            return self.numbers(keyword, at, size.saturating_mul(4), Kind::Unsigned(1), false).map(|_| ());
        }
        let components = match keyword {
            "COLOR_SCALARS" | "TEXTURE_COORDINATES" => self.count(at, keyword)?,
            "VECTORS" | "NORMALS" => 3,
            "TENSORS" => 9,
            "TENSORS6" => 6,
            _ => 1,
        };
        let kind = if keyword == "COLOR_SCALARS" { Kind::Unsigned(1) } else { self.kind(at)? };
        let mut components = components;
        if keyword == "SCALARS" {
            if !self.cursor.peek().is_some_and(|word| word.is("LOOKUP_TABLE")) {
                components = self.count(at, keyword)?;
            }
            if self.cursor.peek().is_some_and(|word| word.is("LOOKUP_TABLE")) {
                self.cursor.word();
                self.cursor.word();
            }
        }
        let Some((tuples, _)) = self.tuples else {
            let text = format!("{keyword} stands before POINT_DATA or CELL_DATA.");
            self.fault(at, "vtk_keyword", text, "Save the file again.");
            return None;
        };
        self.array(name, at, components, tuples, kind)
    }

    fn field(&mut self, at: u32) -> Option<()> {
        self.name(at, "FIELD")?;
        let arrays = self.count(at, "FIELD")?;
        for _ in 0..arrays {
            // VTK writes METADATA between the arrays of a field.
            while self.cursor.peek().is_some_and(|word| word.is("METADATA")) {
                self.cursor.word();
                self.section("METADATA", at)?;
            }
            let at = self.cursor.peek().map_or(self.cursor.place(), |word| word.at);
            let name = self.name(at, "FIELD")?;
            let components = self.count(at, "FIELD")?;
            let tuples = self.count(at, "FIELD")?;
            if self.cursor.peek().is_some_and(|word| word.is("string")) {
                self.strings(at, components.saturating_mul(tuples))?;
                continue;
            }
            let kind = self.kind(at)?;
            self.array(name, at, components, tuples, kind)?;
        }
        Some(())
    }

    /// Steps over an array of texts, one a line.
    fn strings(&mut self, at: u32, count: u64) -> Option<()> {
        if self.binary {
            self.fault(
                at,
                "vtk_type",
                "A binary array of texts cannot be stepped over.".into(),
                "Save the file as ASCII, or without texts.",
            );
            return None;
        }
        self.cursor.rest_of_line();
        for _ in 0..count {
            if self.cursor.rest_of_line().is_none() {
                self.fault(at, "truncated", "The file ends within an array of texts.".into(), "Save the file again.");
                return None;
            }
        }
        Some(())
    }

    /// Reads an array where it may be the radius, else steps over it.
    fn array(&mut self, name: String, at: u32, components: u64, tuples: u64, kind: Kind) -> Option<()> {
        let at_points = self.tuples.is_some_and(|(_, points)| points);
        let keep = at_points && components == 1 && self.wanted.takes(&name);
        if keep && tuples > MOST_POINTS as u64 {
            self.too_many(at, "values", tuples);
            return None;
        }
        let numbers = self.numbers(&name, at, components.saturating_mul(tuples), kind, keep)?;
        if keep {
            let places = if self.binary { Places::In(self.place(at), "value") } else { Places::Lines(numbers.lines) };
            self.data.arrays.push(Array { name, values: numbers.values, places });
        } else if at_points && self.data.other_arrays.len() < 100 {
            self.data.other_arrays.push(name);
        }
        Some(())
    }

    fn name(&mut self, at: u32, of: &str) -> Option<String> {
        match self.cursor.word() {
            Some(word) => Some(String::from_utf8_lossy(word.bytes).into_owned()),
            None => {
                self.fault(at, "truncated", format!("The file ends at {of}."), "Save the file again.");
                None
            }
        }
    }

    fn count(&mut self, at: u32, of: &str) -> Option<u64> {
        let word = self.cursor.word();
        let count = word.and_then(|w| w.count());
        if count.is_none() {
            let shown = word.map(|w| w.shown()).unwrap_or_default();
            let text = format!("A count is missing at {of}: `{shown}` is none.");
            self.fault(word.map_or(at, |w| w.at), "vtk_count", text, "Save the file again.");
        }
        count
    }

    fn kind(&mut self, at: u32) -> Option<Kind> {
        let word = self.cursor.word();
        let kind = word.and_then(kind_named);
        if kind.is_none() {
            let shown = word.map(|w| w.shown()).unwrap_or_default();
            let text = format!("`{shown}` is no type of number.");
            self.fault(
                word.map_or(at, |w| w.at),
                "vtk_type",
                text,
                "Save the file again with numbers of type float or double.",
            );
        }
        kind
    }

    /// Reads numbers; `None` where there are fewer than declared, and the fault is told.
    fn numbers(&mut self, name: &str, at: u32, count: u64, kind: Kind, keep: bool) -> Option<Numbers> {
        if self.binary { self.binary_numbers(name, at, count, kind, keep) } else { self.words(name, at, count, keep) }
    }

    fn words(&mut self, name: &str, at: u32, count: u64, keep: bool) -> Option<Numbers> {
        let mut numbers = Numbers::default();
        if keep {
            // No more room than the file can fill: each number takes two bytes at least.
            let room = usize::try_from(count).unwrap_or(usize::MAX).min(self.cursor.left() / 2 + 1);
            numbers.values.reserve(room);
            numbers.lines.reserve(room);
        }
        for done in 0..count {
            let Some(word) = self.cursor.peek().filter(|word| !is_keyword(*word)) else {
                let name = super::axes::clip(name);
                let text = format!("{name} declares {count} numbers and holds {done}.");
                self.fault(at, "truncated", text, "The file is cut off or its count is wrong: save it again.");
                return None;
            };
            self.cursor.word();
            if keep {
                let value = word.number();
                let place = || self.place(word.at);
                if let Some(fault) = number_fault(place, || word.shown(), value) {
                    self.faults.add(fault);
                }
                numbers.values.push(value.unwrap_or(f64::NAN));
                numbers.lines.push(word.at);
            }
        }
        Some(numbers)
    }

    fn binary_numbers(&mut self, name: &str, at: u32, count: u64, kind: Kind, keep: bool) -> Option<Numbers> {
        // The numbers begin right after the end of the line; an empty array has none.
        self.cursor.rest_of_line();
        let bytes = kind.bytes(count);
        let left = self.cursor.left();
        let taken = bytes.and_then(|bytes| self.cursor.take(bytes));
        let Some(taken) = taken else {
            let name = super::axes::clip(name);
            let text = format!("{name} declares {count} numbers, but only {left} bytes follow.");
            self.fault(at, "truncated", text, "The file is cut off or its count is wrong: save it again.");
            return None;
        };
        let mut numbers = Numbers::default();
        if keep {
            numbers.values = taken.chunks_exact(kind.size()).map(|bytes| number(kind, bytes, true)).collect();
            for (i, value) in numbers.values.iter().enumerate() {
                let place = || format!("{}, value {}", self.place(at), i + 1);
                if let Some(fault) = number_fault(place, || value.to_string(), Some(*value)) {
                    self.faults.add(fault);
                }
            }
        }
        Some(numbers)
    }
}

fn is_keyword(word: Word<'_>) -> bool {
    word.bytes[0].is_ascii_alphabetic() && KEYWORDS.iter().any(|keyword| word.is(keyword))
}

/// The types of numbers by their names in the format.
fn kind_named(word: Word<'_>) -> Option<Kind> {
    let text = std::str::from_utf8(word.bytes).ok()?.to_ascii_lowercase();
    Some(match text.as_str() {
        "unsigned_char" => Kind::Unsigned(1),
        "char" | "signed_char" => Kind::Signed(1),
        "unsigned_short" => Kind::Unsigned(2),
        "short" => Kind::Signed(2),
        "unsigned_int" => Kind::Unsigned(4),
        "int" | "vtkidtype" => Kind::Signed(4),
        // What a long is depends on the machine that wrote it; eight bytes is the usual.
        "unsigned_long" | "vtktypeuint64" => Kind::Unsigned(8),
        "long" | "vtktypeint64" => Kind::Signed(8),
        "float" => Kind::Float(4),
        "double" => Kind::Float(8),
        _ => return None,
    })
}
