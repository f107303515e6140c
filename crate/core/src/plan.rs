//! A plan: everything that follows from a case, in the one direction of the flow.
//!
//! case → anatomy → placed grafts → tunnels and their stents → verdicts. The anatomy is computed once for what was
//! measured; a plan that follows another takes it over where nothing of that changed, so that a drag
//! only re-runs what depends on the placement.

use crate::anatomy::Anatomy;
use crate::anatomy::measuring::Measuring;
use crate::anatomy::rebuilt::Rebuilt;
use crate::anatomy::zones::Zone;
use crate::bridging::stent::{self, StentOrder};
use crate::casefile::case::{Case, Component, Graft, Rule};
use crate::curve::Centreline;
use crate::fault::Fault;
use crate::graft::buildable::{self, Survey};
use crate::graft::lie::{PlacedGraft, Possibility};
use crate::placement::fabric::FabricInPlace;
use crate::placement::tunnel::{self, Paths, TunnelResult};
use crate::quantity::{Quantity, Unknown};
use crate::rules::defaults;
use crate::rules::measure::{self, Scope};
use crate::rules::seals::{self, Seal};
use crate::rules::sets::{self, JudgedSet};
use crate::rules::verdict::{self, Verdict};
use crate::task::{Progress, Task};
use std::sync::Arc;

/// A case and all its results.
#[derive(Clone, Debug)]
pub struct Plan {
    /// The case.
    pub case: Arc<Case>,
    /// What was measured, in space.
    pub anatomy: Result<Arc<Anatomy>, Unknown>,
    /// Grafts that are placed, in the order of the case.
    pub grafts: Vec<PlacedGraft>,
    /// Their tunnels, one for each possibility.
    pub tunnels: Vec<TunnelResult>,
    /// The bridging stent to order for each tunnel, over all possibilities.
    pub stents: Vec<StentOrder>,
    /// Their fabric against the wall.
    pub fabric: FabricInPlace,
    /// Whether each graft can be made as it is drawn: id of the component, and what was found.
    pub surveys: Vec<(String, Arc<Survey>)>,
    /// The rules in force: the case's own, or the defaults where it has none.
    pub rules: Vec<Rule>,
    /// Their verdicts, rule by rule.
    pub verdicts: Vec<Verdict>,
    /// The case's rule sets, each judged by itself.
    pub sets: Vec<JudgedSet>,
}

/// A plan being computed: the anatomy in pieces, then the rest at once.
#[derive(Debug)]
pub struct Planning {
    case: Arc<Case>,
    measuring: Measuring,
}

impl Planning {
    /// Begins.
    pub fn of(case: Arc<Case>) -> Self {
        Planning { measuring: Measuring::of(case.clone()), case }
    }
}

impl Task for Planning {
    type Output = Plan;

    fn advance(&mut self, operations: u64) -> Progress<Plan> {
        match self.measuring.advance(operations) {
            Progress::Working { done, of } => Progress::Working { done, of },
            Progress::Done(anatomy) => Progress::Done(Plan::on(self.case.clone(), anatomy)),
        }
    }
}

impl Plan {
    /// Computes a case from the start, without pause; [`Planning`] is the same in pieces.
    pub fn new(case: Arc<Case>) -> Self {
        let anatomy = Anatomy::measure(&case);
        Self::on(case, anatomy)
    }

    /// Computes a case on a curve handed over as it stands, whose station 0 is the origin.
    pub fn on_curve(case: Arc<Case>, line: Centreline) -> Self {
        let anatomy = Anatomy::on_curve(line, &case);
        Self::on(case, anatomy)
    }

    fn on(case: Arc<Case>, anatomy: Result<Anatomy, Fault>) -> Self {
        let reason = |fault: Fault| match fault.mend.as_str() {
            "" => Unknown(fault.text),
            mend => Unknown(format!("{} {mend}", fault.text)),
        };
        Self::with_anatomy(case, anatomy.map(Arc::new).map_err(reason), None)
    }

    /// Whether a changed case has this plan's anatomy: a drag of the graft keeps it.
    pub fn keeps_anatomy(&self, case: &Case) -> bool {
        (Arc::ptr_eq(&self.case.anatomy, &case.anatomy) || self.case.anatomy == case.anatomy)
            && self.case.clock == case.clock
            && self.case.errors == case.errors
    }

    /// Computes a changed case, taking over the anatomy where nothing of it changed.
    pub fn follow(&self, case: Arc<Case>) -> Self {
        if self.keeps_anatomy(&case) {
            Self::with_anatomy(case, self.anatomy.clone(), Some(self))
        } else {
            Self::new(case)
        }
    }

    /// `before` is a plan with this very anatomy, from which is taken over what depends on that or on
    /// a graft alone.
    fn with_anatomy(case: Arc<Case>, anatomy: Result<Arc<Anatomy>, Unknown>, before: Option<&Plan>) -> Self {
        let place = |component: &Component, anatomy: &Anatomy| {
            let own = before.and_then(|plan| plan.grafts.iter().find(|graft| graft.component == component.id));
            PlacedGraft::new(component, &case, anatomy, own)
        };
        let grafts: Vec<PlacedGraft> = match &anatomy {
            Ok(anatomy) => case.components.iter().filter_map(|c| place(c, anatomy)).collect(),
            Err(_) => Vec::new(),
        };
        let tunnels: Vec<TunnelResult> = match &anatomy {
            Ok(anatomy) => grafts
                .iter()
                .flat_map(|g| tunnel::tunnels(g, anatomy, case.errors.diameter_sd_mm, Paths::Found))
                .collect(),
            Err(_) => Vec::new(),
        };
        let rules = if case.rules.is_empty() { defaults::rules() } else { case.rules.clone() };
        let fabric = match &anatomy {
            Ok(anatomy) => {
                let known = before.map(|plan| plan.fabric.footprints.clone());
                FabricInPlace::of(&case, anatomy, &grafts, &possibilities(&grafts), known)
            }
            Err(_) => FabricInPlace::default(),
        };
        let stents = stents(&case, &grafts, &tunnels);
        let surveys = surveys(&case, before);
        let scope = Scope {
            case: &case,
            anatomy: &anatomy,
            grafts: &grafts,
            tunnels: &tunnels,
            stents: &stents,
            fabric: &fabric,
            surveys: &surveys,
        };
        let verdicts = verdict::judge(&scope, &rules);
        let sets = sets::judge(&scope);
        Plan { anatomy, grafts, tunnels, stents, fabric, surveys, rules, verdicts, sets, case }
    }

    /// What measures are read from.
    fn scope(&self) -> Scope<'_> {
        Scope {
            case: &self.case,
            anatomy: &self.anatomy,
            grafts: &self.grafts,
            tunnels: &self.tunnels,
            stents: &self.stents,
            fabric: &self.fabric,
            surveys: &self.surveys,
        }
    }

    /// Each seal against what it lies on, by the limits of its sets, then of the plan's own rules.
    pub fn seals(&self) -> Vec<Seal> {
        let of_sets = self.case.rule_sets.iter().flat_map(|set| &set.rules);
        let rules: Vec<Rule> = of_sets.chain(&self.rules).cloned().collect();
        seals::seals(&self.scope(), &rules)
    }

    /// Longest stretch of healthy wall of a zone along the inner curve, mm.
    pub fn healthy_inner(&self, zone: &Zone) -> Option<Quantity> {
        let measure = measure::find("zone.healthy_length_mm")?;
        let scope = self.scope();
        let of = (measure.subjects)(&scope).into_iter().find(|s| s.kind.as_deref() == Some(&zone.zone.to_string()))?;
        (measure.read)(&scope, &Rule::on(measure.id), &of).into_iter().next().map(|reading| reading.value)
    }

    /// How far the proximal edge may go upstream before each point to keep clear is covered.
    pub fn room_upstream(&self) -> Vec<(String, Quantity)> {
        seals::room_upstream(&self.scope())
    }

    /// What a measure can be taken of here.
    pub fn subjects(&self, measure: &measure::Measure) -> Vec<measure::Subject> {
        (measure.subjects)(&self.scope())
    }

    /// Whether the arch was rebuilt from a measuring sheet, or would be: such a plan is not for ordering
    /// a graft.
    pub fn is_rough(&self) -> bool {
        self.case.anatomy.centreline.is_none() && self.case.anatomy.sheet_arch.is_some()
    }

    /// How the arch was rebuilt, where it was.
    pub fn rough(&self) -> Option<&Rebuilt> {
        self.anatomy.as_ref().ok()?.rough.as_ref()
    }

    /// The verdict that decides: of a rule that the plan needs before one that is only advised, the
    /// worst word, and among like words the margin that is smallest against its own error; ties go to
    /// the first.
    pub fn decisive(&self) -> Option<&Verdict> {
        // Without an error any margin is many errors wide.
        let reach = |v: &Verdict| match (v.margin, v.error) {
            (Some(margin), Some(error)) => margin / error.max(1e-9),
            _ => 0.0,
        };
        self.verdicts.iter().reduce(|best, next| {
            if best.required != next.required {
                return if best.required { best } else { next };
            }
            let nearer = next.word < best.word || next.word == best.word && reach(next) < reach(best) - 1e-9;
            if nearer { next } else { best }
        })
    }

    /// The possibilities over which results are listed, in order, each once.
    pub fn possibilities(&self) -> Vec<Possibility> {
        possibilities(&self.grafts)
    }

    /// The stent to order for a tunnel.
    pub fn stent_of(&self, tunnel: &TunnelResult) -> Option<&StentOrder> {
        self.stents.iter().find(|s| s.tunnel == tunnel.id && s.component == tunnel.component)
    }

    /// For each tunnel the result in the possibility that its worst verdict hangs on, or the first
    /// where none judges it: what a table shows that has one row a tunnel.
    pub fn sheet_tunnels(&self) -> Vec<&TunnelResult> {
        let mut chosen: Vec<&TunnelResult> = Vec::new();
        for tunnel in &self.tunnels {
            if chosen.iter().any(|t| t.id == tunnel.id) {
                continue;
            }
            let hangs_on = self
                .verdicts
                .iter()
                .filter(|v| v.of == tunnel.id)
                .min_by_key(|v| (!v.required, v.word))
                .and_then(|v| v.hangs_on);
            let mut of_it = self.tunnels.iter().filter(|t| t.id == tunnel.id);
            chosen.push(of_it.find(|t| Some(t.possibility) == hangs_on).unwrap_or(tunnel));
        }
        chosen
    }
}

/// The stents to order for the tunnels of grafts.
pub(crate) fn stents(case: &Case, grafts: &[PlacedGraft], tunnels: &[TunnelResult]) -> Vec<StentOrder> {
    let each = grafts.iter().flat_map(|g| g.graft.tunnels.iter().map(move |t| (g, t)));
    each.map(|(graft, tunnel)| {
        let own = tunnels.iter().filter(|t| t.id == tunnel.id && t.component == graft.component);
        stent::order(case, &graft.component, tunnel, own.map(|t| &t.path))
    })
    .collect()
}

/// The possibilities over which results of grafts are listed, in order, each once.
pub(crate) fn possibilities(grafts: &[PlacedGraft]) -> Vec<Possibility> {
    let mut all: Vec<Possibility> = Vec::new();
    for possibility in grafts.iter().flat_map(|g| g.lies.iter().map(|l| l.possibility)) {
        if !all.contains(&possibility) {
            all.push(possibility);
        }
    }
    all
}

/// Looks every graft of a case over; those of the plan before are taken over.
fn surveys(case: &Case, before: Option<&Plan>) -> Vec<(String, Arc<Survey>)> {
    let known = |id: &str, graft: &Arc<Graft>| {
        let before = before?;
        let same = before.case.components.iter().find(|c| c.id == id)?.graft.as_ref()?;
        Arc::ptr_eq(same, graft).then_some(())?;
        before.surveys.iter().find(|(of, _)| of == id).map(|(_, survey)| survey.clone())
    };
    let graft = |c: &Component| {
        let graft = c.graft.as_ref()?;
        let survey = known(&c.id, graft).unwrap_or_else(|| Arc::new(buildable::survey(graft)));
        Some((c.id.clone(), survey))
    };
    case.components.iter().filter_map(graft).collect()
}
