//! The one table of sentences that the library speaks to the user about a state.
//!
//! Reasons why something is unknown, what was assumed, what to mind, and the cautions of every page.
//! Each has a stable id; words in braces are filled in. What is wrong with an input is said where
//! it is found, as a [`crate::fault::Fault`]. Knows nothing of what the sentences are about.

mod filled;

pub use filled::*;

macro_rules! messages {
    ($($(#[$doc:meta])* $name:ident $id:literal $text:literal;)*) => {
        $($(#[$doc])* pub const $name: &str = $text;)*

        /// Every sentence with its id, in the order of this table.
        pub static ALL: &[(&str, &str)] = &[$(($id, $name)),*];
    };
}

/// The source of a limit that the trade keeps and nobody has shown.
pub const COMMON_PRACTICE: &str = "common practice, no source";
/// The source of a number that was remembered and not looked up.
pub const FROM_MEMORY: &str = "from memory";

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
    /// On every map at true size.
    NO_TEMPLATE "no_template" "No template for altering a device outside an approved pathway.";
    /// How a map at true size is checked.
    MEASURE_BARS "measure_bars" "True size only if printed at 100 %: measure both bars, each must be 50 mm, before anything is read off.";
    /// Heading of a demo case.
    INVENTED "invented" "Invented case: nobody's anatomy.";

    /// Under what is published on the cord.
    NO_CORD_VERDICT "no_cord_verdict" "Published means of groups, not limits: no verdict is drawn from them.";
    /// The third answer beside branches and fenestrations.
    NEITHER "neither" "Neither: open, hybrid or no repair are outside this program.";

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

    // Records of what was done.

    /// Too few of them.
    FEW_RECORDS "few_records" "There are {count} records of a landing or a rotation: at least {fewest} are needed.";
    /// What they say of the landing.
    LANDINGS_SAY "landings_say" "Landing of {count}: mean {mean}, standard deviation {sd}, farthest {far} (+ downstream).";
    /// What they say of the rotation.
    ROTATIONS_SAY "rotations_say" "Rotation of {count}: mean {mean}, standard deviation {sd}, farthest {far} (+ clockwise looking downstream); the share of the wide deviation stays as it was.";
    /// Few, but enough.
    RECORDS_FEW "records_few" "Fewer than {many} records say little of a standard deviation: it may be half as large again, or more.";

    // Room.

    /// A path that nobody asked for.
    PATH_LEFT "path_left" "The bridging path was not looked for here.";
    /// Nothing to judge a placement by.
    NO_REQUIRED_RULE "no_required_rule" "No rule that the plan needs hangs on where the graft lies: mark one as required.";
    /// Still looked for when a sheet is shown.
    ROOM_NOT_FOUND_YET "room_not_found_yet" "What the placement forgives is still being looked for.";
    /// Nowhere.
    NO_PLACEMENT_HOLDS "no_placement_holds" "No placement was found that holds.";

    /// No steps to make a graft in.
    NO_MAKER_STEPS "no_maker_steps" "Enter the steps in which the maker can place tunnels.";
    /// Tunnels that cannot be sewn beside each other.
    NOT_BUILT_TOGETHER "not_built_together" "No places were found for all tunnels that can be built together.";
    /// A tunnel that fits nowhere.
    NO_PLACE_FOR_TUNNEL "no_place_for_tunnel" "No place on the graft keeps the rules for the {vessel} where the graft is drawn: move the graft first.";

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
    /// Where a curve runs straight its torsion has no meaning.
    NO_TORSION "no_torsion" "The centreline runs nearly straight there: it has no torsion.";
    /// The local bend picks no point of the wall.
    TWELVE_ON_STRAIGHT "twelve_on_straight" "12:00 on the sheet is the outermost point of the local bend, but the aorta runs straight there: give this clock about the arch plane.";
    /// Straight up picks no point of the wall.
    TWELVE_RUNS_UP "twelve_runs_up" "12:00 on the sheet is straight up, but there the aorta itself runs up or down: give this clock about the arch plane.";
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
    /// The centre of a typed edge could not be found.
    NO_CENTRE_OF_EDGE "no_centre_of_edge" "The centre cannot be found from the edge: enter the centre.";
    /// No ostia.
    NO_OSTIA "no_ostia" "No ostium was entered.";
    /// No graft.
    NO_GRAFT "no_graft" "No graft was entered.";
    /// No tunnel.
    NO_TUNNEL "no_tunnel" "No tunnel was entered.";
    /// No component overlaps another.
    NO_NEIGHBOUR "no_neighbour" "There is no second piece that it could overlap with.";
    /// Nothing of the graft's own is to be measured.
    NO_TWO_OPENINGS "no_two_openings" "The graft has no two mouths or openings of known size.";
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
    /// More layers of fabric than are followed.
    TOO_MANY_GRAFTS "too_many_grafts" "More grafts lie over one another here than can be followed.";
    /// A graft that is open in part.
    HELD_TO_UNKNOWN "held_to_unknown" "The diameter to which the graft is still held was not entered, nor its carrier's.";
    /// A vessel that the false lumen feeds.
    FED_BY_FALSE_LUMEN "fed_by_false_lumen" "It is fed by the false lumen, which is not followed through the steps.";
    /// A sheath that fills a vessel.
    SHEATH_FILLS "sheath_fills" "A sheath of {outer} mm fills {share} % of its area.";
    /// A vessel without a diameter holds a sheath.
    SHEATH_IN_UNKNOWN "sheath_in_unknown" "It holds a sheath, and no diameter of it was measured.";
    /// A planned bypass without a stage.
    BYPASS_WHEN "bypass_when" "A planned bypass feeds it, and it was not said in which stage it is made.";
    /// What the feed of the steps is and is not.
    FEED_CAUTION "feed_caution" "Feed is read from the geometry: which way blood can take and how wide it is. It is no measured flow or pressure, and says nothing of collaterals.";
    /// The mouth has no size.
    NO_MOUTH_SIZE "no_mouth_size" "The length of the tunnel's mouth along the graft was not entered.";
    /// The graft is not placed.
    NOT_PLACED "not_placed" "The graft is not placed yet.";
    /// A step has a graft lie elsewhere than drawn.
    LIES_ELSEWHERE "lies_elsewhere" "A graft lies elsewhere than drawn at this step.";
    /// No sealing section.
    NO_SEAL "no_seal" "No section of the graft is marked as sealing.";
    /// The diagnosis is not said.
    NO_DIAGNOSIS "no_diagnosis" "Enter the diagnosis: this rule is about one.";
    /// Whether there is such a disease is not said.
    NO_CONNECTIVE "no_connective" "Say whether the patient has a connective-tissue disease: this rule hangs on it.";
    /// No rule limits this oversize on both sides.
    NO_OVERSIZE_RULE "no_oversize_rule" "No rule in force limits the oversize of this seal from both sides.";
    /// One diameter cannot keep the limits.
    NO_ONE_DIAMETER "no_one_diameter" "No one diameter keeps the oversize everywhere along this seal: it needs a taper, or another landing.";
    /// No zones.
    NO_ZONES "no_zones" "Landing zones need the ostia of IA, LCCA and LSA with their sizes and clocks.";
    /// No vessels.
    NO_VESSEL "no_vessel" "No vessel was entered.";
    /// This vessel was not entered.
    NO_SUCH_VESSEL "no_such_vessel" "The ostium of the {vessel} was not entered.";
    /// This vessel's diameter.
    VESSEL_DIAMETER "vessel_diameter" "No diameter of the {vessel} was measured where a stent would land.";
    /// This vessel's healthy wall.
    VESSEL_HEALTHY_FROM "vessel_healthy_from" "Enter where healthy wall of the {vessel} begins.";
    /// This vessel's first branch.
    VESSEL_FIRST_BRANCH "vessel_first_branch" "Enter the length of the {vessel} to its first branch.";
    /// The last ostium.
    NO_NEXT_OSTIUM "no_next_ostium" "No ostium lies further downstream.";
    /// No lesion.
    NO_LESION "no_lesion" "Enter from where to where the lesion reaches.";
    /// The wall was not described.
    WALL_NOT_SAID "wall_not_said" "From {from} to {to} mm nobody said what the wall is made of: enter it.";
    /// A measure without a seal.
    NO_WALL_UNDER "no_wall_under" "This measure lies on no seal, so a rule on it cannot be narrowed by the wall.";
    /// The whole dissected aorta.
    NO_WHOLE_DIAMETER "no_whole_diameter" "Measure the whole diameter of the dissected aorta upstream and downstream of the distal seal.";
    /// No valve.
    NO_VALVE "no_valve" "Enter what the aortic valve is.";
    /// No annulus.
    NO_ANNULUS "no_annulus" "Enter the station of the annulus.";
    /// No tip.
    NO_TIP "no_tip" "Enter the length of the graft's tip.";
    /// No carrier.
    NO_CARRIER "no_carrier" "Enter the outer diameter of the graft's carrier.";
    /// No access.
    NO_ACCESS "no_access" "Enter the least diameter of the access.";
    /// The arch has no top.
    NO_ARCH_TOP "no_arch_top" "The top of the arch lies at an end of the measured aorta: measure further.";
    /// The inner wall folds.
    FOLDS_AT "folds_at" "At {station} mm the inner wall folds, so it has no curvature there.";
    /// Nothing to read.
    NO_READING "no_reading" "There is nothing to measure.";

    /// The search for a lie did not settle.
    NO_REST "no_rest" "Where the graft comes to rest could not be computed here: check centreline, lumen and the graft's diameters.";
    /// The take-off points into the lumen.
    TAKEOFF_INTO_WALL "takeoff_into_wall" "The take-off does not leave the wall: check take-off and lean.";

    // Bridging path and stent.

    /// Only a loop would join mouth and ostium.
    WOULD_LOOP "would_loop" "Only a loop would join the tunnel's mouth to its vessel: there is no gentle bridging path.";
    /// Mouth and ostium are one point.
    NO_ROOM_FOR_PATH "no_room_for_path" "The tunnel's mouth lies on its ostium: there is no room for a bridging path.";
    /// The mouth is on the wrong side.
    NO_PATH_WRONG_SIDE "no_path_wrong_side" "The tunnel's mouth lies on the wrong side of its ostium: no bridging path is planned from there.";
    /// Nobody measured it.
    NO_FIRST_BRANCH "no_first_branch" "The length to the vessel's first branch was not entered: a stent could cover it.";
    /// Nobody measured it.
    NO_HEALTHY_FROM "no_healthy_from" "Where healthy wall begins in the vessel was not entered.";
    /// Nobody measured it.
    NO_VESSEL_DIAMETER "no_vessel_diameter" "No diameter of the vessel was entered.";
    /// The tunnel has no body.
    NO_TUNNEL_LENGTH "no_tunnel_length" "The length of the tunnel's body was not entered.";
    /// The tunnel has no diameter.
    NO_TUNNEL_DIAMETER "no_tunnel_diameter" "The diameter of the tunnel's body was not entered.";
    /// Stents without their limit.
    NO_BEND_LIMIT "no_bend_limit" "The least bend radius of the stents was not entered.";
    /// No stents.
    NO_STOCK "no_stock" "No stock of stents was entered.";
    /// The tunnel is too short to hold a stent.
    TUNNEL_TOO_SHORT "tunnel_too_short" "The tunnel's body is {body} mm long, shorter than the least overlap of {overlap} mm.";
    /// The landing does not fit.
    LANDING_TOO_SHORT "landing_too_short" "Healthy wall ends at {limit} mm ({what}), before a landing of {landing} mm is reached at {end} mm.";
    /// Nothing serves.
    NO_LENGTH_SERVES "no_length_serves" "No length serves every way the graft may lie: at least {least} mm and at most {most} mm are needed.";
    /// Diameters do not meet.
    NO_DIAMETER_SERVES "no_diameter_serves" "No diameter fits both ends: {tunnel} in the tunnel, {vessel} in the vessel.";
    /// The stock has none.
    NOT_IN_STOCK "not_in_stock" "No stent at hand serves: {length} long and {diameter} wide are needed.";

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

    /// The wall has no tangent plane.
    WALL_EDGE "wall_edge" "At {station} mm the wall folds to an edge, so it has no direction there.";

    // C-arm views.

    /// The axes cannot be right.
    DESCENDING_TO_THE_RIGHT "descending_to_the_right" "In these data the descending aorta lies to the right of the ascending: they are mirrored, or the arch is right-sided, and C-arm angles could be wrong. Check the axes of the import.";
    /// The axes cannot be right.
    DESCENDING_IN_FRONT "descending_in_front" "In these data the descending aorta lies in front of the ascending: they are turned or mirrored, and C-arm angles would be wrong. Check the axes of the import.";
    /// The axes cannot be right.
    ARCH_TO_THE_FEET "arch_to_the_feet" "In these data the arch points to the feet: they are upside down or mirrored, and C-arm angles would be wrong. Check the axes of the import.";
    /// Beside every view.
    CT_POSE "ct_pose" "The CT was taken with the arms up, the breath held and no wire in: ostia can move by up to 10 mm. Take each angle as where to begin.";
    /// The reach is the program's.
    DEFAULT_REACH "default_reach" "Reach of the C-arm is the program's default (from memory): RAO 100 to LAO 100, CAU 45 to CRA 45.";
    /// Angles for another posture would differ.
    HEAD_FIRST_SUPINE "head_first_supine" "C-arm angles are for a patient who lies on the back, head first.";
    /// Nothing to see edge-on.
    NO_CORONARY "no_coronary" "No coronary was entered: mark them to see the proximal edge against them.";

    // Assumed because nobody said otherwise.

    /// No own rules.
    DEFAULT_RULES "default_rules" "The case brings no rules of its own: the default rules are used (common practice, no source; abdominal data for fenestrations).";
    /// No own errors.
    DEFAULT_ERRORS "default_errors" "Errors of measurement are the program's defaults (from memory), not your own.";
    /// Meaning of 12:00 not answered.
    TWELVE_READ_AS_PLANE "twelve_read_as_plane" "Nobody said what 12:00 means on the sheet: it is read as the arch plane, and the clock's error is wider by the largest angle between the three meanings.";
    /// 12:00 is the local bend.
    TWELVE_IS_LOCAL_BEND "twelve_is_local_bend" "12:00 on the sheet is the outermost point of the local bend: its clocks are turned to the outer curve (arch plane), about which all clocks here are given. Sections of the lumen on a straight piece stay as typed.";
    /// 12:00 is straight up.
    TWELVE_IS_STRAIGHT_UP "twelve_is_straight_up" "12:00 on the sheet is straight up: its clocks are turned to the outer curve (arch plane), about which all clocks here are given. Sections of the lumen where the aorta itself runs up or down stay as typed.";
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
    DEFAULT_CARRIER "default_carrier" "The carrier beyond the fabric is taken as {mm} mm wide (from memory).";
    /// The wire's direction needs the annulus.
    WIRE_WITHOUT_ANNULUS "wire_without_annulus" "The wire's tilt at the annulus is not used: enter the annulus's station.";
    /// Length keeping unknown.
    BOTH_LINES_COMPUTED "both_lines_computed" "The graft file does not say which line keeps its length in a bend: axis and outer line are both computed, and rules are judged on the worse.";

    /// Limits of the bridging stents.
    STENT_LIMITS "stent_limits" "Bridging stents are sized by the program's limits (common practice, no source): overlap in the tunnel at least {overlap} mm, landing at least {landing} mm ({subclavian} mm in the left subclavian artery) unless the stock says otherwise, overlap of two stents at least {two} mm, width {tunnel} over the tunnel and {vessel} over the vessel. Diameters count as measured, without their error.";

    // What a graft's parts leave each other.

    /// A tunnel without a diameter or a length.
    TUNNEL_SIZE_UNKNOWN "tunnel_size_unknown" "{id}: enter the tunnel's diameter and length; until then it is not known whether it fits.";
    /// A mouth without a size.
    MOUTH_SIZE_UNKNOWN "mouth_size_unknown" "{id}: enter the length of the mouth along the graft and around; until then its distance to the edges is not known.";
    /// A body that leaves the fabric.
    TUNNEL_BEYOND_FABRIC "tunnel_beyond_fabric" "{id}: the tunnel's body reaches {by} mm beyond the fabric.";
    /// A body where there is no fabric.
    TUNNEL_ON_BARE_PART "tunnel_on_bare_part" "{id}: the tunnel's body lies on a part without fabric, {from} to {to} mm from the proximal edge.";
    /// A tunnel wider than the graft.
    TUNNEL_TOO_WIDE "tunnel_too_wide" "{id}: the tunnel is {width} mm wide, but the graft only {room} mm there.";
    /// Bodies that share a stretch and do not lie side by side.
    BODIES_MEET "bodies_meet" "{first} and {second}: their bodies share {from} to {to} mm of the graft, {turn}° apart. {side} {under} Or lay their mouths {apart} mm apart along the graft.";
    /// Side by side they would need an angle.
    SIDE_BY_SIDE "side_by_side" "Side by side they need {needed}°.";
    /// One can run under the other.
    ONE_UNDER_THE_OTHER "one_under_the_other" "One can run under the other: together they take {together} of {depth} mm.";
    /// Neither can run under the other.
    NOT_UNDER_THE_OTHER "not_under_the_other" "One cannot run under the other: together they take {together} of {depth} mm.";
    /// They do not fit side by side at any angle.
    NEVER_SIDE_BY_SIDE "never_side_by_side" "Side by side they do not fit at any angle.";
    /// Two holes in the fabric run into each other.
    OPENINGS_MEET "openings_meet" "{first} and {second} run into each other by {by} mm of fabric.";
    /// A hole runs over the fabric's edge.
    OPENING_OVER_EDGE "opening_over_edge" "{id} runs over the edge of the fabric by {by} mm.";
    /// A place along the graft between a maker's steps.
    OFF_STEP_ALONG "off_step_along" "{id} lies at {at} mm, but the maker's steps are {step} mm: the nearest is {nearest} mm.";
    /// A clock between a maker's steps.
    OFF_STEP_AROUND "off_step_around" "{id} lies at {at}° on the graft, but the maker's steps are {step}°: the nearest is {nearest}°.";

    // Fabric and wall.

    /// No fabric lies over it.
    NO_FABRIC_THERE "no_fabric_there" "No fabric lies there.";
    /// A keep-clear point is covered.
    MUST_STAY_CLEAR "must_stay_clear" "It is marked as to be kept clear.";
    /// An ostium that nothing serves.
    OSTIUM_NOT_SERVED "ostium_not_served" "No tunnel or opening serves each of its vessels, and no bypass or plug is entered for it.";
    /// An ostium that is served.
    OSTIUM_SERVED "ostium_served" "Each of its vessels is served through the graft, fed by a bypass or closed by a plug.";
    /// A way into the false lumen.
    WAY_IN_MUST_BE_COVERED "way_in_must_be_covered" "It is a way into the false lumen and not marked as left on purpose.";
    /// Another way.
    WAY_MAY_STAY "way_may_stay" "It may stay open or be covered.";
    /// Something is covered and must not be.
    COVERED_WRONGLY "covered_wrongly" "{at} is covered with fabric ({share} % of it).";
    /// Something is not covered and must be.
    NOT_COVERED "not_covered" "{at} is not covered with fabric all over ({share} % of it is).";
    /// Two pieces do not reach each other.
    PIECES_APART "pieces_apart" "{first} and {second} do not reach each other: {gap} mm lie between them ({when}).";

    /// A tissue valve.
    TISSUE_VALVE "tissue_valve" "The aortic valve is a biological prosthesis: wire and tip cross it with care; no limit is known, so no rule judges it.";

    // What is assumed.

    /// No range of the wire's direction.
    NO_TILT_RANGE "no_tilt_range" "Enter how far the wire's direction at the annulus may be off.";

    // The CT's age.

    /// No day of the CT.
    NO_CT_DATE "no_ct_date" "Enter the day of the CT: its age is counted from it.";
    /// No day of planning.
    NO_PLANNED_DAY "no_planned_day" "Enter the day of planning: the age of the CT is counted up to it.";
    /// The CT comes after the day of planning.
    CT_AFTER_PLANNING "ct_after_planning" "The CT is dated after the day of planning.";

    // Not built.

    /// Parts of the case that nothing is computed from.
    ALTERNATIVES_APART "alternatives_apart" "These results are of the case itself; each of its alternatives is worked out by itself, and the printed sheets set them side by side: {names}.";

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
        }
    }
}
