//! The tunnel table: a column for each tunnel, so that like numbers stand side by side.
//!
//! Numbers are those of the possibility that is drawn; the verdict is that of the worst.

use super::Facts;
use super::sign::sign;
use crate::tree::{Element, Node, el};
use extrados::bridging::path::NoPath;
use extrados::bridging::stent::{Choice, Sized};
use extrados::casefile::case::Tunnel;
use extrados::message;
use extrados::placement::tunnel::{TunnelResult, TunnelState};
use extrados::quantity::Quantity;
use extrados::report::{names, words as report_words};
use extrados::rules::verdict::Word;
use extrados::units::{self, Angle};

/// A tunnel as entered, with its results where there are any.
struct Column<'a> {
    tunnel: &'a Tunnel,
    result: Option<&'a TunnelResult>,
}

/// The table, or why there is none.
pub fn tunnels(facts: &Facts<'_>) -> Vec<Node> {
    let columns = columns(facts);
    if columns.is_empty() {
        let none = "The graft has no tunnels, or there is no graft: choose one at the left.";
        let mut all: Vec<Node> = vec![el("h2").text("Tunnels").into(), el("p").class("note").text(none).into()];
        all.extend(drift(facts));
        return all;
    }
    let tied = facts.tied();
    let head = columns.iter().map(|column| {
        el("th")
            .with("scope", "col")
            .tie(&column.tunnel.id, tied)
            .with("tabindex", "0")
            .text(column.tunnel.serves.clone())
    });
    let row = |title: &str, note: &str, cell: &dyn Fn(&Column<'_>) -> Cell| {
        let note = (!note.is_empty()).then(|| el("small").text(note));
        let cells = columns.iter().map(|column| cell(column).element(&column.tunnel.id, tied));
        el("tr").child(el("th").with("scope", "row").text(title).children(note)).children(cells)
    };
    let table = el("table")
        .class("tunnels")
        .child(el("caption").class("for-readers").text("Tunnels against their ostia"))
        .child(el("thead").child(el("tr").child(el("td")).children(head)))
        .child(
            el("tbody")
                .child(row("Type", "", &|c| Cell::words(report_words::flow(c.tunnel.flow))))
                .child(row("Wired from", "", &wired_from))
                .child(row("Edge clearance", "along the wall at the ostium's clock", &clearance).class("chief"))
                .child(row("", "centre to centre, on the centreline", &centres).class("lesser"))
                .child(row("Clock error", "mouth less ostium; hours, wall", &clock_error).class("chief"))
                .child(row("Straight", "mouth to ostium", &|c| {
                    Cell::number(c.result.map(|r| &r.straight_mm), |v| report_words::mm(*v))
                }))
                .child(row("Bridging path", "mouth to vessel; least radius, turn", &path))
                .child(row("Stent to order", "length × width; next sizes", &|c| stent(facts, c)))
                .child(row("Verdict", "worst of its rules", &|c| verdict(facts, c.tunnel)).class("chief")),
        );
    let mut all: Vec<Node> = vec![table.into()];
    all.extend(reasons(facts, &columns));
    all.extend(drift(facts));
    all
}

fn columns<'a>(facts: &Facts<'a>) -> Vec<Column<'a>> {
    let drawn = facts.drawn;
    let grafts = facts.plan.case.components.iter().filter_map(|component| component.graft.as_deref());
    grafts
        .flat_map(|graft| &graft.tunnels)
        .map(|tunnel| Column {
            tunnel,
            result: facts.plan.tunnels.iter().find(|r| r.id == tunnel.id && Some(r.possibility) == drawn),
        })
        .collect()
}

/// What stands in a cell: words with lesser ones below, or a dotted question mark with the reason.
struct Cell {
    words: String,
    below: Vec<String>,
    why: Option<String>,
    class: &'static str,
    word: Option<Word>,
}

impl Cell {
    fn words(words: impl Into<String>) -> Cell {
        Cell { words: words.into(), below: Vec::new(), why: None, class: "", word: None }
    }

    fn unknown(why: impl Into<String>) -> Cell {
        Cell { why: Some(why.into()), ..Cell::words(report_words::UNKNOWN) }
    }

    fn number<T>(quantity: Option<&Quantity<T>>, say: impl Fn(&T) -> String) -> Cell {
        match quantity {
            None => Cell::unknown(message::NOT_PLACED),
            Some(quantity) => match (quantity.value(), quantity.why()) {
                (Some(value), _) => Cell::words(say(value)),
                (None, why) => Cell::unknown(why.unwrap_or_default()),
            },
        }
    }

    /// A turn: its size, and below it to which side.
    fn turn(angle: Angle) -> Cell {
        let mut cell = Cell::words(report_words::degrees(angle.abs()));
        let side = units::clock_side(angle);
        if !side.is_empty() {
            cell.below.push(side.into());
        }
        cell
    }

    fn element(self, id: &str, tied: Option<&str>) -> Element {
        let cell = el("td").class(self.class).tie(id, tied);
        let cell = match (self.why, self.word) {
            (Some(why), _) => cell.child(el("span").class("query").with("title", why).text(self.words)),
            (None, Some(word)) => cell.child(sign(word)).text(self.words),
            (None, None) => cell.text(self.words),
        };
        cell.children(self.below.into_iter().map(|words| el("small").text(words)))
    }
}

fn wired_from(column: &Column<'_>) -> Cell {
    match &column.tunnel.wired_from {
        Some(word) => Cell::words(names::shown("/components/*/graft/tunnels/*/wired_from", word)),
        None => Cell::unknown("Nobody entered from where it is wired."),
    }
}

fn clearance(column: &Column<'_>) -> Cell {
    let mut cell = Cell::number(column.result.map(|r| &r.edge_clearance_mm), |v| report_words::mm(*v));
    if column.result.is_some_and(|result| result.state == TunnelState::WrongSide) {
        cell.class = "wrong";
    }
    cell
}

fn centres(column: &Column<'_>) -> Cell {
    match column.result.and_then(|result| result.clearance_centreline_mm.value()) {
        Some(centres) => Cell::words(report_words::mm(*centres)),
        // Why it is unknown stands with the clearance above.
        None => Cell::words(report_words::UNKNOWN),
    }
}

/// Length of the path; below it the least radius beside the largest that any path could have.
fn path(column: &Column<'_>) -> Cell {
    let Some(path) = column.result.map(|result| &result.path) else { return Cell::unknown(message::NOT_PLACED) };
    let mut cell = Cell::number(Some(&path.length_mm), |v| report_words::mm(*v));
    if path.none == Some(NoPath::WouldLoop) {
        cell.words = "would loop".into();
    }
    if let (Some(least), Some(largest), Some(turn)) =
        (path.least_radius_mm.value(), path.largest_radius_mm.value(), path.turn.value())
    {
        cell.below.push(format!("radius {}", report_words::radius(*least)));
        cell.below.push(format!("at most {}", report_words::radius(*largest)));
        cell.below.push(format!("turns {}", report_words::degrees(*turn)));
    }
    cell
}

/// The stent over all ways the graft may lie.
fn stent(facts: &Facts<'_>, column: &Column<'_>) -> Cell {
    let Some(order) = column.result.and_then(|result| facts.plan.stent_of(result)) else {
        return Cell::unknown(message::NOT_PLACED);
    };
    let mut cell = Cell::words(report_words::stent_short(order));
    let next = |size: &Sized, what: &str| {
        let sizes: Vec<String> = size.down_mm.into_iter().chain(size.up_mm).map(report_words::size).collect();
        (!sizes.is_empty()).then(|| format!("{} {what}", sizes.join(", ")))
    };
    match &order.choice {
        Choice::One { length, diameter } => {
            cell.below.extend(next(length, "long"));
            cell.below.extend(next(diameter, "wide"));
        }
        Choice::Two { length_mm, diameter_mm } => {
            let one =
                |i: usize| format!("{} × {}", report_words::size(length_mm[i]), report_words::size(diameter_mm[i]));
            cell.words = one(0);
            cell.below.push(format!("overlaps {}", one(1)));
        }
        Choice::NoStock => cell.below.push("no stock".into()),
        Choice::None(why) | Choice::Unknown(why) => cell.why = Some(why.clone()),
    }
    cell
}

fn clock_error(column: &Column<'_>) -> Cell {
    let Some(result) = column.result else { return Cell::unknown(message::NOT_PLACED) };
    let (Some(angle), Some(wall)) = (result.clock_error.value(), result.clock_error_wall_mm.value()) else {
        return Cell::number(Some(&result.clock_error), |angle| report_words::degrees(angle.abs()));
    };
    let mut cell = Cell::turn(*angle);
    cell.below.push(format!("{}, {}", report_words::hours(*angle), report_words::mm(wall.abs())));
    cell
}

/// Twist drift, one number a vessel: `LSA 14° to the back-right`.
fn drift(facts: &Facts<'_>) -> Vec<Node> {
    let Ok(anatomy) = &facts.plan.anatomy else { return Vec::new() };
    let vessels = anatomy.ostia.iter().map(|ostium| {
        let turn = anatomy.drift(ostium.place.station_mm);
        let name = facts.name_of(&ostium.id);
        el("li").tie(&ostium.id, facts.tied()).with("tabindex", "0").child(el("span").text(format!("{name} "))).child(
            match turn {
                Some(angle) => el("b").text(report_words::turn(angle)),
                None => el("span").class("query").with("title", message::NO_PLANE).text(report_words::UNKNOWN),
            },
        )
    });
    let help = "How far a line carried along the graft without twist has turned on the clock since the first ostium.";
    vec![
        el("div")
            .class("drift")
            .child(el("h3").with("title", help).text("Twist drift"))
            .child(el("ul").children(vessels))
            .into(),
    ]
}

fn verdict(facts: &Facts<'_>, tunnel: &Tunnel) -> Cell {
    match facts.worst_of(&tunnel.id) {
        Some(word) => Cell { word: Some(word), ..Cell::words(word.as_str()) },
        None => Cell::words("no rule"),
    }
}

/// Why numbers are missing and what lies on the wrong side, each reason once with its vessels.
fn reasons(facts: &Facts<'_>, columns: &[Column<'_>]) -> Vec<Node> {
    let mut said: Vec<(String, Vec<&str>)> = Vec::new();
    for column in columns {
        let whys: Vec<String> = match column.result {
            None => vec![message::NOT_PLACED.into()],
            Some(result) => {
                // What lies on the wrong side has no path, and is said once.
                let path = result.path.length_mm.why().filter(|_| result.state != TunnelState::WrongSide);
                let stent = match facts.plan.stent_of(result).map(|order| &order.choice) {
                    Some(Choice::None(why) | Choice::Unknown(why)) if result.path.none.is_none() => Some(why.as_str()),
                    _ => None,
                };
                let whys =
                    [result.edge_clearance_mm.why(), result.clock_error.why(), result.straight_mm.why(), path, stent];
                let wrong =
                    (result.state == TunnelState::WrongSide).then(|| format!("{}.", report_words::state(result)));
                whys.into_iter().flatten().map(str::to_owned).chain(wrong).collect()
            }
        };
        for why in whys {
            let vessel = column.tunnel.serves.as_str();
            match said.iter_mut().find(|(known, _)| *known == why) {
                Some((_, vessels)) if !vessels.contains(&vessel) => vessels.push(vessel),
                Some(_) => {}
                None => said.push((why, vec![vessel])),
            }
        }
    }
    said.into_iter()
        .map(|(why, of)| el("p").class("note why").text(format!("{}: {why}", of.join(", "))).into())
        .collect()
}
