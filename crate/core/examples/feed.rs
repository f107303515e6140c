//! For outside checks of the feed: reads lines of `{"case", "chamber", "standing"}` from standard input and
//! answers each with what feeds its vessels, as the program itself finds it.
//!
//! A chamber is `{"sources": [["mouth", "t1"], …], "lumens": 1, "passages": [[source, site, mm, error]]}`,
//! a source its place in the list, `mm` null where it is not known, `"open"` where nothing is measured.

use extrados::casefile::Document;
use extrados::feed::chamber::{Chamber, Passage, Sink, Source};
use extrados::feed::flow::{Extra, feeds};
use extrados::feed::standing::{Released, Sheath, Standing};
use extrados::network::Width;
use serde_json::{Value, json};
use std::io::{BufRead, Error, Write};

fn main() -> std::io::Result<()> {
    let mut out = std::io::stdout().lock();
    for line in std::io::stdin().lock().lines() {
        let state: Value = serde_json::from_str(&line?)?;
        let case = serde_json::to_vec(&state["case"])?;
        let case = Document::read(&case).map_err(|faults| Error::other(faults.to_string()))?.case;
        let all = feeds(&case, &chamber(&state["chamber"]), &standing(&state["standing"]), &Extra::default());
        let all: Vec<Value> = all
            .iter()
            .map(|feed| {
                json!({"vessel": feed.vessel, "by": feed.by, "state": feed.state, "mm": feed.narrowest_mm.map(|n| n.0)})
            })
            .collect();
        writeln!(out, "{}", Value::from(all))?;
    }
    Ok(())
}

fn texts(value: &Value) -> Vec<String> {
    value.as_array().into_iter().flatten().filter_map(|text| text.as_str().map(str::to_owned)).collect()
}

fn chamber(value: &Value) -> Chamber {
    let sources: Vec<Source> = value["sources"].as_array().into_iter().flatten().map(source).collect();
    let passages = value["passages"].as_array().into_iter().flatten().filter_map(|row| {
        let from = sources.get(row[0].as_u64()? as usize)?.clone();
        let width = match (&row[2], row[2].as_f64()) {
            (_, Some(mm)) => Width::Mm { mm, error_mm: row[3].as_f64().unwrap_or(0.0) },
            (Value::Null, None) => Width::Unknown("Not measured.".into()),
            (_, None) => Width::Open,
        };
        let to = Sink::Site(row[1].as_str()?.into());
        Some(Passage { by_space: !matches!(from, Source::Lumen(_)), from, to, width, at: None })
    });
    Chamber { passages: passages.collect(), sources: sources.clone(), lumens: 1 }
}

fn source(value: &Value) -> Source {
    let id = value[1].as_str().unwrap_or_default().to_owned();
    match value[0].as_str() {
        Some("mouth") => Source::Mouth(id, 0),
        Some("opening") => Source::Opening(id, 0),
        _ => Source::Lumen(0),
    }
}

fn standing(value: &Value) -> Standing {
    let sheaths = value["sheaths"].as_array().into_iter().flatten().map(|row| Sheath {
        on: String::new(),
        vessels: texts(&row[0]),
        outer_mm: row[1].as_f64().unwrap_or(0.0),
    });
    Standing {
        released: vec![Released { component: "arch".into(), open_to_mm: None, held_diameter_mm: None }],
        sheaths: sheaths.collect(),
        bridged: texts(&value["bridged"]),
        closed: texts(&value["closed"]),
        stage: value["stage"].as_u64().map(|stage| stage as u32),
        ..Standing::default()
    }
}
