//! What was asked for on the command line.

use crate::run::Failure;
use extrados::sheet::{Paper, Wanted};
use lexopt::prelude::*;
use std::path::PathBuf;

/// What `extrados help` prints.
pub const USAGE: &str = "\
extrados: geometry of a branched graft in the aortic arch. A geometry aid, not a medical device.

  extrados report CASE.json [--json|--csv]  all results of a plan; as CSV all its numbers with their units
       [--upstream MM]                       with the best placement so far upstream of the best
  extrados sheet CASE.json -o OUT.pdf       the sheets the room works from; OUT.svg: a file a page
       [--paper a4|letter] [--true-size] [--only-wall]   maps 1:1 behind them; without lists and alternatives
  extrados map CASE.json -o OUT.svg         the wall map
       [--width MM] [--height MM] [--along centreline|outer] [--around clock|mm] [--space]
       [--true-size]                         1:1, along the outer curve and in mm around
  extrados side CASE.json -o OUT.svg        the arch from the side, true size
       [--width MM] [--height MM]            as large as fits instead
  extrados view CASE.json --at 'LAO 42 / CRA 8' -o OUT.svg
       [--turn DEG] [--beam MM,MM] [--width MM]   simulated projection: graft turned, source to isocentre and detector
  extrados view CASE.json --at 'LAO 42 / CRA 8' --json     where points of the plan lie on it
  extrados view CASE.json --chart[=ID] -o OUT.svg          chart of views, for the arch or what has this id
  extrados rank CASE.json GRAFT.json... [--json]   grafts by the room of their best placement
  extrados records CASE.json...             a centre's own errors, from what was done in these cases
  extrados design CASE.json -o GRAFT.json   the graft with its tunnels made for the arch, in the maker's steps
  extrados import FILE... -o CASE.json      centreline (VTK, VTP, CSV) and ostia (CSV) to a case
       [--unit mm|cm|m] [--axes X,Y,Z] [--trust-axes] [--radius NAME] [--smoothing MM]
       [--three-oclock front-left|back-right] [--names IA,LCCA,LSA]
  extrados rules [SET]                      the rule sets that come with it; one of them as a file
  extrados schema [case|graft|rules|report] the JSON Schema; `extrados schema fields`: every field in words
  extrados version
";

/// A command with its arguments.
#[derive(Debug)]
pub enum Command {
    Help,
    Version,
    Report { case: PathBuf, form: Form, upstream_mm: Option<f64> },
    Sheet { case: PathBuf, out: PathBuf, wanted: Wanted },
    Map { case: PathBuf, out: PathBuf, options: MapOptions },
    Side { case: PathBuf, out: PathBuf, options: MapOptions },
    View { case: PathBuf, out: Option<PathBuf>, options: ViewOptions },
    Rank { case: PathBuf, grafts: Vec<PathBuf>, json: bool },
    Design { case: PathBuf, out: PathBuf },
    Records { cases: Vec<PathBuf> },
    Import { files: Vec<PathBuf>, out: PathBuf, options: Vec<(String, String)> },
    Schema { of: String },
    Rules { set: Option<String> },
}

/// How a report is given.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Form {
    Words,
    Json,
    Csv,
}

/// How the map is to be drawn.
#[derive(Debug, Default)]
pub struct MapOptions {
    pub width_mm: Option<f64>,
    pub height_mm: Option<f64>,
    pub along_outer: bool,
    pub around_mm: bool,
    pub space: bool,
    pub true_size: bool,
}

/// Which view is shown, and how.
#[derive(Debug, Default)]
pub struct ViewOptions {
    /// As typed.
    pub at: Option<String>,
    /// How far the graft is turned for comparison, degrees.
    pub turn_deg: f64,
    /// Source to isocentre and to detector, as typed.
    pub beam: Option<String>,
    /// Of what the chart is drawn; empty for the arch.
    pub chart: Option<String>,
    pub width_mm: Option<f64>,
    pub json: bool,
}

/// Reads the command line.
pub fn parse() -> Result<Command, Failure> {
    let mut parser = lexopt::Parser::from_env();
    let mut words: Vec<PathBuf> = Vec::new();
    let mut out = None;
    let mut json = false;
    let mut upstream_mm = None;
    let mut csv = false;
    let mut wanted = Wanted::default();
    let mut map = MapOptions::default();
    let mut options = Vec::new();
    let mut view = ViewOptions::default();
    let mut named: Vec<String> = Vec::new();
    while let Some(argument) = parser.next().map_err(usage)? {
        if let Long(name) = argument {
            named.push(name.into());
        }
        match argument {
            Short('h') | Long("help") => return Ok(Command::Help),
            Short('V') | Long("version") => return Ok(Command::Version),
            Short('o') | Long("output") => out = Some(PathBuf::from(parser.value().map_err(usage)?)),
            Long("json") => json = true,
            Long("csv") => csv = true,
            Long("upstream") => upstream_mm = Some(upstream(&mut parser)?),
            Long("true-size") => (wanted.true_size, map.true_size) = (true, true),
            Long("only-wall") => (wanted.lists, wanted.alternatives) = (false, false),
            Long("paper") => {
                wanted.paper = [Paper::A4, Paper::Letter][one_of(&mut parser, "paper", ["a4", "letter"])?];
            }
            Long("space") => map.space = true,
            Long("width") => map.width_mm = Some(parser.value().map_err(usage)?.parse().map_err(usage)?),
            Long("at") => view.at = Some(parser.value().map_err(usage)?.string().map_err(usage)?),
            Long("turn") => view.turn_deg = parser.value().map_err(usage)?.parse().map_err(usage)?,
            Long("beam") => view.beam = Some(parser.value().map_err(usage)?.string().map_err(usage)?),
            Long("chart") => {
                let of = parser.optional_value().map(|of| of.string()).transpose().map_err(usage)?;
                view.chart = Some(of.unwrap_or_default());
            }
            Long("height") => map.height_mm = Some(parser.value().map_err(usage)?.parse().map_err(usage)?),
            Long("along") => map.along_outer = one_of(&mut parser, "along", ["centreline", "outer"])? == 1,
            Long("around") => map.around_mm = one_of(&mut parser, "around", ["clock", "mm"])? == 1,
            Long("trust-axes") => options.push(("trust-axes".to_string(), "yes".to_string())),
            Long(name @ ("unit" | "axes" | "radius" | "smoothing" | "three-oclock" | "names")) => {
                let name = name.to_string();
                let value = parser.value().map_err(usage)?.string().map_err(usage)?;
                options.push((name, value));
            }
            Value(word) => words.push(word.into()),
            other => return Err(usage(other.unexpected())),
        }
    }
    let mut words = words.into_iter();
    let command = words.next();
    let mut files: Vec<PathBuf> = words.collect();
    let needs_out = || Failure::usage("Say where to write with -o FILE.");
    let command = command.as_ref().and_then(|c| c.to_str());
    if let Some(own) = command {
        if let Some(option) = named.iter().find(|name| !belongs(own, name)) {
            return Err(Failure::usage(format!("`extrados {own}` has no option --{option}: see `extrados help`.")));
        }
        if out.is_some() && matches!(own, "report" | "rank" | "records" | "rules" | "schema") {
            return Err(Failure::usage(format!("`extrados {own}` prints what it has: write `> FILE` instead of -o.")));
        }
    }
    match command {
        None | Some("help") => Ok(Command::Help),
        Some("version") => Ok(Command::Version),
        Some("report") if json && csv => Err(Failure::usage("Ask for --json or for --csv, not for both.")),
        Some("report") => {
            let form = if json { Form::Json } else { Form::Words };
            Ok(Command::Report { case: only(files)?, form: if csv { Form::Csv } else { form }, upstream_mm })
        }
        Some("sheet") => Ok(Command::Sheet { out: out.ok_or_else(needs_out)?, case: only(files)?, wanted }),
        Some("map") if map.true_size && (map.width_mm.is_some() || map.height_mm.is_some()) => {
            Err(Failure::usage("A map at true size has its own width and height: leave --width and --height out."))
        }
        Some("map") => Ok(Command::Map { out: out.ok_or_else(needs_out)?, case: only(files)?, options: map }),
        Some("side") => Ok(Command::Side { out: out.ok_or_else(needs_out)?, case: only(files)?, options: map }),
        Some("view") => {
            let options = ViewOptions { json, width_mm: map.width_mm, ..view };
            Ok(Command::View { case: only(files)?, out, options })
        }
        Some("rank") if files.len() < 2 => Err(Failure::usage("Name a case and at least one graft file.")),
        Some("rank") => Ok(Command::Rank { case: files.remove(0), grafts: files, json }),
        Some("records") if files.is_empty() => Err(Failure::usage("Name the cases that say what was done.")),
        Some("records") => Ok(Command::Records { cases: files }),
        Some("design") => Ok(Command::Design { out: out.ok_or_else(needs_out)?, case: only(files)? }),
        Some("import") if files.is_empty() => Err(Failure::usage("Name at least one file to import.")),
        Some("import") => Ok(Command::Import { files, out: out.ok_or_else(needs_out)?, options }),
        Some("schema") => {
            let of = files.pop().unwrap_or_else(|| "case".into());
            Ok(Command::Schema { of: of.to_string_lossy().into_owned() })
        }
        Some("rules") => Ok(Command::Rules { set: files.pop().map(|set| set.to_string_lossy().into_owned()) }),
        Some(other) => Err(Failure::usage(format!("There is no command {other:?}: see `extrados help`."))),
    }
}

/// Whether a command reads an option; with `--json` every one has its faults as JSON.
fn belongs(command: &str, option: &str) -> bool {
    match option {
        "csv" | "upstream" => command == "report",
        "only-wall" | "paper" => command == "sheet",
        "true-size" => matches!(command, "sheet" | "map"),
        "space" | "along" | "around" => command == "map",
        "width" => matches!(command, "map" | "side" | "view"),
        "height" => matches!(command, "map" | "side"),
        "at" | "turn" | "beam" | "chart" => command == "view",
        "trust-axes" | "unit" | "axes" | "radius" | "smoothing" | "three-oclock" | "names" => command == "import",
        _ => true,
    }
}

fn only(mut files: Vec<PathBuf>) -> Result<PathBuf, Failure> {
    match (files.pop(), files.is_empty()) {
        (Some(file), true) => Ok(file),
        _ => Err(Failure::usage("Name one case file.")),
    }
}

/// How far upstream is wished for, mm.
fn upstream(parser: &mut lexopt::Parser) -> Result<f64, Failure> {
    let mm: f64 = parser.value().map_err(usage)?.parse().map_err(usage)?;
    let farthest = extrados::room::FARTHEST.shift_mm;
    if mm.abs() <= farthest {
        return Ok(mm);
    }
    Err(Failure::usage(format!("--upstream is a length between -{farthest} and {farthest} mm, not {mm}.")))
}

fn one_of(parser: &mut lexopt::Parser, name: &str, words: [&str; 2]) -> Result<usize, Failure> {
    let value = parser.value().map_err(usage)?.string().map_err(usage)?;
    words
        .iter()
        .position(|w| *w == value)
        .ok_or_else(|| Failure::usage(format!("--{name} is {} or {}, not {value:?}.", words[0], words[1])))
}

fn usage(error: lexopt::Error) -> Failure {
    Failure::usage(format!("{error}: see `extrados help`."))
}
