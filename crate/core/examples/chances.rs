//! Answers how probable polygons are in the plane of placements, given as JSON, a line each: for the oracle that
//! integrates them by strips. Every key is this example's own.

use extrados::room::normal::Normal;
use serde_json::{Value, json};
use std::io::{BufRead, Error, Write};

fn pair(value: &Value) -> [f64; 2] {
    [0, 1].map(|k: usize| value[k].as_f64().unwrap_or(f64::NAN))
}

fn main() -> Result<(), Error> {
    let mut out = std::io::stdout().lock();
    for line in std::io::stdin().lock().lines() {
        let asked: Value = serde_json::from_str(&line?)?;
        let normal = Normal {
            mean: pair(&asked["mean"]),
            sd: pair(&asked["sd"]),
            correlation: asked["correlation"].as_f64().unwrap_or_default(),
        };
        let corners = asked["corners"].as_array().into_iter().flatten().map(pair);
        writeln!(out, "{}", json!(normal.of_polygon(corners)))?;
    }
    Ok(())
}
