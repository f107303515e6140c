//! Over which possibilities the results hold, which one is drawn, and which verdicts hang on it.

use super::sign::sign;
use super::{Facts, form};
use crate::tree::{Element, Node, el};
use extrados::assumption::{Assumption, Change, of_kept_line, of_lie};
use extrados::casefile::case::Wire;
use extrados::graft::lie::{DEFAULT_PUSH, KeptLine, Lie, Possibility};
use extrados::report::assumptions as said;
use extrados::report::words as report_words;
use extrados::rules::measure;
use extrados::rules::verdict::{Verdict, Word};

/// The choice of the possibility that is drawn: ways to lie down, lines that keep their length across;
/// empty without a graft.
pub fn possibilities(facts: &Facts<'_>) -> Vec<Node> {
    let all = facts.plan.possibilities();
    if all.is_empty() {
        return Vec::new();
    }
    let lines = lines(&all);
    let head =
        el("tr").child(el("td")).children(lines.iter().map(|line| el("th").with("scope", "col").text(kept(*line))));
    let rows = Lie::ALL.iter().map(|lie| {
        let cells = lines.iter().map(|line| cell(facts, &all, *lie, *line));
        let name = el("th").with("scope", "row").with("title", how(*lie)).text(report_words::lie(*lie));
        el("tr").child(name).children(cells)
    });
    let changes: Vec<Element> = facts.plan.verdicts.iter().filter_map(|verdict| change(facts, verdict)).collect();
    let mut nodes: Vec<Node> = vec![
        el("h2").text("How it may lie").into(),
        el("p").class("note").text("Nobody can say: rules are judged on the worst. The one that is chosen here is drawn, and the table shows it.").into(),
        el("table").class("lies").child(head).children(rows).into(),
        el("p").class("note").text(matters(facts)).into(),
        assumptions(facts).into(),
    ];
    if !changes.is_empty() {
        nodes.push(el("ul").class("hangs").children(changes).into());
    }
    nodes.extend([explained(), pushes(facts), wire(facts)].map(Node::from));
    nodes
}

/// Lines that may keep their length, in the order of the possibilities.
fn lines(all: &[Possibility]) -> Vec<KeptLine> {
    let mut lines: Vec<KeptLine> = Vec::new();
    for possibility in all {
        if !lines.contains(&possibility.length_kept_by) {
            lines.push(possibility.length_kept_by);
        }
    }
    lines
}

fn kept(line: KeptLine) -> &'static str {
    match line {
        KeptLine::Axis => "axis keeps length",
        KeptLine::OuterLine => "outer line keeps length",
    }
}

/// What a way to lie means, for who points at it.
fn how(lie: Lie) -> &'static str {
    match lie {
        Lie::Middle => "On the centreline of the lumen.",
        Lie::Relaxed => "The wire is out: the graft bends as little as the lumen allows.",
        Lie::Pushed => "A stiff wire is in: it pushes the graft towards the outer curve.",
    }
}

/// One possibility to choose, with how many rules it leaves unmet.
fn cell(facts: &Facts<'_>, all: &[Possibility], lie: Lie, line: KeptLine) -> Element {
    let own = Possibility { lie, length_kept_by: line };
    let Some(index) = all.iter().position(|possibility| *possibility == own) else { return el("td") };
    let radio = el("input")
        .with("type", "radio")
        .with("name", "possibility")
        .with("data-do", format!("possibility:{index}"))
        .with("aria-label", report_words::possibility(own))
        .flag("checked", facts.drawn == Some(own));
    let fails =
        facts.plan.verdicts.iter().filter(|verdict| verdict.required && word_in(verdict, own) == Word::Unmet).count();
    let says = if fails == 0 { "none unmet".to_owned() } else { format!("{fails} unmet") };
    el("td").child(el("label").class("possibility").child(radio).child(el("span").class("muted").text(says)))
}

/// Which of the assumptions matters most.
fn matters(facts: &Facts<'_>) -> String {
    let (lie, line) = (Ok(of_lie(facts.plan)), Ok(of_kept_line(facts.plan)));
    let mut weights = vec![(Assumption::Lie, &lie), (Assumption::LengthKeptBy, &line)];
    weights.extend(facts.tilt.map(|tilt| (Assumption::WireTilt, tilt)));
    said::matters_most(&weights)
}

/// How much hangs on each assumption, all else equal.
fn assumptions(facts: &Facts<'_>) -> Element {
    let line = |assumption, weight: &_| el("li").text(said::sentence(facts.plan, assumption, weight));
    let tilt = match facts.tilt {
        Some(tilt) => line(Assumption::WireTilt, tilt),
        None => el("li").text(format!("{}: looking …", said::name(Assumption::WireTilt))),
    };
    el("ul")
        .class("hangs")
        .child(line(Assumption::Lie, &Ok(of_lie(facts.plan))))
        .child(line(Assumption::LengthKeptBy, &Ok(of_kept_line(facts.plan))))
        .child(tilt)
        .children(facts.tilt.into_iter().flatten().flat_map(|weight| &weight.changes).map(|own| by_wire(facts, own)))
}

/// A verdict that changes over the range of the wire's direction.
fn by_wire(facts: &Facts<'_>, change: &Change) -> Element {
    let measure = facts.plan.rules.get(change.rule_index).and_then(|rule| measure::find(&rule.measure));
    let what = measure.map_or(String::new(), |measure| measure.name.to_lowercase());
    let words: Vec<&str> = change.words.iter().map(|word| word.as_str()).collect();
    let worst = change.words.first().map(|word| sign(*word));
    let text = format!("{}: {what}: {} as the wire points", facts.name_of(&change.of), words.join(" or "));
    el("li").tie(&change.of, facts.tied()).child(el("span").class("hang").children(worst).text(text))
}

/// The wire at the annulus, to edit.
fn wire(facts: &Facts<'_>) -> Element {
    // Where none is described it runs along the aorta.
    let along = Wire { annulus_tilt_deg: 0.0, annulus_tilt_range_deg: 0.0, annulus_towards_clock_deg: 0.0 };
    let own = facts.plan.case.wire.as_ref().unwrap_or(&along);
    let state = facts.state;
    el("details")
        .child(el("summary").text("The wire at the annulus"))
        .child(form::number(state, "/wire/annulus_tilt_deg", Some(own.annulus_tilt_deg)))
        .child(form::clock(state, "/wire/annulus_towards_clock_deg", Some(own.annulus_towards_clock_deg)))
        .child(form::number(state, "/wire/annulus_tilt_range_deg", Some(own.annulus_tilt_range_deg)))
        .child(el("p").class("note").text(
            "Rules are judged with the wire as entered; over its range the plan is made again for four wires, \
             and what changes is said above.",
        ))
}

/// What the three ways mean and why there are three.
fn explained() -> Element {
    let why = "A graft does not lie on the lumen's centreline. It bends as little as the lumen lets it, so in a bend \
               it runs towards the outer curve, and a stiff wire pushes it farther there; once the wire is out it \
               springs back some of the way. How much nobody can measure beforehand. Woven cloth does not stretch: \
               where the graft lies against the outer curve that side keeps its length and the inner side folds, so \
               that mouths come to lie farther upstream than along the axis.";
    el("details").child(el("summary").text("Why several ways")).child(el("p").class("note").text(why)).children(
        Lie::ALL.map(|lie| {
            el("p").class("note").child(el("b").text(report_words::lie(lie))).text(format!(": {}", how(lie)))
        }),
    )
}

/// How hard the graft is pushed, to edit.
fn pushes(facts: &Facts<'_>) -> Element {
    let own = facts.plan.case.push.as_ref();
    let push = own.unwrap_or(&DEFAULT_PUSH);
    let source = if own.is_none() { "From memory; nobody has measured it." } else { "As entered in this case." };
    el("details")
        .child(el("summary").text("Push along the graft, over its stiffness"))
        .child(form::number(facts.state, "/push/relaxed_per_mm2", Some(push.relaxed_per_mm2)))
        .child(form::number(facts.state, "/push/pushed_per_mm2", Some(push.pushed_per_mm2)))
        .child(el("p").class("note").text(source))
}

/// The verdict in one possibility; where it does not depend on one, the verdict.
fn word_in(verdict: &Verdict, possibility: Possibility) -> Word {
    let own = verdict.by_possibility.iter().find(|(known, _)| *known == possibility);
    own.map_or(verdict.word, |(_, word)| *word)
}

/// A verdict that changes between possibilities: the ones that give each word, worst first.
fn change(facts: &Facts<'_>, verdict: &Verdict) -> Option<Element> {
    let by = &verdict.by_possibility;
    let (_, first) = by.first()?;
    if by.iter().all(|(_, word)| word == first) {
        return None;
    }
    let what = measure::find(&verdict.measure).map_or(verdict.measure.as_str(), |measure| measure.name);
    let words = Word::ALL.into_iter().filter_map(|word| {
        let own: Vec<Possibility> = by.iter().filter(|(_, other)| *other == word).map(|(own, _)| *own).collect();
        (!own.is_empty()).then(|| {
            let text = format!("{} if {}", word.as_str(), together(&own, by));
            el("span").class("hang").child(sign(word)).text(text)
        })
    });
    let title = format!("{}: {}", facts.name_of(&verdict.of), what.to_lowercase());
    Some(el("li").tie(&verdict.of, facts.tied()).child(el("span").text(title)).children(words))
}

/// Some of the possibilities in as few words as will do: whole lines, whole ways to lie, else each.
fn together(own: &[Possibility], by: &[(Possibility, Word)]) -> String {
    let whole = |alike: &dyn Fn(&Possibility, &Possibility) -> bool| {
        own.iter().all(|a| by.iter().all(|(b, _)| !alike(a, b) || own.contains(b)))
    };
    let mut parts: Vec<&str> = Vec::new();
    for possibility in own {
        let part = if whole(&|a, b| a.length_kept_by == b.length_kept_by) {
            kept(possibility.length_kept_by)
        } else if whole(&|a, b| a.lie == b.lie) {
            report_words::lie(possibility.lie)
        } else {
            report_words::possibility(*possibility)
        };
        if !parts.contains(&part) {
            parts.push(part);
        }
    }
    parts.join("; ")
}
