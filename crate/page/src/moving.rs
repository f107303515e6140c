//! What a press on a picture takes and where a drag of it goes: the graft, one of its mouths, or
//! something that was measured; on the map and on the side view alike.
//!
//! Pure: spots of a drawing in, actions out. The axes are those on which the drag began, so that what is
//! held stays under the pointer. Knows no event.

use crate::action::Action;
use crate::drag::{Drag, Lock};
use crate::hit;
use crate::measured_drag::MeasuredDrag;
use crate::mouth_drag::{self, MouthDrag};
use crate::view::Drags;
use extrados::graft::lie::Possibility;
use extrados::plan::Plan;
use extrados::scene::Spot;
use extrados::scene::axes::{MapAxes, WallSpot};
use extrados::scene::side_view::{SideAxes, SideInput, SideSize, side_axes, side_view};
use extrados::scene::style::Medium;
use extrados::scene::wall_map::WallMap;
use extrados::units::Angle;

/// Most of the side view's size, mm of the drawing: its letters are then those of the page.
pub const SIDE: SideSize = SideSize::Fit { width_mm: 100.0, height_mm: 148.0 };

/// How near its middle a mouth is taken on the side view, mm of the drawing.
const MOUTH_MM: f64 = 2.5;

/// A drag that goes on.
#[derive(Debug)]
pub struct Moving {
    what: What,
    ground: Ground,
}

#[derive(Debug)]
enum What {
    Graft(usize, Drag),
    Mouth(Box<MouthDrag>),
    Measured(Box<MeasuredDrag>),
}

/// The picture it began on.
#[derive(Debug)]
enum Ground {
    Map(MapAxes),
    /// The side view, with the place and the side that was gripped.
    Side(SideAxes, WallSpot),
}

/// What a press is judged by.
#[derive(Clone, Copy)]
pub struct Press<'a> {
    /// The plan.
    pub plan: &'a Plan,
    /// The possibility that is drawn.
    pub drawn: Option<Possibility>,
    /// The component that was chosen.
    pub chosen: Option<usize>,
    /// Where, mm of the drawing.
    pub at: Spot,
}

impl Press<'_> {
    fn graft(&self, component: usize, at: WallSpot) -> Option<What> {
        let placement = self.plan.case.components.get(component)?.placement?;
        Some(What::Graft(component, Drag::new(placement, at, hit::reach(self.plan))))
    }

    fn mouth(&self, id: &str, at: WallSpot) -> Option<What> {
        MouthDrag::new(self.plan, self.drawn, id, at).map(|drag| What::Mouth(Box::new(drag)))
    }
}

impl Moving {
    /// What a press on the map takes.
    pub fn on_map(press: Press<'_>, map: &WallMap, drags: Drags) -> Option<Moving> {
        let at = map.axes.wall(press.at);
        let what = match drags {
            Drags::Graft => {
                let gripped = hit::graft_at(press.plan, &map.axes, press.drawn, press.chosen, press.at)?;
                press.graft(gripped.component, gripped.at)
            }
            Drags::Mouths => {
                let is_part = |id: &str| mouth_drag::is_part(press.plan, id);
                press.mouth(hit::tie_where(&map.scene, press.at, is_part)?, at)
            }
            Drags::Measured => {
                let held = hit::measured_at(&map.scene, &map.axes, press.plan, press.at)?;
                let anatomy = press.plan.anatomy.as_ref().ok().cloned();
                Some(What::Measured(Box::new(MeasuredDrag::new(press.plan.case.clone(), held, at, anatomy))))
            }
        };
        Some(Moving { what: what?, ground: Ground::Map(map.axes.clone()) })
    }

    /// What a press on the side view takes: a mouth, else the graft, which slides.
    pub fn on_side(press: Press<'_>) -> Option<Moving> {
        let input = SideInput::from_plan(press.plan, press.drawn);
        let scene = side_view(&input, SIDE, Medium::Screen, None);
        let axes = side_axes(&input, SIDE, Medium::Screen);
        let id = axes.part_at(press.at, MOUTH_MM).or_else(|| hit::tie_at(&scene, press.at))?;
        let side = mouth_drag::clock_of(press.plan, id);
        let at = axes.wall(press.at, None, side.unwrap_or(Angle::ZERO))?;
        let what = match side {
            Some(_) => press.mouth(id, at),
            None => press.graft(press.plan.case.components.iter().position(|own| own.id == id)?, at),
        };
        Some(Moving { what: what?, ground: Ground::Side(axes, at) })
    }

    /// What the drag does when the pointer is at a spot of the drawing.
    pub fn to(&self, spot: Spot, lock: Lock) -> Option<Action> {
        let (pointer, lock) = match (&self.ground, &self.what) {
            (Ground::Map(axes), _) => (axes.wall(spot), lock),
            // How the graft is turned cannot be seen from the side.
            (Ground::Side(axes, grip), What::Graft(..)) => (axes.wall(spot, None, grip.clock)?, Lock::Along),
            (Ground::Side(axes, grip), _) => (axes.wall(spot, Some(grip.station_mm), grip.clock)?, lock),
        };
        Some(match &self.what {
            What::Graft(component, drag) => Action::Place { component: *component, placement: drag.to(pointer, lock) },
            What::Mouth(drag) => Action::Change("moving a mouth", drag.to(pointer, lock)?),
            What::Measured(drag) => Action::Change("moving on the picture", drag.to(pointer, lock)?),
        })
    }
}
