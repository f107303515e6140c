//! The one table of sentences that the library speaks.

/// The arch is straight.
pub const NO_PLANE: &str = "The arch is nearly straight, so it has no plane and no outer curve: give the direction of the arch plane.";

/// A station outside the data.
pub fn outside_data(station_mm: f64, range_mm: (f64, f64)) -> String {
    format!(
        "Station {station_mm:.1} mm lies outside the measured aorta ({:.1} to {:.1} mm): measure further.",
        range_mm.0, range_mm.1
    )
}

/// The aorta runs square to the arch plane.
pub fn no_outer_curve(station_mm: f64) -> String {
    format!("At {station_mm:.1} mm the aorta runs square to the arch plane, so 12:00 has no meaning there.")
}

/// The hand of the clock is not answered.
pub const UNANSWERED_HAND: &str = "Say on which side 3:00 lies on your sheet: until then every clock position is unknown.";
/// Nobody measured it.
pub const NO_CLOCK: &str = "The clock position was not measured.";
/// Nobody measured it.
pub const NO_SIZE: &str = "The size of the ostium was not measured.";
/// No lumen.
pub const NO_LUMEN: &str = "The lumen was not measured: enter diameters along the aorta.";
/// No centreline.
pub const NO_CENTRELINE: &str = "There is no centreline: import one or enter a measuring sheet.";
/// No origin.
pub const UNANSWERED_ORIGIN: &str = "Mark where station 0 lies on the centreline: until then lengths from the origin are unknown.";
/// Nobody measured it.
pub const NO_TAKEOFF: &str = "The take-off of the vessel was not measured.";
/// The vessel has no ostium.
pub const NO_OSTIUM: &str = "The vessel's ostium is not among those entered.";
/// Nobody measured it.
pub const NO_KEEP_CLEAR_SIZE: &str = "The radius to keep clear was not entered.";
/// Part of the graft lies beyond the data.
pub fn graft_outside_data(u_mm: f64, end_mm: f64) -> String {
    format!("The graft at {u_mm:.1} mm from its edge lies beyond the measured aorta, which ends at {end_mm:.1} mm: measure further.")
}
/// The graft has no section there.
pub const NO_SECTION: &str = "The graft has no covered section there: enter its sections.";
/// The mouth has no size.
pub const NO_MOUTH_SIZE: &str = "The length of the tunnel's mouth along the graft was not entered.";
/// No ostia.
pub const NO_OSTIA: &str = "No ostium was entered.";
/// The graft is not placed.
pub const NOT_PLACED: &str = "The graft is not placed yet.";
/// No sealing section.
pub const NO_SEAL: &str = "No section of the graft is marked as sealing.";
/// Inscribed spheres do not size.
pub const INSCRIBED_DIAMETER: &str = "Measure the diameter: inscribed spheres read up to 17 % below area-derived diameters and do not size a graft.";
/// Largest diameter missing.
pub const NO_LARGEST_DIAMETER: &str = "Measure the largest diameter: an area or an inscribed sphere does not tell it.";
/// Landing rules at uncertain ends.
pub const UNCERTAIN_END: &str = "Borderline at best: this lies within 20 mm of the end of the measured aorta, where bends are less certain. Measure further.";
/// Outside by less than the error.
pub const MEASURE_AGAIN: &str = "Outside by less than the error of measurement: measure again.";
/// The rule has no limit.
pub const NO_LIMIT: &str = "The rule has no limit: enter at least or at most.";
/// Nothing to read.
pub const NO_READING: &str = "There is nothing to measure.";
/// A rule names a measure that does not exist.
pub fn no_measure(id: &str) -> String {
    format!("There is no measure called {id}.")
}
/// A rule names a thing that does not exist.
pub fn no_subject(id: &str) -> String {
    format!("There is nothing called {id} that this rule could be about.")
}
/// A rule's unit is not its measure's.
pub fn wrong_unit(given: &str, needed: &str) -> String {
    format!("The limit is in {given:?}, but this measure is in {needed}.")
}
/// No own rules.
pub const DEFAULT_RULES: &str = "The case brings no rules of its own: the five default rules are used (common practice, no source).";
/// No own errors.
pub const DEFAULT_ERRORS: &str = "Errors of measurement are the program's defaults (from memory), not your own.";
/// Meaning of 12:00 not answered.
pub const TWELVE_READ_AS_PLANE: &str = "Nobody said what 12:00 means on the sheet: it is read as the arch plane, and the clock's error is wider by the largest angle between the three meanings.";
/// No ostia.
pub const PLANE_OF_WHOLE_LINE: &str = "No ostia are entered: the arch plane is taken from the whole centreline.";
/// Largest diameter without direction.
pub const ROUND_WITHOUT_DIRECTION: &str = "Where the direction of the largest diameter was not measured the lumen is drawn as the circle of equal area.";
/// One diameter only.
pub const ROUND_FROM_ONE_DIAMETER: &str = "Where only one diameter was measured the lumen is taken as a circle about the centreline.";
/// The lie.
pub const LIES_ON_CENTRELINE: &str = "The graft's axis is taken to lie on the centreline.";
/// Length keeping unknown.
pub const BOTH_LINES_COMPUTED: &str = "The graft file does not say which line keeps its length in a bend: axis and outer line are both computed, and rules are judged on the worse.";
/// The wall folds.
pub fn fold(from_mm: f64, to_mm: f64) -> String {
    format!("From {from_mm:.0} to {to_mm:.0} mm the bend is tighter than the lumen is wide, so the inner wall folds: the map is trimmed there and lengths on the inner curve read long.")
}
/// Near the end of the data.
pub fn near_end(station_mm: f64) -> String {
    format!("Station {station_mm:.1} mm lies within 20 mm of the end of the measured aorta, where bends are less certain.")
}
/// The aorta leaves the arch plane.
pub fn clock_uncertain(station_mm: f64) -> String {
    format!("At {station_mm:.1} mm the aorta runs out of the arch plane, so clock positions there are uncertain.")
}
/// What this is not, in sight on every screen and page.
pub const CAUTION: &str = "A geometry aid, not a medical device: it replaces neither the CT, nor the device's instructions for use, nor the maker's own planning, nor licensed judgement. Open and hybrid surgery are outside it.";
/// A demo case.
pub const INVENTED: &str = "Invented demo: nobody's anatomy, nobody's graft.";
