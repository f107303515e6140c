//! Import: files of other programs to a case, and what was assumed on the way.
//!
//! Bytes in, a case out: no file is opened here. [`vtk`] and [`vtp`] read polylines, [`table`] CSV;
//! [`line`] cleans them in patient axes and millimetres ([`axes`], [`unit`]); [`tree`] tells the
//! aorta from its branches, [`signs`] tests the axes, [`openings`] finds the ostia, [`build`] writes
//! the case. Bounds: 64 MB and 2·10⁶ points are read; what is wrong is told all at once.

mod axes;
mod blocks;
mod build;
mod cursor;
mod line;
mod openings;
mod polydata;
pub(crate) mod signs;
mod table;
mod tree;
mod unit;
mod vtk;
mod vtp;

pub use axes::{Axes, Unit};

use crate::casefile::Case;
use crate::casefile::fields::ranges::SMOOTHING;
use crate::casefile::shape::is_id;
use crate::fault::{Fault, Faults};
use crate::units::ThreeOClock;
use line::RawLine;
use polydata::{MOST_POINTS, Wanted};
use table::{OstiumRow, Table};

/// Most bytes that are read from all files together.
pub const MOST_BYTES: usize = 64 << 20;
/// Most lines of all files together.
const MOST_LINES: usize = 64;

/// A file's bytes and the name it is spoken of by.
#[derive(Clone, Debug)]
pub struct NamedBytes {
    /// Its name, for messages.
    pub name: String,
    /// Its bytes.
    pub bytes: Vec<u8>,
}

/// What the user says about the files.
#[derive(Clone, Debug, PartialEq)]
pub struct Options {
    /// Unit of VTK files. CSV columns carry theirs in their names.
    pub unit: Unit,
    /// Where the files' axes point.
    pub axes: Axes,
    /// Take the axes as told even where the three signs speak against them.
    pub trust_axes: bool,
    /// Name of the array with the lumen's radius; `None` takes one whose name contains `radius`.
    pub radius_array: Option<String>,
    /// Smoothing length of the centreline, mm; 0 interpolates its points.
    pub smoothing_length_mm: f64,
    /// Side of 3:00 on the sheet from which a table of ostia was typed. `None` leaves it unanswered.
    pub three_oclock: Option<ThreeOClock>,
    /// Names of the vessels in order along the flow; empty for `IA`, `LCCA`, `LSA` or `V1`, `V2`, ….
    pub vessel_names: Vec<String>,
}

impl Default for Options {
    fn default() -> Self {
        Options {
            unit: Unit::Mm,
            axes: Axes::default(),
            trust_axes: false,
            radius_array: None,
            smoothing_length_mm: 7.0,
            three_oclock: None,
            vessel_names: Vec::new(),
        }
    }
}

impl Options {
    /// Sets one option from text, as a command line or a form gives it: `unit`, `axes`, `trust-axes`
    /// (`yes`, `no`), `radius`, `smoothing` (mm), `three-oclock` (`front-left`, `back-right`), `names`
    /// (with commas between).
    ///
    /// # Errors
    /// An unknown option, or a value that it cannot have.
    pub fn set(&mut self, option: &str, value: &str) -> Result<(), Fault> {
        let wrong = |mend: &str| {
            Fault::new("option", option, format!("`{}` is no value for {option}.", axes::clip(value)), mend)
        };
        match option {
            "unit" => self.unit = Unit::parse(value)?,
            "axes" => self.axes = Axes::parse(value)?,
            "trust-axes" => {
                self.trust_axes = match value {
                    "yes" => true,
                    "no" => false,
                    _ => return Err(wrong("Give yes or no.")),
                }
            }
            "radius" => self.radius_array = Some(value.to_owned()),
            "smoothing" => {
                let length = value.parse().ok().filter(|mm| SMOOTHING.holds(*mm));
                self.smoothing_length_mm = length.ok_or_else(|| wrong(SMOOTHING_MEND))?;
            }
            "three-oclock" => {
                self.three_oclock = match value {
                    "front-left" => Some(ThreeOClock::FrontLeft),
                    "back-right" => Some(ThreeOClock::BackRight),
                    _ => return Err(wrong("Give front-left or back-right.")),
                }
            }
            "names" => self.vessel_names = value.split(',').map(|name| name.trim().to_owned()).collect(),
            _ => {
                return Err(Fault::new(
                    "option",
                    option,
                    format!("There is no option {}.", axes::clip(option)),
                    "Options are unit, axes, trust-axes, radius, smoothing, three-oclock and names.",
                ));
            }
        }
        Ok(())
    }

    fn faults(&self) -> Faults {
        let mut faults = Faults::none();
        if !SMOOTHING.holds(self.smoothing_length_mm) {
            let text = format!("A smoothing length of {} mm is not taken.", self.smoothing_length_mm);
            faults.add(Fault::new("option", "smoothing", text, SMOOTHING_MEND));
        }
        for (i, name) in self.vessel_names.iter().enumerate() {
            if !is_id(name) || self.vessel_names[..i].contains(name) {
                let text = format!("`{}` is no name for a vessel, or comes twice.", axes::clip(name));
                faults.add(Fault::new("option", "names", text, ID_MEND));
            }
        }
        faults
    }
}

const ID_MEND: &str = "Give each its own name of letters, digits, - and _, at most 40, such as IA.";
const SMOOTHING_MEND: &str = "Give 0 to 50 mm; 7 is usual.";

/// What was read, and what was assumed to read it.
#[derive(Clone, Debug)]
pub struct Imported {
    /// The case: centreline, lumen, ostia and vessels; the rest is for the user to fill in.
    pub case: Case,
    /// One sentence for each thing that the files did not say.
    pub assumed: Vec<String>,
}

/// All that the files hold, before anything is made of it.
#[derive(Debug, Default)]
struct Contents {
    lines: Vec<RawLine>,
    /// Whether one of the lines is from CSV, in millimetres by the names of its columns.
    lines_in_mm: Option<String>,
    ostia: Vec<(String, Vec<OstiumRow>)>,
    /// Arrays that were there beside none for the radius.
    other_arrays: Vec<String>,
}

/// Reads polylines (legacy VTK, VTP) and tables (CSV) to a case.
///
/// # Errors
/// Everything that is wrong with the files, or that makes them no aorta in a patient.
pub fn import(files: &[NamedBytes], options: &Options) -> Result<Imported, Faults> {
    let mut faults = options.faults();
    let bytes: usize = files.iter().map(|file| file.bytes.len()).sum();
    if bytes > MOST_BYTES {
        faults.add(Fault::new(
            "too_large",
            files.first().map_or("", |file| file.name.as_str()),
            format!("The files have {bytes} bytes; at most {MOST_BYTES} are read."),
            "Save the centreline with points about 1 mm apart.",
        ));
        return Err(faults);
    }
    let mut contents = Contents::default();
    for file in files {
        contents.read(file, options, &mut faults);
    }
    contents.check(options, &mut faults);
    if !faults.is_empty() {
        return Err(counted(faults));
    }
    build::build(contents, options)
}

/// The faults, with the line that counts those that are not listed.
fn counted(faults: Faults) -> Faults {
    faults.or(()).err().unwrap_or_default()
}

impl Contents {
    fn read(&mut self, file: &NamedBytes, options: &Options, faults: &mut Faults) {
        let (name, bytes) = (file.name.as_str(), file.bytes.as_slice());
        let wanted = Wanted(options.radius_array.as_deref());
        let text = bytes.strip_prefix(b"\xef\xbb\xbf").unwrap_or(bytes);
        let begins = text.trim_ascii_start();
        let polylines = if begins.is_empty() {
            faults.add(Fault::new("empty_file", name, "The file is empty.", "Choose the file again."));
            None
        } else if text.starts_with(vtk::SIGNATURE.as_bytes()) {
            vtk::read(name, text, wanted, faults)
        } else if begins.starts_with(b"<") {
            vtp::read(name, begins, wanted, faults)
        } else {
            self.read_table(name, text, faults);
            None
        };
        if let Some(polylines) = polylines {
            if polylines.arrays.is_empty() {
                self.other_arrays.extend(polylines.other_arrays.iter().cloned());
            }
            self.lines.extend(polylines.lines(name, wanted, faults));
        }
    }

    fn read_table(&mut self, name: &str, bytes: &[u8], faults: &mut Faults) {
        let known = "Give legacy VTK or VTP polylines, or CSV.";
        if bytes.trim_ascii_start().starts_with(b"{") {
            let text = "The file is JSON, which is no centreline.";
            faults.add(Fault::new(
                "not_recognised",
                name,
                text,
                "Open a case or graft file as such; import reads VTK, VTP and CSV.",
            ));
            return;
        }
        if name.to_ascii_lowercase().ends_with(".vtk") {
            let place = format!("{name}, line 1");
            let text = format!("The first line must begin with `{}`.", vtk::SIGNATURE);
            faults.add(Fault::new("vtk_header", place, text, "Save the file again as legacy VTK."));
            return;
        }
        if bytes.starts_with(b"\xff\xfe") || bytes.starts_with(b"\xfe\xff") {
            faults.add(Fault::new("not_text", name, "The file is UTF-16 text.", "Save it as UTF-8."));
            return;
        }
        if bytes.iter().take(1024).any(|byte| *byte == 0) {
            faults.add(Fault::new("not_recognised", name, "The file is binary and no VTK file.", known));
            return;
        }
        if let Err(error) = std::str::from_utf8(bytes) {
            let line = 1 + bytes[..error.valid_up_to()].iter().filter(|b| **b == b'\n').count();
            let place = format!("{name}, line {line}");
            faults.add(Fault::new("not_text", place, "The file is not UTF-8 text.", "Save it as UTF-8."));
            return;
        }
        match table::read(name, bytes, faults) {
            Some(Table::Centreline(line)) => {
                self.lines_in_mm.get_or_insert_with(|| name.to_owned());
                self.lines.push(line);
            }
            Some(Table::Ostia(rows)) => self.ostia.push((name.to_owned(), rows)),
            None => {}
        }
    }

    /// What can only be told of all files together.
    fn check(&self, options: &Options, faults: &mut Faults) {
        let well = faults.is_empty();
        if well && self.lines.is_empty() {
            faults.add(Fault::new(
                "no_lines",
                "",
                "No file holds a centreline.",
                "Give a centreline as VTK, VTP or CSV.",
            ));
        }
        if self.lines.len() > MOST_LINES {
            let text = format!("The files hold {} lines; at most {MOST_LINES} are read.", self.lines.len());
            faults.add(Fault::new(
                "too_many_lines",
                self.lines[0].place.clone(),
                text,
                "Keep the aorta and its branches.",
            ));
        }
        let points: usize = self.lines.iter().map(|line| line.points.len()).sum();
        if points > MOST_POINTS {
            faults.add(polydata::too_many("".into(), "points in lines", points as u64));
        }
        if let [_, (second, _), ..] = &self.ostia[..] {
            let text = "Ostia come from two files.";
            faults.add(Fault::new("two_ostia_files", second.clone(), text, "Give one table of ostia."));
        }
        if let Some(name) = &self.lines_in_mm
            && options.unit != Unit::Mm
        {
            let text =
                format!("The columns are in mm by their names, but the unit is said to be {}.", options.unit.name());
            faults.add(Fault::new("unit", name.clone(), text, "Convert the columns to mm, or leave the unit out."));
        }
    }
}
