//! Where the branches leave the aorta: openings in its wall and the vessels that leave through them.
//!
//! A branch leaves at the last point where its own line is one lumen radius from the aorta's smoothed
//! centreline. Two branches share an opening where these points are nearer to each other than the
//! larger inscribed sphere there. Two that still run as one line there are one vessel that divides
//! beyond the wall.

use super::line::{Line, rounded};
use crate::anatomy::course::Course;
use crate::anatomy::lumen::Lumen;
use crate::casefile::case::{OstiumInput, VesselDiameter, VesselInput};
use crate::curve::Centreline;
use crate::numeric::roots::bracketed;
use crate::units::{Angle, Point3, Vec3};

/// A branch is looked along in steps of this, mm: two walls nearer than that are not told apart.
const STEP_MM: f64 = 0.5;
/// Accuracy of the place where a line leaves, mm.
const ACCURACY_MM: f64 = 1e-6;
/// Lines nearer than this at the wall still run as one, mm.
const TOGETHER_MM: f64 = 0.5;
/// The take-off is the chord over this much of a vessel beyond the wall, mm; the opening's size is
/// taken there.
pub(super) const TAKEOFF_MM: f64 = 10.0;
/// A vessel shorter than this beyond the wall has no direction, mm.
const SHORTEST_CHORD_MM: f64 = 2.0;
/// Diameters of a vessel are written at these lengths beyond the wall, mm.
const DIAMETERS_AT_MM: [f64; 4] = [10.0, 20.0, 30.0, 40.0];
/// Below this sine of the take-off an opening's length along the flow is not told.
const LEAST_SINE: f64 = 0.2;

/// A branch where it leaves the aorta.
#[derive(Clone, Debug)]
pub(super) struct Exit {
    pub line: Line,
    /// Length along its line where it crosses the wall.
    pub along_mm: f64,
    pub point: Point3,
    /// Radius of its own inscribed sphere there.
    radius_mm: f64,
}

/// Why a branch has no exit.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum NoExit {
    /// It ends inside the aorta.
    Inside,
    /// It leaves through the end of the aorta's line.
    ThroughTheEnd,
}

/// Distance of a point from a middle line, and the radius of the lumen there.
struct Off {
    distance_mm: f64,
    radius_mm: f64,
}

impl Off {
    fn depth(&self) -> f64 {
        self.distance_mm - self.radius_mm
    }
}

/// Last length along a line where it comes out of a tube whose radius is nowhere above `widest_mm`;
/// `Err(true)` where the line ends inside, `Err(false)` where it is outside all along.
fn last_crossing(line: &Line, widest_mm: f64, off: impl Fn(f64) -> Off) -> Result<f64, bool> {
    let mut outside = line.length_mm();
    let mut here = off(outside);
    if here.depth() <= 0.0 {
        return Err(true);
    }
    while outside > 0.0 {
        // A line of this length cannot come nearer than its distance less the length.
        let step = STEP_MM.max(here.distance_mm - widest_mm);
        let next = (outside - step).max(0.0);
        here = off(next);
        if here.depth() <= 0.0 {
            return Ok(bracketed(next, outside, ACCURACY_MM, |along| off(along).depth()).unwrap_or(next));
        }
        outside = next;
    }
    Err(false)
}

/// Where a branch leaves. A branch that begins outside the wall leaves where it begins.
pub(super) fn exit(line: &Line, aorta: &Centreline, lumen: &Lumen) -> Result<Exit, NoExit> {
    let radius = |station_mm: f64| lumen.radius(station_mm, Angle::ZERO).mm;
    let off = |along: f64| {
        let nearest = aorta.nearest(&line.at(along));
        Off { distance_mm: nearest.distance_mm, radius_mm: radius(nearest.station_mm) }
    };
    let widest_mm = lumen.stations_mm().iter().copied().map(radius).fold(0.0, f64::max);
    let along_mm = match last_crossing(line, widest_mm, off) {
        Ok(along) => along,
        Err(true) => return Err(NoExit::Inside),
        Err(false) => 0.0,
    };
    let point = line.at(along_mm);
    let station_mm = aorta.nearest(&point).station_mm;
    let (first, last) = aorta.range_mm();
    if station_mm - first < ACCURACY_MM || last - station_mm < ACCURACY_MM {
        return Err(NoExit::ThroughTheEnd);
    }
    let radius_mm = line.radius_at(along_mm).unwrap_or(0.0);
    Ok(Exit { line: line.clone(), along_mm, point, radius_mm })
}

impl Exit {
    /// Unit chord from a length along the line over the next 10 mm.
    fn direction(&self, from_mm: f64) -> Option<Vec3> {
        let reach = TAKEOFF_MM.min(self.line.length_mm() - from_mm);
        if reach < SHORTEST_CHORD_MM {
            return None;
        }
        (self.line.at(from_mm + reach) - self.line.at(from_mm)).try_normalize(1e-9)
    }

    /// Diameter a length along the line, as far as the line reaches.
    fn diameter_mm(&self, along_mm: f64) -> Option<f64> {
        if along_mm > self.line.length_mm() {
            return None;
        }
        Some(2.0 * self.line.radius_at(along_mm)?)
    }

    /// Length beyond the wall at which another line, one with this at the wall, leaves this vessel;
    /// `None` where it never does.
    fn left_by(&self, other: &Exit) -> Option<(f64, f64)> {
        let off = |along: f64| {
            let (distance_mm, own) = self.line.nearest(&other.line.at(along));
            Off { distance_mm, radius_mm: self.line.radius_at(own).unwrap_or(0.0) }
        };
        let along = last_crossing(&other.line, self.line.widest_mm(), off).ok()?;
        let (_, own) = self.line.nearest(&other.line.at(along));
        Some(((own - self.along_mm).max(0.0), along))
    }
}

/// A vessel of an opening.
#[derive(Clone, Debug)]
struct Member {
    exit: Exit,
    /// Where it leaves another member: that member's place in the list, the length beyond the wall,
    /// and the length along its own line.
    parent: Option<(usize, f64, f64)>,
}

/// An opening with the branches that leave through it, the one that ends further right first.
#[derive(Clone, Debug)]
pub(super) struct Opening {
    members: Vec<Member>,
    /// Mean of the places where its vessels cross the wall.
    pub centre: Point3,
    pub station_mm: f64,
}

/// Groups branches by opening, in order along the flow. Lines that never part from another are dropped.
pub(super) fn openings(exits: Vec<Exit>, aorta: &Centreline, assumed: &mut Vec<String>) -> Vec<Opening> {
    let mut groups: Vec<Vec<Exit>> = Vec::new();
    for exit in exits {
        let shares = |group: &Vec<Exit>| {
            group.iter().any(|other| (other.point - exit.point).norm() < other.radius_mm.max(exit.radius_mm))
        };
        // One exit may join groups that were apart.
        let (joined, mut apart): (Vec<_>, Vec<_>) = groups.into_iter().partition(shares);
        let mut group: Vec<Exit> = joined.into_iter().flatten().collect();
        group.push(exit);
        apart.push(group);
        groups = apart;
    }
    let mut openings: Vec<Opening> = groups.into_iter().map(|group| opening(group, aorta, assumed)).collect();
    openings.sort_by(|a, b| a.station_mm.total_cmp(&b.station_mm));
    openings
}

fn opening(mut group: Vec<Exit>, aorta: &Centreline, assumed: &mut Vec<String>) -> Opening {
    group.sort_by(|a, b| a.line.last().x.total_cmp(&b.line.last().x));
    let mut members: Vec<Member> = Vec::new();
    for exit in group {
        let together =
            members.iter().position(|m| m.parent.is_none() && (m.exit.point - exit.point).norm() < TOGETHER_MM);
        let parent = match together {
            None => None,
            Some(index) => match members[index].exit.left_by(&exit) {
                Some((at_mm, along)) => Some((index, at_mm, along)),
                None => {
                    assumed.push(format!(
                        "{} was left out: it never parts from {}.",
                        exit.line.name, members[index].exit.line.name
                    ));
                    continue;
                }
            },
        };
        members.push(Member { exit, parent });
    }
    let at_wall: Vec<&Member> = members.iter().filter(|m| m.parent.is_none()).collect();
    let sum = at_wall.iter().fold(Vec3::zeros(), |sum, m| sum + m.exit.point.coords);
    let centre = Point3::from(sum / at_wall.len() as f64);
    Opening { station_mm: aorta.nearest(&centre).station_mm, centre, members }
}

impl Opening {
    /// How many vessels leave through it.
    pub fn vessels(&self) -> usize {
        self.members.len()
    }

    /// The ostium and its vessels for the case; `names` are those of its vessels in order.
    pub fn describe(
        &self,
        id: &str,
        names: &[String],
        course: &Course,
        assumed: &mut Vec<String>,
    ) -> (OstiumInput, Vec<VesselInput>) {
        let frame = course.frame(self.station_mm).ok();
        let centre = course.line().at(self.station_mm);
        let clock = frame.map(|frame| frame.clock_of(&(self.centre - centre.point)));
        if frame.is_some_and(|frame| !frame.certain) {
            assumed.push(format!("{id}: its clock is uncertain, since the aorta runs out of the arch plane there."));
        }
        let mut vessels = Vec::new();
        // Extent of each vessel's own opening from the centre: along the flow, and around.
        let mut hull: Option<[(f64, f64); 2]> = None;
        let mut sized = true;
        for (member, name) in self.members.iter().zip(names) {
            let exit = &member.exit;
            let from_mm = member.parent.map_or(exit.along_mm, |(_, _, along)| along);
            let direction = exit.direction(from_mm);
            let takeoff = direction.map(|d| Angle::rad(d.dot(&centre.tangent).clamp(-1.0, 1.0).acos()));
            let lean = direction
                .zip(frame)
                .zip(clock)
                .map(|((d, frame), clock)| Angle::atan2(d.dot(&frame.around(clock)), d.dot(&frame.towards(clock))));
            vessels.push(self.vessel(member, id, name, names, takeoff, lean));
            if member.parent.is_none() {
                let across = exit.diameter_mm(exit.along_mm + TAKEOFF_MM);
                let sine = takeoff.map(Angle::sin).filter(|sine| *sine >= LEAST_SINE);
                let around = frame.zip(clock).map_or_else(Vec3::zeros, |(frame, clock)| frame.around(clock));
                let off = exit.point - self.centre;
                match across.zip(sine) {
                    None => sized = false,
                    Some((across, sine)) => {
                        let spans = [(off.dot(&centre.tangent), across / sine), (off.dot(&around), across)]
                            .map(|(middle, size)| (middle - size / 2.0, middle + size / 2.0));
                        hull = Some(hull.map_or(spans, |hull| {
                            [0, 1].map(|i| (hull[i].0.min(spans[i].0), hull[i].1.max(spans[i].1)))
                        }));
                    }
                }
            }
        }
        let size = |i: usize| hull.filter(|_| sized).map(|hull| rounded(hull[i].1 - hull[i].0));
        if !sized {
            assumed.push(format!("{id}: its size is unknown, since a line ends less than {TAKEOFF_MM} mm beyond the wall or runs along it."));
        }
        let ostium = OstiumInput {
            id: id.to_owned(),
            station_mm: rounded(self.station_mm),
            clock_deg: clock.map(degrees),
            along_mm: size(0),
            across_mm: size(1),
        };
        (ostium, vessels)
    }

    fn vessel(
        &self,
        member: &Member,
        ostium: &str,
        name: &str,
        names: &[String],
        takeoff: Option<Angle>,
        lean: Option<Angle>,
    ) -> VesselInput {
        let exit = &member.exit;
        // A vessel that leaves another has its own diameters only from there on.
        let begins = member.parent.map_or(exit.along_mm, |(_, _, along)| along);
        let diameters = DIAMETERS_AT_MM
            .into_iter()
            .filter(|at_mm| exit.along_mm + at_mm >= begins)
            .filter_map(|at_mm| {
                Some(VesselDiameter { at_mm, diameter_mm: rounded(exit.diameter_mm(exit.along_mm + at_mm)?) })
            })
            .collect();
        VesselInput {
            from: member.parent.map_or(ostium.to_owned(), |(parent, ..)| names[parent].clone()),
            at_mm: member.parent.map_or(0.0, |(_, at_mm, _)| rounded(at_mm)),
            takeoff_deg: takeoff.map(degrees),
            lean_deg: lean.map(degrees),
            diameters,
            ..unmeasured(name, ostium)
        }
    }
}

/// An angle for the case file, in (−180, 180].
pub(super) fn degrees(angle: Angle) -> f64 {
    let degrees = rounded(angle.wrapped().to_deg());
    if degrees <= -180.0 { 180.0 } else { degrees }
}

/// A vessel of which nothing but its ostium is known.
pub(super) fn unmeasured(name: &str, ostium: &str) -> VesselInput {
    VesselInput {
        id: name.to_owned(),
        from: ostium.to_owned(),
        at_mm: 0.0,
        takeoff_deg: None,
        lean_deg: None,
        diameters: Vec::new(),
        to_first_branch_mm: None,
        healthy_from_mm: None,
        fed_from: None,
        carries: Vec::new(),
        mammary_at_mm: None,
        vertebral_at_mm: None,
        vertebral_is: None,
        mammary_graft: None,
        needs: None,
    }
}
