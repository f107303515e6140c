//! Over which possibilities the results hold, which one is drawn, and which verdicts hang on it.

use super::sign::sign;
use super::{Facts, form};
use crate::tree::{Element, Node, el};
use extrados::graft::lie::{DEFAULT_PUSH, KeptLine, Lie, Possibility};
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
    let mut said: Vec<Node> = vec![
        el("h2").text("How it may lie").into(),
        el("p").class("note").text("Nobody can say. Rules are judged on the worst; drawn and in the table is").into(),
        el("table").class("lies").child(head).children(rows).into(),
        el("p").class("note").text(matters(facts)).into(),
    ];
    if !changes.is_empty() {
        said.push(el("ul").class("hangs").children(changes).into());
    }
    said.push(pushes(facts).into());
    said
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

/// Which of the assumptions the verdicts hang on.
fn matters(facts: &Facts<'_>) -> &'static str {
    let differ = |same: fn(&Possibility, &Possibility) -> bool| {
        facts.plan.verdicts.iter().any(|verdict| {
            let by = &verdict.by_possibility;
            by.iter().any(|(a, word)| by.iter().any(|(b, other)| same(a, b) && word != other))
        })
    };
    match (differ(|a, b| a.lie == b.lie), differ(|a, b| a.length_kept_by == b.length_kept_by)) {
        (false, false) => "No verdict hangs on it.",
        (true, false) => "For this plan it matters which line keeps its length, not how the graft lies:",
        (false, true) => "For this plan it matters how the graft lies:",
        (true, true) => "For this plan both matter:",
    }
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
