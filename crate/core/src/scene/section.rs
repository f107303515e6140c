//! A section square to the aorta at one station, as the surgeon would sketch it: lumen, graft and
//! tunnels, and the space between graft and wall.
//!
//! Seen looking downstream: 12:00 (outer curve) is up, front-left (3:00 on top of a usual arch)
//! lies to the right. The drawing places outlines; it computes no measure.

use super::lettering::Extent;
use super::pen::Pen;
use super::style::{Medium, Token};
use super::{Anchor, Scene, Sign, Spot};
use crate::anatomy::Anatomy;
use crate::anatomy::twelve;
use crate::casefile::case::Way;
use crate::dissection::lumens::lumens;
use crate::graft::lie::Possibility;
use crate::graft::shape;
use crate::plan::Plan;
use crate::report::words::mm;
use crate::units::{self, Angle, ThreeOClock};
use std::f64::consts::PI;

/// Points round an outline.
const AROUND: usize = 72;
/// A way is shown in a section this near to its edge, mm.
const WAY_SEEN_MM: f64 = 3.0;

/// What is cut at a station. Distances are from the centreline, by clock, evenly spaced from 12:00
/// towards larger clock.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct SectionInput {
    /// The station, mm.
    pub station_mm: f64,
    /// The hand of the user's sheet.
    pub hand: Option<ThreeOClock>,
    /// Why nothing can be drawn.
    pub missing: Option<String>,
    /// The lumen's wall, mm.
    pub lumen_mm: Vec<f64>,
    /// Grafts that are cut, the one planned first.
    pub grafts: Vec<CutGraft>,
    /// Ostia that are cut: id, name, clock where known.
    pub ostia: Vec<(String, String, Option<Angle>)>,
    /// In dissection, what lies about the true lumen.
    pub whole: Option<Whole>,
    /// Ways of the false lumen that are cut: id and clock.
    pub ways: Vec<(String, Angle)>,
}

/// The whole aorta about the true lumen, which lies against its wall.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Whole {
    /// Its radius, mm.
    pub radius_mm: f64,
    /// Clock of the true lumen's middle: the aorta's lies on the other side.
    pub towards: Angle,
    /// How far its middle lies from the centreline, mm.
    pub away_mm: f64,
    /// Where the flap meets the wall; the false lumen lies from the second to the first.
    pub flap: Option<[Angle; 2]>,
}

/// A graft where it is cut.
#[derive(Clone, Debug, PartialEq)]
pub struct CutGraft {
    /// Id of the component.
    pub id: String,
    /// Whether it is covered with fabric there.
    pub covered: bool,
    /// Its fabric: distance from the axis, never beyond the wall, mm.
    pub fabric_mm: Vec<f64>,
    /// Its nominal diameter there, mm.
    pub diameter_mm: f64,
    /// Clock of its reference line.
    pub reference: Angle,
    /// Tunnels whose body is cut.
    pub tunnels: Vec<CutTunnel>,
}

/// The body of a tunnel where it is cut; it lies against the fabric from inside.
#[derive(Clone, Debug, PartialEq)]
pub struct CutTunnel {
    /// Its id.
    pub id: String,
    /// The vessel it serves.
    pub vessel: String,
    /// Its clock.
    pub clock: Angle,
    /// Its diameter, mm.
    pub diameter_mm: f64,
}

impl SectionInput {
    /// What is cut of a plan at a station, in one possibility (the one asked for, or the first).
    pub fn from_plan(plan: &Plan, station_mm: f64, possibility: Option<Possibility>) -> Self {
        let hand = plan.case.clock.three_oclock_is;
        let blank = SectionInput { station_mm, hand, ..SectionInput::default() };
        let anatomy = match &plan.anatomy {
            Ok(anatomy) => anatomy,
            Err(why) => return SectionInput { missing: Some(why.0.clone()), ..blank },
        };
        let lumen = match (anatomy.lumen(), anatomy.course.frame(station_mm)) {
            (Ok(lumen), Ok(_)) => lumen,
            (Err(why), _) | (_, Err(why)) => return SectionInput { missing: Some(why.0), ..blank },
        };
        let lumen_mm: Vec<f64> = clocks().map(|clock| lumen.radius(station_mm, clock).mm).collect();
        let grafts = cut_grafts(plan, anatomy, station_mm, possibility, &lumen_mm);
        let cut = anatomy.ostia.iter().filter(|ostium| {
            ostium.edges_mm.as_ref().is_ok_and(|edges| edges.0 <= station_mm && station_mm <= edges.1)
        });
        let ostia = cut
            .map(|ostium| (ostium.id.clone(), ostium.vessels.join(" + "), ostium.place.clock.value().copied()))
            .collect();
        let whole = whole(plan, station_mm, &lumen_mm);
        let cut = plan.case.anatomy.ways.iter().filter(|way| {
            let reach = way.along_mm.unwrap_or(0.0) / 2.0 + WAY_SEEN_MM;
            way.in_vessel.is_none() && way.station_mm.is_some_and(|at| (at - station_mm).abs() <= reach)
        });
        let clock = |way: &Way| {
            let read = twelve::read(&plan.case, Ok(&anatomy.course), way.station_mm?, way.clock_deg).ok()?;
            Some((way.id.clone(), *read.value()?))
        };
        let ways = cut.filter_map(clock).collect();
        SectionInput { lumen_mm, grafts, ostia, whole, ways, ..blank }
    }
}

fn clocks() -> impl Iterator<Item = Angle> {
    (0..AROUND).map(|index| Angle::rad(2.0 * PI * index as f64 / AROUND as f64))
}

/// The whole aorta, where both lumens were measured at this very station.
fn whole(plan: &Plan, station_mm: f64, lumen_mm: &[f64]) -> Option<Whole> {
    let lumens = lumens(plan);
    let own = lumens.iter().find(|own| (own.station_mm - station_mm).abs() < 0.5)?;
    let (radius_mm, towards) = (own.whole_mm? / 2.0, own.centre?);
    // It touches the wall where its middle points.
    let away_mm = (radius_mm - nearest(lumen_mm, towards)).max(0.0);
    Some(Whole { radius_mm, towards, away_mm, flap: own.flap })
}

fn cut_grafts(
    plan: &Plan,
    anatomy: &Anatomy,
    station_mm: f64,
    possibility: Option<Possibility>,
    lumen_mm: &[f64],
) -> Vec<CutGraft> {
    let cut = plan.grafts.iter().filter_map(|placed| {
        let asked = placed.lies.iter().find(|lie| Some(lie.possibility) == possibility);
        let lie = asked.or(placed.lies.first())?;
        let u = lie.u_mm(station_mm)?;
        let section = shape::section_at(&placed.graft, u)?;
        let reference = lie.reference_clock(station_mm, anatomy).ok()?;
        let frame = anatomy.course.frame(station_mm).ok()?;
        let away = lie.axis(u).ok()?.point - frame.centre.point;
        let fabric_mm = clocks()
            .zip(lumen_mm)
            .map(|(clock, wall)| {
                // From the centreline to a circle about the graft's own axis; a one-sided section is met
                // where the direction is the same.
                let radius = shape::fabric_mm(section, u, clock - reference);
                let along = away.dot(&frame.towards(clock));
                let across2 = (away.norm_squared() - along * along).max(0.0);
                (along + (radius * radius - across2).max(0.0).sqrt()).clamp(0.0, *wall)
            })
            .collect();
        let tunnels = placed.graft.tunnels.iter().filter_map(|tunnel| {
            let (from, to) = shape::body(tunnel)?;
            let diameter_mm = tunnel.diameter_mm?;
            (from <= u && u <= to).then(|| CutTunnel {
                id: tunnel.id.clone(),
                vessel: tunnel.serves.clone(),
                clock: (reference + Angle::deg(tunnel.mouth_clock_deg)).wrapped(),
                diameter_mm,
            })
        });
        Some(CutGraft {
            id: placed.component.clone(),
            covered: section.covered,
            fabric_mm,
            diameter_mm: shape::diameter_mm(section, u),
            reference,
            tunnels: tunnels.collect(),
        })
    });
    cut.collect()
}

/// Draws a section into a square of this size, with hours beside it and two rows of words below.
pub fn section(input: &SectionInput, size_mm: f64, medium: Medium) -> Scene {
    let mut pen = Pen::new(medium);
    let note = pen.letters(Token::Note);
    let size = if size_mm.is_finite() { size_mm.clamp(30.0, 500.0) } else { 30.0 };
    let beside = pen.width(Token::MutedNote, "back-right");
    let width = size + 2.0 * beside;
    let [across, down] = reach(input);
    let widest = (across[1] - across[0]).max(down[1] - down[0]) / 2.0;
    // Room for hours, and names of ostia, round the wall.
    let margin = if input.ostia.is_empty() { 2.7 } else { 4.5 };
    let scale = (size / 2.0 - margin * note) / widest;
    // What is cut stands in the middle; the centreline need not.
    let centre = [width / 2.0 - scale * (across[0] + across[1]) / 2.0, size / 2.0 - scale * (down[0] + down[1]) / 2.0];
    let at = |clock: Angle, mm: f64| -> Spot {
        [centre[0] + scale * mm * clock.sin(), centre[1] - scale * mm * clock.cos()]
    };
    let ring = |radii: &[f64]| -> Vec<Spot> { clocks().zip(radii).map(|(clock, mm)| at(clock, *mm)).collect() };

    if let Some(missing) = &input.missing {
        pen.words(Token::Note, [0.0, centre[1]], Anchor::Start, missing);
    } else {
        for (index, graft) in input.grafts.iter().enumerate() {
            pen.tie(&graft.id);
            let token = match (graft.covered, index) {
                (false, _) => Token::Bare,
                (true, 0) => Token::GraftEdge,
                (true, _) => Token::SecondEdge,
            };
            pen.area(token, vec![ring(&graft.fabric_mm)]);
            let mark = if index == 0 { Token::GraftMark } else { Token::SecondBorder };
            pen.mark(mark, at(graft.reference, nearest(&graft.fabric_mm, graft.reference)), Sign::Diamond, 2.0);
            for tunnel in &graft.tunnels {
                pen.tie(&tunnel.id);
                let reach = nearest(&graft.fabric_mm, tunnel.clock) - tunnel.diameter_mm / 2.0;
                let spot = at(tunnel.clock, reach);
                pen.ring(Token::TunnelBody, spot, scale * tunnel.diameter_mm / 2.0);
                pen.words(Token::GraftNote, [spot[0], spot[1] + 0.3 * note], Anchor::Middle, &tunnel.vessel);
            }
        }
        pen.untie();
        // Above the graft, so that the wall is seen where the graft touches it.
        pen.area(Token::Lumen, vec![ring(&input.lumen_mm)]);
        if let Some(whole) = input.whole {
            let middle = at(whole.towards + Angle::HALF_TURN, whole.away_mm);
            pen.ring(Token::Lumen, middle, scale * whole.radius_mm);
            if let Some([from, to]) = whole.flap {
                let turn = (from - to).to_rad().rem_euclid(2.0 * PI);
                let on = |k: usize| to + Angle::rad(turn * k as f64 / AROUND as f64);
                let flap = (0..=AROUND).map(|k| at(on(k), nearest(&input.lumen_mm, on(k))));
                pen.line(Token::FlapCut, flap.collect());
                let behind = whole.towards + Angle::HALF_TURN;
                let deep = (nearest(&input.lumen_mm, behind) + whole.away_mm + whole.radius_mm) / 2.0;
                let spot = at(behind, deep);
                // A name of an ostium would lie on it.
                if input.ostia.is_empty() {
                    pen.words(Token::MutedNote, [spot[0], spot[1] + 0.3 * note], Anchor::Middle, "false");
                }
            }
        }
        for (id, clock) in &input.ways {
            pen.tie(id);
            let wall = nearest(&input.lumen_mm, *clock);
            pen.mark(Token::Way, at(*clock, wall), Sign::Wave, 3.0);
            let foot = at(*clock, wall - 0.9 * note / scale);
            pen.words(Token::Note, [foot[0], foot[1] + 0.3 * note], Anchor::Middle, id);
        }
        pen.untie();
        pen.mark(Token::CentreCross, centre, Sign::Cross, 2.6);
        for (id, name, clock) in &input.ostia {
            let Some(clock) = clock else { continue };
            pen.tie(id);
            let wall = nearest(&input.lumen_mm, *clock);
            pen.line(Token::Leader, vec![at(*clock, wall), at(*clock, wall + 2.4 / scale)]);
            let foot = at(*clock, wall + (2.8 + 0.5 * note) / scale);
            pen.words(Token::Number, [foot[0], foot[1] + 0.3 * note], Anchor::Middle, name);
        }
        pen.untie();
        hours(&mut pen, input.hand, centre, Extent { left: 0.6, top: 0.0, right: width - 0.6, bottom: size });
    }
    let mut rows = vec![
        format!("Section at {}, looking downstream.", mm(input.station_mm)),
        input.grafts.iter().map(graft_words).collect::<Vec<_>>().join(" · "),
    ];
    rows.extend(input.whole.map(|whole| format!("whole aorta {} wide; dashed: the flap", mm(2.0 * whole.radius_mm))));
    for (row, words) in rows.iter().enumerate() {
        pen.words(Token::MutedNote, [0.6, size + (1.0 + 1.3 * row as f64) * note], Anchor::Start, words);
    }
    let widest_row = rows.iter().map(|words| pen.width(Token::MutedNote, words)).fold(width, f64::max);
    let missing_row = input.missing.as_ref().map_or(0.0, |words| pen.width(Token::Note, words));
    Scene {
        ground: 0,
        name: "section",
        width_mm: (widest_row + 1.2).max(missing_row),
        height_mm: size + (0.2 + 1.3 * rows.len() as f64) * note,
        medium,
        title: rows[0].clone(),
        description: rows[1..].join(". "),
        items: pen.items,
    }
}

fn graft_words(graft: &CutGraft) -> String {
    let fabric = if graft.covered { "graft" } else { "no fabric, graft" };
    format!("{fabric} {} wide", mm(graft.diameter_mm))
}

/// Of values evenly spaced round the clock the one nearest to a clock.
fn nearest(values: &[f64], clock: Angle) -> f64 {
    if values.is_empty() {
        return 0.0;
    }
    let share = clock.to_rad().rem_euclid(2.0 * PI) / (2.0 * PI);
    values[(share * values.len() as f64).round() as usize % values.len()]
}

/// From where to where what is cut reaches, to the right and downwards of the centreline, mm.
fn reach(input: &SectionInput) -> [[f64; 2]; 2] {
    let lumen = clocks().zip(&input.lumen_mm).map(|(clock, mm)| ([mm * clock.sin(), -mm * clock.cos()], 0.0));
    let whole = input.whole.map(|own| {
        let away = [-own.away_mm * own.towards.sin(), own.away_mm * own.towards.cos()];
        (away, own.radius_mm)
    });
    let mut reach = [[-1.0_f64, 1.0]; 2];
    for (middle, radius) in lumen.chain(whole).filter(|(middle, radius)| (middle[0] + middle[1] + radius).is_finite()) {
        for (own, at) in reach.iter_mut().zip(middle) {
            *own = [own[0].min(at - radius), own[1].max(at + radius)];
        }
    }
    reach
}

/// Hours with their side at the four edges, in line with the centreline.
fn hours(pen: &mut Pen, hand: Option<ThreeOClock>, centre: Spot, plot: Extent) {
    let note = pen.letters(Token::Note);
    let say = |deg: f64| {
        let clock = Angle::deg(deg);
        hand.map_or(String::new(), |hand| units::clock_hours(hand.stored(clock)))
    };
    let [across, down] = centre;
    let places = [
        ([across, plot.top + note], Anchor::Middle, 0.0, "outer curve"),
        ([across, plot.bottom - 1.4 * note], Anchor::Middle, 180.0, "inner curve"),
        ([plot.right, down], Anchor::End, 90.0, "front-left"),
        ([plot.left, down], Anchor::Start, -90.0, "back-right"),
    ];
    for (at, anchor, deg, side) in places {
        pen.words(Token::Note, at, anchor, &say(deg));
        pen.words(Token::MutedNote, [at[0], at[1] + 1.15 * note], anchor, side);
    }
}
