//! The views of a plan: arch square-on, each ostium edge-on, each bridging path, the proximal edge.
//!
//! Each has an ideal view from the geometry alone, seen from either side. Where neither side is
//! within reach, the best view within reach stands for it, and says so. What hangs on where the graft
//! lies has a view for each possibility. Angles are to use; the cost of taking whole degrees is said.

use super::angles::Positioner;
use super::foreshorten::{across_curve, both, of_curve, of_line, seen, square_to};
use super::posture;
use super::projection::Ring;
use super::reach::Reach;
use crate::anatomy::Anatomy;
use crate::anatomy::openings::Ostium;
use crate::graft::lie::{GraftLie, Possibility};
use crate::message;
use crate::placement::tunnel::TunnelResult;
use crate::plan::Plan;
use crate::quantity::{Quantity, Unknown};
use crate::units::{Angle, Point3, Vec3};
use serde::Serialize;

/// Id of the view square to the arch: the arch plane's name in a report.
pub const ARCH: &str = "arch_plane";

/// How far a view of an ostium may leave the ideal so that another ostium does not lie over it: at
/// 10° a length loses 1.5 %.
const MOST_ASIDE_DEG: u32 = 10;
/// Directions in which it is tried.
const ASIDE_WAYS: usize = 24;
/// Rims nearer to each other than this on the screen count as overlapping, mm.
const APART_MM: f64 = 1.0;
/// A path that loses no more than this share seen within its own plane counts as straight.
const LEAST_BEND: f64 = 0.005;
/// Points of the centreline by which the arch's foreshortening is told, mm apart.
const ARCH_STEP_MM: f64 = 2.0;

/// What a view is for.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Shows {
    /// The arch, square to its plane.
    Arch,
    /// An ostium edge-on, with the clearance along the wall at full length.
    Ostium,
    /// The bridging path from a tunnel's mouth to its vessel.
    Path,
    /// The proximal fabric edge edge-on, with the coronaries in profile.
    ProximalEdge,
}

/// A view that was chosen.
#[derive(Clone, Debug, PartialEq)]
pub struct Choice {
    /// The view to use, within reach.
    pub at: Positioner,
    /// The ideal view that lies nearest to it.
    pub ideal: Positioner,
    /// Whether the C-arm reaches an ideal view.
    pub reachable: bool,
    /// Share by which the length that the view is for looks shorter at `at`.
    pub foreshortening: f64,
    /// How far the opening, or the worse of the coronaries, is from edge-on; `None` where a view is
    /// for a length alone.
    pub off_edge: Option<Angle>,
    /// What it is judged by.
    pub aim: Aim,
    /// The view to whole degrees.
    pub rounded: Positioner,
    /// How much more the length is foreshortened at whole degrees; may be negative by a hair.
    pub rounding_cost: f64,
    /// Ids of other ostia whose rim overlaps the shown one's (of any, where the arch is shown).
    pub overlaps: Vec<String>,
}

/// A view of a plan.
#[derive(Clone, Debug, PartialEq)]
pub struct ViewResult {
    /// What it is for.
    pub shows: Shows,
    /// Id of what it shows: an ostium's, a tunnel's, a component's, or [`ARCH`].
    pub id: String,
    /// The possibility it belongs to; `None` where it hangs on the anatomy alone.
    pub possibility: Option<Possibility>,
    /// The view. Its error is in degrees, from the CT's errors alone; 0 where it is not told.
    pub choice: Quantity<Choice>,
}

/// All views of a plan: arch, ostia in order of station, then graft by graft the proximal edge and
/// each tunnel's path, one for each possibility.
pub fn views(plan: &Plan) -> Vec<ViewResult> {
    let Ok(anatomy) = &plan.anatomy else { return Vec::new() };
    let chooser = Chooser::new(plan, anatomy);
    let mut all = vec![chooser.view(Shows::Arch, ARCH, None, chooser.arch())];
    for (index, ostium) in anatomy.ostia.iter().enumerate() {
        all.push(chooser.view(Shows::Ostium, &ostium.id, None, chooser.ostium(index, ostium)));
    }
    for graft in &plan.grafts {
        for lie in &graft.lies {
            let edge = chooser.proximal_edge(lie);
            all.push(chooser.view(Shows::ProximalEdge, &graft.component, Some(lie.possibility), edge));
        }
    }
    for tunnel in &plan.tunnels {
        all.push(chooser.view(Shows::Path, &tunnel.id, Some(tunnel.possibility), chooser.path(tunnel)));
    }
    all
}

/// Of each thing that is shown one view: of those that hang on where the graft lies the one of the
/// possibility that the tunnel's row of the sheet shows, or the first.
pub fn sheet_views<'a>(plan: &Plan, views: &'a [ViewResult]) -> Vec<&'a ViewResult> {
    let mut chosen: Vec<&ViewResult> = Vec::new();
    let rows = plan.sheet_tunnels();
    for view in views {
        if chosen.iter().any(|own| own.id == view.id && own.shows == view.shows) {
            continue;
        }
        let row = rows.iter().find(|row| row.id == view.id).map(|row| row.possibility);
        let same = |own: &&ViewResult| own.id == view.id && own.shows == view.shows && own.possibility == row;
        chosen.push(views.iter().find(same).unwrap_or(view));
    }
    chosen
}

/// The rim of an ostium as a flat ring in the wall's tangent plane.
///
/// # Errors
/// Unknown without its clock or size.
pub fn rim(ostium: &Ostium, anatomy: &Anatomy) -> Result<Ring, Unknown> {
    let (station_mm, clock) = (ostium.place.station_mm, *ostium.place.clock.get()?);
    let (along, outward) = anatomy.wall()?.directions(station_mm, clock)?;
    Ok(Ring {
        centre: *ostium.place.point.get()?,
        half_along: along * (ostium.along_mm.get()? / 2.0),
        half_across: outward.cross(&along) * (ostium.across_mm.get()? / 2.0),
    })
}

/// What a view is judged by: lengths that count for its foreshortening, and normals of openings that
/// are to be edge-on.
#[derive(Clone, Debug, PartialEq)]
pub struct Aim {
    /// An ideal direction to the detector, LPS; its opposite serves as well.
    pub ideal: Vec3,
    /// The length that counts.
    pub length: Length,
    /// Normals of openings that are to be edge-on, LPS.
    pub normals: Vec<Vec3>,
}

/// A length that is to be seen whole.
#[derive(Clone, Debug, PartialEq)]
pub enum Length {
    /// By its direction.
    Line(Vec3),
    /// By its points.
    Curve(Vec<Point3>),
}

impl Aim {
    /// Share by which the length looks shorter from a direction (in the patient).
    pub fn foreshortening(&self, toward: &Vec3) -> f64 {
        match &self.length {
            Length::Line(line) => of_line(line, toward),
            Length::Curve(points) => of_curve(points, toward),
        }
    }

    /// The worst of what is to be seen whole.
    fn worst(&self, toward: &Vec3) -> f64 {
        let normals = self.normals.iter().map(|normal| seen(normal, toward));
        normals.fold(1.0 - self.foreshortening(toward), f64::min)
    }

    /// The direction of the length where it is straight; a curve has none that stands for all of it.
    pub fn line(&self) -> Option<Vec3> {
        match &self.length {
            Length::Line(line) => Some(*line),
            Length::Curve(points) => match points.as_slice() {
                [from, to] => Some(to - from),
                _ => None,
            },
        }
    }

    fn off_edge(&self, toward: &Vec3) -> Option<Angle> {
        let off = |normal: &Vec3| Angle::rad(normal.dot(toward).abs().min(1.0).asin());
        self.normals.iter().map(off).reduce(|a, b| if b.to_rad() > a.to_rad() { b } else { a })
    }
}

struct Chooser<'a> {
    anatomy: &'a Anatomy,
    reach: Reach,
    /// Whether the data's axes can be right; if not, no view is told.
    posture: Result<(), Unknown>,
    rims: Vec<(&'a str, Result<Ring, Unknown>)>,
}

impl<'a> Chooser<'a> {
    fn new(plan: &'a Plan, anatomy: &'a Anatomy) -> Self {
        let plausible = || posture::plausible(&anatomy.course, anatomy.course.plane()?);
        let posture = anatomy.bearing().and_then(|()| plausible());
        Chooser {
            anatomy,
            reach: Reach::of(plan.case.carm.as_ref()),
            posture,
            rims: anatomy.ostia.iter().map(|ostium| (ostium.id.as_str(), rim(ostium, anatomy))).collect(),
        }
    }

    fn view(
        &self,
        shows: Shows,
        id: &str,
        possibility: Option<Possibility>,
        choice: Result<Quantity<Choice>, Unknown>,
    ) -> ViewResult {
        let choice = match self.posture.clone().and(choice) {
            Ok(choice) => choice,
            Err(Unknown(why)) => Quantity::Unknown { why },
        };
        ViewResult { shows, id: id.to_owned(), possibility, choice }
    }

    /// Square to the arch plane.
    fn arch(&self) -> Result<Quantity<Choice>, Unknown> {
        let plane = self.anatomy.course.plane()?;
        let line = self.anatomy.course.line();
        let steps = ((plane.to_mm - plane.from_mm) / ARCH_STEP_MM).ceil().clamp(1.0, 5000.0) as usize;
        let station = |k: usize| plane.from_mm + (plane.to_mm - plane.from_mm) * k as f64 / steps as f64;
        let points = (0..=steps).map(|k| line.at(station(k)).point).collect();
        let aim = Aim { ideal: plane.normal, length: Length::Curve(points), normals: Vec::new() };
        // Not the curve but its plane is to be square: the best within reach is nearest to the normal.
        let (at, reachable) = match self.reach.either(&plane.normal) {
            Some(at) => (at, true),
            None => (self.reach.best(|d| plane.normal.dot(d).abs()).0, false),
        };
        Ok(Quantity::exact(self.chosen(aim, at, reachable, None)))
    }

    /// v = ± (normal × tangent): the opening edge-on, the clearance along the wall at full length.
    fn ostium(&self, index: usize, ostium: &Ostium) -> Result<Quantity<Choice>, Unknown> {
        let place = &ostium.place;
        let clock = *place.clock.get()?;
        let (along, outward) = self.anatomy.wall()?.directions(place.station_mm, clock)?;
        let aim = Aim { ideal: outward.cross(&along), length: Length::Line(along), normals: vec![outward] };
        let (mut at, reachable) = self.stand(&aim);
        if reachable && self.overlapping(index, &at).next().is_some() {
            at = self.aside(index, &aim, at);
        }
        // A clock off by so much turns the view about the aorta by as much; a station off, about the
        // ostium by the bend over that length.
        let clock_sd = match &place.clock {
            Quantity::Known { error, .. } => *error,
            Quantity::Unknown { .. } => 0.0,
        };
        let bend = self.anatomy.course.line().at(place.station_mm).curvature.norm();
        let error = clock_sd.hypot(Angle::rad(bend * place.station_sd_mm).to_deg());
        Ok(Quantity::known(self.chosen(aim, at, reachable, Some(index)), error))
    }

    /// Square to the aorta at the edge, and as nearly as that allows square to the normals of the
    /// coronaries' wall, so that they lie in profile.
    fn proximal_edge(&self, lie: &GraftLie) -> Result<Quantity<Choice>, Unknown> {
        let axis = lie.axis(0.0)?.tangent;
        let wall = self.anatomy.wall()?;
        let coronaries = self.anatomy.keep_clear.iter().filter(|point| point.kind == "coronary");
        let normals = coronaries
            .map(|point| Ok(wall.directions(point.place.station_mm, *point.place.clock.get()?)?.1))
            .collect::<Result<Vec<Vec3>, Unknown>>()?;
        if normals.is_empty() {
            return Err(Unknown::because(message::NO_CORONARY));
        }
        let [u, w] = square_to(&axis);
        let squares = |normals: &[Vec3], d: &Vec3| normals.iter().map(|normal| normal.dot(d).powi(2)).sum::<f64>();
        // Least of a square of a cosine over half a turn: at right angles to where it is largest.
        let (uu, ww) = (squares(&normals, &u), squares(&normals, &w));
        let uw = normals.iter().map(|normal| normal.dot(&u) * normal.dot(&w)).sum::<f64>();
        let largest = Angle::atan2(2.0 * uw, uu - ww) * 0.5;
        let ideal = w * largest.cos() - u * largest.sin();
        let aim = Aim { ideal, length: Length::Line(axis), normals };
        let (at, reachable) = match self.reach.either(&ideal) {
            Some(at) => (at, true),
            // The edge counts first: it must be a line on the screen.
            None => (self.reach.best(|d| seen(&axis, d) - 0.01 * squares(&aim.normals, d)).0, false),
        };
        Ok(Quantity::exact(self.chosen(aim, at, reachable, None)))
    }

    /// Across the bridging path: a flat curve is whole from its plane's normal.
    fn path(&self, tunnel: &TunnelResult) -> Result<Quantity<Choice>, Unknown> {
        tunnel.path.length_mm.get()?;
        let points = tunnel.path.points.to_vec();
        let flat = across_curve(&points).ok_or(Unknown::because(message::NO_ROOM_FOR_PATH))?;
        let chord = points[points.len() - 1] - points[0];
        let within = flat.cross(&chord).try_normalize(1e-9).unwrap_or(flat);
        // A nearly straight path is whole from all round: the side nearest to square to the arch is taken.
        let ideal = if of_curve(&points, &within) > LEAST_BEND {
            flat
        } else {
            let normal = self.anatomy.course.plane()?.normal;
            both(&chord, &normal.cross(&chord)).unwrap_or(flat)
        };
        let aim = Aim { ideal, length: Length::Curve(points), normals: Vec::new() };
        let (at, reachable) = self.stand(&aim);
        let ostium = self.anatomy.ostia.iter().position(|ostium| ostium.vessels.contains(&tunnel.serves));
        Ok(Quantity::exact(self.chosen(aim, at, reachable, ostium)))
    }

    /// Where the C-arm stands for an aim, and whether that is ideal.
    fn stand(&self, aim: &Aim) -> (Positioner, bool) {
        match self.reach.either(&aim.ideal) {
            Some(at) => (at, true),
            None => (self.reach.best(|d| aim.worst(d)).0, false),
        }
    }

    /// Ids of ostia whose rim overlaps this one's.
    fn overlapping(&self, index: usize, at: &Positioner) -> impl Iterator<Item = &str> {
        let screen = self.reach.table.screen(at);
        let own = self.rims.get(index).and_then(|(_, rim)| rim.as_ref().ok());
        let others = self.rims.iter().enumerate().filter(move |(other, _)| *other != index);
        others.filter_map(move |(_, (id, rim))| {
            let (own, rim) = (own?, rim.as_ref().ok()?);
            (own.gap(rim, &screen) < APART_MM).then_some(*id)
        })
    }

    /// The nearest view that keeps the other ostia off this one, or the view itself where none does.
    fn aside(&self, index: usize, aim: &Aim, at: Positioner) -> Positioner {
        let from = self.reach.table.direction(&at);
        let [u, w] = square_to(&from);
        for degrees in 1..=MOST_ASIDE_DEG {
            let tilt = Angle::deg(f64::from(degrees));
            let mut best: Option<(Positioner, f64)> = None;
            for way in 0..ASIDE_WAYS {
                let turn = Angle::deg(360.0 * way as f64 / ASIDE_WAYS as f64);
                let d = from * tilt.cos() + (u * turn.cos() + w * turn.sin()) * tilt.sin();
                let tried = self.reach.table.positioner(&d);
                if !self.reach.contains(&tried) || self.overlapping(index, &tried).next().is_some() {
                    continue;
                }
                let worst = aim.worst(&d);
                if best.is_none_or(|(_, known)| worst > known + 1e-9) {
                    best = Some((tried, worst));
                }
            }
            if let Some((tried, _)) = best {
                return tried;
            }
        }
        at
    }

    fn chosen(&self, aim: Aim, at: Positioner, reachable: bool, ostium: Option<usize>) -> Choice {
        let table = &self.reach.table;
        let toward = table.direction(&at);
        let ideal = if aim.ideal.dot(&toward) < 0.0 { -aim.ideal } else { aim.ideal };
        let rounded = at.rounded();
        let foreshortening = aim.foreshortening(&toward);
        let overlaps: Vec<String> = match ostium {
            Some(index) => self.overlapping(index, &at).map(str::to_owned).collect(),
            None => {
                let any = (0..self.rims.len()).flat_map(|index| self.overlapping(index, &at));
                let mut any: Vec<String> = any.map(str::to_owned).collect();
                any.sort();
                any.dedup();
                any
            }
        };
        Choice {
            at,
            ideal: table.positioner(&ideal),
            reachable,
            foreshortening,
            off_edge: aim.off_edge(&toward),
            rounded,
            rounding_cost: aim.foreshortening(&table.direction(&rounded)) - foreshortening,
            overlaps,
            aim,
        }
    }
}
