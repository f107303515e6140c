//! Keys, letters and pastes in the cells of tables, as in a spreadsheet.
//!
//! What was typed is taken over when a cell is left by any key, and the tables are drawn at once, so
//! that the next key finds the next cell however fast it comes.

use crate::action::Action;
use crate::app::{self, App};
use crate::cells::At;
use crate::host;
use crate::keys::{self, InCell, Key};
use crate::panels::stage_measurements;
use wasm_bindgen::JsCast;
use web_sys::{ClipboardEvent, Element, Event, HtmlInputElement, HtmlSelectElement, KeyboardEvent};

/// The cell that an element is.
fn cell(element: &Element) -> Option<At> {
    At::read(&element.get_attribute("data-cell")?)
}

fn letters(element: &Element) -> Option<String> {
    match (element.dyn_ref::<HtmlInputElement>(), element.dyn_ref::<HtmlSelectElement>()) {
        (Some(input), _) => Some(input.value()),
        (None, Some(select)) => Some(select.value()),
        (None, None) => None,
    }
}

/// Whether a cell shows something else than it was drawn with. A number is drawn with fewer digits
/// than the case has, so one that was not touched must not be taken over.
fn touched(element: &Element, letters: &str) -> bool {
    let drawn = element.get_attribute("value").unwrap_or_default();
    letters != drawn
}

/// A cell was left after something was typed, or a word was chosen in it.
pub fn changed(element: &Element, address: &str) {
    let (Some(at), Some(letters)) = (At::read(address), letters(element)) else { return };
    if touched(element, &letters) {
        write(element, at, letters);
    }
}

/// Takes over what stands in a cell; gives where its row stands then.
fn write(element: &Element, at: At, letters: String) -> usize {
    // The field goes on from what was drawn last; the draw that follows shows what was taken over.
    if let Some(input) = element.dyn_ref::<HtmlInputElement>() {
        input.set_value(&input.default_value());
    }
    app::with(|app| app.write_cell(at, letters)).unwrap_or(at.row)
}

/// A key in a cell; says whether it was one of the table's.
pub fn key(event: &KeyboardEvent, target: &Element) -> bool {
    let (Some(at), Some(now)) = (cell(target), letters(target)) else { return false };
    let input = target.dyn_ref::<HtmlInputElement>();
    let name = event.key();
    let key =
        Key { name: &name, ctrl: event.ctrl_key() || event.meta_key(), shift: event.shift_key(), alt: event.alt_key() };
    let Some(does) = keys::in_cell(key, caret(input, &now), input.is_none()) else { return false };
    let taken = match does {
        InCell::Restore => restore(input, &at, &now),
        InCell::Remove => {
            app::run(|app| {
                app.act(Action::RemoveRow(at));
                app.show_tables();
            });
            host::focus(&at.id());
            true
        }
        _ => {
            let fresh = target.closest(".blank, .begun").ok().flatten().is_some();
            let row = if touched(target, &now) { write(target, at, now) } else { at.row };
            go(does, &at, row, fresh)
        }
    };
    if taken {
        event.prevent_default();
    }
    taken
}

/// Whether the caret stands at the beginning and at the end of the letters; a selection of all of them
/// counts as both, since the next letter replaces it.
fn caret(input: Option<&HtmlInputElement>, letters: &str) -> [bool; 2] {
    let Some(input) = input else { return [true, true] };
    let length = letters.encode_utf16().count() as u32;
    let place = |side: Result<Option<u32>, _>| side.ok().flatten().unwrap_or(0);
    let (start, end): (u32, u32) = (place(input.selection_start()), place(input.selection_end()));
    let whole = start == 0 && end == length;
    [whole || (start, end) == (0, 0), whole || (start, end) == (length, length)]
}

/// Moves on from a cell whose row stands at `row` now; says whether there is a cell to go to.
fn go(does: InCell, at: &At, row: usize, fresh: bool) -> bool {
    let last = at.table.columns.len() - 1;
    let (column, next) = (at.column, at.row + 1);
    let target = match does {
        InCell::Left => column.checked_sub(1).map(|column| (row, column)),
        InCell::Right => (column < last).then_some((row, column + 1)),
        InCell::Up => at.row.checked_sub(1).map(|row| (row, column)),
        InCell::Down => Some((next, column)),
        InCell::Next if column < last => Some((row, column + 1)),
        InCell::Next => Some((next, 0)),
        InCell::Previous if column > 0 => Some((row, column - 1)),
        InCell::Previous => at.row.checked_sub(1).map(|row| (row, last)),
        // A row that was begun is done with: on to the next new one.
        InCell::Enter => Some((next, if fresh { 0 } else { column })),
        InCell::Restore | InCell::Remove => None,
    };
    let found = target.is_some_and(|(row, column)| {
        let id = At { row, column, ..*at }.id();
        // An empty row is passed by Tab from its first cell.
        let passed = does == InCell::Next && column > 0 && is_blank(&id);
        !passed && host::focus(&id)
    });
    // Tab leaves the table where it ends; other keys stay.
    found || !matches!(does, InCell::Next | InCell::Previous)
}

fn is_blank(id: &str) -> bool {
    let cell = host::document().ok().and_then(|document| document.get_element_by_id(id));
    cell.is_some_and(|cell| cell.get_attribute("tabindex").as_deref() == Some("-1"))
}

/// Puts back what stood in a cell; says whether there was anything to put back.
fn restore(input: Option<&HtmlInputElement>, at: &At, now: &str) -> bool {
    let Some(input) = input else { return false };
    if now != input.default_value() {
        input.set_value(&input.default_value());
        input.select();
        return true;
    }
    let address = at.address();
    app::with(|app| {
        let waits = app.store().state().refused_at(&address).is_some();
        if waits {
            app.act(Action::Forget(address));
            app.show_tables();
        }
        waits
    }) == Some(true)
}

/// A block of cells is pasted into a table; one cell alone is the browser's.
pub fn paste(event: &ClipboardEvent) {
    let target = event.target().and_then(|target| target.dyn_into::<Element>().ok());
    let Some(at) = target.and_then(|target| cell(&target)) else { return };
    let Some(text) = event.clipboard_data().and_then(|data| data.get_data("text/plain").ok()) else { return };
    if !text.trim_end_matches(['\r', '\n']).contains(['\t', '\n']) {
        return;
    }
    event.prevent_default();
    app::run(|app: &mut App| {
        app.act(Action::Paste(at, text));
        app.show_tables();
        if app.store().state().entry_waits() {
            app.focus(stage_measurements::FAULTS);
        }
    });
}

/// Marks a cell that was come to and not yet clicked or typed in.
const COME: &str = "data-come";

/// A cell that is come to is selected whole, so that typing replaces it.
pub fn focused(event: &Event) {
    let target = event.target().and_then(|target| target.dyn_into::<HtmlInputElement>().ok());
    if let Some(input) = target.filter(|input| input.has_attribute("data-cell")) {
        input.select();
        let _ = input.set_attribute(COME, "");
    }
}

/// The click that came to a cell has set a caret in it: it is selected whole again. A second click sets
/// the caret where it points.
pub fn clicked(event: &Event) {
    let target = event.target().and_then(|target| target.dyn_into::<HtmlInputElement>().ok());
    if let Some(input) = target.filter(|input| input.has_attribute(COME)) {
        let _ = input.remove_attribute(COME);
        input.select();
    }
}
