//! The numbers and words of every demo case that all engines must agree on. The native tests and the
//! tests in a browser share this file.

use extrados::casefile::Document;
use extrados::plan::Plan;
use extrados::report::build::report;
use serde_json::{Map, Value};

/// Engines may differ by this, mm and degrees.
const ENGINES: f64 = 1e-6;

const CASES: [(&str, &str); 4] = [
    ("plain-arch", include_str!("../../../../demo-data/plain-arch.json")),
    ("steep-arch", include_str!("../../../../demo-data/steep-arch.json")),
    ("dissection", include_str!("../../../../demo-data/dissection.json")),
    ("common-trunk", include_str!("../../../../demo-data/common-trunk.json")),
];

/// The report of every demo case without its list of stations, which would only repeat the curve.
pub fn all() -> Value {
    let mut reports = Map::new();
    for (name, text) in CASES {
        let document = Document::read(text.as_bytes()).unwrap();
        let plan = Plan::new(document.case.clone());
        let mut value = serde_json::to_value(report(&plan, &document.sha256)).unwrap();
        if let Some(object) = value.as_object_mut() {
            object.remove("stations");
            object.remove("program");
        }
        reports.insert(name.into(), value);
    }
    Value::Object(reports)
}

/// Equal words, numbers within 1e-6.
pub fn compare(here: &Value, native: &Value) {
    walk("", here, native);
}

fn walk(place: &str, here: &Value, native: &Value) {
    match (here, native) {
        (Value::Number(a), Value::Number(b)) => {
            let (a, b) = (a.as_f64().unwrap(), b.as_f64().unwrap());
            assert!((a - b).abs() <= ENGINES, "{place}: {a} {b}");
        }
        (Value::Array(a), Value::Array(b)) => {
            assert_eq!(a.len(), b.len(), "{place}");
            for (i, (a, b)) in a.iter().zip(b).enumerate() {
                walk(&format!("{place}/{i}"), a, b);
            }
        }
        (Value::Object(a), Value::Object(b)) => {
            assert_eq!(a.keys().collect::<Vec<_>>(), b.keys().collect::<Vec<_>>(), "{place}");
            for (key, a) in a {
                walk(&format!("{place}/{key}"), a, &b[key]);
            }
        }
        _ => assert_eq!(here, native, "{place}"),
    }
}
