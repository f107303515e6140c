//! For outside checks of the schemas: prints them, or says how the program itself judges documents.
//!
//! `schemas` prints one object with the four schemas. `schemas judge` reads lines of
//! `["case", document]` from standard input and answers each with the codes of its faults of shape.

use extrados::casefile::{check, fields, report_fields, schema};
use std::io::{BufRead, Write};

fn main() -> std::io::Result<()> {
    let mut out = std::io::stdout().lock();
    if std::env::args().nth(1).as_deref() != Some("judge") {
        let all = serde_json::json!({
            "case": schema::case_schema(),
            "graft": schema::graft_schema(),
            "rules": schema::rules_schema(),
            "report": schema::report_schema(),
        });
        return writeln!(out, "{all}");
    }
    for line in std::io::stdin().lock().lines() {
        let (kind, document): (String, serde_json::Value) = serde_json::from_str(&line?)?;
        let faults = match kind.as_str() {
            "case" => check::check(&document, &fields::CASE),
            "graft" => check::check(&document, &fields::GRAFT),
            "rules" => check::check(&document, &fields::RULES),
            _ => check::check_with_more_keys(&document, &report_fields::REPORT),
        };
        let codes: Vec<&str> = faults.faults.iter().map(|fault| fault.code.as_str()).collect();
        writeln!(out, "{}", codes.join(" "))?;
    }
    Ok(())
}
