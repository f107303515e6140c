//! The stage of the anatomy: whether this arch may be treated this way. Rule sets side by side, each
//! with its verdicts, sources and limits to edit; then the anatomy report as tables.

use super::sign::sign;
use super::{Facts, form, verdicts};
use crate::tree::{Element, Node, el};
use crate::words;
use extrados::anatomy::Anatomy;
use extrados::casefile::case::{Approach, RuleSet};
use extrados::message;
use extrados::report::build;
use extrados::report::survey::{self, ArchTypePart, SealPart};
use extrados::report::words as report_words;
use extrados::rules::sets::{self, JudgedSet};
use extrados::rules::verdict::Word;
use extrados::units::Angle;

/// The stage.
pub fn stage(facts: &Facts<'_>) -> Vec<Node> {
    let mut said: Vec<Node> = vec![side_by_side(facts).into(), take(facts).into(), patient(facts)];
    for (index, judged) in facts.plan.sets.iter().enumerate() {
        said.push(set(facts, index, judged).into());
    }
    match &facts.plan.anatomy {
        Ok(anatomy) => {
            let report = survey::anatomy(facts.plan, anatomy);
            said.push(zones(facts, anatomy).into());
            said.push(arch(facts, &report).into());
            said.push(seals(facts, &report.seals).into());
            said.push(vessels(facts, anatomy).into());
        }
        Err(unknown) => said.push(el("p").class("note").text(unknown.0.clone()).into()),
    }
    said
}

/// Branched, fenestrated, neither: what is counted of each, and no overall word.
fn side_by_side(facts: &Facts<'_>) -> Element {
    let column = |heading: &str, approach: Option<Approach>| {
        let own = facts.plan.sets.iter().filter(|judged| judged.set.approach == approach);
        let rows: Vec<Element> = own.map(counted).collect();
        let none = rows.is_empty().then(|| el("p").class("note").text("No rule set taken."));
        el("section").child(el("h3").text(heading)).children(rows).children(none)
    };
    let unsaid = facts.plan.sets.iter().any(|judged| judged.set.approach.is_none());
    el("div")
        .class("approaches")
        .child(column("Branched", Some(Approach::Branched)))
        .child(column("Fenestrated or scalloped", Some(Approach::Fenestrated)))
        .child(column("Either", Some(Approach::Any)))
        .children(unsaid.then(|| column("Not said which", None)))
        .child(el("section").child(el("h3").text("Neither")).child(el("p").class("note").text(message::NEITHER)))
}

fn counted(judged: &JudgedSet) -> Element {
    let counts = judged.counts();
    let each = [
        (Word::Unmet, counts.unmet),
        (Word::Unknown, counts.unknown),
        (Word::Borderline, counts.borderline),
        (Word::Met, counts.met),
    ];
    let shown = each
        .into_iter()
        .filter(|(_, count)| *count > 0)
        .map(|(word, count)| el("span").class("counted").child(sign(word)).text(format!("{count} {}", word.as_str())));
    // A set whose limits nobody knows is not one without faults.
    let none = judged
        .set
        .rules
        .is_empty()
        .then(|| el("span").class("counted").child(sign(Word::Unknown)).text("no limits known: nothing judged"));
    el("p").child(el("b").text(name(&judged.set))).children(shown).children(none)
}

fn name(set: &RuleSet) -> String {
    if set.name.is_empty() { "Rule set without a name".into() } else { set.name.clone() }
}

/// Sets that come with the program and are not taken yet.
fn take(facts: &Facts<'_>) -> Element {
    let taken = |id: &str| facts.plan.case.rule_sets.iter().any(|own| own.id == id);
    let rest = sets::all().into_iter().filter(|set| !taken(&set.id)).map(|set| {
        let button = el("button").with("data-do", format!("set-take:{}", set.id)).text("Take");
        let sources = set.sources.join("; ");
        el("li").child(button).text(format!(" {} ", set.name)).child(el("small").text(sources))
    });
    let open = facts.plan.sets.is_empty();
    el("details")
        .class("take")
        .flag("open", open)
        .child(el("summary").text("Rule sets that come with the program, as alternatives"))
        .child(el("ul").children(rest))
        .child(el("p").class("note").text("A rule file of your own is opened like a case and stands beside these."))
}

/// What rules hang on beside the anatomy.
fn patient(facts: &Facts<'_>) -> Node {
    let pointer = "/connective_tissue_disease";
    let value = facts.plan.case.connective_tissue_disease.map(|yes| if yes { "true" } else { "false" });
    let select = el("select")
        .with("id", form::id(pointer))
        .with("data-field", pointer)
        .with("value", value.unwrap_or_default())
        .child(el("option").with("value", "").text("not answered"))
        .child(el("option").with("value", "true").text("yes"))
        .child(el("option").with("value", "false").text("no"));
    el("div")
        .class("row patient")
        .child(el("label").with("for", form::id(pointer)).text("Connective-tissue disease"))
        .child(select)
        .into()
}

fn set(facts: &Facts<'_>, index: usize, judged: &JudgedSet) -> Element {
    let drop = el("button")
        .with("data-do", format!("set-drop:{index}"))
        .with("aria-label", format!("Leave out {}", name(&judged.set)))
        .text("Leave out");
    let under = format!("/rule_sets/{index}");
    let rules = judged.set.rules.iter().enumerate().map(|(place, rule)| {
        let own: Vec<_> = judged.verdicts.iter().filter(|verdict| verdict.rule_index == place).collect();
        verdicts::group(facts, &under, place, rule, &own)
    });
    let not_judged =
        judged.set.not_judged.iter().map(|words| el("p").class("note").text(format!("Not judged: {words}")));
    el("section")
        .class("set")
        .child(el("h2").text(name(&judged.set)).child(drop))
        .child(el("p").class("note").text(format!("Sources: {}.", judged.set.sources.join("; "))))
        .children(rules)
        .child(verdicts::add(facts, &under))
        .children(not_judged)
}

fn table(caption: &str, heads: &[&str], rows: impl IntoIterator<Item = Element>) -> Element {
    el("table")
        .class("survey")
        .child(el("caption").text(caption))
        .child(el("thead").child(el("tr").children(heads.iter().map(|head| el("th").with("scope", "col").text(*head)))))
        .child(el("tbody").children(rows))
}

fn head(words: impl Into<String>) -> Element {
    el("th").with("scope", "row").text(words)
}

fn unknown(why: Option<&str>) -> Element {
    el("td").child(el("span").class("query").with_some("title", why).text(report_words::UNKNOWN))
}

/// A length or a diameter.
fn mm(value: Option<f64>, why: Option<&str>) -> Element {
    value.map_or_else(|| unknown(why), |mm| el("td").text(report_words::tenths(mm)))
}

fn degrees(value: Option<f64>, why: Option<&str>) -> Element {
    value.map_or_else(|| unknown(why), |degrees| el("td").text(format!("{}°", report_words::tenths(degrees))))
}

fn zones(facts: &Facts<'_>, anatomy: &Anatomy) -> Element {
    let rows = build::zones(facts.plan, anatomy).into_iter().map(|zone| {
        // What the zone lacks first; where its lengths are known each number that is not says what to do.
        let why = zone.why.as_deref().filter(|_| zone.inner_mm.is_none());
        let or = |other| why.or(Some(other));
        el("tr")
            .child(head(format!("Zone\u{a0}{}", zone.zone)))
            .child(mm(zone.inner_mm, why))
            .child(mm(zone.centre_mm, why))
            .child(mm(zone.outer_mm, why))
            .child(mm(zone.healthy_inner_mm, or("Describe the wall and the lesion.")))
            .child(mm(zone.largest_mm, or(message::NO_LARGEST_DIAMETER)))
            .child(mm(zone.smallest_mm, or(message::NO_LARGEST_DIAMETER)))
            .child(mm(zone.area_least_mm, or(message::INSCRIBED_DIAMETER)))
            .child(mm(zone.area_most_mm, or(message::INSCRIBED_DIAMETER)))
            .child(mm(zone.inner_bend, why))
            .child(degrees(zone.turn_deg, why))
    });
    let heads = [
        "Zone",
        "Inner",
        "Centreline",
        "Outer",
        "Healthy, inner",
        "Largest Ø",
        "Smallest Ø",
        "Least area Ø",
        "Most area Ø",
        "Bend × Ø",
        "Turn",
    ];
    let caption =
        "Landing zones, mm: lengths on three lines, diameters by kind, curvature of the inner curve times diameter";
    let own = table(caption, &heads, rows);
    let none = anatomy.zones.is_empty().then(|| el("p").class("note").text(message::NO_ZONES));
    el("section").child(own).children(none)
}

fn arch(facts: &Facts<'_>, report: &survey::AnatomyPart) -> Element {
    let kind = |says: &str, own: &ArchTypePart| {
        let found = match (own.number, own.drop_mm, own.first_mm, own.second_mm) {
            (Some(number), Some(drop), Some(first), Some(second)) => el("td").text(format!(
                "type {number}: {} below the top; type 1 up to {}, type 2 up to {}",
                report_words::mm(drop),
                report_words::mm(first),
                report_words::mm(second)
            )),
            _ => unknown(own.why.as_deref()),
        };
        el("tr").child(head(says)).child(found).child(el("td").class("muted").text(own.source))
    };
    let plain = |says: &str, value: Element, note: &str| {
        el("tr").child(head(says)).child(value).child(el("td").class("muted").text(note))
    };
    let length = &report.proximal_length;
    let lengths = match (length.inner_mm, length.centre_mm, length.outer_mm) {
        (Some(inner), Some(centre), Some(outer)) => el("td").text(format!(
            "inner {}, centreline {}, outer {}",
            report_words::mm(inner),
            report_words::mm(centre),
            report_words::mm(outer)
        )),
        _ => unknown(length.why.as_deref()),
    };
    let room = report.room_upstream.iter().map(|point| {
        plain(
            &format!("Edge may go upstream before the {}", facts.name_of(&point.id)),
            mm(point.mm, point.why.as_deref()),
            "mm along the wall, worst way it can lie",
        )
    });
    let factor = |value: Option<f64>| value.map_or_else(|| unknown(None), |v| el("td").text(format!("{v:.2}")));
    let rows: Vec<Element> = [
        kind("Arch type by vessel widths", &report.arch_type_by_widths),
        kind("Arch type by horizontal planes", &report.arch_type_by_planes),
        plain("Origin to the first ostium's edge", lengths, "no rule hangs on the arch type; lengths carry their line"),
        plain(
            "Angle of the arch",
            degrees(report.arch_angle_deg, report.arch_angle_why.as_deref()),
            "at the top of the centreline, between the lines to the origin and to the descending aorta as high",
        ),
        plain("Turning, first to last ostium", degrees(report.turning_deg, None), "of the centreline"),
        plain(
            "Tortuosity of the arch",
            factor(report.tortuosity_arch),
            "length over straight distance, origin to last ostium",
        ),
        plain(
            "Tortuosity of the descending aorta",
            factor(report.tortuosity_descending),
            "last ostium to the end of the data",
        ),
    ]
    .into_iter()
    .chain(room)
    .collect();
    table("Arch", &["What", "Value", "How"], rows)
}

fn seals(facts: &Facts<'_>, seals: &[SealPart]) -> Element {
    let range = |from: Option<f64>, to: Option<f64>, why: Option<&str>, unit: &str| match (from, to) {
        (Some(from), Some(to)) => {
            el("td").text(format!("{} to {}", report_words::tenths(from), report_words::with_unit(to, unit)))
        }
        _ => unknown(why),
    };
    let rows = seals.iter().map(|seal| {
        let why = seal.why.as_deref();
        let whole = seal.oversize_whole_percent.map(|v| format!("; whole aorta {}", report_words::with_unit(v, "%")));
        let proposal = match seal.proposal_mm {
            Some(mm) => el("td").child(el("b").text(report_words::mm(mm))),
            None => el("td").class("muted").text("none at hand"),
        };
        el("tr")
            .tie(&seal.component, facts.tied())
            .child(head(format!("{}, {}", facts.name_of(&seal.component), seal.end)))
            .child(seal.wall.map_or_else(|| unknown(why), |wall| el("td").text(wall.replace('_', " "))))
            .child(range(seal.aorta_least_mm, seal.aorta_most_mm, why, "mm"))
            .child(
                range(seal.oversize_least_percent, seal.oversize_most_percent, why, "%")
                    .text(whole.unwrap_or_default()),
            )
            .child(range(seal.serves_from_mm, seal.serves_to_mm, why, "mm"))
            .child(proposal)
    });
    let heads = ["Seal", "Wall", "Aorta, area Ø", "Oversize", "Ø that keeps the limits", "Smallest at hand"];
    table("Seals, over every way the graft can lie", &heads, rows)
}

fn vessels(facts: &Facts<'_>, anatomy: &Anatomy) -> Element {
    let rows = anatomy.vessels.iter().map(|vessel| {
        let angle = |angle: Option<Angle>| degrees(angle.map(|a| a.to_deg()), Some(message::NO_TAKEOFF));
        let typed = facts.plan.case.anatomy.vessels.iter().find(|own| own.id == vessel.id);
        let landing = typed.and_then(|own| own.healthy_from_mm.zip(own.to_first_branch_mm));
        let landing = match landing {
            Some((from, to)) => el("td").text(format!("{} to {}", words::entry(from), report_words::mm(to))),
            None => unknown(Some("Enter where healthy wall begins and the length to the first branch.")),
        };
        el("tr")
            .tie(&vessel.id, facts.tied())
            .child(head(vessel.id.clone()))
            .child(angle(vessel.takeoff_angle))
            .child(angle(vessel.lean))
            .child(landing)
    });
    table("Arch vessels", &["Vessel", "Take-off", "Lean", "Healthy wall to first branch"], rows)
}
