//! Sentences of the table with their words in braces filled in: one function for each that has any.

use super::*;
use crate::units::Angle;

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

/// [`FEW_RECORDS`].
pub fn few_records(count: usize, fewest: usize) -> String {
    fill(FEW_RECORDS, &[("count", count.to_string()), ("fewest", fewest.to_string())])
}

fn records_say(text: &str, count: usize, mean: &str, sd: &str, far: &str) -> String {
    let words = [("mean", mean), ("sd", sd), ("far", far)].map(|(name, value)| (name, value.to_owned()));
    fill(text, &[&[("count", count.to_string())][..], &words].concat())
}

/// [`RECORDS_FEW`].
pub fn records_few(many: usize) -> String {
    fill(RECORDS_FEW, &[("many", many.to_string())])
}

/// [`LANDINGS_SAY`].
pub fn landings_say(count: usize, mean: &str, sd: &str, far: &str) -> String {
    records_say(LANDINGS_SAY, count, mean, sd, far)
}

/// [`ROTATIONS_SAY`].
pub fn rotations_say(count: usize, mean: &str, sd: &str, far: &str) -> String {
    records_say(ROTATIONS_SAY, count, mean, sd, far)
}

/// [`SHEATH_FILLS`] of its outer diameter and the share of the vessel's area.
pub fn sheath_fills(outer_mm: f64, share: f64) -> String {
    fill(SHEATH_FILLS, &[("outer", tenths(outer_mm)), ("share", whole((share * 100.0).min(100.0)))])
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

/// [`WALL_EDGE`] at a station.
pub fn wall_edge(station_mm: f64) -> String {
    fill(WALL_EDGE, &[("station", tenths(station_mm))])
}

/// [`GRAFT_OUTSIDE_DATA`] at a position on the graft.
pub fn graft_outside_data(u_mm: f64, end_mm: f64) -> String {
    fill(GRAFT_OUTSIDE_DATA, &[("u", tenths(u_mm)), ("end", tenths(end_mm))])
}

/// [`NO_PLACE_FOR_TUNNEL`] for a vessel.
pub fn no_place_for_tunnel(vessel: &str) -> String {
    fill(NO_PLACE_FOR_TUNNEL, &[("vessel", vessel.into())])
}

/// Why the room is not known: a required rule is unknown where the graft is drawn.
pub fn room_unknown(rule: &str, of: &str, why: &str) -> String {
    format!("A required rule is unknown ({rule} for {of}). {why}")
}

/// Why the room is not known: a required rule, as it is named, is unknown wherever the graft lies.
pub fn room_barred(rule: &str) -> String {
    format!("What the placement forgives is unknown: {rule} is unknown.")
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

/// [`ALTERNATIVES_APART`] of these names.
pub fn alternatives_apart(names: &[&str]) -> String {
    fill(ALTERNATIVES_APART, &[("names", names.join(", "))])
}

/// [`NO_SUCH_VESSEL`] of this id.
pub fn no_vessel(id: &str) -> String {
    fill(NO_SUCH_VESSEL, &[("vessel", id.into())])
}

/// [`VESSEL_DIAMETER`] of this id.
pub fn no_vessel_diameter(id: &str) -> String {
    fill(VESSEL_DIAMETER, &[("vessel", id.into())])
}

/// [`VESSEL_HEALTHY_FROM`] of this id.
pub fn no_healthy_from(id: &str) -> String {
    fill(VESSEL_HEALTHY_FROM, &[("vessel", id.into())])
}

/// [`VESSEL_FIRST_BRANCH`] of this id.
pub fn no_first_branch(id: &str) -> String {
    fill(VESSEL_FIRST_BRANCH, &[("vessel", id.into())])
}

/// [`WALL_NOT_SAID`] over a stretch.
pub fn wall_not_said(from_mm: f64, to_mm: f64) -> String {
    fill(WALL_NOT_SAID, &[("from", tenths(from_mm)), ("to", tenths(to_mm))])
}

/// [`FOLDS_AT`] a station.
pub fn folds_at(station_mm: f64) -> String {
    fill(FOLDS_AT, &[("station", tenths(station_mm))])
}

/// [`TUNNEL_TOO_SHORT`]: body and least overlap.
pub fn tunnel_too_short(body_mm: f64, overlap_mm: f64) -> String {
    fill(TUNNEL_TOO_SHORT, &[("body", tenths(body_mm)), ("overlap", tenths(overlap_mm))])
}

/// [`LANDING_TOO_SHORT`]: where healthy wall ends and by what, the landing and its end.
pub fn landing_too_short(limit_mm: f64, what: &str, landing_mm: f64, end_mm: f64) -> String {
    let values =
        [("limit", tenths(limit_mm)), ("what", what.into()), ("landing", tenths(landing_mm)), ("end", tenths(end_mm))];
    fill(LANDING_TOO_SHORT, &values)
}

/// [`NO_LENGTH_SERVES`]: the two lengths that cross.
pub fn no_length_serves(least_mm: f64, most_mm: f64) -> String {
    fill(NO_LENGTH_SERVES, &[("least", tenths(least_mm)), ("most", tenths(most_mm))])
}

/// A range in mm: `8.9 to 10.2 mm`.
fn range([from, to]: [f64; 2]) -> String {
    format!("{from:.1} to {to:.1} mm")
}

/// [`NO_DIAMETER_SERVES`]: the diameters that fit tunnel and vessel, mm.
pub fn no_diameter_serves(tunnel_mm: [f64; 2], vessel_mm: [f64; 2]) -> String {
    fill(NO_DIAMETER_SERVES, &[("tunnel", range(tunnel_mm)), ("vessel", range(vessel_mm))])
}

/// [`NOT_IN_STOCK`]: the lengths and diameters that are needed, mm.
pub fn not_in_stock(length_mm: [f64; 2], diameter_mm: [f64; 2]) -> String {
    fill(NOT_IN_STOCK, &[("length", range(length_mm)), ("diameter", range(diameter_mm))])
}

/// [`STENT_LIMITS`]: least overlap in the tunnel, landing, landing in the left subclavian artery and overlap of
/// two stents, mm; oversize in tunnel and vessel, shares.
pub fn stent_limits(least_mm: [f64; 4], tunnel: [f64; 2], vessel: [f64; 2]) -> String {
    let [overlap, landing, subclavian, two] = least_mm.map(whole);
    let share = |[from, to]: [f64; 2]| format!("{:.0} to {:.0} %", 100.0 * from, 100.0 * to);
    let values = [
        ("overlap", overlap),
        ("landing", landing),
        ("subclavian", subclavian),
        ("two", two),
        ("tunnel", share(tunnel)),
        ("vessel", share(vessel)),
    ];
    fill(STENT_LIMITS, &values)
}

/// [`DEFAULT_CARRIER`] of this width.
pub fn default_carrier(mm: f64) -> String {
    fill(DEFAULT_CARRIER, &[("mm", whole(mm))])
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

/// [`TUNNEL_SIZE_UNKNOWN`] of a tunnel.
pub fn tunnel_size_unknown(id: &str) -> String {
    fill(TUNNEL_SIZE_UNKNOWN, &[("id", id.into())])
}

/// [`MOUTH_SIZE_UNKNOWN`] of a tunnel.
pub fn mouth_size_unknown(id: &str) -> String {
    fill(MOUTH_SIZE_UNKNOWN, &[("id", id.into())])
}

/// [`TUNNEL_BEYOND_FABRIC`] by some mm.
pub fn tunnel_beyond_fabric(id: &str, by_mm: f64) -> String {
    fill(TUNNEL_BEYOND_FABRIC, &[("id", id.into()), ("by", tenths(by_mm))])
}

/// [`TUNNEL_ON_BARE_PART`] over a stretch of the graft.
pub fn tunnel_on_bare_part(id: &str, on_mm: (f64, f64)) -> String {
    fill(TUNNEL_ON_BARE_PART, &[("id", id.into()), ("from", tenths(on_mm.0)), ("to", tenths(on_mm.1))])
}

/// [`TUNNEL_TOO_WIDE`]: its diameter and the graft's.
pub fn tunnel_too_wide(id: &str, width_mm: f64, room_mm: f64) -> String {
    fill(TUNNEL_TOO_WIDE, &[("id", id.into()), ("width", tenths(width_mm)), ("room", tenths(room_mm))])
}

/// [`BODIES_MEET`]: the stretch they share, how far apart they lie and would have to lie around and
/// along, and what they take across of what there is.
pub fn bodies_meet(
    of: [&str; 2],
    shared_mm: (f64, f64),
    turn: Angle,
    needed: Option<Angle>,
    apart_mm: f64,
    (together_mm, depth_mm): (f64, f64),
) -> String {
    let side = match needed {
        Some(angle) => fill(SIDE_BY_SIDE, &[("needed", whole(angle.to_deg()))]),
        None => NEVER_SIDE_BY_SIDE.into(),
    };
    let depths = [("together", tenths(together_mm)), ("depth", tenths(depth_mm))];
    let under = fill(if together_mm <= depth_mm { ONE_UNDER_THE_OTHER } else { NOT_UNDER_THE_OTHER }, &depths);
    let values = [
        ("first", of[0].into()),
        ("second", of[1].into()),
        ("from", tenths(shared_mm.0)),
        ("to", tenths(shared_mm.1)),
        ("turn", whole(turn.to_deg())),
        ("side", side),
        ("apart", tenths(apart_mm)),
        ("under", under),
    ];
    fill(BODIES_MEET, &values)
}

/// [`OPENINGS_MEET`] by some mm of fabric.
pub fn openings_meet(first: &str, second: &str, by_mm: f64) -> String {
    fill(OPENINGS_MEET, &[("first", first.into()), ("second", second.into()), ("by", tenths(by_mm))])
}

/// [`OPENING_OVER_EDGE`] by some mm.
pub fn opening_over_edge(id: &str, by_mm: f64) -> String {
    fill(OPENING_OVER_EDGE, &[("id", id.into()), ("by", tenths(by_mm))])
}

/// [`OFF_STEP_ALONG`]: place, step and the nearest place on a step, mm.
pub fn off_step_along(id: &str, at_mm: f64, step_mm: f64, nearest_mm: f64) -> String {
    off_step(OFF_STEP_ALONG, id, [at_mm, step_mm, nearest_mm])
}

/// [`OFF_STEP_AROUND`]: clock on the graft, step and the nearest clock on a step.
pub fn off_step_around(id: &str, at: Angle, step: Angle, nearest: Angle) -> String {
    off_step(OFF_STEP_AROUND, id, [at.to_deg(), step.to_deg(), nearest.to_deg()])
}

/// [`COVERED_WRONGLY`] or [`NOT_COVERED`]: what, the share of it that is covered, and why it matters.
pub fn covered(wrongly: bool, at: &str, share: f64, why: &str) -> String {
    // Some is never none, and not all is never all.
    let percent = match (100.0 * share).round() {
        none if none <= 0.0 && share > 0.0 => 1.0,
        all if all >= 100.0 && share < 1.0 => 99.0,
        percent => percent,
    };
    let values = [("at", at.into()), ("share", whole(percent))];
    fill(if wrongly { COVERED_WRONGLY } else { NOT_COVERED }, &values) + " " + why
}

/// [`PIECES_APART`] by a gap, in a possibility.
pub fn pieces_apart(first: &str, second: &str, gap_mm: f64, when: &str) -> String {
    let values = [("first", first.into()), ("second", second.into()), ("gap", tenths(gap_mm)), ("when", when.into())];
    fill(PIECES_APART, &values)
}

fn off_step(text: &str, id: &str, values: [f64; 3]) -> String {
    // As typed, without a rounding that would hide the difference.
    let [at, step, nearest] = values.map(|v| format!("{}", (v * 1e6).round() / 1e6).replace('-', "−"));
    fill(text, &[("id", id.into()), ("at", at), ("step", step), ("nearest", nearest)])
}

#[cfg(test)]
mod tests {
    use super::*;

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
            wall_edge(1.0),
            alternatives_apart(&["further down", "with a tube"]),
            no_vessel("LSA"),
            no_vessel_diameter("LSA"),
            no_healthy_from("LSA"),
            no_first_branch("LSA"),
            wall_not_said(1.0, 2.0),
            folds_at(1.0),
            tunnel_too_short(9.0, 15.0),
            landing_too_short(20.0, "first branch", 15.0, 33.0),
            no_length_serves(60.0, 55.0),
            no_diameter_serves([8.0, 9.0], [11.0, 12.0]),
            not_in_stock([60.0, 70.0], [8.0, 9.0]),
            tunnel_size_unknown("t"),
            mouth_size_unknown("t"),
            tunnel_beyond_fabric("t", 1.0),
            tunnel_on_bare_part("t", (1.0, 2.0)),
            tunnel_too_wide("t", 2.0, 1.0),
            bodies_meet(["t", "s"], (1.0, 2.0), Angle::ZERO, Some(Angle::ZERO), 3.0, (4.0, 5.0)),
            fill(SIDE_BY_SIDE, &[("needed", whole(9.0))]),
            fill(ONE_UNDER_THE_OTHER, &[("together", tenths(1.0)), ("depth", tenths(2.0))]),
            fill(NOT_UNDER_THE_OTHER, &[("together", tenths(3.0)), ("depth", tenths(2.0))]),
            openings_meet("t", "s", 1.0),
            opening_over_edge("t", 1.0),
            covered(true, "o", 0.001, "Why."),
            covered(false, "o", 0.5, "Why."),
            pieces_apart("a", "b", 1.0, "when"),
            off_step_along("t", 1.0, 2.0, 3.0),
            off_step_around("t", Angle::ZERO, Angle::ZERO, Angle::ZERO),
            stent_limits([15.0, 15.0, 25.0, 20.0], [0.0, 0.25], [0.05, 0.25]),
            default_carrier(8.0),
            rough_mean_diameter(34.0),
            rough_misfit("Width", "1 mm", "2 mm", "1 mm"),
            sheath_fills(4.0, 0.6),
            few_records(3, 5),
            records_few(20),
            landings_say(7, "1.0 mm", "2.0 mm", "4.0 mm"),
            rotations_say(7, "1°", "8°", "20°"),
            no_place_for_tunnel("LSA"),
        ];
        assert_eq!(filled.len(), ALL.iter().filter(|(_, text)| text.contains('{')).count());
        assert_eq!(filled[0], "Station 1.0 mm lies outside the measured aorta (2.0 to 3.0 mm): measure further.");
        assert_eq!(filled[3], "There is no measure called m{x}.");
        for text in &filled {
            assert!(!text.contains("  ") && !text.contains("()"), "{text}");
        }
    }
}
