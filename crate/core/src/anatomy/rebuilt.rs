//! An arch rebuilt from a measuring sheet alone: a flat bend between straight legs.
//!
//! Width and height make a half-ellipse; two of the three lengths with the diameter, or a radius with
//! the length of the bend, make a piece of a circle (turn = (outer − inner) / diameter). Nothing is
//! blended or bent to fit: every typed number is held against what was rebuilt ([`Residual`]). The
//! ascending leg runs towards the head, the arch plane stands upright. What a sheet cannot tell stays
//! unknown, and the plan is rough.

use super::lumen::Lumen;
use super::{Anatomy, Stretch};
use crate::casefile::case::{AnatomyInput, Line, SheetArch};
use crate::casefile::sheet_arch;
use crate::curve::Centreline;
use crate::curve::bend::Bend;
use crate::fault::Fault;
use crate::message;
use crate::quantity::{Quantity, Unknown};
use crate::units::{Angle, Point3, Vec3};
use std::sync::Arc;

/// Direction of the arch plane where nobody typed it, from straight back towards the patient's left:
/// mean of 217 CTs, 50.3° with a standard deviation of 13.8° (angle of the line from IA to LSA with
/// the sagittal plane).
const USUAL_PLANE: f64 = 50.3;

/// What the bend was made.
#[derive(Clone, Copy, Debug, PartialEq, Eq, serde::Serialize)]
#[serde(rename_all = "snake_case")]
pub enum BendShape {
    /// From width and height.
    HalfEllipse,
    /// From lengths, or a radius.
    Circle,
}

/// A number of the sheet against the rebuilt arch.
#[derive(Clone, Debug, PartialEq)]
pub struct Residual {
    /// Its key in the case.
    pub key: &'static str,
    /// The number as typed, in `unit`.
    pub typed: f64,
    /// The same of the rebuilt arch.
    pub rebuilt: Quantity,
    /// `mm` or `deg`.
    pub unit: &'static str,
    /// Whether the arch was rebuilt from it.
    pub used: bool,
}

impl Residual {
    /// Rebuilt less typed, in the unit of both.
    pub fn difference(&self) -> Option<f64> {
        self.rebuilt.value().map(|rebuilt| rebuilt - self.typed)
    }
}

/// A rebuilt arch.
#[derive(Clone, Debug)]
pub struct Rebuilt {
    /// What the bend was made.
    pub shape: BendShape,
    /// Turn of the bend from its beginning to its end.
    pub turn: Angle,
    /// Angle at the top of the bend between the straight lines to its two ends.
    pub apex: Angle,
    /// Radius of the centreline at the top of the bend, mm.
    pub radius_mm: f64,
    /// Where the bend lies.
    pub bend: Stretch,
    /// Mean of the measured diameters, where it stood in for a diameter that was not typed, mm.
    pub mean_diameter_mm: Option<f64>,
    /// Whether the direction of the arch plane was typed.
    pub plane_typed: bool,
    /// What was typed against what was rebuilt.
    pub residuals: Vec<Residual>,
    curve: Bend,
    used: &'static [&'static str],
}

/// The bend's sizes and what they were taken from.
struct Sizes {
    shape: BendShape,
    a_mm: f64,
    b_mm: f64,
    turn: Angle,
    used: &'static [&'static str],
    mean_diameter_mm: Option<f64>,
}

/// Rebuilds the arch of a sheet. Its line runs as far as stations were typed.
///
/// # Errors
/// What is missing, contradictory or impossible, in one sentence.
pub fn rebuild(input: &AnatomyInput, sheet: &SheetArch) -> Result<(Centreline, Rebuilt), Fault> {
    if let Some(fault) = sheet_arch::faults(sheet).into_iter().next() {
        return Err(fault);
    }
    let sizes = sizes(input, sheet)?;
    let plane = Angle::deg(sheet.plane_from_sagittal_deg.unwrap_or(USUAL_PLANE));
    let mut curve = Bend {
        start: Point3::origin(),
        along: Vec3::z(),
        across: Vec3::new(plane.sin(), plane.cos(), 0.0),
        a_mm: sizes.a_mm,
        b_mm: sizes.b_mm,
        turn: sizes.turn,
        lead_mm: 0.0,
        trail_mm: 0.0,
    };
    let length_mm = Centreline::new(Arc::new(curve.clone())).length_mm();
    let from_mm = match (sheet.from_station_mm, sheet.to_station_mm) {
        (Some(from), _) => from,
        (None, Some(to)) => to - length_mm,
        (None, None) => return Err(incomplete("from_station_mm", message::SHEET_NO_STATION)),
    };
    let to_mm = from_mm + length_mm;
    let (first, last) = typed_range(input).fold((from_mm, to_mm), |(low, high), s| (low.min(s), high.max(s)));
    curve.lead_mm = from_mm - first;
    curve.trail_mm = last - to_mm;
    let top = curve.end() / 2.0;
    let at = |t| crate::curve::Curve::jet(&curve, t).value;
    let (to_begin, to_end) = (at(0.0) - at(top), at(curve.end()) - at(top));
    let rebuilt = Rebuilt {
        shape: sizes.shape,
        turn: sizes.turn,
        apex: Angle::atan2(to_begin.cross(&to_end).norm(), to_begin.dot(&to_end)),
        radius_mm: sizes.a_mm * sizes.a_mm / sizes.b_mm,
        bend: Stretch { from_mm, to_mm },
        mean_diameter_mm: sizes.mean_diameter_mm,
        plane_typed: sheet.plane_from_sagittal_deg.is_some(),
        residuals: Vec::new(),
        curve: curve.clone(),
        used: sizes.used,
    };
    Ok((Centreline::new(Arc::new(curve)).with_origin(-first), rebuilt))
}

fn incomplete(key: &str, text: &str) -> Fault {
    Fault::new("sheet_incomplete", format!("/anatomy/sheet_arch/{key}"), text, "")
}

fn sizes(input: &AnatomyInput, sheet: &SheetArch) -> Result<Sizes, Fault> {
    if let (Some(width), Some(height)) = (sheet.width_mm, sheet.height_mm) {
        return Ok(Sizes {
            shape: BendShape::HalfEllipse,
            a_mm: width / 2.0,
            b_mm: height,
            turn: Angle::HALF_TURN,
            used: &["width_mm", "height_mm"],
            mean_diameter_mm: None,
        });
    }
    let circle = |length_mm: f64, turn_rad: f64, used| Sizes {
        shape: BendShape::Circle,
        a_mm: length_mm / turn_rad,
        b_mm: length_mm / turn_rad,
        turn: Angle::rad(turn_rad),
        used,
        mean_diameter_mm: None,
    };
    // Outer less inner length, and the length between them.
    let lengths: Option<(f64, f64, &'static [&'static str])> = match (sheet.inner_mm, sheet.centre_mm, sheet.outer_mm) {
        (Some(inner), _, Some(outer)) => {
            Some((outer - inner, (outer + inner) / 2.0, &["inner_mm", "outer_mm", "diameter_mm"]))
        }
        (Some(inner), Some(centre), None) => {
            Some((2.0 * (centre - inner), centre, &["inner_mm", "centre_mm", "diameter_mm"]))
        }
        (None, Some(centre), Some(outer)) => {
            Some((2.0 * (outer - centre), centre, &["outer_mm", "centre_mm", "diameter_mm"]))
        }
        _ => None,
    };
    if let Some((more, length, used)) = lengths {
        let mean = || mean_diameter(input, sheet, length);
        if let Some(diameter) = sheet.diameter_mm.or_else(mean) {
            if more >= std::f64::consts::TAU * diameter {
                return Err(Fault::new(
                    "turns_too_far",
                    "/anatomy/sheet_arch/outer_mm",
                    message::SHEET_FULL_TURN,
                    "Check the lengths and the diameter.",
                ));
            }
            let mean_diameter_mm = sheet.diameter_mm.is_none().then_some(diameter);
            return Ok(Sizes { mean_diameter_mm, ..circle(length, more / diameter, used) });
        }
        if sheet.radius_mm.is_none() {
            return Err(incomplete("diameter_mm", message::SHEET_NO_DIAMETER));
        }
    }
    let Some(radius) = sheet.radius_mm else {
        return Err(incomplete("width_mm", message::SHEET_INCOMPLETE));
    };
    match (sheet.from_station_mm.zip(sheet.to_station_mm), sheet.centre_mm) {
        (Some((from, to)), _) => Ok(circle(to - from, (to - from) / radius, &["radius_mm", "to_station_mm"])),
        (None, Some(centre)) => Ok(circle(centre, centre / radius, &["radius_mm", "centre_mm"])),
        (None, None) => Err(incomplete("to_station_mm", message::SHEET_NO_LENGTH)),
    }
}

/// Mean of the measured diameters over the bend, mm.
fn mean_diameter(input: &AnatomyInput, sheet: &SheetArch, length_mm: f64) -> Option<f64> {
    let lumen = Lumen::new(&input.lumen)?;
    let from = sheet.from_station_mm.or(sheet.to_station_mm.map(|to| to - length_mm))?;
    Some(mean_in(&lumen, Stretch { from_mm: from, to_mm: from + length_mm }))
}

/// Mean of the lumen's diameters about a millimetre apart, mm.
fn mean_in(lumen: &Lumen, stretch: Stretch) -> f64 {
    let length = stretch.to_mm - stretch.from_mm;
    let steps = length.ceil().clamp(1.0, 5000.0) as usize;
    let at = |k: usize| stretch.from_mm + length * (k as f64 + 0.5) / steps as f64;
    (0..steps).map(|k| 2.0 * lumen.mean_mm(at(k))).sum::<f64>() / steps as f64
}

/// Every station that was typed, and the room an ostium takes on either side of its own.
fn typed_range(input: &AnatomyInput) -> impl Iterator<Item = f64> {
    let mut all = vec![0.0];
    all.extend(input.lumen.iter().map(|section| section.station_mm));
    all.extend(input.true_lumen.iter().map(|section| section.station_mm));
    all.extend(input.wall.iter().flat_map(|stretch| [stretch.from_station_mm, stretch.to_station_mm]));
    all.extend(input.ostia.iter().flat_map(|ostium| {
        let room = ostium.along_mm.unwrap_or(0.0);
        [ostium.station_mm - room, ostium.station_mm + room]
    }));
    all.extend(input.keep_clear.iter().map(|point| point.station_mm));
    all.extend(input.ways.iter().filter_map(|way| way.station_mm));
    all.extend(input.landmarks.iter().map(|mark| mark.station_mm));
    all.extend(input.lesion.iter().flat_map(|lesion| [lesion.from_station_mm, lesion.to_station_mm]));
    all.extend(input.valve.iter().filter_map(|valve| valve.annulus_station_mm));
    all.into_iter()
}

impl Rebuilt {
    /// Whether the direction of the arch plane is known: without it no view angle is.
    ///
    /// # Errors
    /// Unknown where it was not typed.
    pub fn bearing(&self) -> Result<(), Unknown> {
        if self.plane_typed { Ok(()) } else { Err(Unknown::because(message::NO_PLANE_DIRECTION)) }
    }

    /// What no measuring sheet tells, in sentences.
    pub fn cannot_be_known(&self) -> Vec<&'static str> {
        let mut said =
            vec![message::ROUGH_OUT_OF_PLANE, message::ROUGH_TWIST, message::ROUGH_EVEN_BEND, message::ROUGH_LEGS];
        if !self.plane_typed {
            said.push(message::NO_PLANE_DIRECTION);
        }
        said
    }

    /// Every typed number against the rebuilt anatomy, in the order of the sheet.
    pub(super) fn held_against(&self, sheet: &SheetArch, anatomy: &Anatomy) -> Vec<Residual> {
        let Stretch { from_mm, to_mm } = self.bend;
        let at = |t| crate::curve::Curve::jet(&self.curve, t).value;
        let (begin, top, end) = (at(0.0), at(self.curve.end() / 2.0), at(self.curve.end()));
        let middle = (begin + end) / 2.0;
        let length = |line| Quantity::from(anatomy.length_along(line, from_mm, to_mm));
        let diameter = anatomy.lumen().map(|lumen| mean_in(lumen, self.bend)).into();
        // The direction of the fitted plane: n × T is the outer curve, and T points to the head first.
        let plane =
            || anatomy.course.plane().map(|plane| Angle::atan2(-plane.normal.y, plane.normal.x).to_deg()).into();
        let mm: [(&'static str, Option<f64>, Quantity); 9] = [
            ("from_station_mm", sheet.from_station_mm, Quantity::exact(from_mm)),
            ("to_station_mm", sheet.to_station_mm, Quantity::exact(to_mm)),
            ("inner_mm", sheet.inner_mm, length(Line::Inner)),
            ("outer_mm", sheet.outer_mm, length(Line::Outer)),
            ("centre_mm", sheet.centre_mm, length(Line::Centre)),
            ("width_mm", sheet.width_mm, Quantity::exact((end - begin).norm())),
            ("height_mm", sheet.height_mm, Quantity::exact((top - middle).norm())),
            ("radius_mm", sheet.radius_mm, Quantity::exact(self.radius_mm)),
            ("diameter_mm", sheet.diameter_mm, diameter),
        ];
        let placed_by_its_end = sheet.from_station_mm.is_none();
        let used = |key| match key {
            "from_station_mm" | "plane_from_sagittal_deg" => true,
            "to_station_mm" if placed_by_its_end => true,
            key => self.used.contains(&key),
        };
        let mut all: Vec<Residual> = mm
            .into_iter()
            .filter_map(|(key, typed, rebuilt)| {
                Some(Residual { key, typed: typed?, rebuilt, unit: "mm", used: used(key) })
            })
            .collect();
        all.extend(sheet.plane_from_sagittal_deg.map(|typed| {
            let key = "plane_from_sagittal_deg";
            Residual { key, typed, rebuilt: plane(), unit: "deg", used: used(key) }
        }));
        all
    }
}
