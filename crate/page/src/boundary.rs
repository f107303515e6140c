//! The scripting interface: `window.extrados.report(case)`.
//!
//! A case goes in as text or as an object and is checked as strictly as a file: objects go through
//! JSON text, so unknown keys and NaN are caught. The report comes out as a plain object; numbers
//! that are not known are `null` with the reason beside them. Typed in `www/extrados.d.ts`.

use extrados::casefile::Document;
use extrados::fault::{Fault, Faults};
use extrados::plan::Plan;
use extrados::report::build;
use js_sys::{Error, JSON, Object, Reflect};
use serde::Serialize;
use wasm_bindgen::{JsCast, JsValue};

/// The report of a case.
///
/// # Errors
/// A JavaScript `Error` with the faults under `faults`, each `{code, where, text, mend}`.
pub fn report(case: &JsValue) -> Result<JsValue, JsValue> {
    let text = text(case).map_err(|fault| thrown(&fault.into()))?;
    let document = Document::read(text.as_bytes()).map_err(|faults| thrown(&faults))?;
    let plan = Plan::new(document.case);
    plain(&build::whole(&plan, &document.sha256))
}

/// The report of a case's text as JSON.
///
/// # Errors
/// As [`report`].
pub fn report_text(case: &str) -> Result<String, JsValue> {
    let report = report(&JsValue::from_str(case))?;
    JSON::stringify_with_replacer_and_space(&report, &JsValue::NULL, &JsValue::from_f64(1.0))
        .map(|text| text.as_string().unwrap_or_default())
}

/// The text of a case; an object becomes the JSON it would be written as.
fn text(case: &JsValue) -> Result<String, Fault> {
    if let Some(text) = case.as_string() {
        return Ok(text);
    }
    let no_json = |text: &str, mend: &str| Fault::new("not_a_case", "", text, mend);
    if !case.is_object() {
        return Err(no_json(
            "This is neither an object nor a text.",
            "Give a case as an object or as the text of its file.",
        ));
    }
    if let Some(place) = not_finite(case, "", 0) {
        // JSON would write it as null, which means that nobody knows it.
        return Err(Fault::new(
            "not_finite",
            place,
            "This number is not finite.",
            "Give a number, or null where nobody knows it.",
        ));
    }
    JSON::stringify(case)
        .ok()
        .and_then(|text| text.as_string())
        .ok_or_else(|| no_json("This object cannot be written as JSON.", "Give plain data: no functions, no circles."))
}

/// Where a number inside is NaN or infinite, as a JSON pointer.
fn not_finite(value: &JsValue, place: &str, depth: usize) -> Option<String> {
    // Deeper than any case; a circle ends here and is refused by JSON itself.
    if depth > 64 {
        return None;
    }
    if let Some(number) = value.as_f64() {
        return (!number.is_finite()).then(|| place.to_owned());
    }
    let object = value.dyn_ref::<Object>()?;
    Object::entries(object).iter().find_map(|entry| {
        let entry: js_sys::Array = entry.dyn_into().ok()?;
        let key = entry.get(0).as_string()?.replace('~', "~0").replace('/', "~1");
        not_finite(&entry.get(1), &format!("{place}/{key}"), depth + 1)
    })
}

/// Plain data as a JavaScript value: maps as objects, what is unknown as `null`.
fn plain(value: &impl Serialize) -> Result<JsValue, JsValue> {
    let writer = serde_wasm_bindgen::Serializer::new().serialize_maps_as_objects(true).serialize_missing_as_null(true);
    value.serialize(&writer).map_err(|fault| Error::new(&fault.to_string()).into())
}

/// Faults as an error that can be thrown: their sentences as its message, themselves under `faults`.
fn thrown(faults: &Faults) -> JsValue {
    let error = Error::new(&faults.to_string());
    error.set_name("ExtradosFault");
    if let Ok(list) = plain(&faults.faults) {
        // Setting a key of a fresh error does not fail.
        let _ = Reflect::set(&error, &"faults".into(), &list);
    }
    error.into()
}
