//! Does what was asked for.

use crate::arguments::{Command, Form, MapOptions, USAGE};
use crate::{pdf, view};
use extrados::carm;
use extrados::casefile::case::Errors;
use extrados::casefile::{Document, document, fields, schema};
use extrados::dissection::Extent;
use extrados::fault::{Fault, Faults};
use extrados::import::NamedBytes;
use extrados::plan::Plan;
use extrados::quantity::Unknown;
use extrados::ranking::design::Designing;
use extrados::ranking::{MOST_GRAFTS, Ranking};
use extrados::report::build::{report, whole_with};
use extrados::report::records::{Landed, own_errors};
use extrados::report::{assumptions, csv, extent, ranking, room, words};
use extrados::room::forgives;
use extrados::rules::sets;
use extrados::scene::axes::{Along, Around};
use extrados::scene::map_input::MapInput;
use extrados::scene::side_view::{SideInput, SideSize, side_view};
use extrados::scene::style::Medium;
use extrados::scene::svg;
use extrados::scene::wall_map::{Layers, Options, Size, wall_map};
use extrados::sheet::{Source, Wanted, pages};
use extrados::task::Task;
use std::fmt::Write as _;
use std::path::{Path, PathBuf};
use std::sync::Arc;

/// Size of a map unless told otherwise, mm: the width of a landscape sheet within its margins.
const MAP_MM: (f64, f64) = (273.0, 150.0);

/// What a command prints.
#[derive(Debug, Default)]
pub struct Done {
    /// To standard output.
    pub output: String,
    /// To standard error, a line each.
    pub notes: Vec<String>,
}

/// Why a command failed.
#[derive(Debug)]
pub struct Failure {
    file: String,
    faults: Faults,
}

impl Failure {
    /// The command line itself is wrong.
    pub fn usage(text: impl Into<String>) -> Self {
        Failure { file: String::new(), faults: Fault::new("usage", "", text, "").into() }
    }

    /// Faults that name their own file.
    fn of(faults: impl Into<Faults>) -> Self {
        Failure { file: String::new(), faults: faults.into() }
    }

    fn in_file(file: &Path, faults: impl Into<Faults>) -> Self {
        Failure { file: file.display().to_string(), faults: faults.into() }
    }

    /// `{"faults": [...]}` with a newline.
    pub fn json(&self) -> String {
        serde_json::to_string_pretty(&self.faults).map(|t| t + "\n").unwrap_or_default()
    }
}

impl std::fmt::Display for Failure {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        for (index, fault) in self.faults.faults.iter().enumerate() {
            if index > 0 {
                writeln!(f)?;
            }
            if !self.file.is_empty() {
                write!(f, "{}: ", self.file)?;
            }
            write!(f, "{fault}")?;
        }
        Ok(())
    }
}

/// Runs a command.
pub fn run(command: Command) -> Result<Done, Failure> {
    match command {
        Command::Help => Ok(Done { output: USAGE.into(), ..Done::default() }),
        Command::Version => Ok(Done { output: format!("extrados {}\n", extrados::VERSION), ..Done::default() }),
        Command::Report { case, form, upstream_mm } => {
            let document = open(&case)?;
            let plan = Plan::new(document.case.clone());
            let output = match form {
                Form::Words => in_words(&plan, upstream_mm),
                Form::Json => as_json(&plan, upstream_mm, &document.sha256),
                Form::Csv => csv::csv(
                    &serde_json::to_value(whole_with(&plan, upstream_mm, &document.sha256)).unwrap_or_default(),
                ),
            };
            Ok(Done { output, ..Done::default() })
        }
        Command::Sheet { case, out, wanted } => sheet(&open(&case)?, &out, wanted),
        Command::Map { case, out, options } => {
            let document = open(&case)?;
            let plan = Plan::new(document.case.clone());
            write(&out, map(&plan, &options))
        }
        Command::Side { case, out, options } => {
            let document = open(&case)?;
            let plan = Plan::new(document.case.clone());
            let size = match (options.width_mm, options.height_mm) {
                (None, None) => SideSize::TrueSize,
                (width, height) => SideSize::Fit {
                    width_mm: width.unwrap_or(f64::INFINITY),
                    height_mm: height.unwrap_or(f64::INFINITY),
                },
            };
            let input = SideInput::from_plan(&plan, None);
            write(&out, svg::text(&side_view(&input, size, Medium::Paper, None)))
        }
        Command::View { case, out, options } => {
            let document = open(&case)?;
            view::view(&Plan::new(document.case.clone()), out.as_deref(), &options)
        }
        Command::Rank { case, grafts, json } => rank(&case, &grafts, json),
        Command::Design { case, out } => design(&case, &out),
        Command::Records { cases } => records(&cases),
        Command::Import { files, out, options } => import(&files, &out, &options),
        Command::Schema { of } => schema(&of),
        Command::Rules { set } => rules(set.as_deref()),
    }
}

fn open(path: &Path) -> Result<Document, Failure> {
    let bytes = read(path)?;
    Document::read(&bytes).map_err(|faults| Failure::in_file(path, faults))
}

fn read(path: &Path) -> Result<Vec<u8>, Failure> {
    std::fs::read(path).map_err(|error| {
        let fault =
            Fault::new("unreadable", "", format!("The file cannot be read: {error}."), "Check its name and folder.");
        Failure::in_file(path, fault)
    })
}

pub fn write(path: &Path, content: impl AsRef<[u8]>) -> Result<Done, Failure> {
    match std::fs::write(path, content) {
        Ok(()) => Ok(Done::default()),
        Err(error) => {
            let fault =
                Fault::new("unwritable", "", format!("The file cannot be written: {error}."), "Check the folder.");
            Err(Failure::in_file(path, fault))
        }
    }
}

/// The map as SVG text.
fn map(plan: &Plan, given: &MapOptions) -> String {
    let size = match given.true_size {
        true => Size::TrueSize,
        false => {
            Size::Fit { width_mm: given.width_mm.unwrap_or(MAP_MM.0), height_mm: given.height_mm.unwrap_or(MAP_MM.1) }
        }
    };
    let options = Options {
        size,
        medium: Medium::Paper,
        along: if given.along_outer || given.true_size { Along::OuterCurve } else { Along::Centreline },
        around: if given.around_mm || given.true_size { Around::WallLength } else { Around::Clock },
        layers: Layers { space: given.space, ..Layers::default() },
        ..Options::default()
    };
    let input = MapInput::from_plan(plan, None);
    let input = if given.space { input.with_space(plan, plan.possibilities().first().copied()) } else { input };
    svg::text(&wall_map(&input, &options).scene)
}

fn import(files: &[PathBuf], out: &Path, given: &[(String, String)]) -> Result<Done, Failure> {
    let mut options = extrados::import::Options::default();
    for (name, value) in given {
        options.set(name, value).map_err(Failure::of)?;
    }
    let named = |path: &PathBuf| Ok(NamedBytes { name: path.display().to_string(), bytes: read(path)? });
    let files = files.iter().map(named).collect::<Result<Vec<_>, Failure>>()?;
    let imported = extrados::import::import(&files, &options).map_err(Failure::of)?;
    let mut done = write(out, document::write(&imported.case))?;
    done.notes = imported.assumed.iter().map(|sentence| format!("Assumed: {sentence}")).collect();
    Ok(done)
}

/// Grafts in the order of the room of their best placements.
fn rank(case: &Path, grafts: &[PathBuf], json: bool) -> Result<Done, Failure> {
    let document = open(case)?;
    if grafts.len() > MOST_GRAFTS {
        return Err(Failure::usage(format!("At most {MOST_GRAFTS} grafts are ranked at once.")));
    }
    let graft = |path: &PathBuf| {
        let graft = document::read_graft(&read(path)?).map_err(|faults| Failure::in_file(path, faults))?;
        let name = path.file_name().map_or_else(String::new, |name| name.to_string_lossy().into_owned());
        Ok((name, Arc::new(graft)))
    };
    let grafts = grafts.iter().map(graft).collect::<Result<Vec<_>, Failure>>()?;
    let standings = Ranking::new(Plan::new(document.case.clone()), grafts).finish().unwrap_or_default();
    let found = ranking::report(&standings, &document.case, &document.sha256);
    if json {
        let output = serde_json::to_string_pretty(&found).map(|text| text + "\n").unwrap_or_default();
        return Ok(Done { output, ..Done::default() });
    }
    let mut text = format!("{}\n", document.case.label);
    for (place, own) in found.grafts.iter().enumerate() {
        let _ = writeln!(text, "{}. {} ({})\n   {}", place + 1, own.name, own.label, own.text);
    }
    for caution in found.cautions {
        let _ = writeln!(text, "{caution}");
    }
    Ok(Done { output: text, ..Done::default() })
}

/// The graft of a case with its tunnels made for the arch.
fn design(case: &Path, out: &Path) -> Result<Done, Failure> {
    let document = open(case)?;
    let plan = Plan::new(document.case.clone());
    let moved = extrados::room::trial::moved(&plan.case).map_or_else(String::new, |own| own.id.clone());
    let made = Designing::of(&plan, &moved).and_then(|work| work.finish().unwrap_or(Err(Unknown::because(""))));
    let graft = made.map_err(|Unknown(why)| Failure::in_file(case, Fault::new("no_design", "/components", why, "")))?;
    write(out, document::write_graft(&graft))?;
    let tunnels = graft.tunnels.iter().map(words::made_tunnel).collect::<Vec<_>>();
    Ok(Done { output: tunnels.join("\n") + "\n", ..Done::default() })
}

/// What records say of landing and rotation, and the errors as a case holds them.
fn records(cases: &[PathBuf]) -> Result<Done, Failure> {
    let mut landed = Vec::new();
    let mut output = String::new();
    for path in cases {
        let own = Landed::of(path.display().to_string(), &Plan::new(open(path)?.case));
        let off = own.off_mm.map_or_else(|| words::UNKNOWN.to_owned(), words::mm);
        let turned = own.turned.map_or_else(|| words::UNKNOWN.to_owned(), words::turn);
        let _ = writeln!(output, "{}: landing {off} from the plan, turned by {turned}", own.name);
        landed.push(own);
    }
    let fault = |Unknown(why)| Failure::of(Fault::new("few", "/done", why, ""));
    let (errors, said) = own_errors(&landed, &Errors::default()).map_err(fault)?;
    let _ = writeln!(output, "{}", said.join("\n"));
    let errors = serde_json::to_string_pretty(&serde_json::json!({ "errors": errors })).unwrap_or_default();
    Ok(Done { output: output + &errors + "\n", ..Done::default() })
}

/// The shipped rule sets, a line each, or the file of one.
fn rules(set: Option<&str>) -> Result<Done, Failure> {
    let output = match set {
        Some(id) => sets::text(id).map(str::to_string).ok_or_else(|| {
            let ids: Vec<&str> = sets::SHIPPED.iter().map(|(id, _)| *id).collect();
            Failure::usage(format!("There is no rule set {id:?}: there are {}.", ids.join(", ")))
        })?,
        None => {
            let all = sets::all();
            let widest = all.iter().map(|set| set.id.len()).max().unwrap_or_default();
            all.iter().fold(String::new(), |mut text, set| {
                let (count, sources) = (set.rules.len(), set.sources.join("; "));
                let _ = writeln!(text, "{:<widest$}  {} ({count} rules; {sources})", set.id, set.name);
                text
            })
        }
    };
    Ok(Done { output, ..Done::default() })
}

fn schema(of: &str) -> Result<Done, Failure> {
    let schema = match of {
        "case" => schema::case_schema(),
        "graft" => schema::graft_schema(),
        "rules" => schema::rules_schema(),
        "report" => schema::report_schema(),
        "fields" => return Ok(Done { output: fields::markdown("Fields of a case", &fields::CASE), ..Done::default() }),
        other => {
            return Err(Failure::usage(format!(
                "There is no schema of {other:?}: ask for case, graft, rules, report or fields."
            )));
        }
    };
    let output = serde_json::to_string_pretty(&schema).map(|t| t + "\n").unwrap_or_default();
    Ok(Done { output, ..Done::default() })
}

/// The sheets: a PDF, or an SVG file for each page.
fn sheet(document: &Document, out: &Path, wanted: Wanted) -> Result<Done, Failure> {
    let plan = Plan::new(document.case.clone());
    let map = MapInput::from_plan(&plan, None);
    let room = (!plan.grafts.is_empty()).then(|| forgives(&plan));
    let mut compared: Vec<Option<Arc<Plan>>> = Vec::new();
    if wanted.alternatives && !plan.case.alternatives.is_empty() {
        let others = (0..plan.case.alternatives.len()).map(|index| plan.case.as_alternative(index));
        compared.push(Some(Arc::new(plan.clone())));
        compared.extend(others.map(|case| case.ok().map(|case| Arc::new(Plan::new(Arc::new(case))))));
    }
    let source = Source {
        plan: &plan,
        map: &map,
        along: Along::Centreline,
        around: Around::Clock,
        sha256: &document.sha256,
        room: room.as_ref(),
        compared: &compared,
    };
    let pages = pages(&source, wanted);
    if out.extension().is_none_or(|ending| !ending.eq_ignore_ascii_case("svg")) {
        let title = pages.first().map_or("", |page| page.title.as_str());
        return write(out, pdf::pdf(&pages, title));
    }
    for (index, page) in pages.iter().enumerate() {
        let name = out.file_stem().map(|stem| stem.to_string_lossy().into_owned()).unwrap_or_default();
        let of_page = if index == 0 { out.to_owned() } else { out.with_file_name(format!("{name}-{}.svg", index + 1)) };
        write(&of_page, svg::text(page))?;
    }
    Ok(Done::default())
}

fn as_json(plan: &Plan, upstream_mm: Option<f64>, sha256: &str) -> String {
    serde_json::to_string_pretty(&whole_with(plan, upstream_mm, sha256)).map(|t| t + "\n").unwrap_or_default()
}

/// The report as lines to read: head line, tunnels, verdicts, what to mind.
fn in_words(plan: &Plan, upstream_mm: Option<f64>) -> String {
    let mut report = report(plan, "");
    let found = (!plan.grafts.is_empty()).then(|| forgives(plan));
    let mut text = String::new();
    // Writing to a string cannot fail.
    let mut line = |words: &str| {
        let _ = writeln!(text, "{words}");
    };
    line(&plan.case.label);
    if plan.is_rough() {
        line(extrados::message::ROUGH);
    }
    line(&words::head_line(plan));
    line(&words::origin(&plan.case));
    line(&words::clock_convention(&plan.case));
    line(&words::ct_age(&plan.case));
    for residual in plan.rough().map(words::residuals).unwrap_or_default() {
        line(&residual);
    }
    for tunnel in &plan.tunnels {
        line(&format!(
            "{} → {} ({}; {}): edge clearance {}, clock error {}, straight {}; {}",
            tunnel.id,
            tunnel.serves,
            words::flow(tunnel.flow),
            words::possibility(tunnel.possibility),
            words::or_unknown(&tunnel.edge_clearance_mm, |v| words::mm(*v)),
            words::clock_error(tunnel),
            words::or_unknown(&tunnel.straight_mm, |v| words::mm(*v)),
            words::state(tunnel),
        ));
        line(&format!("  path {}", words::path(&tunnel.path)));
    }
    for order in &plan.stents {
        line(&format!("{} → {}: stent {}", order.tunnel, order.serves, words::stent(order)));
    }
    for verdict in &plan.verdicts {
        let rule = words::rule(&plan.rules[verdict.rule_index]);
        line(&format!("{} [{rule}] {} ({})", verdict.of, words::verdict(verdict), verdict.source));
    }
    if let Some(found) = &found {
        line(&room::sentence(found, &plan.case));
        if let Ok(own) = found {
            room::best_in_words(own, upstream_mm, &plan.case).iter().for_each(|words| line(words));
        }
        let shifted = found.as_ref().map(|own| &own.shifted[..]).unwrap_or_default();
        let [_, upstream, _, downstream] = room::shifted_heads();
        for row in shifted {
            let [what, up, drawn, down] = room::shifted(row, &plan.case);
            line(&format!("  {what}: {drawn} mm; {upstream} {up}; {downstream} {down}"));
        }
        if let Some(chance) = found.as_ref().ok().and_then(|own| own.chance.as_ref()) {
            line(&room::chance_in_words(chance));
            for (error, share) in room::chance_without(chance) {
                line(&format!("  Without the error of {error}: {share}"));
            }
        }
    }
    for weighed in assumptions::of(plan) {
        line(&weighed.text);
    }
    if let Ok(extent) = Extent::of(plan) {
        extent::lines(&extent, &plan.case).iter().for_each(|words| line(words));
    }
    let views = carm::views::views(plan);
    for view in &views {
        let lies = view.possibility.map_or(String::new(), |p| format!(" ({})", words::possibility(p)));
        line(&format!(
            "View, {}{lies}: {}; {}",
            carm::words::view_of(plan, view),
            carm::words::view(view),
            carm::words::view_notes(view)
        ));
    }
    for (step, _, view) in carm::step_views(&plan.case, &views) {
        line(&format!("Step {step}, view: {view}"));
    }
    if !views.is_empty() {
        line(extrados::message::CT_POSE);
    }
    if let Some(release) = &mut report.release {
        release.over_room = extrados::report::release::over_room(plan, found.as_ref());
        extrados::report::release::in_words(release).iter().for_each(|words| line(words));
    }
    for judged in &plan.sets {
        line(&format!("{}: {}", judged.set.name, words::counted(judged.counts())));
        for verdict in &judged.verdicts {
            let rule = words::rule(&judged.set.rules[verdict.rule_index]);
            let change =
                verdict.would_change.as_deref().map(|words| format!(" Would change it: {words}")).unwrap_or_default();
            line(&format!("  {} [{rule}] {} ({}){change}", verdict.of, words::verdict(verdict), verdict.source));
        }
        judged.set.not_judged.iter().for_each(|words| line(&format!("  Not judged: {words}")));
    }
    if !plan.sets.is_empty() {
        line(extrados::message::NEITHER);
    }
    for sentence in report.assumed {
        line(&format!("Assumed: {sentence}"));
    }
    for warning in report.warnings {
        line(&format!("Mind: {} {}", warning.text, warning.mend));
    }
    for caution in extrados::message::CAUTIONS {
        line(caution);
    }
    text
}
