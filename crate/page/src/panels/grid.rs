//! A table of the anatomy as the page shows it: rows of the case, rows that are begun, an empty one.
//!
//! Every cell comes from the field table; its address says what it writes. Faults stand under the
//! table, and each cell names its own. Knows no key and no event.

use super::Facts;
use crate::cells::{At, Begun};
use crate::tree::{Element, el};
use extrados::casefile::Case;
use extrados::casefile::shape::{Field, Shape, Word};
use extrados::entry::table::{CellFault, Row, Table};
use extrados::quantity::Unknown;
use extrados::units::{self, Angle};
use serde_json::Value;

/// What a table is made from beside its facts.
pub struct Open<'a> {
    /// The lists of the case, from which rows are opened.
    pub lists: &'a Value,
    /// Edges of an ostium, where they are known for this very state.
    pub edges: &'a EdgesOf<'a>,
}

/// Stations of both edges of an ostium by its id, where they are known for this very state.
pub type EdgesOf<'a> = dyn Fn(&str) -> Option<Result<(f64, f64), Unknown>> + 'a;

/// Something wrong with a cell, as it is listed at the top.
#[derive(Clone, Debug, PartialEq)]
pub struct Listed {
    /// Id of the cell.
    pub id: String,
    /// Where, and what is wrong.
    pub text: String,
}

/// A table with its title.
pub fn table(facts: &Facts<'_>, open: &Open<'_>, table: &'static Table) -> Element {
    let case = &facts.state.now.case;
    let rows = table.rows(open.lists);
    let begun = facts.state.now.drafts.get(table.name).map_or(&[][..], Vec::as_slice);
    let mut faults = Vec::new();
    let mut body: Vec<Element> = Vec::new();
    for (place, row) in rows.iter().enumerate() {
        body.push(of_case(facts, open, table, place, row, &mut faults));
    }
    for (k, begun) in begun.iter().enumerate() {
        body.push(of_begun(case, table, rows.len() + k, begun, &mut faults));
    }
    if table.grows && rows.len() + begun.len() < table.most {
        let place = rows.len() + begun.len();
        let cells = (0..table.columns.len()).map(|column| {
            let at = At { table, row: place, column };
            let cell = input(&at, String::new(), &format!("new {}", table.one), None);
            // An empty row is one stop of the Tab key: from its first cell it is begun or passed.
            el("td").child(if column == 0 { cell } else { cell.with("tabindex", "-1") })
        });
        body.push(el("tr").class("blank").children(cells).child(el("td")));
    }
    let heads = table.columns.iter().map(head);
    let grid = el("table")
        .class("grid")
        .child(el("thead").child(el("tr").children(heads).child(el("td"))))
        .child(el("tbody").children(body));
    el("section")
        .class("sheet-table")
        .with("id", format!("section-{}", table.name))
        .child(el("h3").with("id", format!("table-{}", table.name)).text(table.title))
        .child(el("div").class("wide").child(grid.with("aria-labelledby", format!("table-{}", table.name))))
        .children(faults)
}

fn head(column: &extrados::entry::table::Column) -> Element {
    let unit = match column.field().map(|field| &field.shape) {
        Some(Shape::Number(range)) if range.unit == "mm" => Some(el("small").text(" mm")),
        _ => None,
    };
    let help = column.field().map(|field| field.help);
    el("th").with("scope", "col").with_some("title", help).text(column.head).children(unit)
}

/// What a row is called when it is read out.
fn name(table: &Table, row: Option<&Row>, place: usize) -> String {
    let words = |value: &Value| match value {
        Value::String(text) => text.clone(),
        Value::Array(items) => items.iter().filter_map(Value::as_str).collect::<Vec<_>>().join(", "),
        other => other.to_string(),
    };
    let known = ["vessels", "id", "station_mm"].into_iter().filter(|key| table.column(key).is_some() || *key == "id");
    let known = known.filter(|key| *key != "id" || table.names.is_empty());
    match row.and_then(|row| known.filter_map(|key| row.get(key)).map(words).next()) {
        Some(name) => format!("{} {name}", table.one),
        None => format!("{} {}", table.one, place + 1),
    }
}

/// A row of the case.
fn of_case(
    facts: &Facts<'_>,
    open: &Open<'_>,
    table: &'static Table,
    place: usize,
    row: &Row,
    faults: &mut Vec<Element>,
) -> Element {
    let hand = facts.state.now.case.clock.three_oclock_is;
    let called = name(table, Some(row), place);
    let id = row.get("id").and_then(Value::as_str);
    let cells: Vec<Element> = (0..table.columns.len())
        .map(|column| {
            let at = At { table, row: place, column };
            let refused = facts.state.refused_at(&at.address());
            let letters = match (refused, table.columns[column].edge) {
                (Some(refused), _) => refused.typed.clone(),
                (None, None) => short(table.letters(row, column, hand)),
                (None, Some(_)) => edge(open, id, table.columns[column].key),
            };
            let fault = refused.map(|refused| refused.fault.as_str());
            if let Some(text) = fault {
                faults.push(said(&at, text, false));
            }
            let side = side(facts, row, table.columns[column].key);
            el("td").child(input(&at, letters, &called, fault)).children(side)
        })
        .collect();
    let contour = row.get("radii_mm").and_then(Value::as_array);
    let contour = contour.map(|radii| el("small").text(format!("contour of {} radii", radii.len())));
    let remove = table.grows.then(|| remove(&At { table, row: place, column: 0 }, &called));
    let tr = el("tr").children(cells).child(el("td").children(contour).children(remove));
    match id {
        Some(id) => tr.tie(id, facts.tied()),
        None => tr,
    }
}

/// The station of an edge, where it is known.
fn edge(open: &Open<'_>, id: Option<&str>, key: &str) -> String {
    let edges = id.and_then(|id| (open.edges)(id)).and_then(Result::ok);
    edges.map(|(up, down)| format!("{:.1}", if key == "upstream_mm" { up } else { down })).unwrap_or_default()
}

/// On which side a clock lies, in words.
fn side(facts: &Facts<'_>, row: &Row, key: &str) -> Option<Element> {
    let stored = Some(row.get(key)?).filter(|_| key.ends_with("clock_deg"))?.as_f64()?;
    let known = facts.state.now.case.clock.three_oclock_is.is_some();
    Some(el("small").text(if known { units::clock_side(Angle::deg(stored)) } else { "side unknown" }))
}

/// A row that is begun.
fn of_begun(case: &Case, table: &'static Table, place: usize, begun: &Begun, faults: &mut Vec<Element>) -> Element {
    let called = format!("{} {}, begun", table.one, place + 1);
    let own = begun.faults(table, case);
    let cells: Vec<Element> = (0..table.columns.len())
        .map(|column| {
            let at = At { table, row: place, column };
            let letters = begun.cells.get(column).cloned().unwrap_or_default();
            let fault = own.iter().find(|fault| fault.column == column && !fault.missing);
            el("td").child(input(&at, letters, &called, fault.map(|fault| fault.text.as_str())))
        })
        .collect();
    for CellFault { column, text, missing } in own {
        faults.push(said(&At { table, row: place, column }, &format!("Row {}: {text}", place + 1), missing));
    }
    let remove = remove(&At { table, row: place, column: 0 }, &called);
    el("tr").class("begun").children(cells).child(el("td").child(remove))
}

fn remove(at: &At, called: &str) -> Element {
    el("button")
        .with("type", "button")
        .class("remove")
        .with("tabindex", "-1")
        .with("data-do", format!("remove:{}", at.address()))
        .with("aria-label", format!("Remove {called}"))
        .with("title", "Remove this row (Ctrl + Delete in one of its cells)")
        .text("×")
}

/// What is wrong with a cell, or missing beside it.
fn said(at: &At, text: &str, missing: bool) -> Element {
    let said = el("p").class(if missing { "note begun" } else { "fault" }).text(text);
    if missing { said } else { said.with("id", format!("{}-fault", at.id())) }
}

/// The field of a cell.
fn input(at: &At, letters: String, called: &str, fault: Option<&str>) -> Element {
    let column = &at.table.columns[at.column];
    let Some(field) = column.field() else { return el("span") };
    let options: Option<Vec<&'static str>> = match &field.shape {
        Shape::Choice(words) => Some(words.iter().map(|word: &Word| word.shown).collect()),
        Shape::Flag => Some(vec!["yes", "no"]),
        _ => None,
    };
    let numbers = matches!(field.shape, Shape::Number(_) | Shape::Whole { .. });
    let cell = match options {
        Some(words) => {
            let word = |word: &'static str| el("option").with("value", word).text(word);
            el("select").child(el("option").with("value", "")).children(words.into_iter().map(word))
        }
        None => el("input")
            .with("autocomplete", "off")
            .with("spellcheck", "false")
            .class(if numbers { "number" } else { "letters" })
            .with_some("inputmode", numbers.then_some("decimal")),
    };
    cell.with("id", at.id())
        .with("data-cell", at.address())
        .with("aria-label", format!("{}, {called}", field.label))
        .with("title", help(field))
        .with_some("aria-invalid", fault.map(|_| "true"))
        .with_some("aria-describedby", fault.map(|_| format!("{}-fault", at.id())))
        .with("value", letters)
}

/// The help of a field in one line, with its words where there is a list of them.
pub fn help(field: &Field) -> String {
    let words = match &field.shape {
        Shape::Suggested(words) | Shape::List { of: Shape::Choice(words), .. } => {
            let list: Vec<&str> = words.iter().map(|word| word.shown).collect();
            format!(" Words: {}.", list.join(", "))
        }
        Shape::Number(range) if range.comes_round && field.name.ends_with("clock_deg") => {
            " Hours as 12:30, or degrees as 15°.".to_owned()
        }
        Shape::Number(range) => format!(" {}.", range.words()),
        _ => String::new(),
    };
    format!("{}: {}{words}", field.label, field.help)
}

/// A number in a cell with at most three decimals: a micrometre; the case keeps all its digits.
fn short(letters: String) -> String {
    match letters.split_once('.') {
        Some((_, decimals)) if decimals.len() > 3 => match letters.parse::<f64>() {
            Ok(number) => {
                let rounded = format!("{number:.3}");
                rounded.trim_end_matches('0').trim_end_matches('.').to_owned()
            }
            Err(_) => letters,
        },
        _ => letters,
    }
}

/// Everything that was typed into the tables and does not fit, in their order.
pub fn listed(facts: &Facts<'_>) -> Vec<Listed> {
    let state = facts.state;
    let mut all = Vec::new();
    for table in extrados::entry::tables::TABLES {
        let place = |at: &At| format!("{}, row {}: ", table.title, at.row + 1);
        for refused in &state.refused {
            if let Some(at) = At::read(&refused.pointer).filter(|at| at.table.name == table.name) {
                all.push(Listed { id: at.id(), text: place(&at) + &refused.fault });
            }
        }
        let begun = state.now.drafts.get(table.name).map_or(&[][..], Vec::as_slice);
        if begun.is_empty() {
            continue;
        }
        let count = table.rows(&extrados::entry::table::lists(&state.now.case)).len();
        for (k, begun) in begun.iter().enumerate() {
            for fault in begun.faults(table, &state.now.case) {
                let at = At { table, row: count + k, column: fault.column };
                all.push(Listed { id: at.id(), text: place(&at) + &fault.text });
            }
        }
    }
    all
}
