//! Which key does what: one table for the handler, and the words for the dialog that lists them.
//!
//! Knows no event; fields keep their own keys.

use crate::view::Stage;

/// A key as it was pressed.
#[derive(Clone, Copy, Debug, Default)]
pub struct Key<'a> {
    /// Its name as the browser gives it: `ArrowLeft`, `z`.
    pub name: &'a str,
    /// Whether Ctrl, or the command key of a Mac, is held.
    pub ctrl: bool,
    /// Whether Shift is held.
    pub shift: bool,
    /// Whether Alt is held.
    pub alt: bool,
}

/// Where the focus is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Focus {
    /// On the map.
    Map,
    /// On the chart of views.
    Chart,
    /// In a field that takes letters.
    Field,
    /// In such a field in which nothing was typed since it was last taken over.
    Untouched,
    /// Elsewhere.
    Elsewhere,
}

/// What a key does.
#[derive(Clone, Copy, Debug, PartialEq)]
#[allow(missing_docs)]
pub enum Does {
    Open,
    Save,
    Undo,
    Redo,
    Print,
    Help,
    /// Shows a stage, by its place in the row.
    Stage(usize),
    /// Gives up a drag, puts a message away.
    Escape,
    /// Swings the C-arm by degrees: primary, secondary.
    Swing([i16; 2]),
    /// Moves the graft.
    Nudge {
        along_mm: f64,
        around_deg: f64,
    },
}

/// What a key does where the focus is; `None` leaves it to the browser.
pub fn does(key: Key<'_>, focus: Focus) -> Option<Does> {
    if key.ctrl && !key.alt {
        let name = key.name.to_ascii_lowercase();
        return match (name.as_str(), key.shift) {
            ("o", false) => Some(Does::Open),
            ("s", false) => Some(Does::Save),
            ("p", false) => Some(Does::Print),
            // In a field these take back letters.
            _ if focus == Focus::Field => None,
            ("z", false) => Some(Does::Undo),
            ("y", false) | ("z", true) => Some(Does::Redo),
            _ => None,
        };
    }
    if key.ctrl {
        return None;
    }
    match key.name {
        "Escape" => Some(Does::Escape),
        "?" if !matches!(focus, Focus::Field | Focus::Untouched) => Some(Does::Help),
        _ if !matches!(focus, Focus::Field | Focus::Untouched) && !key.alt && key.name.len() == 1 => {
            key.name.parse().ok().and_then(stage)
        }
        _ if focus == Focus::Map => nudge(key),
        _ if focus == Focus::Chart => swing(key),
        _ => None,
    }
}

/// What a key does in a cell of a table.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[allow(missing_docs)]
pub enum InCell {
    Left,
    Right,
    Up,
    Down,
    /// To the next cell, row after row.
    Next,
    Previous,
    /// Taken over; on to the row below, or to a new row.
    Enter,
    /// Back to what stood there.
    Restore,
    /// The row goes.
    Remove,
}

/// What a key does in a cell, as in a spreadsheet. `caret`: whether it stands at the beginning and at
/// the end of the letters; in a list of words up and down choose.
pub fn in_cell(key: Key<'_>, caret: [bool; 2], list: bool) -> Option<InCell> {
    match (key.name, key.ctrl, key.alt, key.shift) {
        ("Delete" | "Backspace", true, false, false) => Some(InCell::Remove),
        (_, true, ..) | (_, _, true, _) => None,
        ("Tab", _, _, false) => Some(InCell::Next),
        ("Tab", _, _, true) => Some(InCell::Previous),
        ("Enter", ..) => Some(InCell::Enter),
        ("Escape", ..) => Some(InCell::Restore),
        (_, _, _, true) => None,
        ("ArrowUp", ..) if !list => Some(InCell::Up),
        ("ArrowDown", ..) if !list => Some(InCell::Down),
        ("ArrowLeft", ..) if caret[0] => Some(InCell::Left),
        ("ArrowRight", ..) if caret[1] => Some(InCell::Right),
        _ => None,
    }
}

fn stage(digit: usize) -> Option<Does> {
    let place = digit.checked_sub(1)?;
    Stage::ALL.get(place).map(|_| Does::Stage(place))
}

/// Right is LAO, up is cranial, as on the chart.
fn swing(key: Key<'_>) -> Option<Does> {
    let step = if key.shift { 5 } else { 1 };
    Some(Does::Swing(match key.name {
        "ArrowLeft" => [-step, 0],
        "ArrowRight" => [step, 0],
        "ArrowUp" => [0, step],
        "ArrowDown" => [0, -step],
        _ => return None,
    }))
}

/// Right is downstream; down is towards the front-left, as on the map.
fn nudge(key: Key<'_>) -> Option<Does> {
    let step = match (key.shift, key.alt) {
        (true, _) => 5.0,
        (_, true) => 0.1,
        _ => 1.0,
    };
    let (along_mm, around_deg) = match key.name {
        "ArrowLeft" => (-step, 0.0),
        "ArrowRight" => (step, 0.0),
        "ArrowUp" => (0.0, -step),
        "ArrowDown" => (0.0, step),
        // Half an hour of the clock.
        "PageUp" => (0.0, -15.0),
        "PageDown" => (0.0, 15.0),
        _ => return None,
    };
    Some(Does::Nudge { along_mm, around_deg })
}

/// Key and what it does, in words, for the dialog.
pub const LIST: &[(&str, &str)] = &[
    ("← →", "graft 1 mm upstream or downstream"),
    ("↑ ↓", "graft 1° to the back or to the front"),
    ("Shift + arrow", "5 mm or 5°"),
    ("Alt + arrow", "0.1 mm or 0.1°"),
    ("Page up, Page down", "15°, half an hour, to the back or to the front"),
    ("arrows on the C-arm chart", "view 1°, with Shift 5°"),
    ("Shift while dragging", "along the aorta only, or around only"),
    ("Tab, Enter, arrows", "in a table: from cell to cell; what was typed is taken over"),
    ("Ctrl + Delete", "in a table: remove the row"),
    ("Esc", "give up a drag, put back what stood in a cell, put a message away"),
    ("Ctrl + O", "open a file"),
    ("Ctrl + S", "save the case as a file"),
    ("Ctrl + Z, Ctrl + Y", "undo, redo"),
    ("Ctrl + P", "print the sheet"),
    ("1, 2, 3 …", "what the middle shows"),
    ("?", "this list"),
];

#[cfg(test)]
mod tests {
    use super::*;

    fn press(name: &str, focus: Focus) -> Option<Does> {
        does(Key { name, ..Key::default() }, focus)
    }

    #[test]
    fn every_key_of_the_map_moves_one_thing() {
        let markup = include_str!("../../../www/index.html");
        let read_out = markup.split_once("aria-keyshortcuts=\"").and_then(|(_, rest)| rest.split_once('"'));
        let read_out: Vec<&str> = read_out.expect("the map says its keys").0.split(' ').collect();
        for (name, along_mm, around_deg) in [
            ("ArrowLeft", -1.0, 0.0),
            ("ArrowRight", 1.0, 0.0),
            ("ArrowUp", 0.0, -1.0),
            ("ArrowDown", 0.0, 1.0),
            ("PageUp", 0.0, -15.0),
            ("PageDown", 0.0, 15.0),
        ] {
            assert_eq!(press(name, Focus::Map), Some(Does::Nudge { along_mm, around_deg }), "{name}");
            assert_eq!(press(name, Focus::Field), None, "{name} in a field is the field's");
            assert_eq!(press(name, Focus::Elsewhere), None, "{name} elsewhere scrolls");
            assert!(read_out.contains(&name), "{name} is read out with the map");
        }
    }

    #[test]
    fn shift_makes_five_and_alt_a_tenth() {
        let shifted = does(Key { name: "ArrowLeft", shift: true, ..Key::default() }, Focus::Map);
        let fine = does(Key { name: "ArrowDown", alt: true, ..Key::default() }, Focus::Map);
        assert_eq!(shifted, Some(Does::Nudge { along_mm: -5.0, around_deg: 0.0 }));
        assert_eq!(fine, Some(Does::Nudge { along_mm: 0.0, around_deg: 0.1 }));
    }

    #[test]
    fn a_table_takes_the_keys_of_a_spreadsheet() {
        let press = |name, shift, ctrl| in_cell(Key { name, shift, ctrl, alt: false }, [false, true], false);
        assert_eq!(press("Tab", false, false), Some(InCell::Next));
        assert_eq!(press("Tab", true, false), Some(InCell::Previous));
        assert_eq!(press("ArrowRight", false, false), Some(InCell::Right), "at the end of the letters");
        assert_eq!(press("ArrowLeft", false, false), None, "within the letters");
        assert_eq!(press("Delete", false, true), Some(InCell::Remove));
        assert_eq!(press("Delete", false, false), None);
        let list = in_cell(Key { name: "ArrowDown", ..Key::default() }, [true, true], true);
        assert_eq!(list, None, "in a list it chooses");
        assert_eq!(does(Key { name: "z", ctrl: true, ..Key::default() }, Focus::Untouched), Some(Does::Undo));
        assert_eq!(does(Key { name: "2", ..Key::default() }, Focus::Untouched), None);
    }

    #[test]
    fn fields_keep_their_undo_and_their_letters() {
        let ctrl = |name, focus| does(Key { name, ctrl: true, ..Key::default() }, focus);
        assert_eq!(ctrl("z", Focus::Map), Some(Does::Undo));
        assert_eq!(ctrl("Z", Focus::Elsewhere), Some(Does::Undo));
        assert_eq!(ctrl("z", Focus::Field), None);
        assert_eq!(ctrl("s", Focus::Field), Some(Does::Save));
        assert_eq!(press("?", Focus::Field), None);
        assert_eq!(press("?", Focus::Elsewhere), Some(Does::Help));
        let redo = does(Key { name: "Z", ctrl: true, shift: true, ..Key::default() }, Focus::Map);
        assert_eq!(redo, Some(Does::Redo));
        assert_eq!(ctrl("r", Focus::Map), None, "what is not ours is the browser's");
    }
}
