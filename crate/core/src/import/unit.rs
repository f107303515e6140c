//! Whether the lines can be in the unit that was told, and which unit would fit.

use super::axes::Unit;
use super::line::Line;
use crate::fault::Fault;

/// Lengths a centreline of the aorta can have, mm.
const LENGTH_MM: std::ops::RangeInclusive<f64> = 40.0..=1000.0;
/// Mean radii an aorta can have, mm.
const RADIUS_MM: std::ops::RangeInclusive<f64> = 4.0..=50.0;

/// A fault where a trunk converted from `told` cannot be an aorta; it names the unit that fits.
/// `by_name` says that the columns of a table have the unit in their names.
pub(super) fn implausible(trunk: &Line, told: Unit, by_name: bool) -> Option<Fault> {
    let length = trunk.length_mm() / told.mm();
    let radii: Vec<f64> = (0..trunk.points.len()).filter_map(|i| trunk.radius_of(i)).collect();
    let radius = (!radii.is_empty()).then(|| radii.iter().sum::<f64>() / radii.len() as f64 / told.mm());
    let fits = |unit: &Unit| {
        LENGTH_MM.contains(&(length * unit.mm())) && radius.is_none_or(|r| RADIUS_MM.contains(&(r * unit.mm())))
    };
    if fits(&told) {
        return None;
    }
    let width = radius.map_or(String::new(), |r| format!(" and {:.1} mm in mean radius", r * told.mm()));
    let text = format!(
        "Read in {}, the aorta ({}) would be {:.1} mm long{width}.",
        told.name(),
        trunk.name,
        length * told.mm()
    );
    let mend = match Unit::ALL.iter().find(|unit| fits(unit)) {
        Some(unit) if by_name => format!("The numbers look like {}: convert the columns to mm.", unit.name()),
        Some(unit) => format!("The unit {} fits: say so.", unit.name()),
        None => format!(
            "No unit of mm, cm and m makes it {} to {} mm long and {} to {} mm in radius: check the file.",
            LENGTH_MM.start(),
            LENGTH_MM.end(),
            RADIUS_MM.start(),
            RADIUS_MM.end()
        ),
    };
    Some(Fault::new("unit_does_not_fit", trunk.place.clone(), text, mend))
}
