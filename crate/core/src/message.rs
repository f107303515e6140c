//! The one table of sentences that the library speaks to the user about a state.
//!
//! Reasons why something is unknown, what was assumed, what to mind, and the cautions of every page.
//! Each has a stable id; words in braces are filled in. What is wrong with an input is said where
//! it is found, as a [`crate::fault::Fault`]. Knows nothing of what the sentences are about.

macro_rules! messages {
    ($($(#[$doc:meta])* $name:ident $id:literal $text:literal;)*) => {
        $($(#[$doc])* pub const $name: &str = $text;)*

        /// Every sentence with its id, in the order of this table.
        pub static ALL: &[(&str, &str)] = &[$(($id, $name)),*];
    };
}

messages! {
    // Cautions: on the screen and on every printed page.

    /// What the program is.
    CAUTION_AID "caution_aid" "A geometry aid, not a medical device: check every number against the CT, the instructions for use and the maker's own planning.";
    /// Who decides.
    CAUTION_DECISION "caution_decision" "Licensed physicians decide. Local rules prevail. Open and hybrid surgery are outside this program.";
    /// Heading of a plan without a measured centreline.
    ROUGH "rough" "ROUGH: rebuilt from a measuring sheet. Bends out of the plane are unknown. Not for ordering a graft.";
    /// The same on the map.
    ROUGH_MAP "rough_map" "ROUGH: rebuilt from a measuring sheet, not for ordering a graft.";
    /// Heading of a demo case.
    INVENTED "invented" "Invented case: nobody's anatomy.";

    // Not answered.

    /// The hand of the clock is not answered.
    UNANSWERED_HAND "unanswered_hand" "Say on which side 3:00 lies on your sheet: until then every clock position is unknown.";
    /// No origin.
    UNANSWERED_ORIGIN "unanswered_origin" "Mark where station 0 lies on the centreline: until then lengths from the origin are unknown.";

    /// No origin of a measuring sheet.
    UNSAID_ORIGIN "unsaid_origin" "Say what station 0 of the measuring sheet is: until then lengths from the origin are unknown.";
    /// Nothing that a clock position could be.
    NO_CLOCK_TEXT "no_clock_text" "Type hours, as 12:30, or degrees, as 15°.";
    /// A clock position that can be hours or degrees.
    CLOCK_EITHER "clock_either" "This can be hours or degrees: type hours as 3:30, degrees as 3.3°.";

    // Not measured, not entered.

    /// No centreline.
    NO_CENTRELINE "no_centreline" "There is no centreline: import one or enter a measuring sheet.";
    /// A sheet with too few numbers.
    SHEET_INCOMPLETE "sheet_incomplete" "To rebuild the arch enter its width and height, or two of its three lengths with the diameter, or a radius with the length of the bend.";
    /// A sheet's bend has no place.
    SHEET_NO_STATION "sheet_no_station" "To rebuild the arch enter the station at which the measured lengths begin, or end.";
    /// Two lengths without a diameter.
    SHEET_NO_DIAMETER "sheet_no_diameter" "Enter the diameter in the bend, or diameters along the aorta: only with it do the lengths of two curves give the turn.";
    /// A radius without a length.
    SHEET_NO_LENGTH "sheet_no_length" "Enter the stations of both ends of the bend, or its length along the centreline: a radius alone does not give the turn.";
    /// Lengths that turn round.
    SHEET_FULL_TURN "sheet_full_turn" "The lengths of the two curves differ by more than a full turn of the aorta.";
    /// Nobody typed where the arch plane points.
    NO_PLANE_DIRECTION "no_plane_direction" "The direction of the arch plane was not typed, so C-arm angles are unknown; the arch is drawn 50.3° from straight back to the left (mean of 217 CTs).";
    /// What a sheet cannot tell.
    ROUGH_OUT_OF_PLANE "rough_out_of_plane" "Bends out of the arch plane cannot be known from a measuring sheet.";
    /// What a sheet cannot tell.
    ROUGH_TWIST "rough_twist" "Twist drift and torsion cannot be known: the rebuilt arch is flat.";
    /// What a sheet cannot tell.
    ROUGH_EVEN_BEND "rough_even_bend" "Where the arch bends more sharply than elsewhere cannot be known: the bend is one circle or one half-ellipse.";
    /// What a sheet cannot tell.
    ROUGH_LEGS "rough_legs" "Bends upstream and downstream of the measured lengths cannot be known: both legs are straight, the ascending one towards the head.";
    /// The diameter was not typed.
    ROUGH_MEAN_DIAMETER "rough_mean_diameter" "The diameter in the bend was not typed: the mean of the measured diameters there, {mm} mm, gives the turn.";
    /// Every typed number is met.
    ROUGH_FITS "rough_fits" "Every number of the sheet is met within 0.05.";
    /// A typed number that the rebuilt arch misses.
    ROUGH_MISFIT "rough_misfit" "{what}: typed {typed}, rebuilt {rebuilt}, difference {difference}.";
    /// The arch is straight.
    NO_PLANE "no_plane" "The arch is nearly straight, so it has no plane and no outer curve: give the direction of the arch plane.";
    /// No lumen.
    NO_LUMEN "no_lumen" "The lumen was not measured: enter diameters along the aorta.";
    /// Nobody measured it.
    NO_CLOCK "no_clock" "The clock position was not measured.";
    /// Nobody measured it.
    NO_SIZE "no_size" "The size of the ostium was not measured.";
    /// Nobody measured it.
    NO_TAKEOFF "no_takeoff" "The take-off of the vessel was not measured.";
    /// The vessel has no ostium.
    NO_OSTIUM "no_ostium" "The vessel's ostium is not among those entered.";
    /// No ostia.
    NO_OSTIA "no_ostia" "No ostium was entered.";
    /// No graft.
    NO_GRAFT "no_graft" "No graft was entered.";
    /// No tunnel.
    NO_TUNNEL "no_tunnel" "No tunnel was entered.";
    /// No point to keep clear.
    NO_KEEP_CLEAR "no_keep_clear" "No point to keep clear was entered: mark the coronaries at least.";
    /// Nobody measured it.
    NO_KEEP_CLEAR_SIZE "no_keep_clear_size" "The radius to keep clear was not entered.";
    /// Inscribed spheres do not size.
    INSCRIBED_DIAMETER "inscribed_diameter" "Measure the diameter: inscribed spheres read up to 17 % below area-derived diameters and do not size a graft.";
    /// Largest diameter missing.
    NO_LARGEST_DIAMETER "no_largest_diameter" "Measure the largest diameter: an area or an inscribed sphere does not tell it.";
    /// The graft has no section there.
    NO_SECTION "no_section" "The graft has no covered section there: enter its sections.";
    /// The mouth has no size.
    NO_MOUTH_SIZE "no_mouth_size" "The length of the tunnel's mouth along the graft was not entered.";
    /// The graft is not placed.
    NOT_PLACED "not_placed" "The graft is not placed yet.";
    /// No sealing section.
    NO_SEAL "no_seal" "No section of the graft is marked as sealing.";
    /// Nothing to read.
    NO_READING "no_reading" "There is nothing to measure.";

    /// The search for a lie did not settle.
    NO_REST "no_rest" "Where the graft comes to rest could not be computed here: check centreline, lumen and the graft's diameters.";

    // Outside the data, or uncertain in them.

    /// A station outside the data.
    OUTSIDE_DATA "outside_data" "Station {station} mm lies outside the measured aorta ({from} to {to} mm): measure further.";
    /// Part of the graft lies beyond the data.
    GRAFT_OUTSIDE_DATA "graft_outside_data" "The graft at {u} mm from its edge lies beyond the measured aorta, which ends at {end} mm: measure further.";
    /// The aorta runs square to the arch plane.
    NO_OUTER_CURVE "no_outer_curve" "At {station} mm the aorta runs square to the arch plane, so 12:00 has no meaning there.";
    /// The aorta leaves the arch plane.
    CLOCK_UNCERTAIN "clock_uncertain" "At {station} mm the aorta runs out of the arch plane, so clock positions there are uncertain.";
    /// Landing rules at uncertain ends.
    UNCERTAIN_END "uncertain_end" "Borderline at best: this lies within 20 mm of the end of the measured aorta, where bends are less certain. Measure further.";
    /// Near the end of the data.
    NEAR_END "near_end" "Station {station} mm lies within 20 mm of the end of the measured aorta, where bends are less certain.";
    /// The wall folds.
    FOLD "fold" "From {from} to {to} mm the bend is tighter than the lumen is wide, so the inner wall folds: the map is trimmed there and lengths on the inner curve read long.";

    // Assumed because nobody said otherwise.

    /// No own rules.
    DEFAULT_RULES "default_rules" "The case brings no rules of its own: the five default rules are used (common practice, no source).";
    /// No own errors.
    DEFAULT_ERRORS "default_errors" "Errors of measurement are the program's defaults (from memory), not your own.";
    /// Meaning of 12:00 not answered.
    TWELVE_READ_AS_PLANE "twelve_read_as_plane" "Nobody said what 12:00 means on the sheet: it is read as the arch plane, and the clock's error is wider by the largest angle between the three meanings.";
    /// No ostia.
    PLANE_OF_WHOLE_LINE "plane_of_whole_line" "No ostia are entered: the arch plane is taken from the whole centreline.";
    /// Largest diameter without direction.
    ROUND_WITHOUT_DIRECTION "round_without_direction" "Where the direction of the largest diameter was not measured the lumen is drawn as the circle of equal area.";
    /// One diameter only.
    ROUND_FROM_ONE_DIAMETER "round_from_one_diameter" "Where only one diameter was measured the lumen is taken as a circle about the centreline.";
    /// The three lies.
    LIES_THREE_WAYS "lies_three_ways" "Nobody can say how the graft lies. Three ways are computed and rules are judged on the worst: in the middle of the lumen, bent as little as it can be (wire out), and pushed outward by a stiff wire (wire in).";
    /// No own push.
    DEFAULT_PUSH "default_push" "How hard the graft is pushed with the wire out and in is the program's default (from memory).";
    /// Hardly any push.
    HARDLY_PUSHED "hardly_pushed" "With less push than 1e-6 per mm² where the graft lies is not settled: it could slide at almost no cost.";
    /// The carrier's diameter is not known.
    DEFAULT_CARRIER "default_carrier" "The carrier beyond the fabric is taken as 8 mm wide (from memory).";
    /// The wire's direction needs the annulus.
    WIRE_WITHOUT_ANNULUS "wire_without_annulus" "The wire's tilt at the annulus is not used: enter the annulus's station.";
    /// Length keeping unknown.
    BOTH_LINES_COMPUTED "both_lines_computed" "The graft file does not say which line keeps its length in a bend: axis and outer line are both computed, and rules are judged on the worse.";

    // Not built.

    /// Openings in the fabric are drawn only.
    OPENINGS_NOT_JUDGED "openings_not_judged" "Fenestrations and scallops are drawn, but this version does not judge them; fabric counts as whole there.";
    /// Parts of the case that nothing is computed from.
    NOT_COMPUTED "not_computed" "Kept in the file, but nothing is computed from it in this version: {parts}.";

    // Rules.

    /// Outside by less than the error.
    MEASURE_AGAIN "measure_again" "Outside by less than the error of measurement: measure again.";
    /// The rule has no limit.
    NO_LIMIT "no_limit" "The rule has no limit: enter at least or at most.";
    /// A rule names a measure that does not exist.
    NO_MEASURE "no_measure" "There is no measure called {id}.";
    /// A rule names a thing that does not exist.
    NO_SUBJECT "no_subject" "There is nothing called {id} that this rule could be about.";
    /// A rule's unit is not its measure's.
    WRONG_UNIT "wrong_unit" "The limit is in \"{given}\", but this measure is in {needed}.";
}

/// The cautions of the screen and of every printed page, a line each.
pub static CAUTIONS: [&str; 2] = [CAUTION_AID, CAUTION_DECISION];

/// The sentence with an id.
pub fn by_id(id: &str) -> Option<&'static str> {
    ALL.iter().find(|(known, _)| *known == id).map(|(_, text)| *text)
}

/// A sentence with its words in braces filled in.
fn fill(text: &str, values: &[(&str, String)]) -> String {
    let mut filled = String::with_capacity(text.len() + 16);
    let mut rest = text;
    while let Some((before, after)) = rest.split_once('{') {
        filled.push_str(before);
        let Some((name, behind)) = after.split_once('}') else { break };
        if let Some((_, value)) = values.iter().find(|(known, _)| *known == name) {
            filled.push_str(value);
        }
        rest = behind;
    }
    filled + rest
}

fn tenths(mm: f64) -> String {
    format!("{mm:.1}")
}

fn whole(mm: f64) -> String {
    format!("{mm:.0}")
}

/// [`OUTSIDE_DATA`] of a station and the measured range.
pub fn outside_data(station_mm: f64, range_mm: (f64, f64)) -> String {
    let values = [("station", tenths(station_mm)), ("from", tenths(range_mm.0)), ("to", tenths(range_mm.1))];
    fill(OUTSIDE_DATA, &values)
}

/// [`NO_OUTER_CURVE`] at a station.
pub fn no_outer_curve(station_mm: f64) -> String {
    fill(NO_OUTER_CURVE, &[("station", tenths(station_mm))])
}

/// [`GRAFT_OUTSIDE_DATA`] at a position on the graft.
pub fn graft_outside_data(u_mm: f64, end_mm: f64) -> String {
    fill(GRAFT_OUTSIDE_DATA, &[("u", tenths(u_mm)), ("end", tenths(end_mm))])
}

/// [`NO_MEASURE`] of this id.
pub fn no_measure(id: &str) -> String {
    fill(NO_MEASURE, &[("id", id.into())])
}

/// [`NO_SUBJECT`] of this id.
pub fn no_subject(id: &str) -> String {
    fill(NO_SUBJECT, &[("id", id.into())])
}

/// [`WRONG_UNIT`]: the unit given and the unit needed.
pub fn wrong_unit(given: &str, needed: &str) -> String {
    fill(WRONG_UNIT, &[("given", given.into()), ("needed", needed.into())])
}

/// [`NOT_COMPUTED`] of these parts.
pub fn not_computed(parts: &[&str]) -> String {
    fill(NOT_COMPUTED, &[("parts", parts.join(", "))])
}

/// [`ROUGH_MEAN_DIAMETER`] of this size.
pub fn rough_mean_diameter(mm: f64) -> String {
    fill(ROUGH_MEAN_DIAMETER, &[("mm", tenths(mm))])
}

/// [`ROUGH_MISFIT`] of a field, in words.
pub fn rough_misfit(what: &str, typed: &str, rebuilt: &str, difference: &str) -> String {
    let values = [
        ("what", what.into()),
        ("typed", typed.into()),
        ("rebuilt", rebuilt.into()),
        ("difference", difference.into()),
    ];
    fill(ROUGH_MISFIT, &values)
}

/// [`FOLD`] over a stretch.
pub fn fold(from_mm: f64, to_mm: f64) -> String {
    fill(FOLD, &[("from", whole(from_mm)), ("to", whole(to_mm))])
}

/// [`NEAR_END`] at a station.
pub fn near_end(station_mm: f64) -> String {
    fill(NEAR_END, &[("station", tenths(station_mm))])
}

/// [`CLOCK_UNCERTAIN`] at a station.
pub fn clock_uncertain(station_mm: f64) -> String {
    fill(CLOCK_UNCERTAIN, &[("station", tenths(station_mm))])
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::collections::BTreeSet;

    #[test]
    fn ids_are_unique_and_sentences_end() {
        let ids: BTreeSet<&str> = ALL.iter().map(|(id, _)| *id).collect();
        assert_eq!(ids.len(), ALL.len());
        for (id, text) in ALL {
            assert!(text.ends_with('.') && !text.contains("  "), "{id}");
            assert_eq!(by_id(id), Some(*text));
        }
    }

    // A sentence with braces has a function that fills every one of them.
    #[test]
    fn no_brace_is_left_open() {
        let filled = [
            outside_data(1.04, (2.0, 3.0)),
            no_outer_curve(1.0),
            graft_outside_data(1.0, 2.0),
            no_measure("m{x}"),
            no_subject("s"),
            wrong_unit("cm", "mm"),
            fold(1.0, 2.0),
            near_end(1.0),
            clock_uncertain(1.0),
            not_computed(&["ways", "bypasses"]),
            rough_mean_diameter(34.0),
            rough_misfit("Width", "1 mm", "2 mm", "1 mm"),
        ];
        assert_eq!(filled.len(), ALL.iter().filter(|(_, text)| text.contains('{')).count());
        assert_eq!(filled[0], "Station 1.0 mm lies outside the measured aorta (2.0 to 3.0 mm): measure further.");
        assert_eq!(filled[3], "There is no measure called m{x}.");
        for text in &filled {
            assert!(!text.contains("  ") && !text.contains("()"), "{text}");
        }
    }
}
