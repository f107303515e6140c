//! `extrados view`: the simulated projection, its points as JSON, and the chart of views.

use crate::arguments::ViewOptions;
use crate::run::{Done, Failure, write};
use extrados::carm::angles::Positioner;
use extrados::carm::projection::{Beam, Picture};
use extrados::carm::reach::Reach;
use extrados::carm::views::{ARCH, rim, sheet_views, views};
use extrados::plan::Plan;
use extrados::scene::carm_chart::{ChartInput, carm_chart};
use extrados::scene::projection::{Options, ProjectionInput, projection};
use extrados::scene::style::Medium;
use extrados::scene::svg;
use extrados::units::{Angle, Point3};
use serde_json::json;
use std::path::Path;

/// Width of the picture unless told otherwise, mm.
const WIDTH_MM: f64 = 170.0;
/// Distance of the centreline's points in JSON, mm.
const STEP_MM: f64 = 5.0;

/// Does what was asked for.
pub fn view(plan: &Plan, out: Option<&Path>, options: &ViewOptions) -> Result<Done, Failure> {
    let width_mm = options.width_mm.unwrap_or(WIDTH_MM);
    let at = options.at.as_deref().map(|at| Positioner::read(at).map_err(|fault| Failure::usage(fault.to_string())));
    let at = at.transpose()?;
    if options.json {
        let at = at.ok_or_else(|| Failure::usage("Say which view with --at \"LAO 42 / CRA 8\"."))?;
        let output = serde_json::to_string_pretty(&points(plan, at, beam(options)?)).map(|t| t + "\n");
        return Ok(Done { output: output.unwrap_or_default(), ..Done::default() });
    }
    let out = out.ok_or_else(|| Failure::usage("Say where to write with -o FILE."))?;
    if let Some(of) = &options.chart {
        let all = views(plan);
        let shown = sheet_views(plan, &all);
        let of = if of.is_empty() { ARCH } else { of.as_str() };
        let known = || shown.iter().map(|view| view.id.as_str()).collect::<Vec<_>>().join(", ");
        let chosen = shown.iter().position(|view| view.id == of);
        let chosen =
            chosen.ok_or_else(|| Failure::usage(format!("There is no view of {of:?}: there are {}.", known())))?;
        let at = at.or(shown[chosen].choice.value().map(|choice| choice.at)).unwrap_or(Positioner::deg(0.0, 0.0));
        let input = ChartInput::new(plan, &shown, chosen, at);
        return write(out, svg::text(&carm_chart(&input, width_mm, Medium::Paper).scene));
    }
    let at =
        at.ok_or_else(|| Failure::usage("Say which view with --at \"LAO 42 / CRA 8\", or ask for the --chart."))?;
    let turn = Angle::deg(options.turn_deg.clamp(-360.0, 360.0)).wrapped();
    let input = ProjectionInput::from_plan(plan, plan.possibilities().first().copied(), turn);
    let drawn = Options { width_mm, medium: Medium::Paper, at, beam: beam(options)? };
    write(out, svg::text(&projection(&input, &drawn)))
}

/// The beam as typed: source to isocentre and source to detector, mm.
fn beam(options: &ViewOptions) -> Result<Option<Beam>, Failure> {
    let Some(typed) = &options.beam else { return Ok(None) };
    let numbers: Vec<f64> = typed.split(',').filter_map(|part| part.trim().parse().ok()).collect();
    match numbers.as_slice() {
        [near, far] if (300.0..=2000.0).contains(near) && *far > *near && *far <= 3000.0 => {
            Ok(Some(Beam { source_to_isocentre_mm: *near, source_to_detector_mm: *far }))
        }
        _ => Err(Failure::usage(
            "--beam is source to isocentre and source to detector in mm, such as 750,1150; the detector lies farther.",
        )),
    }
}

/// Where points of the plan lie in the plane of the isocentre, mm right and up.
fn points(plan: &Plan, at: Positioner, beam: Option<Beam>) -> serde_json::Value {
    let table = Reach::of(plan.case.carm.as_ref()).table;
    let anatomy = match &plan.anatomy {
        Ok(anatomy) => anatomy,
        Err(why) => return json!({ "why": why.0 }),
    };
    let isocentre = match anatomy.course.plane() {
        Ok(plane) => plane.point,
        Err(why) => return json!({ "why": why.0 }),
    };
    let picture = Picture { screen: table.screen(&at), isocentre, beam };
    let point = |p: &Point3| json!({ "lps_mm": [p.x, p.y, p.z], "spot_mm": picture.spot(p) });
    let line = anatomy.course.line();
    let (first, last) = line.range_mm();
    let steps = ((last - first) / STEP_MM).ceil().clamp(1.0, 2000.0) as usize;
    let centreline: Vec<_> =
        (0..=steps).map(|k| point(&line.at(first + (last - first) * k as f64 / steps as f64).point)).collect();
    let ostia: Vec<_> = anatomy
        .ostia
        .iter()
        .map(|ostium| {
            let rim = rim(ostium, anatomy).ok();
            json!({
                "id": ostium.id,
                "centre": ostium.place.point.value().map(point),
                "rim": rim.map(|rim| rim.points(24).iter().map(point).collect::<Vec<_>>()),
                "half_axes_mm": rim.map(|rim| rim.looks(&picture.screen)),
                "why": ostium.place.point.why(),
            })
        })
        .collect();
    let mouths: Vec<_> = plan
        .tunnels
        .iter()
        .map(|tunnel| {
            json!({
                "id": tunnel.id,
                "lie": tunnel.possibility.lie,
                "length_kept_by": tunnel.possibility.length_kept_by,
                "mouth": tunnel.mouth.value().map(|mouth| point(&mouth.point)),
                "why": tunnel.mouth.why(),
            })
        })
        .collect();
    let axis = |v: &extrados::units::Vec3| [v.x, v.y, v.z];
    json!({
        "view": at.words(),
        "primary_deg": at.primary.to_deg(),
        "secondary_deg": at.secondary.to_deg(),
        "table_turn_deg": table.turn.to_deg(),
        "beam": beam.map(|beam| json!({
            "source_to_isocentre_mm": beam.source_to_isocentre_mm,
            "source_to_detector_mm": beam.source_to_detector_mm,
        })),
        "isocentre_lps_mm": [isocentre.x, isocentre.y, isocentre.z],
        "right_lps": axis(&picture.screen.right),
        "up_lps": axis(&picture.screen.up),
        "toward_detector_lps": axis(&picture.screen.toward),
        "centreline": centreline,
        "ostia": ostia,
        "mouths": mouths,
    })
}
