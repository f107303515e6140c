use super::super::sample::arch_p;
use super::super::svg;
use super::super::map_input::Standing;
use super::*;

#[test]
fn look() {
    let Ok(dir) = std::env::var("LOOK") else { return };
    let plain = Options::default();
    let write = |name: &str, input: &MapInput, options: &Options| {
        std::fs::write(format!("{dir}/{name}.svg"), svg::text(&wall_map(input, options).scene)).unwrap();
    };
    write("plain", &arch_p(0.0, 0.0), &plain);
    write("turned", &arch_p(14.0, 40.0), &plain);
    let mut unknown = arch_p(0.0, 0.0);
    let mut an = (*unknown.anatomy).clone(); an.hand = None;
    for o in &mut an.ostia { o.clock = None; o.outline.clear(); }
    for o in &mut an.keep_clear { o.clock = None; o.outline.clear(); } unknown.anatomy = std::sync::Arc::new(an);
    for t in &mut unknown.grafts[0].tunnels { t.clearance.value_mm = None; t.clearance.standing = Standing::Unknown; t.clearance.to = None; t.clearance.remark = "the hand of the clock is not answered".into(); t.clearance.clock_error = None; }
    write("unknown", &unknown, &plain);
    write("wall", &arch_p(0.0, 0.0), &Options { along: Along::OuterCurve, around: Around::WallLength, ..plain.clone() });
    write("paper", &arch_p(0.0, 0.0), &Options { size: Size::Fit { width_mm: 277.0, height_mm: 105.0 }, medium: Medium::Paper, ..plain.clone() });
    write("small", &arch_p(0.0, 0.0), &Options { size: Size::Fit { width_mm: 185.0, height_mm: 90.0 }, ..plain.clone() });
}
