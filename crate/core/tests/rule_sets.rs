//! The shipped rule sets: every rule on both sides of its limit, at its error band and with its measure
//! missing; unknown is never met; a rule comes from a file alone. The anatomy is invented.
#![allow(clippy::unwrap_used, clippy::panic, clippy::expect_used)]

mod common;
mod outside;

use common::*;
use extrados::casefile::Document;
use extrados::casefile::case::*;
use extrados::casefile::document;
use extrados::message;
use extrados::plan::Plan;
use extrados::report::build::report;
use extrados::rules::measure;
use extrados::rules::sets;
use extrados::rules::verdict::{Verdict, Word};
use outside::outside;
use serde_json::{Value, json};
use std::collections::BTreeSet;
use std::f64::consts::PI;
use std::sync::Arc;

/// The worked arch P, typed as a measuring sheet, with everything entered that any shipped rule needs.
fn full() -> Case {
    let mut case = arch_p(LengthKeptBy::Axis);
    case.diagnosis = "arch aneurysm".into();
    case.connective_tissue_disease = Some(true);
    let anatomy = Arc::make_mut(&mut case.anatomy);
    anatomy.sheet_arch = Some(SheetArch {
        from_station_mm: Some(30.0),
        inner_mm: Some(23.0 * PI),
        outer_mm: Some(57.0 * PI),
        diameter_mm: Some(34.0),
        plane_from_sagittal_deg: Some(50.0),
        origin: Some("sinotubular_junction".into()),
        ..SheetArch::default()
    });
    let wall = |from_station_mm, to_station_mm, kind, signs: &[WallSign]| WallStretch {
        from_station_mm,
        to_station_mm,
        kind,
        signs: signs.to_vec(),
        diameter_measured: None,
    };
    anatomy.wall =
        vec![wall(-60.0, 90.0, WallKind::SurgicalGraft, &[]), wall(90.0, 230.0, WallKind::SurgicalGraft, &[])];
    anatomy.lesion = Some(Lesion { from_station_mm: 118.0, to_station_mm: 130.0, side: None });
    anatomy.valve = Some(Valve { kind: "mechanical".into(), annulus_station_mm: Some(-25.0) });
    anatomy.access = Some(Access { least_diameter_mm: Some(9.0) });
    for vessel in &mut anatomy.vessels {
        vessel.healthy_from_mm = Some(0.0);
        vessel.to_first_branch_mm = Some(40.0);
        vessel.diameters =
            vec![VesselDiameter { at_mm: 10.0, diameter_mm: 10.0 }, VesselDiameter { at_mm: 30.0, diameter_mm: 10.0 }];
    }
    let mut graft = (**case.components[0].graft.as_ref().unwrap()).clone();
    graft.tip_length_mm = Some(20.0);
    graft.carrier_outer_mm = Some(7.0);
    graft.sections[0].to_u_mm = 60.0;
    let waist = Section { from_u_mm: 60.0, to_u_mm: 130.0, seals: false, ..graft.sections[0].clone() };
    let end = Section { from_u_mm: 130.0, to_u_mm: 170.0, ..graft.sections[0].clone() };
    graft.sections.extend([waist, end]);
    graft.barbs = vec![Barbs { from_u_mm: 3.0, to_u_mm: 8.0 }];
    case.components[0].graft = Some(Arc::new(graft));
    case
}

fn anatomy(case: &mut Case) -> &mut AnatomyInput {
    Arc::make_mut(&mut case.anatomy)
}

fn graft(case: &mut Case, change: impl FnOnce(&mut Graft)) {
    change(Arc::make_mut(case.components[0].graft.as_mut().unwrap()));
}

fn lumen(case: &mut Case, mm: f64) {
    let kind = LumenKind::MaxMin { largest_mm: mm, smallest_mm: mm, largest_clock_deg: None };
    anatomy(case).lumen.iter_mut().for_each(|s| s.kind = kind.clone());
}

/// A rule's verdicts on a case.
fn verdicts(case: &Case, rule: &Rule) -> Vec<Verdict> {
    let set = RuleSet { rules: vec![rule.clone()], ..RuleSet::default() };
    let case = Case { rule_sets: vec![set], ..case.clone() };
    Plan::new(Arc::new(case)).sets.remove(0).verdicts
}

/// The verdict that a rule's own subject gets: the vessel it names, else the first.
fn verdict(case: &Case, rule: &Rule) -> Verdict {
    let all = verdicts(case, rule);
    let own = all.iter().find(|v| rule.of == "each" || v.of == rule.of);
    own.unwrap_or_else(|| panic!("{}: no verdict", rule.id)).clone()
}

/// Makes a case whose measure can be moved: a knob that changes the value, from where it starts.
fn knob(measure: &str, of: &str) -> (fn(&mut Case, f64, &str), f64) {
    match measure {
        "ascending.largest_diameter_mm" | "arch.largest_diameter_mm" | "zone.largest_diameter_mm" => {
            (|case, x, _| lumen(case, x), 34.0)
        }
        "anatomy.origin_to_first_ostium_mm" | "ascending.healthy_length_mm" => {
            (|case, x, _| anatomy(case).ostia[0].station_mm = x, 70.0)
        }
        "vessel.landing_length_mm" => (
            |case, x, of| {
                let vessels = &mut anatomy(case).vessels;
                vessels.iter_mut().filter(|v| of == "each" || v.id == of).for_each(|v| v.to_first_branch_mm = Some(x));
            },
            40.0,
        ),
        "vessel.landing_diameter_mm" => (
            |case, x, of| {
                let vessels = anatomy(case).vessels.iter_mut().filter(|v| of == "each" || v.id == of);
                vessels.flat_map(|v| &mut v.diameters).for_each(|d| d.diameter_mm = x);
            },
            10.0,
        ),
        "arch.first_to_last_edge_mm" => (|case, x, _| anatomy(case).ostia[2].station_mm = x, 103.0),
        "ostium.gap_to_next_mm" => (|case, x, _| anatomy(case).ostia[2].station_mm = x, 103.0),
        "vessel.edge_to_lesion_mm" => (
            |case, x, _| {
                anatomy(case).lesion = Some(Lesion { from_station_mm: x, to_station_mm: x + 20.0, side: None })
            },
            118.0,
        ),
        "tunnel.edge_clearance_mm" => (|case, x, _| graft(case, |g| g.tunnels[0].mouth_u_mm = x), 42.0),
        "keep_clear.distance_mm" => (|case, x, _| anatomy(case).keep_clear[0].station_mm = x, -8.0),
        "graft.proximal_oversize_percent" => (
            |case, x, _| graft(case, |g| (g.sections[0].from_diameter_mm, g.sections[0].to_diameter_mm) = (x, x)),
            38.0,
        ),
        "graft.distal_oversize_percent" | "graft.distal_oversize_whole_percent" => (
            |case, x, _| graft(case, |g| (g.sections[2].from_diameter_mm, g.sections[2].to_diameter_mm) = (x, x)),
            38.0,
        ),
        "graft.proximal_seal_mm" => (
            |case, x, _| {
                graft(case, |g| {
                    g.sections[0].to_u_mm = x;
                    g.sections[1].from_u_mm = x;
                })
            },
            60.0,
        ),
        "valve.tip_room_mm" => (|case, x, _| graft(case, |g| g.tip_length_mm = Some(x)), 20.0),
        "access.least_diameter_mm" | "access.margin_mm" => {
            (|case, x, _| anatomy(case).access = Some(Access { least_diameter_mm: Some(x) }), 9.0)
        }
        // Turning with the height: the arch is a half-ellipse over its own origin.
        "arch.angle_deg" => (
            |case, x, _| {
                anatomy(case).sheet_arch = Some(SheetArch {
                    from_station_mm: Some(0.0),
                    width_mm: Some(80.0),
                    height_mm: Some(x),
                    origin: Some("sinotubular_junction".into()),
                    ..SheetArch::default()
                })
            },
            60.0,
        ),
        other => panic!("{other} of {of} has no knob"),
    }
}

/// A case on which a rule's narrowing leaves its subject.
fn narrowed(rule: &Rule) -> Case {
    let mut case = full();
    match rule.when.wall.as_deref() {
        Some("native") => anatomy(&mut case).wall.iter_mut().for_each(|w| w.kind = WallKind::Native),
        Some("dissected") => anatomy(&mut case).wall.iter_mut().for_each(|w| {
            w.kind = WallKind::Native;
            w.signs = vec![WallSign::Dissected];
        }),
        _ => {}
    }
    let whole = |station_mm| TrueLumen {
        station_mm,
        diameter_mm: Some(34.0),
        centre_clock_deg: None,
        flap_clock_deg: None,
        whole_diameter_mm: Some(45.0),
    };
    anatomy(&mut case).true_lumen = vec![whole(-60.0), whole(230.0)];
    if rule.measure == "graft.proximal_seal_mm" {
        // A straight aorta to 100 mm, so that a seal of any length fits upstream of the bend.
        anatomy(&mut case).sheet_arch.as_mut().unwrap().from_station_mm = Some(100.0);
        for (ostium, station) in anatomy(&mut case).ostia.iter_mut().zip([140.0, 155.0, 173.0]) {
            ostium.station_mm = station;
        }
        anatomy(&mut case).lesion = Some(Lesion { from_station_mm: 190.0, to_station_mm: 200.0, side: None });
    }
    case
}

/// The case with its measure moved to a value: secant steps on the knob.
fn at(case: &Case, rule: &Rule, target: f64) -> Case {
    let (turn, start) = knob(&rule.measure, &rule.of);
    let turned = |x: f64| {
        let mut own = case.clone();
        turn(&mut own, x, &rule.of);
        own
    };
    let value = |x: f64| verdict(&turned(x), rule).value.unwrap_or_else(|| panic!("{} unknown at {x}", rule.id));
    let (mut a, mut b) = (start, start + 0.5);
    let (mut fa, mut fb) = (value(a) - target, value(b) - target);
    for _ in 0..12 {
        if fb.abs() < 1e-6 || fb == fa {
            break;
        }
        let c = (b - fb * (b - a) / (fb - fa)).clamp(b - 15.0, b + 15.0);
        (a, fa) = (b, fb);
        (b, fb) = (c, value(c) - target);
    }
    assert!(fb.abs() < 1e-3, "{}: {target} is not reached, off by {fb}", rule.id);
    turned(b)
}

fn shipped_rules() -> Vec<Rule> {
    sets::all().into_iter().flat_map(|set| set.rules).collect()
}

#[test]
fn every_shipped_set_reads_names_its_sources_and_is_one_of_several() {
    assert_eq!(sets::all().len(), sets::SHIPPED.len());
    let mut ids = BTreeSet::new();
    for (set, (id, _)) in sets::all().iter().zip(sets::SHIPPED) {
        assert_eq!(set.id, *id);
        assert!(!set.sources.is_empty() && !set.name.to_lowercase().contains("generic"), "{id}");
        for rule in &set.rules {
            assert!(ids.insert(rule.id.clone()), "{} twice", rule.id);
            let own = measure::find(&rule.measure).unwrap_or_else(|| panic!("{}", rule.measure));
            assert!(measure::same_unit(&rule.unit, own.unit), "{}", rule.id);
            assert!(rule.at_least.is_some() || rule.at_most.is_some(), "{}", rule.id);
            assert!(rule.source.len() > 5 && rule.would_change.is_some(), "{}", rule.id);
        }
    }
    // All of them fit into one case side by side.
    let case = Case { rule_sets: sets::all(), ..full() };
    let text = document::write(&case);
    let read = Document::read(text.as_bytes()).unwrap_or_else(|faults| panic!("{faults}"));
    assert_eq!(read.case.rule_sets, case.rule_sets);
    assert_eq!(Plan::new(read.case).sets.len(), sets::SHIPPED.len());
}

// Two errors inside: met. Half an error inside: borderline. Half an error outside: unmet, measure again.
// Two errors outside: unmet, with what would change it.
#[test]
fn every_shipped_rule_on_both_sides_of_its_limits_and_at_its_error_band() {
    let mut exercised = 0;
    for rule in shipped_rules().iter().filter(|r| measure::find(&r.measure).unwrap().unit != "places") {
        let case = narrowed(rule);
        let limits = [rule.at_least.map(|l| (l, 1.0)), rule.at_most.map(|l| (l, -1.0))];
        for (limit, inside) in limits.into_iter().flatten() {
            let error = verdict(&at(&case, rule, limit + inside), rule).error.unwrap();
            assert!(error > 0.0, "{}", rule.id);
            for (errors, word) in [(2.0, Word::Met), (0.5, Word::Borderline), (-0.5, Word::Unmet), (-2.0, Word::Unmet)]
            {
                // Limits nearer to each other than four errors are never met by two.
                let room = rule.at_least.zip(rule.at_most).map_or(f64::INFINITY, |(low, high)| (high - low) / error);
                let word = if word == Word::Met && room < 4.2 { Word::Borderline } else { word };
                let errors = if errors > 1.0 && room < 4.2 { 0.3 * room } else { errors };
                let own = verdict(&at(&case, rule, limit + inside * errors * error), rule);
                let limit = if inside > 0.0 { format!("at least {limit}") } else { format!("at most {limit}") };
                let input = format!("{}: {} {limit} {}, {errors} errors inside", rule.id, rule.measure, rule.unit);
                outside(&format!("limit: {}", rule.source), input).same("verdict", own.word, word);
                assert_eq!(own.would_change.is_some(), word == Word::Unmet, "{}", rule.id);
                let again = own.why.as_deref() == Some(message::MEASURE_AGAIN);
                assert_eq!(again, word == Word::Unmet && errors > -1.0, "{}: {:?}", rule.id, own.why);
                exercised += 1;
            }
        }
    }
    assert!(exercised >= 120, "{exercised}");
}

// Rules that count places: none, one within an error of the border, one.
#[test]
fn every_rule_that_counts_places_on_both_sides_and_at_the_border() {
    let counting: Vec<Rule> =
        shipped_rules().into_iter().filter(|r| measure::find(&r.measure).unwrap().unit == "places").collect();
    assert_eq!(counting.len(), 4);
    for rule in &counting {
        let flawed = |from_station_mm: f64| {
            let mut case = full();
            let (kind, signs) = match rule.measure.as_str() {
                "graft.fixation_on_dissected" => (WallKind::Native, vec![WallSign::Dissected]),
                "graft.seal_on_flawed_graft" => (WallKind::SurgicalGraft, vec![WallSign::Kinked]),
                "graft.seal_on_thrombus" => (WallKind::SurgicalGraft, vec![WallSign::Thrombus]),
                "graft.seals_on_native" => (WallKind::Native, vec![]),
                other => panic!("{other}"),
            };
            let flaw = WallStretch {
                from_station_mm,
                to_station_mm: from_station_mm + 5.0,
                kind,
                signs,
                diameter_measured: None,
            };
            let wall = &mut anatomy(&mut case).wall;
            wall[0].to_station_mm = from_station_mm;
            wall[1].from_station_mm = from_station_mm + 5.0;
            wall.insert(1, flaw);
            verdict(&case, rule)
        };
        // Seals lie at 8 to 68 and 138 to 178, edge and barbs at 8 and 11 to 16.
        assert_eq!(flawed(90.0).word, Word::Met, "{}", rule.id);
        let near = if rule.measure.contains("fixation") { 17.0 } else { 69.0 };
        assert_eq!(flawed(near).word, Word::Borderline, "{}", rule.id);
        let under = if rule.measure.contains("fixation") { 13.0 } else { 40.0 };
        assert_eq!(flawed(under).word, Word::Unmet, "{}", rule.id);
        assert!(flawed(under).would_change.is_some());
    }
}

/// Takes away what a measure says it needs.
fn without(need: &str, case: &Case) -> Case {
    let mut case = case.clone();
    match need {
        "centreline" => anatomy(&mut case).sheet_arch = None,
        "origin" => anatomy(&mut case).sheet_arch.as_mut().unwrap().origin = None,
        "lumen" => anatomy(&mut case).lumen.clear(),
        "ostium" => anatomy(&mut case).ostia.clear(),
        "clock" => case.clock.three_oclock_is = None,
        "graft" => case.components.clear(),
        "placement" => case.components[0].placement = None,
        "wall" => anatomy(&mut case).wall.clear(),
        "true_lumen" => anatomy(&mut case).true_lumen.clear(),
        "lesion" => anatomy(&mut case).lesion = None,
        "vessel" => anatomy(&mut case).vessels.clear(),
        "takeoff" => anatomy(&mut case).vessels.iter_mut().for_each(|v| v.takeoff_deg = None),
        "valve" => anatomy(&mut case).valve = None,
        "access" => anatomy(&mut case).access = None,
        other => panic!("nobody knows how to take away {other}"),
    }
    case
}

// With its measure missing each shipped rule is unknown, and says why; it never vanishes.
#[test]
fn every_shipped_rule_with_its_measure_missing_is_unknown() {
    for rule in shipped_rules() {
        let case = narrowed(&rule);
        assert_ne!(verdict(&case, &rule).word, Word::Unknown, "{} is known on the full case", rule.id);
        for need in measure::find(&rule.measure).unwrap().needs {
            let all = verdicts(&without(need, &case), &rule);
            assert!(!all.is_empty(), "{} vanishes without {need}", rule.id);
            for own in all {
                assert_eq!((own.word, own.value), (Word::Unknown, None), "{} without {need}: {own:?}", rule.id);
                assert!(own.why.is_some_and(|why| why.len() > 10), "{} without {need}", rule.id);
            }
        }
    }
}

// The same for every measure there is, shipped in a rule or not: without what it needs nothing is met.
#[test]
fn no_measure_is_met_without_what_it_needs() {
    for own in measure::all() {
        let rule = Rule { unit: own.unit.into(), at_least: Some(-1e5), ..Rule::on(own.id) };
        for need in own.needs.iter().filter(|need| !["components", "graft_features", "stent", "stock"].contains(need)) {
            let case = narrowed(&rule);
            for verdict in verdicts(&without(need, &case), &rule) {
                assert_eq!(verdict.word, Word::Unknown, "{} without {need}: {verdict:?}", own.id);
            }
        }
    }
}

/// Pointers to every scalar of a value that may be taken away or emptied.
fn scalars(value: &Value, at: &str, found: &mut Vec<String>) {
    match value {
        Value::Object(map) => map.iter().for_each(|(key, v)| scalars(v, &format!("{at}/{key}"), found)),
        Value::Array(items) => items.iter().enumerate().for_each(|(i, v)| scalars(v, &format!("{at}/{i}"), found)),
        Value::Null => {}
        _ => found.push(at.into()),
    }
}

// Whatever single input of the anatomy or the graft is taken away, no rule becomes met by it.
#[test]
fn taking_any_input_away_makes_no_rule_met() {
    let case = Case { rule_sets: sets::all(), ..full() };
    let whole = serde_json::to_value(&case).unwrap();
    let met = |case: Arc<Case>| -> BTreeSet<(String, String)> {
        let sets = Plan::new(case).sets;
        let all = sets.iter().flat_map(|s| &s.verdicts);
        all.filter(|v| v.word == Word::Met).map(|v| (v.rule.clone(), v.of.clone())).collect()
    };
    let before = met(Arc::new(case));
    let mut pointers = Vec::new();
    for part in ["clock", "anatomy", "components", "diagnosis", "connective_tissue_disease"] {
        scalars(&whole[part], &format!("/{part}"), &mut pointers);
    }
    let mut taken = 0;
    for pointer in pointers {
        let mut changed = whole.clone();
        *changed.pointer_mut(&pointer).unwrap() = Value::Null;
        // Where the file could not be without it, it is no input that can be missing.
        let Ok(document) = Document::from_value(changed) else { continue };
        taken += 1;
        let more: Vec<_> = met(document.case).difference(&before).cloned().collect();
        assert!(more.is_empty(), "without {pointer} these become met: {more:?}");
    }
    assert!(taken >= 25, "{taken}");
}

// A rule on a measure that exists is data: it comes from a file and needs no code.
#[test]
fn a_rule_from_a_file_needs_no_code() {
    let file = json!({"format": "extrados-rules", "version": 1, "name": "our own", "sources": ["this test"],
        "rules": [{"id": "bend", "measure": "zone.inner_bend", "when": {"kind": "0"}, "at_most": 1.4, "unit": "", "source": "this test", "would_change": "Another landing."}]});
    let set = document::read_rules(file.to_string().as_bytes()).unwrap();
    let plan = Plan::new(Arc::new(Case { rule_sets: vec![set], ..full() }));
    let own = &plan.sets[0].verdicts[0];
    // Radius 40, lumen 34: D / (R − D/2) = 34 / 23.
    outside("worked by hand: D / (R − D/2)", "radius 40, lumen 34").near(
        "bend of a zone",
        own.value.unwrap(),
        34.0 / 23.0,
        1e-6,
        "",
    );
    assert_eq!((own.word, own.of.as_str()), (Word::Unmet, "zone0"));
    let part = report(&plan, "").rule_sets.remove(0);
    assert_eq!((part.unmet, part.met), (1, 0));
    assert_eq!(part.verdicts[0].would_change.as_deref(), Some("Another landing."));
}

#[test]
fn a_bad_rule_file_lists_all_its_faults() {
    let file = json!({"format": "extrados-rules", "version": 1, "aproach": "branched", "rules": [
        {"id": "a b", "measure": "zone.inner_bend", "at_most": "much"},
        {"id": "r", "at_least": 5, "at_most": 2, "measure": "zone.length_mm"},
        {"id": "r", "measure": "zone.length_mm", "when": {"wall": "wood"}}]});
    let faults = document::read_rules(file.to_string().as_bytes()).unwrap_err().faults;
    for place in [
        "/aproach",
        "/rules/0/id",
        "/rules/0/at_most",
        "/rules/1/at_most",
        "/rules/2/id",
        "/rules/2",
        "/rules/2/when/wall",
    ] {
        assert!(faults.iter().any(|f| f.place == place), "{place}: {faults:?}");
    }
}

// A rule about a diagnosis or a disease is not silent while nobody said either.
#[test]
fn what_a_rule_hangs_on_must_be_said() {
    let rule = |when: Value| -> Rule {
        serde_json::from_value(json!({"id": "r", "measure": "access.least_diameter_mm", "at_least": 7, "when": when}))
            .unwrap()
    };
    let open = Case { diagnosis: String::new(), connective_tissue_disease: None, ..full() };
    for (when, why) in [
        (json!({"diagnosis": "dissection"}), message::NO_DIAGNOSIS),
        (json!({"connective_tissue_disease": true}), message::NO_CONNECTIVE),
    ] {
        let own = verdict(&open, &rule(when.clone()));
        assert_eq!((own.word, own.why.as_deref()), (Word::Unknown, Some(why)));
    }
    let without = Case { connective_tissue_disease: Some(false), ..full() };
    assert!(verdicts(&without, &rule(json!({"connective_tissue_disease": true}))).is_empty());
    // The wall under a seal that nobody described.
    let mut bare = full();
    anatomy(&mut bare).wall.clear();
    let oversize = serde_json::from_value::<Rule>(
        json!({"id": "o", "measure": "graft.proximal_oversize_percent", "at_most": 15, "when": {"wall": "native"}}),
    )
    .unwrap();
    assert_eq!(verdict(&bare, &oversize).word, Word::Unknown);
    let misplaced = serde_json::from_value::<Rule>(
        json!({"id": "o", "measure": "tunnel.clock_error_deg", "at_most": 15, "when": {"wall": "native"}}),
    )
    .unwrap();
    assert_eq!(verdict(&full(), &misplaced).why.as_deref(), Some(message::NO_WALL_UNDER));
}

// What a set merely advises is not counted with what it needs, and there is no overall word.
#[test]
fn sets_are_counted_each_by_itself() {
    let plan = Plan::new(Arc::new(Case { rule_sets: sets::all(), ..full() }));
    for own in &plan.sets {
        let counts = own.counts();
        let needed = own.verdicts.iter().filter(|v| v.required).count();
        assert_eq!(counts.unmet + counts.unknown + counts.borderline + counts.met, needed, "{}", own.set.id);
    }
    let text = serde_json::to_string(&report(&plan, "").rule_sets).unwrap().to_lowercase();
    assert!(!text.contains("\"suitable\":") && !text.contains("overall"));
}
