//! Polylines as VTK files hold them: points, lines that index them, values at points.
//!
//! Where the two readers meet. Checks what hangs together (indices, counts, radii) and turns it into
//! lines with radii; knows no syntax and no anatomy.

use super::line::{RawLine, Widths};
use crate::fault::{Fault, Faults};

/// Most points that are read from all files together.
pub(super) const MOST_POINTS: usize = 2_000_000;
/// Largest number that is taken for a coordinate or radius, in whatever unit.
pub(super) const LARGEST_NUMBER: f64 = 1e9;

/// Where the values of an array stand in the file.
#[derive(Clone, Debug, Default)]
pub(super) enum Places {
    /// The line of each value.
    Lines(Vec<u32>),
    /// Values are only counted: the place of the array, and what one of them is called.
    In(String, &'static str),
    /// Nothing was read.
    #[default]
    Nowhere,
}

impl Places {
    /// Place of the value at an index, as it is told to the user.
    pub fn of(&self, file: &str, index: usize) -> String {
        match self {
            Places::Lines(lines) => match lines.get(index) {
                Some(line) => format!("{file}, line {line}"),
                None => file.to_owned(),
            },
            Places::In(place, called) => format!("{place}, {called} {}", index + 1),
            Places::Nowhere => file.to_owned(),
        }
    }
}

/// A named array of one value a point.
#[derive(Clone, Debug)]
pub(super) struct Array {
    pub name: String,
    pub values: Vec<f64>,
    pub places: Places,
}

/// Which arrays at the points may hold the radius.
#[derive(Clone, Copy, Debug)]
pub(super) struct Wanted<'a>(pub Option<&'a str>);

impl Wanted<'_> {
    /// Whether an array of this name may hold the radius: the named one, else any `…radius…`.
    pub fn takes(self, name: &str) -> bool {
        match self.0 {
            Some(wanted) => name.eq_ignore_ascii_case(wanted),
            None => name.to_ascii_lowercase().contains("radius"),
        }
    }
}

/// What a VTK file holds of lines.
#[derive(Clone, Debug, Default)]
pub(super) struct PolyData {
    pub points: Vec<[f64; 3]>,
    /// Indices of points, one line after another.
    pub connectivity: Vec<f64>,
    /// End of each line in `connectivity`.
    pub ends: Vec<usize>,
    /// Place of each line.
    pub line_places: Places,
    /// Arrays that may hold the radius.
    pub arrays: Vec<Array>,
    /// Names of the other arrays, for messages.
    pub other_arrays: Vec<String>,
    /// Whether a part could not be read: what hangs together is then not checked.
    pub broken: bool,
}

impl PolyData {
    /// The lines with their radii; what is wrong is added to `faults`.
    pub fn lines(mut self, file: &str, wanted: Wanted<'_>, faults: &mut Faults) -> Vec<RawLine> {
        if self.broken {
            return Vec::new();
        }
        if self.ends.is_empty() || self.points.is_empty() {
            faults.add(Fault::new(
                "no_lines",
                file,
                format!("The file holds {} points and no lines.", self.points.len()),
                "Save the centreline as polylines.",
            ));
            return Vec::new();
        }
        let radius = self.radius(file, wanted, faults);
        let mut lines = Vec::new();
        let mut from = 0;
        for (k, end) in self.ends.iter().enumerate() {
            let indices = &self.connectivity[from..*end];
            from = *end;
            let place = self.line_places.of(file, k);
            if let Some(line) = self.line(file, k, indices, radius.as_ref(), place, faults) {
                lines.push(line);
            }
        }
        lines
    }

    fn line(
        &self,
        file: &str,
        k: usize,
        indices: &[f64],
        radius: Option<&Array>,
        place: String,
        faults: &mut Faults,
    ) -> Option<RawLine> {
        let count = self.points.len();
        let mut points = Vec::with_capacity(indices.len());
        let mut radii = Vec::with_capacity(if radius.is_some() { indices.len() } else { 0 });
        let mut bad = 0;
        for index in indices {
            let whole = index.fract() == 0.0 && *index >= 0.0 && *index < count as f64;
            if !whole {
                if bad == 0 {
                    faults.add(Fault::new(
                        "index_out_of_range",
                        place.clone(),
                        format!(
                            "Polyline {} names the point {index}, but points are numbered 0 to {}.",
                            k + 1,
                            count as i64 - 1
                        ),
                        "Save the file again: the lines do not belong to these points.",
                    ));
                }
                bad += 1;
                continue;
            }
            let index = *index as usize;
            points.push(self.points[index]);
            if let Some(array) = radius {
                let value = array.values.get(index).copied().unwrap_or(f64::NAN);
                if value <= 0.0 {
                    faults.add(Fault::new(
                        "radius_not_positive",
                        array.places.of(file, index),
                        format!("The radius of point {index} is {value}."),
                        "Give the radius of the lumen there, or cut the line off before it.",
                    ));
                }
                radii.push(value);
            }
        }
        let widths = if radius.is_some() { Widths::Radii(radii) } else { Widths::Unknown };
        (bad == 0).then(|| RawLine { name: format!("{file}, polyline {}", k + 1), place, points, widths })
    }

    /// The array that holds the radius.
    fn radius(&mut self, file: &str, wanted: Wanted<'_>, faults: &mut Faults) -> Option<Array> {
        let names = |arrays: &[Array], others: &[String]| {
            let all: Vec<String> =
                arrays.iter().map(|a| &a.name).chain(others).map(|n| format!("`{}`", super::axes::clip(n))).collect();
            if all.is_empty() { "none".to_owned() } else { all.join(", ") }
        };
        if self.arrays.len() > 1 && wanted.0.is_none() {
            faults.add(Fault::new(
                "radius_ambiguous",
                file,
                format!("Several arrays may be the radius: {}.", names(&self.arrays, &[])),
                "Name the one that is the radius of the lumen.",
            ));
            return None;
        }
        if let (0, Some(name)) = (self.arrays.len(), wanted.0) {
            faults.add(Fault::new(
                "radius_missing",
                file,
                format!("There is no array `{}` of one number a point.", super::axes::clip(name)),
                format!("Name one of the arrays at the points: {}.", names(&[], &self.other_arrays)),
            ));
            return None;
        }
        let array = (!self.arrays.is_empty()).then(|| self.arrays.swap_remove(0))?;
        if array.values.len() != self.points.len() {
            faults.add(Fault::new(
                "radius_count",
                array.places.of(file, 0),
                format!(
                    "The array `{}` has {} values for {} points.",
                    array.name,
                    array.values.len(),
                    self.points.len()
                ),
                "Save the file again with one radius a point.",
            ));
            return None;
        }
        Some(array)
    }
}

/// A fault for a number that is none, or of no use as a coordinate or radius; `None` where it is well.
pub(super) fn number_fault(
    place: impl FnOnce() -> String,
    shown: impl FnOnce() -> String,
    value: Option<f64>,
) -> Option<Fault> {
    let (code, what) = match value {
        Some(v) if v.is_finite() && v.abs() <= LARGEST_NUMBER => return None,
        Some(v) if v.is_finite() => ("number_too_large", "is too large for a length"),
        Some(_) => ("not_finite", "is not a finite number"),
        None => ("not_a_number", "is not a number"),
    };
    let mend = "Correct the number, or leave it out of the file.";
    Some(Fault::new(code, place(), format!("`{}` {what}.", shown()), mend))
}

/// A fault for a count beyond what is read.
pub(super) fn too_many(place: String, what: &str, count: u64) -> Fault {
    Fault::new(
        "too_many_points",
        place,
        format!("The file declares {count} {what}; at most {MOST_POINTS} are read."),
        "Save the centreline with points about 1 mm apart.",
    )
}
