//! The release in words and marks, as page, report and sheet show it.

use super::chamber::Place;
use super::false_lumen::Remaining;
use super::flow::{FedBy, Feed, FeedState};
use super::orders::{Help, Order, Orders};
use super::over_room::{OverOrder, OverRoom};
use super::release::{self, BRAIN, Count, Release, StepResult};
use super::standing::vessel_of;
use super::surprise::{Shut, Surprise};
use crate::carm::{self, views::ViewResult};
use crate::casefile::case::{Case, Step, StepAction};
use crate::dissection;
use crate::quantity::Unknown;
use crate::room::plane::Move;
use crate::spoken::{clock, mm, placement, turn};
use crate::units::Angle;

/// One step as a sheet prints it.
#[derive(Clone, Debug, PartialEq)]
pub struct StepLine {
    /// Its number, from 1.
    pub number: usize,
    /// What is done: `Bridge t2 to the LCCA from the left carotid`.
    pub does: String,
    /// How far the graft is open, where it then lies, where the wire is; empty where none is said.
    pub state: String,
    /// Every vessel with how it is fed at the step's end, in the worst possibility.
    pub leaves: Vec<(String, String)>,
    /// The brain at its end: `3 of 4 neck vessels`.
    pub brain: String,
    /// What ends unfed that must not; empty where nothing does.
    pub breaks: String,
    /// Blood that it interrupts while it is done; empty where none.
    pub interrupts: String,
    /// Minutes, where they were entered.
    pub minutes: Option<f64>,
    /// Its C-arm view in words.
    pub view: Option<String>,
    /// Its stage.
    pub stage: Option<u32>,
}

/// The lines of a release.
pub fn lines(case: &Case, release: &Release, views: &[ViewResult]) -> Vec<StepLine> {
    release.steps.iter().map(|step| line(case, release, step, views)).collect()
}

fn line(case: &Case, release: &Release, result: &StepResult, views: &[ViewResult]) -> StepLine {
    let count = release::brain(case, &result.feeds);
    let broken = result.breaks(&release.dependants);
    let broken = broken.iter().map(|(own, state)| {
        let heart = if own.heart { " (a graft to the heart hangs on it)" } else { "" };
        format!("{}{heart} {}", own.vessel, ends(*state))
    });
    StepLine {
        number: result.number,
        does: does(case, &result.step),
        state: state(case, &result.step),
        leaves: vessels(result).into_iter().map(|id| (id.to_owned(), worst(result, id))).collect(),
        brain: brain(count),
        breaks: broken.collect::<Vec<_>>().join("; "),
        interrupts: result.interrupts.join(", "),
        minutes: result.step.minutes,
        view: carm::step_view(&result.step, views),
        stage: result.standing.stage,
    }
}

/// What a step leaves, in one line: `IA fed by its stent; LSA doubtful: through the space, 2.2 mm`.
pub fn leaves(line: &StepLine) -> String {
    line.leaves.iter().map(|(vessel, how)| format!("{vessel} {how}")).collect::<Vec<_>>().join("; ")
}

/// Vessels of a step, in the order of its table.
pub fn vessels(result: &StepResult) -> Vec<&str> {
    result.feeds.first().map_or(Vec::new(), |(_, feeds)| feeds.iter().map(|feed| feed.vessel.as_str()).collect())
}

fn ends(state: FeedState) -> &'static str {
    match state {
        FeedState::Fed => "is fed",
        FeedState::Doubtful => "is doubtful, which counts as not fed",
        FeedState::Unknown => "is not known, which counts as not fed",
        FeedState::Unfed => "is not fed",
    }
}

/// What a step does.
pub fn does(case: &Case, step: &Step) -> String {
    let on = step.on.as_deref().map(|on| named(case, on));
    let on = on.as_deref().unwrap_or("the graft");
    let mut text = match step.action {
        StepAction::Release => format!("Release {on}"),
        StepAction::Catheterise => format!("Catheterise {on}"),
        StepAction::Bridge => format!("Bridge {on}"),
        StepAction::Balloon => format!("Balloon {on}"),
        StepAction::Close => format!("Close {on}"),
        StepAction::RemoveWire => "Remove the wire".into(),
    };
    if let Some(from) = step.from_access.as_deref().filter(|from| !from.is_empty()) {
        text.push_str(&format!(" from {}", from.replace('_', " ")));
    }
    if let Some(sheath) = step.sheath_outer_mm {
        text.push_str(&format!(", sheath {}", mm(sheath)));
    }
    text
}

/// The same in the fewest words: `Catheterise LCCA (t2), left carotid, 3.7 mm`.
pub fn does_briefly(case: &Case, step: &Step) -> String {
    let bare = Step { from_access: None, sheath_outer_mm: None, ..step.clone() };
    let mut text = match step.on.as_deref().map(|on| (on, vessel_of(case, on))) {
        Some((on, Some(vessel))) if vessel != on => {
            does(case, &bare).replace(&named(case, on), &format!("{vessel} ({on})"))
        }
        _ => does(case, &bare).replace(" the ", " "),
    };
    let from = step.from_access.as_deref().filter(|from| !from.is_empty()).map(|from| from.replace('_', " "));
    let open = step.open_to_mm.map(|to| format!("open to {}", mm(to)));
    from.into_iter()
        .chain(step.sheath_outer_mm.map(mm))
        .chain(open)
        .for_each(|part| text.push_str(&format!(", {part}")));
    text
}

/// Something a step is done on: a tunnel with its vessel, a piece by its kind.
fn named(case: &Case, on: &str) -> String {
    if let Some(component) = case.components.iter().find(|c| c.id == on) {
        let kind = component.kind.as_str().replace('_', " ");
        return match &component.in_vessel {
            Some(vessel) => format!("the {kind} in the {vessel}"),
            None => format!("the {kind} ({on})"),
        };
    }
    match vessel_of(case, on) {
        Some(vessel) if vessel != on => format!("{on} to the {vessel}"),
        _ => format!("the {on}"),
    }
}

/// How far it is open, where it then lies, where the wire is.
fn state(case: &Case, step: &Step) -> String {
    let mut parts = Vec::new();
    if let Some(open) = step.open_to_mm {
        let rest =
            step.held_diameter_mm.map_or("the rest in its carrier".into(), |d| format!("the rest held to {}", mm(d)));
        parts.push(format!("open to {}, {rest}", mm(open)));
    }
    if let Some(there) = &step.placement {
        parts.push(placement(case, there));
    }
    match step.wire.as_deref() {
        Some("in") => parts.push("wire in".into()),
        Some("out") => parts.push("wire out".into()),
        _ => {}
    }
    parts.join("; ")
}

/// The mark of a state, which survives black and white.
pub fn mark(state: FeedState) -> &'static str {
    match state {
        FeedState::Fed => "●",
        FeedState::Doubtful => "◐",
        FeedState::Unknown => "?",
        FeedState::Unfed => "○",
    }
}

/// What a state is called.
pub fn state_word(state: FeedState) -> &'static str {
    match state {
        FeedState::Fed => "fed",
        FeedState::Doubtful => "doubtful",
        FeedState::Unknown => "not known",
        FeedState::Unfed => "not fed",
    }
}

/// By what, in a word or two.
fn by_word(by: FedBy) -> &'static str {
    match by {
        FedBy::Direct => "directly",
        FedBy::Space => "through the space",
        FedBy::Stent => "by its stent",
        FedBy::Bypass => "by a bypass",
        FedBy::None => "by nothing",
    }
}

/// A vessel's worst feed at a step's end, in a few words: `doubtful: through the space, 2.2 mm`.
pub fn worst(result: &StepResult, vessel: &str) -> String {
    result.worst(vessel).map_or_else(|| state_word(FeedState::Unknown).into(), short)
}

/// A feed in a few words.
pub fn short(feed: &Feed) -> String {
    let narrow = feed.narrowest_mm.map_or(String::new(), |(wide, _)| format!(", {}", mm(wide)));
    match feed.state {
        FeedState::Fed => format!("fed {}{narrow}", by_word(feed.by)),
        FeedState::Doubtful => format!("doubtful: {}{narrow}", by_word(feed.by)),
        FeedState::Unknown => "not known".into(),
        FeedState::Unfed => format!("not fed{narrow}"),
    }
}

/// A feed in a sentence, with where its way is narrowest.
pub fn long(case: &Case, feed: &Feed) -> String {
    let mut text = format!("{}: {}", feed.vessel, state_word(feed.state));
    if feed.by != FedBy::None {
        text.push_str(&format!(" {}", by_word(feed.by)));
    }
    if feed.by == FedBy::Bypass || feed.by == FedBy::Space {
        text.push_str(&format!(" ({})", feed.through.join(" → ")));
    }
    if let Some((wide, error)) = feed.narrowest_mm {
        text.push_str(&format!(", narrowest {} ± {}", mm(wide), mm(error)));
        if let Some(Place { station_mm, clock: at }) = feed.at {
            text.push_str(&format!(" at {}, {}", mm(station_mm), clock(case, at)));
        }
    }
    text.push('.');
    if let Some(why) = &feed.why {
        text.push_str(&format!(" {why}"));
    }
    text
}

/// The brain: `3 of 4 neck vessels`, with what is doubtful and what nobody said.
pub fn brain(count: Count) -> String {
    let mut text = format!("{} of {} neck vessels", count.fed, BRAIN.len());
    if count.doubtful > 0 {
        text.push_str(&format!(", {} doubtful", count.doubtful));
    }
    if count.of < BRAIN.len() {
        text.push_str(&format!(" ({} of them not said which vessel carries)", BRAIN.len() - count.of));
    }
    text
}

/// An order of vessels: `LCCA, then IA`.
pub fn order(order: &Order) -> String {
    match order.vessels.is_empty() {
        true => "as written".into(),
        false => order.vessels.join(", then "),
    }
}

/// What the orders come to, in sentences.
pub fn orders(release: &Release) -> Vec<String> {
    let Orders { drawn, all, too_many, helps } = &release.orders;
    if release.dependants.is_empty() {
        return vec![
            "No vessel is said to need blood at every step's end; enter what each needs, and mammary grafts.".into(),
        ];
    }
    let names: Vec<&str> = release.dependants.iter().map(|d| d.vessel.as_str()).collect();
    let names = names.join(" or ");
    let mut says = Vec::new();
    says.push(match (drawn.holds(), drawn.fed_from) {
        (true, _) => format!("As written no step ends with {names} unfed."),
        (false, Some(from)) => {
            format!("As written, {} not surely fed at every step's end until step {}.", lost(drawn), from + 1)
        }
        (false, None) => format!("As written, {} not surely fed at the end.", lost(drawn)),
    });
    let keep: Vec<&Order> = all.iter().filter(|order| order.holds()).collect();
    if keep.is_empty() {
        says.push(format!("No order of bridging keeps every step's end from leaving {names} unfed."));
        match all.first().and_then(|best| Some((best, best.fed_from?))) {
            Some((best, from)) => {
                says.push(format!("Soonest fed again: {} (from the {} step on).", order(best), ordinal(from + 1)))
            }
            None => says.push("No order of bridging ends with all of it fed.".into()),
        }
        if helps.is_empty() {
            says.push("Neither one bypass from a bridged vessel nor a tunnel of its own would mend that.".into());
        }
        says.extend(helps.iter().map(|(help, order)| self::help(help, order)));
    } else {
        let each: Vec<String> = keep.iter().map(|order| self::order(order)).collect();
        says.push(format!("Orders that keep it fed: {}.", each.join("; ")));
    }
    if *too_many {
        says.push("There are more orders than were tried.".into());
    }
    says
}

/// Where a room is not there to try orders in.
pub const NO_ROOM: &str = "Orders were tried where the graft is drawn alone: the placement forgives nothing, or what it forgives is not known.";

/// What the orders come to wherever in its room the graft lies, in sentences.
pub fn over_room(own: &OverRoom) -> Vec<String> {
    let OverRoom { of_others, apart, tried, none_at, orders, helps } = own;
    let name = |own: &OverOrder| order(&own.order);
    let (all, rest): (Vec<&OverOrder>, Vec<&OverOrder>) = orders.iter().partition(|own| own.holds_at == *tried);
    let best = rest.iter().take(MOST_ORDERS_SAID);
    let mut says = vec![format!(
        "Over the room{}, at {tried} placements ({} and {}° apart, and the ends of its four ways), each however the graft can lie:",
        if *of_others { " of the rules that are met somewhere" } else { "" },
        mm(apart.shift_mm),
        apart.turn_deg
    )];
    if !all.is_empty() {
        let names: Vec<String> = all.into_iter().map(name).collect();
        says.push(format!("At all of them these keep it fed: {}.", names.join("; ")));
    } else if *none_at < *tried {
        says.push("No order keeps it fed at all of them.".into());
    } else {
        says.push("No order keeps every step's end fed at any of them.".into());
    }
    says.extend(best.map(|own| {
        let count = match own.holds_at {
            0 => format!("keeps it fed at none, ends with all fed at {} of {tried}", own.ends_at),
            some => format!("keeps it fed at {some} of {tried}"),
        };
        let lost = own
            .fails
            .as_ref()
            .filter(|_| own.holds_at > 0)
            .map(|(at, vessel, state)| format!("; nearest loss {}: {vessel} {}", moved(*at), ends(*state)));
        format!("{}: {count}{}.", name(own), lost.unwrap_or_default())
    }));
    if *none_at > 0 {
        let at = if none_at == tried { tried.to_string() } else { format!("the {none_at} where no order does") };
        says.extend(helps.iter().map(|(help, count)| match help {
            Help::Bypass(from, to) => {
                format!("Surgery first, a bypass from {from} to {to}, helps at {count} of {at}.")
            }
            Help::Tunnel(vessel) => format!("A tunnel or opening for {vessel} helps at {count} of {at}."),
        }));
        if helps.is_empty() {
            says.push(
                "One bypass from a bridged vessel or a tunnel of its own would mend that at none of them.".into(),
            );
        }
    }
    says
}

/// Most orders that are said each by itself.
const MOST_ORDERS_SAID: usize = 3;

/// A move away from the drawn placement: `3.1 mm upstream, turned 10° to the front`.
fn moved(at: Move) -> String {
    let mut parts = Vec::new();
    if at.shift_mm != 0.0 {
        parts.push(format!("{} {}", mm(at.shift_mm.abs()), if at.shift_mm < 0.0 { "upstream" } else { "downstream" }));
    }
    if at.turn_deg != 0.0 {
        parts.push(format!("turned {}", turn(Angle::deg(at.turn_deg))));
    }
    if parts.is_empty() { "as drawn".into() } else { parts.join(", ") }
}

/// What an order does not keep fed: `LSA is`, `IA and LSA are`.
fn lost(order: &Order) -> String {
    let mut names: Vec<&str> = Vec::new();
    for (_, vessel, _) in &order.breaks {
        if !names.contains(&vessel.as_str()) {
            names.push(vessel);
        }
    }
    format!("{} {}", names.join(" and "), if names.len() == 1 { "is" } else { "are" })
}

fn help(help: &Help, order: &Order) -> String {
    let comes = match (order.holds(), order.fed_from) {
        (true, _) => format!("no step ends unfed ({})", self::order(order)),
        (false, Some(from)) => format!("it is fed from the {} step on ({})", ordinal(from + 1), self::order(order)),
        (false, None) => "it still ends unfed".into(),
    };
    match help {
        Help::Bypass(from, to) => format!("With surgery first, a bypass from {from} to {to}: {comes}."),
        Help::Tunnel(vessel) => format!("With a tunnel or opening for {vessel}, bridged first: {comes}."),
    }
}

fn ordinal(number: usize) -> String {
    match (number % 10, number % 100) {
        (1, n) if n != 11 => format!("{number}st"),
        (2, n) if n != 12 => format!("{number}nd"),
        (3, n) if n != 13 => format!("{number}rd"),
        _ => format!("{number}th"),
    }
}

/// What still feeds the false lumen at a step's end.
pub fn false_lumen(own: &Result<Remaining, Unknown>) -> String {
    match own {
        Ok([flows, on_purpose, unknown]) => dissection::words::remaining(flows, on_purpose, unknown),
        Err(Unknown(why)) => format!("not known: {why}"),
    }
}

/// What of a release must not be missed, in a line; nothing where all that must be stays fed.
pub fn warning(case: &Case, release: &Release) -> Option<String> {
    let drawn = &release.orders.drawn;
    let until = drawn.fed_from.map_or("at the end".into(), |from| format!("until step {}", from + 1));
    let heart = (!drawn.holds()).then(|| format!("{} not surely fed {until}", lost(drawn)));
    let brains = release.steps.iter().map(|step| (step.number, release::brain(case, &step.feeds)));
    let least = brains.min_by_key(|(_, count)| (count.fed, count.doubtful)).filter(|(_, count)| count.fed < count.of);
    let brain =
        least.map(|(step, Count { fed, of, .. })| format!("brain after step {step}: {fed} of {of} neck vessels"));
    let said: Vec<String> = heart.into_iter().chain(brain).collect();
    (!said.is_empty()).then(|| format!("Release: {}.", said.join("; ")))
}

/// Planned pauses: steps that interrupt blood or lower the output, with their minutes.
pub fn pauses(case: &Case, release: &Release) -> Vec<String> {
    let pause = |result: &StepResult| {
        let what = match result.step.action {
            StepAction::Release => "output lowered while it opens".to_owned(),
            _ if result.interrupts.is_empty() => return None,
            _ => format!("interrupts {}", result.interrupts.join(", ")),
        };
        let minutes = result.step.minutes.map_or("minutes not entered".into(), |m| format!("{m:.0} min"));
        Some(format!("Step {}, {}: {what}; {minutes}.", result.number, lower(&does(case, &result.step))))
    };
    release.steps.iter().filter_map(pause).collect()
}

fn lower(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map_or(String::new(), |first| first.to_lowercase().chain(letters).collect())
}

/// What a turn does that nobody planned, in sentences: which vessel shuts first to either side, and the
/// order that then helps. This is the fallback of the sheet.
pub fn surprise(surprise: &Surprise) -> Vec<String> {
    let fed = surprise.fed.join(", ");
    if surprise.fed.is_empty() {
        return vec![
            "As drawn no vessel is fed or doubtful before the first is bridged: a turn has none to lose.".into(),
        ];
    }
    if surprise.sides.iter().all(|side| side.shuts.is_empty()) {
        return vec![format!(
            "Turned up to 180° to either side nothing is lost that is fed or doubtful as drawn: {fed}."
        )];
    }
    let mut says = Vec::new();
    for side in &surprise.sides {
        let to = turn(Angle::deg(side.towards * 90.0));
        let to = to.split_once(" to ").map_or("either side", |(_, side)| side).to_owned();
        match side.shuts.first() {
            None => {
                says.push(format!("Turned up to 180° to {to} nothing is lost that is fed or doubtful as drawn: {fed}."))
            }
            Some(first) => {
                says.push(format!("Turned to {to}: {}.", shut(first)));
                says.extend(side.shuts.iter().skip(1).map(|next| format!("Further to {to}: {}.", shut(next))));
                says.push(fallback(side.fallback.as_ref()));
            }
        }
    }
    says
}

fn shut(shut: &Shut) -> String {
    let degrees = |deg: f64| format!("{deg:.0}°");
    match (shut.doubtful_from_deg, shut.unfed_from_deg) {
        (Some(a), Some(b)) if a < b => {
            format!("{} doubtful from {}, shut from {}", shut.vessel, degrees(a), degrees(b))
        }
        (_, Some(b)) => format!("{} shut from {}", shut.vessel, degrees(b)),
        (Some(a), None) => format!("{} doubtful from {}", shut.vessel, degrees(a)),
        (None, None) => format!("{} stays as drawn", shut.vessel),
    }
}

/// The order that helps best once something has shut.
pub fn fallback(best: Option<&Order>) -> String {
    match best {
        None => "There is nothing to bridge in another order.".into(),
        Some(best) => {
            let brain = format!("brain at least {} of {}", best.brain_least, BRAIN.len());
            match best.fed_from {
                _ if best.holds() => {
                    format!("Then bridge {}: heart and all that must be stay fed, {brain}.", order(best))
                }
                Some(from) => {
                    format!("Then bridge {}: fed again from the {} step on, {brain}.", order(best), ordinal(from + 1))
                }
                None => format!(
                    "Then no order of bridging feeds again all that must be; {} loses least, {brain}.",
                    order(best)
                ),
            }
        }
    }
}
