//! The tables of the anatomy: which columns a sheet has, and where each is kept in a case.
//!
//! Labels, units, ranges and help come from the field table; here stand only the heads of columns
//! and how a list opens into rows.

mod aorta;
mod dissection;
mod lumen;
mod pieces;
mod vessels;

pub use aorta::{BYPASSES, KEEP_CLEAR, LANDMARKS, LESION, VALVE, WALL};
pub use dissection::{TRUE_LUMEN, WAYS};
pub use lumen::LUMEN;
pub use pieces::{PLUGS, TUBES};
pub use vessels::{HANGING, OSTIA, VESSELS};

use super::table::{Row, Table};
use serde_json::Value;

/// What most tables are: a list of the anatomy under the table's name, an item a row, as many as the field
/// table allows and in the order in which they were entered.
const LIST: Table = Table {
    name: "",
    title: "",
    one: "",
    columns: &[],
    grows: true,
    most: usize::MAX,
    needs: &[],
    order: "",
    names: "",
    open: list,
    close: put,
};

/// Of what a case has one: a table of at most one row.
const ONE: Table = Table { most: 1, open: single, close: put_single, ..LIST };

/// Every table, in the order in which a sheet is usually entered.
pub static TABLES: &[&Table] = &[
    &LUMEN,
    &OSTIA,
    &VESSELS,
    &HANGING,
    &WALL,
    &KEEP_CLEAR,
    &VALVE,
    &LESION,
    &BYPASSES,
    &LANDMARKS,
    &TRUE_LUMEN,
    &WAYS,
    &PLUGS,
    &TUBES,
];

/// The table with a name.
pub fn named(name: &str) -> Option<&'static Table> {
    TABLES.iter().find(|table| table.name == name).copied()
}

/// The items of a list; what nobody knows is left out.
fn list(anatomy: &Value, name: &str) -> Vec<Row> {
    let items = anatomy.get(name).and_then(Value::as_array);
    let known = |item: &Value| {
        let mut row = item.as_object().cloned()?;
        row.retain(|_, value| !value.is_null());
        Some(row)
    };
    items.into_iter().flatten().filter_map(known).collect()
}

fn put(anatomy: &mut Value, name: &str, rows: Vec<Row>) {
    anatomy[name] = rows.into_iter().map(Value::Object).collect();
}

fn single(anatomy: &Value, name: &str) -> Vec<Row> {
    let mut row = anatomy.get(name).and_then(Value::as_object).cloned();
    row.iter_mut().for_each(|row| row.retain(|_, value| !value.is_null()));
    row.into_iter().collect()
}

fn put_single(anatomy: &mut Value, name: &str, rows: Vec<Row>) {
    anatomy[name] = rows.into_iter().next().map_or(Value::Null, Value::Object);
}
