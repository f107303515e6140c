//! Answers where blood passes in anatomies given as JSON, a line each: for the oracle that tries random
//! ones. Every key is this example's own; no case file has them.

use extrados::dissection::flow::{Flow, Lies, Opening, Origin, Outside, Run, Space, Works};
use serde_json::{Value, json};
use std::io::{BufRead, Error, Write};

const UNKNOWN: &str = "not known";

fn index(value: &Value) -> usize {
    value.as_u64().unwrap_or_default() as usize
}

fn mm(value: &Value) -> f64 {
    value.as_f64().unwrap_or_default()
}

fn words(value: &Value) -> String {
    value.as_str().unwrap_or_default().to_owned()
}

fn yes(value: &Value) -> bool {
    value.as_bool().unwrap_or_default()
}

fn list(value: &Value) -> impl Iterator<Item = &Value> {
    value.as_array().into_iter().flatten()
}

fn doubt(value: &Value) -> Option<String> {
    yes(value).then(|| UNKNOWN.to_owned())
}

fn outside(value: &Value) -> Outside {
    let space = index(&value["space"]);
    match value["is"].as_str() {
        Some("blood") => Outside::Blood,
        Some("space") => Outside::Space(space),
        Some("both") => Outside::Both(space),
        Some("shut") => Outside::Shut,
        _ => Outside::Unknown(value["space"].is_u64().then_some(space), UNKNOWN.into()),
    }
}

fn run(value: &Value) -> Run {
    let parent = value["parent"].as_array();
    let origin = match parent {
        Some(parent) => Origin::Vessel(index(&parent[0]), mm(&parent[1])),
        None => Origin::Wall {
            outside: outside(&value["outside"]),
            from_true: yes(&value["from_true"]),
            from_false: yes(&value["from_false"]),
        },
    };
    Run {
        id: words(&value["id"]),
        origin,
        stent: value["stent"].as_f64().map(|reach| (format!("stent of {}", words(&value["id"])), reach)),
        blocks: list(&value["blocks"]).map(|b| ("block".into(), mm(&b[0]), mm(&b[1]))).collect(),
        replaced: value["replaced"].as_f64().map(|at| ("graft".into(), at)),
        doubt: doubt(&value["doubt"]),
    }
}

fn works(value: &Value) -> Works {
    let leak = |leak: &Value| (words(&leak["name"]), doubt(&leak["unknown"]));
    let way = |way: &Value| {
        let lies = match way["vessel"].as_array() {
            Some(v) => Lies::Vessel(index(&v[0]), mm(&v[1]), mm(&v[2])),
            None if way["outside"].is_object() => Lies::Aorta(outside(&way["outside"])),
            None => Lies::Unknown(UNKNOWN.into()),
        };
        Opening { id: words(&way["id"]), lies, doubt: doubt(&way["doubt"]) }
    };
    Works {
        spaces: list(&value["spaces"]).map(|leaks| Space { leaks: list(leaks).map(leak).collect() }).collect(),
        vessels: list(&value["vessels"]).map(run).collect(),
        bypasses: list(&value["bypasses"]).map(|b| ("bypass".into(), index(&b[0]), index(&b[1]))).collect(),
        ways: list(&value["ways"]).map(way).collect(),
    }
}

fn main() -> Result<(), Error> {
    let mut out = std::io::stdout().lock();
    for line in std::io::stdin().lock().lines() {
        let flows = works(&serde_json::from_str(&line?)?).flows().unwrap_or_default();
        let state = |flow: &Flow| match flow {
            Flow::Flows(_) => "flows",
            Flow::Shut => "shut",
            Flow::Unknown(_) => "unknown",
        };
        let all =
            |list: &[(String, Flow)]| -> Value { list.iter().map(|(id, flow)| json!([id, state(flow)])).collect() };
        writeln!(out, "{}", json!({ "ways": all(&flows.ways), "vessels": all(&flows.vessels) }))?;
    }
    Ok(())
}
