//! What lies under the pointer: the shape that is tied to a row, and the graft that can be gripped.
//!
//! Pure: asks the very scene and axes that were drawn. Coordinates are mm of the drawing.

use crate::drag::Reach;
use crate::measured_drag::{self, Held};
use extrados::casefile::case::Placement;
use extrados::graft::lie::{PlacedGraft, Possibility};
use extrados::plan::Plan;
use extrados::scene::axes::{MapAxes, WallSpot};
use extrados::scene::{Scene, Shape, Spot};

/// How near a line counts as under the pointer, mm of the drawing.
const NEAR_MM: f64 = 1.2;
/// How far beyond an edge the graft can still be gripped, mm of the drawing.
const EDGE_MM: f64 = 2.0;
/// How near its tip an ostium's edge is held rather than the ostium, mm of the drawing.
const TIP_MM: f64 = 1.4;
/// An ostium drawn shorter than this is only held as a whole, mm of the drawing.
const LEAST_DRAWN_MM: f64 = 4.5;

/// The tie of the topmost shape at a spot.
pub fn tie_at(scene: &Scene, spot: Spot) -> Option<&str> {
    tie_where(scene, spot, |_| true)
}

/// The tie of the topmost shape at a spot, among those that are asked for.
pub fn tie_where(scene: &Scene, spot: Spot, asked: impl Fn(&str) -> bool) -> Option<&str> {
    let tied = scene.items.iter().rev().filter_map(|item| Some((item, item.tie.as_deref()?)));
    tied.filter(|(item, tie)| asked(tie) && meets(&item.shape, spot)).map(|(_, tie)| tie).next()
}

fn meets(shape: &Shape, spot: Spot) -> bool {
    let near = |points: &[Spot]| points.windows(2).any(|ends| distance(spot, ends[0], ends[1]) <= NEAR_MM);
    match shape {
        Shape::Path(points) => near(points),
        Shape::Area(rings) => rings.iter().filter(|ring| inside(ring, spot)).count() % 2 == 1,
        Shape::Circle { centre, radius_mm } => distance(spot, *centre, *centre) <= *radius_mm,
        Shape::Mark { at, size_mm, .. } => distance(spot, *at, *at) <= size_mm.max(2.0 * NEAR_MM) / 2.0,
        Shape::Dimension { from, to } => distance(spot, *from, *to) <= NEAR_MM,
        Shape::Text { .. } | Shape::Field { .. } => false,
    }
}

/// From a point to a stretch.
fn distance(point: Spot, from: Spot, to: Spot) -> f64 {
    let [dx, dy] = [to[0] - from[0], to[1] - from[1]];
    let [px, py] = [point[0] - from[0], point[1] - from[1]];
    let length = dx * dx + dy * dy;
    let share = if length > 0.0 { ((px * dx + py * dy) / length).clamp(0.0, 1.0) } else { 0.0 };
    (px - share * dx).hypot(py - share * dy)
}

/// Whether a point lies inside a ring: the usual count of crossings to its right.
fn inside(ring: &[Spot], [x, y]: Spot) -> bool {
    let mut inside = false;
    for (index, here) in ring.iter().enumerate() {
        let before = ring[(index + ring.len() - 1) % ring.len()];
        let crosses = (here[1] > y) != (before[1] > y);
        if crosses && x < (before[0] - here[0]) * (y - here[1]) / (before[1] - here[1]) + here[0] {
            inside = !inside;
        }
    }
    inside
}

/// What was measured at a spot of the map: an edge of an ostium at its tip, else the topmost ostium or
/// point to keep clear, else the border of a zone or of the wall near it.
pub fn measured_at(scene: &Scene, axes: &MapAxes, plan: &Plan, spot: Spot) -> Option<Held> {
    let case = &*plan.case;
    let tip = measured_drag::edges(plan).into_iter().find(|edge| {
        let from = axes.spot(WallSpot { station_mm: edge.station_mm, clock: edge.clock });
        distance(spot, from, from) <= TIP_MM && edge.drawn_mm(axes) >= LEAST_DRAWN_MM
    });
    if let Some(edge) = tip {
        return Some(edge.held);
    }
    let shapes = scene.items.iter().rev().filter(|item| meets(&item.shape, spot));
    let held = shapes.filter_map(|item| measured_drag::of_tie(case, item.tie.as_deref()?)).next();
    held.or_else(|| {
        let plot = axes.plot();
        let on_map = (plot.top..=plot.bottom).contains(&spot[1]);
        let station = |spot: Spot| axes.wall(spot).station_mm;
        let near_mm = (station([spot[0] + EDGE_MM, spot[1]]) - station(spot)).abs();
        if on_map { measured_drag::border_at(plan, station(spot), near_mm) } else { None }
    })
}

/// What a press on the map grips.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Gripped {
    /// Place of the component in the case.
    pub component: usize,
    /// Where its graft lies.
    pub placement: Placement,
    /// The place on the wall that was pressed.
    pub at: WallSpot,
}

/// The graft at a spot of the map; where two lie on each other, the one of the component that was
/// chosen, else the later one.
pub fn graft_at(
    plan: &Plan,
    axes: &MapAxes,
    drawn: Option<Possibility>,
    chosen: Option<usize>,
    spot: Spot,
) -> Option<Gripped> {
    let plot = axes.plot();
    let on_map = spot[0] >= plot.left - EDGE_MM
        && spot[0] <= plot.right + EDGE_MM
        && spot[1] >= plot.top - EDGE_MM
        && spot[1] <= plot.bottom + EDGE_MM;
    if !on_map {
        return None;
    }
    let over = |graft: &&PlacedGraft| {
        let lie = graft.lies.iter().find(|lie| Some(lie.possibility) == drawn).or(graft.lies.first());
        let ends = lie.and_then(|lie| Some((lie.places().first()?.1, lie.places().last()?.1)));
        ends.is_some_and(|(from, to)| {
            spot[0] >= axes.station_to_x(from) - EDGE_MM && spot[0] <= axes.station_to_x(to) + EDGE_MM
        })
    };
    let chosen = chosen.and_then(|place| plan.case.components.get(place));
    let of_chosen = |graft: &&PlacedGraft| chosen.is_some_and(|component| component.id == graft.component);
    let graft = plan.grafts.iter().filter(of_chosen).find(over).or_else(|| plan.grafts.iter().rev().find(over))?;
    let component = plan.case.components.iter().position(|component| component.id == graft.component)?;
    Some(Gripped { component, placement: graft.placement, at: axes.wall(spot) })
}

/// Stations over which the held point of a graft may be moved: the measured aorta.
pub fn reach(plan: &Plan) -> Reach {
    match &plan.anatomy {
        Ok(anatomy) => {
            let (from_mm, to_mm) = anatomy.course.line().range_mm();
            Reach { from_mm, to_mm }
        }
        Err(_) => Reach { from_mm: f64::NEG_INFINITY, to_mm: f64::INFINITY },
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use extrados::scene::Item;
    use extrados::scene::style::{Medium, Token};

    fn scene(shapes: Vec<(&str, Shape)>) -> Scene {
        let items = shapes.into_iter().map(|(tie, shape)| Item {
            token: Token::Mouth,
            shape,
            tie: (!tie.is_empty()).then(|| tie.into()),
            lit: false,
        });
        Scene {
            ground: 0,
            name: "test",
            width_mm: 100.0,
            height_mm: 50.0,
            medium: Medium::Screen,
            title: String::new(),
            description: String::new(),
            items: items.collect(),
        }
    }

    #[test]
    fn the_topmost_tied_shape_is_found_through_what_is_not_tied() {
        let square = |from: f64, to: f64| Shape::Area(vec![vec![[from, from], [to, from], [to, to], [from, to]]]);
        let scene = scene(vec![
            ("graft", square(0.0, 40.0)),
            ("t1", Shape::Circle { centre: [20.0, 20.0], radius_mm: 5.0 }),
            ("", square(0.0, 100.0)),
        ]);
        assert_eq!(tie_at(&scene, [20.0, 23.0]), Some("t1"));
        assert_eq!(tie_at(&scene, [5.0, 5.0]), Some("graft"));
        assert_eq!(tie_at(&scene, [60.0, 60.0]), None);
    }

    #[test]
    fn a_hole_is_not_inside_and_a_line_is_met_near_it() {
        let outer = vec![[0.0, 0.0], [30.0, 0.0], [30.0, 30.0], [0.0, 30.0]];
        let hole = vec![[10.0, 10.0], [20.0, 10.0], [20.0, 20.0], [10.0, 20.0]];
        let scene = scene(vec![
            ("ring", Shape::Area(vec![outer, hole])),
            ("line", Shape::Path(vec![[50.0, 0.0], [50.0, 40.0]])),
        ]);
        assert_eq!(tie_at(&scene, [15.0, 15.0]), None);
        assert_eq!(tie_at(&scene, [5.0, 15.0]), Some("ring"));
        assert_eq!(tie_at(&scene, [51.0, 20.0]), Some("line"));
        assert_eq!(tie_at(&scene, [52.0, 20.0]), None);
    }
}
