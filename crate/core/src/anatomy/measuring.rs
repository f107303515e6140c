//! Measuring an anatomy as resumable work: fit, course, wall, then one opening at a time.
//!
//! A usual case takes some twenty milliseconds in all and no piece more than a few; the page runs it
//! between frames and drops it when the case changes again.

use super::course::Course;
use super::lumen::Lumen;
use super::openings::{KeepClear, Ostium, Placing, Vessel};
use super::rebuilt::{self, Rebuilt};
use super::twelve;
use super::wall::{Wall, WallLine};
use super::{Anatomy, Fit, Stretch, no_centreline, zones};
use crate::casefile::case::{AnatomyInput, Case, CentrelineInput};
use crate::curve::Centreline;
use crate::curve::spline::Fitted;
use crate::fault::Fault;
use crate::message;
use crate::quantity::Unknown;
use crate::task::{Progress, Task};
use crate::units::{Angle, Point3};
use std::sync::Arc;

/// The work. One operation is the measuring of about one millimetre of aorta in one respect.
#[derive(Debug)]
pub struct Measuring {
    case: Arc<Case>,
    stage: Stage,
    done: u64,
}

#[derive(Debug)]
enum Stage {
    Fit,
    Course(Box<Line>),
    Wall(Box<Ground>),
    Openings(Box<Openings>),
    Finished,
}

/// The centreline and where it comes from.
#[derive(Debug)]
struct Line {
    line: Centreline,
    fit: Option<Fit>,
    rough: Option<Rebuilt>,
    origin_marked: bool,
}

/// What stands once the course is known.
#[derive(Debug)]
struct Ground {
    fit: Option<Fit>,
    rough: Option<Rebuilt>,
    origin_marked: bool,
    course: Arc<Course>,
}

/// What stands once the wall is known, and the openings placed so far.
#[derive(Debug)]
struct Openings {
    ground: Ground,
    lumen: Result<Arc<Lumen>, Unknown>,
    wall: Result<Wall, Unknown>,
    inner: Result<WallLine, Unknown>,
    outer: Result<WallLine, Unknown>,
    ostia: Vec<Ostium>,
    keep_clear: Vec<KeepClear>,
}

impl Measuring {
    /// Of a case with centreline points or a measuring sheet.
    pub fn of(case: Arc<Case>) -> Self {
        Measuring { case, stage: Stage::Fit, done: 0 }
    }

    /// On a curve handed over as it stands, whose station 0 is the origin.
    pub fn on(line: Centreline, case: Arc<Case>) -> Self {
        let line = Line { line, fit: None, rough: None, origin_marked: true };
        Measuring { case, stage: Stage::Course(Box::new(line)), done: 0 }
    }

    /// Operations of one piece: the length of the line, or of its points before it is fitted.
    fn piece(&self) -> u64 {
        let length = |line: &Centreline| line.stations_mm().count() as u64;
        match &self.stage {
            Stage::Fit => self.case.anatomy.centreline.as_ref().map_or(1, |c| c.points_lps_mm.len() as u64),
            Stage::Course(own) => length(&own.line),
            Stage::Wall(ground) => length(ground.course.line()),
            Stage::Openings(openings) => length(openings.ground.course.line()),
            Stage::Finished => 0,
        }
        .max(1)
    }

    fn pieces_left(&self) -> u64 {
        let openings = (self.case.anatomy.ostia.len() + self.case.anatomy.keep_clear.len() + 1) as u64;
        match &self.stage {
            Stage::Fit => openings + 3,
            Stage::Course(_) => openings + 2,
            Stage::Wall(_) => openings + 1,
            Stage::Openings(o) => openings - (o.ostia.len() + o.keep_clear.len()) as u64,
            Stage::Finished => 0,
        }
    }

    /// Does one piece; the result once the last is done.
    fn step(&mut self) -> Option<Result<Anatomy, Fault>> {
        let input = &self.case.anatomy;
        match std::mem::replace(&mut self.stage, Stage::Finished) {
            Stage::Fit => match line_of(input) {
                Ok(line) => self.stage = Stage::Course(Box::new(line)),
                Err(fault) => return Some(Err(fault)),
            },
            Stage::Course(own) => {
                let Line { line, fit, rough, origin_marked } = *own;
                let stations: Vec<f64> = input.ostia.iter().map(|o| o.station_mm).collect();
                let course = Arc::new(Course::new(line, &stations));
                self.stage = Stage::Wall(Box::new(Ground { fit, rough, origin_marked, course }));
            }
            Stage::Wall(ground) => {
                let ground = *ground;
                let lumen = Lumen::new(&twelve::sections(&self.case, &ground.course)).map(Arc::new);
                let lumen = lumen.ok_or(Unknown::because(message::NO_LUMEN));
                let wall = lumen.clone().and_then(|lumen| Wall::new(ground.course.clone(), lumen));
                let along = |clock| wall.as_ref().map(|w| w.line(clock)).map_err(Clone::clone);
                let (inner, outer) = (along(Angle::HALF_TURN), along(Angle::ZERO));
                let (ostia, keep_clear) = (Vec::new(), Vec::new());
                self.stage =
                    Stage::Openings(Box::new(Openings { ground, lumen, wall, inner, outer, ostia, keep_clear }));
            }
            Stage::Openings(mut openings) => {
                let Openings { ground, wall, ostia, keep_clear, .. } = &mut *openings;
                let placing = Placing { case: &self.case, course: &ground.course, wall };
                if let Some(next) = input.ostia.get(ostia.len()) {
                    ostia.push(placing.ostium(next, &input.vessels));
                } else if let Some(next) = input.keep_clear.get(keep_clear.len()) {
                    keep_clear.push(placing.keep_clear(next));
                } else {
                    return Some(Ok(openings.anatomy(&self.case)));
                }
                self.stage = Stage::Openings(openings);
            }
            Stage::Finished => {}
        }
        None
    }
}

impl Task for Measuring {
    type Output = Result<Anatomy, Fault>;

    fn advance(&mut self, operations: u64) -> Progress<Self::Output> {
        let goal = self.done.saturating_add(operations);
        while !matches!(self.stage, Stage::Finished) {
            self.done += self.piece();
            if let Some(outcome) = self.step() {
                return Progress::Done(outcome);
            }
            if self.done >= goal {
                break;
            }
        }
        Progress::Working { done: self.done, of: self.done + self.piece() * self.pieces_left() }
    }
}

impl Openings {
    fn anatomy(mut self, case: &Case) -> Anatomy {
        let input = &case.anatomy;
        self.ostia.sort_by(|a, b| a.place.station_mm.total_cmp(&b.place.station_mm));
        let course = self.ground.course;
        let placing = Placing { case, course: &course, wall: &self.wall };
        let vessels: Vec<Vessel> =
            input.vessels.iter().map(|v| placing.vessel(v, &input.vessels, &self.ostia)).collect();
        let begin = course.line().range_mm().0.max(0.0);
        let zones = zones::zones(begin, &self.ostia, &vessels, &self.wall, &self.inner, &self.outer);
        let folds = self.wall.as_ref().map(folds).unwrap_or_default();
        let mut anatomy = Anatomy {
            fit: self.ground.fit,
            rough: None,
            course,
            lumen: self.lumen,
            wall: self.wall,
            inner: self.inner,
            outer: self.outer,
            origin_marked: self.ground.origin_marked,
            ostia: self.ostia,
            vessels,
            keep_clear: self.keep_clear,
            zones,
            folds,
        };
        if let (Some(mut rough), Some(sheet)) = (self.ground.rough, &input.sheet_arch) {
            rough.residuals = rough.held_against(sheet, &anatomy);
            anatomy.rough = Some(rough);
        }
        anatomy
    }
}

/// The centreline of a case: fitted to its points, or rebuilt from its measuring sheet.
fn line_of(input: &AnatomyInput) -> Result<Line, Fault> {
    if let Some(points) = &input.centreline {
        let (line, fit) = fit(points)?;
        return Ok(Line { line, fit: Some(fit), rough: None, origin_marked: points.origin_at_mm.is_some() });
    }
    let sheet = input.sheet_arch.as_ref().ok_or_else(no_centreline)?;
    let (line, rough) = rebuilt::rebuild(input, sheet)?;
    Ok(Line { line, fit: None, rough: Some(rough), origin_marked: sheet.origin.is_some() })
}

/// Fits the given points and marks station 0.
fn fit(input: &CentrelineInput) -> Result<(Centreline, Fit), Fault> {
    let points: Vec<Point3> = input.points_lps_mm.iter().map(|p| Point3::from(*p)).collect();
    let fitted = Fitted::new(&points, input.smoothing_length_mm)?;
    let origin = match input.origin_at_mm {
        None => 0.0,
        Some(along) => fitted.length_at_input(along).ok_or_else(|| {
            Fault::new(
                "origin_outside",
                "/anatomy/centreline/origin_at_mm",
                format!("The origin is marked at {along} mm, but the points end at {:.1} mm.", fitted.input_length_mm),
                "Mark it between 0 and the length of the given points.",
            )
        })?,
    };
    let fit = Fit {
        input_length_mm: fitted.input_length_mm,
        residual_rms_mm: fitted.residual_rms_mm,
        residual_max_mm: fitted.residual_max_mm,
    };
    Ok((fitted.line.with_origin(origin), fit))
}

/// Stretches where the wall folds, to about 1 mm.
fn folds(wall: &Wall) -> Vec<Stretch> {
    let mut stretches: Vec<Stretch> = Vec::new();
    let (first, last) = wall.course().line().range_mm();
    let mut open = false;
    let steps = (last - first).ceil() as usize;
    for k in 0..=steps {
        let s = (first + k as f64).min(last);
        let here = wall.folds(s);
        match (here, open, stretches.last_mut()) {
            (true, true, Some(stretch)) => stretch.to_mm = s,
            (true, ..) => stretches.push(Stretch { from_mm: s, to_mm: s }),
            (false, ..) => {}
        }
        open = here;
    }
    stretches
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::casefile::case::OstiumInput;

    fn bend() -> Arc<Case> {
        let point = |k: i32| {
            let a = f64::from(k) / 40.0;
            [0.0, 40.0 - 40.0 * a.cos(), 40.0 * a.sin()]
        };
        let centreline = CentrelineInput {
            points_lps_mm: (0..120).map(point).collect(),
            smoothing_length_mm: 7.0,
            origin: "sinotubular_junction".into(),
            origin_at_mm: Some(10.0),
        };
        let ostium = |id: &str, station_mm| OstiumInput {
            id: id.into(),
            station_mm,
            clock_deg: Some(0.0),
            along_mm: Some(10.0),
            across_mm: Some(10.0),
        };
        let anatomy = AnatomyInput {
            centreline: Some(centreline),
            ostia: vec![ostium("o1", 40.0), ostium("o2", 60.0)],
            ..AnatomyInput::default()
        };
        Arc::new(Case { anatomy: Arc::new(anatomy), ..Case::default() })
    }

    // Whatever the slices, the result is the same, progress grows and never passes its whole.
    #[test]
    fn slices_change_nothing() {
        let whole = format!("{:?}", Anatomy::measure(&bend()).unwrap());
        for slice in [1, 50, 1000] {
            let mut task = Measuring::of(bend());
            let mut last = 0;
            let mut slices = 0;
            let sliced = loop {
                slices += 1;
                match task.advance(slice) {
                    Progress::Done(outcome) => break outcome.unwrap(),
                    Progress::Working { done, of } => {
                        assert!(done > last && done < of, "{done} {last} {of}");
                        last = done;
                    }
                }
            };
            assert_eq!(format!("{sliced:?}"), whole);
            assert!(slice > 100 || slices > 3);
            assert!(matches!(task.advance(1), Progress::Working { .. }));
        }
    }

    #[test]
    fn nothing_to_measure_is_a_fault() {
        assert_eq!(Anatomy::measure(&Arc::default()).unwrap_err().code, "no_centreline");
    }
}
